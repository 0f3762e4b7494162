/* SPDX-License-Identifier: GPL-3.0-or-later */
/* hit.c -- what lies where. */
#include <math.h>

#include "room.h"

int lh_module_shapes(const void *room, size_t cap, double *out)
{
  const lh_laying *l = &((const lh_module_room *)room)->laying;

  for (size_t i = 0; i < l->n && i < cap; i++, out += LH_SHAPE_NUMBERS) {
    const lh_shape *s = &l->shapes[i];
    bool ring = s->kind == LH_RING;
    out[0] = (double)s->kind;
    out[1] = (double)s->mark;
    out[2] = (double)s->instance;
    out[3] = s->x;
    out[4] = s->y;
    out[5] = s->left;
    out[6] = s->right;
    out[7] = ring ? s->from : s->low;
    out[8] = ring ? s->to : s->high;
    out[9] = s->scale;
  }
  return (int)l->n;
}

/* Distance to a piece of the path, its own half width taken off. */
static double away(const lh_nib *a, const lh_nib *b, double x, double y)
{
  double dx = b->x - a->x, dy = b->y - a->y, l2 = dx * dx + dy * dy, t = 0;

  if (l2 > 0) t = ((x - a->x) * dx + (y - a->y) * dy) / l2;
  t = t > 0 ? (t < 1 ? t : 1) : 0;
  dx = x - a->x - t * dx;
  dy = y - a->y - t * dy;
  return sqrt(dx * dx + dy * dy) - 0.5 * (a->width + t * (b->width - a->width));
}

static bool inside(const lh_shape *s, double x, double y)
{
  bool in = false;

  for (size_t i = 0; i < s->n; i++) {
    const lh_nib *a = &s->nibs[i], *b = &s->nibs[i + 1 < s->n ? i + 1 : 0];
    if ((a->y <= y) == (b->y <= y)) continue;
    if (x < a->x + (y - a->y) * (b->x - a->x) / (b->y - a->y)) in = !in;
  }
  return in;
}

/* Distance to a shape, the nearest time round; not above 0: met. */
static double shape_away(const lh_module_room *m, const lh_shape *s, double x,
                         double y)
{
  const lh_grid *g = &m->laying.grid;
  bool polygon = s->kind == LH_POLYGON;
  double best = INFINITY;

  x -= s->x;
  y -= s->y;
  if (g->wraps) {
    double middle = 0.5 * (s->left + s->right);
    x -= m->chart->width * floor((x - middle) / m->chart->width + 0.5);
  }
  if (polygon && inside(s, x, y)) return 0;
  for (size_t i = 0; i + (polygon ? 0 : 1) < s->n; i++)
    best =
        fmin(best, away(&s->nibs[i], &s->nibs[i + 1 < s->n ? i + 1 : 0], x, y));
  if (s->n == 1) best = away(s->nibs, s->nibs, x, y);
  return best;
}

/* How wide the ring at a place is; 0 when the place is off it. */
static double ring_at(const lh_module_room *m, const lh_shape *s, double x,
                      double y, double reach)
{
  double at = m->laying.grid.wraps ? y : sqrt(x * x + y * y);

  return at >= s->from - reach && at <= s->to + reach ? s->to - s->from : 0;
}

int lh_module_hit(const void *room, double x, double y, double reach,
                  double *out)
{
  const lh_module_room *m = room;
  const lh_shape *near = NULL, *ring = NULL;
  double least = reach, narrow = INFINITY;

  for (size_t i = m->laying.n; i-- > 0;) {
    const lh_shape *s = &m->laying.shapes[i];
    if (s->kind == LH_RING) {
      double wide = ring_at(m, s, x, y, reach);
      if (!(wide > 0) || wide >= narrow) continue;
      narrow = wide;
      ring = s;
    } else {
      double d = shape_away(m, s, x, y);
      if (d <= 0) {
        near = s;
        break;
      }
      if (d >= least) continue;
      least = d;
      near = s;
    }
  }
  if (!near) near = ring;
  if (!near) return 0;
  out[0] = (double)near->mark;
  out[1] = (double)near->instance;
  return 1;
}
