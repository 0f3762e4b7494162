/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bleed.h -- a slip that runs at its edges in the fire.
**
** What the brush lays has the edge that lay.h gives it.  Some slips run on
** under the glaze: a line comes out wider and softer than it was painted, and
** thinner in its middle, for no slip is added.  Here a coat map is spread
** sideways by so many mm on the pot; what is measured (area, grams, window)
** stays with the map as it was laid.
**
** The coat spreads as by diffusion over the surface of the pot.  A chart is
** conformal, so that is the plain diffusion of the chart divided by its local
** scale squared: a coat spreads the same mm everywhere on the pot, round the
** band, and not beyond a map's lower and upper rows.
**
** How far.  An edge that has spread by a standard deviation of sigma has a
** tenth of its coat left at 1.2816 sigma outside where it was painted; there a
** line is taken to end when it is measured.  (judgement)
**
** Buffers are the caller's.  Float + - * only: the same bits native and as
** WebAssembly.  Units: mm true, leather-hard; pixels.
*/
#ifndef LH_BLEED_H
#define LH_BLEED_H

#include "lay.h"

/* The most that can be drawn, and said. (judgement: beyond it is no line) */
#define LH_BLEED_MOST_MM 3.0

/* Where a tenth of a Gaussian edge is left, in standard deviations: the 90 %
** point of the normal distribution. */
#define LH_BLEED_TENTH 1.2815515655446004

/* Most of a neighbour's difference that one step takes over, each way. */
#define LH_BLEED_RATE 0.25

typedef struct {
  lh_grid grid;
  int steps;         /* 0: nothing spreads; so far a pixel reaches [pixels] */
  bool rows;         /* a band: one rate a row; a disc: one a pixel         */
  const float *rate; /* share of a difference, one step, each neighbour     */
} lh_bleed;

/* How many rates lh_bleed_make wants. */
size_t lh_bleed_rates(const lh_grid *g);

/* Make ready to spread one slip's coats.
**
** Given:     ch, g     the chart and the grid on it
**            mm        how far the slip bleeds each side; 0 or less: not at
**                      all                                            [mm]
**            rate      lh_bleed_rates floats, which must stay
** Returned:  *b
** Status:    LH_OK; LH_RANGE for more than LH_BLEED_MOST_MM, or NaN
** Notes:  1) b->steps = 2 sigma^2 / (least side of a pixel)^2, rounded up.
*/
lh_status lh_bleed_make(const lh_chart *ch, const lh_grid *g, double mm,
                        float *rate, lh_bleed *b);

/* The same without the rates: how far it reaches, what scratch it wants. */
lh_status lh_bleed_steps(const lh_chart *ch, const lh_grid *g, double mm,
                         lh_bleed *b);

/* Floats of scratch for a clip of so many columns and rows. */
size_t lh_bleed_scratch(const lh_bleed *b, int columns, int rows);

/* Spread a coat map.
**
** Given:     b
**            coat      the map as laid                             [g/m2]
**            clip      columns and rows wanted, within the grid
**            scratch   lh_bleed_scratch floats
**            watch     may be NULL
** Returned:  out       another map of the same size; within the clip
** Status:    LH_OK; LH_CANCELLED, the clip half done
** Notes:  1) One step is c += rate (left - c + right - c), then the same up
**            and down.  The sum of c / rate, which is the coat's mass, stays
**            to rounding; where a coat is even it stays so to the bit.
**         2) After n steps the standard deviation is sigma, each way; the
**            shape is a binomial one, which tends to Gauss's. A hard edge's
**            tenth comes to lie within a fifth of a pixel of mm outside it.
**         3) Any clip has the bits of the whole map.
**         4) Block by block; a block that is bare or even all around is
**            copied, and so is everything when steps is 0.
*/
lh_status lh_bleed_map(const lh_bleed *b, const float *coat,
                       const lh_rect *clip, float *scratch,
                       const lh_watch *watch, float *out);

#endif
