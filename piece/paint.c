/* SPDX-License-Identifier: GPL-3.0-or-later */
/* paint.c -- the colour at a place of the pot: its zone's map, or the body. */
#include <math.h>

#include "picture_room.h"

/* The chart's height (band) or distance from its centre (disc) over the
** zone's length, in map pixels. */
static lh_status tabulate(const lh_zone_cover *z, float *table)
{
  const lh_chart *ch = &z->zone->chart;

  for (int k = 0; k <= LH_PAINT_STEPS; k++) {
    double x, y;
    lh_status st =
        lh_chart_place(ch, 0, ch->length * k / LH_PAINT_STEPS, &x, &y);
    if (st != LH_OK) return st;
    table[k] = (float)((ch->kind == LH_CHART_BAND ? y : x) / z->grid.pixel);
  }
  return LH_OK;
}

lh_status lh_paint_make(const lh_piece_skin *s, double turn, lh_arena *a,
                        lh_paint *p)
{
  *p = (lh_paint){.skin = s, .turn = turn};
  p->chart = lh_arena_take(a, s->cover->n_zones, sizeof *p->chart);
  if (!p->chart) return LH_NOMEM;
  for (size_t i = 0; i < s->cover->n_zones; i++) {
    lh_status st;
    p->chart[i] = lh_arena_take(a, LH_PAINT_STEPS + 1, sizeof(float));
    if (!p->chart[i]) return LH_NOMEM;
    st = tabulate(&s->cover->zones[i], p->chart[i]);
    if (st != LH_OK) return st;
  }
  return LH_OK;
}

static int wrap(int i, int n)
{
  return i < 0 ? i + n : i >= n ? i - n : i;
}

static int keep(int i, int n)
{
  return i < 0 ? 0 : i >= n ? n - 1 : i;
}

/* Add the map's colour at a place, between the centres of four pixels. */
static void add_map(const lh_grid *g, const float *map, float x, float y,
                    float weight, float rgb[3])
{
  float fx = floorf(x -= 0.5f), fy = floorf(y -= 0.5f);
  int i = (int)fx, j = (int)fy;
  int i0 = g->wraps ? wrap(i, g->nx) : keep(i, g->nx);
  int i1 = g->wraps ? wrap(i + 1, g->nx) : keep(i + 1, g->nx);
  const float *low = map + 3 * (size_t)keep(j, g->ny) * (size_t)g->nx;
  const float *high = map + 3 * (size_t)keep(j + 1, g->ny) * (size_t)g->nx;

  x -= fx;
  y -= fy;
  for (int c = 0; c < 3; c++) {
    float a = low[3 * i0 + c], b = high[3 * i0 + c];
    a += x * (low[3 * i1 + c] - a);
    b += x * (high[3 * i1 + c] - b);
    rgb[c] += weight * (a + y * (b - a));
  }
}

static void add_zone(const lh_paint *p, size_t zone, float up, float turns,
                     float weight, float rgb[3])
{
  const lh_zone_cover *z = &p->skin->cover->zones[zone];
  const lh_chart *ch = &z->zone->chart;
  const lh_grid *g = &z->grid;
  float t = up / (float)ch->length * LH_PAINT_STEPS, y, x;
  double f = ch->hand * ((double)turns - p->turn);
  int k;

  t = t > 0 ? (t < LH_PAINT_STEPS ? t : LH_PAINT_STEPS) : 0;
  k = t < LH_PAINT_STEPS ? (int)t : LH_PAINT_STEPS - 1;
  y = p->chart[zone][k];
  y += (t - (float)k) * (p->chart[zone][k + 1] - y);
  f -= floor(f);
  x = (float)f * (float)g->nx;
  if (ch->kind == LH_CHART_DISC) {
    float half = (float)(-g->x0 / g->pixel);
    x = half + y * (float)cos(LH_TAU * f);
    y = half + y * (float)sin(LH_TAU * f);
  }
  add_map(g, p->skin->rgb[zone], x, y, weight, rgb);
}

/* 0 to 1 over the width soft about 0. */
static float step(float x, float soft)
{
  float w = x / (soft > 1e-6f ? soft : 1e-6f) + 0.5f;

  return w > 0 ? (w < 1 ? w : 1) : 0;
}

void lh_paint_at(const lh_paint *p, int face, float s, float soft, float turns,
                 float rgb[3])
{
  const lh_piece_cover *c = p->skin->cover;
  float left = 1;

  rgb[0] = rgb[1] = rgb[2] = 0;
  for (size_t i = 0; i < c->n_zones; i++) {
    const lh_zone *z = &c->zones[i].zone->zone;
    float from = s - (float)z->from_mm, to = (float)z->to_mm - s;
    float length = (float)c->zones[i].zone->curve->length, weight;
    if ((int)z->face != face) continue;
    /* At the ends of the profile nothing lies beyond. */
    if (z->from_mm < 1e-6) from += soft;
    if ((float)z->to_mm > length - 1e-3f) to += soft;
    weight = step(from, soft) * step(to, soft);
    if (weight <= 0) continue;
    add_zone(p, i, s - (float)z->from_mm, turns, weight, rgb);
    left -= weight;
  }
  for (int k = 0; k < 3 && left > 0; k++) rgb[k] += left * p->skin->body[k];
}

void lh_paint_mean(const lh_paint *p, const lh_lathe *l, float rgb[3])
{
  float sum = 0;

  rgb[0] = rgb[1] = rgb[2] = 0;
  for (size_t i = 0; i < 24; i++) {
    size_t k = i * (l->n - 1) / 23;
    for (int j = 0; j < 48; j++) {
      float c[3];
      lh_paint_at(p, l->face, l->ring[k].s, 0, (float)j / 48, c);
      for (int m = 0; m < 3; m++) rgb[m] += l->ring[k].r * c[m];
      sum += l->ring[k].r;
    }
  }
  for (int m = 0; m < 3; m++) rgb[m] /= sum > 0 ? sum : 1;
}
