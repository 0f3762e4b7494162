/* SPDX-License-Identifier: GPL-3.0-or-later */
/* search_oracle.h -- every support looked at, by another way of solving.
**
** No products of columns, no bounds, no order but the caller's: each support
** grows out of the one before by a column made orthogonal to it (modified
** Gram-Schmidt, Bjoerck 1967), and its least squares are solved outright.  A
** support is listed when all amounts are above a trace, as the header of the
** search says.  For limits, every set of them is taken as equalities in turn
** and the least of the sums that keep all the others is the answer (for a
** convex problem one of those sums is the optimum).
*/
#ifndef LH_SEARCH_ORACLE_H
#define LH_SEARCH_ORACLE_H

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include "search.h"

enum { ORACLE_K = 6, ORACLE_ROWS = 16, ORACLE_LIST = 60 };

typedef struct {
  size_t count, material[ORACLE_K];
  double distance, grams[ORACLE_K];
} oracle_recipe;

typedef struct {
  size_t found, want;
  oracle_recipe list[ORACLE_LIST];
} oracle_list;

static void oracle_keep(oracle_list *o, const oracle_recipe *e)
{
  size_t i = o->found;

  if (i == o->want && e->distance >= o->list[i - 1].distance) return;
  if (i < o->want)
    o->found++;
  else
    i--;
  for (; i > 0 && o->list[i - 1].distance > e->distance; i--)
    o->list[i] = o->list[i - 1];
  o->list[i] = *e;
}

/* Weighted column j: for a glaze what a gram brings; for a slip what 100
** moles of it bring less the target, to be mixed in shares that add to one.
*/
static inline void oracle_column(const lh_search_problem *p, size_t j,
                                 double *c)
{
  double fired = 0.0;

  for (size_t i = 0; i < p->rows; i++) fired += p->mol[j * p->rows + i];
  if (p->fired) fired = p->fired[j];
  for (size_t i = 0; i < p->rows; i++) {
    double w = p->weight ? p->weight[i] : 1.0, v = p->mol[j * p->rows + i];
    c[i] = p->measure == LH_SEARCH_GLAZE
               ? w * v
               : w * (100.0 * v / fired - p->target[i]);
  }
}

typedef struct {
  const lh_search_problem *p;
  oracle_list *o;
  double col[64][ORACLE_ROWS], b[ORACLE_ROWS];
  double q[ORACLE_K][ORACLE_ROWS], r[ORACLE_K][ORACLE_K], qb[ORACLE_K];
  oracle_recipe e;
} oracle_work;

static inline void oracle_solve(oracle_work *k)
{
  size_t n = k->e.count;
  double square = 0.0, sum = 0.0, *y = k->e.grams;

  for (size_t i = n; i-- > 0;) {
    y[i] = k->qb[i];
    for (size_t j = i + 1; j < n; j++) y[i] -= k->r[i][j] * y[j];
    y[i] /= k->r[i][i];
    sum += fabs(y[i]);
  }
  for (size_t i = 0; i < n; i++)
    if (!(y[i] > LH_SEARCH_TRACE_PERCENT / 100.0 * sum)) return;
  for (size_t l = 0; l < k->p->rows; l++) {
    double v = -k->b[l];
    for (size_t i = 0; i < n; i++) v += k->col[k->e.material[i]][l] * y[i];
    square += v * v;
  }
  k->e.distance = sqrt(square);
  oracle_keep(k->o, &k->e);
}

/* Glaze: the free least squares of every support. */
static inline void oracle_grow(oracle_work *k, size_t from)
{
  size_t d = k->e.count, rows = k->p->rows;

  if (d == k->p->most) return;
  for (size_t j = from; j < k->p->materials; j++) {
    double *q = k->q[d], length = 0.0, own = 0.0;
    memcpy(q, k->col[j], sizeof k->q[d]);
    for (size_t i = 0; i < d; i++) {
      double c = 0.0;
      for (size_t l = 0; l < rows; l++) c += k->q[i][l] * q[l];
      k->r[i][d] = c;
      for (size_t l = 0; l < rows; l++) q[l] -= c * k->q[i][l];
    }
    for (size_t l = 0; l < rows; l++) {
      length += q[l] * q[l];
      own += k->col[j][l] * k->col[j][l];
    }
    if (!(length > 1e-10 * own)) continue;
    k->r[d][d] = sqrt(length);
    k->qb[d] = 0.0;
    for (size_t l = 0; l < rows; l++) {
      q[l] /= k->r[d][d];
      k->qb[d] += q[l] * k->b[l];
    }
    k->e.material[d] = j;
    k->e.count = d + 1;
    oracle_solve(k);
    oracle_grow(k, j + 1);
    k->e.count = d;
  }
}

static inline void oracle_glaze(const lh_search_problem *p, size_t want,
                                oracle_list *o)
{
  static oracle_work k;

  memset(&k, 0, sizeof k);
  memset(o, 0, sizeof *o);
  o->want = want;
  k.p = p;
  k.o = o;
  for (size_t j = 0; j < p->materials; j++) oracle_column(p, j, k.col[j]);
  for (size_t i = 0; i < p->rows; i++)
    k.b[i] = (p->weight ? p->weight[i] : 1.0) * p->target[i];
  oracle_grow(&k, 0);
}

#endif
