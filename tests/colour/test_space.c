/* SPDX-License-Identifier: GPL-3.0-or-later */
/* XYZ, CIELAB, sRGB and adaptation, against tables. */
#include <stdint.h>

#include "check.h"
#include "munsell_chain.h"
#include "munsell_renotation.h"
#include "pigment_colour.h"
#include "space.h"
#include "srgb_xyz_lab.h"

/* The matrices that IEC 61966-2-1:1999 prints, to 4 decimals.  Ours is worked
** out from the primaries in full; what the two may differ by follows from the
** printed digits. */
static const double printed[3][3] = {{0.4124, 0.3576, 0.1805},
                                     {0.2126, 0.7152, 0.0722},
                                     {0.0193, 0.1192, 0.9505}};
static const double printed_back[3][3] = {{3.2406, -1.5372, -0.4986},
                                          {-0.9689, 1.8758, 0.0415},
                                          {0.0557, -0.2040, 1.0570}};

/* Our XYZ -> linear matrix, read off far below the transfer curve's knee. */
static double back(size_t row, size_t column)
{
  const double t = 1e-5;
  lh_rgb c = lh_xyz_srgb(
      (lh_xyz){column == 0 ? t : 0, column == 1 ? t : 0, column == 2 ? t : 0});
  double v[3] = {c.r, c.g, c.b};

  return v[row] / (12.92 * t);
}

/* f' of CIELAB at t = X/Xn. */
static double f_slope(double t)
{
  return t > 216.0 / 24389.0 ? 1.0 / (3.0 * pow(t, 2.0 / 3.0)) : 841.0 / 108.0;
}

/* How far rounding of XYZ by e moves a* (the largest of the three). */
static double lab_slack(lh_xyz c, lh_xyz w, double e)
{
  return 500 * e *
         (f_slope(c.x / w.x) / w.x + f_slope(c.y / w.y) +
          f_slope(c.z / w.z) / w.z);
}

static double encode_slope(double c)
{
  return c > 0.0031308 ? 1.055 / 2.4 * pow(c, 1 / 2.4 - 1) : 12.92;
}

/* How far rounding the forward matrix to 4 decimals moves entry i,j of its
** inverse: |dM^-1| <= |M^-1| |dM| |M^-1|, |dM| <= 5e-5. */
static double back_slack(size_t i, size_t j)
{
  double row = 0, column = 0;

  for (size_t k = 0; k < 3; k++) {
    row += fabs(back(i, k));
    column += fabs(back(k, j));
  }
  return 5e-5 * row * column;
}

/* Allowed difference of encoded sRGB, part `row`, when a published value used
** the 4-decimal matrices (the printed inverse, or the inverse of the printed
** forward one) and XYZ rounded by e; 5 decimals printed. */
static double srgb_slack(lh_xyz c, size_t row, double e)
{
  double v[3] = {c.x, c.y, c.z}, linear = 0.0, d = 0.0;

  for (size_t j = 0; j < 3; j++) {
    double m = back(row, j);
    linear += m * v[j];
    d += (back_slack(row, j) + 5e-5) * fabs(v[j]) + fabs(m) * e;
  }
  return d * fmax(encode_slope(linear), encode_slope(linear - d)) + 5e-6;
}

static void srgb_table(void)
{
  lh_xyz w = lh_srgb_white();

  CHECK_NEAR(w.x, 0.950456, 5e-7, "sRGB white X");
  CHECK_NEAR(w.z, 1.089058, 5e-7, "sRGB white Z");
  for (size_t i = 0; i < srgb_xyz_lab_count; i++) {
    const srgb_xyz_lab_row *t = &srgb_xyz_lab[i];
    lh_rgb c;
    char hex[8];
    CHECK(lh_hex_srgb(t->hex, &c) == LH_OK, "read %s", t->hex);
    CHECK_NEAR(c.r, t->R8 / 255, 1e-16, "%s red", t->hex);
    lh_srgb_hex(c, hex);
    CHECK_TEXT(hex + 1, t->hex, "written back, row %zu", i);
    /* The table used the printed matrix: each entry rounded by 5e-5. */
    lh_xyz v = lh_srgb_xyz(c);
    double slack = 5e-5 * (lh_srgb_decode(c.r) + lh_srgb_decode(c.g) +
                           lh_srgb_decode(c.b)) +
                   5e-8;
    CHECK_NEAR(v.x, t->X, slack, "%s X", t->hex);
    CHECK_NEAR(v.y, t->Y, slack, "%s Y", t->hex);
    CHECK_NEAR(v.z, t->Z, slack, "%s Z", t->hex);
    /* With the printed matrix applied here, the table's own digits. */
    double l[3] = {lh_srgb_decode(c.r), lh_srgb_decode(c.g),
                   lh_srgb_decode(c.b)};
    double x[3] = {0, 0, 0};
    for (size_t j = 0; j < 3; j++)
      for (size_t k = 0; k < 3; k++) x[j] += printed[j][k] * l[k];
    CHECK_NEAR(x[0], t->X, 5.1e-8, "%s X, printed matrix", t->hex);
    CHECK_NEAR(x[1], t->Y, 5.1e-8, "%s Y, printed matrix", t->hex);
    CHECK_NEAR(x[2], t->Z, 5.1e-8, "%s Z, printed matrix", t->hex);
    lh_lab lab = lh_xyz_lab((lh_xyz){x[0], x[1], x[2]}, w);
    CHECK_NEAR(lab.L, t->L, 5.1e-6, "%s L*", t->hex);
    CHECK_NEAR(lab.a, t->a, 5.1e-6, "%s a*", t->hex);
    CHECK_NEAR(lab.b, t->b, 5.1e-6, "%s b*", t->hex);
  }
  for (size_t i = 0; i < 3; i++)
    for (size_t j = 0; j < 3; j++)
      CHECK_NEAR(back(i, j), printed_back[i][j], back_slack(i, j) + 5e-5,
                 "inverse matrix %zu,%zu", i, j);
}

