/* SPDX-License-Identifier: GPL-3.0-or-later */
/* since.h -- what of a zone must be laid afresh after its painting changed.
**
** Two layings of one zone, before and after, are compared shape by shape.
** What is the same at the beginning and at the end of both lists stands; what
** lies between, before or after, makes the tiles it touches stale; of a path
** that only grew, those that its new and its changed pieces touch.  Tiles are
** those of measure.h.  Nothing here lays or allocates.
*/
#ifndef LH_SINCE_H
#define LH_SINCE_H

#include "measure.h"

typedef struct {
  bool all;                 /* nothing can be kept: lay everything        */
  int from[LH_LAYERS_MOST]; /* for each layer after, the layer before     */
                            /* whose maps it goes on with; -1: begin with */
                            /* nothing laid                               */
  int changed;              /* shapes between, before and after           */
  int tiles;                /* how many are stale                         */
} lh_since;

/* Compare.
**
** Given:     old_chart, old   before
**            chart, l         after
**            stale            a byte for each tile of l's grid
** Returned:  *s
**            stale[]          1 where the tile must be laid afresh, else 0;
**                             all 1 with s->all
** Notes:  1) All, when chart or grid differ, or when shapes that stay would
**            have to be parted out of one layer, or put together into one.
**         2) After the maps of `from` are taken over (those of -1 zeroed) and
**            the stale tiles laid by lh_lay, they have the bits of a full
**            laying.
*/
void lh_laying_since(const lh_chart *old_chart, const lh_laying *old,
                     const lh_chart *chart, const lh_laying *l,
                     unsigned char *stale, lh_since *s);

/* The next rectangle of stale tiles.
**
** Given:     g
**            stale    is cleared where the rectangle lies
**            *next    0 at first; where to go on
** Returned:  *r       in pixels
**            false when no tile is left
*/
bool lh_stale_next(const lh_grid *g, unsigned char *stale, int *next,
                   lh_rect *r);

#endif
