/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The two-flux equations summed up step by step by the GNU Scientific Library,
** and the glaze's integrals by its quadrature: nothing of the closed forms.
**
**   di/dx = (K + S) i - S j      x from the ground upwards, i the light that
**   dj/dx = S i - (K + S) j      goes down, j the light that comes up
**
** P. Kubelka, F. Munk (1931), Z. tech. Physik 12, 593-601.  From the ground,
** where i = 1 and j = Rg, i grows and every error with it alike, so j/i and
** 1/i keep the integrator's relative error. */
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_odeiv2.h>
#include <stdint.h>

#include "check.h"
#include "glaze.h"
#include "layers.h"
#include "stack.h"

static uint64_t seed = 29;

static double draw(double low, double high)
{
  seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  return low + (high - low) * (double)(seed >> 11) * 0x1p-53;
}

/* ---- fluxes ------------------------------------------------------------- */

typedef struct {
  double K, S;
} coat_of;

static int fluxes(double x, const double y[], double dy[], void *p)
{
  const coat_of *c = p;

  (void)x;
  dy[0] = (c->K + c->S) * y[0] - c->S * y[1];
  dy[1] = c->S * y[0] - (c->K + c->S) * y[1];
  return GSL_SUCCESS;
}

/* Through one coat; asked for 1e-12 a step (Prince and Dormand's eighth
** order: some hundred steps at most here). */
static void through(coat_of c, double X, double y[2])
{
  gsl_odeiv2_system s = {fluxes, NULL, 2, &c};
  gsl_odeiv2_driver *d = gsl_odeiv2_driver_alloc_y_new(
      &s, gsl_odeiv2_step_rk8pd, X > 0 ? X / 100 : 1, 0, 1e-12);
  double x = 0;

  if (gsl_odeiv2_driver_apply(d, &x, X, y)) y[0] = (double)NAN;
  gsl_odeiv2_driver_free(d);
}

static const double error = 2e-10; /* 200 steps of 1e-12 */

static coat_of any(void)
{
  return (coat_of){pow(10, draw(-5, -1)), pow(10, draw(-5, -1))};
}

static void one_coat(void)
{
  double worst = 0, clear = 0;

  for (int n = 0; n < 200; n++) {
    coat_of c = any();
    double X = draw(0, 200), y[2] = {1, draw(0, 1)}, z[2] = {1, 0};
    if (n % 20 == 0) c.K = 0;
    if (n % 20 == 1) c.S = 0;
    double R = lh_layer_over(c.K, c.S, X, y[1]);
    through(c, X, y);
    worst = fmax(worst, fabs(y[1] / y[0] - R) / R);
    through(c, X, z);
    clear = fmax(clear, fabs(lh_layer_through(c.K, c.S, X) * z[0] - 1));
  }
  CHECK_NEAR(worst, 0, error, "200 coats over a ground");
  CHECK_NEAR(clear, 0, error, "and what they let through");
}

/* Up to six coats of other K and S, each going on where the one below ends. */
static void many_coats(void)
{
  double worst = 0, clear = 0;

  for (int n = 0; n < 100; n++) {
    int coats = 2 + n % 5;
    double R = draw(0, 1), y[2] = {1, R}, z[2] = {1, 0}, back = 0, T = 1;
    for (int i = 0; i < coats; i++) {
      coat_of c = any();
      double X = draw(0, 60), t = lh_layer_through(c.K, c.S, X);
      double own = lh_layer_over(c.K, c.S, X, 0);
      R = lh_layer_over(c.K, c.S, X, R);
      T *= t / (1 - own * back); /* Kubelka (1954), both sides of one coat */
      back = own + t * t * back / (1 - own * back);
      through(c, X, y);
      through(c, X, z);
    }
    worst = fmax(worst, fabs(y[1] / y[0] - R) / R);
    clear = fmax(clear, fabs(T * z[0] - 1));
  }
  CHECK_NEAR(worst, 0, 6 * error, "100 stacks of two to six coats");
  CHECK_NEAR(clear, 0, 6 * error, "and what they let through");
}

/* A coat that is stirred together is the sum of its parts' K and S. */
static void mixture(void)
{
  lh_slip_optics part[3], mix;
  double share[3] = {2, 1, 0.5}, worst = 0;

  for (int j = 0; j < 3; j++)
    for (size_t i = 0; i < LH_WAVES; i++) {
      coat_of c = any();
      part[j].absorption[i] = c.K;
      part[j].scattering[i] = c.S;
    }
  CHECK(lh_slip_mix(part, share, 3, &mix) == LH_OK, "three slips stirred");
  for (size_t i = 0; i < LH_WAVES; i++) {
    double y[2] = {1, 0.3}, K = 0, S = 0;
    for (int j = 0; j < 3; j++) {
      K += share[j] * part[j].absorption[i];
      S += share[j] * part[j].scattering[i];
    }
    through((coat_of){K / 3.5, S / 3.5}, 80, y);
    worst =
        fmax(worst,
             fabs(lh_layer_over(mix.absorption[i], mix.scattering[i], 80, 0.3) -
                  y[1] / y[0]));
  }
  CHECK_NEAR(worst, 0, error, "is one slip");
}

