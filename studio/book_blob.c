/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_blob.c -- pictures and the like, named by their SHA-256. */
#include <string.h>

#include "book_room.h"
#include "heap.h"

/* What a picture's first bytes must be: PNG (ISO/IEC 15948, 5.2), JPEG
** (ISO/IEC 10918-1, B.1.1.3: SOI, then a marker). */
static lh_status check_media(const char *media, const unsigned char *bytes,
                             size_t n, lh_fault *fault)
{
  static const unsigned char png[] = {137, 80, 78, 71, 13, 10, 26, 10};
  static const unsigned char jpeg[] = {0xff, 0xd8, 0xff};
  bool good;

  if (strcmp(media, "image/png") == 0)
    good = n >= sizeof png && memcmp(bytes, png, sizeof png) == 0;
  else if (strcmp(media, "image/jpeg") == 0)
    good = n >= sizeof jpeg && memcmp(bytes, jpeg, sizeof jpeg) == 0;
  else
    good = strcmp(media, "application/octet-stream") == 0;
  if (good) return LH_OK;
  return lh_fault_say(fault, LH_INPUT, media,
                      "give a PNG or JPEG picture and its own media type",
                      "the bytes are no such thing");
}

lh_status lh_book_blob_put(lh_book *b, const char *media, const void *bytes,
                           size_t n, char hex[65], lh_fault *fault)
{
  static const char sql[] = "INSERT INTO blob (sha256, media, bytes)"
                            " VALUES (?1, ?2, ?3)"
                            " ON CONFLICT (sha256) DO NOTHING";
  unsigned char hash[32];
  sqlite3_stmt *q;
  lh_status st = check_media(media, bytes, n, fault);

  if (st != LH_OK) return st;
  if (n > LH_BOOK_BLOB_MOST) {
    return lh_fault_say(fault, LH_TOOLARGE, media, "make the picture smaller",
                        "larger than the %d MB taken",
                        LH_BOOK_BLOB_MOST / (1024 * 1024));
  }
  lh_digest(bytes, n, hash);
  lh_digest_hex(hash, hex);
  q = lh_book_sql(b, sql);
  if (q) {
    sqlite3_bind_blob(q, 1, hash, sizeof hash, SQLITE_STATIC);
    sqlite3_bind_text(q, 2, media, -1, SQLITE_STATIC);
    sqlite3_bind_blob64(q, 3, n ? bytes : "", n, SQLITE_STATIC);
  }
  return lh_book_run(b, q, fault);
}

lh_status lh_book_blob_get(lh_book *b, const char *hex, lh_arena *a,
                           const char **media, const void **bytes, size_t *n,
                           lh_fault *fault)
{
  static const char sql[] = "SELECT media, bytes FROM blob WHERE sha256 = ?1";
  unsigned char hash[32];
  sqlite3_stmt *q = NULL;
  bool row = false;
  lh_status st = LH_OK;

  if (lh_digest_unhex(hex, hash)) {
    q = lh_book_sql(b, sql);
    /* STATIC: a copy that could not be made would look for nothing. */
    if (q) sqlite3_bind_blob(q, 1, hash, sizeof hash, SQLITE_STATIC);
    st = lh_book_next(b, q, &row, fault);
  }
  if (st == LH_OK && !row) {
    st = lh_fault_say(fault, LH_NOTFOUND, hex, "check the 64 digits",
                      "there is no such picture in the book");
  }
  if (st == LH_OK) {
    const void *from = sqlite3_column_blob(q, 1);
    *n = (size_t)sqlite3_column_bytes(q, 1);
    *media = lh_heap_text(a, lh_book_column(q, 0));
    *bytes = lh_heap_copy(a, from ? from : "", *n);
    if (!*media || !*bytes) st = lh_fault_plain(fault, LH_NOMEM, hex);
  }
  if (q) sqlite3_reset(q);
  return st;
}
