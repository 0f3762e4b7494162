/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "density.h"
#include "seeded.h"
#include "slip_density.h"
#include "slip_dry_content.h"
#include "twaddell.h"

static void brongniart_table(void)
{
  for (int i = 0; i < slip_dry_content_count; i++) {
    const double *t = slip_dry_content[i];
    double dry = 0.0, back = 0.0;
    lh_status st = lh_slip_dry(t[0], 2.6, &dry);
    CHECK(st == LH_OK, "litre weight %g is a slip", t[0]);
    /* whole grams; a rounding error of the double lies on top of the half */
    CHECK_NEAR(dry, t[1], 0.5 + 1e-9, "dry g in a litre of %g", t[0]);
    CHECK_NEAR(100.0 / dry * 1000.0, t[2], 0.5, "ml with 100 g dry at %g",
               t[0]);
    lh_slip_litre_weight(dry, 2.6, &back);
    CHECK_NEAR(back, t[0], 1e-9, "and back to %g", t[0]);
  }
}

/* source: a self-reliant potter's manual (GTZ/GATE 1991), "Dry content of
** liquid"; on-line lesson (1998) and letters (2004) of a potters' list. */
static void worked_examples(void)
{
  double dry = 0.0;
  lh_slip_content c;

  lh_slip_dry(1700, 2.5, &dry);
  CHECK_NEAR(dry, 1166.67, 0.005, "1700 g/l at 2.5 holds 1166.67 g");
  CHECK_NEAR(30 * dry / 1000, 35.0, 0.5, "30 l of it hold 35 kg");
  CHECK_NEAR(30 * dry / 1000 * 0.05, 1.75, 0.005, "5 %% of that is 1.75 kg");
  CHECK(lh_slip_content_of(1500, 2.5, &c) == LH_OK, "1500 g/l is a slip");
  CHECK_NEAR(c.dry_g_l, 833.3, 0.05, "1500 g/l at 2.5: dry");
  CHECK_NEAR(c.water_g_l, 666.7, 0.05, "1500 g/l at 2.5: water");
  CHECK_NEAR(c.water_per_dry, 0.80, 0.005, "water is 80 %% of dry");
  lh_slip_content_of(1750, 2.5, &c);
  CHECK_NEAR(c.dry_g_l, 1250, 0.5, "1750 g/l at 2.5: dry");
  CHECK_NEAR(c.water_g_l, 500, 0.5, "1750 g/l at 2.5: water");
  CHECK_NEAR(c.water_per_dry, 0.40, 0.005, "water is 40 %% of dry");
}

static void weighings(void)
{
  lh_weighing w = {65.0, 50.0, 0.0, 0.0};
  lh_range p = {0, 0, 0};
  double dry = 0.0;

  CHECK(lh_slip_weighed(&w, &p) == LH_OK, "50 ml weigh 65 g");
  CHECK_NEAR(p.value, 1300, 1e-9, "that is 1300 g/l");
  CHECK(p.low == p.value && p.high == p.value, "no error in, no range out");
  lh_slip_dry(p.value, 2.65, &dry);
  CHECK_NEAR(dry * 0.050, 24.1, 0.05, "24.1 g dry in the 50 ml (letter, 2004)");

  /* By hand: 150/99 - 150/101 over 2 and 0.3/100, in quadrature: 15.3; the
  ** design says "about 15", two digits. */
  w = (lh_weighing){150.0, 100.0, 0.3, 1.0};
  lh_slip_weighed(&w, &p);
  CHECK_NEAR((p.high - p.low) / 2, 15.0, 0.5, "100 ml is good to 15 g/l");
  CHECK_NEAR(p.high - 1500, hypot(3.0, 150000.0 / 99 - 1500), 1e-9,
             "the high end, by hand");
  CHECK_NEAR(1500 - p.low, hypot(3.0, 1500 - 150000.0 / 101), 1e-9,
             "the low end, by hand");
}

