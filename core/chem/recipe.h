/* SPDX-License-Identifier: GPL-3.0-or-later */
/* recipe.h -- from a recipe to what is left after the fire.
**
** Lines in parts, additions in per cent of the sum of the parts; out come
** the Seger (unity) formula, mole per cent, fired weight per cent and loss
** on ignition.  Inert stains are weighed and reported, and stay out of all
** else.  Expansion and viscosity are other rooms' matter.  The caller owns
** every struct.  Nothing here allocates, prints or remembers.
*/
#ifndef LH_RECIPE_H
#define LH_RECIPE_H

#include <stdbool.h>
#include <stddef.h>

#include "material.h"
#include "status.h"

/* What the recipe is for.  Unity, expansion and viscosity speak of melts:
** for a slip or a body they are an analysis, never a prediction.
*/
typedef enum { LH_KIND_GLAZE, LH_KIND_SLIP, LH_KIND_BODY } lh_kind;

typedef struct {
  const lh_material *material;
  double amount; /* parts by weight; of an addition, % of the sum of parts */
  bool addition;
} lh_recipe_line;

/* The largest amount a line may have; the old books weigh in pounds, and no
** batch is a thousand tonnes.  A judgement: it keeps sums far from overflow.
*/
#define LH_RECIPE_AMOUNT_MAX 1e9

/* What a recipe becomes.  Weights are in the unit of the parts ("g"). */
typedef struct {
  double batch;  /* all that is weighed in, additions with it        [g] */
  double fired;  /* fired oxides of all that melts                   [g] */
  double inert;  /* stain that goes through the fire                 [g] */
  double loss;   /* leaves in the fire                               [g] */
  double untold; /* batch - fired - inert - loss: what analyses that do
                    not add to 100 leave open; may be negative       [g] */

  double mol[LH_OXIDES];            /* moles from the batch        [mol] */
  double mole_percent[LH_OXIDES];   /* of the melt                       */
  double weight_percent[LH_OXIDES]; /* of the melt, fired                */
  double loi_percent;               /* of the batch                      */
  double inert_percent;             /* of fired + inert                  */

  bool flux[LH_OXIDES];      /* the oxides whose sum is one               */
  double flux_mol;           /* their moles in the batch; 0: no unity [mol] */
  double unity[LH_OXIDES];   /* Seger formula; all NAN without a flux     */
  double unity_e[LH_OXIDES]; /* plus or minus, 90 %, from analyses only    */
  double silica_alumina;     /* moles SiO2 : moles Al2O3; NAN without Al2O3 */
  double silica_alumina_e;
} lh_recipe_fired;

/* Fire a recipe.
**
** Given:     lines, n   the recipe
**            flux       which oxides count as flux, or NULL for the custom
**                       of lh_oxide_flux()
** Returned:  *r         r->flux_mol is 0 when there is no flux: then unity
**                       is not defined and the rest still stands
**            *bad       the line at fault, n when none; may be NULL
** Status:    LH_OK; LH_RANGE for a negative, NaN or huge amount (*bad: which),
**            or when the parts, or the melt's oxides, add to nothing
**            (*bad = n); *r is untouched then
**
** Notes:  1) A recipe of nothing but inert stain has no melt: LH_RANGE.
**         2) Uncertainty is carried by derivatives; figures of different
**            materials and oxides are taken as independent.
** Ref:    Seger's rule as in C. F. Binns, The Potter's Craft (1910).
*/
lh_status lh_recipe_fire(const lh_recipe_line *lines, size_t n,
                         const bool *flux, lh_recipe_fired *r, size_t *bad);

#endif
