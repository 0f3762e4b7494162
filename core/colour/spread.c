/* SPDX-License-Identifier: GPL-3.0-or-later */
/* spread.c -- how sure a predicted colour is (the end of stack.h). */
#include <math.h>
#include <string.h>

#include "chance.h"
#include "difference.h"
#include "stack.h"

enum { DRAWS = 400 };

lh_stack_doubt lh_stack_doubt_default(void)
{
  return (lh_stack_doubt){0.10, 0.10, 0.20, 0.15, 0.03};
}

/* One draw's stack: own copies of whatever a doubt touches. */
typedef struct {
  lh_slip_optics room;
  lh_slip_ready slips[LH_STACK_LAYERS];
  unsigned char slip[LH_STACK_LAYERS];
  double coat[LH_STACK_LAYERS];
} draw;

static lh_status scale_slip(const lh_slip_optics *from, double k, double s,
                            lh_slip_optics *room, lh_slip_ready *ready)
{
  for (size_t i = 0; i < LH_WAVES; i++) {
    room->absorption[i] = fmin(from->absorption[i] * k, 1e6);
    room->scattering[i] = fmin(from->scattering[i] * s, 1e6);
  }
  return lh_slip_prepare(room, ready);
}

/* XYZ of one draw; `ready` holds the palette and is bent for the draw. */
static lh_status one(const lh_stack *st, const lh_stack_doubt *d,
                     uint64_t *state, lh_stack_ready *ready, draw *w, lh_xyz *c)
{
  double body = lh_chance_factor(state, d->substrate),
         depth = lh_chance_factor(state, d->depth);

  for (size_t j = 0; j < st->count; j++) {
    size_t same = 0;
    while (st->layers[same].slip != st->layers[j].slip) same++;
    w->slip[j] = (unsigned char)same;
    w->coat[j] = st->layers[j].coat * lh_chance_factor(state, d->coat);
    if (same < j) continue;
    double k = lh_chance_factor(state, d->absorption),
           s = lh_chance_factor(state, d->scattering);
    lh_status bad =
        scale_slip(st->layers[j].slip, k, s, &w->room, &w->slips[j]);
    if (bad) return bad;
  }
  ready->slips = w->slips;
  ready->slip_count = st->count;
  for (size_t i = 0; i < LH_WAVES; i++) {
    ready->substrate[i] = fmin(st->substrate[i] * body, 1.0);
    if (!st->glaze) continue;
    ready->depth[i] = st->glaze->optical_depth[i] * depth;
    ready->plain[i] = lh_glaze_at(&ready->table, ready->depth[i]);
  }
  *c = lh_stack_pixel(ready, w->slip, w->coat, st->count, NULL);
  return LH_OK;
}

static lh_range range_of(double value, double *v)
{
  double low = lh_chance_quantile(v, DRAWS, 0.05),
         high = lh_chance_quantile(v, DRAWS, 0.95);

  return (lh_range){value, fmin(low, value), fmax(high, value)};
}

static bool doubtful(double v)
{
  return !(v >= 0.0 && v <= 1.0);
}

lh_status lh_stack_spread(const lh_stack *s, lh_illuminant ill,
                          const lh_stack_doubt *d, lh_stack_range *range)
{
  double R[LH_WAVES], v[4][DRAWS];
  lh_stack_ready ready;
  draw w;
  lh_status st = lh_stack_reflectance(s, R);
  uint64_t state = LH_CHANCE_SEED;

  if (st) return st;
  if (doubtful(d->absorption) || doubtful(d->scattering) || doubtful(d->coat) ||
      doubtful(d->depth) || doubtful(d->substrate))
    return LH_RANGE;
  st = lh_stack_prepare(NULL, 0, s->substrate, s->glaze, s->geometry, ill,
                        &ready);
  if (st) return st;
  lh_lab best = lh_spectrum_lab(R, ill);
  lh_xyz white = lh_spectrum_white(ill);
  for (size_t i = 0; i < DRAWS; i++) {
    lh_xyz c;
    st = one(s, d, &state, &ready, &w, &c);
    if (st) return st;
    lh_lab lab = lh_xyz_lab(c, white);
    v[0][i] = lab.L, v[1][i] = lab.a, v[2][i] = lab.b;
    v[3][i] = lh_delta_e00(best, lab);
  }
  range->L = range_of(best.L, v[0]);
  range->a = range_of(best.a, v[1]);
  range->b = range_of(best.b, v[2]);
  range->radius = lh_chance_quantile(v[3], DRAWS, 0.90);
  return LH_OK;
}
