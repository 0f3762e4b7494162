/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Many marks: order, layers, sgraffito, the seam, clipped relays. */
#include "easel.h"

static const lh_nib dot = {0, 0, 8.0, 100.0};

/* A crowd of marks of every kind, some across the seam and off the zone. */
enum { CROWD = 60, CROWD_NIBS = 12 };
static lh_nib crowd_nibs[CROWD][CROWD_NIBS];
static lh_mark crowd[CROWD];

static void crowd_fill(void)
{
  for (int i = 0; i < CROWD; i++) {
    lh_mark *m = &crowd[i];
    size_t n = i % 5 == 0 ? 1 : 3 + (size_t)(9 * easel_random());
    double x = 0, y = 0;

    for (size_t k = 0; k < n; k++) {
      crowd_nibs[i][k] =
          (lh_nib){x, y, 1 + 4 * easel_random(), 50 + 200 * easel_random()};
      x += 8 * (easel_random() - 0.3);
      y += 8 * (easel_random() - 0.5);
    }
    *m = easel_sweep(i / 13, i % 4 ? easel_random() : 0.001,
                     50 * easel_random(), easel_random(), crowd_nibs[i], n);
    m->coat = 100;
    if (n > 1 && i % 7 == 0) m->kind = LH_FILL;
    if (n > 1 && i % 11 == 0) {
      m->kind = LH_SGRAFFITO;
      m->slip = LH_NO_SLIP;
    }
    if (i % 17 == 3) {
      m->kind = LH_BANDING;
      m->from = 5 + i * 0.5;
      m->to = 8 + i * 0.5;
      m->n = 0;
    }
  }
}

static void crowd_easel(easel *e)
{
  easel_cylinder(e, 40, 1000, 200);
  if (easel_marks(e, crowd, CROWD, NULL, 0) != LH_OK || easel_lay(e) != LH_OK)
    CHECK(0, "the crowd is laid");
}

static void test_clip(void)
{
  easel full, part;
  int wrong = 0;

  crowd_easel(&full);
  crowd_easel(&part);
  for (int i = 0; i < 40; i++) {
    lh_rect r;
    r.x0 = (int)(1000 * easel_random());
    r.y0 = (int)(200 * easel_random());
    r.x1 = r.x0 + 1 + (int)(300 * easel_random());
    r.y1 = r.y0 + 1 + (int)(80 * easel_random());
    if (i == 0) r = (lh_rect){-5, -5, 3, 500};
    for (int k = 0; k < part.laying.layers; k++) /* spoil it first */
      for (int y = r.y0 < 0 ? 0 : r.y0; y < r.y1 && y < 200; y++)
        for (int x = r.x0 < 0 ? 0 : r.x0; x < r.x1 && x < 1000; x++)
          part.maps.coat[k][y * 1000 + x] = part.maps.cover[k][y * 1000 + x] =
              -7.0f;
    lh_lay(&part.laying, &part.maps, &r, part.scratch, NULL);
    wrong += !easel_same(&full, &part);
  }
  CHECK(wrong == 0, "a relay of a rectangle has the bits of the full one");
  CHECK(full.laying.layers > 4, "with %d layers", full.laying.layers);
  /* Nothing outside the rectangle is touched. */
  part.maps.coat[0][0] = 77.0f;
  lh_lay(&part.laying, &part.maps, &(lh_rect){1, 0, 1000, 200}, part.scratch,
         NULL);
  CHECK(part.maps.coat[0][0] == 77.0f, "and leaves the rest as it is");
  lh_lay(&part.laying, &part.maps, &(lh_rect){900, 0, 900, 200}, part.scratch,
         NULL);
  part.maps.coat[0][0] = full.maps.coat[0][0];
  CHECK(easel_same(&full, &part), "an empty rectangle changes nothing");
  easel_clear(&full);
  easel_clear(&part);
}

/* Two marks of different slips: where their edges do not meet, order tells
** nothing; where they meet, which is above which depends on it. */
static void test_order(void)
{
  easel ab, ba;
  int differ_off = 0, differ_on = 0, met = 0;

  for (int k = 0; k < 2; k++) {
    easel *e = k ? &ba : &ab;
    lh_mark m[2] = {easel_sweep(k, 0.50, 20, 0.5, &dot, 1),
                    easel_sweep(1 - k, 0.52, 20, 0.5, &dot, 1)};
    m[0].anchor.turns = k ? 0.52 : 0.50;
    m[1].anchor.turns = k ? 0.50 : 0.52;
    easel_cylinder(e, 40, 1000, 200);
    easel_marks(e, m, 2, NULL, 0);
    easel_lay(e);
  }
  for (int i = 0; i < 200000; i++) {
    /* the slip on top of each pixel */
    int top_ab = ab.maps.cover[1][i] > 0   ? ab.laying.layer_slip[1]
                 : ab.maps.cover[0][i] > 0 ? ab.laying.layer_slip[0]
                                           : -1;
    int top_ba = ba.maps.cover[1][i] > 0   ? ba.laying.layer_slip[1]
                 : ba.maps.cover[0][i] > 0 ? ba.laying.layer_slip[0]
                                           : -1;
    bool both = ab.maps.cover[0][i] > 0 && ab.maps.cover[1][i] > 0;
    met += both;
    if (both)
      differ_on += top_ab != top_ba;
    else
      differ_off += top_ab != top_ba;
  }
  CHECK(met > 200 && differ_on == met, "where marks overlap the order matters");
  CHECK(differ_off == 0, "and nowhere else");
  easel_clear(&ab);
  easel_clear(&ba);
}

