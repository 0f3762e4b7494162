/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "place.h"

#include <math.h>

#include "exact.h"

/* A banding line this near an end of the zone reaches it. [mm] (judgement) */
#define NEAR_END 1e-6

typedef struct {
  double xx, xy, yx, yy;
} matrix;

typedef struct {
  double x, y;
} spot;

static spot turned(const matrix *m, double x, double y)
{
  return (spot){m->xx * x + m->xy * y, m->yx * x + m->yy * y};
}

static matrix after(const matrix *a, const matrix *b)
{
  return (matrix){a->xx * b->xx + a->xy * b->yx, a->xx * b->xy + a->xy * b->yy,
                  a->yx * b->xx + a->yy * b->yx, a->yx * b->xy + a->yy * b->yy};
}

/* Turn, anticlockwise on the chart, and make larger. */
static matrix rotation(double turns, double scale)
{
  double s, c;

  lh_exact_sincos(turns, &s, &c);
  return (matrix){scale * c, -scale * s, scale * s, scale * c};
}

/* ---- from the motif to the chart --------------------------------------- */

/* The directions of local x and y at an anchor: the chart's own on a band;
** in a disc y runs up the profile, out from the centre or in to the knob. */
static matrix frame(const lh_chart *ch, double turns)
{
  double s, c, up = ch->axis_high ? -1.0 : 1.0;

  if (ch->kind == LH_CHART_BAND) return (matrix){1.0, 0.0, 0.0, 1.0};
  lh_exact_sincos(ch->hand * turns, &s, &c);
  return (matrix){up * s, up * c, -up * c, up * s};
}

/* The isometry of the chart that a placing asks for: p -> m p + shift. */
static matrix isometry(const lh_chart *ch, const lh_placing *p, spot *shift)
{
  double fx = p->flip_x ? -1.0 : 1.0, fy = p->flip_y ? -1.0 : 1.0;
  matrix mirror = {1.0, 0.0, 0.0, fx}, turn;

  if (ch->kind == LH_CHART_BAND) {
    *shift =
        (spot){ch->hand * p->turns * ch->width, p->flip_y ? ch->height : 0.0};
    return (matrix){fx, 0.0, 0.0, fy};
  }
  *shift = (spot){0.0, 0.0};
  turn = rotation(ch->hand * p->turns, 1.0);
  return after(&turn, &mirror);
}

/* Everything between a mark's path and its shape: a path point q goes to
** m (q + at) about the anchor, widths are multiplied by size. */
typedef struct {
  matrix path, frame; /* of the local change; of anchor and placing */
  spot at;            /* of the local change                        */
  spot anchor;        /* on the chart                               */
  double size;        /* chart mm for one mm of the path            */
  double local;       /* chart mm for one true mm at the anchor     */
} course;

static bool unchanged(const lh_placing *p)
{
  return p->move_turns == 0.0 && p->move_up == 0.0 && p->turn == 0.0 &&
         p->scale == 1.0;
}

/* An exception: move, turn and scale about the placed pivot. */
static lh_status change(const lh_chart *ch, const lh_placing *p, spot pivot,
                        course *c)
{
  double turns, up, scale0, scale1, ratio;
  matrix turn;
  spot to, arm;
  lh_status st;

  st = lh_chart_back(ch, pivot.x, pivot.y, &turns, &up);
  if (st != LH_OK) return st;
  st = lh_chart_scale(ch, pivot.x, pivot.y, &scale0);
  if (st != LH_OK) return st;
  st = lh_chart_place(ch, turns + p->move_turns, up + p->move_up, &to.x, &to.y);
  if (st != LH_OK) return st;
  st = lh_chart_scale(ch, to.x, to.y, &scale1);
  if (st != LH_OK) return st;
  ratio = scale0 / scale1;
  turn = rotation(
      p->turn + (ch->kind == LH_CHART_DISC ? ch->hand * p->move_turns : 0.0),
      1.0);
  arm = turned(&turn, c->anchor.x - pivot.x, c->anchor.y - pivot.y);
  c->anchor.x = to.x + ratio * p->scale * arm.x;
  c->anchor.y = to.y + ratio * p->scale * arm.y;
  c->frame = after(&turn, &c->frame);
  c->size *= ratio * p->scale;
  c->at.x *= ratio * p->scale;
  c->at.y *= ratio * p->scale;
  c->local *= ratio;
  return LH_OK;
}

