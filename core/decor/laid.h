/* SPDX-License-Identifier: GPL-3.0-or-later */
/* laid.h -- shapes made ready for pixels: what ready.c hands to lay.c.
**
** Everything is in pixels about the shape's anchor.  The anchor itself is
** kept as a whole pixel and a fraction of 2^-20 pixel, so that the same shape
** a whole number of pixels further on has the same bits.  Inside the room
** only.
*/
#ifndef LH_LAID_H
#define LH_LAID_H

#include "lay.h"

/* A piece of a path from a to b: place, direction, length, and how radius and
** coat change along it. */
struct lh_stretch {
  float ax, ay, bx, by; /* ends                                       */
  float ux, uy, length; /* direction; 0 length: a single disc         */
  float r, k;           /* radius at a, and its growth for one pixel  */
  float lead;           /* k / sqrt(1 - k^2)                          */
  float w, dw;          /* coat at a, and its growth for one pixel    */
  float low, high;      /* of the path, in y                          */
  float reach;          /* greatest radius + half the edge            */
};

struct lh_laid {
  lh_shape_kind kind;
  int layer;          /* laid in; a sgraffito takes from layers 0..layer */
  bool away;          /* a sgraffito                                     */
  size_t first, n;    /* stretches                                       */
  int column, row;    /* whole pixels of the anchor                      */
  float fx, fy;       /* centre of that pixel, from the anchor           */
  int x0, y0, x1, y1; /* its box, edge in; columns not yet wrapped      */
  float coat, sharp;  /* of polygon, ring; 1 / edge                      */
  float from, to;     /* ring: rows, or distances from the centre        */
  float sharp_from, sharp_to; /* 0: no edge on that side                */
};

#endif
