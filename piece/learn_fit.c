/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn_fit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "difference.h"
#include "least_rows.h"

/* What both kinds of reading share: a problem that can be fitted, and told
** what it says of a tile. */
typedef struct {
  size_t n;
  lh_least_problem problem;
  double *p, *covariance;
  lh_arena *arena;
  const lh_watch *watch;
  double begin, part; /* of the progress: where this fit starts, its share */
} fitting;

static bool go_on(void *who, double done)
{
  const fitting *f = who;

  return lh_watch_go(f->watch, f->begin + f->part * done);
}

static lh_status settle(fitting *f, bool with_covariance, lh_least_end *end)
{
  lh_watch w = {go_on, f};

  return lh_least_rows(&f->problem, f->p,
                       with_covariance ? f->covariance : NULL, &w, end);
}

static lh_status room(fitting *f, lh_learn_fit *out)
{
  size_t u = f->problem.unknowns, n = f->n;

  f->p = lh_arena_take(f->arena, u, sizeof *f->p);
  f->covariance = lh_arena_take(f->arena, u * u, sizeof *f->covariance);
  out->measured = lh_arena_take(f->arena, n, sizeof *out->measured);
  out->predicted = lh_arena_take(f->arena, n, sizeof *out->predicted);
  out->off = lh_arena_take(f->arena, n, sizeof *out->off);
  out->left_out = lh_arena_take(f->arena, n, sizeof *out->left_out);
  out->coat = lh_arena_take(f->arena, n, sizeof *out->coat);
  out->outlier = lh_arena_take(f->arena, n, sizeof *out->outlier);
  return f->p && f->covariance && out->measured && out->predicted && out->off &&
                 out->left_out && out->coat && out->outlier
             ? LH_OK
             : LH_NOMEM;
}

/* Standard error of unknown i, widened when the readings scatter more than
** was stated. */
static double error_of(const fitting *f, const lh_learn_fit *out, size_t i)
{
  return sqrt(f->covariance[i * f->problem.unknowns + i] *
              fmax(out->scatter, 1));
}

static int by_size(const void *a, const void *b)
{
  const double *x = a, *y = b;

  return (*x > *y) - (*x < *y);
}

/* Trust, and who stands apart. */
static void judge(size_t n, lh_learn_fit *out)
{
  double sorted[LH_LEARN_TILES], sum = 0;
  size_t k = 0;

  out->worst = out->trust = NAN;
  for (size_t i = 0; i < n; i++)
    if (!isnan(out->left_out[i])) {
      sorted[k++] = out->left_out[i];
      sum += out->left_out[i];
    }
  for (size_t i = 0; i < n; i++) out->outlier[i] = false;
  if (k == 0) return;
  qsort(sorted, k, sizeof sorted[0], by_size);
  out->trust = sum / (double)k;
  out->worst = sorted[k - 1];
  for (size_t i = 0; i < n && k >= 4; i++)
    out->outlier[i] = out->left_out[i] > LH_OUTLIER_FLOOR &&
                      out->left_out[i] > LH_OUTLIER_TIMES * sorted[(k - 1) / 2];
}

static void ended(const fitting *f, const lh_least_end *end, lh_learn_fit *out)
{
  size_t free_of = f->problem.rows - f->problem.unknowns;

  out->steps = end->steps;
  out->covariance = f->covariance;
  out->settled = end->settled;
  out->scatter = free_of ? end->squares / (double)free_of : 1;
}

/* The miss of one tile when the rest are fitted without it; NAN when they
** cannot be. */
typedef lh_status leaving(const void *l, const fitting *whole, size_t out_of,
                          fitting *f, double *miss);

/* Leave out each in turn, begun where the whole fit ended. */
static lh_status leave_out(const void *l, const fitting *whole,
                           leaving *without, lh_learn_fit *out)
{
  fitting less = *whole;
  lh_status st = LH_OK;

  less.p = lh_arena_take(less.arena, whole->problem.unknowns, sizeof *less.p);
  if (!less.p) return LH_NOMEM;
  less.part = 0.7 / (double)whole->n;
  for (size_t i = 0; i < whole->n && st == LH_OK; i++) {
    less.begin = 0.3 + less.part * (double)i;
    st = without(l, whole, i, &less, &out->left_out[i]);
  }
  judge(whole->n, out);
  return st;
}

/* ---- spectra ---------------------------------------------------------------
 */

static size_t spectrum_row(void *who, const double *x, size_t i, double *off,
                           size_t *at, double *by)
{
  return lh_learn_row(who, x, i, off, at, by);
}

