/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_write.c -- one revision into the tables, and what follows from it. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "book_room.h"
#include "clock.h"

lh_status lh_book_device_ok(const char *device, lh_fault *fault)
{
  size_t n = strlen(device);

  for (size_t i = 0; i < n; i++)
    if ((unsigned char)device[i] < 0x20 || device[i] == 0x7f) n = 0;
  if (n > 0 && n <= LH_BOOK_DEVICE) return LH_OK;
  return lh_fault_say(fault, LH_INPUT, "device",
                      "give 1 to 64 characters without control characters",
                      "this cannot be a device's name");
}

lh_status lh_book_number(lh_book *b, int64_t record, long *number,
                         lh_fault *fault)
{
  static const char sql[] =
      "SELECT coalesce(max(number), 0) + 1 FROM revision WHERE record = ?1";
  sqlite3_stmt *q = lh_book_sql(b, sql);
  bool row;
  lh_status st;

  if (q) sqlite3_bind_int64(q, 1, record);
  st = lh_book_next(b, q, &row, fault);
  if (row) *number = (long)sqlite3_column_int64(q, 0);
  if (q) sqlite3_reset(q);
  return st;
}

/* How many patches lie between the base's full copy and this row. */
static lh_status depth_after(lh_book *b, const lh_book_place *place, long base,
                             int *depth, lh_fault *fault)
{
  static const char sql[] =
      "SELECT depth FROM revision WHERE record = ?1 AND number = ?2";
  sqlite3_stmt *q = lh_book_sql_of(b, sql, place->seq, base);
  bool row;
  lh_status st;

  *depth = 0;
  if (base == 0) return LH_OK;
  st = lh_book_next(b, q, &row, fault);
  if (row) *depth = (sqlite3_column_int(q, 0) + 1) % LH_BOOK_SNAPSHOT;
  if (q) sqlite3_reset(q);
  return st;
}

lh_status lh_book_touch(lh_book *b, int64_t record, long number,
                        const json_t *touched, lh_fault *fault)
{
  static const char sql[] =
      "INSERT INTO touched (record, number, thing) VALUES (?1, ?2, ?3)";
  lh_status st = LH_OK;
  const char *key;
  json_t *v;

  json_object_foreach((json_t *)(uintptr_t)touched, key, v)
  {
    sqlite3_stmt *q = lh_book_sql(b, sql);
    if (q) {
      sqlite3_bind_int64(q, 1, record);
      sqlite3_bind_int64(q, 2, number);
      sqlite3_bind_text(q, 3, key, -1, SQLITE_STATIC);
    }
    st = lh_book_run(b, q, fault);
    if (st != LH_OK) break;
  }
  return st;
}

static void bind_or_null(sqlite3_stmt *q, int i, long v)
{
  if (v)
    sqlite3_bind_int64(q, i, v);
  else
    sqlite3_bind_null(q, i);
}

/* The texts of a row: patch, inverse and, when it is its turn, document. */
typedef struct {
  char *patch, *inverse, *document;
} texts;

static lh_status write_texts(const lh_book_row *row, bool full, texts *t,
                             lh_fault *fault)
{
  bool good = true;

  t->patch = row->patch ? lh_json_line(row->patch) : NULL;
  t->inverse = row->inverse ? lh_json_line(row->inverse) : NULL;
  t->document = full ? lh_json_line(row->document) : NULL;
  good = (t->patch || !row->patch) && (t->inverse || !row->inverse) &&
         (t->document || !full);
  if (!good) return lh_fault_plain(fault, LH_NOMEM, "/");
  if (t->document && strlen(t->document) > LH_DOCUMENT_MOST) {
    return lh_fault_say(fault, LH_TOOLARGE, "/",
                        "leave raw pen samples out, or divide it",
                        "the document is larger than is taken");
  }
  return LH_OK;
}

static lh_status insert(lh_book *b, const lh_book_place *place,
                        const lh_book_row *row, int depth, const texts *t,
                        lh_fault *fault)
{
  static const char sql[] =
      "INSERT INTO revision (record, number, base, at, device, act, reverses,"
      " takes, settles, aside, hidden, patch, inverse, document, depth, hash)"
      " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14,"
      " ?15, ?16)";
  const char *patch = t->patch ? t->patch : "[]";
  const char *inverse = t->inverse ? t->inverse : "[]";
  lh_book_sealed sealed = {
      row->number,  row->base,  lh_clock_now(), row->reverses, row->takes,
      row->settles, row->aside, row->hidden,    row->device,   row->act,
      patch,        inverse,    t->document};
  unsigned char hash[32];
  sqlite3_stmt *q = lh_book_sql(b, sql);

  if (!q) return lh_book_run(b, q, fault);
  lh_book_seal(&sealed, hash);
  sqlite3_bind_int64(q, 1, place->seq);
  sqlite3_bind_int64(q, 2, row->number);
  bind_or_null(q, 3, row->base);
  sqlite3_bind_int64(q, 4, sealed.at);
  sqlite3_bind_text(q, 5, row->device, -1, SQLITE_STATIC);
  sqlite3_bind_text(q, 6, row->act, -1, SQLITE_STATIC);
  bind_or_null(q, 7, row->reverses);
  bind_or_null(q, 8, row->takes);
  bind_or_null(q, 9, row->settles);
  sqlite3_bind_int(q, 10, row->aside);
  sqlite3_bind_int(q, 11, row->hidden);
  sqlite3_bind_text(q, 12, patch, -1, SQLITE_STATIC);
  sqlite3_bind_text(q, 13, inverse, -1, SQLITE_STATIC);
  if (t->document) sqlite3_bind_text(q, 14, t->document, -1, SQLITE_STATIC);
  sqlite3_bind_int(q, 15, depth);
  sqlite3_bind_blob(q, 16, hash, sizeof hash, SQLITE_TRANSIENT);
  return lh_book_run(b, q, fault);
}

lh_status lh_book_write(lh_book *b, const lh_book_place *place,
                        const lh_book_row *row, lh_fault *fault)
{
  texts t = {0};
  int depth;
  lh_status st = depth_after(b, place, row->base, &depth, fault);

  if (st == LH_OK) st = write_texts(row, depth == 0, &t, fault);
  if (st == LH_OK) st = insert(b, place, row, depth, &t, fault);
  if (st == LH_OK && row->touched)
    st = lh_book_touch(b, place->seq, row->number, row->touched, fault);
  if (st == LH_OK && !row->aside)
    st = lh_book_stand(b, place, row->number, row->hidden, row->document, true,
                       fault);
  free(t.patch);
  free(t.inverse);
  free(t.document);
  return st;
}
