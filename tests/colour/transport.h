/* SPDX-License-Identifier: GPL-3.0-or-later */
/* transport.h -- light in a plane layer without the two-flux assumption, for
** the tests: exact transport, to compare simulations and the layer model with.
**
** Two independent ways: Chandrasekhar's H function by GSL's quadrature, for
** layers without end, and adding and doubling of layers in DIRECTIONS
** directions, for any.  Scattering is the same in all directions, or any other
** whose average about the normal is given.  Reflections of light are matrices
** over directions in the medium, mu the cosine from the normal:
**
**   I_up(mu_i) = sum_j R_ij 2 mu_j w_j I_down(mu_j)
**
** Ref:    S. Chandrasekhar, Radiative Transfer (1950), ch. IV-V; J. E. Hansen,
**         L. D. Travis (1974), Space Sci. Rev. 16, 527-610 (adding, doubling).
*/
#ifndef LH_TESTS_TRANSPORT_H
#define LH_TESTS_TRANSPORT_H

#include <gsl/gsl_integration.h>
#include <gsl/gsl_linalg.h>

#include <math.h>
#include <string.h>

/* ---- H ------------------------------------------------------------------ */

typedef struct {
  double mu, albedo;
} h_of;

static double h_part(double t, void *p)
{
  const h_of *h = p;
  double x = tan(t), c = cos(t), s = sin(t);
  double gap =
      x < 1e-4 ? 1 - h->albedo * (1 - x * x / 3) : 1 - h->albedo * atan(x) / x;

  return log(gap) / (c * c + h->mu * h->mu * s * s);
}

/* H(mu) = exp(-mu/pi int_0^inf ln(1 - w atan(x)/x)/(1 + mu^2 x^2) dx), with
** x = tan t.  Chandrasekhar (1950), ch. V, (37), by parts. */
static double h_function(double albedo, double mu)
{
  gsl_integration_workspace *w = gsl_integration_workspace_alloc(1000);
  h_of h = {mu, albedo};
  gsl_function f = {h_part, &h};
  double sum, e;

  gsl_integration_qags(&f, 0, M_PI / 2, 1e-12, 1e-11, 1000, w, &sum, &e);
  gsl_integration_workspace_free(w);
  return exp(-mu / M_PI * sum);
}

static double h_moment_part(double mu, void *albedo)
{
  return mu > 0 ? mu * h_function(*(double *)albedo, mu) : 0;
}

/* An endless layer under even light from all sides gives back
** 1 - 2 sqrt(1 - w) int H mu dmu of it. */
static double h_endless(double albedo)
{
  gsl_integration_glfixed_table *t = gsl_integration_glfixed_table_alloc(24);
  gsl_function f = {h_moment_part, &albedo};
  double moment = gsl_integration_glfixed(&f, 0, 1, t);

  gsl_integration_glfixed_table_free(t);
  return 1 - 2 * sqrt(1 - albedo) * moment;
}

/* ---- adding and doubling ------------------------------------------------ */

/* Two rules of 14 points, below and above the critical angle (squared steps
** above, where the surface's reflectance sets in as a root), and three
** directions of no weight: light that came in at 8 degrees, at 45, and the
** normal. */
enum { RULE = 14, AT_8 = 2 * RULE, AT_45, AT_0, DIRECTIONS };

typedef struct {
  double n; /* refractive index against air */
  double mu[DIRECTIONS];
  double weight[DIRECTIONS]; /* 2 mu w */
} directions;

typedef struct {
  double of[DIRECTIONS][DIRECTIONS];
} matrix;

typedef struct {
  matrix back, through; /* the weights of the columns are in */
} plane;

static void directions_of(double n, directions *d)
{
  double critical = n > 1 ? sqrt(1 - 1 / (n * n)) : 0.5;
  gsl_integration_glfixed_table *t = gsl_integration_glfixed_table_alloc(RULE);

  d->n = n;
  for (size_t i = 0; i < 2 * RULE; i++) {
    double x, w;
    gsl_integration_glfixed_point(0, 1, i % RULE, &x, &w, t);
    d->mu[i] = i < RULE ? critical * x : critical + (1 - critical) * x * x;
    w *= i < RULE ? critical : (1 - critical) * 2 * x;
    d->weight[i] = 2 * d->mu[i] * w;
  }
  gsl_integration_glfixed_table_free(t);
  d->mu[AT_8] = cos(asin(sin(8 * M_PI / 180) / n));
  d->mu[AT_45] = cos(asin(sin(45 * M_PI / 180) / n));
  d->mu[AT_0] = 1;
  for (size_t i = 2 * RULE; i < DIRECTIONS; i++) d->weight[i] = 1e-20;
}

static matrix times(const matrix *a, const matrix *b)
{
  matrix c;

  memset(&c, 0, sizeof c);
  for (size_t i = 0; i < DIRECTIONS; i++)
    for (size_t k = 0; k < DIRECTIONS; k++)
      for (size_t j = 0; j < DIRECTIONS; j++)
        c.of[i][j] += a->of[i][k] * b->of[k][j];
  return c;
}

static matrix plus(const matrix *a, const matrix *b)
{
  matrix c;

  for (size_t i = 0; i < DIRECTIONS; i++)
    for (size_t j = 0; j < DIRECTIONS; j++)
      c.of[i][j] = a->of[i][j] + b->of[i][j];
  return c;
}

