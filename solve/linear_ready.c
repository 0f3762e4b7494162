/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdint.h>

#include "linear_parts.h"

static bool sound(double v)
{
  return v >= 0.0 && isfinite(v); /* false for NaN */
}

/* Numbers of the columns and the target; *bad says where. */
static lh_status check(const lh_linear_ask *q, size_t *bad)
{
  const lh_search_problem *p = q->problem;

  *bad = SIZE_MAX;
  if (p->rows > LH_SEARCH_ROWS || p->materials > LH_SEARCH_MATERIALS ||
      p->limits > LH_SEARCH_LIMITS)
    return LH_TOOLARGE;
  if (p->rows == 0 || p->materials == 0 || !sound(q->tolerance) ||
      !sound(p->must_percent) || p->must_percent > 100.0)
    return LH_INPUT;
  for (size_t i = 0; i < p->rows; i++)
    if (!sound(p->target[i]) || (p->weight && !sound(p->weight[i])))
      return *bad = i, LH_INPUT;
  for (size_t j = 0; j < p->materials; j++) {
    if (p->use && p->use[j] == LH_SEARCH_NEVER) continue;
    *bad = j;
    if (!sound(q->price[j])) return LH_INPUT;
    if (q->per && !(sound(q->per[j]) && q->per[j] > 0.0)) return LH_INPUT;
    if (p->fired && !sound(p->fired[j])) return LH_INPUT;
    for (size_t i = 0; i < p->rows; i++)
      if (!sound(p->mol[j * p->rows + i])) return LH_INPUT;
  }
  for (size_t i = 0; i < p->limits; i++) {
    const lh_search_limit *l = &p->limit[i];
    bool share = l->kind <= LH_SEARCH_SHARE;
    *bad = i;
    if (l->kind == LH_SEARCH_EVEN) {
      for (size_t j = 0; j < p->materials; j++)
        if (!l->row || !isfinite(l->row[j])) return LH_INPUT;
      continue;
    }
    if (!sound(l->value) || (share && l->value > 100.0)) return LH_INPUT;
    if (l->kind == LH_SEARCH_STOCK && !(sound(l->batch) && l->batch > 0.0))
      return LH_INPUT;
    if (!l->of && l->material >= p->materials) return LH_INPUT;
    if (l->kind == LH_SEARCH_RATIO &&
        (l->of || !(l->value > 0.0) || l->other >= p->materials))
      return LH_INPUT;
  }
  *bad = SIZE_MAX;
  return LH_OK;
}

/* What a limit says of one gram of material j: the sum is to be >= 0. */
static double limit_of(const lh_search_limit *l, size_t j, bool *equal)
{
  double in = l->of ? (l->of[j] ? 1.0 : 0.0) : l->material == j ? 1.0 : 0.0;
  double share = l->value / 100.0;

  *equal = l->kind == LH_SEARCH_SHARE || l->kind == LH_SEARCH_RATIO ||
           l->kind == LH_SEARCH_EVEN;
  switch (l->kind) {
  case LH_SEARCH_LEAST: return in - share;
  case LH_SEARCH_MOST: return share - in;
  case LH_SEARCH_SHARE: return in - share;
  case LH_SEARCH_RATIO: return in - (l->other == j ? l->value : 0.0);
  case LH_SEARCH_STOCK: return l->value / l->batch - in;
  case LH_SEARCH_EVEN: return l->row[j];
  }
  return 0.0;
}

/* Has a `must` a least share of its own? */
static bool told(const lh_search_problem *p, size_t j)
{
  for (size_t i = 0; i < p->limits; i++) {
    const lh_search_limit *l = &p->limit[i];
    if (!l->of && l->material == j && l->value > 0.0 &&
        (l->kind == LH_SEARCH_LEAST || l->kind == LH_SEARCH_SHARE))
      return true;
  }
  return false;
}

/* Make row k of the limits' largest number 1, in units of x. */
static void level(lh_linear_ready *r, size_t k)
{
  double *g = r->lim + k * r->n, most = 0.0;

  for (size_t j = 0; j < r->n; j++) {
    g[j] *= r->scale[j];
    most = fmax(most, fabs(g[j]));
  }
  for (size_t j = 0; j < r->n && most > 0.0; j++) g[j] /= most;
}

