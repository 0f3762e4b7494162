/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bleeding.h -- a zone's coats as they fire: spread by what each slip bleeds.
**
** For colours alone: what is measured is measured on the coats as laid.
** Memory: the call's arena.
*/
#ifndef LH_BLEEDING_H
#define LH_BLEEDING_H

#include "cover.h"

/* Spread the coats of a zone.
**
** Given:     p, z      a zone of the piece, laid
** Returned:  *fired    z with other coat maps where a slip bleeds; where none
**                      does, z's own
** Status:    LH_OK; LH_CANCELLED; LH_NOMEM
** Notes:  1) A slip that draws back (bleed_mm below 0) is left as laid: its
**            bare edge cannot be told from a line tile.
*/
lh_status lh_zone_bleed(const lh_piece *p, const lh_zone_cover *z, lh_arena *a,
                        const lh_watch *watch, lh_zone_cover *fired);

#endif
