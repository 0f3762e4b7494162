/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "range.h"

int main(void)
{
  lh_spread s;
  lh_range r;

  /* JCGM 100:2008, 5.1.2: independent errors of a sum add in quadrature. */
  s = lh_spread_of(10.0);
  lh_spread_add(&s, 7.0, 13.0);
  lh_spread_add(&s, 14.0, 6.0);
  r = lh_spread_range(s);
  CHECK_NEAR(r.value, 10, 0, "the value stays");
  CHECK_NEAR(r.high, 15, 1e-15 * 15, "3 and 4 make 5, up");
  CHECK_NEAR(r.low, 5, 1e-15 * 15, "3 and 4 make 5, down");
  /* a result that falls whichever way its input moves */
  s = lh_spread_of(10.0);
  lh_spread_add(&s, 8.0, 9.0);
  r = lh_spread_range(s);
  CHECK(r.high == 10.0 && r.low == 8.0, "a lopsided result keeps its shape");
  CHECK(lh_range_valid(lh_range_exact(3)), "an exact value is a range");
  CHECK(lh_range_valid(lh_range_within(3, 0.5)), "so is plus or minus");
  CHECK(!lh_range_valid(lh_range_within(3, -0.5)), "a negative error is not");
  CHECK(!lh_range_valid(lh_range_exact((double)NAN)), "nor NaN");
  CHECK(!lh_range_valid(lh_range_within(3, (double)INFINITY)), "nor infinity");
  return CHECK_DONE();
}
