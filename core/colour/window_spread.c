/* SPDX-License-Identifier: GPL-3.0-or-later */
/* window_spread.c -- how sure a window is (the end of window.h). */
#include <math.h>
#include <string.h>

#include "chance.h"
#include "window_walk.h"

enum { DRAWS = 200 };

/* What came out, draw by draw. */
typedef struct {
  size_t reached, covers, contrasts;
  double least[DRAWS], best[DRAWS], most[DRAWS], covering[DRAWS],
      contrast[DRAWS];
} drawn;

static bool doubtful(double v)
{
  return !(v >= 0.0 && v <= 1.0);
}

static lh_status bend_slips(const lh_stack *s, const lh_stack_doubt *d,
                            uint64_t *state, lh_walk *k)
{
  lh_status st = LH_OK;

  for (size_t j = 0; j < s->count && st == LH_OK; j++) {
    const lh_slip_optics *from = s->layers[j].slip;
    lh_slip_optics o;
    size_t same = 0;
    double c = lh_chance_factor(state, d->coat);
    if (j != k->at) k->coat[j] = s->layers[j].coat * c;
    if (j == k->at) k->factor = c;
    while (s->layers[same].slip != from) same++;
    if (same < j) {
      k->slips[j] = k->slips[same];
      continue;
    }
    double K = lh_chance_factor(state, d->absorption),
           S = lh_chance_factor(state, d->scattering);
    for (size_t i = 0; i < LH_WAVES; i++) {
      o.absorption[i] = fmin(from->absorption[i] * K, 1e6);
      o.scattering[i] = fmin(from->scattering[i] * S, 1e6);
    }
    st = lh_slip_prepare(&o, &k->slips[j]);
  }
  return st;
}

static void bend_rest(const lh_window_ask *a, const lh_stack_doubt *d,
                      uint64_t *state, lh_walk *k)
{
  const lh_stack *s = a->stack;
  double body = lh_chance_factor(state, d->substrate);
  double depth = lh_chance_factor(state, d->depth);

  for (size_t i = 0; i < LH_WAVES; i++) {
    k->ready.substrate[i] = fmin(s->substrate[i] * body, 1.0);
    if (a->body) k->body[i] = fmin(a->body[i] * body, 1.0);
    if (!s->glaze) continue;
    k->ready.depth[i] = s->glaze->optical_depth[i] * depth;
    k->ready.plain[i] = lh_glaze_at(&k->ready.table, k->ready.depth[i]);
  }
}

static void look(const lh_window_ask *a, lh_walk *k, drawn *v)
{
  double best, covering = lh_walk_covering(k), contrast = lh_walk_contrast(k);
  double least, most;

  if (!isnan(covering)) v->covering[v->covers++] = covering;
  if (!isnan(contrast)) v->contrast[v->contrasts++] = contrast;
  k->wanted = a->by_colour ? a->target : lh_walk_lab(k, a->best);
  best = a->by_colour ? lh_walk_nearest(k) : a->best;
  if (lh_walk_off(k, best) > a->tolerance) return;
  least = lh_walk_end(k, best, 0.0, a->tolerance);
  most = lh_walk_end(k, best, a->heaviest, a->tolerance);
  v->best[v->reached] = best;
  v->least[v->reached] = isnan(least) ? 0.0 : least;
  v->most[v->reached++] = isnan(most) ? HUGE_VAL : most;
}

/* A range that holds the value itself; NaN when there is too little to say:
** less than half of the draws. */
static lh_range range_of(double value, double *v, size_t n)
{
  lh_range r = {value, NAN, NAN};

  if (isnan(value) || n < DRAWS / 2) return r;
  r.low = fmin(value, lh_chance_quantile(v, n, 0.05));
  r.high = fmax(value, lh_chance_quantile(v, n, 0.95));
  return r;
}

lh_status lh_window_spread(const lh_window_ask *a, const lh_window *w,
                           const lh_stack_doubt *d, lh_window_range *r)
{
  uint64_t state = LH_CHANCE_SEED;
  lh_walk k;
  drawn v;
  lh_status st = lh_walk_begin(a, &k);

  if (st == LH_OK &&
      (doubtful(d->absorption) || doubtful(d->scattering) ||
       doubtful(d->coat) || doubtful(d->depth) || doubtful(d->substrate)))
    st = LH_RANGE;
  if (st != LH_OK) return st;
  v.reached = v.covers = v.contrasts = 0;
  k.half = a->tolerance / 4.0;
  k.near = 1e-4;
  for (int i = 0; i < DRAWS; i++) {
    bend_rest(a, d, &state, &k);
    st = bend_slips(a->stack, d, &state, &k);
    if (st != LH_OK) return st;
    lh_walk_bend(&k);
    look(a, &k, &v);
  }
  r->reached = (double)v.reached / DRAWS;
  r->least = range_of(w->least, v.least, v.reached);
  r->best = range_of(w->best, v.best, v.reached);
  r->most = range_of(w->most, v.most, v.reached);
  r->covering = range_of(w->covering, v.covering, v.covers);
  r->contrast_98 = range_of(w->contrast_98, v.contrast, v.contrasts);
  return LH_OK;
}
