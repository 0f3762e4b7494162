/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Areas and grams of slips, what lies over what, and clearances. */
#include "easel.h"

static const lh_point bowl[] = {{25, 0}, {48, 9}, {70, 28}, {82, 50}};

/* ---- areas of pixels ----------------------------------------------------- */

static double pixel_sum(const easel *e)
{
  size_t n = lh_pixel_areas(&e->grid);
  double *a = malloc(n * sizeof *a), sum = 0;

  lh_pixel_areas_fill(&e->grid, &e->chart, a);
  for (size_t i = 0; i < n; i++) sum += a[i];
  free(a);
  return e->grid.wraps ? sum * e->grid.nx : sum;
}

/* All pixels together are the zone, whose area form knows by Pappus. */
static void test_zone_area(void)
{
  static const lh_point dish[] = {{0, 0}, {30, 2}, {60, 12}, {75, 30}};
  easel e;

  easel_begin(&e, bowl, 4, (lh_zone){LH_OUTSIDE, LH_CHART_BAND, 12, 60}, 0.4,
              1);
  /* Simpson over 0.4 mm rows of scale^2, whose slope jumps a little at the
  ** profile's samples: h^2/12 times the total jump, under 1e-5 */
  CHECK_NEAR(pixel_sum(&e), e.chart.area, 1e-5 * e.chart.area,
             "band: the pixels' areas add to the zone's");
  easel_clear(&e);
  for (double h = 1.0; h > 0.2; h /= 2) {
    double from = h > 0.9 ? 20 : 0;
    easel_begin(&e, dish, 4, (lh_zone){LH_INSIDE, LH_CHART_DISC, from, 70}, h,
                1);
    /* the rim is cut by a straight line: to h^2/8R of each rim pixel, and
    ** pixels at the centre stand for their neighbourhood: h^2 */
    CHECK_NEAR(pixel_sum(&e), e.chart.area, 2e-3 * h * h * e.chart.area,
               "disc: likewise, %.2f mm pixels", h);
    easel_clear(&e);
  }
}

/* A banding line's area is the form's, on a bowl where nothing is straight. */
static void test_ring_area(void)
{
  lh_zone z = {LH_OUTSIDE, LH_CHART_BAND, 5, 70};
  lh_mark m = {.kind = LH_BANDING,
               .slip = 0,
               .edge = 0.8,
               .coat = 130,
               .from = 21.7,
               .to = 34.9};
  lh_coverage c;
  double want;
  easel e;

  easel_begin(&e, bowl, 4, z, 0.2, 1);
  lh_curve_area(&e.curve, 5 + m.from, 5 + m.to, &want);
  easel_marks(&e, &m, 1, NULL, 0);
  easel_lay(&e);
  lh_measure(&e.chart, &e.laying, &e.maps, &e.arena, NULL, &c);
  /* Both edges lie even about their line in the chart; what the scale changes
  ** over an edge adds e^2/20 (its slope) a side: 3e-4 of 13 mm; the midpoint
  ** rule h^2/(8 e) a side: 6e-3 mm. */
  CHECK_NEAR(c.layer[0].area_mm2, want, want * (1.3e-2 + 1e-3) / 13.2,
             "banding line on a bowl: the form's area");
  CHECK_NEAR(c.layer[0].grams, c.layer[0].area_mm2 * 130e-6, 1e-6,
             "banding line: grams");
  CHECK_NEAR(c.zone_mm2, c.bare_mm2 + c.layer[0].area_mm2, 1e-6 * c.zone_mm2,
             "what is bare and what is covered are the zone");
  easel_clear(&e);
}

/* ---- overlaps ------------------------------------------------------------ */

static const lh_overlap *find(const lh_coverage *c, int upper, int lower)
{
  for (int i = 0; i < c->overlaps; i++)
    if (c->overlap[i].upper == upper && c->overlap[i].lower == lower)
      return &c->overlap[i];
  return NULL;
}

