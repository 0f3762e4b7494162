/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "student.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

lh_status lh_student_t(double p, double free, double *t)
{
  if (!(p > 0 && p < 1) || !(free >= 1)) return LH_RANGE;
  *t = gsl_cdf_tdist_Pinv(p, free);
  return LH_OK;
}

lh_status lh_student_apart(size_t n, double *g)
{
  double t, m = (double)n;
  lh_status st;

  if (n < 3) return LH_RANGE;
  st = lh_student_t(1 - 0.05 / (2 * m), m - 2, &t);
  if (st == LH_OK) *g = (m - 1) / sqrt(m) * sqrt(t * t / (m - 2 + t * t));
  return st;
}
