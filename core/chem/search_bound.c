/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "search_parts.h"

/* Least squares over amounts >= 0 by Lawson and Hanson's active set, worked
** on the products of the columns (Cholesky), and from wherever it ends a
** lower bound.  It may end early, on a cap or among columns that are nearly
** alike: the bound does not rest on its having settled.
**
** The bound.  Take any residual r with A'r <= 0.  For every y >= 0
**   |b - A y| |r| >= r'(b - A y) >= r'b,   so   |b - A y|^2 >= (r'b)^2 / r'r.
** The r at hand may break A'r <= 0 a little; u has A'u > 0, so r - d u keeps
** it with d = max_j (A'r)_j / (A'u)_j.
*/

/* An active set needs about as many rounds as it ends with columns. */
enum { ROUNDS = 4 * LH_SEARCH_WIDE };

/* A column pulls when the residual has more of it than rounding makes. */
#define PULLS 1e-11

typedef struct {
  const lh_search_ready *r;
  const uint16_t *set;
  size_t n, slacks;
  lh_search_sum *s;
  double w[LH_SEARCH_MATERIALS + LH_SEARCH_LIMITS]; /* A'r, over set, slacks */
} work;

static double product(const lh_search_ready *r, size_t i, size_t j)
{
  return r->gram[i * r->all + j];
}

/* The k-th column that may be used: those of the set, then the slacks. */
static size_t column_at(const work *k, size_t i)
{
  return i < k->n ? k->set[i] : k->r->n + (i - k->n);
}

/* Rows from..count of the triangle; the first that has no length of its own,
** count when all have.
*/
static size_t factor(const lh_search_ready *r, const lh_search_sum *s,
                     size_t from)
{
  for (size_t i = from; i < s->count; i++) {
    double *row = &r->room[i * LH_SEARCH_WIDE];
    double own = product(r, s->at[i], s->at[i]), d = own;
    for (size_t j = 0; j < i; j++) {
      const double *to = &r->room[j * LH_SEARCH_WIDE];
      double v = product(r, s->at[i], s->at[j]);
      for (size_t k = 0; k < j; k++) v -= row[k] * to[k];
      row[j] = v * to[j];
      d -= row[j] * row[j];
    }
    if (!(d > 1e-12 * own + 1e-11)) return i;
    row[i] = 1.0 / sqrt(d); /* the diagonal is kept inverted */
  }
  return s->count;
}

/* z: the least sum of these columns, signs free. */
static void solve(const lh_search_ready *r, const lh_search_sum *s, double *z)
{
  const double *t = r->room;

  for (size_t i = 0; i < s->count; i++) {
    double v = r->h[s->at[i]];
    for (size_t k = 0; k < i; k++) v -= t[i * LH_SEARCH_WIDE + k] * z[k];
    z[i] = v * t[i * LH_SEARCH_WIDE + i];
  }
  for (size_t i = s->count; i-- > 0;) {
    z[i] *= t[i * LH_SEARCH_WIDE + i];
    for (size_t k = 0; k < i; k++) z[k] -= t[i * LH_SEARCH_WIDE + k] * z[i];
  }
}

static void drop(lh_search_sum *s, size_t i)
{
  s->count--;
  memmove(&s->at[i], &s->at[i + 1], (s->count - i) * sizeof *s->at);
  memmove(&s->y[i], &s->y[i + 1], (s->count - i) * sizeof *s->y);
}

/* From y, which is feasible, towards the least sum of its columns, dropping
** those that come to nothing on the way.  `from`: rows of the triangle that
** already stand.
*/
static void settle(const lh_search_ready *r, lh_search_sum *s, size_t from)
{
  double z[LH_SEARCH_WIDE];

  for (;;) {
    for (size_t i; (i = factor(r, s, from)) < s->count; from = i) drop(s, i);
    solve(r, s, z);
    double step = 1.0;
    size_t first = s->count;
    for (size_t i = 0; i < s->count; i++) {
      if (z[i] > 0.0) continue;
      double t = s->y[i] > 0.0 ? s->y[i] / (s->y[i] - z[i]) : 0.0;
      if (first == s->count || t < step) {
        step = t;
        first = i;
      }
    }
    if (first == s->count) break;
    for (size_t i = 0; i < s->count; i++)
      s->y[i] = fmax(0.0, s->y[i] + step * (z[i] - s->y[i]));
    s->y[first] = 0.0;
    from = s->count;
    for (size_t i = s->count; i-- > 0;)
      if (s->y[i] <= 0.0 && z[i] <= 0.0) {
        drop(s, i);
        from = i;
      }
  }
  memcpy(s->y, z, s->count * sizeof *z);
}

static void slopes(work *k)
{
  const lh_search_ready *r = k->r;

  for (size_t i = 0; i < k->n + k->slacks; i++) {
    size_t j = column_at(k, i);
    double v = r->h[j];
    for (size_t l = 0; l < k->s->count; l++)
      v -= product(r, k->s->at[l], j) * k->s->y[l];
    k->w[i] = v;
  }
}

