/* SPDX-License-Identifier: GPL-3.0-or-later */
/* jar.h -- a jar of slip for a piece: what to weigh, how much water.
**
** From what a slip covers on one pot to the batch for all pots, rounded to
** the scale, with the water and the litre weight to reach and what to do when
** it is missed.  Memory: the call's arena.
*/
#ifndef LH_JAR_H
#define LH_JAR_H

#include "cover.h"
#include "slip/batch.h"

typedef struct {
  const lh_slip_doc *slip;
  const lh_recipe_found *recipe; /* count 0: no recipe is known           */
  double on_pots_g; /* dry, on all pots                                 */
  double need_g;    /* with waste and what stays in the jar             */
  double need_low_g, need_high_g; /* 90 % range, by the doubt of a coat   */
  double mix_g; /* that, or the smallest batch if it is larger      */
  size_t n;
  lh_batch_weighed *lines; /* beside the recipe's; NULL without one       */
  lh_batch_total total;
  double scale_step_g;
  double dry_g, water_g, volume_ml; /* as mixed                           */
  double hundred_ml_g;  /* what 100 ml should weigh                    */
  double per_10_g_l_ml; /* water for the whole jar for each 10 g a litre
                           (a gram in 100 ml) too heavy                */
} lh_jar;

/* Work out the jar of one slip.
**
** Given:     c      the piece laid out
**            slip   which, by its number in the document
** Returned:  *j     n and dry_g are 0 when the slip is not used
** Status:    LH_OK; LH_RANGE with the fault filled (recipe adds to nothing)
*/
lh_status lh_jar_make(const lh_piece_cover *c, size_t slip, lh_arena *a,
                      lh_jar *j, lh_fault *fault);

/* How the piece is weighed: its own words, or the house's judgements. */
lh_mixing_doc lh_jar_mixing(const lh_piece_doc *doc);

#endif
