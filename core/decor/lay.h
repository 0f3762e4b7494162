/* SPDX-License-Identifier: GPL-3.0-or-later */
/* lay.h -- the one hand that lays the marks: shapes into coat-weight maps.
**
** A map is nx x ny floats over a chart, row 0 lowest, each the coat weight at
** a pixel's centre [g/m2 dry] (or the share of the pixel that is covered).
** There is one map a layer; a layer is a maximal run of one slip in painting
** order, so A over B over A is three.
**
** Within a mark the coat is the maximum of the sweep, between marks of a layer
** the sum; a sgraffito takes its cover away from every layer so far.  What a
** mark lays does not depend on how densely the pen was sampled, nor on the
** rectangle asked for: lay(clip) has the bits of a full relay.
**
** Buffers are the caller's; what is prepared lives in the caller's arena.
** Float + - * / sqrt only: the same bits native and as WebAssembly, as long as
** no multiply-add is contracted (-ffp-contract=off).
*/
#ifndef LH_LAY_H
#define LH_LAY_H

#include "place.h"
#include "watch.h"

/* Pixels over a chart. */
typedef struct {
  bool wraps;    /* a band: column nx is column 0          */
  int nx, ny;    /* columns, rows                          */
  double pixel;  /* side of a pixel [chart mm]             */
  double x0, y0; /* the chart's place of the lower left corner [chart mm] */
} lh_grid;

/* Most pixels of a map. (judgement: 8000 x 4000) */
enum { LH_PIXELS_MOST = 32000000 };

/* Fit pixels over a chart.
**
** Given:     ch
**            pixel      side wanted; the grid's is that or a little finer
**                                                              [chart mm]
**            multiple   nx of a band is made a multiple of this (a count of
**                       repeats: a piece turned by one repeat then has the
**                       same bits); 0 or 1 for none
** Returned:  *g
** Status:    LH_OK; LH_RANGE for pixel not above 0; LH_TOOLARGE
** Notes:  1) A band: the width is whole pixels, the top row may stand partly
**            beyond the zone.  A disc: an even number both ways, the centre
**            at a corner of four pixels.
*/
lh_status lh_grid_fit(const lh_chart *ch, double pixel, int multiple,
                      lh_grid *g);

/* The edge of a mark falls from full to nothing over its soft edge, but at
** least over this many pixels, so that it is not jagged.  (judgement) */
#define LH_EDGE_LEAST 2.0f /* [pixels] */

typedef struct lh_stretch lh_stretch; /* a piece of a sweep, inside lay.c */

typedef struct {
  lh_grid grid;
  int layers;
  int layer_slip[LH_LAYERS_MOST]; /* from the lowest up          */
  const lh_shape *shapes;
  size_t n;
  const struct lh_laid *laid; /* one a shape, ready for pixels   */
  const lh_stretch *stretches;
} lh_laying;

/* Make ready to lay shapes.
**
** Given:     a          arena for what is prepared (about 64 bytes a nib)
**            g, s, n    grid; shapes in painting order, which must stay
** Returned:  *l
**            *fault     mark: the shape's index in s; may be NULL
** Status:    LH_OK; LH_TOOLARGE for too many layers; LH_RANGE for a fill
**            wider than the way round, or a shape millions of pixels away;
**            LH_NOMEM
*/
lh_status lh_lay_prepare(lh_laying *l, lh_arena *a, const lh_grid *g,
                         const lh_shape *s, size_t n, lh_mark_fault *fault);

typedef struct {
  float *coat[LH_LAYERS_MOST];  /* nx * ny each [g/m2]                     */
  float *cover[LH_LAYERS_MOST]; /* nx * ny each, 0..1; all NULL: not asked */
} lh_maps;

/* Columns x0 <= i < x1, rows y0 <= j < y1. */
typedef struct {
  int x0, y0, x1, y1;
} lh_rect;

/* Floats of scratch that lh_lay wants. */
size_t lh_lay_scratch(const lh_grid *g);

/* Lay the marks afresh within a rectangle; pixels outside stay as they are.
**
** Given:     l          as prepared
**            m          maps of l->layers layers
**            clip       NULL: all; cut to the grid
**            scratch    lh_lay_scratch floats
**            watch      may be NULL
** Returned:  m          within the rectangle
** Status:    LH_OK; LH_CANCELLED, the rectangle half done
** Notes:  1) Sweep: the union of discs of linearly changing radius along each
**            piece of the path.  The signed distance is
**              s(p) = max over t of r(t) - |p - c(t)|,
**            in closed form: with k = dr/dl the best place is l = xi +
**            eta k / sqrt(1 - k^2), cut to the piece, where (xi, eta) is p
**            along and across the piece.
**         2) Cover is u^2 (3 - 2u), u = s/edge + 1/2 cut to 0..1: half at the
**            outline.  A convex outline of area A then covers
**            A + pi edge^2/20 (Steiner's formula; 1/20 is the variance of
**            the edge), wherever it is wider than its edge.
**         3) A nib narrower than its edge lays a little more than its width:
**            2.7 % of the edge at half the edge, 19 % of the edge at none.
**         4) Pixels are sampled at their centre: errors fall as the square
**            of the pixel.
**         5) Polygon: even-odd, with the true distance to the outline.
** Ref:    Steiner's formula for parallel bodies.
*/
lh_status lh_lay(const lh_laying *l, const lh_maps *m, const lh_rect *clip,
                 float *scratch, const lh_watch *watch);

#endif
