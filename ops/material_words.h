/* SPDX-License-Identifier: GPL-3.0-or-later */
/* material_words.h -- suppliers' analyses as material documents, and into
** a book.
**
** What analysis.h reads becomes documents as docs/piece.md describes them,
** told to a person line by line, and kept in a book's stock.  Memory: the
** reply's and the arena that was handed in.
*/
#ifndef LH_MATERIAL_WORDS_H
#define LH_MATERIAL_WORDS_H

#include "analysis.h"
#include "book.h"
#include "operation.h"

/* One material as a document; a new reference, NULL: out of memory. */
json_t *lh_materials_document(const lh_analysis *m);

/* What was read, into a reply: documents, totals, what to look at. */
void lh_materials_put(lh_reply *r, const lh_analyses *all);

/* Keep them in a book.
**
** Given:     b        open
**            all      read
**            device   who saves
** Returned:  *added, *renewed, *same   how many of each
** Status:    LH_OK; as lh_book_add and lh_book_save
**
** Notes:  1) A material of that name gets a new revision: its analysis takes
**            the place of what told it before; price, stock, density and the
**            like stay unless the table tells them.
**         2) Each is kept as it is saved: when the disk fills up half way,
**            those before are in the book, and asking again is no harm.
*/
lh_status lh_materials_keep(lh_book *b, const lh_analyses *all,
                            const char *device, long *added, long *renewed,
                            long *same, lh_fault *fault);

#endif
