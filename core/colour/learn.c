/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn.h"

#include <math.h>
#include <string.h>

#include "exact.h"

/* How p is laid out: ln K [36], ln S [36], grounds [36 each] as logit of the
** internal reflectance, one ln factor a tile, then what is learnt of the
** glaze: ln absorb [36], ln eaten, logit share. */
enum { AT_K = 0, AT_S = LH_WAVES, AT_GROUND = 2 * LH_WAVES };

/* The least that ln K and ln S may be: a coat of a kilogram to the square
** metre would not show it. */
static const double FLOOR = -23.0;

size_t lh_learn_at_k(size_t wave)
{
  return AT_K + wave;
}

size_t lh_learn_at_s(size_t wave)
{
  return AT_S + wave;
}

size_t lh_learn_at_ground(size_t ground, size_t wave)
{
  return AT_GROUND + ground * LH_WAVES + wave;
}

size_t lh_learn_at_coat(const lh_learn *l, size_t tile)
{
  return lh_learn_at_ground(l->grounds, 0) + tile;
}

static size_t at_absorb(const lh_learn *l, size_t wave)
{
  return lh_learn_at_coat(l, l->n) + wave;
}

size_t lh_learn_at_eaten(const lh_learn *l)
{
  return at_absorb(l, l->learn_absorb ? LH_WAVES : 0);
}

size_t lh_learn_unknowns(const lh_learn *l)
{
  return lh_learn_at_eaten(l) + (l->learn_eaten ? 2 : 0);
}

/* Readings; smoothness of K, of S, of the glaze; a coat's doubt; and a weak
** word on the glaze, so that a tile set that is silent on it is no trap. */
static size_t bends(const lh_learn *l)
{
  return (l->learn_absorb ? 3U : 2U) * (LH_WAVES - 2);
}

static size_t weak(const lh_learn *l)
{
  return (l->learn_absorb ? LH_WAVES : 0U) + (l->learn_eaten ? 2U : 0U);
}

size_t lh_learn_rows(const lh_learn *l)
{
  return l->n * LH_WAVES + bends(l) + l->n + weak(l);
}

/* Logarithms that stop short of infinity: nothing stays nothing, all all. */
static double ln(double x)
{
  return x > 0 ? lh_exact_log(x) : -700;
}

static double logit(double x)
{
  x = fmin(fmax(x, 1e-12), 1 - 1e-12);
  return lh_exact_log(x / (1 - x));
}

static double unlogit(double y)
{
  return 1 / (1 + lh_exact_exp(-fmin(fmax(y, -600), 600)));
}

/* Bounded, so that a wild step of the fit stays a number. */
static double unln(double y)
{
  return lh_exact_exp(fmin(fmax(y, -700), 60));
}

/* ---- what can be asked --------------------------------------------------- */

static bool tile_good(const lh_learn *l, const lh_learn_tile *t)
{
  if (!(t->coat >= 0 && t->coat <= 1e5) || t->ground >= l->grounds)
    return false;
  if (!(t->glaze >= 0 && t->glaze <= 1e5)) return false;
  if ((l->surface != NULL) != (t->glaze > 0)) return false;
  if (t->coat > 0 && !(t->coat_sd > 0 && t->coat_sd <= 1)) return false;
  for (size_t w = 0; w < LH_WAVES; w++)
    if (!(t->reading[w] > -0.1 && t->reading[w] < 1.5) ||
        !(t->reading_sd[w] > 0 && t->reading_sd[w] < 1))
      return false;
  return true;
}

/* How many coat weights differ by more than a tenth. */
static size_t weights(const lh_learn *l, bool of_glaze)
{
  double seen[LH_LEARN_TILES];
  size_t count = 0;

  for (size_t i = 0; i < l->n; i++) {
    double x = of_glaze ? l->tiles[i].glaze : l->tiles[i].coat;
    bool is_new = x > 0;
    for (size_t j = 0; j < count; j++)
      if (fabs(x - seen[j]) <= 0.1 * fmax(x, seen[j])) is_new = false;
    if (is_new) seen[count++] = x;
  }
  return count;
}

