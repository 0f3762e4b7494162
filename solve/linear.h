/* SPDX-License-Identifier: GPL-3.0-or-later */
/* linear.h -- the cheapest recipe that is near enough, and what nearness costs.
**
** The problem is the search's own (search.h): what each gram brings, a target,
** weights, limits.  Here a price stands beside each material, and a tolerance
** says how far from the target a recipe may be.  Linear programmes, and mixed
** ones when only so many materials may be used, solved by GLPK.
**
** "How far" is one of three, all in the unit of the search's distance:
**   EACH      the largest of w |made - target| over the rows,
**   SUM       their sum,
**   DISTANCE  the root of the sum of their squares: the search's own.
** A recipe's EACH is at most its DISTANCE, and that at most its SUM.  The
** first two are linear.  The third is round: tangent planes are added where
** the answer breaks it, until it does so by 1e-9 of the target's length.
**
** What is made cheap is price over `per`: with per[j] the fired grams of one
** gram, the price of a kilogram that stays on the pots; with all ones, that
** of a kilogram weighed.  Without `per` it is the price of the amount that
** makes the target as it stands, and then the price falls along straight
** lines as the tolerance grows (EACH, SUM, any number of materials).
**
** Numbers in, numbers out.  Room comes from the caller's arena; GLPK's own is
** taken and given back within a call, and GLPK neither prints nor ends the
** program: its errors, running out of memory, come back as LH_NOMEM.
*/
#ifndef LH_LINEAR_H
#define LH_LINEAR_H

#include "search.h"

enum {
  LH_LINEAR_BREAKS = 200, /* most points of a curve's breaks      */
  LH_LINEAR_CUTS = 1000   /* planes added for one programme */
};

typedef enum {
  LH_LINEAR_DISTANCE,
  LH_LINEAR_EACH,
  LH_LINEAR_SUM
} lh_linear_norm;

enum { LH_LINEAR_NORMS = 3 };

typedef struct {
  const lh_search_problem *problem; /* its most, choices and visits are not
                                       looked at                          */
  const double *price; /* price[materials] of a gram, >= 0            [1/g] */
  const double *per;   /* per[materials] > 0, or NULL               [g/g] */
  lh_linear_norm norm;
  double tolerance; /* >= 0, in the distance's unit                       */
  size_t most;      /* materials in a recipe; 0: as many as it likes      */
} lh_linear_ask;

/* A recipe; grams[materials] stand beside it, in the caller's buffer: for the
** target as it stands (SLIP: for 100 moles fired).                     [g] */
typedef struct {
  double price;                   /* over per, or of the grams            */
  double off[LH_LINEAR_NORMS];    /* how far it is, by each norm          */
  double shadow;                  /* what the price changes by for a unit
                                     more of tolerance, <= 0; of an answer
                                     with `most`: while its materials stay */
  size_t materials;               /* in it                                */
  double least;                   /* LH_NOTFOUND: no recipe is nearer than
                                     this by the norm; NAN: no recipe keeps
                                     the limits                           */
  size_t bad;                     /* LH_INPUT: the material, row or limit */
  size_t programmes, cuts, nodes; /* solved; tangent planes; branches     */
} lh_linear_found;

/* The cheapest recipe within a tolerance.
**
** Given:     q         what is asked
**            a, w      room; a watch, may be NULL
** Returned:  grams[materials]  0 for what is not in it
**            *f
** Status:    LH_OK; LH_NOTFOUND when no recipe is near enough (f->least) or
**            none keeps the limits; LH_INPUT (f->bad); LH_NOCONV when GLPK
**            or the tangent planes did not settle; LH_CANCELLED; LH_NOMEM
**
** Notes:  1) Charnes and Cooper's scaling makes the quotient linear: grams
**            and the target's scale t are both free, sum per x is fixed.
**         2) With `most`, branch and bound: by EACH and SUM with a yes or no
**            for each material, GLPK's own, proven to its 1e-7; by DISTANCE a
**            branch is a programme, given up when the search proves that no
**            recipe in it is near enough, proven but for 1e-6 of the
**            target's length in the tolerance (and a material decided for is
**            1e-6 % of the batch at least).  The chosen materials are then
**            solved once more by themselves.  LH_NOCONV after 200,000
**            branches.
**         3) A material without a row or of NEVER stays out.  A MUST is a
**            least share, as in the search.
**         4) Limits hold to 1e-9 of the batch.
** Ref:    A. Charnes, W. W. Cooper (1962), Naval Res. Logist. Quart. 9,
**         181-186; J. E. Kelley (1960), J. SIAM 8, 703-712 (tangent planes).
*/
lh_status lh_linear_cheapest(const lh_linear_ask *q, double *grams,
                             lh_linear_found *f, lh_arena *a,
                             const lh_watch *w);

/* The nearest recipe by a norm, whatever it costs: the least tolerance there
** is.  f->shadow is 0.  Arguments and status as above; by DISTANCE it is the
** tangent planes' own answer, an independent check of the search; with `most`
** the search chooses the materials (most at most LH_SEARCH_LINES then).
*/
lh_status lh_linear_nearest(const lh_linear_ask *q, double *grams,
                            lh_linear_found *f, lh_arena *a, const lh_watch *w);

/* A point of the price's curve. */
typedef struct {
  double tolerance, price;
  double shadow; /* slope to the right of it; of the last, to its left     */
  size_t materials;
} lh_linear_point;

/* Where the price's fall with the tolerance bends.
**
** Given:     q          EACH or SUM, no per, no most; q->tolerance is the
**                       right end of the curve
**            point[cap] room, cap 2 to LH_LINEAR_BREAKS
** Returned:  point[0 .. *n)  ascending from the least tolerance there is; the
**                       price between two of them is on the straight line
**                       (*n is 1 when the curve is a point, and when it is
**                       already flat from there on)
**            *f         of the last programme
** Status:    as above; LH_TOOLARGE when cap is too little: the points found
**            are still on the curve, but more bends lie between them
**
** Notes:  1) The curve is convex and made of straight lines: two tangents meet
**            on it, or below it and then a bend lies to either side.
*/
lh_status lh_linear_bends(const lh_linear_ask *q, lh_linear_point *point,
                          size_t cap, size_t *n, lh_linear_found *f,
                          lh_arena *a, const lh_watch *w);

#endif