static void scales(void)
{
  lh_slip_content c;

  for (int i = 0; i < twaddell_count; i++) {
    const double *t = twaddell[i];
    CHECK_NEAR(lh_slip_from_twaddell(t[0]), t[1], 0.0005, "SG of %g Tw", t[0]);
    /* the scale is exact, so half a printed digit is 0.1 degree */
    CHECK_NEAR(lh_slip_twaddell(t[1]), t[0], 0.1, "Tw of SG %g", t[1]);
  }
  /* from the gallon of 10 pounds: a pint of water weighs 20 ounces */
  CHECK_NEAR(lh_slip_from_oz_pint(28), 1.40, 1e-12, "28 oz/pint is SG 1.40");
  CHECK_NEAR(lh_slip_from_oz_pint(32), 1.60, 1e-12, "32 oz/pint is SG 1.60");
  CHECK_NEAR(lh_slip_from_oz_pint(36), 1.80, 1e-12, "36 oz/pint is SG 1.80");
  CHECK_NEAR(lh_slip_oz_pint(1.40), 28, 1e-12, "and back");
  lh_slip_content_of(1400, 2.6, &c);
  /* source: NIST SP 811, appendix B.8 (from memory): an ounce to the gallon is
  ** 6.236 023 kg/m3 (UK) and 7.489 152 (US); a pint is an eighth. */
  CHECK_NEAR(1400 / c.oz_pint_uk, 8 * 6.236023, 8 * 5e-7,
             "1400 g/l in ounces per imperial pint");
  CHECK_NEAR(1400 / c.oz_pint_us, 8 * 7.489152, 8 * 5e-7,
             "1400 g/l in ounces per US pint");
  CHECK_NEAR(c.oz_pint_uk / lh_slip_oz_pint(1.4), 1.0022, 5e-5,
             "the exact pint of water is 0.22 %% over the trade's 20 ounces");
  CHECK_NEAR(c.twaddell, 80, 1e-9, "1400 g/l is 80 Tw");
}

static void density_table(void)
{
  for (int i = 0; i < slip_density_count; i++) {
    const double *t = slip_density[i];
    double w = t[0] / 100, p = 0.0;
    lh_slip_density(w, 2.6, LH_WATER_20C_G_L, &p);
    CHECK_NEAR(p / 1000, t[1], 5e-5, "density of %g %% solids", t[0]);
    CHECK_NEAR(w * p / 2600, t[2], 5e-5, "solids by volume, %g %%", t[0]);
    CHECK_NEAR((1 - w) / w, t[3], 5e-5, "water per dry, %g %%", t[0]);
    /* with water 1000 it must be Brongniart's formula */
    lh_slip_content c;
    lh_slip_density(w, 2.6, LH_WATER_G_L, &p);
    lh_slip_content_of(p, 2.6, &c);
    CHECK_NEAR(c.solids, w, 1e-12, "two formulas, one slip, %g %%", t[0]);
    CHECK_NEAR(c.water_per_dry, (1 - w) / w, 1e-12, "its water, %g %%", t[0]);
  }
}

static void mixed_solids(void)
{
  double g[] = {60, 40, 0}, d[] = {2.5, 4.0, (double)NAN}, s = -7;

  /* by hand: 24 ml and 10 ml hold 100 g */
  CHECK(lh_slip_solids_density(g, d, 3, &s) == LH_OK, "three materials");
  CHECK_NEAR(s, 100.0 / 34, 1e-15, "60 g of 2.5 and 40 g of 4.0");
  g[2] = 1, s = -7;
  CHECK(lh_slip_solids_density(g, d, 3, &s) == LH_RANGE && s == -7,
        "one of unknown density");
  CHECK(lh_slip_solids_density(g, d, 0, &s) == LH_RANGE, "of nothing");
}

