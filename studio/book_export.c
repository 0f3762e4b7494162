/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_export.c -- the whole book as text: JSON Lines, and a file a blob. */
#include <dirent.h>
#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "book_carry.h"
#include "book_room.h"
#include "file.h"

/* Revisions leave in the order of saving, and enter in it. */
const lh_carry_table lh_carry_tables[LH_CARRY_TABLES] = {
    {"about.jsonl",
     "SELECT key, value FROM about WHERE key <> 'index' ORDER BY key",
     "INSERT INTO about (key, value) VALUES (?1, ?2)"
     " ON CONFLICT (key) DO UPDATE SET value = excluded.value",
     {{"key", LH_CARRY_TEXT}, {"value", LH_CARRY_TEXT}},
     2},
    {"blobs.jsonl",
     "SELECT sha256, media FROM blob ORDER BY sha256",
     "INSERT INTO blob (sha256, media, bytes) VALUES (?1, ?2, ?3)",
     {{"sha256", LH_CARRY_HEX}, {"media", LH_CARRY_TEXT}},
     2},
    {"records.jsonl",
     "SELECT id, kind FROM record ORDER BY seq",
     "INSERT INTO record (id, kind) VALUES (?1, ?2)",
     {{"id", LH_CARRY_TEXT}, {"kind", LH_CARRY_TEXT}},
     2},
    {"revisions.jsonl",
     "SELECT r.id, v.number, v.base, v.at, v.device, v.act, v.reverses,"
     " v.takes, v.settles, v.aside, v.hidden, v.patch, v.inverse,"
     " v.document, v.depth, v.hash FROM revision v"
     " JOIN record r ON r.seq = v.record ORDER BY v.seq",
     "INSERT INTO revision (record, number, base, at, device, act, reverses,"
     " takes, settles, aside, hidden, patch, inverse, document, depth, hash)"
     " VALUES ((SELECT seq FROM record WHERE id = ?1), ?2, ?3, ?4, ?5, ?6,"
     " ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16)",
     {{"record", LH_CARRY_TEXT},
      {"number", LH_CARRY_NUMBER},
      {"base", LH_CARRY_NUMBER},
      {"at", LH_CARRY_NUMBER},
      {"device", LH_CARRY_TEXT},
      {"act", LH_CARRY_TEXT},
      {"reverses", LH_CARRY_NUMBER},
      {"takes", LH_CARRY_NUMBER},
      {"settles", LH_CARRY_NUMBER},
      {"aside", LH_CARRY_NUMBER},
      {"hidden", LH_CARRY_NUMBER},
      {"patch", LH_CARRY_JSON},
      {"inverse", LH_CARRY_JSON},
      {"document", LH_CARRY_JSON},
      {"depth", LH_CARRY_NUMBER},
      {"hash", LH_CARRY_HEX}},
     16},
};

static lh_status cannot(const char *path, int error, lh_fault *fault)
{
  return lh_fault_say(fault, LH_IO, path,
                      error == ENOSPC ? "make room on the disk and try again"
                                      : "choose a folder that you may write to",
                      "cannot write it: %s", strerror(error));
}

static json_t *cell(sqlite3_stmt *q, int i, lh_carry_kind kind)
{
  char *hex;
  const unsigned char *p;
  json_t *v;
  int n;

  if (sqlite3_column_type(q, i) == SQLITE_NULL) return NULL;
  switch (kind) {
  case LH_CARRY_TEXT: return json_string(lh_book_column(q, i));
  case LH_CARRY_NUMBER: return json_integer(sqlite3_column_int64(q, i));
  case LH_CARRY_JSON:
    return json_loads(lh_book_column(q, i), JSON_DECODE_ANY, NULL);
  case LH_CARRY_HEX: break;
  }
  p = sqlite3_column_blob(q, i);
  n = sqlite3_column_bytes(q, i);
  hex = malloc(2 * (size_t)n + 1);
  if (!hex) return NULL;
  hex[0] = 0;
  for (int k = 0; k < n; k++) snprintf(hex + 2 * k, 3, "%02x", p[k]);
  v = json_string(hex);
  free(hex);
  return v;
}

