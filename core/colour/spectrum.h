/* SPDX-License-Identifier: GPL-3.0-or-later */
/* spectrum.h -- a reflectance seen by the standard observer.
**
** A spectrum here is LH_WAVES numbers, 380 to 730 nm in steps of 10 nm,
** each a reflectance factor (a plain fraction, 0..1 for anything real).
** This room turns it into tristimulus values for the CIE 1931 2-degree
** observer.  It knows nothing of slips or glazes (layers.h, glaze.h) and
** nothing of screens (space.h).  The caller owns all memory.
*/
#ifndef LH_SPECTRUM_H
#define LH_SPECTRUM_H

#include <stddef.h>

#include "space.h"

/* 380, 390, ... 730 nm */
enum { LH_WAVES = 36, LH_WAVE_FIRST = 380, LH_WAVE_STEP = 10 };

typedef enum { LH_D65, LH_A, LH_D50, LH_ILLUMINANTS } lh_illuminant;

/* Wavelength number i.
**
** Given:     i   0 <= i < LH_WAVES
** Returned:  380 + 10 i                                            [nm]
*/
double lh_wave_nm(size_t i);

/* The three weighting rows of an illuminant: XYZ = rows . reflectance.
**
** Given:     ill    the light
** Returned:  rows   X, Y and Z rows; the Y row adds up to 1
** Notes:  1) Plain sums of the 10 nm samples, no bandpass correction: for the
**            pigments of the tests this lies within dE00 0.13 of 5 nm sums.
** Ref:    CIE 15:2018; ISO/CIE 11664-1, 11664-2, 11664-3.
*/
void lh_spectrum_rows(lh_illuminant ill, double rows[3][LH_WAVES]);

/* The white of an illuminant: XYZ of the perfect diffuser, Y = 1.
**
** Given:     ill   the light
** Returned:  the sum of each row of lh_spectrum_rows
** Notes:  1) D65 gives X 0.95012, Z 1.08816: the white of *this* 10 nm
**            summation, so that a reflectance of 1 is L* 100, a* 0, b* 0.
*/
lh_xyz lh_spectrum_white(lh_illuminant ill);

/* Tristimulus values of a reflectance.
**
** Given:     r     reflectance factor at each wavelength
**            ill   the light
** Returned:  XYZ on the scale where the perfect diffuser has Y = 1
*/
lh_xyz lh_spectrum_xyz(const double r[LH_WAVES], lh_illuminant ill);

/* CIELAB of a reflectance, against lh_spectrum_white(ill). */
lh_lab lh_spectrum_lab(const double r[LH_WAVES], lh_illuminant ill);

/* The colour for a screen of XYZ seen under an illuminant.
**
** Given:     c     XYZ as lh_spectrum_xyz gives it
**            ill   its light
** Returned:  encoded sRGB, not clipped
** Notes:  1) D65: the same L*a*b* against sRGB's own white, so that a white
**            pot is exactly 1, 1, 1, and so that the operations `shade` and
**            `colour` agree.
**         2) A, D50: adapted to D65 with the Bradford transform, as a viewer
**            adapts to the light in the room.
** Ref:    IEC 61966-2-1; K. M. Lam (1985), the Bradford transform.
*/
lh_rgb lh_spectrum_srgb(lh_xyz c, lh_illuminant ill);

#endif
