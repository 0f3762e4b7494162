/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "linear.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "linear_parts.h"

/* An amount under this share of the heaviest is none. */
#define NONE (LH_SEARCH_TRACE_PERCENT / 100.0)

/* Beside a tolerance, how far the chooser of materials can be wrong, of the
** target's length. */
#define EDGE 2e-6

/* How far a recipe is, by each norm. */
static void measure(const lh_linear_ready *r, const double *x, double t,
                    double off[LH_LINEAR_NORMS])
{
  double each = 0.0, sum = 0.0, squares = 0.0;

  for (size_t i = 0; i < r->rows; i++) {
    double d = -r->b[i];
    for (size_t j = 0; j < r->n; j++) d += r->col[j * r->rows + i] * x[j] / t;
    each = fmax(each, fabs(d));
    sum += fabs(d);
    squares += d * d;
  }
  off[LH_LINEAR_EACH] = each;
  off[LH_LINEAR_SUM] = sum;
  off[LH_LINEAR_DISTANCE] = sqrt(squares);
}

/* From the programme's unknowns to grams and what there is to say of them. */
void lh_linear_tell(const lh_linear_ready *r, const lh_linear_answer *y,
                    double *grams, lh_linear_found *f)
{
  double heaviest = 0.0, price = 0.0, per = 0.0;

  for (size_t j = 0; j < r->n; j++)
    heaviest = fmax(heaviest, y->x[j] * r->scale[j]);
  f->materials = 0;
  memset(grams, 0, r->ask->problem->materials * sizeof *grams);
  for (size_t j = 0; j < r->n; j++) {
    if (!(y->x[j] * r->scale[j] > NONE * heaviest)) y->x[j] = 0.0;
    if (y->x[j] > 0.0) f->materials++;
    grams[r->place[j]] = y->x[j] * r->scale[j] / y->t;
    price += r->price[j] * y->x[j] / y->t;
    if (r->per) per += r->per[j] * y->x[j] / y->t;
  }
  f->price = r->per ? price / per : price;
  /* Of the row s - tolerance t <= 0, a step d of the tolerance frees d t; what
  ** the programme counts is the price of `held`. */
  f->shadow = y->link * y->t / (r->per ? r->held : 1.0);
  measure(r, y->x, y->t, f->off);
}

/* Solve, with at most so many materials if asked.  The chooser sees less
** sharply than the sum: at the very edge what it chose may not be near enough
** after all, and it chooses again from a little nearer.
*/
static lh_status run(const lh_linear_ready *r, bool nearest,
                     lh_linear_answer *y, lh_linear_found *f, lh_arena *a)
{
  size_t most = r->ask->most < r->n ? r->ask->most : 0;
  lh_linear_ask q = *r->ask;
  lh_linear_ready s = *r;
  lh_status st;
  bool *only;

  if (most == 0) return lh_linear_solve(r, nearest, NULL, 0, y, f, a);
  if (!(only = lh_arena_take(a, r->n, sizeof *only))) return LH_NOMEM;
  s.ask = &q;
  for (int k = 0; k < 2; k++) {
    st = lh_linear_solve(&s, nearest, NULL, most, y, f, a);
    if (st != LH_OK) return st;
    for (size_t j = 0; j < r->n; j++) only[j] = y->x[j] > 0.5;
    st = lh_linear_solve(r, nearest, only, 0, y, f, a);
    if (st != LH_NOTFOUND) return st;
    q.tolerance = fmax(0.0, q.tolerance - EDGE * r->length);
  }
  return st;
}

/* t about 1 for a recipe whose moles are the target's. */
static double hold(const lh_linear_ready *r)
{
  double sum = 0.0, per = 0.0;

  if (!r->per) return 1.0;
  for (size_t i = 0; i < r->rows; i++) sum += r->b[i];
  for (size_t j = 0; j < r->n; j++) per += r->per[j] / (double)r->n;
  return sum * per;
}

lh_status lh_linear_begin(const lh_linear_ask *q, lh_linear_ready *r,
                          lh_linear_answer *y, lh_linear_found *f, lh_arena *a,
                          const lh_watch *w)
{
  lh_status st;

  *f = (lh_linear_found){.price = NAN, .shadow = NAN, .least = NAN};
  for (size_t i = 0; i < LH_LINEAR_NORMS; i++) f->off[i] = NAN;
  if ((st = lh_linear_prepare(q, r, &f->bad, a)) != LH_OK) return st;
  if (r->n == 0) return LH_NOTFOUND;
  r->watch = w;
  r->held = hold(r);
  y->x = lh_arena_take(a, r->n, sizeof *y->x);
  return y->x ? LH_OK : LH_NOMEM;
}

static bool empty(const lh_linear_ready *r, const lh_linear_answer *y)
{
  for (size_t j = 0; j < r->n; j++)
    if (y->x[j] > 0.0) return false;
  return true;
}

/* The least tolerance there is; NAN when the limits leave no recipe. */
lh_status lh_linear_least(const lh_linear_ready *r, lh_linear_answer *y,
                          lh_linear_found *f, lh_arena *a)
{
  lh_status st = run(r, true, y, f, a);

  f->least = NAN;
  if (st != LH_OK) return st;
  if (empty(r, y)) return LH_NOTFOUND;
  f->least = y->s;
  return LH_OK;
}

lh_status lh_linear_nearest(const lh_linear_ask *q, double *grams,
                            lh_linear_found *f, lh_arena *a, const lh_watch *w)
{
  lh_linear_answer y = {.t = 1.0};
  lh_linear_ready r;
  lh_status st = lh_linear_begin(q, &r, &y, f, a, w);

  if (st != LH_OK || (st = lh_linear_least(&r, &y, f, a)) != LH_OK) return st;
  lh_linear_tell(&r, &y, grams, f);
  return LH_OK;
}

lh_status lh_linear_cheapest(const lh_linear_ask *q, double *grams,
                             lh_linear_found *f, lh_arena *a, const lh_watch *w)
{
  lh_linear_answer y = {.t = 1.0};
  lh_linear_ready r;
  lh_status st = lh_linear_begin(q, &r, &y, f, a, w);

  if (st != LH_OK) return st;
  st = run(&r, false, &y, f, a);
  if (st == LH_NOTFOUND) {
    st = lh_linear_least(&r, &y, f, a);
    return st == LH_OK ? LH_NOTFOUND : st;
  }
  if (st != LH_OK) return st;
  /* Without `per` and with a wide tolerance, nothing at all is near enough. */
  if (empty(&r, &y)) return LH_NOTFOUND;
  lh_linear_tell(&r, &y, grams, f);
  return LH_OK;
}
