/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The curve through caliper points: against GSL's Steffen spline and its
** divided differences, areas and volumes of bodies known in closed form, and
** what is refused. */
#include <gsl/gsl_interp.h>
#include <gsl/gsl_poly.h>
#include <stdint.h>

#include "check.h"
#include "form.h"
#include "shapes.h"

static const double pi = 3.14159265358979323846;
static lh_curve curve; /* too large for comfort on a stack */

static double uniform(void)
{
  static uint64_t state = 7;

  state = state * 6364136223846793005U + 1442695040888963407U;
  return (double)(state >> 11) * 0x1p-53;
}

/* ---- the spline --------------------------------------------------------- */

/* Largest difference to GSL over the samples of one coordinate.  GSL ends
** with secant slopes where this room has Steffen's own end rule, so the end
** spans are built from divided differences: the parabola's slope at the end,
** GSL's Steffen slope at the other point, and GSL's Hermite polynomial. */
static double against_gsl(const double *t, const double *y, size_t n,
                          const double *got, double *ends)
{
  gsl_interp *spline = gsl_interp_alloc(gsl_interp_steffen, n);
  double worst = 0.0;

  *ends = 0.0;
  gsl_interp_init(spline, t, y, n);
  for (size_t i = 0; i + 1 < n; i++) {
    bool low = i == 0, high = i + 2 == n;
    double dd[4], za[4], d3[3], taylor[3], work[3];
    double xa[2] = {t[i], t[i + 1]}, ya[2] = {y[i], y[i + 1]}, da[2];

    if (low || high) {
      size_t from = low ? 0 : n - 3;
      double at = low ? t[0] : t[n - 1];
      gsl_poly_dd_init(d3, t + from, y + from, 3);
      gsl_poly_dd_taylor(taylor, at, d3, t + from, 3, work);
      da[low ? 0 : 1] = taylor[1];
      at = low ? t[1] : t[n - 2];
      da[low ? 1 : 0] = gsl_interp_eval_deriv(spline, t, y, at, NULL);
      gsl_poly_dd_hermite_init(dd, za, xa, ya, da, 2);
    }
    for (int j = 0; j < LH_CURVE_PIECES; j++) {
      double x = t[i] + (t[i + 1] - t[i]) * j / LH_CURVE_PIECES, want, e;
      if (low || high)
        want = gsl_poly_dd_eval(dd, za, 4, x);
      else
        want = gsl_interp_eval(spline, t, y, x, NULL);
      e = fabs(want - got[i * LH_CURVE_PIECES + (size_t)j]);
      if (low || high) {
        if (!(e <= *ends)) *ends = e;
      } else if (!(e <= worst))
        worst = e;
    }
  }
  gsl_interp_free(spline);
  return worst;
}

static void test_gsl(void)
{
  /* A vase with a belly and a neck (invented); neither end slope needs the
  ** limiter, checked by the agreement itself. */
  static const lh_point p[] = {{31, 0},   {38, 9},     {52, 31},
                               {60, 55},  {55, 82},    {37, 101},
                               {28, 110}, {29.5, 122}, {35, 131}};
  enum { N = sizeof p / sizeof p[0] };
  double t[N] = {0}, r[N], z[N], er, ez;

  CHECK(lh_curve_build(p, N, &curve, NULL) == LH_OK, "vase is drawn");
  CHECK(curve.n == (N - 1) * LH_CURVE_PIECES + 1, "16 pieces a span");
  for (size_t i = 0; i < N; i++) {
    r[i] = p[i].r;
    z[i] = p[i].z;
    if (i > 0) t[i] = t[i - 1] + hypot(r[i] - r[i - 1], z[i] - z[i - 1]);
    CHECK(curve.r[i * LH_CURVE_PIECES] == r[i] &&
              curve.z[i * LH_CURVE_PIECES] == z[i],
          "goes through point %zu exactly", i);
  }
  /* Rounding only: some 30 operations on numbers below 200. */
  CHECK_NEAR(against_gsl(t, r, N, curve.r, &er), 0, 1e-12, "r(t) is GSL's");
  CHECK_NEAR(er, 0, 1e-12, "r(t) ends: Hermite on the parabola's slope");
  CHECK_NEAR(against_gsl(t, z, N, curve.z, &ez), 0, 1e-12, "z(t) is GSL's");
  CHECK_NEAR(ez, 0, 1e-12, "z(t) ends: Hermite on the parabola's slope");
}

