/* SPDX-License-Identifier: GPL-3.0-or-later */
/* learn_fit.h -- a slip's optical numbers from its tiles, and their trust.
**
** Joins the sums of core/colour (learn.h, learn_three.h) with the least
** squares of solve/.  Beside the numbers it gives what tells how far to trust
** them: each tile is left out in turn, the fit made without it, and its colour
** predicted: the mean of those misses is the tool's own measure of trust.
** Memory: the arena; the library's within each call.  No JSON, no words.
*/
#ifndef LH_LEARN_FIT_H
#define LH_LEARN_FIT_H

#include "arena.h"
#include "learn.h"
#include "learn_three.h"
#include "watch.h"

/* What came out.  Lists have one entry for each tile of the problem. */
typedef struct {
  lh_slip_optics slip;  /* of a stained problem: the base                  */
  lh_slip_optics stain; /* a gram of it; of a stained problem only        */
  double stain_k_sd[LH_WAVES], stain_s_sd[LH_WAVES];
  double k_sd[LH_WAVES], s_sd[LH_WAVES]; /* relative standard errors      */
  double ground[LH_LEARN_GROUNDS][LH_WAVES];
  double absorb[LH_WAVES];   /* of the glaze                        [m2/g] */
  double eaten, share;       /* NAN where not learnt                        */
  double eaten_sd, share_sd; /* standard errors                           */
  lh_lab *measured, *predicted;
  double *off;      /* dE00 between them                                  */
  double *left_out; /* dE00 when the tile was not in the fit; NAN: could
                       not be left out                                    */
  double *coat;     /* factor by which its coat weight seems to be off    */
  bool *outlier;    /* see LH_OUTLIER_TIMES                               */
  double trust;     /* mean of left_out; NAN when none could be           */
  double worst;     /* the largest of left_out                            */
  double scatter;   /* squares per reading over what was stated; 1 is as
                       stated.  Above 1, the errors are widened by its root */
  int steps;
  bool settled;
  const double *covariance; /* of all unknowns, before it is widened */
} lh_learn_fit;

/* A tile is named an outlier when, left out, it is missed by more than this
** many times the median miss and by more than the floor (judgements). */
#define LH_OUTLIER_TIMES 3.0
#define LH_OUTLIER_FLOOR 3.0

/* From spectra.
**
** Given:     l      checked by lh_learn_check()
**            watch  or NULL
** Returned:  *out
** Status:    LH_OK; LH_RANGE when no fit could be made; LH_CANCELLED;
**            LH_NOMEM
*/
lh_status lh_learn_fit_spectra(const lh_learn *l, lh_arena *a,
                               const lh_watch *watch, lh_learn_fit *out);

/* The slip of a stained problem at any strength.
**
** Given:     l, f    what was fitted, and what came out
**            share   of the stain in the dry slip, 0..1
** Returned:  *slip; k_sd, s_sd, relative standard errors
*/
void lh_learn_fit_at(const lh_learn *l, const lh_learn_fit *f, double share,
                     lh_slip_optics *slip, double k_sd[LH_WAVES],
                     double s_sd[LH_WAVES]);

/* From three numbers a tile; grounds are as given, nothing of the glaze is
** learnt. */
lh_status lh_learn_fit_three(const lh_three *l, lh_arena *a,
                             const lh_watch *watch, lh_learn_fit *out);

#endif
