/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Says what the program makes of COLOURS seeded pairs of colours, a pair a line
** of numbers, for culori.mjs to make the same of them. */
#include <stdint.h>
#include <stdio.h>

#include "difference.h"
#include "sight.h"
#include "space.h"

enum { COLOURS = 10000 };

static double draw(double low, double high)
{
  static uint64_t s = 31;

  s = s * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  return low + (high - low) * (double)(s >> 11) * 0x1p-53;
}

static void say(double a, double b, double c)
{
  printf(" %.17g %.17g %.17g", a, b, c);
}

int main(void)
{
  for (int i = 0; i < COLOURS; i++) {
    lh_rgb c = {draw(0, 1), draw(0, 1), draw(0, 1)}, back, eyes;
    lh_lab p = lh_srgb_lab(c), q = {draw(0, 100), draw(-110, 110), 0};
    lh_xyz x = lh_srgb_xyz(c);
    int sight = LH_SIGHT_PROTAN + i % 3;
    double severity = i / 3 % 11 / 10.0;
    q.b = draw(-110, 110);
    if (i % 2) { /* near to each other, as colours are compared */
      q.L = p.L + draw(-4, 4);
      q.a = p.a + draw(-4, 4);
      q.b = p.b + draw(-4, 4);
    }
    if (i % 97 == 0) q.a = q.b = 0;
    back = lh_lab_srgb(p);
    eyes = lh_sight_see((lh_sight)sight, severity, c);
    printf("%d %.1f", sight - LH_SIGHT_PROTAN, severity);
    say(c.r, c.g, c.b);
    say(x.x, x.y, x.z);
    say(p.L, p.a, p.b);
    say(back.r, back.g, back.b);
    say(q.L, q.a, q.b);
    say(lh_srgb_decode(eyes.r), lh_srgb_decode(eyes.g), lh_srgb_decode(eyes.b));
    printf(" %.17g %.17g\n", lh_delta_e00(p, q), lh_delta_e00(q, p));
  }
  return 0;
}
