/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "photo_light.h"

#include <math.h>
#include <string.h>

#include "difference.h"
#include "draw.h"
#include "exact.h"

enum { N = LH_LIGHT_UNKNOWNS, GAMMA = 1 + LH_LIGHT_FIELD, MATRIX };

/* Each unknown's standard deviation beforehand; 0: nothing is known. */
static double beforehand(size_t j)
{
  if (j == 0) return 0;
  if (j <= 2) return LH_LIGHT_SLOPE;
  if (j < GAMMA) return LH_LIGHT_BEND;
  return j == GAMMA ? LH_LIGHT_TONES : LH_LIGHT_MIX;
}

/* The field's terms, from -1 to 1 across the picture. */
static void terms(double x, double y, double t[LH_LIGHT_FIELD])
{
  double u = 2 * x - 1, v = 2 * y - 1;

  t[0] = u;
  t[1] = v;
  t[2] = u * u;
  t[3] = u * v;
  t[4] = v * v;
}

static double field(const double *p, double x, double y)
{
  double t[LH_LIGHT_FIELD], sum = 0;

  terms(x, y, t);
  for (size_t k = 0; k < LH_LIGHT_FIELD; k++) sum += p[1 + k] * t[k];
  return sum;
}

double lh_light_field(const lh_light_fit *fit, double x, double y)
{
  return lh_exact_exp(field(fit->p, x, y));
}

/* ---- the model and its slopes ------------------------------------------- */

/* Tones bent: light^g, odd about zero; slope by g. */
static double bend(double light, double g, double *slope)
{
  double size = fabs(light), l, v;

  *slope = 0;
  if (!(size > 1e-12)) return light;
  l = lh_exact_log(size);
  v = copysign(lh_exact_exp(g * l), light);
  *slope = v * l;
  return v;
}

/* Linear sRGB at (x, y), and its slopes by the unknowns; slope may be NULL. */
static void camera(const double *p, double x, double y, const double rgb[3],
                   double out[3], double slope[3][N])
{
  double bent[3], by[3], t[LH_LIGHT_FIELD];
  double e = lh_exact_exp(fmin(fmax(p[0] + field(p, x, y), -40), 40));

  terms(x, y, t);
  for (size_t k = 0; k < 3; k++) bent[k] = bend(rgb[k], 1 + p[GAMMA], &by[k]);
  for (size_t i = 0; i < 3; i++) {
    const double *d = p + MATRIX + 3 * i;
    out[i] = e * (bent[i] + d[0] * bent[0] + d[1] * bent[1] + d[2] * bent[2]);
    if (!slope) continue;
    memset(slope[i], 0, sizeof slope[i]);
    slope[i][0] = out[i];
    for (size_t k = 0; k < LH_LIGHT_FIELD; k++) slope[i][1 + k] = out[i] * t[k];
    slope[i][GAMMA] = e * (by[i] + d[0] * by[0] + d[1] * by[1] + d[2] * by[2]);
    for (size_t k = 0; k < 3; k++) slope[i][MATRIX + 3 * i + k] = e * bent[k];
  }
}

/* XYZ of linear sRGB: the columns, once. */
static void columns(double m[3][3])
{
  for (size_t k = 0; k < 3; k++) {
    lh_xyz c = lh_srgb_xyz((lh_rgb){k == 0, k == 1, k == 2});
    m[0][k] = c.x;
    m[1][k] = c.y;
    m[2][k] = c.z;
  }
}

static lh_lab lab_of(double m[3][3], const double v[3])
{
  double c[3];

  for (size_t i = 0; i < 3; i++)
    c[i] = m[i][0] * v[0] + m[i][1] * v[1] + m[i][2] * v[2];
  return lh_xyz_lab((lh_xyz){c[0], c[1], c[2]}, lh_srgb_white());
}

/* CIELAB's slope by X/Xn at f(X/Xn), ISO/CIE 11664-4. */
static double slope_f(double f)
{
  return f > 6.0 / 29.0 ? 1 / (3 * f * f) : 841.0 / 108.0;
}

/* L*, a*, b* by linear red, green, blue, at lab. */
static void lab_slopes(double m[3][3], lh_lab lab, double by[3][3])
{
  double fy = (lab.L + 16) / 116, white[3];
  double s[3] = {slope_f(fy + lab.a / 500), slope_f(fy),
                 slope_f(fy - lab.b / 200)};
  lh_xyz w = lh_srgb_white();

  white[0] = w.x, white[1] = w.y, white[2] = w.z;
  for (size_t k = 0; k < 3; k++) {
    double x = s[0] * m[0][k] / white[0], y = s[1] * m[1][k] / white[1],
           z = s[2] * m[2][k] / white[2];
    by[0][k] = 116 * y;
    by[1][k] = 500 * (x - y);
    by[2][k] = 200 * (y - z);
  }
}

