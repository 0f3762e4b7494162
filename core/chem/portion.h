/* SPDX-License-Identifier: GPL-3.0-or-later */
/* portion.h -- the way back: from a formula to weights of given materials.
**
** The old sums work material by material: so much feldspar for the potash,
** then clay for what is left of the alumina, then flint for the silica.
** Here the same is one small system of equations.  It answers only when the
** materials can make the formula exactly and in one way; nearest recipes
** are another matter.  The caller owns everything.  Nothing here allocates,
** prints or remembers.
*/
#ifndef LH_PORTION_H
#define LH_PORTION_H

#include <stddef.h>

#include "material.h"
#include "status.h"

enum { LH_PORTION_MAX = 16 }; /* most materials in one system */

/* Why there is no answer. */
typedef enum {
  LH_PORTION_FINE,
  LH_PORTION_MISSES,   /* an oxide cannot be met                */
  LH_PORTION_NEGATIVE, /* a material would have to be taken out */
  LH_PORTION_MANY      /* more than one set of weights will do  */
} lh_portion_why;

typedef struct {
  lh_portion_why why;
  size_t oxide;    /* MISSES: the oxide farthest off            */
  double off;      /* MISSES: moles made less moles asked [mol] */
  size_t material; /* NEGATIVE, MANY: which                     */
} lh_portion_info;

/* Weights of materials that make a formula.
**
** Given:     target    moles wanted of each oxide                   [mol]
**            m, n      the materials, 0 < n <= LH_PORTION_MAX
**            tolerance how far an oxide may be off, as a fraction of the
**                      sum of the moles; 1e-9 for exact
** Returned:  grams[n]  weights (as solved, even when not LH_OK unless MANY)
**            *info     why not, when not
** Status:    LH_OK; LH_RANGE with *info; LH_INPUT for a bad n, a negative
**            or NaN target or a target of nothing
**
** Notes:  1) Least squares by Householder reflections on columns of unit
**            length; the answer counts only when every oxide is met.
** Ref:    Golub & Van Loan, Matrix Computations, 5.2 and 5.3.
*/
lh_status lh_portion_solve(const double target[LH_OXIDES],
                           const lh_material *const *m, size_t n,
                           double tolerance, double *grams,
                           lh_portion_info *info);

#endif
