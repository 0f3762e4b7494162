/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_near.c -- the nearest of 100,000 tiles: sorted by lightness, and as a
** query of the book's own SQLite would find it.
**
** The query is the honest one that gives the same answer: CIEDE2000 as a
** function of the application (in C, the house's own lh_delta_e00), the whole
** table scanned.  Beside it the squared distance in CIELAB as plain SQL, which
** needs no function but finds another tile.
*/
#include <math.h>
#include <sqlite3.h>
#include <stdlib.h>

#include "bench.h"
#include "difference.h"
#include "heap.h"
#include "machine.h"
#include "near_tiles.h"

enum { TILES = 100000, ASKED = 1000, ASKED_SQL = 20 };

static lh_lab tile[TILES], want[ASKED];
static size_t answer[ASKED];

static double spread(size_t i, double root)
{
  double v = (double)(i + 1) * sqrt(root);

  return v - floor(v);
}

static lh_lab make(size_t i, double l, double a, double b)
{
  return (lh_lab){100 * spread(i, l), 160 * spread(i, a) - 80,
                  160 * spread(i, b) - 80};
}

/* Milliseconds a question. */
static double ours(const lh_near *near, lh_isa isa)
{
  double best = 1e9;

  for (int k = 0; k < 5; k++) {
    double from = bench_now();
    for (size_t i = 0; i < ASKED; i++) {
      lh_near_one one;
      lh_near_find(isa, near, want[i], 1, &one);
      answer[i] = one.which;
    }
    best = fmin(best, bench_now() - from);
  }
  return 1e3 * best / ASKED;
}

static double looking_at_all(void)
{
  double from = bench_now();

  for (size_t i = 0; i < ASKED_SQL; i++) {
    double best = 1e9;
    size_t which = 0;
    for (size_t k = 0; k < TILES; k++) {
      double d = lh_delta_e00(want[i], tile[k]);
      if (d < best) best = d, which = k;
    }
    if (which != answer[i]) printf("another answer: %zu\n", i);
  }
  return 1e3 * (bench_now() - from) / ASKED_SQL;
}

static void de00(sqlite3_context *c, int n, sqlite3_value **v)
{
  lh_lab p = {sqlite3_value_double(v[0]), sqlite3_value_double(v[1]),
              sqlite3_value_double(v[2])};
  lh_lab q = {sqlite3_value_double(v[3]), sqlite3_value_double(v[4]),
              sqlite3_value_double(v[5])};

  (void)n;
  sqlite3_result_double(c, lh_delta_e00(p, q));
}

static sqlite3 *fill(void)
{
  sqlite3 *db;
  sqlite3_stmt *q;

  if (sqlite3_open(":memory:", &db) != SQLITE_OK ||
      sqlite3_create_function(db, "de00", 6, SQLITE_UTF8 | SQLITE_DETERMINISTIC,
                              NULL, de00, NULL, NULL) != SQLITE_OK ||
      sqlite3_exec(db, "CREATE TABLE t(id INTEGER PRIMARY KEY, l, a, b); BEGIN",
                   NULL, NULL, NULL) != SQLITE_OK ||
      sqlite3_prepare_v2(db, "INSERT INTO t VALUES(?1, ?2, ?3, ?4)", -1, &q,
                         NULL) != SQLITE_OK)
    exit(3);
  for (size_t i = 0; i < TILES; i++) {
    sqlite3_bind_int64(q, 1, (sqlite3_int64)i);
    sqlite3_bind_double(q, 2, tile[i].L);
    sqlite3_bind_double(q, 3, tile[i].a);
    sqlite3_bind_double(q, 4, tile[i].b);
    if (sqlite3_step(q) != SQLITE_DONE) exit(3);
    sqlite3_reset(q);
  }
  sqlite3_finalize(q);
  if (sqlite3_exec(db, "COMMIT", NULL, NULL, NULL) != SQLITE_OK) exit(3);
  return db;
}

static double scan(sqlite3 *db, const char *sql, size_t *other)
{
  sqlite3_stmt *q;
  double from;

  if (sqlite3_prepare_v2(db, sql, -1, &q, NULL) != SQLITE_OK) exit(3);
  from = bench_now();
  for (size_t i = 0; i < ASKED_SQL; i++) {
    sqlite3_bind_double(q, 1, want[i].L);
    sqlite3_bind_double(q, 2, want[i].a);
    sqlite3_bind_double(q, 3, want[i].b);
    if (sqlite3_step(q) != SQLITE_ROW) exit(3);
    *other += (size_t)sqlite3_column_int64(q, 0) != answer[i];
    sqlite3_reset(q);
  }
  from = 1e3 * (bench_now() - from) / ASKED_SQL;
  sqlite3_finalize(q);
  return from;
}

static void row(const char *name, double ms, double fast)
{
  printf("| %s | %.4f | %.0f |\n", name, ms, ms / fast);
}

int main(void)
{
  lh_isa isa = lh_machine_isa();
  double fast, plain, sorted, exact, distance;
  size_t other = 0, other_distance = 0;
  lh_arena a;
  lh_near near;
  sqlite3 *db;

  for (size_t i = 0; i < TILES; i++) tile[i] = make(i, 2, 3, 5);
  for (size_t i = 0; i < ASKED; i++) want[i] = make(i, 7, 11, 13);
  lh_heap_open(&a);
  sorted = bench_now();
  if (lh_near_make(tile, TILES, &a, &near) != LH_OK) return 3;
  sorted = 1e3 * (bench_now() - sorted);
  plain = ours(&near, LH_ISA_PLAIN);
  fast = ours(&near, isa);
  db = fill();
  exact = scan(
      db, "SELECT id FROM t ORDER BY de00(?1, ?2, ?3, l, a, b), id LIMIT 1",
      &other);
  distance = scan(db,
                  "SELECT id FROM t ORDER BY (l-?1)*(l-?1) + (a-?2)*(a-?2) + "
                  "(b-?3)*(b-?3), id LIMIT 1",
                  &other_distance);
  printf("| nearest of %d tiles | ms a question | times lh_near_find |\n"
         "|---|---|---|\n",
         TILES);
  row("lh_near_find", fast, fast);
  row("the same, any processor", plain, fast);
  row("lh_delta_e00 of every one", looking_at_all(), fast);
  row("SQL scan, dE00 as a function", exact, fast);
  row("SQL scan, distance in CIELAB", distance, fast);
  printf("\nSorted once, in %.1f ms. Other answers of %d: dE00 %zu, distance "
         "%zu.\n",
         sorted, ASKED_SQL, other, other_distance);
  sqlite3_close(db);
  lh_heap_free(&a);
  return 0;
}
