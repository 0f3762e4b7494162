/* SPDX-License-Identifier: GPL-3.0-or-later */
/* oxide.h -- what is left after the fire, and what leaves in it.
**
** By custom the chemistry of fired ware is told in oxides, one oxide for
** each element at a settled oxidation state: Fe2O3, MnO, CoO, CuO, TiO2.
** The table is data/oxides.csv.  Its first LH_OXIDES rows are the fired
** oxides; then come the forms that leave (H2O, CO2, SO3, F, ...); then other
** forms in which an analysis may be written (FeO, MnO2, Co3O4, ...), which
** are turned into the fired oxide of the same element.  An oxide is a row's
** index.  Nothing here allocates, prints or remembers.
**
** Loss on ignition is the difference of the weights before and after, so
** that oxygen given off (MnO2 to MnO) or taken up (Fe3O4 to Fe2O3) is in it
** and no weight is lost from the books.  Counted as leaving whole:
** hydrogen, carbon, nitrogen, sulphur, fluorine, chlorine, selenium.  That
** is a judgement: some sulphate and about half of the fluorine stay in many
** a real glaze, and a little lead, boron, alkali and zinc leave it.
*/
#ifndef LH_OXIDE_H
#define LH_OXIDE_H

#include <stdbool.h>
#include <stddef.h>

#include "formula.h"
#include "status.h"

/* Rows of data/oxides.csv; oxide.c refuses to compile otherwise. */
enum {
  LH_OXIDES = 35,     /* fired oxides                               */
  LH_OXIDE_FORMS = 56 /* all rows: fired, leaving, and other forms   */
};

typedef enum {
  LH_ROLE_R2O,        /* flux, one cation to half an oxygen: Na2O    */
  LH_ROLE_RO,         /* flux, one cation to one oxygen: CaO         */
  LH_ROLE_AMPHOTERIC, /* stabiliser: Al2O3                           */
  LH_ROLE_FORMER,     /* glass former: SiO2, B2O3, P2O5              */
  LH_ROLE_OPACIFIER,  /* SnO2, ZrO2, TiO2, CeO2                      */
  LH_ROLE_COLOURANT,  /* Fe2O3, CoO, CuO, ...                        */
  LH_ROLE_OTHER,
  LH_ROLE_LEAVES, /* not there after the fire                        */
  LH_ROLE_FORM    /* another form of a fired oxide                   */
} lh_role;

/* Facts of a row; i < LH_OXIDE_FORMS. */
const char *lh_oxide_symbol(size_t i); /* "Al2O3"                    */
const char *lh_oxide_name(size_t i);   /* "alumina"                  */
double lh_oxide_weight(size_t i);      /* molar weight      [g/mol]  */
double lh_oxide_cations(size_t i);     /* cations in one oxide       */
size_t lh_oxide_element(size_t i);     /* the cation, an element     */
lh_role lh_oxide_role(size_t i);
const char *lh_oxide_role_name(size_t i); /* "flux R2O", ...          */

/* The fired oxide a row turns into; LH_OXIDES when it leaves. */
size_t lh_oxide_fired(size_t i);

/* Does it count among the fluxes whose sum is set to one?
**
** Notes:  1) By default Li2O, Na2O, K2O, MgO, CaO, SrO, BaO, ZnO, PbO.  The
**            colouring MnO, CoO, NiO, CuO and iron (Fe2O3) do not: common
**            practice, no source; every recipe call takes another list.
*/
bool lh_oxide_flux(size_t i);

/* Find a row by its symbol, case counting.
**
** Returned:  the index; LH_OXIDE_FORMS when there is none
**
** Notes:  1) To name the nearest, ask lh_nearest() with the symbols of all
**            rows by lh_oxide_symbol().
*/
size_t lh_oxide_find(const char *symbol);

/* Fire a formula.
**
** Given:     f      atoms of one formula unit
** Returned:  mol[LH_OXIDE_FORMS]  moles of each fired oxide and of each
**                   form that leaves, from one mole; others 0
**            *oxygen  moles of O2 given off; negative when taken up
**            *loss    what leaves in all, oxygen with it             [g]
** Status:    LH_OK; LH_RANGE for an element without a row (none has)
**
** Notes:  1) The loss is the weight of one mole less the fired oxides', so
**            weight is kept to the last bit or two.
*/
lh_status lh_oxide_fire(const lh_formula *f, double mol[LH_OXIDE_FORMS],
                        double *oxygen, double *loss);

#endif