static void test_monotone(void)
{
  int over = 0, drawn = 0;

  for (int trial = 0; trial < 500; trial++) {
    lh_point p[12];
    double z = 0;
    for (int i = 0; i < 12; i++) {
      z += 0.1 + 20 * uniform() * uniform();
      p[i] = (lh_point){5 + 60 * uniform(), z};
    }
    if (lh_curve_build(p, 12, &curve, NULL) != LH_OK) continue;
    drawn++;
    for (size_t k = 0; k + 1 < curve.n; k++) {
      size_t i = k / LH_CURVE_PIECES;
      double dr = p[i + 1].r - p[i].r;
      if ((curve.r[k + 1] - curve.r[k]) * dr < -1e-12) over++;
      if (curve.z[k + 1] < curve.z[k] - 1e-12) over++;
    }
  }
  CHECK(drawn == 500, "500 jagged profiles are drawn: %d", drawn);
  CHECK(over == 0, "none overshoots between its points: %d", over);
}

/* ---- closed forms ------------------------------------------------------- */

static double area(double s0, double s1)
{
  double a = NAN;

  if (lh_curve_area(&curve, s0, s1, &a) != LH_OK) return NAN;
  return a;
}

static void test_straight(void)
{
  static const lh_point cylinder[] = {{40, 0}, {40, 25}, {40, 100}};
  static const lh_point cone[] = {{30, 5}, {60, 45}};
  static const lh_point dish[] = {{0, 3}, {50, 3}, {50, 23}};
  lh_curve_spot spot;

  lh_curve_build(cylinder, 3, &curve, NULL);
  CHECK_NEAR(curve.length, 100, 1e-11, "cylinder: length");
  CHECK_NEAR(area(0, 100), 2 * pi * 40 * 100, 1e-8, "cylinder: 2 pi r h");
  CHECK_NEAR(area(20, 33), 2 * pi * 40 * 13, 1e-8, "cylinder: a band of it");
  CHECK_NEAR(area(50, 50), 0, 1e-9, "cylinder: no band, no area");
  CHECK_NEAR(lh_curve_volume(&curve, 1e6), pi * 1600 * 100, 1e-7,
             "cylinder: pi r^2 h");
  CHECK_NEAR(lh_curve_volume(&curve, 40), pi * 1600 * 40, 1e-7,
             "cylinder filled to 40 mm");
  CHECK_NEAR(lh_curve_volume_per_radius(&curve), 2 * pi * 40 * 100, 1e-8,
             "cylinder: a wider one holds 2 pi r h more a mm");
  CHECK(lh_curve_volume(&curve, -1) == 0.0, "cylinder below its foot: empty");
  CHECK(lh_curve_lip(&curve) == 100.0, "cylinder: lip");

  lh_curve_build(cone, 2, &curve, NULL);
  CHECK_NEAR(curve.length, 50, 1e-11, "frustum: slant 3-4-5");
  CHECK_NEAR(area(0, curve.length), pi * (30 + 60) * 50, 1e-8,
             "frustum: pi (r1 + r2) s");
  CHECK_NEAR(area(10, 20), pi * (36 + 42) * 10, 1e-8, "frustum: part of it");
  CHECK_NEAR(area(0, 17.3) + area(17.3, curve.length), area(0, curve.length),
             1e-8, "areas add up");
  CHECK_NEAR(lh_curve_volume(&curve, 45), pi / 3 * 40 * (900 + 30 * 60 + 3600),
             1e-7, "frustum: pi h/3 (r1^2 + r1 r2 + r2^2)");
  CHECK_NEAR(lh_curve_volume(&curve, 25),
             pi / 3 * 20 * (900 + 30 * 45 + 45 * 45), 1e-7,
             "frustum filled half way");
  CHECK_NEAR(lh_curve_volume_per_radius(&curve), pi * 40 * (30 + 60), 1e-8,
             "frustum: d/dr of its volume, r1 and r2 growing alike");
  CHECK(lh_curve_at(&curve, 25, &spot) == LH_OK, "frustum: a place");
  CHECK_NEAR(spot.at.r, 45, 1e-11, "  its radius");
  CHECK_NEAR(spot.at.z, 25, 1e-11, "  its height");
  CHECK_NEAR(spot.along.r, 0.6, 1e-12, "  the tangent");
  CHECK_NEAR(spot.across.r, 0.8, 1e-12, "  the normal points out");
  CHECK_NEAR(spot.across.z, -0.6, 1e-12, "  and down under a flaring wall");

  lh_curve_build(dish, 3, &curve, NULL);
  CHECK_NEAR(curve.length, 70, 1e-11, "dish: a square corner stays one");
  CHECK_NEAR(area(0, 50), pi * 2500, 1e-8, "dish: its floor is a disc");
  CHECK_NEAR(lh_curve_volume(&curve, 23), pi * 2500 * 20, 1e-7,
             "dish: what it holds");
}

