/* SPDX-License-Identifier: GPL-3.0-or-later */
/* stain.h -- what a stain asks of the glaze and the fire around it.
**
** A stain is a crystal that must outlive the glaze: chrome-tin wants lime and
** no zinc, cadmium its capsule, each kind a temperature that it bears.  The
** table is data/stain_rules.csv: each row a rule of one family of stains,
** with why, what to do, and its source or "common practice, no source".
** This room compares numbers; it does not know recipes, pieces or names of
** materials.  The tables are constant; nothing here allocates, prints or
** remembers.
*/
#ifndef LH_STAIN_H
#define LH_STAIN_H

#include <stddef.h>

#include "oxide.h"
#include "status.h"

enum {
  LH_STAIN_FAMILIES = 20, /* rows of the list below               */
  LH_STAIN_RULES_MOST = 8 /* rules of one family, at most; tested */
};

/* The families, in the order of the table; ends with NULL. */
extern const char *const lh_stain_families[LH_STAIN_FAMILIES + 1];

typedef enum {
  LH_STAIN_UNITY,     /* moles of an oxide in the glaze's Seger formula */
  LH_STAIN_PEAK,      /* peak temperature                           [C] */
  LH_STAIN_REDUCTION, /* broken by a reducing fire                      */
  LH_STAIN_ALWAYS     /* said whenever the stain is used                */
} lh_stain_quantity;

typedef struct {
  size_t family; /* of lh_stain_families                      */
  lh_stain_quantity quantity;
  size_t oxide;       /* UNITY: which                              */
  double least, most; /* broken outside; NAN: no limit             */
  const char *why, *todo, *source;
} lh_stain_rule;

/* How many rules there are, and the i-th of them. */
size_t lh_stain_rule_count(void);
lh_stain_rule lh_stain_rule_at(size_t i);

/* What is around the stain.  What is not known: NULL, NAN, -1. */
typedef struct {
  const double *unity; /* unity[LH_OXIDES] of the glaze in contact    */
  double peak_c;       /* [C]                                         */
  int reducing;        /* 1 yes, 0 no                                 */
} lh_stain_around;

typedef enum {
  LH_STAIN_KEPT,
  LH_STAIN_BROKEN,
  LH_STAIN_UNTOLD /* what it depends on is not known */
} lh_stain_says;

typedef struct {
  size_t rule; /* lh_stain_rule_at(rule)                            */
  lh_stain_says says;
  double is; /* what was compared; NAN when nothing was            */
} lh_stain_finding;

/* Hold a family's rules against what is around.
**
** Given:     family   of lh_stain_families
**            around   what is around
** Returned:  found[LH_STAIN_RULES_MOST]  one for each rule of the family
**            *n       how many
** Status:    LH_OK; LH_RANGE for a family that is none or a unity that is
**            negative or infinite, *n 0 then
**
** Notes:  1) A unity that is NAN (a glaze without a flux) is not known.
*/
lh_status lh_stain_rules_check(size_t family, const lh_stain_around *around,
                               lh_stain_finding found[LH_STAIN_RULES_MOST],
                               size_t *n);

#endif
