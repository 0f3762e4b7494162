/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A slip's bleed in clearances, verdict and pictures; pieces pale and strong.
**
** The wall is a cylinder, 314.16 mm round: clearances have closed forms. */
#include "bleeding.h"

#include "difference.h"
#include "picture.h"
#include "pieces.h"

enum { WHITE, YELLOW, VIOLET };

/* 95 % point of the normal distribution (NIST/SEMATECH e-Handbook,
** 1.3.6.7.1: 1.645). */
static const double ninety = 1.6448536;

static void bleed(pot *p, const char *slip, const char *mm, const char *error)
{
  char at[80];

  snprintf(at, sizeof at, "/slips/%s/bleed_mm", slip);
  pot_set(p, at, mm);
  if (!error) return;
  snprintf(at, sizeof at, "/slips/%s/bleed_error_mm", slip);
  pot_set(p, at, error);
}

/* ---- clearances -----------------------------------------------------------
 */

/* 29 dots of violet, 10 mm wide: 314.16/29 - 10 = 0.8333 mm.  (One stands
** 1 mm higher; its neighbours are a little farther off.) */
static void one_slip(void)
{
  const double gap = AROUND / 29 - 10;
  const lh_entry_clearance *x;
  pot p;

  pot_open(&p);
  pot_set(&p, "/painting/2/repeat/count", "29");
  CHECK(pot_cover(&p, 1) == LH_OK, "29 dots");
  x = p.whole.cover.clearances;
  CHECK(!x->bleeds && !x->all_known, "no bleed is known");
  CHECK_NEAR(x->fired.mm, gap, 1e-6, "then what fires is what is painted");
  bleed(&p, "2", "0.25", "0.04");
  CHECK(pot_cover(&p, 1) == LH_OK, "29 dots of a slip that bleeds");
  x = p.whole.cover.clearances;
  CHECK(x->bleeds && x->all_known, "the bleed is known");
  CHECK_NEAR(x->clearance.mm, gap, 1e-6, "as painted");
  CHECK_NEAR(x->fired.mm, gap - 0.5, 1e-6, "as fired: less both bleeds");
  /* Scale 1: the bounds of the clearance itself are it.  One slip's error is
  ** the same on both sides. */
  CHECK_NEAR(x->low, gap - 0.5 - ninety * 0.08, 1e-6, "its range: the least");
  CHECK_NEAR(x->high, gap - 0.5 + ninety * 0.08, 1e-6, "its range: the most");
  CHECK_NEAR(x->bleed_mm[0], 0.25, 1e-12, "each side's bleed is told");
  bleed(&p, "2", "-0.2", NULL);
  CHECK(pot_cover(&p, 1) == LH_OK, "29 dots of a slip that draws back");
  CHECK_NEAR(p.whole.cover.clearances->fired.mm, gap + 0.4, 1e-6,
             "drawn back: more room");
  pot_close(&p);
}

/* A violet dot of 10 mm, a yellow one of 9 mm 20 mm above it. */
static const char two_dots[] =
    "[{\"id\": \"a\", \"kind\": \"dot\", \"slip\": \"violet\", \"width_mm\":"
    " 10}, {\"id\": \"b\", \"kind\": \"dot\", \"slip\": \"yellow\","
    " \"width_mm\": 9, \"x_mm\": 0, \"y_mm\": 20}]";

static void two_slips(void)
{
  const double violet = AROUND / 8 - 10, yellow = AROUND / 8 - 9;
  const lh_entry_clearance *x;
  pot p;

  pot_open(&p);
  pot_set(&p, "/motifs/0/marks", two_dots);
  pot_set(&p, "/painting/2/repeat", "{\"count\": 8}");
  bleed(&p, "1", "0.9", "0.1");
  CHECK(pot_cover(&p, 1) == LH_OK, "two slips, one bleeds");
  x = p.whole.cover.clearances;
  CHECK_NEAR(x->clearance.mm, violet, 1e-6, "as painted the violet is nearest");
  CHECK_NEAR(x->fired.mm, yellow - 1.8, 1e-6, "as fired the yellow is");
  CHECK(x->bleeds && !x->all_known, "not every bleed is known");
  bleed(&p, "2", "0.5", "0.2");
  pot_set(&p, "/motifs/0/marks",
          "[{\"id\": \"a\", \"kind\": \"dot\", \"slip\": \"violet\","
          " \"width_mm\": 10}, {\"id\": \"b\", \"kind\": \"dot\", \"slip\":"
          " \"yellow\", \"width_mm\": 4, \"x_mm\": 9}]");
  CHECK(pot_cover(&p, 1) == LH_OK, "side by side");
  x = p.whole.cover.clearances;
  CHECK_NEAR(x->fired.mm, AROUND / 8 - 9 - 5 - 2 - 1.4, 1e-6,
             "between two slips: less the one and the other");
  CHECK_NEAR(x->high - x->fired.mm, ninety * hypot(0.1, 0.2), 1e-6,
             "their errors are independent");
  pot_close(&p);
}

