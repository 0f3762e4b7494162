/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photo_light.h -- a photograph's light and camera, told by patches of known
** colour.
**
** The light on the table falls off to one side, the camera mixes its three
** channels, sets its own white and bends its tones.  All of it is found
** together, by least squares against the known L*a*b* of the patches:
**
**   colour = e^(c + field(x, y)) (I + D) light^g
**
** with the picture's linear light read as sRGB's red, green and blue; a field
** of second degree in x and y; a matrix of nine numbers D; an exponent g.
** What the patches leave open is filled by what photographs are mostly like
** (judgements, below) and makes the stated range wide: one grey patch fixes
** the exposure and the white, patches of many colours all around fix all.
** Numbers in, numbers out; knows nothing of files or pixels; nothing
** allocates; the caller owns all memory.
*/
#ifndef LH_PHOTO_LIGHT_H
#define LH_PHOTO_LIGHT_H

#include <stdbool.h>
#include <stddef.h>

#include "space.h"
#include "watch.h"

enum {
  LH_LIGHT_FIELD = 5,    /* x, y, x2, xy, y2 about the middle            */
  LH_LIGHT_UNKNOWNS = 16 /* exposure, field, exponent, matrix            */
};

/* What photographs are mostly like: standard deviations (judgements).
** From the middle to the edge the light falls by a third; its bend is half of
** that; tones are bent by a sixth; a channel takes a fifth of another's. */
#define LH_LIGHT_SLOPE 0.30
#define LH_LIGHT_BEND 0.15
#define LH_LIGHT_TONES 0.15
#define LH_LIGHT_MIX 0.20

/* How far a camera misses a patch whose light is known, in units of its
** weighted L*, C*, h differences: before the patches say so, counted as this
** many readings; and the least ever believed (judgements). */
#define LH_LIGHT_MISS 1.5
#define LH_LIGHT_MISS_COUNTS 6
#define LH_LIGHT_MISS_LEAST 0.5

typedef struct {
  double x, y;   /* place, 0..1 of the picture's width and height */
  double rgb[3]; /* mean, linear sRGB light                       */
  lh_lab lab;    /* what it is known to be, D65                   */
} lh_light_patch;

typedef struct {
  double p[LH_LIGHT_UNKNOWNS];
  double covariance[LH_LIGHT_UNKNOWNS][LH_LIGHT_UNKNOWNS];
  double miss;     /* standard deviation of one weighted difference */
  double readings; /* how many it is known from                     */
  bool settled;
} lh_light_fit;

/* Find light and camera.
**
** Given:     patch, n   patches, n > 0
**            leave      leave[i]: without this one; NULL: all
** Returned:  *fit
** Status:    LH_OK; LH_RANGE when there is none, or one is dark or no number
** Notes:  1) Differences are weighted as in CIE94, L* 1, C* 1 + 0.045 C*,
**            h 1 + 0.015 C*: nearly what CIEDE2000 sees, and smooth.
**         2) Gauss and Newton's steps on the normal equations, halved when
**            they do not gain; 16 unknowns, each held by its judgement.
** Ref:    CIE 116-1995 (weights).
*/
lh_status lh_light_find(const lh_light_patch *patch, size_t n,
                        const bool *leave, lh_light_fit *fit);

/* The colour of a place.
**
** Given:     fit, x, y, rgb   as of a patch
** Returned:  L*, a*, b* under D65
*/
lh_lab lh_light_lab(const lh_light_fit *fit, double x, double y,
                    const double rgb[3]);

/* How sure that is.
**
** Returned:  the dE00 within which the true colour lies nine times of ten
** Notes:  1) From the covariance and the miss, by draws with a fixed seed.
*/
double lh_light_range(const lh_light_fit *fit, double x, double y,
                      const double rgb[3]);

/* How much light falls on a place, over that in the middle. */
double lh_light_field(const lh_light_fit *fit, double x, double y);

/* ---- do the patches agree? ---------------------------------------------- */

/* A patch stands apart when, with it left out, it is missed by more than this
** dE00 and by this many times the range that the others state for it; all
** disagree when the miss is larger than that of any camera (judgements). */
#define LH_LIGHT_APART 6.0
#define LH_LIGHT_APART_TIMES 2.0
#define LH_LIGHT_DISAGREE 5.0

enum { LH_LIGHT_PATCHES = 100, LH_LIGHT_APART_MOST = 6 };

typedef struct {
  double off;   /* dE00 by which the others miss it; NAN: it is alone   */
  double range; /* the dE00 that they stated for it; NAN when it is not */
                /* missed by more than LH_LIGHT_APART                  */
  bool apart;
} lh_light_verdict;

/* What each is missed by when it is left out.
**
** Given:     patch, n   n <= LH_LIGHT_PATCHES
**            watch      of 100 patches, six apart, this takes two seconds
** Returned:  verdict[n]
** Status:    as lh_light_find; LH_CANCELLED
** Notes:  1) Those that stand apart are found one at a time: the one without
**            which the rest agree best, a quarter of them at most.  Two that
**            were swapped hide each other less than they spoil the rest.
*/
lh_status lh_light_judge(const lh_light_patch *patch, size_t n,
                         const lh_watch *watch, lh_light_verdict *verdict);

#endif
