/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fast_picture.h -- the fired colours of many pixels, in single precision.
**
** What stack.h answers for one stack in double precision, here for maps of
** coat weights: the same slips, glaze, light and eaten depth.  Every layer,
** and the surface on top, is a linear-fractional map of the reflectance below.
** Kubelka's layer
**
**   dR/dX = S - 2 (K + S) R + S R^2
**
** is linear in p and q, R = p/q, with the two fixed points r and 1/r,
** r = S / (K + S + G), G = sqrt(K (K + 2 S)).  In the basis of those two,
** p = r u + v, q = u + r v, a coat X leaves u as it is and multiplies v by
** exp(-2 G X).  From one slip's basis to the next's, m = (r - r')/(1 - r r'):
**
**   u' = u + m v     v' = (m u + v) exp(-2 G' X')
**
** (a common factor of u and v is of no account), the lowest beginning with
** u = 1 over a substrate Rg: v = (Rg - r)/(1 - r Rg) exp(-2 G X).  The surface
** k1 + tt R/(1 - k2 R) of the last is A + B v/(u + D v) with
**
**   A = k1 + tt r/(1 - k2 r)    B = tt (1 - r^2)/(1 - k2 r)^2
**   D = (r - k2)/(1 - k2 r)
**
** so that a stack takes one division a wavelength; A and B go into the sums
** of the observer beforehand.  exp(-2 G X) of all wavelengths is the nearest
** row of a table times 1 - 2 G dX; rows stand closest where coats are thin.
**
** Where the double path would eat through the uppermost layer, that pixel is
** worked out by lh_stack_pixel.  All memory is the arena's and the caller's.
*/
#ifndef LH_FAST_PICTURE_H
#define LH_FAST_PICTURE_H

#include <stddef.h>
#include <stdint.h>

#include "arena.h"
#include "fast_isa.h"
#include "stack.h"

enum {
  LH_FAST_ROW = 48,   /* wavelengths, and as many as fill whole vectors */
  LH_FAST_LAST = 32,  /* the first of the last four                     */
  LH_FAST_LAYERS = 12 /* most layers of a map                           */
};

/* A layer made ready; for fast_picture.c and its bodies. */
typedef struct {
  unsigned char slip;
  float most;          /* the coat the table reaches to       [g/m2] */
  float first;         /* what is added to a coat             [g/m2] */
  int32_t first_bits;  /* of that number                             */
  const float *table;  /* rows exp(-2 G X)                           */
  const float *slope;  /* -2 G                                [m2/g] */
  const float *join;   /* m, -2 G m: over the substrate, layer 0, .. */
  const float *turn;   /* D                                          */
  const float *weight; /* B times the observer, for r, g, b          */
  float constant[4];   /* A summed, for r, g, b                      */
} lh_fast_layer;

typedef struct {
  const lh_stack_ready *ready;
  int layers;
  lh_fast_layer layer[LH_FAST_LAYERS]; /* from the lowest up              */
  double screen[3][3]; /* linear r, g, b of one X, one Y, one Z          */
  float eaten;         /* off the uppermost        [g/m2] */
  float bare[3];       /* the substrate alone             */
} lh_fast_stack;

/* Make ready for maps of one list of layers.
**
** Given:     ready   the palette, kept by reference; its light may be any
**            slip    which slip each layer is, from the lowest up
**            most    the greatest coat weight of each, >= 0         [g/m2]
**            layers  0..LH_FAST_LAYERS
**            a       for the tables, some 40 to 200 kB a slip
** Returned:  *f
** Status:    LH_OK; LH_NOMEM; LH_RANGE where single precision would not keep
**            the stated error, and lh_stack_pixel is to be used: a slip that
**            scatters over 1e5 times what it absorbs, or a coat so dark and
**            so thick at once that the table would be too long
** Notes:  1) lh_fast_rgb then lies within dE00 0.02 of lh_stack_pixel (seen:
**            0.002 in the pictures of tests/colour/test_fast_picture.c).
*/
lh_status lh_fast_prepare(const lh_stack_ready *ready,
                          const unsigned char *slip, const double *most,
                          int layers, lh_arena *a, lh_fast_stack *f);

/* Colours of n pixels.
**
** Given:     isa
**            f       made ready
**            coat    for each layer its n coat weights, >= 0, not above what
**                    was said                                       [g/m2]
** Returned:  rgb     3 n: linear sRGB, not cut
** Notes:  1) A pixel's bits do not depend on its neighbours.
*/
void lh_fast_rgb(lh_isa isa, const lh_fast_stack *f, const float *const *coat,
                 size_t n, float *rgb);

/* ---- to bytes -------------------------------------------------------------
**
** sRGB's curve as a table over the bits of the number: in each of the 128
** places of a power of two, from 2^-13 to 1, the byte it begins with and where
** in the place the next byte begins; there is never more than one.  Both in one
** number: the byte times 2^16, and what the low 16 bits of x lack to reach the
** next, so that their sum over 2^16 is the byte of x.
*/
enum { LH_FAST_CODES = 13 * 128 };
typedef struct {
  uint32_t code[LH_FAST_CODES + 1];
} lh_fast_codes;

/* Fill the table. */
void lh_fast_codes_make(lh_fast_codes *t);

/* Encode.
**
** Given:     isa, t, n
**            linear   n numbers, cut to 0..1 here; NaN becomes 0
** Returned:  byte     255 times the curve, rounded to the nearest
** Notes:  1) The byte of lh_srgb_encode, but where that lies within 1e-5 of
**            a half (the limit was rounded to single precision).
*/
void lh_fast_encode(lh_isa isa, const lh_fast_codes *t, const float *linear,
                    size_t n, unsigned char *byte);

#endif
