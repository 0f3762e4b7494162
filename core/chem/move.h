/* SPDX-License-Identifier: GPL-3.0-or-later */
/* move.h -- a glaze for another peak temperature, by equal viscosity.
**
** A glaze that is right at one peak has a certain viscosity there.  Another
** glaze that has it at another peak is where to start testing: it says
** nothing of how the old one's crystals, bubbles and colours will do.  This
** room asks a model of viscosity (viscosity.h) for a melt's level, log10 of
** Pa s, at a temperature, and how it changes with each oxide; it finds the
** nearest formula with a wanted level, and has the search (search.h) find
** recipes that have it, the equality one more of its limits.
**
** It speaks of melts only: a slip or a body is moved by bars, not by this.
** Temperatures in degrees C.  Memory comes from the caller's arena; nothing
** here allocates, prints or remembers.
*/
#ifndef LH_MOVE_H
#define LH_MOVE_H

#include <stdbool.h>
#include <stddef.h>

#include "arena.h"
#include "material.h"
#include "search.h"
#include "status.h"
#include "viscosity.h"
#include "watch.h"

/* ---- the level of a melt ------------------------------------------------ */

typedef struct {
  double level;        /* log10 of viscosity                      [Pa s] */
  double plus_minus;   /* 90 %, from the model's own error        [Pa s] */
  double slope;        /* change of the level for one degree   [per C]   */
  bool valid;          /* inside the model's compositions and levels     */
  lh_melt_limit limit; /* of compositions: why not, when not; FINE and
                          not valid: the level is beyond the model's     */
} lh_move_level;

/* The levels between which a model answers                       [Pa s]. */
double lh_move_lowest(lh_viscosity_model model);
double lh_move_highest(lh_viscosity_model model);

/* The level of a melt at a temperature.
**
** Given:     mol     moles of its oxides, any scale                [mol]
**            model   which
**            t_c     temperature                                     [C]
** Returned:  *at     level and slope are worked out also outside the model's
**                    limits, as a search needs them on its way; there they
**                    are not to be shown
** Status:    LH_OK; LH_RANGE for moles that are negative, NaN or add to
**            nothing, a melt that the model gives no curve, a temperature at
**            or below the curve's T0; *at untouched then
**
** Notes:  1) level = a + b/(T - T0) through the model's three temperatures.
**         2) Fluegel's answers go from 12.0 to 1.0: his Table 2 goes down to
**            1.0 by the same curve.  Lakatos's from 5.0 to 1.0.
** Ref:    as viscosity.h
*/
lh_status lh_move_level_of(const double mol[LH_OXIDES],
                           lh_viscosity_model model, double t_c,
                           lh_move_level *at);

/* How the level changes with the moles of each oxide.
**
** Given:     as above
** Returned:  g[LH_OXIDES]                              [Pa s log10 per mol]
** Status:    as above
**
** Notes:  1) Central differences (three-sided where there is none of an
**            oxide), of second order; a step of 1e-5 of all moles leaves an
**            error of about 1e-9 of the largest.
**         2) Only proportions count: sum of mol x g is 0.
*/
lh_status lh_move_gradient(const double mol[LH_OXIDES],
                           lh_viscosity_model model, double t_c,
                           double g[LH_OXIDES]);

/* ---- the nearest formula ------------------------------------------------ */

/* Move a Seger formula onto a level.
**
** Given:     unity    the formula, its fluxes adding to one        [mol]
**            flux     which oxides are fluxes
**            free     which oxides may change; the others stay
**            weight   of each oxide's change, > 0; NULL: all 1
**            model, t_c, level   the level wanted at a temperature
** Returned:  *moved   fluxes adding to one; sum of (weight x change)^2 is
**                     least among formulas nearby (a stationary point)
**            *distance  the root of that sum
** Status:    LH_OK; LH_RANGE as lh_move_level_of, or when no free oxide can
**            bring it there; LH_NOCONV when it does not settle
**
** Notes:  1) Steps onto the tangent of the level, the fluxes' sum kept, what
**            would be negative held at nothing.  Held to 1e-10.
*/
lh_status lh_move_formula(const double unity[LH_OXIDES],
                          const bool flux[LH_OXIDES],
                          const bool free[LH_OXIDES], const double *weight,
                          lh_viscosity_model model, double t_c, double level,
                          double moved[LH_OXIDES], double *distance);

/* ---- recipes ------------------------------------------------------------ */

typedef struct {
  const lh_search_problem *search; /* GLAZE; its target is the formula as it
                                      was, its limits hold; one more is taken */
  const lh_material *const *m;     /* search->materials of them             */
  const double *start;             /* start[LH_OXIDES]: a formula near which
                                      to look first (lh_move_formula)       */
  lh_viscosity_model model;
  double t_c, level; /* wanted                                        */
} lh_move_problem;

typedef struct {
  lh_search_choice choice; /* made, distance: against the formula as it was */
  lh_move_level at;        /* at t_c; its level is the wanted one to 1e-9   */
} lh_move_choice;

typedef struct {
  size_t found;         /* choices listed                                */
  size_t rounds;        /* searches made                                 */
  bool proven;          /* each search was, with its straightened limit  */
  bool settled;         /* the last search brought no better first       */
  size_t outside;       /* recipes left out: outside the model's limits  */
  lh_melt_limit limit;  /* of the nearest of those                       */
  uint64_t visited;     /* supports looked at, in all                    */
  lh_search_proof last; /* of the last search                            */
} lh_move_proof;

/* Find the nearest recipes that have a level at a temperature.
**
** Given:     p        the problem
**            a, w     as lh_search_nearest
** Returned:  choice[p->search->choices]  the first proof->found are filled,
**                     ascending by distance
** Status:    LH_OK; LH_NOTFOUND when no recipe has it (proof->outside tells
**            of those that the model does not answer for); else as
**            lh_search_nearest
**
** Notes:  1) The level is not linear.  It is straightened at a formula, taken
**            as one more limit of the search (which is proven for that), and
**            each support found is then brought exactly onto the level, the
**            other limits kept.  From the best of them it is straightened
**            again, up to LH_MOVE_ROUNDS times, and all that was found is
**            ranked.  So the list is of true recipes in true order, but that
**            none else is nearer is proven for the straightened level only.
*/
enum { LH_MOVE_ROUNDS = 4 };
lh_status lh_move_nearest(const lh_move_problem *p, lh_move_choice *choice,
                          lh_move_proof *proof, lh_arena *a, const lh_watch *w);

#endif
