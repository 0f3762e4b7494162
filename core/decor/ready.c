/* SPDX-License-Identifier: GPL-3.0-or-later */
/* ready.c -- fit pixels over a chart, make shapes ready to be laid. */
#include <math.h>

#include "laid.h"

/* A shape's farthest pixel, its widest way round and the narrowest map.
** (judgement) */
#define FAR_PIXELS 4.0e6
#define ROUNDS_MOST 100.0
#define PIXELS_LEAST 8

/* Above this growth of the radius one disc is taken to hold the other. */
#define GROWTH_MOST (1.0 - 1e-6)

#define FRACTION 1048576.0 /* anchors are rounded to this part of a pixel */

lh_status lh_grid_fit(const lh_chart *ch, double pixel, int multiple,
                      lh_grid *g)
{
  bool band = ch->kind == LH_CHART_BAND;
  double across = ch->width, up = ch->height, nx, ny;

  if (!(pixel > 0.0) || multiple < 0) return LH_RANGE;
  if (!(across / pixel < LH_PIXELS_MOST)) return LH_TOOLARGE;
  if (!band || multiple < 1) multiple = band ? 1 : 2;
  nx = ceil(across / pixel / multiple - 1e-9) * multiple;
  if (nx < PIXELS_LEAST) nx = ceil((double)PIXELS_LEAST / multiple) * multiple;
  pixel = across / nx;
  ny = band ? ceil(up / pixel - 1e-9) : nx;
  if (ny < 1.0) ny = 1.0;
  if (!(nx * ny <= LH_PIXELS_MOST)) return LH_TOOLARGE;
  *g = (lh_grid){band, (int)nx, (int)ny, pixel, 0.0, 0.0};
  if (!band) g->x0 = g->y0 = -0.5 * across;
  return LH_OK;
}

/* A piece of the path, worked out in double and kept in float. */
static void stretch_set(lh_stretch *g, const lh_nib *a, const lh_nib *b,
                        double h, double half_edge)
{
  double ax = a->x / h, ay = a->y / h, bx = b->x / h, by = b->y / h;
  double ra = 0.5 * a->width / h, rb = 0.5 * b->width / h;
  double dx = bx - ax, dy = by - ay, l = sqrt(dx * dx + dy * dy), k = 0.0;

  if (l > 0.0) k = (rb - ra) / l;
  if (!(l > 0.0) || k > GROWTH_MOST || k < -GROWTH_MOST) {
    const lh_nib *larger = rb > ra ? b : a;
    *g = (lh_stretch){.ux = 1.0f};
    g->ax = g->bx = (float)(larger->x / h);
    g->ay = g->by = (float)(larger->y / h);
    g->r = (float)(rb > ra ? rb : ra);
    g->w = (float)larger->coat;
  } else {
    g->ax = (float)ax;
    g->ay = (float)ay;
    g->bx = (float)bx;
    g->by = (float)by;
    g->ux = (float)(dx / l);
    g->uy = (float)(dy / l);
    g->length = (float)l;
    g->r = (float)ra;
    g->k = (float)k;
    g->lead = (float)(k / sqrt(1.0 - k * k));
    g->w = (float)a->coat;
    g->dw = (float)((b->coat - a->coat) / l);
  }
  g->low = g->ay < g->by ? g->ay : g->by;
  g->high = g->ay < g->by ? g->by : g->ay;
  g->reach = (float)((rb > ra ? rb : ra) + half_edge);
}

static size_t stretches_of(const lh_shape *s)
{
  if (s->kind == LH_RING) return 0;
  return s->kind == LH_POLYGON || s->n == 1 ? s->n : s->n - 1;
}

static double soft_pixels(double edge, double h)
{
  edge /= h;
  return edge < (double)LH_EDGE_LEAST ? (double)LH_EDGE_LEAST : edge;
}

/* An anchor's coordinate in pixels: whole, and rounded fraction. */
static double anchor_at(double x, int *whole, float *centre)
{
  double q = floor(x * FRACTION + 0.5) / FRACTION, w = floor(q);

  *whole = (int)w;
  *centre = (float)(0.5 - (q - w));
  return q;
}

static void ring_ready(struct lh_laid *d, const lh_shape *s, const lh_grid *g)
{
  double h = g->pixel;

  d->x1 = g->nx;
  d->y1 = g->ny;
  d->coat = (float)s->coat;
  d->from = (float)(s->from / h);
  d->to = (float)(s->to / h);
  if (s->edge_from >= 0.0)
    d->sharp_from = (float)(1.0 / soft_pixels(s->edge_from, h));
  if (s->edge_to >= 0.0)
    d->sharp_to = (float)(1.0 / soft_pixels(s->edge_to, h));
  if (!g->wraps) return;
  /* Rows that a banding line touches, edges and a pixel more. */
  if (d->sharp_from > 0.0f)
    d->y0 = (int)(d->from - 0.5f / d->sharp_from - 1.0f);
  if (d->sharp_to > 0.0f) d->y1 = (int)(d->to + 0.5f / d->sharp_to + 2.0f);
  if (d->y0 < 0) d->y0 = 0;
  if (d->y1 > g->ny) d->y1 = g->ny;
}

