/* SPDX-License-Identifier: GPL-3.0-or-later */
/* linear_say.c -- seeded problems and what solve/linear.h says to them, in
** numbers, for linear.py to work out by itself. */
#include <stdio.h>
#include <stdlib.h>

#include "linear_case.h"

static void say(const char *name, const double *v, size_t n)
{
  printf("%s", name);
  for (size_t i = 0; i < n; i++) printf(" %.17g", v[i]);
  putchar('\n');
}

static void say_limits(const lh_search_problem *p)
{
  for (size_t k = 0; k < p->limits; k++) {
    const lh_search_limit *l = &p->limit[k];
    printf("limit %d %.17g %.17g %zu", (int)l->kind, l->value, l->batch,
           l->other);
    for (size_t j = 0; j < p->materials; j++)
      printf(" %d", l->of ? l->of[j] : l->material == j);
    putchar('\n');
  }
}

static void answer(linear_case *c, const char *how, double tolerance,
                   size_t most, bool nearest)
{
  double grams[CASE_N] = {0.0};
  lh_linear_found f;
  lh_arena a = case_room();
  lh_status st;

  c->ask.tolerance = tolerance;
  c->ask.most = most;
  st = nearest ? lh_linear_nearest(&c->ask, grams, &f, &a, NULL)
               : lh_linear_cheapest(&c->ask, grams, &f, &a, NULL);
  printf("%s %d %d %zu %.17g %.17g %.17g %.17g %.17g %.17g\n", how,
         (int)c->ask.norm, (int)st, most, tolerance, f.price, f.shadow, f.least,
         f.off[c->ask.norm], f.off[LH_LINEAR_DISTANCE]);
  say("grams", grams, CASE_N);
}

int main(int argc, char **argv)
{
  static linear_case c;
  setvbuf(stdout, NULL, _IOLBF, 0);
  size_t cases = argc > 1 ? (size_t)atoi(argv[1]) : 12;

  for (size_t k = 0; k < cases; k++) {
    case_make(&c, k);
    printf("case %zu %d %d\n", k, c.problem.measure == LH_SEARCH_SLIP,
           c.ask.per != NULL);
    say("mol", c.mol, CASE_N * CASE_ROWS);
    say("fired", c.fired, CASE_N);
    say("target", c.target, CASE_ROWS);
    say("weight", c.weight, CASE_ROWS);
    say("price", c.price, CASE_N);
    say("per", c.per, CASE_N);
    say_limits(&c.problem);
    for (int norm = 0; norm < LH_LINEAR_NORMS; norm++) {
      double grams[CASE_N];
      lh_linear_found f;
      lh_arena a = case_room();
      c.ask.norm = (lh_linear_norm)norm;
      c.ask.most = 0;
      if (lh_linear_nearest(&c.ask, grams, &f, &a, NULL) != LH_OK) return 1;
      answer(&c, "nearest", 0.0, 0, true);
      answer(&c, "cheapest", 1.05 * f.least + 0.01, 0, false);
      answer(&c, "cheapest", 1.5 * f.least + 0.1, 0, false);
      answer(&c, "cheapest", 0.5 * f.least, 0, false);
      answer(&c, "nearest", 0.0, 3, true);
      answer(&c, "cheapest", 2.0 * f.least + 0.6, 4, false);
    }
  }
  return 0;
}
