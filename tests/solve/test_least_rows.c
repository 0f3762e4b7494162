/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Least squares by rows against certified values.
**
** NIST, Statistical Reference Datasets, nonlinear regression: Misra1a and
** Thurber's easier fellow DanWood.  Data and certified values from memory;
** that all printed digits are met is the check on the memory as well.
*/
#include <math.h>

#include "check.h"
#include "least_rows.h"

typedef struct {
  const double *x, *y;
  size_t n;
  double (*f)(const double *b, double x, double by[2]);
} dataset;

static double misra1a(const double *b, double x, double by[2])
{
  double e = exp(-b[1] * x);

  by[0] = 1 - e;
  by[1] = b[0] * x * e;
  return b[0] * (1 - e);
}

static double danwood(const double *b, double x, double by[2])
{
  double power = pow(x, b[1]);

  by[0] = power;
  by[1] = b[0] * power * log(x);
  return b[0] * power;
}

static size_t row(void *who, const double *b, size_t i, double *off, size_t *at,
                  double *by)
{
  const dataset *d = who;

  *off = d->f(b, d->x[i], by) - d->y[i];
  at[0] = 0;
  at[1] = 1;
  return 2;
}

/* want: b1, b2, their standard deviations, the residual sum of squares; the
** certified digits are eleven, five last places are allowed to the library's
** stopping rule (1e-9 of the squares). */
static void certified(const char *name, dataset *d, double b1, double b2,
                      const double want[5])
{
  double b[2] = {b1, b2}, c[4];
  lh_least_problem p = {.row = row, .who = d, .rows = d->n, .unknowns = 2};
  lh_least_end end;

  CHECK(lh_least_rows(&p, b, c, NULL, &end) == LH_OK && end.settled,
        "%s from %g, %g", name, b1, b2);
  double s2 = end.squares / (double)(d->n - 2);
  CHECK_NEAR(b[0], want[0], 1e-6 * want[0], "%s b1", name);
  CHECK_NEAR(b[1], want[1], 1e-6 * want[1], "%s b2", name);
  CHECK_NEAR(sqrt(s2 * c[0]), want[2], 1e-6 * want[2], "%s sd of b1", name);
  CHECK_NEAR(sqrt(s2 * c[3]), want[3], 1e-6 * want[3], "%s sd of b2", name);
  CHECK_NEAR(end.squares, want[4], 1e-9 * want[4], "%s squares", name);
}

static size_t nan_row(void *who, const double *b, size_t i, double *off,
                      size_t *at, double *by)
{
  (void)who, (void)b, (void)i;
  *off = NAN;
  at[0] = 0;
  by[0] = 1;
  return 1;
}

/* Rows that hang on the first unknown only. */
static size_t lame_row(void *who, const double *b, size_t i, double *off,
                       size_t *at, double *by)
{
  (void)who;
  *off = b[0] - (double)i;
  at[0] = 0;
  by[0] = 1;
  return 1;
}

static bool never(void *who, double done)
{
  (void)who, (void)done;
  return false;
}

static void refusals(dataset *d)
{
  double b[2] = {500, 1e-4}, c[4];
  lh_least_problem p = {.row = row, .who = d, .rows = d->n, .unknowns = 2};
  lh_watch stop = {never, NULL};
  lh_least_end end;

  CHECK(lh_least_rows(&p, b, c, &stop, &end) == LH_CANCELLED, "stopped");
  CHECK(b[0] == 500 && b[1] == 1e-4, "and x is where it was");
  p.rows = 1;
  CHECK(lh_least_rows(&p, b, c, NULL, &end) == LH_RANGE, "too few rows");
  p.rows = d->n;
  p.row = nan_row;
  CHECK(lh_least_rows(&p, b, c, NULL, &end) == LH_RANGE, "no numbers");
  p.row = lame_row;
  CHECK(lh_least_rows(&p, b, c, NULL, &end) == LH_RANGE,
        "an unknown that no row hangs on");
}

int main(void)
{
  static const double mx[] = {77.6,  114.9, 141.1, 190.8, 239.9, 289.0, 332.8,
                              378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0};
  static const double my[] = {10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02,
                              44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78};
  static const double dx[] = {1.309, 1.471, 1.490, 1.565, 1.611, 1.680};
  static const double dy[] = {2.138, 3.421, 3.597, 4.340, 4.882, 5.660};
  static const double m[] = {2.3894212918e+02, 5.5015643181e-04,
                             2.7070075241e+00, 7.2668688436e-06,
                             1.2455138894e-01};
  static const double w[] = {7.6886226176e-01, 3.8604055871e+00,
                             1.8281973860e-02, 5.1726610913e-02,
                             4.3173084083e-03};
  dataset misra = {mx, my, 14, misra1a}, wood = {dx, dy, 6, danwood};

  certified("Misra1a", &misra, 500, 0.0001, m);
  certified("Misra1a", &misra, 250, 0.0005, m);
  certified("DanWood", &wood, 1, 5, w);
  certified("DanWood", &wood, 0.7, 4, w);
  refusals(&misra);
  return CHECK_DONE();
}