static lh_mark_why path_ready(struct lh_laid *d, lh_stretch *at,
                              const lh_shape *s, const lh_grid *g)
{
  double h = g->pixel, soft = soft_pixels(s->edge, h), pad = 0.5 * soft + 1.0;
  double x = (s->x - g->x0) / h, y = (s->y - g->y0) / h;
  double x0, x1, y0, y1;

  if (!(fabs(x) < FAR_PIXELS && fabs(y) < FAR_PIXELS)) return LH_MARK_TOO_LARGE;
  x = anchor_at(x, &d->column, &d->fx);
  y = anchor_at(y, &d->row, &d->fy);
  x0 = floor(x + s->left / h - pad);
  x1 = ceil(x + s->right / h + pad);
  y0 = floor(y + s->low / h - pad);
  y1 = ceil(y + s->high / h + pad);
  if (!(x0 > -FAR_PIXELS && x1 < FAR_PIXELS && y0 > -FAR_PIXELS &&
        y1 < FAR_PIXELS))
    return LH_MARK_TOO_LARGE;
  if (g->wraps && x1 - x0 > ROUNDS_MOST * g->nx) return LH_MARK_TOO_LARGE;
  if (g->wraps && s->kind == LH_POLYGON && x1 - x0 > g->nx)
    return LH_MARK_WRAPS;
  d->x0 = (int)x0;
  d->x1 = (int)x1;
  d->y0 = y0 < 0.0 ? 0 : (int)y0;
  d->y1 = y1 > g->ny ? g->ny : (int)y1;
  d->sharp = (float)(1.0 / soft);
  d->coat = (float)s->coat;
  d->n = stretches_of(s);
  for (size_t i = 0; i < d->n; i++)
    stretch_set(&at[i], &s->nibs[i], &s->nibs[i + 1 < s->n ? i + 1 : 0], h,
                0.5 * soft);
  return LH_MARK_FINE;
}

/* The layer of a shape: a new one where the slip changes. */
static lh_mark_why layer_of(lh_laying *l, const lh_shape *s, struct lh_laid *d)
{
  d->away = s->slip == LH_NO_SLIP;
  if (!d->away && (l->layers == 0 || l->layer_slip[l->layers - 1] != s->slip)) {
    if (l->layers == LH_LAYERS_MOST) return LH_MARK_LAYERS;
    l->layer_slip[l->layers++] = s->slip;
  }
  d->layer = l->layers - 1;
  return LH_MARK_FINE;
}

static lh_status refuse(lh_mark_fault *fault, lh_mark_why why, size_t i)
{
  if (fault) *fault = (lh_mark_fault){why, i, 0};
  switch (why) {
  case LH_MARK_FINE: return LH_OK;
  case LH_MARK_NO_ROOM: return LH_NOMEM;
  case LH_MARK_LAYERS:
  case LH_MARK_TOO_MANY: return LH_TOOLARGE;
  default: return LH_RANGE;
  }
}

lh_status lh_lay_prepare(lh_laying *l, lh_arena *a, const lh_grid *g,
                         const lh_shape *s, size_t n, lh_mark_fault *fault)
{
  struct lh_laid *laid;
  lh_stretch *at;
  size_t total = 0, next = 0;

  *l = (lh_laying){.grid = *g, .shapes = s, .n = n};
  if (n > LH_MARKS_MOST) return refuse(fault, LH_MARK_TOO_MANY, LH_MARKS_MOST);
  for (size_t i = 0; i < n; i++) total += stretches_of(&s[i]);
  laid = lh_arena_take(a, n + 1, sizeof *laid);
  at = lh_arena_take(a, total + 1, sizeof *at);
  if (!laid || !at) return refuse(fault, LH_MARK_NO_ROOM, 0);
  for (size_t i = 0; i < n; i++) {
    lh_mark_why why = layer_of(l, &s[i], &laid[i]);
    if (why != LH_MARK_FINE) return refuse(fault, why, i);
    laid[i].kind = s[i].kind;
    laid[i].first = next;
    if (s[i].kind == LH_RING)
      ring_ready(&laid[i], &s[i], g);
    else
      why = path_ready(&laid[i], &at[next], &s[i], g);
    if (why != LH_MARK_FINE) return refuse(fault, why, i);
    next += laid[i].n;
  }
  l->laid = laid;
  l->stretches = at;
  return refuse(fault, LH_MARK_FINE, 0);
}