lh_status lh_learn_check(const lh_learn *l, size_t *bad)
{
  *bad = l->n;
  if (l->n < 2 || l->n > LH_LEARN_TILES) return LH_RANGE;
  if (l->grounds < 1 || l->grounds > LH_LEARN_GROUNDS) return LH_RANGE;
  if (!(l->smooth > 0) || !(l->eaten >= 0) || !(l->share >= 0 && l->share <= 1))
    return LH_RANGE;
  for (size_t i = 0; i < l->n; i++)
    if (!tile_good(l, &l->tiles[i])) {
      *bad = i;
      return LH_RANGE;
    }
  for (size_t g = 0; g < l->grounds; g++) {
    bool alone = false;
    for (size_t i = 0; i < l->n; i++)
      alone |= l->tiles[i].ground == g && !(l->tiles[i].coat > 0);
    if (!alone) return LH_RANGE;
  }
  if (weights(l, false) < 1) return LH_RANGE;
  if (l->learn_absorb && (!l->surface || weights(l, true) < 2)) return LH_RANGE;
  if (l->learn_eaten &&
      (!l->surface || weights(l, false) < 5 || l->grounds < 2))
    return LH_RANGE;
  return LH_OK;
}

/* ---- the model at one wavelength ----------------------------------------- */

/* What one reading hangs on, in the order of its slopes. */
typedef struct {
  double k, s, ground, coat, absorb, eaten, share; /* as they stand in p */
} hangs;

static double read_one(const lh_learn *l, const hangs *h, double coat,
                       double glaze)
{
  double K = unln(fmax(h->k, FLOOR)), S = unln(fmax(h->s, FLOOR));
  double R = unlogit(h->ground), X = coat * unln(h->coat), tau, gone;

  if (!l->surface) return X > 0 ? lh_layer_over(K, S, X, R) : R;
  gone = fmin(unln(h->eaten), X);
  tau = unln(h->absorb) * glaze + unlogit(h->share) * K * gone / 2;
  if (X > gone) R = lh_layer_over(K, S, X - gone, R);
  lh_boundary b = lh_glaze_at(l->surface, tau);
  return lh_boundary_measured(&b, R);
}

static hangs at_wave(const lh_learn *l, const double *p, size_t ground,
                     size_t w)
{
  hangs h = {
      p[AT_K + w], p[AT_S + w], p[lh_learn_at_ground(ground, w)], 0, 0, 0, 0};

  h.absorb = l->learn_absorb ? p[at_absorb(l, w)] : ln(l->absorb[w]);
  h.eaten = l->learn_eaten ? p[lh_learn_at_eaten(l)] : ln(l->eaten);
  h.share = l->learn_eaten ? p[lh_learn_at_eaten(l) + 1] : logit(l->share);
  return h;
}

/* ---- rows -----------------------------------------------------------------
 */

/* Slope of a reading by one of its numbers: a central difference, whose error
** (1e-5 squared, of numbers of order one) is far below a reading's own. */
static double slope(const lh_learn *l, const lh_learn_tile *t, hangs *h,
                    double *x)
{
  const double step = 1e-5, was = *x;

  *x = was + step;
  double up = read_one(l, h, t->coat, t->glaze);
  *x = was - step;
  double down = read_one(l, h, t->coat, t->glaze);
  *x = was;
  return (up - down) / (2 * step);
}

