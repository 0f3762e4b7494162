/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "wall.h"

#include <assert.h>

/* The numbers of one balance, so that each can be moved to its ends. */
typedef struct {
  double dry;                  /* of the wall          [g/m2] */
  double moisture;             /*                      [g/g]  */
  double coat_dry, coat_water; /* all coats, all faces [g/m2] */
} masses;

/* Dry clay in a litre of wall: full of water down to Xc.  [g/l] */
static double wall_dry_g_l(const lh_wall *w, double moisture)
{
  double x = fmax(moisture, w->shrink_limit);

  return 1.0 / (1.0 / (1000.0 * w->solids_density) + x / w->water);
}

static double even(masses m)
{
  return (m.dry * m.moisture + m.coat_water) / (m.dry + m.coat_dry);
}

static double ceiling(masses m)
{
  return (m.dry * m.moisture + m.coat_water) / m.dry;
}

static bool is_wall(const lh_wall *w)
{
  if (!lh_range_valid(w->thickness_mm) || !(w->thickness_mm.low > 0.0))
    return false;
  if (!lh_range_valid(w->moisture) || !(w->moisture.low >= 0.0) ||
      !(w->moisture.high <= 1.0))
    return false;
  if (w->faces != 1 && w->faces != 2) return false;
  if (!(w->solids_density > 1.0) || !isfinite(w->solids_density)) return false;
  if (!(w->water > 0.0) || !isfinite(w->water)) return false;
  return w->shrink_limit >= 0.0 && w->shrink_limit < 1.0;
}

static bool is_coat(const lh_wall_coat *c)
{
  return c->g_m2 >= 0.0 && isfinite(c->g_m2) && c->water_per_dry >= 0.0 &&
         isfinite(c->water_per_dry);
}

lh_status lh_slip_wall_dry(const lh_wall *w, double *dry_g_m2)
{
  assert(w && dry_g_m2);
  if (!is_wall(w)) return LH_RANGE;
  *dry_g_m2 = w->thickness_mm.value * wall_dry_g_l(w, w->moisture.value);
  return LH_OK;
}

static masses at_thickness(const lh_wall *w, masses m, double mm)
{
  m.dry = mm * wall_dry_g_l(w, m.moisture);
  return m;
}

/* A wetter wall of the same thickness holds less clay as well. */
static masses at_moisture(const lh_wall *w, masses m, double x)
{
  m.moisture = x;
  return at_thickness(w, m, w->thickness_mm.value);
}

static masses at_coats(masses m, double factor)
{
  m.coat_dry *= factor;
  m.coat_water *= factor;
  return m;
}

static lh_range spread_of(const lh_wall *w, masses m, double error,
                          double (*f)(masses))
{
  lh_spread s = lh_spread_of(f(m));

  lh_spread_add(&s, f(at_thickness(w, m, w->thickness_mm.low)),
                f(at_thickness(w, m, w->thickness_mm.high)));
  lh_spread_add(&s, f(at_moisture(w, m, w->moisture.low)),
                f(at_moisture(w, m, w->moisture.high)));
  lh_spread_add(&s, f(at_coats(m, 1.0 - error)), f(at_coats(m, 1.0 + error)));
  return lh_spread_range(s);
}

lh_status lh_slip_wall(const lh_wall *w, const lh_wall_coat *coat, size_t n,
                       double coat_error, lh_wall_balance *b)
{
  masses m = {0};
  double shrinkage = 0.0;

  assert(w && b && (coat || n == 0));
  if (!is_wall(w) || !(coat_error >= 0.0) || !(coat_error < 1.0))
    return LH_RANGE;
  for (size_t i = 0; i < n; i++) {
    if (!is_coat(&coat[i])) return LH_RANGE;
    m.coat_dry += w->faces * coat[i].g_m2;
    m.coat_water += w->faces * coat[i].g_m2 * coat[i].water_per_dry;
  }
  if (!isfinite(m.coat_dry) || !isfinite(m.coat_water)) return LH_RANGE;
  m = at_moisture(w, m, w->moisture.value);
  b->x_even = spread_of(w, m, coat_error, even);
  b->x_ceiling = spread_of(w, m, coat_error, ceiling);
  b->wall_dry_g_m2 = m.dry;
  b->coat_dry_g_m2 = m.coat_dry;
  b->coat_water_g_m2 = m.coat_water;
  lh_slip_shrinkage(m.moisture, b->x_even.value, w->solids_density,
                    w->shrink_limit, w->water, &shrinkage);
  b->swelling = -shrinkage;
  return LH_OK;
}

lh_status lh_slip_wall_room(const lh_wall *w, const lh_wall_coat *coat,
                            double limit, double *coats)
{
  double dry, spare, takes;

  assert(w && coat && coats);
  if (!is_wall(w) || !is_coat(coat)) return LH_RANGE;
  if (!(limit > 0.0) || !(limit <= 1.0)) return LH_RANGE;
  lh_slip_wall_dry(w, &dry);
  /* n coats: (m X + n a)/(m + n c) = limit, so n = m (limit - X)/(a - c limit)
  ** with a the water and c the clay of one coat. */
  spare = dry * (limit - w->moisture.value);
  takes = w->faces * coat->g_m2 * (coat->water_per_dry - limit);
  if (spare <= 0.0)
    *coats = 0.0;
  else if (takes <= 0.0)
    *coats = (double)INFINITY;
  else
    *coats = spare / takes;
  return LH_OK;
}

lh_status lh_slip_shrinkage(double from, double to, double solids_density,
                            double shrink_limit, double water,
                            double *shrinkage)
{
  double rho, x0, x1;

  assert(shrinkage);
  if (!(from >= 0.0) || !(to >= 0.0) || !isfinite(from) || !isfinite(to))
    return LH_RANGE;
  if (!(solids_density > 0.0) || !(water > 0.0) || !(shrink_limit >= 0.0))
    return LH_RANGE;
  rho = 1000.0 * solids_density;
  x0 = fmax(from, shrink_limit);
  x1 = fmax(to, shrink_limit);
  *shrinkage = 1.0 - cbrt((1.0 / rho + x1 / water) / (1.0 / rho + x0 / water));
  return LH_OK;
}

lh_wall_word lh_slip_wall_judge(const lh_wall_balance *b, double caution,
                                double stop)
{
  assert(b);
  if (b->x_even.value > stop) return LH_WALL_TOO_WET;
  if (b->x_even.value > caution || b->x_ceiling.value > stop)
    return LH_WALL_CAREFUL;
  return LH_WALL_FIT;
}
