/* SPDX-License-Identifier: GPL-3.0-or-later */
/* linear_glpk.h -- a programme in GLPK's hands.  Not a public header; what
** uses it runs inside lh_linear_solve(), which holds GLPK's errors. */
#ifndef LH_LINEAR_GLPK_H
#define LH_LINEAR_GLPK_H

#include <glpk.h>

#include "linear_parts.h"

/* Most numbers in one row: x, t, s. */
enum { LH_LINEAR_WIDE = LH_SEARCH_MATERIALS + 2 * LH_SEARCH_ROWS + 3 };

typedef struct {
  const lh_linear_ready *r;
  lh_linear_answer *y;
  lh_linear_found *f;
  const bool *only;
  bool nearest;
  lh_arena *a;
  size_t most;
  glp_prob *lp;
  int rows;             /* without planes */
  int t, s, p, z, link; /* first columns of their kind; the row of the link */
  bool stopped, spent;  /* by the watch; no planes left */
  int ind[LH_LINEAR_WIDE + 1]; /* a row in the making; from 1, as GLPK counts */
  double val[LH_LINEAR_WIDE + 1];
  int len;
} lh_linear_programme;

/* Solve the programme as its columns are bounded now, with as many planes as
** it takes; they stay.  Status: as lh_linear_solve(). */
lh_status lh_linear_relax(lh_linear_programme *u);

/* linear_choose.c: by DISTANCE, which materials make the cheapest recipe of at
** most u->most?  Returned: u->y->x[j] 1 for those, else 0. */
lh_status lh_linear_choose(lh_linear_programme *u);

#endif