/* Relative errors of a sphere's area and volume with n points on the wall. */
static void sphere_errors(size_t n, double *a, double *v)
{
  double r = 80, t1 = 0.5, top = r * sin(t1), h = r + top;

  shape_arc_curve(0, 0, r, -pi / 2, t1, n, &curve);
  *a = area(0, curve.length) / (2 * pi * r * h) - 1;
  *v = lh_curve_volume(&curve, top) / (pi * h * h * (3 * r - h) / 3) - 1;
}

static void torus_errors(size_t n, double *a, double *v)
{
  double R = 60, b = 20;

  shape_arc_curve(R, 0, b, -pi / 2, pi / 2, n, &curve);
  *a = area(0, curve.length) / (2 * pi * b * (pi * R + 2 * b)) - 1;
  *v = lh_curve_volume(&curve, b) /
           (pi * b * (2 * R * R + pi * R * b + 4 * b * b / 3)) -
       1;
}

static void test_halving(const char *name,
                         void errors(size_t n, double *a, double *v))
{
  double a[3], v[3];

  for (int k = 0; k < 3; k++) errors((size_t)(8 << k) + 1, a + k, v + k);
  printf("# %s: area %.2g %.2g %.2g, volume %.2g %.2g %.2g\n", name, a[0], a[1],
         a[2], v[0], v[1], v[2]);
  /* A monotone cubic is of second order at the worst (where it is limited):
  ** a quarter of the error when the spacing halves, 1/3 allowing for the
  ** next order. */
  for (int k = 0; k < 2; k++) {
    CHECK(fabs(a[k + 1]) <= fabs(a[k]) / 3, "%s: area error falls, step %d",
          name, k);
    CHECK(fabs(v[k + 1]) <= fabs(v[k]) / 3, "%s: volume error falls, step %d",
          name, k);
  }
  errors(LH_CURVE_POINTS, a, v);
  /* Arc and spline both lie within the sagitta, h^2/8 of the radius, of the
  ** chord between points; h < pi/63. */
  CHECK_NEAR(a[0], 0, pi * pi / 63 / 63 / 8, "%s: area", name);
  CHECK_NEAR(v[0], 0, pi * pi / 63 / 63 / 8, "%s: volume", name);
}

static void test_round(void)
{
  double h = 30, r = 80, bound = pi * pi / 63 / 63 / 8, z;
  lh_curve_spot spot;

  test_halving("sphere", sphere_errors);
  test_halving("half torus", torus_errors);

  /* A hemispherical bowl, partly full: pi h^2 (3 r - h)/3; an error of
  ** bound * r in the radius moves it by less than 3 bound of the whole. */
  shape_arc_curve(0, r, r, -pi / 2, 0, LH_CURVE_POINTS, &curve);
  CHECK_NEAR(lh_curve_volume(&curve, h) / (pi * h * h * (3 * r - h) / 3), 1,
             3 * bound, "bowl filled to 30 mm");
  CHECK_NEAR(curve.length / (pi / 2 * r), 1, bound, "bowl: quarter circle");
  /* Archimedes: equal heights, equal areas. */
  z = area(0, pi / 3 * r) / (2 * pi * r * r * (1 - cos(pi / 3)));
  CHECK_NEAR(z, 1, 3 * bound, "bowl: area of a cap");
  lh_curve_at(&curve, 0, &spot);
  CHECK_NEAR(spot.along.z, 0, pi / 2 / 63 / 16, "bowl: level in the middle");
  lh_curve_at(&curve, curve.length * 0.5, &spot);
  CHECK_NEAR(spot.along.r, sqrt(0.5), 1e-3, "bowl: 45 degrees half way up");
  CHECK_NEAR(spot.along.r * spot.across.r + spot.along.z * spot.across.z, 0,
             1e-15, "tangent and normal stand square");
}

