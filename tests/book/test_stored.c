/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Books of every earlier version, stored as they were written, open today
** and hold what they held.
**
**   test_stored FOLDER           for each version: vN.book and vN.jsonl
**   test_stored --write FOLDER   store this version's; never over one
**
** vN.book is a backup made by the program of that version, vN.jsonl the
** documents in it, each with its record and revision, as they were saved.
*/
#include "desk.h"
#include "file.h"

enum { VERSION = 1 }; /* of schema.sql */

/* What is stored, with the documents it leads to, written out by hand. */
static void invent(desk *d)
{
  char hex[65];

  (void)add(d, LH_BOOK_MOTIF, MOTIF);
  (void)edit(d, "reed", 1,
             "[{\"op\":\"replace\",\"path\":\"/name\",\"value\":\"Rush\"}]",
             "wheel");
  (void)edit(d, "reed", 1, "[{\"op\":\"remove\",\"path\":\"/marks/1\"}]",
             "kiln");
  (void)edit(d, "reed", 1,
             "[{\"op\":\"replace\",\"path\":\"/name\",\"value\":\"Sedge\"}]",
             "kiln");
  (void)lh_book_undo(d->b, "reed", "wheel", &d->saved, &d->fault);
  (void)add(d, LH_BOOK_BRUSH,
            "{\"id\":\"round\",\"name\":\"Round\",\"width_mm\":1}");
  for (int i = 1; i < 70; i++) {
    char patch[128];
    snprintf(patch, sizeof patch,
             "[{\"op\":\"replace\",\"path\":\"/width_mm\",\"value\":%d}]",
             i + 1);
    (void)edit(d, "round", i, patch, "wheel");
  }
  (void)lh_book_hide(d->b, "round", true, "wheel", &d->saved, &d->fault);
  (void)lh_book_blob_put(d->b, "application/octet-stream", "abc", 3, hex,
                         &d->fault);
}

static int write_one(const char *folder)
{
  char path[600];
  desk d;

  if (!desk_open(&d)) return 1;
  invent(&d);
  snprintf(path, sizeof path, "%s/v%d.book", folder, VERSION);
  if (lh_book_backup(d.b, path, NULL, &d.fault) != LH_OK) {
    fprintf(stderr, "%s: %s\n", d.fault.where, d.fault.what);
    desk_close(&d);
    return 1;
  }
  desk_close(&d);
  return 0;
}

static void compare(desk *d, const char *line)
{
  json_t *v = json_of(line);
  const char *id = json_string_value(json_object_get(v, "record"));
  long number = (long)json_integer_value(json_object_get(v, "number"));
  char *want = lh_json_line(json_object_get(v, "document"));

  CHECK_TEXT(text_at(d, id, number), want, "%s revision %ld", id, number);
  free(want);
  json_decref(v);
}

static void read_one(const char *folder, int version)
{
  char stored[600], *line = NULL;
  const void *bytes = NULL;
  size_t n = 0, room = 0;
  lh_arena a;
  FILE *f;
  desk d;

  if (!desk_open(&d)) return;
  lh_book_close(&d.b);
  unlink(d.path);
  lh_heap_open(&a);
  snprintf(stored, sizeof stored, "%s/v%d.book", folder, version);
  CHECK(lh_file_read(stored, 1u << 28, &a, &bytes, &n, &d.fault) == LH_OK &&
            lh_file_write(d.path, bytes, n, &d.fault) == LH_OK,
        "a book of version %d is stored", version);
  lh_heap_free(&a);
  CHECK(lh_book_open(d.path, LH_BOOK_OPEN, &d.b, &d.fault) == LH_OK &&
            findings(&d) == 0,
        "it opens and checks clean (%s)", d.fault.what);
  snprintf(stored, sizeof stored, "%s/v%d.jsonl", folder, version);
  f = fopen(stored, "r");
  while (d.b && f && getline(&line, &room, f) > 0) compare(&d, line);
  if (f) fclose(f);
  free(line);
  d.fault = (lh_fault){0};
  CHECK(edit(&d, "reed", 5,
             "[{\"op\":\"add\",\"path\":\"/note\",\"value\":\"now\"}]",
             "wheel") == LH_OK &&
            findings(&d) == 0,
        "it takes an edit, and checks clean");
  CHECK(lh_book_rebuild(d.b, NULL, &d.fault) == LH_OK && findings(&d) == 0,
        "rebuilt, it checks clean");
  desk_close(&d);
}

int main(int argc, char **argv)
{
  if (argc == 3 && strcmp(argv[1], "--write") == 0) return write_one(argv[2]);
  if (argc != 2) return 2;
  for (int v = 1; v <= VERSION; v++) read_one(argv[1], v);
  return CHECK_DONE();
}
