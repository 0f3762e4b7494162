/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_import.c -- a book from the lines of an export.  Everything goes in
** within one transaction and is checked before it counts. */
#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book_carry.h"
#include "book_room.h"
#include "file.h"
#include "heap.h"

typedef struct {
  lh_book *b;
  const char *folder;
  const lh_carry_table *table;
  size_t line;
  lh_fault *fault;
} carrying;

static lh_status refuse(const carrying *c, lh_status st, const char *what,
                        const char *todo)
{
  char where[128];

  snprintf(where, sizeof where, "%s:%zu", c->table->file, c->line);
  return lh_fault_say(c->fault, st, where, todo, "%s", what);
}

static lh_status wrong(const carrying *c, const char *key, const char *what)
{
  char text[128];

  snprintf(text, sizeof text, "\"%s\" %s", key, what);
  return refuse(c, LH_INPUT, text, "export the book again");
}

/* Bind one value; what is NULL stays unbound, which is NULL. */
static lh_status bind(const carrying *c, sqlite3_stmt *q, int i,
                      const lh_carry_column *column, const json_t *v)
{
  unsigned char hash[32];
  char *text;
  int rc = SQLITE_OK;

  switch (column->kind) {
  case LH_CARRY_NUMBER:
    if (!json_is_integer(v)) return wrong(c, column->key, "is no number");
    rc = sqlite3_bind_int64(q, i, json_integer_value(v));
    break;
  case LH_CARRY_TEXT:
    if (!json_is_string(v)) return wrong(c, column->key, "is no text");
    rc = sqlite3_bind_text(q, i, json_string_value(v), -1, SQLITE_TRANSIENT);
    break;
  case LH_CARRY_HEX:
    if (!json_is_string(v) || !lh_digest_unhex(json_string_value(v), hash))
      return wrong(c, column->key, "is no SHA-256");
    rc = sqlite3_bind_blob(q, i, hash, sizeof hash, SQLITE_TRANSIENT);
    break;
  case LH_CARRY_JSON:
    text = lh_json_line(v);
    if (!text) return refuse(c, LH_NOMEM, "out of memory", "");
    rc = sqlite3_bind_text(q, i, text, -1, SQLITE_TRANSIENT);
    free(text);
    break;
  }
  return lh_book_fault(c->b, rc, c->fault);
}

static lh_status known_keys(const carrying *c, const json_t *line)
{
  const char *key;
  json_t *v;

  if (!json_is_object(line))
    return refuse(c, LH_INPUT, "the line is no object", "export it again");
  json_object_foreach((json_t *)(uintptr_t)line, key, v)
  {
    size_t i = 0;
    while (i < c->table->columns && strcmp(c->table->column[i].key, key) != 0)
      i++;
    if (i == c->table->columns) return wrong(c, key, "is not known");
  }
  return LH_OK;
}

static lh_status bind_blob(const carrying *c, sqlite3_stmt *q,
                           const json_t *line, lh_arena *a)
{
  const char *hex = json_string_value(json_object_get(line, "sha256"));
  char path[PATH_MAX];
  const void *bytes = NULL;
  size_t n = 0;
  lh_status st;

  if (!hex) return wrong(c, "sha256", "is missing");
  snprintf(path, sizeof path, "%s/blobs/%s", c->folder, hex);
  st = lh_file_read(path, LH_BOOK_BLOB_MOST, a, &bytes, &n, c->fault);
  if (st == LH_OK)
    st = lh_book_fault(
        c->b, sqlite3_bind_blob64(q, 3, n ? bytes : "", n, SQLITE_TRANSIENT),
        c->fault);
  return st;
}