static size_t reading_row(const lh_learn *l, const double *p, size_t i,
                          double *off, size_t *at, double *by)
{
  size_t tile = i / LH_WAVES, w = i % LH_WAVES, n = 0;
  const lh_learn_tile *t = &l->tiles[tile];
  hangs h = at_wave(l, p, t->ground, w);
  double one = 1 / t->reading_sd[w];

  h.coat = p[lh_learn_at_coat(l, tile)];
  *off = (read_one(l, &h, t->coat, t->glaze) - t->reading[w]) * one;
  at[n] = lh_learn_at_ground(t->ground, w);
  by[n++] = slope(l, t, &h, &h.ground) * one;
  if (l->learn_absorb) {
    at[n] = at_absorb(l, w);
    by[n++] = slope(l, t, &h, &h.absorb) * one;
  }
  if (!(t->coat > 0)) return n;
  at[n] = AT_K + w;
  by[n++] = slope(l, t, &h, &h.k) * one;
  at[n] = AT_S + w;
  by[n++] = slope(l, t, &h, &h.s) * one;
  at[n] = lh_learn_at_coat(l, tile);
  by[n++] = slope(l, t, &h, &h.coat) * one;
  if (l->learn_eaten) {
    at[n] = lh_learn_at_eaten(l);
    by[n++] = slope(l, t, &h, &h.eaten) * one;
    at[n] = lh_learn_at_eaten(l) + 1;
    by[n++] = slope(l, t, &h, &h.share) * one;
  }
  return n;
}

/* The second difference of three neighbours. */
static size_t bend_row(const lh_learn *l, const double *p, size_t i,
                       double *off, size_t *at, double *by)
{
  size_t which = i / (LH_WAVES - 2), w = i % (LH_WAVES - 2);
  size_t first = which == 0   ? AT_K + w
                 : which == 1 ? AT_S + w
                              : at_absorb(l, w);

  *off = (p[first] - 2 * p[first + 1] + p[first + 2]) / l->smooth;
  for (size_t j = 0; j < 3; j++) {
    at[j] = first + j;
    by[j] = (j == 1 ? -2 : 1) / l->smooth;
  }
  return 3;
}

static size_t coat_row(const lh_learn *l, const double *p, size_t tile,
                       double *off, size_t *at, double *by)
{
  const lh_learn_tile *t = &l->tiles[tile];
  double sd = t->coat > 0 ? t->coat_sd : 1;

  at[0] = lh_learn_at_coat(l, tile);
  by[0] = 1 / sd;
  *off = p[at[0]] / sd;
  return 1;
}

/* Within a factor of e squared of where it began, one standard deviation (a
** judgement): no more than a hint. */
static size_t weak_row(const lh_learn *l, const double *p, size_t i,
                       double *off, size_t *at, double *by)
{
  const double sd = 2;
  size_t waves = l->learn_absorb ? LH_WAVES : 0;
  double was;

  if (i < waves) {
    at[0] = at_absorb(l, i);
    was = ln(l->absorb[i]);
  } else {
    at[0] = lh_learn_at_eaten(l) + (i - waves);
    was = i == waves ? ln(l->eaten) : logit(l->share);
  }
  by[0] = 1 / sd;
  *off = (p[at[0]] - was) / sd;
  return 1;
}

size_t lh_learn_row(const lh_learn *l, const double *p, size_t i, double *off,
                    size_t at[LH_LEARN_HANGS], double by[LH_LEARN_HANGS])
{
  size_t readings = l->n * LH_WAVES;

  if (i < readings) return reading_row(l, p, i, off, at, by);
  i -= readings;
  if (i < bends(l)) return bend_row(l, p, i, off, at, by);
  i -= bends(l);
  if (i < l->n) return coat_row(l, p, i, off, at, by);
  return weak_row(l, p, i - l->n, off, at, by);
}

/* ---- where to begin --------------------------------------------------------
 */

/* The ground's internal reflectance from its own tiles. */
static void begin_ground(const lh_learn *l, double *p, size_t g)
{
  for (size_t w = 0; w < LH_WAVES; w++) {
    double sum = 0, R;
    size_t n = 0;
    for (size_t i = 0; i < l->n; i++) {
      const lh_learn_tile *t = &l->tiles[i];
      if (t->ground != g || t->coat > 0) continue;
      R = t->reading[w];
      if (l->surface) {
        lh_boundary b = lh_glaze_at(l->surface, l->absorb[w] * t->glaze);
        R = lh_boundary_internal(&b, R);
      }
      sum += R;
      n++;
    }
    p[lh_learn_at_ground(g, w)] =
        logit(fmin(fmax(sum / (double)n, 1e-3), 0.95));
  }
}

