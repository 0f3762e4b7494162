/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_read.c -- documents, histories, lists, searches. */
#include <ctype.h>
#include <limits.h>
#include <string.h>

#include "book_room.h"
#include "heap.h"

/* Versions kept aside that nobody has decided on: the last of each line. */
#define ASIDES                                                \
  "(SELECT count(*) FROM revision a WHERE a.record = r.seq"   \
  " AND a.aside = 1 AND NOT EXISTS (SELECT 1 FROM revision s" \
  " WHERE s.record = a.record AND s.settles = a.number)"      \
  " AND NOT EXISTS (SELECT 1 FROM revision c"                 \
  " WHERE c.record = a.record AND c.aside = 1 AND c.base = a.number))"
#define RECORD \
  "SELECT r.id, h.name, h.note, r.kind, h.number, h.hidden, " ASIDES
#define FROM " FROM record r JOIN head h ON h.record = r.seq"

static lh_book_record record_of(sqlite3_stmt *q)
{
  return (lh_book_record){
      .id = lh_book_column(q, 0),
      .name = lh_book_column(q, 1),
      .note = lh_book_column(q, 2),
      .kind = lh_book_kind_find(lh_book_column(q, 3)),
      .number = (long)sqlite3_column_int64(q, 4),
      .hidden = sqlite3_column_int(q, 5) != 0,
      .asides = (long)sqlite3_column_int64(q, 6),
  };
}

/* Give each row away; false from `each` ends. */
static lh_status each_record(lh_book *b, sqlite3_stmt *q,
                             lh_book_each_record *each, void *user,
                             lh_fault *fault)
{
  lh_status st;
  bool row;

  while ((st = lh_book_next(b, q, &row, fault)) == LH_OK && row) {
    lh_book_record r = record_of(q);
    if (!each(user, &r)) break;
  }
  if (q) sqlite3_reset(q);
  return st;
}

/* The record's texts, kept until the next reading. */
static lh_status keep(lh_book *b, sqlite3_stmt *q, lh_book_record *r,
                      lh_fault *fault)
{
  lh_heap_free(&b->words);
  *r = record_of(q);
  r->id = lh_heap_text(&b->words, r->id);
  r->name = lh_heap_text(&b->words, r->name);
  r->note = lh_heap_text(&b->words, r->note);
  if (r->id && r->name && r->note) return LH_OK;
  return lh_fault_plain(fault, LH_NOMEM, b->path);
}

/* Read inside one transaction, so that number and document belong together
** whatever another program saves. */
static lh_status read_it(lh_book *b, const lh_book_place *place, long number,
                         json_t **document, lh_book_record *record,
                         lh_fault *fault)
{
  static const char sql[] = RECORD FROM " WHERE r.seq = ?1";
  lh_status st = lh_book_take(b, place, number, document, fault);
  sqlite3_stmt *q;
  bool row;

  if (st != LH_OK) return st;
  lh_book_hold(b, place, number, *document);
  if (!record) return LH_OK;
  q = lh_book_sql(b, sql);
  if (q) sqlite3_bind_int64(q, 1, place->seq);
  st = lh_book_next(b, q, &row, fault);
  if (st == LH_OK && row) st = keep(b, q, record, fault);
  if (q) sqlite3_reset(q);
  return st;
}

lh_status lh_book_read(lh_book *b, const char *id, long number,
                       json_t **document, lh_book_record *record,
                       lh_fault *fault)
{
  lh_book_place place;
  lh_status st = lh_book_begin_reading(b, fault);

  *document = NULL;
  if (st != LH_OK) return st;
  st = lh_book_find(b, id, &place, fault);
  if (st == LH_OK)
    st = read_it(b, &place, number ? number : place.head, document, record,
                 fault);
  return lh_book_end(b, st, fault);
}

lh_status lh_book_named(lh_book *b, lh_book_kind kind, const char *name,
                        json_t **document, lh_book_record *record,
                        lh_fault *fault)
{
  static const char sql[] =
      "SELECT r.id FROM head h JOIN record r ON r.seq = h.record"
      " WHERE h.name = ?1 AND h.hidden = 0 AND (?2 = '' OR r.kind = ?2)"
      " ORDER BY r.seq DESC LIMIT 1";
  const char *of = lh_book_kind_name(kind);
  char id[LH_BOOK_ID + 1] = "";
  sqlite3_stmt *q = lh_book_sql(b, sql);
  bool row;
  lh_status st;

  *document = NULL;
  if (q) {
    sqlite3_bind_text(q, 1, name, -1, SQLITE_STATIC);
    sqlite3_bind_text(q, 2, of ? of : "", -1, SQLITE_STATIC);
  }
  st = lh_book_next(b, q, &row, fault);
  if (row) snprintf(id, sizeof id, "%s", lh_book_column(q, 0));
  if (q) sqlite3_reset(q);
  if (st != LH_OK || !row) return st;
  return lh_book_read(b, id, 0, document, record, fault);
}

/* ---- revisions ---------------------------------------------------------- */

#define REVISION                                                       \
  "SELECT v.seq, r.id, v.number, coalesce(v.base, 0), v.at, v.device," \
  " v.act, coalesce(v.reverses, 0), coalesce(v.takes, 0),"             \
  " coalesce(v.settles, 0), v.aside, v.hidden FROM revision v"         \
  " JOIN record r ON r.seq = v.record"