/* From differences in L*, a*, b* near lab to weighted ones in L*, C*, h. */
static void weights(lh_lab lab, double w[3][3])
{
  double c = sqrt(lab.a * lab.a + lab.b * lab.b);
  double ca = c > 1e-9 ? lab.a / c : 1, sa = c > 1e-9 ? lab.b / c : 0;
  double sc = 1 + 0.045 * c, sh = 1 + 0.015 * c;
  double made[3][3] = {
      {1, 0, 0}, {0, ca / sc, sa / sc}, {0, -sa / sh, ca / sh}};

  memcpy(w, made, sizeof made);
}

static void times(double a[3][3], double b[3][3], double out[3][3])
{
  for (size_t i = 0; i < 3; i++)
    for (size_t k = 0; k < 3; k++)
      out[i][k] = a[i][0] * b[0][k] + a[i][1] * b[1][k] + a[i][2] * b[2][k];
}

/* ---- the least squares -------------------------------------------------- */

typedef struct {
  const lh_light_patch *patch;
  size_t n, used;
  const bool *leave;
  double rows[3][3]; /* linear sRGB to XYZ */
  double miss;
} problem;

/* A patch's three weighted differences; slopes unless NULL. */
static void off_by(const problem *q, const double *p, size_t i, double off[3],
                   double slope[3][N])
{
  const lh_light_patch *t = &q->patch[i];
  double m[3][3], w[3][3], by[3][3], all[3][3], out[3], rgb[3][N];
  lh_lab lab;

  memcpy(m, q->rows, sizeof m);
  camera(p, t->x, t->y, t->rgb, out, slope ? rgb : NULL);
  lab = lab_of(m, out);
  weights(t->lab, w);
  double d[3] = {lab.L - t->lab.L, lab.a - t->lab.a, lab.b - t->lab.b};
  for (size_t k = 0; k < 3; k++)
    off[k] = w[k][0] * d[0] + w[k][1] * d[1] + w[k][2] * d[2];
  if (!slope) return;
  lab_slopes(m, lab, by);
  times(w, by, all);
  for (size_t k = 0; k < 3; k++)
    for (size_t j = 0; j < N; j++)
      slope[k][j] =
          all[k][0] * rgb[0][j] + all[k][1] * rgb[1][j] + all[k][2] * rgb[2][j];
}

/* The sum to be least. */
static double cost(const problem *q, const double *p)
{
  double sum = 0, off[3];

  for (size_t i = 0; i < q->n; i++) {
    if (q->leave && q->leave[i]) continue;
    off_by(q, p, i, off, NULL);
    sum += off[0] * off[0] + off[1] * off[1] + off[2] * off[2];
  }
  sum /= q->miss * q->miss;
  for (size_t j = 1; j < N; j++) {
    double sd = beforehand(j);
    sum += p[j] * p[j] / (sd * sd);
  }
  return sum;
}

/* The normal equations at p; *squares without what is known beforehand. */
static void normal(const problem *q, const double *p, double a[N][N],
                   double g[N], double *squares)
{
  double off[3], slope[3][N], s2 = q->miss * q->miss;

  memset(a, 0, N * sizeof a[0]);
  memset(g, 0, N * sizeof g[0]);
  *squares = 0;
  for (size_t i = 0; i < q->n; i++) {
    if (q->leave && q->leave[i]) continue;
    off_by(q, p, i, off, slope);
    for (size_t k = 0; k < 3; k++) {
      *squares += off[k] * off[k];
      for (size_t j = 0; j < N; j++) {
        g[j] += slope[k][j] * off[k] / s2;
        for (size_t l = 0; l <= j; l++)
          a[j][l] += slope[k][j] * slope[k][l] / s2;
      }
    }
  }
  for (size_t j = 1; j < N; j++) {
    double sd = beforehand(j);
    a[j][j] += 1 / (sd * sd);
    g[j] += p[j] / (sd * sd);
  }
}

/* Cholesky's factor in the lower half, in place; false when not positive. */
static bool factor(double a[N][N])
{
  for (size_t j = 0; j < N; j++) {
    for (size_t i = j; i < N; i++) {
      double sum = a[i][j];
      for (size_t k = 0; k < j; k++) sum -= a[i][k] * a[j][k];
      if (i > j)
        a[i][j] = sum / a[j][j];
      else if (sum > 0)
        a[j][j] = sqrt(sum);
      else
        return false;
    }
  }
  return true;
}

