/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <assert.h>
#include <math.h>

#include "exact.h"
#include "form.h"
#include "plane.h"

/* ---- Steffen's spline ------------------------------------------------- */

static double size_of(double x)
{
  return x < 0.0 ? -x : x;
}

static double sign_of(double x)
{
  return x < 0.0 ? -1.0 : 1.0;
}

static double least(double a, double b)
{
  return a < b ? a : b;
}

/* Slope at a point between chords of slope s0 over h0 and s1 over h1:
** Steffen (1990), equation 11 (its number from memory). */
static double slope_between(double h0, double s0, double h1, double s1)
{
  double p = (s0 * h1 + s1 * h0) / (h0 + h1);

  return (sign_of(s0) + sign_of(s1)) *
         least(least(size_of(s0), size_of(s1)), 0.5 * size_of(p));
}

/* Slope at an end: the parabola's through the first three points, limited;
** h0, s0 is the chord at the end.  Steffen (1990), equations 24 to 27 (their
** numbers from memory). */
static double slope_at_end(double h0, double s0, double h1, double s1)
{
  double p = s0 * (1.0 + h0 / (h0 + h1)) - s1 * h0 / (h0 + h1);

  if (p * s0 <= 0.0) return 0.0;
  return size_of(p) > 2.0 * size_of(s0) ? 2.0 * s0 : p;
}

/* The slopes of one coordinate y over the chord t.  mirror[0], mirror[1]:
** at the first and last point the curve goes on across the axis, where y
** changes sign (-1) or not (+1); 0: the curve ends there. */
static void slopes(const double *t, const double *y, size_t n,
                   const int mirror[2], double *slope)
{
  for (size_t i = 0; i < n; i++) {
    double h0 = 0.0, s0 = 0.0, h1 = 0.0, s1 = 0.0;
    bool before = i > 0, after = i + 1 < n;

    if (before) h0 = t[i] - t[i - 1], s0 = (y[i] - y[i - 1]) / h0;
    if (after) h1 = t[i + 1] - t[i], s1 = (y[i + 1] - y[i]) / h1;
    if (!before && mirror[0]) {
      /* An odd coordinate keeps its slope across the axis, an even one
      ** turns it round. */
      h0 = h1, s0 = mirror[0] < 0 ? s1 : -s1, before = true;
    }
    if (!after && mirror[1]) {
      h1 = h0, s1 = mirror[1] < 0 ? s0 : -s0, after = true;
    }
    if (before && after)
      slope[i] = slope_between(h0, s0, h1, s1);
    else if (n == 2)
      slope[i] = before ? s0 : s1;
    else if (after) {
      double h2 = t[2] - t[1];
      slope[i] = slope_at_end(h1, s1, h2, (y[2] - y[1]) / h2);
    } else {
      double h2 = t[n - 2] - t[n - 3];
      slope[i] = slope_at_end(h0, s0, h2, (y[n - 2] - y[n - 3]) / h2);
    }
  }
}

/* Hermite's cubic over a chord of length h, at the fraction u of it. */
static double cubic(double y0, double y1, double d0, double d1, double h,
                    double u)
{
  double s = (y1 - y0) / h;
  double a = (d0 + d1 - 2.0 * s) * h, b = (3.0 * s - 2.0 * d0 - d1) * h;

  return ((a * u + b) * u + d0 * h) * u + y0;
}

