/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "resample.h"

#include <math.h>
#include <stdbool.h>

/* Wavelengths are printed to 0.1 nm at best: nearer is the same. */
static const double SAME = 0.051; /* [nm] */

static const double BANDPASS = 10.0; /* half the triangle's foot, and its width
                                        at half height               [nm] */

static double last_of(const lh_wave_grid *g)
{
  return g->first + g->step * (double)(g->n - 1);
}

/* Whether a wavelength is one of the grid's own; if so which. */
static bool on_grid(const lh_wave_grid *g, double nm, size_t *i)
{
  double k = round((nm - g->first) / g->step);

  if (k < 0.0 || k > (double)(g->n - 1)) return false;
  *i = (size_t)k;
  return fabs(g->first + k * g->step - nm) < SAME;
}

static bool ours(const lh_wave_grid *g)
{
  size_t i;

  if (fabs(g->step - LH_WAVE_STEP) * (double)(g->n - 1) > 2.0 * SAME)
    return false;
  for (size_t w = 0; w < LH_WAVES; w++)
    if (lh_wave_nm(w) > g->first - SAME && lh_wave_nm(w) < last_of(g) + SAME &&
        !on_grid(g, lh_wave_nm(w), &i))
      return false;
  return true;
}

lh_status lh_resample_plan(const lh_wave_grid *g, lh_resample_info *info)
{
  *info = (lh_resample_info){LH_RESAMPLE_BETWEEN, 0, 0};
  if (g->n < LH_RESAMPLE_LEAST || g->n > LH_RESAMPLE_MOST) return LH_INPUT;
  if (!(g->step > 0.0) || !(g->first > 0.0) || !isfinite(last_of(g)))
    return LH_INPUT;
  for (size_t w = 0; w < LH_WAVES; w++) {
    info->low += lh_wave_nm(w) < g->first - SAME;
    info->high += lh_wave_nm(w) > last_of(g) + SAME;
  }
  if (g->step <= LH_RESAMPLE_FINE + 1e-9) info->way = LH_RESAMPLE_AVERAGED;
  if (ours(g)) info->way = LH_RESAMPLE_AS_IS;
  if (g->step > LH_RESAMPLE_WIDEST + 1e-9) return LH_RANGE;
  if (info->low > LH_RESAMPLE_HELD || info->high > LH_RESAMPLE_HELD)
    return LH_RANGE;
  return LH_OK;
}

/* ---- Sprague's curve ----------------------------------------------------- */

/* A reading, or one of the two beyond each end: CIE 167:2005, as weights of
** the six readings at that end, outermost first, in 209ths (from memory; they
** are checked by what they must give: tests/colour/test_resample.c). */
static double beyond(const lh_wave_grid *g, const double *r, long i)
{
  static const double weight[2][6] = {{508, -540, 488, -367, 144, -24},
                                      {884, -1960, 3033, -2648, 1080, -180}};
  long n = (long)g->n, out = i < 0 ? -i : i - (n - 1);
  double sum = 0.0;

  if (i >= 0 && i < n) return r[i];
  for (long k = 0; k < 6; k++)
    sum += weight[out - 1][k] * r[i < 0 ? k : n - 1 - k];
  return sum / 209.0;
}

double lh_resample_sprague(const lh_wave_grid *g, const double *r, double nm)
{
  double at = fmin(fmax((nm - g->first) / g->step, 0.0), (double)(g->n - 1));
  long i = (long)fmin(floor(at), (double)(g->n - 2));
  double x = at - (double)i, y[6], a[6];

  for (long k = 0; k < 6; k++) y[k] = beyond(g, r, i - 2 + k);
  /* CIE 15:2018: y = a0 + x (a1 + x (a2 + ...)). */
  a[0] = y[2];
  a[1] = (2 * y[0] - 16 * y[1] + 16 * y[3] - 2 * y[4]) / 24;
  a[2] = (-y[0] + 16 * y[1] - 30 * y[2] + 16 * y[3] - y[4]) / 24;
  a[3] =
      (-9 * y[0] + 39 * y[1] - 70 * y[2] + 66 * y[3] - 33 * y[4] + 7 * y[5]) /
      24;
  a[4] = (13 * y[0] - 64 * y[1] + 126 * y[2] - 124 * y[3] + 61 * y[4] -
          12 * y[5]) /
         24;
  a[5] =
      (-5 * y[0] + 25 * y[1] - 50 * y[2] + 50 * y[3] - 25 * y[4] + 5 * y[5]) /
      24;
  return a[0] + x * (a[1] + x * (a[2] + x * (a[3] + x * (a[4] + x * a[5]))));
}

/* ---- the triangle -------------------------------------------------------- */

static double triangle(const lh_wave_grid *g, const double *r, double nm)
{
  double room = fmin(nm - g->first, last_of(g) - nm);
  double half = fmin(BANDPASS, room), sum = 0.0, weight = 0.0, k;
  bool whole = fabs(BANDPASS / g->step - round(BANDPASS / g->step)) < 1e-6;
  double step = 1.0;
  size_t i = 0;

  whole = whole && on_grid(g, nm, &i);
  if (whole) step = g->step;
  for (k = -floor(half / step + 1e-6); k <= half / step + 1e-6; k++) {
    double part = half > 0.0 ? 1.0 - fabs(k) * step / half : 1.0;
    double v = whole ? r[(size_t)((double)i + k)]
                     : lh_resample_sprague(g, r, nm + k * step);
    if (k == 0.0) part = 1.0;
    if (part <= 0.0) continue;
    sum += part * v;
    weight += part;
  }
  return sum / weight;
}

static double value(const lh_wave_grid *g, const lh_resample_info *info,
                    const double *r, double nm)
{
  size_t i;

  if (info->way == LH_RESAMPLE_AS_IS && on_grid(g, nm, &i)) return r[i];
  if (info->way == LH_RESAMPLE_AVERAGED) return triangle(g, r, nm);
  return lh_resample_sprague(g, r, nm);
}

void lh_resample(const lh_wave_grid *g, const double *r, double out[LH_WAVES])
{
  lh_resample_info info;

  (void)lh_resample_plan(g, &info);
  for (size_t w = 0; w < LH_WAVES; w++) {
    /* Held wavelengths, and ends that differ by the printing. */
    double nm = fmin(fmax(lh_wave_nm(w), g->first), last_of(g));
    out[w] = fmax(value(g, &info, r, nm), 0.0);
  }
}

double lh_resample_doubt(size_t steps)
{
  return 0.02 * (double)steps;
}
