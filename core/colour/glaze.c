/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "glaze.h"

#include <assert.h>
#include <math.h>

#include "exact.h"

/* How well the sums below do.  A panel [h, 2h] seen as the interval -1..1 has
** an ellipse of foci -1, 1 and half axes 5/3, 4/3 (rho = 3) on which the
** integrand is analytic: with nu the cosine in air, nu and mu(nu) keep
** positive real parts there, so no denominator of Fresnel's vanishes, r and
** the exponential stay at or below 1 in size.  A Gauss rule of 16 points then
** errs by less than (64/15) rho^-32 / (1 - rho^-2) times the size of the
** integrand (2 nu/n^2 <= 4.7 h) times the half width h/2; over all panels the
** sum of h^2 is below 1/3, which gives 1e-14.  The last panel, [0, 2^-10],
** is as good while the branch points nu = +-i sqrt(n^2 - 1) lie well outside
** it (n >= 1.001); nearer to n = 1 its whole content, 1e-6, is the bound.
** Ref:  L. N. Trefethen (2008), SIAM Review 50(1), theorem 4.5. */
enum { PANELS = 11 };

/* Abramowitz & Stegun, table 25.4, n = 16. */
static const double gauss[8][2] = {
    {0.095012509837637440, 0.189450610455068496},
    {0.281603550779258913, 0.182603415044923589},
    {0.458016777657227386, 0.169156519395002538},
    {0.617876244402643748, 0.149595988816576732},
    {0.755404408355003034, 0.124628971255533872},
    {0.865631202387831744, 0.095158511682492785},
    {0.944575023073232576, 0.062253523938647893},
    {0.989400934991649933, 0.027152459411754095}};

/* Sines of the angles in air: 8 and 45 degrees. */
static const double sin_8 = 0.139173100960065444;
static const double sin_45 = 0.707106781186547524;

double lh_fresnel(double n, double cosine)
{
  double nu = cosine, mu = sqrt(1.0 - (1.0 - nu * nu) / (n * n));
  double s, p;

  if (n == 1.0) return 0.0;
  s = (nu - n * mu) / (nu + n * mu);
  p = (n * nu - mu) / (n * nu + mu);
  return 0.5 * (s * s + p * p);
}

/* E2 and E3 together: the first by series or continued fraction. */
static void expint(double x, double *e2, double *e3)
{
  double ex = lh_exact_exp(-x);

  if (x < 1e-300) {
    *e2 = 1.0;
    *e3 = 0.5;
    return;
  }
  if (x <= 1.0) { /* E1 by 5.1.11, then 5.1.14 upwards */
    double e1 = -0.57721566490153286061 - lh_exact_log(x), term = -1.0;
    for (int k = 1; k <= 20; k++) {
      term *= -x / k;
      e1 += term / k;
    }
    *e2 = ex - x * e1;
    *e3 = 0.5 * (ex - x * *e2);
    return;
  }
  for (int m = 2; m <= 3; m++) { /* 5.1.22, by Lentz's method */
    double b = x + m, c = 1e300, d = 1.0 / b, h = d;
    for (int i = 1; i <= 200; i++) {
      double a = -(double)i * (m - 1 + i), step;
      b += 2.0;
      d = 1.0 / (a * d + b);
      c = b + a / c;
      step = c * d;
      h *= step;
      if (fabs(step - 1.0) < 1e-16) break;
    }
    *(m == 2 ? e2 : e3) = h * ex;
  }
}

double lh_expint3(double x)
{
  double e2, e3;

  assert(!(x < 0.0));
  expint(x, &e2, &e3);
  return e3;
}

/* Tout, k2 and their slopes in tau. */
typedef struct {
  double out, out_slope, back, back_slope;
} integrals;

static integrals integrate(double n, double tau)
{
  integrals v = {0.0, 0.0, 0.0, 0.0};
  double n2 = n * n, critical = sqrt(1.0 - 1.0 / n2), e2, e3;

  if (n == 1.0) {
    expint(tau, &e2, &e3);
    return (integrals){2.0 * e3, -2.0 * e2, 0.0, 0.0};
  }
  /* Within the critical angle, in nu, the cosine in air: mu dmu = nu dnu/n^2,
  ** which takes the root at the critical angle out of the integrand. */
  for (int j = 0; j < PANELS; j++) {
    double high = j < PANELS - 1 ? 1.0 / (double)(1 << j) : 0x1p-10;
    double low = j < PANELS - 1 ? 0.5 * high : 0.0;
    double mid = 0.5 * (high + low), half = 0.5 * (high - low);
    for (int i = 0; i < 16; i++) {
      double x = i & 1 ? -gauss[i / 2][0] : gauss[i / 2][0];
      double nu = mid + half * x, mu = sqrt(1.0 - (1.0 - nu * nu) / n2);
      double weight = gauss[i / 2][1] * half * 2.0 * nu / n2;
      double r = lh_fresnel(n, nu), once = lh_exact_exp(-tau / mu);
      v.out += weight * (1.0 - r) * once;
      v.out_slope -= weight * (1.0 - r) * once / mu;
      v.back += weight * r * once * once;
      v.back_slope -= weight * r * once * once * 2.0 / mu;
    }
  }
  /* Beyond it r = 1: 2 int_0^c mu exp(-2 tau/mu) dmu = 2 c^2 E3(2 tau/c). */
  expint(2.0 * tau / critical, &e2, &e3);
  v.back += 2.0 * critical * critical * e3;
  v.back_slope -= 4.0 * critical * e2;
  return v;
}

