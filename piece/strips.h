/* SPDX-License-Identifier: GPL-3.0-or-later */
/* strips.h -- a slip's chips from thin to thick, over each of its grounds.
**
** What a slip lies on decides its colour, so each slip of a piece has a strip
** for every ground that it really lies on: the largest three, specks left out.
** A strip has seven chips, at coat weights that are worth a tile: the ends of
** the window worked out for that ground and of the potter's own, the best, one
** thinner, one thicker, and between them where there is most room.  Colours as
** optics.h has them; coat weights in dry g/m2.  Memory: the arena.
*/
#ifndef LH_STRIPS_H
#define LH_STRIPS_H

#include "optics.h"
#include "slip/coat.h"
#include "window.h"

enum { LH_STRIP_CHIPS = 7, LH_STRIP_BELOW = 6, LH_STRIP_GROUNDS = 3 };

typedef struct {
  lh_coat coat; /* under all its names                            */
  lh_lab lab;
  lh_rgb srgb;   /* cut to what a screen shows                     */
  bool outside;  /* it was cut                                     */
  double radius; /* nine in ten fire within this dE00 of it        */
} lh_chip;

typedef struct {
  size_t slip;
  int over;          /* the slip right below; -1: the body             */
  double area_mm2;   /* of one pot, on which it lies so                */
  double upper_g_m2; /* how much of it lies there, on average          */
  lh_coat_of stack[1 + LH_STRIP_BELOW]; /* top first; the top's weight is
                                           that of no chip             */
  size_t layers;
  double best, tolerance;
  lh_window window;
  lh_window_range range;
  bool own; /* the slip says its window itself         */
  double own_least, own_most;
  double sd;    /* how sure K and S of the stack are, one sd            */
  double floor; /* the least that its readings may be trusted to, dE00 */
  lh_chip chips[LH_STRIP_CHIPS]; /* from thin to thick                 */
} lh_strip;

/* The strips of a piece: slip by slip in the order of the document, of each
** the largest area first; slips that are painted with nowhere have none.
**
** Given:     o, c     the piece's optics and cover
** Returned:  *strips, *n
** Status:    LH_OK; LH_RANGE when colours cannot be worked out; LH_CANCELLED;
**            LH_NOMEM
** Notes:  1) Some 50 ms a strip, most of it for the window's range.
*/
lh_status lh_strips_make(const lh_piece_optics *o, const lh_piece_cover *c,
                         lh_arena *a, const lh_watch *watch, lh_strip **strips,
                         size_t *n);

/* Where a coat weight lies among the chips: 0 the first, 6 the last, in
** between by the logarithm; beyond them it stays half a chip away. */
double lh_strip_place(const lh_strip *s, double g_m2);

#endif
