/* SPDX-License-Identifier: GPL-3.0-or-later */
/* units.h -- the potter's units, turned at the edge.
**
** Inside the house one unit stands for each quantity (mm, g, ml, degrees C,
** g per litre); inches, ounces, degrees F and ounces per pint are met only
** where a document is read or a page is written.  The factors are exact by
** definition, so a value turned there and back differs by rounding alone.
** This room knows nothing of slips: that a pint of water "weighs 20 ounces"
** is the trade's saying and lives in core/slip.  Nothing here can fail, save
** that NaN stays NaN.
*/
#ifndef LH_UNITS_H
#define LH_UNITS_H

/* [mm] in an inch.  Exact: international yard of 0.9144 m, Weights and
** Measures agreement of 1959. */
#define LH_MM_PER_IN 25.4

/* [g] in an ounce avoirdupois.  Exact: international pound of 453.59237 g,
** agreement of 1959, over 16. */
#define LH_G_PER_OZ 28.349523125

/* [ml] in an imperial pint.  Exact: gallon of 4.54609 l (UK Weights and
** Measures Act 1985, schedule 1), over 8. */
#define LH_ML_PER_PINT_UK 568.26125

/* [ml] in a US liquid pint.  Exact: gallon of 231 cubic inches, over 8
** (NIST Handbook 44, appendix C). */
#define LH_ML_PER_PINT_US 473.176473

/* [K] at 0 degrees C.  Exact: BIPM, The International System of Units. */
#define LH_K_AT_0_C 273.15

/* Length: inches and millimetres.
**
** Given:     a length                                      [in] or [mm]
** Returned:  the same length                               [mm] or [in]
** Ref:       LH_MM_PER_IN above.
*/
double lh_units_mm_from_in(double in);
double lh_units_in_from_mm(double mm);

/* Mass: ounces avoirdupois and grams.
**
** Given:     a mass                                        [oz] or [g]
** Returned:  the same mass                                 [g] or [oz]
** Ref:       LH_G_PER_OZ above.
*/
double lh_units_g_from_oz(double oz);
double lh_units_oz_from_g(double g);

/* Temperature: degrees Fahrenheit and Celsius.
**
** Given:     a temperature                                 [F] or [C]
** Returned:  the same temperature                          [C] or [F]
** Notes:     For readings.  A *difference* of temperature, or a rate in
**            degrees per hour, has no offset: use the functions below.
** Ref:       t/F = 1.8 t/C + 32, exact (NIST SP 811, appendix B.8).
*/
double lh_units_c_from_f(double f);
double lh_units_f_from_c(double c);

/* Difference of temperature: degrees Fahrenheit and Celsius.
**
** Given:     a difference or a rate                        [F] or [C]
** Returned:  the same                                      [C] or [F]
** Ref:       1 F = 1/1.8 C, exact (NIST SP 811, appendix B.8).
*/
double lh_units_dc_from_df(double df);
double lh_units_df_from_dc(double dc);

/* Absolute temperature: kelvin and degrees Celsius.
**
** Given:     a temperature                                 [C] or [K]
** Returned:  the same temperature                          [K] or [C]
** Ref:       LH_K_AT_0_C above.
*/
double lh_units_k_from_c(double c);
double lh_units_c_from_k(double k);

/* Weight of a volume: ounces per imperial pint and g per litre.
**
** Given:     weight of a pint, or of a litre         [oz/pint] or [g/l]
** Returned:  the same                                [g/l] or [oz/pint]
** Notes:     These are the exact volumes and masses.  A slip of 28 oz to the
**            imperial pint weighs 1396.87 g per litre.
** Ref:       LH_G_PER_OZ, LH_ML_PER_PINT_UK above.
*/
double lh_units_g_l_from_oz_pint_uk(double oz);
double lh_units_oz_pint_uk_from_g_l(double g_l);

/* Weight of a volume: ounces per US liquid pint and g per litre.
**
** Given:     weight of a pint, or of a litre         [oz/pint] or [g/l]
** Returned:  the same                                [g/l] or [oz/pint]
** Ref:       LH_G_PER_OZ, LH_ML_PER_PINT_US above.
*/
double lh_units_g_l_from_oz_pint_us(double oz);
double lh_units_oz_pint_us_from_g_l(double g_l);

#endif
