/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "layers.h"

#include <assert.h>
#include <math.h>

#include "exact.h"

/* The derivation is in layers.h; k = K X, s = S X, g = sqrt(k (k + 2 s)),
** e = exp(-2 g), w = (1 - e)/g. */

/* w, given g and e.  Below 0.05 the difference 1 - e would lose digits;
** there the series 2 (1 - x/2! + x^2/3! - ...), x = 2 g, first term left out
** x^9/10! < 3e-16. */
static inline double span(double g, double e)
{
  double x = 2.0 * g;

  if (g >= 0.05) return (1.0 - e) / g;
  return 2.0 *
         (1.0 -
          x / 2.0 *
              (1.0 -
               x / 3.0 *
                   (1.0 -
                    x / 4.0 *
                        (1.0 -
                         x / 5.0 *
                             (1.0 -
                              x / 6.0 *
                                  (1.0 -
                                   x / 7.0 *
                                       (1.0 - x / 8.0 * (1.0 - x / 9.0))))))));
}

/* K X and S X, brought below 1e100 together. */
static void depths(double K, double S, double X, double *k, double *s)
{
  double most = fmax(K, S);

  assert(!(K < 0.0) && !(S < 0.0) && !(X < 0.0));
  if (most > 0.0 && X > 1e100 / most) X = 1e100 / most;
  *k = K * X;
  *s = S * X;
}

double lh_layer_over(double K, double S, double X, double Rg)
{
  double k, s, g, e, w, light, back;

  depths(K, S, X, &k, &s);
  g = sqrt(k * (k + 2.0 * s));
  e = lh_exact_exp(-2.0 * g);
  w = span(g, e);
  light = s * w * (1.0 - Rg);
  back = g + k > 0.0 ? 2.0 * k * (s / (g + k)) * w : 0.0;
  return (light + Rg * (2.0 * e + back)) / (light + 1.0 + e + k * w);
}

double lh_layer_through(double K, double S, double X)
{
  double k, s, g, e;

  depths(K, S, X, &k, &s);
  g = sqrt(k * (k + 2.0 * s));
  e = lh_exact_exp(-2.0 * g);
  return 2.0 * lh_exact_exp(-g) / ((k + s) * span(g, e) + 1.0 + e);
}

double lh_layer_endless(double K, double S)
{
  double q;

  assert(!(K < 0.0) && !(S < 0.0));
  if (K == 0.0) return 1.0;
  q = S / K; /* so that neither ratio can overflow into NaN */
  if (q <= 1.0) return q / (1.0 + q + sqrt(1.0 + 2.0 * q));
  q = K / S;
  return 1.0 / (1.0 + q + sqrt(q * (q + 2.0)));
}

double lh_layer_ratio(double R)
{
  assert(!(R <= 0.0) && !(R > 1.0));
  return (1.0 - R) * (1.0 - R) / (2.0 * R);
}

static bool bad(double v)
{
  return !(v >= 0.0 && v <= 1e6);
}

lh_status lh_slip_prepare(const lh_slip_optics *slip, lh_slip_ready *ready)
{
  for (size_t i = 0; i < LH_WAVES; i++)
    if (bad(slip->absorption[i]) || bad(slip->scattering[i])) return LH_RANGE;
  for (size_t i = 0; i < LH_WAVES; i++) {
    double K = slip->absorption[i], S = slip->scattering[i];
    double G = sqrt(K * (K + 2.0 * S));
    ready->absorption[i] = K;
    ready->scattering[i] = S;
    ready->decay[i] = G;
    ready->back[i] = G + K > 0.0 ? 2.0 * K * (S / (G + K)) : 0.0;
  }
  return LH_OK;
}

void lh_slip_over(const lh_slip_ready *ready, double coat,
                  const double under[LH_WAVES], double over[LH_WAVES])
{
  assert(!(coat < 0.0));
  if (coat > 1e90) coat = 1e90; /* K, S <= 1e6: nothing overflows */
  for (size_t i = 0; i < LH_WAVES; i++) {
    double Rg = under[i], g = ready->decay[i] * coat;
    double e = lh_exact_exp(-2.0 * g), w = span(g, e) * coat;
    double light = ready->scattering[i] * w * (1.0 - Rg);
    over[i] = (light + Rg * (2.0 * e + ready->back[i] * w)) /
              (light + 1.0 + e + ready->absorption[i] * w);
  }
}

lh_status lh_slip_mix(const lh_slip_optics *part, const double *share, size_t n,
                      lh_slip_optics *mix)
{
  double sum = 0.0;

  for (size_t j = 0; j < n; j++) {
    if (bad(share[j])) return LH_RANGE;
    sum += share[j];
  }
  if (!(sum > 0.0)) return LH_RANGE;
  for (size_t i = 0; i < LH_WAVES; i++) {
    double K = 0.0, S = 0.0;
    for (size_t j = 0; j < n; j++) {
      K += share[j] * part[j].absorption[i];
      S += share[j] * part[j].scattering[i];
    }
    mix->absorption[i] = K / sum;
    mix->scattering[i] = S / sum;
  }
  return LH_OK;
}