/* The problem without one tile, begun where the whole one ended. */
static lh_status without(const void *of, const fitting *whole, size_t out_of,
                         fitting *f, double *miss)
{
  const lh_learn *l = of;
  lh_learn_tile tiles[LH_LEARN_TILES];
  lh_learn less = *l;
  const lh_learn_tile *gone = &l->tiles[out_of];
  size_t bad, coat = lh_learn_at_coat(l, 0);
  double R[LH_WAVES];
  lh_least_end end;
  lh_status st;

  *miss = NAN;
  if (!(gone->coat > 0)) return LH_OK; /* the ground itself */
  for (size_t i = 0, k = 0; i < l->n; i++)
    if (i != out_of) tiles[k++] = l->tiles[i];
  less.tiles = tiles;
  less.n = l->n - 1;
  if (lh_learn_check(&less, &bad) != LH_OK) return LH_OK;
  memcpy(f->p, whole->p, (coat + out_of) * sizeof *f->p);
  memcpy(f->p + coat + out_of, whole->p + coat + out_of + 1,
         (whole->problem.unknowns - coat - out_of - 1) * sizeof *f->p);
  f->problem = (lh_least_problem){.row = spectrum_row,
                                  .who = &less,
                                  .rows = lh_learn_rows(&less),
                                  .unknowns = lh_learn_unknowns(&less)};
  st = settle(f, false, &end);
  if (st == LH_RANGE) return LH_OK;
  if (st != LH_OK) return st;
  lh_learn_predict(&less, f->p, gone, R);
  *miss = lh_delta_e00(lh_spectrum_lab(R, LH_D65),
                       lh_spectrum_lab(gone->reading, LH_D65));
  return LH_OK;
}

static void take_spectra(const lh_learn *l, const fitting *f, lh_learn_fit *out)
{
  double R[LH_WAVES];

  lh_learn_optics(l, f->p, &out->slip);
  lh_learn_glaze(l, f->p, out->absorb, &out->eaten, &out->share);
  out->eaten_sd = out->share_sd = NAN;
  if (l->learn_eaten) {
    size_t at = lh_learn_at_eaten(l);
    out->eaten_sd = out->eaten * error_of(f, out, at);
    out->share_sd = out->share * (1 - out->share) * error_of(f, out, at + 1);
  }
  for (size_t w = 0; w < LH_WAVES; w++) {
    out->k_sd[w] = error_of(f, out, lh_learn_at_k(w));
    out->s_sd[w] = error_of(f, out, lh_learn_at_s(w));
  }
  for (size_t w = 0; w < LH_WAVES && l->stained; w++) {
    out->stain_k_sd[w] = error_of(f, out, lh_learn_at_stain(l, w));
    out->stain_s_sd[w] = error_of(f, out, lh_learn_at_stain(l, LH_WAVES + w));
  }
  if (l->stained) lh_learn_stain(l, f->p, &out->stain);
  for (size_t g = 0; g < l->grounds; g++)
    lh_learn_ground(l, f->p, g, out->ground[g]);
  for (size_t i = 0; i < l->n; i++) {
    const lh_learn_tile *t = &l->tiles[i];
    lh_learn_predict(l, f->p, t, R);
    out->measured[i] = lh_spectrum_lab(t->reading, LH_D65);
    out->predicted[i] = lh_spectrum_lab(R, LH_D65);
    out->off[i] = lh_delta_e00(out->measured[i], out->predicted[i]);
    out->coat[i] = lh_learn_coat(l, f->p, i);
  }
}

lh_status lh_learn_fit_spectra(const lh_learn *l, lh_arena *a,
                               const lh_watch *watch, lh_learn_fit *out)
{
  lh_learn own = *l;
  fitting f = {.n = l->n, .arena = a, .watch = watch, .part = 0.3};
  lh_least_end end;
  lh_status st;

  f.problem = (lh_least_problem){.row = spectrum_row,
                                 .who = &own,
                                 .rows = lh_learn_rows(l),
                                 .unknowns = lh_learn_unknowns(l)};
  st = room(&f, out);
  if (st != LH_OK) return st;
  lh_learn_begin(l, f.p);
  st = settle(&f, true, &end);
  if (st != LH_OK) return st;
  ended(&f, &end, out);
  take_spectra(l, &f, out);
  return leave_out(l, &f, without, out);
}

/* K of a mixture and its relative error: its slopes by ln K of either part are
** what that part gives. */
static double mixed(const lh_learn *l, const lh_learn_fit *f, double base,
                    double stain, size_t a, size_t b, double *sd)
{
  size_t u = lh_learn_unknowns(l);
  const double *C = f->covariance;
  double sum = base + stain;
  double v = base * base * C[a * u + a] + stain * stain * C[b * u + b] +
             2 * base * stain * C[a * u + b];

  *sd = sum > 0 ? sqrt(fmax(v, 0) * fmax(f->scatter, 1)) / sum : 0;
  return sum;
}

