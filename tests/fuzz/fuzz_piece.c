/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_piece.c -- any bytes at all, taken for a piece.
**
** What must hold: what is refused says where, what and what to do, and is the
** asker's mistake or too much (exit code 2) unless memory gave out; what is
** read is laid out and judged, and then adds up: no slip covers more than the
** zones, what it weighs is finite and not negative, bare and covered are no
** more than all; each check of the verdict has its words.
** Twice the same document gives the same.  Pixels are coarse and the arena is
** small, so that a document of a few hundred bytes cannot ask for minutes.
*/
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "heap.h"
#include "whole.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Of a zone's way round or height, whichever is smaller, about so many. */
#define PIXEL_MM 5.0
enum { ARENA = 24 * 1024 * 1024, PIXELS = 200000, SHAPES = 400 };

static void must(int ok)
{
  if (!ok) abort();
}

static void refused(lh_status st, const lh_fault *f)
{
  must(st == f->status && *f->where && *f->what);
  must(st == LH_NOMEM || lh_status_exit(st) == 2);
  must(st == LH_NOMEM || *f->todo);
  must(memchr(f->where, 0, sizeof f->where) != NULL);
  must(memchr(f->what, 0, sizeof f->what) != NULL);
  must(memchr(f->todo, 0, sizeof f->todo) != NULL);
}

/* Is it little enough to be laid here? */
static int small(const lh_piece *p)
{
  double pixels = 0;
  size_t shapes = 0;

  for (size_t i = 0; i < p->n_zones; i++) {
    const lh_chart *ch = &p->zones[i].chart;
    pixels += ch->width * ch->height / (PIXEL_MM * PIXEL_MM);
    shapes += p->zones[i].shapes.n;
  }
  return pixels < PIXELS && shapes < SHAPES;
}

static double adds_up(const lh_piece_cover *c)
{
  double all = c->zone_mm2 * 1.0001 + 1, sum = 0;

  must(isfinite(c->zone_mm2) && c->zone_mm2 >= 0);
  must(c->bare_mm2 >= -1 && c->bare_mm2 <= all);
  for (size_t i = 0; i < c->piece->doc->slips.count; i++) {
    const lh_slip_use *u = &c->slips[i];
    must(isfinite(u->dry_g) && u->dry_g >= 0 && u->wet_g >= u->dry_g);
    must(u->area_mm2 >= 0 && u->area_mm2 <= all);
    must(u->area_mm2 + c->bare_mm2 <= all);
    must(u->thin_mm2 + u->thick_mm2 <= u->window_mm2 * 1.0001 + 1);
    sum += u->dry_g + u->area_mm2;
  }
  for (size_t i = 0; i < c->n_overlaps; i++) {
    const lh_piece_overlap *o = &c->overlaps[i];
    must(o->upper >= 0 && o->area_mm2 >= 0 && o->area_mm2 <= all);
    must(o->lower != o->upper || o->area_mm2 >= 0);
    sum += o->area_mm2;
  }
  return sum;
}

static void judged(const lh_verdict *v)
{
  must(v->n > 0);
  for (size_t i = 0; i < v->n; i++) {
    const lh_check *c = &v->checks[i];
    must(*c->about && *c->why && (c->says == LH_SAYS_OK || *c->todo));
    must(c->says <= v->worst && !strstr(c->why, " nan "));
  }
}

static lh_status lay(json_t *json, double *sum)
{
  lh_arena arena;
  lh_piece piece;
  lh_whole *w;
  lh_fault fault = {0};
  lh_status st;

  *sum = 0;
  lh_heap_open(&arena);
  st = lh_piece_read(json, &arena, &piece, &fault);
  if (st == LH_OK && small(&piece)) {
    w = lh_arena_take(&arena, 1, sizeof *w);
    must(w != NULL);
    st = lh_whole_make(json, PIXEL_MM, &arena, NULL, w, &fault);
    if (st == LH_OK) {
      *sum = adds_up(&w->cover);
      judged(&w->verdict);
    }
  }
  if (st != LH_OK) refused(st, &fault);
  lh_heap_free(&arena);
  return st;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  lh_fault fault = {0};
  json_t *json;
  lh_status st;
  double one, two;

  if (size > 64 * 1024) return 0;
  lh_heap_limit(ARENA);
  st = lh_json_parse(data, size, "piece", &json, &fault);
  if (st != LH_OK) {
    refused(st, &fault);
    return 0;
  }
  st = lay(json, &one);
  must(lay(json, &two) == st && !(one < two) && !(one > two));
  json_decref(json);
  return 0;
}
