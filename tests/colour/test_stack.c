/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The whole stack: agreement of its two paths, limits, ranges, and what every
** potter knows. */
#include <stdint.h>

#include "check.h"
#include "difference.h"
#include "pigment_reflectance_10nm.h"
#include "stack.h"

static uint64_t seed = 19;

static double draw(double low, double high)
{
  seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  return low + (high - low) * (double)(seed >> 11) * 0x1p-53;
}

/* Columns of the pigment table (USGS DS1035). */
enum {
  BLUE = 1,
  VIOLET = 4,
  WHITE = 8,
  RED = 9,
  BLACK = 12,
  YELLOW = 18,
  GROUND = 25,
  BODY = 27
};

/* An invented slip with a measured pigment's hue: K/S from its reflectance,
** S the same at all wavelengths. */
static lh_slip_optics slip_of(int column, double S, double strength)
{
  lh_slip_optics o;

  for (size_t i = 0; i < LH_WAVES; i++) {
    o.scattering[i] = S;
    o.absorption[i] =
        strength * S * lh_layer_ratio(pigment_reflectance_10nm[i][column]);
  }
  return o;
}

static void spectrum_of(int column, double r[LH_WAVES])
{
  for (size_t i = 0; i < LH_WAVES; i++)
    r[i] = pigment_reflectance_10nm[i][column];
}

static lh_glaze clear_glaze(double eaten, double share)
{
  lh_glaze g = {1.52, {0}, eaten, share};

  for (size_t i = 0; i < LH_WAVES; i++) g.optical_depth[i] = 0.02;
  return g;
}

static lh_lab lab_of(const lh_stack *s)
{
  double r[LH_WAVES];

  if (lh_stack_reflectance(s, r)) return (lh_lab){NAN, NAN, NAN};
  return lh_spectrum_lab(r, LH_D65);
}

/* Common practice, no source. */
static void facts(void)
{
  double white[LH_WAVES];
  lh_slip_optics violet = slip_of(VIOLET, 0.004, 0.5),
                 top = slip_of(YELLOW, 0.02, 1);
  lh_glaze g = clear_glaze(0, 1);
  lh_stack_layer over_white[] = {{&violet, 60}};
  lh_stack_layer over_yellow[] = {{&violet, 60}, {&top, 250}};

  spectrum_of(GROUND, white);
  lh_stack a = {over_white, 1, white, &g, LH_D8_EX};
  lh_stack b = {over_yellow, 2, white, &g, LH_D8_EX};
  CHECK(lab_of(&b).L < lab_of(&a).L,
        "violet slip is darker over yellow than over white");
  /* A white ground between: the heavier, the nearer to violet on white. */
  lh_slip_optics between = slip_of(GROUND, 0.05, 1);
  lh_stack_layer saved[] = {{&violet, 60}, {&between, 0}, {&top, 250}};
  lh_stack w = {saved, 3, white, &g, LH_D8_EX};
  double spoiled = lh_delta_e00(lab_of(&a), lab_of(&b)), now = spoiled;
  int farther = 0;
  /* Past the tolerance within which a colour counts as the one wanted. */
  CHECK(spoiled > 3, "yellow spoils it: dE00 %.1f", spoiled);
  for (saved[1].coat = 25; saved[1].coat <= 800; saved[1].coat *= 2) {
    double d = lh_delta_e00(lab_of(&a), lab_of(&w));
    if (!(d < now)) farther++;
    now = d;
  }
  CHECK(farther == 0 && lab_of(&w).L > lab_of(&b).L,
        "white between saves it, the heavier the better");
  CHECK(now < 1, "and in the end yellow is no longer seen: dE00 %.2f", now);
  /* Ten times a cobalt blue's absorption, little scattering: an oxide slip. */
  lh_slip_optics strong = slip_of(BLUE, 0.0004, 10);
  lh_stack_layer coat = {&strong, 0};
  lh_stack c = {&coat, 1, white, &g, LH_D8_EX};
  double last = 101, thin = 0, thick = 0;
  int wrong = 0;
  for (double x = 0.5; x < 2000; x *= 1.3) {
    coat.coat = x;
    double L = lab_of(&c).L;
    if (!(L <= last + 1e-12)) wrong++;
    if (x == 0.5) thin = L;
    last = thick = L;
  }
  coat.coat = 0;
  CHECK(wrong == 0, "a strongly absorbing slip darkens as it thickens");
  CHECK(lab_of(&c).L - thin < 3, "and is next to the ground when thin");
  CHECK(thick < 20, "and nears black when thick");
}

