/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "flat.h"

/* First number of such an array: its version. */
enum { VERSION = 1 };

/* Most groups of a zone, and the largest whole number in an array. */
#define WHOLE_MOST 1.0e9

/* ---- writing ------------------------------------------------------------ */

typedef struct {
  double *out;
  size_t cap, n;
} pen;

static void put(pen *p, double x)
{
  if (p->n < p->cap) p->out[p->n] = x;
  p->n++;
}

static void put_local(pen *p, const lh_local *l)
{
  put(p, l->x);
  put(p, l->y);
  put(p, l->turn);
  put(p, l->scale);
  put(p, l->flip_x);
  put(p, l->flip_y);
}

static void put_mark(pen *p, const lh_mark *m)
{
  put(p, (double)m->kind);
  put(p, (double)m->slip);
  put(p, m->anchor.turns);
  put(p, m->anchor.up);
  put_local(p, &m->local);
  put(p, m->edge);
  put(p, m->coat);
  put(p, m->from);
  put(p, m->to);
  put(p, (double)m->n);
  for (size_t i = 0; i < m->n; i++) {
    put(p, m->nibs[i].x);
    put(p, m->nibs[i].y);
    put(p, m->nibs[i].width);
    put(p, m->nibs[i].coat);
  }
}

static void put_placing(pen *p, const lh_placing *q)
{
  put(p, (double)q->instance);
  put(p, q->turns);
  put(p, q->flip_x);
  put(p, q->flip_y);
  put(p, q->move_turns);
  put(p, q->move_up);
  put(p, q->turn);
  put(p, q->scale);
}

static void put_group(pen *p, const lh_group *g)
{
  size_t n = g->placings ? g->n_placings : 0;

  put(p, (double)g->n);
  put(p, g->placings ? 1.0 : 0.0);
  put(p, (double)n);
  put(p, g->has_pivot);
  put(p, g->has_pivot ? g->pivot.turns : 0.0);
  put(p, g->has_pivot ? g->pivot.up : 0.0);
  for (size_t i = 0; i < n; i++) put_placing(p, &g->placings[i]);
  for (size_t i = 0; i < g->n; i++) put_mark(p, &g->marks[i]);
}

lh_status lh_decor_flatten(const lh_painted *d, double *out, size_t cap,
                           size_t *n)
{
  pen p = {out, cap, 0};

  put(&p, VERSION);
  put(&p, (double)d->zone.face);
  put(&p, (double)d->zone.kind);
  put(&p, d->zone.from_mm);
  put(&p, d->zone.to_mm);
  put(&p, d->pixel);
  put(&p, (double)d->multiple);
  put(&p, (double)d->n_profile);
  put(&p, (double)d->n_groups);
  for (size_t i = 0; i < d->n_profile; i++) {
    put(&p, d->profile[i].r);
    put(&p, d->profile[i].z);
  }
  for (size_t i = 0; i < d->n_groups; i++) put_group(&p, &d->groups[i]);
  *n = p.n;
  return p.n > cap ? LH_TOOLARGE : LH_OK;
}

/* ---- reading ------------------------------------------------------------ */

typedef struct {
  const double *in;
  size_t n, at;
  lh_arena *arena;
  lh_status st; /* the first thing that went wrong */
} eye;

static double take(eye *e)
{
  if (e->at >= e->n) {
    if (e->st == LH_OK) e->st = LH_INPUT;
    return 0.0;
  }
  return e->in[e->at++];
}

/* A whole number low <= x <= high. */
static int take_whole(eye *e, double low, double high)
{
  double x = take(e);

  if (!(x >= low && x <= high) || (double)(int)x != x) {
    if (e->st == LH_OK) e->st = LH_INPUT;
    return 0;
  }
  return (int)x;
}

/* A count of things that each take at least `each` numbers. */
static size_t take_count(eye *e, size_t each)
{
  size_t n = (size_t)take_whole(e, 0.0, WHOLE_MOST);

  if (e->st != LH_OK) return 0;
  if (n > (e->n - e->at) / each) {
    e->st = LH_INPUT;
    return 0;
  }
  return n;
}

static void *take_room(eye *e, size_t n, size_t size)
{
  void *p = e->st == LH_OK ? lh_arena_take(e->arena, n + 1, size) : NULL;

  if (!p && e->st == LH_OK) e->st = LH_NOMEM;
  return p;
}

