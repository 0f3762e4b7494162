/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_check.c -- go through every revision again: to see that the book is
** whole, or to work out anew what follows from it. */
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "book_index_sql.h" /* made from index.sql at build time */
#include "book_room.h"
#include "heap.h"
#include "patch.h"

/* ---- one walk through a record ------------------------------------------ */

typedef struct walk walk;
struct walk {
  lh_book *b;
  lh_fault *fault;
  const lh_watch *watch;
  lh_book_say *say;
  void *user;
  lh_book_checked *checked;
  bool building; /* write index.sql's tables; else compare with them */
  double done, total;
};

static void find(walk *w, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

static void find(walk *w, const char *format, ...)
{
  char line[512];
  va_list ap;

  w->checked->findings++;
  va_start(ap, format);
  vsnprintf(line, sizeof line, format, ap);
  va_end(ap);
  if (w->say) w->say(w->user, line);
}

static bool good_hash(sqlite3_stmt *q)
{
  lh_book_sealed s = {
      .number = sqlite3_column_int64(q, 0),
      .base = sqlite3_column_int64(q, 8),
      .at = sqlite3_column_int64(q, 9),
      .reverses = sqlite3_column_int64(q, 10),
      .takes = sqlite3_column_int64(q, 11),
      .settles = sqlite3_column_int64(q, 12),
      .aside = sqlite3_column_int(q, 6) != 0,
      .hidden = sqlite3_column_int(q, 7) != 0,
      .device = lh_book_column(q, 13),
      .act = lh_book_column(q, 1),
      .patch = lh_book_column(q, 2),
      .inverse = lh_book_column(q, 3),
      .document = (const char *)sqlite3_column_text(q, 4),
  };
  unsigned char hash[32];
  const void *is = sqlite3_column_blob(q, 5);

  lh_book_seal(&s, hash);
  return is && sqlite3_column_bytes(q, 5) == 32 && memcmp(is, hash, 32) == 0;
}

/* Bring *d from one revision of the main line to the next. */
static lh_status next_on_line(walk *w, const lh_book_place *place, long number,
                              sqlite3_stmt *q, json_t **d, json_t *touched)
{
  const char *text = (const char *)sqlite3_column_text(q, 4);
  json_t *copy = NULL;
  lh_fault fault = {0};
  lh_status st = LH_OK;

  if (*d) st = lh_book_replay(d, lh_book_column(q, 2), touched, &fault);
  if (st == LH_OK && text)
    st = lh_json_parse(text, strlen(text), "document", &copy, &fault);
  if (st == LH_NOMEM) return lh_fault_plain(w->fault, st, place->id);
  if (st != LH_OK) {
    find(w, "%s revision %ld: %s: %s", place->id, number, fault.where,
         fault.what);
  } else if (*d && copy && !json_equal(*d, copy)) {
    find(w, "%s revision %ld: its full copy differs from its patches",
         place->id, number);
  }
  if (copy) {
    json_decref(*d);
    *d = copy;
  }
  if (!*d) find(w, "%s revision %ld: no document", place->id, number);
  return LH_OK;
}

/* A revision on the side must at least apply to its base. */
static lh_status on_the_side(walk *w, const lh_book_place *place, long number,
                             json_t *touched)
{
  static const char sql[] =
      "SELECT base, patch FROM revision WHERE record = ?1 AND number = ?2";
  json_t *d = NULL;
  lh_fault fault = {0};
  bool row;
  sqlite3_stmt *q = lh_book_sql_of(w->b, sql, place->seq, number);
  lh_status st;

  st = lh_book_next(w->b, q, &row, w->fault);
  if (st == LH_OK && row) {
    st =
        lh_book_make(w->b, place, (long)sqlite3_column_int64(q, 0), &d, &fault);
    if (st == LH_OK)
      st = lh_book_replay(&d, lh_book_column(q, 1), touched, &fault);
    if (st != LH_OK && st != LH_NOMEM)
      find(w, "%s revision %ld: %s: %s", place->id, number, fault.where,
           fault.what);
    if (st != LH_NOMEM) st = LH_OK;
  }
  if (q) sqlite3_reset(q);
  json_decref(d);
  return st;
}

/* What index.sql's tables say of the record must be what follows. */
static lh_status compare_head(walk *w, const lh_book_place *place, long head,
                              bool hidden, const json_t *document)
{
  static const char sql[] =
      "SELECT number, hidden, name, note FROM head WHERE record = ?1";
  const char *name = json_string_value(json_object_get(document, "name"));
  const char *note = json_string_value(json_object_get(document, "note"));
  sqlite3_stmt *q = lh_book_sql(w->b, sql);
  lh_status st;
  bool row;

  if (q) sqlite3_bind_int64(q, 1, place->seq);
  st = lh_book_next(w->b, q, &row, w->fault);
  if (st == LH_OK && (!row || sqlite3_column_int64(q, 0) != head ||
                      (sqlite3_column_int(q, 1) != 0) != hidden ||
                      strcmp(lh_book_column(q, 2), name ? name : "") != 0 ||
                      strcmp(lh_book_column(q, 3), note ? note : "") != 0))
    find(w, "%s: the lists do not show it as it is; it can be rebuilt",
         place->id);
  if (q) sqlite3_reset(q);
  return st;
}

static lh_status finish(walk *w, const lh_book_place *place, long head,
                        bool hidden, const json_t *document)
{
  lh_fault fault = {0};
  lh_status st;

  if (!document) return LH_OK;
  st = lh_book_valid(place->kind, document, place->id, &fault);
  if (st == LH_NOMEM) return lh_fault_plain(w->fault, st, place->id);
  if (st != LH_OK) find(w, "%s: %s: %s", place->id, fault.where, fault.what);
  if (w->building)
    return lh_book_stand(w->b, place, head, hidden, document, false, w->fault);
  return compare_head(w, place, head, hidden, document);
}

/* The statement is this walk's own: others run while it stands at a row. */
static lh_status walk_record(walk *w, const lh_book_place *place)
{
  static const char sql[] =
      "SELECT number, act, patch, inverse, document, hash, aside, hidden, base,"
      " at, reverses, takes, settles, device FROM revision WHERE record = ?1 "
      "ORDER BY number";
  json_t *d = NULL, *touched = NULL;
  long head = 0, expected = 1;
  bool hidden = false, row = false;
  sqlite3_stmt *q = lh_book_sql(w->b, sql);
  lh_status st = LH_OK;

  if (q) sqlite3_bind_int64(q, 1, place->seq);
  while (st == LH_OK && (st = lh_book_next(w->b, q, &row, w->fault)) == LH_OK &&
         row) {
    long number = (long)sqlite3_column_int64(q, 0);
    bool aside = sqlite3_column_int(q, 6) != 0;
    w->checked->revisions++;
    if (number != expected)
      find(w, "%s: revision %ld is missing", place->id, expected);
    expected = number + 1;
    if (!good_hash(q))
      find(w, "%s revision %ld: not as it was written", place->id, number);
    touched = json_object();
    if (!touched) st = lh_fault_plain(w->fault, LH_NOMEM, place->id);
    if (st == LH_OK && aside) {
      st = on_the_side(w, place, number, touched);
    } else if (st == LH_OK) {
      if (head && sqlite3_column_int64(q, 8) != head)
        find(w, "%s revision %ld: stands on %lld, not on %ld", place->id,
             number, (long long)sqlite3_column_int64(q, 8), head);
      st = next_on_line(w, place, number, q, &d, touched);
      head = number;
      hidden = sqlite3_column_int(q, 7) != 0;
    }
    if (st == LH_OK && w->building && number > 1)
      st = lh_book_touch(w->b, place->seq, number, touched, w->fault);
    json_decref(touched);
    w->done++;
    if (st == LH_OK && !lh_watch_go(w->watch, w->done / w->total))
      st = lh_fault_plain(w->fault, LH_CANCELLED, place->id);
  }
  if (q) sqlite3_reset(q);
  if (st == LH_OK && head == 0) find(w, "%s: it has no revision", place->id);
  if (st == LH_OK) st = finish(w, place, head, hidden, d);
  json_decref(d);
  return st;
}

static lh_status count(walk *w)
{
  static const char sql[] = "SELECT count(*) FROM revision";
  sqlite3_stmt *q = lh_book_sql(w->b, sql);
  bool row;
  lh_status st = lh_book_next(w->b, q, &row, w->fault);

  w->total = row ? (double)sqlite3_column_int64(q, 0) : 0;
  if (w->total < 1) w->total = 1;
  if (q) sqlite3_reset(q);
  return st;
}

static lh_status walk_all(walk *w)
{
  static const char sql[] =
      "SELECT seq, kind, id FROM record WHERE seq > ?1 ORDER BY seq LIMIT 1";
  lh_book_place place = {0};
  lh_status st = count(w);
  bool row = true;

  while (st == LH_OK) {
    sqlite3_stmt *q = lh_book_sql(w->b, sql);
    if (q) sqlite3_bind_int64(q, 1, place.seq);
    st = lh_book_next(w->b, q, &row, w->fault);
    if (st != LH_OK || !row) break;
    place.seq = sqlite3_column_int64(q, 0);
    place.kind = lh_book_kind_find(lh_book_column(q, 1));
    snprintf(place.id, sizeof place.id, "%s", lh_book_column(q, 2));
    sqlite3_reset(q);
    w->checked->records++;
    st = walk_record(w, &place);
  }
  return st;
}

/* ---- the rest of a check ------------------------------------------------ */

/* A PRAGMA that says "ok" in one row, or what is wrong in many. */
static lh_status pragma(walk *w, const char *sql, const char *words)
{
  sqlite3_stmt *q = lh_book_sql(w->b, sql);
  bool row;
  lh_status st;

  while ((st = lh_book_next(w->b, q, &row, w->fault)) == LH_OK && row) {
    const char *text = lh_book_column(q, 0);
    if (strcmp(text, "ok") != 0) find(w, "%s: %s", words, text);
  }
  return st;
}

static lh_status references(walk *w)
{
  static const char sql[] =
      "SELECT r.id, f.place, f.kind, f.target FROM refers f"
      " JOIN record r ON r.seq = f.record WHERE NOT CASE f.kind"
      "  WHEN 'blob' THEN EXISTS (SELECT 1 FROM blob"
      "   WHERE lower(hex(sha256)) = f.target)"
      "  ELSE EXISTS (SELECT 1 FROM record t WHERE t.id = f.target"
      "   AND (f.kind = '' OR f.kind = t.kind)) END";
  sqlite3_stmt *q = lh_book_sql(w->b, sql);
  bool row;
  lh_status st;

  while ((st = lh_book_next(w->b, q, &row, w->fault)) == LH_OK && row)
    find(w, "%s: %s names \"%s\", which is not in the book",
         lh_book_column(q, 0), lh_book_column(q, 1), lh_book_column(q, 3));
  return st;
}

static lh_status blobs(walk *w)
{
  static const char sql[] = "SELECT sha256, bytes FROM blob";
  sqlite3_stmt *q = lh_book_sql(w->b, sql);
  bool row;
  lh_status st;

  while ((st = lh_book_next(w->b, q, &row, w->fault)) == LH_OK && row) {
    const void *named = sqlite3_column_blob(q, 0);
    const void *bytes = sqlite3_column_blob(q, 1);
    unsigned char hash[32];
    w->checked->blobs++;
    lh_digest(bytes ? bytes : "", (size_t)sqlite3_column_bytes(q, 1), hash);
    if (!named || memcmp(named, hash, 32) != 0) {
      char hex[65];
      lh_digest_hex(hash, hex);
      find(w, "a picture is not as it was written; it is now %s", hex);
    }
  }
  return st;
}

/* FTS5 compares its index with `head` and fails when they differ. */
static lh_status search_index(walk *w)
{
  static const char sql[] =
      "INSERT INTO search (search, rank) VALUES ('integrity-check', 1)";
  sqlite3_stmt *q = lh_book_sql(w->b, sql);
  int rc = q ? sqlite3_step(q) : SQLITE_ERROR;

  if (q) sqlite3_reset(q);
  if ((rc & 0xff) == SQLITE_CORRUPT) {
    find(w, "the search does not find what is there; it can be rebuilt");
    return LH_OK;
  }
  return lh_book_fault(w->b, rc, w->fault);
}

static lh_status inspect(walk *w)
{
  lh_status st;

  *w->checked = (lh_book_checked){0};
  st = pragma(w, "PRAGMA integrity_check", "the file");
  if (st == LH_OK) st = pragma(w, "PRAGMA foreign_key_check", "a table");
  if (st == LH_OK) st = walk_all(w);
  if (st == LH_OK) st = references(w);
  if (st == LH_OK) st = blobs(w);
  return st;
}

lh_status lh_book_inspect(lh_book *b, lh_book_say *say, void *user,
                          const lh_watch *watch, lh_book_checked *checked,
                          lh_fault *fault)
{
  walk w = {.b = b,
            .fault = fault,
            .watch = watch,
            .say = say,
            .user = user,
            .checked = checked};
  lh_status st = inspect(&w);

  return st == LH_OK ? search_index(&w) : st;
}

lh_status lh_book_check(lh_book *b, lh_book_say *say, void *user,
                        const lh_watch *watch, lh_book_checked *checked,
                        lh_fault *fault)
{
  walk w = {.b = b,
            .fault = fault,
            .watch = watch,
            .say = say,
            .user = user,
            .checked = checked};
  lh_status st = lh_book_begin_reading(b, fault);

  *checked = (lh_book_checked){0};
  if (st != LH_OK) return st;
  st = lh_book_end(b, inspect(&w), fault);
  if (st != LH_OK) return st;
  /* The search is compared by an INSERT that writes nothing, but asks for
  ** the right to: apart, so that nobody's save waits for the rest. */
  st = lh_book_begin(b, fault);
  if (st != LH_OK) return st;
  return lh_book_end(b, search_index(&w), fault);
}

/* ---- working out again -------------------------------------------------- */

lh_status lh_book_work_out(lh_book *b, const lh_watch *watch, lh_fault *fault)
{
  static const char mark[] = "UPDATE about SET value = ?1 WHERE key = 'index'";
  lh_book_checked checked = {0};
  walk w = {.b = b,
            .fault = fault,
            .watch = watch,
            .checked = &checked,
            .building = true};
  sqlite3_stmt *q;
  lh_status st = lh_book_script(b, book_index_sql, book_index_sql_size, fault);

  if (st == LH_OK) st = walk_all(&w);
  if (st != LH_OK) return st;
  q = lh_book_sql(b, mark);
  if (q) sqlite3_bind_int(q, 1, LH_BOOK_INDEX_VERSION);
  return lh_book_run(b, q, fault);
}

lh_status lh_book_rebuild(lh_book *b, const lh_watch *watch, lh_fault *fault)
{
  lh_status st = lh_book_begin(b, fault);

  if (st != LH_OK) return st;
  return lh_book_end(b, lh_book_work_out(b, watch, fault), fault);
}