static void solve(double l[N][N], double v[N])
{
  for (size_t i = 0; i < N; i++) {
    for (size_t k = 0; k < i; k++) v[i] -= l[i][k] * v[k];
    v[i] /= l[i][i];
  }
  for (size_t i = N; i-- > 0;) {
    for (size_t k = i + 1; k < N; k++) v[i] -= l[k][i] * v[k];
    v[i] /= l[i][i];
  }
}

/* Steps until they no longer move anything that could be seen. */
static bool descend(const problem *q, double p[N])
{
  double a[N][N], g[N], to[N], squares, now = cost(q, p);

  for (int step = 0; step < 100; step++) {
    double share = 1, then = now, moved = 0;
    normal(q, p, a, g, &squares);
    if (!factor(a)) return false;
    solve(a, g);
    for (int half = 0; half < 20; half++, share /= 2) {
      for (size_t j = 0; j < N; j++) to[j] = p[j] - share * g[j];
      then = cost(q, to);
      if (then <= now) break;
    }
    if (!(then <= now)) return true; /* as low as rounding lets it be */
    for (size_t j = 0; j < N; j++) {
      moved = fmax(moved, fabs(to[j] - p[j]));
      p[j] = to[j];
    }
    now = then;
    if (moved < 1e-9) return true;
  }
  return false;
}

/* The covariance and the miss that the patches show. */
static bool spread(const problem *q, const double *p, lh_light_fit *fit)
{
  double a[N][N], g[N], squares, free = N;

  normal(q, p, a, g, &squares);
  if (!factor(a)) return false;
  for (size_t j = 0; j < N; j++) {
    double *row = fit->covariance[j], sd = beforehand(j);
    memset(row, 0, N * sizeof *row);
    row[j] = 1;
    solve(a, row);
    if (sd > 0) free -= row[j] / (sd * sd);
  }
  /* `free` is how many of the unknowns the patches themselves fixed. */
  fit->readings = LH_LIGHT_MISS_COUNTS + fmax(3 * (double)q->used - free, 0);
  fit->miss =
      sqrt((LH_LIGHT_MISS_COUNTS * LH_LIGHT_MISS * LH_LIGHT_MISS + squares) /
           fit->readings);
  fit->miss = fmax(fit->miss, LH_LIGHT_MISS_LEAST);
  return true;
}

static bool good(const lh_light_patch *t)
{
  double light = 0.2126 * t->rgb[0] + 0.7152 * t->rgb[1] + 0.0722 * t->rgb[2];

  for (size_t k = 0; k < 3; k++)
    if (!(fabs(t->rgb[k]) < 1e3)) return false;
  return light > 1e-6 && t->lab.L > 0 && t->lab.L <= 200 &&
         fabs(t->lab.a) <= 500 && fabs(t->lab.b) <= 500 && t->x >= 0 &&
         t->x <= 1 && t->y >= 0 && t->y <= 1;
}

/* The exposure that makes the patches as light as they are, in the mean. */
static lh_status start(problem *q, double p[N])
{
  memset(p, 0, N * sizeof *p);
  for (size_t i = 0; i < q->n; i++) {
    const lh_light_patch *t = &q->patch[i];
    if (q->leave && q->leave[i]) continue;
    if (!good(t)) return LH_RANGE;
    q->used++;
    p[0] += lh_exact_log(
        fmax(lh_lab_xyz(t->lab, lh_srgb_white()).y, 1e-6) /
        (0.2126 * t->rgb[0] + 0.7152 * t->rgb[1] + 0.0722 * t->rgb[2]));
  }
  if (q->used == 0) return LH_RANGE;
  p[0] /= (double)q->used;
  return LH_OK;
}

lh_status lh_light_find(const lh_light_patch *patch, size_t n,
                        const bool *leave, lh_light_fit *fit)
{
  problem q = {patch, n, 0, leave, {{0}}, LH_LIGHT_MISS};
  lh_status st = start(&q, fit->p);

  if (st != LH_OK) return st;
  columns(q.rows);
  /* The miss sets how much the judgements weigh, and is itself found: both
  ** come to rest together. */
  for (int round = 0; round < 20; round++) {
    double before = q.miss;
    fit->settled = descend(&q, fit->p);
    if (!spread(&q, fit->p, fit)) return LH_RANGE;
    q.miss = fit->miss;
    if (fabs(q.miss - before) <= 1e-6 * before) break;
  }
  return LH_OK;
}

lh_lab lh_light_lab(const lh_light_fit *fit, double x, double y,
                    const double rgb[3])
{
  double m[3][3], out[3];

  columns(m);
  camera(fit->p, x, y, rgb, out, NULL);
  return lab_of(m, out);
}

