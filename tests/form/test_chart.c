/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Charts against the closed forms of cartography: plane, cylinder, cone and
** sphere; angles, areas and round trips on a bowl without a closed form. */
#include <stdint.h>

#include "chart.h"
#include "check.h"
#include "shapes.h"

static const double pi = 3.14159265358979323846;
static lh_curve curve;
static lh_chart chart;

static bool chart_of(lh_face face, lh_chart_kind kind, double from, double to)
{
  lh_zone z = {face, kind, from, to};

  return lh_chart_make(&curve, &z, &chart, NULL) == LH_OK;
}

static double uniform(void)
{
  static uint64_t state = 11;

  state = state * 6364136223846793005U + 1442695040888963407U;
  return (double)(state >> 11) * 0x1p-53;
}

static void keep_worst(double *worst, double e)
{
  if (!(e <= *worst)) *worst = e;
}

/* ---- closed forms ------------------------------------------------------- */

static void test_cylinder(void)
{
  static const lh_point p[] = {{40, 0}, {40, 60}, {40, 100}};
  double x, y, t, u, s, worst = 0;

  lh_curve_build(p, 3, &curve, NULL);
  CHECK(chart_of(LH_OUTSIDE, LH_CHART_BAND, 20, 70), "cylinder: a chart");
  CHECK_NEAR(chart.radius, 40, 1e-12, "cylinder: R is its radius");
  CHECK_NEAR(chart.width, 2 * pi * 40, 1e-11, "cylinder: 2 pi R wide");
  CHECK_NEAR(chart.height, 50, 1e-11, "cylinder: as high as the zone");
  CHECK_NEAR(chart.area, 2 * pi * 40 * 50, 1e-8, "cylinder: its area");
  for (int i = 0; i < 200; i++) {
    t = uniform();
    u = 50 * uniform();
    lh_chart_place(&chart, t, u, &x, &y);
    keep_worst(&worst, fabs(x - t * 2 * pi * 40) + fabs(y - u));
    lh_chart_scale(&chart, x, y, &s);
    keep_worst(&worst, fabs(s - 1));
  }
  CHECK_NEAR(worst, 0, 1e-11, "cylinder: the plain unrolled rectangle");
  lh_chart_place(&chart, 7.25, 10, &x, &y);
  CHECK_NEAR(x, chart.width / 4, 1e-11, "only the fraction of turns counts");
  lh_chart_place(&chart, -0.25, 10, &x, &y);
  CHECK_NEAR(x, chart.width * 0.75, 1e-11, "negative turns wrap");
  lh_chart_back(&chart, chart.width * 1.25, 10, &t, &u);
  CHECK_NEAR(t, 0.25, 1e-14, "x wraps at the width");
  lh_chart_back(&chart, -chart.width * 0.25, 10, &t, &u);
  CHECK_NEAR(t, 0.75, 1e-14, "x wraps below 0");
}

