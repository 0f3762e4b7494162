/* SPDX-License-Identifier: GPL-3.0-or-later */
/* linear_parts.h -- what the files of linear.h share.  Not a public header.
**
** One programme serves all.  Its unknowns:
**   x_j   grams, each scaled so that its largest coefficient is 1,
**   t     the scale of the target,
**   s     how far the recipe may be, times t,
**   p, q  (SUM) what a row is above and below,
**   z_j   (most) is the material in it?
** Nearest: t = 1, the least s.  Cheapest: s <= tolerance t, the least price.
*/
#ifndef LH_LINEAR_PARTS_H
#define LH_LINEAR_PARTS_H

#include "linear.h"

/* A problem checked and made ready, over the materials that may be used. */
typedef struct {
  const lh_linear_ask *ask;
  size_t n, rows, limits;
  size_t *place; /* place[n]: in the caller's list                      */
  double *scale; /* scale[n]: grams in one unit of x                    */
  double *col;   /* col[n * rows]: weighted, of one unit of x           */
  double *fired; /* fired[n] of one unit (SLIP)                   [mol] */
  double *price; /* price[n] of one unit                                */
  double *per;   /* per[n] of one unit; NULL when not asked             */
  double *lim;   /* lim[limits * n] x >= 0, or = 0; largest is 1        */
  bool *equal;   /* equal[limits]                                       */
  double b[LH_SEARCH_ROWS]; /* the target, weighted                       */
  double length; /* of b                                                */
  double held;   /* what sum per x is held at, so that t is about 1     */
  const lh_watch *watch;
} lh_linear_ready;

/* One programme's answer. */
typedef struct {
  double *x; /* x[n] */
  double t, s, value;
  double link; /* the multiplier of s <= tolerance t */
} lh_linear_answer;

/* linear_ready.c */
lh_status lh_linear_prepare(const lh_linear_ask *q, lh_linear_ready *r,
                            size_t *bad, lh_arena *a);

/* linear_solve.c: solve it.
**
** Given:     nearest   the least s, or the least price
**            only      only[n]: the materials that may be used; NULL: all
**            most      how many of them at most; 0: any number
** Returned:  *y        y->x given
**            *f        programmes, cuts and nodes are added to
** Status:    LH_OK; LH_NOTFOUND: not within the tolerance; LH_NOCONV;
**            LH_CANCELLED; LH_NOMEM
*/
lh_status lh_linear_solve(const lh_linear_ready *r, bool nearest,
                          const bool *only, size_t most, lh_linear_answer *y,
                          lh_linear_found *f, lh_arena *a);

/* linear.c: check and make ready, y->x too; the least tolerance (y->s); from
** the unknowns to grams and what there is to say of them. */
lh_status lh_linear_begin(const lh_linear_ask *q, lh_linear_ready *r,
                          lh_linear_answer *y, lh_linear_found *f, lh_arena *a,
                          const lh_watch *w);
lh_status lh_linear_least(const lh_linear_ready *r, lh_linear_answer *y,
                          lh_linear_found *f, lh_arena *a);
void lh_linear_tell(const lh_linear_ready *r, const lh_linear_answer *y,
                    double *grams, lh_linear_found *f);

#endif
