/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_sql.c -- statements, transactions, errors in words, hashes. */
#include <nettle/sha2.h>
#include <stdio.h>
#include <string.h>

#include "book_room.h"

static lh_status full(lh_book *b, lh_fault *fault)
{
  return lh_fault_say(fault, LH_IO, b->path,
                      "make room on the disk and try again",
                      "the disk is full; what was saved before is safe");
}

lh_status lh_book_fault(lh_book *b, int rc, lh_fault *fault)
{
  switch (rc & 0xff) {
  case SQLITE_OK:
  case SQLITE_ROW:
  case SQLITE_DONE: return LH_OK;
  case SQLITE_NOMEM: return lh_fault_plain(fault, LH_NOMEM, b->path);
  case SQLITE_FULL: return full(b, fault);
  case SQLITE_BUSY:
  case SQLITE_LOCKED:
    return lh_fault_say(fault, LH_IO, b->path,
                        "wait until it has finished, or close it",
                        "another program is writing to the book");
  case SQLITE_READONLY:
  case SQLITE_PERM:
  case SQLITE_CANTOPEN:
    return lh_fault_say(fault, LH_IO, b->path,
                        "keep the book in a folder that you may write to",
                        "the book, or its folder, cannot be written to");
  case SQLITE_NOTADB:
    return lh_fault_say(fault, LH_INPUT, b->path,
                        "name a book; leatherhard book FILE init begins one",
                        "this file is no book");
  case SQLITE_CORRUPT:
    return lh_fault_say(fault, LH_IO, b->path,
                        "keep this file, and go on with your last backup",
                        "the book is damaged");
  case SQLITE_IOERR:
    if (rc == SQLITE_IOERR_WRITE) {
      return lh_fault_say(fault, LH_IO, b->path,
                          "make room on the disk, or check it, and try again",
                          "the disk takes no more; what was saved before is "
                          "safe");
    }
    return lh_fault_say(fault, LH_IO, b->path,
                        "check the disk, then leatherhard book FILE check",
                        "the disk refuses: %s", sqlite3_errstr(rc));
  default:
    return lh_fault_say(fault, LH_IO, b->path,
                        "run leatherhard book FILE check",
                        "the book refuses: %s", sqlite3_errmsg(b->db));
  }
}

sqlite3_stmt *lh_book_sql(lh_book *b, const char *sql)
{
  size_t i = 0;

  while (i < LH_BOOK_READY && b->ready[i].q && b->ready[i].sql != sql) i++;
  if (i == LH_BOOK_READY) {
    i = 0;
    sqlite3_finalize(b->ready[i].q);
    b->ready[i].q = NULL;
  }
  if (!b->ready[i].q) {
    sqlite3_stmt *q = NULL;
    if (sqlite3_prepare_v3(b->db, sql, -1, SQLITE_PREPARE_PERSISTENT, &q,
                           NULL) != SQLITE_OK)
      return NULL;
    b->ready[i].q = q;
    b->ready[i].sql = sql;
  }
  sqlite3_reset(b->ready[i].q);
  sqlite3_clear_bindings(b->ready[i].q);
  return b->ready[i].q;
}

sqlite3_stmt *lh_book_sql_of(lh_book *b, const char *sql, int64_t record,
                             int64_t number)
{
  sqlite3_stmt *q = lh_book_sql(b, sql);

  if (q) {
    sqlite3_bind_int64(q, 1, record);
    sqlite3_bind_int64(q, 2, number);
  }
  return q;
}

lh_status lh_book_run(lh_book *b, sqlite3_stmt *q, lh_fault *fault)
{
  int rc = q ? sqlite3_step(q) : sqlite3_errcode(b->db);
  lh_status st = lh_book_fault(b, rc, fault);

  if (q) sqlite3_reset(q);
  return st;
}

lh_status lh_book_next(lh_book *b, sqlite3_stmt *q, bool *row, lh_fault *fault)
{
  int rc = q ? sqlite3_step(q) : sqlite3_errcode(b->db);
  lh_status st = lh_book_fault(b, rc, fault);

  *row = rc == SQLITE_ROW;
  if (q && !*row) sqlite3_reset(q);
  return st;
}

lh_status lh_book_script(lh_book *b, const void *sql, size_t n, lh_fault *fault)
{
  const char *at = sql, *end = at + n;
  lh_status st = LH_OK;

  while (st == LH_OK && at < end) {
    sqlite3_stmt *q = NULL;
    const char *tail = end;
    int rc = sqlite3_prepare_v2(b->db, at, (int)(end - at), &q, &tail);
    while (rc == SQLITE_OK && q && (rc = sqlite3_step(q)) == SQLITE_ROW)
      rc = SQLITE_OK;
    st = lh_book_fault(b, rc, fault);
    sqlite3_finalize(q);
    at = tail;
  }
  return st;
}

lh_status lh_book_exec(lh_book *b, const char *sql, lh_fault *fault)
{
  return lh_book_script(b, sql, strlen(sql), fault);
}

lh_status lh_book_begin(lh_book *b, lh_fault *fault)
{
  return lh_book_run(b, lh_book_sql(b, "BEGIN IMMEDIATE"), fault);
}

lh_status lh_book_begin_reading(lh_book *b, lh_fault *fault)
{
  return lh_book_run(b, lh_book_sql(b, "BEGIN"), fault);
}

lh_status lh_book_end(lh_book *b, lh_status st, lh_fault *fault)
{
  if (st == LH_OK) st = lh_book_run(b, lh_book_sql(b, "COMMIT"), fault);
  if (st != LH_OK) {
    lh_book_drop(b);
    if (!sqlite3_get_autocommit(b->db))
      (void)lh_book_run(b, lh_book_sql(b, "ROLLBACK"), NULL);
  }
  return st;
}

const char *lh_book_column(sqlite3_stmt *q, int i)
{
  const char *s = (const char *)sqlite3_column_text(q, i);

  return s ? s : "";
}

/* ---- hashes ------------------------------------------------------------- */

/* Each text with its length before it, so that no two lists read alike. */
static void part(struct sha256_ctx *c, const char *text)
{
  size_t size = text ? strlen(text) : 0;
  char length[32];
  int k = snprintf(length, sizeof length, "%s%zu:", text ? "" : "-", size);

  sha256_update(c, (size_t)k, (const uint8_t *)length);
  if (size) sha256_update(c, size, (const uint8_t *)text);
}

void lh_book_seal(const lh_book_sealed *s, unsigned char hash[32])
{
  struct sha256_ctx c;
  char numbers[200];

  snprintf(numbers, sizeof numbers, "%lld %lld %lld %lld %lld %lld %d %d",
           s->number, s->base, s->at, s->reverses, s->takes, s->settles,
           s->aside, s->hidden);
  sha256_init(&c);
  part(&c, numbers);
  part(&c, s->device);
  part(&c, s->act);
  part(&c, s->patch);
  part(&c, s->inverse);
  part(&c, s->document);
  sha256_digest(&c, SHA256_DIGEST_SIZE, hash);
}
