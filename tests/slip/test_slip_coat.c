/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "coat.h"
#include "seeded.h"

/* A slip of so much percent solids, in the numbers of the coating notes. */
static lh_coat_slip slip_of(double percent)
{
  lh_coat_slip s = {0, 2.6, LH_WATER_20C_G_L, 0.12, 0.08, 100.0};

  lh_slip_density(percent / 100, 2.6, s.water, &s.litre_weight);
  return s;
}

/* source: worked film of the coating notes, computed there by hand: 6.905 g
** of 45 % slip on 100 cm2 = 0.500 mm wet = 3.107 g dry = 0.157 mm dry, dry
** bulk density 1.981 g/ml at a shrinkage limit of 0.12. */
static void film(void)
{
  lh_coat_slip s = slip_of(45);
  lh_coat c;
  double g_m2 = 6.905 * 0.45 / 0.01;

  CHECK(lh_slip_coat(&s, LH_COAT_G_M2, g_m2, &c) == LH_OK, "the worked film");
  CHECK_NEAR(c.wet_mm, 0.500, 0.0005, "0.500 mm wet");
  CHECK_NEAR(c.g_m2 * 0.01, 3.107, 0.0005, "3.107 g dry on 100 cm2");
  CHECK_NEAR(c.dry_mm, 0.157, 0.0005, "0.157 mm dry");
  CHECK_NEAR(c.g_m2 / c.dry_mm / 1000, 1.981, 0.0005, "1.981 g/ml dry");
  CHECK_NEAR(c.fired_mm, c.dry_mm * 0.92, 1e-12, "8 %% less when fired");
  lh_slip_coat(&s, LH_COAT_WET_MM, 0.5, &c);
  CHECK_NEAR(c.g_m2 * 0.01, 3.107, 0.0005, "0.5 mm wet is 3.107 g dry");
  /* the scale's 0.1 g on 100 cm2 is 0.0023 mm dry (same notes) */
  lh_slip_coat(&s, LH_COAT_G_M2, 0.1 * 0.45 / 0.01, &c);
  CHECK_NEAR(c.dry_mm, 0.0023, 0.00005, "0.1 g of slip is 0.0023 mm dry");
}

/* source: the same film; and 0.3107 kg/m2 in the drying notes. */
static void weighed(void)
{
  lh_range coat, loss;
  lh_range p = lh_range_exact(1000), s = lh_range_exact(2.6);

  /* Brongniart's water: the litre weight at which 45 % are solids */
  p = lh_range_exact(1 / (0.45 / 2600 + 0.55 / 1000));
  CHECK(lh_slip_coat_from_loss(lh_range_exact(6.905), lh_range_exact(10000), p,
                               s, &coat) == LH_OK,
        "from the jar's loss");
  CHECK_NEAR(coat.value, 310.7, 0.05, "310.7 g/m2");
  CHECK_NEAR(coat.high - coat.low, 0, 1e-12, "no error, no range");
  lh_slip_coat_from_gain(lh_range_exact(3.107), lh_range_exact(10000), &coat);
  CHECK_NEAR(coat.value, 310.7, 1e-9, "from the dry gain");

  CHECK(lh_slip_jar_loss(256.4, 249.5, 0.05, &loss) == LH_OK, "two weighings");
  CHECK_NEAR(loss.value, 6.9, 1e-9, "6.9 g lost");
  CHECK_NEAR(loss.high - loss.value, 0.05 * sqrt(2), 1e-9,
             "two errors of 0.05 g make 0.07 g");
  /* relative errors in quadrature: 0.0707/6.9 and 5 % of the area, whose two
  ** ends are 1/1.05 and 1/0.95 */
  lh_slip_coat_from_gain(loss, lh_range_within(10000, 500), &coat);
  CHECK_NEAR(coat.high / coat.value - 1,
             hypot(0.05 * sqrt(2) / 6.9, 1 / 0.95 - 1), 1e-9, "its high end");
  CHECK_NEAR(1 - coat.low / coat.value,
             hypot(0.05 * sqrt(2) / 6.9, 1 - 1 / 1.05), 1e-9, "its low end");
  /* litre weight 1500 +-15 at 2.6: W/P runs 812.5/1500 = 0.54167 to
  ** 836.875/1515 = 0.55239, 788.125/1485 = 0.53072 */
  lh_slip_coat_from_loss(lh_range_exact(10), lh_range_exact(1e6),
                         lh_range_within(1500, 15), s, &coat);
  CHECK_NEAR(coat.value, 5.4167, 5e-5, "10 g at 1500 on a square metre");
  CHECK_NEAR(coat.high, 5.5239, 5e-5, "high end by the litre weight");
  CHECK_NEAR(coat.low, 5.3072, 5e-5, "low end by the litre weight");
}

