/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_ciede2000.c -- the colour difference over a million pairs.
**
** ciede2000_numpy.py beside it works the same pairs, made by the same rule, so
** that the two mean differences can be compared.
*/
#include <math.h>
#include <stdlib.h>

#include "bench.h"
#include "difference.h"

enum { PAIRS = 1000000, TIMES = 7 };

/* Pair i: fractions of multiples of six irrational steps, spread evenly. */
static double spread(size_t i, double step)
{
  double v = (double)(i + 1) * step;

  return v - floor(v);
}

static lh_lab make(size_t i, double sl, double sa, double sb)
{
  lh_lab c = {100.0 * spread(i, sl), 200.0 * spread(i, sa) - 100.0,
              200.0 * spread(i, sb) - 100.0};
  return c;
}

int main(void)
{
  lh_lab *p = malloc(PAIRS * sizeof *p), *q = malloc(PAIRS * sizeof *q);
  double best = 1e9, sum = 0.0;

  if (!p || !q) return 3;
  for (size_t i = 0; i < PAIRS; i++) {
    p[i] = make(i, sqrt(2.0), sqrt(3.0), sqrt(5.0));
    q[i] = make(i, sqrt(7.0), sqrt(11.0), sqrt(13.0));
  }
  for (int k = 0; k < TIMES; k++) {
    double from = bench_now();
    sum = 0.0;
    for (size_t i = 0; i < PAIRS; i++) sum += lh_delta_e00(p[i], q[i]);
    double took = bench_now() - from;
    if (took < best) best = took;
  }
  printf("| CIEDE2000, %d pairs, one thread | ns a pair | mean difference |\n",
         PAIRS);
  printf("|---|---|---|\n");
  printf("| lh_delta_e00 | %.1f | %.9f |\n", 1e9 * best / PAIRS, sum / PAIRS);
  free(p);
  free(q);
  return 0;
}
