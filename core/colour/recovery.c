/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recovery.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include "exact.h"

/* Unknowns: z[0..n) and the multipliers z[n..n+3).  The Lagrangian
**   sum (z[i+1] - z[i])^2 + sum_j lambda_j (rows_j . rho(z) - want_j)
** is stationary where (Burns 2020)
**   D z + rho'(z) rows^T lambda = 0,   rows rho(z) = want,
** D being the matrix of twice the second differences. */
enum { MOST = LH_RECOVER_MOST + 3 };

typedef struct {
  const double *rows;
  size_t n;
  double want[3];
  double z[MOST];
} problem;

typedef double matrix[MOST][MOST + 1]; /* the right-hand side last */

/* rho(z) = (tanh z + 1)/2 = 1/(1 + exp(-2 z)) and its first two slopes. */
static void curve(double z, double *rho, double *first, double *second)
{
  double e = lh_exact_exp(-2.0 * fabs(z)), low = e / (1.0 + e);

  *rho = z < 0.0 ? low : 1.0 - low;
  *first = 2.0 * low * (1.0 - low);
  *second = 2.0 * *first * (1.0 - 2.0 * *rho);
}

/* Fill Newton's equations J dz = -F; gives the largest part of F,
** infinity when it is not a number. */
static double equations(const problem *p, matrix m)
{
  size_t n = p->n;
  double worst = 0.0, match[3] = {-p->want[0], -p->want[1], -p->want[2]};

  memset(m, 0, sizeof(matrix));
  for (size_t i = 0; i < n; i++) {
    double rho, first, second, pull = 0.0, f = 0.0;
    curve(p->z[i], &rho, &first, &second);
    for (size_t j = 0; j < 3; j++) {
      double row = p->rows[j * n + i];
      pull += row * p->z[n + j];
      match[j] += row * rho;
      m[i][n + j] = m[n + j][i] = row * first;
    }
    if (i > 0) m[i][i] += 2.0, m[i][i - 1] = -2.0;
    if (i > 0) f += 2.0 * (p->z[i] - p->z[i - 1]);
    if (i + 1 < n) m[i][i] += 2.0, m[i][i + 1] = -2.0;
    if (i + 1 < n) f += 2.0 * (p->z[i] - p->z[i + 1]);
    m[i][i] += second * pull;
    f += first * pull;
    m[i][n + 3] = -f;
    if (!isfinite(f)) return HUGE_VAL; /* fmax would overlook NaN */
    worst = fmax(worst, fabs(f));
  }
  for (size_t j = 0; j < 3; j++) {
    m[n + j][n + 3] = -match[j];
    worst = fmax(worst, fabs(match[j]));
  }
  return worst;
}

/* Gauss with partial pivoting; the answer lands in the last column.  False
** when the matrix is singular to working precision. */
static bool solve(matrix m, size_t n, size_t right)
{
  for (size_t k = 0; k < n; k++) {
    size_t best = k;
    for (size_t i = k + 1; i < n; i++)
      if (fabs(m[i][k]) > fabs(m[best][k])) best = i;
    if (!(fabs(m[best][k]) > 1e-300)) return false;
    for (size_t j = k; best != k && j <= right; j++) {
      double t = m[k][j];
      m[k][j] = m[best][j];
      m[best][j] = t;
    }
    for (size_t i = k + 1; i < n; i++) {
      double q = m[i][k] / m[k][k];
      if (q == 0.0) continue;
      for (size_t j = k; j <= right; j++) m[i][j] -= q * m[k][j];
    }
  }
  for (size_t k = n; k-- > 0;) {
    double v = m[k][right];
    for (size_t j = k + 1; j < n; j++) v -= m[k][j] * m[j][right];
    m[k][right] = v / m[k][k];
  }
  return true;
}

/* Newton from p->z; true when it settles.  Steps are cut to 2 in z, where
** tanh turns over. */
static bool newton(problem *p, int *iterations)
{
  matrix m;
  size_t all = p->n + 3;

  for (int step = 0; step < 30; step++) {
    double worst = equations(p, m), longest = 0.0;
    if (worst > 1e12) return false;
    if (worst < 1e-13) return true;
    ++*iterations;
    if (!solve(m, all, all)) return false;
    for (size_t i = 0; i < p->n; i++) longest = fmax(longest, fabs(m[i][all]));
    double cut = longest > 2.0 ? 2.0 / longest : 1.0;
    for (size_t i = 0; i < all; i++) p->z[i] += cut * m[i][all];
  }
  return equations(p, m) < 1e-11;
}

