/* SPDX-License-Identifier: GPL-3.0-or-later */
/* nearest.h -- the known name that a mistyped one was meant for.
**
** Used wherever a name, key or oxide is refused: the refusal names the
** nearest known one.  It knows nothing of what the names mean.  Letters are
** compared without regard to ASCII case; other bytes as they stand.  The
** caller owns the names; nothing here allocates, prints or remembers.
*/
#ifndef LH_NEAREST_H
#define LH_NEAREST_H

#include <stddef.h>

/* Longest name that is compared in full [bytes]; of more, the beginning. */
enum { LH_NEAREST_MAX = 63 };

/* Steps between two names: the least number of letters put in, left out,
** changed, or swapped with their neighbour.
**
** Given:     a, b   two names, NUL-terminated
** Returned:  the number of steps; 0 when they differ in case alone
**
** Notes:  1) "Optimal string alignment": no piece is edited twice.
** Ref:    Damerau (1964), Commun. ACM 7(3), 171-176.
*/
size_t lh_nearest_steps(const char *a, const char *b);

/* The nearest of n names.
**
** Given:     want      the name as it was written
**            names, n  the known names; a NULL among them is passed over
** Returned:  the index of the nearest, the first of equals; n when none is
**            near enough to be worth naming
**
** Notes:  1) Near enough: as many steps as a third of the longer name,
**            rounded up; or want is the beginning of a known name (three
**            letters or more).  A judgement: a wilder guess misleads.
*/
size_t lh_nearest(const char *want, const char *const *names, size_t n);

#endif
