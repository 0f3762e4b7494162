/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the rooms base (exact) and form compute on a few thousand inputs, boiled
** down to one number a part.  Built natively and as WebAssembly;
** tests/same_bits.sh requires that both print the same.  No input is computed
** by a libm. */
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "chart.h"
#include "exact.h"
#include "form.h"

uint32_t lh_bits_of_part(int part);

static uint64_t hash;
static lh_curve outside, inside;
static lh_chart chart;

/* FNV-1a over the bytes of a double. */
static void eat(double x)
{
  uint64_t u;

  memcpy(&u, &x, sizeof u);
  for (int i = 0; i < 8; i++) {
    hash ^= (u >> (8 * i)) & 0xff;
    hash *= 0x100000001b3U;
  }
}

static void exact(void)
{
  for (int i = -5000; i < 5000; i++) {
    double x = i * 0.0007310 + 0.1, s, c;
    lh_exact_sincos(x * 3, &s, &c);
    eat(s);
    eat(c);
    eat(lh_exact_turns(x, 1.25 - x));
    eat(lh_exact_exp(x * 30));
    eat(lh_exact_log(x * x * 1e-3));
    eat(lh_exact_expm1c(x));
    eat(lh_exact_logmean(x * x + 0.01, 2.5));
  }
}

static void draw(void)
{
  static const lh_point out[] = {{28, 0},  {30, 4},  {47, 11}, {62, 24},
                                 {70, 40}, {71, 52}, {74, 61}, {80, 66}};
  static const lh_point in[] = {{0, 6},   {22, 7},  {43, 14}, {57, 25},
                                {65, 40}, {66, 53}, {70, 63}, {77, 67}};

  lh_curve_build(out, sizeof out / sizeof out[0], &outside, NULL);
  lh_curve_build(in, sizeof in / sizeof in[0], &inside, NULL);
}

static void form(void)
{
  double v = 0, w = 0;

  draw();
  for (size_t k = 0; k < outside.n; k++) {
    lh_curve_spot spot;
    eat(outside.r[k]);
    eat(outside.z[k]);
    eat(outside.s[k]);
    lh_curve_at(&outside, 0.999 * outside.s[k], &spot);
    eat(spot.across.r);
    eat(spot.across.z);
    if (lh_curve_area(&outside, 0, outside.s[k], &v) == LH_OK) eat(v);
    if (lh_wall_thickness(&outside, &inside, outside.s[k], &v) == LH_OK) eat(v);
    eat(lh_curve_volume(&inside, outside.z[k]));
  }
  eat(lh_wall_check(&outside, &inside, NULL) == LH_OK);
  lh_wall_clay(&outside, &inside, 1.9, &v, &w);
  eat(w);
}

static void zone(lh_face face, lh_chart_kind kind, double from)
{
  const lh_curve *c = face == LH_OUTSIDE ? &outside : &inside;
  lh_zone z = {face, kind, from, c->length};
  double x = 0, y = 0, t = 0, u = 0, s = 0;

  draw();
  eat(lh_chart_make(c, &z, &chart, NULL) == LH_OK);
  eat(chart.width);
  eat(chart.height);
  for (int i = 0; i <= 60; i++)
    for (int j = 0; j <= 60; j++) {
      lh_chart_place(&chart, i / 60.0, j * chart.length / 60, &x, &y);
      eat(x);
      eat(y);
      x = (i / 60.0) * chart.width;
      y = (j / 60.0) * chart.height;
      if (kind == LH_CHART_DISC) x -= chart.radius, y -= chart.radius;
      if (lh_chart_back(&chart, x, y, &t, &u) == LH_OK) eat(t + 16 * u);
      if (lh_chart_scale(&chart, x, y, &s) == LH_OK) eat(s);
    }
}

uint32_t lh_bits_of_part(int part)
{
  hash = 0xcbf29ce484222325U;
  switch (part) {
  case 0: exact(); break;
  case 1: form(); break;
  case 2: zone(LH_OUTSIDE, LH_CHART_BAND, 20); break;
  case 3: zone(LH_INSIDE, LH_CHART_BAND, 40); break;
  default: zone(LH_INSIDE, LH_CHART_DISC, 0); break;
  }
  return (uint32_t)(hash >> 32 ^ hash);
}

#ifndef __wasm__
int main(void)
{
  static const char *const parts[] = {"exact functions", "curves",
                                      "outside band", "inside band", "disc"};

  for (int part = 0; part < (int)(sizeof parts / sizeof parts[0]); part++)
    printf("%u\t%s\n", (unsigned)lh_bits_of_part(part), parts[part]);
  return 0;
}
#endif
