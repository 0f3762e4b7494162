/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Spectra read at other wavelengths.
**
** Oracles: the USGS pigment tables, made at 5 and at 10 nm of the same
** measurements with triangles of those widths, which are one another's
** average 1/4, 1/2, 1/4 exactly; polynomials, on which Sprague's curve is
** exact up to the fourth degree (his condition); the order of its error.
*/
#include <string.h>

#include "check.h"
#include "pigment_reflectance_10nm.h"
#include "pigment_reflectance_5nm.h"
#include "resample.h"

enum { POWDERS = 32, FINE = 81 };

_Static_assert(sizeof pigment_reflectance_5nm[0] ==
                   (POWDERS + 1) * sizeof(double),
               "a wavelength and the powders");

static void column(size_t k, double r[FINE])
{
  for (size_t i = 0; i < FINE; i++) r[i] = pigment_reflectance_5nm[i][k + 1];
}

/* Both tables print five digits: an average of three may be off by 5e-6, and
** what it is held against by as much.  At 380 nm half the triangle is
** missing. */
static void tables(void)
{
  static const lh_wave_grid g = {380, 5, FINE};
  lh_resample_info info;

  CHECK(lh_resample_plan(&g, &info) == LH_OK &&
            info.way == LH_RESAMPLE_AVERAGED && !info.low && !info.high,
        "every 5 nm is averaged");
  for (size_t k = 0; k < POWDERS; k++) {
    double r[FINE], out[LH_WAVES], worst = 0;
    column(k, r);
    lh_resample(&g, r, out);
    for (size_t w = 1; w < LH_WAVES; w++)
      worst = fmax(worst, fabs(out[w] - pigment_reflectance_10nm[w][k + 1]));
    CHECK_NEAR(worst, 0, 1e-5 + 1e-12, "powder %zu: the 10 nm table", k + 1);
  }
}

/* What is held beyond 400 and 700 nm, against what the powders do there. */
static void held(void)
{
  double squares = 0, n = 0;

  for (size_t k = 0; k < POWDERS; k++)
    for (size_t steps = 1; steps <= LH_RESAMPLE_HELD; steps++) {
      double low = pigment_reflectance_10nm[2][k + 1];
      double high = pigment_reflectance_10nm[32][k + 1];
      double off[2] = {
          high - pigment_reflectance_10nm[32 + steps][k + 1],
          steps < 3 ? low - pigment_reflectance_10nm[2 - steps][k + 1] : NAN};
      for (int i = 0; i < 2; i++)
        if (!isnan(off[i]))
          squares += pow(off[i] / lh_resample_doubt(steps), 2), n++;
    }
  /* One figure is kept of 0.02: it stands for 0.015 to 0.025. */
  CHECK(sqrt(squares / n) > 0.75 && sqrt(squares / n) < 1.25,
        "held values are off as they are stated to be, %.2f times in the mean",
        sqrt(squares / n));
}

static double quartic(double nm)
{
  double x = (nm - 550) / 200;
  return 0.4 + x * (0.2 + x * (-0.3 + x * (0.15 + x * 0.25)));
}

static void polynomials(void)
{
  static const lh_wave_grid g[] = {{360, 20, 21}, {355, 10, 40}, {363, 7, 56}};

  for (size_t i = 0; i < 3; i++) {
    double r[64], worst = 0,
                  top = g[i].first + g[i].step * (double)(g[i].n - 1);
    for (size_t k = 0; k < g[i].n; k++)
      r[k] = quartic(g[i].first + g[i].step * (double)k);
    /* Away from the two pieces at each end, which hang on readings made up. */
    for (double nm = g[i].first + 2 * g[i].step; nm < top - 2 * g[i].step;
         nm += 0.7)
      worst =
          fmax(worst, fabs(lh_resample_sprague(&g[i], r, nm) - quartic(nm)));
    CHECK_NEAR(worst, 0, 1e-13, "every %g nm: exact to the fourth degree",
               g[i].step);
    worst = 0;
    for (size_t k = 0; k < g[i].n; k++)
      worst =
          fmax(worst, fabs(lh_resample_sprague(
                               &g[i], r, g[i].first + g[i].step * (double)k) -
                           r[k]));
    CHECK_NEAR(worst, 0, 1e-14, "every %g nm: through the readings", g[i].step);
  }
  for (size_t i = 0; i < 3; i++) {
    double r[64], out[LH_WAVES], worst = 0;
    for (size_t k = 0; k < g[i].n; k++) r[k] = 0.37;
    lh_resample(&g[i], r, out);
    for (size_t w = 0; w < LH_WAVES; w++)
      worst = fmax(worst, fabs(out[w] - 0.37));
    CHECK_NEAR(worst, 0, 1e-14, "grey stays grey, every %g nm", g[i].step);
  }
}

