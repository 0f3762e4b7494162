/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_ask.h -- what can be asked of the book from outside, as data.
**
** Documents come as text and go as text; the book's own calls (book.h) do the
** work.  An ask is plain data, so that it can wait for a worker; it knows
** nothing of requests, statuses of HTTP or screens.
**
** Memory: the reply's, as that of an operation.
*/
#ifndef LH_BOOK_ASK_H
#define LH_BOOK_ASK_H

#include "book.h"
#include "operation.h"

typedef enum {
  LH_ASK_ABOUT,   /* how many records of each kind, the last seq      */
  LH_ASK_LIST,    /* records of a kind; with words: a search          */
  LH_ASK_ADD,     /* a new record                                     */
  LH_ASK_READ,    /* a document; number: which revision, 0 the newest */
  LH_ASK_HISTORY, /* its revisions                                    */
  LH_ASK_SAVE,    /* a whole document made from a base                */
  LH_ASK_EDIT,    /* a patch on a base                                */
  LH_ASK_HIDE,
  LH_ASK_SHOW,
  LH_ASK_UNDO,
  LH_ASK_REDO,
  LH_ASK_RESTORE, /* number: the revision to bring back               */
  LH_ASK_CHOOSE,  /* number: the version kept aside; take it or not   */
  LH_ASK_PUT,     /* a blob                                           */
  LH_ASK_GET,     /* a blob, by its SHA-256 in `words`                */
  LH_ASK_SINCE    /* revisions of the whole book after `seq`          */
} lh_book_verb;

enum { LH_ASK_MOST = 500 }; /* records, or revisions, in one answer */

typedef struct {
  lh_book_verb verb;
  lh_book_kind kind;
  char id[LH_BOOK_ID + 1];
  long number; /* a revision, or the base of an edit           */
  bool exact;  /* refuse, rather than merge, a lost race       */
  bool take, hidden;
  long skip, most;
  long long seq;
  char words[256];
  char media[64]; /* of a blob                                    */
  char device[LH_BOOK_DEVICE + 1]; /* who asks                           */
} lh_book_ask;

typedef struct {
  long number;     /* the revision that the answer shows or made; 0: none */
  bool unreadable; /* the text is no JSON                                 */
} lh_book_told;

/* Ask the book.
**
** Given:     book     open; NULL: there is none, which is said
**            ask      what
**            text, n  a document, a patch, or a blob's bytes
** Returned:  *reply   its JSON, or its bytes and their type; to be freed with
**                     lh_reply_free whatever the status
**            *told    what goes with it
** Status:    as the calls of book.h; LH_NOTFOUND without a book, and for a
**            record that is of another kind
*/
lh_status lh_book_ask_run(lh_book *book, const lh_book_ask *ask,
                          const void *text, size_t n, lh_arena *arena,
                          lh_reply *reply, lh_book_told *told, lh_fault *fault);

#endif
