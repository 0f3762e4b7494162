/* SPDX-License-Identifier: GPL-3.0-or-later */
/* recovery.h -- a likely reflectance for a colour given as three numbers.
**
** Endless many spectra look alike; this gives the smoothest one that stays
** between 0 and 1: least sum of squared steps of z, rho = (tanh z + 1)/2.
** It has the right colour under the light it was made for and is only a guess
** elsewhere: for 32 measured pigments under illuminant A half are within dE00
** 0.4; cobalt is the worst by far, its blue 4.5 off and its violet 3.7, for its
** red edge past 650 nm leaves no trace in a colour under daylight
** (tests/colour/test_recovery.c).  Never a measurement.
** Nothing allocates; the caller owns all memory.
*/
#ifndef LH_RECOVERY_H
#define LH_RECOVERY_H

#include <stddef.h>

#include "spectrum.h"
#include "status.h"

enum { LH_RECOVER_MOST = 64 }; /* most wavelengths */

typedef struct {
  int iterations;  /* Newton steps in all                    */
  double residual; /* largest miss in X, Y, Z at the end     */
} lh_recover_info;

/* The smoothest reflectance for given rows.
**
** Given:     rows    3 n weights, X row, Y row, Z row: XYZ = rows . rho
**            n       wavelengths, 4..LH_RECOVER_MOST
**            want    X, Y, Z
** Returned:  rho     n numbers in 0..1
**            *info   may be NULL
** Status:    LH_OK; LH_RANGE when no reflectance within 0..1 has the colour
**            (too bright, too pure), or none could be reached; rho untouched
** Notes:  1) Black (want within 1e-9 of 0) gives 0, white (within 1e-9 of the
**            row sums) gives 1: the limits that z only reaches at infinity.
**         2) Newton on the n + 3 equations of the Lagrangian, from the grey of
**            the same Y; if that does not settle, in steps from the grey to
**            the colour.
** Ref:    S. A. Burns (2020), Color Res. Appl. 45(1), 8-21.
*/
lh_status lh_recover_rows(const double *rows, size_t n, const double want[3],
                          double *rho, lh_recover_info *info);

/* The same for a colour under D65, against sRGB's white.
**
** Given:     c     XYZ, white lh_srgb_white()
** Returned:  rho   reflectance at the 36 wavelengths
** Notes:  1) The rows of lh_spectrum_rows are scaled so that the perfect
**            diffuser is sRGB's white: grey comes back flat, and L*a*b* of the
**            answer by lh_spectrum_lab is that of the colour.
*/
lh_status lh_recover(lh_xyz c, double rho[LH_WAVES], lh_recover_info *info);

#endif