static void test_sum_and_maximum(void)
{
  lh_nib cross[] = {
      {-20, 0, 4, 100}, {20, 0, 4, 100}, {0, 20, 4, 100}, {0, -20, 4, 100}};
  lh_mark one = easel_sweep(0, 0.5, 25, 0.5, cross, 4);
  lh_mark two[2] = {easel_sweep(0, 0.5, 25, 0.5, cross, 2),
                    easel_sweep(0, 0.5, 25, 0.5, cross + 2, 2)};
  easel e;

  easel_cylinder(&e, 40, 1000, 200);
  easel_marks(&e, &one, 1, NULL, 0);
  easel_lay(&e);
  CHECK_NEAR(easel_at(&e, 0, 500, 99), 100, 1e-4,
             "a stroke that crosses itself lays its coat once");
  easel_clear(&e);
  easel_cylinder(&e, 40, 1000, 200);
  easel_marks(&e, two, 2, NULL, 0);
  easel_lay(&e);
  CHECK_NEAR(easel_at(&e, 0, 500, 99), 200, 1e-4,
             "two strokes that cross lay both coats");
  CHECK_NEAR(e.maps.cover[0][99 * 1000 + 500], 1.0, 1e-6,
             "and cover the place once");
  easel_clear(&e);
}

static void test_layers(void)
{
  lh_mark m[2 * LH_LAYERS_MOST];
  easel e;

  for (int i = 0; i < 2 * LH_LAYERS_MOST; i++)
    m[i] = easel_sweep(i % 2, 0.5, 25, 0.5, &dot, 1);
  m[1].slip = 0;
  m[2].slip = 1;
  m[3].slip = 0;
  easel_cylinder(&e, 40, 500, 100);
  easel_marks(&e, m, 4, NULL, 0); /* A A B A */
  CHECK(easel_lay(&e) == LH_OK && e.laying.layers == 3,
        "A over B over A: three layers");
  CHECK(e.laying.layer_slip[0] == 0 && e.laying.layer_slip[1] == 1 &&
            e.laying.layer_slip[2] == 0,
        "from the lowest up");
  CHECK_NEAR(easel_at(&e, 0, 250, 49), 200, 1e-4,
             "two marks of a slip in turn: one layer, their sum");
  easel_clear(&e);

  for (int i = 0; i < 4; i++) m[i].slip = i % 2;
  easel_cylinder(&e, 40, 500, 100);
  easel_marks(&e, m, LH_LAYERS_MOST, NULL, 0);
  CHECK(easel_lay(&e) == LH_OK && e.laying.layers == LH_LAYERS_MOST,
        "as many layers as are taken");
  easel_marks(&e, m, 1, NULL, 0);
  CHECK(easel_lay(&e) == LH_TOOLARGE && e.fault.why == LH_MARK_LAYERS &&
            e.fault.mark == LH_LAYERS_MOST,
        "one more is refused, and which mark began it");
  easel_clear(&e);
}

