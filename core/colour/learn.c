/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn.h"

#include <math.h>
#include <string.h>

#include "exact.h"

/* How p is laid out: ln K [36], ln S [36], grounds [36 each] as logit of the
** internal reflectance, one ln factor a tile, then what is learnt of the
** glaze: ln absorb [36], ln eaten, logit share; of a stain ln K [36], ln S. */
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

size_t lh_learn_at_stain(const lh_learn *l, size_t wave)
{
  return lh_learn_at_eaten(l) + (l->learn_eaten ? 2 : 0) + wave;
}

size_t lh_learn_unknowns(const lh_learn *l)
{
  return lh_learn_at_stain(l, l->stained ? 2 * LH_WAVES : 0);
}

/* Readings; smoothness of K, of S, of the glaze, of the stain; a coat's doubt;
** and a weak word on glaze and stain, so that a tile set that is silent on
** them is no trap. */
static size_t bends(const lh_learn *l)
{
  return ((l->learn_absorb ? 3U : 2U) + (l->stained ? 2U : 0U)) *
         (LH_WAVES - 2);
}

static size_t weak(const lh_learn *l)
{
  return (l->learn_absorb ? LH_WAVES : 0U) + (l->learn_eaten ? 2U : 0U) +
         (l->stained ? 2U * LH_WAVES : 0U);
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

/* ---- the model at one wavelength ----------------------------------------- */

/* What one reading hangs on, in plain numbers. */
typedef struct {
  double k, s, ground, coat, absorb, eaten, share, k2, s2;
} hangs;

static double read_one(const lh_learn *l, const hangs *h,
                       const lh_learn_tile *t)
{
  const lh_glaze_table *surface = t->surface ? t->surface : l->surface;
  double K = h->k, S = h->s, R = h->ground, X = t->coat * h->coat, tau, gone;

  if (l->stained) {
    K += t->stain * (h->k2 - K);
    S += t->stain * (h->s2 - S);
  }
  if (!surface) return X > 0 ? lh_layer_over(K, S, X, R) : R;
  gone = fmin(h->eaten, X);
  tau = h->absorb * t->glaze + h->share * K * gone / 2;
  if (X > gone) R = lh_layer_over(K, S, X - gone, R);
  lh_boundary b = lh_glaze_at(surface, tau);
  return lh_boundary_measured(&b, R);
}

static hangs at_wave(const lh_learn *l, const double *p, size_t ground,
                     size_t w)
{
  hangs h = {.k = unln(fmax(p[AT_K + w], FLOOR)),
             .s = unln(fmax(p[AT_S + w], FLOOR)),
             .ground = unlogit(p[lh_learn_at_ground(ground, w)]),
             .coat = 1,
             .absorb = l->absorb[w],
             .eaten = l->eaten,
             .share = l->share};

  if (l->learn_absorb) h.absorb = unln(p[at_absorb(l, w)]);
  if (l->learn_eaten) {
    h.eaten = unln(p[lh_learn_at_eaten(l)]);
    h.share = unlogit(p[lh_learn_at_eaten(l) + 1]);
  }
  if (!l->stained) return h;
  h.k2 = unln(fmax(p[lh_learn_at_stain(l, w)], FLOOR));
  h.s2 = unln(fmax(p[lh_learn_at_stain(l, LH_WAVES + w)], FLOOR));
  return h;
}

/* ---- rows -----------------------------------------------------------------
 */

/* Slope of a reading by the unknown behind one of its numbers, which changes
** that number by `by` times itself: a central difference, whose error (1e-5
** squared, of numbers of order one) is far below a reading's own. */
static double slope(const lh_learn *l, const lh_learn_tile *t, hangs *h,
                    double *x, double by)
{
  const double step = 1e-5, was = *x;

  *x = was * (1 + by * step);
  double up = read_one(l, h, t);
  *x = was * (1 - by * step);
  double down = read_one(l, h, t);
  *x = was;
  return (up - down) / (2 * step);
}

/* A number at its floor does not move. */
static double moves(const double *p, size_t at)
{
  return p[at] > FLOOR ? 1 : 0;
}

typedef struct {
  const lh_learn *l;
  const lh_learn_tile *t;
  hangs h;
  double one; /* over the reading's standard deviation */
  size_t n, *at;
  double *by;
} slopes;

static void add(slopes *s, double *x, size_t at, double by)
{
  s->at[s->n] = at;
  s->by[s->n++] = slope(s->l, s->t, &s->h, x, by) * s->one;
}

static size_t reading_row(const lh_learn *l, const double *p, size_t i,
                          double *off, size_t *at, double *by)
{
  size_t tile = i / LH_WAVES, w = i % LH_WAVES;
  const lh_learn_tile *t = &l->tiles[tile];
  slopes s = {l,  t, at_wave(l, p, t->ground, w), 1 / t->reading_sd[w], 0,
              at, by};
  hangs *h = &s.h;
  size_t eaten = lh_learn_at_eaten(l), stain = lh_learn_at_stain(l, w);

  if (t->coat > 0) h->coat = unln(p[lh_learn_at_coat(l, tile)]);
  *off = (read_one(l, h, t) - t->reading[w]) * s.one;
  add(&s, &h->ground, lh_learn_at_ground(t->ground, w), 1 - h->ground);
  if (l->learn_absorb) add(&s, &h->absorb, at_absorb(l, w), 1);
  if (!(t->coat > 0)) return s.n;
  add(&s, &h->k, AT_K + w, moves(p, AT_K + w));
  add(&s, &h->s, AT_S + w, moves(p, AT_S + w));
  add(&s, &h->coat, lh_learn_at_coat(l, tile), 1);
  if (l->learn_eaten) {
    add(&s, &h->eaten, eaten, 1);
    add(&s, &h->share, eaten + 1, 1 - h->share);
  }
  if (!l->stained || !(t->stain > 0)) return s.n;
  add(&s, &h->k2, stain, moves(p, stain));
  add(&s, &h->s2, stain + LH_WAVES, moves(p, stain + LH_WAVES));
  return s.n;
}

/* Where the unknowns begin that bend smoothly: K, S, the stain's, the glaze. */
static size_t smooth_at(const lh_learn *l, size_t which)
{
  if (which == 0) return AT_K;
  if (which == 1) return AT_S;
  if (l->stained && which < 4)
    return lh_learn_at_stain(l, which == 2 ? 0 : LH_WAVES);
  return at_absorb(l, 0);
}

/* The second difference of three neighbours. */
static size_t bend_row(const lh_learn *l, const double *p, size_t i,
                       double *off, size_t *at, double *by)
{
  size_t which = i / (LH_WAVES - 2), w = i % (LH_WAVES - 2);
  size_t first = smooth_at(l, which) + w;

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

/* A stain's ln K and ln S, mean and standard deviation (judgements): 0.3 and
** 0.1 m2/g within a factor of e cubed, no more than a hint. */
static const double STAIN_K = -1.2, STAIN_S = -2.3, STAIN_SD = 3;

/* Within a factor of e squared of where it began, one standard deviation (a
** judgement): no more than a hint. */
static size_t weak_row(const lh_learn *l, const double *p, size_t i,
                       double *off, size_t *at, double *by)
{
  size_t waves = l->learn_absorb ? LH_WAVES : 0;
  double was, sd = 2;

  if (i < waves) {
    at[0] = at_absorb(l, i);
    was = ln(l->absorb[i]);
  } else if (l->learn_eaten && i < waves + 2) {
    at[0] = lh_learn_at_eaten(l) + (i - waves);
    was = i == waves ? ln(l->eaten) : logit(l->share);
  } else {
    i -= waves + (l->learn_eaten ? 2 : 0);
    at[0] = lh_learn_at_stain(l, i);
    was = i < LH_WAVES ? STAIN_K : STAIN_S;
    sd = STAIN_SD;
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
        lh_boundary b = lh_glaze_at(t->surface ? t->surface : l->surface,
                                    l->absorb[w] * t->glaze);
        R = lh_boundary_internal(&b, R);
      }
      sum += R;
      n++;
    }
    p[lh_learn_at_ground(g, w)] =
        logit(fmin(fmax(sum / (double)n, 1e-3), 0.95));
  }
}