/* ---- a whole stack ------------------------------------------------------ */

typedef struct {
  double n, tau;
} glaze_of;

/* Fresnel by angles (Born & Wolf 1.5.2), from inside. */
static double turned_back(double n, double mu)
{
  double a = acos(mu), s = n * sin(a), b;

  if (s >= 1) return 1;
  if (a < 1e-7) return (n - 1) * (n - 1) / ((n + 1) * (n + 1));
  b = asin(s);
  return (pow(sin(a - b) / sin(a + b), 2) + pow(tan(a - b) / tan(a + b), 2)) /
         2;
}

static double back_part(double mu, void *p)
{
  const glaze_of *g = p;

  return mu > 0 ? 2 * mu * turned_back(g->n, mu) * exp(-2 * g->tau / mu) : 0;
}

static double out_part(double mu, void *p)
{
  const glaze_of *g = p;

  return 2 * mu * (1 - turned_back(g->n, mu)) * exp(-g->tau / mu);
}

static double quadrature(double (*f)(double, void *), glaze_of *g, double from,
                         double to)
{
  gsl_integration_workspace *w = gsl_integration_workspace_alloc(1000);
  gsl_function fn = {f, g};
  double sum, e;

  gsl_integration_qags(&fn, from, to, 1e-13, 1e-11, 1000, w, &sum, &e);
  gsl_integration_workspace_free(w);
  return sum;
}

/* F. C. Williams, F. R. Clapper (1953), J. Opt. Soc. Am. 43, 595-599. */
static double measured(double n, double tau, lh_geometry geometry, double R)
{
  glaze_of g = {n, tau};
  double edge = sqrt(1 - 1 / (n * n));
  double a = geometry == LH_45_0 ? 45 : 8, r = n * sin(0);
  double mu = cos(asin(sin(a * acos(-1) / 180) / n));
  double in = (1 - turned_back(n, mu)) * exp(-tau / mu);
  double k2 =
      quadrature(back_part, &g, 0, edge) + quadrature(back_part, &g, edge, 1);
  double out = geometry == LH_45_0
                   ? (1 - turned_back(n, 1)) * exp(-tau) / (n * n)
                   : quadrature(out_part, &g, edge, 1);

  if (geometry == LH_D8_IN) r = turned_back(n, mu);
  return r + in * out * R / (1 - k2 * R);
}

/* Two coats over a ground; the glaze eats 15 g/m2 of the upper, and six tenths
** of what that absorbs go into it. */
static void whole_stack(void)
{
  lh_slip_optics top, under;
  lh_stack_layer layers[2] = {{&top, 60}, {&under, 90}};
  double ground[LH_WAVES], got[LH_WAVES];
  lh_glaze g = {1.53, {0}, 15, 0.6};

  for (size_t i = 0; i < LH_WAVES; i++) {
    coat_of a = any(), b = any();
    top.absorption[i] = a.K, top.scattering[i] = a.S;
    under.absorption[i] = b.K, under.scattering[i] = b.S;
    ground[i] = draw(0, 1);
    g.optical_depth[i] = draw(0, 0.3);
  }
  for (int at = 0; at < LH_GEOMETRIES; at++) {
    lh_stack s = {layers, 2, ground, &g, (lh_geometry)at};
    double worst = 0;
    CHECK(lh_stack_reflectance(&s, got) == LH_OK, "a stack under glaze");
    for (size_t i = 0; i < LH_WAVES; i++) {
      double y[2] = {1, ground[i]};
      through((coat_of){under.absorption[i], under.scattering[i]}, 90, y);
      through((coat_of){top.absorption[i], top.scattering[i]}, 45, y);
      worst = fmax(worst, fabs(measured(1.53,
                                        g.optical_depth[i] +
                                            0.6 * top.absorption[i] * 15 / 2,
                                        (lh_geometry)at, y[1] / y[0]) -
                               got[i]));
    }
    /* dR_measured/dR is at most 1/(1 - k2) = 2.6 (n 1.53). */
    CHECK_NEAR(worst, 0, 2.6 * 2 * error + 1e-11, "all of it, geometry %d", at);
  }
}

int main(void)
{
  gsl_set_error_handler_off();
  one_coat();
  many_coats();
  mixture();
  whole_stack();
  return CHECK_DONE();
}