static void test_cone(void)
{
  /* r = 30 + 0.6 s.  dy/R = ds/r: y = R ln(r/r0)/0.6; a line of constant
  ** slope on the chart is a logarithmic spiral on the cone,
  ** r = r0 exp(0.6 m theta).  Disc with a hole: rho = R (r/R)^(1/0.6). */
  static const lh_point p[] = {{30, 5}, {60, 45}};
  double k = 0.6, x, y, t, u, s, worst = 0, spiral = 0, m = 0.35;

  lh_curve_build(p, 2, &curve, NULL);
  CHECK(chart_of(LH_OUTSIDE, LH_CHART_BAND, 0, curve.length), "cone: a chart");
  CHECK_NEAR(chart.radius, 45, 1e-11, "cone: R is the mean radius");
  for (int i = 0; i < 200; i++) {
    u = curve.length * uniform();
    lh_chart_place(&chart, 0.3, u, &x, &y);
    keep_worst(&worst, fabs(y - 45 / k * log((30 + k * u) / 30)));
    lh_chart_scale(&chart, x, y, &s);
    keep_worst(&worst, fabs(s - (30 + k * u) / 45));
    x = chart.width * uniform() * chart.height / (m * chart.width);
    if (lh_chart_back(&chart, x, m * x, &t, &u) != LH_OK) continue;
    t = x / chart.width; /* before it wraps */
    keep_worst(&spiral, fabs(30 + k * u - 30 * exp(k * m * 2 * pi * t)));
  }
  CHECK_NEAR(worst, 0, 1e-10, "cone: y = R ln(r/r0)/sin a, scale r/R");
  CHECK_NEAR(spiral, 0, 1e-10, "cone: straight lines are log spirals");

  CHECK(chart_of(LH_INSIDE, LH_CHART_DISC, 0, curve.length), "cone: a disc");
  CHECK_NEAR(chart.rho_inner, 60 * pow(0.5, 1 / k), 1e-11, "cone: the hole");
  worst = 0;
  for (int i = 0; i < 200; i++) {
    double rho;
    u = curve.length * uniform();
    t = uniform();
    rho = 60 * pow((30 + k * u) / 60, 1 / k);
    lh_chart_place(&chart, t, u, &x, &y);
    keep_worst(&worst, fabs(x - rho * cos(2 * pi * t)));
    keep_worst(&worst, fabs(y - rho * sin(2 * pi * t)));
    lh_chart_scale(&chart, x, y, &s);
    keep_worst(&worst, fabs(s - (30 + k * u) / rho));
  }
  CHECK_NEAR(worst, 0, 1e-10, "cone: rho = R (r/R)^(1/sin a)");
}

/* Mercator: y = R ln tan(pi/4 + phi/2), scale cos phi times the reference;
** Snyder (1987), Map projections: a working manual, U.S. Geological Survey
** Professional Paper 1395, equations (7-2) and (7-3).  The printed example
** for the sphere, read in a transcription: phi = 35 degrees, R = 1:
** y = 0.6528366, k = 1.2207746. */
static double mercator(double phi)
{
  return log(tan(pi / 4 + phi / 2));
}

static double mercator_error(size_t n, double *scale)
{
  double b = 80, t0 = -0.3, t1 = 0.9, worst = 0, x, y, s;

  shape_arc_curve(0, 0, b, t0, t1, n, &curve);
  if (!chart_of(LH_OUTSIDE, LH_CHART_BAND, 0, curve.length)) return NAN;
  *scale = 0;
  for (int i = 0; i <= 200; i++) {
    double f = i / 200.0, phi = t0 + (t1 - t0) * f;
    lh_chart_place(&chart, 0.1, f * curve.length, &x, &y);
    keep_worst(&worst, fabs(y / chart.radius - mercator(phi) + mercator(t0)));
    lh_chart_scale(&chart, x, y, &s);
    keep_worst(scale, fabs(s * chart.radius / b - cos(phi)));
  }
  return worst;
}

static void test_sphere_band(void)
{
  double s[3], e[3], h = 1.2 / 63, bound;

  CHECK_NEAR(mercator(35 * pi / 180), 0.6528366, 5e-8, "Snyder's example, y");
  CHECK_NEAR(1 / cos(35 * pi / 180), 1.2207746, 5e-8, "Snyder's example, k");
  for (int k = 0; k < 3; k++)
    e[k] = mercator_error((size_t)(8 << k) + 1, s + k);
  printf("# Mercator: %.2g %.2g %.2g, scale %.2g %.2g %.2g\n", e[0], e[1], e[2],
         s[0], s[1], s[2]);
  /* The equator is a caliper point here; between two of them the spline
  ** flattens, and the error hangs on where. */
  CHECK(e[1] <= e[0] / 3 && e[2] <= e[1] / 3, "error falls with the spacing");
  CHECK(s[1] <= s[0] / 3 && s[2] <= s[1] / 3, "so does that of the scale");
  e[0] = mercator_error(LH_CURVE_POINTS, s);
  /* Points are within the sagitta h^2/8; the integral of ds/r gathers that,
  ** relative to r >= cos 0.9, over 1.2 rad. */
  bound = h * h / 8 * 2 * 1.2 / cos(0.9) / cos(0.9);
  CHECK_NEAR(e[0], 0, bound, "a sphere's band is Mercator's map");
  CHECK_NEAR(s[0], 0, bound, "  and its scale cos phi");
}

