/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Marks on curved forms: true to size where they are anchored; and what is
** refused, with the mark it is about. */
#include "easel.h"

static const lh_point cone[] = {{30, 0}, {70, 60}};
static const lh_zone cone_zone = {LH_OUTSIDE, LH_CHART_BAND, 5, 65};

/* On a cone distances are those of its development, a plain sector: with the
** half-angle a, the slant distance l from the tip and turns t the point is at
** l (cos(2 pi t sin a), sin(2 pi t sin a)). */
static void developed(double turns, double up, double *x, double *y)
{
  double slant = hypot(40, 60), sin_a = 40 / slant;
  double l = 30 / sin_a + 5 + up, angle = 2 * pi * turns * sin_a;

  *x = l * cos(angle);
  *y = l * sin(angle);
}

static double cone_distance(const lh_chart *ch, const lh_shape *s, int i, int k)
{
  double t, u, ax, ay, bx, by;

  lh_chart_back(ch, s->x + s->nibs[i].x, s->y + s->nibs[i].y, &t, &u);
  developed(t, u, &ax, &ay);
  lh_chart_back(ch, s->x + s->nibs[k].x, s->y + s->nibs[k].y, &t, &u);
  developed(t, u, &bx, &by);
  return hypot(ax - bx, ay - by);
}

static void test_true_size(void)
{
  /* A small cross: at size d the chart's change of scale over it is d/l, so
  ** its arms are true to d^2/l; its arms are balanced, so to d^3/l^2. */
  for (double d = 4; d >= 1; d /= 2) {
    lh_nib nibs[] = {{-d, 0, 1, 9}, {d, 0, 1, 9}, {0, -d, 1, 9}, {0, d, 1, 9}};
    lh_mark m = easel_sweep(0, 0.3, 30, 0.5, nibs, 4);
    double l = 30 / (40 / hypot(40, 60)) + 35;
    easel e;

    easel_begin(&e, cone, 2, cone_zone, 0.5, 1);
    easel_marks(&e, &m, 1, NULL, 0);
    CHECK_NEAR(cone_distance(&e.chart, e.shapes.at, 0, 1), 2 * d,
               2 * d * d * d / (l * l), "cone: %.0f mm around", 2 * d);
    CHECK_NEAR(cone_distance(&e.chart, e.shapes.at, 2, 3), 2 * d,
               2 * d * d * d / (l * l), "cone: %.0f mm up the wall", 2 * d);
    easel_clear(&e);
  }
}

/* A dot's true area on a cone is pi r^2 wherever it is anchored, to the
** second order of r over the distance from the tip. */
static void test_dot_area(void)
{
  for (double up = 5; up < 60; up += 24) {
    lh_nib nib = {0, 0, 5, 100};
    lh_mark m = easel_sweep(0, 0.62, up, 0.8, &nib, 1);
    double l = 30 / (40 / hypot(40, 60)) + 5 + up;
    double want = pi * (2.5 * 2.5 + 0.8 * 0.8 / 20);
    lh_coverage c;
    easel e;

    easel_begin(&e, cone, 2, cone_zone, 0.1, 1);
    easel_marks(&e, &m, 1, NULL, 0);
    easel_lay(&e);
    lh_measure(&e.chart, &e.laying, &e.maps, &e.arena, NULL, &c);
    /* scale^2 = (1 + y/l ..)^2 averaged over the dot: within 2 (r/l)^2 */
    CHECK_NEAR(c.layer[0].area_mm2, want, want * (2 * 6.25 / (l * l) + 1e-3),
               "cone: a dot %.0f mm up has its area", up);
    CHECK_NEAR(c.layer[0].grams, c.layer[0].area_mm2 * 100e-6, 1e-9,
               "cone: and its grams");
    easel_clear(&e);
  }
}