/* Two bands that cross: A 10..20, B 16..30, C 18..19 up a cylinder.  C lies on
** B, B on A from 16 to 20 and on the body from 20 to 30. */
static void test_overlaps(void)
{
  lh_mark m[3];
  double around = 2 * pi * 40, edge = 0.5, h;
  const lh_overlap *o;
  lh_coverage c;
  easel e;

  for (int i = 0; i < 3; i++)
    m[i] = (lh_mark){.kind = LH_BANDING,
                     .slip = 10 * (i + 1),
                     .edge = edge,
                     .coat = 100 + 50 * i,
                     .from = i == 0   ? 10
                             : i == 1 ? 16
                                      : 18,
                     .to = i == 0   ? 20
                           : i == 1 ? 30
                                    : 19};
  easel_cylinder(&e, 40, 2000, 320);
  h = e.grid.pixel;
  easel_marks(&e, m, 3, NULL, 0);
  easel_lay(&e);
  lh_measure(&e.chart, &e.laying, &e.maps, &e.arena, NULL, &c);
  CHECK(c.slips == 3 && c.layers == 3 && c.overlaps == 4,
        "three slips, four ways to lie on something (%d)", c.overlaps);
  o = find(&c, 20, 10);
  /* bands in mm: the midpoint rule's h^2/(8 e) for each of two edges */
  CHECK(o != NULL, "B on A");
  CHECK_NEAR(o->area_mm2 / around, 4, 1.1 * h * h / (4 * edge), "B on A: area");
  CHECK_NEAR(o->upper_coat, 150, 1e-3, "B on A: B's coat there");
  CHECK_NEAR(o->lower_coat, 100, 1e-3, "B on A: A's coat there");
  o = find(&c, 20, LH_NO_SLIP);
  CHECK_NEAR(o ? o->area_mm2 / around : NAN, 10, 1.1 * h * h / (4 * edge),
             "B on the body");
  o = find(&c, 30, 20);
  CHECK_NEAR(o ? o->area_mm2 / around : NAN, 1, 1.1 * h * h / (4 * edge),
             "C on B");
  CHECK(find(&c, 30, 10) == NULL, "C nowhere on A, B is between");
  CHECK_NEAR(c.bare_mm2 / around, 320 * h - 20, 1.1 * h * h / (4 * edge),
             "bare");
  CHECK_NEAR(c.slip[1].mean_coat, 150, 1e-3, "mean coat weight");
  CHECK_NEAR(c.slip[2].most_coat, 200, 1e-3, "heaviest");
  easel_clear(&e);
}

/* For each upper slip, what it lies on adds to its area, whatever is painted;
** grams by slip are the layers' grams. */
static void test_sums(void)
{
  static lh_nib nibs[40][4];
  lh_coverage c;
  easel e;

  easel_begin(&e, bowl, 4, (lh_zone){LH_OUTSIDE, LH_CHART_BAND, 5, 70}, 0.4, 1);
  for (int i = 0; i < 40; i++) {
    lh_mark m = easel_sweep(i / 8 % 3, easel_random(), 60 * easel_random(), 1.5,
                            nibs[i], 4);
    for (int k = 0; k < 4; k++)
      nibs[i][k] = (lh_nib){12 * k * easel_random(), 12 * easel_random(),
                            9 * easel_random(), 50 + 200 * easel_random()};
    easel_marks(&e, &m, 1, NULL, 0);
  }
  easel_lay(&e);
  lh_measure(&e.chart, &e.laying, &e.maps, &e.arena, NULL, &c);
  CHECK(c.layers == 5 && c.slips == 3, "five layers of three slips");
  for (int s = 0; s < c.slips; s++) {
    double area = 0, on = 0, grams = 0;
    for (int k = 0; k < c.layers; k++)
      if (c.layer[k].slip == c.slip[s].slip) {
        area += c.layer[k].area_mm2;
        grams += c.layer[k].grams;
      }
    for (int i = 0; i < c.overlaps; i++)
      if (c.overlap[i].upper == c.slip[s].slip) on += c.overlap[i].area_mm2;
    CHECK_NEAR(on, area, 1e-9 * area, "slip %d lies on something all over", s);
    CHECK_NEAR(c.slip[s].grams, grams, 1e-12, "slip %d: grams of its layers",
               s);
    CHECK(c.slip[s].area_mm2 <= area * (1 + 1e-12),
          "slip %d: a place counts once", s);
  }
  easel_clear(&e);
}

