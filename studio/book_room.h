/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_room.h -- what the files of the book share. */
#ifndef LH_BOOK_ROOM_H
#define LH_BOOK_ROOM_H

#include <sqlite3.h>
#include <stdint.h>

#include "book.h"
#include "digest.h"
#include "fields.h"

enum {
  LH_BOOK_VERSION = 1,       /* of schema.sql  */
  LH_BOOK_INDEX_VERSION = 1, /* of index.sql   */
  LH_BOOK_APPLICATION = 1279803979,
  LH_BOOK_READY = 64, /* statements kept ready    */
  LH_BOOK_HELD = 4    /* documents kept in memory */
};

/* A document held: of which record, at which revision. */
typedef struct {
  int64_t record;
  long number;
  json_t *document; /* NULL: the place is free */
  unsigned used;
} lh_book_held;

struct lh_book {
  sqlite3 *db;
  char *path;
  struct {
    const char *sql;
    sqlite3_stmt *q;
  } ready[LH_BOOK_READY];
  lh_book_held held[LH_BOOK_HELD];
  unsigned clock;
  lh_arena words; /* texts of what was read last */
};

/* ---- book_sql.c --------------------------------------------------------- */

/* Turn SQLite's last error into a fault. */
lh_status lh_book_fault(lh_book *b, int rc, lh_fault *fault);

/* The statement for a text that lives for ever, reset and without values;
** NULL when it cannot be made (then the database has the error). */
sqlite3_stmt *lh_book_sql(lh_book *b, const char *sql);

/* The same, its ?1 and ?2 bound to a record and a number of a revision. */
sqlite3_stmt *lh_book_sql_of(lh_book *b, const char *sql, int64_t record,
                             int64_t number);

/* Step a statement that gives nothing back, then reset it. */
lh_status lh_book_run(lh_book *b, sqlite3_stmt *q, lh_fault *fault);

/* Step a statement for its next row: *row tells whether there is one. */
lh_status lh_book_next(lh_book *b, sqlite3_stmt *q, bool *row, lh_fault *fault);

/* Run a script of so many bytes, or a short text. */
lh_status lh_book_script(lh_book *b, const void *sql, size_t n,
                         lh_fault *fault);
lh_status lh_book_exec(lh_book *b, const char *sql, lh_fault *fault);

/* One transaction: begin, then end with the outcome so far: LH_OK commits,
** anything else, or a commit that fails, leaves the book as it was. */
lh_status lh_book_begin(lh_book *b, lh_fault *fault);
lh_status lh_book_end(lh_book *b, lh_status st, lh_fault *fault);

/* A reading that sees one state of the book. */
lh_status lh_book_begin_reading(lh_book *b, lh_fault *fault);

/* Text of a column, never NULL. */
const char *lh_book_column(sqlite3_stmt *q, int i);

/* What is written of a revision, and the SHA-256 over all of it.  0 and NULL
** stand for what is not there. */
typedef struct {
  long long number, base, at, reverses, takes, settles;
  bool aside, hidden;
  const char *device, *act, *patch, *inverse, *document;
} lh_book_sealed;
void lh_book_seal(const lh_book_sealed *s, unsigned char hash[32]);

/* ---- book_open.c -------------------------------------------------------- */

/* Take a file away that should not have become a book, and what SQLite put
** beside it. */
void lh_book_remove(const char *path);

/* ---- book_kind.c -------------------------------------------------------- */

/* Check a document of a kind; id NULL: not said yet. */
lh_status lh_book_valid(lh_book_kind kind, const json_t *document,
                        const char *id, lh_fault *fault);

/* Does a document of the kind carry its id? */
bool lh_book_has_id(lh_book_kind kind);

/* What it refers to: each gets the place, the kind of the target (or "blob",
** "" for any record) and the target. */
typedef lh_status lh_book_each_ref(void *user, const char *place,
                                   const char *kind, const char *target);
lh_status lh_book_refs(lh_book_kind kind, const json_t *document,
                       lh_book_each_ref *each, void *user);

/* ---- book_make.c -------------------------------------------------------- */

/* A record found by id. */
typedef struct {
  int64_t seq;
  lh_book_kind kind;
  char id[LH_BOOK_ID + 1];
  long head;
  bool hidden;
} lh_book_place;
lh_status lh_book_find(lh_book *b, const char *id, lh_book_place *place,
                       lh_fault *fault);

/* Make the document of a revision; a new reference of the caller's own. */
lh_status lh_book_make(lh_book *b, const lh_book_place *place, long number,
                       json_t **document, lh_fault *fault);

/* Take a document out of memory, or make it; give one back to be kept. */
lh_status lh_book_take(lh_book *b, const lh_book_place *place, long number,
                       json_t **document, lh_fault *fault);
void lh_book_hold(lh_book *b, const lh_book_place *place, long number,
                  json_t *document);
void lh_book_drop(lh_book *b); /* forget all that is held */

/* Apply the text of a patch. */
lh_status lh_book_replay(json_t **document, const char *patch, json_t *touched,
                         lh_fault *fault);

/* ---- book_write.c ------------------------------------------------------- */

/* A revision to be written. */
typedef struct {
  long number, base;
  const char *act, *device;
  long reverses, takes, settles;
  bool aside, hidden;
  const json_t *patch, *inverse; /* NULL: empty              */
  const json_t *document;        /* after it                 */
  const json_t *touched;         /* NULL: none               */
} lh_book_row;
lh_status lh_book_write(lh_book *b, const lh_book_place *place,
                        const lh_book_row *row, lh_fault *fault);

lh_status lh_book_touch(lh_book *b, int64_t record, long number,
                        const json_t *touched, lh_fault *fault);

/* The next free number of a record's revisions. */
lh_status lh_book_number(lh_book *b, int64_t record, long *number,
                         lh_fault *fault);

lh_status lh_book_device_ok(const char *device, lh_fault *fault);

/* ---- book_stand.c ------------------------------------------------------ */

/* Write where a record stands: head, search, refers.  `strict`: refuse what
** refers to nothing. */
lh_status lh_book_stand(lh_book *b, const lh_book_place *place, long number,
                        bool hidden, const json_t *document, bool strict,
                        lh_fault *fault);

/* ---- book_save.c -------------------------------------------------------- */

/* Would two edits, merged, make a piece that can no longer be read, where each
** alone (head, and alone) could be?  A slip that one took away and the other
** used. */
bool lh_book_merges_badly(const lh_book_place *place, const json_t *head,
                          const json_t *alone, const json_t *merged);

/* ---- book_check.c ------------------------------------------------------- */

/* Check within a transaction that is open already. */
lh_status lh_book_inspect(lh_book *b, lh_book_say *say, void *user,
                          const lh_watch *watch, lh_book_checked *checked,
                          lh_fault *fault);
/* Rebuild within a transaction that is open already. */
lh_status lh_book_work_out(lh_book *b, const lh_watch *watch, lh_fault *fault);

#endif
