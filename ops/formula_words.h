/* SPDX-License-Identifier: GPL-3.0-or-later */
/* formula_words.h -- how the operation `formula` says what it found.
**
** Each function puts its members into the reply's JSON and its lines for a
** person.  Nothing is reckoned here that core has not reckoned.
*/
#ifndef LH_FORMULA_WORDS_H
#define LH_FORMULA_WORDS_H

#include "operation.h"
#include "recipe_doc.h"

/* unity, unity_range, flux_oxides, mole_percent, weight_percent. */
void lh_formula_put_oxides(lh_reply *r, const lh_recipe_found *f,
                           const lh_recipe_fired *fired);

/* loi_percent, silica_alumina, inert_percent, untold_percent. */
void lh_formula_put_whole(lh_reply *r, const lh_recipe_found *f,
                          const lh_recipe_fired *fired);

/* What is known of the materials: totals, and which are invented. */
void lh_formula_put_materials(lh_reply *r, const lh_recipe_found *f);

/* expansion, viscosity: of a glaze only. */
void lh_formula_put_expansion(lh_reply *r, const lh_recipe_fired *fired);
void lh_formula_put_viscosity(lh_reply *r, const lh_recipe_fired *fired);

#endif
