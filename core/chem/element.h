/* SPDX-License-Identifier: GPL-3.0-or-later */
/* element.h -- the elements of the trade and their atomic weights.
**
** The table is data/atomic_weights.csv: the abridged standard atomic weights
** of the elements that meet in clays, glazes and stains, not all there are.
** An element is an index, 0 <= e < LH_ELEMENTS.  Nothing here allocates,
** prints or remembers.
*/
#ifndef LH_ELEMENT_H
#define LH_ELEMENT_H

#include <stddef.h>

/* Rows of data/atomic_weights.csv; element.c refuses to compile otherwise. */
enum { LH_ELEMENTS = 43 };

/* Symbol of an element; e < LH_ELEMENTS. */
const char *lh_element_symbol(size_t e);

/* Abridged standard atomic weight [g/mol]; e < LH_ELEMENTS.
**
** Ref:  CIAAW, Standard Atomic Weights, abridged to five digits.
*/
double lh_element_weight(size_t e);

/* Find an element by its symbol.
**
** Given:     s, n   the symbol's n bytes; case counts (Co is not CO)
** Returned:  its index; LH_ELEMENTS when the table has none such
*/
size_t lh_element_find(const char *s, size_t n);

#endif
