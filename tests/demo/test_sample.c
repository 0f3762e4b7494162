/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_sample.c -- what the sample piece promises: it can be painted, it has
** room, its slips lie inside their windows, and its colours do what slips do.
**
**   test_sample tide-line.json example-piece.json
**
** Facts of the trade are common practice, no source.  Limits on the drawing
** are judgements, said beside each.
*/
#include <stdlib.h>

#include "check.h"
#include "difference.h"
#include "heap.h"
#include "optics.h"

enum { BYTES = 4 * 1024 * 1024 };

/* 0.4 mm: coarse enough to be quick under the sanitizers; a stroke's middle is
** still several pixels wide. */
#define PIXEL 0.4

static json_t *load(const char *name)
{
  static char bytes[BYTES];
  lh_fault fault = {0};
  json_t *json = NULL;
  FILE *f = fopen(name, "rb");
  size_t n = f ? fread(bytes, 1, sizeof bytes, f) : 0;

  if (f) fclose(f);
  CHECK(lh_json_parse(bytes, n, name, &json, &fault) == LH_OK, "%s is JSON",
        strrchr(name, '/') ? strrchr(name, '/') + 1 : name);
  return json;
}

/* ---- room --------------------------------------------------------------- */

static const lh_piece_entry *entry_of(const lh_piece *p, const char *id,
                                      const lh_piece_zone **zone)
{
  for (size_t k = 0; k < p->n_zones; k++) {
    for (size_t i = 0; i < p->zones[k].n_groups; i++) {
      if (strcmp(p->zones[k].entries[i].doc->id, id) != 0) continue;
      *zone = &p->zones[k];
      return &p->zones[k].entries[i];
    }
  }
  return NULL;
}

static void room_between(const lh_piece *p, const char *one, const char *two,
                         double mm)
{
  const lh_piece_zone *za = NULL, *zb = NULL;
  const lh_piece_entry *a = entry_of(p, one, &za), *b = entry_of(p, two, &zb);
  lh_clearance c = {0};
  lh_status st = LH_INPUT;

  if (a && b && za == zb)
    st = lh_clearance_between(&za->chart, za->shapes.at + a->first_shape,
                              a->n_shapes, za->shapes.at + b->first_shape,
                              b->n_shapes, NULL, &c);
  CHECK(st == LH_OK && c.found && c.least >= mm,
        "%s and %s keep %.1f mm apart: %.2f", one, two, mm, c.least);
}

static void room(const lh_piece_cover *c)
{
  const lh_piece *p = c->piece;

  for (size_t i = 0; i < c->n_clearances; i++) {
    const lh_entry_clearance *x = &c->clearances[i];
    CHECK(x->clearance.least >= 1.5,
          "%s: 1.5 mm or more between neighbours: %.2f", x->entry->doc->id,
          x->clearance.least);
  }
  room_between(p, "fish", "eelgrass", 1.0);
  room_between(p, "fish", "seeds", 1.0);
  room_between(p, "fry", "eelgrass", 1.0);
  room_between(p, "fry", "fish", 1.0);
  room_between(p, "well-fry", "well-whorl", 1.0);
  room_between(p, "well-seeds", "well-whorl", 1.0);
  for (size_t k = 0; k < p->n_zones; k++) {
    double cut = 0;
    for (size_t i = 0; i < p->zones[k].n_groups; i++) {
      const lh_extent *e = &p->zones[k].entries[i].extent;
      cut = fmax(cut, fmax(e->below, e->above));
    }
    CHECK(cut == 0, "%s: no motif is cut", p->zones[k].doc->id);
  }
}

/* ---- coats -------------------------------------------------------------- */

static void coats(const lh_piece_cover *c)
{
  const lh_slip_doc *s = c->piece->doc->slips.items;

  for (size_t i = 0; i < c->piece->doc->slips.count; i++) {
    const lh_slip_use *u = &c->slips[i];
    double off = (u->thin_mm2 + u->thick_mm2) / u->window_mm2;
    CHECK(u->area_mm2 > 100, "%s is used: %.1f cm2", s[i].id,
          u->area_mm2 / 100);
    CHECK(off <= 0.03, "%s: 97 %% or more lies inside its window: %.1f %%",
          s[i].id, 100 * (1 - off));
  }
  for (size_t k = 0; k < c->n_zones; k++)
    CHECK(c->zones[k].laying.layers <= LH_LAYERS_MOST, "%s: %d layers",
          c->zones[k].zone->doc->id, c->zones[k].laying.layers);
}

/* ---- colours ------------------------------------------------------------ */

static lh_lab over_white(const lh_piece_optics *o, const char *id, double part)
{
  const lh_slip_doc *s = o->piece->doc->slips.items;
  size_t k = lh_piece_slip(o->piece->doc, id);
  lh_coat_of stack[2] = {{(int)k, part * s[k].window->best_g_m2},
                         {0, s[0].window->best_g_m2}};

  return lh_piece_optics_lab(o, stack, 2);
}

