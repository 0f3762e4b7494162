/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "search_parts.h"

static double weight_of(const lh_search_problem *p, size_t i)
{
  return p->weight ? p->weight[i] : 1.0;
}

static bool fine(double v)
{
  return v >= 0.0 && v <= 1e9;
}

static bool limit_fine(const lh_search_problem *p, const lh_search_limit *l)
{
  size_t members = 0;

  if (!fine(l->value) || l->kind > LH_SEARCH_EVEN) return false;
  if (l->kind == LH_SEARCH_EVEN) {
    for (size_t j = 0; l->row && j < p->materials; j++)
      if (!fine(fabs(l->row[j]))) return false;
    return l->row != NULL;
  }
  if (l->kind == LH_SEARCH_RATIO)
    return l->value > 0.0 && l->material < p->materials &&
           l->other < p->materials && l->other != l->material;
  if (l->kind == LH_SEARCH_STOCK && !(fine(l->batch) && l->batch > 0.0))
    return false;
  if (l->kind != LH_SEARCH_STOCK && l->value > 100.0) return false;
  if (!l->of) return l->material < p->materials;
  for (size_t j = 0; j < p->materials; j++) members += l->of[j];
  return members > 0;
}

static lh_status check_rows(const lh_search_problem *p, size_t *bad)
{
  double sum = 0.0;

  for (size_t i = 0; i < p->rows; i++) {
    double t = weight_of(p, i) * p->target[i];
    *bad = i;
    if (!fine(p->target[i]) || !fine(weight_of(p, i))) return LH_INPUT;
    sum += t * t;
  }
  *bad = SIZE_MAX;
  return sum > 1e-200 ? LH_OK : LH_INPUT;
}

lh_status lh_search_check(const lh_search_problem *p, size_t *bad)
{
  *bad = SIZE_MAX;
  if (p->rows > LH_SEARCH_ROWS || p->materials > LH_SEARCH_MATERIALS ||
      p->most > LH_SEARCH_LINES || p->choices > LH_SEARCH_CHOICES ||
      p->limits > LH_SEARCH_LIMITS ||
      lh_search_limit_count(p) > LH_SEARCH_LIMITS)
    return LH_TOOLARGE;
  if (!p->rows || !p->materials || !p->most || !p->choices) return LH_INPUT;
  if (p->measure > LH_SEARCH_SLIP) return LH_INPUT;
  if (!(p->must_percent >= 0.0 && p->must_percent <= 100.0)) return LH_INPUT;
  if (check_rows(p, bad) != LH_OK) return LH_INPUT;
  for (size_t j = 0; j < p->materials; j++) {
    *bad = j;
    for (size_t i = 0; i < p->rows; i++)
      if (!fine(p->mol[j * p->rows + i])) return LH_INPUT;
    if (p->fired && !fine(p->fired[j])) return LH_INPUT;
    if (p->use && p->use[j] > LH_SEARCH_NEVER) return LH_INPUT;
  }
  for (size_t i = 0; i < p->limits; i++) {
    *bad = i;
    if (!limit_fine(p, &p->limit[i])) return LH_INPUT;
  }
  *bad = SIZE_MAX;
  return LH_OK;
}

/* All that fires of one gram; for a glaze, any number above 0. */
static double fired_of(const lh_search_problem *p, size_t j)
{
  double sum = 0.0;

  if (p->fired) return p->fired[j];
  for (size_t i = 0; i < p->rows; i++) sum += p->mol[j * p->rows + i];
  return sum;
}

/* Column j at unit length into c; what it weighs [g], 0 when it is nothing. */
static double column(const lh_search_problem *p, const lh_search_ready *r,
                     size_t j, double rho, double *c)
{
  const double *mol = &p->mol[j * p->rows];
  double grams = 1.0, square = 0.0;

  if (r->slip) {
    double fired = fired_of(p, j);
    if (!(fired > 1e-100)) return 0.0;
    grams = 100.0 / fired;
  }
  for (size_t i = 0; i < p->rows; i++) {
    double v = mol[i] * grams - (r->slip ? p->target[i] : 0.0);
    c[i] = weight_of(p, i) * v / rho;
  }
  if (r->slip) c[p->rows] = 1.0;
  for (size_t i = 0; i < r->deep; i++) square += c[i] * c[i];
  double length = sqrt(square);
  if (!(length > 1e-100)) return 0.0;
  for (size_t i = 0; i < r->deep; i++) c[i] /= length;
  return grams / length;
}

/* Which of two columns goes first: by what they hold to nine digits, then by
** weight, then by place.  The caller's order must not matter, nor the last
** bits of his numbers.
*/
static bool goes_first(const lh_search_ready *r, size_t i, size_t j)
{
  const double *a = &r->col[i * r->deep], *b = &r->col[j * r->deep];

  for (size_t k = 0; k < r->deep; k++) {
    double x = rint(a[k] * 1e9), y = rint(b[k] * 1e9);
    if (x != y) return x > y;
  }
  if (r->scale[i] < r->scale[j] * (1.0 - 1e-9)) return true;
  if (r->scale[j] < r->scale[i] * (1.0 - 1e-9)) return false;
  return r->place[i] < r->place[j];
}

static void swap_columns(lh_search_ready *r, size_t i, size_t j)
{
  size_t place = r->place[i];
  double scale = r->scale[i];

  r->place[i] = r->place[j];
  r->place[j] = place;
  r->scale[i] = r->scale[j];
  r->scale[j] = scale;
  for (size_t k = 0; k < r->deep; k++) {
    double v = r->col[i * r->deep + k];
    r->col[i * r->deep + k] = r->col[j * r->deep + k];
    r->col[j * r->deep + k] = v;
  }
}

