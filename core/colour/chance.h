/* SPDX-License-Identifier: GPL-3.0-or-later */
/* chance.h -- the draws behind the ranges of this room.
**
** A small generator with a fixed seed, so that the same input gives the same
** range; factors about 1 for what is not known exactly; quantiles of what came
** out.  For the files of this room only.  Nothing allocates or remembers: the
** state is the caller's.
*/
#ifndef LH_CHANCE_H
#define LH_CHANCE_H

#include <math.h>
#include <stddef.h>
#include <stdint.h>

#include "exact.h"

/* Where every run of draws begins: any number, always the same. */
#define LH_CHANCE_SEED UINT64_C(20261125)

/* splitmix64: Steele, Lea & Flood (2014), doi:10.1145/2660193.2660195. */
static inline uint64_t lh_chance_next(uint64_t *state)
{
  uint64_t z = *state += UINT64_C(0x9E3779B97F4A7C15);

  z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
  z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
  return z ^ (z >> 31);
}

/* A normal deviate by Box and Muller (1958), one of each pair. */
static inline double lh_chance_normal(uint64_t *state)
{
  double u = ((double)(lh_chance_next(state) >> 11) + 1.0) * 0x1p-53, s, c;

  lh_exact_sincos((double)(lh_chance_next(state) >> 11) * 0x1p-53, &s, &c);
  return sqrt(-2.0 * lh_exact_log(u)) * c;
}

/* A factor about 1 with relative standard deviation d (log-normal). */
static inline double lh_chance_factor(uint64_t *state, double d)
{
  return lh_exact_exp(d * lh_chance_normal(state));
}

/* The value with a share q of n at or below it; sorts v.  Infinities sort as
** they are; between two of them, or one and a number, the lower is given. */
static inline double lh_chance_quantile(double *v, size_t n, double q)
{
  double at = q * (double)(n - 1);
  size_t k = (size_t)at;

  for (size_t i = 1; i < n; i++) { /* insertion: few enough */
    double x = v[i];
    size_t j = i;
    for (; j > 0 && v[j - 1] > x; j--) v[j] = v[j - 1];
    v[j] = x;
  }
  if (k + 1 >= n || !isfinite(v[k + 1]) || !isfinite(v[k])) return v[k];
  return v[k] + (at - (double)k) * (v[k + 1] - v[k]);
}

#endif
