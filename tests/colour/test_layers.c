/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Slip layers against Kubelka's closed forms, and their limits. */
#include <stdint.h>

#include "check.h"
#include "glaze.h"
#include "km_endless.h"
#include "km_hiding.h"
#include "km_layer.h"
#include "km_mixture.h"
#include "km_multilayer.h"
#include "layers.h"

static double draw(double low, double high)
{
  static uint64_t s = 17;

  s = s * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  return low + (high - low) * (double)(s >> 11) * 0x1p-53;
}

/* Saunderson's surface as the tables have it. */
static double saunderson(double k1, double k2, double R)
{
  lh_boundary b = {k1, (1 - k1) * (1 - k2), k2};

  return lh_boundary_measured(&b, R);
}

/* 12 significant digits printed: 5e-12 of the value at worst. */
static void layer_table(void)
{
  for (size_t i = 0; i < km_layer_count; i++) {
    const double *t = km_layer[i];
    double R = lh_layer_over(t[0], t[1], t[2], t[3]);
    CHECK_NEAR(lh_layer_endless(t[0], t[1]), t[4], 5e-12 * t[4],
               "layer %zu endless", i);
    CHECK_NEAR(lh_layer_over(t[0], t[1], t[2], 0), t[5], 5e-12 * t[5],
               "layer %zu over black", i);
    CHECK_NEAR(lh_layer_through(t[0], t[1], t[2]), t[6], 5e-12 * t[6],
               "layer %zu through", i);
    CHECK_NEAR(R, t[7], 5e-12 * t[7], "layer %zu over its ground", i);
    CHECK_NEAR(R, t[8], 1.5e-11 * t[8], "layer %zu by Runge-Kutta", i);
    CHECK_NEAR(saunderson(0.04, 0.60, R), t[9], 5e-11, "layer %zu, k2 0.60", i);
    CHECK_NEAR(saunderson(0.04, 0.5964, R), t[10], 5e-11, "layer %zu, 0.5964",
               i);
  }
  for (size_t i = 0; i < km_endless_count; i++) {
    const double *t = km_endless[i];
    CHECK_NEAR(lh_layer_endless(t[0], 1), t[1], 5e-15 * t[1] + 5e-16,
               "endless, K/S %g", t[0]);
    /* Back: dR of 5e-16 is magnified by |dq/dR| = (1 - R^2)/(2 R^2). */
    double slope = (1 - t[1] * t[1]) / (2 * t[1] * t[1]);
    CHECK_NEAR(lh_layer_ratio(t[1]), t[0],
               slope * (5e-15 * t[1] + 1e-15) + 1e-15, "K/S of R %g", t[1]);
  }
}

static void multilayer_table(void)
{
  for (size_t i = 0; i < km_multilayer_count; i++) {
    const double *t = km_multilayer[i];
    double below = lh_layer_over(t[3], t[4], t[5], t[6]);
    double R = lh_layer_over(t[0], t[1], t[2], below);
    double T1 = lh_layer_through(t[0], t[1], t[2]);
    double T2 = lh_layer_through(t[3], t[4], t[5]);
    double R1 = lh_layer_over(t[0], t[1], t[2], 0);
    double R2 = lh_layer_over(t[3], t[4], t[5], 0);
    CHECK_NEAR(R, t[7], 5e-11, "two layers %zu (10 digits)", i);
    CHECK_NEAR(T1 * T2 / (1 - R1 * R2), t[8], 5e-12 * t[8],
               "two layers %zu through", i);
    CHECK_NEAR(saunderson(0.04, 0.5964, R), t[9], 5e-11, "under a surface");
  }
}

