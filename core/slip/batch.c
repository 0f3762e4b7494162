/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "batch.h"

#include <assert.h>

enum { SUMS_TRIED = 512 };

static const double STEPS_MOST = 1e9;

/* A rounding: whole steps for each line, and how far they are off. */
typedef struct {
  double k[LH_BATCH_LINES]; /* whole numbers, held exactly in doubles */
  double worst, squares;    /* largest |deviation|; sum of squares    */
} rounding;

/* Is a better than b?  Equal to 1e-12 counts as equal, so that the last bit
** of a division never picks a batch. */
static bool better(const rounding *a, const rounding *b)
{
  if (fabs(a->worst - b->worst) > 1e-12) return a->worst < b->worst;
  return a->squares < b->squares - 1e-12;
}

/* What a line is off by.  The rounding of a division is no deviation: below
** 1e-13 even the largest batch is off by less than a step's thousandth. */
static double deviation(double k, double q)
{
  double d = k / q - 1.0;

  return fabs(d) < 1e-13 ? 0.0 : d;
}

/* Whole steps nearest to each line's q, at least one; gives their sum. */
static double round_lines(const double *q, size_t n, double *k)
{
  double sum = 0.0;

  for (size_t i = 0; i < n; i++) {
    k[i] = q[i] > 0.0 ? fmax(floor(q[i] + 0.5), 1.0) : 0.0;
    sum += k[i];
  }
  return sum;
}

/* Move single steps to reach the sum wanted, each to the line that ends with
** the least deviation: this makes the largest deviation least. */
static double least_worst(const double *q, size_t n, double want)
{
  double k[LH_BATCH_LINES], worst = 0.0;
  double have = round_lines(q, n, k);
  double step = have < want ? 1.0 : -1.0;

  for (; have != want; have += step) {
    size_t best = n;
    double least = (double)INFINITY;
    for (size_t i = 0; i < n; i++) {
      double d;
      if (q[i] == 0.0 || k[i] + step < 1.0) continue;
      d = fabs(deviation(k[i] + step, q[i]));
      if (d < least) least = d, best = i;
    }
    if (best == n) return (double)INFINITY; /* fewer steps than lines */
    k[best] += step;
  }
  for (size_t i = 0; i < n; i++)
    if (q[i] > 0.0) worst = fmax(worst, fabs(deviation(k[i], q[i])));
  return worst;
}

/* Within that bound, move single steps where they add least to the sum of
** squares: of all roundings with the least worst line, the truest. */
static void least_squares(const double *q, size_t n, double want, double bound,
                          rounding *r)
{
  double have = round_lines(q, n, r->k);
  double step = have < want ? 1.0 : -1.0;

  for (; have != want; have += step) {
    size_t best = n;
    double least = (double)INFINITY;
    for (size_t i = 0; i < n; i++) {
      double d0, d1;
      if (q[i] == 0.0 || r->k[i] + step < 1.0) continue;
      d0 = deviation(r->k[i], q[i]);
      d1 = deviation(r->k[i] + step, q[i]);
      if (fabs(d1) > bound + 1e-12) continue;
      if (d1 * d1 - d0 * d0 < least) least = d1 * d1 - d0 * d0, best = i;
    }
    assert(best < n);
    r->k[best] += step;
  }
  r->worst = r->squares = 0.0;
  for (size_t i = 0; i < n; i++) {
    double d = q[i] > 0.0 ? deviation(r->k[i], q[i]) : 0.0;
    r->worst = fmax(r->worst, fabs(d));
    r->squares += d * d;
  }
}

/* The best rounding of the shares among all sums tried; false when the scale
** has fewer steps than the recipe lines in every one of them. */
static bool best_rounding(const double *share, size_t n, double first,
                          double last, rounding *best)
{
  bool found = false;

  best->worst = best->squares = (double)INFINITY;
  for (double sum = first; sum <= last; sum += 1.0) {
    double q[LH_BATCH_LINES], bound;
    rounding r;
    for (size_t i = 0; i < n; i++) q[i] = share[i] * sum;
    bound = least_worst(q, n, sum);
    if (!isfinite(bound)) continue;
    if (found && bound > best->worst + 1e-12) continue;
    least_squares(q, n, sum, bound, &r);
    if (!found || better(&r, best)) *best = r;
    found = true;
  }
  return found;
}

