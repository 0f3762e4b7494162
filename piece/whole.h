/* SPDX-License-Identifier: GPL-3.0-or-later */
/* whole.h -- everything that is worked out of a piece, in one go.
**
** What the verdict, the sheets and the demo each start from: the piece read,
** laid out, its colours ready, a jar for each slip, and the verdict.
** Memory: the call's arena.
*/
#ifndef LH_WHOLE_H
#define LH_WHOLE_H

#include "verdict.h"

typedef struct {
  lh_piece piece;
  lh_piece_cover cover;
  lh_piece_optics optics; /* diffuse light, seen at 8 degrees, shine excluded,
                             D65: as a potter looks past the shine        */
  lh_jar *jars;           /* beside the document's slips                  */
  lh_verdict verdict;
} lh_whole;

/* Work out a piece.
**
** Given:     json       the document, which must stay
**            pixel_mm   of the maps, LH_PIXEL_MM                       [mm]
** Returned:  *w
** Status:    LH_OK, whatever the verdict; else refused with the fault filled
*/
lh_status lh_whole_make(json_t *json, double pixel_mm, lh_arena *a,
                        const lh_watch *watch, lh_whole *w, lh_fault *fault);

#endif