static void test_plate(void)
{
  static const lh_point p[] = {{0, 5}, {30, 5}, {80, 5}};
  double x, y, t, u, s, worst = 0;

  lh_curve_build(p, 3, &curve, NULL);
  CHECK(chart_of(LH_INSIDE, LH_CHART_DISC, 0, 80), "plate: a chart");
  CHECK(chart.hand == 1 && !chart.axis_high, "plate: seen from above");
  CHECK(chart.rho_inner == 0, "plate: no hole");
  for (int i = 0; i < 300; i++) {
    t = uniform();
    u = i < 20 ? 0.01 * i : 80 * uniform();
    lh_chart_place(&chart, t, u, &x, &y);
    keep_worst(&worst, fabs(x - u * cos(2 * pi * t)));
    keep_worst(&worst, fabs(y - u * sin(2 * pi * t)));
    lh_chart_scale(&chart, x, y, &s);
    keep_worst(&worst, fabs(s - 1));
  }
  CHECK_NEAR(worst, 0, 1e-11, "plate: maps to itself");
  CHECK(lh_chart_place(&chart, 0.3, 0, &x, &y) == LH_OK && x == 0 && y == 0,
        "plate: the middle is the middle");
  CHECK(lh_chart_back(&chart, 0, 0, &t, &u) == LH_OK && u == 0,
        "plate: and back");
}

/* Stereographic: rho = R tan(c/2)/tan(c_edge/2), c the angle from the centre;
** Snyder (1987), equation (21-1) and following, brought to scale 1 at the
** edge. */
static double stereographic_error(size_t n, bool lid, double *scale)
{
  double b = 90, edge = 1.2, worst = 0, x, y, s;

  if (lid)
    shape_arc_curve(0, 0, b, pi / 2 - edge, pi / 2, n, &curve);
  else
    shape_arc_curve(0, b, b, -pi / 2, -pi / 2 + edge, n, &curve);
  if (!chart_of(lid ? LH_OUTSIDE : LH_INSIDE, LH_CHART_DISC, 0, curve.length))
    return NAN;
  *scale = 0;
  for (int i = 0; i <= 200; i++) {
    double f = i / 200.0, c = lid ? edge * (1 - f) : edge * f, want;
    lh_chart_place(&chart, 0, f * curve.length, &x, &y);
    want = b * sin(edge) * tan(c / 2) / tan(edge / 2);
    keep_worst(&worst, fabs(x - want) / b);
    lh_chart_scale(&chart, x, y, &s);
    /* r/rho = sin c/tan(c/2) = 1 + cos c, times the edge's constants. */
    want = (1 + cos(c)) / (1 + cos(edge));
    keep_worst(scale, fabs(s - want) / want);
  }
  return worst;
}

static void test_sphere_disc(void)
{
  double s[3], e[3], h = 1.2 / 63, bound;

  for (int lid = 0; lid < 2; lid++) {
    for (int k = 0; k < 3; k++)
      e[k] = stereographic_error((size_t)(8 << k) + 1, lid, s + k);
    printf("# stereographic: %.2g %.2g %.2g, scale %.2g %.2g %.2g\n", e[0],
           e[1], e[2], s[0], s[1], s[2]);
    CHECK(e[1] <= e[0] / 3 && e[2] <= e[1] / 3, "error falls with the spacing");
    e[0] = stereographic_error(LH_CURVE_POINTS, lid, s);
    /* As for the band; rho is an exponential of the integral, at most 1. */
    bound = h * h / 8 * 2 * 1.2 / cos(1.2) / cos(1.2);
    CHECK_NEAR(e[0], 0, bound, "a %s is drawn stereographically",
               lid ? "lid" : "bowl");
    CHECK_NEAR(s[0], 0, bound, "  and its scale is 1 + cos c");
    CHECK(chart.axis_high == (lid == 1), "  which end is the centre");
    CHECK(chart.hand == 1, "  seen from above");
  }
}

