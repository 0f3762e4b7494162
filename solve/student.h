/* SPDX-License-Identifier: GPL-3.0-or-later */
/* student.h -- what a mean of few measurements is worth.
**
** The library's face for Student's distribution.  Nothing is kept.
*/
#ifndef LH_STUDENT_H
#define LH_STUDENT_H

#include <stdbool.h>
#include <stddef.h>

#include "status.h"

/* Student's t below which a share p of the distribution lies.
**
** Given:     p      0 < p < 1
**            free   degrees of freedom, at least 1
** Returned:  *t
** Status:    LH_OK; LH_RANGE
** Ref:    GNU Scientific Library 2.7, gsl_cdf_tdist_Pinv.
*/
lh_status lh_student_t(double p, double free, double *t);

/* How far from the mean one of n measurements may lie before it stands apart:
** Grubbs' two-sided test at 5 %, in standard deviations of the sample.
**
** Given:     n    at least 3
** Returned:  *g
** Status:    LH_OK; LH_RANGE
** Ref:    NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1:
**         G > (n - 1)/sqrt(n) sqrt(t^2/(n - 2 + t^2)), t at 0.05/(2 n) with
**         n - 2 degrees of freedom.
*/
lh_status lh_student_apart(size_t n, double *g);

#endif
