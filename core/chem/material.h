/* SPDX-License-Identifier: GPL-3.0-or-later */
/* material.h -- anything weighed into a recipe, as oxides per gram.
**
** A material is told by its formula, by an analysis in weight per cent, or
** by moles; here all three become one thing: moles of each fired oxide that
** one gram of the raw material brings, and what leaves of it.  Names, prices
** and stock are not known here.  Plus or minus is the half width of a 90 %
** range, as everywhere in the house (range.h).  The caller owns every struct.
*Nothing here
** allocates, prints or remembers.
*/
#ifndef LH_MATERIAL_H
#define LH_MATERIAL_H

#include <stdbool.h>
#include <stddef.h>

#include "oxide.h"
#include "status.h"

typedef struct {
  double mol[LH_OXIDES];   /* fired oxides from one gram     [mol/g] */
  double mol_e[LH_OXIDES]; /* plus or minus                [mol/g] */
  double loss;             /* leaves in the fire               [g/g] */
  double loss_e;           /* plus or minus                   [g/g] */
  double total;            /* oxides + LOI as they were given; 100 for a
                              formula or moles                   [%] */
  double formula_weight;   /* of one formula unit; NAN if none [g/mol] */
  bool inert;              /* an encapsulated stain: stays out of unity */
} lh_material;

/* A material from its formula.
**
** Given:     f    a formula as lh_formula_parse() read it
** Returned:  *m
** Status:    LH_OK; LH_RANGE when it weighs nothing, *m untouched
*/
lh_status lh_material_from_formula(const lh_formula *f, lh_material *m);

/* A material from an analysis.
**
** Given:     percent  weight per cent of each form in the raw material, as
**                     written; 0 where not named
**            e        plus or minus, each, or NULL             [wt%]
**            loi      loss on ignition                         [wt%]
** Returned:  *m       m->total is what the figures add to
**            *bad     the row that is negative, NaN or over 100;
**                     LH_OXIDE_FORMS for the LOI; may be NULL
** Status:    LH_OK; LH_RANGE, *m untouched, also when all are zero
**
** Notes:  1) Never normalised: with a total of 98 a gram brings 0.98 g.
**         2) A form that leaves (CO2, SO3, F, ...) adds to the loss.  Forms
**            other than the fired (FeO) are turned by their cations, the
**            difference of weight going to the loss; it can be negative.
*/
lh_status lh_material_from_analysis(const double percent[LH_OXIDE_FORMS],
                                    const double *e, double loi, lh_material *m,
                                    size_t *bad);

/* A material from moles of oxides, as a frit's formula is written.
**
** Given:     mol      moles of each form
** Returned:  *m, *bad as above
** Status:    LH_OK; LH_RANGE for a negative, NaN or infinite number, or when
**            all are zero; *m untouched
*/
lh_status lh_material_from_moles(const double mol[LH_OXIDE_FORMS],
                                 lh_material *m, size_t *bad);

/* A material that goes through the fire as it is: a stain of which nothing
** else is known.  Returned: *m, inert, bringing no oxides.
*/
void lh_material_from_nothing(lh_material *m);

#endif