static lh_status course_set(const lh_chart *ch, const lh_mark *m,
                            const lh_placing *p, const lh_anchor *pivot,
                            course *c)
{
  const lh_local *l = &m->local;
  double x, y, scale, fx = l->flip_x ? -1.0 : 1.0, fy = l->flip_y ? -1.0 : 1.0;
  matrix flip = {fx, 0.0, 0.0, fy}, turn = rotation(l->turn, 1.0), iso, fr;
  spot shift, hinge;
  lh_status st = lh_chart_place(ch, m->anchor.turns, m->anchor.up, &x, &y);

  if (st != LH_OK) return st;
  st = lh_chart_scale(ch, x, y, &scale);
  if (st != LH_OK) return st;
  iso = isometry(ch, p, &shift);
  fr = frame(ch, m->anchor.turns);
  c->path = after(&turn, &flip);
  c->frame = after(&iso, &fr);
  c->at = (spot){l->x / scale, l->y / scale};
  c->size = l->scale / scale;
  c->local = 1.0 / scale;
  c->anchor = turned(&iso, x, y);
  c->anchor.x += shift.x;
  c->anchor.y += shift.y;
  if (unchanged(p)) return LH_OK;
  hinge = c->anchor;
  if (pivot) {
    st = lh_chart_place(ch, pivot->turns, pivot->up, &x, &y);
    if (st != LH_OK) return st;
    hinge = turned(&iso, x, y);
    hinge.x += shift.x;
    hinge.y += shift.y;
  }
  return change(ch, p, hinge, c);
}

/* ---- shapes ------------------------------------------------------------ */

static lh_shape *next_shape(lh_shapes *s)
{
  if (s->n == s->room) {
    size_t room = s->room ? 2 * s->room : 64;
    lh_shape *more = lh_arena_take(s->arena, room, sizeof *more);
    if (!more) return NULL;
    for (size_t i = 0; i < s->n; i++) more[i] = s->at[i];
    s->at = more;
    s->room = room;
  }
  return &s->at[s->n];
}

static void box_grow(lh_shape *s, const lh_nib *p, bool first)
{
  double r = 0.5 * p->width;

  if (first || p->x - r < s->left) s->left = p->x - r;
  if (first || p->x + r > s->right) s->right = p->x + r;
  if (first || p->y - r < s->low) s->low = p->y - r;
  if (first || p->y + r > s->high) s->high = p->y + r;
}

static lh_mark_why path_place(lh_shapes *s, lh_shape *out, const lh_mark *m,
                              const course *c)
{
  bool fill = m->kind == LH_FILL;
  lh_nib *nibs;

  if (s->nibs + m->n > LH_NIBS_MOST) return LH_MARK_TOO_MANY;
  nibs = lh_arena_take(s->arena, m->n, sizeof *nibs);
  if (!nibs) return LH_MARK_NO_ROOM;
  for (size_t i = 0; i < m->n; i++) {
    const lh_nib *q = &m->nibs[i];
    spot p = turned(&c->path, q->x, q->y);
    p = turned(&c->frame, c->size * p.x + c->at.x, c->size * p.y + c->at.y);
    nibs[i].x = p.x;
    nibs[i].y = p.y;
    nibs[i].width = fill ? 0.0 : c->size * q->width;
    nibs[i].coat = q->coat;
    box_grow(out, &nibs[i], i == 0);
  }
  out->kind = fill ? LH_POLYGON : LH_SWEEP;
  out->x = c->anchor.x;
  out->y = c->anchor.y;
  out->scale = 1.0 / c->local;
  out->edge = c->local * m->edge;
  out->coat = m->coat;
  out->nibs = nibs;
  out->n = m->n;
  s->nibs += m->n;
  return LH_MARK_FINE;
}