/* Common practice, no source: a weak slip partly eaten by the glaze is
** weaker.  So it is when little of the eaten part's absorption goes on in the
** glaze (a stain that loses its colour there): share 0, and 0.25 once all is
** gone.  With a share near 1 the model says otherwise: the slip's colour
** becomes a clear coloured glaze, and clear colour on white looks deeper than
** milky colour; that too is checked. */
static void eaten_is_weaker(int ground_column)
{
  double ground[LH_WAVES];

  spectrum_of(ground_column, ground);
  for (double S = 0.001; S < 0.02; S *= 3) {
    lh_slip_optics weak = slip_of(VIOLET, S, 0.003 / S);
    lh_stack_layer thinly = {&weak, 80};
    double before = 1e9, whole = 0;
    for (double eaten = 0; eaten <= 80; eaten += 20) {
      lh_glaze g = clear_glaze(eaten, 0);
      lh_stack s = {&thinly, 1, ground, &g, LH_D8_EX};
      lh_stack bare = {NULL, 0, ground, &g, LH_D8_EX};
      double d = lh_delta_e00(lab_of(&s), lab_of(&bare));
      if (eaten == 0) whole = d;
      CHECK(d < before, "S %g: a weak slip eaten by %g g/m2 is weaker", S,
            eaten);
      before = d;
      if (eaten < 80) continue;
      g.share = 0.25;
      d = lh_delta_e00(lab_of(&s), lab_of(&bare));
      CHECK(d < whole, "S %g: all eaten, a quarter of its colour kept", S);
      g.share = 1;
      if (ground_column != GROUND || S < 0.005) continue;
      d = lh_delta_e00(lab_of(&s), lab_of(&bare));
      CHECK(d > whole, "S %g: all its colour kept is deeper on white", S);
    }
  }
}

/* Dissolution: where the eaten part goes. */
static void dissolution(void)
{
  double body[LH_WAVES], r[LH_WAVES], t[LH_WAVES], worst = 0;
  lh_slip_optics a = slip_of(VIOLET, 0.01, 1), b = slip_of(YELLOW, 0.02, 1);
  lh_stack_layer two[] = {{&a, 30}, {&b, 100}}, left[] = {{&b, 80}};
  lh_glaze g = clear_glaze(50, 0.6), by_hand = clear_glaze(0, 0);

  spectrum_of(BODY, body);
  lh_stack s = {two, 2, body, &g, LH_D8_IN};
  lh_stack h = {left, 1, body, &by_hand, LH_D8_IN};
  for (size_t i = 0; i < LH_WAVES; i++)
    by_hand.optical_depth[i] +=
        0.6 * (a.absorption[i] * 30 + b.absorption[i] * 20) / 2;
  CHECK(!lh_stack_reflectance(&s, r) && !lh_stack_reflectance(&h, t),
        "eaten through the first slip into the second");
  for (size_t i = 0; i < LH_WAVES; i++) worst = fmax(worst, fabs(r[i] - t[i]));
  CHECK_NEAR(worst, 0, 1e-15, "is the second, less 20, under a deeper glaze");
  g.eaten = 1000, g.share = 0; /* more than there is */
  h.count = 0;
  by_hand = clear_glaze(0, 0);
  CHECK(!lh_stack_reflectance(&s, r) && !lh_stack_reflectance(&h, t),
        "eaten altogether");
  for (size_t i = 0; i < LH_WAVES; i++) worst = fmax(worst, fabs(r[i] - t[i]));
  CHECK_NEAR(worst, 0, 1e-15, "leaves the body");
  s.glaze = h.glaze = NULL;
  h.layers = two, h.count = 2;
  CHECK(!lh_stack_reflectance(&s, r) && r[0] > 0, "bare stacks are not eaten");
}

