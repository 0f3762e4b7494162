/* SPDX-License-Identifier: GPL-3.0-or-later */
/* melt.h -- how a model of melts says that it cannot answer.
**
** Expansion and viscosity are sums over oxides, made from glasses of a
** certain span of compositions.  Outside of it they are refused, and the
** oxide is named that stands farthest out, measured as a share of its limit.
*/
#ifndef LH_MELT_H
#define LH_MELT_H

#include <stddef.h>

typedef enum {
  LH_MELT_FINE,
  LH_MELT_ABOVE,   /* more of the oxide than any glass of the model's  */
  LH_MELT_BELOW,   /* less of it (silica) than any                     */
  LH_MELT_UNKNOWN, /* the model knows nothing of this oxide            */
  LH_MELT_CURVE    /* the sums give no curve that a melt can have      */
} lh_melt_why;

typedef struct {
  lh_melt_why why;
  size_t oxide;  /* which, a row of oxide.h                            */
  double amount; /* how much there is, in the model's unit         [%] */
  double limit;  /* and how much it answers for                    [%] */
} lh_melt_limit;

#endif
