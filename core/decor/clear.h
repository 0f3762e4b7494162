/* SPDX-License-Identifier: GPL-3.0-or-later */
/* clear.h -- the space between motifs.
**
** Clearance is the least distance on the pot between the outlines of two
** motifs, edges not counted.  It is found in the chart and turned into true
** mm by the local scale; because the scale changes along the way, two bounds
** go with it between which the true distance over the surface lies.
**
** Units: mm true.
*/
#ifndef LH_CLEAR_H
#define LH_CLEAR_H

#include "place.h"
#include "watch.h"

typedef struct {
  bool found;         /* false: there are no two motifs to compare      */
  double mm;          /* true; negative: they overlap, by so much at    */
                      /* the deepest place that was met          [mm]   */
  double least, most; /* the true distance lies between          [mm]   */
  double x, y;        /* the middle of the gap            [chart mm]    */
  size_t shape[2];    /* between which shapes                           */
} lh_clearance;

/* The least clearance between the instances of a motif.
**
** Given:     ch
**            s, n       the shapes of one repeat (rings are passed over);
**                       shapes of one instance are not compared with each
**                       other, but with its own image once round
**            watch      may be NULL
** Returned:  *c
** Status:    LH_OK; LH_CANCELLED
** Notes:  1) Sweep to sweep: the least of |c1(t) - c2(u)| - r1(t) - r2(u) over
**            both pieces, convex in t and u: closed form in t, golden section
**            in u to 1e-9 of the piece.
**         2) Bounds: a way between the shapes that keeps within the heights
**            of the two pieces, widened by the gap d, is at least d times the
**            least scale there; one that leaves them is longer.  At most: the
**            straight way at the greatest scale along it.  Scales are sampled
**            at 9 places.
**         3) Polygons by their outlines; one that holds the other overlaps.
*/
lh_status lh_clearance_motifs(const lh_chart *ch, const lh_shape *s, size_t n,
                              const lh_watch *watch, lh_clearance *c);

/* The same when fired: every mark as much wider as its slip bleeds.
**
** Given:     bleed      of each slip, each side; NULL: none          [mm true]
** Notes:  1) The least of gap - bleed - bleed over all pairs, which need not
**            be the pair that is nearest as painted.  A sgraffito bleeds not.
**         2) Bounds as above; they know nothing of the bleeds' own errors.
*/
lh_status lh_clearance_fired(const lh_chart *ch, const lh_shape *s, size_t n,
                             const double *bleed, const lh_watch *watch,
                             lh_clearance *c);

/* The least clearance between two sets of shapes, say two motifs that stand
** in different repeats.  As above otherwise. */
lh_status lh_clearance_between(const lh_chart *ch, const lh_shape *s, size_t n,
                               const lh_shape *t, size_t m,
                               const lh_watch *watch, lh_clearance *c);

/* Local scale at a height (disc: distance from the centre), cut to the zone:
** what lies a little beyond it takes that of its edge.  1 where there is none.
 */
double lh_clearance_scale(const lh_chart *ch, double h);

#endif
