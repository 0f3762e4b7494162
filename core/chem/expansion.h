/* SPDX-License-Identifier: GPL-3.0-or-later */
/* expansion.h -- the thermal expansion of a glaze as a sum over its oxides.
**
** Four old sets of factors (data/expansion_factors.csv), partly from memory,
** each in
** its own unit and over its own span of temperature; they disagree by 1e-6
** per K and more.  They speak of glass: never of a slip or a body, where free
** quartz, cristobalite and crystals decide.  Two glazes compared by one model
** say more than one glaze by any.  Nothing here allocates, prints or
** remembers.
*/
#ifndef LH_EXPANSION_H
#define LH_EXPANSION_H

#include <stdbool.h>

#include "melt.h"
#include "oxide.h"
#include "status.h"

typedef enum {
  LH_EXPANSION_APPEN,
  LH_EXPANSION_ENGLISH_TURNER,
  LH_EXPANSION_WINKELMANN_SCHOTT,
  LH_EXPANSION_MAYER_HAVAS
} lh_expansion_model;

enum { LH_EXPANSION_MODELS = 4 };

typedef struct {
  double value;         /* mean linear expansion      [1e-6 per K] */
  double low_c, high_c; /* between these temperatures          [C] */
  bool valid;
  lh_melt_limit limit; /* why not, when not                        */
} lh_expansion;

/* Name of a model as documents write it: "appen", ... */
const char *lh_expansion_name(lh_expansion_model model);

/* Expansion of a glass by one model.
**
** Given:     mol     moles of the fired oxides, any scale          [mol]
**            model   whose factors
** Returned:  *e      e->value is the bare sum even when not valid; oxides
**                    without a factor count as nothing in it
** Status:    LH_OK; LH_RANGE when the moles are negative, NaN or add to
**            nothing
**
** Notes:  1) Appen works in mole per cent, the others in weight per cent.
** Ref:    A. A. Appen, Chemistry of Glass (1974), from memory; S. English,
**         W. E. S. Turner (1920); A. Winkelmann, O. Schott (1894); M. Mayer,
**         B. Havas (1911), from memory.
*/
lh_status lh_expansion_of(const double mol[LH_OXIDES], lh_expansion_model model,
                          lh_expansion *e);

#endif
