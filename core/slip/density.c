/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "density.h"

#include <assert.h>

#include "units.h"

/* Brongniart's formula, held between no solids and no water: the ends of a
** range may lie outside what a slip can be. */
static double dry_held(double p, double s)
{
  if (p <= LH_WATER_G_L) return 0.0;
  if (p >= LH_WATER_G_L * s) return p;
  return (p - LH_WATER_G_L) * s / (s - 1.0);
}

static bool is_slip(double p, double s)
{
  return s > 1.0 && isfinite(s) && p > LH_WATER_G_L && p < LH_WATER_G_L * s;
}

lh_status lh_slip_weighed(const lh_weighing *w, lh_range *p)
{
  double g, ml, dg, dml;
  lh_spread s;

  assert(w && p);
  g = w->weighed_g;
  ml = w->weighed_ml;
  dg = w->weighing_error_g;
  dml = w->volume_error_ml;
  if (!(g > 0.0) || !(ml > 0.0) || !isfinite(g) || !isfinite(ml))
    return LH_RANGE;
  if (!(dg >= 0.0) || !(dml >= 0.0) || dg >= g || dml >= ml) return LH_RANGE;
  s = lh_spread_of(1000.0 * g / ml);
  lh_spread_add(&s, 1000.0 * (g - dg) / ml, 1000.0 * (g + dg) / ml);
  lh_spread_add(&s, 1000.0 * g / (ml - dml), 1000.0 * g / (ml + dml));
  *p = lh_spread_range(s);
  return LH_OK;
}

lh_status lh_slip_dry(double litre_weight, double solids_density,
                      double *dry_g_l)
{
  double p = litre_weight, s = solids_density;

  assert(dry_g_l);
  if (!is_slip(p, s)) return LH_RANGE;
  *dry_g_l = (p - LH_WATER_G_L) * s / (s - 1.0);
  return LH_OK;
}

lh_status lh_slip_litre_weight(double dry_g_l, double solids_density,
                               double *litre_weight)
{
  double w = dry_g_l, s = solids_density;

  assert(litre_weight);
  if (!(s > 1.0) || !isfinite(s) || !(w > 0.0) || !(w < LH_WATER_G_L * s))
    return LH_RANGE;
  *litre_weight = LH_WATER_G_L + w * (s - 1.0) / s;
  return LH_OK;
}

lh_status lh_slip_dry_range(lh_range litre_weight, lh_range solids_density,
                            lh_range *dry_g_l)
{
  lh_range p = litre_weight, s = solids_density;
  lh_spread sum;

  assert(dry_g_l);
  if (!lh_range_valid(p) || !lh_range_valid(s) || !(s.low > 1.0))
    return LH_RANGE;
  if (!is_slip(p.value, s.value)) return LH_RANGE;
  sum = lh_spread_of(dry_held(p.value, s.value));
  lh_spread_add(&sum, dry_held(p.low, s.value), dry_held(p.high, s.value));
  lh_spread_add(&sum, dry_held(p.value, s.low), dry_held(p.value, s.high));
  *dry_g_l = lh_spread_range(sum);
  dry_g_l->low = fmax(dry_g_l->low, 0.0);
  return LH_OK;
}

lh_status lh_slip_content_of(double litre_weight, double solids_density,
                             lh_slip_content *c)
{
  double p = litre_weight, dry;
  lh_status st;

  assert(c);
  st = lh_slip_dry(p, solids_density, &dry);
  if (st != LH_OK) return st;
  c->litre_weight = p;
  c->specific_gravity = p / LH_WATER_G_L;
  c->twaddell = lh_slip_twaddell(c->specific_gravity);
  c->oz_pint_uk = lh_units_oz_pint_uk_from_g_l(p);
  c->oz_pint_us = lh_units_oz_pint_us_from_g_l(p);
  c->dry_g_l = dry;
  c->water_g_l = p - dry;
  c->solids = dry / p;
  c->solids_volume = dry / (LH_WATER_G_L * solids_density);
  c->water_per_dry = c->water_g_l / dry;
  return LH_OK;
}

lh_status lh_slip_density(double solids, double solids_density, double water,
                          double *litre_weight)
{
  double w = solids, s = solids_density;

  assert(litre_weight);
  if (!(w >= 0.0) || !(w <= 1.0) || !(s > 1.0) || !isfinite(s)) return LH_RANGE;
  if (!(water > 0.0) || !isfinite(water)) return LH_RANGE;
  *litre_weight = 1.0 / (w / (1000.0 * s) + (1.0 - w) / water);
  return LH_OK;
}

lh_status lh_slip_solids_density(const double *grams, const double *density,
                                 size_t n, double *solids_density)
{
  double total = 0.0, volume = 0.0;

  assert(solids_density && ((grams && density) || n == 0));
  for (size_t i = 0; i < n; i++) {
    if (!(grams[i] >= 0.0)) return LH_RANGE;
    if (grams[i] == 0.0) continue;
    if (!(density[i] > 0.0)) return LH_RANGE;
    total += grams[i];
    volume += grams[i] / density[i];
  }
  if (!(volume > 0.0) || !isfinite(total)) return LH_RANGE;
  *solids_density = total / volume;
  return LH_OK;
}

double lh_slip_twaddell(double specific_gravity)
{
  return 200.0 * (specific_gravity - 1.0);
}

double lh_slip_from_twaddell(double twaddell)
{
  return 1.0 + twaddell / 200.0;
}

double lh_slip_oz_pint(double specific_gravity)
{
  return 20.0 * specific_gravity;
}

double lh_slip_from_oz_pint(double oz)
{
  return oz / 20.0;
}
