/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The glaze's surface against Fresnel tables, Walsh's closed form and GSL. */
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_sf_expint.h>

#include "check.h"
#include "fresnel_diffuse.h"
#include "glaze.h"

static const double pi = 3.14159265358979323846;

/* Printed: k1 to 10 digits, diffuse reflectances to 10, Prahl's +-0.001. */
static void tables(void)
{
  for (size_t i = 0; i < fresnel_diffuse_count; i++) {
    const double *t = fresnel_diffuse[i];
    double n = t[0], in = lh_glaze_back(n, 0);
    CHECK_NEAR(lh_fresnel(n, 1), t[1], 5e-10 * t[1], "k1, n %g", n);
    CHECK_NEAR(1 - n * n * (1 - in), t[2], 5e-10 * t[2] + 1e-12,
               "diffuse from air, n %g", n);
    CHECK_NEAR(in, t[3], 5e-11, "diffuse from inside, n %g", n);
    CHECK_NEAR(lh_glaze_out(n, 0), 1 - t[3], 5e-11, "out, n %g", n);
    if (isnan(t[4])) continue;
    CHECK_NEAR(in, t[4], 1.5e-3, "Prahl's exact, n %g", n);
    CHECK_NEAR(in, t[5], 1.5e-3, "Prahl's from Walsh, n %g", n);
  }
}

/* J. W. T. Walsh (1926), diffuse reflectance from air; formula from memory,
** as quoted by Duntley (1942); it agrees with the table's printed column. */
static double walsh(double n)
{
  double n2 = n * n, n4 = n2 * n2, a = n2 + 1, b = n4 - 1;

  return 0.5 + (n - 1) * (3 * n + 1) / (6 * (n + 1) * (n + 1)) +
         n2 * (n2 - 1) * (n2 - 1) / (a * a * a) * log((n - 1) / (n + 1)) -
         2 * n * n2 * (n2 + 2 * n - 1) / (a * b) +
         8 * n4 * (n4 + 1) / (a * b * b) * log(n);
}

static void closed_form(void)
{
  for (int i = 0; i <= 14; i++) {
    double n = 1.3 + 0.05 * i;
    CHECK_NEAR(lh_glaze_back(n, 0), 1 - (1 - walsh(n)) / (n * n), 1e-12,
               "Walsh, n %g", n);
  }
}

/* Fresnel by angles (Born & Wolf 1.5.2 (21)): not the form the code uses. */
static double fresnel_inside(double n, double theta)
{
  double s = n * sin(theta), t, a, b;

  if (s >= 1) return 1;
  t = asin(s);
  if (theta < 1e-7) return (n - 1) * (n - 1) / ((n + 1) * (n + 1));
  a = sin(theta - t) / sin(theta + t);
  b = tan(theta - t) / tan(theta + t);
  return 0.5 * (a * a + b * b);
}

typedef struct {
  double n, tau;
} glaze_of;

static double back_part(double theta, void *p)
{
  const glaze_of *g = p;
  double c = cos(theta);

  if (c < 1e-12) return 0;
  return fresnel_inside(g->n, theta) * exp(-2 * g->tau / c) * 2 * c *
         sin(theta);
}

static double out_part(double theta, void *p)
{
  const glaze_of *g = p;
  double c = cos(theta);

  if (c < 1e-12) return 0;
  return (1 - fresnel_inside(g->n, theta)) * exp(-g->tau / c) * 2 * c *
         sin(theta);
}

/* Cut at the critical angle and in decades towards grazing, where the
** exponential has a layer as thin as tau. */
static double integral(double (*f)(double, void *), double n, double tau)
{
  gsl_integration_workspace *w = gsl_integration_workspace_alloc(2000);
  glaze_of g = {n, tau};
  gsl_function fn = {f, &g};
  double critical = asin(1 / n), left = pi / 2 - critical, sum, e;

  gsl_integration_qags(&fn, 0, critical, 1e-14, 1e-12, 2000, w, &sum, &e);
  for (int k = 0; k < 12; k++) {
    double from = pi / 2 - left, part;
    left = k < 11 ? left / 10 : 0;
    gsl_integration_qags(&fn, from, pi / 2 - left, 1e-14, 1e-12, 2000, w, &part,
                         &e);
    sum += part;
  }
  gsl_integration_workspace_free(w);
  return sum;
}

/* GSL's adaptive quadrature is asked for 1e-12 of each part. */
static void against_gsl(void)
{
  static const double taus[] = {0, 1e-6, 1e-3, 0.01, 0.1, 0.3, 1, 3, 10};
  static const double ns[] = {1.01, 1.3, 1.5, 1.55, 1.7, 2.0, 3.0};

  for (size_t i = 0; i < sizeof ns / sizeof *ns; i++)
    for (size_t j = 0; j < sizeof taus / sizeof *taus; j++) {
      CHECK_NEAR(lh_glaze_back(ns[i], taus[j]),
                 integral(back_part, ns[i], taus[j]), 3e-12, "k2, n %g, tau %g",
                 ns[i], taus[j]);
      CHECK_NEAR(lh_glaze_out(ns[i], taus[j]),
                 integral(out_part, ns[i], taus[j]), 3e-12,
                 "Tout, n %g, tau %g", ns[i], taus[j]);
    }
  for (double x = 1e-8; x < 600; x *= 3.7) {
    double want = gsl_sf_expint_En(3, x);
    CHECK_NEAR(lh_expint3(x), want, 1e-13 * want, "E3(%g)", x);
    CHECK_NEAR(lh_glaze_out(1, x), 2 * want, 2e-13 * want, "n 1, tau %g", x);
  }
  CHECK_NEAR(lh_expint3(0), 0.5, 0, "E3(0)");
}

