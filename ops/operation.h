/* SPDX-License-Identifier: GPL-3.0-or-later */
/* operation.h -- one table of operations for whoever asks.
**
** An operation turns a JSON document into a reply: a JSON result, the same
** as lines for a person, and sometimes a file (PDF, PNG).  The command line
** and the server run the same function on the same document; a handler never
** learns who asked, prints nothing, opens no file and never exits.
**
** Memory: everything of a call, the reply included, lives in the call's
** arena, but for the reply's JSON, which lh_reply_free gives back.
*/
#ifndef LH_OPERATION_H
#define LH_OPERATION_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

#include "arena.h"
#include "fields.h"
#include "watch.h"

/* ---- the reply ---------------------------------------------------------- */

typedef enum {
  LH_LINE_TITLE,   /* a heading                                    */
  LH_LINE_TEXT,    /* a sentence                                   */
  LH_LINE_ROW,     /* cells; rows that follow each other align     */
  LH_LINE_HEAD,    /* cells of a heading row                       */
  LH_LINE_OK,      /* a verdict: cells[0] says of what, [1] why    */
  LH_LINE_CAUTION, /* the same; [2] what to do                     */
  LH_LINE_STOP     /* the same                                     */
} lh_line_kind;

enum { LH_CELLS = 6 };

typedef struct lh_line {
  struct lh_line *next;
  lh_line_kind kind;
  size_t cells;
  const char *cell[LH_CELLS];
} lh_line;

typedef struct {
  lh_arena *arena;
  json_t *json;          /* the result; made empty by the caller       */
  lh_line *first, *last; /* the same for a person                      */
  const void *bytes;     /* a file, or NULL                            */
  size_t size;
  const char *media; /* its type, "image/png"                      */
  json_t *referred;  /* the piece of the book that was asked about */
  json_t *widened;   /* the document, with the stock's materials   */
  lh_status st;      /* LH_NOMEM once anything could not be said   */
} lh_reply;

/* Add a line for a person.  The format is printf's; a row's cells are parted
** by tabs: lh_reply_row(r, "water\t%.1f\tml", ml).  A cell that opens with a
** digit or sign stands right-aligned. */
void lh_reply_title(lh_reply *r, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
void lh_reply_text(lh_reply *r, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
void lh_reply_row(lh_reply *r, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
void lh_reply_line(lh_reply *r, lh_line_kind kind, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Put a member into a JSON object of the reply.  `to` NULL is the result
** itself.  A number that is not finite is left out. */
void lh_reply_number(lh_reply *r, json_t *to, const char *key, double v);
void lh_reply_string(lh_reply *r, json_t *to, const char *key, const char *v);
void lh_reply_flag(lh_reply *r, json_t *to, const char *key, bool v);
void lh_reply_numbers(lh_reply *r, json_t *to, const char *key, const double *v,
                      size_t n);
/* A range: [least, most]. */
void lh_reply_range(lh_reply *r, json_t *to, const char *key, double least,
                    double most);
/* A new empty object or list under a key; or at a list's end.  Borrowed; NULL
** when out of memory, and then what is put into it goes astray, but the reply
** is not used any more. */
json_t *lh_reply_object(lh_reply *r, json_t *to, const char *key);
json_t *lh_reply_list(lh_reply *r, json_t *to, const char *key);
json_t *lh_reply_item(lh_reply *r, json_t *list);

void lh_reply_free(lh_reply *r);

/* ---- the operations ----------------------------------------------------- */

typedef struct {
  lh_arena *arena;
  json_t *document;              /* what was asked, as it came               */
  const lh_watch *watch;         /* may be NULL                              */
  struct lh_book *book;          /* the open book (book.h), or NULL; its     */
                                 /* materials are found by name, and a       */
                                 /* handle belongs to one thread at a time   */
  const struct lh_handed *files; /* bytes handed in with the document    */
                                 /* (handed.h), or NULL                  */
} lh_call;

/* ask points to the struct of the operation's fields, read and checked. */
typedef lh_status lh_handler(const lh_call *call, const void *ask,
                             lh_reply *reply, lh_fault *fault);

typedef struct {
  const char *name;
  const char *help;    /* one line                                    */
  const char *purpose; /* a short paragraph                           */
  const lh_fields *fields;
  lh_handler *run;
  const char *example; /* a document that works, for help and tests   */
  const char *media;   /* of the file it gives; NULL: none            */
  bool takes_piece;    /* the document is a piece, or names one of    */
                       /* the book (refer.h); fields in "ask"         */
  bool knows_pieces;   /* the document may be a piece, read likewise  */
  bool asks_nothing;   /* it works without a document as well         */
} lh_operation;

/* Is this document a piece, for an operation that may take one?  After a
** reference to a piece of the book has been followed. */
bool lh_operation_piece(const lh_operation *op, const json_t *document);

/* The i-th of the table, in the order of the help; NULL past the end. */
const lh_operation *lh_operation_at(size_t i);

/* One by name; NULL when there is none. */
const lh_operation *lh_operation_find(const char *name);

/* The JSON Schema of its document; a new reference, NULL: out of memory.  Of an
** operation that takes a piece it is "oneOf": the piece itself, or one of the
** book, or what else it takes. */
json_t *lh_operation_schema(const lh_operation *op);

/* Run an operation on a document.
**
** Given:     op      the operation
**            call    arena, document, watch
** Returned:  *reply  filled; free with lh_reply_free whatever the status
** Status:    the handler's: LH_OK, LH_STOP (a verdict says stop; the reply
**            stands), or a refusal with the fault filled
*/
lh_status lh_operation_run(const lh_operation *op, const lh_call *call,
                           lh_reply *reply, lh_fault *fault);

#endif