static lh_status put_line(carrying *c, const char *text, size_t n)
{
  const lh_carry_table *t = c->table;
  sqlite3_stmt *q = lh_book_sql(c->b, t->insert);
  json_t *line = NULL;
  lh_fault inner = {0};
  lh_arena a;
  lh_status st = lh_json_parse(text, n, t->file, &line, &inner);

  if (st != LH_OK) return refuse(c, st, inner.what, inner.todo);
  lh_heap_open(&a);
  st = q ? known_keys(c, line) : lh_book_run(c->b, q, c->fault);
  for (size_t i = 0; i < t->columns && st == LH_OK; i++) {
    const json_t *v = json_object_get(line, t->column[i].key);
    if (v) st = bind(c, q, (int)i + 1, &t->column[i], v);
  }
  if (st == LH_OK && strcmp(t->file, "blobs.jsonl") == 0)
    st = bind_blob(c, q, line, &a);
  if (st == LH_OK) {
    int rc = sqlite3_step(q);
    if ((rc & 0xff) == SQLITE_CONSTRAINT)
      st = refuse(c, LH_INPUT, sqlite3_errmsg(c->b->db),
                  "export the book again");
    else
      st = lh_book_fault(c->b, rc, c->fault);
  }
  if (q) sqlite3_reset(q);
  lh_heap_free(&a);
  json_decref(line);
  return st;
}

/* No line is longer than two patches and a document can be. */
enum { LINE_MOST = 3 * LH_DOCUMENT_MOST };

static lh_status put_table(carrying *c, const lh_watch *watch)
{
  char path[PATH_MAX], *text = NULL;
  size_t room = 0;
  ssize_t n;
  lh_status st = LH_OK;
  FILE *in;

  snprintf(path, sizeof path, "%s/%s", c->folder, c->table->file);
  in = fopen(path, "rb");
  if (!in) {
    return lh_fault_say(c->fault, errno == ENOENT ? LH_NOTFOUND : LH_IO, path,
                        "name a folder that leatherhard book FILE export made",
                        "cannot read it: %s", strerror(errno));
  }
  for (c->line = 1; st == LH_OK; c->line++) {
    n = getline(&text, &room, in);
    if (n < 0) break;
    if (n > LINE_MOST) st = refuse(c, LH_TOOLARGE, "the line is too long", "");
    if (st == LH_OK) st = put_line(c, text, (size_t)n);
    if (st == LH_OK && !lh_watch_go(watch, 0.0))
      st = lh_fault_plain(c->fault, LH_CANCELLED, path);
  }
  if (st == LH_OK && ferror(in))
    st = lh_fault_say(c->fault, LH_IO, path, "check the disk",
                      "cannot read it: %s", strerror(errno));
  free(text);
  fclose(in);
  return st;
}

/* Keep the first finding: it is what the fault says. */
static void first(void *user, const char *line)
{
  char *text = user;

  if (!text[0]) snprintf(text, 256, "%s", line);
}

static lh_status fill(carrying *c, const lh_watch *watch)
{
  lh_book_checked checked;
  char finding[256] = "";
  lh_status st = LH_OK;

  for (size_t i = 0; i < LH_CARRY_TABLES && st == LH_OK; i++) {
    c->table = &lh_carry_tables[i];
    st = put_table(c, watch);
  }
  if (st == LH_OK) st = lh_book_work_out(c->b, watch, c->fault);
  if (st == LH_OK)
    st = lh_book_inspect(c->b, first, finding, watch, &checked, c->fault);
  if (st == LH_OK && checked.findings > 0)
    st = lh_fault_say(c->fault, LH_INPUT, c->folder, "export the book again",
                      "%s", finding);
  return st;
}

lh_status lh_book_import(const char *path, const char *folder,
                         const lh_watch *watch, lh_fault *fault)
{
  lh_book *b = NULL;
  carrying c = {.folder = folder, .fault = fault};
  lh_status st;

  if (strlen(folder) + 90 > PATH_MAX) {
    return lh_fault_say(fault, LH_INPUT, folder, "choose a shorter name",
                        "the name is too long");
  }
  st = lh_book_open(path, LH_BOOK_CREATE, &b, fault);
  if (st != LH_OK) return st;
  c.b = b;
  st = lh_book_begin(b, fault);
  if (st == LH_OK) st = lh_book_end(b, fill(&c, watch), fault);
  lh_book_close(&b);
  if (st != LH_OK) lh_book_remove(path);
  return st;
}
