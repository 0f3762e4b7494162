/* SPDX-License-Identifier: GPL-3.0-or-later */
/* shapes.h -- caliper points of shapes whose measures are known in closed
** form, for the tests of the room form.  Units: mm, rad. */
#ifndef LH_SHAPES_H
#define LH_SHAPES_H

#include <math.h>

#include "form.h"

/* n points of a circle of radius b about (a, z), from angle t0 to t1, the
** angle measured up from the r direction. */
static inline void shape_arc(double a, double z, double b, double t0, double t1,
                             size_t n, lh_point *p)
{
  for (size_t i = 0; i < n; i++) {
    double t = t0 + (t1 - t0) * (double)i / (double)(n - 1);
    p[i].r = a + b * cos(t);
    p[i].z = z + b * sin(t);
    if (p[i].r < 1e-12 * b) p[i].r = 0.0;
  }
}

static inline lh_status shape_arc_curve(double a, double z, double b, double t0,
                                        double t1, size_t n, lh_curve *c)
{
  lh_point p[LH_CURVE_POINTS];

  shape_arc(a, z, b, t0, t1, n, p);
  return lh_curve_build(p, n, c, NULL);
}

/* The wall of a bowl with an S in it, no closed form (invented). */
static const lh_point shape_bowl[] = {{0, 6},   {22, 7},  {40, 12}, {55, 22},
                                      {62, 34}, {64, 46}, {67, 54}, {73, 60}};
enum { SHAPE_BOWL = sizeof shape_bowl / sizeof shape_bowl[0] };

#endif
