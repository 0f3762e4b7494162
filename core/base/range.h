/* SPDX-License-Identifier: GPL-3.0-or-later */
/* range.h -- a value and how far to trust it.
**
** Every prediction of the house carries its range: the low and high ends
** between which the true value lies nine times in ten.  Where a person states
** an error as "plus or minus e", e is taken as that half width (a judgement:
** nobody states a scale's error as a standard deviation).  Errors of
** different inputs are taken as independent.  Plain structs; nothing here
** allocates or remembers.
*/
#ifndef LH_RANGE_H
#define LH_RANGE_H

#include <math.h>
#include <stdbool.h>

/* A value with its 90 % range; low <= value <= high. */
typedef struct {
  double value, low, high;
} lh_range;

/* What several inputs do to one result, gathered input by input. */
typedef struct {
  double value;    /* the result with every input at its value        */
  double down, up; /* sums of squares of the changes down, and up      */
} lh_spread;

/* A value known exactly, or to plus or minus e. */
static inline lh_range lh_range_exact(double v)
{
  return (lh_range){v, v, v};
}

static inline lh_range lh_range_within(double v, double e)
{
  return (lh_range){v, v - e, v + e};
}

/* Are the three numbers finite and in order? */
static inline bool lh_range_valid(lh_range r)
{
  return isfinite(r.low) && isfinite(r.high) && r.low <= r.value &&
         r.value <= r.high;
}

/* Begin with the result at the inputs' values. */
static inline lh_spread lh_spread_of(double value)
{
  return (lh_spread){value, 0.0, 0.0};
}

/* Add the effect of one input.
**
** Given:     s           what was gathered so far
**            a, b        the result with that one input at its low and at its
**                        high end, in either order
** Returned:  *s          with the changes added in quadrature
** Notes:     1) Each end is asked of the formula itself, not of a derivative,
**               so a result that bends keeps its lopsided range.
**            2) Exact for sums of normal errors; else to first order.
** Ref:       JCGM 100:2008 (GUM), 5.1.3 note 2 (effects by finite change).
*/
static inline void lh_spread_add(lh_spread *s, double a, double b)
{
  double low = fmin(fmin(a, b) - s->value, 0.0);
  double high = fmax(fmax(a, b) - s->value, 0.0);

  s->down += low * low;
  s->up += high * high;
}

/* The range that comes of it. */
static inline lh_range lh_spread_range(lh_spread s)
{
  return (lh_range){s.value, s.value - sqrt(s.down), s.value + sqrt(s.up)};
}

#endif
