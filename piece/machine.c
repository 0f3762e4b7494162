/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "machine.h"

lh_isa lh_machine_isa(void)
{
#if LH_FAST_X86
  __builtin_cpu_init();
  if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma")) {
    if (__builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512dq"))
      return LH_ISA_AVX512;
    return LH_ISA_AVX2;
  }
#endif
  return LH_ISA_PLAIN;
}
