/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "portion.h"

#include <math.h>
#include <stdbool.h>

/* A system whose columns lie as the system's equations: a[material][oxide].
** After factor() the reflections stand below the diagonal, R above.
*/
typedef struct {
  double a[LH_PORTION_MAX][LH_OXIDES];
  double diagonal[LH_PORTION_MAX];
  double b[LH_OXIDES];
  double unit[LH_PORTION_MAX]; /* length of the material's own column */
} lh_system;

static double length(const double *v, size_t from)
{
  double sum = 0.0;

  for (size_t i = from; i < LH_OXIDES; i++) sum += v[i] * v[i];
  return sqrt(sum);
}

/* y -= 2 v (v.y)/(v.v) on rows from..; vv is v.v/2. */
static void reflect(const double *v, double vv, size_t from, double *y)
{
  double sum = 0.0;

  for (size_t i = from; i < LH_OXIDES; i++) sum += v[i] * y[i];
  for (size_t i = from; i < LH_OXIDES; i++) y[i] -= v[i] * (sum / vv);
}

/* Triangle by reflections; n, or the column that the ones before it make. */
static size_t factor(lh_system *s, size_t n)
{
  for (size_t k = 0; k < n; k++) {
    double *v = s->a[k], norm = length(v, k), vv;
    if (norm < 1e-9) return k; /* columns have unit length */
    s->diagonal[k] = v[k] > 0.0 ? -norm : norm;
    v[k] -= s->diagonal[k];
    vv = -s->diagonal[k] * v[k];
    for (size_t j = k + 1; j < n; j++) reflect(v, vv, k, s->a[j]);
    reflect(v, vv, k, s->b);
  }
  return n;
}

static void substitute(const lh_system *s, size_t n, double *x)
{
  for (size_t k = n; k-- > 0;) {
    double sum = s->b[k];
    for (size_t j = k + 1; j < n; j++) sum -= s->a[j][k] * x[j];
    x[k] = sum / s->diagonal[k];
  }
}

static lh_status look(const double target[LH_OXIDES],
                      const lh_material *const *m, size_t n, double slack,
                      double *grams, lh_portion_info *info)
{
  for (size_t i = 0; i < LH_OXIDES; i++) {
    double made = 0.0;
    for (size_t k = 0; k < n; k++) made += grams[k] * m[k]->mol[i];
    if (fabs(made - target[i]) <= fmax(slack, fabs(info->off))) continue;
    info->why = LH_PORTION_MISSES;
    info->oxide = i;
    info->off = made - target[i];
  }
  if (info->why == LH_PORTION_MISSES) return LH_RANGE;
  for (size_t k = 0; k < n; k++) {
    double moles = 0.0;
    for (size_t i = 0; i < LH_OXIDES; i++) moles += m[k]->mol[i];
    if (grams[k] * moles < -slack) {
      info->why = LH_PORTION_NEGATIVE;
      info->material = k;
      return LH_RANGE;
    }
    if (grams[k] * moles < slack && grams[k] < 0.0) grams[k] = 0.0;
  }
  return LH_OK;
}

lh_status lh_portion_solve(const double target[LH_OXIDES],
                           const lh_material *const *m, size_t n,
                           double tolerance, double *grams,
                           lh_portion_info *info)
{
  lh_system s;
  double moles = 0.0;
  size_t rank;

  *info = (lh_portion_info){LH_PORTION_FINE, LH_OXIDES, 0.0, n};
  if (n == 0 || n > LH_PORTION_MAX) return LH_INPUT;
  for (size_t i = 0; i < LH_OXIDES; i++) {
    if (!(target[i] >= 0.0 && target[i] <= LH_FORMULA_COUNT_MAX))
      return LH_INPUT;
    moles += s.b[i] = target[i];
  }
  if (!(moles > 0.0)) return LH_INPUT;
  for (size_t k = 0; k < n; k++) {
    s.unit[k] = length(m[k]->mol, 0);
    for (size_t i = 0; i < LH_OXIDES; i++)
      s.a[k][i] = s.unit[k] > 0.0 ? m[k]->mol[i] / s.unit[k] : 0.0;
  }
  rank = factor(&s, n);
  if (rank < n) {
    info->why = LH_PORTION_MANY;
    info->material = rank;
    return LH_RANGE;
  }
  substitute(&s, n, grams);
  for (size_t k = 0; k < n; k++) grams[k] /= s.unit[k];
  return look(target, m, n, tolerance * moles, grams, info);
}
