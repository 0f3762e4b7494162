/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A stroke that grows among others, step by step, in seven copies, some of them
** over the seam: what was laid, with the stale tiles laid afresh, has the bits
** of a full laying, and few tiles are stale.  The full laying is the oracle;
** test_sweep and test_layers hold that against closed forms. */
#include "easel.h"
#include "since.h"

enum { OTHERS = 24, NIBS = 8, STEPS = 36, COPIES = 7 };

static lh_nib other[OTHERS][NIBS], mine[STEPS + 4];
static lh_mark marks[OTHERS + COPIES];

static void others_fill(void)
{
  for (int i = 0; i < OTHERS; i++) {
    double x = 0, y = 0;
    for (int k = 0; k < NIBS; k++) {
      other[i][k] =
          (lh_nib){x, y, 1 + 4 * easel_random(), 50 + 200 * easel_random()};
      x += 8 * (easel_random() - 0.3);
      y += 8 * (easel_random() - 0.5);
    }
    marks[i] = easel_sweep(i / 9, easel_random(), 50 * easel_random(),
                           easel_random(), other[i], NIBS);
  }
}

/* The stroke as far as it is drawn; its last nibs grow thin, so they change
** when it goes on. */
static void stroke(size_t n, int slip)
{
  for (size_t k = 0; k < n; k++) {
    double taper = n - k < 4 ? 0.25 * (double)(n - k) : 1.0;
    double t = 0.35 * (double)k;
    mine[k] = (lh_nib){2.2 * (double)k, 9 * sin(t), taper * (3 + sin(3 * t)),
                       80 + 20 * cos(t)};
  }
  for (int c = 0; c < COPIES; c++)
    marks[OTHERS + c] = easel_sweep(slip, 0.02 + (double)c / COPIES,
                                    20 + 2.0 * c, 0.4, mine, n);
}

static void begin(easel *e)
{
  easel_cylinder(e, 60, 1400, 260);
  if (easel_marks(e, marks, OTHERS + COPIES, NULL, 0) != LH_OK ||
      easel_lay(e) != LH_OK)
    CHECK(0, "the marks are laid");
}

static size_t pixels(const easel *e)
{
  return (size_t)e->grid.nx * (size_t)e->grid.ny;
}

/* From what was laid before and the stale tiles; how many pixels differ. */
static size_t go_on(const easel *old, easel *e, lh_since *s)
{
  static unsigned char stale[4096];
  size_t n = pixels(e), wrong = 0;
  lh_maps x = {{0}, {0}};
  lh_rect r;
  int next = 0;

  lh_laying_since(&old->chart, &old->laying, &e->chart, &e->laying, stale, s);
  for (int k = 0; k < e->laying.layers; k++) {
    int f = s->from[k];
    x.coat[k] = calloc(n, sizeof(float));
    x.cover[k] = calloc(n, sizeof(float));
    if (f < 0) continue;
    memcpy(x.coat[k], old->maps.coat[f], n * sizeof(float));
    memcpy(x.cover[k], old->maps.cover[f], n * sizeof(float));
  }
  while (lh_stale_next(&e->grid, stale, &next, &r))
    lh_lay(&e->laying, &x, &r, e->scratch, NULL);
  for (int k = 0; k < e->laying.layers; k++) {
    for (size_t i = 0; i < n; i++)
      wrong += memcmp(&x.coat[k][i], &e->maps.coat[k][i], sizeof(float)) ||
               memcmp(&x.cover[k][i], &e->maps.cover[k][i], sizeof(float));
    free(x.coat[k]);
    free(x.cover[k]);
  }
  return wrong;
}

static void test_grow(int slip, const char *what)
{
  easel old, e;
  size_t wrong = 0;
  int last = 0, all = 0;
  lh_since s = {0};

  stroke(1, slip);
  begin(&old);
  for (size_t n = 2; n <= STEPS; n++) {
    stroke(n, slip);
    begin(&e);
    wrong += go_on(&old, &e, &s);
    all += s.all;
    last = s.tiles;
    easel_clear(&old);
    old = e;
  }
  CHECK(wrong == 0 && all == 0, "%s: each step has the bits of the whole",
        what);
  /* A step is some 10 mm with the tail that changes; a tile is 8.6 mm wide:
  ** at most 4 x 4 tiles a copy, where the whole stroke takes some 12 x 4. */
  CHECK(last <= 16 * COPIES, "the last step lays %d tiles afresh", last);
  /* a nib in the midst */
  mine[STEPS / 2].width += 0.7;
  begin(&e);
  wrong = go_on(&old, &e, &s);
  CHECK(wrong == 0 && s.tiles <= 16 * COPIES,
        "%s: so has a nib changed in its midst (%d tiles)", what, s.tiles);
  easel_clear(&old);
  old = e;
  /* and back to where it began */
  stroke(1, slip);
  begin(&e);
  CHECK(go_on(&old, &e, &s) == 0, "%s: and when it is taken back", what);
  easel_clear(&old);
  easel_clear(&e);
}

int main(void)
{
  others_fill();
  test_grow(2, "in the uppermost layer");
  test_grow(3, "in a layer of its own");
  return CHECK_DONE();
}
