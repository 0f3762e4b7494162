/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fast_e00.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "difference.h"

#if LH_FAST_X86
#include <immintrin.h>
#endif

/* What one stage leaves to the next. */
enum { E00_BATCH = 128 }; /* pairs; all of it stays in the nearest cache */
typedef struct {
  float f[E00_BATCH];               /* 1 + G                       */
  float x[E00_BATCH], y[E00_BATCH]; /* mean hue, cosine and sine   */
  float C[E00_BATCH];               /* C1 + C2                     */
  float dC[E00_BATCH];              /* C2^2 - C1^2                 */
  float dH[E00_BATCH];
} e00_batch;

#define LANES 4
#define IN(x) x##_plain
#define TARGET
#include "fast_e00_body.h"
#undef LANES
#undef IN
#undef TARGET

#if LH_FAST_X86
#define LANES 8
#define IN(x) x##_avx2
#define TARGET LH_TARGET_AVX2
#include "fast_e00_body.h"
#undef LANES
#undef IN
#undef TARGET

#define LANES 16
#define IN(x) x##_avx512
#define TARGET LH_TARGET_AVX512
#include "fast_e00_body.h"
#undef LANES
#undef IN
#undef TARGET
#endif

void lh_fast_e00(lh_isa isa, lh_labs p, lh_labs q, size_t n, float *out)
{
#if LH_FAST_X86
  if (isa == LH_ISA_AVX2) {
    pairs_avx2(p, q, n, out);
    return;
  }
  if (isa == LH_ISA_AVX512) {
    pairs_avx512(p, q, n, out);
    return;
  }
#endif
  (void)isa;
  pairs_plain(p, q, n, out);
}

void lh_fast_e00_from(lh_isa isa, const float one[3], lh_labs q, size_t n,
                      float *out)
{
#if LH_FAST_X86
  if (isa == LH_ISA_AVX2) {
    from_avx2(one, q, n, out);
    return;
  }
  if (isa == LH_ISA_AVX512) {
    from_avx512(one, q, n, out);
    return;
  }
#endif
  (void)isa;
  from_plain(one, q, n, out);
}