static lh_status columns(const lh_search_problem *p, lh_search_ready *r,
                         size_t *bad)
{
  double rho = 0.0;

  for (size_t i = 0; i < p->rows; i++) {
    double t = weight_of(p, i) * p->target[i];
    rho += t * t;
  }
  rho = sqrt(rho);
  memset(r->b, 0, sizeof r->b);
  if (r->slip) r->b[p->rows] = 1.0;
  for (size_t i = 0; i < p->rows && !r->slip; i++)
    r->b[i] = weight_of(p, i) * p->target[i] / rho;
  for (size_t j = 0; j < p->materials; j++) {
    lh_search_use use = p->use ? p->use[j] : LH_SEARCH_MAY;
    if (use == LH_SEARCH_NEVER) continue;
    double *c = &r->col[r->n * r->deep];
    /* A glaze's columns are free in length: moles as they are. */
    double scale = column(p, r, j, r->slip ? rho : 1.0, c);
    if (!(scale > 0.0)) {
      *bad = j;
      if (use == LH_SEARCH_MUST) return LH_INPUT;
      continue;
    }
    r->place[r->n] = j;
    r->scale[r->n++] = scale * (r->slip ? 1.0 : rho);
  }
  for (size_t i = 1; i < r->n; i++)
    for (size_t j = i; j > 0 && goes_first(r, j, j - 1); j--)
      swap_columns(r, j, j - 1);
  for (size_t j = 0; j < r->n; j++)
    r->must[j] = p->use && p->use[r->place[j]] == LH_SEARCH_MUST;
  *bad = SIZE_MAX;
  return LH_OK;
}

static void limit_rows(const lh_search_problem *p, lh_search_ready *r,
                       double *g)
{
  for (size_t i = 0; i < r->limits; i++) {
    double *row = &r->lim[i * r->n], most = 0.0;
    lh_search_limit_row(p, i, g, &r->equal[i]);
    for (size_t j = 0; j < r->n; j++) {
      row[j] = g[r->place[j]] * r->scale[j];
      most = fmax(most, fabs(row[j]));
    }
    for (size_t j = 0; j < r->n && most > 0.0; j++) row[j] /= most;
  }
}

/* Products of all columns, a broken limit pulling; slacks after them. */
static void products(lh_search_ready *r)
{
  const double pull = LH_SEARCH_PULL;
  size_t n = r->n, at = n;

  for (size_t i = 0; i < n; i++)
    for (size_t j = 0; j <= i; j++) {
      double v = 0.0;
      for (size_t k = 0; k < r->deep; k++)
        v += r->col[i * r->deep + k] * r->col[j * r->deep + k];
      double even = v;
      for (size_t l = 0; l < r->limits; l++) {
        double both = r->lim[l * n + i] * r->lim[l * n + j];
        v += pull * pull * both;
        if (r->equal[l])
          even += LH_SEARCH_PULL_LEANT * LH_SEARCH_PULL_LEANT * both;
      }
      r->gram[i * r->all + j] = r->gram[j * r->all + i] = v;
      r->plain[i * n + j] = r->plain[j * n + i] = even;
    }
  for (size_t l = 0; l < r->limits; l++) {
    if (r->equal[l]) continue;
    for (size_t j = 0; j < n; j++)
      r->gram[at * r->all + j] = r->gram[j * r->all + at] =
          -pull * r->lim[l * n + j];
    r->gram[at * r->all + at] = 1.0;
    at++;
  }
  /* u: all ones for a glaze, whose columns are >= 0; b for a slip. */
  for (size_t k = 0; k < r->deep; k++) {
    double u = r->slip ? r->b[k] : 1.0;
    r->bu += r->b[k] * u;
    r->uu += u * u;
    for (size_t j = 0; j < n; j++) {
      r->h[j] += r->col[j * r->deep + k] * r->b[k];
      r->up[j] += r->col[j * r->deep + k] * u;
    }
  }
}

lh_status lh_search_prepare(const lh_search_problem *p, lh_search_ready *r,
                            size_t *bad, lh_arena *a)
{
  size_t n = p->materials, limits = lh_search_limit_count(p);
  size_t all = n + limits;

  *r = (lh_search_ready){.slip = p->measure == LH_SEARCH_SLIP,
                         .deep = p->rows + (p->measure == LH_SEARCH_SLIP),
                         .limits = limits,
                         .most = p->most};
  r->place = lh_arena_take(a, n, sizeof *r->place);
  r->scale = lh_arena_take(a, n, sizeof *r->scale);
  r->col = lh_arena_take(a, n * r->deep, sizeof *r->col);
  r->lim = lh_arena_take(a, n * limits + 1, sizeof *r->lim);
  r->gram = lh_arena_take(a, all * all, sizeof *r->gram);
  r->h = lh_arena_take(a, all, sizeof *r->h);
  r->plain = limits ? lh_arena_take(a, n * n, sizeof *r->plain) : r->gram;
  r->up = lh_arena_take(a, n, sizeof *r->up);
  r->must = lh_arena_take(a, n, sizeof *r->must);
  r->room = lh_arena_take(a, LH_SEARCH_WIDE * LH_SEARCH_WIDE, sizeof *r->room);
  double *g = lh_arena_take(a, n, sizeof *g);
  if (!r->place || !r->scale || !r->col || !r->lim || !r->gram || !r->h ||
      !r->plain || !r->up || !r->must || !r->room || !g)
    return LH_NOMEM;
  lh_status st = columns(p, r, bad);
  if (st != LH_OK) return st;
  limit_rows(p, r, g);
  r->all = r->n;
  for (size_t i = 0; i < limits; i++) r->all += !r->equal[i];
  products(r);
  return LH_OK;
}
