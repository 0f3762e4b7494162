/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Blends for a wanted colour: made-up truths, grids, limits, doubts. */
#include "match.h"

#include <stdint.h>

#include "check.h"
#include "difference.h"
#include "pigment_reflectance_10nm.h"

enum { STAINS = 12 };

static uint64_t seed = 5;

static double draw(double low, double high)
{
  seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  return low + (high - low) * (double)(seed >> 11) * 0x1p-53;
}

/* Invented stains with measured pigments' hues (USGS DS1035), a base and a
** white ground. */
static lh_slip_optics optics[STAINS], base;
static lh_match_stain stains[STAINS];
static double ground[LH_WAVES];

static void stock(void)
{
  static const int column[STAINS] = {1, 3, 4, 5, 9, 11, 12, 13, 14, 17, 18, 22};

  for (size_t j = 0; j < STAINS; j++) {
    for (size_t i = 0; i < LH_WAVES; i++) {
      optics[j].scattering[i] = 0.2;
      optics[j].absorption[i] =
          0.2 * lh_layer_ratio(pigment_reflectance_10nm[i][column[j]]);
    }
    stains[j] = (lh_match_stain){&optics[j], 0.12};
  }
  for (size_t i = 0; i < LH_WAVES; i++) {
    base.absorption[i] = 0.0003;
    base.scattering[i] = 0.01;
    ground[i] = pigment_reflectance_10nm[i][25];
  }
}

/* Colour of a blend by the exact path: mixed by lh_slip_mix, fired by
** lh_stack_reflectance. */
static lh_lab exact(const lh_match_ask *a, const size_t *stain,
                    const double *share, size_t count, double coat)
{
  lh_slip_optics part[4] = {base}, mix;
  double parts[4] = {1}, r[LH_WAVES];
  lh_stack_layer layer = {&mix, coat};
  lh_stack s = *a->stack;

  for (size_t j = 0; j < count; j++) {
    part[j + 1] = *a->stains[stain[j]].optics;
    parts[j + 1] = share[j];
  }
  s.layers = &layer, s.count = 1;
  if (lh_slip_mix(part, parts, count + 1, &mix) || lh_stack_reflectance(&s, r))
    return (lh_lab){NAN, NAN, NAN};
  return lh_spectrum_lab(r, a->illuminant);
}

static double score_of(const lh_match_ask *a, const size_t *stain,
                       const double *share, size_t count)
{
  double sum = 0;

  for (size_t k = 0; k < LH_MATCH_COATS; k++) {
    double d =
        lh_delta_e00(exact(a, stain, share, count, a->coat[k]), a->target[k]);
    sum += d * d;
  }
  return sqrt(sum / LH_MATCH_COATS) + a->each_stain * ((double)count - 1);
}

static lh_match_ask ask_of(const lh_stack *s, size_t n, size_t most)
{
  return (lh_match_ask){s,   LH_D65,        stains,      n,   most,
                        0.2, {90, 70, 115}, {{0, 0, 0}}, 0.25};
}

