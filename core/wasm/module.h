/* SPDX-License-Identifier: GPL-3.0-or-later */
/* module.h -- the door of the WebAssembly module, through which a page lays
** marks with the very code of core.
**
** Numbers and plain memory only: a painted zone comes in as the flat array of
** flat.h, maps come out as places within a stretch of memory that the caller
** gives and keeps.  Nothing is remembered between calls but what lies in that
** memory.  The same functions compiled natively are what the test compares
** with.
**
**   lay.c       a zone laid at once, in one room: the plainest way in
**   page.c      a zone that is painted on: made ready, compared with what it
**               was, laid and measured where it changed
**   bleed.c     coats spread by their bleed
**   colour.c    slips, body and glaze as a palette; maps as bytes for a screen
**   hit.c       what lies where, for whoever points at it
**   shape.c     profiles, charts, repeats, dabs
*/
#ifndef LH_MODULE_H
#define LH_MODULE_H

#include <stddef.h>

/* What is told of a zone that was laid: numbers of a report. */
enum {
  LH_REPORT_STATUS, /* lh_status                                        */
  LH_REPORT_WHY,    /* lh_mark_why, when a mark is at fault             */
  LH_REPORT_MARK,   /* which mark, which nib                            */
  LH_REPORT_NIB,
  LH_REPORT_TAKEN, /* bytes of the room that are used, or were asked   */
                   /* for when it was too small                        */
  LH_REPORT_LAYERS,
  LH_REPORT_NX, /* columns, rows, side of a pixel [chart mm]        */
  LH_REPORT_NY,
  LH_REPORT_PIXEL,
  LH_REPORT_WIDTH, /* of the chart [mm]                                */
  LH_REPORT_HEIGHT,
  LH_REPORT_SLIPS = 16, /* slip of each layer                               */
  LH_REPORT_COATS = 32, /* where its coat map begins, in bytes from the     */
                        /* room's beginning: nx * ny floats                 */
  LH_REPORT_COVERS = 48,
  LH_REPORT_NUMBERS = 64
};

/* Lay a painted zone.
**
** Given:     in, n     as lh_decor_flatten writes it
**            room      memory, aligned to 16 bytes
**            bytes     how much; the zone's maps take 8 bytes a pixel and
**                      layer, the rest is small
** Returned:  report[LH_REPORT_NUMBERS]
**            the status, an lh_status
** Status:    of lh_decor_unflatten, lh_decor_ready and lh_lay; LH_NOMEM when
**            the room is too small
*/
int lh_module_lay(const double *in, size_t n, void *room, size_t bytes,
                  double *report);

/* Lay a rectangle of it afresh.
**
** Given:     room             as lh_module_lay left it
**            x0, y0, x1, y1   columns and rows, the last not among them
** Returned:  the status
*/
int lh_module_relay(void *room, int x0, int y0, int x1, int y1);

/* ---- a zone that is painted on (page.c, hit.c)
 * ---------------------------------- */

/* Make a zone ready to be laid, and lay nothing.
**
** Given:     as lh_module_lay; the room is small (some 100 kB and 64 bytes a
**            nib as it stands on the pot)
** Returned:  report, without LH_REPORT_COATS and LH_REPORT_COVERS
** Status:    as lh_module_lay
** Notes:  1) The maps are the caller's: wherever `maps` is asked for it is a
**            coat map and a cover map for each layer, in this order, from the
**            lowest layer up; nx * ny floats each.
*/
int lh_module_ready(const double *in, size_t n, void *room, size_t bytes,
                    double *report);

/* What must be laid afresh (since.h).
**
** Given:     before, room   two rooms made ready; before may be NULL
** Returned:  stale          a byte for each tile
**            answer         [0] everything? [1] how many tiles [2] how many
**                           shapes changed [3 + k] for layer k the layer
**                           before whose maps it goes on with, or -1
** Status:    how many tiles there are
*/
int lh_module_since(const void *before, const void *room, unsigned char *stale,
                    int *answer);

/* Lay the stale tiles.
**
** Given:     room, maps
**            stale      left as it is
** Status:    LH_OK
*/
int lh_module_paint(void *room, float *const *maps, const unsigned char *stale);

