/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The exact functions against long double libm (64-bit mantissa on x86-64,
** 113-bit elsewhere): the error is counted in units in the last place of the
** right answer, and must keep the bound the header states.  That WebAssembly
** gives the same bits is proved by tests/form/same_bits.sh. */
#include <inttypes.h>
#include <stdint.h>
#include <stdlib.h>

#include "check.h"
#include "exact.h"

static const long double two_pi = 6.283185307179586476925286766559L;

/* A fixed sequence (Knuth's MMIX constants), 0 <= u < 1. */
static double uniform(void)
{
  static uint64_t state = 20261125;

  state = state * 6364136223846793005U + 1442695040888963407U;
  return (double)(state >> 11) * 0x1p-53;
}

/* Error of got in units in the last place of want, or of least when want is
** smaller. */
static double ulps(double got, long double want, double least)
{
  double size = fabs((double)want);
  int e;

  if (size < least) size = least;
  (void)frexp(size, &e);
  return (double)(fabsl((long double)got - want) / ldexpl(1.0L, e - 53));
}

static void keep_worst(double *worst, double u)
{
  if (!(u <= *worst)) *worst = u; /* keeps NaN */
}

static void test_sincos(void)
{
  double s, c, ws = 0.0, wc = 0.0, wide = 0.0, unit = 0.0;

  for (int i = 0; i < 400000; i++) {
    double t = uniform() - 0.5, x;
    /* The oracle sees the distance to the nearest half turn, exact here, so
    ** that its own pi loses nothing. */
    lh_exact_sincos(t, &s, &c);
    x = fabs(t) > 0.25 ? (t > 0 ? 0.5 - t : -0.5 - t) : t;
    keep_worst(&ws, ulps(s, sinl(two_pi * x), 0.0));
    x = 0.25 - fabs(t);
    keep_worst(&wc, ulps(c, sinl(two_pi * x), 0.0));
    keep_worst(&unit, fabs(s * s + c * c - 1.0));
    t = (double)(int64_t)(uniform() * 1e6) + 0.125;
    lh_exact_sincos(i % 2 ? t : -t, &s, &c);
    keep_worst(&wide, ulps(fabs(s), sqrtl(0.5L), 0.0));
  }
  CHECK_NEAR(ws, 0.0, 2.0, "sine within 2 ulp of libm: %.3f", ws);
  CHECK_NEAR(wc, 0.0, 2.0, "cosine within 2 ulp of libm: %.3f", wc);
  CHECK_NEAR(wide, 0.0, 2.0, "sine after many turns: %.3f", wide);
  CHECK_NEAR(unit, 0.0, 8 * 0x1p-53, "sin^2 + cos^2 = 1");
  for (int q = -8; q <= 8; q++) {
    static const double want[4] = {0.0, 1.0, 0.0, -1.0};
    lh_exact_sincos(0.25 * q, &s, &c);
    CHECK(s == want[q & 3] && c == want[(q + 1) & 3], "quarter %d is exact", q);
  }
  lh_exact_sincos((double)NAN, &s, &c);
  CHECK(isnan(s) && isnan(c), "sincos of NaN");
  lh_exact_sincos(1e18, &s, &c);
  CHECK(isnan(s) && isnan(c), "sincos refuses more turns than it can tell");
}

static void test_turns(void)
{
  double worst = 0.0, back = 0.0, s, c;

  for (int i = 0; i < 400000; i++) {
    double x = 2 * uniform() - 1, y = 2 * uniform() - 1;
    long double want;
    if (i % 4 == 0) y *= 1e-9;
    if (i % 4 == 1) x *= 1e-9;
    want = atan2l(y, x) / two_pi;
    if (want < 0.0L) want += 1.0L;
    keep_worst(&worst, ulps(lh_exact_turns(y, x), want, 0x1p-4));
    lh_exact_sincos(lh_exact_turns(y, x), &s, &c);
    keep_worst(&back, fabs(s * x - c * y) / sqrt(x * x + y * y));
  }
  CHECK_NEAR(worst, 0.0, 3.0, "turns within 3 ulp of atan2: %.3f", worst);
  CHECK_NEAR(back, 0.0, 2e-15, "the point lies at its own angle");
  CHECK(lh_exact_turns(0, 1) == 0.0, "along x: 0");
  CHECK(lh_exact_turns(1, 0) == 0.25, "along y: a quarter");
  CHECK(lh_exact_turns(0, -1) == 0.5, "back along x: a half");
  CHECK(lh_exact_turns(-1, 0) == 0.75, "down y: three quarters");
  CHECK(lh_exact_turns(1, 1) == 0.125, "diagonal: an eighth");
  CHECK(lh_exact_turns(0, 0) == 0.0, "origin: 0");
  CHECK(lh_exact_turns(-1e-300, 1) == 0.0, "never a whole turn");
  CHECK(isnan(lh_exact_turns((double)NAN, 1)), "turns of NaN");
}

