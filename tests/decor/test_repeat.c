/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Repeats: each frieze group has the symmetries it claims and no others.
**
** Which group has which: International Tables for Crystallography, vol. E,
** part 2 (the seven frieze groups); the same table is in any book on
** ornament.  */
#include "easel.h"

enum { COLUMNS = 720, ROWS = 100, CELLS = 6, CELL = COLUMNS / CELLS };

/* An asymmetric motif, small enough for a quarter of a cell's area. */
static const lh_nib leaf[] = {
    {-4, -3, 2.5, 120}, {1, -1, 1.5, 140}, {4, 4, 0.6, 100}};
static const lh_nib spot[] = {{-3.5, 2.5, 1.6, 80}};

static void motif(lh_mark *m)
{
  m[0] = easel_sweep(0, 0.041, 11.3, 0.8, leaf, 3);
  m[1] = easel_sweep(0, 0.041, 11.3, 0.8, spot, 1);
}

static void repeated(easel *e, const lh_repeat *r)
{
  lh_placing p[LH_CELL_MOST * 64];
  lh_mark m[2];
  size_t n;

  motif(m);
  easel_cylinder(e, 40, COLUMNS, ROWS);
  if (lh_repeat_fill(r, p, sizeof p / sizeof *p, &n) != LH_OK ||
      easel_marks(e, m, 2, p, n) != LH_OK || easel_lay(e) != LH_OK)
    CHECK(0, "repeat laid");
}

/* Is the map left as it is by x -> sign x + shift, y -> flipped or not? */
static bool invariant(const easel *e, int sign, int shift, bool flip)
{
  for (int y = 0; y < ROWS; y++)
    for (int x = 0; x < COLUMNS; x++) {
      int u = ((sign * x + shift) % COLUMNS + COLUMNS) % COLUMNS;
      if (easel_at(e, 0, x, y) != easel_at(e, 0, u, flip ? ROWS - 1 - y : y))
        return false;
    }
  return true;
}

static bool any_shift(const easel *e, int sign, bool flip)
{
  for (int s = 0; s < COLUMNS; s++)
    if (invariant(e, sign, s, flip)) return true;
  return false;
}

static void test_friezes(void)
{
  static const struct {
    lh_symmetry s;
    bool upright, level, glide, half;
  } group[] = {
      {LH_P1, 0, 0, 0, 0},   {LH_P11G, 0, 0, 1, 0}, {LH_P1M1, 1, 0, 0, 0},
      {LH_P2, 0, 0, 0, 1},   {LH_P2MG, 1, 0, 1, 1}, {LH_P11M, 0, 1, 0, 0},
      {LH_P2MM, 1, 1, 0, 1},
  };

  for (size_t i = 0; i < sizeof group / sizeof *group; i++) {
    const char *name = lh_symmetry_name(group[i].s);
    lh_repeat r = {group[i].s, CELLS, 12.0 / COLUMNS, NULL, 0};
    easel e;
    int least = 0;

    repeated(&e, &r);
    for (int s = 1; s <= CELL && !least; s++)
      if (invariant(&e, 1, s, false)) least = s;
    CHECK(least == CELL, "%s: repeats after one cell and not before (%d)", name,
          least);
    CHECK(any_shift(&e, -1, false) == group[i].upright,
          "%s: upright mirrors: %s", name, group[i].upright ? "yes" : "no");
    CHECK(invariant(&e, 1, 0, true) == group[i].level, "%s: level mirror: %s",
          name, group[i].level ? "yes" : "no");
    CHECK(invariant(&e, 1, CELL / 2, true) == group[i].glide,
          "%s: glide by half a cell: %s", name, group[i].glide ? "yes" : "no");
    CHECK(any_shift(&e, -1, true) == group[i].half, "%s: half turns: %s", name,
          group[i].half ? "yes" : "no");
    easel_clear(&e);
  }
}

static void test_area(void)
{
  lh_repeat r = {LH_P1, 1, 0.0, NULL, 0};
  easel e;
  double one, many;

  repeated(&e, &r);
  one = easel_sum(&e, e.maps.cover[0]);
  easel_clear(&e);
  r.count = 12;
  repeated(&e, &r);
  many = easel_sum(&e, e.maps.cover[0]);
  /* bits are the same; sums of 72,000 numbers in another order */
  CHECK_NEAR(many, 12 * one, 1e-10 * many, "12 repeats have 12 times the area");
  CHECK(one > 20, "and there is some: %.1f mm2", one);
  easel_clear(&e);
}

