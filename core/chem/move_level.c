/* SPDX-License-Identifier: GPL-3.0-or-later */
/* move_level.c -- the level of a melt at a temperature, and its slopes. */
#include <math.h>
#include <string.h>

#include "move.h"

double lh_move_lowest(lh_viscosity_model model)
{
  (void)model; /* Fluegel (2007), Table 2; Lakatos's log 2 of poise */
  return 1.0;
}

double lh_move_highest(lh_viscosity_model model)
{
  return model == LH_VISCOSITY_FLUEGEL ? 12.0 : 5.0;
}

static lh_status curve_of(const double mol[LH_OXIDES], lh_viscosity_model model,
                          lh_viscosity *v)
{
  double forms[LH_OXIDE_FORMS] = {0.0};
  lh_status st;

  memcpy(forms, mol, LH_OXIDES * sizeof *forms);
  st = lh_viscosity_of(forms, model, v);
  if (st != LH_OK) return st;
  return isfinite(v->a) && v->b > 0.0 && isfinite(v->t0) ? LH_OK : LH_RANGE;
}

static lh_status level_at(const double mol[LH_OXIDES], lh_viscosity_model model,
                          double t_c, double *level)
{
  lh_viscosity v;
  lh_status st = curve_of(mol, model, &v);

  if (st != LH_OK) return st;
  if (!(t_c > v.t0)) return LH_RANGE;
  *level = v.a + v.b / (t_c - v.t0);
  return isfinite(*level) ? LH_OK : LH_RANGE;
}

lh_status lh_move_level_of(const double mol[LH_OXIDES],
                           lh_viscosity_model model, double t_c,
                           lh_move_level *at)
{
  double level, e = 0.0;
  lh_viscosity v;
  lh_status st = curve_of(mol, model, &v);

  if (st == LH_OK) st = level_at(mol, model, t_c, &level);
  if (st != LH_OK) return st;
  for (size_t k = 0; k < LH_VISCOSITY_LEVELS; k++) e = fmax(e, v.e_c[k]);
  at->level = level;
  at->slope = -v.b / ((t_c - v.t0) * (t_c - v.t0));
  at->plus_minus = e * -at->slope;
  at->limit = v.limit;
  at->valid = v.valid && level >= lh_move_lowest(model) - 1e-9 &&
              level <= lh_move_highest(model) + 1e-9;
  return LH_OK;
}

lh_status lh_move_gradient(const double mol[LH_OXIDES],
                           lh_viscosity_model model, double t_c,
                           double g[LH_OXIDES])
{
  double x[LH_OXIDES], sum = 0.0, h, here;
  lh_status st = level_at(mol, model, t_c, &here);

  if (st != LH_OK) return st;
  for (size_t i = 0; i < LH_OXIDES; i++) sum += mol[i];
  h = 1e-5 * sum;
  for (size_t i = 0; i < LH_OXIDES; i++) {
    bool both = mol[i] >= h;
    double near, far;
    memcpy(x, mol, sizeof x);
    x[i] = mol[i] + h;
    st = level_at(x, model, t_c, &near);
    if (st != LH_OK) return st;
    x[i] = both ? mol[i] - h : mol[i] + 2.0 * h;
    st = level_at(x, model, t_c, &far);
    if (st != LH_OK) return st;
    g[i] = both ? (near - far) / (2.0 * h)
                : (4.0 * near - 3.0 * here - far) / (2.0 * h);
  }
  return LH_OK;
}
