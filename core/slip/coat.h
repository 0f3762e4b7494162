/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coat.h -- how much slip lies on the pot.
**
** One coat has five names: coats of the brush, dry g/m2, mm wet, mm dry, mm
** fired.  This part of the room turns each into the others and measures the
** coat weight from what the jar lost or the pot gained.  It knows nothing of
** where on the pot the slip lies: area is given, and the answer is the mean.
** The caller owns everything.
**
** Units: g, mm, mm2, dry g/m2, g per litre; fractions of 1.
*/
#ifndef LH_COAT_H
#define LH_COAT_H

#include "density.h"

/* Moisture at which a drying coat stops shrinking, dry basis [g/g].
** A judgement: shrinkage limits run from 0.085 to 0.29 by clay mineral
** (after Mitchell, Fundamentals of Soil Behavior). */
#define LH_SHRINK_LIMIT 0.12

/* Linear shrinkage of the coat in the fire, through its thickness.
** A judgement: about half of the middle of 5-15 %, which a pottery handbook
** gives for drying and firing of brick clays together. */
#define LH_FIRED_SHRINKAGE 0.05

/* What must be known of a slip to speak of its coats. */
typedef struct {
  double litre_weight;    /* as it is brushed                        [g/l] */
  double solids_density;  /* relative to water                         [1] */
  double water;           /* density of water, LH_WATER_G_L          [g/l] */
  double shrink_limit;    /* LH_SHRINK_LIMIT                         [g/g] */
  double fired_shrinkage; /* linear, LH_FIRED_SHRINKAGE         [fraction] */
  double one_coat_g_m2;   /* dry weight of one coat of the brush, measured;
                          ** 0: not known                           [g/m2] */
} lh_coat_slip;

/* The five names. */
typedef enum {
  LH_COAT_COATS,    /* coats of the brush                              [1] */
  LH_COAT_G_M2,     /* dry weight                                   [g/m2] */
  LH_COAT_WET_MM,   /* as laid                                        [mm] */
  LH_COAT_DRY_MM,   /* dry                                            [mm] */
  LH_COAT_FIRED_MM, /* after the fire                                 [mm] */
} lh_coat_name;

typedef struct {
  double coats; /* NaN when one_coat_g_m2 is not known                     */
  double g_m2, wet_mm, dry_mm, fired_mm;
} lh_coat;

/* One coat under all its names.
**
** Given:     s       the slip
**            name    which one is known
**            amount  how much of it, 0 or above
** Returned:  *c      all five
** Status:    LH_OK; LH_RANGE for a negative amount, NaN, a slip outside
**            (water, water S), fractions outside [0, 1), or coats of an
**            unknown weight
** Notes:  1) wet mm = g/m2 / (dry g per litre).
**         2) dry mm = g/m2 / rho_bulk, rho_bulk = 1/(1/rho_s + Xc/rho_w):
**            the coat is full of water until it stops shrinking at Xc.
**         3) fired mm = dry mm (1 - fired linear shrinkage).
**         4) Laid on a wall the coat shrinks in thickness only: the wall
**            holds it.  mm dry is then a mean that counts this in.
** Ref:    volumes of solids and water add; Bigot's curve for the limit.
*/
lh_status lh_slip_coat(const lh_coat_slip *s, lh_coat_name name, double amount,
                       lh_coat *c);

/* What a jar lost, from two weighings of jar, brush and slip together.
**
** Given:     before_g, after_g   weighed before and after painting     [g]
**            error_g             of one weighing, plus or minus        [g]
** Returned:  *loss_g             range: both errors, in quadrature     [g]
** Status:    LH_OK; LH_RANGE unless before > after >= 0 and error >= 0
** Notes:     1) Brush with the jar both times: what it holds is not lost.
**            2) An open jar loses water: about 0.6 g an hour for each
**               100 cm2 open (0.060 kg/m2 h, computed for 20 C, 50 %).
*/
lh_status lh_slip_jar_loss(double before_g, double after_g, double error_g,
                           lh_range *loss_g);

/* Coat weight from the wet slip that left the jar.
**
** Given:     loss_g          wet slip lost by jar and brush            [g]
**            area_mm2        on which it lies                        [mm2]
**            litre_weight    of the slip                             [g/l]
**            solids_density  relative to water                         [1]
** Returned:  *coat_g_m2      loss x (dry/total) / area, 90 % range  [g/m2]
** Status:    LH_OK; LH_RANGE for values not above 0, ranges not in order, or
**            a slip outside (1000, 1000 S)
** Notes:     1) Weigh the jar, not the pot: a wet pot of 100 cm2 loses about
**               0.01 g a minute a face.
*/
lh_status lh_slip_coat_from_loss(lh_range loss_g, lh_range area_mm2,
                                 lh_range litre_weight, lh_range solids_density,
                                 lh_range *coat_g_m2);

/* Coat weight from the gain of a pot weighed bone dry before and after.
**
** Given:     gain_g      dry slip gained                               [g]
**            area_mm2    on which it lies                            [mm2]
** Returned:  *coat_g_m2  gain / area, 90 % range                    [g/m2]
** Status:    LH_OK; LH_RANGE for values not above 0 or ranges not in order
*/
lh_status lh_slip_coat_from_gain(lh_range gain_g, lh_range area_mm2,
                                 lh_range *coat_g_m2);

#endif