static lh_status each_revision(lh_book *b, sqlite3_stmt *q,
                               lh_book_each_revision *each, void *user,
                               lh_fault *fault)
{
  lh_status st;
  bool row;

  while ((st = lh_book_next(b, q, &row, fault)) == LH_OK && row) {
    lh_book_revision r = {
        .seq = sqlite3_column_int64(q, 0),
        .id = lh_book_column(q, 1),
        .number = (long)sqlite3_column_int64(q, 2),
        .base = (long)sqlite3_column_int64(q, 3),
        .at = sqlite3_column_int64(q, 4),
        .device = lh_book_column(q, 5),
        .act = lh_book_column(q, 6),
        .reverses = (long)sqlite3_column_int64(q, 7),
        .takes = (long)sqlite3_column_int64(q, 8),
        .settles = (long)sqlite3_column_int64(q, 9),
        .aside = sqlite3_column_int(q, 10) != 0,
        .hidden = sqlite3_column_int(q, 11) != 0,
    };
    if (!each(user, &r)) break;
  }
  if (q) sqlite3_reset(q);
  return st;
}

lh_status lh_book_history(lh_book *b, const char *id,
                          lh_book_each_revision *each, void *user,
                          lh_fault *fault)
{
  static const char sql[] =
      REVISION " WHERE v.record = ?1 ORDER BY v.number DESC";
  lh_book_place place;
  sqlite3_stmt *q;
  lh_status st = lh_book_find(b, id, &place, fault);

  if (st != LH_OK) return st;
  q = lh_book_sql(b, sql);
  if (q) sqlite3_bind_int64(q, 1, place.seq);
  return each_revision(b, q, each, user, fault);
}

lh_status lh_book_since(lh_book *b, long long seq, lh_book_each_revision *each,
                        void *user, lh_fault *fault)
{
  static const char sql[] = REVISION " WHERE v.seq > ?1 ORDER BY v.seq";
  sqlite3_stmt *q = lh_book_sql(b, sql);

  if (q) sqlite3_bind_int64(q, 1, seq);
  return each_revision(b, q, each, user, fault);
}

lh_status lh_book_last(lh_book *b, long long *seq, lh_fault *fault)
{
  static const char sql[] = "SELECT coalesce(max(seq), 0) FROM revision";
  sqlite3_stmt *q = lh_book_sql(b, sql);
  bool row;
  lh_status st = lh_book_next(b, q, &row, fault);

  *seq = row ? sqlite3_column_int64(q, 0) : 0;
  if (q) sqlite3_reset(q);
  return st;
}

/* ---- lists and searches ------------------------------------------------- */

lh_status lh_book_list(lh_book *b, lh_book_kind kind, bool hidden, long skip,
                       long most, lh_book_each_record *each, void *user,
                       lh_fault *fault)
{
  static const char all[] =
      RECORD FROM " WHERE h.hidden = ?2 ORDER BY r.seq DESC LIMIT ?3 OFFSET ?4";
  static const char some[] =
      RECORD FROM " WHERE r.kind = ?1 AND h.hidden = ?2 ORDER BY r.seq DESC"
                  " LIMIT ?3 OFFSET ?4";
  const char *of = lh_book_kind_name(kind);
  sqlite3_stmt *q = lh_book_sql(b, of ? some : all);

  if (q) {
    if (of) sqlite3_bind_text(q, 1, of, -1, SQLITE_STATIC);
    sqlite3_bind_int(q, 2, hidden);
    sqlite3_bind_int64(q, 3, most);
    sqlite3_bind_int64(q, 4, skip);
  }
  return each_record(b, q, each, user, fault);
}

/* Does a word hold anything that is searched for? */
static bool worded(const char *s, size_t n)
{
  for (size_t i = 0; i < n; i++)
    if (isalnum((unsigned char)s[i]) || (unsigned char)s[i] >= 0x80)
      return true;
  return false;
}

/* The query in FTS5's language: each word quoted, found by its beginning.
** Quoted, a word has no meaning but itself.  NULL: out of memory. */
static char *query_of(lh_arena *a, const char *words)
{
  char *text = lh_arena_take(a, 2 * strlen(words) + 4 * strlen(words) + 8, 1);
  size_t n = 0;

  if (!text) return NULL;
  for (const char *s = words; *s;) {
    size_t length;
    s += strspn(s, " \t\r\n");
    length = strcspn(s, " \t\r\n");
    if (worded(s, length)) {
      text[n++] = '"';
      for (size_t i = 0; i < length; i++) {
        if (s[i] == '"') text[n++] = '"';
        text[n++] = s[i];
      }
      memcpy(text + n, "\"* ", 3);
      n += 3;
    }
    s += length;
  }
  text[n] = 0;
  return text;
}

lh_status lh_book_search(lh_book *b, const char *words, lh_book_kind kind,
                         long most, lh_book_each_record *each, void *user,
                         lh_fault *fault)
{
  static const char sql[] =
      RECORD " FROM search s JOIN head h ON h.record = s.rowid"
             " JOIN record r ON r.seq = s.rowid WHERE search MATCH ?1"
             " AND h.hidden = 0 AND (?2 = '' OR r.kind = ?2)"
             " ORDER BY s.rowid DESC LIMIT ?3";
  const char *of = lh_book_kind_name(kind);
  char *query;
  sqlite3_stmt *q;

  if (strlen(words) > 1000) {
    return lh_fault_say(fault, LH_TOOLARGE, "search", "use fewer words",
                        "too much is asked for at once");
  }
  lh_heap_free(&b->words);
  query = query_of(&b->words, words);
  if (!query) return lh_fault_plain(fault, LH_NOMEM, b->path);
  if (!*query) {
    return lh_fault_say(fault, LH_INPUT, "search", "give a word, or its start",
                        "there is no word to search for");
  }
  q = lh_book_sql(b, sql);
  if (q) {
    sqlite3_bind_text(q, 1, query, -1, SQLITE_STATIC);
    sqlite3_bind_text(q, 2, of ? of : "", -1, SQLITE_STATIC);
    sqlite3_bind_int64(q, 3, most);
  }
  return each_record(b, q, each, user, fault);
}
