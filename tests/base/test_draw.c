/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Draws: the published generator, the error function turned back, GSL's own
** inverse, moments of many, and sorting by the plainest way. */
#include <gsl/gsl_cdf.h>
#include <stdlib.h>

#include "check.h"
#include "draw.h"

/* The first numbers of splitmix64 begun at 1234567: widely printed test
** values of the public domain code by S. Vigna (2015), from memory. */
static void test_bits(void)
{
  static const uint64_t want[] = {
      UINT64_C(6457827717110365317), UINT64_C(3203168211198807973),
      UINT64_C(9817491932198370423), UINT64_C(4593380528125082431),
      UINT64_C(16408922859458223821)};

  for (uint64_t i = 0; i < 5; i++)
    CHECK(lh_draw_bits(1234567, i) == want[i], "splitmix64, number %d",
          (int)i + 1);
  CHECK(lh_draw_key(1, 2, 3) != lh_draw_key(1, 3, 2) &&
            lh_draw_key(1, 2, 3) != lh_draw_key(2, 2, 3),
        "each pair has its own key");
}

static void test_deviate(void)
{
  double back = 0.0, gsl = 0.0, odd = 0.0;

  for (int e = -300; e <= 0; e++)
    for (int m = 1; m <= 9; m++) {
      double p = (double)m * 0.5 / 9.0 * pow(10.0, (double)e), x, q;
      x = lh_draw_deviate(p);
      q = 0.5 * erfc(-x / sqrt(2.0));
      /* What 2e-15 of x makes of p: x phi(x) 2e-15, phi(x)/p about |x|. */
      back = fmax(back, fabs(q / p - 1.0) / (1.0 + x * x));
      gsl = fmax(gsl, fabs(x - gsl_cdf_ugaussian_Pinv(p)) / (1.0 + fabs(x)));
      if (e >= -10) odd = fmax(odd, fabs(x + lh_draw_deviate(1.0 - p)) * p);
    }
  CHECK_NEAR(back, 0.0, 4e-15, "the error function brings it back");
  CHECK_NEAR(gsl, 0.0, 2e-15, "GSL's inverse says the same");
  /* 1 - p is rounded to 1e-16, and p / phi(x) is 1.3 at most. */
  CHECK_NEAR(odd, 0.0, 4e-16, "odd about the middle");
  /* Tables of the normal distribution: 95 % and 97.5 %. */
  CHECK_NEAR(lh_draw_deviate(0.95), LH_SIGMAS_OF_90, 1e-15, "1.645");
  CHECK_NEAR(lh_draw_deviate(0.975), 1.95996398454005424, 1e-15, "1.960");
  CHECK(isnan(lh_draw_deviate(0.0)) && isnan(lh_draw_deviate(1.0)) &&
            isnan(lh_draw_deviate(NAN)),
        "nothing outside");
}

/* Moments of n draws, each within four of its standard errors. */
static void test_moments(void)
{
  enum { N = 200000 };
  double m1 = 0.0, m2 = 0.0, m3 = 0.0, m4 = 0.0, pair = 0.0;
  uint64_t key = lh_draw_key(7, 1, 2), other = lh_draw_key(7, 1, 3);

  for (uint64_t i = 0; i < N; i++) {
    double x = lh_draw_normal(key, i);
    m1 += x;
    m2 += x * x;
    m3 += x * x * x;
    m4 += x * x * x * x;
    pair += x * lh_draw_normal(other, i);
  }
  CHECK_NEAR(m1 / N, 0.0, 4.0 * sqrt(1.0 / N), "mean 0");
  CHECK_NEAR(m2 / N, 1.0, 4.0 * sqrt(2.0 / N), "variance 1");
  CHECK_NEAR(m3 / N, 0.0, 4.0 * sqrt(15.0 / N), "third moment 0");
  CHECK_NEAR(m4 / N, 3.0, 4.0 * sqrt(96.0 / N), "fourth moment 3");
  CHECK_NEAR(pair / N, 0.0, 4.0 * sqrt(1.0 / N), "two keys are strangers");
}

static int rising(const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;

  return (x > y) - (x < y);
}

static void test_quantiles(void)
{
  double v[400], sorted[400], four[] = {4.0, 1.0, 3.0, 2.0};
  int wrong = 0;

  for (int trial = 0; trial < 400; trial++) {
    size_t n = 1 + (size_t)trial, k = lh_draw_bits(5, (uint64_t)trial) % n;
    for (size_t i = 0; i < n; i++) {
      v[i] = lh_draw_even((uint64_t)trial, i);
      if (trial % 3 == 0) v[i] = floor(8.0 * v[i]); /* many alike */
      if (trial % 7 == 0) v[i] = (double)i;         /* in order   */
      sorted[i] = v[i];
    }
    qsort(sorted, n, sizeof *sorted, rising);
    if (lh_draw_select(v, n, k) != sorted[k]) wrong++;
    for (size_t i = 0; i < n; i++)
      if (i < k ? v[i] > v[k] : v[i] < v[k]) wrong++;
  }
  CHECK(wrong == 0, "400 selections against qsort");
  /* numpy.quantile([1, 2, 3, 4], 0.4) is 2.2 by its default. */
  CHECK_NEAR(lh_draw_quantile(four, 4, 0.4), 2.2, 1e-15, "type 7");
  CHECK_NEAR(lh_draw_quantile(four, 4, 1.0), 4.0, 0.0, "the largest");
  CHECK_NEAR(lh_draw_quantile(four, 4, 0.0), 1.0, 0.0, "the smallest");
}

int main(void)
{
  test_bits();
  test_deviate();
  test_moments();
  test_quantiles();
  return CHECK_DONE();
}
