/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "search_parts.h"

/* Counting a small branch out.
**
** Once the materials that are in are cleared out of the products of the
** others (a step of Cholesky each: the Schur complement), what is left tells
** at once what one material more, or two, would do: with g and h the cleared
** products, two columns p, q have the free least sum
**   x_p = (h_p g_qq - h_q g_pq) / det,   det = g_pp g_qq - g_pq^2,
**   the value falls by h_p x_p + h_q x_q,
** so that signs and fall are tested for a row of q at once, without division.
** A support of which all amounts are positive is the free least sum of its
** columns; the few that pass are looked at exactly.  Under limits a support
** may stand without that, so signs are left out and the fall is that of a
** bound (lean_on).
**
** Clearing out a column that is nearly a mixture of those before it (pivot d)
** leaves rounding of about 1e-16 / d in the rest; the tests give way by more.
*/
typedef struct {
  size_t n, stride;
  bool signs;    /* amounts must be positive to pass */
  double noise;  /* rounding in a product, before it is divided */
  double value;  /* of those in, signs free        */
  double slack;  /* by how much the tests give way */
  double *g;     /* g[n * stride], full            */
  double *h, *d; /* h[n]; the diagonal             */
  uint16_t at[LH_SEARCH_PAIRED];
} level;

static const double alike = 0.9 * LH_SEARCH_ALIKE * LH_SEARCH_ALIKE;

static double *lay_out(level *l, size_t n, double *room)
{
  l->stride = (n + 1) & ~(size_t)1;
  l->h = room;
  l->d = room + l->stride;
  l->g = room + 2 * l->stride;
  return l->g + n * l->stride;
}

/* Those columns of f after p, with p cleared out of them. */
static double *clear_out(const level *f, size_t p, level *to, double *room)
{
  const double *row = &f->g[p * f->stride + p + 1];
  bool own = f->d[p] > alike;
  double inverse = own ? 1.0 / f->d[p] : 0.0, x = f->h[p] * inverse;
  size_t n = f->n - p - 1;

  to->n = n;
  to->value = f->value - f->h[p] * x;
  to->slack = fmax(f->slack, f->noise * (own ? inverse : 1.0 / alike));
  to->signs = f->signs;
  to->noise = f->noise;
  room = lay_out(to, n, room);
  memcpy(to->at, &f->at[p + 1], n * sizeof *to->at);
  for (size_t j = 0; j < n; j++) to->h[j] = f->h[p + 1 + j] - x * row[j];
  for (size_t i = 0; i < n; i++) {
    const double *from = &f->g[(p + 1 + i) * f->stride + p + 1];
    double *g = &to->g[i * to->stride], c = row[i] * inverse;
    /* The half from the diagonal on is all that is asked for. */
    for (size_t j = i; j < n; j++) g[j] = from[j] - c * row[j];
    to->d[i] = g[i];
  }
  return room;
}

static void look(lh_search_walk *t, uint16_t p)
{
  t->in[t->count++] = p;
  lh_search_visit(t);
  t->count--;
}

/* One more: p. */
static void single(lh_search_walk *t, const level *l, size_t p, double fall)
{
  double h = l->h[p];

  if (l->signs && !(h > -l->slack)) return;
  if (h * h > fall * l->d[p] - l->slack) look(t, l->at[p]);
}

/* For p with each q of a row: the least of x_p det, x_q det and what the
** value falls too far, so that a pair passes when it is above 0.  One plain
** loop without branches, so that a compiler can do several q at once.
*/
static void test(const double *restrict g, const double *restrict h,
                 const double *restrict d, size_t n, double hp, double dp,
                 double fall, double *restrict least)
{
  for (size_t q = 0; q < n; q++) {
    double xp = hp * d[q] - h[q] * g[q], xq = h[q] * dp - hp * g[q];
    double over = hp * xp + h[q] * xq - fall * (dp * d[q] - g[q] * g[q]);
    double x = xp < xq ? xp : xq;
    least[q] = x < over ? x : over;
  }
}