/* How far off the coated tiles of a strength are; of all, for less than 0. */
static double squares(const lh_learn *l, const double *p, size_t w,
                      double stain)
{
  double sum = 0;

  for (size_t i = 0; i < l->n; i++) {
    const lh_learn_tile *t = &l->tiles[i];
    if (!(t->coat > 0) || (stain >= 0 && t->stain != stain)) continue;
    hangs h = at_wave(l, p, t->ground, w);
    h.k2 = h.k, h.s2 = h.s; /* one slip, whatever is in it */
    double d = read_one(l, &h, t) - t->reading[w];
    sum += d * d;
  }
  return sum;
}

/* The best of a grid about ln S and ln K - ln S. */
static void best_of(const lh_learn *l, double *p, size_t w, double stain,
                    double s0, int ns, double r0, int nr, double step)
{
  double best = INFINITY, k = 0, s = 0;

  for (int i = 0; i <= ns; i++)
    for (int j = 0; j <= nr; j++) {
      double sum;
      p[AT_S + w] = s0 + step * i;
      p[AT_K + w] = p[AT_S + w] + r0 + step * j;
      sum = squares(l, p, w, stain);
      if (sum < best) best = sum, k = p[AT_K + w], s = p[AT_S + w];
    }
  p[AT_K + w] = k;
  p[AT_S + w] = s;
}

