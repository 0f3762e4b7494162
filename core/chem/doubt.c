/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doubt.h"

#include <math.h>
#include <string.h>

#include "draw.h"

/* Draws made together: small enough to stay in the nearest cache. */
enum { BLOCK = 256 };

/* A recipe's moles, one row of BLOCK draws for each oxide it may have. */
typedef struct {
  double mol[LH_OXIDES][BLOCK];
} lot;

typedef struct {
  const lh_doubt_ask *q;
  size_t draws, oxides, figures;
  uint64_t seed;
  size_t oxide[LH_OXIDES];       /* those that any material has */
  bool flux[LH_OXIDES];          /* by row of oxide.h           */
  double target[LH_SEARCH_ROWS]; /* as printed             */
  lot *made, *wanted;
  double *value;    /* value[figures * draws], of one choice       */
  double *off;      /* off[draws]: the least distance so far       */
  uint16_t *winner; /* winner[draws]                               */
} lh_doubt;

size_t lh_doubt_judge(const lh_material *m, double of_figure, double least,
                      lh_material *out)
{
  size_t filled = 0;

  *out = *m;
  for (size_t i = 0; i < LH_OXIDES; i++) {
    double floor = least / 100.0 / lh_oxide_weight(i);
    if (!(m->mol[i] > 0.0) || m->mol_e[i] > 0.0) continue;
    out->mol_e[i] = fmax(m->mol[i] * of_figure / 100.0, floor);
    filled++;
  }
  return filled;
}

static bool sound(double v)
{
  return v >= 0.0 && isfinite(v); /* false for NaN */
}

static bool sound_all(const double *v, size_t n)
{
  for (size_t i = 0; i < n; i++)
    if (!sound(v[i])) return false;
  return true;
}

static lh_status check(const lh_doubt_ask *q)
{
  if (q->materials > LH_SEARCH_MATERIALS || q->rows > LH_SEARCH_ROWS ||
      q->choices > LH_SEARCH_CHOICES || q->extras > LH_DOUBT_EXTRAS ||
      q->draws > LH_DOUBT_DRAWS_MOST)
    return LH_TOOLARGE;
  if (q->materials == 0 || q->rows == 0 || q->choices == 0) return LH_INPUT;
  for (size_t j = 0; j < q->materials; j++)
    if (!sound_all(q->material[j]->mol, LH_OXIDES) ||
        !sound_all(q->material[j]->mol_e, LH_OXIDES))
      return LH_INPUT;
  if (!sound_all(q->grams, q->choices * q->materials)) return LH_INPUT;
  if (q->weight && !sound_all(q->weight, q->rows)) return LH_INPUT;
  if (q->target_grams) {
    if (!sound_all(q->target_grams, q->materials)) return LH_INPUT;
  } else if (!q->target || !sound_all(q->target, q->rows)) {
    return LH_INPUT;
  }
  return LH_OK;
}

/* Moles of a recipe as printed. */
static void printed(const lh_doubt_ask *q, const double *grams,
                    double mol[LH_OXIDES])
{
  memset(mol, 0, LH_OXIDES * sizeof *mol);
  for (size_t j = 0; j < q->materials; j++) {
    if (q->material[j]->inert || grams[j] == 0.0) continue;
    for (size_t i = 0; i < LH_OXIDES; i++)
      mol[i] += grams[j] * q->material[j]->mol[i];
  }
}

/* What a recipe's moles are divided by to give its figures: its fluxes, or a
** hundredth of all. */
static double unit_of(const lh_doubt *d, const double mol[LH_OXIDES])
{
  bool slip = d->q->measure == LH_SEARCH_SLIP;
  double sum = 0.0;

  for (size_t i = 0; i < LH_OXIDES; i++)
    if (slip || d->flux[i]) sum += mol[i];
  return slip ? sum / 100.0 : sum;
}

