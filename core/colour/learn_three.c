/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn_three.h"

#include <math.h>
#include <string.h>

#include "exact.h"

/* What slips are mostly like, as mean and standard deviation (judgements):
** ln S about ln 0.02 m2/g; its slope over the visible; ln K about ln 0.005; and
** the cosines of ln K, two over their number: the quicker, the smaller. */
static const double S_MEAN = -3.9, S_SD = 1.5, SLOPE_MEAN = -0.3, SLOPE_SD = 1;
static const double K_MEAN = -5.3, K_SD = 3;

size_t lh_three_unknowns(const lh_three *l)
{
  return LH_THREE_OWN + l->n;
}

size_t lh_three_rows(const lh_three *l)
{
  return 3 * l->n + LH_THREE_OWN + l->n;
}

static bool finite_lab(lh_lab c)
{
  return fabs(c.L) <= 200 && fabs(c.a) <= 500 && fabs(c.b) <= 500;
}

lh_status lh_three_check(const lh_three *l, size_t *bad)
{
  *bad = l->n;
  if (l->n < 2 || l->n > LH_LEARN_TILES) return LH_RANGE;
  if (l->grounds < 1 || l->grounds > LH_LEARN_GROUNDS) return LH_RANGE;
  if (!(l->absorb >= 0 && l->absorb < 1)) return LH_RANGE;
  if (!(l->eaten >= 0) || !(l->share >= 0 && l->share <= 1)) return LH_RANGE;
  for (size_t i = 0; i < l->n; i++) {
    const lh_three_tile *t = &l->tiles[i];
    *bad = i;
    if (!(t->coat > 0 && t->coat <= 1e5) || t->ground >= l->grounds)
      return LH_RANGE;
    if (!(t->coat_sd > 0 && t->coat_sd <= 1) || !(t->sd > 0 && t->sd < 100))
      return LH_RANGE;
    if (!(t->glaze >= 0 && t->glaze <= 1e5) || !finite_lab(t->reading))
      return LH_RANGE;
    if ((l->surface != NULL) != (t->glaze > 0)) return LH_RANGE;
    if (!l->surface && t->surface) return LH_RANGE;
  }
  *bad = l->n;
  return LH_OK;
}

/* K and S from their ten numbers. */
void lh_three_optics(const double *p, lh_slip_optics *slip)
{
  for (size_t w = 0; w < LH_WAVES; w++) {
    double x = (double)w / (LH_WAVES - 1), k = 0, s, c;

    for (size_t j = 0; j < LH_THREE_K; j++) {
      lh_exact_sincos(0.5 * (double)j * x, &s, &c);
      k += p[j] * c;
    }
    s = p[LH_THREE_K] + p[LH_THREE_K + 1] * (2 * x - 1);
    slip->absorption[w] = lh_exact_exp(fmin(fmax(k, -23), 7));
    slip->scattering[w] = lh_exact_exp(fmin(fmax(s, -23), 7));
  }
}

static lh_lab colour(const lh_three *l, const double *p, const lh_three_tile *t,
                     double coat)
{
  const lh_glaze_table *surface = t->surface ? t->surface : l->surface;
  lh_slip_optics slip;
  double xyz[3] = {0, 0, 0}, gone = surface ? fmin(l->eaten, coat) : 0;

  lh_three_optics(p, &slip);
  for (size_t w = 0; w < LH_WAVES; w++) {
    double R = lh_layer_over(slip.absorption[w], slip.scattering[w],
                             coat - gone, l->ground[t->ground][w]);
    if (surface) {
      double taken = l->share * slip.absorption[w] * gone / 2;
      lh_boundary b = lh_glaze_at(surface, l->absorb * t->glaze + taken);
      R = lh_boundary_measured(&b, R);
    }
    for (int i = 0; i < 3; i++) xyz[i] += l->rows[i][w] * R;
  }
  return lh_xyz_lab((lh_xyz){xyz[0], xyz[1], xyz[2]}, l->white);
}

lh_lab lh_three_predict(const lh_three *l, const double *p,
                        const lh_three_tile *t)
{
  return colour(l, p, t, t->coat);
}

static double part(lh_lab c, size_t which)
{
  return which == 0 ? c.L : which == 1 ? c.a : c.b;
}

/* One of a tile's three numbers; the slopes are central differences. */
static size_t reading_row(const lh_three *l, const double *p, size_t i,
                          double *off, size_t *at, double *by)
{
  const lh_three_tile *t = &l->tiles[i / 3];
  size_t which = i % 3, tile = LH_THREE_OWN + i / 3;
  double moved[LH_THREE_OWN], factor = lh_exact_exp(p[tile]);
  double coat = t->coat * factor;
  const double step = 1e-4;
  double up, down;

  *off = (part(colour(l, p, t, coat), which) - part(t->reading, which)) / t->sd;
  memcpy(moved, p, sizeof moved);
  for (size_t j = 0; j < LH_THREE_HANGS; j++) {
    double x = coat;
    if (j < LH_THREE_OWN) moved[j] = p[j] + step;
    if (j == LH_THREE_OWN) x = coat * (1 + step);
    up = part(colour(l, moved, t, x), which);
    if (j < LH_THREE_OWN) moved[j] = p[j] - step;
    if (j == LH_THREE_OWN) x = coat * (1 - step);
    down = part(colour(l, moved, t, x), which);
    if (j < LH_THREE_OWN) moved[j] = p[j];
    at[j] = j < LH_THREE_OWN ? j : tile;
    by[j] = (up - down) / (2 * step * t->sd);
  }
  return LH_THREE_HANGS;
}

static void beforehand(size_t j, double *mean, double *sd)
{
  *mean = 0;
  *sd = 2.0 / (double)(j + 1);
  if (j == 0) *mean = K_MEAN, *sd = K_SD;
  if (j == LH_THREE_K) *mean = S_MEAN, *sd = S_SD;
  if (j == LH_THREE_K + 1) *mean = SLOPE_MEAN, *sd = SLOPE_SD;
}

size_t lh_three_row(const lh_three *l, const double *p, size_t i, double *off,
                    size_t *at, double *by)
{
  double mean, sd;

  if (i < 3 * l->n) return reading_row(l, p, i, off, at, by);
  i -= 3 * l->n;
  if (i < LH_THREE_OWN) {
    beforehand(i, &mean, &sd);
    at[0] = i;
  } else {
    mean = 0;
    sd = l->tiles[i - LH_THREE_OWN].coat_sd;
    at[0] = i;
  }
  *off = (p[at[0]] - mean) / sd;
  by[0] = 1 / sd;
  return 1;
}

/* Grey slips over a grid of K and S: the best of them. */
void lh_three_begin(const lh_three *l, double *p)
{
  double best = INFINITY, k = K_MEAN, s = S_MEAN;

  memset(p, 0, lh_three_unknowns(l) * sizeof *p);
  p[LH_THREE_K + 1] = SLOPE_MEAN;
  for (int i = 0; i <= 8; i++)
    for (int j = 0; j <= 8; j++) {
      double sum = 0;
      p[0] = K_MEAN - 4 + i;
      p[LH_THREE_K] = S_MEAN - 3 + 0.75 * j;
      for (size_t t = 0; t < l->n; t++) {
        const lh_three_tile *tile = &l->tiles[t];
        double d = colour(l, p, tile, tile->coat).L - tile->reading.L;
        sum += d * d;
      }
      if (sum < best) best = sum, k = p[0], s = p[LH_THREE_K];
    }
  p[0] = k;
  p[LH_THREE_K] = s;
}
