/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "palette.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include "chance.h"
#include "difference.h"

/* The ground's layers, and one place for the slip on top of them. */
enum { PLACES = LH_STACK_LAYERS };

static lh_status check(const lh_palette *p)
{
  if (p->n > LH_PALETTE_MOST || p->n_ground >= PLACES) return LH_TOOLARGE;
  for (size_t i = 0; i < p->n; i++)
    if (!(p->slips[i].coat >= 0.0 && p->slips[i].coat <= 1e7)) return LH_RANGE;
  for (size_t i = 0; i < p->n_ground; i++)
    if (!(p->ground[i].coat >= 0.0 && p->ground[i].coat <= 1e7))
      return LH_RANGE;
  return LH_OK;
}

/* A ground made ready, place 0 free for a slip. */
typedef struct {
  lh_stack_ready ready;
  lh_slip_ready slips[PLACES];
  unsigned char slip[PLACES];
  double coat[PLACES];
  size_t count;
} bench;

static lh_status begin(const lh_palette *p, lh_illuminant ill, bench *b)
{
  lh_status st = check(p);

  b->count = p->n_ground + 1;
  for (size_t i = 0; i < p->n_ground && st == LH_OK; i++) {
    st = lh_slip_prepare(p->ground[i].slip, &b->slips[i + 1]);
    b->coat[i + 1] = p->ground[i].coat;
  }
  for (size_t i = 0; i < b->count && st == LH_OK; i++)
    b->slip[i] = (unsigned char)i;
  if (st != LH_OK) return st;
  return lh_stack_prepare(b->slips, b->count, p->body, p->glaze, p->geometry,
                          ill, &b->ready);
}

static lh_xyz lay(bench *b, size_t from, size_t to)
{
  return lh_stack_pixel(&b->ready, b->slip + from, b->coat + from, to - from,
                        NULL);
}

lh_status lh_palette_colours(const lh_palette *p, lh_illuminant ill,
                             lh_xyz *xyz, lh_xyz *ground, lh_xyz *body)
{
  bench b;
  lh_status st = begin(p, ill, &b);

  for (size_t i = 0; i < p->n && st == LH_OK; i++) {
    st = lh_slip_prepare(p->slips[i].slip, &b.slips[0]);
    b.coat[0] = p->slips[i].coat;
    if (st == LH_OK) xyz[i] = lay(&b, 0, b.count);
  }
  if (st != LH_OK) return st;
  *ground = lay(&b, 1, b.count);
  *body = lay(&b, b.count, b.count);
  return LH_OK;
}

/* ---- draws -------------------------------------------------------------- */

static lh_status bend(const lh_slip_optics *from, const lh_stack_doubt *d,
                      uint64_t *state, lh_slip_ready *ready)
{
  double K = lh_chance_factor(state, d->absorption);
  double S = lh_chance_factor(state, d->scattering);
  lh_slip_optics o;

  for (size_t i = 0; i < LH_WAVES; i++) {
    o.absorption[i] = fmin(from->absorption[i] * K, 1e6);
    o.scattering[i] = fmin(from->scattering[i] * S, 1e6);
  }
  return lh_slip_prepare(&o, ready);
}

/* What all slips of a draw share. */
static lh_status bend_ground(const lh_palette *p, const lh_stack_doubt *d,
                             uint64_t *state, bench *b)
{
  double body = lh_chance_factor(state, d->substrate);
  double depth = lh_chance_factor(state, d->depth);
  lh_status st = LH_OK;

  for (size_t i = 0; i < LH_WAVES; i++) {
    b->ready.substrate[i] = fmin(p->body[i] * body, 1.0);
    if (!p->glaze) continue;
    b->ready.depth[i] = p->glaze->optical_depth[i] * depth;
    b->ready.plain[i] = lh_glaze_at(&b->ready.table, b->ready.depth[i]);
  }
  for (size_t i = 0; i < p->n_ground && st == LH_OK; i++) {
    b->coat[i + 1] = p->ground[i].coat * lh_chance_factor(state, d->coat);
    st = bend(p->ground[i].slip, d, state, &b->slips[i + 1]);
  }
  return st;
}

static bool doubtful(const lh_stack_doubt *d)
{
  const double v[] = {d->absorption, d->scattering, d->coat, d->depth,
                      d->substrate};

  for (size_t i = 0; i < sizeof v / sizeof v[0]; i++)
    if (!(v[i] >= 0.0 && v[i] <= 1.0)) return true;
  return false;
}

lh_status lh_palette_draws(const lh_palette *p, lh_illuminant ill,
                           const lh_stack_doubt *d, lh_xyz *xyz)
{
  uint64_t state = LH_CHANCE_SEED;
  bench b;
  lh_status st = begin(p, ill, &b);

  for (size_t i = 0; i < p->n && st == LH_OK; i++)
    if (doubtful(&d[i])) st = LH_RANGE;
  for (size_t k = 0; p->n > 0 && k < LH_PALETTE_DRAWS && st == LH_OK; k++) {
    st = bend_ground(p, &d[0], &state, &b);
    for (size_t i = 0; i < p->n && st == LH_OK; i++) {
      b.coat[0] = p->slips[i].coat * lh_chance_factor(&state, d[i].coat);
      st = bend(p->slips[i].slip, &d[i], &state, &b.slips[0]);
      if (st == LH_OK) xyz[k * p->n + i] = lay(&b, 0, b.count);
    }
  }
  return st;
}

lh_range lh_palette_apart(const lh_palette *p, lh_illuminant ill,
                          const lh_xyz *xyz, const lh_xyz *draws, size_t i,
                          size_t j)
{
  lh_xyz white = lh_spectrum_white(ill);
  double v[LH_PALETTE_DRAWS];
  lh_range r;

  assert(i < p->n && j < p->n);
  r.value = lh_delta_e00(lh_xyz_lab(xyz[i], white), lh_xyz_lab(xyz[j], white));
  for (size_t k = 0; k < LH_PALETTE_DRAWS; k++)
    v[k] = lh_delta_e00(lh_xyz_lab(draws[k * p->n + i], white),
                        lh_xyz_lab(draws[k * p->n + j], white));
  r.low = fmin(r.value, lh_chance_quantile(v, LH_PALETTE_DRAWS, 0.05));
  r.high = fmax(r.value, lh_chance_quantile(v, LH_PALETTE_DRAWS, 0.95));
  return r;
}