/* Turned by one repeat the piece looks the same, bit for bit. */
static void test_turned(void)
{
  for (size_t count = 3; count <= 15; count += 4) {
    lh_repeat r = {LH_P1, count, 0.0, NULL, 0};
    lh_placing p[64];
    lh_mark m[2];
    int nx = (int)count * 70, wrong = 0;
    size_t n;
    easel e;

    motif(m);
    easel_cylinder(&e, 40, nx, 90);
    lh_repeat_fill(&r, p, 64, &n);
    easel_marks(&e, m, 2, p, n);
    easel_lay(&e);
    for (int y = 0; y < 90; y++)
      for (int x = 0; x < nx; x++)
        wrong += easel_at(&e, 0, x, y) != easel_at(&e, 0, (x + 70) % nx, y);
    CHECK(wrong == 0, "turned by 1/%zu: the same bits", count);
    easel_clear(&e);
  }
}

/* An exception is the mark one would have drawn there by hand. */
static void test_exceptions(void)
{
  lh_exception x[] = {{.instance = 1, .left_out = true},
                      {.instance = 2,
                       .move_turns = 0.02,
                       .move_up = 3.5,
                       .turn = 0.1,
                       .scale = 1.3}};
  lh_repeat r = {LH_P1, 4, 0.0, x, 2};
  lh_placing p[4];
  lh_mark m[2], by_hand[6];
  easel a, b;
  double worst = 0;
  size_t n;

  CHECK(lh_repeat_fill(&r, p, 4, &n) == LH_OK && n == 3,
        "one of four left out: three placings");
  motif(m);
  easel_cylinder(&a, 40, COLUMNS, ROWS);
  easel_marks(&a, m, 2, p, n);
  easel_lay(&a);
  for (int i = 0; i < 3; i++) {
    motif(&by_hand[2 * i]);
    for (int k = 0; k < 2; k++) {
      lh_mark *q = &by_hand[2 * i + k];
      q->anchor.turns += (i == 0 ? 0 : i == 1 ? 0.5 + 0.02 : 0.75);
      if (i != 1) continue;
      q->anchor.up += 3.5;
      q->local.turn = 0.1;
      q->local.scale = 1.3;
    }
  }
  easel_cylinder(&b, 40, COLUMNS, ROWS);
  easel_marks(&b, by_hand, 6, NULL, 0);
  easel_lay(&b);
  for (int i = 0; i < COLUMNS * ROWS; i++)
    worst = fmax(worst, fabs(a.maps.coat[0][i] - b.maps.coat[0][i]));
  /* 140 g/m2 over an edge of 2.3 pixels, places good to 5e-6 pixel */
  CHECK_NEAR(worst, 0, 140 * 1.5 / 2.3 * 2e-5, "moved, turned and scaled");
  easel_clear(&a);
  easel_clear(&b);
  x[0].instance = 4;
  CHECK(lh_repeat_fill(&r, p, 4, &n) == LH_RANGE, "no fifth of four");
  x[0].instance = 1;
  x[1].scale = 0;
  CHECK(lh_repeat_fill(&r, p, 4, &n) == LH_RANGE, "not scaled to nothing");
  x[1].scale = NAN;
  CHECK(lh_repeat_fill(&r, p, 4, &n) == LH_RANGE, "nor to no number");
  r.n_exceptions = 0;
  r.count = 0;
  CHECK(lh_repeat_fill(&r, p, 4, &n) == LH_RANGE, "no repeat of nothing");
  r.count = 5;
  CHECK(lh_repeat_fill(&r, p, 4, &n) == LH_TOOLARGE && n == 5,
        "says how much room it wants");
}

/* Moved up a cone, the exception is as large as drawn, at its new place. */
static void test_exception_on_cone(void)
{
  static const lh_point cone[] = {{30, 0}, {70, 60}};
  lh_zone z = {LH_OUTSIDE, LH_CHART_BAND, 5, 65};
  lh_exception x = {.instance = 0, .move_up = 30, .scale = 1};
  lh_repeat r = {LH_P1, 3, 0, &x, 1};
  lh_nib nib = {0, 0, 6, 100};
  lh_mark m = easel_sweep(0, 0.3, 12, 0.5, &nib, 1);
  lh_placing p[3];
  double at_x, at_y, scale;
  size_t n;
  easel e;

  easel_begin(&e, cone, 2, z, 0.2, 1);
  lh_repeat_fill(&r, p, 3, &n);
  easel_marks(&e, &m, 1, p, n);
  lh_chart_place(&e.chart, 0.3, 42, &at_x, &at_y);
  lh_chart_scale(&e.chart, at_x, at_y, &scale);
  CHECK_NEAR(e.shapes.at[0].nibs[0].width * scale, 6, 1e-11,
             "moved up a cone it keeps its true size");
  CHECK_NEAR(e.shapes.at[0].y, at_y, 1e-11, "and stands where it was moved");
  lh_chart_place(&e.chart, 0.3, 12, &at_x, &at_y);
  lh_chart_scale(&e.chart, at_x, at_y, &scale);
  CHECK_NEAR(e.shapes.at[1].nibs[0].width * scale, 6, 1e-11,
             "the others keep theirs");
  easel_clear(&e);
}

