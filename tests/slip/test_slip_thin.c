/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "seeded.h"
#include "thin.h"

static lh_thin_ask ask(double p1, double p2, double ml, double s)
{
  lh_thin_ask a = {lh_range_exact(p1), p2, lh_range_exact(ml),
                   lh_range_exact(s)};
  return a;
}

/* source: on-line lesson of a potters' list (1998): 14 kg dry of density 2.5
** needs 5.6 kg of water at 1750 g/l and 11.2 kg at 1500. */
static void worked_example(void)
{
  lh_thin_ask a = ask(1750, 1500, 14000.0 / 1250.0 * 1000.0, 2.5);
  lh_thin_answer t;

  CHECK(lh_slip_thin(&a, &t) == LH_OK, "1750 to 1500 can be answered");
  CHECK_NEAR(t.dry_g.value, 14000, 50, "14 kg dry in the jar");
  CHECK_NEAR(t.water_g, 5600, 50, "5.6 kg of water in it");
  CHECK_NEAR(t.add_water_ml.value, 5600, 50, "1750 to 1500: 5.6 kg more");
  CHECK_NEAR(t.drops, t.add_water_ml.value * 20, 1e-6, "drops of 0.05 ml");
  CHECK(t.decant_ml == 0 && t.dry_slip_g == 0, "nothing to let off");
  a = ask(1500, 1750, t.volume_after_ml, 2.5);
  lh_slip_thin(&a, &t);
  CHECK_NEAR(t.add_water_ml.value, -5600, 50, "back again: let 5.6 l off");
  CHECK_NEAR(t.decant_ml, 5600, 50, "and it is said as letting off");
  CHECK(t.drops == 0, "no drops when letting off");
}

static void range(void)
{
  lh_thin_ask a = ask(1560, 1500, 1000, 2.6);
  lh_thin_answer t;

  /* d add/d P1 = V/(P2 - 1000) = 2 ml per g/l; d add/dV = 0.12 */
  a.litre_weight = lh_range_within(1560, 15);
  a.volume_ml = lh_range_within(1000, 100);
  lh_slip_thin(&a, &t);
  CHECK_NEAR(t.add_water_ml.value, 120, 1e-9, "60 g/l too heavy: 120 ml");
  CHECK_NEAR(t.add_water_ml.high - 120, hypot(30, 12), 1e-9, "its high end");
  CHECK_NEAR(120 - t.add_water_ml.low, hypot(30, 12), 1e-9, "its low end");
  CHECK_NEAR(t.per_10_g_l_ml, 20, 1e-9, "20 ml a litre for each 10 g/l");
}

/* Weigh and measure the jar after: the definition of a litre weight, not the
** formula under test. */
static void properties(void)
{
  double worst_water = 0, worst_dry = 0, worst_back = 0, worst_mass = 0;

  for (int i = 0; i < 2000; i++) {
    double s = seeded(2.2, 3.5), v = seeded(50, 20000);
    double p1 = seeded(1010, 1000 * s - 50), p2 = seeded(1010, 1000 * s - 50);
    lh_thin_ask a = ask(p1, p2, v, s);
    lh_thin_answer t, u;
    double p, g, ml;
    if (lh_slip_thin(&a, &t) != LH_OK) {
      CHECK(0, "case %d is refused", i);
      return;
    }
    g = v * p1 / 1000 + t.add_water_ml.value;
    ml = v + t.add_water_ml.value;
    p = g / ml * 1000;
    worst_water = fmax(worst_water, fabs(p / p2 - 1));
    if (t.dry_slip_g > 0) {
      g = v * p1 / 1000 + t.dry_slip_g;
      ml = v + t.dry_slip_g / s;
      worst_dry = fmax(worst_dry, fabs(g / ml * 1000 / p2 - 1));
    }
    worst_mass = fmax(worst_mass,
                      fabs((t.dry_g.value + t.water_g) / (v * p1 / 1e3) - 1));
    a = ask(p2, p1, t.volume_after_ml, s);
    lh_slip_thin(&a, &u);
    worst_back = fmax(worst_back, fabs(u.volume_after_ml / v - 1));
  }
  /* rounding: ten operations, and a loss of (P1-1000)/(P2-1000) <= 250 */
  CHECK_NEAR(worst_water, 0, 1e-12, "the jar weighs what was wanted");
  CHECK_NEAR(worst_dry, 0, 1e-12, "with dry slip as well");
  CHECK_NEAR(worst_back, 0, 1e-12, "thinned and back is the same jar");
  CHECK_NEAR(worst_mass, 0, 1e-12, "dry and water make the jar's weight");
}

static void refusals(void)
{
  lh_thin_ask a;
  lh_thin_answer t = {.drops = -7};

  a = ask(1000, 1500, 1000, 2.6);
  CHECK(lh_slip_thin(&a, &t) == LH_RANGE, "water is no slip");
  a = ask(1600, 1000, 1000, 2.6);
  CHECK(lh_slip_thin(&a, &t) == LH_RANGE, "no water makes it water");
  a = ask(1600, 2600, 1000, 2.6);
  CHECK(lh_slip_thin(&a, &t) == LH_RANGE, "no decanting makes it dry");
  a = ask(1600, 1500, 0, 2.6);
  CHECK(lh_slip_thin(&a, &t) == LH_RANGE, "an empty jar");
  a = ask(1600, 1500, (double)NAN, 2.6);
  CHECK(lh_slip_thin(&a, &t) == LH_RANGE, "a volume of NaN");
  a = ask(1600, 1500, 1000, 1.0);
  CHECK(lh_slip_thin(&a, &t) == LH_RANGE, "solids as light as water");
  CHECK(t.drops == -7, "a refusal leaves the answer alone");
  a = ask(1500, 1500, 1000, 2.6);
  CHECK(lh_slip_thin(&a, &t) == LH_OK && t.add_water_ml.value == 0.0,
        "right already: nothing to do");
}

int main(void)
{
  worked_example();
  range();
  properties();
  refusals();
  return CHECK_DONE();
}