static void sample(const lh_point *p, size_t n, lh_curve *c)
{
  double t[LH_CURVE_POINTS] = {0}, dr[LH_CURVE_POINTS] = {0};
  double r[LH_CURVE_POINTS] = {0}, dz[LH_CURVE_POINTS] = {0};
  double z[LH_CURVE_POINTS] = {0};
  int odd[2] = {p[0].r == 0.0 ? -1 : 0, p[n - 1].r == 0.0 ? -1 : 0};
  int even[2] = {-odd[0], -odd[1]};
  size_t k = 0;

  for (size_t i = 0; i < n; i++) {
    r[i] = p[i].r;
    z[i] = p[i].z;
    t[i] = i == 0 ? 0.0 : t[i - 1] + lh_plane_distance(p[i - 1], p[i]);
  }
  slopes(t, r, n, odd, dr);
  slopes(t, z, n, even, dz);
  for (size_t i = 0; i + 1 < n; i++) {
    double h = t[i + 1] - t[i];
    for (int j = 0; j < LH_CURVE_PIECES; j++, k++) {
      double u = (double)j / LH_CURVE_PIECES;
      double rr = cubic(r[i], r[i + 1], dr[i], dr[i + 1], h, u);
      c->r[k] = rr > 0.0 ? rr : 0.0; /* rounding next to the axis */
      c->z[k] = cubic(z[i], z[i + 1], dz[i], dz[i + 1], h, u);
    }
  }
  c->r[k] = r[n - 1];
  c->z[k] = z[n - 1];
  c->n = k + 1;
  c->n_points = n;
  c->s[0] = 0.0;
  for (k = 1; k < c->n; k++)
    c->s[k] = c->s[k - 1] + lh_plane_distance(lh_plane_sample(c, k - 1),
                                              lh_plane_sample(c, k));
  c->length = c->s[c->n - 1];
}

/* ---- building --------------------------------------------------------- */

static lh_status refuse(lh_curve_fault *why, lh_curve_why what, size_t first,
                        size_t second)
{
  if (why) *why = (lh_curve_fault){what, first, second};
  return what == LH_CURVE_FINE                                     ? LH_OK
         : what == LH_CURVE_TOO_MANY || what == LH_CURVE_TOO_LARGE ? LH_TOOLARGE
                                                                   : LH_INPUT;
}

static lh_status check_points(const lh_point *p, size_t n, lh_curve_fault *why)
{
  if (n < 2) return refuse(why, LH_CURVE_TOO_FEW, 0, 0);
  if (n > LH_CURVE_POINTS) return refuse(why, LH_CURVE_TOO_MANY, 0, 0);
  for (size_t i = 0; i < n; i++) {
    if (!(isfinite(p[i].r) && isfinite(p[i].z)))
      return refuse(why, LH_CURVE_NOT_NUMBER, i, i);
    if (p[i].r < 0.0) return refuse(why, LH_CURVE_NEGATIVE, i, i);
    if (p[i].r > LH_FORM_LARGEST || size_of(p[i].z) > LH_FORM_LARGEST)
      return refuse(why, LH_CURVE_TOO_LARGE, i, i);
    if (p[i].r == 0.0 && i > 0 && (i + 1 < n || p[i - 1].r == 0.0))
      return refuse(why, LH_CURVE_ON_AXIS, i, i);
    if (i > 0 && lh_plane_distance(p[i - 1], p[i]) < LH_FORM_NEAREST)
      return refuse(why, LH_CURVE_REPEATED, i - 1, i);
  }
  return LH_OK;
}

/* Does the curve meet itself, and between which points? */
static lh_status check_crossing(const lh_curve *c, lh_curve_fault *why)
{
  for (size_t i = 0; i + 1 < c->n; i++)
    for (size_t j = i + 1; j + 1 < c->n; j++)
      if (j == i + 1
              ? lh_plane_turns_back(lh_plane_sample(c, i),
                                    lh_plane_sample(c, i + 1),
                                    lh_plane_sample(c, i + 2))
              : lh_plane_meet(lh_plane_piece(c, i), lh_plane_piece(c, j)))
        return refuse(why, LH_CURVE_CROSSES, i / LH_CURVE_PIECES,
                      j / LH_CURVE_PIECES);
  return LH_OK;
}

lh_status lh_curve_build(const lh_point *p, size_t n, lh_curve *c,
                         lh_curve_fault *why)
{
  lh_status st;

  assert(c && (p || n == 0));
  st = check_points(p, n, why);
  if (st != LH_OK) return st;
  sample(p, n, c);
  st = check_crossing(c, why);
  if (st != LH_OK) return st;
  return refuse(why, LH_CURVE_FINE, 0, 0);
}

/* ---- measures --------------------------------------------------------- */