static double squares(const lh_learn *l, const double *p, size_t w)
{
  double sum = 0;

  for (size_t i = 0; i < l->n; i++) {
    const lh_learn_tile *t = &l->tiles[i];
    if (!(t->coat > 0)) continue;
    hangs h = at_wave(l, p, t->ground, w);
    double d = read_one(l, &h, t->coat, t->glaze) - t->reading[w];
    sum += d * d;
  }
  return sum;
}

/* A grid of S from 1e-5 to 1 m2/g and K/S from 1e-4 to 1e3, in steps of the
** square root of ten. */
static void begin_wave(const lh_learn *l, double *p, size_t w)
{
  const double step = 0.5 * ln(10);
  double best = INFINITY, k = 0, s = 0;

  for (int i = 0; i <= 10; i++)
    for (int j = 0; j <= 14; j++) {
      double sum;
      p[AT_S + w] = ln(1e-5) + step * i;
      p[AT_K + w] = p[AT_S + w] + ln(1e-4) + step * j;
      sum = squares(l, p, w);
      if (sum < best) best = sum, k = p[AT_K + w], s = p[AT_S + w];
    }
  p[AT_K + w] = k;
  p[AT_S + w] = s;
}

void lh_learn_begin(const lh_learn *l, double *p)
{
  memset(p, 0, lh_learn_unknowns(l) * sizeof *p);
  if (l->learn_absorb)
    for (size_t w = 0; w < LH_WAVES; w++) p[at_absorb(l, w)] = ln(l->absorb[w]);
  if (l->learn_eaten) {
    p[lh_learn_at_eaten(l)] = ln(l->eaten);
    p[lh_learn_at_eaten(l) + 1] = logit(l->share);
  }
  for (size_t g = 0; g < l->grounds; g++) begin_ground(l, p, g);
  for (size_t w = 0; w < LH_WAVES; w++) begin_wave(l, p, w);
}

/* ---- what came out ----------------------------------------------------------
 */

void lh_learn_predict(const lh_learn *l, const double *p, double coat,
                      double glaze, size_t ground, double out[LH_WAVES])
{
  for (size_t w = 0; w < LH_WAVES; w++) {
    hangs h = at_wave(l, p, ground, w);
    out[w] = read_one(l, &h, coat, glaze);
  }
}

void lh_learn_optics(const lh_learn *l, const double *p, lh_slip_optics *slip)
{
  (void)l;
  for (size_t w = 0; w < LH_WAVES; w++) {
    slip->absorption[w] = unln(fmax(p[AT_K + w], FLOOR));
    slip->scattering[w] = unln(fmax(p[AT_S + w], FLOOR));
  }
}

void lh_learn_ground(const lh_learn *l, const double *p, size_t ground,
                     double out[LH_WAVES])
{
  (void)l;
  for (size_t w = 0; w < LH_WAVES; w++)
    out[w] = unlogit(p[lh_learn_at_ground(ground, w)]);
}

void lh_learn_glaze(const lh_learn *l, const double *p, double absorb[LH_WAVES],
                    double *eaten, double *share)
{
  for (size_t w = 0; w < LH_WAVES; w++)
    absorb[w] = l->learn_absorb ? unln(p[at_absorb(l, w)]) : l->absorb[w];
  *eaten = l->learn_eaten ? unln(p[lh_learn_at_eaten(l)]) : l->eaten;
  *share = l->learn_eaten ? unlogit(p[lh_learn_at_eaten(l) + 1]) : l->share;
}

double lh_learn_coat(const lh_learn *l, const double *p, size_t tile)
{
  return unln(p[lh_learn_at_coat(l, tile)]);
}
