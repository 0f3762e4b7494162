/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The trade-off against every set of materials of a small stock, one by one:
** nothing that can be made beats a row of the table, and at each of the
** table's tolerances the best that can be made is in it. */
#include "check.h"
#include "linear_case.h"
#include "tradeoff.h"

enum { MOST = 3, STEPS = 4 };

static unsigned char own_block[16 << 20];
static lh_tradeoff_row row[LH_TRADEOFF_ROWS];
static size_t rows;
static lh_tradeoff_info info;

static lh_status make(const lh_tradeoff_ask *q, const lh_watch *w)
{
  lh_arena a = {.more = case_none, .at = own_block, .left = sizeof own_block};

  return lh_tradeoff_table(q, row, &rows, &info, &a, w);
}

typedef struct {
  double distance, price;
  size_t count;
} made;

static made all[20000];
static size_t n_all;

/* Every set of up to MOST, its nearest recipe and its cheapest ones. */
static void make_all(linear_case *c, const double *tolerance, size_t n)
{
  lh_search_use use[CASE_N];
  double grams[CASE_N];
  lh_linear_found f;

  n_all = 0;
  c->problem.use = use;
  c->ask.most = 0;
  c->ask.norm = LH_LINEAR_DISTANCE;
  for (unsigned set = 1; set < 1u << CASE_N; set++) {
    size_t count = 0;
    for (size_t j = 0; j < CASE_N; j++) {
      use[j] = set >> j & 1u ? LH_SEARCH_MAY : LH_SEARCH_NEVER;
      count += set >> j & 1u;
    }
    if (count > MOST) continue;
    for (size_t k = 0; k <= n; k++) {
      lh_arena a = case_room();
      lh_status st;
      if (k < n) c->ask.tolerance = tolerance[k];
      st = k < n ? lh_linear_cheapest(&c->ask, grams, &f, &a, NULL)
                 : lh_linear_nearest(&c->ask, grams, &f, &a, NULL);
      if (st == LH_OK)
        all[n_all++] = (made){f.off[LH_LINEAR_DISTANCE], f.price, f.materials};
    }
  }
  c->problem.use = NULL;
}

static void test_case(size_t seed)
{
  static linear_case c;
  lh_tradeoff_ask q = {.problem = &c.problem, .steps = STEPS, .farther = 1.0};
  double tolerance[LH_TRADEOFF_ROWS], length = 0.0, scale;
  size_t n = 0, beaten = 0, lost = 0;

  case_make(&c, seed);
  c.problem.most = MOST;
  q.price = c.price;
  q.per = c.per;
  if (c.problem.measure == LH_SEARCH_SLIP) q.farther = 20.0;
  lh_status st = make(&q, NULL);
  CHECK(st == LH_OK && rows > 5 && info.unsettled == 0 && info.unproven == 0,
        "case %zu: %zu rows of %zu recipes", seed, rows, info.tried);
  for (size_t i = 0; i < rows; i++)
    if (!isnan(row[i].tolerance)) tolerance[n++] = row[i].tolerance;
  for (size_t i = 0; i < CASE_ROWS; i++) {
    double v = c.weight[i] * c.target[i];
    length += v * v;
  }
  /* What the table itself counts as equal, and the planes' own 1e-6. */
  scale = 4e-6 * sqrt(length);
  c.ask.per = c.per;
  make_all(&c, tolerance, n);
  for (size_t i = 0; i < rows; i++)
    for (size_t k = 0; k < n_all; k++)
      beaten += all[k].distance < row[i].distance - scale &&
                all[k].count <= row[i].count &&
                all[k].price < row[i].price * (1.0 - 1e-4);
  CHECK(beaten == 0, "case %zu: none of %zu recipes beats a row", seed, n_all);
  /* What each row says of itself, among all that was made. */
  for (size_t i = 0; i < rows; i++) {
    bool nearest = isnan(row[i].tolerance);
    double best = INFINITY, reach = row[i].tolerance + scale;
    for (size_t k = 0; k < n_all; k++) {
      if (all[k].count > row[i].of) continue;
      if (nearest) best = fmin(best, all[k].distance);
      if (all[k].distance <= reach) best = fmin(best, all[k].price);
    }
    lost += nearest ? fabs(best - row[i].distance) > scale
                    : fabs(best / row[i].price - 1.0) > 1e-4;
  }
  CHECK(lost == 0, "case %zu: each is the nearest or the cheapest it claims",
        seed);
  lost = 0;
  for (size_t i = 0; i < rows; i++)
    for (size_t j = 0; j < rows; j++)
      lost += i != j && row[i].distance <= row[j].distance &&
              row[i].count <= row[j].count && row[i].price <= row[j].price;
  CHECK(lost == 0, "case %zu: no row beats another", seed);
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
  lh_watch w = {.go = never};
  lh_tradeoff_ask q = {.problem = &c.problem, .steps = 2, .farther = 1.0};

  for (size_t seed = 0; seed < 4; seed++) test_case(seed);
  case_make(&c, 0);
  c.problem.most = 3;
  q.price = c.price;
  CHECK(make(&q, &w) == LH_CANCELLED, "the watch stops it");
  q.farther = NAN;
  CHECK(make(&q, NULL) == LH_INPUT, "not a number");
  q.farther = 1.0;
  c.price[2] = -1.0;
  CHECK(make(&q, NULL) == LH_INPUT && info.bad == 2, "a price below nothing");
  return CHECK_DONE();
}
