/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <float.h>
#include <math.h>
#include <string.h>

#include "search_parts.h"

/* A support's own sum: the least |A y - b|^2 with the limits kept.
**
** The columns are made a triangle (A = Q R, Gram-Schmidt, each taken twice).
** Limits and, when asked, y >= 0 are met by the dual active-set method, in
** which each constraint n'y >= 0 is a vector v = R^-T n and the sum is
** y = R^-1 z with z nearest to Q'b: from the free least sum, the constraint
** most broken is stepped onto, and those that then push the wrong way let go.
*/
enum {
  LINES = LH_SEARCH_LINES,
  CONS = LH_SEARCH_LIMITS + LINES,
  TALL = LH_SEARCH_DEEP + LINES
};

/* Columns that can replace one another get a pull towards small amounts, of
** this length, so that they have one answer; it moves the value by under
** its square.
*/
#define PULL_SMALL 1e-6

typedef struct {
  size_t p, cons;
  double r[LINES][LINES]; /* r[i][j], i <= j */
  double z[LINES];        /* where the sum stands; y = R^-1 z       */
  double v[CONS][LINES];  /* unit vectors of the constraints        */
  bool equal[CONS];
  size_t on[LINES]; /* constraints stood on                  */
  double push[LINES];
  double q[LINES][LINES]; /* an orthonormal set of those vectors, */
  double t[LINES][LINES]; /* v_on[j] = sum t[i][j] q[i]           */
  size_t count;
} qp;

static double dot(const double *a, const double *b, size_t n)
{
  double s = 0.0;

  for (size_t i = 0; i < n; i++) s += a[i] * b[i];
  return s;
}

/* A = Q R of the support's columns, a pull below them when `small` > 0.
** Returned: how near one column is to a mixture of the others.
*/
static double triangle(const lh_search_ready *r, const uint16_t *at, qp *k,
                       double small)
{
  double q[LINES][TALL], inv[LINES][LINES], near = 1.0;
  size_t tall = r->deep + (small > 0.0 ? k->p : 0);

  for (size_t j = 0; j < k->p; j++) {
    memset(q[j], 0, tall * sizeof **q);
    memcpy(q[j], &r->col[at[j] * r->deep], r->deep * sizeof **q);
    if (small > 0.0) q[j][r->deep + j] = small;
    memset(k->r[j], 0, sizeof k->r[j]);
    for (int twice = 0; twice < 2; twice++)
      for (size_t i = 0; i < j; i++) {
        double c = dot(q[i], q[j], tall);
        k->r[i][j] += c;
        for (size_t l = 0; l < tall; l++) q[j][l] -= c * q[i][l];
      }
    double length = sqrt(dot(q[j], q[j], tall));
    if (!(length > 1e-9)) return 0.0;
    k->r[j][j] = length;
    for (size_t l = 0; l < tall; l++) q[j][l] /= length;
    k->z[j] = dot(q[j], r->b, r->deep);
  }
  /* 1 / |row j of R^-1| is the distance of column j from the others. */
  for (size_t j = 0; j < k->p; j++)
    for (size_t i = j + 1; i-- > 0;) {
      double v = i == j ? 1.0 : 0.0;
      for (size_t l = i + 1; l <= j; l++) v -= k->r[i][l] * inv[l][j];
      inv[i][j] = v / k->r[i][i];
    }
  for (size_t i = 0; i < k->p; i++) {
    double square = 0.0;
    for (size_t j = i; j < k->p; j++) square += inv[i][j] * inv[i][j];
    near = fmin(near, 1.0 / sqrt(square));
  }
  return near;
}

/* v = R^-T n, at unit length; false when n is nothing. */
static bool constraint(const qp *k, const double *n, double *v)
{
  for (size_t i = 0; i < k->p; i++) {
    double s = n[i];
    for (size_t l = 0; l < i; l++) s -= k->r[l][i] * v[l];
    v[i] = s / k->r[i][i];
  }
  double length = sqrt(dot(v, v, k->p));
  if (!(length > 1e-12)) return false;
  for (size_t i = 0; i < k->p; i++) v[i] /= length;
  return true;
}

static void amounts(const qp *k, double *y)
{
  for (size_t i = k->p; i-- > 0;) {
    double s = k->z[i];
    for (size_t j = i + 1; j < k->p; j++) s -= k->r[i][j] * y[j];
    y[i] = s / k->r[i][i];
  }
}

