/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The cheapest recipe: sums by hand, every set of materials tried, the curve
** against its own programmes, refusals, and GLPK held in check.  SciPy's word
** on the same programmes is in linear.py. */
#include <glpk.h>

#include "check.h"
#include "linear_case.h"

static lh_linear_found f;

static lh_status cheapest(const lh_linear_ask *q, double *grams)
{
  lh_arena a = case_room();

  return lh_linear_cheapest(q, grams, &f, &a, NULL);
}

static lh_status nearest(const lh_linear_ask *q, double *grams)
{
  lh_arena a = case_room();

  return lh_linear_nearest(q, grams, &f, &a, NULL);
}

/* One row, two materials of 0.01 mol/g at 3 and 0.002 mol/g at 0.5 a gram; 1
** mol wanted: 100 g for 300 or 500 g for 250.  A tolerance of 0.1 asks 0.9
** mol: 450 g, 225; the price falls by 250 a mole.
*/
static void test_by_hand(void)
{
  double mol[] = {0.01, 0.002}, price[] = {3.0, 0.5}, per[] = {1.0, 0.2};
  double target[] = {1.0}, grams[2];
  lh_search_problem p = {.rows = 1, .materials = 2, .mol = mol};
  lh_linear_ask q = {.problem = &p, .price = price, .tolerance = 0.1};

  p.target = target;
  for (int n = 0; n < LH_LINEAR_NORMS; n++) {
    q.norm = (lh_linear_norm)n;
    CHECK(cheapest(&q, grams) == LH_OK, "one row by norm %d", n);
    CHECK_NEAR(grams[0], 0.0, 0.0, "nothing of the dear one");
    CHECK_NEAR(grams[1], 450.0, 1e-6, "450 g of the other");
    CHECK_NEAR(f.price, 225.0, 1e-6, "225");
    CHECK_NEAR(f.shadow, -250.0, 1e-6, "250 less for a mole of tolerance");
    CHECK_NEAR(f.off[n], 0.1, 1e-8, "as far as it may be");
  }
  /* A fifth of the second stays: 0.5/0.2 = 2.5 a gram, against 3. */
  q.per = per;
  CHECK(cheapest(&q, grams) == LH_OK && grams[0] == 0.0, "by what stays");
  CHECK_NEAR(f.price, 2.5, 1e-9, "2.5 a gram that stays");
  CHECK_NEAR(f.shadow, 0.0, 1e-9, "which the tolerance does not change");
  per[1] = 0.1;
  CHECK(cheapest(&q, grams) == LH_OK && grams[1] == 0.0,
        "with a tenth the first is the cheaper");
  CHECK_NEAR(f.price, 3.0, 1e-9, "at 3");
}

/* At most k of nine: every set of k tried by itself. */
static void test_sets(size_t seed, lh_linear_norm norm, size_t k)
{
  static linear_case c;
  lh_search_use use[CASE_N];
  double grams[CASE_N], best = INFINITY, price;
  size_t sets = 0;

  case_make(&c, seed);
  c.ask.norm = norm;
  if (nearest(&c.ask, grams) != LH_OK) return;
  c.ask.tolerance = 2.5 * f.least + 0.4;
  c.ask.most = k;
  lh_status st = cheapest(&c.ask, grams);
  price = f.price;
  c.ask.most = 0;
  for (unsigned set = 0; set < 1u << CASE_N; set++) {
    size_t count = 0;
    for (size_t j = 0; j < CASE_N; j++) {
      use[j] = set >> j & 1u ? LH_SEARCH_MAY : LH_SEARCH_NEVER;
      count += set >> j & 1u;
    }
    if (count != k) continue;
    c.problem.use = use;
    sets++;
    if (cheapest(&c.ask, grams) == LH_OK) best = fmin(best, f.price);
  }
  if (isinf(best)) {
    CHECK(st == LH_NOTFOUND,
          "case %zu norm %d: none of %zu sets, and it says so", seed, (int)norm,
          sets);
    return;
  }
  CHECK(st == LH_OK, "case %zu norm %d: found", seed, (int)norm);
  CHECK_NEAR(price, best, 2e-6 * best, "case %zu norm %d: cheapest of %zu sets",
             seed, (int)norm, sets);
}

/* The planes and the search say the same, in two ways that share nothing but
** the problem; and of three materials. */
static void test_search(size_t seed)
{
  static linear_case c;
  static unsigned char room[4 << 20];
  double grams[CASE_N];

  case_make(&c, seed);
  c.problem.choices = 1;
  for (size_t most = 3; most <= CASE_N; most += CASE_N - 3) {
    lh_arena a = {.more = case_none, .at = room, .left = sizeof room};
    lh_search_choice choice;
    lh_search_proof proof;
    c.problem.most = most;
    c.ask.most = most < CASE_N ? most : 0;
    CHECK(lh_search_nearest(&c.problem, &choice, &proof, &a, NULL) == LH_OK &&
              nearest(&c.ask, grams) == LH_OK,
          "case %zu: the nearest of at most %zu", seed, most);
    /* The planes leave 1e-9 of the target's length, 100 at most. */
    CHECK_NEAR(f.off[LH_LINEAR_DISTANCE], choice.distance, 1e-7,
               "case %zu: planes and search agree", seed);
  }
}

