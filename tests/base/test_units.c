/* SPDX-License-Identifier: GPL-3.0-or-later */
/* source: NIST Special Publication 811 (2008), appendix B.8, factors printed
** to seven digits (those marked exact there in full); from memory.  So
** |error| <= half of the seventh digit. */
#include "check.h"
#include "units.h"

static void there_and_back(double (*to)(double), double (*from)(double),
                           const char *what)
{
  double worst = 0.0;

  for (double x = -300; x < 3000; x += 0.37)
    worst = fmax(worst, fabs(from(to(x)) - x) / fmax(fabs(x), 300));
  /* a handful of roundings of half a unit in the last place */
  CHECK_NEAR(worst, 0, 1e-15, "%s there and back", what);
}

int main(void)
{
  CHECK_NEAR(lh_units_mm_from_in(1), 25.4, 0, "inch = 25.4 mm exactly");
  CHECK_NEAR(lh_units_in_from_mm(254), 10, 0, "254 mm = 10 in");
  CHECK_NEAR(lh_units_g_from_oz(1), 28.34952, 5e-6, "ounce = 28.349 52 g");
  CHECK_NEAR(lh_units_g_from_oz(16), 453.59237, 1e-12,
             "16 ounces are the pound of 1959");
  CHECK_NEAR(lh_units_oz_from_g(1000), 35.27396, 5e-6, "1 kg = 35.273 96 oz");
  CHECK_NEAR(lh_units_c_from_f(212), 100, 0, "water boils at 212 F");
  CHECK_NEAR(lh_units_c_from_f(-40), -40, 0, "-40 is -40");
  CHECK_NEAR(lh_units_f_from_c(1222), 2231.6, 1e-12, "1222 C = 2231.6 F");
  CHECK_NEAR(lh_units_dc_from_df(270), 150, 0, "270 F an hour = 150 C an hour");
  CHECK_NEAR(lh_units_df_from_dc(60), 108, 0, "60 C an hour = 108 F an hour");
  CHECK_NEAR(lh_units_k_from_c(20), 293.15, 0, "20 C = 293.15 K");
  /* pint = gallon / 8: 4.546 09 l and 3.785 412 l */
  CHECK_NEAR(LH_ML_PER_PINT_UK * 8, 4546.09, 0, "imperial gallon 4.546 09 l");
  CHECK_NEAR(LH_ML_PER_PINT_US * 8, 3785.412, 5e-4, "US gallon 3.785 412 l");
  CHECK_NEAR(LH_ML_PER_PINT_US * 8, 231 * 25.4 * 25.4 * 25.4 / 1000, 1e-9,
             "US gallon of 231 cubic inches");
  /* ounce per gallon: 6.236 023 kg/m3 (UK), 7.489 152 kg/m3 (US) */
  CHECK_NEAR(lh_units_g_l_from_oz_pint_uk(1), 8 * 6.236023, 8 * 5e-7,
             "ounce per imperial pint in g per litre");
  CHECK_NEAR(lh_units_g_l_from_oz_pint_us(1), 8 * 7.489152, 8 * 5e-7,
             "ounce per US pint in g per litre");
  there_and_back(lh_units_mm_from_in, lh_units_in_from_mm, "inches");
  there_and_back(lh_units_g_from_oz, lh_units_oz_from_g, "ounces");
  there_and_back(lh_units_c_from_f, lh_units_f_from_c, "temperatures");
  there_and_back(lh_units_dc_from_df, lh_units_df_from_dc, "differences");
  there_and_back(lh_units_k_from_c, lh_units_c_from_k, "kelvins");
  there_and_back(lh_units_g_l_from_oz_pint_uk, lh_units_oz_pint_uk_from_g_l,
                 "ounces per imperial pint");
  there_and_back(lh_units_g_l_from_oz_pint_us, lh_units_oz_pint_us_from_g_l,
                 "ounces per US pint");
  CHECK(isnan(lh_units_g_from_oz((double)NAN)), "NaN stays NaN");
  return CHECK_DONE();
}
