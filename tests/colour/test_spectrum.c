/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Spectra to colours, against white points, pigments and the 24 patches. */
#include "chart24_colour.h"
#include "chart24_reflectance_5nm.h"
#include "check.h"
#include "cie1931_5nm.h"
#include "difference.h"
#include "pigment_colour.h"
#include "pigment_reflectance_10nm.h"
#include "spectrum.h"
#include "white_points.h"

static const char *const light_name[LH_ILLUMINANTS] = {"D65", "A", "D50"};

/* Printed to 4 decimals on the scale of 100. */
static void whites(void)
{
  for (size_t i = 0; i < white_points_count; i++)
    for (int ill = 0; ill < LH_ILLUMINANTS; ill++) {
      const white_points_row *t = &white_points[i];
      lh_xyz w = lh_spectrum_white((lh_illuminant)ill);
      double sum = w.x + w.y + w.z;
      if (strcmp(t->illuminant, light_name[ill]) != 0 ||
          strcmp(t->grid, "10nm_380-730") != 0)
        continue;
      CHECK_NEAR(100 * w.x, t->X, 5e-5, "white %s X", t->illuminant);
      CHECK_NEAR(100 * w.y, t->Y, 1e-12, "white %s Y", t->illuminant);
      CHECK_NEAR(100 * w.z, t->Z, 5e-5, "white %s Z", t->illuminant);
      CHECK_NEAR(w.x / sum, t->x, 5e-6, "white %s x", t->illuminant);
      CHECK_NEAR(w.y / sum, t->y, 5e-6, "white %s y", t->illuminant);
    }
  CHECK_NEAR(lh_wave_nm(0), 380, 0, "first wavelength");
  CHECK_NEAR(lh_wave_nm(LH_WAVES - 1), 730, 0, "last wavelength");
}

/* f' of CIELAB at t = X/Xn. */
static double f_slope(double t)
{
  return t > 216.0 / 24389.0 ? 1.0 / (3.0 * pow(t, 2.0 / 3.0)) : 841.0 / 108.0;
}

/* Measured pigments (USGS DS1035).  The 10 nm columns are plain sums with
** their own white, printed to 4 decimals; the reflectances are printed to 5,
** so each of X/Xn, Y, Z/Zn may be off by 5e-6: L*, a*, b* by that times their
** slopes. */
static void pigment(const pigment_colour_row *t, const double r[LH_WAVES])
{
  const double e = 5e-6;
  lh_xyz v = lh_spectrum_xyz(r, LH_D65), w = lh_spectrum_white(LH_D65);
  double fx = e * f_slope(v.x / w.x), fy = e * f_slope(v.y),
         fz = e * f_slope(v.z / w.z);
  lh_lab c = lh_spectrum_lab(r, LH_D65), ref = {t->L, t->a, t->b};

  CHECK_NEAR(c.L, t->L_10nm, 5e-5 + 116 * fy, "%s L*", t->pigment);
  CHECK_NEAR(c.a, t->a_10nm, 5e-5 + 500 * (fx + fy), "%s a*", t->pigment);
  CHECK_NEAR(c.b, t->b_10nm, 5e-5 + 200 * (fy + fz), "%s b*", t->pigment);
  /* A difference moves by no more than its ends do; CIEDE2000 stretches a* of
  ** greyish colours by up to 1.5. */
  double slack = 2e-4 + 116 * fy + 750 * (fx + fy) + 200 * (fy + fz);
  CHECK_NEAR(lh_delta_e00(c, ref), t->dE00_10nm, slack, "%s dE00 to 5 nm",
             t->pigment);
  /* Under illuminant A only the 5 nm result is known.  10 nm sums differ from
  ** it under D65 by up to 0.1246 (largest dE00_10nm of the table); the same
  ** is allowed under A. */
  lh_lab a = lh_spectrum_lab(r, LH_A), want = {t->L_A, t->a_A, t->b_A};
  CHECK_NEAR(lh_delta_e00(a, want), 0.0, 0.1246, "%s under A", t->pigment);
  /* The 8-bit screen colour: a 10 nm sum may move a part by one step. */
  lh_rgb s = lh_srgb_clip(lh_spectrum_srgb(v, LH_D65)), h;
  CHECK(lh_hex_srgb(t->hex, &h) == LH_OK, "%s hex", t->pigment);
  CHECK_NEAR(fmax(fabs(s.r - h.r), fmax(fabs(s.g - h.g), fabs(s.b - h.b))), 0.0,
             1.5 / 255, "%s sRGB within a step of %s", t->pigment, t->hex);
}

static void pigments(void)
{
  CHECK((int)pigment_reflectance_10nm_count == (int)LH_WAVES, "36 rows");
  for (size_t j = 0; j < pigment_colour_count; j++) {
    double r[LH_WAVES];
    for (size_t i = 0; i < LH_WAVES; i++)
      r[i] = pigment_reflectance_10nm[i][j + 1];
    pigment(&pigment_colour[j], r);
  }
}

/* Patch p at 5 nm step k (380..780). */
static double patch(size_t k, size_t p)
{
  return chart24_reflectance_5nm[k][p + 1];
}

/* Weight of 5 nm step k in the 5 nm sum, part j; and in ours, which takes
** each 10 nm sample as the triangle of its three 5 nm neighbours (the way the
** pigments' samples were made). */
static const int light_column[LH_ILLUMINANTS] = {7, 4, 6};

static double weight_5(int ill, size_t j, size_t k, double sum)
{
  return cie1931_5nm[k][j + 1] * cie1931_5nm[k][light_column[ill]] / sum;
}