/* Contrast ratio 0.98 and 0.95 (ISO 6504): K/S and SX printed to 10 digits;
** d(CR)/d(ln SX) stays below 0.3. */
static void hiding_table(void)
{
  for (size_t i = 0; i < km_hiding_count; i++) {
    const double *t = km_hiding[i];
    double k = t[1];
    CHECK_NEAR(lh_layer_over(k, 1, t[2], 0) / lh_layer_over(k, 1, t[2], 0.8),
               0.98, 3e-10, "contrast 0.98, Rinf %g", t[0]);
    CHECK_NEAR(lh_layer_over(k, 1, t[3], 0) / lh_layer_over(k, 1, t[3], 0.8),
               0.95, 3e-10, "contrast 0.95, Rinf %g", t[0]);
    CHECK_NEAR(lh_layer_over(k, 1, t[4], 0.01) / lh_layer_over(k, 1, t[4], 0.8),
               0.98, 3e-10, "contrast over 0.01, Rinf %g", t[0]);
    CHECK_NEAR(lh_layer_over(k, 1, t[2], 0), t[5], 5e-10, "R, Rinf %g", t[0]);
    CHECK_NEAR(saunderson(0.04, 0.5964, lh_layer_over(k, 1, t[6], 0)) /
                   saunderson(0.04, 0.5964, lh_layer_over(k, 1, t[6], 0.8)),
               0.98, 3e-10, "with a surface, Rinf %g", t[0]);
  }
}

/* Three made-up colorants at five wavelengths (see the table's first line),
** put in the first five of ours; 15 digits. */
static void mixture_table(void)
{
  static const double K[3][5] = {
      {1, .5, 1, .5, 1}, {1, 1, .25, .5, .5}, {1, 1, .75, .25, .25}};
  static const double S[3][5] = {
      {.2, .4, .6, .8, 1}, {1, .8, .6, .4, .2}, {.2, .8, .2, .8, .2}};
  lh_slip_optics part[3], mix;
  int used = 0;

  memset(part, 0, sizeof part);
  for (size_t j = 0; j < 3; j++)
    for (size_t i = 0; i < 5; i++)
      part[j].absorption[i] = K[j][i], part[j].scattering[i] = S[j][i];
  for (size_t n = 0; n < km_mixture_count; n++) {
    const km_mixture_row *t = &km_mixture[n];
    double share[3] = {t->c1, t->c2, t->c3};
    double want[5] = {t->R1, t->R2, t->R3, t->R4, t->R5};
    lh_boundary spex = {0, (1 - 0.033) * (1 - 0.66), 0.66};
    if (strncmp(t->model, "two_constant", 12) != 0) continue;
    used++;
    CHECK(lh_slip_mix(part, share, 3, &mix) == LH_OK, "mixture %zu", n);
    for (size_t i = 0; i < 5; i++) {
      double R = lh_layer_endless(mix.absorption[i], mix.scattering[i]);
      if (t->model[12]) R = lh_boundary_measured(&spex, R);
      CHECK_NEAR(R, want[i], 1e-15, "mixture %zu wavelength %zu", n, i);
    }
  }
  CHECK(used == 18, "all two-constant rows");
  CHECK(lh_slip_mix(part, (double[]){0, 0, 0}, 3, &mix) == LH_RANGE,
        "shares that add to nothing");
  CHECK(lh_slip_mix(part, (double[]){1, -1, 1}, 3, &mix) == LH_RANGE,
        "a negative share");
  CHECK(lh_slip_mix(part, NULL, 0, &mix) == LH_RANGE, "no shares");
}

