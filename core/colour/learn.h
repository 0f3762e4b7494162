/* SPDX-License-Identifier: GPL-3.0-or-later */
/* learn.h -- what test tiles say of a slip: the sums behind the fit.
**
** A tile is one slip at a known coat weight over a known ground, under a
** weighed glaze or bare, and what an instrument reads of it, wavelength by
** wavelength.  Unknown are K and S of the slip at each wavelength, the
** internal reflectance of each ground, how far each tile's coat weight is off,
** and, where asked, the glaze's absorption per gram and the two numbers of its
** dissolving (stack.h).  All of them stand in one row of numbers p, most as
** logarithms so that they stay positive.  This room gives, for any p, how far
** each reading is off, in standard deviations, and the slope of that by the
** few unknowns it hangs on; moving p until the squares are least is solve/'s.
**
** A stain that stays what it is (inert) may be shared by tiles of slips that
** hold different shares of it: then K and S of a tile's slip are those of base
** and stain by their shares of the dry slip (layers.h, lh_slip_mix), and both
** are unknown.  Tiles may be read in different geometries: the glaze's surface
** differs, what lies below it does not.
**
** Known beforehand, and told to the fit as rows of their own: a coat weight is
** within its stated doubt; K and S change smoothly with the wavelength.
** Bare and glazed tiles are never in one problem.  The caller owns all
** memory; nothing allocates.
*/
#ifndef LH_LEARN_H
#define LH_LEARN_H

#include <stdbool.h>
#include <stddef.h>

#include "glaze.h"
#include "layers.h"
#include "spectrum.h"
#include "status.h"

enum {
  LH_LEARN_TILES = 64,  /* most tiles in one problem      */
  LH_LEARN_GROUNDS = 4, /* most grounds                   */
  LH_LEARN_HANGS = 10   /* most unknowns one row hangs on */
};

typedef struct {
  double coat;                   /* dry slip; 0: the ground alone      [g/m2] */
  double coat_sd;                /* its relative standard deviation           */
  double glaze;                  /* glaze on it, dry; 0 when bare      [g/m2] */
  size_t ground;                 /* which ground, < grounds                   */
  double stain;                  /* of its dry slip, a share; 0 for the base  */
  const lh_glaze_table *surface; /* as this tile was read; NULL: as all are */
  double reading[LH_WAVES];      /* reflectance factor                        */
  double reading_sd[LH_WAVES];   /* its standard deviation                   */
} lh_learn_tile;

typedef struct {
  const lh_learn_tile *tiles;
  size_t n;
  size_t grounds;
  const lh_glaze_table *surface; /* the glaze's surface; NULL: bare         */
  double absorb[LH_WAVES];       /* glaze's tau per g/m2; where to begin when
                                    it is learnt, else taken as it is   [m2/g] */
  bool learn_absorb;   /* needs two glaze weights                      */
  bool learn_eaten;    /* needs five coat weights over two grounds     */
  double eaten, share; /* where to begin, or fixed: see lh_glaze       */
  bool stained;        /* a stain at several strengths                 */
  double smooth;       /* standard deviation of the second difference of ln K
                          and ln S from one wavelength to the next              */
} lh_learn;

/* The two numbers that a first guess may take, a judgement: measured
** reflectance of powders at 10 nm steps rarely bends more in ln K. */
#define LH_LEARN_SMOOTH 0.5

/* What the problem holds.
**
** Returned:  how many unknowns; how many rows
** Status:    lh_learn_check: LH_OK; LH_RANGE for a number that cannot be, a
**            ground without a tile of its own, a fit that the tiles cannot
**            bear; *bad the tile at fault, n when it is none of them
*/
lh_status lh_learn_check(const lh_learn *l, size_t *bad);
size_t lh_learn_unknowns(const lh_learn *l);
size_t lh_learn_rows(const lh_learn *l);

/* A place to begin.
**
** Returned:  p   each wavelength by itself, the best of a coarse grid
*/
void lh_learn_begin(const lh_learn *l, double *p);

/* One row: a reading, or what was known beforehand.
**
** Given:     p       the unknowns
**            i       row, < lh_learn_rows()
** Returned:  how many unknowns it hangs on
**            *off    how far off, in standard deviations
**            at, by  which unknowns, and the slope by each
*/
size_t lh_learn_row(const lh_learn *l, const double *p, size_t i, double *off,
                    size_t at[LH_LEARN_HANGS], double by[LH_LEARN_HANGS]);

/* What p says of any tile, made or not; the tile's own coat error is left
** out, coat and glaze are taken at their word.
**
** Given:     t     its coat, glaze, ground, stain and surface
** Returned:  out
*/
void lh_learn_predict(const lh_learn *l, const double *p,
                      const lh_learn_tile *t, double out[LH_WAVES]);

/* The parts of p, in plain numbers: the slip (of a stained one the base), and
** K and S of a gram of the stain. */
void lh_learn_optics(const lh_learn *l, const double *p, lh_slip_optics *slip);
void lh_learn_stain(const lh_learn *l, const double *p, lh_slip_optics *stain);
void lh_learn_ground(const lh_learn *l, const double *p, size_t ground,
                     double out[LH_WAVES]);
void lh_learn_glaze(const lh_learn *l, const double *p, double absorb[LH_WAVES],
                    double *eaten, double *share);
/* How far a tile's coat weight seems to be off, as a factor. */
double lh_learn_coat(const lh_learn *l, const double *p, size_t tile);

/* Where in p a thing stands: ln K, ln S, logit of a ground's reflectance. */
size_t lh_learn_at_k(size_t wave);
size_t lh_learn_at_s(size_t wave);
size_t lh_learn_at_ground(size_t ground, size_t wave);
size_t lh_learn_at_coat(const lh_learn *l, size_t tile); /* ln factor */
size_t lh_learn_at_eaten(const lh_learn *l); /* ln eaten, logit share */
/* ln K of the stain [36], then ln S. */
size_t lh_learn_at_stain(const lh_learn *l, size_t wave);

/* At how many strengths tiles show two stacks or more: below two, base and
** stain cannot be told apart. */
size_t lh_learn_strengths(const lh_learn *l);

#endif
