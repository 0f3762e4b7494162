/* SPDX-License-Identifier: GPL-3.0-or-later */
/* search_active.h -- a recipe under limits by trying every set of them.
**
** A convex problem's least sum is the least over some set of its limits taken
** as equalities; so each set is tried (amounts >= 0 counting among them), the
** system of its multipliers solved by Gaussian elimination, and the least of
** the sums that keep all the other limits is the answer.  Amounts stay in
** grams, limits in per cent of the batch, a slip's moles must add to 100: none
** of the search's own devices.
*/
#ifndef LH_SEARCH_ACTIVE_H
#define LH_SEARCH_ACTIVE_H

#include "search_oracle.h"

enum { ACTIVE_LIMITS = 8, ACTIVE_SIZE = 2 * ORACLE_K + ACTIVE_LIMITS + 1 };

/* Solve a small system in place; false when it is singular. */
static bool active_gauss(double m[ACTIVE_SIZE][ACTIVE_SIZE + 1], size_t n)
{
  for (size_t c = 0; c < n; c++) {
    size_t best = c;
    for (size_t i = c + 1; i < n; i++)
      if (fabs(m[i][c]) > fabs(m[best][c])) best = i;
    if (!(fabs(m[best][c]) > 1e-11)) return false;
    for (size_t l = 0; l <= n; l++) {
      double v = m[c][l];
      m[c][l] = m[best][l];
      m[best][l] = v;
    }
    for (size_t i = 0; i < n; i++) {
      double f = m[i][c] / m[c][c];
      for (size_t l = c; l <= n && i != c; l++) m[i][l] -= f * m[c][l];
    }
  }
  for (size_t i = 0; i < n; i++) m[i][n] /= m[i][i];
  return true;
}

/* A limit as the header words it: g x >= 0 or g x = 0, over a support. */
static bool active_limit(const lh_search_limit *l, const size_t *at, size_t k,
                         double *g)
{
  for (size_t i = 0; i < k; i++) {
    bool in = l->of ? l->of[at[i]] : at[i] == l->material;
    double percent =
        l->kind == LH_SEARCH_STOCK ? 100.0 * l->value / l->batch : l->value;
    g[i] = (in ? 100.0 : 0.0) - percent;
    if (l->kind == LH_SEARCH_MOST || l->kind == LH_SEARCH_STOCK) g[i] = -g[i];
    if (l->kind == LH_SEARCH_RATIO)
      g[i] = at[i] == l->material ? 100.0
             : at[i] == l->other  ? -100.0 * l->value
                                  : 0.0;
    g[i] /= 100.0;
  }
  return l->kind == LH_SEARCH_SHARE || l->kind == LH_SEARCH_RATIO;
}

typedef struct {
  const lh_search_problem *p;
  size_t at[ORACLE_K], k, rows;
  double g[ORACLE_K + ACTIVE_LIMITS][ORACLE_K];
  bool equal[ORACLE_K + ACTIVE_LIMITS];
  double col[ORACLE_K][ORACLE_ROWS], b[ORACLE_ROWS], fired[ORACLE_K];
} active;

/* The least sum with the limits of the set as equalities. */
static bool active_try(const active *a, unsigned set, double *x, double *off)
{
  double m[ACTIVE_SIZE][ACTIVE_SIZE + 1] = {{0.0}};
  size_t n = a->k;

  for (size_t i = 0; i < a->k; i++)
    for (size_t l = 0; l < a->p->rows; l++) {
      for (size_t j = 0; j < a->k; j++) m[i][j] += a->col[i][l] * a->col[j][l];
      m[i][ACTIVE_SIZE] += a->col[i][l] * a->b[l];
    }
  for (size_t c = 0; c <= a->rows; c++) {
    bool total = c == a->rows;
    if (total ? a->p->measure != LH_SEARCH_SLIP : !(set >> c & 1u)) continue;
    for (size_t i = 0; i < a->k; i++)
      m[n][i] = m[i][n] = total ? a->fired[i] : a->g[c][i];
    m[n][ACTIVE_SIZE] = total ? 1.0 : 0.0;
    n++;
  }
  if (n > 2 * a->k) return false;
  for (size_t i = 0; i < n; i++) m[i][n] = m[i][ACTIVE_SIZE];
  if (!active_gauss(m, n)) return false;
  double square = 0.0, sum = 0.0;
  for (size_t i = 0; i < a->k; i++) sum += fabs(x[i] = m[i][n]);
  for (size_t c = 0; c < a->rows; c++) {
    double s = 0.0;
    for (size_t i = 0; i < a->k; i++) s += a->g[c][i] * x[i];
    if (s < -1e-10 * sum) return false;
  }
  for (size_t l = 0; l < a->p->rows; l++) {
    double v = -a->b[l];
    for (size_t i = 0; i < a->k; i++) v += a->col[i][l] * x[i];
    square += v * v;
  }
  *off = sqrt(square);
  return true;
}