static void limits(void)
{
  /* Closed forms: S = 0 is Beer's law both ways; K = 0 is Stokes' pile. */
  CHECK_NEAR(lh_layer_over(0.3, 0, 7, 0.6), 0.6 * exp(-4.2), 1e-15, "S = 0");
  CHECK_NEAR(lh_layer_over(0, 0.3, 7, 0.0), 2.1 / 3.1, 1e-15, "K = 0");
  CHECK_NEAR(lh_layer_over(0, 0.3, 7, 1.0), 1, 1e-15, "K = 0 over white");
  CHECK_NEAR(lh_layer_over(0, 0, 7, 0.6), 0.6, 0, "K = S = 0");
  CHECK_NEAR(lh_layer_over(1, 2, 0, 0.6), 0.6, 0, "no coat");
  CHECK_NEAR(lh_layer_over(1e-9, 0.3, 7, 0.2), lh_layer_over(0, 0.3, 7, 0.2),
             1e-7, "K -> 0 is no jump (d R/d KX < 10)");
  CHECK_NEAR(lh_layer_over(0.3, 1e-12, 7, 0.2), lh_layer_over(0.3, 0, 7, 0.2),
             1e-11, "S -> 0 is no jump");
  CHECK_NEAR(lh_layer_over(0.01, 0.3, 1e300, 0.2), lh_layer_endless(0.01, 0.3),
             1e-15, "endless coat");
  CHECK_NEAR(lh_layer_over(1e300, 1e300, 1e300, 0.2), lh_layer_endless(1, 1),
             1e-15, "everything huge");
  CHECK_NEAR(lh_layer_over(1e-300, 1e-300, 1e-300, 0.2), 0.2, 1e-16,
             "everything tiny");
  CHECK_NEAR(lh_layer_endless(0, 0), 1, 0, "endless and clear: said to be 1");
  CHECK_NEAR(lh_layer_endless(1, 0), 0, 0, "endless without scattering");
  CHECK_NEAR(lh_layer_endless(1e300, 1e-300), 0, 0, "no overflow");
}

/* Two coats of one slip are one of the sum; more slip is monotone towards
** the endless colour; nothing leaves 0..1 or becomes NaN. */
static void properties(void)
{
  double split = 0, outside = 0, wrong = 0, spectral = 0;

  for (int i = 0; i < 50000; i++) {
    double K = pow(10, draw(-8, 4)), S = pow(10, draw(-8, 4));
    double x = pow(10, draw(-6, 6)), y = pow(10, draw(-6, 6)), g = draw(0, 1);
    if (i % 50 == 0) K = 0;
    if (i % 50 == 1) S = 0;
    double two = lh_layer_over(K, S, x, lh_layer_over(K, S, y, g));
    double one = lh_layer_over(K, S, x + y, g);
    double end = lh_layer_endless(K, S);
    split = fmax(split, fabs(two - one));
    if (!(one >= 0 && one <= 1)) outside++;
    if (S > 0 &&
        fabs(one - end) > fabs(lh_layer_over(K, S, y, g) - end) + 1e-14)
      wrong++;
  }
  /* K -> 0 with a coat of S X = 1e10: R within 1e-10 of 1, rounding 1e-16. */
  CHECK_NEAR(split, 0, 1e-13, "two coats of one slip are one of the sum");
  CHECK(outside == 0, "never outside 0..1, never NaN");
  CHECK(wrong == 0, "a thicker coat lies nearer the endless colour");
  lh_slip_optics o;
  lh_slip_ready ready;
  double under[LH_WAVES], over[LH_WAVES];
  for (int i = 0; i < 2000; i++) {
    double x = pow(10, draw(-6, 6));
    for (size_t k = 0; k < LH_WAVES; k++) {
      o.absorption[k] = i % 9 ? pow(10, draw(-8, 4)) : 0;
      o.scattering[k] = i % 7 ? pow(10, draw(-8, 4)) : 0;
      under[k] = draw(0, 1);
    }
    if (lh_slip_prepare(&o, &ready) != LH_OK) wrong++;
    lh_slip_over(&ready, x, under, over);
    for (size_t k = 0; k < LH_WAVES; k++)
      spectral = fmax(spectral, fabs(over[k] - lh_layer_over(o.absorption[k],
                                                             o.scattering[k], x,
                                                             under[k])));
  }
  CHECK(wrong == 0, "slips are taken");
  CHECK_NEAR(spectral, 0, 1e-14, "the prepared loop gives the same");
  lh_slip_over(&ready, INFINITY, under, over);
  CHECK_NEAR(over[3], lh_layer_endless(o.absorption[3], o.scattering[3]), 1e-14,
             "an infinite coat");
  o.absorption[5] = -1;
  CHECK(lh_slip_prepare(&o, &ready) == LH_RANGE, "negative K refused");
  o.absorption[5] = (double)NAN;
  CHECK(lh_slip_prepare(&o, &ready) == LH_RANGE, "NaN refused");
}

int main(void)
{
  layer_table();
  multilayer_table();
  hiding_table();
  mixture_table();
  limits();
  properties();
  return CHECK_DONE();
}