/* From the grey of the same Y to the colour in steps that grow and shrink. */
static bool walk(problem *p, const double grey[3], double start, int *count)
{
  double want[3], keep[MOST], at = 0.0, step = 0.25;
  size_t all = p->n + 3;

  memcpy(want, p->want, sizeof want);
  memset(p->z, 0, sizeof p->z);
  for (size_t i = 0; i < p->n; i++) p->z[i] = start;
  memcpy(keep, p->z, sizeof keep);
  while (at < 1.0 && step > 1e-4 && *count < 2000) {
    double next = fmin(1.0, at + step);
    for (size_t j = 0; j < 3; j++)
      p->want[j] = grey[j] + next * (want[j] - grey[j]);
    if (newton(p, count)) {
      at = next;
      step *= 2.0;
      memcpy(keep, p->z, all * sizeof *keep);
    } else {
      step /= 4.0;
      memcpy(p->z, keep, all * sizeof *keep);
    }
  }
  memcpy(p->want, want, sizeof want);
  return at >= 1.0;
}

static bool near(const double a[3], const double b[3])
{
  for (size_t j = 0; j < 3; j++)
    if (!(fabs(a[j] - b[j]) <= 1e-9)) return false;
  return true;
}

/* Largest miss of a reflectance. */
static double miss(const problem *p, const double *rho)
{
  double worst = 0.0;

  for (size_t j = 0; j < 3; j++) {
    double v = -p->want[j];
    for (size_t i = 0; i < p->n; i++) v += p->rows[j * p->n + i] * rho[i];
    worst = fmax(worst, fabs(v));
  }
  return worst;
}

lh_status lh_recover_rows(const double *rows, size_t n, const double want[3],
                          double *rho, lh_recover_info *info)
{
  static const double zero[3] = {0.0, 0.0, 0.0};
  double white[3] = {0.0, 0.0, 0.0}, grey[3], out[LH_RECOVER_MOST];
  lh_recover_info own = {0, 0.0};
  problem p = {rows, n, {want[0], want[1], want[2]}, {0.0}};

  assert(n >= 4 && n <= LH_RECOVER_MOST);
  for (size_t j = 0; j < 3; j++)
    for (size_t i = 0; i < n; i++) white[j] += rows[j * n + i];
  double Y = want[1] / white[1];
  if (near(want, zero) || near(want, white)) {
    for (size_t i = 0; i < n; i++) out[i] = near(want, zero) ? 0.0 : 1.0;
  } else {
    if (!(Y > 0.0 && Y < 1.0 && isfinite(want[0] + want[2]))) return LH_RANGE;
    double start = 0.5 * lh_exact_log(Y / (1.0 - Y)); /* artanh(2 Y - 1) */
    for (size_t j = 0; j < 3; j++) grey[j] = Y * white[j];
    for (size_t i = 0; i < n; i++) p.z[i] = start;
    if (!newton(&p, &own.iterations) && !walk(&p, grey, start, &own.iterations))
      return LH_RANGE;
    for (size_t i = 0; i < n; i++) {
      double first, second;
      curve(p.z[i], &out[i], &first, &second);
    }
  }
  own.residual = miss(&p, out);
  memcpy(rho, out, n * sizeof *rho);
  if (info) *info = own;
  return LH_OK;
}

lh_status lh_recover(lh_xyz c, double rho[LH_WAVES], lh_recover_info *info)
{
  double rows[3][LH_WAVES], want[3] = {c.x, c.y, c.z};
  lh_xyz from = lh_spectrum_white(LH_D65), to = lh_srgb_white();

  lh_spectrum_rows(LH_D65, rows);
  for (size_t i = 0; i < LH_WAVES; i++) {
    rows[0][i] *= to.x / from.x;
    rows[1][i] *= to.y / from.y;
    rows[2][i] *= to.z / from.z;
  }
  return lh_recover_rows(&rows[0][0], LH_WAVES, want, rho, info);
}