/* Bytes that lh_module_measure keeps its sums in. */
size_t lh_module_sums(const void *room);

/* Measure: the stale tiles are summed afresh, then all are added.
**
** Given:     room, maps, stale
**            sums       as the last call for this chart and grid left it; with
**                       all tiles stale, anything
** Returned:  out        LH_MEASURE_NUMBERS and more, see below
** Status:    how many numbers were written
*/
enum {
  LH_MEASURE_ZONE, /* [mm2] */
  LH_MEASURE_BARE, /* [mm2] */
  LH_MEASURE_LAYERS,
  LH_MEASURE_SLIPS,
  LH_MEASURE_OVERLAPS,
  LH_MEASURE_NUMBERS /* then, for each layer and then for each slip: slip,  */
                     /* area [mm2], grams, mean, most [g/m2]; for each      */
                     /* overlap: upper, lower, area, upper coat, lower coat */
};
enum { LH_MEASURE_MOST = LH_MEASURE_NUMBERS + 5 * (2 * 12 + 12 * 13) };
int lh_module_measure(const void *room, float *const *maps,
                      const unsigned char *stale, void *sums, double *out);

/* Where a slip is outside its window (measure.h).
**
** Given:     room, maps
**            slip, least, most
** Returned:  says       lh_window_says, nx * ny bytes
**            mm2[3]     thin, right, thick                           [mm2]
** Status:    LH_OK
*/
int lh_module_window(void *room, float *const *maps, int slip, double least,
                     double most, unsigned char *says, double *mm2);

/* The shapes of a zone, for outlines.
**
** Given:     room   made ready
**            cap    shapes that out has room for
** Returned:  out    for each: lh_shape_kind, mark (counted through all groups),
**                   instance, anchor x, y, box about it left, right, low,
**                   high, true mm for one chart mm; a ring's low and high are
**                   its own, x and y 0
** Status:    how many there are, even if > cap
*/
enum { LH_SHAPE_NUMBERS = 10 };
int lh_module_shapes(const void *room, size_t cap, double *out);

/* What lies at a place.
**
** Given:     room, x, y   [chart mm]
**            reach        so near is near enough                 [chart mm]
** Returned:  out[2]       mark and instance of the uppermost shape there; one
**                         that is only near counts after one that is met, and
**                         rings after both, the narrower first
** Status:    1, or 0 for nothing
*/
int lh_module_hit(const void *room, double x, double y, double reach,
                  double *out);

/* ---- colour (colour.c) ----------------------------------------------------
 */

/* Make a palette.
**
** Given:     in    geometry, illuminant (glaze.h, spectrum.h); glazed (0 or 1);
**                  index, eaten, share; optical depth [36]; substrate [36];
**                  then for each slip absorption [36] and scattering [36]
**            n     how many numbers
**            room  memory, aligned to 16 bytes
**            bytes how much: LH_PALETTE_ROOM is enough
** Status:    LH_OK; LH_INPUT for another count of numbers; LH_RANGE; LH_NOMEM
*/
enum { LH_PALETTE_ROOM = 128 * 1024, LH_PALETTE_SLIPS = 24 };
int lh_module_palette(const double *in, size_t n, void *room, size_t bytes);

/* The same numbers pale or strong by the tiles' doubt (strength.h).
**
** Given:     in, n   as for lh_module_palette
**            laid    for each slip: doubt of K and S, 0..1; coat weight as it
**                    is usually laid [g/m2]; the slip that it usually lies
**                    on, -1: the body; that one's coat weight [g/m2]
**            to      lh_strength
** Returned:  out     n numbers; may not be in
** Status:    LH_OK; LH_INPUT as for lh_module_palette, or for a slip that
**            there is not; of lh_strength_shift
*/
int lh_module_strength(const double *in, size_t n, const double *laid, int to,
                       double *out);

/* One stack's colour: L*, a*, b*, then encoded sRGB, cut.
**
** Given:     palette
**            stack  slip and coat weight by turns, the lowest first; n of them
** Returned:  out[6]
** Status:    LH_OK; LH_TOOLARGE; LH_INPUT for a slip that the palette lacks
*/
int lh_module_colour(const void *palette, const double *stack, size_t n,
                     double *out);

