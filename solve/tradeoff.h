/* SPDX-License-Identifier: GPL-3.0-or-later */
/* tradeoff.h -- nearness, number of materials and price on one table.
**
** For each number of materials the search's nearest recipe, and the cheapest
** ones within wider and wider tolerances (linear.h), of which those stay that
** no other beats in all three ways (front.h).  Numbers in, numbers out; room
** comes from the caller's arena.
*/
#ifndef LH_TRADEOFF_H
#define LH_TRADEOFF_H

#include "linear.h"

enum {
  LH_TRADEOFF_STEPS = 20,
  LH_TRADEOFF_ROWS = LH_SEARCH_LINES * (LH_TRADEOFF_STEPS + 1)
};

typedef struct {
  const lh_search_problem *problem; /* most: the largest number of materials;
                                       choices, visits: not looked at       */
  const double *price, *per;        /* as in lh_linear_ask                  */
  size_t steps;   /* tolerances for each number, 0 to LH_TRADEOFF_STEPS     */
  double farther; /* so much farther than the nearest is the last of them,
                     >= 0, in the distance's unit                           */
} lh_tradeoff_ask;

typedef struct {
  double distance, price;
  size_t count;                     /* materials                           */
  size_t material[LH_SEARCH_LINES]; /* places in the list, ascending       */
  double grams[LH_SEARCH_LINES];    /* as lh_search_choice                 */
  double tolerance;                 /* it is the cheapest within this, of at
                                       most `of` materials; NAN: the nearest */
  size_t of;
} lh_tradeoff_row;

/* What was done for it. */
typedef struct {
  size_t tried;     /* recipes before any was left out               */
  size_t unsettled; /* tolerances whose answer did not settle: the table
                       may lack a row there                          */
  size_t unproven;  /* numbers of materials whose nearest recipe the search
                       did not prove                                 */
  size_t bad;       /* LH_INPUT                                      */
} lh_tradeoff_info;

/* Make the table.
**
** Given:     q, a, w   what is asked; room; a watch, may be NULL
** Returned:  row[0 .. *rows)  nearest first; room for LH_TRADEOFF_ROWS
**            *info
** Status:    LH_OK; LH_NOTFOUND when the limits leave no recipe; LH_INPUT;
**            LH_TOOLARGE; LH_CANCELLED; LH_NOMEM
**
** Notes:  1) The tolerances of a number of materials begin at its nearest
**            recipe's distance and grow as the square of the step: most is to
**            be saved near it.  Between two of them there are more recipes
**            that nothing beats: the table is a sample of a curve for each
**            number of materials, and every row of it is on the curve.
**         2) Distances within 1e-6 of the target's length and prices within
**            1e-6 of each other count as equal.
*/
lh_status lh_tradeoff_table(const lh_tradeoff_ask *q, lh_tradeoff_row *row,
                            size_t *rows, lh_tradeoff_info *info, lh_arena *a,
                            const lh_watch *w);

#endif