/* ---- verdict --------------------------------------------------------------
 */

static void judged(const char *mm, const char *error, const char *count,
                   lh_says says, const char *why)
{
  const lh_check *c;
  pot p;

  pot_open(&p);
  pot_set(&p, "/painting/2/repeat/count", count);
  bleed(&p, "2", mm, error);
  pot_judge(&p, 1);
  c = pot_check(&p, "Berry, spacing");
  CHECK(p.st == LH_OK && c && c->says == says && strstr(c->why, why),
        "%s mm of bleed, %s repeats: %s", mm, count, c ? c->why : "nothing");
  pot_close(&p);
}

static void verdict(void)
{
  pot p;

  judged("0.5", "0.02", "29", LH_SAYS_STOP, "neighbours will touch when fired");
  judged("0.5", "0.02", "29", LH_SAYS_STOP,
         "0.8 mm painted, 0.50 mm each side bleeds (-0.2 left");
  judged("0.35", "0.1", "29", LH_SAYS_CAUTION, "neighbours may touch");
  judged("0.35", "0.02", "29", LH_SAYS_OK,
         "0.8 mm painted, 0.1 mm (0.1 to 0.2) left");
  judged("0", "0.1", "29", LH_SAYS_CAUTION, "slips bleed about that much");
  judged("0.3", "0.1", "8", LH_SAYS_OK, "29.3 mm painted");
  pot_open(&p);
  pot_set(&p, "/painting/2/repeat", "{\"count\": 29, \"may_overlap\": true}");
  bleed(&p, "2", "0.5", NULL);
  pot_judge(&p, 1);
  CHECK(strstr(pot_check(&p, "Berry, spacing")->why,
               "will touch when fired, as you allow") != NULL,
        "what may overlap may touch");
  pot_close(&p);
}

/* ---- maps -----------------------------------------------------------------
 */

static double total(const lh_grid *g, const float *map)
{
  double sum = 0;

  for (size_t i = 0; i < (size_t)g->nx * (size_t)g->ny; i++)
    sum += (double)map[i];
  return sum;
}

static void maps(void)
{
  lh_zone_cover fired;
  const lh_zone_cover *z;
  double grams, none;
  pot p;

  pot_open(&p);
  CHECK(pot_cover(&p, 0.4) == LH_OK, "a piece is laid");
  grams = p.whole.cover.slips[VIOLET].dry_g;
  z = &p.whole.cover.zones[0];
  CHECK(lh_zone_bleed(&p.whole.piece, z, &p.arena, NULL, &fired) == LH_OK &&
            memcmp(&fired.maps, &z->maps, sizeof fired.maps) == 0,
        "no bleed: the very maps");
  bleed(&p, "2", "0.6", NULL);
  CHECK(pot_cover(&p, 0.4) == LH_OK, "its violet bleeds");
  z = &p.whole.cover.zones[0];
  none = p.whole.cover.slips[VIOLET].dry_g;
  CHECK(memcmp(&none, &grams, sizeof none) == 0,
        "the grams are those that are painted");
  CHECK(lh_zone_bleed(&p.whole.piece, z, &p.arena, NULL, &fired) == LH_OK,
        "spread");
  for (int k = 0; k < z->laying.layers; k++) {
    bool violet = z->laying.layer_slip[k] == VIOLET;
    CHECK((fired.maps.coat[k] != z->maps.coat[k]) == violet, "layer %d: %s", k,
          violet ? "another map" : "its own");
    CHECK(fired.maps.cover[k] == z->maps.cover[k], "layer %d: cover stays", k);
    /* A cylinder: each pixel as large.  7 steps of single precision. */
    CHECK_NEAR(total(&z->grid, fired.maps.coat[k]) /
                   total(&z->grid, z->maps.coat[k]),
               1, 1e-5, "layer %d: as much slip as was laid", k);
  }
  bleed(&p, "2", "-0.6", NULL);
  CHECK(pot_cover(&p, 0.4) == LH_OK &&
            lh_zone_bleed(&p.whole.piece, &p.whole.cover.zones[0], &p.arena,
                          NULL, &fired) == LH_OK &&
            fired.maps.coat[2] == p.whole.cover.zones[0].maps.coat[2],
        "drawn back: drawn as painted");
  pot_close(&p);
}

/* ---- pictures -------------------------------------------------------------
 */

/* Linear light of a zone of a piece, all pixels, by a strength. */
static double mean_light(pot *p, lh_strength to, float **rgb, size_t *n)
{
  lh_piece_optics *o = lh_arena_take(&p->arena, 1, sizeof *o);
  lh_piece_skin s;
  double sum = 0;

  if (!o ||
      lh_piece_optics_make_at(&p->whole.piece, LH_D8_EX, LH_D65, to, &p->arena,
                              o, &p->fault) != LH_OK ||
      lh_piece_skin_make(&p->whole.cover, o, &p->arena, NULL, &s) != LH_OK)
    return -1;
  *rgb = s.rgb[0];
  *n = 3 * (size_t)p->whole.cover.zones[0].grid.nx *
       (size_t)p->whole.cover.zones[0].grid.ny;
  for (size_t i = 0; i < *n; i++) sum += (double)(*rgb)[i];
  return sum / (double)*n;
}

