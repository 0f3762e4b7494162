/* SPDX-License-Identifier: GPL-3.0-or-later */
/* density.h -- what a slip holds, told from what it weighs.
**
** The one measurement a potter always has is the weight of a known volume.
** This part of the room turns it into dry solids and water, and into the
** other scales in use (specific gravity, degrees Twaddell, ounces per pint).
** It knows nothing of recipes, pots or files.  A slip here is solids of one
** mean density in water, with no air in it: stir out bubbles before weighing.
** Numbers in, numbers out; the caller owns everything.
**
** Units: g, ml, litre weight and contents in g per litre; the density of the
** solids is relative to water (2.6 means 2.6 g/ml).
*/
#ifndef LH_DENSITY_H
#define LH_DENSITY_H

#include <stddef.h>

#include "range.h"
#include "status.h"

/* Water in Brongniart's formula [g/l].  Source: Brongniart, Traite des arts
** ceramiques (1854), vol. 1 p. 249, as quoted in a potter's handbook. */
#define LH_WATER_G_L 1000.0

/* Water at 20 C [g/l].  Source: 0.998 g/ml as in the slip table the coats
** are checked with; 998.2 by IAPWS-95.  The 0.2 % are far below any
** weighing's error. */
#define LH_WATER_20C_G_L 998.0

/* Density of slip solids when nobody measured it, and how far off that may
** be.  Source of 2.6: the handbook's table after Brongniart; other worked
** examples have 2.5 and 2.65.  The +-0.1 is a judgement that spans them. */
#define LH_SOLIDS_DENSITY 2.6
#define LH_SOLIDS_DENSITY_ERROR 0.1

/* A weighing of a jug when nobody states its errors: +-0.3 g and 1 % of the
** volume (+-1 ml in 100 ml).  A judgement; together +-15 g/l at 1500. */
#define LH_WEIGHING_ERROR_G 0.3
#define LH_VOLUME_ERROR 0.01

/* A known volume on the scale. */
typedef struct {
  double weighed_g;        /* slip alone, jug tared                    [g] */
  double weighed_ml;       /* its volume                              [ml] */
  double weighing_error_g; /* plus or minus                            [g] */
  double volume_error_ml;  /* plus or minus                           [ml] */
} lh_weighing;

/* What one litre of slip holds, in every scale in use. */
typedef struct {
  double litre_weight;     /*                                   [g/l] */
  double specific_gravity; /* litre weight over that of water     [1] */
  double twaddell;         /* degrees Twaddell                   [Tw] */
  double oz_pint_uk;       /* weight of an imperial pint   [oz/pint] */
  double oz_pint_us;       /* weight of a US pint          [oz/pint] */
  double dry_g_l;          /* dry solids in a litre             [g/l] */
  double water_g_l;        /* water in a litre                  [g/l] */
  double solids;           /* dry part of the weight [mass fraction] */
  double solids_volume;    /* dry part of the volume      [fraction] */
  double water_per_dry;    /* X, water per dry solid          [g/g] */
} lh_slip_content;

/* Litre weight from any weighed volume, with its range.
**
** Given:     w      the weighing with its errors
** Returned:  *p     litre weight, 90 % range                       [g/l]
** Status:    LH_OK; LH_RANGE for a volume, weight or error that is not a
**            positive number (errors may be 0), or an error as large as what
**            it belongs to
** Notes:     1) 100 ml known to +-1 ml and weighed to +-0.3 g is good to
**               about +-15 g/l.
**            2) Whether it can be a slip is not asked here: water gives 1000.
*/
lh_status lh_slip_weighed(const lh_weighing *w, lh_range *p);

/* Dry solids in a litre of slip: Brongniart's formula.
**
** Given:     litre_weight     P                                    [g/l]
**            solids_density   S, relative to water                   [1]
** Returned:  *dry_g_l         W = (P - 1000) S/(S - 1)             [g/l]
** Status:    LH_OK; LH_RANGE unless S > 1 and 1000 < P < 1000 S (at or below
**            water's weight there is no slip, at that of the solids no water)
** Ref:       Brongniart (1854), vol. 1 p. 249.
*/
lh_status lh_slip_dry(double litre_weight, double solids_density,
                      double *dry_g_l);

