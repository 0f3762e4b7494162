/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The care of a book: export and import, backup while in use, what a check
** finds, files that are no book, books of other versions, and the settings
** that make a save durable. */
#include <sqlite3.h>
#include <sys/stat.h>

#include "desk.h"
#include "file.h"

/* Enough of everything: kinds, edits past a full copy, undo, a version
** aside, a hidden record, pictures. */
static void fill(desk *d)
{
  char hex[65], note[256], id[80];

  (void)add(d, LH_BOOK_MOTIF, MOTIF);
  for (int i = 1; i <= 130; i++) {
    char patch[128];
    snprintf(patch, sizeof patch,
             "[{\"op\":\"replace\",\"path\":\"/marks/%d/width_mm\","
             "\"value\":%d}]",
             i % 3, 1 + i);
    (void)edit(d, "reed", i, patch, i % 2 ? "wheel" : "kiln");
  }
  (void)edit(d, "reed", 100,
             "[{\"op\":\"replace\",\"path\":\"/marks/0/width_mm\","
             "\"value\":99}]",
             "kiln");
  (void)lh_book_undo(d->b, "reed", "wheel", &d->saved, &d->fault);
  (void)add(d, LH_BOOK_MATERIAL,
            "{\"name\":\"Ton \xe2\x80\x9erot\xe2\x80\x9c\",\"formula\":"
            "\"SiO2\",\"note\":\"line one\\nline two\\t\\\"x\\\"\"}");
  snprintf(id, sizeof id, "%s", d->saved.id);
  (void)lh_book_hide(d->b, id, true, "wheel", &d->saved, &d->fault);
  (void)lh_book_blob_put(d->b, "application/octet-stream", "abc", 3, hex,
                         &d->fault);
  snprintf(note, sizeof note,
           "{\"name\":\"N\",\"about\":[\"reed\",\"%s\"],\"pictures\":[\"%s\"]}",
           id, hex);
  (void)add(d, LH_BOOK_NOTE, note);
}

/* ---- export and import -------------------------------------------------- */

static const char *const files[] = {"about.jsonl", "blobs.jsonl",
                                    "records.jsonl", "revisions.jsonl"};

static bool same_file(const char *one, const char *two)
{
  const void *x = NULL, *y = NULL;
  size_t n = 0, m = 0;
  lh_arena a;
  bool same;

  lh_heap_open(&a);
  same = lh_file_read(one, 1u << 28, &a, &x, &n, NULL) == LH_OK &&
         lh_file_read(two, 1u << 28, &a, &y, &m, NULL) == LH_OK && n == m &&
         memcmp(x, y, n) == 0;
  lh_heap_free(&a);
  return same;
}

static void round_trip(desk *d)
{
  char one[400], two[400], path[400], x[600], y[600];
  desk e = {0};

  snprintf(one, sizeof one, "%s/one", d->folder);
  snprintf(two, sizeof two, "%s/two", d->folder);
  snprintf(path, sizeof path, "%s/again.book", d->folder);
  d->fault = (lh_fault){0};
  CHECK(lh_book_export(d->b, one, NULL, &d->fault) == LH_OK, "exported (%s)",
        d->fault.what);
  CHECK(lh_book_export(d->b, one, NULL, &d->fault) == LH_INPUT,
        "not into a folder that holds something");
  d->fault = (lh_fault){0};
  CHECK(lh_book_import(path, one, NULL, &d->fault) == LH_OK,
        "imported (%s: %s)", d->fault.where, d->fault.what);
  CHECK(lh_book_open(path, LH_BOOK_OPEN, &e.b, &d->fault) == LH_OK,
        "opened (%s)", d->fault.what);
  CHECK(findings(&e) == 0, "it checks clean");
  CHECK(lh_book_export(e.b, two, NULL, &d->fault) == LH_OK, "exported again");
  for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
    snprintf(x, sizeof x, "%s/%s", one, files[i]);
    snprintf(y, sizeof y, "%s/%s", two, files[i]);
    CHECK(same_file(x, y), "byte for byte the same: %s", files[i]);
  }
  snprintf(x, sizeof x, "%s/blobs/%s", one,
           "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  snprintf(y, sizeof y, "%s/blobs/%s", two,
           "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(same_file(x, y), "byte for byte the same: a picture");
  for (long k = 1; k <= 133; k++) {
    char text[8192];
    snprintf(text, sizeof text, "%s", text_at(d, "reed", k));
    if (strcmp(text, text_at(&e, "reed", k)) == 0) continue;
    CHECK(false, "revision %ld reads otherwise", k);
  }
  CHECK(lh_book_import(path, one, NULL, &d->fault) == LH_INPUT,
        "never over a book that is there");
  d->fault = (lh_fault){0};
  lh_book_close(&e.b);
}

