/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "match.h"

#include <math.h>
#include <string.h>

#include "difference.h"
#include "match_bench.h"

enum { AT_ONCE = LH_MATCH_AT_ONCE, COATS = LH_MATCH_COATS, ROWS = 3 * COATS };

/* Differences near a colour as CIEDE2000 weighs them: lightness, chroma and
** hue over S_L, S_C and S_H (T taken as 1). */
typedef struct {
  double SL, SC, SH, x, y; /* x, y: the hue's direction */
} metric;

static metric metric_at(lh_lab c)
{
  double C = sqrt(c.a * c.a + c.b * c.b), l = (c.L - 50.0) * (c.L - 50.0);
  metric m = {1.0 + 0.015 * l / sqrt(20.0 + l), 1.0 + 0.045 * C,
              1.0 + 0.015 * C, 1.0, 0.0};

  if (C > 0.0) m.x = c.a / C, m.y = c.b / C;
  return m;
}

static void weigh(const metric *m, lh_lab from, lh_lab to, double r[3])
{
  double a = to.a - from.a, b = to.b - from.b;

  r[0] = (to.L - from.L) / m->SL;
  r[1] = (a * m->x + b * m->y) / m->SC;
  r[2] = (b * m->x - a * m->y) / m->SH;
}

typedef struct {
  lh_match_bench *bench;
  metric metric[COATS];
  size_t coats; /* how many of the three are looked at */
  size_t stain[AT_ONCE], count;
} fitting;

static double residuals(fitting *f, const double *share, double r[ROWS])
{
  double sum = 0.0;

  for (size_t k = 0; k < f->coats; k++) {
    lh_lab c = lh_match_look(f->bench, f->stain, share, f->count, k);
    weigh(&f->metric[k], f->bench->ask->target[k], c, r + 3 * k);
  }
  for (size_t i = 0; i < 3 * f->coats; i++) sum += r[i] * r[i];
  return sum;
}

/* Shares within their mosts, and together within theirs. */
static void hold(const fitting *f, double *share)
{
  const lh_match_ask *a = f->bench->ask;
  double sum = 0.0;

  for (size_t j = 0; j < f->count; j++) {
    share[j] = fmin(fmax(share[j], 0.0), a->stains[f->stain[j]].most);
    sum += share[j];
  }
  for (size_t j = 0; sum > a->most_total && j < f->count; j++)
    share[j] *= a->most_total / sum;
}

/* Solve (A + lambda diag A) d = -g for n unknowns; the rest are held at 0, so
** that the sum is always of one size. */
static void solve(double A[AT_ONCE][AT_ONCE], const double *g, double lambda,
                  size_t n, double *d)
{
  double m[AT_ONCE][AT_ONCE + 1];

  for (size_t i = 0; i < AT_ONCE; i++) {
    for (size_t j = 0; j < AT_ONCE; j++)
      m[i][j] = i < n && j < n ? A[i][j] : i == j ? 1.0 : 0.0;
    m[i][AT_ONCE] = i < n ? -g[i] : 0.0;
    if (i < n) m[i][i] += lambda * A[i][i] + 1e-12;
  }
  for (size_t k = 0; k < AT_ONCE; k++) /* positive definite: no pivoting */
    for (size_t i = k + 1; i < AT_ONCE; i++) {
      double q = m[i][k] / m[k][k];
      for (size_t j = k; j <= AT_ONCE; j++) m[i][j] -= q * m[k][j];
    }
  for (size_t k = AT_ONCE; k-- > 0;) {
    d[k] = m[k][AT_ONCE];
    for (size_t j = k + 1; j < AT_ONCE; j++) d[k] -= m[k][j] * d[j];
    d[k] /= m[k][k];
  }
}