static void test_sgraffito(void)
{
  lh_nib line[] = {{-30, 0, 2, 0}, {30, 0, 2, 0}};
  lh_mark m[4] = {easel_sweep(0, 0.5, 25, 0.5, &dot, 1),
                  easel_sweep(1, 0.5, 25, 0.5, &dot, 1),
                  easel_sweep(LH_NO_SLIP, 0.5, 25, 0.6, line, 2),
                  easel_sweep(1, 0.5, 25, 0.5, &dot, 1)};
  easel e, without;
  double worst = 0;

  m[2].kind = LH_SGRAFFITO;
  easel_cylinder(&e, 40, 1000, 200);
  easel_marks(&e, m, 3, NULL, 0);
  easel_lay(&e);
  easel_cylinder(&without, 40, 1000, 200);
  easel_marks(&without, m, 2, NULL, 0);
  easel_lay(&without);
  CHECK(easel_at(&e, 0, 500, 99) == 0.0f && easel_at(&e, 1, 500, 99) == 0.0f,
        "a scratch goes through every layer so far");
  for (int i = 0; i < 200000; i++) {
    double y = fabs((i / 1000 + 0.5) * e.grid.pixel - 25) - 1.0; /* outside */
    double u = fmin(fmax(0.5 - y / 0.6, 0), 1), c = u * u * (3 - 2 * u);
    for (int k = 0; k < 2; k++)
      worst = fmax(worst,
                   fabs(e.maps.coat[k][i] - without.maps.coat[k][i] * (1 - c)));
  }
  /* edge 2.4 pixels, the steepest cover 0.63 a pixel, places good to 1e-5
  ** pixel over the 120 pixels of the line */
  CHECK_NEAR(worst, 0, 100 * 2e-5, "and takes away what its edge covers");
  easel_clear(&e);
  easel_clear(&without);
  easel_cylinder(&e, 40, 1000, 200);
  easel_marks(&e, m, 4, NULL, 0);
  easel_lay(&e);
  CHECK(e.laying.layers == 2, "the same slip goes on in its layer after it");
  CHECK_NEAR(easel_at(&e, 1, 500, 99), 100, 1e-4,
             "and is not taken away by an earlier scratch");
  easel_clear(&e);
  easel_cylinder(&e, 40, 500, 100);
  easel_marks(&e, &m[2], 1, NULL, 0);
  CHECK(easel_lay(&e) == LH_OK && e.laying.layers == 0,
        "a scratch on the bare body lays nothing");
  easel_clear(&e);
}

/* The same crowd, turned by whole pixels: the same bits, further round. */
static void test_seam(void)
{
  easel a, b;
  int wrong = 0;

  crowd_easel(&a);
  for (int i = 0; i < CROWD; i++) crowd[i].anchor.turns += 0.271;
  crowd_easel(&b);
  for (int i = 0; i < CROWD; i++) crowd[i].anchor.turns -= 0.271;
  for (int k = 0; k < a.laying.layers; k++)
    for (int y = 0; y < 200; y++)
      for (int x = 0; x < 1000; x++)
        wrong += easel_at(&a, k, x, y) != easel_at(&b, k, (x + 271) % 1000, y);
  CHECK(wrong == 0, "turned by whole pixels across the seam: bit for bit");
  easel_clear(&a);
  easel_clear(&b);
}

/* A line that winds three times round meets itself at the seam: its maximum
** over all windings, so level windings on one another lay one coat. */
static void test_winding(void)
{
  double around = 2 * pi * 40;
  lh_nib nibs[] = {{-1.5 * around, 0, 4, 100}, {1.5 * around, 0, 4, 100}};
  lh_mark m = easel_sweep(0, 0.37, 25, 0.8, nibs, 2);
  easel e;
  double low = 1e9, high = 0;

  easel_cylinder(&e, 40, 1000, 200);
  easel_marks(&e, &m, 1, NULL, 0);
  CHECK(easel_lay(&e) == LH_OK, "a line three times round is laid");
  for (int x = 0; x < 1000; x++) {
    low = fmin(low, easel_at(&e, 0, x, 99));
    high = fmax(high, easel_at(&e, 0, x, 99));
  }
  CHECK(low == 100 && high == 100, "once, however often it goes round");
  m.kind = LH_FILL;
  easel_marks(&e, &m, 1, NULL, 0);
  CHECK(easel_marks(&e, &m, 1, NULL, 0) == LH_INPUT,
        "a fill of two points is refused");
  easel_clear(&e);
  {
    lh_nib wide[] = {
        {-0.6 * around, -5, 0, 0}, {0.6 * around, -5, 0, 0}, {0, 9, 0, 0}};
    m.nibs = wide;
    m.n = 3;
    easel_cylinder(&e, 40, 1000, 200);
    easel_marks(&e, &m, 1, NULL, 0);
    CHECK(easel_lay(&e) == LH_RANGE && e.fault.why == LH_MARK_WRAPS,
          "a fill wider than once round is refused");
    easel_clear(&e);
  }
}

static bool stop(void *who, double done)
{
  (void)done;
  return --*(int *)who > 0;
}

static void test_watch(void)
{
  int left = 2;
  lh_watch w = {stop, &left};
  easel e;

  crowd_easel(&e);
  CHECK(lh_lay(&e.laying, &e.maps, NULL, e.scratch, &w) == LH_CANCELLED,
        "laying stops when asked");
  easel_clear(&e);
}

int main(void)
{
  crowd_fill();
  test_clip();
  test_order();
  test_sum_and_maximum();
  test_layers();
  test_sgraffito();
  test_seam();
  test_winding();
  test_watch();
  return CHECK_DONE();
}