static void wild_slip(lh_slip_optics *o)
{
  for (size_t i = 0; i < LH_WAVES; i++) {
    o->absorption[i] = pow(10, draw(-9, 2));
    o->scattering[i] = pow(10, draw(-9, 2));
  }
}

/* Any stack: both paths agree, nothing leaves 0..1, two coats of one slip are
** one of the sum, a layer of no weight is no layer. */
static void random_stacks(void)
{
  static lh_stack_ready ready;
  double apart = 0, split = 0, none = 0;
  int bad = 0;

  for (int n = 0; n < 300; n++) {
    lh_slip_optics o[4];
    lh_slip_ready p[4];
    lh_stack_layer layer[6];
    unsigned char which[6];
    double coat[6], base[LH_WAVES], r[LH_WAVES], q[LH_WAVES];
    size_t count = (size_t)draw(0, 6);
    lh_glaze g = {draw(1, 2), {0}, n % 3 ? draw(0, 200) : 0, draw(0, 1)};
    lh_geometry geometry = (lh_geometry)(n % LH_GEOMETRIES);
    for (size_t i = 0; i < LH_WAVES; i++) {
      base[i] = draw(0, 1);
      g.optical_depth[i] = n % 5 ? draw(0, 1) : pow(10, draw(-9, 3));
    }
    for (size_t j = 0; j < 4; j++) {
      wild_slip(&o[j]);
      if (lh_slip_prepare(&o[j], &p[j])) bad++;
    }
    for (size_t j = 0; j < count; j++) {
      which[j] = (unsigned char)draw(0, 4);
      coat[j] = n % 7 ? draw(0, 500) : pow(10, draw(-9, 6));
      layer[j] = (lh_stack_layer){&o[which[j]], coat[j]};
    }
    lh_stack s = {layer, count, base, n % 11 ? &g : NULL, geometry};
    if (lh_stack_reflectance(&s, r) ||
        lh_stack_prepare(p, 4, base, s.glaze, geometry, LH_D65, &ready)) {
      bad++;
      continue;
    }
    lh_xyz c = lh_stack_pixel(&ready, which, coat, count, q);
    lh_xyz d = lh_spectrum_xyz(r, LH_D65);
    for (size_t i = 0; i < LH_WAVES; i++) {
      apart = fmax(apart, fabs(r[i] - q[i]));
      if (!(r[i] >= 0 && r[i] <= 1.2)) bad++;
    }
    apart = fmax(apart, fabs(c.x - d.x) + fabs(c.y - d.y) + fabs(c.z - d.z));
    if (count == 0 || count == 6) continue;
    /* Split the bottom coat in two. */
    layer[count] = layer[count - 1];
    layer[count].coat = 0.3 * coat[count - 1];
    layer[count - 1].coat = coat[count - 1] - layer[count].coat;
    s.count = count + 1;
    if (lh_stack_reflectance(&s, q)) bad++;
    for (size_t i = 0; i < LH_WAVES; i++)
      split = fmax(split, fabs(r[i] - q[i]));
    layer[count - 1].coat = coat[count - 1];
    layer[count] = (lh_stack_layer){&o[0], 0};
    if (lh_stack_reflectance(&s, q)) bad++;
    for (size_t i = 0; i < LH_WAVES; i++) none = fmax(none, fabs(r[i] - q[i]));
  }
  CHECK(bad == 0, "300 random stacks answer, within what can be read");
  /* tt/(1 - k2 R)^2 magnifies the table's 1e-6 by at most about 6 here. */
  CHECK_NEAR(apart, 0, 6e-6, "the prepared path agrees with the exact one");
  CHECK_NEAR(split, 0, 1e-12, "two coats of one slip are one of the sum");
  CHECK_NEAR(none, 0, 1e-15, "a coat of no weight is no coat");
}