/* In a disc, y runs out from the centre, and letters are not mirrored. */
static void test_disc_frame(void)
{
  static const lh_point plate[] = {{0, 0}, {60, 0}};
  lh_nib nibs[] = {{0, 0, 1, 9}, {0, 5, 1, 9}, {3, 0, 1, 9}};
  lh_mark m = easel_sweep(0, 0, 30, 0.5, nibs, 3);
  easel e;

  easel_begin(&e, plate, 2, (lh_zone){LH_OUTSIDE, LH_CHART_DISC, 0, 60}, 1, 1);
  for (int i = 0; i < 4; i++) {
    const lh_shape *s;
    const lh_nib *q;
    m.anchor.turns = i / 4.0 + 0.06;
    easel_marks(&e, &m, 1, NULL, 0);
    s = &e.shapes.at[i];
    q = s->nibs;
    CHECK_NEAR(hypot(s->x + q[1].x, s->y + q[1].y), 35, 1e-11,
               "plate: 5 mm of local y is 5 mm farther out");
    CHECK_NEAR((q[2].x - q[0].x) * (q[1].y - q[0].y) -
                   (q[2].y - q[0].y) * (q[1].x - q[0].x),
               15, 1e-11, "plate: local x stands to the right of y");
  }
  easel_clear(&e);
}

static void spot_of(const lh_local *l, double x, double y, double *u,
                    double *v);

static void test_local(void)
{
  lh_local a = {3, -2, 0.13, 1.7, true, false},
           b = {-1, 5, 0.41, 0.6, false, true}, j;
  double worst = 0;

  for (int k = 0; k < 16; k++) {
    a.flip_x = k & 1;
    a.flip_y = k & 2;
    b.flip_x = k & 4;
    b.flip_y = k & 8;
    j = lh_local_join(&a, &b);
    for (int i = 0; i < 4; i++) {
      double x = 3 * i - 4, y = 7 - i * i, u, v, p, q;
      spot_of(&b, x, y, &u, &v);
      spot_of(&a, u, v, &u, &v);
      spot_of(&j, x, y, &p, &q);
      worst = fmax(worst, hypot(u - p, v - q));
    }
  }
  CHECK_NEAR(worst, 0, 1e-13, "two changes joined are one after the other");
}

static void test_stretch(void)
{
  lh_nib nibs[] = {{0, -20, 2, 9}, {0, 20, 2, 9}};
  lh_mark m = easel_sweep(0, 0.3, 30, 0.5, nibs, 2);
  double least, greatest, l = 30 / (40 / hypot(40, 60)) + 35;
  easel e;

  easel_begin(&e, cone, 2, cone_zone, 1, 1);
  easel_marks(&e, &m, 1, NULL, 0);
  lh_shape_stretch(&e.chart, e.shapes.at, &least, &greatest);
  /* On a cone ln l is linear in the chart's y: 21 mm of local y multiply l by
  ** exp(21/l). */
  CHECK_NEAR(greatest, exp(21 / l), 1e-9, "stretch at the upper end");
  CHECK_NEAR(least, exp(-21 / l), 1e-9, "and at the lower");
  easel_clear(&e);
}

static void refused(const char *what, const lh_mark *m, lh_mark_why why,
                    lh_status st)
{
  lh_nib good = {0, 0, 2, 100};
  lh_mark two[2] = {easel_sweep(0, 0.2, 30, 0.5, &good, 1), *m};
  lh_status got;
  easel e;

  easel_begin(&e, cone, 2, cone_zone, 1, 1);
  got = easel_marks(&e, two, 2, NULL, 0);
  CHECK(got == st && e.fault.why == why && e.fault.mark == 1,
        "refused: %s (%d, mark %zu)", what, (int)e.fault.why, e.fault.mark);
  easel_clear(&e);
}