/* ---- clearance ------------------------------------------------------------
 */

static void test_dots_apart(void)
{
  lh_nib nib = {0, 0, 6, 100};
  lh_mark m = easel_sweep(0, 0.1, 25, 0.5, &nib, 1);
  lh_repeat r = {LH_P1, 8, 0, NULL, 0};
  lh_placing p[8];
  lh_clearance c;
  size_t n;
  easel e;

  lh_repeat_fill(&r, p, 8, &n);
  easel_cylinder(&e, 40, 400, 80);
  easel_marks(&e, &m, 1, p, n);
  lh_clearance_motifs(&e.chart, e.shapes.at, e.shapes.n, NULL, &c);
  CHECK_NEAR(c.mm, 2 * pi * 40 / 8 - 6, 1e-10, "eight dots around a cylinder");
  CHECK_NEAR(c.least, c.mm, 1e-10, "where the scale is one the bounds meet");
  CHECK_NEAR(c.most, c.mm, 1e-10, "both");
  e.shapes.n = 0;
  easel_marks(&e, &m, 1, NULL, 0);
  lh_clearance_motifs(&e.chart, e.shapes.at, 1, NULL, &c);
  CHECK_NEAR(c.mm, 2 * pi * 40 - 6, 1e-10, "a single dot, once round");
  nib.width = 40;
  e.shapes.n = 0;
  easel_marks(&e, &m, 1, p, n);
  lh_clearance_motifs(&e.chart, e.shapes.at, e.shapes.n, NULL, &c);
  CHECK(c.mm < 0, "dots that overlap have none (%.2f)", c.mm);
  easel_clear(&e);
}

/* Two strokes: the nearest place found by a search over a fine lattice. */
static void test_strokes_apart(void)
{
  for (int round = 0; round < 20; round++) {
    lh_nib nibs[2][3];
    lh_mark m[2];
    lh_shapes t;
    lh_clearance c;
    double best = 1e9, step = 0;
    easel e;

    easel_cylinder(&e, 40, 400, 160);
    t = e.shapes;
    for (int i = 0; i < 2; i++) {
      for (int k = 0; k < 3; k++)
        nibs[i][k] = (lh_nib){10 * easel_random() + 12 * i, 60 * easel_random(),
                              4 * easel_random(), 100};
      m[i] = easel_sweep(0, 0.3, 20, 0.5, nibs[i], 3);
    }
    easel_marks(&e, &m[0], 1, NULL, 0);
    lh_place(&t, &e.chart, &m[1], 1, 1, NULL, 0, NULL, NULL);
    lh_clearance_between(&e.chart, e.shapes.at, 1, t.at, 1, NULL, &c);
    for (int a = 0; a < 800; a++)
      for (int b = 0; b < 800; b++) {
        const lh_nib *p = &nibs[0][a / 400], *q = &nibs[1][b / 400];
        double u = (a % 400) / 399.0, v = (b % 400) / 399.0;
        double dx = p->x + u * (p[1].x - p->x) - q->x - v * (q[1].x - q->x);
        double dy = p->y + u * (p[1].y - p->y) - q->y - v * (q[1].y - q->y);
        double rr = p->width + u * (p[1].width - p->width) + q->width +
                    v * (q[1].width - q->width);
        best = fmin(best, hypot(dx, dy) - rr / 2);
      }
    for (int i = 0; i < 2; i++)
      for (int k = 0; k < 2; k++)
        step += hypot(nibs[i][k + 1].x - nibs[i][k].x,
                      nibs[i][k + 1].y - nibs[i][k].y) /
                399 * 1.1;
    CHECK(c.mm <= best + 1e-9 && c.mm >= best - step,
          "strokes %d: %.4f mm, a lattice finds %.4f", round, c.mm, best);
    easel_clear(&e);
  }
}

