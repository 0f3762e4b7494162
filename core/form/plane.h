/* SPDX-License-Identifier: GPL-3.0-or-later */
/* plane.h -- the few words of plane geometry that the room form shares with
** itself: distances, meeting segments, samples of a curve.  Not for other
** rooms.  Units: mm.
*/
#ifndef LH_PLANE_H
#define LH_PLANE_H

#include <math.h>
#include <stdbool.h>

#include "form.h"

typedef struct {
  lh_point a, b;
} lh_segment;

static inline lh_point lh_plane_sample(const lh_curve *c, size_t k)
{
  return (lh_point){c->r[k], c->z[k]};
}

static inline lh_segment lh_plane_piece(const lh_curve *c, size_t k)
{
  return (lh_segment){lh_plane_sample(c, k), lh_plane_sample(c, k + 1)};
}

static inline double lh_plane_distance(lh_point a, lh_point b)
{
  double dr = b.r - a.r, dz = b.z - a.z;

  return sqrt(dr * dr + dz * dz);
}

/* The piece on which arc length s lies: samples k and k + 1. */
size_t lh_curve_piece_at(const lh_curve *c, double s);

/* The point at arc length s, 0 <= s <= length. */
lh_point lh_curve_point(const lh_curve *c, double s);

/* Twice the area of the triangle a b c; positive when c lies left of ab. */
double lh_plane_left(lh_point a, lh_point b, lh_point c);

/* Do two closed segments share a point?  Judged by rounded arithmetic: a
** touch may go either way by about 1e-12 of the sizes. */
bool lh_plane_meet(lh_segment p, lh_segment q);

/* Does the path a b c run back over itself at b? */
bool lh_plane_turns_back(lh_point a, lh_point b, lh_point c);

/* Distance from a point to a segment. [mm] */
double lh_plane_to_segment(lh_point p, lh_segment q);

#endif
