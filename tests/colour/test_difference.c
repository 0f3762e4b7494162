/* SPDX-License-Identifier: GPL-3.0-or-later */
/* CIEDE2000 against the published pairs, and what a difference must obey. */
#include <stdint.h>

#include "check.h"
#include "ciede2000.h"
#include "difference.h"

/* A number in low..high from a small generator with a fixed seed. */
static double draw(double low, double high)
{
  static uint64_t s = 7;

  s = s * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  return low + (high - low) * (double)(s >> 11) * 0x1p-53;
}

/* Sharma, Wu & Dalal (2005), table 1: printed to 4 decimals; and the same to
** 10 decimals by an independent implementation. */
static void published(void)
{
  for (size_t i = 0; i < ciede2000_count; i++) {
    const double *t = ciede2000[i];
    lh_lab p = {t[1], t[2], t[3]}, q = {t[4], t[5], t[6]};
    CHECK_NEAR(lh_delta_e00(p, q), t[7], 5e-5, "dE00 pair %g", t[0]);
    CHECK_NEAR(lh_delta_e00(q, p), t[7], 5e-5, "pair %g swapped", t[0]);
    CHECK_NEAR(lh_delta_e00(p, q), t[8], 1e-10, "pair %g, all digits", t[0]);
  }
}

static void properties(void)
{
  double asymmetry = 0.0, least = 0.0, self = 0.0;

  for (int i = 0; i < 20000; i++) {
    lh_lab p = {draw(0, 100), draw(-120, 120), draw(-120, 120)};
    lh_lab q = {draw(0, 100), draw(-120, 120), draw(-120, 120)};
    asymmetry = fmax(asymmetry, fabs(lh_delta_e00(p, q) - lh_delta_e00(q, p)));
    least = fmin(least, lh_delta_e00(p, q));
    self = fmax(self, lh_delta_e00(p, p));
  }
  CHECK_NEAR(asymmetry, 0.0, 1e-11, "the order does not matter, 20000 pairs");
  CHECK(least >= 0.0, "never negative");
  CHECK_NEAR(self, 0.0, 0.0, "a colour differs from itself by nothing");
  /* Exactly opposite hues, all round: both orders must take the same side. */
  double worst = 0.0;
  for (int i = 0; i < 360; i++) {
    double a = draw(-3, 3), b = draw(-3, 3);
    lh_lab p = {50, a, b}, q = {50, -a, -b};
    worst = fmax(worst, fabs(lh_delta_e00(p, q) - lh_delta_e00(q, p)));
  }
  CHECK_NEAR(worst, 0.0, 1e-11, "opposite hues, both orders");
  /* Closed form: greys differ by dL/SL alone. */
  lh_lab g1 = {40, 0, 0}, g2 = {60, 0, 0};
  CHECK_NEAR(lh_delta_e00(g1, g2), 20.0, 1e-12, "greys about L* 50: SL = 1");
}

int main(void)
{
  published();
  properties();
  return CHECK_DONE();
}