/* Split v into what the constraints stood on make of it (their shares) and
** the rest, z.  Returned: the rest's length.
*/
static double split(const qp *k, const double *v, double *share, double *rest)
{
  memcpy(rest, v, k->p * sizeof *rest);
  memset(share, 0, LINES * sizeof *share);
  for (int twice = 0; twice < 2; twice++)
    for (size_t i = 0; i < k->count; i++) {
      double c = dot(k->q[i], rest, k->p);
      share[i] += c;
      for (size_t l = 0; l < k->p; l++) rest[l] -= c * k->q[i][l];
    }
  for (size_t i = k->count; i-- > 0;) {
    for (size_t j = i + 1; j < k->count; j++) share[i] -= k->t[i][j] * share[j];
    share[i] /= k->t[i][i];
  }
  return sqrt(dot(rest, rest, k->p));
}

/* Stand on constraint c too. */
static void step_on(qp *k, size_t c, double push)
{
  size_t j = k->count;
  double rest[LINES];

  memcpy(rest, k->v[c], sizeof rest);
  for (size_t i = 0; i < j; i++) k->t[i][j] = 0.0;
  for (int twice = 0; twice < 2; twice++)
    for (size_t i = 0; i < j; i++) {
      double s = dot(k->q[i], rest, k->p);
      k->t[i][j] += s;
      for (size_t l = 0; l < k->p; l++) rest[l] -= s * k->q[i][l];
    }
  double length = sqrt(dot(rest, rest, k->p));
  k->t[j][j] = length;
  for (size_t l = 0; l < k->p; l++) k->q[j][l] = rest[l] / length;
  k->on[j] = c;
  k->push[j] = push;
  k->count++;
}

static void step_off(qp *k, size_t i)
{
  size_t on[LINES], n = k->count;
  double push[LINES];

  memcpy(on, k->on, sizeof on);
  memcpy(push, k->push, sizeof push);
  k->count = i;
  for (size_t j = i + 1; j < n; j++) step_on(k, on[j], push[j]);
}

/* The constraint most broken, an equality first; k->cons when none is. */
static size_t broken(const qp *k)
{
  size_t worst = k->cons;
  double most = 1e-13;

  for (size_t c = 0; c < k->cons; c++) {
    bool on = false;
    for (size_t i = 0; i < k->count; i++) on |= k->on[i] == c;
    if (on) continue;
    double s = -dot(k->v[c], k->z, k->p);
    if (k->equal[c] && fabs(s) > 1e-13) return c;
    if (s > most) {
      most = s;
      worst = c;
    }
  }
  return worst;
}

/* Step onto c, letting go what pushes the wrong way. */
static bool meet(qp *k, size_t c)
{
  double share[LINES], rest[LINES], push = 0.0;

  if (k->equal[c] && dot(k->v[c], k->z, k->p) > 0.0)
    for (size_t l = 0; l < k->p; l++) k->v[c][l] = -k->v[c][l];
  for (;;) {
    double off = -dot(k->v[c], k->z, k->p);
    double length = split(k, k->v[c], share, rest), least = INFINITY;
    size_t let = k->count;
    for (size_t i = 0; i < k->count; i++)
      if (!k->equal[k->on[i]] && share[i] > 1e-14 &&
          k->push[i] / share[i] < least) {
        least = k->push[i] / share[i];
        let = i;
      }
    bool full = length > 1e-10 && k->count < k->p;
    double t = full ? off / (length * length) : INFINITY;
    if (!(fmin(t, least) < INFINITY)) return k->equal[c] && off < 1e-10;
    double by = fmin(t, least);
    for (size_t i = 0; i < k->count; i++) k->push[i] -= by * share[i];
    push += by;
    for (size_t l = 0; l < k->p && full; l++) k->z[l] += by * rest[l];
    if (full && t <= least) {
      step_on(k, c, push);
      return true;
    }
    step_off(k, let);
  }
}

/* Meet all constraints; false when it does not settle. */
static bool meet_all(qp *k, const double *free)
{
  for (int round = 0; round < 40 * CONS; round++) {
    size_t c = broken(k);
    if (c == k->cons) {
      /* At its place exactly: the free sum less all that is stood on. */
      memcpy(k->z, free, sizeof k->z);
      for (int twice = 0; twice < 2; twice++)
        for (size_t i = 0; i < k->count; i++) {
          double s = dot(k->q[i], k->z, k->p);
          for (size_t l = 0; l < k->p; l++) k->z[l] -= s * k->q[i][l];
        }
      return true;
    }
    /* All limits are homogeneous: nothing at all always keeps them. */
    if (!meet(k, c)) return false;
  }
  return false;
}