/* Slopes by small steps, then J^T J and J^T r; a share that stands at its end
** and is pushed out is held there. */
static void normal(fitting *f, const double *share, const double *r,
                   double A[AT_ONCE][AT_ONCE], double *g)
{
  double J[AT_ONCE][ROWS], moved[ROWS], to[AT_ONCE];
  size_t rows = 3 * f->coats;

  for (size_t j = 0; j < f->count; j++) {
    double most = f->bench->ask->stains[f->stain[j]].most;
    double h = 1e-4 * share[j] + 1e-7;
    memcpy(to, share, sizeof to);
    to[j] += h;
    residuals(f, to, moved);
    g[j] = 0.0;
    for (size_t i = 0; i < rows; i++) {
      J[j][i] = (moved[i] - r[i]) / h;
      g[j] += J[j][i] * r[i];
    }
    if ((share[j] <= 0.0 && g[j] > 0.0) || (share[j] >= most && g[j] < 0.0)) {
      g[j] = 0.0;
      for (size_t i = 0; i < rows; i++) J[j][i] = 0.0;
    }
  }
  for (size_t j = 0; j < f->count; j++)
    for (size_t k = 0; k < f->count; k++) {
      A[j][k] = 0.0;
      for (size_t i = 0; i < rows; i++) A[j][k] += J[j][i] * J[k][i];
    }
}

/* Damped steps until the gain is small. */
static double fit(fitting *f, double share[AT_ONCE], int steps, double enough)
{
  double r[ROWS], A[AT_ONCE][AT_ONCE] = {{0.0}}, g[AT_ONCE] = {0.0};
  double d[AT_ONCE], lambda = 1e-3;
  double cost;

  hold(f, share);
  cost = residuals(f, share, r);
  for (int i = 0; i < steps && cost > enough; i++) {
    double before = cost;
    normal(f, share, r, A, g);
    for (int attempt = 0; attempt < 4; attempt++) {
      double to[AT_ONCE], at[ROWS], there;
      solve(A, g, lambda, f->count, d);
      memcpy(to, share, sizeof to);
      for (size_t j = 0; j < f->count; j++) to[j] += d[j];
      hold(f, to);
      there = residuals(f, to, at);
      if (there < cost) {
        cost = there;
        memcpy(share, to, sizeof to);
        memcpy(r, at, sizeof at);
        lambda = fmax(lambda / 8.0, 1e-7);
        break;
      }
      lambda *= 16.0;
    }
    if (!(cost < 0.98 * before)) break;
  }
  return cost;
}

/* ---- sets of stains ----------------------------------------------------- */

/* Colours and score; a score that cannot stay below `bound` is left at
** infinity after the first look. */
static void judge(fitting *f, const double *share, double bound,
                  lh_match_choice *c)
{
  const lh_match_ask *a = f->bench->ask;
  double sum = 0.0, more = a->each_stain * ((double)f->count - 1.0);

  *c = (lh_match_choice){.count = f->count};
  for (size_t j = 0; j < f->count; j++) {
    c->stain[j] = f->stain[j];
    c->share[j] = share[j];
  }
  for (size_t k = 0; k < COATS; k++) {
    c->lab[k] = lh_match_look(f->bench, f->stain, share, f->count, k);
    c->de00[k] = lh_delta_e00(c->lab[k], a->target[k]);
    sum += c->de00[k] * c->de00[k];
    c->score = HUGE_VAL;
    if (sqrt(sum / COATS) + more >= bound) return;
  }
  c->score = sqrt(sum / COATS) + more;
}

/* Is a share so small that the set is really a smaller one?  A hundredth of a
** per cent is a tenth of a gram in a kilogram.  (judgement) */
static const double least_weighed = 1e-4;

static bool empty_share(const lh_match_choice *c)
{
  for (size_t j = 0; j < c->count; j++)
    if (!(c->share[j] > least_weighed)) return true;
  return false;
}

/* Keep the best, in order. */
static void keep(lh_match_choice *best, size_t *n, size_t room,
                 const lh_match_choice *c)
{
  size_t i;

  if (*n == room && !(c->score < best[room - 1].score)) return;
  i = *n < room ? (*n)++ : room - 1;
  for (; i > 0 && best[i - 1].score > c->score; i--) best[i] = best[i - 1];
  best[i] = *c;
}

typedef struct {
  fitting fit;
  double alone[LH_MATCH_STAINS]; /* the best share of each stain by itself */
  lh_match_choice best[LH_MATCH_KEPT];
  size_t n, sets;
} search;

