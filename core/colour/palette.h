/* SPDX-License-Identifier: GPL-3.0-or-later */
/* palette.h -- several slips side by side on one ground.
**
** Each slip is laid alone over the same ground, body and glaze; how it fires,
** how far it is from the others, and how sure that is.  What all share (body,
** ground, glaze) is doubted for all alike, so that it hardly blurs a
** difference.  Nothing allocates or remembers; the caller owns all memory.
*/
#ifndef LH_PALETTE_H
#define LH_PALETTE_H

#include "stack.h"

enum { LH_PALETTE_MOST = 32, LH_PALETTE_DRAWS = 200 };

typedef struct {
  const lh_stack_layer *slips; /* each over the ground, none on another  */
  size_t n;
  const lh_stack_layer *ground; /* layers below them, top first          */
  size_t n_ground;
  const double *body;    /* [LH_WAVES] internal reflectance             */
  const lh_glaze *glaze; /* or NULL                                     */
  lh_geometry geometry;
} lh_palette;

/* How they fire.
**
** Given:     p, ill
** Returned:  xyz[0..n)    each slip's
**            *ground      the ground without a slip
**            *body        the bare body under the same glaze
** Status:    LH_OK; LH_TOOLARGE for more than LH_PALETTE_MOST slips;
**            otherwise as lh_stack_reflectance
*/
lh_status lh_palette_colours(const lh_palette *p, lh_illuminant ill,
                             lh_xyz *xyz, lh_xyz *ground, lh_xyz *body);

/* Colours as they may turn out.
**
** Given:     p, ill
**            d         doubts of each slip; depth and substrate, and all of
**                      the ground's layers, are taken from the first
** Returned:  xyz       LH_PALETTE_DRAWS rows of n
** Status:    as above; LH_RANGE for a doubt outside 0..1
** Notes:  1) Monte Carlo with a fixed seed.  K, S and coat weight of each slip
**            are drawn for it alone, the rest once for all.
** Ref:    JCGM 101:2008.
*/
lh_status lh_palette_draws(const lh_palette *p, lh_illuminant ill,
                           const lh_stack_doubt *d, lh_xyz *xyz);

/* Difference of two slips, CIEDE2000, with its 90 % range.
**
** Given:     p, ill      as asked
**            xyz         of lh_palette_colours;  draws   of lh_palette_draws
**            i, j        two slips, < n
*/
lh_range lh_palette_apart(const lh_palette *p, lh_illuminant ill,
                          const lh_xyz *xyz, const lh_xyz *draws, size_t i,
                          size_t j);

#endif
