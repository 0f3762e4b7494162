/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pale and strong: the ends of what the tiles leave open.
**
** Oracles: every point of the circle of equal likelihood, tried one by one;
** a sampling of the doubt by the GNU Scientific Library's generator, sorted;
** and what any potter knows of stains on white and white on red. */
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdlib.h>

#include "check.h"
#include "strength.h"

/* Invented slips, ln K and ln S smooth in the wavelength. */
static lh_slip_optics white, blue, violet, black;
static double body[LH_WAVES];

static lh_slip_optics slip(double k, double peak, double s)
{
  lh_slip_optics o;

  for (int i = 0; i < LH_WAVES; i++) {
    double off = (380 + 10 * i - peak) / 70;
    o.absorption[i] = k * (0.03 + exp(-off * off));
    o.scattering[i] = s;
  }
  return o;
}

static void slips(void)
{
  white = slip(0.0003, 400, 0.05);
  blue = slip(0.05, 600, 0.02);
  violet = slip(0.02, 560, 0.004);
  black = slip(0.3, 550, 0.01);
  for (int i = 0; i < LH_WAVES; i++) body[i] = i < 20 ? 0.08 : 0.3;
}

static double light(const lh_stack *s, const lh_slip_optics *upper, double k,
                    double sc)
{
  lh_stack_layer layers[4];
  lh_slip_optics scaled = *upper;
  lh_stack t = *s;
  double R[LH_WAVES];

  for (size_t i = 0; i < s->count; i++) layers[i] = s->layers[i];
  for (int i = 0; i < LH_WAVES; i++) {
    scaled.absorption[i] *= k;
    scaled.scattering[i] *= sc;
  }
  layers[0].slip = &scaled;
  t.layers = layers;
  if (lh_stack_reflectance(&t, R) != LH_OK) CHECK(0, "a colour is worked out");
  return lh_spectrum_lab(R, LH_D65).L;
}

/* Of all that are as likely, none is lighter than pale. */
static void test_circle(const char *what, const lh_stack *s, double doubt,
                        lh_strength to)
{
  const lh_slip_optics *from = s->layers[0].slip;
  double far = 1.6449 * doubt, best = -INFINITY, got, k, sc, sign;
  lh_slip_optics out;

  CHECK(lh_strength_shift(s, LH_D65, doubt, to, &out) == LH_OK, "%s: shifted",
        what);
  k = out.absorption[7] / from->absorption[7];
  sc = out.scattering[7] / from->scattering[7];
  CHECK_NEAR(hypot(log(k), log(sc)), far, 1e-4 * far,
             "%s: 1.645 standard deviations off", what);
  for (int i = 0; i < LH_WAVES; i++) {
    if (fabs(out.absorption[i] / from->absorption[i] - k) < 1e-12 * k &&
        fabs(out.scattering[i] / from->scattering[i] - sc) < 1e-12 * sc)
      continue;
    CHECK(0, "%s: one factor for all wavelengths (%d)", what, i);
  }
  sign = to == LH_STRENGTH_PALE ? 1 : -1;
  got = sign * light(s, from, k, sc);
  for (int i = 0; i < 360; i++) {
    double a = i * 3.14159265358979 / 180;
    best =
        fmax(best, sign * light(s, from, exp(far * cos(a)), exp(far * sin(a))));
  }
  /* The direction is that of the slope at the middle: on a bent L* the best
  ** point lies a little aside, by the second derivative: L* over ln K of a
  ** coat bends by less than its slope, so an angle of far/2 at most, and
  ** 1 - cos of that of the way. */
  CHECK_NEAR(got, best,
             fabs(best - sign * light(s, from, 1, 1)) *
                     (1 - cos(far / 2 + 0.02)) +
                 0.01,
             "%s: of all as likely, the %s", what,
             to == LH_STRENGTH_PALE ? "lightest" : "darkest");
}

static int by_size(const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;

  return (x > y) - (x < y);
}