static void round_trips(void)
{
  static const char *const name[] = {"coats", "g/m2", "mm wet", "mm dry",
                                     "mm fired"};

  for (int k = LH_COAT_COATS; k <= LH_COAT_FIRED_MM; k++) {
    double worst = 0;
    for (int i = 0; i < 500; i++) {
      lh_coat_slip s = {seeded(1050, 1800), seeded(2.2, 3.5), LH_WATER_G_L,
                        seeded(0.05, 0.3),  seeded(0, 0.2),   seeded(20, 400)};
      double g = seeded(1, 1000), of;
      lh_coat c, d;
      lh_slip_coat(&s, LH_COAT_G_M2, g, &c);
      of = k == LH_COAT_COATS    ? c.coats
           : k == LH_COAT_G_M2   ? c.g_m2
           : k == LH_COAT_WET_MM ? c.wet_mm
           : k == LH_COAT_DRY_MM ? c.dry_mm
                                 : c.fired_mm;
      lh_slip_coat(&s, (lh_coat_name)k, of, &d);
      worst = fmax(worst, fabs(d.g_m2 / g - 1));
      /* a wet coat is thicker than a dry one, a dry one than a fired */
      if (!(c.wet_mm > c.dry_mm && c.dry_mm >= c.fired_mm) &&
          s.litre_weight <
              1 / (1 / (1000 * s.solids_density) + s.shrink_limit / 1000))
        worst = 1;
    }
    CHECK_NEAR(worst, 0, 1e-14 * 10, "there and back by %s", name[k]);
  }
}

static void refusals(void)
{
  lh_coat_slip s = slip_of(45), bad;
  lh_coat c = {.g_m2 = -7};
  lh_range r = {-7, -7, -7}, one = lh_range_exact(1), zero = lh_range_exact(0);

  CHECK(lh_slip_coat(&s, LH_COAT_WET_MM, -0.1, &c) == LH_RANGE, "below 0");
  CHECK(lh_slip_coat(&s, LH_COAT_WET_MM, (double)NAN, &c) == LH_RANGE, "NaN");
  bad = s, bad.one_coat_g_m2 = 0;
  CHECK(lh_slip_coat(&bad, LH_COAT_COATS, 2, &c) == LH_RANGE,
        "coats of unknown weight");
  bad = s, bad.litre_weight = 998;
  CHECK(lh_slip_coat(&bad, LH_COAT_WET_MM, 1, &c) == LH_RANGE, "water");
  bad = s, bad.litre_weight = 2600;
  CHECK(lh_slip_coat(&bad, LH_COAT_WET_MM, 1, &c) == LH_RANGE, "stone");
  bad = s, bad.fired_shrinkage = 1;
  CHECK(lh_slip_coat(&bad, LH_COAT_WET_MM, 1, &c) == LH_RANGE,
        "shrunk to nothing");
  CHECK(c.g_m2 == -7, "a refusal leaves the coat alone");
  bad = s, bad.one_coat_g_m2 = 0;
  CHECK(lh_slip_coat(&bad, LH_COAT_WET_MM, 1, &c) == LH_OK && isnan(c.coats),
        "coats stay unknown");
  CHECK(lh_slip_coat_from_gain(zero, one, &r) == LH_RANGE, "no gain");
  CHECK(lh_slip_coat_from_gain(one, zero, &r) == LH_RANGE, "no area");
  CHECK(lh_slip_coat_from_gain(one, lh_range_within(1, 1), &r) == LH_RANGE,
        "an area that may be nothing");
  CHECK(lh_slip_coat_from_loss(one, one, lh_range_exact(1000),
                               lh_range_exact(2.6), &r) == LH_RANGE,
        "a jar of water");
  CHECK(lh_slip_jar_loss(249, 256, 0.1, &r) == LH_RANGE, "the jar gained");
  CHECK(r.value == -7, "a refusal leaves the range alone");
}

int main(void)
{
  film();
  weighed();
  round_trips();
  refusals();
  return CHECK_DONE();
}
