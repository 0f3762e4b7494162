/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fast_isa.h -- which instructions a fast kernel may use.
**
** Every kernel of the fast_ files is there for any processor, for those with
** AVX2 and FMA, and for those with AVX-512.  All are written once (the _body
** files) in vectors of four, eight or sixteen numbers.  The choice is an
** argument: core asks no processor what it can do (piece/machine.h does).  One
** choice gives the same bits everywhere; they agree within the error that each
** kernel states.
*/
#ifndef LH_FAST_ISA_H
#define LH_FAST_ISA_H

#if defined(__x86_64__)
#define LH_FAST_X86 1
#else
#define LH_FAST_X86 0
#endif

typedef enum {
  LH_ISA_PLAIN, /* four numbers at a time, anywhere                     */
  LH_ISA_AVX2,  /* eight; for a processor that has AVX2 and FMA         */
  LH_ISA_AVX512 /* sixteen; for one that has AVX-512 F and DQ too       */
                /* built for another family, both mean LH_ISA_PLAIN     */
} lh_isa;

/* What allows a function the instructions of a set.  gcc before 14 lays vectors
** of 64 bytes wrongly on the stacks of AddressSanitizer that outlive a return
** (GCC bug 110027): there the widest set goes unwatched, whose bodies are those
** of the others, which are watched. */
#define LH_TARGET_AVX2 __attribute__((target("avx2,fma")))
#if defined(__SANITIZE_ADDRESS__) && !defined(__clang__)
#define LH_TARGET_AVX512 \
  __attribute__((target("avx2,fma,avx512f,avx512dq"), no_sanitize_address))
#else
#define LH_TARGET_AVX512 __attribute__((target("avx2,fma,avx512f,avx512dq")))
#endif

#endif