static lh_status put_row(const lh_carry_table *t, sqlite3_stmt *q, FILE *out,
                         const char *path, lh_fault *fault)
{
  json_t *line = json_object();
  char *text = NULL;
  bool good = line != NULL;

  for (size_t i = 0; i < t->columns && good; i++) {
    json_t *v = cell(q, (int)i, t->column[i].kind);
    if (v)
      good = json_object_set_new(line, t->column[i].key, v) == 0;
    else
      good = sqlite3_column_type(q, (int)i) == SQLITE_NULL;
  }
  if (good) text = lh_json_line(line);
  json_decref(line);
  if (!text) return lh_fault_plain(fault, LH_NOMEM, path);
  good = fputs(text, out) >= 0 && fputc('\n', out) >= 0;
  free(text);
  return good ? LH_OK : cannot(path, errno, fault);
}

static lh_status put_table(lh_book *b, const lh_carry_table *t,
                           const char *folder, const lh_watch *watch,
                           double part, lh_fault *fault)
{
  char path[PATH_MAX];
  sqlite3_stmt *q = lh_book_sql(b, t->select);
  lh_status st = LH_OK;
  bool row = true;
  FILE *out;

  snprintf(path, sizeof path, "%s/%s", folder, t->file);
  out = fopen(path, "wxb");
  if (!out) return cannot(path, errno, fault);
  while (st == LH_OK && (st = lh_book_next(b, q, &row, fault)) == LH_OK &&
         row) {
    st = put_row(t, q, out, path, fault);
    if (st == LH_OK && !lh_watch_go(watch, part))
      st = lh_fault_plain(fault, LH_CANCELLED, path);
  }
  if (q) sqlite3_reset(q);
  if (st == LH_OK && (fflush(out) != 0 || fsync(fileno(out)) != 0))
    st = cannot(path, errno, fault);
  if (fclose(out) != 0 && st == LH_OK) st = cannot(path, errno, fault);
  return st;
}

static lh_status put_blobs(lh_book *b, const char *folder, lh_fault *fault)
{
  static const char sql[] = "SELECT lower(hex(sha256)), bytes FROM blob";
  sqlite3_stmt *q = lh_book_sql(b, sql);
  lh_status st = LH_OK;
  bool row = true;

  while (st == LH_OK && (st = lh_book_next(b, q, &row, fault)) == LH_OK &&
         row) {
    char path[PATH_MAX];
    const void *bytes = sqlite3_column_blob(q, 1);
    snprintf(path, sizeof path, "%s/blobs/%s", folder, lh_book_column(q, 0));
    st = lh_file_write(path, bytes ? bytes : "",
                       (size_t)sqlite3_column_bytes(q, 1), fault);
  }
  if (q) sqlite3_reset(q);
  return st;
}

/* An export never mixes with what is there already. */
static lh_status fresh_folder(const char *folder, lh_fault *fault)
{
  char blobs[PATH_MAX];
  lh_status st = lh_file_folder(folder, fault);
  DIR *d = st == LH_OK ? opendir(folder) : NULL;
  const struct dirent *e;
  bool empty = true;

  if (st != LH_OK) return st;
  if (!d) return cannot(folder, errno, fault);
  while ((e = readdir(d)))
    if (strcmp(e->d_name, ".") != 0 && strcmp(e->d_name, "..") != 0)
      empty = false;
  closedir(d);
  if (!empty) {
    return lh_fault_say(fault, LH_INPUT, folder,
                        "name a folder that is empty or not there",
                        "there is something in the folder");
  }
  snprintf(blobs, sizeof blobs, "%s/blobs", folder);
  return lh_file_folder(blobs, fault);
}

lh_status lh_book_export(lh_book *b, const char *folder, const lh_watch *watch,
                         lh_fault *fault)
{
  lh_status st;

  if (strlen(folder) + 90 > PATH_MAX) {
    return lh_fault_say(fault, LH_INPUT, folder, "choose a shorter name",
                        "the name is too long");
  }
  st = fresh_folder(folder, fault);
  if (st == LH_OK) st = lh_book_begin_reading(b, fault);
  if (st != LH_OK) return st;
  for (size_t i = 0; i < LH_CARRY_TABLES && st == LH_OK; i++)
    st = put_table(b, &lh_carry_tables[i], folder, watch,
                   (double)i / LH_CARRY_TABLES, fault);
  if (st == LH_OK) st = put_blobs(b, folder, fault);
  return lh_book_end(b, st, fault);
}