static void geometries(void)
{
  lh_boundary b;
  double n = 1.5;

  CHECK(lh_glaze_boundary(n, 0, LH_D8_IN, &b) == LH_OK, "n 1.5, tau 0");
  /* DESIGN: k1 0.0400, k2 0.5963 (Saunderson 1942); at 8 degrees k1 is the
  ** same to 4 decimals. */
  CHECK_NEAR(b.k1, 0.0400, 5e-5, "k1");
  CHECK_NEAR(b.k2, 0.5963, 5e-5, "k2");
  CHECK_NEAR(b.tt, (1 - b.k1) * (1 - b.k2), 1e-13, "Tin Tout at tau 0");
  CHECK_NEAR(lh_boundary_measured(&b, 1), 1, 1e-13, "white keeps all light");
  CHECK_NEAR(lh_boundary_measured(&b, 0), b.k1, 0, "black shows the shine");
  CHECK(lh_glaze_boundary(n, 0, LH_D8_EX, &b) == LH_OK && b.k1 == 0,
        "shine excluded");
  /* The slanted ray: at 8 degrees the path in the glaze is 1/cos 8'. */
  lh_boundary c;
  double slant = 1 / cos(asin(sin(8 * pi / 180) / n)), tau = 0.7;
  CHECK(lh_glaze_boundary(n, tau, LH_D8_EX, &c) == LH_OK, "tau 0.7");
  CHECK_NEAR(c.tt,
             (1 - fresnel_inside(1 / n, 8 * pi / 180)) * exp(-tau * slant) *
                 lh_glaze_out(n, tau),
             1e-14, "the way in at 8 degrees");
  /* Williams & Clapper (1953), n = 1.53, 45/0: factor 0.193 (half of Tin Tout)
  ** and path 2.13; both from memory, to their printed digits. */
  CHECK(lh_glaze_boundary(1.53, 0, LH_45_0, &b) == LH_OK, "45/0");
  CHECK(lh_glaze_boundary(1.53, 1, LH_45_0, &c) == LH_OK, "45/0, tau 1");
  CHECK_NEAR(b.tt / 2, 0.193, 5e-4, "Williams and Clapper's factor");
  CHECK_NEAR(log(b.tt / c.tt), 2.13, 5e-3, "and path");
  /* A white under 45/0 can read above or below 1, but a matt one (n = 1) is
  ** itself in every geometry. */
  for (int g = 0; g < LH_GEOMETRIES; g++) {
    CHECK(lh_glaze_boundary(1, 0, (lh_geometry)g, &b) == LH_OK, "n = 1");
    CHECK_NEAR(lh_boundary_measured(&b, 0.37), 0.37, 1e-15,
               "index 1 and no depth changes nothing, geometry %d", g);
  }
  CHECK(lh_glaze_boundary(0.9, 0, LH_D8_IN, &b) == LH_RANGE, "n 0.9 refused");
  CHECK(lh_glaze_boundary(1.5, -1, LH_D8_IN, &b) == LH_RANGE, "tau < 0");
  CHECK(lh_glaze_boundary(1.5, (double)NAN, LH_D8_IN, &b) == LH_RANGE, "NaN");
}

static void table_error(void)
{
  static const double ns[] = {1, 1.3, 1.5, 1.6, 2.0};
  static lh_glaze_table t;
  double worst = 0, inverse = 0;
  int rising = 0;

  for (size_t i = 0; i < sizeof ns / sizeof *ns; i++)
    for (int g = 0; g < LH_GEOMETRIES; g++) {
      double last = 2;
      CHECK(lh_glaze_tabulate(ns[i], (lh_geometry)g, &t) == LH_OK, "table");
      for (double tau = 0; tau < 30; tau = tau * 1.07 + 1e-7) {
        lh_boundary a, b = lh_glaze_at(&t, tau);
        if (lh_glaze_boundary(ns[i], tau, (lh_geometry)g, &a)) rising++;
        worst = fmax(worst, fmax(fabs(a.tt - b.tt), fabs(a.k2 - b.k2)));
        if (b.tt > last || b.k2 < 0) rising++;
        last = b.tt;
        if (tau < 3)
          inverse = fmax(inverse, fabs(lh_boundary_internal(
                                           &a, lh_boundary_measured(&a, 0.4)) -
                                       0.4));
      }
    }
  CHECK_NEAR(worst, 0, 1e-6, "table against quadrature (stated bound 1e-6)");
  CHECK(rising == 0, "a deeper glaze lets less light through");
  CHECK_NEAR(inverse, 0, 1e-10, "internal and measured, there and back");
  CHECK(lh_glaze_tabulate(0.5, LH_D8_IN, &t) == LH_RANGE, "bad index refused");
}

int main(void)
{
  gsl_set_error_handler_off();
  tables();
  closed_form();
  against_gsl();
  geometries();
  table_error();
  return CHECK_DONE();
}
