/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "draw.h"

#include <math.h>

#include "exact.h"

/* a[0] + a[1] x + ... + a[7] x^7 */
static double seventh(const double a[8], double x)
{
  double v = a[7];

  for (int k = 6; k >= 0; k--) v = v * x + a[k];
  return v;
}

/* Within 0.425 of the middle, where 85 of 100 draws fall. */
static double middle(double q)
{
  static const double a[8] = {3.3871328727963666080e0, 1.3314166789178437745e2,
                              1.9715909503065514427e3, 1.3731693765509461125e4,
                              4.5921953931549871457e4, 6.7265770927008700853e4,
                              3.3430575583588128105e4, 2.5090809287301226727e3};
  static const double b[8] = {1.0,
                              4.2313330701600911252e1,
                              6.8718700749205790830e2,
                              5.3941960214247511077e3,
                              2.1213794301586595867e4,
                              3.9307895800092710610e4,
                              2.8729085735721942674e4,
                              5.2264952788528545610e3};
  double r = 0.180625 - q * q;

  return q * seventh(a, r) / seventh(b, r);
}

/* r = sqrt(-ln p) of the smaller tail. */
static double tail(double r)
{
  static const double c[8] = {
      1.42343711074968357734e0,  4.63033784615654529590e0,
      5.76949722146069140550e0,  3.64784832476320460504e0,
      1.27045825245236838258e0,  2.41780725177450611770e-1,
      2.27238449892691845833e-2, 7.74545014278341407640e-4};
  static const double d[8] = {1.0,
                              2.05319162663775882187e0,
                              1.67638483018380384940e0,
                              6.89767334985100004550e-1,
                              1.48103976427480074590e-1,
                              1.51986665636164571966e-2,
                              5.47593808499534494600e-4,
                              1.05075007164441684324e-9};
  static const double e[8] = {
      6.65790464350110377720e0,  5.46378491116411436990e0,
      1.78482653991729133580e0,  2.96560571828504891230e-1,
      2.65321895265761230930e-2, 1.24266094738807843860e-3,
      2.71155556874348757815e-5, 2.01033439929228813265e-7};
  static const double f[8] = {1.0,
                              5.99832206555887937690e-1,
                              1.36929880922735805310e-1,
                              1.48753612908506148525e-2,
                              7.86869131145613259100e-4,
                              1.84631831751005468180e-5,
                              1.42151175831644588870e-7,
                              2.04426310338993978564e-15};

  if (r <= 5.0) return seventh(c, r - 1.6) / seventh(d, r - 1.6);
  return seventh(e, r - 5.0) / seventh(f, r - 5.0);
}

double lh_draw_deviate(double p)
{
  double q = p - 0.5, x;

  if (!(p > 0.0 && p < 1.0)) return NAN;
  if (fabs(q) <= 0.425) return middle(q);
  x = tail(sqrt(-lh_exact_log(q < 0.0 ? p : 1.0 - p)));
  return q < 0.0 ? -x : x;
}

double lh_draw_select(double *v, size_t n, size_t k)
{
  size_t low = 0, high = n - 1;

  while (low < high) {
    double pivot = v[k];
    size_t i = low, j = high;
    for (;;) {
      while (v[i] < pivot) i++;
      while (v[j] > pivot) j--;
      if (i <= j) {
        double t = v[i];
        v[i++] = v[j];
        v[j] = t;
        if (j == 0) break;
        j--;
      }
      if (i > j) break;
    }
    if (j < k) low = i;
    if (k < i) high = j;
    if (k < i && k > j) break;
  }
  return v[k];
}

double lh_draw_quantile(double *v, size_t n, double q)
{
  double at = q * (double)(n - 1), low, next;
  size_t k = (size_t)at;

  low = lh_draw_select(v, n, k);
  if (k + 1 >= n) return low;
  next = v[k + 1];
  for (size_t i = k + 2; i < n; i++) next = fmin(next, v[i]);
  return low + (at - (double)k) * (next - low);
}