static double between(const lh_linear_point *p, size_t n, double x)
{
  size_t i = 0;

  while (i + 2 < n && p[i + 1].tolerance < x) i++;
  return p[i].price + p[i].shadow * (x - p[i].tolerance);
}

static void test_curve(size_t seed, lh_linear_norm norm)
{
  static linear_case c;
  lh_linear_point p[LH_LINEAR_BREAKS];
  double grams[CASE_N], worst = 0.0, top;
  size_t n = 0;
  lh_arena a = case_room();

  case_make(&c, seed);
  c.ask.per = NULL;
  c.ask.norm = norm;
  nearest(&c.ask, grams);
  top = c.ask.tolerance = 2.0 * f.least + 0.5;
  lh_status st = lh_linear_bends(&c.ask, p, LH_LINEAR_BREAKS, &n, &f, &a, NULL);
  CHECK(st == LH_OK && n >= 3, "case %zu norm %d: a curve with %zu points",
        seed, (int)norm, n);
  for (size_t i = 0; i + 2 < n; i++)
    if (!(p[i].shadow < p[i + 1].shadow && p[i + 1].shadow <= 0.0)) worst = 1;
  CHECK(worst == 0.0, "case %zu: it falls ever less steeply", seed);
  for (int i = 0; i <= 40; i++) {
    double x = p[0].tolerance + (top - p[0].tolerance) * i / 40.0;
    c.ask.tolerance = x;
    if (cheapest(&c.ask, grams) != LH_OK) worst = INFINITY;
    worst = fmax(worst, fabs(between(p, n, x) - f.price) / f.price);
  }
  /* Twice the curve's own 1e-9, and the programme's. */
  CHECK_NEAR(worst, 0.0, 1e-8, "case %zu norm %d: 41 programmes lie on it",
             seed, (int)norm);
}

static void test_refusals(void)
{
  static linear_case c;
  static double mol[256 * 36], price[256], target[36], grams[256];
  lh_search_limit both[2] = {
      {.kind = LH_SEARCH_LEAST, .material = 0, .value = 60},
      {.kind = LH_SEARCH_LEAST, .material = 1, .value = 60}};
  lh_search_use must[CASE_N] = {LH_SEARCH_MUST};

  case_make(&c, 0);
  c.problem.limit = both;
  c.problem.limits = 2;
  c.ask.tolerance = 5.0;
  CHECK(cheapest(&c.ask, grams) == LH_NOTFOUND && isnan(f.least),
        "60 %% of one and 60 %% of another: no recipe, however far");
  c.problem.limits = 0;
  c.ask.tolerance = 0.0;
  CHECK(cheapest(&c.ask, grams) == LH_NOTFOUND && f.least > 0.0,
        "not exactly: the least is told");
  c.problem.use = must;
  c.ask.tolerance = 2.0;
  CHECK(cheapest(&c.ask, grams) == LH_OK, "a must");
  double sum = 0.0;
  for (size_t j = 0; j < CASE_N; j++) sum += grams[j];
  CHECK(grams[0] >= (1e-3 - 1e-9) * sum, "is a thousandth of it at least");
  c.price[3] = NAN;
  CHECK(cheapest(&c.ask, grams) == LH_INPUT && f.bad == 3,
        "a price that is not a number is refused");
  c.price[3] = -1.0;
  CHECK(cheapest(&c.ask, grams) == LH_INPUT, "and one below nothing");
  c.price[3] = 1.0;
  c.ask.tolerance = NAN;
  CHECK(cheapest(&c.ask, grams) == LH_INPUT, "and such a tolerance");

  /* GLPK ends the program when its memory is spent, unless held. */
  lh_search_problem p = {.rows = 36, .materials = 256, .mol = mol};
  lh_linear_ask q = {.problem = &p, .price = price, .tolerance = 0.1};
  for (size_t k = 0; k < 256 * 36; k++) mol[k] = 1e-3 * (double)(k % 11);
  for (size_t j = 0; j < 256; j++) price[j] = 1.0 + (double)(j % 7);
  for (size_t i = 0; i < 36; i++) target[i] = 1.0;
  p.target = target;
  glp_mem_limit(1);
  CHECK(cheapest(&q, grams) == LH_NOMEM, "GLPK out of memory comes back");
  CHECK(cheapest(&q, grams) == LH_OK || f.least > 0.0, "and it works again");
}

static bool never(void *who, double done)
{
  (void)who;
  (void)done;
  return false;
}

int main(void)
{
  static linear_case c;
  double grams[CASE_N];
  lh_watch w = {.go = never};
  lh_arena a = case_room();

  test_by_hand();
  for (int n = 0; n < LH_LINEAR_NORMS; n++)
    for (size_t seed = 0; seed < 4; seed++)
      test_sets(seed, (lh_linear_norm)n, 2 + seed % 3);
  for (size_t seed = 0; seed < 12; seed++) test_search(seed);
  for (size_t seed = 0; seed < 6; seed++)
    test_curve(seed, seed % 2 ? LH_LINEAR_SUM : LH_LINEAR_EACH);
  test_refusals();
  case_make(&c, 0);
  c.ask.tolerance = 1.0;
  CHECK(lh_linear_cheapest(&c.ask, grams, &f, &a, &w) == LH_CANCELLED,
        "the watch stops it");
  return CHECK_DONE();
}
