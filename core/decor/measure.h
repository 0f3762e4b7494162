/* SPDX-License-Identifier: GPL-3.0-or-later */
/* measure.h -- how much slip lies where: areas, weights, what is over what.
**
** All from the maps of lay.h, with the chart's scale: a pixel of side h stands
** for scale^2 h^2 of the pot.  Covered area is the sum of the share covered,
** grams the sum of the coat weight, so a soft edge counts for what it is.
**
** Units: mm2 true, g dry, g/m2 dry.
*/
#ifndef LH_MEASURE_H
#define LH_MEASURE_H

#include "lay.h"

typedef struct {
  int slip;
  double area_mm2;  /* covered, true                     [mm2]      */
  double grams;     /* dry                               [g]        */
  double mean_coat; /* grams over area, 0 where none     [g/m2]     */
  double most_coat; /* the heaviest pixel                [g/m2]     */
} lh_covered;

/* An upper slip lying straight on a lower one (or on the body). */
typedef struct {
  int upper, lower;  /* slips; lower LH_NO_SLIP: the body    */
  double area_mm2;   /* true                         [mm2]   */
  double upper_coat; /* mean of the upper there      [g/m2]  */
  double lower_coat; /* of the lower, 0 for the body [g/m2]  */
} lh_overlap;

enum { LH_OVERLAPS_MOST = LH_LAYERS_MOST * (LH_LAYERS_MOST + 1) };

typedef struct {
  double zone_mm2; /* the whole zone, true [mm2]           */
  double bare_mm2; /* of it without any slip [mm2]         */
  int layers;
  lh_covered layer[LH_LAYERS_MOST]; /* from the lowest up  */
  int slips;
  lh_covered slip[LH_LAYERS_MOST]; /* in order of first use; area is what  */
                                   /* any of its layers covers             */
  int overlaps;
  lh_overlap overlap[LH_OVERLAPS_MOST];
} lh_coverage;

/* Measure the maps of a zone.
**
** Given:     ch, l, m    chart, laying and its maps, cover among them
**            a           arena for a table of pixel areas
**            watch       may be NULL
** Returned:  *c
** Status:    LH_OK; LH_CANCELLED; LH_NOMEM; LH_RANGE without cover maps
** Notes:  1) At a pixel with covers C, layer u lies on layer l to the share
**            C_u C_l times the product of 1 - C over the layers between; on
**            the body without C_l.  Over all l they add to C_u.
**         2) Coats there are the local coat W/C, so that an edge does not
**            make a coat look thin.
*/
lh_status lh_measure(const lh_chart *ch, const lh_laying *l, const lh_maps *m,
                     lh_arena *a, const lh_watch *watch, lh_coverage *c);

/* ---- tile by tile --------------------------------------------------------
**
** lh_measure sums each tile by itself and adds the tiles' sums in their
** order.  Whoever keeps them sums only the tiles that changed, and comes to
** the same bits; nothing is ever subtracted.
*/

/* Side of a tile; those at the right and upper end may be cut. [pixels] */
enum { LH_TILE = 32 };

typedef struct {
  double area[LH_LAYERS_MOST], grams[LH_LAYERS_MOST], most[LH_LAYERS_MOST];
  double slip_area[LH_LAYERS_MOST]; /* slips in order of first use         */
  double over[LH_LAYERS_MOST][LH_LAYERS_MOST + 1]; /* the last: the body   */
  double upper[LH_LAYERS_MOST][LH_LAYERS_MOST + 1];
  double lower[LH_LAYERS_MOST][LH_LAYERS_MOST + 1];
  double zone, bare;
} lh_tile_sums;

/* Tiles of a grid, row by row from the lowest: how many across, and up. */
int lh_tiles_across(const lh_grid *g);
int lh_tiles_up(const lh_grid *g);

/* The pixels of a tile, as far as they are in the grid. */
lh_rect lh_tile_rect(const lh_grid *g, int tile);

/* Sum a tile.
**
** Given:     l, m     as for lh_measure
**            area     of pixels, as lh_pixel_areas_fill leaves it
**            tile
** Returned:  *s
*/
void lh_measure_tile(const lh_laying *l, const lh_maps *m, const double *area,
                     int tile, lh_tile_sums *s);

/* Add the sums of all tiles of a laying.
**
** Given:     s, n     lh_tiles_across * lh_tiles_up of them
** Returned:  *c
*/
void lh_measure_sum(const lh_laying *l, const lh_tile_sums *s, size_t n,
                    lh_coverage *c);

/* ---- a slip and its window ----------------------------------------------- */

/* Where a slip is too thin or too thick.  Pixels less than nine tenths covered
** are a mark's soft edge and are left out. (judgement) */
#define LH_WINDOW_COVER 0.9

typedef enum {
  LH_WINDOW_NONE, /* not of this slip, or its soft edge  */
  LH_WINDOW_THIN,
  LH_WINDOW_RIGHT,
  LH_WINDOW_THICK
} lh_window_says;

/* One pixel.
**
** Given:     slip
**            least, most   its window                          [g/m2]
*/
lh_window_says lh_window_at(const lh_laying *l, const lh_maps *m, size_t pixel,
                            int slip, double least, double most);

/* True area of the pixels of a grid.
**
** Given:     g, ch      the grid and its chart
** Returned:  area[]     band: lh_pixel_areas() = ny, one a row; disc: nx * ny,
**                       one a pixel, rim and hole cut              [mm2]
** Notes:  1) Simpson's rule over a pixel's height for a band; the scale at
**            the pixel's centre for a disc: errors fall as its square.
*/
size_t lh_pixel_areas(const lh_grid *g);
void lh_pixel_areas_fill(const lh_grid *g, const lh_chart *ch, double *area);

#endif