static void rows_of(const lh_doubt *d, const double mol[LH_OXIDES], double unit,
                    double *row)
{
  const lh_doubt_ask *q = d->q;

  memset(row, 0, q->rows * sizeof *row);
  for (size_t i = 0; i < LH_OXIDES; i++)
    if (q->row[i] < q->rows) row[q->row[i]] += mol[i] / unit;
}

/* How far moles are from a target, row by row, weighted. */
static void away(const lh_doubt *d, const double mol[LH_OXIDES],
                 const double *target, double *off)
{
  const lh_doubt_ask *q = d->q;
  double with = 0.0, self = 0.0, scale = 1.0;

  rows_of(d, mol, q->measure == LH_SEARCH_SLIP ? unit_of(d, mol) : 1.0, off);
  for (size_t r = 0; r < q->rows; r++) {
    double w = q->weight ? q->weight[r] : 1.0;
    with += w * off[r] * w * target[r];
    self += w * off[r] * w * off[r];
  }
  if (q->measure == LH_SEARCH_GLAZE && self > 0.0) scale = with / self;
  for (size_t r = 0; r < q->rows; r++)
    off[r] = (q->weight ? q->weight[r] : 1.0) * (scale * off[r] - target[r]);
}

static double length(const double *v, size_t n)
{
  double sum = 0.0;

  for (size_t i = 0; i < n; i++) sum += v[i] * v[i];
  return sqrt(sum);
}

/* Whose luck is it? */
static uint64_t key_of(const lh_doubt *d, size_t j, size_t oxide)
{
  return lh_draw_key(d->seed, d->q->id ? d->q->id[j] : j, oxide);
}

/* Draw a recipe's moles: draws from .. from + n. */
static void draw(const lh_doubt *d, const double *grams, size_t from, size_t n,
                 lot *l)
{
  for (size_t k = 0; k < d->oxides; k++)
    memset(l->mol[k], 0, n * sizeof l->mol[k][0]);
  for (size_t j = 0; j < d->q->materials; j++) {
    const lh_material *m = d->q->material[j];
    if (m->inert || grams[j] == 0.0) continue;
    for (size_t k = 0; k < d->oxides; k++) {
      size_t i = d->oxide[k];
      double v = m->mol[i], e = m->mol_e[i] / LH_SIGMAS_OF_90, g = grams[j];
      double *out = l->mol[k];
      uint64_t key;
      if (!(e > 0.0)) {
        for (size_t b = 0; b < n && v > 0.0; b++) out[b] += g * v;
        continue;
      }
      key = key_of(d, j, i);
      for (size_t b = 0; b < n; b++) {
        double x = v + e * lh_draw_normal(key, from + b);
        out[b] += x > 0.0 ? g * x : 0.0;
      }
    }
  }
}

static void pick(const lh_doubt *d, const lot *l, size_t b, double *mol)
{
  for (size_t k = 0; k < d->oxides; k++) mol[d->oxide[k]] = l->mol[k][b];
}

/* One block of draws of one choice: its figures, and does it win? */
static void block(lh_doubt *d, size_t choice, size_t from, size_t n)
{
  const lh_doubt_ask *q = d->q;
  double mol[LH_OXIDES] = {0.0}, goal[LH_OXIDES] = {0.0};
  double target[LH_SEARCH_ROWS], off[LH_SEARCH_ROWS], extra[LH_DOUBT_EXTRAS];

  draw(d, q->grams + choice * q->materials, from, n, d->made);
  if (q->target_grams) draw(d, q->target_grams, from, n, d->wanted);
  for (size_t b = 0; b < n; b++) {
    size_t at = from + b, f = 0;
    double unit, far;
    pick(d, d->made, b, mol);
    if (q->target_grams) {
      pick(d, d->wanted, b, goal);
      rows_of(d, goal, unit_of(d, goal), target);
    }
    away(d, mol, q->target_grams ? target : d->target, off);
    far = length(off, q->rows);
    d->value[f++ * d->draws + at] = far;
    unit = unit_of(d, mol);
    for (size_t k = 0; k < d->oxides; k++)
      d->value[f++ * d->draws + at] = mol[d->oxide[k]] / unit;
    if (q->extras > 0) q->extra(q->who, mol, extra);
    for (size_t k = 0; k < q->extras; k++)
      d->value[f++ * d->draws + at] = extra[k];
    if (choice > 0 && !(far < d->off[at])) continue;
    d->off[at] = far;
    d->winner[at] = (uint16_t)choice;
  }
}

