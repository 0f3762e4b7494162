/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Student's t and Grubbs' test, beside printed tables. */
#include "check.h"
#include "student.h"

/* t that 95 % lie below, by degrees of freedom.  NIST/SEMATECH e-Handbook of
** Statistical Methods, 1.3.6.7.2, column 0.95; from memory. */
static const double t95[][2] = {
    {1, 6.314}, {2, 2.920}, {3, 2.353}, {4, 2.132},  {5, 2.015},  {6, 1.943},
    {7, 1.895}, {8, 1.860}, {9, 1.833}, {10, 1.812}, {20, 1.725}, {30, 1.697}};

/* Two-sided 5 % points of Grubbs' G by n.  ASTM E178, Table 1, column "upper
** 2.5 %"; from memory. */
static const double grubbs[][2] = {{3, 1.155}, {4, 1.481}, {5, 1.715},
                                   {6, 1.887}, {7, 2.020}, {8, 2.126},
                                   {9, 2.215}, {10, 2.290}};

int main(void)
{
  double t = 0, u = 0;

  for (size_t i = 0; i < sizeof t95 / sizeof *t95; i++) {
    CHECK(lh_student_t(0.95, t95[i][0], &t) == LH_OK, "t is told");
    CHECK_NEAR(t, t95[i][1], 0.0005, "t, %.0f degrees of freedom", t95[i][0]);
  }
  lh_student_t(0.05, 4, &t);
  lh_student_t(0.95, 4, &u);
  CHECK_NEAR(t, -u, 1e-12, "it is even about 0");
  /* Closed form with one degree of freedom: Cauchy's, tan(pi (p - 1/2)). */
  lh_student_t(0.75, 1, &t);
  CHECK_NEAR(t, 1, 1e-12, "one degree of freedom is Cauchy's: 1 at 3/4");
  for (size_t i = 0; i < sizeof grubbs / sizeof *grubbs; i++) {
    CHECK(lh_student_apart((size_t)grubbs[i][0], &t) == LH_OK, "G is told");
    /* n = 3 is printed 1.155 and is 2/sqrt(3) less a little: 1.1543. */
    CHECK_NEAR(t, grubbs[i][1], 0.0008, "Grubbs, %.0f lines", grubbs[i][0]);
  }
  t = 7;
  CHECK(lh_student_t(0, 3, &t) == LH_RANGE && t > 6.5, "p = 0 is refused");
  CHECK(lh_student_t(1, 3, &t) == LH_RANGE && t > 6.5, "p = 1 is refused");
  CHECK(lh_student_t(0.5, 0, &t) == LH_RANGE && t > 6.5,
        "no degree of freedom is refused");
  CHECK(lh_student_apart(2, &t) == LH_RANGE && t > 6.5,
        "of two none stands apart");
  return CHECK_DONE();
}
