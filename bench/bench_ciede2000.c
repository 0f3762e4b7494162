/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_ciede2000.c -- the colour difference over a million pairs: the plain
** way, ours of one pair, ours of many.
**
** ciede2000_numpy.py and ciede2000_culori.mjs beside it work the same pairs,
** made by the same rule, so that the mean differences can be compared.  With
** the word "ns" only the nanoseconds of the fastest are printed.
*/
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "bench.h"
#include "difference.h"
#include "fast_e00.h"
#include "fast_plain.h"
#include "machine.h"

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

static lh_lab *p, *q;
static float *c[6], *out;

static double one_by_one(double (*f)(lh_lab, lh_lab), double *mean)
{
  double best = 1e9;

  for (int k = 0; k < TIMES; k++) {
    double from = bench_now(), sum = 0.0;
    for (size_t i = 0; i < PAIRS; i++) sum += f(p[i], q[i]);
    best = fmin(best, bench_now() - from);
    *mean = sum / PAIRS;
  }
  return 1e9 * best / PAIRS;
}

static double many(lh_isa isa, double *mean)
{
  lh_labs u = {c[0], c[1], c[2]}, v = {c[3], c[4], c[5]};
  double best = 1e9, sum = 0;

  for (int k = 0; k < TIMES; k++) {
    double from = bench_now();
    lh_fast_e00(isa, u, v, PAIRS, out);
    best = fmin(best, bench_now() - from);
  }
  for (size_t i = 0; i < PAIRS; i++) sum += (double)out[i];
  *mean = sum / PAIRS;
  return 1e9 * best / PAIRS;
}

static double plain(lh_lab x, lh_lab y)
{
  return plain_e00(x, y);
}

/* The largest error where the difference is below 5: the same pairs brought
** near to each other. */
static double error_below_5(lh_isa isa)
{
  lh_labs u = {c[0], c[1], c[2]}, v = {c[3], c[4], c[5]};
  double worst = 0;

  for (int k = 0; k < 3; k++)
    for (size_t i = 0; i < PAIRS; i++)
      c[3 + k][i] = c[k][i] + 0.04f * (c[3 + k][i] - c[k][i]);
  lh_fast_e00(isa, u, v, PAIRS, out);
  for (size_t i = 0; i < PAIRS; i++) {
    lh_lab x = {(double)c[0][i], (double)c[1][i], (double)c[2][i]};
    lh_lab y = {(double)c[3][i], (double)c[4][i], (double)c[5][i]};
    double want = plain_e00(x, y);
    if (want < 5) worst = fmax(worst, fabs((double)out[i] - want));
  }
  return worst;
}

static void row(const char *name, double ns, double plain_ns, double mean)
{
  printf("| %s | %.2f | %.1f | %.9f |\n", name, ns, plain_ns / ns, mean);
}

int main(int argc, char **argv)
{
  lh_isa isa = lh_machine_isa();
  double mean[4], ns[4];

  p = malloc(PAIRS * sizeof *p);
  q = malloc(PAIRS * sizeof *q);
  out = malloc(PAIRS * sizeof *out);
  if (!p || !q || !out) return 3;
  for (size_t k = 0; k < 6; k++)
    if (!(c[k] = malloc(PAIRS * sizeof(float)))) return 3;
  for (size_t i = 0; i < PAIRS; i++) {
    p[i] = make(i, sqrt(2.0), sqrt(3.0), sqrt(5.0));
    q[i] = make(i, sqrt(7.0), sqrt(11.0), sqrt(13.0));
    c[0][i] = (float)p[i].L, c[1][i] = (float)p[i].a, c[2][i] = (float)p[i].b;
    c[3][i] = (float)q[i].L, c[4][i] = (float)q[i].a, c[5][i] = (float)q[i].b;
  }
  ns[3] = many(isa, &mean[3]);
  if (argc > 1 && strcmp(argv[1], "ns") == 0) {
    printf("%.3f\n", ns[3]);
    return 0;
  }
  ns[0] = one_by_one(plain, &mean[0]);
  ns[1] = one_by_one(lh_delta_e00, &mean[1]);
  ns[2] = many(LH_ISA_PLAIN, &mean[2]);
  printf("| CIEDE2000, %d pairs, one thread | ns a pair | times as fast as "
         "plain | mean difference |\n|---|---|---|---|\n",
         PAIRS);
  row("plain double, the libm's functions", ns[0], ns[0], mean[0]);
  row("lh_delta_e00", ns[1], ns[0], mean[1]);
  row("lh_fast_e00, any processor", ns[2], ns[0], mean[2]);
  if (isa == LH_ISA_AVX512)
    row("lh_fast_e00, AVX2", many(LH_ISA_AVX2, &mean[2]), ns[0], mean[2]);
  row("lh_fast_e00, this processor", ns[3], ns[0], mean[3]);
  printf("| its largest error below dE00 5: %.1e | | | |\n",
         error_below_5(isa));
  return 0;
}