/* The range of a figure's draws, which are put in another order. */
static void range(double *v, size_t n, double as_printed, lh_doubt_figure *f)
{
  size_t kept = 0;

  for (size_t i = 0; i < n; i++)
    if (isfinite(v[i])) v[kept++] = v[i];
  *f = (lh_doubt_figure){as_printed, NAN, NAN, NAN, (double)kept / (double)n};
  if (kept == 0) return;
  f->low = lh_draw_quantile(v, kept, 0.05);
  f->middle = lh_draw_quantile(v, kept, 0.5);
  f->high = lh_draw_quantile(v, kept, 0.95);
}

static void gather(lh_doubt *d, size_t choice, lh_doubt_choice *c)
{
  const lh_doubt_ask *q = d->q;
  double mol[LH_OXIDES], off[LH_SEARCH_ROWS], extra[LH_DOUBT_EXTRAS], unit;
  size_t f = 0;

  printed(q, q->grams + choice * q->materials, mol);
  away(d, mol, d->target, off);
  unit = unit_of(d, mol);
  range(d->value + f++ * d->draws, d->draws, length(off, q->rows),
        &c->distance);
  for (size_t i = 0; i < LH_OXIDES; i++)
    c->made[i] = (lh_doubt_figure){0.0, 0.0, 0.0, 0.0, 1.0};
  for (size_t k = 0; k < d->oxides; k++)
    range(d->value + f++ * d->draws, d->draws, mol[d->oxide[k]] / unit,
          &c->made[d->oxide[k]]);
  if (q->extras > 0) q->extra(q->who, mol, extra);
  for (size_t k = 0; k < q->extras; k++)
    range(d->value + f++ * d->draws, d->draws, extra[k], &c->extra[k]);
}

/* How far apart the two formulas are that one figure of an analysis makes, a
** standard deviation down and up; half of it, squared. */
static double movement(const lh_doubt *d, size_t choice, size_t j, size_t i)
{
  const lh_doubt_ask *q = d->q;
  double mol[LH_OXIDES], goal[LH_OXIDES], end[2][LH_SEARCH_ROWS];
  double target[LH_SEARCH_ROWS], sum = 0.0;
  double sd = q->material[j]->mol_e[i] / LH_SIGMAS_OF_90;

  for (int k = 0; k < 2; k++) {
    double step = k == 0 ? -sd : sd;
    printed(q, q->grams + choice * q->materials, mol);
    mol[i] += step * q->grams[choice * q->materials + j];
    if (q->target_grams) {
      printed(q, q->target_grams, goal);
      goal[i] += step * q->target_grams[j];
      rows_of(d, goal, unit_of(d, goal), target);
    }
    away(d, mol, q->target_grams ? target : d->target, end[k]);
  }
  for (size_t r = 0; r < q->rows; r++) {
    double half = 0.5 * (end[1][r] - end[0][r]);
    sum += half * half;
  }
  return sum;
}

/* Keep a list of the weightiest, in order. */
static void keep(lh_doubt_choice *c, lh_doubt_cause cause)
{
  size_t k = c->causes;

  if (k == LH_DOUBT_CAUSES && !(cause.share > c->cause[k - 1].share)) return;
  if (k < LH_DOUBT_CAUSES) c->causes = ++k;
  for (k--; k > 0 && c->cause[k - 1].share < cause.share; k--)
    c->cause[k] = c->cause[k - 1];
  c->cause[k] = cause;
}