/* Change one line of an export; what is wrong must be found, and no book be
** left. */
static void spoilt(desk *d)
{
  static const struct {
    const char *file, *was, *becomes;
  } row[] = {
      {"revisions.jsonl", "\"value\":77", "\"value\":78"},
      {"revisions.jsonl", "\"number\":50", "\"number\":5000"},
      {"revisions.jsonl", "\"act\":\"undo\"", "\"act\":\"edit\""},
      {"revisions.jsonl", "\"device\":\"kiln\"", "\"device\":7"},
      {"revisions.jsonl", "\"hash\":\"", "\"hash\":\"zz"},
      {"revisions.jsonl", "\"aside\":1", "\"aside\":0"},
      {"records.jsonl", "\"motif\"", "\"brush\""},
      {"records.jsonl", "\"id\"", "\"ident\""},
      {"records.jsonl", "{", "["},
      {"blobs.jsonl", "ba7816bf", "ba7816be"},
  };
  char one[400], path[400], name[600];

  snprintf(one, sizeof one, "%s/one", d->folder);
  snprintf(path, sizeof path, "%s/spoilt.book", d->folder);
  for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
    const void *was = NULL;
    size_t n = 0, k = 0, w = strlen(row[i].was), z = strlen(row[i].becomes);
    char *text;
    lh_status st;
    lh_arena a;
    lh_heap_open(&a);
    snprintf(name, sizeof name, "%s/%s", one, row[i].file);
    (void)lh_file_read(name, 1u << 28, &a, &was, &n, NULL);
    text = lh_arena_take(&a, n + 64, 1);
    while (k + w <= n && memcmp((const char *)was + k, row[i].was, w) != 0) k++;
    memcpy(text, was, k);
    memcpy(text + k, row[i].becomes, z);
    memcpy(text + k + z, (const char *)was + k + w, n - k - w);
    (void)lh_file_write(name, text, n + z - w, NULL);
    d->fault = (lh_fault){0};
    st = lh_book_import(path, one, NULL, &d->fault);
    CHECK(st != LH_OK && d->fault.what[0] && access(path, F_OK) != 0,
          "%s with %s: refused: %s: %s", row[i].file, row[i].becomes,
          d->fault.where, d->fault.what);
    (void)lh_file_write(name, was, n, NULL);
    lh_heap_free(&a);
  }
  d->fault = (lh_fault){0};
  CHECK(lh_book_import(path, one, NULL, &d->fault) == LH_OK,
        "unspoilt it is imported");
  CHECK(lh_book_import(name, "/nowhere/at/all", NULL, &d->fault) != LH_OK,
        "a folder that is not there is not");
  d->fault = (lh_fault){0};
}

/* ---- backup ------------------------------------------------------------- */

typedef struct {
  desk *d;
  int saves;
} meanwhile;

/* While the backup runs, another handle goes on saving. */
static bool save_meanwhile(void *user, double done)
{
  meanwhile *m = user;
  lh_book *b = NULL;
  json_t *v = json_of("{\"name\":\"meanwhile\"}");
  lh_book_saved saved;

  (void)done;
  if (m->saves < 3 &&
      lh_book_open(m->d->path, LH_BOOK_OPEN, &b, NULL) == LH_OK &&
      lh_book_add(b, LH_BOOK_NOTE, v, "kiln", &saved, NULL) == LH_OK)
    m->saves++;
  lh_book_close(&b);
  json_decref(v);
  return true;
}

