/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "exact.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

/* NaN and infinity are made, not called for. */
#define NOT_A_NUMBER ((double)NAN)
#define INFINITE ((double)INFINITY)

static uint64_t bits_of(double x)
{
  uint64_t u;

  memcpy(&u, &x, sizeof u);
  return u;
}

static double of_bits(uint64_t u)
{
  double x;

  memcpy(&x, &u, sizeof x);
  return x;
}

/* 2^k for a normal result. */
static double power_of_two(int k)
{
  return of_bits((uint64_t)(1023 + k) << 52);
}

/* sin x for |x| <= pi/4: Taylor; the first term left out is x^19/19!, below
** 1.2e-19 of the whole. */
static double sin_near_zero(double x)
{
  double z = x * x, p;

  p = 1.0 / 355687428096000.0; /* 1/17! */
  p = -1.0 / 1307674368000.0 + z * p;
  p = 1.0 / 6227020800.0 + z * p;
  p = -1.0 / 39916800.0 + z * p;
  p = 1.0 / 362880.0 + z * p;
  p = -1.0 / 5040.0 + z * p;
  p = 1.0 / 120.0 + z * p;
  p = -1.0 / 6.0 + z * p;
  return x + x * z * p;
}

/* cos x for |x| <= pi/4: Taylor; the first term left out is x^18/18!, below
** 2.9e-18 of the whole. */
static double cos_near_zero(double x)
{
  double z = x * x, p;

  p = 1.0 / 20922789888000.0; /* 1/16! */
  p = -1.0 / 87178291200.0 + z * p;
  p = 1.0 / 479001600.0 + z * p;
  p = -1.0 / 3628800.0 + z * p;
  p = 1.0 / 40320.0 + z * p;
  p = -1.0 / 720.0 + z * p;
  p = 1.0 / 24.0 + z * p;
  p = -0.5 + z * p;
  return 1.0 + z * p;
}

void lh_exact_sincos(double turns, double *s, double *c)
{
  double f, sn, cs;
  int64_t quarter;

  if (!(turns >= -0x1p50 && turns <= 0x1p50)) {
    *s = *c = NOT_A_NUMBER;
    return;
  }
  quarter = (int64_t)(4.0 * turns + (turns >= 0.0 ? 0.5 : -0.5));
  f = turns - 0.25 * (double)quarter; /* exact: both share their last bit */
  sn = sin_near_zero(LH_TWO_PI * f);
  cs = cos_near_zero(LH_TWO_PI * f);
  switch ((uint64_t)quarter & 3U) {
  case 0: *s = sn, *c = cs; break;
  case 1: *s = cs, *c = 0.0 - sn; break; /* 0 - x: no minus zero */
  case 2: *s = 0.0 - sn, *c = -cs; break;
  default: *s = -cs, *c = sn; break;
  }
}

/* arctan u for |u| <= tan(pi/8) = 0.4142: Gregory's series to u^41; what is
** left out is below 5e-18 of the whole. */
static double arctan_near_zero(double u)
{
  double z = u * u, p = 1.0 / 41.0;

  for (int k = 39; k >= 3; k -= 2) p = 1.0 / (double)k - z * p;
  return u - u * z * p;
}

double lh_exact_turns(double y, double x)
{
  double ax = x < 0.0 ? -x : x, ay = y < 0.0 ? -y : y;
  double lo = ax < ay ? ax : ay, hi = ax < ay ? ay : ax, a;

  if (x != x || y != y) return NOT_A_NUMBER;
  if (hi == 0.0) return 0.0;
  if (lo > 0.41421356237309503 * hi)
    a = 0.125 + arctan_near_zero((lo - hi) / (lo + hi)) / LH_TWO_PI;
  else
    a = arctan_near_zero(lo / hi) / LH_TWO_PI;
  if (ay > ax) a = 0.25 - a;
  if (x < 0.0) a = 0.5 - a;
  if (y < 0.0) a = 1.0 - a;
  return a < 1.0 ? a : 0.0;
}

