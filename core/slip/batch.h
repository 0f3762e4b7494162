/* SPDX-License-Identifier: GPL-3.0-or-later */
/* batch.h -- how much slip to mix, and what to weigh for it.
**
** From the area to be covered to grams on the scale.  A scale shows steps
** (0.1 g, 1 g); rounding each line for itself bends the recipe most where it
** hurts, at the few grams of stain.  Here the batch is made a little larger,
** never smaller, where that lets all lines fall nearer their steps.
** The room knows lines by number only: names, cautions and currency belong
** above.  The caller owns all arrays; nothing allocates or remembers.
**
** Units: mm2, g, ml, g/m2, g per litre; fractions of 1, not percent.
*/
#ifndef LH_BATCH_H
#define LH_BATCH_H

#include <stddef.h>

#include "density.h"

/* Most lines in one batch: a judgement, several times any slip's. */
enum { LH_BATCH_LINES = 128 };

/* How much larger a batch may become for better rounding.  A judgement. */
#define LH_BATCH_SPARE 0.02

/* What is to be covered. */
typedef struct {
  double area_mm2;  /* of one pot                                    [mm2] */
  double coat_g_m2; /* dry coat weight                              [g/m2] */
  double pots;      /* how many                                        [1] */
  double waste;     /* lost in brush, sieve and bowl, over the need
                    ** (0.1: a tenth more is mixed)             [fraction] */
  double residue_g; /* dry slip that stays in the jar                  [g] */
} lh_batch_need;

/* One line of the recipe. */
typedef struct {
  double parts;        /* of the recipe, or percent of it for an addition */
  int is_addition;     /* 0: a part; else percent of the sum of the parts */
  double price_per_kg; /* NaN: not known                [currency per kg] */
  double stock_g;      /* NaN: not known                              [g] */
} lh_batch_line;

/* How it is to be weighed and wetted. */
typedef struct {
  double dry_g;          /* at least so much dry slip                  [g] */
  double scale_step_g;   /* what the scale shows                       [g] */
  double spare;          /* how much more may be made, LH_BATCH_SPARE
                         **                                     [fraction] */
  double litre_weight;   /* to mix to                                [g/l] */
  double solids_density; /* relative to water                          [1] */
} lh_batch_ask;

/* One line as weighed. */
typedef struct {
  double grams;        /* a whole number of the scale's steps          [g] */
  double running_g;    /* what a pan tared once shows after it         [g] */
  double deviation;    /* grams over the recipe's, minus 1      [fraction] */
  double cost;         /* NaN: price not known                  [currency] */
  double stock_left_g; /* below 0: so much is missing; NaN: unknown    [g] */
} lh_batch_weighed;

/* The batch as a whole. */
typedef struct {
  double dry_g;          /* sum of the lines                           [g] */
  double water_g;        /* to the litre weight                        [g] */
  double volume_ml;      /* of the slip                               [ml] */
  double rounding_error; /* largest |deviation| of a line       [fraction] */
  double rounding_rms;   /* root mean square of the deviations  [fraction] */
  size_t worst;          /* the line it belongs to                         */
  double cost;           /* of the lines with a price           [currency] */
  size_t unpriced;       /* lines without one                              */
  size_t short_lines;    /* lines of which the stock runs out              */
  size_t first_short;    /* the line that runs out first, or n             */
  double stock_dry_g;    /* most dry slip the stock allows; INFINITY when
                         ** no stock is known                          [g] */
} lh_batch_total;

/* Dry slip for an area.
**
** Given:     need     areas, coat weight, pots and losses
** Returned:  *dry_g   area x coat x pots x (1 + waste) + residue      [g]
** Status:    LH_OK; LH_RANGE for a negative number, NaN, or a sum of 0
*/
lh_status lh_slip_batch_dry(const lh_batch_need *need, double *dry_g);

/* What to weigh.
**
** Given:     ask         how much, on what scale, to what litre weight
**            line, n     the recipe, 1..LH_BATCH_LINES lines
** Returned:  out[0..n)   grams and running totals in the order given
**            *total      see the struct
** Status:    LH_OK; LH_RANGE for numbers that are not finite or negative
**            (prices and stock may be NaN), parts that add to nothing, a
**            step of 0, a litre weight outside (1000, 1000 S), or over 1e9
**            steps; LH_TOOLARGE for too many lines
**
** Notes:  1) Of all whole numbers of steps whose sum holds the dry slip
**            needed and at most max(n steps, spare) more, those are chosen
**            whose largest relative deviation of a line's share from the
**            recipe's is least; of equals, the least sum of squares, then
**            the smallest batch.  The largest, not the mean: one stain at
**            twice its share spoils a colour however true the clay is.
**         2) Exact: for a given sum, giving each step to the line that ends
**            nearest is optimal as every line's deviation is convex in its
**            steps.  At most 512 sums, or n, are tried.
**         3) A line with parts above 0 gets at least one step; a scale too
**            coarse for it shows as a large rounding_error.
**         4) running_g counts the pan tared once, before the first line.
**         5) dry_g + water_g = volume_ml x litre_weight / 1000.
** Ref:    Gross (1956), Fox (1966): marginal allocation with convex costs.
*/
lh_status lh_slip_batch(const lh_batch_ask *ask, const lh_batch_line *line,
                        size_t n, lh_batch_weighed *out, lh_batch_total *total);

#endif
