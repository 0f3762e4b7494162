/* SPDX-License-Identifier: GPL-3.0-or-later */
/* thin.h -- from the litre weight there is to the litre weight wanted.
**
** A slip too heavy gets water; one too light is left to settle and clear
** water is let off, or dry slip is stirred in.  This part of the room says
** how much of each.  It knows the jar's volume and weight, not how the slip
** flows: litre weight first, consistency after.  The caller owns everything.
**
** Units: ml, g, g per litre; solids relative to water.
*/
#ifndef LH_THIN_H
#define LH_THIN_H

#include "density.h"

/* A drop [ml].  Common practice, no source; a judgement. */
#define LH_DROP_ML 0.05

/* The slip there is and the weight wanted. */
typedef struct {
  lh_range litre_weight;      /* P1, as it is                   [g/l] */
  double target_litre_weight; /* P2, as it should be            [g/l] */
  lh_range volume_ml;         /* V, in the jar                   [ml] */
  lh_range solids_density;    /* S, relative to water             [1] */
} lh_thin_ask;

/* What to do about it. */
typedef struct {
  lh_range add_water_ml;  /* below 0: clear water to let off         [ml] */
  double drops;           /* add_water_ml in drops; 0 when decanting  [1] */
  double decant_ml;       /* clear water to let off after settling,
                          ** 0 when water is added                   [ml] */
  double decant_part;     /* decant_ml over the jar's volume   [fraction] */
  double dry_slip_g;      /* or: dry slip to stir in instead, 0 when
                          ** water is added                           [g] */
  double volume_after_ml; /* after adding or letting off water       [ml] */
  double per_10_g_l_ml;   /* water for each 10 g/l too heavy, from the
                          ** target up                               [ml] */
  lh_range dry_g;         /* dry solids in the jar                    [g] */
  double water_g;         /* water in the jar as it is                [g] */
} lh_thin_answer;

/* Water to add, or to let off, for a litre weight.
**
** Given:     a      what there is and what is wanted
** Returned:  *t     see the struct; *t untouched unless LH_OK
** Status:    LH_OK; LH_RANGE for a volume not above 0, a range not in order,
**            S not above 1, or either litre weight outside (1000, 1000 S)
** Notes:  1) add = V (P1 - P2)/(P2 - 1000): weight and volume both add.
**         2) Below 0 the same volume of *clear* water must go: what is let
**            off cloudy takes solids along.  How far a slip settles is not
**            known here: weigh again after.
**         3) Dry slip instead: V (P2 - P1)/(1 - P2/(1000 S)), V in litres.
**         4) The range holds what comes of litre weight and volume; the
**            target is taken as exact.
** Ref:    algebra of adding volumes; a worked example by Brongniart's formula
**         (14 kg dry from 1750 to 1500: 5.6 kg of water) is in the tests.
*/
lh_status lh_slip_thin(const lh_thin_ask *a, lh_thin_answer *t);

#endif