static void backup(desk *d)
{
  char path[400];
  desk e = {0};
  meanwhile m = {d, 0};
  lh_watch w = {save_meanwhile, &m};

  snprintf(path, sizeof path, "%s/backup.book", d->folder);
  d->fault = (lh_fault){0};
  CHECK(lh_book_backup(d->b, path, &w, &d->fault) == LH_OK,
        "a backup while others save (%s)", d->fault.what);
  CHECK(m.saves > 0, "others did save meanwhile: %d", m.saves);
  CHECK(lh_book_open(path, LH_BOOK_OPEN, &e.b, &d->fault) == LH_OK &&
            findings(&e) == 0,
        "the copy is a book and checks clean");
  CHECK_TEXT(text_at(&e, "reed", 131), text_at(d, "reed", 131),
             "with what was there");
  lh_book_close(&e.b);
  CHECK(lh_book_backup(d->b, path, NULL, &d->fault) == LH_INPUT,
        "a backup never covers a file");
  d->fault = (lh_fault){0};
  CHECK(lh_book_backup(d->b, d->path, NULL, &d->fault) == LH_INPUT,
        "nor the book itself");
  d->fault = (lh_fault){0};
  snprintf(path, sizeof path, "%s/no/backup.book", d->folder);
  CHECK(lh_book_backup(d->b, path, NULL, &d->fault) == LH_IO,
        "nor into a folder that is not there");
  d->fault = (lh_fault){0};
}

/* ---- damage ------------------------------------------------------------- */

static int sql(const char *path, const char *text)
{
  sqlite3 *db = NULL;
  char *error = NULL;
  int rc = sqlite3_open(path, &db);

  if (rc == SQLITE_OK) rc = sqlite3_exec(db, text, NULL, NULL, &error);
  for (char *c = error; c && *c; c++)
    if (*c == '\n') *c = ' ';
  if (rc != SQLITE_OK) printf("# %s: %s\n", text, error ? error : "?");
  sqlite3_free(error);
  sqlite3_close(db);
  return rc;
}

static void damage(void)
{
  static const char *const how[] = {
      "DROP TRIGGER revision_stays; UPDATE revision SET patch ="
      " replace(patch, '77', '78') WHERE number = 77",
      "DROP TRIGGER revision_stays; UPDATE revision SET hidden = 1"
      " WHERE number = 131",
      "PRAGMA foreign_keys = OFF; DROP TRIGGER revision_kept;"
      " DELETE FROM revision WHERE number = 40",
      "DROP TRIGGER revision_stays; UPDATE revision SET document ="
      " replace(document, 'Reed', 'Rush') WHERE number = 65",
      "UPDATE head SET name = 'other' WHERE name = 'Reed'",
      "UPDATE head SET number = 3 WHERE name = 'Reed'",
      "DROP TRIGGER blob_stays; UPDATE blob SET bytes = x'00'",
      "PRAGMA foreign_keys = OFF; DROP TRIGGER blob_kept; DELETE FROM blob",
      "INSERT INTO search (search) VALUES ('delete-all')",
      "DROP TRIGGER record_stays; UPDATE record SET kind = 'brush'"
      " WHERE id = 'reed'",
      "DROP TRIGGER record_stays; UPDATE record SET id = 'rush'"
      " WHERE id = 'reed'",
  };

  for (size_t i = 0; i < sizeof how / sizeof how[0]; i++) {
    desk d;
    long n;
    if (!desk_open(&d)) {
      CHECK(false, "a book to damage");
      return;
    }
    fill(&d);
    lh_book_close(&d.b);
    CHECK(sql(d.path, how[i]) == SQLITE_OK &&
              lh_book_open(d.path, LH_BOOK_OPEN, &d.b, &d.fault) == LH_OK,
          "damaged: %s", how[i]);
    n = d.b ? findings(&d) : 0;
    CHECK(n > 0, "found: %ld", n);
    desk_close(&d);
  }
}

static void stays(desk *d)
{
  static const char *const how[] = {
      "UPDATE revision SET patch = '[]' WHERE number = 2",
      "DELETE FROM revision WHERE number = 2",
      "UPDATE record SET kind = 'brush'",
      "DELETE FROM record",
      "UPDATE blob SET bytes = x'00'",
      "DELETE FROM blob",
      "INSERT INTO record (id, kind) VALUES ('a b', 'note')",
      "INSERT INTO record (id, kind) VALUES ('ab', 'bowl')",
  };

  for (size_t i = 0; i < sizeof how / sizeof how[0]; i++)
    CHECK(sql(d->path, how[i]) == SQLITE_CONSTRAINT, "refused by the file: %s",
          how[i]);
}

