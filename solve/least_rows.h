/* SPDX-License-Identifier: GPL-3.0-or-later */
/* least_rows.h -- least squares of many rows that each hang on few unknowns.
**
** The caller gives, for any place, how far each row is off and the slopes by
** the few unknowns it hangs on; the unknowns are moved by Levenberg and
** Marquardt's rule until the sum of the squares is least.  What the rows mean
** is not known here.  The library's memory is taken and given back within the
** call; its errors come back as outcomes, none stops the program.
** Ref: GNU Scientific Library 2.7, "Large nonlinear least squares".
*/
#ifndef LH_LEAST_ROWS_H
#define LH_LEAST_ROWS_H

#include <stdbool.h>
#include <stddef.h>

#include "status.h"
#include "watch.h"

enum { LH_LEAST_HANGS = 32 }; /* most unknowns that a row hangs on */

/* One row at x: how many unknowns it hangs on, how far off it is, by which
** unknowns and with which slopes. */
typedef size_t lh_least_row(void *who, const double *x, size_t row, double *off,
                            size_t at[LH_LEAST_HANGS],
                            double by[LH_LEAST_HANGS]);

typedef struct {
  lh_least_row *row;
  void *who;
  size_t rows, unknowns;
  int most_steps; /* 0: 200                                          */
} lh_least_problem;

typedef struct {
  double squares; /* the sum of the squares at the end */
  int steps;
  bool settled; /* the last step was below 1e-8 of x, the slope below 1e-10,
                   or the squares fell by less than 1e-9 of themselves */
} lh_least_end;

/* Find the least.
**
** Given:     problem
**            x          where to begin
**            watch      or NULL
** Returned:  x          the least found
**            covariance unknowns * unknowns, the inverse of J'J there (rows
**                       in standard deviations: the covariance); or NULL
**            *end
** Status:    LH_OK, also when not settled (end says it); LH_RANGE when the
**            rows do not fix the unknowns or are not numbers at the start;
**            LH_CANCELLED; LH_NOMEM; x is then where it was
*/
lh_status lh_least_rows(const lh_least_problem *problem, double *x,
                        double *covariance, const lh_watch *watch,
                        lh_least_end *end);

#endif
