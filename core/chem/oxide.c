/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "oxide.h"

#include <string.h>

#include "oxides.h"

_Static_assert((int)LH_OXIDE_FORMS == (int)oxides_count,
               "oxide.h and data/oxides.csv differ");

const char *lh_oxide_symbol(size_t i)
{
  return oxides[i].oxide;
}

const char *lh_oxide_name(size_t i)
{
  return oxides[i].name;
}

double lh_oxide_cations(size_t i)
{
  return oxides[i].cations;
}

size_t lh_oxide_element(size_t i)
{
  return lh_element_find(oxides[i].cation, strlen(oxides[i].cation));
}

double lh_oxide_weight(size_t i)
{
  return oxides[i].cations * lh_element_weight(lh_oxide_element(i)) +
         oxides[i].oxygens * lh_element_weight(lh_element_find("O", 1));
}

const char *lh_oxide_role_name(size_t i)
{
  return oxides[i].role;
}

lh_role lh_oxide_role(size_t i)
{
  static const char word[][16] = {"flux R2O",     "flux RO",   "stabiliser",
                                  "glass former", "opacifier", "colourant",
                                  "other",        "leaves",    "form"};

  for (size_t k = 0; k < sizeof word / sizeof word[0]; k++)
    if (strcmp(word[k], oxides[i].role) == 0) return (lh_role)k;
  return LH_ROLE_OTHER;
}

/* The row that stands for an element after the fire, or leaves in it. */
static size_t row_of(const char *element)
{
  for (size_t i = 0; i < LH_OXIDE_FORMS; i++)
    if (strcmp(oxides[i].cation, element) == 0) return i;
  return LH_OXIDE_FORMS;
}

size_t lh_oxide_fired(size_t i)
{
  size_t row = row_of(oxides[i].cation);

  return row < LH_OXIDES ? row : LH_OXIDES;
}

bool lh_oxide_flux(size_t i)
{
  return oxides[i].flux > 0.0;
}

size_t lh_oxide_find(const char *symbol)
{
  for (size_t i = 0; i < LH_OXIDE_FORMS; i++)
    if (strcmp(oxides[i].oxide, symbol) == 0) return i;
  return LH_OXIDE_FORMS;
}

lh_status lh_oxide_fire(const lh_formula *f, double mol[LH_OXIDE_FORMS],
                        double *oxygen, double *loss)
{
  size_t o = lh_element_find("O", 1);
  double left = f->atoms[o], fired = 0.0;

  for (size_t i = 0; i < LH_OXIDE_FORMS; i++) mol[i] = 0.0;
  for (size_t e = 0; e < LH_ELEMENTS; e++) {
    size_t i;
    if (e == o || f->atoms[e] == 0.0) continue;
    i = row_of(lh_element_symbol(e));
    if (i == LH_OXIDE_FORMS) return LH_RANGE;
    mol[i] = f->atoms[e] / oxides[i].cations;
    left -= mol[i] * oxides[i].oxygens;
    if (i < LH_OXIDES) fired += mol[i] * lh_oxide_weight(i);
  }
  *oxygen = left / 2.0;
  *loss = lh_formula_weight(f) - fired;
  return LH_OK;
}