/* ---- how sure ----------------------------------------------------------- */

/* One colour that it might be: another light and camera, another miss. */
static lh_lab draw(const lh_light_fit *fit, double l[N][N], double m[3][3],
                   size_t i, const lh_light_patch *t)
{
  uint64_t key = lh_draw_key(0x1167, i, 0);
  double z[N + 4], p[N], out[3], miss;
  double c = sqrt(t->lab.a * t->lab.a + t->lab.b * t->lab.b);
  double ca = c > 1e-9 ? t->lab.a / c : 1, sa = c > 1e-9 ? t->lab.b / c : 0;

  for (size_t j = 0; j < N + 4; j++) z[j] = lh_draw_normal(key, j);
  memcpy(p, fit->p, sizeof p);
  for (size_t j = 0; j < N; j++)
    for (size_t k = 0; k <= j; k++) p[j] += l[j][k] * z[k];
  camera(p, t->x, t->y, t->rgb, out, NULL);
  lh_lab to = lab_of(m, out);
  /* The miss is itself known to 1 / sqrt(2 n) of it. */
  miss = fit->miss * lh_exact_exp(z[N + 3] / sqrt(2 * fit->readings));
  double dc = miss * (1 + 0.045 * c) * z[N + 1];
  double dh = miss * (1 + 0.015 * c) * z[N + 2];
  to.L += miss * z[N];
  to.a += ca * dc - sa * dh;
  to.b += sa * dc + ca * dh;
  return to;
}

double lh_light_range(const lh_light_fit *fit, double x, double y,
                      const double rgb[3])
{
  enum { DRAWS = 1000 };
  double l[N][N], m[3][3], off[DRAWS];
  lh_light_patch t = {x, y, {rgb[0], rgb[1], rgb[2]}, {0, 0, 0}};

  columns(m);
  memcpy(l, fit->covariance, sizeof l);
  if (!factor(l)) return NAN;
  t.lab = lh_light_lab(fit, x, y, rgb);
  for (size_t i = 0; i < DRAWS; i++)
    off[i] = lh_delta_e00(t.lab, draw(fit, l, m, i, &t));
  return lh_draw_quantile(off, DRAWS, 0.9);
}

/* ---- do they agree? ----------------------------------------------------- */

/* Leave each of those that are in out in turn: what it is missed by, and
** which, when left out, lets the rest agree best. */
static lh_status each_out(const lh_light_patch *patch, size_t n, bool *leave,
                          const lh_watch *watch, lh_light_verdict *v,
                          size_t *worst)
{
  lh_light_fit fit;
  double least = INFINITY;

  *worst = n;
  for (size_t i = 0; i < n; i++) {
    const lh_light_patch *t = &patch[i];
    if (leave[i]) continue;
    if (!lh_watch_go(watch, 0.95)) return LH_CANCELLED;
    leave[i] = true;
    lh_status st = lh_light_find(patch, n, leave, &fit);
    leave[i] = false;
    if (st != LH_OK) return st;
    v[i].off = lh_delta_e00(lh_light_lab(&fit, t->x, t->y, t->rgb), t->lab);
    v[i].range = v[i].off > LH_LIGHT_APART
                     ? lh_light_range(&fit, t->x, t->y, t->rgb)
                     : NAN;
    if (fit.miss < least) {
      least = fit.miss;
      *worst = i;
    }
  }
  return LH_OK;
}

lh_status lh_light_judge(const lh_light_patch *patch, size_t n,
                         const lh_watch *watch, lh_light_verdict *verdict)
{
  bool leave[LH_LIGHT_PATCHES] = {false};
  size_t worst, most = (n + 3) / 4;
  lh_status st = LH_OK;

  if (n == 0 || n > LH_LIGHT_PATCHES) return LH_RANGE;
  for (size_t i = 0; i < n; i++) {
    verdict[i] = (lh_light_verdict){NAN, NAN, false};
    if (!good(&patch[i])) return LH_RANGE;
  }
  if (most > LH_LIGHT_APART_MOST) most = LH_LIGHT_APART_MOST;
  if (n > 1) st = each_out(patch, n, leave, watch, verdict, &worst);
  for (size_t out = 0; n > 3 && out < most && st == LH_OK; out++) {
    lh_light_verdict *v = &verdict[worst];
    if (!(v->off > LH_LIGHT_APART_TIMES * v->range)) break;
    v->apart = leave[worst] = true;
    st = each_out(patch, n, leave, watch, verdict, &worst);
  }
  return st;
}
