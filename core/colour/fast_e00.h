/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fast_e00.h -- CIEDE2000 of many pairs.
**
** What difference.h says of one pair in double precision, here for arrays of
** single-precision L*, a*, b*, several pairs at a time and without sines: hues
** are unit vectors, the mean hue the bisector, T follows from it by multiple
** angles; one arctangent of a polynomial is all that is left.  Where the two
** hues are so nearly opposite (within 1e-5 of a radian) that rounding would
** choose the side, the pair is handed to lh_delta_e00.
** The caller owns all memory; nothing is remembered.
*/
#ifndef LH_FAST_E00_H
#define LH_FAST_E00_H

#include <stddef.h>

#include "fast_isa.h"

/* n colours, an array a coordinate. */
typedef struct {
  const float *L, *a, *b;
} lh_labs;

/* Differences of n pairs, kL = kC = kH = 1.
**
** Given:     isa    instructions
**            p, q   n colours each; L* from 0 to 100, |a*|, |b*| <= 1000
**            n      how many
** Returned:  out    n differences, >= 0
** Notes:  1) Against lh_delta_e00 of the same numbers: within 4e-5 where the
**            difference is below 5, within 8e-6 of itself above
**            (tests/colour/test_fast_e00.c).  NaN in, NaN out.
**         2) A pair's answer does not depend on what stands beside it.
** Ref:    as lh_delta_e00.
*/
void lh_fast_e00(lh_isa isa, lh_labs p, lh_labs q, size_t n, float *out);

/* Differences of n colours from one.
**
** Given:     one   L*, a*, b*;  q, n, out as above
*/
void lh_fast_e00_from(lh_isa isa, const float one[3], lh_labs q, size_t n,
                      float *out);

#endif
