/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_stand.c -- where a record stands: its newest revision, its name and
** note for lists and searches, what it refers to. */
#include <string.h>

#include "book_room.h"

/* ---- references --------------------------------------------------------- */

typedef struct {
  lh_book *b;
  const lh_book_place *place;
  bool strict;
  lh_fault *fault;
} referring;

static lh_status is_there(const referring *r, const char *place,
                          const char *kind, const char *target)
{
  static const char record[] =
      "SELECT 1 FROM record WHERE id = ?1 AND (?2 = '' OR kind = ?2)";
  static const char blob[] = "SELECT 1 FROM blob WHERE sha256 = ?1";
  bool is_blob = strcmp(kind, "blob") == 0, row = false;
  unsigned char hash[32];
  sqlite3_stmt *q = lh_book_sql(r->b, is_blob ? blob : record);
  lh_status st = LH_OK;

  if (q && is_blob && lh_digest_unhex(target, hash))
    sqlite3_bind_blob(q, 1, hash, sizeof hash, SQLITE_TRANSIENT);
  if (q && !is_blob) {
    sqlite3_bind_text(q, 1, target, -1, SQLITE_STATIC);
    sqlite3_bind_text(q, 2, kind, -1, SQLITE_STATIC);
  }
  st = lh_book_next(r->b, q, &row, r->fault);
  if (q) sqlite3_reset(q);
  if (st != LH_OK || row) return st;
  return lh_fault_say(r->fault, LH_INPUT, place, "save that first",
                      "there is no %s \"%.100s\" in the book",
                      is_blob ? "picture"
                      : *kind ? kind
                              : "record",
                      target);
}

static lh_status refer(void *user, const char *place, const char *kind,
                       const char *target)
{
  static const char sql[] = "INSERT INTO refers (record, place, kind, target)"
                            " VALUES (?1, ?2, ?3, ?4)";
  const referring *r = user;
  sqlite3_stmt *q;
  lh_status st = r->strict ? is_there(r, place, kind, target) : LH_OK;

  if (st != LH_OK) return st;
  q = lh_book_sql(r->b, sql);
  if (q) {
    sqlite3_bind_int64(q, 1, r->place->seq);
    sqlite3_bind_text(q, 2, place, -1, SQLITE_STATIC);
    sqlite3_bind_text(q, 3, kind, -1, SQLITE_STATIC);
    sqlite3_bind_text(q, 4, target, -1, SQLITE_STATIC);
  }
  return lh_book_run(r->b, q, r->fault);
}

/* ---- where a record stands ---------------------------------------------- */

typedef struct {
  lh_book *b;
  int64_t record;
  long number;
  bool hidden;
  const char *name, *note;
  lh_fault *fault;
} standing;

static void bind_standing(const standing *s, sqlite3_stmt *q)
{
  if (!q) return;
  sqlite3_bind_int64(q, 1, s->record);
  sqlite3_bind_int64(q, 2, s->number);
  sqlite3_bind_int(q, 3, s->hidden);
  sqlite3_bind_text(q, 4, s->name, -1, SQLITE_STATIC);
  sqlite3_bind_text(q, 5, s->note, -1, SQLITE_STATIC);
}

/* Mostly only the number moves: then the search is left alone.  *done tells
** whether that was all. */
static lh_status move_number(const standing *s, bool *done)
{
  static const char sql[] =
      "UPDATE head SET number = ?2, hidden = ?3 WHERE record = ?1"
      " AND name = ?4 AND note = ?5";
  sqlite3_stmt *q = lh_book_sql(s->b, sql);
  lh_status st;

  bind_standing(s, q);
  st = lh_book_run(s->b, q, s->fault);
  *done = st == LH_OK && sqlite3_changes(s->b->db) > 0;
  return st;
}

/* The search forgets the words as they were, and learns those that are. */
static lh_status new_words(const standing *s)
{
  static const char forget[] =
      "INSERT INTO search (search, rowid, name, note)"
      " SELECT 'delete', record, name, note FROM head WHERE record = ?1";
  static const char head[] =
      "INSERT INTO head (record, number, hidden, name, note)"
      " VALUES (?1, ?2, ?3, ?4, ?5) ON CONFLICT (record) DO UPDATE SET"
      " number = excluded.number, hidden = excluded.hidden,"
      " name = excluded.name, note = excluded.note";
  static const char learn[] = "INSERT INTO search (rowid, name, note)"
                              " SELECT record, name, note FROM head"
                              " WHERE record = ?1";
  static const char *const sql[] = {forget, head, learn};
  lh_status st = LH_OK;

  for (int i = 0; i < 3 && st == LH_OK; i++) {
    sqlite3_stmt *q = lh_book_sql(s->b, sql[i]);
    if (i == 1)
      bind_standing(s, q);
    else if (q)
      sqlite3_bind_int64(q, 1, s->record);
    st = lh_book_run(s->b, q, s->fault);
  }
  return st;
}

static const char *text_at(const json_t *document, const char *key)
{
  const char *s = json_string_value(json_object_get(document, key));

  return s ? s : "";
}

lh_status lh_book_stand(lh_book *b, const lh_book_place *place, long number,
                        bool hidden, const json_t *document, bool strict,
                        lh_fault *fault)
{
  static const char clear[] = "DELETE FROM refers WHERE record = ?1";
  referring r = {b, place, strict, fault};
  standing s = {b,
                place->seq,
                number,
                hidden,
                text_at(document, "name"),
                text_at(document, "note"),
                fault};
  bool done;
  lh_status st = move_number(&s, &done);

  if (st == LH_OK && !done) st = new_words(&s);
  if (st == LH_OK) {
    sqlite3_stmt *q = lh_book_sql(b, clear);
    if (q) sqlite3_bind_int64(q, 1, place->seq);
    st = lh_book_run(b, q, fault);
  }
  if (st == LH_OK) st = lh_book_refs(place->kind, document, refer, &r);
  return st;
}
