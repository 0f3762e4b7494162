/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recipe.h"

#include <math.h>

/* The weight of a line: its parts, or its per cent of all parts. */
static double weight_of(const lh_recipe_line *line, double parts)
{
  return line->addition ? line->amount / 100.0 * parts : line->amount;
}

static lh_status check(const lh_recipe_line *lines, size_t n, double *parts,
                       size_t *bad)
{
  *parts = 0.0;
  *bad = n;
  for (size_t i = 0; i < n; i++) {
    double a = lines[i].amount;
    if (!(a >= 0.0 && a <= LH_RECIPE_AMOUNT_MAX)) {
      *bad = i;
      return LH_RANGE;
    }
    if (!lines[i].addition) *parts += a;
  }
  return *parts > 0.0 ? LH_OK : LH_RANGE;
}

/* Weigh the lines in; var[] gathers the variance of the moles. */
static void weigh(const lh_recipe_line *lines, size_t n, double parts,
                  lh_recipe_fired *r, double var[LH_OXIDES])
{
  for (size_t j = 0; j < n; j++) {
    const lh_material *m = lines[j].material;
    double g = weight_of(&lines[j], parts), before = 0.0;
    r->batch += g;
    r->loss += g * m->loss;
    if (m->inert) {
      r->inert += g * (1.0 - m->loss);
      continue;
    }
    /* One material on two lines is one uncertain analysis, not two. */
    for (size_t k = 0; k < j; k++)
      if (lines[k].material == m) before += weight_of(&lines[k], parts);
    for (size_t i = 0; i < LH_OXIDES; i++) {
      double e = m->mol_e[i];
      r->mol[i] += g * m->mol[i];
      var[i] += ((before + g) * (before + g) - before * before) * e * e;
    }
  }
}

/* Unity, and its uncertainty by derivatives:
**   u_i = n_i/F,  F = sum of the flux moles,
**   du_i/dn_k = [i = k]/F - [k is flux] u_i/F
*/
static void unify(lh_recipe_fired *r, const double var[LH_OXIDES])
{
  double var_flux = 0.0;

  r->flux_mol = 0.0;
  for (size_t i = 0; i < LH_OXIDES; i++) {
    if (!r->flux[i]) continue;
    r->flux_mol += r->mol[i];
    var_flux += var[i];
  }
  for (size_t i = 0; i < LH_OXIDES; i++) {
    double f = r->flux_mol, u = f > 0.0 ? r->mol[i] / f : NAN, v;
    v = var[i] * (r->flux[i] ? 1.0 - 2.0 * u : 1.0) + u * u * var_flux;
    r->unity[i] = u;
    r->unity_e[i] = f > 0.0 ? sqrt(fmax(v, 0.0)) / f : NAN;
  }
}

static void ratio(lh_recipe_fired *r, const double var[LH_OXIDES])
{
  size_t si = lh_oxide_find("SiO2"), al = lh_oxide_find("Al2O3");
  double s = r->mol[si], a = r->mol[al];

  r->silica_alumina = a > 0.0 ? s / a : NAN;
  r->silica_alumina_e =
      a > 0.0 ? hypot(sqrt(var[si]) / a, s * sqrt(var[al]) / (a * a)) : NAN;
}

lh_status lh_recipe_fire(const lh_recipe_line *lines, size_t n,
                         const bool *flux, lh_recipe_fired *r, size_t *bad)
{
  lh_recipe_fired out = {.batch = 0.0};
  double var[LH_OXIDES] = {0.0}, parts, moles = 0.0;
  size_t at;
  lh_status st = check(lines, n, &parts, &at);

  if (bad) *bad = at;
  if (st != LH_OK) return st;
  weigh(lines, n, parts, &out, var);
  for (size_t i = 0; i < LH_OXIDES; i++) {
    out.flux[i] = flux ? flux[i] : lh_oxide_flux(i);
    out.fired += out.mol[i] * lh_oxide_weight(i);
    moles += out.mol[i];
  }
  if (!(moles > 0.0)) return LH_RANGE;
  for (size_t i = 0; i < LH_OXIDES; i++) {
    double g = out.mol[i] * lh_oxide_weight(i);
    out.mole_percent[i] = 100.0 * out.mol[i] / moles;
    out.weight_percent[i] = 100.0 * g / out.fired;
  }
  out.untold = out.batch - out.fired - out.inert - out.loss;
  out.loi_percent = 100.0 * out.loss / out.batch;
  out.inert_percent = 100.0 * out.inert / (out.fired + out.inert);
  unify(&out, var);
  ratio(&out, var);
  *r = out;
  return LH_OK;
}
