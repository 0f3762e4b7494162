/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thin.h"

#include <assert.h>

/* V (P1 - P2)/(P2 - 1000), from weights and volumes that add. */
static double water_to_add(double v, double p1, double p2)
{
  return v * (p1 - p2) / (p2 - LH_WATER_G_L);
}

/* Dry slip that lifts v ml from p1 to p2; it brings its own volume along. */
static double dry_to_add(double v, double p1, double p2, double s)
{
  return v / 1000.0 * (p2 - p1) / (1.0 - p2 / (LH_WATER_G_L * s));
}

static lh_range water_range(const lh_thin_ask *a)
{
  double p2 = a->target_litre_weight;
  lh_range p1 = a->litre_weight, v = a->volume_ml;
  lh_spread s = lh_spread_of(water_to_add(v.value, p1.value, p2));

  lh_spread_add(&s, water_to_add(v.value, p1.low, p2),
                water_to_add(v.value, p1.high, p2));
  lh_spread_add(&s, water_to_add(v.low, p1.value, p2),
                water_to_add(v.high, p1.value, p2));
  return lh_spread_range(s);
}

/* Dry solids in the jar: per litre, times litres. */
static lh_range dry_in_jar(lh_range dry_g_l, lh_range v)
{
  lh_spread s = lh_spread_of(dry_g_l.value * v.value / 1000.0);
  lh_range r;

  lh_spread_add(&s, dry_g_l.low * v.value / 1000.0,
                dry_g_l.high * v.value / 1000.0);
  lh_spread_add(&s, dry_g_l.value * v.low / 1000.0,
                dry_g_l.value * v.high / 1000.0);
  r = lh_spread_range(s);
  r.low = fmax(r.low, 0.0);
  return r;
}

lh_status lh_slip_thin(const lh_thin_ask *a, lh_thin_answer *t)
{
  lh_thin_answer r = {0};
  lh_range dry_g_l;
  double p1, p2, v, s, target_dry;
  lh_status st;

  assert(a && t);
  p1 = a->litre_weight.value;
  p2 = a->target_litre_weight;
  v = a->volume_ml.value;
  s = a->solids_density.value;
  if (!lh_range_valid(a->volume_ml) || !(a->volume_ml.low > 0.0))
    return LH_RANGE;
  st = lh_slip_dry_range(a->litre_weight, a->solids_density, &dry_g_l);
  if (st == LH_OK) st = lh_slip_dry(p2, s, &target_dry);
  if (st != LH_OK) return st;

  r.add_water_ml = water_range(a);
  if (r.add_water_ml.value >= 0.0) {
    r.drops = r.add_water_ml.value / LH_DROP_ML;
  } else {
    r.decant_ml = -r.add_water_ml.value;
    r.decant_part = r.decant_ml / v;
    r.dry_slip_g = dry_to_add(v, p1, p2, s);
  }
  r.volume_after_ml = v + r.add_water_ml.value;
  r.per_10_g_l_ml = water_to_add(v, p2 + 10.0, p2);
  r.dry_g = dry_in_jar(dry_g_l, a->volume_ml);
  r.water_g = v / 1000.0 * p1 - r.dry_g.value;
  *t = r;
  return LH_OK;
}
