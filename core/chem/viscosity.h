/* SPDX-License-Identifier: GPL-3.0-or-later */
/* viscosity.h -- at which temperature a melt has a given viscosity.
**
** Two published models (data/fluegel2007.csv, data/lakatos1976.csv), each
** refused outside the compositions it was made from, the oxide named.  They
** speak of melts: never of a slip or a body.  A glaze is thin enough to heal
** at about log10 of Pa s 2.5 to 3, soft at 6.6, and stiffens at 12.  Nothing
** here allocates, prints or remembers.
*/
#ifndef LH_VISCOSITY_H
#define LH_VISCOSITY_H

#include <stdbool.h>

#include "melt.h"
#include "oxide.h"
#include "status.h"

typedef enum { LH_VISCOSITY_FLUEGEL, LH_VISCOSITY_LAKATOS } lh_viscosity_model;

enum { LH_VISCOSITY_MODELS = 2, LH_VISCOSITY_LEVELS = 3 };

typedef struct {
  double level[LH_VISCOSITY_LEVELS]; /* log10 of viscosity      [Pa s] */
  double t_c[LH_VISCOSITY_LEVELS];   /* temperature; NAN when refused [C] */
  double e_c[LH_VISCOSITY_LEVELS];   /* plus or minus, 90 %        [C] */
  bool valid;                        /* at every level                 */
  lh_melt_limit limit;               /* why not, when not              */
  double sum_c[LH_VISCOSITY_LEVELS]; /* the bare sums, to compare models and
                       never to be shown where t_c is refused   [C] */
  double a, b, t0; /* log10 = a + b/(T - t0) through these; NAN when they
                      make no curve that a melt can have  [Pa s, C] */
} lh_viscosity;

/* Name of a model as documents write it: "fluegel2007", "lakatos1976". */
const char *lh_viscosity_name(lh_viscosity_model model);

/* Temperatures of a melt at a model's three levels.
**
** Given:     mol    moles of the melt's oxides, any scale; forms that leave
**                   (SO3, F) may be given for a glass that still holds them
**            model  which
** Returned:  *v     levels at which the composition is outside are NAN
** Status:    LH_OK; LH_RANGE when the moles are negative, NaN or add to
**            nothing
**
** Notes:  1) Fluegel's levels are 1.5, 6.6 and 12.0, Lakatos's 1, 3 and 5
**            (log 2, 4, 6 of poise).
**         2) Plus or minus is 1.645 times the paper's standard error; for
**            Fluegel the largest of the printed 9 to 17 C.
**         3) Oxides that Lakatos did not have may be present up to 0.2 wt%
**            each, a judgement.  Fluegel's limits are taken at their word, to
**            half a unit of their last digit (0.005).
** Ref:    A. Fluegel (2007), Glass Technol. A 48, 13-30; T. Lakatos, L.-G.
**         Johansson, B. Simmingskold (1976), Glasteknisk Tidskrift, suppl.
*/
lh_status lh_viscosity_of(const double mol[LH_OXIDE_FORMS],
                          lh_viscosity_model model, lh_viscosity *v);

#endif
