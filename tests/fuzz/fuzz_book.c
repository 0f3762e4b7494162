/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_book.c -- a book that a stranger made: any bytes as its file, or, when
** they open with 'L', any lines as an export: about, records and revisions,
** parted by record separators (1E).
**
** What must hold: a file that is refused says what and what to do; one that
** opens can be checked, listed, searched, read and rebuilt, with a refusal at
** worst; lines that are taken check clean and can be exported; lines that are
** refused leave no file.
*/
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "book.h"

enum { MARK = 0x1e };

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static char folder[64], path[96];

static void must(int ok)
{
  if (!ok) abort();
}

static void clear(void)
{
  static const char *const names[] = {
      "a.book",      "a.book-wal",    "a.book-shm",      "a.book-journal",
      "about.jsonl", "records.jsonl", "revisions.jsonl", "blobs.jsonl"};
  char name[128];

  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
    snprintf(name, sizeof name, "%s/%s", folder, names[i]);
    unlink(name);
  }
}

static void gone(void)
{
  clear();
  rmdir(folder);
}

static void begin(void)
{
  if (folder[0]) return;
  snprintf(folder, sizeof folder, "%s/fuzz-XXXXXX",
           access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
  must(mkdtemp(folder) != NULL);
  snprintf(path, sizeof path, "%s/a.book", folder);
  atexit(gone);
}

static void put(const char *name, const void *bytes, size_t n)
{
  char file[128];
  FILE *f;

  snprintf(file, sizeof file, "%s/%s", folder, name);
  f = fopen(file, "wb");
  must(f && fwrite(bytes, 1, n, f) == n && fclose(f) == 0);
}

static bool read_each(void *user, const lh_book_record *r)
{
  char *id = user;

  must(r->id && r->name && r->note);
  snprintf(id, 80, "%s", r->id);
  return true;
}

static bool any(void *user, const lh_book_revision *r)
{
  (void)user;
  must(r->id && r->device && r->act);
  return true;
}

/* Whatever is asked, the answer is an answer. */
static void look(lh_book *b)
{
  char id[80] = "";
  json_t *d = NULL;
  lh_book_record r;
  lh_book_saved saved;
  lh_book_checked c;
  json_t *p = json_array();

  (void)lh_book_list(b, LH_BOOK_ANY, false, 0, 100, read_each, id, NULL);
  (void)lh_book_search(b, "a", LH_BOOK_ANY, 10, read_each, id, NULL);
  (void)lh_book_read(b, id, 0, &d, &r, NULL);
  (void)lh_book_read(b, id, 2, &d, &r, NULL);
  (void)lh_book_history(b, id, any, NULL, NULL);
  (void)lh_book_since(b, 0, any, NULL, NULL);
  json_array_append_new(p, json_pack("{s:s,s:s,s:s}", "op", "add", "path",
                                     "/note", "value", "x"));
  (void)lh_book_edit(b, id, 1, p, "fuzz", false, &saved, NULL);
  (void)lh_book_undo(b, id, "fuzz", &saved, NULL);
  json_decref(p);
  (void)lh_book_check(b, NULL, NULL, NULL, &c, NULL);
  (void)lh_book_rebuild(b, NULL, NULL);
}

static void as_file(const uint8_t *data, size_t size)
{
  lh_book *b = NULL;
  lh_fault fault = {0};

  put("a.book", data, size);
  if (lh_book_open(path, LH_BOOK_OPEN, &b, &fault) == LH_OK)
    look(b);
  else
    must(!b && *fault.what && *fault.todo);
  lh_book_close(&b);
}

static void as_lines(const uint8_t *data, size_t size)
{
  static const char *const names[] = {"about.jsonl", "records.jsonl",
                                      "revisions.jsonl"};
  lh_book *b = NULL;
  lh_book_checked c;
  lh_fault fault = {0};

  put("blobs.jsonl", "", 0);
  for (int i = 0; i < 3; i++) {
    const uint8_t *end = size ? memchr(data, MARK, size) : NULL;
    size_t n = end ? (size_t)(end - data) : size;
    put(names[i], data, n);
    data = end ? end + 1 : data + size;
    size -= n + (end != NULL);
  }
  if (lh_book_import(path, folder, NULL, &fault) != LH_OK) {
    must(*fault.what && access(path, F_OK) != 0);
    return;
  }
  must(lh_book_open(path, LH_BOOK_OPEN, &b, &fault) == LH_OK);
  must(lh_book_check(b, NULL, NULL, NULL, &c, &fault) == LH_OK);
  must(c.findings == 0);
  look(b);
  lh_book_close(&b);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  begin();
  clear();
  if (size > 0 && data[0] == 'L')
    as_lines(data + 1, size - 1);
  else
    as_file(data, size);
  return 0;
}
