/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book.h -- the book: one file that keeps everything and loses no line.
**
** A book is an SQLite database.  It keeps *records*: materials, bodies,
** slips, glazes, brushes, forms, motifs, pieces, tiles, firings, notes; and
** *blobs*, pictures named by what they hold.  Every save is a new *revision*
** of a record: nothing is overwritten, any revision can be read and brought
** back.  Edits are patches (patch.h) on a base revision, kept with their
** inverses, so that undo and redo reach back past a restart, for each device
** on its own.  Edits of two devices merge when they touch different things;
** else the later one is kept *aside* until somebody chooses.  Deleting hides.
**
** This room knows documents and files, not http or screens.  A call returns
** LH_OK only when what it saved is on the disk.  Several programs may have a
** book open; a handle belongs to one thread at a time, so a program with
** threads opens one handle for each.
**
** Memory: a handle from lh_book_open is freed by lh_book_close.  A document
** that is read is the book's: it stands until the next call on that handle
** and must not be changed.  Times are seconds since 1970, UTC.
*/
#ifndef LH_BOOK_H
#define LH_BOOK_H

#include <stdbool.h>
#include <stddef.h>

#include "arena.h"
#include "fault.h"
#include "fields.h"
#include "watch.h"

typedef struct lh_book lh_book;

typedef enum {
  LH_BOOK_MATERIAL,
  LH_BOOK_BODY,
  LH_BOOK_SLIP,
  LH_BOOK_GLAZE,
  LH_BOOK_BRUSH,
  LH_BOOK_FORM,
  LH_BOOK_MOTIF,
  LH_BOOK_PIECE,
  LH_BOOK_TILE,
  LH_BOOK_FIRING,
  LH_BOOK_NOTE,
  LH_BOOK_KINDS,              /* how many kinds there are */
  LH_BOOK_ANY = LH_BOOK_KINDS /* where a kind may be left open */
} lh_book_kind;

/* "material", "body", ...; NULL past the end. */
const char *lh_book_kind_name(lh_book_kind kind);
/* The kind of a name; LH_BOOK_KINDS when there is none. */
lh_book_kind lh_book_kind_find(const char *name);

enum {
  LH_BOOK_ID = 64,       /* bytes of an id, without the closing zero    */
  LH_BOOK_DEVICE = 64,   /* bytes of a device's name                    */
  LH_BOOK_SNAPSHOT = 64, /* revisions from one full copy to the next    */
  LH_BOOK_BLOB_MOST = 64 * 1024 * 1024 /* [bytes] (a judgement)         */
};

/* ---- open and close ----------------------------------------------------- */

typedef enum {
  LH_BOOK_OPEN,  /* there must be a book             */
  LH_BOOK_CREATE /* there must be no file: begin one */
} lh_book_way;

/* Open a book.
**
** Given:     path   its file
**            way    open or create
** Returned:  *book  to be closed with lh_book_close; NULL on failure
** Status:    LH_OK; LH_NOTFOUND when there is no file; LH_INPUT for a file
**            that is no book, a newer book, or, creating, one that is there;
**            LH_IO for a folder that cannot be written to, a disk without
**            the shared memory that two programs need, a damaged file;
**            LH_NOMEM
** Notes:  1) An older book is brought up to date, in one transaction.
*/
lh_status lh_book_open(const char *path, lh_book_way way, lh_book **book,
                       lh_fault *fault);

/* Close it; *book becomes NULL. */
void lh_book_close(lh_book **book);

/* ---- saving ------------------------------------------------------------- */

typedef enum {
  LH_BOOK_SAVED,    /* a new revision on the one it was made on        */
  LH_BOOK_MERGED,   /* a new revision, moved past other edits          */
  LH_BOOK_ASIDE,    /* kept aside: it met another edit of one thing    */
  LH_BOOK_UNCHANGED /* there was nothing to save                       */
} lh_book_how;

