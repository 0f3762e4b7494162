/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "clear.h"

#include <math.h>

/* Golden section: 44 steps narrow the piece to 1e-9 of its length. */
enum { STEPS = 44, SAMPLES = 9 };
#define GOLDEN 0.61803398874989485

/* A piece of a path on the chart, radius changing evenly. */
typedef struct {
  double ax, ay, bx, by, ra, rb; /* [chart mm] */
} piece;

typedef struct {
  double x, y;
} spot;

typedef struct {
  const lh_chart *ch;
  double least_scale;  /* of the whole chart */
  const double *bleed; /* of each slip; NULL: none            [mm] */
  double grow;         /* what the two shapes at hand bleed   [mm] */
  lh_clearance best;
} search;

/* ---- scale -------------------------------------------------------------- */

static double height_of(const lh_chart *ch, double x, double y)
{
  return ch->kind == LH_CHART_BAND ? y : sqrt(x * x + y * y);
}

double lh_clearance_scale(const lh_chart *ch, double h)
{
  bool band = ch->kind == LH_CHART_BAND;
  double low = band ? 0.0 : ch->rho_inner, scale;
  double high = band ? ch->height : ch->radius;

  h = h < low ? low : h > high ? high : h;
  if (lh_chart_scale(ch, band ? 0.0 : h, band ? h : 0.0, &scale) != LH_OK)
    return 1.0;
  return scale;
}

static double scale_most(const lh_chart *ch, spot p, spot q)
{
  double most = 0.0;

  for (int i = 0; i < SAMPLES; i++) {
    double t = (double)i / (SAMPLES - 1);
    double s = lh_clearance_scale(
        ch, height_of(ch, p.x + t * (q.x - p.x), p.y + t * (q.y - p.y)));
    if (s > most) most = s;
  }
  return most;
}

static double scale_least(const lh_chart *ch, double low, double high)
{
  double least = lh_clearance_scale(ch, low);

  for (int i = 1; i < SAMPLES; i++) {
    double s = lh_clearance_scale(ch, low + (high - low) * i / (SAMPLES - 1));
    if (s < least) least = s;
  }
  return least;
}

/* Heights that a piece covers, generously. */
static void piece_heights(const lh_chart *ch, const piece *p, double *low,
                          double *high)
{
  double a = height_of(ch, p->ax, p->ay), b = height_of(ch, p->bx, p->by);
  double r = p->ra > p->rb ? p->ra : p->rb;
  double dx = p->bx - p->ax, dy = p->by - p->ay;

  /* A straight piece in a disc passes nearer the centre than its ends. */
  if (ch->kind == LH_CHART_DISC) r += 0.5 * sqrt(dx * dx + dy * dy);
  *low = (a < b ? a : b) - r;
  *high = (a < b ? b : a) + r;
}

/* ---- distance of two pieces ---------------------------------------------- */

/* Least of |p - c(t)| - r(t) over the piece; where, in t of 0..1. */
static double point_gap(const piece *g, double x, double y, double *t)
{
  double dx = g->bx - g->ax, dy = g->by - g->ay;
  double l = sqrt(dx * dx + dy * dy), k, xi, eta, at, ex;

  *t = g->rb > g->ra ? 1.0 : 0.0;
  k = l > 0.0 ? (g->rb - g->ra) / l : 2.0;
  if (k >= 1.0 || k <= -1.0) { /* one disc holds the other */
    dx = x - (*t > 0.5 ? g->bx : g->ax);
    dy = y - (*t > 0.5 ? g->by : g->ay);
    return sqrt(dx * dx + dy * dy) - (*t > 0.5 ? g->rb : g->ra);
  }
  xi = ((x - g->ax) * dx + (y - g->ay) * dy) / l;
  eta = fabs((x - g->ax) * dy - (y - g->ay) * dx) / l;
  at = xi + eta * k / sqrt(1.0 - k * k);
  at = at < 0.0 ? 0.0 : at > l ? l : at;
  ex = xi - at;
  *t = at / l;
  return sqrt(ex * ex + eta * eta) - (g->ra + k * at);
}

static double pair_at(const piece *p, const piece *q, double u, double *t)
{
  return point_gap(p, q->ax + u * (q->bx - q->ax), q->ay + u * (q->by - q->ay),
                   t) -
         (q->ra + u * (q->rb - q->ra));
}