/* ---- any form ----------------------------------------------------------- */

/* Stretches of the map from chart to form at a chart point, from central
** differences: along x and y, and the cosine of the angle between.  The zone
** starts `from` up the curve. */
static void stretches(double from, double x, double y, double *ex, double *ey,
                      double *cosine)
{
  double d = 1e-4, t[4], u[4], tt, up, r, a[2][2];
  const double at[4][2] = {{x - d, y}, {x + d, y}, {x, y - d}, {x, y + d}};
  lh_curve_spot spot;

  lh_chart_back(&chart, x, y, &tt, &up);
  lh_curve_at(&curve, from + up, &spot);
  r = spot.at.r;
  for (int i = 0; i < 4; i++)
    lh_chart_back(&chart, at[i][0], at[i][1], t + i, u + i);
  for (int i = 0; i < 2; i++) {
    double turn = t[2 * i + 1] - t[2 * i];
    turn -= round(turn);
    a[i][0] = 2 * pi * r * turn / (2 * d);
    a[i][1] = (u[2 * i + 1] - u[2 * i]) / (2 * d);
  }
  *ex = hypot(a[0][0], a[0][1]);
  *ey = hypot(a[1][0], a[1][1]);
  *cosine = (a[0][0] * a[1][0] + a[0][1] * a[1][1]) / (*ex * *ey);
}

static void test_conformal(double from, const char *name)
{
  double wx = 0, wy = 0, angle = 0, back = 0, x, y, t, u, s;

  for (int i = 0; i < 2000; i++) {
    double t0 = uniform(), u0 = (0.02 + 0.96 * uniform()) * chart.length, ex,
           ey, c;
    lh_chart_place(&chart, t0, u0, &x, &y);
    lh_chart_back(&chart, x, y, &t, &u);
    keep_worst(&back, fabs(u - u0));
    keep_worst(&back, fabs(t - t0 - round(t - t0)) * 100);
    lh_chart_scale(&chart, x, y, &s);
    stretches(from, x, y, &ex, &ey, &c);
    keep_worst(&wx, fabs(ex / s - 1));
    keep_worst(&wy, fabs(ey / s - 1));
    keep_worst(&angle, fabs(c));
  }
  CHECK_NEAR(back, 0, 1e-9, "%s: there and back", name);
  /* Differences over 2e-4 mm: rounding 1e-13/1e-4; at a corner of the
  ** polyline, the change of scale over the step: 1e-4 mm * slope/rho, rho
  ** above 0.2 mm. */
  CHECK_NEAR(wx, 0, 1e-3, "%s: stretch along x is the scale", name);
  CHECK_NEAR(wy, 0, 1e-3, "%s: stretch along y is the scale", name);
  CHECK_NEAR(angle, 0, 1e-3, "%s: right angles stay right", name);
}

/* Sum of scale^2 over n x n cells of the chart. */
static double chart_area(int n)
{
  bool band = chart.kind == LH_CHART_BAND;
  double w = chart.width / n, h = chart.height / n, sum = 0, s;

  for (int i = 0; i < n; i++)
    for (int j = 0; j < n; j++) {
      double x = (i + 0.5) * w, y = (j + 0.5) * h;
      if (!band) x -= chart.radius, y -= chart.radius;
      if (lh_chart_scale(&chart, x, y, &s) == LH_OK) sum += s * s * w * h;
    }
  return sum;
}

