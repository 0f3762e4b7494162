/* SPDX-License-Identifier: GPL-3.0-or-later */
/* shape.c -- profiles, charts, repeats and dabs for the page. */
#include <string.h>

#include "room.h"

_Static_assert(sizeof(lh_point) == 2 * sizeof(double),
               "a point is two numbers");
_Static_assert(sizeof(lh_nib) == 4 * sizeof(double), "a nib is four numbers");

int lh_module_resize(const double *p, size_t n, int from, int to,
                     const double *shrink, double *q)
{
  lh_shrinkage sh = {{shrink[0], shrink[1]}, {shrink[2], shrink[3]}};

  return (int)lh_form_resize((const lh_point *)p, n, (lh_stage)from,
                             (lh_stage)to, &sh, (lh_point *)q);
}

/* The curve, in a room. */
static lh_curve *curve_of(const double *p, size_t n, void *room, size_t bytes,
                          lh_module_room **begun, lh_status *st)
{
  size_t own;
  lh_curve *c;

  *st = LH_NOMEM;
  *begun = lh_module_begin(room, bytes, &own);
  if (!*begun) return NULL;
  c = lh_arena_take(&(*begun)->arena, 1, sizeof *c);
  if (!c) return NULL;
  *st = lh_curve_build((const lh_point *)p, n, c, NULL);
  return *st == LH_OK ? c : NULL;
}

int lh_module_rings(const double *p, size_t n, void *room, size_t bytes,
                    size_t cap, double *out)
{
  lh_module_room *m;
  lh_status st;
  const lh_curve *c = curve_of(p, n, room, bytes, &m, &st);
  size_t step = 1, count;

  if (!c) return -(int)st;
  if (cap < 2) return -(int)LH_RANGE;
  /* Every caliper point stays a ring, so that corners stay. */
  while ((c->n - 1) / step + 1 > cap) step *= 2;
  count = (c->n - 1) / step + 1;
  for (size_t i = 0; i < count; i++, out += 5) {
    lh_curve_spot spot;
    st = lh_curve_at(c, c->s[i * step], &spot);
    if (st != LH_OK) return -(int)st;
    out[0] = c->r[i * step];
    out[1] = c->z[i * step];
    out[2] = spot.across.r;
    out[3] = spot.across.z;
    out[4] = c->s[i * step];
  }
  return (int)count;
}

int lh_module_chart(const double *p, size_t n, const double *zone, void *room,
                    size_t bytes, double *out)
{
  lh_module_room *m;
  lh_status st;
  const lh_curve *c = curve_of(p, n, room, bytes, &m, &st);
  lh_zone z = {(lh_face)(int)zone[0], (lh_chart_kind)(int)zone[1], zone[2],
               zone[3]};
  lh_chart *ch;

  if (!c) return (int)st;
  ch = m->chart = lh_arena_take(&m->arena, 1, sizeof *ch);
  if (!ch) return (int)LH_NOMEM;
  st = lh_chart_make(c, &z, ch, NULL);
  if (st != LH_OK) return (int)st;
  out[0] = ch->width;
  out[1] = ch->height;
  out[2] = ch->length;
  out[3] = ch->radius;
  out[4] = ch->rho_inner;
  out[5] = ch->hand;
  out[6] = ch->area;
  out[7] = ch->axis_high;
  return (int)LH_OK;
}

int lh_module_place(const void *room, double turns, double up, double *out)
{
  const lh_chart *ch = ((const lh_module_room *)room)->chart;
  lh_status st = lh_chart_place(ch, turns, up, &out[0], &out[1]);

  if (st == LH_OK) st = lh_chart_scale(ch, out[0], out[1], &out[2]);
  return (int)st;
}

int lh_module_back(const void *room, double x, double y, double *out)
{
  const lh_chart *ch = ((const lh_module_room *)room)->chart;
  lh_status st = lh_chart_back(ch, x, y, &out[0], &out[1]);

  if (st == LH_OK) st = lh_chart_scale(ch, x, y, &out[2]);
  return (int)st;
}

static void write_placing(const lh_placing *q, double *out)
{
  out[0] = (double)q->instance;
  out[1] = q->turns;
  out[2] = q->flip_x;
  out[3] = q->flip_y;
  out[4] = q->move_turns;
  out[5] = q->move_up;
  out[6] = q->turn;
  out[7] = q->scale;
}

int lh_module_repeat(int way, size_t count, double axis, const double *odd,
                     size_t n, void *room, size_t bytes, size_t cap,
                     double *out)
{
  size_t own, many = 0;
  lh_module_room *m = lh_module_begin(room, bytes, &own);
  lh_exception *ex = m ? lh_arena_take(&m->arena, n, sizeof *ex) : NULL;
  lh_placing *p = m ? lh_arena_take(&m->arena, cap, sizeof *p) : NULL;
  lh_repeat r = {(lh_symmetry)way, count, axis, ex, n};
  lh_status st;

  if (!ex || !p) return -(int)LH_NOMEM;
  if (way < 0 || way >= LH_SYMMETRIES) return -(int)LH_RANGE;
  for (size_t i = 0; i < n; i++, odd += 6) {
    if (!(odd[0] >= 0 && odd[0] < 1e9)) return -(int)LH_RANGE;
    ex[i] = (lh_exception){(size_t)odd[0], odd[1] != 0.0, odd[2],
                           odd[3],         odd[4],        odd[5]};
  }
  st = lh_repeat_fill(&r, p, cap, &many);
  if (st != LH_OK) return -(int)st;
  for (size_t i = 0; i < many; i++) write_placing(&p[i], out + 8 * i);
  return (int)many;
}

int lh_module_dab(double length, double width, double turn, double coat,
                  double tip_share, double *out)
{
  lh_nib nibs[LH_DAB_NIBS];
  lh_status st = lh_dab(length, width, turn, coat, tip_share, nibs);

  if (st != LH_OK) return -(int)st;
  memcpy(out, nibs, sizeof nibs);
  return LH_DAB_NIBS;
}
