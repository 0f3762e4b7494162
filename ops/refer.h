/* SPDX-License-Identifier: GPL-3.0-or-later */
/* refer.h -- a piece of the open book, named instead of sent.
**
** An operation that takes a piece takes, in its place,
** {"piece": {"id": "tide-line", "revision": 12}, "ask": {...}}.  No piece has
** a key "piece", so the two cannot be taken for each other.  The revision is
** looked up here, before any field is read; without one it is the newest.
**
** Memory: what is found shares its parts with the book's own reading; it is
** to be used up before the book's handle is asked for anything that writes.
*/
#ifndef LH_REFER_H
#define LH_REFER_H

#include "book.h"

/* The piece that a document refers to.
**
** Given:     book       open, or NULL
**            document   an object; stays as it is
**            arena      for what is read on the way
** Returned:  *piece     the piece with the document's "ask", a new reference;
**                       NULL when the document refers to none
** Status:    LH_OK; LH_INPUT for a reference that is not plainly one;
**            LH_NOTFOUND without a book, and where the book has no such piece
**            or revision; LH_IO; LH_NOMEM
*/
lh_status lh_refer_take(lh_book *book, const json_t *document, lh_arena *arena,
                        json_t **piece, lh_fault *fault);

/* The JSON Schema of such a document, with that of its "ask"; a new reference,
** NULL: out of memory.  Takes over one reference of `ask`. */
json_t *lh_refer_schema(json_t *ask);

#endif