/* The same without the signs. */
static void test_fall(const double *restrict g, const double *restrict h,
                      const double *restrict d, size_t n, double hp, double dp,
                      double fall, double *restrict least)
{
  for (size_t q = 0; q < n; q++)
    least[q] = hp * (hp * d[q] - h[q] * g[q]) + h[q] * (h[q] * dp - hp * g[q]) -
               fall * (dp * d[q] - g[q] * g[q]);
}

/* Two more: p and each after it. */
static void pairs(lh_search_walk *t, const level *l, size_t p, double fall)
{
  size_t from = p + 1, n = l->n - from;
  double least[LH_SEARCH_PAIRED], s = -4.0 * l->slack;

  const double *g = &l->g[p * l->stride + from];
  if (l->signs)
    test(g, &l->h[from], &l->d[from], n, l->h[p], l->d[p], fall, least);
  else
    test_fall(g, &l->h[from], &l->d[from], n, l->h[p], l->d[p], fall, least);
  t->in[t->count++] = l->at[p];
  for (size_t q = 0; q < n; q++)
    if (least[q] > s && !t->stop && (!l->signs || l->d[from + q] > alike))
      look(t, l->at[from + q]);
  t->count--;
}

static void count_out(lh_search_walk *t, const level *l, double *room)
{
  size_t left = t->r->most - t->count;

  for (size_t p = 0; p < l->n && !t->stop; p++) {
    if (l->signs && !(l->d[p] > alike)) continue;
    double fall = l->value - lh_search_rank_reach(t->k);
    single(t, l, p, fall);
    if (left == 2) pairs(t, l, p, fall);
    if (left < 3 || p + 1 == l->n) continue;
    level next;
    double *rest = clear_out(l, p, &next, room);
    t->in[t->count++] = l->at[p];
    count_out(t, &next, rest);
    t->count--;
  }
}

/* Those that are in, cleared of one another: rows of Cholesky's triangle, over
** the n columns of the level, then themselves, then h.
*/
enum { HELD = LH_SEARCH_PAIRED + LH_SEARCH_LINES + 1 };
typedef double held[LH_SEARCH_LINES][HELD];

/* Clear those that are in out of h and the diagonal; false when they are
** nearly alike among themselves, so that no support has them all.
*/
static bool hold(const lh_search_walk *t, level *l, const double *lean, held in)
{
  const lh_search_ready *r = t->r;
  size_t c = t->count, n = l->n;

  for (size_t j = 0; j < n; j++) {
    l->h[j] = r->h[l->at[j]] + lean[l->at[j]];
    l->d[j] = r->plain[l->at[j] * r->n + l->at[j]];
  }
  for (size_t i = 0; i < c; i++) {
    const double *from = &r->plain[t->in[i] * r->n];
    double *row = in[i];
    for (size_t j = 0; j < n; j++) row[j] = from[l->at[j]];
    for (size_t j = i; j < c; j++) row[n + j] = from[t->in[j]];
    row[n + c] = r->h[t->in[i]] + lean[t->in[i]];
    for (size_t k = 0; k < i; k++) {
      double f = in[k][n + i];
      for (size_t j = 0; j < n; j++) row[j] -= f * in[k][j];
      for (size_t j = i; j <= c; j++) row[n + j] -= f * in[k][n + j];
    }
    double pivot = row[n + i], scale = 0.0;
    if (l->signs && !(pivot > alike)) return false;
    l->slack = fmax(l->slack, l->noise / fmax(pivot, alike));
    if (pivot > alike) scale = 1.0 / sqrt(pivot);
    for (size_t j = 0; j < n; j++) row[j] *= scale;
    for (size_t j = i; j <= c; j++) row[n + j] *= scale;
    l->value -= row[n + c] * row[n + c];
    for (size_t j = 0; j < n; j++) {
      l->h[j] -= row[n + c] * row[j];
      l->d[j] -= row[j] * row[j];
    }
  }
  return true;
}