/* On a cone the true distance of two dots is that of the development; it lies
** within the bounds, and the value is between them. */
static void test_bounds(void)
{
  static const lh_point cone[] = {{30, 0}, {70, 60}};
  double slant = hypot(40, 60), sin_a = 40 / slant;
  int inside = 0, ordered = 0;

  for (int i = 0; i < 200; i++) {
    lh_nib nib = {0, 0, 0, 100}; /* points: a dot's outline is no true circle */
    double t[2], up[2], l[2], want, angle;
    lh_mark m[2];
    lh_shapes other;
    lh_clearance c;
    easel e;

    easel_begin(&e, cone, 2, (lh_zone){LH_OUTSIDE, LH_CHART_BAND, 0, slant},
                2.0, 1);
    other = e.shapes;
    for (int k = 0; k < 2; k++) {
      t[k] = 0.2 * easel_random();
      up[k] = slant * easel_random();
      l[k] = 30 / sin_a + up[k];
      m[k] = easel_sweep(0, t[k], up[k], 0.5, &nib, 1);
    }
    easel_marks(&e, &m[0], 1, NULL, 0);
    lh_place(&other, &e.chart, &m[1], 1, 1, NULL, 0, NULL, NULL);
    lh_clearance_between(&e.chart, e.shapes.at, 1, other.at, 1, NULL, &c);
    angle = 2 * pi * (t[1] - t[0]) * sin_a;
    want = sqrt(l[0] * l[0] + l[1] * l[1] - 2 * l[0] * l[1] * cos(angle));
    inside += c.least <= want + 1e-9 && want <= c.most + 1e-9;
    ordered += c.least <= c.mm + 1e-9 && c.mm <= c.most + 1e-9;
    easel_clear(&e);
  }
  CHECK(inside == 200, "cone: the true distance lies within the bounds");
  CHECK(ordered == 200, "cone: so does the value given");
}

static void test_fills_apart(void)
{
  lh_nib square[] = {{-10, -10, 0, 0},
                     {10, -10, 0, 0},
                     {10, 10, 0, 0},
                     {-10, 10, 0, 0}},
         nib = {0, 0, 2, 100};
  lh_mark fill = {.kind = LH_FILL,
                  .slip = 0,
                  .anchor = {0.3, 25},
                  .local = {.scale = 1},
                  .nibs = square,
                  .n = 4};
  lh_mark dot = easel_sweep(0, 0.3, 25, 0.5, &nib, 1);
  lh_shapes t;
  lh_clearance c;
  easel e;

  easel_cylinder(&e, 40, 400, 80);
  t = e.shapes;
  easel_marks(&e, &fill, 1, NULL, 0);
  dot.local.x = 17;
  dot.local.y = 17;
  lh_place(&t, &e.chart, &dot, 1, 1, NULL, 0, NULL, NULL);
  lh_clearance_between(&e.chart, e.shapes.at, 1, t.at, 1, NULL, &c);
  CHECK_NEAR(c.mm, hypot(7, 7) - 1, 1e-9, "a dot beyond a fill's corner");
  dot.local.x = dot.local.y = 0;
  t.n = 0;
  lh_place(&t, &e.chart, &dot, 1, 1, NULL, 0, NULL, NULL);
  lh_clearance_between(&e.chart, e.shapes.at, 1, t.at, 1, NULL, &c);
  CHECK(c.mm <= 0, "a dot within a fill overlaps it");
  lh_clearance_between(&e.chart, t.at, 1, e.shapes.at, 1, NULL, &c);
  CHECK(c.mm <= 0, "either way round");
  lh_clearance_between(&e.chart, t.at, 0, e.shapes.at, 1, NULL, &c);
  CHECK(!c.found, "nothing to compare: not found");
  easel_clear(&e);
}

int main(void)
{
  test_zone_area();
  test_ring_area();
  test_overlaps();
  test_sums();
  test_dots_apart();
  test_strokes_apart();
  test_bounds();
  test_fills_apart();
  return CHECK_DONE();
}