static bool add_limits(const lh_search_ready *r, const uint16_t *at, qp *k)
{
  double n[LINES];
  bool any = false;

  for (size_t l = 0; l < r->limits; l++) {
    for (size_t i = 0; i < k->p; i++) n[i] = r->lim[l * r->n + at[i]];
    if (!constraint(k, n, k->v[k->cons])) continue;
    k->equal[k->cons++] = r->equal[l];
    any = true;
  }
  return any;
}

static void add_signs(qp *k)
{
  for (size_t i = 0; i < k->p; i++) {
    double n[LINES] = {0.0};
    n[i] = 1.0;
    if (!constraint(k, n, k->v[k->cons])) continue;
    k->equal[k->cons++] = false;
  }
}

static double value_of(const lh_search_ready *r, const uint16_t *at, size_t p,
                       const double *y)
{
  double sum = 0.0;

  for (size_t i = 0; i < r->deep; i++) {
    double v = -r->b[i];
    for (size_t j = 0; j < p; j++) v += r->col[at[j] * r->deep + i] * y[j];
    sum += v * v;
  }
  return sum;
}

/* Is every amount more than a trace of the batch, and the batch more than
** the noise that is left when the limits allow nothing at all?
*/
static bool all_there(const lh_search_ready *r, const uint16_t *at, size_t p,
                      const double *y)
{
  double sum = 0.0, size = 0.0;

  for (size_t i = 0; i < p; i++) {
    sum += fabs(y[i]) * r->scale[at[i]];
    size += fabs(y[i]);
  }
  for (size_t i = 0; i < p; i++)
    if (!(y[i] * r->scale[at[i]] > LH_SEARCH_TRACE_PERCENT / 100.0 * sum))
      return false;
  return p > 0 && size > 1e-9;
}

/* The least sum of a support whose columns may replace one another. */
static bool least(const lh_search_ready *r, const uint16_t *at, size_t p,
                  double *y, double *value)
{
  qp k = {.p = p};
  double free[LINES];

  if (p == 0) {
    *value = 1.0;
    return true;
  }
  triangle(r, at, &k, PULL_SMALL);
  memcpy(free, k.z, sizeof free);
  add_limits(r, at, &k);
  add_signs(&k);
  if (!meet_all(&k, free)) return false;
  amounts(&k, y);
  *value = value_of(r, at, p, y);
  return true;
}

/* Do limits make a support need columns that could replace one another? */
static lh_support_word alike(const lh_search_ready *r, const uint16_t *at,
                             size_t p, double *y, double *value)
{
  if (!least(r, at, p, y, value)) return LH_SUPPORT_UNSETTLED;
  if (!all_there(r, at, p, y)) return LH_SUPPORT_FALLS;
  for (size_t i = 0; i < p; i++) {
    uint16_t rest[LINES];
    double x[LINES], without;
    for (size_t j = 0, n = 0; j < p; j++)
      if (j != i) rest[n++] = at[j];
    if (!least(r, rest, p - 1, x, &without)) return LH_SUPPORT_UNSETTLED;
    if (without <= *value + 10.0 * PULL_SMALL * PULL_SMALL)
      return LH_SUPPORT_FALLS;
  }
  return LH_SUPPORT_STANDS;
}

lh_support_word lh_search_exact(const lh_search_ready *r, const uint16_t *at,
                                size_t count, double *y, double *value)
{
  qp k = {.p = count};
  double free[LINES];

  if (count == 0) return LH_SUPPORT_FALLS;
  if (triangle(r, at, &k, 0.0) < LH_SEARCH_ALIKE)
    return r->limits ? alike(r, at, count, y, value) : LH_SUPPORT_FALLS;
  memcpy(free, k.z, sizeof free);
  if (r->limits && add_limits(r, at, &k) && !meet_all(&k, free))
    return LH_SUPPORT_UNSETTLED;
  amounts(&k, y);
  if (!all_there(r, at, count, y)) return LH_SUPPORT_FALLS;
  *value = value_of(r, at, count, y);
  return LH_SUPPORT_STANDS;
}
