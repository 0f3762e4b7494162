/* SPDX-License-Identifier: GPL-3.0-or-later */
/* move_formula.c -- the nearest Seger formula with a wanted level. */
#include <math.h>
#include <string.h>

#include "move.h"

enum { STEPS = 60 };

typedef struct {
  const double *from; /* the formula as it was */
  const double *weight;
  bool flux[LH_OXIDES], moves[LH_OXIDES];
} moving;

/* 1 / weight^2 of what moves. */
static double give(const moving *m, size_t i)
{
  double w = m->weight ? m->weight[i] : 1.0;

  return m->moves[i] ? 1.0 / (w * w) : 0.0;
}

/* u = from + give (p g + q flux), with g u = want and the fluxes adding to
** one: two equations for p and q; without a free flux, one.
*/
static bool on_tangent(const moving *m, const double *g, double want, double *u)
{
  double gg = 0, gf = 0, ff = 0, miss = want, over = 1.0, p, q, det;

  for (size_t i = 0; i < LH_OXIDES; i++) {
    double held = m->moves[i] ? m->from[i] : u[i], s = give(m, i);
    miss -= g[i] * held;
    if (m->flux[i]) over -= held;
    gg += s * g[i] * g[i];
    if (m->flux[i]) gf += s * g[i], ff += s;
  }
  det = gg * ff - gf * gf;
  if (ff > 0.0 && !(det > 1e-12 * gg * ff)) return false;
  if (!(gg > 0.0)) return false;
  p = ff > 0.0 ? (miss * ff - over * gf) / det : miss / gg;
  q = ff > 0.0 ? (over * gg - miss * gf) / det : 0.0;
  for (size_t i = 0; i < LH_OXIDES; i++)
    if (m->moves[i])
      u[i] = m->from[i] + give(m, i) * (p * g[i] + (m->flux[i] ? q : 0.0));
  return true;
}

/* The same with nothing below nothing: what would be is held there. */
static bool on_tangent_above(moving *m, const bool *may, const double *g,
                             double want, double *u)
{
  memcpy(m->moves, may, sizeof m->moves);
  for (size_t round = 0; round <= LH_OXIDES; round++) {
    bool below = false;
    if (!on_tangent(m, g, want, u)) return false;
    for (size_t i = 0; i < LH_OXIDES; i++)
      if (m->moves[i] && u[i] < 0.0) {
        u[i] = 0.0;
        m->moves[i] = false;
        below = true;
      }
    if (!below) return true;
  }
  return false;
}

/* A full step may leave the melts that the model knows a curve for: halved
** until it does not. */
static lh_status step_to(const double *to, lh_viscosity_model model, double t_c,
                         double *u, lh_move_level *at)
{
  double x[LH_OXIDES];
  lh_status st = LH_RANGE;

  for (double part = 1.0; part > 1e-3 && st != LH_OK; part /= 2.0) {
    for (size_t i = 0; i < LH_OXIDES; i++)
      x[i] = fmax(0.0, u[i] + part * (to[i] - u[i]));
    st = lh_move_level_of(x, model, t_c, at);
  }
  if (st == LH_OK) memcpy(u, x, sizeof x);
  return st;
}

lh_status lh_move_formula(const double unity[LH_OXIDES],
                          const bool flux[LH_OXIDES],
                          const bool free[LH_OXIDES], const double *weight,
                          lh_viscosity_model model, double t_c, double level,
                          double moved[LH_OXIDES], double *distance)
{
  moving m = {.from = unity, .weight = weight};
  double u[LH_OXIDES], to[LH_OXIDES], g[LH_OXIDES], change, sum = 0.0;
  lh_move_level at;
  lh_status st = lh_move_level_of(unity, model, t_c, &at);

  if (st != LH_OK) return st;
  memcpy(m.flux, flux, sizeof m.flux);
  memcpy(u, unity, sizeof u);
  for (size_t step = 0; step < STEPS; step++) {
    double want = level - at.level;
    st = lh_move_gradient(u, model, t_c, g);
    if (st != LH_OK) return st;
    for (size_t i = 0; i < LH_OXIDES; i++) want += g[i] * u[i];
    memcpy(to, unity, sizeof to);
    if (!on_tangent_above(&m, free, g, want, to)) return LH_RANGE;
    change = 0.0;
    for (size_t i = 0; i < LH_OXIDES; i++)
      change = fmax(change, fabs(to[i] - u[i]));
    st = step_to(to, model, t_c, u, &at);
    if (st != LH_OK) return st;
    if (change < 1e-9 && fabs(at.level - level) < 1e-10) break;
    if (step + 1 == STEPS) return LH_NOCONV;
  }
  for (size_t i = 0; i < LH_OXIDES; i++) {
    double w = weight ? weight[i] : 1.0;
    sum += w * w * (u[i] - unity[i]) * (u[i] - unity[i]);
  }
  memcpy(moved, u, sizeof u);
  *distance = sqrt(sum);
  return LH_OK;
}