static void test_any(void)
{
  double least, greatest, bound;

  CHECK(lh_curve_build(shape_bowl, SHAPE_BOWL, &curve, NULL) == LH_OK, "bowl");
  CHECK(chart_of(LH_INSIDE, LH_CHART_DISC, 0, curve.length), "whole bowl");
  test_conformal(0, "disc of a bowl");
  /* Cells at the edge are counted whole or not at all: an error below the
  ** cells the edge passes, 8 n of n^2/ (pi/4), half of them on average. */
  bound = 8.0 / 400 * 4 / pi * 0.5;
  CHECK_NEAR(chart_area(400) / chart.area, 1, bound,
             "disc: sum of scale^2 is the true area");
  lh_chart_scales(&chart, &least, &greatest);
  CHECK_NEAR(least, 1, 1e-12, "disc: true to size at the edge");
  CHECK(greatest > 1 && greatest < 4, "disc: larger in the middle");

  CHECK(chart_of(LH_OUTSIDE, LH_CHART_BAND, 60, curve.length), "band of it");
  test_conformal(60, "band of a bowl");
  /* Midpoint rule over y with 400 steps: scale^2 bends by less than
  ** (height)^2 * 8, /24/400^2. */
  CHECK_NEAR(chart_area(400) / chart.area, 1, 1e-4,
             "band: sum of scale^2 is the true area");
  lh_chart_scales(&chart, &least, &greatest);
  CHECK(least < 1 && greatest > 1, "band: scale 1 within it");
  CHECK_NEAR(greatest * chart.radius, 73, 1e-9, "band: greatest at the lip");
}

/* The middle of a chart of a form that is level at the axis has a scale: it
** does not run off as the centre is neared. */
static void test_middle(void)
{
  double s0, s1, s2;

  lh_curve_build(shape_bowl, SHAPE_BOWL, &curve, NULL);
  chart_of(LH_INSIDE, LH_CHART_DISC, 0, curve.length);
  CHECK(lh_chart_scale(&chart, 0, 0, &s0) == LH_OK, "scale in the middle");
  lh_chart_scale(&chart, 1e-6, 0, &s1);
  lh_chart_scale(&chart, 0.5, 0.5, &s2);
  CHECK_NEAR(s1 / s0, 1, 1e-12, "the same a micrometre off");
  CHECK_NEAR(s2 / s0, 1, 0.01, "nearly the same half a mm off");
}

/* ---- hand, refusals ----------------------------------------------------- */

static void test_hand(void)
{
  static const lh_point p[] = {{30, 0}, {60, 40}};
  static const lh_point foot[] = {{0, 0}, {30, 0}, {60, 40}};
  double x, y, t, u;

  lh_curve_build(p, 2, &curve, NULL);
  chart_of(LH_INSIDE, LH_CHART_BAND, 0, 50);
  CHECK(chart.hand == -1, "inside of a wall: turns run the other way");
  lh_chart_place(&chart, 0.25, 10, &x, &y);
  CHECK_NEAR(x, 0.75 * chart.width, 1e-11, "  so a quarter lies at 3/4");
  lh_chart_back(&chart, x, y, &t, &u);
  CHECK_NEAR(t, 0.25, 1e-14, "  and comes back");
  lh_curve_build(foot, 3, &curve, NULL);
  chart_of(LH_OUTSIDE, LH_CHART_DISC, 0, 30);
  CHECK(chart.hand == -1, "an underside is seen from below");
  lh_chart_place(&chart, 0.25, 10, &x, &y);
  CHECK_NEAR(y, -10, 1e-12, "  so a quarter turn lies below");
}

static void refused(lh_chart_kind kind, double from, double to, lh_zone_why why,
                    const char *what)
{
  lh_zone z = {LH_OUTSIDE, kind, from, to};
  lh_zone_why got = LH_ZONE_FINE;

  CHECK(lh_chart_make(&curve, &z, &chart, &got) == LH_RANGE && got == why,
        "%s: refused (%d)", what, (int)got);
}

