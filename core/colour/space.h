/* SPDX-License-Identifier: GPL-3.0-or-later */
/* space.h -- colour as numbers: XYZ, CIELAB, sRGB.
**
** Only arithmetic between the standard spaces: no spectra, no difference
** formula, no picture.  XYZ is on the scale where white has Y = 1; sRGB runs
** 0..1 and is never clipped unless the function says so.  Values in, values
** out; the caller owns all memory.
*/
#ifndef LH_SPACE_H
#define LH_SPACE_H

#include <stdbool.h>

#include "status.h"

typedef struct {
  double x, y, z;
} lh_xyz; /* [white Y = 1] */

typedef struct {
  double L, a, b;
} lh_lab;

typedef struct {
  double r, g, b;
} lh_rgb; /* [0..1, may lie outside] */

/* XYZ to CIELAB.
**
** Given:     c       the colour
**            white   the white it is seen against, each part > 0
** Returned:  L*, a*, b*; below (6/29)^3 of white along the straight line, so
**            that black and slightly negative values are no special case
** Ref:    ISO/CIE 11664-4.
*/
lh_lab lh_xyz_lab(lh_xyz c, lh_xyz white);

/* CIELAB to XYZ: the inverse of lh_xyz_lab. */
lh_xyz lh_lab_xyz(lh_lab c, lh_xyz white);

/* White from a chromaticity: X and Z for Y = 1.
**
** Given:     x, y   CIE chromaticity, y > 0
*/
lh_xyz lh_white_xy(double x, double y);

/* The white of sRGB: D65, x 0.3127, y 0.3290 (IEC 61966-2-1). */
lh_xyz lh_srgb_white(void);

/* Adapt a colour from one white to another.
**
** Given:     c          XYZ seen against `from`
**            from, to   the whites
** Returned:  XYZ of the colour that looks alike against `to`
** Notes:  1) Von Kries scaling in Bradford cone space.
** Ref:    K. M. Lam (1985); matrix as in ICC.1:2022 Annex E.
*/
lh_xyz lh_adapt(lh_xyz c, lh_xyz from, lh_xyz to);

/* The transfer function of sRGB, both ways.
**
** Given:     c   linear light;  v   encoded value
** Returned:  encode: 12.92 c up to 0.0031308 (so also below zero),
**                    1.055 c^(1/2.4) - 0.055 above
**            decode: the inverse, its join at 0.04045
** Ref:    IEC 61966-2-1:1999.
*/
double lh_srgb_encode(double c);
double lh_srgb_decode(double v);

/* XYZ (D65) to sRGB and back.
**
** Given:     c   XYZ against lh_srgb_white(), or encoded sRGB
** Returned:  encoded sRGB, not clipped; or XYZ
** Notes:  1) The matrix is worked out from the standard's primaries and white
**            in full double precision, so that grey is exactly neutral; the
**            standard prints it to 4 decimals, which differ by < 5e-5.
** Ref:    IEC 61966-2-1:1999 (primaries of ITU-R BT.709).
*/
lh_rgb lh_xyz_srgb(lh_xyz c);
lh_xyz lh_srgb_xyz(lh_rgb c);

/* CIELAB (D65) to encoded sRGB and back, by way of XYZ. */
lh_rgb lh_lab_srgb(lh_lab c);
lh_lab lh_srgb_lab(lh_rgb c);

/* Can a screen show it?
**
** Given:     c   encoded sRGB
** Returned:  true when each part lies in 0..1, give or take 1e-6 (what is
**            left of rounding; far below any visible step)
*/
bool lh_srgb_in_gamut(lh_rgb c);

/* The nearest thing a screen can show: each part cut to 0..1; NaN to 0. */
lh_rgb lh_srgb_clip(lh_rgb c);

/* Write and read "#rrggbb".
**
** Given:     c     encoded sRGB, clipped here;  text   "#rrggbb" or "rrggbb"
** Returned:  hex   eight bytes with the closing 0;  *c  encoded sRGB
** Status:    lh_hex_srgb: LH_OK; LH_INPUT for anything else, *c untouched
*/
void lh_srgb_hex(lh_rgb c, char hex[8]);
lh_status lh_hex_srgb(const char *text, lh_rgb *c);

#endif
