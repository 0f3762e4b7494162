/* SPDX-License-Identifier: GPL-3.0-or-later */
/* stock.h -- materials from the book for the names that a document uses.
**
** A material is looked up beside the recipe, then in the book's stock, then
** among those that come with the program.  The second is done here, on the
** document, before it is read: what the book knows is put beside the recipe.
*/
#ifndef LH_STOCK_H
#define LH_STOCK_H

#include "book.h"

/* Put the book's materials beside the recipes of a document.
**
** Given:     book       open, or NULL: nothing is looked up
**            document   any; stays as it is
** Returned:  *wider     a document with more under "materials", a new
**                       reference; NULL when there was nothing to add
** Status:    LH_OK; LH_IO; LH_NOMEM
*/
lh_status lh_stock_bring(lh_book *book, const json_t *document, json_t **wider,
                         lh_fault *fault);

#endif