/* A limit that the residual pulls the wrong way is let go: its slack takes
** up all of it.  Slacks are at right angles, so one round is enough.
*/
static bool let_go(work *k)
{
  bool any = false;

  for (size_t i = k->n; i < k->n + k->slacks; i++) {
    lh_search_sum *s = k->s;
    size_t at = 0;
    if (!(k->w[i] > 0.0)) continue;
    while (at < s->count && s->at[at] != column_at(k, i)) at++;
    if (at == LH_SEARCH_WIDE) return false;
    if (at == s->count) {
      s->at[s->count] = (uint16_t)column_at(k, i);
      s->y[s->count++] = 0.0;
    }
    s->y[at] += k->w[i];
    any = true;
  }
  if (any) slopes(k);
  return true;
}

static double dual(work *k)
{
  const lh_search_ready *r = k->r;
  const lh_search_sum *s = k->s;
  double hy = 0.0, uy = 0.0, ygy = 0.0, d = 0.0;

  if (!let_go(k)) return 0.0;
  for (size_t i = 0; i < k->n; i++) d = fmax(d, k->w[i] / r->up[k->set[i]]);
  for (size_t i = 0; i < s->count; i++) {
    double gy = 0.0;
    for (size_t l = 0; l < s->count; l++)
      gy += product(r, s->at[i], s->at[l]) * s->y[l];
    ygy += gy * s->y[i];
    hy += r->h[s->at[i]] * s->y[i];
    if (s->at[i] < r->n) uy += r->up[s->at[i]] * s->y[i];
  }
  double rb = 1.0 - hy - d * r->bu;
  double rr = 1.0 - 2.0 * hy + ygy - 2.0 * d * (r->bu - uy) + d * d * r->uu;
  if (!(rb > 0.0) || !(rr > 1e-15)) return 0.0;
  return rb * rb / rr;
}

/* The value of a settled sum: |b - A y|^2 = 1 - h'y. */
static double value_of(const lh_search_ready *r, const lh_search_sum *s)
{
  double v = 1.0;

  for (size_t i = 0; i < s->count; i++) v -= r->h[s->at[i]] * s->y[i];
  return v;
}

double lh_search_bound(const lh_search_ready *r, const uint16_t *set, size_t n,
                       lh_search_sum *s, double reach)
{
  work k = {.r = r, .set = set, .n = n, .slacks = r->all - r->n, .s = s};
  bool in[LH_SEARCH_MATERIALS + LH_SEARCH_LIMITS] = {false};

  for (size_t i = 0; i < n; i++) in[set[i]] = true;
  for (size_t j = r->n; j < r->all; j++) in[j] = true;
  for (size_t i = s->count; i-- > 0;)
    if (!in[s->at[i]]) drop(s, i);
  settle(r, s, 0);
  for (size_t round = 0;; round++) {
    size_t best = n + k.slacks;
    if (value_of(r, s) < reach) {
      s->settled = s->least = false;
      return 0.0;
    }
    slopes(&k);
    for (size_t i = 0; i < n + k.slacks; i++)
      if (in[column_at(&k, i)] && k.w[i] > PULLS &&
          (best == n + k.slacks || k.w[i] > k.w[best]))
        best = i;
    if (best == n + k.slacks || s->count == LH_SEARCH_WIDE || round == ROUNDS)
      break; /* the slopes are those of the sum as it stands */
    size_t j = column_at(&k, best), before = s->count;
    s->at[before] = (uint16_t)j;
    s->y[before] = 0.0;
    s->count++;
    settle(r, s, before);
    /* One that does not stay is not asked again: so it cannot cycle. */
    if (!s->count || s->at[s->count - 1] != j) in[j] = false;
  }
  s->settled = s->least = true;
  for (size_t i = 0; i < n + k.slacks; i++) s->least &= k.w[i] <= PULLS;
  return dual(&k);
}

void lh_search_dear(const lh_search_ready *r, const lh_search_sum *s,
                    double *cost)
{
  lh_search_sum t = *s;
  double v[LH_SEARCH_WIDE];

  for (size_t i = 0; i < s->count; i++) cost[i] = 0.0;
  if (factor(r, &t, 0) < t.count) return;
  for (size_t j = 0; j < t.count; j++) {
    double square = 0.0;
    for (size_t i = j; i < t.count; i++) {
      const double *row = &r->room[i * LH_SEARCH_WIDE];
      double sum = i == j ? 1.0 : 0.0;
      for (size_t l = j; l < i; l++) sum -= row[l] * v[l];
      v[i] = sum * row[i];
      square += v[i] * v[i];
    }
    cost[j] = t.y[j] * t.y[j] / square;
  }
}
