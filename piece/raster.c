/* SPDX-License-Identifier: GPL-3.0-or-later */
/* raster.c -- which place of the pot a sample of the picture shows.
**
** The rings are joined to a fine mesh whose facets are a few samples large;
** each sample keeps the ring and the turn it lies on, with fractions, so that
** normal and colour can be taken from the exact profile.  Facets own the
** samples on both their edges: the depth decides, and no gap is left.
*/
#include <math.h>
#include <string.h>

#include "picture_room.h"

lh_status lh_strip_make(size_t width_px, lh_arena *a, lh_strip *s)
{
  size_t n;

  *s = (lh_strip){.width = width_px * LH_FINE};
  n = s->width * LH_FINE * LH_STRIP;
  s->depth = lh_arena_take(a, n, sizeof *s->depth);
  s->u = lh_arena_take(a, n, sizeof *s->u);
  s->v = lh_arena_take(a, n, sizeof *s->v);
  s->part = lh_arena_take(a, n, 1);
  return s->depth && s->u && s->v && s->part ? LH_OK : LH_NOMEM;
}

/* A corner of a facet. */
typedef struct {
  double x, y, depth, u, v;
} corner;

/* A value that changes evenly over a facet. */
typedef struct {
  double at, dx, dy;
} plane;

static plane plane_of(const corner *a, const corner *b, const corner *c,
                      double area, double va, double vb, double vc)
{
  double p = vb - va, q = vc - va;

  return (plane){va, (p * (c->y - a->y) - q * (b->y - a->y)) / area,
                 (q * (b->x - a->x) - p * (c->x - a->x)) / area};
}

/* Where an edge crosses a row; the same number for both its facets. */
static void edge(const corner *a, const corner *b, double y, double *least,
                 double *most)
{
  const corner *low = a, *high = b;
  double x;

  if (b->y < a->y || (b->y == a->y && b->x < a->x)) {
    low = b;
    high = a;
  }
  if (y < low->y || y > high->y) return;
  if (high->y == low->y) {
    *least = fmin(*least, fmin(low->x, high->x));
    *most = fmax(*most, fmax(low->x, high->x));
    return;
  }
  x = low->x + (high->x - low->x) * ((y - low->y) / (high->y - low->y));
  *least = fmin(*least, x);
  *most = fmax(*most, x);
}

static float within(double x, double least)
{
  return (float)(x < least ? least : x > least + 1 ? least + 1 : x);
}

/* The ring and turn of a facet's lowest corner, and what it belongs to. */
typedef struct {
  double u, v;
  bool inward;
  unsigned char part;
} facet;

static void fill(lh_strip *s, const facet *f, const corner *a, const corner *b,
                 const corner *c)
{
  double area = (b->x - a->x) * (c->y - a->y) - (c->x - a->x) * (b->y - a->y);
  double top = fmin(a->y, fmin(b->y, c->y));
  double bottom = fmax(a->y, fmax(b->y, c->y));
  long first = (long)ceil(top - 0.5), last = (long)floor(bottom - 0.5);
  plane d, u, v;

  if (f->inward ? !(area > 1e-12) : !(area < -1e-12)) return; /* turned away */
  if (first < s->top) first = s->top;
  if (last >= s->top + LH_FINE * LH_STRIP)
    last = s->top + LH_FINE * LH_STRIP - 1;
  if (first > last) return;
  d = plane_of(a, b, c, area, a->depth, b->depth, c->depth);
  u = plane_of(a, b, c, area, a->u, b->u, c->u);
  v = plane_of(a, b, c, area, a->v, b->v, c->v);
  for (long j = first; j <= last; j++) {
    double y = (double)j + 0.5, left = INFINITY, right = -INFINITY;
    size_t row = (size_t)(j - s->top) * s->width;
    long i, end;
    edge(a, b, y, &left, &right);
    edge(b, c, y, &left, &right);
    edge(c, a, y, &left, &right);
    if (!(left <= right)) continue;
    i = (long)ceil(left - 0.5);
    end = (long)floor(right - 0.5);
    if (i < 0) i = 0;
    if (end >= (long)s->width) end = (long)s->width - 1;
    for (; i <= end; i++) {
      double dx = (double)i + 0.5 - a->x, dy = y - a->y;
      float depth = (float)(d.at + d.dx * dx + d.dy * dy);
      size_t k = row + (size_t)i;
      if (depth >= s->depth[k]) continue;
      s->depth[k] = depth;
      s->u[k] = within(u.at + u.dx * dx + u.dy * dy, f->u);
      s->v[k] = within(v.at + v.dx * dx + v.dy * dy, f->v);
      s->part[k] = f->part;
    }
  }
}

static corner corner_of(const lh_spot *spot, size_t i, size_t j)
{
  const lh_spot *x = &spot[i * (LH_LATHE_TURNS + 1) + j];

  return (corner){(double)x->x, (double)x->y, (double)x->depth, (double)i,
                  (double)j};
}

static bool off(const lh_strip *s, const lh_spot *a, const lh_spot *b)
{
  double top = (double)s->top, bottom = top + LH_FINE * LH_STRIP;

  return (a[0].y < top && a[1].y < top && b[0].y < top && b[1].y < top) ||
         (a[0].y > bottom && a[1].y > bottom && b[0].y > bottom &&
          b[1].y > bottom);
}

static void draw_lathe(lh_strip *s, const lh_lathe *l, const lh_spot *spot,
                       unsigned char part)
{
  for (size_t i = 0; i + 1 < l->n; i++) {
    const lh_spot *low = spot + i * (LH_LATHE_TURNS + 1);
    const lh_spot *high = low + LH_LATHE_TURNS + 1;
    for (size_t j = 0; j < LH_LATHE_TURNS; j++) {
      facet f = {(double)i, (double)j, l->inward, part};
      corner a, b, c, d;
      if (off(s, low + j, high + j)) continue;
      a = corner_of(spot, i, j);
      b = corner_of(spot, i, j + 1);
      c = corner_of(spot, i + 1, j + 1);
      d = corner_of(spot, i + 1, j);
      fill(s, &f, &a, &b, &c);
      fill(s, &f, &a, &c, &d);
    }
  }
}

void lh_strip_draw(lh_strip *s, const lh_turned *t, lh_spot *const *spot)
{
  size_t n = s->width * LH_FINE * LH_STRIP;

  memset(s->part, 0, n);
  for (size_t k = 0; k < n; k++) s->depth[k] = INFINITY;
  for (size_t k = 0; k < t->n; k++)
    draw_lathe(s, &t->lathe[k], spot[k], (unsigned char)(k + 1));
}