double lh_glaze_back(double n, double tau)
{
  assert(n >= 1.0 && n <= 4.0 && tau >= 0.0);
  return integrate(n, tau).back;
}

double lh_glaze_out(double n, double tau)
{
  assert(n >= 1.0 && n <= 4.0 && tau >= 0.0);
  return integrate(n, tau).out;
}

static bool good_index(double n)
{
  return n >= 1.0 && n <= 4.0;
}

/* What does not depend on tau. */
static void surface(double n, lh_geometry g, lh_glaze_table *t)
{
  double sine = g == LH_45_0 ? sin_45 : sin_8;
  double r = lh_fresnel(n, sqrt(1.0 - sine * sine));

  t->n = n;
  t->k1 = g == LH_D8_IN ? r : 0.0;
  t->enter = 1.0 - r;
  t->slant = 1.0 / sqrt(1.0 - sine * sine / (n * n));
  t->leave = g == LH_45_0 ? (1.0 - lh_fresnel(n, 1.0)) / (n * n) : -1.0;
}

/* Tin Tout once Tout of diffuse light is known. */
static double through(const lh_glaze_table *t, double tau, double out)
{
  if (t->leave >= 0.0)
    return t->enter * t->leave * lh_exact_exp(-tau * (t->slant + 1.0));
  return t->enter * lh_exact_exp(-tau * t->slant) * out;
}

lh_status lh_glaze_boundary(double n, double tau, lh_geometry g, lh_boundary *b)
{
  lh_glaze_table t;
  integrals v;

  if (!good_index(n) || !(tau >= 0.0) || (unsigned)g >= LH_GEOMETRIES)
    return LH_RANGE;
  surface(n, g, &t);
  v = integrate(n, tau);
  *b = (lh_boundary){t.k1, through(&t, tau, v.out), v.back};
  return LH_OK;
}

double lh_boundary_measured(const lh_boundary *b, double R)
{
  return b->k1 + b->tt * R / (1.0 - b->k2 * R);
}

double lh_boundary_internal(const lh_boundary *b, double R)
{
  double x = (R - b->k1) / b->tt; /* R / (1 - k2 R) of the internal one */

  return x / (1.0 + b->k2 * x);
}

/* Nodes of the table: u = sqrt(tau) = i / 64, up to 4. */
static const double nodes_per_u = 64.0;

lh_status lh_glaze_tabulate(double n, lh_geometry g, lh_glaze_table *t)
{
  if (!good_index(n) || (unsigned)g >= LH_GEOMETRIES) return LH_RANGE;
  surface(n, g, t);
  for (int i = 0; i < LH_GLAZE_NODES; i++) {
    double u = i / nodes_per_u;
    integrals v = integrate(n, u * u);
    t->out[i][0] = v.out;
    t->out[i][1] = 2.0 * u * v.out_slope; /* d/du = 2 u d/dtau */
    t->back[i][0] = v.back;
    t->back[i][1] = 2.0 * u * v.back_slope;
  }
  return LH_OK;
}

/* Cubic Hermite between two nodes, f from 0 to 1. */
static double hermite(const double a[2], const double b[2], double f)
{
  double h = 1.0 / nodes_per_u, g = 1.0 - f;

  return g * g * ((1.0 + 2.0 * f) * a[0] + f * h * a[1]) +
         f * f * ((3.0 - 2.0 * f) * b[0] - g * h * b[1]);
}

lh_boundary lh_glaze_at(const lh_glaze_table *t, double tau)
{
  const int last = LH_GLAZE_NODES - 2;
  double x, out, back;
  int i;

  assert(tau >= 0.0);
  if (tau >= 16.0) { /* all but black by now; keep it falling */
    double fall = lh_exact_exp(16.0 - tau);
    out = t->out[last + 1][0] * fall;
    back = t->back[last + 1][0] * fall * fall;
  } else {
    x = sqrt(tau) * nodes_per_u;
    i = (int)x < last ? (int)x : last;
    out = hermite(t->out[i], t->out[i + 1], x - i);
    back = hermite(t->back[i], t->back[i + 1], x - i);
  }
  return (lh_boundary){t->k1, through(t, tau, out), back};
}