static void take_mark(eye *e, lh_mark *m)
{
  lh_nib *nibs;

  m->kind = (lh_mark_kind)take_whole(e, 0.0, LH_MARK_KINDS - 1);
  m->slip = take_whole(e, LH_NO_SLIP, WHOLE_MOST);
  m->anchor.turns = take(e);
  m->anchor.up = take(e);
  m->local.x = take(e);
  m->local.y = take(e);
  m->local.turn = take(e);
  m->local.scale = take(e);
  m->local.flip_x = take(e) != 0.0;
  m->local.flip_y = take(e) != 0.0;
  m->edge = take(e);
  m->coat = take(e);
  m->from = take(e);
  m->to = take(e);
  m->n = take_count(e, 4);
  nibs = take_room(e, m->n, sizeof *nibs);
  if (!nibs) return;
  for (size_t i = 0; i < m->n; i++) {
    nibs[i].x = take(e);
    nibs[i].y = take(e);
    nibs[i].width = take(e);
    nibs[i].coat = take(e);
  }
  m->nibs = nibs;
}

static void take_placing(eye *e, lh_placing *q)
{
  q->instance = (size_t)take_whole(e, 0.0, WHOLE_MOST);
  q->turns = take(e);
  q->flip_x = take(e) != 0.0;
  q->flip_y = take(e) != 0.0;
  q->move_turns = take(e);
  q->move_up = take(e);
  q->turn = take(e);
  q->scale = take(e);
}

static void take_group(eye *e, lh_group *g)
{
  bool placed;
  lh_placing *p;
  lh_mark *marks;

  g->n = take_count(e, 15);
  placed = take(e) != 0.0;
  g->n_placings = take_count(e, 8);
  g->has_pivot = take(e) != 0.0;
  g->pivot.turns = take(e);
  g->pivot.up = take(e);
  p = take_room(e, g->n_placings, sizeof *p);
  marks = take_room(e, g->n, sizeof *marks);
  if (!p || !marks) return;
  for (size_t i = 0; i < g->n_placings; i++) take_placing(e, &p[i]);
  for (size_t i = 0; i < g->n && e->st == LH_OK; i++) take_mark(e, &marks[i]);
  g->placings = placed ? p : NULL;
  g->marks = marks;
}

lh_status lh_decor_unflatten(const double *in, size_t n, lh_arena *a,
                             lh_painted *d)
{
  eye e = {in, n, 0, a, LH_OK};
  lh_point *profile;
  lh_group *groups;

  *d = (lh_painted){.n_profile = 0};
  take_whole(&e, VERSION, VERSION);
  d->zone.face = (lh_face)take_whole(&e, LH_OUTSIDE, LH_INSIDE);
  d->zone.kind = (lh_chart_kind)take_whole(&e, LH_CHART_BAND, LH_CHART_DISC);
  d->zone.from_mm = take(&e);
  d->zone.to_mm = take(&e);
  d->pixel = take(&e);
  d->multiple = take_whole(&e, 0.0, WHOLE_MOST);
  d->n_profile = take_count(&e, 2);
  d->n_groups = take_count(&e, 6);
  profile = take_room(&e, d->n_profile, sizeof *profile);
  groups = take_room(&e, d->n_groups, sizeof *groups);
  if (!profile || !groups) return e.st;
  for (size_t i = 0; i < d->n_profile; i++) {
    profile[i].r = take(&e);
    profile[i].z = take(&e);
  }
  for (size_t i = 0; i < d->n_groups && e.st == LH_OK; i++)
    take_group(&e, &groups[i]);
  if (e.st == LH_OK && e.at != n) e.st = LH_INPUT;
  d->profile = profile;
  d->groups = groups;
  return e.st;
}

/* ---- from there to a laying ---------------------------------------------- */

lh_status lh_decor_ready(const lh_painted *d, lh_arena *a, lh_laying *l,
                         lh_chart *ch, lh_shapes *shapes, lh_mark_fault *fault)
{
  lh_curve *curve = lh_arena_take(a, 1, sizeof *curve);
  lh_shapes own = {.arena = a}, *s = shapes ? shapes : &own;
  size_t number = 0;
  lh_grid grid;
  lh_status st;

  if (!ch) ch = lh_arena_take(a, 1, sizeof *ch);
  if (!curve || !ch) return LH_NOMEM;
  *s = own;
  if (fault) *fault = (lh_mark_fault){LH_MARK_FINE, 0, 0};
  st = lh_curve_build(d->profile, d->n_profile, curve, NULL);
  if (st != LH_OK) return st;
  st = lh_chart_make(curve, &d->zone, ch, NULL);
  if (st != LH_OK) return st;
  st = lh_grid_fit(ch, d->pixel, d->multiple, &grid);
  if (st != LH_OK) return st;
  for (size_t i = 0; i < d->n_groups; i++) {
    const lh_group *g = &d->groups[i];
    st = lh_place(s, ch, g->marks, g->n, number, g->placings, g->n_placings,
                  g->has_pivot ? &g->pivot : NULL, fault);
    if (st != LH_OK) {
      if (fault) fault->mark += number;
      return st;
    }
    number += g->n;
  }
  return lh_lay_prepare(l, a, &grid, s->at, s->n, fault);
}