static void active_support(active *a, oracle_list *o)
{
  const lh_search_problem *p = a->p;
  oracle_recipe e = {.count = a->k, .distance = INFINITY};
  unsigned must = 0;
  double sum = 0.0;

  a->rows = 0;
  for (size_t l = 0; l < p->limits; l++) {
    bool equal = active_limit(&p->limit[l], a->at, a->k, a->g[a->rows]);
    double size = 0.0;
    for (size_t i = 0; i < a->k; i++) size += fabs(a->g[a->rows][i]);
    if (size < 1e-12) continue; /* it says nothing of this support */
    if (equal) must |= 1u << a->rows;
    a->rows++;
  }
  for (size_t i = 0; i < a->k; i++, a->rows++) {
    memset(a->g[a->rows], 0, sizeof a->g[0]);
    a->g[a->rows][i] = 1.0;
  }
  for (unsigned set = 0; set < 1u << a->rows; set++) {
    double x[ORACLE_K], off;
    if ((set & must) != must || !active_try(a, set, x, &off)) continue;
    if (off >= e.distance) continue;
    e.distance = off;
    memcpy(e.grams, x, sizeof x);
  }
  if (!(e.distance < INFINITY)) return;
  for (size_t i = 0; i < a->k; i++) sum += fabs(e.grams[i]);
  if (!(sum > 1e-9)) return; /* the limits allow nothing at all */
  for (size_t i = 0; i < a->k; i++)
    if (!(e.grams[i] > LH_SEARCH_TRACE_PERCENT / 100.0 * sum)) return;
  memcpy(e.material, a->at, sizeof e.material);
  oracle_keep(o, &e);
}

/* Grams are measured in the moles of the target, so that the small systems
** are well scaled: a column is what one mole's worth of a material brings.
*/
static void active_grow(active *a, size_t from, oracle_list *o)
{
  const lh_search_problem *p = a->p;

  if (a->k == p->most) return;
  for (size_t j = from; j < p->materials; j++) {
    double fired = 0.0, unit = 60.0;
    if (p->use && p->use[j] == LH_SEARCH_NEVER) continue;
    for (size_t l = 0; l < p->rows; l++) {
      double w = p->weight ? p->weight[l] : 1.0;
      fired += p->mol[j * p->rows + l] * unit;
      a->col[a->k][l] = w * p->mol[j * p->rows + l] * unit;
    }
    if (p->measure == LH_SEARCH_SLIP)
      for (size_t l = 0; l < p->rows; l++) a->col[a->k][l] *= 100.0;
    a->fired[a->k] = fired;
    a->at[a->k++] = j;
    active_support(a, o);
    active_grow(a, j + 1, o);
    a->k--;
  }
}

static void oracle_limited(const lh_search_problem *p, size_t want,
                           oracle_list *o)
{
  static active a;

  memset(&a, 0, sizeof a);
  memset(o, 0, sizeof *o);
  o->want = want;
  a.p = p;
  for (size_t i = 0; i < p->rows; i++)
    a.b[i] = (p->weight ? p->weight[i] : 1.0) * p->target[i];
  active_grow(&a, 0, o);
}

#endif