typedef struct {
  char id[LH_BOOK_ID + 1];
  long number; /* of the new revision, or of the one that stands */
  long head;   /* the newest revision that is not aside          */
  lh_book_how how;
  char met[128]; /* aside: what both edits touched ("#leaf")     */
} lh_book_saved;

/* Save a new record.
**
** Given:     kind       what it is
**            document   as docs/ describe it; "id", when given, is its id
**            device     who saves, at most LH_BOOK_DEVICE bytes
** Returned:  *saved     its id, made when the document gave none; number 1
** Status:    LH_OK; what the document's table says (LH_INPUT, LH_RANGE,
**            LH_TOOLARGE); LH_CONFLICT when the id is taken; LH_INPUT when
**            it refers to what is not in the book; LH_IO; LH_NOMEM
*/
lh_status lh_book_add(lh_book *b, lh_book_kind kind, const json_t *document,
                      const char *device, lh_book_saved *saved,
                      lh_fault *fault);

/* Save an edit.
**
** Given:     id      of the record
**            base    the revision that the patch was made on
**            patch   RFC 6902
**            device  who edits
**            exact   refuse, rather than merge, when base is not the newest
** Returned:  *saved  see `how`: merged or kept aside is saved, too
** Status:    LH_OK; LH_CONFLICT when exact and somebody was first, or when a
**            test of the patch fails; LH_NOTFOUND; as lh_patch_apply and
**            lh_book_add for a patch or an outcome that cannot be
*/
lh_status lh_book_edit(lh_book *b, const char *id, long base,
                       const json_t *patch, const char *device, bool exact,
                       lh_book_saved *saved, lh_fault *fault);

/* Save a whole document made from a base: the edit between the two. */
lh_status lh_book_save(lh_book *b, const char *id, long base,
                       const json_t *document, const char *device, bool exact,
                       lh_book_saved *saved, lh_fault *fault);

/* Take back the device's own last edit of the record, or bring it again.
**
** Status:    LH_OK; LH_BOOK_UNCHANGED in *saved when there is none left;
**            LH_CONFLICT when somebody changed the same thing since
*/
lh_status lh_book_undo(lh_book *b, const char *id, const char *device,
                       lh_book_saved *saved, lh_fault *fault);
lh_status lh_book_redo(lh_book *b, const char *id, const char *device,
                       lh_book_saved *saved, lh_fault *fault);

/* Bring an earlier revision back, as a new one. */
lh_status lh_book_restore(lh_book *b, const char *id, long number,
                          const char *device, lh_book_saved *saved,
                          lh_fault *fault);

/* Decide on a version kept aside: take it, or leave what stands. */
lh_status lh_book_choose(lh_book *b, const char *id, long aside, bool take,
                         const char *device, lh_book_saved *saved,
                         lh_fault *fault);

/* Hide a record from lists and searches, or show it again. */
lh_status lh_book_hide(lh_book *b, const char *id, bool hide,
                       const char *device, lh_book_saved *saved,
                       lh_fault *fault);

/* ---- reading ------------------------------------------------------------ */

/* A record as it stands. */
typedef struct {
  const char *id, *name, *note;
  lh_book_kind kind;
  long number; /* its newest revision         */
  bool hidden;
  long asides; /* versions waiting for a choice */
} lh_book_record;

/* One revision. */
typedef struct {
  long long seq; /* in the order of saving, over the whole book */
  const char *id;
  long number, base; /* base 0: the first                          */
  long long at;      /* [s since 1970]                             */
  const char *device, *act;
  long reverses, takes, settles; /* 0: none                        */
  bool aside, hidden;
} lh_book_revision;

/* Called for each; false ends.  Texts stand until it returns, and it must
** not call the book. */
typedef bool lh_book_each_record(void *user, const lh_book_record *r);
typedef bool lh_book_each_revision(void *user, const lh_book_revision *r);