/* The least gap, and the two ends of it on the outlines. */
static double pair_gap(const piece *p, const piece *q, spot *on_p, spot *on_q)
{
  double a = 0.0, b = 1.0, t, u, d, r, cx, cy, dx, dy, l;
  double x1 = b - GOLDEN * (b - a), x2 = a + GOLDEN * (b - a);
  double f1 = pair_at(p, q, x1, &t), f2 = pair_at(p, q, x2, &t);

  for (int i = 0; i < STEPS; i++) {
    if (f1 < f2) {
      b = x2;
      x2 = x1;
      f2 = f1;
      x1 = b - GOLDEN * (b - a);
      f1 = pair_at(p, q, x1, &t);
    } else {
      a = x1;
      x1 = x2;
      f1 = f2;
      x2 = a + GOLDEN * (b - a);
      f2 = pair_at(p, q, x2, &t);
    }
  }
  u = 0.5 * (a + b);
  d = pair_at(p, q, u, &t);
  for (int end = 0; end < 2; end++) { /* golden section never tries an end */
    double te, de = pair_at(p, q, (double)end, &te);
    if (de > d) continue;
    d = de;
    u = (double)end;
    t = te;
  }
  cx = p->ax + t * (p->bx - p->ax);
  cy = p->ay + t * (p->by - p->ay);
  dx = q->ax + u * (q->bx - q->ax) - cx;
  dy = q->ay + u * (q->by - q->ay) - cy;
  l = sqrt(dx * dx + dy * dy);
  if (!(l > 0.0)) l = 1.0;
  r = p->ra + t * (p->rb - p->ra);
  *on_p = (spot){cx + dx / l * r, cy + dy / l * r};
  *on_q = (spot){on_p->x + dx / l * d, on_p->y + dy / l * d};
  return d;
}

/* ---- shapes ---------------------------------------------------------------
 */

static size_t pieces_of(const lh_shape *s)
{
  return s->kind == LH_POLYGON || s->n == 1 ? s->n : s->n - 1;
}

static piece piece_of(const lh_shape *s, size_t i, double shift)
{
  const lh_nib *a = &s->nibs[i], *b = &s->nibs[i + 1 < s->n ? i + 1 : 0];
  double x = s->x + shift;

  return (piece){x + a->x,    s->y + a->y,    x + b->x,
                 s->y + b->y, 0.5 * a->width, 0.5 * b->width};
}

static double apart(double a0, double a1, double b0, double b1)
{
  return a0 > b1 ? a0 - b1 : b0 > a1 ? b0 - a1 : 0.0;
}

/* A distance that two pieces are apart at least. */
static double pieces_apart(const piece *p, const piece *q)
{
  double rp = p->ra > p->rb ? p->ra : p->rb, rq = q->ra > q->rb ? q->ra : q->rb;
  double dx = apart(fmin(p->ax, p->bx), fmax(p->ax, p->bx), fmin(q->ax, q->bx),
                    fmax(q->ax, q->bx));
  double dy = apart(fmin(p->ay, p->by), fmax(p->ay, p->by), fmin(q->ay, q->by),
                    fmax(q->ay, q->by));

  return sqrt(dx * dx + dy * dy) - rp - rq;
}

static double shapes_apart(const lh_shape *s, const lh_shape *t, double shift)
{
  double dx = apart(s->x + s->left, s->x + s->right, t->x + t->left + shift,
                    t->x + t->right + shift);
  double dy =
      apart(s->y + s->low, s->y + s->high, t->y + t->low, t->y + t->high);

  return sqrt(dx * dx + dy * dy);
}

static void keep(search *c, double mm, double least, double most, spot at,
                 const size_t *who)
{
  lh_clearance *b = &c->best;

  mm -= c->grow;
  least -= c->grow;
  most -= c->grow;
  if (!b->found || least < b->least) b->least = least;
  if (!b->found || most < b->most) b->most = most;
  if (!b->found || mm < b->mm) {
    b->mm = mm;
    b->x = at.x;
    b->y = at.y;
    b->shape[0] = who[0];
    b->shape[1] = who[1];
  }
  b->found = true;
}

static void pieces_try(search *c, const piece *p, const piece *q,
                       const size_t *who)
{
  double d, low, high, low2, high2, scale;
  spot a, b, mid;

  if (c->best.found &&
      pieces_apart(p, q) * c->least_scale - c->grow > c->best.most)
    return;
  d = pair_gap(p, q, &a, &b);
  mid = (spot){0.5 * (a.x + b.x), 0.5 * (a.y + b.y)};
  scale = lh_clearance_scale(c->ch, height_of(c->ch, mid.x, mid.y));
  if (!(d > 0.0)) {
    keep(c, d * scale, d * scale, d * scale, mid, who);
    return;
  }
  piece_heights(c->ch, p, &low, &high);
  piece_heights(c->ch, q, &low2, &high2);
  low = fmin(low, low2) - d;
  high = fmax(high, high2) + d;
  keep(c, d * scale, d * scale_least(c->ch, low, high),
       d * scale_most(c->ch, a, b), mid, who);
}

