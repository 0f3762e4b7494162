/* SPDX-License-Identifier: GPL-3.0-or-later */
/* optics.h -- the fired colour of a piece's stacks.
**
** Makes the slips, body and glaze of a document ready for core/colour once,
** and answers for single stacks and for whole zones.  Memory: the arena.
*/
#ifndef LH_OPTICS_H
#define LH_OPTICS_H

#include "cover.h"
#include "fast_isa.h"
#include "stack.h"
#include "strength.h"

typedef struct {
  const lh_piece *piece;
  lh_slip_optics *optics; /* beside the document's slips    */
  lh_slip_ready *slips;
  lh_glaze glaze;
  bool glazed;
  lh_geometry geometry;
  lh_illuminant illuminant;
  lh_stack_ready ready;
  lh_isa isa; /* instructions for whole zones: those of this machine */
} lh_piece_optics;

/* Make ready.
**
** Given:     p          a piece as read
**            g, ill     how it is looked at
** Returned:  *o
** Status:    LH_OK; LH_RANGE; LH_NOMEM, with the fault filled
*/
lh_status lh_piece_optics_make(const lh_piece *p, lh_geometry g,
                               lh_illuminant ill, lh_arena *a,
                               lh_piece_optics *o, lh_fault *fault);

/* The same with all slips pale or strong by the doubt of their tiles.
**
** Given:     to   where in that doubt
** Notes:  1) Each slip by itself (strength.h), laid as it is usually laid: the
**            best of its window, or two coats, over the first ground of the
**            piece laid likewise; a ground over the body.  Only the doubt of
**            K and S (uncertainty_percent) counts, not that of coat weights.
*/
lh_status lh_piece_optics_make_at(const lh_piece *p, lh_geometry g,
                                  lh_illuminant ill, lh_strength to,
                                  lh_arena *a, lh_piece_optics *o,
                                  lh_fault *fault);

/* The coat of a slip that one would lay: the best of its window, or two coats
** of the brush (common practice, no source).  [g/m2] */
double lh_slip_doc_usual_coat(const lh_slip_doc *s);

/* Colour of one stack: coats top first. */
typedef struct {
  int slip;
  double g_m2;
} lh_coat_of;

lh_lab lh_piece_optics_lab(const lh_piece_optics *o, const lh_coat_of *coats,
                           size_t n);
lh_rgb lh_piece_optics_srgb(const lh_piece_optics *o, const lh_coat_of *coats,
                            size_t n);

/* The same with its 90 % range. */
lh_status lh_piece_optics_range(const lh_piece_optics *o,
                                const lh_coat_of *coats, size_t n, lh_lab *lab,
                                lh_stack_range *range);

/* A zone as fired: linear sRGB, three floats a pixel, row 0 lowest.
**
** Given:     o, z
** Returned:  rgb       nx * ny * 3, cut to what a screen shows
**            *outside  how many pixels no screen can show; they are clipped
**                      when the picture is encoded
** Status:    LH_OK; LH_CANCELLED; LH_NOMEM
** Notes:  1) By the kernels of fast_picture.h, within dE00 0.02 of the others
**            here; slips that they refuse go through stack.h.  The same bits
**            for the same o->isa.
*/
lh_status lh_piece_optics_zone(const lh_piece_optics *o, const lh_zone_cover *z,
                               lh_arena *a, const lh_watch *watch, float *rgb,
                               size_t *outside);

#endif