static void pictures(void)
{
  float *usual, *x;
  double middle, pale, strong;
  size_t n, m, other = 0;
  pot p;

  pot_open(&p);
  CHECK(pot_cover(&p, 0.4) == LH_OK, "a piece for pictures");
  middle = mean_light(&p, LH_STRENGTH_EXPECTED, &usual, &n);
  pale = mean_light(&p, LH_STRENGTH_PALE, &x, &m);
  strong = mean_light(&p, LH_STRENGTH_STRONG, &x, &m);
  CHECK(middle > 0 && pale > middle && middle > strong && strong > 0,
        "pale is lighter, strong is darker (%.3f %.3f %.3f)", pale, middle,
        strong);
  pot_set(&p, "/slips/0/uncertainty_percent", "0");
  pot_set(&p, "/slips/1/uncertainty_percent", "0");
  pot_set(&p, "/slips/2/uncertainty_percent", "0");
  CHECK(pot_cover(&p, 0.4) == LH_OK, "without a doubt");
  middle = mean_light(&p, LH_STRENGTH_EXPECTED, &usual, &n);
  mean_light(&p, LH_STRENGTH_PALE, &x, &m);
  CHECK(middle > 0 && m == n && memcmp(usual, x, n * sizeof *x) == 0,
        "pale without a doubt: the same bytes as expected");
  usual = lh_heap_copy(&p.arena, usual, n * sizeof *usual);
  float *keep = malloc(n * sizeof *keep);
  memcpy(keep, usual, n * sizeof *keep);
  bleed(&p, "2", "0.6", NULL);
  CHECK(pot_cover(&p, 0.4) == LH_OK, "bleeding");
  mean_light(&p, LH_STRENGTH_EXPECTED, &x, &m);
  for (size_t i = 0; i < n; i++) other += fabsf(x[i] - keep[i]) > 1e-3f;
  CHECK(other > 1000 && other < n / 4,
        "a bleed changes the picture where it runs (%zu of %zu)", other, n);
  free(keep);
  pot_close(&p);
}

/* The shift of a slip is that of strength.h, as it is usually laid. */
static void shifted(void)
{
  lh_piece_optics o;
  lh_slip_optics upper, lower, want;
  lh_stack_layer layers[2] = {{&upper, 140}, {&lower, 220}};
  const lh_slip_doc *s;
  lh_stack stack;
  pot p;

  pot_open(&p);
  pot_cover(&p, 1);
  s = p.whole.piece.doc->slips.items;
  lh_piece_optics_make_at(&p.whole.piece, LH_D8_EX, LH_D65, LH_STRENGTH_PALE,
                          &p.arena, &o, &p.fault);
  memcpy(upper.absorption, s[VIOLET].absorption_m2_g, sizeof upper.absorption);
  memcpy(upper.scattering, s[VIOLET].scattering_m2_g, sizeof upper.scattering);
  memcpy(lower.absorption, s[WHITE].absorption_m2_g, sizeof lower.absorption);
  memcpy(lower.scattering, s[WHITE].scattering_m2_g, sizeof lower.scattering);
  /* Two coats of 70, its window has no best; the ground's best is 220. */
  stack = (lh_stack){layers, 2, p.whole.piece.doc->body->reflectance, &o.glaze,
                     LH_D8_EX};
  CHECK(lh_strength_shift(&stack, LH_D65, 0.15, LH_STRENGTH_PALE, &want) ==
                LH_OK &&
            memcmp(&want, &o.optics[VIOLET], sizeof want) == 0,
        "violet: two coats over the ground's best");
  stack.layers = layers + 1;
  stack.count = 1;
  CHECK(lh_strength_shift(&stack, LH_D65, 0.15, LH_STRENGTH_PALE, &want) ==
                LH_OK &&
            memcmp(&want, &o.optics[WHITE], sizeof want) == 0,
        "the ground: its best over the body");
  pot_close(&p);
}

static void refused(void)
{
  pot p;

  pot_open(&p);
  bleed(&p, "2", "3.5", NULL);
  CHECK(pot_read(&p) != LH_OK && strstr(p.fault.where, "bleed_mm"),
        "3.5 mm are refused");
  bleed(&p, "2", "0.3", "-1");
  CHECK(pot_read(&p) != LH_OK && strstr(p.fault.where, "bleed_error_mm"),
        "an error below 0 is refused");
  pot_close(&p);
}

int main(int argc, char **argv)
{
  if (argc < 2) return 2;
  pot_path = argv[1];
  one_slip();
  two_slips();
  verdict();
  maps();
  pictures();
  shifted();
  refused();
  return CHECK_DONE();
}
