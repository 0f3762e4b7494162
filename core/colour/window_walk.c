/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "window_walk.h"

#include <math.h>
#include <string.h>

#include "difference.h"

/* White and black below a film for its contrast ratio.  ISO 6504 asks for a
** chart of about 80 % and of at most 5 %; its theory, for 0.80 and 0. */
static const double chart_white = 0.80;

void lh_walk_bend(lh_walk *k)
{
  double above = 0.0, left;

  for (size_t j = 0; j < k->at; j++) above += k->coat[j];
  left = (k->ready.glazed ? k->ready.eaten : 0.0) - above;
  k->bend = left > 0.0 ? left / k->factor : 0.0;
}

lh_status lh_walk_begin(const lh_window_ask *a, lh_walk *k)
{
  const lh_stack *s = a->stack;
  lh_status st = LH_OK;

  if (s->count > LH_STACK_LAYERS) return LH_TOOLARGE;
  if (a->at >= s->count || !(a->heaviest > 0.0 && a->heaviest <= 1e6))
    return LH_RANGE;
  for (size_t j = 0; j < s->count && st == LH_OK; j++) {
    if (j != a->at && !(s->layers[j].coat >= 0.0 && s->layers[j].coat <= 1e7))
      return LH_RANGE;
    k->slip[j] = (unsigned char)j;
    k->coat[j] = j == a->at ? 0.0 : s->layers[j].coat;
    st = lh_slip_prepare(s->layers[j].slip, &k->slips[j]);
  }
  if (st == LH_OK)
    st = lh_stack_prepare(k->slips, s->count, s->substrate, s->glaze,
                          s->geometry, a->illuminant, &k->ready);
  if (st != LH_OK) return st;
  k->count = s->count;
  k->at = a->at;
  k->factor = 1.0;
  k->heaviest = a->heaviest;
  k->white = lh_spectrum_white(a->illuminant);
  for (size_t i = 0; i < LH_WAVES; i++) {
    k->body[i] = a->body ? a->body[i] : (double)NAN;
    k->ground[i] = a->ground ? a->ground[i] : (double)NAN;
  }
  lh_walk_bend(k);
  return LH_OK;
}

lh_lab lh_walk_lab(lh_walk *k, double coat)
{
  k->coat[k->at] = coat * k->factor;
  return lh_xyz_lab(lh_stack_pixel(&k->ready, k->slip, k->coat, k->count, NULL),
                    k->white);
}

double lh_walk_off(lh_walk *k, double coat)
{
  return lh_delta_e00(lh_walk_lab(k, coat), k->wanted);
}

/* ---- strides ------------------------------------------------------------ */

typedef struct {
  double x, off;
  lh_lab lab;
} node;

static node node_at(lh_walk *k, double x)
{
  lh_lab lab = lh_walk_lab(k, x);

  return (node){x, lh_delta_e00(lab, k->wanted), lab};
}

/* One stride towards `limit`, as long as the colour lets it be. */
static node stride(lh_walk *k, node from, double limit, double *length)
{
  double way = limit > from.x ? 1.0 : -1.0;

  for (;;) {
    double to = from.x + way * *length;
    bool last = (limit - to) * way <= 0.0;
    if (last) to = limit;
    node half = node_at(k, 0.5 * (from.x + to)), end = node_at(k, to);
    double first = lh_delta_e00(from.lab, half.lab);
    double second = lh_delta_e00(half.lab, end.lab);
    if (fmax(first, second) <= k->half || *length <= 1e-9 * k->heaviest) {
      if (fmax(first, second) < 0.4 * k->half)
        *length = fmin(2.0 * *length, k->heaviest / 32.0);
      return end;
    }
    *length = 0.5 * (last ? fabs(to - from.x) : *length);
  }
}

/* The next halt on the way to `limit`: the bend, or the limit itself. */
static double halt(const lh_walk *k, double x, double limit)
{
  double low = fmin(x, limit), high = fmax(x, limit);

  return k->bend > low && k->bend < high ? k->bend : limit;
}

/* Where the difference passes `tolerance` between x (within) and y (not). */
static double crossing(lh_walk *k, double x, double y, double tolerance)
{
  for (int i = 0; i < 100; i++) {
    double mid = 0.5 * (x + y);
    if (fabs(y - x) <= k->near * fmax(x, y) || mid == x || mid == y) break;
    if (lh_walk_off(k, mid) <= tolerance)
      x = mid;
    else
      y = mid;
  }
  return x;
}

double lh_walk_end(lh_walk *k, double best, double limit, double tolerance)
{
  node at = node_at(k, best);
  double length = fmax(best, 1e-3 * k->heaviest) / 16.0;

  while (at.x != limit) {
    node next = stride(k, at, halt(k, at.x, limit), &length);
    if (!(next.off <= tolerance)) return crossing(k, at.x, next.x, tolerance);
    at = next;
  }
  return (double)NAN;
}

