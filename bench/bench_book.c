/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A book of 100,000 tiles and 5,000 pieces: how long it takes to open, to
** search, to save.  It is filled where syncing costs nothing and measured
** where it lies on a disk.  Beside it: a bare INSERT of the same bytes into
** an SQLite table of one column, with the same journal and syncing.
**
**   bench_book [TILES PIECES]
*/
#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "bench.h"
#include "book.h"

enum { ROUNDS = 15 };

static const char *const words[] = {
    "cobalt", "copper", "iron",  "white", "black",  "eelgrass", "fish",
    "reed",   "rim",    "foot",  "thin",  "thick",  "two",      "coats",
    "north",  "shelf",  "crawl", "matt",  "glossy", "pinhole",  "spring",
    "batch",  "brook",  "kelp",  "heron", "lichen", "ochre",    "rutile"};
enum { WORDS = sizeof words / sizeof words[0] };

static unsigned state = 1;

static unsigned below(unsigned n)
{
  state = state * 1664525u + 1013904223u; /* Knuth, TAOCP 2, 3.3.4 */
  return (state >> 8) % n;
}

static void must(lh_status st, const lh_fault *f)
{
  if (st == LH_OK) return;
  fprintf(stderr, "%s: %s\n", f->where, f->what);
  exit(1);
}

static json_t *tile(int i)
{
  json_t *t = json_object();
  char name[80], note[200] = "";

  snprintf(name, sizeof name, "T%06d %s %s", i, words[below(WORDS)],
           words[below(WORDS)]);
  for (int k = 0; k < 8; k++) {
    strcat(note, words[below(WORDS)]);
    strcat(note, " ");
  }
  if (i % 5000 == 0) strcat(note, "seldom");
  json_object_set_new(t, "name", json_string(name));
  json_object_set_new(t, "note", json_string(note));
  json_object_set_new(t, "coat_g_m2", json_real(40 + below(300)));
  json_object_set_new(t, "lab_l", json_real(20 + below(70)));
  json_object_set_new(t, "lab_a", json_real(below(40)));
  json_object_set_new(t, "lab_b", json_real(below(40)));
  json_object_set_new(t, "invented", json_true());
  return t;
}

static void fill(const char *path, int tiles, int pieces)
{
  json_t *sample = json_load_file("../docs/example-piece.json", 0, NULL);
  lh_book_saved saved;
  lh_fault f = {0};
  lh_book *b;

  if (!sample) {
    fprintf(stderr, "run it in bench/\n");
    exit(1);
  }
  must(lh_book_open(path, LH_BOOK_CREATE, &b, &f), &f);
  for (int i = 0; i < tiles; i++) {
    json_t *t = tile(i);
    must(lh_book_add(b, LH_BOOK_TILE, t, "bench", &saved, &f), &f);
    json_decref(t);
  }
  for (int i = 0; i < pieces; i++) {
    char name[80];
    snprintf(name, sizeof name, "Mug %05d %s", i, words[below(WORDS)]);
    json_object_set_new(sample, "name", json_string(name));
    must(lh_book_add(b, LH_BOOK_PIECE, sample, "bench", &saved, &f), &f);
  }
  lh_book_close(&b);
  json_decref(sample);
}

static int ascending(const void *x, const void *y)
{
  double a = *(const double *)x, b = *(const double *)y;

  return (a > b) - (a < b);
}

/* A row: the best, the middle and the worst of the rounds [ms]. */
static void row(const char *what, double *t, size_t n)
{
  qsort(t, n, sizeof *t, ascending);
  printf("| %s | %.2f | %.2f | %.2f |\n", what, 1e3 * t[0], 1e3 * t[n / 2],
         1e3 * t[n - 1]);
  fflush(stdout);
}

static bool count(void *user, const lh_book_record *r)
{
  (void)r;
  ++*(int *)user;
  return true;
}

static void opening(const char *path)
{
  double t[ROUNDS];

  for (int i = 0; i < ROUNDS; i++) {
    lh_fault f = {0};
    lh_book *b;
    int n = 0;
    double from = bench_now();
    must(lh_book_open(path, LH_BOOK_OPEN, &b, &f), &f);
    must(lh_book_list(b, LH_BOOK_PIECE, false, 0, 50, count, &n, &f), &f);
    t[i] = bench_now() - from;
    lh_book_close(&b);
  }
  row("open, and list the first 50 pieces", t, ROUNDS);
}