/* Exact on the fourth degree: halving the step makes the error a sixteenth or
** less. */
static void order(void)
{
  double worst[2] = {0, 0};

  for (int half = 0; half < 2; half++) {
    lh_wave_grid g = {340, half ? 10 : 20, half ? 47 : 24};
    double r[64];
    for (size_t k = 0; k < g.n; k++)
      r[k] = 0.5 + 0.4 * sin((g.first + g.step * (double)k) / 25);
    for (double nm = 400; nm < 700; nm += 0.3)
      worst[half] = fmax(worst[half], fabs(lh_resample_sprague(&g, r, nm) -
                                           (0.5 + 0.4 * sin(nm / 25))));
  }
  CHECK(worst[1] > 1e-9 && worst[0] >= 16 * worst[1],
        "half the step, a sixteenth of the error at most (%.2g, %.2g)",
        worst[0], worst[1]);
}

static void ends(void)
{
  lh_wave_grid g = {400, 10, 31};
  lh_resample_info info;
  double r[64], out[LH_WAVES];

  for (size_t k = 0; k < 64; k++) r[k] = 0.1 + 0.01 * (double)k;
  CHECK(lh_resample_plan(&g, &info) == LH_OK && info.low == 2 &&
            info.high == 3 && info.way == LH_RESAMPLE_AS_IS,
        "400 to 700 nm: two and three are held");
  lh_resample(&g, r, out);
  CHECK(memcmp(out + 2, r, 31 * sizeof *r) == 0, "10 nm stay as they are");
  CHECK(out[0] == r[0] && out[1] == r[0] && out[33] == r[30] &&
            out[35] == r[30],
        "the ends are held");
  g = (lh_wave_grid){420, 10, 32};
  CHECK(lh_resample_plan(&g, &info) == LH_RANGE && info.low == 4,
        "from 420 nm on is refused");
  g = (lh_wave_grid){380, 10, 32};
  CHECK(lh_resample_plan(&g, &info) == LH_RANGE && info.high == 4,
        "up to 690 nm is refused");
  g = (lh_wave_grid){360, 25, 17};
  CHECK(lh_resample_plan(&g, &info) == LH_RANGE, "every 25 nm is refused");
  g = (lh_wave_grid){380, 10, 5};
  CHECK(lh_resample_plan(&g, &info) == LH_INPUT, "five readings are too few");
  g = (lh_wave_grid){380, NAN, 40};
  CHECK(lh_resample_plan(&g, &info) == LH_INPUT, "no step");
  g = (lh_wave_grid){380, -10, 40};
  CHECK(lh_resample_plan(&g, &info) == LH_INPUT, "a step back");
  g = (lh_wave_grid){380, 0.1, 3501};
  CHECK(lh_resample_plan(&g, &info) == LH_INPUT, "too many");
}

/* A straight line has the same average wherever the triangle is even; a dark
** spike between coarse readings does not go below black. */
static void shapes(void)
{
  static const double steps[] = {1, 2, 2.5, 10.0 / 3, 4, 5};
  double dark[21] = {0}, out[LH_WAVES], least = 1;
  lh_wave_grid coarse = {360, 20, 21};

  for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
    lh_wave_grid g = {380, steps[i], (size_t)floor(350 / steps[i] + 1.001)};
    double r[400], worst = 0;
    for (size_t k = 0; k < g.n; k++)
      r[k] = 0.001 * (g.first + g.step * (double)k);
    lh_resample(&g, r, out);
    for (size_t w = 0; w < LH_WAVES; w++)
      worst = fmax(
          worst, fabs(out[w] - 0.001 * fmin(lh_wave_nm(w),
                                            380 + g.step * (double)(g.n - 1))));
    CHECK_NEAR(worst, 0, 1e-13, "a straight line every %g nm", steps[i]);
  }
  dark[9] = 1;
  lh_resample(&coarse, dark, out);
  for (size_t w = 0; w < LH_WAVES; w++) least = fmin(least, out[w]);
  CHECK(least == 0 && lh_resample_sprague(&coarse, dark, 570) < 0,
        "the curve swings below 0, the reflectance does not");
}

int main(void)
{
  tables();
  held();
  polynomials();
  order();
  ends();
  shapes();
  return CHECK_DONE();
}
