/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Problems of the search and its answers, as JSON lines for search_scipy.py. */
#include <stdio.h>

#include "search_room.h"
#include "search_stock.h"

enum { TARGETS = 60 };

static void list(const char *name, const double *v, size_t n)
{
  printf("\"%s\":[", name);
  for (size_t i = 0; i < n; i++) printf("%s%.17g", i ? "," : "", v[i]);
  printf("],");
}

int main(void)
{
  static search_stock s;
  static lh_search_choice c[LH_SEARCH_CHOICES];

  for (uint64_t seed = 1; seed <= TARGETS; seed++) {
    bool slip = seed % 2;
    double weight[STOCK_ROWS], sum = 0.0;
    lh_search_proof f;
    lh_arena a = search_room();
    stock_make(&s, 20 + seed, 900 + seed, seed % 3 == 0);
    for (size_t i = 0; i < STOCK_ROWS; i++) {
      weight[i] = i == 9 ? 2.0 : 1.0;
      sum += s.target[i];
    }
    for (size_t i = 0; slip && i < STOCK_ROWS; i++) s.target[i] *= 100.0 / sum;
    lh_search_problem p = stock_problem(&s, 5, 10);
    p.weight = weight;
    p.measure = slip ? LH_SEARCH_SLIP : LH_SEARCH_GLAZE;
    if (lh_search_nearest(&p, c, &f, &a, NULL) != LH_OK) return 1;
    printf("{\"slip\":%s,\"floor\":%.17g,", slip ? "true" : "false", f.floor);
    list("mol", s.mol, s.n * STOCK_ROWS);
    list("target", s.target, STOCK_ROWS);
    list("weight", weight, STOCK_ROWS);
    printf("\"choices\":[");
    for (size_t i = 0; i < f.found; i++) {
      printf("%s{", i ? "," : "");
      list("grams", c[i].grams, c[i].count);
      list("made", c[i].made, STOCK_ROWS);
      printf("\"distance\":%.17g,\"material\":[", c[i].distance);
      for (size_t k = 0; k < c[i].count; k++)
        printf("%s%zu", k ? "," : "", c[i].material[k]);
      printf("]}");
    }
    printf("]}\n");
  }
  return 0;
}
