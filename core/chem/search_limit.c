/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "search_parts.h"

/* Each limit becomes a row g over grams, g x >= 0 or g x = 0, homogeneous
** because a share of the batch is a share of the sum of the grams.
*/

static bool in_class(const lh_search_limit *l, size_t j)
{
  return l->of ? l->of[j] : j == l->material;
}

/* Does this limit by itself keep the material in the recipe? */
static bool keeps(const lh_search_limit *l, size_t j)
{
  if (l->kind != LH_SEARCH_LEAST && l->kind != LH_SEARCH_SHARE) return false;
  return !l->of && l->material == j && l->value > 0.0;
}

static bool wants_least(const lh_search_problem *p, size_t j)
{
  if (!p->use || p->use[j] != LH_SEARCH_MUST) return false;
  for (size_t i = 0; i < p->limits; i++)
    if (keeps(&p->limit[i], j)) return false;
  return true;
}

size_t lh_search_limit_count(const lh_search_problem *p)
{
  size_t n = p->limits;

  for (size_t j = 0; j < p->materials; j++) n += wants_least(p, j);
  return n;
}

/* The i-th `must` without a least of its own. */
static size_t must_of(const lh_search_problem *p, size_t i)
{
  size_t j = 0;

  for (;; j++)
    if (wants_least(p, j) && i-- == 0) return j;
}

void lh_search_limit_row(const lh_search_problem *p, size_t i, double *g,
                         bool *equal)
{
  lh_search_limit must = {.kind = LH_SEARCH_LEAST};
  const lh_search_limit *l = &must;

  if (i < p->limits) {
    l = &p->limit[i];
  } else {
    must.material = must_of(p, i - p->limits);
    must.value =
        p->must_percent > 0.0 ? p->must_percent : LH_SEARCH_MUST_PERCENT;
  }
  *equal = l->kind == LH_SEARCH_SHARE || l->kind == LH_SEARCH_RATIO ||
           l->kind == LH_SEARCH_EVEN;
  if (l->kind == LH_SEARCH_EVEN) {
    for (size_t j = 0; j < p->materials; j++) g[j] = l->row[j];
    return;
  }
  if (l->kind == LH_SEARCH_RATIO) {
    for (size_t j = 0; j < p->materials; j++) g[j] = 0.0;
    g[l->material] = 1.0;
    g[l->other] = -l->value;
    return;
  }
  double share =
      l->kind == LH_SEARCH_STOCK ? l->value / l->batch : l->value / 100.0;
  bool least = l->kind == LH_SEARCH_LEAST || l->kind == LH_SEARCH_SHARE;
  for (size_t j = 0; j < p->materials; j++) {
    double v = (in_class(l, j) ? 1.0 : 0.0) - share;
    g[j] = least ? v : -v;
  }
}
