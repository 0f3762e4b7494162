/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "window.h"

#include <math.h>

#include "difference.h"
#include "exact.h"
#include "window_walk.h"

static lh_status check(const lh_window_ask *a)
{
  if (!(a->tolerance > 0.0 && a->tolerance <= 1e3)) return LH_RANGE;
  if (a->by_colour)
    return isfinite(a->target.L + a->target.a + a->target.b) ? LH_OK : LH_RANGE;
  return a->best > 0.0 && a->best <= a->heaviest ? LH_OK : LH_RANGE;
}

/* Change of colour for each factor of 1.1 between the best coat and one side's
** end; `open` stands for an end that is not there. */
static double speed(lh_walk *k, const lh_window *w, double end, double open)
{
  const double step = 0.0953101798043248600; /* ln 1.1 */
  double x = end > 0.0 && isfinite(end) ? end : open;
  double steps = fabs(lh_exact_log(x / w->best)) / step;

  if (!(steps > 1e-9)) return 0.0;
  return lh_delta_e00(lh_walk_lab(k, x), w->lab) / steps;
}

/* Speeds within this factor are alike.  (judgement) */
static const double as_fast = 1.1;

static void sides(lh_walk *k, lh_window *w)
{
  w->thin_speed = speed(k, w, w->least, w->best / 4.0);
  w->thick_speed = speed(k, w, w->most, fmin(4.0 * w->best, k->heaviest));
  if (w->least == 0.0 && isfinite(w->most))
    w->thin_safer = true; /* it never goes wrong */
  else if (w->least > 0.0 && !isfinite(w->most))
    w->thin_safer = false;
  else
    w->thin_safer = w->thin_speed <= as_fast * w->thick_speed;
  w->alike = w->thin_speed <= as_fast * w->thick_speed &&
             w->thick_speed <= as_fast * w->thin_speed;
}

static void others(lh_walk *k, double tolerance, lh_window *w)
{
  lh_window_span s[LH_WINDOW_OTHERS + 1];
  size_t n = lh_walk_spans(k, tolerance, s, LH_WINDOW_OTHERS + 1);

  w->others = 0;
  for (size_t i = 0; i < n; i++) {
    if (i > LH_WINDOW_OTHERS) { /* more than there is room for */
      w->others++;
      continue;
    }
    if (w->best >= s[i].from && w->best <= s[i].to) continue;
    if (s[i].from < w->most && s[i].to > w->least) continue; /* of the window */
    if (w->others < LH_WINDOW_OTHERS) w->other[w->others] = s[i];
    w->others++;
  }
}

lh_status lh_window_find(const lh_window_ask *a, lh_window *w)
{
  lh_walk k;
  lh_status st = check(a);

  if (st == LH_OK) st = lh_walk_begin(a, &k);
  if (st != LH_OK) return st;
  k.half = a->tolerance / 12.0;
  k.near = 1e-12;
  k.wanted = a->target;
  if (!a->by_colour) k.wanted = lh_walk_lab(&k, a->best);
  *w = (lh_window){.wanted = k.wanted, .least = NAN, .most = NAN};
  w->best = a->by_colour ? lh_walk_nearest(&k) : a->best;
  w->lab = lh_walk_lab(&k, w->best);
  w->best_de00 = lh_delta_e00(w->lab, k.wanted);
  w->reached = w->best_de00 <= a->tolerance;
  w->covering = lh_walk_covering(&k);
  w->contrast_98 = lh_walk_contrast(&k);
  if (!w->reached) return LH_OK;
  w->least = lh_walk_end(&k, w->best, 0.0, a->tolerance);
  w->most = lh_walk_end(&k, w->best, a->heaviest, a->tolerance);
  if (isnan(w->least)) w->least = 0.0;
  if (isnan(w->most)) w->most = HUGE_VAL;
  if (w->best > 0.0) sides(&k, w);
  others(&k, a->tolerance, w);
  return LH_OK;
}

lh_status lh_window_curve(const lh_window_ask *a, const lh_window *w,
                          lh_window_point *p, size_t n)
{
  lh_walk k;
  lh_status st = check(a);
  double end = isfinite(w->most) ? 1.5 * w->most : 0.0, root;

  if (st == LH_OK && n < 2) st = LH_RANGE;
  if (st == LH_OK) st = lh_walk_begin(a, &k);
  if (st != LH_OK) return st;
  end = fmax(fmax(end, 2.0 * w->best), 1e-2 * a->heaviest);
  root = sqrt(fmin(end, a->heaviest)) / (double)(n - 1);
  for (size_t i = 0; i < n; i++) {
    p[i].coat = (double)i * root * ((double)i * root);
    p[i].lab = lh_walk_lab(&k, p[i].coat);
    p[i].srgb = lh_spectrum_srgb(lh_lab_xyz(p[i].lab, k.white), a->illuminant);
    p[i].de00 = lh_delta_e00(p[i].lab, w->wanted);
  }
  return LH_OK;
}