static void try_set(search *s, const size_t *stain, size_t count)
{
  fitting *f = &s->fit;
  double share[AT_ONCE] = {0};
  lh_match_choice c;

  s->sets++;
  f->count = count;
  for (size_t j = 0; j < count; j++) {
    f->stain[j] = stain[j];
    share[j] = s->alone[stain[j]] / (double)count;
  }
  fit(f, share, 6, 2.5e-3); /* to dE00 0.05: the best are gone over */
  judge(f, share, s->n < LH_MATCH_KEPT ? HUGE_VAL : s->best[s->n - 1].score,
        &c);
  if (!empty_share(&c)) keep(s->best, &s->n, LH_MATCH_KEPT, &c);
}

/* Each stain by itself: the best of a few shares, then by steps. */
static void singles(search *s)
{
  fitting *f = &s->fit;
  const lh_match_ask *a = f->bench->ask;

  f->count = 1;
  for (size_t i = 0; i < a->n; i++) {
    double most = fmin(a->stains[i].most, a->most_total), best = HUGE_VAL;
    double r[ROWS], at = 0.5 * most;
    f->stain[0] = i;
    for (double x = most; x > 1e-3 * most; x /= 2.0) {
      double cost = residuals(f, &x, r);
      if (cost < best) best = cost, at = x;
    }
    s->alone[i] = at;
    try_set(s, &i, 1);
    f->count = 1;
  }
}

static lh_status sets(search *s, const lh_watch *watch)
{
  const lh_match_ask *a = s->fit.bench->ask;
  size_t most = a->most_stains;

  singles(s);
  for (size_t i = 0; i < a->n && most >= 2; i++) {
    if (!lh_watch_go(watch, (double)i / (double)a->n)) return LH_CANCELLED;
    for (size_t j = i + 1; j < a->n; j++) {
      try_set(s, (size_t[]){i, j}, 2);
      for (size_t k = j + 1; k < a->n && most >= 3; k++)
        try_set(s, (size_t[]){i, j, k}, 3);
    }
  }
  return LH_OK;
}

lh_status lh_match_find(const lh_match_ask *a, const lh_watch *watch,
                        lh_match_choice *out, size_t want, size_t *got,
                        lh_match_info *info)
{
  lh_match_bench b;
  search s = {.n = 0, .sets = 0};
  lh_status st = lh_match_begin(a, &b);

  *got = 0;
  if (st == LH_OK && (want < 1 || want > LH_MATCH_KEPT)) st = LH_RANGE;
  if (st != LH_OK) return st;
  s.fit.bench = &b;
  s.fit.coats = 1;
  for (size_t k = 0; k < COATS; k++) s.fit.metric[k] = metric_at(a->target[k]);
  st = sets(&s, watch);
  if (st != LH_OK) return st;
  s.fit.coats = COATS;
  for (size_t i = 0; i < s.n; i++) {
    lh_match_choice c = s.best[i];
    double share[AT_ONCE];
    memcpy(share, c.share, sizeof share);
    s.fit.count = c.count;
    memcpy(s.fit.stain, c.stain, sizeof c.stain);
    fit(&s.fit, share, 12, 1e-8);
    judge(&s.fit, share, HUGE_VAL, &c);
    if (empty_share(&c) || !(c.score < s.best[i].score)) c = s.best[i];
    keep(out, got, want, &c);
  }
  if (info) *info = (lh_match_info){s.sets, b.looks};
  return LH_OK;
}

void lh_match_blend(const lh_match_ask *a, const lh_match_choice *c,
                    lh_slip_optics *o)
{
  double sum = 1.0;

  *o = *a->stack->layers[0].slip;
  for (size_t j = 0; j < c->count; j++) sum += c->share[j];
  for (size_t i = 0; i < LH_WAVES; i++) {
    for (size_t j = 0; j < c->count; j++) {
      const lh_slip_optics *p = a->stains[c->stain[j]].optics;
      o->absorption[i] += c->share[j] * p->absorption[i];
      o->scattering[i] += c->share[j] * p->scattering[i];
    }
    o->absorption[i] /= sum;
    o->scattering[i] /= sum;
  }
}