static void refusals(void)
{
  double base[LH_WAVES], r[LH_WAVES];
  lh_slip_optics o = slip_of(RED, 0.02, 1);
  lh_stack_layer many[LH_STACK_LAYERS + 1];
  lh_glaze g = clear_glaze(0, 1);

  spectrum_of(WHITE, base);
  for (size_t j = 0; j <= LH_STACK_LAYERS; j++)
    many[j] = (lh_stack_layer){&o, 10};
  lh_stack s = {many, LH_STACK_LAYERS, base, &g, LH_D8_IN};
  CHECK(lh_stack_reflectance(&s, r) == LH_OK, "32 layers taken");
  s.count++;
  CHECK(lh_stack_reflectance(&s, r) == LH_TOOLARGE, "33 refused");
  s.count = 2;
  many[1].coat = -1;
  CHECK(lh_stack_reflectance(&s, r) == LH_RANGE, "negative coat refused");
  many[1].coat = (double)NAN;
  CHECK(lh_stack_reflectance(&s, r) == LH_RANGE, "NaN coat refused");
  many[1].coat = 1;
  base[7] = 1.01;
  CHECK(lh_stack_reflectance(&s, r) == LH_RANGE, "substrate over 1 refused");
  base[7] = 0.5;
  g.share = 1.1;
  CHECK(lh_stack_reflectance(&s, r) == LH_RANGE, "share over 1 refused");
  g.share = 1, g.index = 0.99;
  CHECK(lh_stack_reflectance(&s, r) == LH_RANGE, "index below 1 refused");
  g.index = 1.5, g.optical_depth[35] = -0.1;
  CHECK(lh_stack_reflectance(&s, r) == LH_RANGE, "negative depth refused");
  g.optical_depth[35] = 0, o.absorption[3] = (double)INFINITY;
  CHECK(lh_stack_reflectance(&s, r) == LH_RANGE, "infinite K refused");
}

/* Ranges: with one doubt alone and a colour monotone in it, the 5th
** percentile of L* is L* at the matching percentile of the coat. */
static void ranges(void)
{
  double base[LH_WAVES];
  lh_slip_optics o = slip_of(BLUE, 0.004, 1);
  lh_stack_layer coat = {&o, 60};
  lh_glaze g = clear_glaze(10, 0.5);
  lh_stack s = {&coat, 1, base, &g, LH_D8_EX};
  lh_stack_range a, b;
  lh_stack_doubt none = {0, 0, 0, 0, 0}, only = {0, 0, 0.2, 0, 0},
                 usual = lh_stack_doubt_default();

  spectrum_of(GROUND, base);
  CHECK(lh_stack_spread(&s, LH_D65, &none, &a) == LH_OK, "no doubt");
  CHECK_NEAR(a.L.high - a.L.low, 0, 1e-4, "no doubt, no range");
  CHECK_NEAR(a.radius, 0, 1e-4, "no doubt, no radius");
  g = clear_glaze(0, 0.5);
  lh_lab mid = lab_of(&s);
  CHECK(lh_stack_spread(&s, LH_D65, &only, &a) == LH_OK, "coat weight only");
  CHECK_NEAR(a.L.value, mid.L, 1e-12, "the prediction itself");
  /* 400 draws: the share below the 5th percentile is 0.05 +- 3 x 0.011, so
  ** the normal deviate lies between -2.12 and -1.38. */
  double L[4], z[4] = {2.12, 1.38, -1.38, -2.12};
  for (int i = 0; i < 4; i++) {
    coat.coat = 60 * exp(0.2 * z[i]);
    L[i] = lab_of(&s).L;
  }
  coat.coat = 60;
  CHECK(a.L.low > L[0] && a.L.low < L[1], "5th percentile of L*");
  CHECK(a.L.high > L[2] && a.L.high < L[3], "95th percentile of L*");
  CHECK(lh_stack_spread(&s, LH_D65, &usual, &b) == LH_OK, "usual doubts");
  CHECK(b.L.high - b.L.low > a.L.high - a.L.low, "more doubt, wider range");
  CHECK(b.radius > 0.5 && b.radius < 20, "a radius of %g", b.radius);
  CHECK(lh_stack_spread(&s, LH_D65, &usual, &a) == LH_OK &&
            memcmp(&a, &b, sizeof a) == 0,
        "the same answer twice");
  usual.coat = 1.5;
  CHECK(lh_stack_spread(&s, LH_D65, &usual, &a) == LH_RANGE, "doubt over 1");
}

int main(void)
{
  facts();
  eaten_is_weaker(GROUND);
  eaten_is_weaker(BODY);
  dissolution();
  random_stacks();
  refusals();
  ranges();
  return CHECK_DONE();
}