static void blame(const lh_doubt *d, size_t choice, lh_doubt_choice *c)
{
  const lh_doubt_ask *q = d->q;
  const double *g = q->grams + choice * q->materials;
  double sum = 0.0;

  for (size_t j = 0; j < q->materials; j++) {
    double used = g[j] + (q->target_grams ? q->target_grams[j] : 0.0);
    if (q->material[j]->inert || used == 0.0) continue;
    for (size_t i = 0; i < LH_OXIDES; i++) {
      double moved;
      if (!(q->material[j]->mol_e[i] > 0.0)) continue;
      moved = movement(d, choice, j, i);
      sum += moved;
      if (moved > 0.0) keep(c, (lh_doubt_cause){j, i, moved});
    }
  }
  for (size_t k = 0; k < c->causes; k++) c->cause[k].share /= sum;
  c->spread = sqrt(sum);
}

static lh_status prepare(lh_doubt *d, lh_arena *a)
{
  const lh_doubt_ask *q = d->q;
  double mol[LH_OXIDES], unit;

  d->draws = q->draws ? q->draws : LH_DOUBT_DRAWS;
  d->seed = q->seed ? q->seed : LH_DOUBT_SEED;
  for (size_t i = 0; i < LH_OXIDES; i++) {
    bool any = false;
    d->flux[i] = q->flux ? q->flux[i] : lh_oxide_flux(i);
    for (size_t j = 0; j < q->materials; j++)
      any =
          any || q->material[j]->mol[i] > 0.0 || q->material[j]->mol_e[i] > 0.0;
    if (any) d->oxide[d->oxides++] = i;
  }
  for (size_t c = 0; c < q->choices; c++) {
    double sum = 0.0;
    printed(q, q->grams + c * q->materials, mol);
    for (size_t i = 0; i < LH_OXIDES; i++) sum += mol[i];
    if (!(sum > 0.0) || !isfinite(sum)) return LH_INPUT;
  }
  if (q->target_grams) {
    printed(q, q->target_grams, mol);
    unit = unit_of(d, mol);
    if (!(unit > 0.0) || !isfinite(unit)) return LH_INPUT;
    rows_of(d, mol, unit, d->target);
  } else {
    memcpy(d->target, q->target, q->rows * sizeof *d->target);
  }
  d->figures = 1 + d->oxides + q->extras;
  d->made = lh_arena_take(a, 1, sizeof *d->made);
  d->wanted = lh_arena_take(a, 1, sizeof *d->wanted);
  d->value = lh_arena_take(a, d->figures * d->draws, sizeof *d->value);
  d->off = lh_arena_take(a, d->draws, sizeof *d->off);
  d->winner = lh_arena_take(a, d->draws, sizeof *d->winner);
  return d->made && d->wanted && d->value && d->off && d->winner ? LH_OK
                                                                 : LH_NOMEM;
}

static void count(const lh_doubt *d, lh_doubt_choice *choice)
{
  double n = (double)d->draws;

  for (size_t k = 0; k < d->draws; k++) choice[d->winner[k]].best += 1.0;
  for (size_t c = 0; c < d->q->choices; c++) {
    double p = choice[c].best / n;
    choice[c].best = p;
    choice[c].best_e = LH_SIGMAS_OF_90 * sqrt(p * (1.0 - p) / n);
  }
}

lh_status lh_doubt_weigh(const lh_doubt_ask *q, lh_doubt_choice *choice,
                         lh_arena *a, const lh_watch *w)
{
  lh_doubt d = {.q = q};
  lh_status st = check(q);

  if (st != LH_OK || (st = prepare(&d, a)) != LH_OK) return st;
  for (size_t c = 0; c < q->choices; c++) {
    choice[c] = (lh_doubt_choice){.best = 0.0};
    for (size_t from = 0; from < d.draws; from += BLOCK) {
      size_t n = d.draws - from < BLOCK ? d.draws - from : BLOCK;
      double done = ((double)c + (double)from / (double)d.draws);
      if (!lh_watch_go(w, done / (double)q->choices)) return LH_CANCELLED;
      block(&d, c, from, n);
    }
    gather(&d, c, &choice[c]);
    blame(&d, c, &choice[c]);
  }
  count(&d, choice);
  return LH_OK;
}
