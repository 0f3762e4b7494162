/* SPDX-License-Identifier: GPL-3.0-or-later */
/* cover.h -- a painted piece laid out: how much of each slip lies where.
**
** Every zone gets its maps of coat weight, from the one hand in core/decor;
** from them come area and weight per slip, what lies over what, what is too
** thin or too thick for its window, and the clearances.  Numbers are of one
** pot unless they say otherwise.  Memory: the call's arena.
*/
#ifndef LH_COVER_H
#define LH_COVER_H

#include "clear.h"
#include "measure.h"
#include "piece.h"
#include "watch.h"

/* Side of a pixel of the maps, leather-hard. (judgement: a fine brush's
** edge) */
#define LH_PIXEL_MM 0.2

typedef struct {
  const lh_piece_zone *zone;
  lh_grid grid;
  lh_laying laying;
  lh_maps maps;
  lh_coverage cover;
} lh_zone_cover;

/* One slip on one pot. */
typedef struct {
  double area_mm2;
  double dry_g;
  double wet_g;      /* at its litre weight                            */
  double mean_g_m2;  /* over what it covers                            */
  double most_g_m2;  /* the heaviest place                             */
  double thin_mm2;   /* of its area: below its window                  */
  double thick_mm2;  /* above it                                       */
  double window_mm2; /* looked at for the two (soft edges left out)    */
} lh_slip_use;

/* Over all zones; lower LH_NO_SLIP: the body. */
typedef struct {
  int upper, lower;
  double area_mm2, upper_g_m2, lower_g_m2;
} lh_piece_overlap;

typedef struct {
  const lh_piece_zone *zone;
  const lh_piece_entry *entry;
  lh_clearance clearance; /* as painted                              */
  /* As fired, in leather-hard mm: the same where no bleed is known.  Between
  ** other shapes, perhaps. */
  lh_clearance fired;
  double low, high;   /* 90 % range of fired.mm, the bleeds' errors in    */
  double bleed_mm[2]; /* of the two shapes' slips                         */
  bool bleeds;        /* the bleed of a slip is known                     */
  bool all_known;     /* of every slip of the entry                       */
} lh_entry_clearance;

typedef struct {
  const lh_piece *piece;
  size_t n_zones;
  lh_zone_cover *zones;
  lh_slip_use *slips; /* beside the document's */
  size_t n_overlaps;
  lh_piece_overlap *overlaps;
  size_t n_clearances;
  lh_entry_clearance *clearances;
  double zone_mm2, bare_mm2; /* of all zones */
} lh_piece_cover;

/* Lay out a piece.
**
** Given:     p         a piece as read
**            pixel_mm  side of a pixel, LH_PIXEL_MM                    [mm]
** Returned:  *c
** Status:    LH_OK; LH_TOOLARGE when the maps would be too large;
**            LH_CANCELLED; LH_NOMEM
*/
lh_status lh_piece_cover_make(const lh_piece *p, double pixel_mm, lh_arena *a,
                              const lh_watch *watch, lh_piece_cover *c,
                              lh_fault *fault);

#endif