static void take_limits(lh_linear_ready *r)
{
  const lh_search_problem *p = r->ask->problem;
  double must =
      p->must_percent > 0.0 ? p->must_percent : LH_SEARCH_MUST_PERCENT;
  size_t k = 0;

  for (size_t i = 0; i < p->limits; i++, k++) {
    for (size_t j = 0; j < r->n; j++)
      r->lim[k * r->n + j] = limit_of(&p->limit[i], r->place[j], &r->equal[k]);
    level(r, k);
  }
  for (size_t m = 0; p->use && m < r->n; m++) {
    if (p->use[r->place[m]] != LH_SEARCH_MUST || told(p, r->place[m])) continue;
    for (size_t j = 0; j < r->n; j++)
      r->lim[k * r->n + j] = (j == m ? 1.0 : 0.0) - must / 100.0;
    level(r, k++);
  }
  r->limits = k;
}

/* Column of a material; false when it brings nothing that counts. */
static bool take_column(lh_linear_ready *r, size_t place)
{
  const lh_search_problem *p = r->ask->problem;
  const double *mol = p->mol + place * p->rows;
  double *col = r->col + r->n * r->rows, most = 0.0, fired = 0.0;

  for (size_t i = 0; i < r->rows; i++) {
    col[i] = mol[i] * (p->weight ? p->weight[i] : 1.0);
    most = fmax(most, col[i]);
    fired += mol[i];
  }
  if (p->fired) fired = p->fired[place];
  if (!(p->measure == LH_SEARCH_SLIP ? fired > 0.0 : most > 0.0)) return false;
  if (!(most > 0.0)) most = fired;
  r->place[r->n] = place;
  r->scale[r->n] = 1.0 / most;
  for (size_t i = 0; i < r->rows; i++) col[i] /= most;
  r->fired[r->n] = fired / most;
  r->price[r->n] = r->ask->price[place] / most;
  if (r->per) r->per[r->n] = r->ask->per[place] / most;
  r->n++;
  return true;
}

lh_status lh_linear_prepare(const lh_linear_ask *q, lh_linear_ready *r,
                            size_t *bad, lh_arena *a)
{
  const lh_search_problem *p = q->problem;
  size_t n = p->materials, rows = p->limits;
  lh_status st = check(q, bad);
  double sum = 0.0;

  if (st != LH_OK) return st;
  *r = (lh_linear_ready){.ask = q, .rows = p->rows};
  r->place = lh_arena_take(a, n, sizeof *r->place);
  r->scale = lh_arena_take(a, n, sizeof *r->scale);
  r->col = lh_arena_take(a, n * p->rows, sizeof *r->col);
  r->fired = lh_arena_take(a, n, sizeof *r->fired);
  r->price = lh_arena_take(a, n, sizeof *r->price);
  r->per = q->per ? lh_arena_take(a, n, sizeof *r->per) : NULL;
  for (size_t j = 0; p->use && j < n; j++)
    if (p->use[j] == LH_SEARCH_MUST) rows++;
  r->lim = lh_arena_take(a, rows * n, sizeof *r->lim);
  r->equal = lh_arena_take(a, rows, sizeof *r->equal);
  if (!r->place || !r->scale || !r->col || !r->fired || !r->price ||
      (q->per && !r->per) || !r->lim || !r->equal)
    return LH_NOMEM;
  for (size_t i = 0; i < p->rows; i++) {
    r->b[i] = p->target[i] * (p->weight ? p->weight[i] : 1.0);
    sum += r->b[i] * r->b[i];
  }
  r->length = sqrt(sum);
  if (!(r->length > 0.0) || !isfinite(r->length)) return LH_INPUT;
  for (size_t j = 0; j < n; j++) {
    if (p->use && p->use[j] == LH_SEARCH_NEVER) continue;
    if (take_column(r, j)) continue;
    if (p->use && p->use[j] == LH_SEARCH_MUST) return *bad = j, LH_INPUT;
  }
  take_limits(r);
  return LH_OK;
}
