/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_learn.c -- a slip from twelve spectral tiles: each ground alone and
** five coat weights over both, under a clear glaze; the fit with its
** covariance, and each of the ten left out in turn.
**
** learn_numpy.py does the same with scipy.optimize.least_squares, on the same
** readings, made up by rule.
*/
#include <math.h>
#include <stdlib.h>

#include "bench.h"
#include "heap.h"
#include "learn_fit.h"

enum { TILES = 12, TIMES = 7 };

/* Processor time of this program: other work on the machine does not count. */
static double spent(void)
{
  struct timespec t;

  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Between -1/2 and 1/2, by rule. */
static double draw(double root, size_t i)
{
  return fmod(root * (double)(i + 1), 1.0) - 0.5;
}

static void make(const lh_glaze_table *surface, lh_learn_tile *tiles)
{
  static const double coats[6] = {0, 25, 50, 100, 200, 400};
  lh_boundary b = lh_glaze_at(surface, 0);

  for (size_t i = 0; i < TILES; i++) {
    lh_learn_tile *t = &tiles[i];
    *t = (lh_learn_tile){
        .coat = coats[i / 2], .coat_sd = 0.05, .glaze = 600, .ground = i % 2};
    for (size_t w = 0; w < LH_WAVES; w++) {
      double nm = lh_wave_nm(w), d = (nm - 600) / 60;
      double S = 0.018 * sqrt(550 / nm), K = 0.002 + 0.03 * exp(-d * d / 2);
      double R = i % 2 ? 0.85 : 0.08 + 0.4 / (1 + exp(-(nm - 590) / 25));
      double X = t->coat * (1 + 0.17 * draw(sqrt(3.0), i));
      R = lh_boundary_measured(&b, lh_layer_over(K, S, X, R));
      t->reading[w] = R + 0.01 * draw(sqrt(2.0), i * LH_WAVES + w);
      t->reading_sd[w] = 0.003;
    }
  }
}

int main(void)
{
  static lh_glaze_table surface;
  static lh_learn_tile tiles[TILES];
  static lh_learn_fit fit;
  lh_learn l = {.tiles = tiles,
                .n = TILES,
                .grounds = 2,
                .surface = &surface,
                .smooth = LH_LEARN_SMOOTH};
  double best = INFINITY, worst = 0;

  lh_glaze_tabulate(1.5, LH_D8_IN, &surface);
  make(&surface, tiles);
  for (int k = 0; k < TIMES; k++) {
    lh_arena a;
    lh_heap_open(&a);
    double from = spent();
    if (lh_learn_fit_spectra(&l, &a, NULL, &fit) != LH_OK) return 1;
    double took = 1e3 * (spent() - from);
    best = fmin(best, took);
    worst = fmax(worst, took);
    lh_heap_free(&a);
  }
  printf("| 12 spectral tiles, one thread | fit and ten left out, processor ms "
         "| squares over what is free | K at 600 nm | S at 600 nm |\n"
         "|---|---|---|---|---|\n");
  printf("| leatherhard | %.0f (to %.0f) | %.5f | %.6f | %.6f |\n", best, worst,
         fit.scatter, fit.slip.absorption[22], fit.slip.scattering[22]);
  return 0;
}
