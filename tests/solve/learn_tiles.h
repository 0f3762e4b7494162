/* SPDX-License-Identifier: GPL-3.0-or-later */
/* learn_tiles.h -- made-up tiles: slips of known K and S, read with noise.
**
** The oracle is the two-flux layer and the boundary of core/colour, which
** tests/colour checks against published tables; here only their inversion is
** under test.  Noise as a good spectrophotometer and a careful hand have it:
** 0.3 % of full scale, coat weight 5 %.
*/
#ifndef LH_LEARN_TILES_H
#define LH_LEARN_TILES_H

#include <math.h>
#include <stdint.h>

#include "learn.h"

static double made_uniform(uint64_t *s)
{
  *s = *s * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  return ((double)(*s >> 11) + 0.5) * 0x1p-53;
}

/* Sum of twelve less six: normal to a few per cent in the far tails. */
static double made_normal(uint64_t *s)
{
  double sum = -6;

  for (int i = 0; i < 12; i++) sum += made_uniform(s);
  return sum;
}

typedef struct {
  lh_slip_optics slip;
  double ground[2][LH_WAVES]; /* internal */
  double absorb[LH_WAVES];
  double eaten, share;
} made_truth;

/* A blue: absorbs from green to red; a red-brown body; a warm white. */
static void made_blue(made_truth *t)
{
  for (size_t w = 0; w < LH_WAVES; w++) {
    double nm = lh_wave_nm(w), d = (nm - 600) / 60, e = (nm - 380) / 40;
    t->slip.scattering[w] = 0.018 * sqrt(550 / nm);
    t->slip.absorption[w] = 0.002 + 0.03 * exp(-d * d / 2) + 0.004 * exp(-e);
    t->ground[0][w] = 0.08 + 0.4 / (1 + exp(-(nm - 590) / 25));
    t->ground[1][w] = 0.90 - 0.15 * exp(-e);
    t->absorb[w] = 1e-4 * (1 + exp(-e));
  }
  t->eaten = 12;
  t->share = 0.6;
}

/* Six coats over two grounds, and each ground alone: fourteen tiles.
**
** Given:     dissolve   the glaze eats of the slip
**            noise      standard deviations of readings and of ln coat
*/
static inline void made_tiles(const made_truth *t,
                              const lh_glaze_table *surface, bool dissolve,
                              double noise, double coat_noise, uint64_t seed,
                              lh_learn_tile *tiles)
{
  static const double coats[7] = {0, 25, 50, 90, 150, 250, 400};
  static const double glazes[2] = {500, 800};

  for (size_t i = 0; i < 14; i++) {
    lh_learn_tile *k = &tiles[i];
    double X;
    k->coat = coats[i / 2];
    k->coat_sd = coat_noise > 0 ? coat_noise : 1e-3;
    k->ground = i % 2;
    k->glaze = surface ? glazes[(i / 2) % 2] : 0;
    X = k->coat * exp(coat_noise * made_normal(&seed));
    for (size_t w = 0; w < LH_WAVES; w++) {
      double gone = surface && dissolve ? fmin(t->eaten, X) : 0;
      double R = t->ground[k->ground][w];
      if (X > gone)
        R = lh_layer_over(t->slip.absorption[w], t->slip.scattering[w],
                          X - gone, R);
      if (surface) {
        lh_boundary b = lh_glaze_at(
            surface, t->absorb[w] * k->glaze +
                         t->share * t->slip.absorption[w] * gone / 2);
        R = lh_boundary_measured(&b, R);
      }
      k->reading[w] = R + noise * made_normal(&seed);
      k->reading_sd[w] = noise > 0 ? noise : 1e-3;
    }
  }
}

#endif
