/* SPDX-License-Identifier: GPL-3.0-or-later */
/* change.h -- what will change when one recipe takes another's place.
**
** Two recipes, the old and the new, as core sees them: formula and analysis,
** loss on ignition, plastic clay, colouring oxides, cost, hazards, materials
** that no tile of the book has shown.  For a glaze also expansion and
** viscosity, each model by itself and only as far as it reaches; a slip is no
** melt, so for it the bars that are to be made, and why.  Nothing is reckoned
** here that core has not reckoned.  Memory: the call's arena.
*/
#ifndef LH_CHANGE_H
#define LH_CHANGE_H

#include "book.h"
#include "chem/expansion.h"
#include "chem/viscosity.h"
#include "operation.h"
#include "recipe_doc.h"

/* A share of plastic clay, or of flux, that moved by less than this is left
** unsaid as a reason for bars.  A judgement.                      [points] */
#define LH_CHANGE_POINTS 0.5

/* One of the two recipes. */
typedef struct {
  const lh_recipe_found *found; /* NULL: a bare formula              */
  lh_recipe_fired fired;
  lh_expansion expansion[LH_EXPANSION_MODELS];
  lh_viscosity viscosity[LH_VISCOSITY_MODELS];
  double plastic_percent; /* plastic clay in the raw batch       [%] */
  double cost_per_kg;     /* of the dry batch; NAN: a price is missing */
} lh_change_side;

/* What the potter's tiles have shown. */
typedef struct {
  bool book;          /* is a book open?                    */
  const char **names; /* materials of the slips and glazes  */
  size_t count;       /*   on its tiles                     */
} lh_change_tried;

/* Look at a recipe.
**
** Given:     found   the recipe with its materials
** Returned:  *side
** Status:    LH_OK; LH_RANGE when nothing of it melts
*/
lh_status lh_change_look(const lh_recipe_found *found, lh_change_side *side);

/* Look at a formula that has no recipe: moles of fired oxides. */
lh_status lh_change_look_formula(const double mol[LH_OXIDES],
                                 lh_change_side *side);

/* Which materials have been on a tile.
**
** Given:     book    open, or NULL
** Returned:  *tried  names as the recipes of the tiles' slips, grounds and
**                    glazes have them
** Status:    LH_OK; LH_IO; LH_NOMEM
*/
lh_status lh_change_look_tiles(struct lh_book *book, lh_arena *a,
                               lh_change_tried *tried, lh_fault *fault);

/* Has no tile shown this material? */
bool lh_change_untried(const lh_change_tried *tried, const char *name);

/* Put what will change into an object of the reply.
**
** Given:     to    formula, analysis, loi_percent, plastic_clay_percent,
**                  cost_per_kg, colouring_oxides, hazards, never_on_a_tile;
**                  of a glaze expansion and viscosity, else bars
*/
void lh_change_put(lh_reply *r, json_t *to, const lh_change_side *old,
                   const lh_change_side *new_, int kind,
                   const lh_change_tried *tried);

/* The same in lines for a person, shorter. */
void lh_change_say(lh_reply *r, const lh_change_side *old,
                   const lh_change_side *new_, int kind,
                   const lh_change_tried *tried);

/* Why a bar is to be made for a slip that changes; "" when the shares that
** it rests on stay. */
const char *lh_change_bar(lh_arena *a, bool curl, const lh_change_side *old,
                          const lh_change_side *new_);

/* Hazard codes of the new recipe that the old one had not, apart by spaces,
** and the materials that bring them; "" when there are none. */
const char *lh_change_hazards(lh_arena *a, const lh_change_side *old,
                              const lh_change_side *new_, const char **bring);

/* "Appen", "Lakatos 1976": a model's name as it is spoken. */
const char *lh_change_model(const char *name);

#endif
