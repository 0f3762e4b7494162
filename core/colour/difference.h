/* SPDX-License-Identifier: GPL-3.0-or-later */
/* difference.h -- how far apart two colours look.
**
** One number, CIEDE2000: about 1 is what a practised eye just sees side by
** side.  Nothing here knows where a colour came from.
*/
#ifndef LH_DIFFERENCE_H
#define LH_DIFFERENCE_H

#include "space.h"

/* CIEDE2000 with kL = kC = kH = 1.
**
** Given:     p, q   two colours in CIELAB
** Returned:  the difference, >= 0, the same in both orders
**
** Notes:  1) Two hues exactly opposite leave the mean hue open; the published
**            test data take the lesser way round, and an arctangent may land
**            a hair above 180 degrees.  So the comparison is <= 180 + 1e-9.
**         2) For a colour without hue (C' = 0) the other's hue is used.
** Ref:    ISO/CIE 11664-6; G. Sharma, W. Wu, E. N. Dalal (2005), Color Res.
**         Appl. 30(1), 21-30.
*/
double lh_delta_e00(lh_lab p, lh_lab q);

#endif
