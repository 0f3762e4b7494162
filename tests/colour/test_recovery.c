/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Likely reflectances: known solutions, and round trips. */
#include <stdint.h>

#include "check.h"
#include "difference.h"
#include "pigment_reflectance_10nm.h"
#include "recovery.h"
#include "recovery_external.h"
#include "recovery_lhtss.h"
#include "recovery_mallett.h"
#include "recovery_methods.h"

static double draw(double low, double high)
{
  static uint64_t s = 23;

  s = s * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  return low + (high - low) * (double)(s >> 11) * 0x1p-53;
}

/* Independent base spectra with their own rows, 38 wavelengths; exact
** solutions to 1e-11 as the table says. */
static void external(void)
{
  static const char *const name[6] = {"cyan", "magenta", "yellow",
                                      "red",  "green",   "blue"};
  enum { N = recovery_external_count };
  double rows[3 * N], rho[N];

  for (size_t j = 0; j < 3; j++)
    for (size_t i = 0; i < N; i++)
      rows[j * N + i] = recovery_external[i][1 + j];
  for (size_t k = 0; k < 6; k++) {
    double want[3] = {0, 0, 0}, worst = 0;
    for (size_t j = 0; j < 3; j++)
      for (size_t i = 0; i < N; i++)
        want[j] += rows[j * N + i] * recovery_external[i][4 + k];
    CHECK(lh_recover_rows(rows, N, want, rho, NULL) == LH_OK, "%s", name[k]);
    for (size_t i = 0; i < N; i++)
      worst = fmax(worst, fabs(rho[i] - recovery_external[i][4 + k]));
    CHECK_NEAR(worst, 0, 1e-11, "%s base spectrum", name[k]);
  }
}

/* Printed to 8 decimals. */
static void table(void)
{
  for (size_t k = 0; k < recovery_lhtss_count; k++) {
    const recovery_lhtss_row *t = &recovery_lhtss[k];
    const double *want = &t->_380;
    double rho[LH_WAVES], worst = 0;
    lh_recover_info info;
    lh_rgb c;
    CHECK(lh_hex_srgb(t->hex, &c) == LH_OK, "read %s", t->hex);
    CHECK(lh_recover(lh_srgb_xyz(c), rho, &info) == LH_OK, "recover %s",
          t->hex);
    for (size_t i = 0; i < LH_WAVES; i++)
      worst = fmax(worst, fabs(rho[i] - want[i]));
    CHECK_NEAR(worst, 0, 5.1e-9, "reflectance of %s", t->hex);
    CHECK(info.residual < 1e-12 && info.iterations < 40,
          "%s settled in %d steps", t->hex, info.iterations);
  }
}

/* Lab of a recovered spectrum, by lh_spectrum_lab. */
static double miss(lh_rgb c, const double *rho)
{
  lh_lab want = lh_srgb_lab(c), got = lh_spectrum_lab(rho, LH_D65);

  return fmax(fabs(want.L - got.L),
              fmax(fabs(want.a - got.a), fabs(want.b - got.b)));
}

/* Every corner, edge and a sample of the inside of sRGB comes back. */
static void round_trips(void)
{
  double worst = 0, outside = 0, rho[LH_WAVES];
  int failed = 0, count = 0;

  for (int i = 0; i < 1500; i++) {
    lh_rgb c = {draw(0, 1), draw(0, 1), draw(0, 1)};
    if (i < 27)
      c = (lh_rgb){i % 3 / 2.0, i / 3 % 3 / 2.0, i / 9 / 2.0};
    else if (i % 5 == 0)
      c.r = i % 2;
    else if (i % 7 == 0)
      c.g = 0, c.b *= 0.02, c.r *= 0.02; /* dark and pure */
    count++;
    if (lh_recover(lh_srgb_xyz(c), rho, NULL)) {
      printf("# %g %g %g\n", c.r, c.g, c.b);
      failed++;
      continue;
    }
    worst = fmax(worst, miss(c, rho));
    for (size_t k = 0; k < LH_WAVES; k++)
      if (!(rho[k] >= 0 && rho[k] <= 1)) outside++;
  }
  CHECK(failed == 0, "%d colours of sRGB all have a reflectance", count);
  CHECK(outside == 0, "always within 0..1");
  /* Newton stops at 1e-13 in XYZ (1e-11 at worst), slope of a* up to 7800. */
  CHECK_NEAR(worst, 0, 1e-7, "L*a*b* comes back");
}

