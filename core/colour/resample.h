/* SPDX-License-Identifier: GPL-3.0-or-later */
/* resample.h -- spectra read at other wavelengths, brought to ours.
**
** Instruments read every 1, 5, 10 or 20 nm, from 360, 380 or 400 on.  This
** room makes of evenly spaced readings the 36 of spectrum.h, and says what it
** did.  It knows nothing of files.  Nothing allocates; the caller owns all
** memory.
*/
#ifndef LH_RESAMPLE_H
#define LH_RESAMPLE_H

#include <stddef.h>

#include "spectrum.h"
#include "status.h"

enum {
  LH_RESAMPLE_LEAST = 6,   /* readings that Sprague's curve needs    */
  LH_RESAMPLE_MOST = 2001, /* readings in one spectrum (a judgement) */
  LH_RESAMPLE_HELD = 3     /* wavelengths of ours at either end that may take
                              the last reading: 400 to 700 nm is a usual
                              instrument (a judgement)               */
};

/* Widest spacing between which a curve is drawn [nm]: CIE 15 knows tables of
** 1, 5, 10 and 20 nm, no coarser ones. */
#define LH_RESAMPLE_WIDEST 20.0

/* Finest spacing [nm] that is drawn between; at and below it, averaged. */
#define LH_RESAMPLE_FINE 5.0

typedef struct {
  double first, step; /* [nm], step > 0 */
  size_t n;
} lh_wave_grid;

typedef enum {
  LH_RESAMPLE_AS_IS,    /* our own wavelengths                    */
  LH_RESAMPLE_AVERAGED, /* finer ones, over a triangle            */
  LH_RESAMPLE_BETWEEN   /* others, on a curve between the readings */
} lh_resample_way;

typedef struct {
  lh_resample_way way;
  size_t low, high; /* wavelengths at either end that are held */
} lh_resample_info;

/* Whether readings on a grid can be brought to ours, and how.
**
** Given:     g
** Returned:  *info
** Status:    LH_OK; LH_INPUT for a grid that is none, too few or too many
**            readings; LH_RANGE when spaced too widely, or when more than
**            LH_RESAMPLE_HELD of our wavelengths lie beyond an end; *info is
**            filled then, too
*/
lh_status lh_resample_plan(const lh_wave_grid *g, lh_resample_info *info);

/* Bring readings to our wavelengths.
**
** Given:     g     for which lh_resample_plan says LH_OK
**            r     g->n reflectance factors
** Returned:  out   none below 0
**
** Notes:  1) On our own wavelengths: as they are.
**         2) Every 5 nm or finer: averaged over a triangle 10 nm wide at half
**            its height, the bandpass for which 10 nm tables are made (ISO
**            13655, from memory).  Where 10 is no multiple of the step,
**            Sprague's curve is averaged, at every nm.
**         3) Else Sprague's curve at the wavelength; it may swing past the
**            readings beside it, but not below 0.
**         4) Within 10 nm of an end the triangle is as narrow as the readings
**            there ask, so that it stays even on both sides.
**         5) Beyond an end, the value at the end: held.
*/
void lh_resample(const lh_wave_grid *g, const double *r, double out[LH_WAVES]);

/* Sprague's curve: the fifth-degree piece between each two readings that has
** the slopes and bends of the fourth-degree curve through the five around
** each.
**
** Given:     g, r   n >= LH_RESAMPLE_LEAST
**            nm     within the grid; beyond it, the end is meant
** Returned:  the value
** Notes:  1) Two readings more at each end, as CIE 167 has them.
** Ref:    T. B. Sprague (1880); CIE 167:2005, Recommended practice for
**         tabulating spectral data; CIE 15:2018, 7.2.1.1 (from memory).
*/
double lh_resample_sprague(const lh_wave_grid *g, const double *r, double nm);

/* How far a held value may be off, one standard deviation.
**
** Given:     steps   of 10 nm beyond the end
** Returned:  0.02 a step
** Ref:    what 32 measured powders do beyond 400 and 700 nm: USGS Data Series
**         1035 (tests/colour/test_resample.c).
*/
double lh_resample_doubt(size_t steps);

#endif