/* A grid of S from 1e-5 to 1 m2/g and K/S from 1e-4 to 1e3, in steps of the
** square root of ten. */
static void begin_wave(const lh_learn *l, double *p, size_t w, double stain)
{
  best_of(l, p, w, stain, ln(1e-5), 10, ln(1e-4), 14, 0.5 * ln(10));
}

/* Finer about what was found. */
static void closer(const lh_learn *l, double *p, size_t w, double stain)
{
  for (double step = 0.25 * ln(10); step > 0.05; step /= 2)
    best_of(l, p, w, stain, p[AT_S + w] - 2 * step, 4,
            p[AT_K + w] - p[AT_S + w] - 2 * step, 4, step);
}

/* What base and stain have when their mixtures have low and high; no less than
** a hundredth of either. */
static void part(double low, double high, double c, double d, double *base,
                 double *stain)
{
  double by = (unln(high) - unln(low)) / (d - c), b = unln(low) - c * by;

  *base = ln(fmax(b, 0.01 * unln(low)));
  *stain = ln(fmax(b + by, 0.01 * unln(high)));
}

/* Base and stain from the weakest and the strongest slip, each by itself. */
static void begin_stain(const lh_learn *l, double *p)
{
  double c = 1, d = 0, k, s, *at;

  for (size_t i = 0; i < l->n; i++) {
    const lh_learn_tile *t = &l->tiles[i];
    if (t->coat > 0) c = fmin(c, t->stain), d = fmax(d, t->stain);
  }
  for (size_t w = 0; w < LH_WAVES; w++) {
    begin_wave(l, p, w, c);
    closer(l, p, w, c);
    k = p[AT_K + w], s = p[AT_S + w];
    begin_wave(l, p, w, d);
    closer(l, p, w, d);
    at = p + lh_learn_at_stain(l, w);
    part(k, p[AT_K + w], c, d, &p[AT_K + w], &at[0]);
    part(s, p[AT_S + w], c, d, &p[AT_S + w], &at[LH_WAVES]);
  }
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
  for (size_t w = 0; w < LH_WAVES && !l->stained; w++) begin_wave(l, p, w, -1);
  if (l->stained) begin_stain(l, p);
}

/* ---- what came out ----------------------------------------------------------
 */

void lh_learn_predict(const lh_learn *l, const double *p,
                      const lh_learn_tile *t, double out[LH_WAVES])
{
  for (size_t w = 0; w < LH_WAVES; w++) {
    hangs h = at_wave(l, p, t->ground, w);
    out[w] = read_one(l, &h, t);
  }
}

static void optics_at(const double *ln_k, const double *ln_s,
                      lh_slip_optics *slip)
{
  for (size_t w = 0; w < LH_WAVES; w++) {
    slip->absorption[w] = unln(fmax(ln_k[w], FLOOR));
    slip->scattering[w] = unln(fmax(ln_s[w], FLOOR));
  }
}

void lh_learn_optics(const lh_learn *l, const double *p, lh_slip_optics *slip)
{
  (void)l;
  optics_at(p + AT_K, p + AT_S, slip);
}

void lh_learn_stain(const lh_learn *l, const double *p, lh_slip_optics *stain)
{
  const double *at = p + lh_learn_at_stain(l, 0);

  optics_at(at, at + LH_WAVES, stain);
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