/* Renotation x, y, Y under C -> XYZ -> Lab(C); Bradford to D65 -> Lab, sRGB.
** Printed: Lab to 4, XYZ to 6, sRGB to 5 decimals. */
static void munsell(void)
{
  lh_xyz C = lh_white_xy(0.31006, 0.31616), D65 = lh_white_xy(0.3127, 0.3290);
  size_t found = 0;

  for (size_t i = 0; i < munsell_chain_count; i++) {
    const munsell_chain_row *t = &munsell_chain[i];
    const munsell_renotation_row *m = munsell_renotation;
    for (size_t k = 0; k < munsell_renotation_count; k++, m++)
      if (m->value == t->value && m->chroma == t->chroma &&
          strcmp(m->hue, t->hue) == 0)
        break;
    if (m == munsell_renotation + munsell_renotation_count) continue;
    found++;
    double Y = m->Y_MgO * 0.975 / 100;
    lh_xyz c = lh_white_xy(m->x, m->y);
    c = (lh_xyz){c.x * Y, Y, c.z * Y};
    lh_lab lab = lh_xyz_lab(c, C);
    CHECK_NEAR(c.x, t->X_C, 6e-7, "%s %g/%g X under C", t->hue, t->value,
               t->chroma);
    CHECK_NEAR(fmax(fmax(fabs(lab.L - t->L_C), fabs(lab.a - t->a_C)),
                    fabs(lab.b - t->b_C)),
               0, 6e-5, "%s %g/%g L*a*b* under C", t->hue, t->value, t->chroma);
    lh_xyz d = lh_adapt(c, C, D65);
    lab = lh_xyz_lab(d, D65);
    CHECK_NEAR(fmax(fmax(fabs(d.x - t->X_D65), fabs(d.y - t->Y_D65)),
                    fabs(d.z - t->Z_D65)),
               0, 6e-7, "%s %g/%g adapted", t->hue, t->value, t->chroma);
    CHECK_NEAR(fmax(fmax(fabs(lab.L - t->L_D65), fabs(lab.a - t->a_D65)),
                    fabs(lab.b - t->b_D65)),
               0, 6e-5, "%s %g/%g L*a*b*", t->hue, t->value, t->chroma);
    lh_rgb s = lh_xyz_srgb(d);
    CHECK_NEAR(s.r, t->sR, srgb_slack(d, 0, 0), "%s %g/%g R", t->hue, t->value,
               t->chroma);
    CHECK_NEAR(s.g, t->sG, srgb_slack(d, 1, 0), "%s %g/%g G", t->hue, t->value,
               t->chroma);
    CHECK_NEAR(s.b, t->sB, srgb_slack(d, 2, 0), "%s %g/%g B", t->hue, t->value,
               t->chroma);
    CHECK(lh_srgb_in_gamut(s) == (t->in_gamut > 0.5), "%s %g/%g in gamut",
          t->hue, t->value, t->chroma);
  }
  CHECK(found == munsell_chain_count, "every row found in the renotation");
}