/* A blend that was made: nothing found may be worse than it, and the score
** said is that of the exact path.  With an eaten slip the prepared path is
** within 1e-6 of reflectance, at worst 0.01 of dE00 in the dark. */
static void truths(void)
{
  lh_glaze g = {1.5, {0}, 0, 0.4};
  lh_stack_layer layer = {&base, 0};
  lh_stack s = {&layer, 1, ground, &g, LH_D8_EX};
  int worse = 0, unsaid = 0, found = 0;

  for (int n = 0; n < 30; n++) {
    lh_match_ask a = ask_of(&s, STAINS, 3);
    lh_match_choice c[5];
    size_t got, count = 1 + (size_t)draw(0, 3), stain[3];
    double share[3];
    g.eaten = n % 2 ? 10 : 0;
    stain[0] = (size_t)draw(0, 4), stain[1] = 4 + (size_t)draw(0, 4),
    stain[2] = 8 + (size_t)draw(0, 4);
    for (size_t j = 0; j < count; j++) share[j] = draw(0.002, 0.05);
    for (size_t k = 0; k < LH_MATCH_COATS; k++)
      a.target[k] = exact(&a, stain, share, count, a.coat[k]);
    if (lh_match_find(&a, NULL, c, 5, &got, NULL) || got != 5) {
      worse++;
      continue;
    }
    if (c[0].score > 0.25 * ((double)count - 1) + 0.02) worse++;
    if (c[0].count == count && c[0].stain[0] == stain[0]) found++;
    for (size_t i = 0; i < got; i++)
      if (fabs(c[i].score - score_of(&a, c[i].stain, c[i].share, c[i].count)) >
          0.01)
        unsaid++;
  }
  CHECK(worse == 0, "30 blends that were made: found as near, or nearer");
  CHECK(unsaid == 0, "each as the exact path has it");
  CHECK(found >= 20, "%d of them are the blend itself", found);
}

/* Against a grid over all shares of every set of one and two: its best is
** never better. */
static void grids(void)
{
  lh_stack_layer layer = {&base, 0};
  lh_stack s = {&layer, 1, ground, NULL, LH_D8_EX};
  int worse = 0;
  double least = 1e9;

  for (int n = 0; n < 4; n++) {
    lh_match_ask a = ask_of(&s, 6, 2);
    lh_match_choice c;
    size_t got;
    double best = 1e9;
    for (size_t k = 0; k < LH_MATCH_COATS; k++)
      a.target[k] = (lh_lab){30 + 15 * n, n % 2 ? 15 : -15, n < 2 ? 20 : -10};
    for (size_t i = 0; i < 6; i++)
      for (size_t j = i; j < 6; j++)
        for (double x = 0.0005; x < 0.12; x *= 1.35)
          for (double y = 0.0005; y < 0.12; y *= 1.35) {
            size_t set[2] = {i, j};
            double share[2] = {x, y};
            if (x + y > a.most_total) continue;
            best = fmin(best, score_of(&a, set, share, i == j ? 1 : 2));
            if (i == j) break;
          }
    if (lh_match_find(&a, NULL, &c, 1, &got, NULL) || got != 1 ||
        c.score > best + 1e-9)
      worse++;
    least = fmin(least, best);
  }
  CHECK(worse == 0, "a grid of every share is never better (its best: %.2f)",
        least);
}

static void laws(void)
{
  lh_stack_layer layer = {&base, 0};
  lh_stack s = {&layer, 1, ground, NULL, LH_D8_EX};
  lh_match_ask a = ask_of(&s, STAINS, 3);
  lh_match_choice c[LH_MATCH_KEPT];
  lh_match_info info;
  size_t got;
  int wrong = 0, again = 0;
  lh_slip_optics o;
  double parts[4] = {1};
  lh_slip_optics part[4] = {base}, mix;

  for (size_t k = 0; k < LH_MATCH_COATS; k++)
    a.target[k] = (lh_lab){60, 60, 70}; /* no stain is so pure */
  CHECK(lh_match_find(&a, NULL, c, 20, &got, &info) == LH_OK && got == 20,
        "a colour out of reach has its nearest");
  CHECK(c[0].de00[0] > 3, "and says how far: dE00 %.1f", c[0].de00[0]);
  /* 12 + 12 11/2 + 12 11 10/6 */
  CHECK(info.sets == 298, "every set is tried");
  for (size_t i = 0; i < got; i++) {
    double sum = 0;
    for (size_t j = 0; j < c[i].count; j++) {
      sum += c[i].share[j];
      if (!(c[i].share[j] > 0 && c[i].share[j] <= 0.12 + 1e-12)) wrong++;
      if (j > 0 && c[i].stain[j] <= c[i].stain[j - 1]) wrong++;
    }
    if (sum > a.most_total + 1e-12) wrong++;
    if (i > 0 && c[i].score < c[i - 1].score) wrong++;
    for (size_t k = 0; k < i; k++)
      if (c[k].count == c[i].count &&
          memcmp(c[k].stain, c[i].stain, c[i].count * sizeof *c[i].stain) == 0)
        again++;
  }
  CHECK(wrong == 0, "shares within their limits, sets ascending, scores too");
  CHECK(again == 0, "no set twice");
  lh_match_blend(&a, &c[0], &o);
  for (size_t j = 0; j < c[0].count; j++) {
    part[j + 1] = optics[c[0].stain[j]];
    parts[j + 1] = c[0].share[j];
  }
  CHECK(lh_slip_mix(part, parts, c[0].count + 1, &mix) == LH_OK, "mixed");
  CHECK_NEAR(o.absorption[10] - mix.absorption[10], 0, 1e-15,
             "the blend is the mixture");
}

