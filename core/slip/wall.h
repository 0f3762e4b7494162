/* SPDX-License-Identifier: GPL-3.0-or-later */
/* wall.h -- where a coat's water goes: the water balance of the wall.
**
** The wall, not the air, dries a coat.  Before any model of time the balance
** alone says how wet the wall becomes: x_even when the coat's water spreads
** evenly over wall and coat, x_ceiling if all of it went into the wall.  A
** thin rim coated on both faces takes up most.  No diffusivity is needed and
** no time is told: when the sheen goes is another matter.
** The room knows one place of the wall, not the form.  The caller owns all
** arrays; nothing allocates or remembers.
**
** Units: mm, dry g/m2, moisture X in g water per g dry clay (dry basis).
*/
#ifndef LH_WALL_H
#define LH_WALL_H

#include <stddef.h>

#include "coat.h"

/* Moisture of a leather-hard wall, and its spread.  A judgement: 0.16 to
** 0.25 are called leather-hard; weigh an offcut wet and oven-dry instead. */
#define LH_WALL_MOISTURE 0.20
#define LH_WALL_MOISTURE_ERROR 0.02
/* Calipers on a thrown wall [mm], and one hand's coats [fraction].
** Judgements. */
#define LH_WALL_THICKNESS_ERROR 0.5
#define LH_WALL_COAT_ERROR 0.2

/* Moisture above which a wall or rim is too wet: caution and stop.
** Judgements the potter must be able to change.  0.25 is the wettest that is
** called leather-hard; 0.33 is the liquid limit of a pottery clay (Adeagbo,
** Ola, Ojuri 2016), at which it would flow, and 0.30 stays short of it. */
#define LH_WALL_CAUTION 0.25
#define LH_WALL_STOP 0.30

typedef struct {
  lh_range thickness_mm; /*                                           [mm] */
  lh_range moisture;     /* X before any coat                        [g/g] */
  int faces;             /* coated, 1 or 2 (a rim: 2)                      */
  double solids_density; /* of the body, LH_SOLIDS_DENSITY             [1] */
  double shrink_limit;   /* Xc, LH_SHRINK_LIMIT                      [g/g] */
  double water;          /* density of water, LH_WATER_20C_G_L       [g/l] */
} lh_wall;

/* One coat as laid, on each coated face. */
typedef struct {
  double g_m2;          /* dry                                      [g/m2] */
  double water_per_dry; /* X of the slip: water over solids          [g/g] */
} lh_wall_coat;

typedef struct {
  lh_range x_even;        /* water shared over wall and coats       [g/g] */
  lh_range x_ceiling;     /* all of it in the wall                  [g/g] */
  double wall_dry_g_m2;   /* dry clay of the wall                  [g/m2] */
  double coat_dry_g_m2;   /* of all coats and faces                [g/m2] */
  double coat_water_g_m2; /* of all coats and faces                [g/m2] */
  double swelling;        /* linear, from moisture to x_even   [fraction] */
} lh_wall_balance;

typedef enum { LH_WALL_FIT, LH_WALL_CAREFUL, LH_WALL_TOO_WET } lh_wall_word;

/* Dry clay in a wall.
**
** Given:     w                the wall
** Returned:  *dry_g_m2        thickness x rho_d                      [g/m2]
** Status:    LH_OK; LH_RANGE as lh_slip_wall
** Notes:     1) rho_d = 1/(1/rho_s + max(X, Xc)/rho_w): full of water down
**               to the shrinkage limit, of constant size below it.
*/
lh_status lh_slip_wall_dry(const lh_wall *w, double *dry_g_m2);

/* Water balance after a list of coats.
**
** Given:     w           the wall
**            coat, n     the coats, in any order; n may be 0
**            coat_error  relative error of them all together     [fraction]
** Returned:  *b          see the struct
** Status:    LH_OK; LH_RANGE for a thickness not above 0, moisture outside
**            [0, 1], faces other than 1 or 2, a negative coat, fractions
**            outside [0, 1), ranges not in order
** Notes:  1) x_even = (m_w X + sum m_c X_c)/(m_w + sum m_c); x_ceiling the
**            same over m_w alone.  Nothing evaporates: both are the most.
**         2) Slip and wall are taken to hold water alike; of two clays the
**            finer keeps more.
**         3) Ranges from thickness, moisture and coats, in quadrature.
** Ref:    mass balance.
*/
lh_status lh_slip_wall(const lh_wall *w, const lh_wall_coat *coat, size_t n,
                       double coat_error, lh_wall_balance *b);

/* How many equal coats a wall takes until x_even reaches a moisture.
**
** Given:     w, coat   the wall and one coat as laid on each coated face
**            limit     moisture not to pass                          [g/g]
** Returned:  *coats    a real number, 0 when the wall is wetter already;
**                      INFINITY when the coats are no wetter than that
** Status:    LH_OK; LH_RANGE as lh_slip_wall, or a limit outside (0, 1]
*/
lh_status lh_slip_wall_room(const lh_wall *w, const lh_wall_coat *coat,
                            double limit, double *coats);

/* Linear shrinkage between two moistures (Bigot's curve, saturated clay).
**
** Given:     from, to          moisture before and after             [g/g]
**            solids_density    relative to water                       [1]
**            shrink_limit, water   Xc [g/g] and water [g/l]
** Returned:  *shrinkage        1 - l/l0; below 0: it swells     [fraction]
** Status:    LH_OK; LH_RANGE for negative moisture or densities not above 0
** Notes:     1) l/l0 = [(1/rho_s + X/rho_w)/(1/rho_s + X0/rho_w)]^(1/3) for
**               X >= Xc, constant below.  Exact for a saturated, isotropic
**               body.
*/
lh_status lh_slip_shrinkage(double from, double to, double solids_density,
                            double shrink_limit, double water,
                            double *shrinkage);

/* What the balance means for a wall or rim.
**
** Given:     b               the balance
**            caution, stop   moistures, LH_WALL_CAUTION, LH_WALL_STOP [g/g]
** Returned:  LH_WALL_TOO_WET when x_even passes stop; LH_WALL_CAREFUL when it
**            passes caution or x_ceiling passes stop; else LH_WALL_FIT
** Notes:     1) The values are compared, not the ends of the ranges, so that
**               the word does not turn with the error stated; show the range.
*/
lh_wall_word lh_slip_wall_judge(const lh_wall_balance *b, double caution,
                                double stop);

#endif