/* The pigments' XYZ (6 decimals) to their Lab and sRGB. */
static void pigments(void)
{
  lh_xyz w = lh_white_xy(0.3127, 0.3290);

  for (size_t i = 0; i < pigment_colour_count; i++) {
    const pigment_colour_row *t = &pigment_colour[i];
    lh_xyz c = {t->X_D65, t->Y_D65, t->Z_D65};
    lh_lab lab = lh_xyz_lab(c, w);
    lh_rgb s = lh_xyz_srgb(c);
    double slack = 5e-5 + lab_slack(c, w, 5e-7);
    CHECK_NEAR(lab.L, t->L, slack, "%s L*", t->pigment);
    CHECK_NEAR(lab.a, t->a, slack, "%s a*", t->pigment);
    CHECK_NEAR(lab.b, t->b, slack, "%s b*", t->pigment);
    CHECK_NEAR(s.r, t->sR, srgb_slack(c, 0, 5e-7), "%s R", t->pigment);
    CHECK_NEAR(s.g, t->sG, srgb_slack(c, 1, 5e-7), "%s G", t->pigment);
    CHECK_NEAR(s.b, t->sB, srgb_slack(c, 2, 5e-7), "%s B", t->pigment);
  }
}

static double draw(double low, double high)
{
  static uint64_t s = 11;

  s = s * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  return low + (high - low) * (double)(s >> 11) * 0x1p-53;
}

/* There and back; the libm cube root and power beside our own. */
static void round_trips(void)
{
  double lab = 0, rgb = 0, cube = 0, code = 0, adapt = 0;
  lh_xyz w = lh_srgb_white(), A = lh_white_xy(0.44758, 0.40745);

  for (int i = 0; i < 20000; i++) {
    lh_lab c = {draw(-5, 110), draw(-150, 150), draw(-150, 150)};
    lh_lab d = lh_xyz_lab(lh_lab_xyz(c, w), w);
    lab = fmax(lab,
               fmax(fabs(c.L - d.L), fmax(fabs(c.a - d.a), fabs(c.b - d.b))));
    lh_rgb e = {draw(-0.5, 1.5), draw(-0.5, 1.5), draw(-0.5, 1.5)};
    lh_rgb f = lh_xyz_srgb(lh_srgb_xyz(e));
    rgb = fmax(rgb,
               fmax(fabs(e.r - f.r), fmax(fabs(e.g - f.g), fabs(e.b - f.b))));
    double t = pow(10, draw(-2, 30));
    lh_lab g = lh_xyz_lab((lh_xyz){0, t, 0}, (lh_xyz){1, 1, 1});
    cube = fmax(cube, fabs((g.L + 16) / 116 / cbrt(t) - 1));
    t = pow(10, draw(-2.4, 0.5));
    code =
        fmax(code, fabs(lh_srgb_encode(t) - (1.055 * pow(t, 1 / 2.4) - 0.055)));
    lh_xyz x = {draw(0, 1), draw(0, 1), draw(0, 1)};
    lh_xyz y = lh_adapt(lh_adapt(x, w, A), A, w);
    adapt = fmax(adapt, fabs(x.x - y.x) + fabs(x.y - y.y) + fabs(x.z - y.z));
  }
  CHECK_NEAR(lab, 0, 1e-11, "Lab -> XYZ -> Lab");
  /* The standard's two joins, 0.0031308 and 0.04045, do not quite meet: the
  ** segment 12.92 c ends at 0.04044994, the curve starts at 0.04045; a value
  ** between changes branch and moves by less than 1e-6. */
  CHECK_NEAR(rgb, 0, 1e-6, "sRGB -> XYZ -> sRGB, also outside 0..1");
  CHECK_NEAR(cube, 0, 1e-15, "cube root beside libm's");
  CHECK_NEAR(code, 0, 2e-15, "power 1/2.4 beside libm's");
  CHECK_NEAR(adapt, 0, 1e-13, "adapted there and back");
}

static void edges(void)
{
  lh_rgb c = {-0.1, 0.5, 1.2}, v = {7, 7, 7};
  char hex[8];

  CHECK_NEAR(lh_srgb_encode(-0.01), -0.1292, 1e-15, "below zero: 12.92 c");
  CHECK_NEAR(lh_srgb_decode(-0.1292), -0.01, 1e-15, "and back");
  CHECK(!lh_srgb_in_gamut(c), "outside the gamut");
  lh_srgb_hex(c, hex);
  CHECK_TEXT(hex, "#0080ff", "hex is clipped");
  lh_srgb_hex((lh_rgb){(double)NAN, 0, 0}, hex);
  CHECK_TEXT(hex, "#000000", "NaN does not get through");
  CHECK(lh_hex_srgb("#12345", &v) == LH_INPUT, "five digits refused");
  CHECK(lh_hex_srgb("#1234567", &v) == LH_INPUT, "seven refused");
  CHECK(lh_hex_srgb("#12345g", &v) == LH_INPUT, "g refused");
  CHECK(lh_hex_srgb("", &v) == LH_INPUT && v.r == 7, "nothing refused");
  CHECK(lh_hex_srgb("FFffFF", &v) == LH_OK && v.g == 1, "capitals taken");
}

int main(void)
{
  srgb_table();
  munsell();
  pigments();
  round_trips();
  edges();
  return CHECK_DONE();
}
