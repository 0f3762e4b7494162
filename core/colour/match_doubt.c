/* SPDX-License-Identifier: GPL-3.0-or-later */
/* match_doubt.c -- how far off a blend may turn out (the end of match.h). */
#include <math.h>

#include "chance.h"
#include "difference.h"
#include "match_bench.h"

enum { DRAWS = 200 };

static void bend(const lh_slip_optics *from, const lh_stack_doubt *d,
                 uint64_t *state, lh_slip_optics *to)
{
  double K = lh_chance_factor(state, d->absorption);
  double S = lh_chance_factor(state, d->scattering);

  for (size_t i = 0; i < LH_WAVES; i++) {
    to->absorption[i] = fmin(from->absorption[i] * K, 1e6);
    to->scattering[i] = fmin(from->scattering[i] * S, 1e6);
  }
}

/* One draw of everything around the blend, and of its coat. */
static void around(const lh_match_ask *a, const lh_stack_doubt *d,
                   uint64_t *state, lh_match_bench *b)
{
  const lh_stack *s = a->stack;
  double coats[LH_STACK_LAYERS] = {0};
  double body = lh_chance_factor(state, d->substrate);
  double depth = lh_chance_factor(state, d->depth);
  double coat = lh_chance_factor(state, d->coat);

  for (size_t i = 0; i < LH_WAVES; i++) {
    b->ready.substrate[i] = fmin(s->substrate[i] * body, 1.0);
    if (!s->glaze) continue;
    b->ready.depth[i] = s->glaze->optical_depth[i] * depth;
    b->ready.plain[i] = lh_glaze_at(&b->ready.table, b->ready.depth[i]);
  }
  for (size_t j = 1; j < s->count; j++) {
    lh_slip_optics o;
    bend(s->layers[j].slip, d, state, &o);
    (void)lh_slip_prepare(&o, &b->slips[j]); /* cannot be out of range */
    coats[j] = s->layers[j].coat * lh_chance_factor(state, d->coat);
  }
  for (size_t k = 0; k < LH_MATCH_COATS; k++) b->coat[k] = a->coat[k] * coat;
  lh_match_below(b, coats);
}

lh_status lh_match_doubt(const lh_match_ask *a, const lh_match_choice *c,
                         double weighing, const lh_stack_doubt *d,
                         lh_range *de00)
{
  const double doubts[] = {weighing, d->absorption, d->scattering,
                           d->coat,  d->depth,      d->substrate};
  uint64_t state = LH_CHANCE_SEED;
  double v[DRAWS];
  lh_match_bench b;
  lh_status st = lh_match_begin(a, &b);

  for (size_t i = 0; i < sizeof doubts / sizeof doubts[0]; i++)
    if (st == LH_OK && !(doubts[i] >= 0.0 && doubts[i] <= 1.0)) st = LH_RANGE;
  if (st != LH_OK) return st;
  for (size_t i = 0; i < DRAWS; i++) {
    double share[LH_MATCH_AT_ONCE];
    around(a, d, &state, &b);
    bend(a->stack->layers[0].slip, d, &state, &b.base);
    for (size_t j = 0; j < c->count; j++) {
      bend(a->stains[c->stain[j]].optics, d, &state, &b.part[c->stain[j]]);
      share[j] = c->share[j] * lh_chance_factor(&state, weighing);
    }
    v[i] = lh_delta_e00(lh_match_look(&b, c->stain, share, c->count, 0),
                        a->target[0]);
  }
  de00->value = c->de00[0];
  de00->low = fmin(de00->value, lh_chance_quantile(v, DRAWS, 0.05));
  de00->high = fmax(de00->value, lh_chance_quantile(v, DRAWS, 0.95));
  return LH_OK;
}
