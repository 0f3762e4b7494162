/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tradeoff.h"

#include <math.h>
#include <stdint.h>

#include "front.h"

/* What counts as equal: of the target's length, and of the price. */
#define ALIKE 1e-6

typedef struct {
  const lh_tradeoff_ask *q;
  lh_search_problem p;
  lh_tradeoff_row *row; /* all that were tried */
  size_t n;
  lh_tradeoff_info *info;
  lh_arena *a;
  lh_watch watch; /* tells how far the whole is */
  const lh_watch *who;
  double done, *grams;
} table;

static bool on(void *who, double done)
{
  const table *t = who;

  (void)done;
  return lh_watch_go(t->who, t->done);
}

static double price_of(const table *t, const lh_tradeoff_row *r)
{
  double price = 0.0, per = 0.0;

  for (size_t k = 0; k < r->count; k++) {
    price += t->q->price[r->material[k]] * r->grams[k];
    if (t->q->per) per += t->q->per[r->material[k]] * r->grams[k];
  }
  return t->q->per ? price / per : price;
}

static void add_nearest(table *t, size_t most, const lh_search_choice *c)
{
  lh_tradeoff_row *r = &t->row[t->n++];

  *r = (lh_tradeoff_row){.distance = c->distance, .count = c->count};
  r->tolerance = NAN;
  r->of = most;
  for (size_t k = 0; k < c->count; k++) {
    r->material[k] = c->material[k];
    r->grams[k] = c->grams[k];
  }
  r->price = price_of(t, r);
}

static void add_cheapest(table *t, const lh_linear_ask *ask,
                         const lh_linear_found *f)
{
  lh_tradeoff_row *r = &t->row[t->n++];

  *r = (lh_tradeoff_row){.distance = f->off[LH_LINEAR_DISTANCE]};
  r->tolerance = ask->tolerance;
  r->of = ask->most;
  for (size_t j = 0; j < t->p.materials; j++) {
    if (!(t->grams[j] > 0.0) || r->count == LH_SEARCH_LINES) continue;
    r->material[r->count] = j;
    r->grams[r->count++] = t->grams[j];
  }
  r->price = price_of(t, r);
}

/* The cheapest of at most so many, within wider and wider tolerances. */
static lh_status cheaper(table *t, size_t most, double nearest)
{
  lh_linear_ask ask = {.problem = &t->p, .price = t->q->price};
  double last = INFINITY;

  ask.per = t->q->per;
  ask.most = most;
  for (size_t s = 1; s <= t->q->steps; s++) {
    double share = (double)s / (double)t->q->steps;
    lh_arena kept = *t->a;
    lh_linear_found f;
    lh_status st;
    t->done = ((double)most - 1.0 + share) / (double)t->q->problem->most;
    ask.tolerance = nearest + share * share * t->q->farther;
    st = lh_linear_cheapest(&ask, t->grams, &f, t->a, &t->watch);
    /* Room within the block at hand is given back. */
    if (t->a->total == kept.total) *t->a = kept;
    if (st == LH_NOCONV || st == LH_NOTFOUND) {
      t->info->unsettled++;
      continue;
    }
    if (st != LH_OK) return st;
    add_cheapest(t, &ask, &f);
    if (f.price >= last * (1.0 - 1e-9)) break; /* it is the cheapest of all */
    last = f.price;
  }
  return LH_OK;
}

static lh_status with_most(table *t, size_t most)
{
  lh_search_choice choice;
  lh_search_proof proof;
  lh_status st;

  t->done = ((double)most - 1.0) / (double)t->q->problem->most;
  t->p.most = most;
  st = lh_search_nearest(&t->p, &choice, &proof, t->a, &t->watch);
  t->info->bad = proof.bad;
  if (st != LH_OK) return st == LH_NOTFOUND ? LH_OK : st;
  if (!proof.proven) t->info->unproven++;
  add_nearest(t, most, &choice);
  return t->q->farther > 0.0 ? cheaper(t, most, choice.distance) : LH_OK;
}

static double length_of(const lh_search_problem *p)
{
  double sum = 0.0;

  for (size_t i = 0; i < p->rows; i++) {
    double v = p->target[i] * (p->weight ? p->weight[i] : 1.0);
    sum += v * v;
  }
  return sqrt(sum);
}

static lh_status sift(table *t, lh_tradeoff_row *row, size_t *rows)
{
  double *value = lh_arena_take(t->a, 3 * t->n, sizeof *value);
  size_t *order = lh_arena_take(t->a, t->n, sizeof *order);
  double same[3] = {ALIKE * length_of(&t->p), 0.0, INFINITY};

  if (!value || !order) return LH_NOMEM;
  for (size_t i = 0; i < t->n; i++) {
    value[3 * i] = t->row[i].distance;
    value[3 * i + 1] = (double)t->row[i].count;
    value[3 * i + 2] = t->row[i].price;
    same[2] = fmin(same[2], ALIKE * t->row[i].price);
  }
  *rows = lh_front_keep(value, t->n, 3, same, order);
  for (size_t i = 0; i < *rows; i++) row[i] = t->row[order[i]];
  return LH_OK;
}

lh_status lh_tradeoff_table(const lh_tradeoff_ask *q, lh_tradeoff_row *row,
                            size_t *rows, lh_tradeoff_info *info, lh_arena *a,
                            const lh_watch *w)
{
  table t = {.q = q, .p = *q->problem, .info = info, .a = a, .who = w};
  lh_status st;

  *rows = 0;
  *info = (lh_tradeoff_info){.bad = SIZE_MAX};
  if (q->steps > LH_TRADEOFF_STEPS || t.p.most > LH_SEARCH_LINES ||
      t.p.materials > LH_SEARCH_MATERIALS)
    return LH_TOOLARGE;
  if (!(q->farther >= 0.0 && isfinite(q->farther)) || t.p.most == 0)
    return LH_INPUT;
  for (size_t j = 0; j < t.p.materials; j++) {
    bool ok = q->price[j] >= 0.0 && isfinite(q->price[j]) &&
              (!q->per || (q->per[j] > 0.0 && isfinite(q->per[j])));
    if (ok || (t.p.use && t.p.use[j] == LH_SEARCH_NEVER)) continue;
    info->bad = j;
    return LH_INPUT;
  }
  t.watch = (lh_watch){on, &t};
  t.p.choices = 1;
  t.p.visits = 0;
  t.row = lh_arena_take(a, LH_TRADEOFF_ROWS, sizeof *t.row);
  t.grams = lh_arena_take(a, t.p.materials, sizeof *t.grams);
  if (!t.row || !t.grams) return LH_NOMEM;
  for (size_t k = 1; k <= q->problem->most; k++)
    if ((st = with_most(&t, k)) != LH_OK) return st;
  info->tried = t.n;
  return t.n > 0 ? sift(&t, row, rows) : LH_NOTFOUND;
}
