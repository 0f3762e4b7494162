/* SPDX-License-Identifier: GPL-3.0-or-later */
/* stain_words.h -- rules that stains obey, said to a person.
**
** Used wherever a stain meets a glaze: the verdict on a piece, and whatever
** else offers a recipe with a stain in it.  Memory: the arena handed in.
*/
#ifndef LH_STAIN_WORDS_H
#define LH_STAIN_WORDS_H

#include "arena.h"
#include "chem/recipe.h"
#include "chem/stain.h"

/* What is around a stain, as documents tell it.
**
** Given:     glaze       the fired glaze in contact, or NULL
**            peak_c      NAN: not known                            [C]
**            atmosphere  as a firing has it, or NULL; "reduction" in it, in
**                        any case of letters, is a reducing fire
*/
lh_stain_around lh_stain_around_of(const lh_recipe_fired *glaze, double peak_c,
                                   const char *atmosphere);

/* Why a broken rule is broken, with its numbers and its source; NULL when out
** of memory.  What to do is the rule's own `todo`. */
const char *lh_stain_why(const lh_stain_finding *f, lh_arena *a);

#endif