/* ---- bleed (bleed.c) ------------------------------------------------------
**
** What fires is not what is laid: the coat maps of slips that bleed are spread
** (core/decor/bleed.h) before they are coloured.  Whoever colours hands
** lh_module_tint those maps in the place of the coats; all else is asked of
** the coats as they were laid.
*/

/* Widen the stale tiles by what a bleed reaches.
**
** Given:     room    made ready
**            mm      the greatest bleed of a layer                    [mm]
**            stale   a byte for each tile
** Returned:  stale
** Status:    LH_OK; LH_RANGE for more than LH_BLEED_MOST_MM
*/
int lh_module_reach(const void *room, double mm, unsigned char *stale);

/* Bytes of work that lh_module_bleed wants. */
size_t lh_module_work(const void *room, double mm);

/* Spread a coat map in the stale tiles.
**
** Given:     room, mm
**            coat    as laid
**            stale
**            work    lh_module_work bytes, aligned to 16
** Returned:  out     nx * ny floats, within the stale tiles
** Status:    LH_OK; LH_RANGE as above
*/
int lh_module_bleed(const void *room, double mm, const float *coat,
                    const unsigned char *stale, void *work, float *out);

/* Bytes of the table of remembered stacks; all 0 at first, and again when the
** palette or the layers change. */
size_t lh_module_memo(void);

/* Colour the stale tiles.
**
** Given:     of       the palette
**            room, maps, stale
**            memo     the table
**            rounded  1: coat weights rounded first (lh_coat_round)
** Returned:  rgba     nx * ny * 4 bytes, row 0 lowest
** Status:    LH_OK; LH_INPUT for a slip that the palette lacks
*/
int lh_module_tint(const void *of, const void *room, float *const *maps,
                   const unsigned char *stale, void *memo, int rounded,
                   unsigned char *rgba);

/* ---- shapes (shape.c) ------------------------------------------------------
**
** Points are radius and height by turns [mm].
*/

/* Points of one stage at another.
**
** Given:     p, n      as measured; q may be p
**            from, to  lh_stage
**            shrink    to leather-hard: diameter, height; to fired: likewise
** Status:    of lh_form_resize
*/
int lh_module_resize(const double *p, size_t n, int from, int to,
                     const double *shrink, double *q);

/* A profile as rings, from foot to lip.
**
** Given:     p, n     leather-hard points
**            room, bytes   memory; LH_SHAPE_ROOM is enough
**            cap      rings at most, at least 2
** Returned:  out      for each ring radius, height, normal outward (radius,
**                     height), mm up the profile
** Status:    how many; negative: -lh_status
*/
enum { LH_SHAPE_ROOM = 160 * 1024 };
int lh_module_rings(const double *p, size_t n, void *room, size_t bytes,
                    size_t cap, double *out);

/* A zone's chart.
**
** Given:     p, n     leather-hard points of its face
**            zone     face, kind, from, to
**            room, bytes   as above; the chart is left in it
** Returned:  out      width, height [chart mm]; length [mm]; radius, rho_inner
**                     [mm]; hand; area [mm2]; axis_high
** Status:    LH_OK; of lh_curve_build and lh_chart_make
*/
int lh_module_chart(const double *p, size_t n, const double *zone, void *room,
                    size_t bytes, double *out);

/* Places on that chart: turns, up -> x, y, scale, and back.  In a disc x and y
** count from the centre.  Status: LH_OK; LH_RANGE. */
int lh_module_place(const void *room, double turns, double up, double *out);
int lh_module_back(const void *room, double x, double y, double *out);

/* Placings of a repeat, eight numbers each, as flat.h has them.
**
** Given:     way, count, axis   lh_repeat
**            odd, n             exceptions: instance, left out, move_turns,
**                               move_up, turn [turns], scale
**            room, bytes        scratch
**            cap                placings that out has room for
** Status:    how many; negative: -lh_status
*/
int lh_module_repeat(int way, size_t count, double axis, const double *odd,
                     size_t n, void *room, size_t bytes, size_t cap,
                     double *out);

/* The nibs of a dab, four numbers each.  Status: how many; negative:
** -lh_status */
int lh_module_dab(double length, double width, double turn, double coat,
                  double tip_share, double *out);

#endif