static double weight_10(int ill, size_t j, size_t k, double sum)
{
  double at = 0;

  for (size_t i = 0; i < LH_WAVES; i++) {
    double w = weight_5(ill, j, 2 * i, sum);
    double side = i == 0 ? 0.5 : 0.25, middle = 0.5;
    if (k == 2 * i) at += w * middle;
    if (k == 2 * i + 1 || k + 1 == 2 * i) at += w * side;
  }
  return at;
}

/* Sum of the Y row: all 5 nm steps, or every second up to 730 nm. */
static double sum_of(int ill, size_t step, size_t end)
{
  double sum = 0;

  for (size_t k = 0; k < end; k += step) sum += weight_5(ill, 1, k, 1);
  return sum;
}

/* The 24 patches (Ohta 1997).  The reference is a 5 nm sum, ours one at 10
** nm.  Three checks: the reference, summed here from its own tables, to its
** printed digits; ours against the same 10 nm sum done here; and ours against
** the reference within the bound sum |w5 - w10| r, which is what two such
** sums can differ by for any spectrum. */
static void one_patch(const chart24_colour_row *t, size_t p, int ill)
{
  double r[LH_WAVES], s5 = sum_of(ill, 1, 81), s10 = sum_of(ill, 2, 71);
  double want[3] = {t->X, t->Y, t->Z};

  for (size_t i = 0; i < LH_WAVES; i++)
    r[i] = i == 0 ? (patch(0, p) + patch(1, p)) / 2
                  : (patch(2 * i - 1, p) + 2 * patch(2 * i, p) +
                     patch(2 * i + 1, p)) /
                        4;
  lh_xyz v = lh_spectrum_xyz(r, (lh_illuminant)ill);
  double ours[3] = {v.x, v.y, v.z};
  for (size_t j = 0; j < 3; j++) {
    double five = 0, ten = 0, bound = 0;
    for (size_t k = 0; k < 81; k++) {
      double a = weight_5(ill, j, k, s5), b = weight_10(ill, j, k, s10);
      five += a * patch(k, p);
      ten += b * patch(k, p);
      bound += fabs(a - b) * patch(k, p);
    }
    CHECK_NEAR(five, want[j], 6e-7, "%s %s %c, 5 nm", t->patch, t->illuminant,
               "XYZ"[j]);
    CHECK_NEAR(ours[j], ten, 1e-13, "%s %s %c, 10 nm", t->patch, t->illuminant,
               "XYZ"[j]);
    CHECK_NEAR(ours[j], want[j], bound + 5e-7, "%s %s %c", t->patch,
               t->illuminant, "XYZ"[j]);
  }
}

static void chart(void)
{
  CHECK((int)cie1931_5nm_count == 81 && chart24_reflectance_5nm_count >= 81,
        "5 nm tables from 380 to 780 nm");
  for (size_t i = 0; i < chart24_colour_count; i++) {
    const chart24_colour_row *t = &chart24_colour[i];
    int ill = 0;
    while (strcmp(light_name[ill], t->illuminant) != 0) ill++;
    one_patch(t, i / 3, ill);
    /* L*a*b* from the printed XYZ (6 decimals) against the light's published
    ** chromaticity. */
    static const double xy[LH_ILLUMINANTS][2] = {
        {0.3127, 0.3290}, {0.44758, 0.40745}, {0.34570, 0.35850}};
    lh_xyz w = lh_white_xy(xy[ill][0], xy[ill][1]);
    lh_lab c = lh_xyz_lab((lh_xyz){t->X, t->Y, t->Z}, w);
    double slack = 5e-5 + 500 * 5e-7 *
                              (f_slope(t->X / w.x) / w.x + f_slope(t->Y) +
                               f_slope(t->Z / w.z) / w.z);
    CHECK_NEAR(c.L, t->L, slack, "%s %s L*", t->patch, t->illuminant);
    CHECK_NEAR(c.a, t->a, slack, "%s %s a*", t->patch, t->illuminant);
    CHECK_NEAR(c.b, t->b, slack, "%s %s b*", t->patch, t->illuminant);
  }
}

static void properties(void)
{
  for (int ill = 0; ill < LH_ILLUMINANTS; ill++) {
    double one[LH_WAVES], grey[LH_WAVES];
    for (size_t i = 0; i < LH_WAVES; i++) one[i] = 1.0, grey[i] = 0.184;
    lh_lab w = lh_spectrum_lab(one, (lh_illuminant)ill);
    lh_rgb s = lh_spectrum_srgb(lh_spectrum_xyz(one, (lh_illuminant)ill),
                                (lh_illuminant)ill);
    CHECK_NEAR(w.L, 100, 1e-12, "white is L* 100 under %s", light_name[ill]);
    CHECK_NEAR(fabs(w.a) + fabs(w.b), 0, 1e-11, "and neutral");
    CHECK_NEAR(fabs(s.r - 1) + fabs(s.g - 1) + fabs(s.b - 1), 0, 1e-11,
               "white is white on the screen under %s", light_name[ill]);
    s = lh_spectrum_srgb(lh_spectrum_xyz(grey, (lh_illuminant)ill),
                         (lh_illuminant)ill);
    CHECK_NEAR(fabs(s.r - s.g) + fabs(s.b - s.g), 0, 1e-11,
               "grey is neutral on the screen under %s", light_name[ill]);
    CHECK_NEAR(lh_spectrum_xyz(grey, (lh_illuminant)ill).y, 0.184, 1e-14,
               "Y of a flat grey under %s", light_name[ill]);
  }
}

int main(void)
{
  whites();
  pigments();
  chart();
  properties();
  return CHECK_DONE();
}