/* ---- refusals ----------------------------------------------------------- */

static void refused(const lh_point *p, size_t n, lh_status st, lh_curve_why why,
                    size_t first, size_t second, const char *what)
{
  lh_curve_fault f = {LH_CURVE_FINE, 99, 99};

  CHECK(lh_curve_build(p, n, &curve, &f) == st, "%s: refused", what);
  CHECK(f.why == why && f.first == first && f.second == second,
        "%s: says why and where (%d, %zu, %zu)", what, (int)f.why, f.first,
        f.second);
}

static void test_refusals(void)
{
  static const lh_point good[] = {{30, 0}, {40, 20}};
  lh_point p[LH_CURVE_POINTS + 1];
  lh_curve_spot spot;
  double a = 7;

  for (size_t i = 0; i <= LH_CURVE_POINTS; i++)
    p[i] = (lh_point){30, (double)i};
  refused(p, 1, LH_INPUT, LH_CURVE_TOO_FEW, 0, 0, "one point");
  refused(p, 0, LH_INPUT, LH_CURVE_TOO_FEW, 0, 0, "no point");
  refused(p, LH_CURVE_POINTS + 1, LH_TOOLARGE, LH_CURVE_TOO_MANY, 0, 0,
          "65 points");
  p[2].r = NAN;
  refused(p, 5, LH_INPUT, LH_CURVE_NOT_NUMBER, 2, 2, "NaN");
  p[2].r = -1;
  refused(p, 5, LH_INPUT, LH_CURVE_NEGATIVE, 2, 2, "negative radius");
  p[2].r = 0;
  refused(p, 5, LH_INPUT, LH_CURVE_ON_AXIS, 2, 2, "axis half way");
  p[2].r = 1e5;
  refused(p, 5, LH_TOOLARGE, LH_CURVE_TOO_LARGE, 2, 2, "too large");
  p[2].r = 30;
  p[3].z = INFINITY;
  refused(p, 5, LH_INPUT, LH_CURVE_NOT_NUMBER, 3, 3, "infinite height");
  p[3] = p[2];
  refused(p, 5, LH_INPUT, LH_CURVE_REPEATED, 2, 3, "repeated point");
  {
    static const lh_point loop[] = {{30, 0},  {50, 20}, {50, 60},
                                    {70, 60}, {70, 40}, {40, 40}};
    static const lh_point back[] = {{30, 0}, {50, 20}, {40, 10}};
    refused(loop, 6, LH_INPUT, LH_CURVE_CROSSES, 1, 4, "a loop");
    refused(back, 3, LH_INPUT, LH_CURVE_CROSSES, 0, 1, "back over itself");
  }
  lh_curve_build(good, 2, &curve, NULL);
  CHECK(lh_curve_area(&curve, -1, 5, &a) == LH_RANGE && a == 7,
        "area below the foot");
  CHECK(lh_curve_area(&curve, 5, 1, &a) == LH_RANGE && a == 7,
        "area upside down");
  CHECK(lh_curve_area(&curve, 0, 1000, &a) == LH_RANGE && a == 7,
        "area beyond the lip");
  CHECK(lh_curve_area(&curve, NAN, 5, &a) == LH_RANGE && a == 7, "area of NaN");
  CHECK(lh_curve_at(&curve, -0.1, &spot) == LH_RANGE, "a place off the curve");
  CHECK(lh_curve_at(&curve, NAN, &spot) == LH_RANGE, "a place of NaN");
  CHECK(lh_curve_at(&curve, curve.length, &spot) == LH_OK && spot.at.r == 40,
        "the lip is on the curve");
}

int main(void)
{
  test_gsl();
  test_monotone();
  test_straight();
  test_round();
  test_refusals();
  return CHECK_DONE();
}
