/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "match_bench.h"

#include <math.h>
#include <string.h>

static bool outside(double v, double low, double high)
{
  return !(v >= low && v <= high);
}

static lh_status check(const lh_match_ask *a)
{
  if (a->n > LH_MATCH_STAINS || a->stack->count > LH_STACK_LAYERS)
    return LH_TOOLARGE;
  if (a->n < 1 || a->most_stains < 1 || a->most_stains > LH_MATCH_AT_ONCE ||
      a->stack->count < 1 || outside(a->most_total, 1e-9, 1e3) ||
      outside(a->each_stain, 0.0, 1e3))
    return LH_RANGE;
  for (size_t i = 0; i < a->n; i++)
    if (outside(a->stains[i].most, 0.0, 1e3)) return LH_RANGE;
  for (size_t i = 0; i < LH_MATCH_COATS; i++)
    if (outside(a->coat[i], 1e-6, 1e6) ||
        !isfinite(a->target[i].L + a->target[i].a + a->target[i].b))
      return LH_RANGE;
  for (size_t i = 1; i < a->stack->count; i++)
    if (outside(a->stack->layers[i].coat, 0.0, 1e7)) return LH_RANGE;
  return LH_OK;
}

void lh_match_below(lh_match_bench *b, const double *coats_below)
{
  size_t n = b->ask->stack->count;
  const lh_stack_ready *r = &b->ready;

  for (size_t k = 0; k < LH_MATCH_COATS; k++) {
    double appetite = r->glazed ? r->eaten : 0.0, coat[LH_STACK_LAYERS];
    b->ate[k] = fmin(appetite, b->coat[k]);
    b->left[k] = b->coat[k] - b->ate[k];
    appetite -= b->ate[k];
    memcpy(b->depth[k], r->depth, sizeof b->depth[k]);
    for (size_t j = 1; j < n; j++) { /* the glaze goes on into what is below */
      double ate = fmin(appetite, coats_below[j]);
      appetite -= ate;
      coat[j] = coats_below[j] - ate;
      for (size_t i = 0; ate > 0.0 && i < LH_WAVES; i++)
        b->depth[k][i] += r->share * b->slips[j].absorption[i] * ate / 2;
    }
    memcpy(b->below[k], r->substrate, sizeof b->below[k]);
    for (size_t j = n; j-- > 1;)
      lh_slip_over(&b->slips[j], coat[j], b->below[k], b->below[k]);
  }
}

lh_status lh_match_begin(const lh_match_ask *a, lh_match_bench *b)
{
  const lh_stack *s = a->stack;
  double coats[LH_STACK_LAYERS] = {0};
  lh_status st = check(a);

  b->ask = a;
  b->looks = 0;
  b->white = lh_spectrum_white(a->illuminant);
  for (size_t j = 0; j < s->count && st == LH_OK; j++) {
    st = lh_slip_prepare(s->layers[j].slip, &b->slips[j]);
    if (j > 0) coats[j] = s->layers[j].coat;
  }
  for (size_t i = 0; i < a->n && st == LH_OK; i++) {
    lh_slip_ready unused;
    st = lh_slip_prepare(a->stains[i].optics, &unused);
    b->part[i] = *a->stains[i].optics;
  }
  if (st == LH_OK)
    st = lh_stack_prepare(b->slips, s->count, s->substrate, s->glaze,
                          s->geometry, a->illuminant, &b->ready);
  if (st != LH_OK) return st;
  if (!s->glaze) memset(b->ready.depth, 0, sizeof b->ready.depth);
  b->base = *s->layers[0].slip;
  memcpy(b->coat, a->coat, sizeof b->coat);
  lh_match_below(b, coats);
  return LH_OK;
}

/* The same sums as lh_slip_prepare, without its refusals: parts were checked
** and shares are not negative. */
static void blend(lh_match_bench *b, const size_t *stain, const double *share,
                  size_t count)
{
  lh_slip_ready *r = &b->slips[0];
  double sum = 1.0;

  for (size_t j = 0; j < count; j++) sum += share[j];
  for (size_t i = 0; i < LH_WAVES; i++) {
    double K = b->base.absorption[i], S = b->base.scattering[i], G;
    for (size_t j = 0; j < count; j++) {
      K += share[j] * b->part[stain[j]].absorption[i];
      S += share[j] * b->part[stain[j]].scattering[i];
    }
    K /= sum, S /= sum;
    G = sqrt(K * (K + 2.0 * S));
    r->absorption[i] = K;
    r->scattering[i] = S;
    r->decay[i] = G;
    r->back[i] = G + K > 0.0 ? 2.0 * K * (S / (G + K)) : 0.0;
  }
}

lh_lab lh_match_look(lh_match_bench *b, const size_t *stain,
                     const double *share, size_t count, size_t coat)
{
  const lh_stack_ready *r = &b->ready;
  double R[LH_WAVES], v[3] = {0.0, 0.0, 0.0};
  double into = r->share * b->ate[coat] / 2;

  b->looks++;
  blend(b, stain, share, count);
  lh_slip_over(&b->slips[0], b->left[coat], b->below[coat], R);
  for (size_t i = 0; r->glazed && i < LH_WAVES; i++) {
    double tau = b->depth[coat][i] + into * b->slips[0].absorption[i];
    lh_boundary s =
        tau > r->depth[i] ? lh_glaze_at(&r->table, tau) : r->plain[i];
    R[i] = lh_boundary_measured(&s, R[i]);
  }
  for (size_t j = 0; j < 3; j++)
    for (size_t i = 0; i < LH_WAVES; i++) v[j] += r->rows[j][i] * R[i];
  return lh_xyz_lab((lh_xyz){v[0], v[1], v[2]}, b->white);
}