/* Read a document.
**
** Given:     id       of the record
**            number   the revision; 0: the newest
** Returned:  *document   borrowed, until the next call
**            *record     as it stands; NULL: not wanted; borrowed likewise
** Status:    LH_OK; LH_NOTFOUND; LH_IO; LH_NOMEM
*/
lh_status lh_book_read(lh_book *b, const char *id, long number,
                       json_t **document, lh_book_record *record,
                       lh_fault *fault);

/* The newest shown record of a kind with exactly this name: its document,
** or NULL with LH_OK when there is none.  Borrowed. */
lh_status lh_book_named(lh_book *b, lh_book_kind kind, const char *name,
                        json_t **document, lh_book_record *record,
                        lh_fault *fault);

/* The revisions of a record, the newest first. */
lh_status lh_book_history(lh_book *b, const char *id,
                          lh_book_each_revision *each, void *user,
                          lh_fault *fault);

/* Revisions of the whole book saved after one (0: from the first on), in
** order: what an event stream tells. */
lh_status lh_book_since(lh_book *b, long long seq, lh_book_each_revision *each,
                        void *user, lh_fault *fault);

/* The last revision's place in the order of saving; 0 in an empty book. */
lh_status lh_book_last(lh_book *b, long long *seq, lh_fault *fault);

/* Records of a kind, the newest first.
**
** Given:     kind     LH_BOOK_ANY: of all
**            hidden   those that are hidden instead of those shown
**            skip, most   a page of the list
*/
lh_status lh_book_list(lh_book *b, lh_book_kind kind, bool hidden, long skip,
                       long most, lh_book_each_record *each, void *user,
                       lh_fault *fault);

/* Records whose name or note holds all the words, each from its beginning,
** accents and capitals aside; the newest first, at most so many. */
lh_status lh_book_search(lh_book *b, const char *words, lh_book_kind kind,
                         long most, lh_book_each_record *each, void *user,
                         lh_fault *fault);

/* ---- blobs -------------------------------------------------------------- */

/* Keep bytes; hex gets their SHA-256, 64 digits.  The same twice is kept
** once.
**
** Given:     media   "image/png" or "image/jpeg", and it must be one, or
**                    "application/octet-stream"
*/
lh_status lh_book_blob_put(lh_book *b, const char *media, const void *bytes,
                           size_t n, char hex[65], lh_fault *fault);

/* Fetch them into an arena; *media stands in the arena, too. */
lh_status lh_book_blob_get(lh_book *b, const char *hex, lh_arena *a,
                           const char **media, const void **bytes, size_t *n,
                           lh_fault *fault);

/* ---- care --------------------------------------------------------------- */

/* Is the book whole?  The database, every revision and its hash, what can
** be worked out again, references, blobs.
**
** Given:     say       called for each finding, one line; may be NULL
** Returned:  *findings how many; *records, *revisions, *blobs looked at
** Status:    LH_OK also when there are findings; LH_IO; LH_CANCELLED
*/
typedef void lh_book_say(void *user, const char *line);
typedef struct {
  long records, revisions, blobs, findings;
} lh_book_checked;
lh_status lh_book_check(lh_book *b, lh_book_say *say, void *user,
                        const lh_watch *watch, lh_book_checked *checked,
                        lh_fault *fault);

/* Copy the book while it is in use, to a file that is not there yet. */
lh_status lh_book_backup(lh_book *b, const char *path, const lh_watch *watch,
                         lh_fault *fault);

/* The whole book as JSON Lines and files: about.jsonl, records.jsonl,
** revisions.jsonl, blobs.jsonl, and blobs/SHA256.  The same book gives the
** same bytes.  The folder must be empty or not there. */
lh_status lh_book_export(lh_book *b, const char *folder, const lh_watch *watch,
                         lh_fault *fault);

/* A new book from such a folder.  All of it is checked as lh_book_check
** does; the fault names what does not hold, and no book is left then. */
lh_status lh_book_import(const char *path, const char *folder,
                         const lh_watch *watch, lh_fault *fault);

/* Work out again what can be (index.sql). */
lh_status lh_book_rebuild(lh_book *b, const lh_watch *watch, lh_fault *fault);

#endif
