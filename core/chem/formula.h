/* SPDX-License-Identifier: GPL-3.0-or-later */
/* formula.h -- chemical formulas as potters write them, read into atoms.
**
** K2O.Al2O3.6SiO2, CuCO3.Cu(OH)2, 0.3K2O·0.7CaO·0.5Al2O3·4SiO2.  This room
** counts atoms; what becomes of them in the fire is oxide.h's matter.  The
** caller owns the text and the result.  Nothing here allocates, prints or
** remembers.
**
** The grammar:
**   formula  =  part { join part }          join  =  .  *  ·
**   part     =  [ number ] item { item }
**   item     =  ( symbol | "(" formula ")" | "[" formula "]" ) [ number ]
**
** Spaces may stand between parts and after a leading number, never between a
** symbol and its number.  The numerals ₀ to ₉ are read as the number of the
** symbol before them.
**
** A point after a symbol's number can mean two things: in Al2O3.6SiO2 it
** joins, in K0.6Na0.4 it is decimal.  It is decimal when the number before
** it is 0 or 1 (nobody writes those as whole counts), or when no symbol
** follows the digits after it (Al2.5); otherwise it joins.  A comma between
** digits is decimal under the same rule, and a fault where a point would
** join.  When in doubt, join with * or ·.
*/
#ifndef LH_FORMULA_H
#define LH_FORMULA_H

#include <stddef.h>

#include "element.h"
#include "status.h"

enum {
  LH_FORMULA_MAX = 400, /* longest formula taken              [bytes] */
  LH_FORMULA_DEPTH = 8  /* deepest nesting of groups taken            */
};

#define LH_FORMULA_COUNT_MAX 1e6 /* largest number, and atoms in all */

/* What can be wrong with a formula, with words for it. */
#define LH_FORMULA_LIST(X)                                             \
  X(LH_FORMULA_FINE, "nothing is wrong")                               \
  X(LH_FORMULA_EMPTY, "there is nothing to read")                      \
  X(LH_FORMULA_LONG, "the formula is longer than 400 bytes")           \
  X(LH_FORMULA_DEEP, "groups are nested more than 8 deep")             \
  X(LH_FORMULA_ELEMENT, "no such element in the table")                \
  X(LH_FORMULA_LETTER, "this cannot stand in a formula here")          \
  X(LH_FORMULA_OPEN, "a group is opened and not closed")               \
  X(LH_FORMULA_CLOSE, "a group is closed that was not opened")         \
  X(LH_FORMULA_PART, "a symbol or a group is missing here")            \
  X(LH_FORMULA_NUMBER, "a number must be above 0 and at most 1000000") \
  X(LH_FORMULA_COMMA, "a comma that may join or be decimal: write . or *")

typedef enum {
#define X(name, text) name,
  LH_FORMULA_LIST(X)
#undef X
} lh_formula_why;

/* A formula read: atoms of each element in one formula unit. */
typedef struct {
  double atoms[LH_ELEMENTS];
} lh_formula;

/* Where and why reading stopped. */
typedef struct {
  lh_formula_why why;
  size_t at;     /* offset of the fault in the text    [bytes] */
  size_t length; /* how much of the text it covers     [bytes] */
} lh_formula_fault;

/* Read a formula.
**
** Given:     s, n     the text's n bytes (UTF-8; need not end with NUL)
** Returned:  *f       atoms of each element; untouched unless LH_OK
**            *fault   where and why, LH_FORMULA_FINE when read; may be NULL
** Status:    LH_OK; LH_INPUT when it cannot be read; LH_TOOLARGE when it is
**            too long or too deep
**
** Notes:  1) For LH_FORMULA_ELEMENT the fault covers the unknown symbol, so
**            that the nearest can be named (lh_nearest).
**         2) For LH_FORMULA_OPEN it covers the bracket that stays open.
*/
lh_status lh_formula_parse(const char *s, size_t n, lh_formula *f,
                           lh_formula_fault *fault);

/* Weight of one mole of formula units                              [g]. */
double lh_formula_weight(const lh_formula *f);

/* Words for what is wrong. */
const char *lh_formula_text(lh_formula_why why);

#endif