/* Each line's share of the whole; additions are percent of the parts. */
static bool shares(const lh_batch_line *line, size_t n, double *share)
{
  double parts = 0.0, whole;
  double added = 0.0;

  for (size_t i = 0; i < n; i++) {
    double p = line[i].parts;
    if (!(p >= 0.0) || !isfinite(p)) return false;
    if (line[i].price_per_kg < 0.0 || line[i].stock_g < 0.0) return false;
    if (isinf(line[i].price_per_kg) || isinf(line[i].stock_g)) return false;
    if (line[i].is_addition)
      added += p;
    else
      parts += p;
  }
  whole = 1.0 + added / 100.0;
  if (!(parts > 0.0) || !isfinite(parts) || !isfinite(whole)) return false;
  for (size_t i = 0; i < n; i++) {
    double of = line[i].is_addition ? 100.0 : parts;
    share[i] = line[i].parts / of / whole;
  }
  return true;
}

static void fill(const lh_batch_ask *ask, const lh_batch_line *line, size_t n,
                 const double *share, const rounding *r, double sum,
                 lh_batch_weighed *out, lh_batch_total *t)
{
  double running = 0.0, first = (double)INFINITY;
  size_t used = 0;

  t->worst = 0;
  t->first_short = n;
  t->stock_dry_g = (double)INFINITY;
  for (size_t i = 0; i < n; i++) {
    lh_batch_weighed *w = &out[i];
    running += r->k[i];
    w->grams = r->k[i] * ask->scale_step_g;
    w->running_g = running * ask->scale_step_g;
    w->deviation = share[i] > 0.0 ? deviation(r->k[i], share[i] * sum) : 0.0;
    w->cost = w->grams / 1000.0 * line[i].price_per_kg;
    w->stock_left_g = line[i].stock_g - w->grams;
    if (share[i] > 0.0) used++;
    if (fabs(w->deviation) > fabs(out[t->worst].deviation)) t->worst = i;
    if (isnan(w->cost))
      t->unpriced++;
    else
      t->cost += w->cost;
    if (w->stock_left_g < 0.0) t->short_lines++;
    if (share[i] > 0.0 && line[i].stock_g / share[i] < t->stock_dry_g)
      t->stock_dry_g = line[i].stock_g / share[i];
    if (w->stock_left_g < 0.0 && line[i].stock_g / share[i] < first) {
      first = line[i].stock_g / share[i];
      t->first_short = i;
    }
  }
  t->dry_g = sum * ask->scale_step_g;
  t->rounding_error = r->worst;
  t->rounding_rms = sqrt(r->squares / (double)used);
}

lh_status lh_slip_batch_dry(const lh_batch_need *need, double *dry_g)
{
  double dry;

  assert(need && dry_g);
  if (!(need->area_mm2 >= 0.0) || !(need->coat_g_m2 >= 0.0) ||
      !(need->pots >= 0.0) || !(need->waste >= 0.0) ||
      !(need->residue_g >= 0.0))
    return LH_RANGE;
  dry = need->area_mm2 / 1e6 * need->coat_g_m2 * need->pots *
            (1.0 + need->waste) +
        need->residue_g;
  if (!(dry > 0.0) || !isfinite(dry)) return LH_RANGE;
  *dry_g = dry;
  return LH_OK;
}

lh_status lh_slip_batch(const lh_batch_ask *ask, const lh_batch_line *line,
                        size_t n, lh_batch_weighed *out, lh_batch_total *total)
{
  double share[LH_BATCH_LINES], dry_g_l, steps, first, last;
  lh_batch_total t = {0};
  rounding r;
  lh_status st;

  assert(ask && line && out && total);
  if (n > LH_BATCH_LINES) return LH_TOOLARGE;
  if (n == 0 || !(ask->dry_g > 0.0) || !(ask->scale_step_g > 0.0) ||
      !isfinite(ask->scale_step_g) || !(ask->spare >= 0.0))
    return LH_RANGE;
  steps = ask->dry_g / ask->scale_step_g;
  if (!(steps <= STEPS_MOST)) return LH_RANGE;
  st = lh_slip_dry(ask->litre_weight, ask->solids_density, &dry_g_l);
  if (st != LH_OK) return st;
  if (!shares(line, n, share)) return LH_RANGE;

  /* 30.0 g on a 0.1 g scale is 300 steps, though 30.0/0.1 may say 300.0...1 */
  first = fmax(ceil(steps * (1.0 - 1e-12)), 1.0);
  last = fmax(first + (double)n, floor(first * (1.0 + ask->spare)));
  last = fmin(last, first + fmax((double)n, SUMS_TRIED));
  if (!best_rounding(share, n, first, last, &r)) return LH_RANGE;

  steps = 0.0;
  for (size_t i = 0; i < n; i++) steps += r.k[i];
  fill(ask, line, n, share, &r, steps, out, &t);
  t.volume_ml = t.dry_g / dry_g_l * 1000.0;
  t.water_g = t.volume_ml * ask->litre_weight / 1000.0 - t.dry_g;
  *total = t;
  return LH_OK;
}
