/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plane.h"

double lh_plane_left(lh_point a, lh_point b, lh_point c)
{
  return (b.r - a.r) * (c.z - a.z) - (b.z - a.z) * (c.r - a.r);
}

static bool apart(double a0, double a1, double b0, double b1)
{
  double low_a = a0 < a1 ? a0 : a1, high_a = a0 < a1 ? a1 : a0;
  double low_b = b0 < b1 ? b0 : b1, high_b = b0 < b1 ? b1 : b0;

  return high_a < low_b || high_b < low_a;
}

bool lh_plane_meet(lh_segment p, lh_segment q)
{
  double qa, qb, pa, pb;

  if (apart(p.a.z, p.b.z, q.a.z, q.b.z)) return false;
  if (apart(p.a.r, p.b.r, q.a.r, q.b.r)) return false;
  qa = lh_plane_left(p.a, p.b, q.a);
  qb = lh_plane_left(p.a, p.b, q.b);
  pa = lh_plane_left(q.a, q.b, p.a);
  pb = lh_plane_left(q.a, q.b, p.b);
  /* Neither has both ends strictly on one side of the other.  Segments in
  ** one line share a point because their boxes do. */
  return !((qa > 0.0 && qb > 0.0) || (qa < 0.0 && qb < 0.0) ||
           (pa > 0.0 && pb > 0.0) || (pa < 0.0 && pb < 0.0));
}

bool lh_plane_turns_back(lh_point a, lh_point b, lh_point c)
{
  double along = (b.r - a.r) * (c.r - b.r) + (b.z - a.z) * (c.z - b.z);
  double side = lh_plane_left(a, b, c);

  /* Sharper than about 1e-6 rad is no corner of a pot. */
  return along < 0.0 && side * side < 1e-12 * along * along;
}

double lh_plane_to_segment(lh_point p, lh_segment q)
{
  double dr = q.b.r - q.a.r, dz = q.b.z - q.a.z, h = dr * dr + dz * dz;
  double u = h > 0.0 ? ((p.r - q.a.r) * dr + (p.z - q.a.z) * dz) / h : 0.0;

  u = u < 0.0 ? 0.0 : u > 1.0 ? 1.0 : u;
  return lh_plane_distance(p, (lh_point){q.a.r + u * dr, q.a.z + u * dz});
}