/* Both ends hold nine in ten of what is drawn. */
static void test_share(const char *what, const lh_stack *s, double doubt)
{
  enum { DRAWS = 4000 };
  const lh_slip_optics *from = s->layers[0].slip;
  static double L[DRAWS];
  lh_slip_optics pale, strong;
  gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
  double low, high;
  int in = 0;

  lh_strength_shift(s, LH_D65, doubt, LH_STRENGTH_PALE, &pale);
  lh_strength_shift(s, LH_D65, doubt, LH_STRENGTH_STRONG, &strong);
  high = light(s, &pale, 1, 1);
  low = light(s, &strong, 1, 1);
  for (int i = 0; i < DRAWS; i++) {
    double k = exp(gsl_ran_gaussian(rng, doubt));
    double sc = exp(gsl_ran_gaussian(rng, doubt));
    lh_slip_optics scaled = *from;
    lh_stack_layer layers[4];
    lh_stack t = *s;
    double R[LH_WAVES];
    for (size_t j = 0; j < s->count; j++) layers[j] = s->layers[j];
    for (int j = 0; j < LH_WAVES; j++) {
      scaled.absorption[j] *= k;
      scaled.scattering[j] *= sc;
    }
    layers[0].slip = &scaled;
    t.layers = layers;
    lh_stack_reflectance(&t, R);
    L[i] = lh_spectrum_lab(R, LH_D65).L;
    in += L[i] > low && L[i] < high;
  }
  qsort(L, DRAWS, sizeof *L, by_size);
  /* Two standard errors of 90 % of 4000 are 0.9 %; what bends is within 1 %
  ** at a doubt of 10 %. */
  CHECK_NEAR(100.0 * in / DRAWS, 90, 2, "%s: between them nine in ten", what);
  gsl_rng_free(rng);
}

static void test_signs(void)
{
  lh_glaze glaze = {.index = 1.5, .eaten = 8, .share = 0.25};
  lh_stack_layer on_white[2] = {{&blue, 60}, {&white, 220}};
  lh_stack_layer on_red[1] = {{&white, 120}};
  lh_stack a = {on_white, 2, body, &glaze, LH_D8_EX};
  lh_stack b = {on_red, 1, body, &glaze, LH_D8_EX};
  lh_slip_optics out;

  lh_strength_shift(&a, LH_D65, 0.15, LH_STRENGTH_PALE, &out);
  CHECK(out.absorption[20] < blue.absorption[20],
        "a pale blue on white absorbs less");
  lh_strength_shift(&b, LH_D65, 0.15, LH_STRENGTH_PALE, &out);
  CHECK(out.scattering[20] > white.scattering[20],
        "a pale white on red scatters more: it hides better");
  lh_strength_shift(&b, LH_D65, 0.15, LH_STRENGTH_STRONG, &out);
  CHECK(out.scattering[20] < white.scattering[20], "a strong one hides less");
}

static void test_edges(void)
{
  lh_stack_layer one = {&blue, 60}, none = {&blue, 0};
  lh_stack s = {&one, 1, body, NULL, LH_D8_EX};
  lh_slip_optics out;

  CHECK(lh_strength_shift(&s, LH_D65, 0, LH_STRENGTH_PALE, &out) == LH_OK &&
            memcmp(&out, &blue, sizeof out) == 0,
        "no doubt: the same bytes");
  CHECK(lh_strength_shift(&s, LH_D65, 0.2, LH_STRENGTH_EXPECTED, &out) ==
                LH_OK &&
            memcmp(&out, &blue, sizeof out) == 0,
        "expected: the same bytes");
  CHECK(lh_strength_shift(&s, LH_D65, 1.1, LH_STRENGTH_PALE, &out) == LH_RANGE,
        "a doubt over 1 is refused");
  CHECK(lh_strength_shift(&s, LH_D65, (double)NAN, LH_STRENGTH_PALE, &out) ==
            LH_RANGE,
        "NaN is refused");
  s.layers = &none;
  CHECK(lh_strength_shift(&s, LH_D65, 0.2, LH_STRENGTH_PALE, &out) == LH_OK &&
            memcmp(&out, &blue, sizeof out) == 0,
        "a coat of nothing: no way is lighter, nothing is shifted");
  s.count = 0;
  CHECK(lh_strength_shift(&s, LH_D65, 0.2, LH_STRENGTH_PALE, &out) == LH_RANGE,
        "no layer is refused");
}

int main(void)
{
  lh_glaze glaze = {.index = 1.5, .eaten = 8, .share = 0.25};
  lh_stack_layer layers[4][2];
  const lh_slip_optics *upper[] = {&blue, &violet, &black, &white};
  static const char *const names[] = {"blue", "violet", "black", "white"};

  slips();
  for (int i = 0; i < 4; i++) {
    lh_stack s = {layers[i], i < 3 ? 2 : 1, body, i == 1 ? NULL : &glaze,
                  LH_D8_EX};
    layers[i][0] = (lh_stack_layer){upper[i], i < 3 ? 70 : 150};
    layers[i][1] = (lh_stack_layer){&white, 220};
    test_circle(names[i], &s, 0.15, LH_STRENGTH_PALE);
    test_circle(names[i], &s, 0.15, LH_STRENGTH_STRONG);
    test_share(names[i], &s, 0.1);
  }
  test_signs();
  test_edges();
  return CHECK_DONE();
}