static void test_refusals(void)
{
  static const lh_point ball[] = {{0, 0}, {30, 10}, {40, 40}, {0, 80}};
  static const lh_point needle[] = {{0.1, 0}, {40, 40}};
  lh_zone zone = {LH_OUTSIDE, LH_CHART_BAND, 10, 20};
  lh_zone_why why;
  double x, y, t, u, s, a = 3;

  lh_curve_build(ball, 4, &curve, NULL);
  refused(LH_CHART_BAND, 20, 20, LH_ZONE_EMPTY, "empty zone");
  refused(LH_CHART_BAND, 30, 20, LH_ZONE_EMPTY, "zone upside down");
  refused(LH_CHART_BAND, -1, 20, LH_ZONE_OFF_FORM, "below the foot");
  refused(LH_CHART_BAND, 10, 1e3, LH_ZONE_OFF_FORM, "beyond the lip");
  refused(LH_CHART_BAND, NAN, 20, LH_ZONE_NOT_NUMBER, "from NaN");
  refused(LH_CHART_DISC, 10, INFINITY, LH_ZONE_NOT_NUMBER, "to infinity");
  refused(LH_CHART_BAND, 0, 20, LH_ZONE_ON_AXIS, "band from the axis");
  refused(LH_CHART_BAND, 20, curve.length, LH_ZONE_ON_AXIS, "band to the axis");
  refused(LH_CHART_DISC, 0, curve.length, LH_ZONE_ON_AXIS, "disc of a ball");
  CHECK(lh_zone_area(&curve, &zone, &a, &why) == LH_OK && a > 0, "zone's area");
  zone.to_mm = 1e3;
  CHECK(lh_zone_area(&curve, &zone, &a, &why) == LH_RANGE &&
            why == LH_ZONE_OFF_FORM,
        "area of a zone off the form");
  lh_curve_build(needle, 2, &curve, NULL);
  refused(LH_CHART_BAND, 0, 50, LH_ZONE_STRETCHED, "band down to a needle");

  lh_curve_build(shape_bowl, SHAPE_BOWL, &curve, NULL);
  chart_of(LH_INSIDE, LH_CHART_BAND, 60, 100);
  CHECK(lh_chart_place(&chart, 0, 41, &x, &y) == LH_RANGE, "above the zone");
  CHECK(lh_chart_place(&chart, 0, -1, &x, &y) == LH_RANGE, "below the zone");
  CHECK(lh_chart_place(&chart, NAN, 1, &x, &y) == LH_RANGE, "turns of NaN");
  CHECK(lh_chart_place(&chart, 1e300, 1, &x, &y) == LH_RANGE, "turns no end");
  CHECK(lh_chart_place(&chart, 0, NAN, &x, &y) == LH_RANGE, "up of NaN");
  CHECK(lh_chart_back(&chart, 0, chart.height + 1, &t, &u) == LH_RANGE,
        "off the chart");
  CHECK(lh_chart_back(&chart, NAN, 1, &t, &u) == LH_RANGE, "x of NaN");
  CHECK(lh_chart_scale(&chart, 0, NAN, &s) == LH_RANGE, "scale at NaN");
  CHECK(lh_chart_place(&chart, 0, 40, &x, &y) == LH_OK &&
            lh_chart_back(&chart, x, y, &t, &u) == LH_OK && fabs(u - 40) < 1e-9,
        "the upper edge belongs to the chart");
  chart_of(LH_INSIDE, LH_CHART_DISC, 20, 60);
  CHECK(chart.rho_inner > 0, "a disc that stops short has a hole");
  CHECK(lh_chart_scale(&chart, 0, 0, &s) == LH_RANGE, "nothing in the hole");
  CHECK(lh_chart_scale(&chart, chart.radius + 1, 0, &s) == LH_RANGE,
        "nothing beyond the edge");
}

int main(void)
{
  test_cylinder();
  test_cone();
  test_sphere_band();
  test_plate();
  test_sphere_disc();
  test_any();
  test_middle();
  test_hand();
  test_refusals();
  return CHECK_DONE();
}
