/* SPDX-License-Identifier: GPL-3.0-or-later */
/* learn_three.h -- learning a slip from three numbers a tile.
**
** A colorimeter's or a photograph's L*a*b* cannot fix K and S at 36
** wavelengths.  Here ln K is a sum of eight cosines over the wavelengths and
** ln S a straight line: ten numbers and one for each coat's error.  What the
** readings leave open is filled by what slips are mostly like: slow changes
** rather than quick ones (a judgement).  So the fitted K and S are a stand-in
** that gives the right colours near the tiles it was made from, under their
** light and geometry; they are no measurement, and no prediction from them is
** better than the floor that goes with the readings.  As learn.h, the sums
** only; the caller owns all memory; nothing allocates.
*/
#ifndef LH_LEARN_THREE_H
#define LH_LEARN_THREE_H

#include "glaze.h"
#include "layers.h"
#include "learn.h"
#include "spectrum.h"
#include "status.h"

enum {
  LH_THREE_K = 8,                         /* cosines of ln K              */
  LH_THREE_S = 2,                         /* height and slope of ln S     */
  LH_THREE_OWN = LH_THREE_K + LH_THREE_S, /* the slip's own numbers       */
  LH_THREE_HANGS = LH_THREE_OWN + 1       /* most unknowns a row hangs on */
};

typedef struct {
  double coat;    /* dry slip, > 0                          [g/m2] */
  double coat_sd; /* its relative standard deviation               */
  double glaze;   /* glaze on it, dry; 0 when bare          [g/m2] */
  size_t ground;
  const lh_glaze_table *surface; /* as this tile was read; NULL: as all are */
  lh_lab reading;
  double sd; /* of L*, a* and b* each */
} lh_three_tile;

typedef struct {
  const lh_three_tile *tiles;
  size_t n, grounds;
  double ground[LH_LEARN_GROUNDS][LH_WAVES]; /* internal reflectance     */
  const lh_glaze_table *surface;             /* NULL: bare               */
  double absorb;                             /* glaze's tau per g/m2     */
  double eaten, share;                       /* as told: see lh_glaze    */
  double rows[3][LH_WAVES];                  /* lh_spectrum_rows()       */
  lh_xyz white;                              /* lh_spectrum_white()      */
} lh_three;

/* As their namesakes in learn.h. */
lh_status lh_three_check(const lh_three *l, size_t *bad);
size_t lh_three_unknowns(const lh_three *l);
size_t lh_three_rows(const lh_three *l);
void lh_three_begin(const lh_three *l, double *p);
size_t lh_three_row(const lh_three *l, const double *p, size_t i, double *off,
                    size_t *at, double *by);
void lh_three_optics(const double *p, lh_slip_optics *slip);

/* The colour that p says of a tile, made or not. */
lh_lab lh_three_predict(const lh_three *l, const double *p,
                        const lh_three_tile *t);

#endif
