/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sight.h -- a colour as eyes see it that lack one kind of cone.
**
** About one man in twelve and one woman in two hundred sees fewer hues than
** the painter may.  The model shifts one cone's sensitivity towards its
** neighbour's; printed matrices, for severities 0 to 1 in tenths, do it to
** linear sRGB.  Values in, values out; nothing allocates or remembers.
** Ref:    G. M. Machado, M. M. Oliveira, L. A. F. Fernandes (2009), IEEE
**         Trans. Visualization Comput. Graphics 15(6), 1291-1298.  How common:
**         from memory.
*/
#ifndef LH_SIGHT_H
#define LH_SIGHT_H

#include "spectrum.h"

typedef enum {
  LH_SIGHT_USUAL,
  LH_SIGHT_PROTAN, /* the long-wave (red) cones   */
  LH_SIGHT_DEUTAN, /* the middle-wave (green) ones */
  LH_SIGHT_TRITAN, /* the short-wave (blue) ones  */
  LH_SIGHTS
} lh_sight;

/* An sRGB colour as such eyes see it.
**
** Given:     sight, severity   0 (usual) to 1 (the cone does not tell)
**            c                 encoded sRGB
** Returned:  encoded sRGB, not clipped; NaN for a severity outside 0..1
** Notes:  1) Between two printed severities the matrices are joined by
**            straight lines.
**         2) On the linear values; on the encoded ones the result is another.
*/
lh_rgb lh_sight_see(lh_sight sight, double severity, lh_rgb c);

/* CIELAB (D65) of a colour as such eyes see it.
**
** Given:     xyz, ill   as lh_spectrum_xyz gives it, and its light
** Notes:  1) By way of a screen: what the model gives outside sRGB is cut to
**            it, as it is when shown.  `usual` is not sent that way: it is
**            the colour's own L*a*b* under the light.
*/
lh_lab lh_sight_lab(lh_sight sight, double severity, lh_xyz xyz,
                    lh_illuminant ill);

#endif
