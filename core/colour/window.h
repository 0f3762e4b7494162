/* SPDX-License-Identifier: GPL-3.0-or-later */
/* window.h -- between which coat weights a slip's fired colour is right.
**
** One coat of a stack is laid thinner and thicker, from nothing to `heaviest`;
** the colour walks along a curve; the window is the stretch of that curve
** about the best coat weight on which it stays within `tolerance` (CIEDE2000)
** of the colour wanted.  Beside it: from which coat weight on the slip covers,
** on which side it goes wrong more slowly, and how sure all that is.
** The room knows no brushes, jars or pots: coat weights are dry g/m2.
** Nothing allocates or remembers; the caller owns all memory.  About 60 kB of
** stack are used.
**
** How ends are found.  From the best coat weight the curve is walked outward
** in strides whose half moves the colour by at most tolerance/12; the first
** stride that ends outside is halved down to the crossing.  A stride halts
** where the glaze has just eaten the slip up, for the curve bends there.  So a
** curve may cross the tolerance as often as it likes: the window ends at the
** first crossing on either side; an excursion that is overlooked passes the
** tolerance by less than a twelfth of it.  Other stretches within the
** tolerance are listed, not joined.
*/
#ifndef LH_WINDOW_H
#define LH_WINDOW_H

#include "stack.h"

enum { LH_WINDOW_OTHERS = 4 };

typedef struct {
  const lh_stack *stack; /* the coat in question among its layers           */
  size_t at;             /* which layer it is; its coat is not looked at    */
  lh_illuminant illuminant;
  bool by_colour;   /* wanted: `target`; else the colour at `best`     */
  lh_lab target;    /* under the illuminant's white                    */
  double best;      /* [g/m2]                                          */
  double tolerance; /* CIEDE2000, > 0                                  */
  double heaviest;  /* no coat beyond it is looked at [g/m2]           */
  const double *body,
      *ground; /* [LH_WAVES] internal reflectances between which covering is
               ** judged; NULL: not judged */
} lh_window_ask;

typedef struct {
  double from, to; /* [g/m2] */
} lh_window_span;

typedef struct {
  bool reached;       /* some coat weight lies within the tolerance         */
  double least, best; /* least 0: right however thin [g/m2]                 */
  double most;        /* INFINITY: none up to `heaviest` is too thick       */
  double best_de00;   /* of the best from what is wanted                    */
  lh_lab wanted, lab; /* the colour wanted; that at `best`                  */
  double thin_speed;  /* dE00 for each 10 % less, over that side            */
  double thick_speed; /* dE00 for each 10 % more                            */
  bool thin_safer;    /* the thin side goes wrong more slowly (note 5)      */
  bool alike;         /* both sides go wrong about as fast                  */
  size_t others;      /* other stretches within the tolerance               */
  lh_window_span other[LH_WINDOW_OTHERS]; /* the first few                  */
  double covering;                        /* NaN: not judged, or never      */
  double contrast_98;                     /* NaN: never                     */
} lh_window;

/* Find the window of one coat.
**
** Given:     a
** Returned:  *w
** Status:    LH_OK, also when the colour cannot be reached (reached false: then
**            best is the coat weight that comes nearest, least and most are
**            NaN); LH_RANGE for a layer that is not there, a tolerance or
**            heaviest that is not above 0, a best outside (0, heaviest], a
**            target that is not finite, or what lh_stack_reflectance refuses
** Notes:  1) By colour: the best is the coat weight nearest to it.  Where
**            thicker makes no more difference (within 0.1 of the nearest up to
**            `heaviest`; a judgement), the thinnest such coat is taken.
**         2) Ten per cent: a factor of 1.1, since hands err by factors.  The
**            speed of a side is the colour difference between best and the
**            side's end over the number of such steps; an open side is taken
**            to a quarter of the best, or four times it.
**         3) Covering: the coat weight from which on the slip over `body` and
**            over `ground` differ by at most dE00 1.
**         4) Contrast ratio: from which coat weight on the slip over black
**            (0) has at least 0.98 of the luminance Y over white (0.80), seen
**            as the stack is seen, glaze and all.
**         5) A side without an end is the safer one.  Speeds within a tenth of
**            each other (a judgement) are alike: then thin is called safer,
**            since a thin coat can take another and a thick one stays.
** Ref:    ISO 6504-1 (contrast ratio 98 %).
*/
lh_status lh_window_find(const lh_window_ask *a, lh_window *w);

/* One coat weight of the curve. */
typedef struct {
  double coat; /* [g/m2] */
  lh_lab lab;
  lh_rgb srgb;
  double de00; /* from the colour wanted */
} lh_window_point;

/* The curve from thin to thick.
**
** Given:     a, w      as asked and found
**            n         how many points, >= 2
** Returned:  p[0..n)   from 0 to past the window, evenly in the root of the
**                      coat weight
** Status:    as lh_window_find
*/
lh_status lh_window_curve(const lh_window_ask *a, const lh_window *w,
                          lh_window_point *p, size_t n);

/* How sure the window is: 90 % ranges.  An upper end may be INFINITY. */
typedef struct {
  double reached; /* share of the draws in which the colour was reached */
  lh_range least, best, most, covering, contrast_98;
} lh_window_range;

/* Carry doubts through to the window.
**
** Given:     a, w   as asked and found
**            d      as for lh_stack_spread
** Returned:  *r     value as in w; NaN throughout where w has NaN
** Status:    as lh_window_find; LH_RANGE for a doubt outside 0..1
** Notes:  1) Monte Carlo, 200 draws with a fixed seed: K and S of each slip,
**            coat weights of the others, the glaze's depth, the substrate.
**            The doubt of the coat weight enters for the coat in question as
**            well: what is called 100 g/m2 may be 120.  All coats of one hand
**            share that, so it hardly moves a window about a given best.
**         2) When the best was given, the colour wanted is drawn along: what
**            the best coat shows, whatever that is.
**         3) The ends are themselves good to about a seventh of the width.
** Ref:    JCGM 101:2008.
*/
lh_status lh_window_spread(const lh_window_ask *a, const lh_window *w,
                           const lh_stack_doubt *d, lh_window_range *r);

#endif
