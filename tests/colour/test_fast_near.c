/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The nearest tiles: against looking at every one, and the bounds that spare
** it. */
#include "difference.h"
#include "fast_sets.h"
#include "near_tiles.h"

enum { TILES = 5000 };

static lh_lab tile[TILES];
static int sets;

/* The most nearest by looking at all, with their order. */
static size_t look_at_all(size_t n, lh_lab want, size_t most, lh_near_one *one)
{
  size_t found = 0;

  for (size_t i = 0; i < n; i++) {
    double d = lh_delta_e00(want, tile[i]);
    size_t k = found < most ? found++ : most;
    while (k > 0 && one[k - 1].difference > d) {
      if (k < most) one[k] = one[k - 1];
      k--;
    }
    if (k < most) one[k] = (lh_near_one){i, d};
  }
  return found;
}

static lh_lab anywhere(double colourful)
{
  return (lh_lab){draw(0, 100), draw(-colourful, colourful),
                  draw(-colourful, colourful)};
}

static void ask(const char *what, size_t n, double colourful)
{
  static const size_t mosts[] = {1, 2, 7, LH_NEAR_MOST};
  size_t wrong[SETS] = {0};
  test_heap h;
  lh_near near;

  test_heap_open(&h, SIZE_MAX);
  CHECK(lh_near_make(tile, n, &h.arena, &near) == LH_OK, "%s: sorted", what);
  for (int k = 0; k < 120; k++) {
    size_t most = mosts[k % 4], want_n, got_n;
    lh_lab want = anywhere(colourful);
    lh_near_one wanted[LH_NEAR_MOST], got[LH_NEAR_MOST];
    if (k % 10 == 0) want.L = k % 20 ? 100 : 0;
    if (k % 10 == 1) want.a = want.b = 0;
    if (k % 10 == 2 && n > 0) want = tile[(size_t)k % n];
    want_n = look_at_all(n, want, most, wanted);
    for (int set = 0; set < sets; set++) {
      got_n = lh_near_find((lh_isa)set, &near, want, most, got);
      wrong[set] += got_n != want_n;
      for (size_t i = 0; i < want_n && i < got_n; i++)
        wrong[set] += got[i].which != wanted[i].which ||
                      fabs(got[i].difference - wanted[i].difference) > 0;
    }
  }
  for (int set = 0; set < sets; set++)
    CHECK(wrong[set] == 0, "%s, %s: the answers of looking at all", what,
          set_name[set]);
  test_heap_free(&h);
}

/* The two bounds of near_tiles.c, on pairs of every kind. */
static void bounds(void)
{
  size_t light = 0, plane = 0;

  for (int i = 0; i < 200000; i++) {
    lh_lab p = anywhere(i % 2 ? 110 : 20), q = anywhere(i % 3 ? 110 : 20);
    double C = sqrt(p.a * p.a + p.b * p.b), d, D;
    if (i % 5 == 0) q.a = p.a, q.b = p.b;
    if (i % 7 == 0) p.a = draw(-10, 40), p.b = -110, q.L = p.L;
    C = sqrt(p.a * p.a + p.b * p.b);
    D = lh_delta_e00(p, q);
    d = sqrt((p.a - q.a) * (p.a - q.a) + (p.b - q.b) * (p.b - q.b));
    light += D < fabs(p.L - q.L) / 1.748 - 1e-12;
    plane += D < 0.36602 * d / (1 + 0.0675 * C + 0.03375 * d) - 1e-12;
  }
  CHECK(light == 0, "dE00 is at least |dL|/1.748");
  CHECK(plane == 0, "and at least what the distance in a*, b* says");
}

static void refusals(void)
{
  test_heap h;
  lh_near near;
  lh_status st;
  size_t limit = 0;

  test_heap_open(&h, SIZE_MAX);
  tile[3].L = NAN;
  CHECK(lh_near_make(tile, 10, &h.arena, &near) == LH_RANGE, "NaN is refused");
  tile[3].L = 101;
  CHECK(lh_near_make(tile, 10, &h.arena, &near) == LH_RANGE, "L* 101");
  tile[3].L = 50;
  tile[9].b = -2000;
  CHECK(lh_near_make(tile, 10, &h.arena, &near) == LH_RANGE, "b* -2000");
  CHECK(lh_near_make(tile, 9, &h.arena, &near) == LH_OK, "the rest is taken");
  test_heap_free(&h);
  do {
    test_heap_open(&h, limit += 64);
    st = lh_near_make(tile, 9, &h.arena, &near);
    test_heap_free(&h);
  } while (st == LH_NOMEM && limit < 1000000);
  CHECK(st == LH_OK && limit > 64, "out of memory is said, until there is");
}

int main(void)
{
  sets = sets_here();
  for (size_t i = 0; i < TILES; i++) tile[i] = anywhere(90);
  ask("spread", TILES, 90);
  ask("few", 3, 90);
  ask("one", 1, 90);
  ask("none", 0, 90);
  for (size_t i = 0; i < TILES; i++) {
    tile[i] = anywhere(4);
    if (i % 3 == 0) tile[i] = tile[i / 2]; /* the same again: the earlier */
    if (i % 11 == 0) tile[i].L = 50;
  }
  ask("crowded, many alike", TILES, 5);
  for (size_t i = 0; i < TILES; i++) tile[i].b -= 60;
  ask("far away blues", TILES, 40);
  bounds();
  for (size_t i = 0; i < TILES; i++) tile[i] = anywhere(90);
  refusals();
  return CHECK_DONE();
}