static void doubts(void)
{
  lh_stack_layer layer = {&base, 0};
  lh_stack s = {&layer, 1, ground, NULL, LH_D8_EX};
  lh_match_ask a = ask_of(&s, STAINS, 2);
  lh_match_choice c;
  size_t got;
  lh_range r, hand;
  lh_stack_doubt none = {0, 0, 0, 0, 0}, coat = {0, 0, 0.2, 0, 0};

  for (size_t k = 0; k < LH_MATCH_COATS; k++)
    a.target[k] = (lh_lab){45, 5, -20};
  CHECK(lh_match_find(&a, NULL, &c, 1, &got, NULL) == LH_OK, "a greyish blue");
  CHECK(lh_match_doubt(&a, &c, 0, &none, &r) == LH_OK, "sure of all");
  CHECK_NEAR(r.high - r.low, 0, 1e-9, "no doubt, no range");
  CHECK_NEAR(r.value, c.de00[0], 0, "the prediction itself");
  CHECK(lh_match_doubt(&a, &c, 0.05, &none, &r) == LH_OK, "weighed to 5 %%");
  CHECK(r.high > r.value + 0.1, "so far off: up to %.1f", r.high);
  CHECK(lh_match_doubt(&a, &c, 0, &coat, &hand) == LH_OK, "laid to 20 %%");
  CHECK(hand.high > hand.value, "so far off: up to %.1f", hand.high);
  CHECK(lh_match_doubt(&a, &c, 2, &none, &r) == LH_RANGE, "a doubt above 1");
}

static void refusals(void)
{
  lh_stack_layer layer = {&base, 0};
  lh_stack s = {&layer, 1, ground, NULL, LH_D8_EX};
  const lh_match_ask good = ask_of(&s, STAINS, 3);
  lh_match_ask a = good;
  lh_match_choice c;
  size_t got;

  a.n = 0;
  CHECK(lh_match_find(&a, NULL, &c, 1, &got, NULL) == LH_RANGE, "no stain");
  a = good, a.n = LH_MATCH_STAINS + 1;
  CHECK(lh_match_find(&a, NULL, &c, 1, &got, NULL) == LH_TOOLARGE,
        "too many stains");
  a = good, a.most_stains = 4;
  CHECK(lh_match_find(&a, NULL, &c, 1, &got, NULL) == LH_RANGE, "four at once");
  a = good, a.coat[1] = 0;
  CHECK(lh_match_find(&a, NULL, &c, 1, &got, NULL) == LH_RANGE, "no coat");
  a = good, a.target[2].b = (double)NAN;
  CHECK(lh_match_find(&a, NULL, &c, 1, &got, NULL) == LH_RANGE, "no colour");
  CHECK(lh_match_find(&good, NULL, &c, 0, &got, NULL) == LH_RANGE,
        "nothing wanted");
  optics[0].absorption[0] = -1;
  CHECK(lh_match_find(&good, NULL, &c, 1, &got, NULL) == LH_RANGE && got == 0,
        "a negative K");
}

int main(void)
{
  stock();
  truths();
  grids();
  laws();
  doubts();
  refusals();
  return CHECK_DONE();
}
