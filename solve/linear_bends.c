/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <stdint.h>

#include "linear_parts.h"

/* Two prices closer than this share of the curve's height are one. */
#define SAME 1e-9
/* How far beside the least tolerance the curve begins, of the target's
** length. */
#define EDGE 1e-8

typedef struct {
  lh_linear_ask ask; /* its tolerance moves along the curve */
  lh_linear_ready ready;
  lh_linear_answer y;
  lh_linear_point *point;
  size_t cap, n;
  double *grams, height;
  lh_linear_found *f;
  bool full;
} curve;

static lh_status at(curve *c, double tolerance, lh_linear_point *p)
{
  lh_status st;

  c->ask.tolerance = tolerance;
  st = lh_linear_solve(&c->ready, false, NULL, 0, &c->y, c->f, NULL);
  if (st != LH_OK) return st;
  lh_linear_tell(&c->ready, &c->y, c->grams, c->f);
  *p = (lh_linear_point){tolerance, c->f->price, c->f->shadow, c->f->materials};
  return LH_OK;
}

/* Where the straight lines through two points meet; NAN when they are one. */
static double meet(lh_linear_point p, lh_linear_point q)
{
  double d = p.shadow - q.shadow;

  return (q.price - p.price + p.shadow * p.tolerance - q.shadow * q.tolerance) /
         d;
}

static bool in_line(const curve *c, lh_linear_point l, lh_linear_point m,
                    lh_linear_point r)
{
  double share = (m.tolerance - l.tolerance) / (r.tolerance - l.tolerance);

  return fabs(l.price + share * (r.price - l.price) - m.price) <=
         SAME * c->height;
}

/* Add a point to the right; the one before it goes when it is no bend. */
static void add(curve *c, lh_linear_point p)
{
  if (c->n >= 2 && in_line(c, c->point[c->n - 2], c->point[c->n - 1], p))
    c->n--;
  c->point[c->n++] = p;
}

/* The bends between two points.  What is still to the right waits on a stack,
** since a curve of many bends must not recurse deep.
*/
static lh_status between(curve *c, lh_linear_point from, lh_linear_point to)
{
  lh_linear_point right[LH_LINEAR_BREAKS], m;
  size_t depth = 0;

  right[depth++] = to;
  add(c, from);
  while (depth > 0) {
    lh_linear_point l = c->point[c->n - 1], r = right[depth - 1];
    double x = meet(l, r);
    double line = l.price + l.shadow * (x - l.tolerance);
    double wide = r.tolerance - l.tolerance, near = SAME * c->height;
    bool one = !(x > l.tolerance && x < r.tolerance) ||
               fabs(l.price + l.shadow * wide - r.price) <= near ||
               fabs(r.price - r.shadow * wide - l.price) <= near;
    lh_status st;
    if (!one && c->n + depth >= c->cap) c->full = one = true;
    if (one) {
      depth--;
      add(c, r);
      continue;
    }
    if ((st = at(c, x, &m)) != LH_OK) return st;
    /* On both lines: a bend, and from it the curve goes on along the right. */
    if (m.price - line <= near) m.shadow = r.shadow;
    right[depth++] = m;
  }
  return LH_OK;
}

/* A programme's own slope at a bend may be that of either side. */
static void straighten(lh_linear_point *p, size_t n)
{
  for (size_t i = 0; i + 1 < n; i++)
    p[i].shadow =
        (p[i + 1].price - p[i].price) / (p[i + 1].tolerance - p[i].tolerance);
  if (n > 1) p[n - 1].shadow = p[n - 2].shadow;
}

static lh_status ends(curve *c, lh_arena *a, double most)
{
  lh_linear_point from, to;
  double least;
  lh_status st = lh_linear_least(&c->ready, &c->y, c->f, a);

  if (st != LH_OK) return st;
  /* Not on the edge itself, where noise decides whether there is a recipe. */
  least = c->f->least + EDGE * c->ready.length;
  if (most < least) return LH_NOTFOUND;
  if ((st = at(c, least, &from)) != LH_OK) return st;
  if ((st = at(c, most, &to)) != LH_OK) return st;
  c->height = from.price - to.price;
  if (c->height > SAME * from.price) return between(c, from, to);
  add(c, from);
  return LH_OK;
}

lh_status lh_linear_bends(const lh_linear_ask *q, lh_linear_point *point,
                          size_t cap, size_t *n, lh_linear_found *f,
                          lh_arena *a, const lh_watch *w)
{
  curve c = {.ask = *q, .point = point, .cap = cap, .f = f};
  lh_status st;

  *n = 0;
  *f = (lh_linear_found){.price = NAN, .shadow = NAN, .least = NAN};
  f->bad = SIZE_MAX;
  if (q->norm == LH_LINEAR_DISTANCE || q->per || q->most != 0 || cap < 2 ||
      cap > LH_LINEAR_BREAKS)
    return LH_INPUT;
  st = lh_linear_begin(&c.ask, &c.ready, &c.y, f, a, w);
  if (st != LH_OK) return st;
  c.grams = lh_arena_take(a, q->problem->materials, sizeof *c.grams);
  if (!c.grams) return LH_NOMEM;
  st = ends(&c, a, q->tolerance);
  *n = c.n;
  straighten(point, c.n);
  return st == LH_OK && c.full ? LH_TOOLARGE : st;
}
