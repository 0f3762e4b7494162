/* SPDX-License-Identifier: GPL-3.0-or-later */
/* desk.h -- a scratch folder, a book in it, and short ways to use both.
** What is made here is invented. */
#ifndef LH_DESK_H
#define LH_DESK_H

#include <dirent.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include "book.h"
#include "check.h"
#include "fields.h"
#include "heap.h"

typedef struct {
  char folder[256], path[300];
  lh_book *b;
  lh_fault fault;
  lh_book_saved saved;
} desk;

__attribute__((unused)) static bool desk_open(desk *d)
{
  const char *tmp = getenv("TMPDIR");

  memset(d, 0, sizeof *d);
  snprintf(d->folder, sizeof d->folder, "%s/book-XXXXXX", tmp ? tmp : "/tmp");
  if (!mkdtemp(d->folder)) return false;
  snprintf(d->path, sizeof d->path, "%s/studio.book", d->folder);
  return lh_book_open(d->path, LH_BOOK_CREATE, &d->b, &d->fault) == LH_OK;
}

/* Remove a folder and what is in it, folders too. */
__attribute__((unused)) static void desk_sweep(const char *folder)
{
  DIR *dir = opendir(folder);
  const struct dirent *e;

  while (dir && (e = readdir(dir))) {
    char path[600];
    if (strcmp(e->d_name, ".") == 0 || strcmp(e->d_name, "..") == 0) continue;
    snprintf(path, sizeof path, "%s/%s", folder, e->d_name);
    if (unlink(path) != 0) desk_sweep(path);
  }
  if (dir) closedir(dir);
  rmdir(folder);
}

__attribute__((unused)) static void desk_close(desk *d)
{
  lh_book_close(&d->b);
  desk_sweep(d->folder);
}

__attribute__((unused)) static json_t *json_of(const char *text)
{
  lh_fault fault = {0};
  json_t *v = NULL;

  if (lh_json_parse(text, strlen(text), "test", &v, &fault) != LH_OK)
    printf("# %s: %s\n", text, fault.what);
  return v;
}

/* The compact text of a revision's document. */
__attribute__((unused)) static const char *text_at(desk *d, const char *id,
                                                   long number)
{
  static char text[4][65536];
  static int k;
  json_t *v = NULL;
  char *s = NULL;

  k = (k + 1) % 4;
  d->fault = (lh_fault){0};
  if (lh_book_read(d->b, id, number, &v, NULL, &d->fault) == LH_OK)
    s = lh_json_line(v);
  snprintf(text[k], sizeof text[k], "%s", s ? s : d->fault.what);
  free(s);
  return text[k];
}

__attribute__((unused)) static lh_status add(desk *d, lh_book_kind kind,
                                             const char *text)
{
  json_t *v = json_of(text);
  lh_status st;

  d->fault = (lh_fault){0};
  st = lh_book_add(d->b, kind, v, "wheel", &d->saved, &d->fault);
  json_decref(v);
  return st;
}

__attribute__((unused)) static lh_status edit(desk *d, const char *id,
                                              long base, const char *patch,
                                              const char *device)
{
  json_t *v = json_of(patch);
  lh_status st;

  d->fault = (lh_fault){0};
  st = lh_book_edit(d->b, id, base, v, device, false, &d->saved, &d->fault);
  json_decref(v);
  return st;
}

__attribute__((unused)) static void say_finding(void *user, const char *line)
{
  (void)user;
  printf("# %s\n", line);
}

/* How many findings; -1: it could not be checked. */
__attribute__((unused)) static long findings(desk *d)
{
  lh_book_checked checked;

  d->fault = (lh_fault){0};
  if (lh_book_check(d->b, say_finding, NULL, NULL, &checked, &d->fault) !=
      LH_OK) {
    printf("# %s: %s\n", d->fault.where, d->fault.what);
    return -1;
  }
  return checked.findings;
}

/* An invented motif of four marks. */
#define MARK(ID, WIDTH)                                                    \
  "{\"id\":\"" ID "\",\"kind\":\"dab\",\"length_mm\":9,\"slip\":\"blue\"," \
  "\"width_mm\":" WIDTH "}"
#define MOTIF                                                 \
  "{\"id\":\"reed\",\"marks\":[" MARK("blade", "3") "," MARK( \
      "tip", "1") "," MARK("root", "2") "],\"name\":\"Reed\"}"

#endif
