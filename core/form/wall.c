/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <assert.h>

#include "exact.h"
#include "form.h"
#include "plane.h"

/* The level disc that closes a curve below, from the axis to its first
** point; a single point when the curve starts on the axis. */
static lh_segment floor_of(const lh_curve *c)
{
  lh_point first = lh_plane_sample(c, 0);

  return (lh_segment){{0.0, first.z}, first};
}

static lh_point lip_of(const lh_curve *c)
{
  return lh_plane_sample(c, c->n - 1);
}

/* ---- inside stays inside ---------------------------------------------- */

static lh_status refuse(lh_wall_fault *why, lh_wall_why what, size_t in,
                        size_t out)
{
  if (why)
    *why = (lh_wall_fault){what, in / LH_CURVE_PIECES, out / LH_CURVE_PIECES};
  return what == LH_WALL_FINE ? LH_OK : LH_INPUT;
}

/* Does piece i of the inside meet piece j of the outside?  Meeting in a
** sharp lip is allowed. */
static bool pieces_meet(const lh_curve *in, size_t i, const lh_curve *out,
                        size_t j)
{
  bool last = i + 2 == in->n && j + 2 == out->n;

  if (last && lh_plane_distance(lip_of(in), lip_of(out)) == 0.0)
    return lh_plane_turns_back(lh_plane_sample(in, i), lip_of(in),
                               lh_plane_sample(out, j));
  return lh_plane_meet(lh_plane_piece(in, i), lh_plane_piece(out, j));
}

/* Is a point within the outside curve, closed by discs below and above?  A
** ray away from the axis meets the curve an odd number of times. */
static bool is_within(const lh_curve *out, lh_point p)
{
  bool within = false;

  for (size_t k = 0; k + 1 < out->n; k++) {
    lh_point a = lh_plane_sample(out, k), b = lh_plane_sample(out, k + 1);
    if ((a.z > p.z) != (b.z > p.z) &&
        p.r < a.r + (b.r - a.r) * ((p.z - a.z) / (b.z - a.z)))
      within = !within;
  }
  return within;
}

lh_status lh_wall_check(const lh_curve *outside, const lh_curve *inside,
                        lh_wall_fault *why)
{
  lh_segment foot = floor_of(outside), floor = floor_of(inside);

  assert(outside && inside);
  for (size_t i = 0; i + 1 < inside->n; i++)
    for (size_t j = 0; j + 1 < outside->n; j++)
      if (pieces_meet(inside, i, outside, j))
        return refuse(why, LH_WALL_CROSSES, i, j);
  for (size_t i = 0; i + 1 < inside->n; i++)
    if (lh_plane_meet(foot, lh_plane_piece(inside, i)))
      return refuse(why, LH_WALL_FLOOR, i, 0);
  for (size_t j = 0; j + 1 < outside->n; j++)
    if (lh_plane_meet(floor, lh_plane_piece(outside, j)))
      return refuse(why, LH_WALL_FLOOR, 0, j);
  if (!is_within(outside, lh_plane_sample(inside, 0)))
    return refuse(why, LH_WALL_OUTSIDE, 0, 0);
  return refuse(why, LH_WALL_FINE, 0, 0);
}

/* ---- clay ------------------------------------------------------------- */

lh_status lh_wall_clay(const lh_curve *outside, const lh_curve *inside,
                       double density, double *volume, double *weight)
{
  lh_point a = lip_of(outside), b = lip_of(inside);
  double rim, v;

  if (!(density > 0.0 && density <= 100.0)) return LH_RANGE;
  /* Round the clay: up the outside, straight over the rim, down the inside. */
  rim = LH_PI / 3.0 * (a.r * a.r + a.r * b.r + b.r * b.r) * (b.z - a.z);
  v = lh_curve_volume(outside, 2.0 * LH_FORM_LARGEST) + rim -
      lh_curve_volume(inside, 2.0 * LH_FORM_LARGEST);
  if (!(v > 0.0)) return LH_RANGE;
  *volume = v;
  *weight = v * density / 1000.0; /* 1 cm3 = 1000 mm3 */
  return LH_OK;
}

/* ---- thickness -------------------------------------------------------- */

static double to_inside(const lh_curve *inside, lh_point p)
{
  double best = lh_plane_to_segment(p, floor_of(inside));

  for (size_t k = 0; k + 1 < inside->n; k++) {
    double d = lh_plane_to_segment(p, lh_plane_piece(inside, k));
    if (d < best) best = d;
  }
  return best;
}

lh_status lh_wall_thickness(const lh_curve *outside, const lh_curve *inside,
                            double s, double *mm)
{
  if (!(s >= 0.0 && s <= outside->length)) return LH_RANGE;
  *mm = to_inside(inside, lh_curve_point(outside, s));
  return LH_OK;
}

lh_status lh_wall_thinnest(const lh_curve *outside, const lh_curve *inside,
                           double s0, double s1, double *s, double *mm)
{
  double best, end;

  if (!(s0 >= 0.0 && s0 <= s1 && s1 <= outside->length)) return LH_RANGE;
  best = to_inside(inside, lh_curve_point(outside, s0));
  *s = s0;
  for (size_t k = 0; k < outside->n; k++) {
    double d;
    if (outside->s[k] <= s0 || outside->s[k] >= s1) continue;
    d = to_inside(inside, lh_plane_sample(outside, k));
    if (d < best) best = d, *s = outside->s[k];
  }
  end = to_inside(inside, lh_curve_point(outside, s1));
  if (end < best) best = end, *s = s1;
  *mm = best;
  return LH_OK;
}