static void colours(const lh_piece_optics *o)
{
  const lh_slip_doc *s = o->piece->doc->slips.items;
  lh_coat_of best = {0, s[0].window->best_g_m2};
  lh_coat_of thick = {0, 5 * best.g_m2}, thin = {0, best.g_m2 / 4};
  lh_lab body = lh_piece_optics_lab(o, NULL, 0);
  lh_lab white = lh_piece_optics_lab(o, &best, 1);
  lh_lab lots = lh_piece_optics_lab(o, &thick, 1);
  lh_lab little = lh_piece_optics_lab(o, &thin, 1);
  lh_lab c[3], blue = over_white(o, "blue", 1), amber, black;

  /* White: an off-white, warm, that hides the red body only when thick. */
  CHECK(body.L < 45 && body.a > 15 && body.b > 15,
        "the body is red-brown: L %.0f a %.0f b %.0f", body.L, body.a, body.b);
  CHECK(white.L > 85 && fabs(white.a) < 3 && white.b > 3 && white.b < 15,
        "the ground is a warm white: L %.0f a %.0f b %.0f", white.L, white.a,
        white.b);
  CHECK(lh_delta_e00(white, lots) < 3,
        "at its best weight the ground hides the body (dE00 %.1f)",
        lh_delta_e00(white, lots));
  CHECK(lh_delta_e00(little, lots) > 10, "a quarter of it does not (dE00 %.1f)",
        lh_delta_e00(little, lots));

  /* Copper: pales as it thins and nears black as it thickens. */
  c[0] = over_white(o, "green", 0.25);
  c[1] = over_white(o, "green", 1);
  c[2] = over_white(o, "green", 4);
  CHECK(c[0].L > c[1].L + 20, "copper pales when thin: L %.0f, not %.0f",
        c[0].L, c[1].L);
  CHECK(c[2].L < 30, "copper nears black when thick: L %.0f", c[2].L);
  CHECK(c[1].a < -20, "copper is green: a %.0f", c[1].a);

  /* Cobalt forgives: from 1 to 2.5 coats it moves less than copper does. */
  CHECK(blue.b < -35 && blue.L < 45, "cobalt is a deep blue: L %.0f b %.0f",
        blue.L, blue.b);
  CHECK(lh_delta_e00(blue, over_white(o, "blue", 2.5)) <
            lh_delta_e00(c[1], over_white(o, "green", 2.5)),
        "2.5 times too thick, cobalt moves less than copper");
  amber = over_white(o, "amber", 1);
  CHECK(amber.b > 40 && amber.a > 8, "amber is honey: a %.0f b %.0f", amber.a,
        amber.b);
  black = over_white(o, "black", 1);
  CHECK(black.L < 20, "black is black: L %.0f", black.L);
}

/* Blues may leave what a screen can show; this drawing keeps inside. */
static void gamut(const lh_piece_optics *o, const lh_piece_cover *c,
                  lh_arena *a)
{
  for (size_t k = 0; k < c->n_zones; k++) {
    const lh_grid *g = &c->zones[k].grid;
    size_t pixels = (size_t)g->nx * (size_t)g->ny, outside = 0;
    float *rgb = lh_arena_take(a, 3 * pixels, sizeof *rgb);
    lh_status st = LH_NOMEM;

    if (rgb) st = lh_piece_optics_zone(o, &c->zones[k], a, NULL, rgb, &outside);
    CHECK(st == LH_OK && outside * 200 <= pixels,
          "%s: a screen can show it, all but half a per cent",
          c->zones[k].zone->doc->id);
  }
}

static void sample(const char *name)
{
  json_t *json = load(name);
  lh_fault fault = {0};
  lh_arena a;
  lh_piece p;
  lh_piece_cover c;
  lh_piece_optics o;
  lh_status st;

  lh_heap_open(&a);
  st = lh_piece_read(json, &a, &p, &fault);
  CHECK(st == LH_OK, "the sample is read %s %s", fault.where, fault.what);
  if (st == LH_OK) st = lh_piece_cover_make(&p, PIXEL, &a, NULL, &c, &fault);
  CHECK(st == LH_OK, "it is laid out");
  if (st == LH_OK)
    st = lh_piece_optics_make(&p, LH_D8_EX, LH_D65, &a, &o, &fault);
  CHECK(st == LH_OK, "its colours are made ready");
  if (st == LH_OK) {
    CHECK(lh_piece_invented(p.doc), "it is invented, and says so");
    CHECK(p.doc->pots == 6 && p.inside, "six bowls, measured in and out");
    room(&c);
    coats(&c);
    colours(&o);
    gamut(&o, &c, &a);
  }
  lh_heap_free(&a);
  json_decref(json);
}

static void example(const char *name)
{
  json_t *json = load(name);
  lh_fault fault = {0};
  lh_arena a;
  lh_piece p;
  lh_piece_cover c;
  lh_status st;

  lh_heap_open(&a);
  st = lh_piece_read(json, &a, &p, &fault);
  CHECK(st == LH_OK, "the manual's example is read %s", fault.what);
  if (st == LH_OK) st = lh_piece_cover_make(&p, PIXEL, &a, NULL, &c, &fault);
  CHECK(st == LH_OK && c.n_clearances == 1 && c.clearances[0].clearance.mm > 5,
        "its eight reeds stand apart");
  /* A cylinder unrolls to a rectangle: 2 pi 40 mm by 87 mm. */
  if (st == LH_OK)
    CHECK_NEAR(c.zone_mm2, 2 * 3.14159265358979 * 40 * 87, 1e-6,
               "its zone has the area of a cylinder");
  lh_heap_free(&a);
  json_decref(json);
}

int main(int argc, char **argv)
{
  if (argc != 3) return 2;
  sample(argv[1]);
  example(argv[2]);
  return CHECK_DONE();
}