void lh_learn_fit_at(const lh_learn *l, const lh_learn_fit *f, double share,
                     lh_slip_optics *slip, double k_sd[LH_WAVES],
                     double s_sd[LH_WAVES])
{
  for (size_t w = 0; w < LH_WAVES; w++) {
    slip->absorption[w] =
        mixed(l, f, (1 - share) * f->slip.absorption[w],
              share * f->stain.absorption[w], lh_learn_at_k(w),
              lh_learn_at_stain(l, w), &k_sd[w]);
    slip->scattering[w] =
        mixed(l, f, (1 - share) * f->slip.scattering[w],
              share * f->stain.scattering[w], lh_learn_at_s(w),
              lh_learn_at_stain(l, LH_WAVES + w), &s_sd[w]);
  }
}

/* ---- three numbers ----------------------------------------------------------
 */

static size_t three_row(void *who, const double *x, size_t i, double *off,
                        size_t *at, double *by)
{
  return lh_three_row(who, x, i, off, at, by);
}

static lh_status three_without(const void *of, const fitting *whole,
                               size_t out_of, fitting *f, double *miss)
{
  const lh_three *l = of;
  lh_three_tile tiles[LH_LEARN_TILES];
  lh_three less = *l;
  const lh_three_tile *gone = &l->tiles[out_of];
  size_t bad, k = 0;
  lh_least_end end;
  lh_status st;

  *miss = NAN;
  memcpy(f->p, whole->p, LH_THREE_OWN * sizeof *f->p);
  for (size_t i = 0; i < l->n; i++)
    if (i != out_of) {
      f->p[LH_THREE_OWN + k] = whole->p[LH_THREE_OWN + i];
      tiles[k++] = l->tiles[i];
    }
  less.tiles = tiles;
  less.n = k;
  if (lh_three_check(&less, &bad) != LH_OK) return LH_OK;
  f->problem = (lh_least_problem){.row = three_row,
                                  .who = &less,
                                  .rows = lh_three_rows(&less),
                                  .unknowns = lh_three_unknowns(&less)};
  st = settle(f, false, &end);
  if (st == LH_RANGE) return LH_OK;
  if (st == LH_OK)
    *miss = lh_delta_e00(lh_three_predict(&less, f->p, gone), gone->reading);
  return st;
}

/* The variance of ln K and ln S at each wavelength: they are sums of the
** unknowns with fixed weights, found by moving each by one. */
static void three_errors(const fitting *f, lh_learn_fit *out)
{
  size_t u = f->problem.unknowns;
  double by_k[LH_THREE_OWN][LH_WAVES], by_s[LH_THREE_OWN][LH_WAVES];
  double one[LH_THREE_OWN];
  lh_slip_optics at;

  for (size_t j = 0; j < LH_THREE_OWN; j++) {
    memset(one, 0, sizeof one);
    one[j] = 1;
    lh_three_optics(one, &at);
    for (size_t w = 0; w < LH_WAVES; w++) {
      by_k[j][w] = log(at.absorption[w]);
      by_s[j][w] = log(at.scattering[w]);
    }
  }
  for (size_t w = 0; w < LH_WAVES; w++) {
    double k = 0, s = 0;
    for (size_t i = 0; i < LH_THREE_OWN; i++)
      for (size_t j = 0; j < LH_THREE_OWN; j++) {
        k += by_k[i][w] * by_k[j][w] * f->covariance[i * u + j];
        s += by_s[i][w] * by_s[j][w] * f->covariance[i * u + j];
      }
    out->k_sd[w] = sqrt(k * fmax(out->scatter, 1));
    out->s_sd[w] = sqrt(s * fmax(out->scatter, 1));
  }
}

static void take_three(const lh_three *l, const fitting *f, lh_learn_fit *out)
{
  lh_three_optics(f->p, &out->slip);
  three_errors(f, out);
  memcpy(out->ground, l->ground, sizeof l->ground);
  for (size_t w = 0; w < LH_WAVES; w++) out->absorb[w] = l->absorb;
  out->eaten = out->share = out->eaten_sd = out->share_sd = NAN;
  for (size_t i = 0; i < l->n; i++) {
    const lh_three_tile *t = &l->tiles[i];
    out->measured[i] = t->reading;
    out->predicted[i] = lh_three_predict(l, f->p, t);
    out->off[i] = lh_delta_e00(out->measured[i], out->predicted[i]);
    out->coat[i] = exp(f->p[LH_THREE_OWN + i]);
  }
}

lh_status lh_learn_fit_three(const lh_three *l, lh_arena *a,
                             const lh_watch *watch, lh_learn_fit *out)
{
  lh_three own = *l;
  fitting f = {.n = l->n, .arena = a, .watch = watch, .part = 0.3};
  lh_least_end end;
  lh_status st;

  f.problem = (lh_least_problem){.row = three_row,
                                 .who = &own,
                                 .rows = lh_three_rows(l),
                                 .unknowns = lh_three_unknowns(l)};
  st = room(&f, out);
  if (st != LH_OK) return st;
  lh_three_begin(l, f.p);
  st = settle(&f, true, &end);
  if (st != LH_OK) return st;
  ended(&f, &end, out);
  take_three(l, &f, out);
  return leave_out(l, &f, three_without, out);
}
