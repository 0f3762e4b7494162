/* SPDX-License-Identifier: GPL-3.0-or-later */
/* old_sums.h -- materials as the old books reckon with them.
**
** The old sums take a whole number, the equivalent weight, for a mole of
** material: 60 for flint, 258 for kaolin.  old_material() is such a material;
** new_material() is the same one by today's atomic weights.
*/
#ifndef LH_OLD_SUMS_H
#define LH_OLD_SUMS_H

#include "check.h"
#include "material.h"

static inline lh_material new_material(const char *formula)
{
  lh_formula f;
  lh_material m = {.loss = NAN};

  if (lh_formula_parse(formula, strlen(formula), &f, NULL) == LH_OK)
    lh_material_from_formula(&f, &m);
  return m;
}

static inline lh_material old_material(const char *formula, double weight)
{
  lh_material m = new_material(formula);
  double fired = 0.0;

  for (size_t i = 0; i < LH_OXIDES; i++) {
    m.mol[i] *= m.formula_weight / weight;
    fired += m.mol[i] * lh_oxide_weight(i);
  }
  m.loss = 1.0 - fired;
  m.formula_weight = weight;
  return m;
}

#endif
