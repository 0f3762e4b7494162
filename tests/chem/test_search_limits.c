/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The search under limits, for glazes and slips, against every support. */
#include "check.h"
#include "search_active.h"
#include "search_room.h"
#include "search_same.h"
#include "search_stock.h"

/* Many small stocks; and a few so large that branches are bounded before they
** are counted out.
*/
enum { CASES = 300, MATERIALS = 8, LARGE_CASES = 6, LARGE = 28 };

/* The oracle solves systems of squares of the columns: half the digits. */
static const double near_enough = 1e-6;

static lh_search_choice c[LH_SEARCH_CHOICES];
static bool class_of[4][STOCK_MOST];
static lh_search_use use[STOCK_MOST];

/* One to four limits of all kinds, from the seed. */
static void invent(lh_search_problem *p, lh_search_limit *limit, uint64_t *seed)
{
  p->limit = limit;
  p->limits = 1 + (size_t)(4.0 * stock_random(seed));
  for (size_t l = 0; l < p->limits; l++) {
    size_t a = (size_t)((double)p->materials * stock_random(seed));
    limit[l] = (lh_search_limit){
        .kind = (lh_search_limit_kind)(5.0 * stock_random(seed)),
        .material = a,
        .other = (a + 1) % p->materials,
        .value = 5.0 + 30.0 * stock_random(seed),
        .batch = 100.0};
    if (limit[l].kind == LH_SEARCH_RATIO)
      limit[l].value = 0.5 + stock_random(seed);
    if (limit[l].kind == LH_SEARCH_RATIO || stock_random(seed) < 0.5) continue;
    for (size_t j = 0; j < p->materials; j++)
      class_of[l][j] = j == a || stock_random(seed) < 0.3;
    limit[l].of = class_of[l];
  }
  p->use = use;
  for (size_t j = 0; j < p->materials; j++)
    use[j] = stock_random(seed) < 0.1 ? LH_SEARCH_NEVER : LH_SEARCH_MAY;
}

/* By how much of the batch the worst limit of a recipe is broken. */
static double broken(const lh_search_problem *p, const lh_search_choice *r)
{
  double worst = 0.0, g[ORACLE_K], batch = 0.0;

  for (size_t i = 0; i < r->count; i++) batch += r->grams[i];
  for (size_t l = 0; l < p->limits; l++) {
    bool equal = active_limit(&p->limit[l], r->material, r->count, g);
    double s = 0.0;
    for (size_t i = 0; i < r->count; i++) s += g[i] * r->grams[i] / batch;
    worst = fmax(worst, equal ? fabs(s) : -s);
  }
  return worst;
}

static void one(lh_search_measure measure, size_t cases, size_t n,
                const char *word)
{
  static search_stock s;
  static oracle_list o;
  lh_search_limit limit[4];
  size_t wrong = 0, listed = 0, none = 0;
  double worst = 0.0;

  for (size_t i = 0; i < cases; i++) {
    uint64_t seed = 77 + i;
    lh_search_proof f;
    lh_arena a = search_room();
    size_t want = 1 + i % 40 + (n == LARGE ? 10 : 0);
    stock_make(&s, n + 4, 5000 + i, i % 2);
    s.n = n;
    lh_search_problem p = stock_problem(&s, n == LARGE ? 4 : 2 + i % 3, want);
    p.measure = measure;
    if (measure == LH_SEARCH_SLIP) {
      double sum = 0.0;
      for (size_t k = 0; k < STOCK_ROWS; k++) sum += s.target[k];
      for (size_t k = 0; k < STOCK_ROWS; k++) s.target[k] *= 100.0 / sum;
    }
    invent(&p, limit, &seed);
    if (n == LARGE) p.limits = 1;
    lh_status st = lh_search_nearest(&p, c, &f, &a, NULL);
    oracle_limited(&p, want, &o);
    if (st != (o.found ? LH_OK : LH_NOTFOUND) || !f.proven ||
        !same_ranking(c, f.found, &o,
                      near_enough * (1.0 + o.list[0].distance))) {
      printf("# %s %zu: found %zu of %zu, best %.9g of %.9g\n", word, i,
             f.found, o.found, c[0].distance, o.list[0].distance);
      wrong++;
    }
    for (size_t k = 0; k < f.found; k++) worst = fmax(worst, broken(&p, &c[k]));
    listed += f.found;
    none += f.found == 0;
  }
  CHECK(wrong == 0, "%s: %zu limited targets, the ranking is that of all", word,
        cases);
  CHECK(worst <= 1e-9, "%s: limits hold to 1e-9 of the batch (%.1e)", word,
        worst);
  CHECK(listed > 4 * cases && (none > 0 || n == LARGE),
        "%s: %zu recipes were compared, %zu times there is none", word, listed,
        none);
}

int main(void)
{
  one(LH_SEARCH_GLAZE, CASES, MATERIALS, "glaze");
  one(LH_SEARCH_SLIP, CASES, MATERIALS, "slip");
  one(LH_SEARCH_GLAZE, LARGE_CASES, LARGE, "glaze, large stock");
  one(LH_SEARCH_SLIP, LARGE_CASES, LARGE, "slip, large stock");
  return CHECK_DONE();
}
