/* SPDX-License-Identifier: GPL-3.0-or-later */
/* extent.c -- how far shapes reach, and how much the chart stretches them. */
#include <math.h>

#include "exact.h"
#include "place.h"

/* Places at which a range of heights is sampled. */
enum { SAMPLES = 9 };

/* Height above the lower edge, in a disc distance from the centre. */
static double height_of(const lh_chart *ch, double x, double y)
{
  return ch->kind == LH_CHART_BAND ? y : sqrt(x * x + y * y);
}

/* Where between nibs p and q the path comes nearest the chart's centre. */
static double nearest(const lh_shape *s, const lh_nib *p, const lh_nib *q)
{
  double dx = q->x - p->x, dy = q->y - p->y, l2 = dx * dx + dy * dy, t;

  if (!(l2 > 0.0)) return 0.0;
  t = -((s->x + p->x) * dx + (s->y + p->y) * dy) / l2;
  return t < 0.0 ? 0.0 : t > 1.0 ? 1.0 : t;
}

/* The heights (disc: distances from the centre) a shape covers. */
static void heights(const lh_chart *ch, const lh_shape *s, double *low,
                    double *high)
{
  bool polygon = s->kind == LH_POLYGON;

  *low = s->from;
  *high = s->to;
  if (s->kind == LH_RING) return;
  for (size_t i = 0; i < s->n; i++) {
    const lh_nib *p = &s->nibs[i];
    const lh_nib *q = &s->nibs[i + 1 < s->n ? i + 1 : polygon ? 0 : i];
    double h = height_of(ch, s->x + p->x, s->y + p->y), r = 0.5 * p->width;
    double t = ch->kind == LH_CHART_BAND ? 0.0 : nearest(s, p, q), in;

    if (i == 0 || h - r < *low) *low = h - r;
    if (i == 0 || h + r > *high) *high = h + r;
    in = height_of(ch, s->x + p->x + t * (q->x - p->x),
                   s->y + p->y + t * (q->y - p->y)) -
         0.5 * (p->width + t * (q->width - p->width));
    if (in < *low) *low = in;
  }
}

void lh_shape_stretch(const lh_chart *ch, const lh_shape *s, double *least,
                      double *greatest)
{
  bool band = ch->kind == LH_CHART_BAND;
  double low, high, bottom = band ? 0.0 : ch->rho_inner;
  double top = band ? ch->height : ch->radius;

  heights(ch, s, &low, &high);
  if (low < bottom) low = bottom;
  if (high > top) high = top;
  *least = *greatest = 1.0;
  for (int i = 0; i < SAMPLES; i++) {
    double h = low + (high - low) * (double)i / (SAMPLES - 1), scale;
    if (lh_chart_scale(ch, band ? 0.0 : h, band ? h : 0.0, &scale) != LH_OK)
      continue;
    scale /= s->scale;
    if (scale < *least) *least = scale;
    if (scale > *greatest) *greatest = scale;
  }
}

typedef struct {
  bool begun;
  double zero;     /* turns are counted from here */
  double from, to; /* [turns]                     */
  double low, high;
} reach;

/* Add one nib's stretch of the way round. */
static void reach_add(reach *e, double at, double half)
{
  if (!e->begun) {
    e->begun = true;
    e->zero = at;
    e->from = -half;
    e->to = half;
    return;
  }
  at -= e->zero;
  if (at - half < e->from) e->from = at - half;
  if (at + half > e->to) e->to = at + half;
}

/* A shape on a band: nibs follow each other without a seam, so only the
** shape as a whole is brought next to the first. */
static void reach_band(reach *e, const lh_chart *ch, const lh_shape *s)
{
  double at = s->x / ch->width;

  if (e->begun) at -= floor(at - e->zero + 0.5);
  reach_add(e, at, 0.0);
  reach_add(e, at + s->left / ch->width, 0.0);
  reach_add(e, at + s->right / ch->width, 0.0);
}

static void reach_disc(reach *e, const lh_shape *s)
{
  double last = e->begun ? e->zero : 0.0;

  for (size_t i = 0; i < s->n; i++) {
    double x = s->x + s->nibs[i].x, y = s->y + s->nibs[i].y;
    double r = 0.5 * s->nibs[i].width, d = sqrt(x * x + y * y);
    double at = lh_exact_turns(y, x), half = 0.5;
    if (d > r) half = lh_exact_turns(r, sqrt(d * d - r * r));
    if (e->begun) at -= floor(at - last + 0.5);
    reach_add(e, at, half);
    last = at;
  }
}

lh_status lh_shapes_extent(const lh_chart *ch, const lh_shape *s, size_t n,
                           size_t instance, size_t count, lh_extent *e)
{
  bool band = ch->kind == LH_CHART_BAND, lid = !band && ch->axis_high;
  double bottom = band ? 0.0 : ch->rho_inner, under, over;
  double top = band ? ch->height : ch->radius;
  reach all = {.begun = false};

  for (size_t i = 0; i < n; i++) {
    double low, high;
    if (s[i].instance != instance || s[i].kind == LH_RING) continue;
    heights(ch, &s[i], &low, &high);
    if (!all.begun || low < all.low) all.low = low;
    if (!all.begun || high > all.high) all.high = high;
    if (band)
      reach_band(&all, ch, &s[i]);
    else
      reach_disc(&all, &s[i]);
  }
  if (!all.begun) return LH_NOTFOUND;
  e->turns = all.to - all.from;
  if (!band && e->turns > 1.0) e->turns = 1.0;
  under = all.low < bottom ? bottom - all.low : 0.0;
  if (!band && bottom == 0.0) under = 0.0; /* nothing is beyond the centre */
  over = all.high > top ? all.high - top : 0.0;
  e->below = lid ? over : under;
  e->above = lid ? under : over;
  e->larger_than_repeat = e->turns * (double)(count > 1 ? count : 1) > 1.0;
  return LH_OK;
}
