/* SPDX-License-Identifier: GPL-3.0-or-later */
/* stack.h -- the fired colour of a whole stack: slips, body below, glaze above.
**
** Joins layers.h and glaze.h: what the kiln leaves of the slips, their
** internal reflectance over the substrate, and the glaze's surface on top.
** Layers are listed top first.  `substrate` is the *internal* reflectance of
** body or ground as glazed without slip above it.
**
** Dissolution: in the fire the glaze eats `eaten` g/m2 of the uppermost slip,
** and goes on into the next when one is used up.  The eaten part no longer
** scatters; `share` of its absorption moves into the glaze: tau += share K X/2
** (K is a coefficient of diffuse flux, which runs twice as far as a straight
** ray: Kubelka 1948).  Bare stacks (glaze NULL) are not eaten.
**
** The caller owns all memory; nothing allocates.  Coat weights in g/m2.
*/
#ifndef LH_STACK_H
#define LH_STACK_H

#include <stdbool.h>
#include <stddef.h>

#include "glaze.h"
#include "layers.h"
#include "range.h"
#include "spectrum.h"
#include "status.h"

enum { LH_STACK_LAYERS = 32 }; /* most layers in one stack */

typedef struct {
  const lh_slip_optics *slip;
  double coat; /* [g/m2] */
} lh_stack_layer;

typedef struct {
  const lh_stack_layer *layers; /* top first; NULL when count is 0 */
  size_t count;
  const double *substrate; /* [LH_WAVES] internal reflectance, 0..1 */
  const lh_glaze *glaze;   /* NULL: bare                            */
  lh_geometry geometry;
} lh_stack;

/* What an instrument would read.
**
** Given:     s     the stack
** Returned:  out   reflectance factor at each wavelength
** Status:    LH_OK; LH_TOOLARGE for more than LH_STACK_LAYERS layers;
**            LH_RANGE for a negative or non-finite number, a substrate outside
**            0..1, an index outside 1..4, a share outside 0..1; out untouched
** Notes:  1) The glaze integrals are done anew for each wavelength (about
**            0.2 ms in all): exact; for pictures prepare the stack.
*/
lh_status lh_stack_reflectance(const lh_stack *s, double out[LH_WAVES]);

/* A palette made ready for pictures: all slips over one substrate under one
** glaze, seen under one light. */
typedef struct {
  const lh_slip_ready *slips; /* the caller's */
  size_t slip_count;
  double substrate[LH_WAVES];
  bool glazed;
  double depth[LH_WAVES];      /* the glaze's own tau                */
  double eaten, share;         /* as in lh_glaze                     */
  lh_boundary plain[LH_WAVES]; /* the surface where nothing was eaten */
  lh_glaze_table table;        /* the surface for other depths       */
  double rows[3][LH_WAVES];    /* observer under the light           */
  lh_illuminant illuminant;
} lh_stack_ready;

/* Make a palette ready.
**
** Given:     slips, n    prepared slips, kept by reference
**            substrate   internal reflectance
**            glaze       or NULL
**            g, ill      geometry and light
** Returned:  *ready
** Status:    LH_OK; LH_RANGE as in lh_stack_reflectance
*/
lh_status lh_stack_prepare(const lh_slip_ready *slips, size_t n,
                           const double substrate[LH_WAVES],
                           const lh_glaze *glaze, lh_geometry g,
                           lh_illuminant ill, lh_stack_ready *ready);

/* One pixel.
**
** Given:     ready    the palette
**            slip     which slip each layer is, top first, < slip_count
**            coat     its coat weight, >= 0                        [g/m2]
**            layers   how many, 0..LH_STACK_LAYERS
** Returned:  XYZ under the palette's light; reflectance too if out is given
** Notes:  1) Agrees with lh_stack_reflectance to the table's error, 1e-6.
**         2) Layers of no weight cost nothing.
*/
lh_xyz lh_stack_pixel(const lh_stack_ready *ready, const unsigned char *slip,
                      const double *coat, size_t layers, double *out);

/* ---- many pixels ---------------------------------------------------------
**
** Most pixels of a painted pot have one of a few stacks: plain ground, ground
** under a full coat.  A small table of stacks already worked out spares the
** rest.  It belongs to one palette and one list of layers: clear it (all
** bytes 0) when either changes.
*/
enum { LH_MEMO_LAYERS = 12, LH_MEMO_PLACES = 1 << 16 };

typedef struct {
  float coat[LH_MEMO_LAYERS]; /* from the lowest up; above the last: 0      */
  float rgb[3];               /* linear sRGB, cut to what a screen can show */
  unsigned char byte[4];      /* the same encoded; the last: 255            */
  bool used, outside;         /* outside: it was cut                        */
} lh_stack_memo;

/* A pixel's colour, worked out or remembered.
**
** Given:     ready
**            slip, layers   which slip each layer is, from the lowest up;
**                           layers <= LH_MEMO_LAYERS
**            coat           its coat weights, 0 above the last       [g/m2]
**            memo           LH_MEMO_PLACES of them
** Returned:  one of memo, good until the next call
*/
const lh_stack_memo *lh_stack_remember(const lh_stack_ready *ready,
                                       const unsigned char *slip, int layers,
                                       const float coat[LH_MEMO_LAYERS],
                                       lh_stack_memo *memo);

/* A coat weight rounded for a screen that is drawn while the brush moves: to
** 0.5 g/m2, above 32 g/m2 to 1/64 to 1/128 of itself.  (judgement: far
** below what any hand repeats; a step of colour that no eye sees) */
float lh_coat_round(float coat);

/* How sure the inputs are: relative standard uncertainties (0.1 is 10 %). */
typedef struct {
  double absorption; /* of each slip's K, all wavelengths together */
  double scattering; /* of each slip's S                           */
  double coat;       /* of each layer's coat weight                */
  double depth;      /* of the glaze's optical depth (its weight)  */
  double substrate;  /* of the substrate's reflectance             */
} lh_stack_doubt;

/* The house's first guess, a judgement for the potter to change: K and S 10 %
** (two tiles), coat weight 20 % (brush), glaze 15 % (dip), substrate 3 %. */
lh_stack_doubt lh_stack_doubt_default(void);

/* 90 % range of a predicted colour. */
typedef struct {
  lh_range L, a, b; /* the prediction, 5th and 95th percentile   */
  double radius;    /* dE00 about the prediction that holds 90 % */
} lh_stack_range;

/* Carry the doubts through to the colour.
**
** Given:     s, ill   the stack and its light
**            d        the doubts, each 0..1
** Returned:  *range
** Status:    as lh_stack_reflectance; LH_RANGE for a doubt outside 0..1
** Notes:  1) Monte Carlo: 400 draws, log-normal factors, each slip's K and S
**            one factor for all wavelengths and independent of each other;
**            the same slip in two layers shares its factors; coat weights are
**            independent.  Own small generator, fixed seed: same input, same
**            answer.  The ends of the range are themselves good to about a
**            tenth of its width.
**         2) Says nothing of what the model leaves out (firing, reduction).
**         3) Takes about 60 kB of stack; 400 draws take some 2 ms.
** Ref:    JCGM 101:2008 (Monte Carlo propagation); splitmix64 after
**         Steele, Lea, Flood (2014), doi:10.1145/2660193.2660195.
*/
lh_status lh_stack_spread(const lh_stack *s, lh_illuminant ill,
                          const lh_stack_doubt *d, lh_stack_range *range);

#endif
