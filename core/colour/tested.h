/* SPDX-License-Identifier: GPL-3.0-or-later */
/* tested.h -- a slip with an oxide that dissolves, between tested strengths.
**
** What such an oxide does at one strength says little of another: it may be all
** in the glaze at two per cent and black crystals at six.  So K and S belong to
** the strength at which tiles were made.  Between two neighbours ln K and ln S
** go in a straight line over the per cent, which is monotone and passes through
** what was tested; outside there is no answer.  Memory: none; no words.
*/
#ifndef LH_TESTED_H
#define LH_TESTED_H

#include <stddef.h>

#include "layers.h"

/* One strength: per cent of the dry base, ascending in a list. */
typedef struct {
  double percent;
  lh_slip_optics slip;                   /* with the oxide in it      */
  double k_sd[LH_WAVES], s_sd[LH_WAVES]; /* relative standard errors  */
} lh_tested;

/* K and S at a strength.
**
** Given:     list, n   strengths, ascending, n >= 1
**            percent
** Returned:  *out      as an entry of the list
** Status:    LH_OK; LH_RANGE outside of the tested ones
** Notes:  1) The error between: that of the neighbours, in a straight line, and
**            beside it, 0 at either and most half way, 4 t (1 - t) times a
**            twentieth (a judgement) and times D/sqrt(12), D the step of ln K:
**            all that is known is that K lies between its neighbours', which
**            is a rectangular distribution over that step.
** Ref:    JCGM 100:2008, 4.3.7.
*/
lh_status lh_tested_at(const lh_tested *list, size_t n, double percent,
                       lh_tested *out);

#endif
