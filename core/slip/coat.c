/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "coat.h"

#include <assert.h>

#define MM2_PER_M2 1e6

static bool is_fraction(double x)
{
  return x >= 0.0 && x < 1.0;
}

/* Dry solids in a litre, by whatever density of water the slip is told with.
** 0 when it cannot be a slip. */
static double dry_per_litre(const lh_coat_slip *s)
{
  double p = s->litre_weight, w = s->water, rho = 1000.0 * s->solids_density;

  if (!(w > 0.0) || !isfinite(rho) || !(rho > w)) return 0.0;
  if (!(p > w) || !(p < rho)) return 0.0;
  return (p - w) * rho / (rho - w);
}

lh_status lh_slip_coat(const lh_coat_slip *s, lh_coat_name name, double amount,
                       lh_coat *c)
{
  double dry_g_l, bulk_g_l, fire, one, g_m2 = 0.0;

  assert(s && c);
  dry_g_l = dry_per_litre(s);
  one = s->one_coat_g_m2;
  if (!(amount >= 0.0) || !isfinite(amount) || dry_g_l == 0.0) return LH_RANGE;
  if (!is_fraction(s->shrink_limit) || !is_fraction(s->fired_shrinkage))
    return LH_RANGE;
  if (!(one >= 0.0) || !isfinite(one)) return LH_RANGE;
  if (name == LH_COAT_COATS && one == 0.0) return LH_RANGE;
  /* g/m2 over g/l is mm: a litre is a square metre, a millimetre deep. */
  bulk_g_l =
      1.0 / (1.0 / (1000.0 * s->solids_density) + s->shrink_limit / s->water);
  fire = 1.0 - s->fired_shrinkage;
  switch (name) {
  case LH_COAT_COATS: g_m2 = amount * one; break;
  case LH_COAT_G_M2: g_m2 = amount; break;
  case LH_COAT_WET_MM: g_m2 = amount * dry_g_l; break;
  case LH_COAT_DRY_MM: g_m2 = amount * bulk_g_l; break;
  case LH_COAT_FIRED_MM: g_m2 = amount / fire * bulk_g_l; break;
  }
  c->coats = one > 0.0 ? g_m2 / one : (double)NAN;
  c->g_m2 = g_m2;
  c->wet_mm = g_m2 / dry_g_l;
  c->dry_mm = g_m2 / bulk_g_l;
  c->fired_mm = c->dry_mm * fire;
  return LH_OK;
}

lh_status lh_slip_jar_loss(double before_g, double after_g, double error_g,
                           lh_range *loss_g)
{
  lh_spread s;
  double loss = before_g - after_g;

  assert(loss_g);
  if (!(loss > 0.0) || !isfinite(loss) || !(after_g >= 0.0)) return LH_RANGE;
  if (!(error_g >= 0.0) || !isfinite(error_g)) return LH_RANGE;
  s = lh_spread_of(loss);
  lh_spread_add(&s, loss - error_g, loss + error_g);
  lh_spread_add(&s, loss - error_g, loss + error_g);
  *loss_g = lh_spread_range(s);
  return LH_OK;
}

static bool is_positive(lh_range r)
{
  return lh_range_valid(r) && r.value > 0.0;
}

/* Mass over area with both ranges; the area's low end is above 0. */
static lh_spread over_area(lh_range mass_g, double part, lh_range area_mm2)
{
  double k = part * MM2_PER_M2;
  lh_spread s = lh_spread_of(mass_g.value * k / area_mm2.value);

  lh_spread_add(&s, mass_g.low * k / area_mm2.value,
                mass_g.high * k / area_mm2.value);
  lh_spread_add(&s, mass_g.value * k / area_mm2.low,
                mass_g.value * k / area_mm2.high);
  return s;
}

lh_status lh_slip_coat_from_loss(lh_range loss_g, lh_range area_mm2,
                                 lh_range litre_weight, lh_range solids_density,
                                 lh_range *coat_g_m2)
{
  lh_range p = litre_weight, dry;
  lh_spread s;
  double part, part_low, part_high;

  assert(coat_g_m2);
  if (!is_positive(loss_g) || !is_positive(area_mm2) || !(area_mm2.low > 0.0))
    return LH_RANGE;
  if (lh_slip_dry_range(p, solids_density, &dry) != LH_OK) return LH_RANGE;
  part = dry.value / p.value;
  s = over_area(loss_g, part, area_mm2);
  /* The dry part w = W/P moves with the litre weight through both. */
  lh_slip_dry_range(lh_range_exact(p.value), solids_density, &dry);
  lh_spread_add(&s, s.value * dry.low / p.value / part,
                s.value * dry.high / p.value / part);
  lh_slip_dry_range(p, lh_range_exact(solids_density.value), &dry);
  part_low = p.low > LH_WATER_G_L ? dry.low / p.low : 0.0;
  part_high = fmin(dry.high / p.high, 1.0);
  lh_spread_add(&s, s.value * part_low / part, s.value * part_high / part);
  *coat_g_m2 = lh_spread_range(s);
  coat_g_m2->low = fmax(coat_g_m2->low, 0.0);
  return LH_OK;
}

lh_status lh_slip_coat_from_gain(lh_range gain_g, lh_range area_mm2,
                                 lh_range *coat_g_m2)
{
  assert(coat_g_m2);
  if (!is_positive(gain_g) || !is_positive(area_mm2) || !(area_mm2.low > 0.0))
    return LH_RANGE;
  *coat_g_m2 = lh_spread_range(over_area(gain_g, 1.0, area_mm2));
  coat_g_m2->low = fmax(coat_g_m2->low, 0.0);
  return LH_OK;
}