static void test_log(void)
{
  double worst = 0.0, near_one = 0.0, wide = 0.0;

  for (int i = 0; i < 400000; i++) {
    double x = exp(20 * (uniform() - 0.5));
    keep_worst(&worst, ulps(lh_exact_log(x), logl(x), 0.0));
    x = 1.0 + 1e-3 * (uniform() - 0.5);
    keep_worst(&near_one, ulps(lh_exact_log(x), logl(x), 0.0));
    x = ldexp(0.5 + uniform(), (int)(2000 * (uniform() - 0.5)));
    keep_worst(&wide, ulps(lh_exact_log(x), logl(x), 0.0));
  }
  CHECK_NEAR(worst, 0.0, 1.0, "log within 1 ulp of libm: %.3f", worst);
  CHECK_NEAR(near_one, 0.0, 1.0, "log near 1: %.3f", near_one);
  CHECK_NEAR(wide, 0.0, 1.0, "log of very large and small: %.3f", wide);
  CHECK_NEAR(ulps(lh_exact_log(0x1p-1060), -1060 * logl(2.0L), 0.0), 0.0, 1.0,
             "log of a subnormal");
  CHECK(lh_exact_log(1.0) == 0.0, "log 1 = 0");
  CHECK(isinf(lh_exact_log(0.0)) && lh_exact_log(0.0) < 0, "log 0 = -inf");
  CHECK(isnan(lh_exact_log(-1.0)), "log of a negative");
  CHECK(isnan(lh_exact_log((double)NAN)), "log of NaN");
  CHECK(isinf(lh_exact_log((double)INFINITY)), "log of infinity");
}

static void test_exp(void)
{
  double worst = 0.0, wide = 0.0;

  for (int i = 0; i < 400000; i++) {
    double x = 4 * (uniform() - 0.5);
    keep_worst(&worst, ulps(lh_exact_exp(x), expl(x), 0.0));
    x = 1400 * (uniform() - 0.5);
    keep_worst(&wide, ulps(lh_exact_exp(x), expl(x), 0.0));
  }
  CHECK_NEAR(worst, 0.0, 2.0, "exp within 2 ulp of libm: %.3f", worst);
  CHECK_NEAR(wide, 0.0, 2.0, "exp over the range: %.3f", wide);
  CHECK(lh_exact_exp(0.0) == 1.0, "exp 0 = 1");
  CHECK(lh_exact_exp(-1e6) == 0.0, "exp of much below zero");
  CHECK(isinf(lh_exact_exp(1e6)), "exp of much above");
  CHECK_NEAR(lh_exact_exp(709.78), exp(709.78), 2 * 0x1p971,
             "exp at the top of the range");
  CHECK(isnan(lh_exact_exp((double)NAN)), "exp of NaN");
}

static void test_means(void)
{
  double mean = 0.0, em = 0.0;

  for (int i = 0; i < 400000; i++) {
    double a = 1 + 100 * uniform(), b = a * exp(6 * (uniform() - 0.5));
    double v = (i % 2 ? 1.0 : 8.0) * (uniform() - 0.5);
    long double l;
    if (i % 3 == 0) b = a * (1 + 1e-6 * (uniform() - 0.5));
    l = ((long double)b - a) / log1pl(((long double)b - a) / a);
    if (b != a) keep_worst(&mean, ulps(lh_exact_logmean(a, b), l, 0.0));
    keep_worst(&em, ulps(lh_exact_expm1c(v), expm1l(v) / v, 0.0));
  }
  CHECK_NEAR(mean, 0.0, 4.0, "logarithmic mean within 4 ulp: %.3f", mean);
  CHECK_NEAR(em, 0.0, 4.0, "(e^v - 1)/v within 4 ulp: %.3f", em);
  CHECK(lh_exact_logmean(7, 7) == 7.0, "mean of equals");
  CHECK(lh_exact_expm1c(0) == 1.0, "(e^v - 1)/v at 0");
  CHECK(isnan(lh_exact_logmean(0, 1)), "mean with the axis has no value");
}

int main(void)
{
  test_sincos();
  test_turns();
  test_log();
  test_exp();
  test_means();
  return CHECK_DONE();
}
