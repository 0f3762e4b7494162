/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "least_rows.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multilarge_nlinear.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

/* A row as it was last asked. */
typedef struct {
  size_t n, at[LH_LEAST_HANGS];
  double off, by[LH_LEAST_HANGS];
} kept_row;

/* The library asks for the slopes where it has just asked how far off the rows
** are: they are kept, with the place. */
typedef struct {
  const lh_least_problem *problem;
  kept_row *row;
  double *x;
  bool kept;
} context;

static int ask(context *c, const gsl_vector *x)
{
  const lh_least_problem *p = c->problem;
  size_t size = p->unknowns * sizeof *c->x;

  if (c->kept && memcmp(c->x, x->data, size) == 0) return GSL_SUCCESS;
  memcpy(c->x, x->data, size);
  c->kept = false;
  for (size_t i = 0; i < p->rows; i++) {
    kept_row *r = &c->row[i];
    r->n = p->row(p->who, x->data, i, &r->off, r->at, r->by);
    if (!isfinite(r->off)) return GSL_EDOM;
  }
  c->kept = true;
  return GSL_SUCCESS;
}

static int offs(const gsl_vector *x, void *params, gsl_vector *f)
{
  context *c = params;
  int rc = ask(c, x);

  for (size_t i = 0; rc == GSL_SUCCESS && i < c->problem->rows; i++)
    gsl_vector_set(f, i, c->row[i].off);
  return rc;
}

/* v = J u or J' u, and J'J, row by row: only what a row hangs on is touched. */
static int slopes(CBLAS_TRANSPOSE_t trans, const gsl_vector *x,
                  const gsl_vector *u, void *params, gsl_vector *v,
                  gsl_matrix *jtj)
{
  context *c = params;
  double sum;
  int rc = ask(c, x);

  if (v) gsl_vector_set_zero(v);
  if (jtj) gsl_matrix_set_zero(jtj);
  for (size_t i = 0; rc == GSL_SUCCESS && i < c->problem->rows; i++) {
    const kept_row *r = &c->row[i];
    const size_t n = r->n, *at = r->at;
    const double *by = r->by;
    sum = 0;
    for (size_t a = 0; a < n; a++) {
      if (v && trans == CblasTrans)
        *gsl_vector_ptr(v, at[a]) += by[a] * gsl_vector_get(u, i);
      else if (v)
        sum += by[a] * gsl_vector_get(u, at[a]);
      for (size_t b = 0; jtj && b < n; b++)
        if (at[b] <= at[a]) *gsl_matrix_ptr(jtj, at[a], at[b]) += by[a] * by[b];
    }
    if (v && trans == CblasNoTrans) gsl_vector_set(v, i, sum);
  }
  return rc;
}

static lh_status walk(gsl_multilarge_nlinear_workspace *w,
                      const lh_least_problem *p, const lh_watch *watch,
                      lh_least_end *end)
{
  int most = p->most_steps > 0 ? p->most_steps : 200, info = 0;
  const gsl_vector *f = gsl_multilarge_nlinear_residual(w);
  double sum, before = INFINITY;

  end->settled = false;
  for (end->steps = 0; end->steps < most && !end->settled; end->steps++) {
    if (!lh_watch_go(watch, (double)end->steps / most)) return LH_CANCELLED;
    int rc = gsl_multilarge_nlinear_iterate(w);
    /* No smaller sum to be found from here: that is the least. */
    if (rc == GSL_ENOPROG) {
      end->settled = end->steps > 0;
      return end->settled ? LH_OK : LH_RANGE;
    }
    if (rc != GSL_SUCCESS) return rc == GSL_ENOMEM ? LH_NOMEM : LH_RANGE;
    gsl_blas_ddot(f, f, &sum);
    end->settled =
        gsl_multilarge_nlinear_test(1e-8, 1e-10, 0, &info, w) == GSL_SUCCESS ||
        fabs(before - sum) <= 1e-9 * sum;
    before = sum;
  }
  return LH_OK;
}

static lh_status run(gsl_multilarge_nlinear_workspace *w, context *c, double *x,
                     double *covariance, const lh_watch *watch,
                     lh_least_end *end)
{
  const lh_least_problem *p = c->problem;
  gsl_multilarge_nlinear_fdf fdf = {
      .f = offs, .df = slopes, .n = p->rows, .p = p->unknowns, .params = c};
  gsl_vector_view at = gsl_vector_view_array(x, p->unknowns);
  int rc = gsl_multilarge_nlinear_init(&at.vector, &fdf, w);
  lh_status st;

  if (rc != GSL_SUCCESS) return rc == GSL_ENOMEM ? LH_NOMEM : LH_RANGE;
  st = walk(w, p, watch, end);
  if (st != LH_OK) return st;
  if (covariance) {
    gsl_matrix_view to =
        gsl_matrix_view_array(covariance, p->unknowns, p->unknowns);
    rc = gsl_multilarge_nlinear_covar(&to.matrix, w);
    if (rc != GSL_SUCCESS) return rc == GSL_ENOMEM ? LH_NOMEM : LH_RANGE;
  }
  gsl_blas_ddot(gsl_multilarge_nlinear_residual(w),
                gsl_multilarge_nlinear_residual(w), &end->squares);
  memcpy(x, gsl_multilarge_nlinear_position(w)->data, p->unknowns * sizeof *x);
  return LH_OK;
}

lh_status lh_least_rows(const lh_least_problem *problem, double *x,
                        double *covariance, const lh_watch *watch,
                        lh_least_end *end)
{
  gsl_multilarge_nlinear_parameters params =
      gsl_multilarge_nlinear_default_parameters();
  gsl_multilarge_nlinear_workspace *w;
  context c = {.problem = problem};
  lh_status st = LH_NOMEM;

  /* Never set back: the handler belongs to all threads, and none may find
  ** the library's own, which aborts. */
  gsl_set_error_handler_off();
  memset(end, 0, sizeof *end);
  if (problem->rows < problem->unknowns || !problem->unknowns) return LH_RANGE;
  params.trs = gsl_multilarge_nlinear_trs_lm;
  params.solver = gsl_multilarge_nlinear_solver_cholesky;
  params.scale = gsl_multilarge_nlinear_scale_more;
  w = gsl_multilarge_nlinear_alloc(gsl_multilarge_nlinear_trust, &params,
                                   problem->rows, problem->unknowns);
  c.row = calloc(problem->rows, sizeof *c.row);
  c.x = calloc(problem->unknowns, sizeof *c.x);
  if (w && c.row && c.x) st = run(w, &c, x, covariance, watch, end);
  if (w) gsl_multilarge_nlinear_free(w);
  free(c.row);
  free(c.x);
  return st;
}
