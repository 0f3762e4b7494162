/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_doubt.c -- 10,000 draws of a chosen recipe's analyses: six materials,
** twelve oxides, every range wanted.  doubt_numpy.py works the same problem.
** Time is the processor's, which a busy machine does not blur.
*/
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "bench.h"
#include "doubt.h"

enum { N = 6, OXIDES = 12, TIMES = 15 };

static unsigned char room[16 << 20];

static void *none(lh_arena *a, size_t n)
{
  (void)a;
  (void)n;
  return NULL;
}

static double used(void)
{
  struct timespec t;

  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static int rising(const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;

  return (x > y) - (x < y);
}

int main(void)
{
  static const char *const symbol[OXIDES] = {"Na2O",  "K2O",  "CaO",   "MgO",
                                             "BaO",   "ZnO",  "SrO",   "SiO2",
                                             "Al2O3", "B2O3", "Fe2O3", "TiO2"};
  lh_material m[N];
  const lh_material *at[N];
  double grams[N], target[OXIDES], took[TIMES];
  size_t row[LH_OXIDES];
  lh_doubt_choice c;
  lh_doubt_ask q = {.material = at, .materials = N, .row = row};

  for (size_t i = 0; i < LH_OXIDES; i++) row[i] = OXIDES;
  for (size_t i = 0; i < OXIDES; i++) {
    row[lh_oxide_find(symbol[i])] = i;
    target[i] = i < 7 ? 1.0 / 7.0 : 0.5;
  }
  for (size_t j = 0; j < N; j++) {
    m[j] = (lh_material){.total = 100.0};
    for (size_t i = 0; i < OXIDES; i++) {
      size_t o = lh_oxide_find(symbol[i]);
      double v = fmod(sqrt(2.0) * (double)(OXIDES * j + i + 1), 1.0);
      m[j].mol[o] = 0.01 * v;
      m[j].mol_e[o] = 0.0003 * v;
    }
    at[j] = &m[j];
    grams[j] = 10.0 + (double)j;
  }
  q.rows = OXIDES;
  q.target = target;
  q.grams = grams;
  q.choices = 1;
  for (int k = 0; k < TIMES; k++) {
    lh_arena a = {.more = none, .at = room, .left = sizeof room};
    double from = used();
    if (lh_doubt_weigh(&q, &c, &a, NULL) != LH_OK) return 3;
    took[k] = 1e3 * (used() - from);
  }
  qsort(took, TIMES, sizeof *took, rising);
  printf(
      "| 10000 draws of 6 materials x 12 oxides, one thread | processor ms, "
      "median "
      "(least to most of %d) | distance: 5, 50, 95 of 100 |\n|---|---|---|\n",
      TIMES);
  printf("| lh_doubt_weigh | %.1f (%.1f to %.1f) | %.4f %.4f %.4f |\n",
         took[TIMES / 2], took[0], took[TIMES - 1], c.distance.low,
         c.distance.middle, c.distance.high);
  return 0;
}