/* One end of a banding line: its place on the chart, and its soft edge. */
static lh_status ring_end(const lh_chart *ch, double up, double edge,
                          double *at, double *soft)
{
  double x, y, scale;
  bool open = up <= NEAR_END || up >= ch->length - NEAR_END;
  lh_status st;

  if (up < -NEAR_END || up > ch->length + NEAR_END) return LH_RANGE;
  if (up < 0.0) up = 0.0;
  if (up > ch->length) up = ch->length;
  st = lh_chart_place(ch, 0.0, up, &x, &y);
  if (st != LH_OK) return st;
  st = lh_chart_scale(ch, x, y, &scale);
  if (st != LH_OK) return st;
  *at = ch->kind == LH_CHART_BAND ? y : x;
  *soft = open ? -1.0 : edge / scale;
  return LH_OK;
}

static lh_mark_why ring_place(lh_shape *out, const lh_chart *ch,
                              const lh_mark *m)
{
  double mid;

  if (ring_end(ch, m->from, m->edge, &out->from, &out->edge_from) != LH_OK ||
      ring_end(ch, m->to, m->edge, &out->to, &out->edge_to) != LH_OK)
    return LH_MARK_OFF_ZONE;
  if (out->from > out->to) { /* a lid: up the profile is in to the centre */
    double at = out->from, soft = out->edge_from;
    out->from = out->to;
    out->to = at;
    out->edge_from = out->edge_to;
    out->edge_to = soft;
  }
  out->kind = LH_RING;
  out->coat = m->coat;
  mid = 0.5 * (out->from + out->to);
  if (lh_chart_scale(ch, ch->kind == LH_CHART_BAND ? 0.0 : mid,
                     ch->kind == LH_CHART_BAND ? mid : 0.0,
                     &out->scale) != LH_OK)
    return LH_MARK_OFF_ZONE;
  out->edge = m->edge / out->scale;
  return LH_MARK_FINE;
}

static lh_mark_why mark_place(lh_shapes *s, const lh_chart *ch,
                              const lh_mark *m, size_t number,
                              const lh_placing *p, const lh_anchor *pivot)
{
  lh_shape *out;
  lh_mark_why why;
  course c;

  if (s->n >= LH_MARKS_MOST) return LH_MARK_TOO_MANY;
  out = next_shape(s);
  if (!out) return LH_MARK_NO_ROOM;
  *out = (lh_shape){.slip = m->slip, .mark = number, .instance = p->instance};
  if (m->kind == LH_BANDING) {
    why = ring_place(out, ch, m);
  } else {
    if (course_set(ch, m, p, pivot, &c) != LH_OK) return LH_MARK_OFF_ZONE;
    why = path_place(s, out, m, &c);
  }
  if (why == LH_MARK_FINE) s->n++;
  return why;
}

static lh_status why_status(lh_mark_why why)
{
  switch (why) {
  case LH_MARK_FINE: return LH_OK;
  case LH_MARK_TOO_MANY:
  case LH_MARK_LAYERS: return LH_TOOLARGE;
  case LH_MARK_NO_ROOM: return LH_NOMEM;
  case LH_MARK_OFF_ZONE:
  case LH_MARK_WRAPS:
  case LH_MARK_TOO_LARGE: return LH_RANGE;
  default: return LH_INPUT;
  }
}

lh_status lh_place(lh_shapes *s, const lh_chart *ch, const lh_mark *marks,
                   size_t n, size_t first, const lh_placing *p, size_t n_p,
                   const lh_anchor *pivot, lh_mark_fault *fault)
{
  const lh_placing same = LH_PLACING_SAME;
  lh_mark_fault f = {LH_MARK_FINE, 0, 0};

  if (!p) {
    p = &same;
    n_p = 1;
  }
  for (size_t i = 0; i < n && f.why == LH_MARK_FINE; i++) {
    size_t times = marks[i].kind == LH_BANDING && n_p > 1 ? 1 : n_p;
    f.mark = i;
    f.why = lh_mark_check(&marks[i], &f.nib);
    for (size_t k = 0; k < times && f.why == LH_MARK_FINE; k++)
      f.why = mark_place(s, ch, &marks[i], first + i, &p[k], pivot);
  }
  if (fault) *fault = f;
  return why_status(f.why);
}
