/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fast_nodes.h -- colours of up to three layers between the nodes of a table.
**
** For a picture drawn again and again of the same slips: the stacks of 33
** coat weights of each layer are worked out once (fast_picture.h), and a pixel
** lies between eight of them.  Nodes are even in the square root of the coat,
** where colour changes evenly; what is kept is the encoded colour, so that
** nothing is left to do but to round.  An approximation: fast_picture.h has
** the colours themselves.  All memory is the arena's and the caller's.
*/
#ifndef LH_FAST_NODES_H
#define LH_FAST_NODES_H

#include "fast_picture.h"

enum { LH_NODES = 33, LH_NODES_LAYERS = 3 };

typedef struct {
  int layers;
  float per_root[LH_NODES_LAYERS]; /* nodes per root of g/m2           */
  const float *node; /* 4 floats each: 255 times encoded r, g, b; layer 0 */
                     /* of the map runs fastest                        */
} lh_fast_nodes;

/* Fill the table.
**
** Given:     isa
**            f      made ready, of 1 to 3 layers
**            most   of each layer, > 0: above, a pixel has the colour of this
**                   much                                           [g/m2]
**            a      for the table, 600 kB with three layers
** Returned:  *t
** Status:    LH_OK; LH_RANGE for another number of layers; LH_NOMEM
** Notes:  1) A pixel lies within dE00 0.35 of lh_fast_rgb cut to the screen,
**            for the slips of bench/bench_picture.c up to 150 g/m2 and those
**            of tests/colour/test_fast_picture.c; no bound is proven for any
**            slip.  A glaze that eats makes edges that it does not follow.
*/
lh_status lh_fast_nodes_make(lh_isa isa, const lh_fast_stack *f,
                             const double *most, lh_arena *a, lh_fast_nodes *t);

/* Bytes of n pixels.
**
** Given:     isa, t
**            coat   for each layer n coat weights, >= 0             [g/m2]
** Returned:  rgb    3 n bytes of sRGB
*/
void lh_fast_nodes_bytes(lh_isa isa, const lh_fast_nodes *t,
                         const float *const *coat, size_t n,
                         unsigned char *rgb);

/* The same before rounding: 3 n numbers from 0 to 255. */
void lh_fast_nodes_codes(lh_isa isa, const lh_fast_nodes *t,
                         const float *const *coat, size_t n, float *rgb);

#endif
