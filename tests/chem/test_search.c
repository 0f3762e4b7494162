/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The search for a glaze against every support there is. */
#include "check.h"
#include "search_oracle.h"
#include "search_room.h"
#include "search_same.h"
#include "search_stock.h"

/* Rounding in a distance: two least squares of columns that may be within
** 1e-5 of one another, in double precision.
*/
static const double near_enough = 1e-9;

static void exhaustive(void)
{
  static search_stock s;
  static oracle_list o;
  static lh_search_choice c[LH_SEARCH_CHOICES];
  size_t wrong = 0, unproven = 0, listed = 0;

  for (size_t i = 0; i < 500; i++) {
    size_t n = 8 + i % 13, k = 2 + i % 4, want = 1 + i * 7 % 50;
    lh_search_proof f;
    lh_arena a = search_room();
    stock_make(&s, n, 1000 + i, i % 3 == 0);
    lh_search_problem p = stock_problem(&s, k, want);
    lh_status st = lh_search_nearest(&p, c, &f, &a, NULL);
    oracle_glaze(&p, want, &o);
    if (st != LH_OK || !same_ranking(c, f.found, &o, near_enough)) {
      printf("# target %zu: n %zu, k %zu, %zu choices\n", i, n, k, want);
      wrong++;
    }
    unproven += !f.proven;
    listed += f.found;
  }
  CHECK(wrong == 0, "500 targets: the ranking is that of every support");
  CHECK(unproven == 0, "each is proven");
  CHECK(listed > 5000, "%zu recipes were compared", listed);
}

int main(void)
{
  exhaustive();
  return CHECK_DONE();
}