static void test_refusals(void)
{
  lh_nib nibs[3] = {{0, 0, 2, 100}, {1, 0, 2, 100}, {2, 1, 2, 100}};
  const lh_mark good = easel_sweep(0, 0.2, 30, 0.5, nibs, 3);
  lh_mark m = good;
  size_t nib = 9;

  nibs[2].x = NAN;
  refused("NaN", &m, LH_MARK_NOT_NUMBER, LH_INPUT);
  CHECK(lh_mark_check(&m, &nib) == LH_MARK_NOT_NUMBER && nib == 2,
        "and which nib");
  nibs[2].x = 20000;
  refused("beyond the largest pot", &m, LH_MARK_TOO_LARGE, LH_RANGE);
  nibs[2].x = 2;
  nibs[1].width = -1;
  refused("negative width", &m, LH_MARK_WIDTH, LH_INPUT);
  nibs[1].width = 2;
  nibs[0].coat = -5;
  refused("negative coat", &m, LH_MARK_COAT, LH_INPUT);
  nibs[0].coat = INFINITY;
  refused("infinite coat", &m, LH_MARK_NOT_NUMBER, LH_INPUT);
  nibs[0].coat = 100;
  m.slip = LH_NO_SLIP;
  refused("a stroke without slip", &m, LH_MARK_SLIP, LH_INPUT);
  m = good;
  m.kind = LH_SGRAFFITO;
  refused("a scratch with slip", &m, LH_MARK_SLIP, LH_INPUT);
  m.kind = LH_MARK_KINDS;
  refused("no such kind", &m, LH_MARK_KIND, LH_INPUT);
  m = good;
  m.kind = LH_DOT;
  refused("a dot of three nibs", &m, LH_MARK_NIBS, LH_INPUT);
  m = good;
  m.n = 0;
  refused("a stroke of no nib", &m, LH_MARK_NIBS, LH_INPUT);
  m = good;
  m.edge = -0.1;
  refused("negative edge", &m, LH_MARK_EDGE, LH_INPUT);
  m = good;
  m.local.scale = 0;
  refused("scaled to nothing", &m, LH_MARK_SCALE, LH_INPUT);
  m = good;
  m.anchor.up = 60.5;
  refused("anchored above the zone", &m, LH_MARK_OFF_ZONE, LH_RANGE);
  m = (lh_mark){.kind = LH_BANDING, .slip = 0, .from = 50, .to = 61};
  refused("a banding line above the zone", &m, LH_MARK_OFF_ZONE, LH_RANGE);
  m.to = 40;
  refused("a banding line upside down", &m, LH_MARK_OFF_ZONE, LH_RANGE);
}

/* 100,000 marks are too many, and say so before memory is gone. */
static void test_limit(void)
{
  lh_nib nib = {0, 0, 2, 100};
  lh_mark m = easel_sweep(0, 0.2, 30, 0.5, &nib, 1);
  lh_repeat r = {LH_P1, 1000, 0, NULL, 0};
  static lh_placing p[1000];
  lh_status st = LH_OK;
  size_t n, rounds = 0;
  easel e;

  easel_begin(&e, cone, 2, cone_zone, 1, 1);
  lh_repeat_fill(&r, p, 1000, &n);
  while (st == LH_OK && rounds++ < 100) st = easel_marks(&e, &m, 1, p, n);
  CHECK(st == LH_TOOLARGE && e.fault.why == LH_MARK_TOO_MANY &&
            e.shapes.n == LH_MARKS_MOST,
        "100,000 marks: refused at %zu", e.shapes.n);
  easel_clear(&e);
}

static void spot_of(const lh_local *l, double x, double y, double *u, double *v)
{
  double c = cos(2 * pi * l->turn), s = sin(2 * pi * l->turn);

  x = l->flip_x ? -x : x;
  y = l->flip_y ? -y : y;
  *u = l->x + l->scale * (c * x - s * y);
  *v = l->y + l->scale * (s * x + c * y);
}

int main(void)
{
  test_true_size();
  test_dot_area();
  test_disc_frame();
  test_local();
  test_stretch();
  test_refusals();
  test_limit();
  return CHECK_DONE();
}
