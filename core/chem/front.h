/* SPDX-License-Identifier: GPL-3.0-or-later */
/* front.h -- which of several answers are worth a look.
**
** When nearness, price and number of materials pull different ways there is no
** best answer, only answers that no other beats in every way.  This room knows
** numbers alone, less being better.  The caller owns everything; nothing here
** allocates, prints or remembers.
*/
#ifndef LH_FRONT_H
#define LH_FRONT_H

#include <stddef.h>

enum { LH_FRONT_WAYS = 8 }; /* most ways to compare */

/* Keep the answers that no other beats.
**
** Given:     value     value[n * ways]: answer i's from i * ways; less is
**                      better
**            ways      1 to LH_FRONT_WAYS
**            same      same[ways]: a difference so small counts as none; NULL:
**                      every difference counts
** Returned:  order[0 .. kept)  the answers kept, by their first value, then by
**                      their second, ...; of equals the first given.  order
**                      has room for n
**            how many are kept; an answer with a NaN in it never is
**
** Notes:  1) Each answer left out has one among the kept that is in no way
**            more than `same` worse.  None kept is so beaten by another kept.
** Ref:    H. T. Kung, F. Luccio, F. P. Preparata (1975), J. ACM 22, 469-476
**         (in order of the first value, only what is kept need be asked).
*/
size_t lh_front_keep(const double *value, size_t n, size_t ways,
                     const double *same, size_t *order);

#endif