/* ln 2 in two parts; the first ends in 32 zero bits, so that k times it is
** exact.  (Any table: ln 2 = 0.693147180559945309417232...) */
#define LN2_HIGH 0x1.62e42feep-1
#define LN2_LOW 0x1.a39ef35793c76p-33

double lh_exact_log(double x)
{
  int k = 0;
  double f, s, z, half, p;
  uint64_t u;

  if (x != x || x < 0.0) return NOT_A_NUMBER;
  if (x == 0.0) return -INFINITE;
  if (x > 0x1.fffffffffffffp1023) return x;
  if (x < 0x1p-1022) x *= 0x1p54, k = -54;
  u = bits_of(x);
  k += (int)(u >> 52) - 1023;
  x = of_bits((u & 0xfffffffffffffU) | 0x3ff0000000000000U); /* 1 <= x < 2 */
  if (x > 1.4142135623730951) x *= 0.5, k++;
  /* ln(1 + f) = f - f^2/2 + s (f^2/2 + P), s = f/(2 + f), where
  ** P = 2 s^2/3 + 2 s^4/5 + ...: the leading terms stay exact, and the sum
  ** is rounded once.  |s| <= 0.1716; left out: below 1e-19 of the whole. */
  f = x - 1.0;
  s = f / (2.0 + f);
  z = s * s;
  half = 0.5 * f * f;
  p = 2.0 / 25.0;
  for (int j = 23; j >= 3; j -= 2) p = 2.0 / (double)j + z * p;
  p *= z;
  return (double)k * LN2_HIGH -
         ((half - (s * (half + p) + (double)k * LN2_LOW)) - f);
}

double lh_exact_exp(double x)
{
  double t, r, p;
  int k;

  if (x != x) return x;
  if (x > 709.79) return INFINITE;
  if (x < -745.14) return 0.0;
  t = x * 1.4426950408889634; /* 1/ln 2 */
  k = (int)(t + (t >= 0.0 ? 0.5 : -0.5));
  r = (x - (double)k * LN2_HIGH) - (double)k * LN2_LOW;
  /* |r| <= 0.3466: Taylor to r^14/14!; left out: below 1e-19. */
  p = 1.0 / 87178291200.0;
  p = 1.0 / 6227020800.0 + r * p;
  p = 1.0 / 479001600.0 + r * p;
  p = 1.0 / 39916800.0 + r * p;
  p = 1.0 / 3628800.0 + r * p;
  p = 1.0 / 362880.0 + r * p;
  p = 1.0 / 40320.0 + r * p;
  p = 1.0 / 5040.0 + r * p;
  p = 1.0 / 720.0 + r * p;
  p = 1.0 / 120.0 + r * p;
  p = 1.0 / 24.0 + r * p;
  p = 1.0 / 6.0 + r * p;
  p = 0.5 + r * p;
  p = 1.0 + (r + r * r * p);
  /* In two steps, so that the ends of the range come out too. */
  return p * power_of_two(k / 2) * power_of_two(k - k / 2);
}

double lh_exact_logmean(double a, double b)
{
  double q = (b - a) / (b + a), z = q * q, p = 1.0 / 25.0;

  if (!(a > 0.0 && b > 0.0)) return NOT_A_NUMBER;
  if (z > 0.029) return (b - a) / lh_exact_log(b / a);
  /* ln(b/a) = 2 artanh q = 2 q (1 + q^2/3 + q^4/5 + ...). */
  for (int j = 23; j >= 3; j -= 2) p = 1.0 / (double)j + z * p;
  return 0.5 * (a + b) / (1.0 + z * p);
}

double lh_exact_expm1c(double v)
{
  double p = 1.0;

  if (!(v > -0.5 && v < 0.5)) return (lh_exact_exp(v) - 1.0) / v;
  /* 1 + v/2 (1 + v/3 (1 + v/4 ...)); left out: below 1e-19. */
  for (int j = 17; j >= 2; j--) p = 1.0 + v / (double)j * p;
  return p;
}