/* Is the point within the polygon (even-odd)? */
static bool holds(const lh_shape *s, double shift, double x, double y)
{
  bool in = false;

  for (size_t i = 0; i < s->n; i++) {
    piece g = piece_of(s, i, shift);
    if ((g.ay <= y) == (g.by <= y)) continue;
    if (g.ax + (y - g.ay) * (g.bx - g.ax) / (g.by - g.ay) < x) in = !in;
  }
  return in;
}

static double grow_of(const search *c, const lh_shape *s)
{
  return c->bleed && s->slip >= 0 ? c->bleed[s->slip] : 0.0;
}

/* Shape t, moved by shift along the chart, beside shape s. */
static void shapes_try(search *c, const lh_shape *s, const lh_shape *t,
                       double shift, const size_t *who)
{
  spot first;

  c->grow = grow_of(c, s) + grow_of(c, t);
  if (c->best.found &&
      shapes_apart(s, t, shift) * c->least_scale - c->grow > c->best.most)
    return;
  for (size_t i = 0; i < pieces_of(s); i++) {
    piece p = piece_of(s, i, 0.0);
    for (size_t k = 0; k < pieces_of(t); k++) {
      piece q = piece_of(t, k, shift);
      pieces_try(c, &p, &q, who);
    }
  }
  first = (spot){t->x + shift + t->nibs[0].x, t->y + t->nibs[0].y};
  if (s->kind == LH_POLYGON && holds(s, 0.0, first.x, first.y))
    keep(c, 0.0, 0.0, 0.0, first, who);
  first = (spot){s->x + s->nibs[0].x, s->y + s->nibs[0].y};
  if (t->kind == LH_POLYGON && holds(t, shift, first.x, first.y))
    keep(c, 0.0, 0.0, 0.0, first, who);
}

/* All images of t that can stand next to s; `same`: of one instance, whose
** nearest image is the motif itself. */
static void images_try(search *c, const lh_shape *s, const lh_shape *t,
                       bool same, const size_t *who)
{
  double w = c->ch->width, home;

  if (c->ch->kind == LH_CHART_DISC) {
    if (!same) shapes_try(c, s, t, 0.0, who);
    return;
  }
  home = -floor((t->x - s->x) / w + 0.5);
  if (!same) shapes_try(c, s, t, home * w, who);
  shapes_try(c, s, t, (home - 1.0) * w, who);
  shapes_try(c, s, t, (home + 1.0) * w, who);
}

static void begin(search *c, const lh_chart *ch)
{
  double greatest;

  *c = (search){.ch = ch};
  lh_chart_scales(ch, &c->least_scale, &greatest);
}

lh_status lh_clearance_motifs(const lh_chart *ch, const lh_shape *s, size_t n,
                              const lh_watch *watch, lh_clearance *out)
{
  return lh_clearance_fired(ch, s, n, NULL, watch, out);
}

lh_status lh_clearance_fired(const lh_chart *ch, const lh_shape *s, size_t n,
                             const double *bleed, const lh_watch *watch,
                             lh_clearance *out)
{
  search c;

  begin(&c, ch);
  c.bleed = bleed;
  for (size_t i = 0; i < n; i++) {
    if (s[i].kind == LH_RING) continue;
    if (!lh_watch_go(watch, (double)i / (double)n)) return LH_CANCELLED;
    for (size_t k = i; k < n; k++) {
      size_t who[2] = {i, k};
      if (s[k].kind != LH_RING)
        images_try(&c, &s[i], &s[k], s[i].instance == s[k].instance, who);
    }
  }
  *out = c.best;
  return LH_OK;
}

lh_status lh_clearance_between(const lh_chart *ch, const lh_shape *s, size_t n,
                               const lh_shape *t, size_t m,
                               const lh_watch *watch, lh_clearance *out)
{
  search c;

  begin(&c, ch);
  for (size_t i = 0; i < n; i++) {
    if (s[i].kind == LH_RING) continue;
    if (!lh_watch_go(watch, (double)i / (double)n)) return LH_CANCELLED;
    for (size_t k = 0; k < m; k++) {
      size_t who[2] = {i, k};
      if (t[k].kind != LH_RING) images_try(&c, &s[i], &t[k], false, who);
    }
  }
  *out = c.best;
  return LH_OK;
}