/* Put first the columns that do most alone: good recipes are met early, and
** what comes after has to be as good.
*/
static void order(level *l, held in, size_t c)
{
  double does[LH_SEARCH_PAIRED];
  size_t from[LH_SEARCH_PAIRED] = {0};
  level was = *l;
  double h[LH_SEARCH_PAIRED], d[LH_SEARCH_PAIRED], row[LH_SEARCH_PAIRED];

  for (size_t i = 0; i < l->n; i++) {
    double v = l->h[i] > 0.0 ? l->h[i] * l->h[i] / l->d[i] : 0.0;
    size_t j = i;
    for (; j > 0 && does[j - 1] < v; j--) {
      does[j] = does[j - 1];
      from[j] = from[j - 1];
    }
    does[j] = v;
    from[j] = i;
  }
  memcpy(h, l->h, l->n * sizeof *h);
  memcpy(d, l->d, l->n * sizeof *d);
  for (size_t i = 0; i < l->n; i++) {
    l->h[i] = h[from[i]];
    l->d[i] = d[from[i]];
    l->at[i] = was.at[from[i]];
  }
  for (size_t k = 0; k < c; k++) {
    memcpy(row, in[k], l->n * sizeof *row);
    for (size_t i = 0; i < l->n; i++) in[k][i] = row[from[i]];
  }
}

/* The products of the columns, those that are in cleared out. */
static void fill(const lh_search_ready *r, level *l, held in, size_t c)
{
  for (size_t i = 0; i < l->n; i++) {
    const double *from = &r->plain[l->at[i] * r->n];
    double *g = &l->g[i * l->stride];
    for (size_t j = i; j < l->n; j++) g[j] = from[l->at[j]];
    for (size_t k = 0; k < c; k++)
      for (size_t j = i; j < l->n; j++) g[j] -= in[k][i] * in[k][j];
  }
}

/* What the limits, as the branch's sum leans on them, add to h.
**
** With lambda >= 0 for a limit L y >= 0 (any for L y = 0), every y that keeps
** the limits has |A y - b|^2 >= |A y - b|^2 - 2 lambda' L y, and the free least
** of the right side over a support is a bound on the support.
*/
static void lean_on(const lh_search_ready *r, const lh_search_sum *s,
                    double *lean)
{
  size_t slack = r->n;

  for (size_t j = 0; j < r->n; j++) lean[j] = 0.0;
  for (size_t l = 0; l < r->limits; l++) {
    const double *lim = &r->lim[l * r->n];
    double off = 0.0;
    for (size_t i = 0; i < s->count; i++) {
      if (s->at[i] < r->n) off -= LH_SEARCH_PULL * lim[s->at[i]] * s->y[i];
      if (!r->equal[l] && s->at[i] == slack) off += s->y[i];
    }
    if (!r->equal[l]) slack++;
    if (!r->equal[l] && !(off > 0.0)) continue;
    for (size_t j = 0; j < r->n; j++) lean[j] += LH_SEARCH_PULL * off * lim[j];
  }
}

void lh_search_pairs(lh_search_walk *t, const uint16_t *may, size_t n,
                     const lh_search_sum *s)
{
  level l = {.n = n,
             .signs = t->r->limits == 0,
             .noise = t->r->limits ? 4e-12 : 4e-15,
             .value = 1.0};
  double lean[LH_SEARCH_MATERIALS];
  double *rest = lay_out(&l, n, t->room);
  held in;

  memcpy(l.at, may, n * sizeof *may);
  l.slack = l.noise;
  lean_on(t->r, s, lean);
  if (!hold(t, &l, lean, in)) return;
  order(&l, in, t->count);
  fill(t->r, &l, in, t->count);
  count_out(t, &l, rest);
}