/* (1 - a)^-1 b: light that goes to and fro. */
static matrix to_and_fro(const matrix *a, const matrix *b)
{
  double lu[DIRECTIONS * DIRECTIONS], x[DIRECTIONS], y[DIRECTIONS];
  size_t at[DIRECTIONS];
  gsl_permutation p = {DIRECTIONS, at};
  gsl_matrix_view m = gsl_matrix_view_array(lu, DIRECTIONS, DIRECTIONS);
  gsl_vector_view from = gsl_vector_view_array(x, DIRECTIONS),
                  to = gsl_vector_view_array(y, DIRECTIONS);
  matrix c;
  int sign;

  for (size_t i = 0; i < DIRECTIONS; i++)
    for (size_t j = 0; j < DIRECTIONS; j++)
      lu[i * DIRECTIONS + j] = (i == j) - a->of[i][j];
  gsl_linalg_LU_decomp(&m.matrix, &p, &sign);
  for (size_t j = 0; j < DIRECTIONS; j++) {
    for (size_t i = 0; i < DIRECTIONS; i++) x[i] = b->of[i][j];
    gsl_linalg_LU_solve(&m.matrix, &p, &from.vector, &to.vector);
    for (size_t i = 0; i < DIRECTIONS; i++) c.of[i][j] = y[i];
  }
  return c;
}

/* A layer that looks the same from both sides, twice. */
static plane twice_as_thick(const plane *a)
{
  matrix round = times(&a->back, &a->back);
  matrix down = to_and_fro(&round, &a->through);
  matrix up = times(&a->back, &down), out = times(&a->through, &up);

  return (plane){plus(&a->back, &out), times(&a->through, &down)};
}

/* A homogeneous layer of extinction depth tau. */
static plane plane_of(const directions *d, double albedo, double tau)
{
  plane p;
  int times_doubled = 0;

  /* One scattering alone is off by about depth itself. */
  while (tau > 1e-8) tau /= 2, times_doubled++;
  for (size_t i = 0; i < DIRECTIONS; i++)
    for (size_t j = 0; j < DIRECTIONS; j++) {
      double once = albedo / 4 * tau / (d->mu[i] * d->mu[j]) * d->weight[j];
      p.back.of[i][j] = once;
      p.through.of[i][j] = once + (i == j ? exp(-tau / d->mu[i]) : 0);
    }
  while (times_doubled-- > 0) p = twice_as_thick(&p);
  return p;
}

/* Something that reflects evenly. */
static matrix even_ground(const directions *d, double ground)
{
  matrix g;

  for (size_t i = 0; i < DIRECTIONS; i++)
    for (size_t j = 0; j < DIRECTIONS; j++) g.of[i][j] = ground * d->weight[j];
  return g;
}

/* A layer over what reflects as g: what comes back up. */
static matrix over(const plane *p, const matrix *g)
{
  matrix round = times(g, &p->back), up = times(g, &p->through), out;

  up = to_and_fro(&round, &up);
  out = times(&p->through, &up);
  return plus(&p->back, &out);
}

static matrix over_ground(const directions *d, const plane *p, double ground)
{
  matrix g = even_ground(d, ground);

  return over(p, &g);
}

/* What comes back of even light from all sides, in all. */
static double in_all(const directions *d, const matrix *r)
{
  double sum = 0;

  for (size_t i = 0; i < DIRECTIONS; i++)
    for (size_t j = 0; j < DIRECTIONS; j++) sum += d->weight[i] * r->of[i][j];
  return sum;
}

/* Fresnel's reflectance from inside, in the form with angles' cosines. */
static double inside(double n, double mu)
{
  double s2 = n * n * (1 - mu * mu), t, s, p;

  if (n <= 1) return 0;
  if (s2 >= 1) return 1;
  t = sqrt(1 - s2);
  s = (n * mu - t) / (n * mu + t);
  p = (mu - n * t) / (mu + n * t);
  return (s * s + p * p) / 2;
}

/* A glaze of optical depth tau and its surface over r: light of one direction
** or all (from, or -1) seen in one direction, as reflectance factor without
** the shine.  Radiance grows by n^2 on its way in. */
static double under_glaze(const directions *d, const matrix *r, double tau,
                          int from, int seen)
{
  matrix m, one;
  double in[DIRECTIONS], up = 0, n2 = d->n * d->n;

  memset(&one, 0, sizeof one);
  for (size_t i = 0; i < DIRECTIONS; i++) {
    for (size_t j = 0; j < DIRECTIONS; j++)
      m.of[i][j] = exp(-tau / d->mu[i]) * r->of[i][j] * exp(-tau / d->mu[j]);
    one.of[i][i] = 1;
  }
  for (size_t i = 0; i < DIRECTIONS; i++) {
    in[i] = n2 * (1 - inside(d->n, d->mu[i]));
    /* One direction: a flux of 1 crossing the plane of the surface outside. */
    if (from >= 0)
      in[i] =
          i == (size_t)from ? (1 - inside(d->n, d->mu[i])) / d->weight[i] : 0;
  }
  matrix turned = m;
  for (size_t i = 0; i < DIRECTIONS; i++)
    for (size_t j = 0; j < DIRECTIONS; j++)
      turned.of[i][j] *= inside(d->n, d->mu[j]);
  m = to_and_fro(&turned, &m);
  for (size_t j = 0; j < DIRECTIONS; j++) up += m.of[seen][j] * in[j];
  return up * (1 - inside(d->n, d->mu[seen])) / n2;
}

#endif
