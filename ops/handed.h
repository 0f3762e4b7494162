/* SPDX-License-Identifier: GPL-3.0-or-later */
/* handed.h -- files that go with a document.
**
** A document never holds a path: it names bytes by their SHA-256, as
** "sha256:" and 64 digits.  The bytes are handed to the call by whoever makes
** it (the command line's @FILE), or lie in the open book as a blob (the
** server's uploads).  An operation asks here and cannot tell which.
**
** Memory: the list and what the book gives live in the call's arena; bytes
** that are handed in stay their owner's, and must live as long as the call.
*/
#ifndef LH_HANDED_H
#define LH_HANDED_H

#include "book.h"
#include "operation.h"

/* The largest file taken, that of a blob.                          [bytes] */
#define LH_HANDED_MOST ((size_t)LH_BOOK_BLOB_MOST)

enum { LH_HANDED_NAME = 72 }; /* "sha256:", 64 digits, 0 */

typedef struct lh_handed {
  struct lh_handed *next;
  char name[LH_HANDED_NAME];
  const void *bytes;
  size_t n;
} lh_handed;

/* Put bytes into the list that a call is handed.
**
** Given:     list, a    begun with NULL
**            bytes, n
** Returned:  *list      with them in front
** Status:    LH_OK; LH_NOMEM
*/
lh_status lh_handed_add(lh_handed **list, lh_arena *a, const void *bytes,
                        size_t n);

/* The bytes that a document names.
**
** Given:     call
**            name     "sha256:HEX"
**            where    its JSON pointer, for the fault
** Returned:  *bytes, *n
** Status:    LH_OK; LH_INPUT for a name that is none; LH_NOTFOUND when it is
**            neither handed in nor in the book; LH_TOOLARGE; LH_IO; LH_NOMEM
*/
lh_status lh_handed_find(const lh_call *call, const char *name,
                         const char *where, const void **bytes, size_t *n,
                         lh_fault *fault);

#endif