size_t lh_curve_piece_at(const lh_curve *c, double s)
{
  size_t low = 0, high = c->n - 1;

  while (high - low > 1) {
    size_t mid = low + (high - low) / 2;
    if (c->s[mid] <= s)
      low = mid;
    else
      high = mid;
  }
  return low;
}

lh_point lh_curve_point(const lh_curve *c, double s)
{
  size_t k = lh_curve_piece_at(c, s);
  double u = (s - c->s[k]) / (c->s[k + 1] - c->s[k]);

  return (lh_point){c->r[k] + u * (c->r[k + 1] - c->r[k]),
                    c->z[k] + u * (c->z[k + 1] - c->z[k])};
}

/* Unit direction of piece k. */
static lh_point direction(const lh_curve *c, size_t k)
{
  double h = c->s[k + 1] - c->s[k];

  return (lh_point){(c->r[k + 1] - c->r[k]) / h, (c->z[k + 1] - c->z[k]) / h};
}

static bool on_curve(const lh_curve *c, double s)
{
  return s >= 0.0 && s <= c->length; /* false for NaN */
}

lh_status lh_curve_at(const lh_curve *c, double s, lh_curve_spot *spot)
{
  size_t k, other;
  double u, w, h;
  lh_point a, b;

  if (!on_curve(c, s)) return LH_RANGE;
  k = lh_curve_piece_at(c, s);
  /* In the middle of a piece its own direction, at its ends the mean of the
  ** two that meet. */
  u = (s - c->s[k]) / (c->s[k + 1] - c->s[k]);
  other = u < 0.5 ? (k > 0 ? k - 1 : k) : (k + 2 < c->n ? k + 1 : k);
  w = size_of(u - 0.5);
  a = direction(c, k);
  b = direction(c, other);
  a.r += w * (b.r - a.r);
  a.z += w * (b.z - a.z);
  h = sqrt(a.r * a.r + a.z * a.z);
  spot->at = lh_curve_point(c, s);
  spot->along = (lh_point){a.r / h, a.z / h};
  spot->across = (lh_point){spot->along.z, 0.0 - spot->along.r};
  return LH_OK;
}

lh_status lh_curve_area(const lh_curve *c, double s0, double s1, double *area)
{
  double sum = 0.0;
  size_t first, last;
  lh_point a, b;

  if (!(on_curve(c, s0) && on_curve(c, s1) && s0 <= s1)) return LH_RANGE;
  first = lh_curve_piece_at(c, s0);
  last = lh_curve_piece_at(c, s1);
  a = lh_curve_point(c, s0);
  for (size_t k = first; k < last; k++) {
    double from = k == first ? s0 : c->s[k];
    b = lh_plane_sample(c, k + 1);
    sum += (a.r + b.r) * (c->s[k + 1] - from);
    a = b;
  }
  b = lh_curve_point(c, s1);
  sum += (a.r + b.r) * (s1 - (last == first ? s0 : c->s[last]));
  *area = LH_PI * sum;
  return LH_OK;
}

/* 3/pi times the volume between the axis and a straight piece; negative
** when it runs down. */
static double frustum(lh_point a, lh_point b)
{
  return (a.r * a.r + a.r * b.r + b.r * b.r) * (b.z - a.z);
}

double lh_curve_volume(const lh_curve *c, double z)
{
  double sum = 0.0;

  for (size_t k = 0; k + 1 < c->n; k++) {
    lh_point a = lh_plane_sample(c, k), b = lh_plane_sample(c, k + 1), m;

    if (a.z > z && b.z > z) continue;
    if (a.z > z || b.z > z) {
      m.r = a.r + (b.r - a.r) * ((z - a.z) / (b.z - a.z));
      m.z = z;
      if (a.z > z)
        a = m;
      else
        b = m;
    }
    sum += frustum(a, b);
  }
  return LH_PI / 3.0 * sum;
}

double lh_curve_volume_per_radius(const lh_curve *c)
{
  double sum = 0.0;

  for (size_t k = 0; k + 1 < c->n; k++)
    sum += (c->r[k] + c->r[k + 1]) * (c->z[k + 1] - c->z[k]);
  return LH_PI * sum;
}

double lh_curve_lip(const lh_curve *c)
{
  return c->z[c->n - 1];
}
