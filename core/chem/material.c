/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "material.h"

#include <math.h>

static void clear(lh_material *m)
{
  for (size_t i = 0; i < LH_OXIDES; i++) m->mol[i] = m->mol_e[i] = 0.0;
  m->loss = m->loss_e = 0.0;
  m->total = 100.0;
  m->formula_weight = NAN;
  m->inert = false;
}

lh_status lh_material_from_formula(const lh_formula *f, lh_material *m)
{
  double mol[LH_OXIDE_FORMS], oxygen, loss;
  double weight = lh_formula_weight(f);
  lh_status st;

  if (!(weight > 0.0) || !isfinite(weight)) return LH_RANGE;
  if ((st = lh_oxide_fire(f, mol, &oxygen, &loss)) != LH_OK) return st;
  clear(m);
  for (size_t i = 0; i < LH_OXIDES; i++) m->mol[i] = mol[i] / weight;
  m->loss = loss / weight;
  m->formula_weight = weight;
  return LH_OK;
}

static bool in_percent(double v)
{
  return v >= 0.0 && v <= 100.0; /* false for NaN */
}

/* Add x grams of a form (with e) to what one gram of the material brings. */
static void add_form(lh_material *m, size_t form, double x, double e)
{
  size_t fired;
  double moles, left;

  if (x == 0.0 && e == 0.0) return;
  fired = lh_oxide_fired(form);
  if (fired == LH_OXIDES) {
    m->loss += x;
    m->loss_e = hypot(m->loss_e, e);
    return;
  }
  /* Cations are kept: FeO's go over into half as many Fe2O3. */
  moles = 1.0 / lh_oxide_weight(form) * lh_oxide_cations(form) /
          lh_oxide_cations(fired);
  left = form == fired ? 1.0 : moles * lh_oxide_weight(fired);
  m->mol[fired] += x * moles;
  m->mol_e[fired] = hypot(m->mol_e[fired], e * moles);
  m->loss += x * (1.0 - left);
  m->loss_e = hypot(m->loss_e, e * (1.0 - left));
}

lh_status lh_material_from_analysis(const double percent[LH_OXIDE_FORMS],
                                    const double *e, double loi, lh_material *m,
                                    size_t *bad)
{
  double total = loi;
  size_t i = LH_OXIDE_FORMS;

  if (bad) *bad = i;
  if (!in_percent(loi)) return LH_RANGE;
  for (i = 0; i < LH_OXIDE_FORMS; i++) {
    total += percent[i];
    if (in_percent(percent[i]) && (!e || in_percent(e[i]))) continue;
    if (bad) *bad = i;
    return LH_RANGE;
  }
  if (!(total > 0.0)) return LH_RANGE;
  clear(m);
  for (i = 0; i < LH_OXIDE_FORMS; i++)
    add_form(m, i, percent[i] / 100.0, e ? e[i] / 100.0 : 0.0);
  m->loss += loi / 100.0;
  m->total = total;
  return LH_OK;
}

lh_status lh_material_from_moles(const double mol[LH_OXIDE_FORMS],
                                 lh_material *m, size_t *bad)
{
  double weight = 0.0;

  if (bad) *bad = LH_OXIDE_FORMS;
  for (size_t i = 0; i < LH_OXIDE_FORMS; i++) {
    if (!(mol[i] >= 0.0 && mol[i] <= LH_FORMULA_COUNT_MAX)) {
      if (bad) *bad = i;
      return LH_RANGE;
    }
    weight += mol[i] * lh_oxide_weight(i);
  }
  if (!(weight > 0.0)) return LH_RANGE;
  clear(m);
  for (size_t i = 0; i < LH_OXIDE_FORMS; i++)
    add_form(m, i, mol[i] * lh_oxide_weight(i) / weight, 0.0);
  m->formula_weight = weight;
  return LH_OK;
}

void lh_material_from_nothing(lh_material *m)
{
  clear(m);
  m->total = 0.0;
  m->inert = true;
}
