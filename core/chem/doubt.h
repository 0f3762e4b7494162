/* SPDX-License-Identifier: GPL-3.0-or-later */
/* doubt.h -- how sure a choice of recipe is, when its analyses may be wrong.
**
** A recipe is weighed by the analyses that are printed; what is in the bags is
** something else.  Each figure of each analysis is drawn anew, many times,
** from a normal error about what is printed (its plus or minus is the half
** width of a 90 % range; an amount below nothing counts as nothing; figures
** are independent), the amounts staying as weighed.  Out come: in how many of
** the draws a choice is the nearest of all; the range of each of its figures;
** and which single figure of an analysis moves the fired formula the most.
**
** One bag is one bag: a material has the same luck in every choice, and in the
** target where that is a recipe too.  Same seed, same bits, everywhere.
**
** Distances are the search's (search.h).  For a glaze a drawn formula is
** compared at the scale that suits it best, since amounts are free there.
** Room comes from the caller's arena; nothing here allocates, prints or
** remembers.
*/
#ifndef LH_DOUBT_H
#define LH_DOUBT_H

#include "search.h"

enum {
  LH_DOUBT_DRAWS = 10000, /* unless asked otherwise                 */
  LH_DOUBT_DRAWS_MOST = 1000000,
  LH_DOUBT_EXTRAS = 8, /* figures by the caller's own function   */
  LH_DOUBT_CAUSES = 5  /* analyses named, the weightiest first   */
};

/* The seed unless asked otherwise: any will do. */
#define LH_DOUBT_SEED 20261125u

/* What an analysis is good to when nobody says: plus or minus so much of each
** figure, and never less than so much of the raw material's weight.  Both are
** judgements for the user to change: about what two good laboratories differ
** by, and what a supplier rounds to.                                    [%]
*/
#define LH_DOUBT_OF_FIGURE_PERCENT 3.0
#define LH_DOUBT_LEAST_PERCENT 0.1

/* Give an analysis the uncertainty that it does not state.
**
** Given:     m           a material
**            of_figure   plus or minus, of each figure               [%]
**            least       and at least, of the raw weight             [%]
** Returned:  *out        mol_e filled where mol > 0 and mol_e is 0 (or
**                        less); what is stated stays
**            how many figures were filled; 0: all is as stated
** Notes:     1) Oxides that are not in the analysis stay certain to be absent.
*/
size_t lh_doubt_judge(const lh_material *m, double of_figure, double least,
                      lh_material *out);

/* Further figures of a melt: values[extras]; NaN where a model refuses. */
typedef void lh_doubt_extra(void *who, const double mol[LH_OXIDES],
                            double *values);

typedef struct {
  lh_search_measure measure;
  const lh_material *const *material; /* material[materials]: of all choices
                                         and of the target; inert ones bring
                                         nothing                           */
  size_t materials;
  const uint64_t *id; /* id[materials]: whose luck; materials of one id err
                         alike, share for share.  NULL: each its own, by
                         its place in the list                          */
  const size_t *row;  /* row[LH_OXIDES], as for lh_search_rows()        */
  size_t rows;
  const double *weight; /* weight[rows]; NULL: all 1                      */
  const double *target; /* target[rows], certain                          */
  const double *target_grams; /* or target_grams[materials]: a recipe, as
                                 uncertain as its materials, scaled to
                                 fluxes of one (SLIP: mole %); else NULL  */
  const bool *flux;           /* flux[LH_OXIDES]; NULL: by custom         */
  const double *grams;        /* grams[choices * materials]           [g] */
  size_t choices;             /* 1 to LH_SEARCH_CHOICES                   */
  size_t draws;               /* 0: LH_DOUBT_DRAWS                        */
  uint64_t seed;              /* 0: LH_DOUBT_SEED                         */
  lh_doubt_extra *extra;      /* may be NULL                              */
  void *who;
  size_t extras; /* how many values it gives, to LH_DOUBT_EXTRAS          */
} lh_doubt_ask;

/* A figure: as printed, and where nine draws of ten lie.  What is printed may
** lie outside: a distance of 0 can only grow.
*/
typedef struct {
  double printed, low, middle, high;
  double share; /* of the draws that gave a number; the range is of those */
} lh_doubt_figure;

/* One figure of one analysis, and what share it has in the whole movement. */
typedef struct {
  size_t material, oxide;
  double share;
} lh_doubt_cause;

typedef struct {
  double best;   /* share of the draws in which it is the nearest of all   */
  double best_e; /* plus or minus, 90 %, from the number of draws          */
  lh_doubt_figure distance;
  lh_doubt_figure made[LH_OXIDES]; /* GLAZE: unity; SLIP: mole %           */
  lh_doubt_figure extra[LH_DOUBT_EXTRAS];
  double spread; /* root of the mean squared movement against the target, to
                    first order; in the distance's unit                    */
  size_t causes;
  lh_doubt_cause cause[LH_DOUBT_CAUSES];
} lh_doubt_choice;

/* Say how sure choices are.
**
** Given:     q        what is asked
**            a, w     room, about 24 bytes a draw and 8 for each draw of each
**                     oxide; a watch, may be NULL
** Returned:  choice[q->choices]
** Status:    LH_OK; LH_INPUT for a number that is none or negative, a choice
**            that makes nothing, no flux in a target that is a recipe;
**            LH_TOOLARGE; LH_CANCELLED; LH_NOMEM
**
** Notes:  1) Of equal distances the earlier choice is the nearest.
**         2) Causes are one at a time: a figure is moved by its standard
**            deviation up and down, half the way between the two formulas
**            (weighted as the distance) is squared, and a share is that part
**            of the sum over all.  To first order these add up to the mean
**            squared movement: E distance^2 = printed^2 + spread^2.
** Ref:    JCGM 101:2008 (GUM supplement 1), propagation by Monte Carlo;
**         JCGM 100:2008, 5.1.3 for note 2.
*/
lh_status lh_doubt_weigh(const lh_doubt_ask *q, lh_doubt_choice *choice,
                         lh_arena *a, const lh_watch *w);

#endif
