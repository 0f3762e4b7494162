/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The search beside GLPK and CBC, which prove the same thing another way.
**
** They take sums of absolute differences, not squares, and |r|_2 <= |r|_1: so
** the least sum there is can be neither under our least distance nor over the
** sum of our recipe; and a recipe of theirs that is nearer than our fiftieth
** must be in our list, or one of fewer of its materials that is nearer still.
*/
#include "check.h"
#include "search_milp.h"
#include "search_room.h"
#include "search_stock.h"

enum { TARGETS = 30, BY_CBC = 4, MATERIALS = 20, AT_MOST = 4, LIMIT_S = 60 };

static lh_search_choice c[LH_SEARCH_CHOICES];

static double sum_of(const lh_search_problem *p, const double *made)
{
  double sum = 0.0;

  for (size_t i = 0; i < p->rows; i++)
    sum += fabs((made ? made[i] : 0.0) - p->target[i]);
  return sum;
}

/* How far a recipe of theirs is by our measure. */
static double distance_of(const lh_search_problem *p, const double *grams)
{
  double square = 0.0;

  for (size_t i = 0; i < p->rows; i++) {
    double v = -p->target[i];
    for (size_t j = 0; j < p->materials; j++)
      v += grams[j] * p->mol[j * p->rows + i];
    square += v * v;
  }
  return sqrt(square);
}

static bool listed(const double *grams, double distance, size_t found)
{
  for (size_t i = 0; i < found; i++) {
    bool within = c[i].distance <= distance + 1e-7;
    for (size_t k = 0; k < c[i].count; k++)
      within &= grams[c[i].material[k]] > 0.0;
    if (within) return true;
  }
  return false;
}

int main(void)
{
  static search_stock s;
  size_t under = 0, over = 0, unlisted = 0, looked = 0, cbc = 0, apart = 0;

  for (uint64_t seed = 1; seed <= TARGETS; seed++) {
    lh_search_proof f;
    lh_arena a = search_room();
    double grams[MATERIALS], sum, other;
    stock_make(&s, MATERIALS, 300 + seed, seed % 3 == 0);
    lh_search_problem p = stock_problem(&s, AT_MOST, LH_SEARCH_CHOICES);
    if (lh_search_nearest(&p, c, &f, &a, NULL) != LH_OK || !f.proven) over++;
    double reach = sum_of(&p, NULL);
    milp_glpk(&p, reach, LIMIT_S, &sum, grams);
    under += !(sum >= c[0].distance - 1e-6);
    over += !(sum <= sum_of(&p, c[0].made) + 1e-6);
    double far = distance_of(&p, grams);
    if (far < c[f.found - 1].distance) {
      looked++;
      unlisted += !listed(grams, far, f.found);
    }
    if (seed > BY_CBC) continue;
    if (milp_cbc(&p, reach, LIMIT_S, &other) < 0.0) continue;
    cbc++;
    apart += !(fabs(other - sum) <= 1e-5 * (1.0 + sum));
  }
  glp_free_env();
  CHECK(under == 0, "GLPK: no least sum is under our least distance");
  CHECK(over == 0, "GLPK: none is over the sum of our recipe");
  CHECK(unlisted == 0 && looked > 5,
        "its recipe is in our list when near enough (%zu times)", looked);
  if (cbc == 0)
    printf("ok %d - CBC says the same # SKIP cbc is not here\n", ++check_count);
  else
    CHECK(apart == 0, "CBC says the same (%zu times)", cbc);
  return CHECK_DONE();
}