/* Measured pigments: the colour returns; the spectrum is only a guess.  How
** far off it is under illuminant A was worked out independently, printed to 4
** decimals; the reflectances behind it are printed to 5, so a difference of
** two colours is good to about 2e-3 where L* is 13 (slope of L*a*b* 400 x
** 5e-6). */
static void pigments(void)
{
  double worst = 0, cobalt = 0, others = 0;
  size_t p = 0;

  for (size_t k = 0; k < recovery_methods_count; k++) {
    const recovery_methods_row *t = &recovery_methods[k];
    double r[LH_WAVES], rho[LH_WAVES];
    if (strcmp(t->method, "lhtss") != 0) continue;
    p++;
    for (size_t i = 0; i < LH_WAVES; i++) r[i] = pigment_reflectance_10nm[i][p];
    lh_lab a = lh_spectrum_lab(r, LH_D65);
    CHECK(lh_recover(lh_lab_xyz(a, lh_srgb_white()), rho, NULL) == LH_OK, "%s",
          t->pigment);
    lh_lab b = lh_spectrum_lab(rho, LH_D65);
    CHECK_NEAR(fabs(a.L - b.L) + fabs(a.a - b.a) + fabs(a.b - b.b), 0, 1e-7,
               "%s comes back", t->pigment);
    double d =
        lh_delta_e00(lh_spectrum_lab(r, LH_A), lh_spectrum_lab(rho, LH_A));
    CHECK_NEAR(d, t->dE_A, 2e-3, "%s under A", t->pigment);
    worst = fmax(worst, d);
    if (strcmp(t->pigment, "cobalt_aluminate_blue") == 0 ||
        strcmp(t->pigment, "cobalt_violet") == 0)
      cobalt = cobalt > 0 ? fmin(cobalt, d) : d;
    else
      others = fmax(others, d);
  }
  CHECK(p == 32, "all 32 pigments");
  CHECK(worst < 5, "the guess is never more than dE00 5 off under A");
  CHECK(cobalt > 2 * others,
        "cobalt's blue and violet more than twice as far as any other pigment");
}

/* Least slope squared: sum of squared steps of z, rho = (tanh z + 1)/2. */
static double slope(const double *rho)
{
  double sum = 0, last = 0;

  for (size_t i = 0; i < LH_WAVES; i++) {
    double z = atanh(2 * rho[i] - 1);
    if (i) sum += (z - last) * (z - last);
    last = z;
  }
  return sum;
}

/* No published spectrum of the same colour is smoother by that measure: that is
** what least means.  The measured pigments, and blends of Mallett and Yuksel's
** base spectra (2019), which are the smoothest in another sense. */
static void smoothest(void)
{
  double most = 0, off = 0, r[LH_WAVES], rho[LH_WAVES];
  int count = 0, failed = 0;

  for (size_t k = 0; k < 32 + 125; k++) {
    double c[3] = {0.02 + 0.24 * (double)(k % 5),
                   0.02 + 0.24 * (double)(k / 5 % 5),
                   0.02 + 0.24 * (double)(k / 25 % 5)};
    for (size_t i = 0; i < LH_WAVES; i++)
      r[i] = k < 32 ? pigment_reflectance_10nm[i][1 + k]
                    : c[0] * recovery_mallett[i][1] +
                          c[1] * recovery_mallett[i][2] +
                          c[2] * recovery_mallett[i][3];
    lh_lab want = lh_spectrum_lab(r, LH_D65), got;
    if (lh_recover(lh_lab_xyz(want, lh_srgb_white()), rho, NULL)) {
      failed++;
      continue;
    }
    got = lh_spectrum_lab(rho, LH_D65);
    off = fmax(off, fabs(want.L - got.L) + fabs(want.a - got.a) +
                        fabs(want.b - got.b));
    if (slope(r) > 1e-9) most = fmax(most, slope(rho) / slope(r));
    count++;
  }
  CHECK(failed == 0 && count == 157, "157 published spectra and blends");
  CHECK_NEAR(off, 0, 3e-7, "their colours come back");
  CHECK(most < 1 + 1e-9,
        "none is smoother than what is recovered: %.3f at most", most);
}

static void edges(void)
{
  double rho[LH_WAVES], one = 0, none = 0, flat = 0;
  lh_xyz w = lh_srgb_white();

  CHECK(lh_recover(w, rho, NULL) == LH_OK, "white");
  for (size_t i = 0; i < LH_WAVES; i++) one = fmax(one, fabs(rho[i] - 1));
  CHECK_NEAR(one, 0, 0, "white is 1");
  CHECK(lh_recover((lh_xyz){0, 0, 0}, rho, NULL) == LH_OK, "black");
  for (size_t i = 0; i < LH_WAVES; i++) none = fmax(none, rho[i]);
  CHECK_NEAR(none, 0, 0, "black is 0");
  for (double Y = 1e-6; Y < 1; Y = Y < 0.5 ? Y * 3 : 1 - (1 - Y) / 10) {
    if (1 - Y < 1e-8) break;
    CHECK(lh_recover((lh_xyz){Y * w.x, Y, Y * w.z}, rho, NULL) == LH_OK,
          "grey of Y %.9g", Y);
    for (size_t i = 0; i < LH_WAVES; i++) flat = fmax(flat, fabs(rho[i] - Y));
  }
  CHECK_NEAR(flat, 0, 1e-9, "greys are flat");
  rho[0] = 7;
  CHECK(lh_recover((lh_xyz){0.9, 1.2, 0.9}, rho, NULL) == LH_RANGE,
        "brighter than white refused");
  CHECK(lh_recover((lh_xyz){0.1, 0.8, 0.1}, rho, NULL) == LH_RANGE,
        "purer than any reflectance refused");
  CHECK(lh_recover((lh_xyz){(double)NAN, 0.5, 0.5}, rho, NULL) == LH_RANGE,
        "NaN refused");
  CHECK(lh_recover((lh_xyz){-0.1, 0.1, 0.1}, rho, NULL) == LH_RANGE,
        "negative X refused");
  CHECK(rho[0] == 7, "a refusal leaves the caller's numbers alone");
}

int main(void)
{
  external();
  table();
  round_trips();
  pigments();
  smoothest();
  edges();
  return CHECK_DONE();
}
