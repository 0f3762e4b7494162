/* SPDX-License-Identifier: GPL-3.0-or-later */
/* near_tiles.h -- the tiles whose colour comes nearest to a wanted one.
**
** A list of colours is sorted by lightness once; a question then looks only at
** those that can still be nearer, and the answer is that of looking at all.
** The bounds are proven in near_tiles.c.  Nothing here knows what a tile is.
** The caller owns all memory; the list of colours is kept by reference.
*/
#ifndef LH_NEAR_TILES_H
#define LH_NEAR_TILES_H

#include <stddef.h>
#include <stdint.h>

#include "arena.h"
#include "fast_isa.h"
#include "space.h"
#include "status.h"

typedef struct {
  const lh_lab *tile; /* the caller's list          */
  size_t count;
  float *L, *a, *b; /* sorted by L*               */
  uint32_t *which;  /* place of each in the list  */
} lh_near;

/* Sort a list.
**
** Given:     tile, n   colours: L* from 0 to 100, |a*| and |b*| <= 1000
**            a         for the sorted copy, 16 bytes a colour, and as much
**                      again while sorting
** Returned:  *near
** Status:    LH_OK; LH_RANGE for a colour outside (NaN too); LH_TOOLARGE for
**            more than 2^31; LH_NOMEM
*/
lh_status lh_near_make(const lh_lab *tile, size_t n, lh_arena *a,
                       lh_near *near);

/* One answer. */
typedef struct {
  size_t which;      /* place in the list              */
  double difference; /* lh_delta_e00 from the wanted   */
} lh_near_one;

enum { LH_NEAR_MOST = 64 };

/* The nearest few.
**
** Given:     isa
**            near     sorted
**            want     a colour, as those of the list
**            most     how many are asked for, 1..LH_NEAR_MOST
** Returned:  one      the nearest first; of equals the earlier in the list
**            the number of answers, fewer only when the list is shorter
** Notes:  1) Differences and order are those of lh_delta_e00 over the whole
**            list: single precision only chooses what is worth asking.
*/
size_t lh_near_find(lh_isa isa, const lh_near *near, lh_lab want, size_t most,
                    lh_near_one *one);

#endif
