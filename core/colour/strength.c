/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "strength.h"

#include <math.h>

#include "exact.h"

/* Half a step of ln K or ln S for the slope: the third derivative adds step^2
** / 6 of itself, far below what is asked of a direction. */
static const double STEP = 0.01;

static void scale(const lh_slip_optics *from, double k, double s,
                  lh_slip_optics *to)
{
  for (size_t i = 0; i < LH_WAVES; i++) {
    to->absorption[i] = from->absorption[i] * k;
    to->scattering[i] = from->scattering[i] * s;
  }
}

/* Luminance of the stack with its uppermost slip's K and S scaled. */
static lh_status luminance(const lh_stack *s, lh_illuminant ill, double k,
                           double sc, double *y)
{
  lh_stack_layer layers[LH_STACK_LAYERS];
  lh_stack scaled = *s;
  lh_slip_optics slip;
  double R[LH_WAVES];
  lh_status st;

  for (size_t i = 0; i < s->count; i++) layers[i] = s->layers[i];
  scale(s->layers[0].slip, k, sc, &slip);
  layers[0].slip = &slip;
  scaled.layers = layers;
  st = lh_stack_reflectance(&scaled, R);
  if (st == LH_OK) *y = lh_spectrum_xyz(R, ill).y;
  return st;
}

/* How Y changes with ln K and ln S. */
static lh_status slopes(const lh_stack *s, lh_illuminant ill, double g[2])
{
  double up = lh_exact_exp(STEP), down = lh_exact_exp(-STEP), a = 0, b = 0;

  for (int i = 0; i < 2; i++) {
    lh_status st = luminance(s, ill, i ? 1 : up, i ? up : 1, &a);
    if (st == LH_OK) st = luminance(s, ill, i ? 1 : down, i ? down : 1, &b);
    if (st != LH_OK) return st;
    g[i] = (a - b) / (2 * STEP);
  }
  return LH_OK;
}

lh_status lh_strength_shift(const lh_stack *s, lh_illuminant ill, double doubt,
                            lh_strength to, lh_slip_optics *out)
{
  double g[2], size, far = LH_STRENGTH_ENDS * doubt;
  lh_status st;

  if (s->count == 0 || !(doubt >= 0 && doubt <= 1)) return LH_RANGE;
  if (s->count > LH_STACK_LAYERS) return LH_TOOLARGE;
  st = slopes(s, ill, g);
  if (st != LH_OK) return st;
  size = sqrt(g[0] * g[0] + g[1] * g[1]);
  if (to == LH_STRENGTH_EXPECTED || !(far > 0) || !(size > 0)) {
    *out = *s->layers[0].slip;
    return LH_OK;
  }
  if (to == LH_STRENGTH_STRONG) far = -far;
  scale(s->layers[0].slip, lh_exact_exp(far * g[0] / size),
        lh_exact_exp(far * g[1] / size), out);
  return LH_OK;
}
