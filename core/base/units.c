/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "units.h"

double lh_units_mm_from_in(double in)
{
  return in * LH_MM_PER_IN;
}

double lh_units_in_from_mm(double mm)
{
  return mm / LH_MM_PER_IN;
}

double lh_units_g_from_oz(double oz)
{
  return oz * LH_G_PER_OZ;
}

double lh_units_oz_from_g(double g)
{
  return g / LH_G_PER_OZ;
}

double lh_units_c_from_f(double f)
{
  return (f - 32.0) * 5.0 / 9.0;
}

double lh_units_f_from_c(double c)
{
  return c * 9.0 / 5.0 + 32.0;
}

double lh_units_dc_from_df(double df)
{
  return df * 5.0 / 9.0;
}

double lh_units_df_from_dc(double dc)
{
  return dc * 9.0 / 5.0;
}

double lh_units_k_from_c(double c)
{
  return c + LH_K_AT_0_C;
}

double lh_units_c_from_k(double k)
{
  return k - LH_K_AT_0_C;
}

double lh_units_g_l_from_oz_pint_uk(double oz)
{
  return oz * LH_G_PER_OZ * 1000.0 / LH_ML_PER_PINT_UK;
}

double lh_units_oz_pint_uk_from_g_l(double g_l)
{
  return g_l * LH_ML_PER_PINT_UK / (LH_G_PER_OZ * 1000.0);
}

double lh_units_g_l_from_oz_pint_us(double oz)
{
  return oz * LH_G_PER_OZ * 1000.0 / LH_ML_PER_PINT_US;
}

double lh_units_oz_pint_us_from_g_l(double g_l)
{
  return g_l * LH_ML_PER_PINT_US / (LH_G_PER_OZ * 1000.0);
}