size_t lh_walk_spans(lh_walk *k, double tolerance, lh_window_span *s,
                     size_t room)
{
  node at = node_at(k, 0.0);
  double length = 1e-4 * k->heaviest, from = at.off <= tolerance ? 0.0 : -1.0;
  size_t n = 0;

  while (at.x < k->heaviest) {
    node next = stride(k, at, halt(k, at.x, k->heaviest), &length);
    bool was = at.off <= tolerance, is = next.off <= tolerance;
    bool last = next.x >= k->heaviest;
    if (!was && is) from = crossing(k, next.x, at.x, tolerance);
    if ((was && !is) || (is && last)) {
      double to = is ? HUGE_VAL : crossing(k, at.x, next.x, tolerance);
      if (n < room) s[n] = (lh_window_span){from, to};
      n++;
    }
    at = next;
  }
  return n;
}

/* Least difference between two coat weights, by golden section. */
static double lowest(lh_walk *k, double low, double high)
{
  const double g = 0.61803398874989485;
  double a = high - g * (high - low), b = low + g * (high - low);
  double fa = lh_walk_off(k, a), fb = lh_walk_off(k, b);

  while (high - low > fmax(k->near, 1e-9) * high) {
    if (fa <= fb) {
      high = b, b = a, fb = fa;
      a = high - g * (high - low);
      fa = lh_walk_off(k, a);
    } else {
      low = a, a = b, fa = fb;
      b = low + g * (high - low);
      fb = lh_walk_off(k, b);
    }
  }
  return 0.5 * (low + high);
}

/* Differences nearer than this to the least are as good.  (judgement) */
static const double as_good = 0.1;

double lh_walk_nearest(lh_walk *k)
{
  node at = node_at(k, 0.0), before = at;
  double length = 1e-4 * k->heaviest, low = 0.0, high = 0.0, best, off;
  double least = at.off;
  bool wants_next = true;

  while (at.x < k->heaviest) {
    before = at;
    at = stride(k, at, halt(k, at.x, k->heaviest), &length);
    if (wants_next) high = at.x;
    wants_next = at.off < least;
    if (wants_next) least = at.off, low = before.x, high = at.x;
  }
  best = lowest(k, low, high);
  off = lh_walk_off(k, best);
  if (off > lh_walk_off(k, high)) best = high, off = lh_walk_off(k, high);
  if (at.off <= off + as_good) { /* thicker makes no difference */
    double thin = lh_walk_end(k, best, 0.0, off + as_good);
    best = isnan(thin) ? best : thin;
  }
  return best;
}

/* ---- covering ----------------------------------------------------------- */

/* XYZ of the slip alone over a substrate. */
static lh_xyz alone(lh_walk *k, double coat, const double *below)
{
  double keep[LH_WAVES], real = coat * k->factor;
  unsigned char slip = k->slip[k->at];
  lh_xyz c;

  memcpy(keep, k->ready.substrate, sizeof keep);
  memcpy(k->ready.substrate, below, sizeof keep);
  c = lh_stack_pixel(&k->ready, &slip, &real, 1, NULL);
  memcpy(k->ready.substrate, keep, sizeof keep);
  return c;
}

/* How far the slip is from covering: dE00 over body and ground, less 1. */
static double seen_through(lh_walk *k, double coat)
{
  return lh_delta_e00(lh_xyz_lab(alone(k, coat, k->body), k->white),
                      lh_xyz_lab(alone(k, coat, k->ground), k->white)) -
         1.0;
}

/* How far its contrast ratio is from 0.98. */
static double contrast(lh_walk *k, double coat)
{
  double black[LH_WAVES], white[LH_WAVES];

  for (size_t i = 0; i < LH_WAVES; i++) black[i] = 0.0, white[i] = chart_white;
  return 0.98 - alone(k, coat, black).y / alone(k, coat, white).y;
}

/* From which coat weight on f is at most 0: from the thickest down in steps
** of an eighth of an octave, then by halving.  NaN when even the thickest is
** not; 0 when down to a sixteen-millionth all are. */
static double settled(lh_walk *k, double (*f)(lh_walk *, double))
{
  const double step = 0.917004043204671232; /* 2^(-1/8) */
  double x = k->heaviest, thinner = x;

  if (!(f(k, x) <= 0.0)) return (double)NAN;
  for (int i = 0; i < 8 * 24; i++) {
    thinner = x * step;
    if (!(f(k, thinner) <= 0.0)) break;
    x = thinner;
  }
  if (thinner == x) return 0.0;
  for (int i = 0; i < 60 && x - thinner > k->near * x; i++) {
    double mid = 0.5 * (x + thinner);
    if (f(k, mid) <= 0.0)
      x = mid;
    else
      thinner = mid;
  }
  return x;
}

double lh_walk_covering(lh_walk *k)
{
  if (isnan(k->body[0]) || isnan(k->ground[0])) return (double)NAN;
  return settled(k, seen_through);
}

double lh_walk_contrast(lh_walk *k)
{
  return settled(k, contrast);
}