/* Litre weight from dry solids: Brongniart's formula turned round.
**
** Given:     dry_g_l          W                                    [g/l]
**            solids_density   S, relative to water                   [1]
** Returned:  *litre_weight    P = 1000 + W (S - 1)/S               [g/l]
** Status:    LH_OK; LH_RANGE unless S > 1 and 0 < W < 1000 S
** Ref:       as above.
*/
lh_status lh_slip_litre_weight(double dry_g_l, double solids_density,
                               double *litre_weight);

/* Dry solids in a litre, with the range of both inputs carried through.
**
** Given:     litre_weight, solids_density   with their ranges
** Returned:  *dry_g_l                       90 % range             [g/l]
** Status:    LH_OK; LH_RANGE as lh_slip_dry at the values, or for a range
**            that is not in order
** Notes:     1) A low end below what can be is moved up to it: a weighing
**               near water's gives a range that begins at 0.
*/
lh_status lh_slip_dry_range(lh_range litre_weight, lh_range solids_density,
                            lh_range *dry_g_l);

/* Everything a litre weight says.
**
** Given:     litre_weight, solids_density   P and S as in lh_slip_dry
** Returned:  *c                             see the struct
** Status:    LH_OK; LH_RANGE as lh_slip_dry
** Notes:     1) dry_g_l + water_g_l = litre_weight.
**            2) Ounces per pint by exact volumes (units.h); for the trade's
**               rounder rule see lh_slip_oz_pint.
*/
lh_status lh_slip_content_of(double litre_weight, double solids_density,
                             lh_slip_content *c);

/* Density of a slip from its solids by weight.
**
** Given:     solids           dry part of the weight, 0..1  [mass fraction]
**            solids_density   relative to water                      [1]
**            water            density of water                     [g/l]
** Returned:  *litre_weight    1/(w/(1000 S) + (1 - w)/water)       [g/l]
** Status:    LH_OK; LH_RANGE unless 0 <= solids <= 1, S > 1, water > 0
** Notes:     1) With water 1000 it is Brongniart's formula in other letters.
** Ref:       volumes of solids and water add.
*/
lh_status lh_slip_density(double solids, double solids_density, double water,
                          double *litre_weight);

/* Density of a mix of solids from those of its materials.
**
** Given:     grams, density, n   of each material; density relative to water
** Returned:  *solids_density     total over the sum of volumes           [1]
** Status:    LH_OK; LH_RANGE for a negative weight, all of them 0, or, of a
**            material that is weighed, a density not above 0 or not known
** Ref:       volumes of solids add.
*/
lh_status lh_slip_solids_density(const double *grams, const double *density,
                                 size_t n, double *solids_density);

/* Degrees Twaddell and specific gravity.
**
** Given:     specific gravity                                        [1]
**            or degrees Twaddell                                    [Tw]
** Returned:  Tw = 200 (SG - 1), or SG = 1 + Tw/200
** Ref:       the scale's definition (Lunge, quoted in a units dictionary).
*/
double lh_slip_twaddell(double specific_gravity);
double lh_slip_from_twaddell(double twaddell);

/* Ounces per imperial pint as the trade reckons, and specific gravity.
**
** Given:     specific gravity                                        [1]
**            or ounces to the imperial pint                    [oz/pint]
** Returned:  20 SG, or ounces/20
** Notes:     1) "A pint of water weighs 20 ounces": the gallon of 10 pounds.
**               By exact volumes a pint of 1000 g/l water weighs 20.045 oz,
**               0.2 % more: 3 g/l at 1400, far below a weighing's error.
** Ref:       imperial gallon = 10 lb of water (Act of 1824).
*/
double lh_slip_oz_pint(double specific_gravity);
double lh_slip_from_oz_pint(double oz);

#endif
