/* SPDX-License-Identifier: GPL-3.0-or-later */
/* place.h -- marks put on the chart of a zone.
**
** A shape is a mark as it stands on the chart: its anchor there, and its path
** in chart mm about the anchor.  Marks are true to size at their anchor; a
** motif's images are images of the chart.  Shapes stand in painting order and
** are what lay.h lays, clear.h measures between and a drawing draws.
**
** Shapes and their nibs live in the arena that the list was begun with.
**
** Units: chart mm; mm where "true" is said.
*/
#ifndef LH_PLACE_H
#define LH_PLACE_H

#include "arena.h"
#include "chart.h"
#include "mark.h"
#include "repeat.h"

typedef enum { LH_SWEEP, LH_POLYGON, LH_RING } lh_shape_kind;

typedef struct {
  lh_shape_kind kind;
  int slip;
  size_t mark;        /* the caller's number of the mark                  */
  size_t instance;    /* of its repeat                                    */
  double x, y;        /* the anchor [chart mm]; x may lie off 0..width    */
  double scale;       /* true mm for one chart mm, at which it was drawn  */
  double edge;        /* [chart mm]                                       */
  double coat;        /* of polygon and ring [g/m2]                       */
  const lh_nib *nibs; /* about the anchor [chart mm]                      */
  size_t n;
  double left, right, low, high; /* its box about the anchor, widths in,  */
                                 /* edge not [chart mm]                   */
  double from, to;               /* ring: y (disc: distance from the centre)  */
  double edge_from, edge_to;     /* ring: [chart mm]; -1: none, there the   */
                                 /* zone ends                               */
} lh_shape;

typedef struct {
  lh_arena *arena;
  lh_shape *at; /* in painting order */
  size_t n, room;
  size_t nibs; /* of them all       */
} lh_shapes;

/* Put marks on a chart, each in all its placings, behind what is there.
**
** Given:     s           begun with {.arena = arena}
**            ch          the zone's chart
**            marks, n    a motif's marks (or one mark), painting order
**            first       the caller's number of marks[0]
**            p, n_p      placings; NULL, 0 for one as drawn
**            pivot       the motif's anchor, about which an exception moves,
**                        turns and scales; NULL: each mark's own anchor
** Returned:  s           mark by mark, all instances of each
**            *fault      what is wrong, and with which mark (counted from
**                        0 in marks); may be NULL
** Status:    LH_OK; LH_INPUT, LH_RANGE or LH_TOOLARGE for lh_mark_why;
**            LH_NOMEM
** Notes:  1) chart = chart(anchor) + local / scale(anchor); widths and edge
**            likewise.
**         2) In a disc local y runs up the profile too: out from the centre
**            of a plate, in towards the knob of a lid.
**         3) A banding line goes all round: it is put down once, whatever
**            the placings.  Where it meets an end of the zone it has no edge.
*/
lh_status lh_place(lh_shapes *s, const lh_chart *ch, const lh_mark *marks,
                   size_t n, size_t first, const lh_placing *p, size_t n_p,
                   const lh_anchor *pivot, lh_mark_fault *fault);

/* How much larger a shape is on the pot than it was drawn, at the least and
** greatest over its box, as far as that lies in the zone.  [1] */
void lh_shape_stretch(const lh_chart *ch, const lh_shape *s, double *least,
                      double *greatest);

/* How far the shapes of one motif reach, widths in, edges not. */
typedef struct {
  double turns;            /* width around [turns]                         */
  double below;            /* beyond the zone's lower edge; disc: beyond   */
                           /* its rim [chart mm], 0 when inside            */
  double above;            /* beyond its upper edge; disc: into its hole   */
  bool larger_than_repeat; /* wider than 1/count                           */
} lh_extent;

/* The extent of the shapes of one instance of a motif.
**
** Given:     ch
**            s, n       shapes; those of other instances, and rings, are
**                       passed over
**            instance
**            count      repeats around; 0 or 1: the whole way round
** Returned:  *e
** Status:    LH_OK; LH_NOTFOUND when no shape is of that instance
** Notes:  1) A shape in a disc that covers the centre is one turn wide.
*/
lh_status lh_shapes_extent(const lh_chart *ch, const lh_shape *s, size_t n,
                           size_t instance, size_t count, lh_extent *e);

#endif