static void searching(lh_book *b)
{
  static const char *const asked[] = {
      "cobalt",       "c",         "seldom", "cobalt rim",
      "T0999 copper", "mug heron", "o r t",  "nowhere"};

  for (size_t k = 0; k < sizeof asked / sizeof asked[0]; k++) {
    double t[ROUNDS];
    char what[120];
    int n = 0;
    for (int i = 0; i < ROUNDS; i++) {
      lh_fault f = {0};
      double from = bench_now();
      n = 0;
      must(lh_book_search(b, asked[k], LH_BOOK_ANY, 50, count, &n, &f), &f);
      t[i] = bench_now() - from;
    }
    snprintf(what, sizeof what, "search \"%s\": %d shown", asked[k], n);
    row(what, t, ROUNDS);
  }
}

static bool keep_id(void *user, const lh_book_record *r)
{
  strcpy(user, r->id);
  return false;
}

static void saving(lh_book *b, const char *folder)
{
  double t[100];
  char id[80] = "", path[300], text[400];
  lh_fault f = {0};
  sqlite3 *db;

  must(lh_book_list(b, LH_BOOK_PIECE, false, 0, 1, keep_id, id, &f), &f);
  for (int i = 0; i < 100; i++) {
    lh_book_saved saved;
    json_t *p = json_pack("[{s:s,s:s,s:i}]", "op", "replace", "path", "/pots",
                          "value", 5 + i % 50);
    double from = bench_now();
    must(lh_book_edit(b, id, i + 1, p, "bench", true, &saved, &f), &f);
    t[i] = bench_now() - from;
    json_decref(p);
  }
  row("save an edit of a piece, on the disk", t, 100);
  snprintf(path, sizeof path, "%s/bare.db", folder);
  if (sqlite3_open(path, &db) != SQLITE_OK) return;
  sqlite3_exec(db,
               "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;"
               "CREATE TABLE t (x)",
               NULL, NULL, NULL);
  snprintf(text, sizeof text, "INSERT INTO t VALUES (zeroblob(300))");
  for (int i = 0; i < 100; i++) {
    double from = bench_now();
    sqlite3_exec(db, text, NULL, NULL, NULL);
    t[i] = bench_now() - from;
  }
  row("beside: a bare INSERT of 300 bytes, synced alike", t, 100);
  sqlite3_close(db);
  unlink(path);
}

static void whole(lh_book *b, const char *folder)
{
  char path[300];
  lh_book_checked c;
  lh_fault f = {0};
  double from = bench_now(), t;

  must(lh_book_check(b, NULL, NULL, NULL, &c, &f), &f);
  t = bench_now() - from;
  row("check all of it", &t, 1);
  if (c.findings) fprintf(stderr, "%ld findings\n", c.findings);
  snprintf(path, sizeof path, "%s/backup.book", folder);
  from = bench_now();
  must(lh_book_backup(b, path, NULL, &f), &f);
  t = bench_now() - from;
  row("back it up", &t, 1);
  unlink(path);
}

int main(int argc, char **argv)
{
  int tiles = argc > 2 ? atoi(argv[1]) : 100000;
  int pieces = argc > 2 ? atoi(argv[2]) : 5000;
  char memory[] = "/dev/shm/book-XXXXXX", folder[] = "/var/tmp/book-XXXXXX";
  char made[64], path[64], command[200];
  struct stat is;
  lh_fault f = {0};
  lh_book *b;
  double from;

  if (!mkdtemp(memory) || !mkdtemp(folder)) return 1;
  snprintf(made, sizeof made, "%s/a.book", memory);
  snprintf(path, sizeof path, "%s/a.book", folder);
  from = bench_now();
  fill(made, tiles, pieces);
  from = bench_now() - from;
  snprintf(command, sizeof command, "mv '%s' '%s' && sync", made, path);
  if (system(command) != 0 || rmdir(memory) != 0 || stat(path, &is) != 0)
    return 1;
  printf("| %d tiles, %d pieces, %.0f MB [ms] | best | middle | worst |\n"
         "|---|---|---|---|\n",
         tiles, pieces, (double)is.st_size / 1e6);
  opening(path);
  must(lh_book_open(path, LH_BOOK_OPEN, &b, &f), &f);
  searching(b);
  saving(b, folder);
  whole(b, folder);
  lh_book_close(&b);
  printf("\nFilled at %.0f records a second without syncing; %.0f MB of memory "
         "at most.\n",
         (tiles + pieces) / from, bench_peak_mb());
  unlink(path);
  rmdir(folder);
  return 0;
}