/* ---- what is no book ---------------------------------------------------- */

static void not_a_book(desk *d)
{
  char path[400];
  lh_book *b = NULL;
  struct stat before, after;

  d->fault = (lh_fault){0};
  snprintf(path, sizeof path, "%s/letter.txt", d->folder);
  (void)lh_file_write(path, "Dear potter,\n", 13, NULL);
  CHECK(lh_book_open(path, LH_BOOK_OPEN, &b, &d->fault) == LH_INPUT && !b,
        "a letter is no book: %s", d->fault.what);
  CHECK(lh_book_open(path, LH_BOOK_CREATE, &b, NULL) == LH_INPUT &&
            same_file(path, path),
        "nor is one begun over it");
  snprintf(path, sizeof path, "%s/other.db", d->folder);
  (void)sql(path, "CREATE TABLE t (x)");
  stat(path, &before);
  d->fault = (lh_fault){0};
  CHECK(lh_book_open(path, LH_BOOK_OPEN, &b, &d->fault) == LH_INPUT && !b,
        "another program's database is no book: %s", d->fault.what);
  stat(path, &after);
  CHECK(before.st_size == after.st_size &&
            before.st_mtim.tv_nsec == after.st_mtim.tv_nsec,
        "and is left as it is");
  d->fault = (lh_fault){0};
  CHECK(lh_book_open(d->folder, LH_BOOK_OPEN, &b, &d->fault) == LH_INPUT,
        "a folder is no book");
  snprintf(path, sizeof path, "%s/none.book", d->folder);
  d->fault = (lh_fault){0};
  CHECK(lh_book_open(path, LH_BOOK_OPEN, &b, &d->fault) == LH_NOTFOUND,
        "a book that is not there: %s", d->fault.todo);
  (void)sql(d->path, "PRAGMA user_version = 2");
  d->fault = (lh_fault){0};
  CHECK(lh_book_open(d->path, LH_BOOK_OPEN, &b, &d->fault) == LH_INPUT &&
            strstr(d->fault.what, "newer"),
        "a newer book is refused by name: %s", d->fault.what);
  (void)sql(d->path, "PRAGMA user_version = 1");
  d->fault = (lh_fault){0};
}

/* ---- durability --------------------------------------------------------- */

/* Asked of the handle itself, from inside a save: the watch of a backup is
** the only hook there is, so ask by a file's own header and a second look:
** bytes 18 and 19 are 2 in a database in WAL mode (SQLite's file format,
** 1.3.3), and the log is there while a handle is open. */
static void logged(desk *d)
{
  unsigned char head[100] = {0};
  char wal[400];
  struct stat is;
  FILE *f = fopen(d->path, "rb");
  size_t n = f ? fread(head, 1, sizeof head, f) : 0;

  if (f) fclose(f);
  snprintf(wal, sizeof wal, "%s-wal", d->path);
  CHECK(n == 100 && head[18] == 2 && head[19] == 2, "the book is in WAL mode");
  CHECK(stat(wal, &is) == 0 && is.st_size > 0, "its log is beside it");
}

int main(void)
{
  desk d;

  CHECK(desk_open(&d), "a book is begun (%s)", d.fault.what);
  if (!d.b) return CHECK_DONE();
  fill(&d);
  CHECK(findings(&d) == 0, "filled, it checks clean");
  logged(&d);
  round_trip(&d);
  spoilt(&d);
  stays(&d);
  backup(&d);
  CHECK(findings(&d) == 0, "after all that it checks clean");
  lh_book_close(&d.b);
  not_a_book(&d);
  CHECK(lh_book_open(d.path, LH_BOOK_OPEN, &d.b, &d.fault) == LH_OK,
        "the book itself still opens (%s)", d.fault.what);
  desk_close(&d);
  damage();
  return CHECK_DONE();
}
