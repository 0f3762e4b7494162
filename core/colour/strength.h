/* SPDX-License-Identifier: GPL-3.0-or-later */
/* strength.h -- a slip as pale, or as strong, as its tiles leave open.
**
** K and S are known from tiles to some percent.  "Pale" and "strong" are the
** two ends of what that leaves open, for a picture beside the expected one:
** pale fires lighter than expected, strong darker.  A white ground is then
** paler too: it hides more of the body.
**
** Which way K and S must go for that is asked of the slip itself, laid as it
** is usually laid over what it usually lies on, under its glaze: more K
** darkens a slip on white, more S lightens one on a dark body, and how much
** each does differs from slip to slip.
**
** Nothing is kept; nothing allocates; the same bits native and as
** WebAssembly.  Coat weights in g/m2.
*/
#ifndef LH_STRENGTH_H
#define LH_STRENGTH_H

#include "stack.h"

typedef enum {
  LH_STRENGTH_EXPECTED,
  LH_STRENGTH_PALE,
  LH_STRENGTH_STRONG,
  LH_STRENGTHS
} lh_strength;

/* Standard deviations from the middle to the end of a 90 % range. */
#define LH_STRENGTH_ENDS 1.6448536269514722 /* of the normal distribution */

/* Shift a slip to the end of what is left open.
**
** Given:     s       the slip as it is usually laid: s->layers[0] is the slip
**                    that is shifted, what it lies on comes after it
**            ill     the light
**            doubt   relative standard uncertainty of K and of S, 0..1
**            to
** Returned:  *out    K and S shifted, each by one factor for all wavelengths
** Status:    LH_OK; of lh_stack_reflectance; LH_RANGE without a layer, or for
**            a doubt outside 0..1
** Notes:  1) The errors of K and S are taken as log-normal, independent, one
**            factor each for all wavelengths, as lh_stack_spread has them.
**            With g = (dY/dln K, dY/dln S), Y the luminance, the likeliest K
**            and S of those that make the slip lighter by 1.645 standard
**            deviations are ln K + 1.645 doubt gK/|g|, ln S + 1.645 doubt
**            gS/|g|: Y's own 90 % end, where Y is linear.  Strong is the other
**            way.  L* rises with Y, so the direction is also that of L*.
**         2) Only layers[0] is shifted where it is asked about, also when the
**            slip is in the stack once more: the direction is that of the
**            coat on top.
**         3) A slip that changes nothing, and a doubt of 0, stay as they are.
**         4) Nothing is said of the coat weight's own doubt, which is the
**            hand's and not the tiles'.
** Ref:    the design point of a first-order reliability index (A. M. Hasofer,
**         N. C. Lind 1974), from memory.
*/
lh_status lh_strength_shift(const lh_stack *s, lh_illuminant ill, double doubt,
                            lh_strength to, lh_slip_optics *out);

#endif
