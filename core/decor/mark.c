/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "mark.h"

#include <math.h>

#include "exact.h"
#include "form.h"

/* Beyond this many turns a number is a mistake. (judgement) */
#define TURNS_LARGEST 1000000.0

static bool is_finite(double x)
{
  return x - x == 0.0;
}

static lh_mark_why size_check(double x, double most)
{
  if (!is_finite(x)) return LH_MARK_NOT_NUMBER;
  return x < -most || x > most ? LH_MARK_TOO_LARGE : LH_MARK_FINE;
}

static lh_mark_why coat_check(double coat)
{
  if (!is_finite(coat)) return LH_MARK_NOT_NUMBER;
  return coat < 0.0 || coat > LH_COAT_MOST ? LH_MARK_COAT : LH_MARK_FINE;
}

static lh_mark_why nib_check(const lh_nib *p)
{
  lh_mark_why why;

  if ((why = size_check(p->x, LH_FORM_LARGEST)) != LH_MARK_FINE) return why;
  if ((why = size_check(p->y, LH_FORM_LARGEST)) != LH_MARK_FINE) return why;
  if ((why = size_check(p->width, LH_FORM_LARGEST)) != LH_MARK_FINE) return why;
  if (p->width < 0.0) return LH_MARK_WIDTH;
  return coat_check(p->coat);
}

static lh_mark_why local_check(const lh_local *l)
{
  lh_mark_why why;

  if ((why = size_check(l->x, LH_FORM_LARGEST)) != LH_MARK_FINE) return why;
  if ((why = size_check(l->y, LH_FORM_LARGEST)) != LH_MARK_FINE) return why;
  if ((why = size_check(l->turn, TURNS_LARGEST)) != LH_MARK_FINE) return why;
  if ((why = size_check(l->scale, LH_FORM_LARGEST)) != LH_MARK_FINE) return why;
  return l->scale > 0.0 ? LH_MARK_FINE : LH_MARK_SCALE;
}

static bool count_fits(const lh_mark *m)
{
  if (m->n > LH_NIBS_MOST || (m->n && !m->nibs)) return false;
  switch (m->kind) {
  case LH_DOT: return m->n == 1;
  case LH_FILL: return m->n >= 3;
  case LH_BANDING: return m->n == 0;
  default: return m->n >= 1;
  }
}

static lh_mark_why banding_check(const lh_mark *m)
{
  lh_mark_why why;

  if ((why = size_check(m->from, LH_FORM_LARGEST)) != LH_MARK_FINE) return why;
  if ((why = size_check(m->to, LH_FORM_LARGEST)) != LH_MARK_FINE) return why;
  return m->from < m->to ? LH_MARK_FINE : LH_MARK_OFF_ZONE;
}

lh_mark_why lh_mark_check(const lh_mark *m, size_t *nib)
{
  lh_mark_why why;

  if (nib) *nib = 0;
  if ((int)m->kind < 0 || m->kind >= LH_MARK_KINDS) return LH_MARK_KIND;
  if (m->kind == LH_SGRAFFITO ? m->slip != LH_NO_SLIP : m->slip < 0)
    return LH_MARK_SLIP;
  if (!count_fits(m)) return LH_MARK_NIBS;
  if (!is_finite(m->edge)) return LH_MARK_NOT_NUMBER;
  if (m->edge < 0.0 || m->edge > LH_EDGE_WIDEST) return LH_MARK_EDGE;
  if (m->kind == LH_FILL || m->kind == LH_BANDING)
    if ((why = coat_check(m->coat)) != LH_MARK_FINE) return why;
  if (m->kind == LH_BANDING) return banding_check(m);
  if ((why = size_check(m->anchor.turns, TURNS_LARGEST)) != LH_MARK_FINE)
    return why;
  if ((why = size_check(m->anchor.up, LH_FORM_LARGEST)) != LH_MARK_FINE)
    return why;
  if ((why = local_check(&m->local)) != LH_MARK_FINE) return why;
  for (size_t i = 0; i < m->n; i++)
    if ((why = nib_check(&m->nibs[i])) != LH_MARK_FINE) {
      if (nib) *nib = i;
      return why;
    }
  return LH_MARK_FINE;
}

lh_status lh_dab(double length, double width, double turn, double coat,
                 double tip_share, lh_nib *nibs)
{
  double s, c, first = 0.35 * width, last = 0.05 * width;

  if (!(width > 0.0) || !(length >= 1.5 * width)) return LH_RANGE;
  if (!(length <= LH_FORM_LARGEST) || !(coat >= 0.0)) return LH_RANGE;
  if (!(coat <= LH_COAT_MOST) || !(tip_share >= 0.0) || !(tip_share <= 1.0))
    return LH_RANGE;
  if (!(turn >= -TURNS_LARGEST && turn <= TURNS_LARGEST)) return LH_RANGE;
  lh_exact_sincos(turn, &s, &c);
  for (int i = 0; i < LH_DAB_NIBS; i++) {
    double u = (double)i / (LH_DAB_NIBS - 1); /* 0 set down, 1 lifted */
    double x = -0.5 * length + first + u * (length - first - last);
    double r, v;

    if (3.0 * u < 1.0) {
      v = 1.0 - 3.0 * u;
      r = width * (0.5 - 0.15 * v * v);
    } else {
      v = (3.0 * u - 1.0) / 2.0;
      r = width * (0.5 - 0.45 * v * sqrt(v));
    }
    nibs[i].x = c * x;
    nibs[i].y = s * x;
    nibs[i].width = 2.0 * r;
    nibs[i].coat = coat * (1.0 - u * (1.0 - tip_share));
  }
  return LH_OK;
}

lh_local lh_local_join(const lh_local *outer, const lh_local *inner)
{
  double s, c, x = inner->x, y = inner->y;
  bool mirrored = outer->flip_x != outer->flip_y;
  lh_local j;

  if (outer->flip_x) x = -x;
  if (outer->flip_y) y = -y;
  lh_exact_sincos(outer->turn, &s, &c);
  j.x = outer->x + outer->scale * (c * x - s * y);
  j.y = outer->y + outer->scale * (s * x + c * y);
  /* F R(t) = R(-t) F when F mirrors, R(t) F when it turns by a half. */
  j.turn = outer->turn + (mirrored ? -inner->turn : inner->turn);
  j.scale = outer->scale * inner->scale;
  j.flip_x = outer->flip_x != inner->flip_x;
  j.flip_y = outer->flip_y != inner->flip_y;
  return j;
}
