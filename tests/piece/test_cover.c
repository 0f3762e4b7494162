/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_cover.c -- how much slip lies where, and what is weighed for it.
**
** On a cylinder of radius R the chart is the wall unrolled, so areas are those
** of plane geometry: a band 2 pi R h, a disc pi r^2, two discs the lens.  A
** soft edge of width e adds pi e^2/20 to a disc (Steiner's formula, lay.h);
** where two edges cross, both are soft over e x e.  Pixels are sampled at
** their centre: the sum over a smooth edge is off by less than a hundredth of
** a pixel a row, which is bounded here by a hundredth of the perimeter times
** the pixel.
*/
#include "pieces.h"
#include "slip/density.h"

#define EDGE 0.4 /* the usual soft edge [mm] */

static double steiner(double e)
{
  return LH_PI * e * e / 20;
}

/* Of the sum over an outline so long. */
static double sampling(double perimeter, double pixel)
{
  return perimeter * pixel / 100;
}

static double lens(double r, double d)
{
  return 2 * r * r * acos(d / (2 * r)) - d / 2 * sqrt(4 * r * r - d * d);
}

static const lh_piece_overlap *overlap(const pot *p, int upper, int lower)
{
  const lh_piece_cover *c = &p->whole.cover;

  for (size_t i = 0; i < c->n_overlaps; i++)
    if (c->overlaps[i].upper == upper && c->overlaps[i].lower == lower)
      return &c->overlaps[i];
  return NULL;
}

static double overlap_area(const pot *p, int upper, int lower)
{
  const lh_piece_overlap *o = overlap(p, upper, lower);

  return o ? o->area_mm2 : 0;
}

/* ---- closed forms ------------------------------------------------------- */

static const char *const ground =
    "[{\"id\": \"g\", \"zone\": \"wall\", \"mark\": {\"id\": \"gf\", \"kind\":"
    " \"fill\", \"slip\": \"white\", \"whole_zone\": true, \"coats\": 2}}]";

/* All of the zone: no edge; coats are kept as floats (6e-8). */
static void whole_zone(void)
{
  const lh_slip_use *u;
  lh_slip_content content;
  pot p;

  pot_open(&p);
  pot_paint(&p, ground);
  CHECK(pot_cover(&p, 0) == LH_OK, "a zone all white: %s", p.fault.what);
  u = &p.whole.cover.slips[0];
  CHECK_NEAR(p.whole.cover.zone_mm2, ZONE_MM2, 1e-6 * ZONE_MM2, "zone area");
  CHECK_NEAR(u->area_mm2, ZONE_MM2, 1e-6 * ZONE_MM2, "covered: 2 pi R h");
  CHECK_NEAR(u->dry_g, 220e-6 * ZONE_MM2, 1e-6 * 220e-6 * ZONE_MM2,
             "grams: coat times area");
  CHECK_NEAR(u->mean_g_m2, 220, 1e-6 * 220, "mean coat");
  CHECK_NEAR(u->most_g_m2, 220, 1e-6 * 220, "heaviest");
  CHECK_NEAR(p.whole.cover.bare_mm2, 0, 1e-6 * ZONE_MM2, "nothing bare");
  CHECK_NEAR(overlap_area(&p, 0, -1), ZONE_MM2, 1e-6 * ZONE_MM2,
             "white on the body everywhere");
  /* Brongniart: W = (P - 1000) S/(S - 1), here 780 g dry of 1480. */
  CHECK(lh_slip_content_of(1480, 2.6, &content) == LH_OK, "content");
  CHECK_NEAR(u->wet_g, u->dry_g * 1480 / 780, 1e-9 * u->wet_g,
             "wet grams by the litre weight");
  CHECK_NEAR(u->window_mm2, ZONE_MM2, 1e-6 * ZONE_MM2, "all of it judged");
  CHECK(!(u->thin_mm2 > 0) && !(u->thick_mm2 > 0), "none thin, none thick");
  pot_set(&p, "/painting/0/mark/coats", "1");
  pot_cover(&p, 0);
  u = &p.whole.cover.slips[0];
  CHECK_NEAR(u->thin_mm2, ZONE_MM2, 1e-6 * ZONE_MM2, "one coat is thin");
  pot_set(&p, "/painting/0/mark/coats", "3,5");
  pot_cover(&p, 0);
  u = &p.whole.cover.slips[0];
  CHECK_NEAR(u->thick_mm2, ZONE_MM2, 1e-6 * ZONE_MM2, "3,5 coats are thick");
  pot_close(&p);
}

/* A second coat as a banding line of 20 mm: thick where 220 + 220 u > 330,
** that is u > 1/2, which the edge passes at the outline itself: 20 mm. */
static void thick_band(void)
{
  double row = LH_PIXEL_MM * AROUND;
  pot p;

  pot_open(&p);
  pot_paint(&p, ground);
  pot_set(
      &p, "/painting/-",
      "{\"id\": \"l\", \"zone\": \"wall\", \"up_mm\": 40, \"mark\": {\"id\":"
      " \"lm\", \"kind\": \"banding line\", \"slip\": \"white\","
      " \"width_mm\": 20, \"coats\": 2}}");
  CHECK(pot_cover(&p, 0) == LH_OK, "a line over its own colour");
  CHECK_NEAR(p.whole.cover.slips[0].thick_mm2, 20 * AROUND, row,
             "thick within the line, to half a row at each edge");
  CHECK(!(p.whole.cover.slips[0].thin_mm2 > 0), "thin nowhere");
  CHECK(p.whole.cover.zones[0].cover.layers == 1, "it is one layer");
  CHECK_NEAR(p.whole.cover.slips[0].dry_g, 220e-6 * (ZONE_MM2 + 20 * AROUND),
             220e-6 * row, "grams of both coats add up");
  CHECK_NEAR(p.whole.cover.slips[0].area_mm2, ZONE_MM2, 1e-6 * ZONE_MM2,
             "its area does not");
  pot_close(&p);
}

static void two_discs(double pixel)
{
  double r = 10, d = 12, disc = LH_PI * r * r, both = lens(r, d);
  double edge = fmax(EDGE, 2 * pixel); /* at least two pixels, lay.h */
  double one_tol = sampling(2 * LH_PI * r, pixel) + 1e-3;
  double lens_tol = 2 * edge * edge + steiner(edge) + one_tol;
  pot p;

  pot_open(&p);
  pot_paint(&p, ground);
  pot_set(
      &p, "/painting/-",
      "{\"id\": \"a\", \"zone\": \"wall\", \"up_mm\": 40, \"mark\": {\"id\":"
      " \"am\", \"kind\": \"dot\", \"slip\": \"yellow\", \"width_mm\": 20}}");
  pot_set(
      &p, "/painting/-",
      "{\"id\": \"b\", \"zone\": \"wall\", \"up_mm\": 40, \"mark\": {\"id\":"
      " \"bm\", \"kind\": \"dot\", \"slip\": \"violet\", \"width_mm\": 20,"
      " \"x_mm\": 12}}");
  CHECK(pot_cover(&p, pixel) == LH_OK, "two discs, pixel %g mm", pixel);
  pixel = p.whole.cover.zones[0].grid.pixel;
  CHECK_NEAR(p.whole.cover.slips[1].area_mm2, disc + steiner(edge), one_tol,
             "the first is pi r^2 and its edge");
  CHECK_NEAR(p.whole.cover.slips[2].area_mm2, disc + steiner(edge), one_tol,
             "so is the second");
  CHECK_NEAR(overlap_area(&p, 2, 1), both, lens_tol,
             "the second on the first: "
             "the lens");
  CHECK_NEAR(overlap_area(&p, 2, 0), disc - both, lens_tol + one_tol,
             "on the ground: the rest of it");
  CHECK_NEAR(overlap_area(&p, 1, 0), disc + steiner(edge), one_tol,
             "the first lies on the ground whole");
  CHECK_NEAR(overlap_area(&p, 1, 2), 0, 0, "and nowhere on the second");
  CHECK_NEAR(overlap_area(&p, 2, -1) + overlap_area(&p, 1, -1), 0, 0,
             "neither on the body");
  CHECK_NEAR(overlap(&p, 2, 1)->upper_g_m2, 70, 0.5, "its coat there");
  CHECK_NEAR(overlap(&p, 2, 1)->lower_g_m2, 80, 0.5, "and that below");
  pot_close(&p);
}

/* ---- order -------------------------------------------------------------- */

static void two_dots(pot *p, const char *first, const char *second)
{
  char item[300];
  const char *slip[2] = {first, second};

  pot_open(p);
  pot_paint(p, ground);
  for (int i = 0; i < 2; i++) {
    snprintf(item, sizeof item,
             "{\"id\": \"d-%s\", \"zone\": \"wall\", \"up_mm\": 40, \"mark\":"
             " {\"id\": \"m-%s\", \"kind\": \"dot\", \"slip\": \"%s\","
             " \"width_mm\": 20, \"x_mm\": %d}}",
             slip[i], slip[i], slip[i],
             strcmp(slip[i], "violet") == 0 ? 12 : 0);
    pot_set(p, "/painting/-", item);
  }
  pot_cover(p, 0.5);
  if (p->st == LH_OK)
    p->st = lh_piece_optics_make(&p->whole.piece, LH_D8_EX, LH_D65, &p->arena,
                                 &p->whole.optics, &p->fault);
}

static const float *map_of(const pot *p, int slip)
{
  const lh_zone_cover *z = &p->whole.cover.zones[0];

  for (int i = 0; i < z->laying.layers; i++)
    if (z->laying.layer_slip[i] == slip) return z->maps.coat[i];
  return NULL;
}

/* The same dots in both orders: every map alike, and the fired colour differs
** at exactly those pixels where both lie. */
static void order(void)
{
  size_t n, differ = 0, both = 0, apart = 0, outside = 0;
  const lh_zone_cover *z;
  float *x, *y;
  pot p, q;

  two_dots(&p, "yellow", "violet");
  two_dots(&q, "violet", "yellow");
  CHECK(p.st == LH_OK && q.st == LH_OK, "yellow and violet in both orders");
  z = &p.whole.cover.zones[0];
  n = (size_t)z->grid.nx * (size_t)z->grid.ny;
  CHECK(memcmp(map_of(&p, 1), map_of(&q, 1), n * sizeof(float)) == 0 &&
            memcmp(map_of(&p, 2), map_of(&q, 2), n * sizeof(float)) == 0,
        "each slip's coats are the same bits");
  x = lh_arena_take(&p.arena, 3 * n, sizeof *x);
  y = lh_arena_take(&q.arena, 3 * n, sizeof *y);
  CHECK(lh_piece_optics_zone(&p.whole.optics, z, &p.arena, NULL, x, &outside) ==
                LH_OK &&
            lh_piece_optics_zone(&q.whole.optics, &q.whole.cover.zones[0],
                                 &q.arena, NULL, y, &outside) == LH_OK,
        "fired");
  for (size_t k = 0; k < n; k++) {
    bool two = map_of(&p, 1)[k] > 0 && map_of(&p, 2)[k] > 0;
    bool other = memcmp(x + 3 * k, y + 3 * k, 3 * sizeof *x) != 0;
    both += two;
    differ += other;
    apart += two != other;
  }
  CHECK(both > 100, "both lie on %zu pixels", both);
  CHECK(apart == 0, "colour differs on %zu pixels: those and no other", differ);
  CHECK_NEAR(overlap_area(&p, 2, 1), overlap_area(&q, 1, 2), 1e-9,
             "the overlaps are as large, the other way round");
  pot_close(&p);
  pot_close(&q);
}

static void three_layers(void)
{
  const lh_coverage *c;
  pot p;

  two_dots(&p, "yellow", "violet");
  pot_set(&p, "/painting/-",
          "{\"id\": \"again\", \"zone\": \"wall\", \"up_mm\": 40, \"mark\":"
          " {\"id\": \"am\", \"kind\": \"dot\", \"slip\": \"yellow\","
          " \"width_mm\": 10, \"x_mm\": 6}}");
  CHECK(pot_cover(&p, 0.5) == LH_OK, "yellow, violet, yellow over white");
  c = &p.whole.cover.zones[0].cover;
  CHECK(c->layers == 4, "are four layers");
  CHECK(c->slips == 3, "of three slips");
  CHECK(c->layer[1].slip == 1 && c->layer[2].slip == 2 && c->layer[3].slip == 1,
        "from the lowest up");
  CHECK(overlap_area(&p, 1, 2) > 50 && overlap_area(&p, 2, 1) > 80,
        "each lies on the other");
  CHECK_NEAR(c->layer[1].grams + c->layer[3].grams,
             p.whole.cover.slips[1].dry_g, 1e-12,
             "grams of a slip's layers add");
  pot_close(&p);
}

/* ---- repeats ------------------------------------------------------------ */

static void berries(pot *p, const char *turns, const char *exceptions)
{
  pot_open(p);
  pot_paint(p, ground);
  pot_set(p, "/motifs/0/marks/-",
          "{\"id\": \"leaf\", \"kind\": \"stroke\", \"slip\": \"yellow\","
          " \"brush\": \"round\", \"path\": [{\"x_mm\": -4, \"y_mm\": -9},"
          " {\"x_mm\": 7, \"y_mm\": 3, \"width_mm\": 1}]}");
  pot_set(p, "/painting/-",
          "{\"id\": \"r\", \"zone\": \"wall\", \"motif\": \"berry\","
          " \"repeat\": {\"count\": 6}}");
  pot_set(p, "/painting/1/up_mm", "41.3");
  pot_set(p, "/painting/1/turns", turns);
  pot_set(p, "/painting/1/repeat/exceptions", exceptions);
  pot_cover(p, 0.5);
}

/* Instances stand whole pixels apart (the grid is a multiple of the count):
** the same bits in each, so the sums are n times to rounding. */
static void n_times_one(void)
{
  pot one, six, turned;

  berries(&one, "0.013",
          "[{\"instance\": 1, \"left_out\": true}, {\"instance\": 2,"
          " \"left_out\": true}, {\"instance\": 3, \"left_out\": true},"
          " {\"instance\": 4, \"left_out\": true}, {\"instance\": 5,"
          " \"left_out\": true}]");
  berries(&six, "0.013", "[]");
  berries(&turned, "0.17966666666666667", "[]"); /* and a sixth */
  CHECK(one.st == LH_OK && six.st == LH_OK && turned.st == LH_OK,
        "a motif once, six times, and turned by a sixth");
  for (int i = 1; i < 3; i++) {
    const lh_slip_use *a = &one.whole.cover.slips[i];
    const lh_slip_use *b = &six.whole.cover.slips[i];
    const lh_slip_use *c = &turned.whole.cover.slips[i];
    CHECK_NEAR(b->area_mm2, 6 * a->area_mm2, 1e-9 * b->area_mm2,
               "slip %d: area of six is six times one's", i);
    CHECK_NEAR(b->dry_g, 6 * a->dry_g, 1e-9 * b->dry_g, "slip %d: grams", i);
    CHECK_NEAR(c->area_mm2, b->area_mm2, 1e-9 * b->area_mm2,
               "slip %d: turned by a sixth, the same area", i);
    CHECK_NEAR(c->dry_g, b->dry_g, 1e-9 * b->dry_g, "slip %d: and grams", i);
    CHECK_NEAR(overlap_area(&turned, 1, 2), overlap_area(&six, 1, 2), 1e-9,
               "slip %d: and overlaps", i);
  }
  CHECK(memcmp(map_of(&six, 1), map_of(&turned, 1),
               (size_t)six.whole.cover.zones[0].grid.nx *
                   (size_t)six.whole.cover.zones[0].grid.ny * sizeof(float)) ==
            0,
        "the map turned by a sixth has the same bits");
  pot_close(&one);
  pot_close(&six);
  pot_close(&turned);
}

/* Dots of 10 mm, n around a cylinder: the way round over n, less 10. */
static void clearances(void)
{
  const lh_clearance *c;
  pot p;

  pot_open(&p);
  pot_set(&p, "/painting/2/repeat/exceptions", "[]");
  CHECK(pot_cover(&p, 1) == LH_OK, "8 dots around");
  CHECK(p.whole.cover.n_clearances == 1, "one clearance");
  c = &p.whole.cover.clearances[0].clearance;
  CHECK_NEAR(c->mm, AROUND / 8 - 10, 1e-6, "an eighth of the way, less a dot");
  CHECK(c->least <= c->mm + 1e-9 && c->mm <= c->most + 1e-9,
        "within its range");
  pot_set(&p, "/painting/2/repeat/exceptions",
          "[{\"instance\": 3, \"move_up_mm\": 15}]");
  pot_cover(&p, 1);
  c = &p.whole.cover.clearances[0].clearance;
  CHECK_NEAR(c->mm, AROUND / 8 - 10, 1e-6, "one moved up: the others decide");
  pot_set(&p, "/painting/2/repeat/exceptions",
          "[{\"instance\": 3, \"move_turns\": -0.05}]");
  pot_cover(&p, 1);
  c = &p.whole.cover.clearances[0].clearance;
  CHECK_NEAR(c->mm, AROUND * (0.125 - 0.05) - 10, 1e-6, "one moved nearer");
  pot_close(&p);
}

/* ---- jars --------------------------------------------------------------- */

/* The batch on its scale: mass balance and running total. */
static void weighed(const lh_jar *j, double litre)
{
  double sum = 0, spare = LH_BATCH_SPARE * j->need_g;

  CHECK_NEAR(j->dry_g + j->water_g, j->volume_ml * litre / 1000,
             1e-9 * j->dry_g, "dry and water weigh what the volume weighs");
  CHECK_NEAR(j->hundred_ml_g, litre / 10, 1e-12, "100 ml of it");
  if (j->n == 0) return;
  for (size_t i = 0; i < j->n; i++) {
    double steps = j->lines[i].grams / j->scale_step_g;
    sum += j->lines[i].grams;
    CHECK_NEAR(steps, round(steps), 1e-6, "line %zu in whole steps", i);
    CHECK_NEAR(j->lines[i].running_g, sum, 1e-9, "line %zu: running total", i);
  }
  CHECK_NEAR(j->dry_g, sum, 1e-9, "the lines add up to the batch");
  CHECK(j->dry_g >= j->need_g - 1e-9 &&
            j->dry_g <= j->need_g + fmax(spare, (double)j->n * j->scale_step_g),
        "which is what is needed, and little more");
}

/* P + 10 g/l too heavy, thinned by the stated water, is P: all by volumes. */
static void thinned(const lh_jar *j, double litre)
{
  double grams = j->volume_ml * (litre + 10) / 1000;

  CHECK_NEAR((grams + j->per_10_g_l_ml) / (j->volume_ml + j->per_10_g_l_ml),
             litre / 1000, 1e-12, "water for 10 g/l too heavy");
}

static void jars(void)
{
  double need = 220e-6 * ZONE_MM2 * 3 * 1.15 + 10, doubt;
  lh_jar j;
  pot p;

  pot_open(&p);
  pot_paint(&p, ground);
  CHECK(pot_cover(&p, 0) == LH_OK, "a jar of white for three pots");
  CHECK(lh_jar_make(&p.whole.cover, 0, &p.arena, &j, &p.fault) == LH_OK,
        "made");
  CHECK_NEAR(j.need_g, need, 1e-6 * need,
             "area x coat x pots x (1 + waste) + what stays in the jar");
  /* One standard deviation of a coat is 20 %; what is lost goes with it, what
  ** stays in the jar does not. */
  doubt = 1.645 * 0.2 * (need - 10);
  CHECK_NEAR(j.need_high_g - j.need_g, doubt, 1e-6 * doubt,
             "nine in ten, high");
  CHECK_NEAR(j.need_g - j.need_low_g, doubt, 1e-6 * doubt, "and low");
  CHECK(j.n == 3, "three lines");
  weighed(&j, 1480);
  thinned(&j, 1480);
  CHECK_NEAR(j.lines[0].grams / j.lines[1].grams, 1.5, 1.5 * 2 * 0.05 / 10,
             "60 to 40, to half a step of the smaller");

  CHECK(lh_jar_make(&p.whole.cover, 1, &p.arena, &j, &p.fault) == LH_OK &&
            !(j.dry_g > 0) && j.n == 0,
        "no jar for a slip that is not used");

  pot_set(&p, "/mixing",
          "{\"waste_percent\": 0, \"residue_g\": 0,"
          " \"scale_step_g\": 5}");
  pot_set(&p, "/pots", "40");
  pot_cover(&p, 0);
  lh_jar_make(&p.whole.cover, 0, &p.arena, &j, &p.fault);
  need = 220e-6 * ZONE_MM2 * 40;
  CHECK_NEAR(j.need_g, need, 1e-6 * need, "40 pots, nothing lost");
  weighed(&j, 1480);

  pot_set(&p, "/slips/0/recipe", "null");
  pot_cover(&p, 0);
  lh_jar_make(&p.whole.cover, 0, &p.arena, &j, &p.fault);
  CHECK(j.n == 0, "without a recipe there are no lines");
  CHECK_NEAR(j.dry_g, need, 1e-6 * need, "but a weight");
  weighed(&j, 1480);
  thinned(&j, 1480);

  pot_set(&p, "/slips/0/recipe",
          "{\"lines\": [{\"material\": \"quartz\", \"parts\": 0}]}");
  pot_cover(&p, 0);
  CHECK(lh_jar_make(&p.whole.cover, 0, &p.arena, &j, &p.fault) == LH_RANGE,
        "parts that add to nothing are refused");
  CHECK_TEXT(p.fault.where, "/slips/0/recipe", "  at the recipe");
  pot_close(&p);
}

/* ---- refusals ----------------------------------------------------------- */

static bool stop(void *who, double done)
{
  int *left = who;

  (void)done;
  return --*left > 0;
}

static void not_laid(void)
{
  lh_piece_cover c;
  lh_fault fault = {0};
  pot p;
  bool always = true;

  pot_open(&p);
  pot_read(&p);
  CHECK(lh_piece_cover_make(&p.whole.piece, 0.001, &p.arena, NULL, &c,
                            &fault) == LH_TOOLARGE,
        "a map too fine is refused");
  CHECK_TEXT(fault.where, "/ask/pixel_mm", "  at the pixel");
  CHECK(strstr(fault.what, "\"wall\""), "  naming the zone");
  for (int n = 1; n < 40; n += 3) {
    int left = n;
    lh_watch watch = {stop, &left};
    lh_status st = lh_piece_cover_make(&p.whole.piece, 1, &p.arena, &watch, &c,
                                       &(lh_fault){0});
    always = always && (st == LH_CANCELLED || left > 0);
  }
  CHECK(always, "laying stops when it is told to, wherever it is");
  pot_close(&p);
}

int main(int argc, char **argv)
{
  if (argc != 2) return 2;
  pot_path = argv[1];
  whole_zone();
  thick_band();
  two_discs(0.2);
  two_discs(0.1);
  order();
  three_layers();
  n_times_one();
  clearances();
  jars();
  not_laid();
  return CHECK_DONE();
}