/* Rosettes on a plate: turned by a half and mirrored across the rows the map
** has the same bits, by thirds the same area. */
static void test_rosettes(void)
{
  static const lh_point plate[] = {{0, 0}, {60, 0}};
  lh_zone z = {LH_OUTSIDE, LH_CHART_DISC, 0, 60};
  double area[2];

  for (int k = 0; k < 2; k++) {
    lh_repeat r = {k ? LH_DN : LH_CN, 2, 0, NULL, 0};
    lh_placing p[8];
    lh_mark m[2];
    size_t n;
    easel e;
    int turned = 0, mirrored = 0, size;

    motif(m);
    m[0].anchor = m[1].anchor = (lh_anchor){0.07, 30};
    easel_begin(&e, plate, 2, z, 0.3, 1);
    size = e.grid.nx;
    lh_repeat_fill(&r, p, 8, &n);
    easel_marks(&e, m, 2, p, n);
    easel_lay(&e);
    for (int y = 0; y < size; y++)
      for (int x = 0; x < size; x++) {
        float here = easel_at(&e, 0, x, y);
        turned += here != easel_at(&e, 0, size - 1 - x, size - 1 - y);
        mirrored += here != easel_at(&e, 0, x, size - 1 - y);
      }
    CHECK(turned == 0, "%s: half a turn: the same bits", k ? "D2" : "C2");
    CHECK((mirrored == 0) == (k == 1), "%s: mirrored about its axis: %s",
          k ? "D2" : "C2", k ? "yes" : "no");
    area[k] = easel_sum(&e, e.maps.cover[0]);
    easel_clear(&e);
  }
  CHECK_NEAR(area[1], 2 * area[0], 1e-6 * area[1], "D2 has twice C2's motifs");
}

static void test_extent(void)
{
  lh_nib nibs[] = {{-10, 0, 2, 100}, {10, 0, 2, 100}};
  lh_mark m = easel_sweep(0, 0.99, 25, 0.5, nibs, 2);
  lh_extent x;
  easel e;

  easel_cylinder(&e, 40, COLUMNS, 150);
  easel_marks(&e, &m, 1, NULL, 0);
  lh_shapes_extent(&e.chart, e.shapes.at, 1, 0, 11, &x);
  CHECK_NEAR(x.turns, 22 / (2 * pi * 40), 1e-12, "a motif's width in turns");
  CHECK(!x.larger_than_repeat && x.above == 0 && x.below == 0,
        "22 mm fit 11 times into 251 mm");
  lh_shapes_extent(&e.chart, e.shapes.at, 1, 0, 12, &x);
  CHECK(x.larger_than_repeat, "and not 12 times");
  m.anchor.turns = 0.01; /* the other side of the seam */
  easel_marks(&e, &m, 1, NULL, 0);
  lh_shapes_extent(&e.chart, e.shapes.at, 2, 0, 1, &x);
  CHECK_NEAR(x.turns, 0.02 + 22 / (2 * pi * 40), 1e-12,
             "two marks either side of the seam are near");
  m.local.turn = 0.25;
  m.anchor.up = 5;
  e.shapes.n = 0;
  easel_marks(&e, &m, 1, NULL, 0);
  lh_shapes_extent(&e.chart, e.shapes.at, 1, 0, 1, &x);
  CHECK_NEAR(x.below, 6, 1e-12, "how far it hangs below the zone");
  CHECK(lh_shapes_extent(&e.chart, e.shapes.at, 1, 3, 1, &x) == LH_NOTFOUND,
        "no such instance");
  easel_clear(&e);
}

int main(void)
{
  test_friezes();
  test_area();
  test_turned();
  test_exceptions();
  test_exception_on_cone();
  test_rosettes();
  test_extent();
  return CHECK_DONE();
}