static void ranges(void)
{
  lh_range dry;

  /* W = 1.625 (P - 1000): 15 g/l are 24.375 g; S is exact */
  CHECK(lh_slip_dry_range(lh_range_within(1500, 15), lh_range_exact(2.6),
                          &dry) == LH_OK,
        "a range of litre weight");
  CHECK_NEAR(dry.high - dry.value, 24.375, 1e-9, "15 g/l are 24.4 g dry");
  /* S from 2.5 to 2.7: 500 x 2.5/1.5 = 833.33, 500 x 2.7/1.7 = 794.12 */
  lh_slip_dry_range(lh_range_exact(1500), lh_range_within(2.6, 0.1), &dry);
  CHECK_NEAR(dry.high, 833.33, 0.005, "lighter solids: more of them");
  CHECK_NEAR(dry.low, 794.12, 0.005, "heavier solids: fewer of them");
  lh_slip_dry_range(lh_range_within(1010, 15), lh_range_exact(2.6), &dry);
  CHECK(dry.low == 0.0, "a weighing near water's begins at no solids");
}

/* Nine in ten: draw both inputs as normal with the stated 90 % half widths
** (1.645 sigma) and count how often the truth lies inside. */
static void coverage(void)
{
  lh_range r;
  int inside = 0, n = 20000;

  lh_slip_dry_range(lh_range_within(1500, 15), lh_range_within(2.6, 0.1), &r);
  for (int i = 0; i < n; i++) {
    double g[2], dry;
    for (int k = 0; k < 2; k++) {
      /* sum of 12 uniforms less 6 is normal to within 0.3 % near 1.6 sigma */
      g[k] = -6.0;
      for (int j = 0; j < 12; j++) g[k] += seeded(0, 1);
    }
    double p = 1500 + 15 / 1.6449 * g[0], s = 2.6 + 0.1 / 1.6449 * g[1];
    lh_slip_dry(p, s, &dry);
    inside += dry >= r.low && dry <= r.high;
  }
  /* 4 standard errors of the count: 4 sqrt(0.09/20000) = 0.0085, and 0.003
  ** for the normal made of twelve */
  CHECK_NEAR((double)inside / n, 0.90, 0.0115, "nine in ten lie inside");
}

static void refusals(void)
{
  double x = -7.0;
  lh_range r = {1, 2, 3};
  lh_slip_content c;
  double bad[] = {1000, 999, 0, -5, 2600, 3000, (double)NAN, (double)INFINITY};

  for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
    CHECK(lh_slip_dry(bad[i], 2.6, &x) == LH_RANGE && x == -7.0,
          "litre weight %g is refused", bad[i]);
    CHECK(lh_slip_content_of(bad[i], 2.6, &c) == LH_RANGE,
          "so is its content, %g", bad[i]);
  }
  CHECK(lh_slip_dry(1500, 1.0, &x) == LH_RANGE, "solids as light as water");
  CHECK(lh_slip_dry(1500, 0.5, &x) == LH_RANGE, "solids that float");
  CHECK(lh_slip_dry(1500, (double)NAN, &x) == LH_RANGE, "solids NaN");
  CHECK(lh_slip_litre_weight(0, 2.6, &x) == LH_RANGE, "nothing dry");
  CHECK(lh_slip_litre_weight(2600, 2.6, &x) == LH_RANGE, "nothing wet");
  CHECK(lh_slip_density(1.1, 2.6, 998, &x) == LH_RANGE, "110 %% solids");
  CHECK(x == -7.0, "a refusal leaves the answer alone");
  CHECK(lh_slip_dry_range(lh_range_exact(1500), lh_range_within(2.6, 1.6),
                          &r) == LH_RANGE,
        "solids perhaps as light as water");
  CHECK(lh_slip_weighed(&(lh_weighing){0, 100, 0, 0}, &r) == LH_RANGE,
        "weighs nothing");
  CHECK(lh_slip_weighed(&(lh_weighing){150, 0, 0, 0}, &r) == LH_RANGE,
        "no volume");
  CHECK(lh_slip_weighed(&(lh_weighing){150, 100, -1, 0}, &r) == LH_RANGE,
        "negative error");
  CHECK(lh_slip_weighed(&(lh_weighing){150, 100, 0, 100}, &r) == LH_RANGE,
        "a volume that may be nothing");
}

int main(void)
{
  brongniart_table();
  worked_examples();
  weighings();
  scales();
  density_table();
  mixed_solids();
  ranges();
  coverage();
  refusals();
  return CHECK_DONE();
}
