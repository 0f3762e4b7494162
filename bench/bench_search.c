/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_search.c -- the nearest recipe beside two general solvers.
**
** The same stocks and targets, the same number of materials allowed.  Ours
** minimises the sum of squares over the oxides and proves it; GLPK (in this
** process) and CBC (by its program, its own clock) get the nearest thing a
** linear solver can take: the sum of absolute differences, a 0/1 variable for
** each material.  How much of a material there can be at most they are told as
** well as it is known beforehand: no oxide more over the target than all of
** the target.  The answers must fit each other: |r|_2 <= |r|_1, so no sum of
** theirs can be under our distance, nor over the sum of our recipe.
**
**   bench_search           the table
**   bench_search N K       one search of each target, for callgrind
**   bench_search N K glpk  the same by GLPK
**   bench_search N K none  only the stocks and targets
*/
#include <stdlib.h>

#include "search_milp.h"
#include "search_stock.h"

enum { TARGETS = 7, TIMES = 15, LIMIT_S = 10, ROOM = 4 << 20 };

static void *more(lh_arena *a, size_t n)
{
  (void)a;
  (void)n;
  return NULL;
}

static double ours(const lh_search_problem *p, int times, lh_search_choice *c,
                   lh_search_proof *f)
{
  static unsigned char *room;
  double best = INFINITY;

  if (!room && !(room = calloc(1, ROOM))) exit(3);
  for (int i = 0; i < times; i++) {
    lh_arena a = {.more = more, .at = room, .left = ROOM};
    double from = milp_now();
    if (lh_search_nearest(p, c, f, &a, NULL) != LH_OK) exit(3);
    best = fmin(best, milp_now() - from);
  }
  return best;
}

/* The sum of absolute differences of a recipe of ours; of none: what can be
** said of the best before one has looked.
*/
static double sum_of(const lh_search_problem *p, const lh_search_choice *c)
{
  double sum = 0.0;

  for (size_t i = 0; i < p->rows; i++)
    sum += fabs((c ? c->made[i] : 0.0) - p->target[i]);
  return sum;
}

static int ascending(const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

/* Median (least to greatest), in the unit given. */
static void cell(double *v, int n, double unit, const char *digits)
{
  char format[64];

  qsort(v, (size_t)n, sizeof *v, ascending);
  snprintf(format, sizeof format, " %%%sf (%%%sf to %%%sf) |", digits, digits,
           digits);
  printf(format, unit * v[n / 2], unit * v[0], unit * v[n - 1]);
}

static int row(size_t n, size_t k, uint64_t first)
{
  static search_stock s;
  static lh_search_choice c[LH_SEARCH_CHOICES], best[1];
  double one[TARGETS], list[TARGETS], glpk[TARGETS], cbc[TARGETS];
  double to_glpk[TARGETS], to_cbc[TARGETS];
  double all_one = 0.0, all_list = 0.0;
  int stopped = 0, wrong = 0, no_cbc = 0;

  for (int i = 0; i < TARGETS; i++) {
    lh_search_proof f;
    double sum;
    stock_make(&s, n, first + (uint64_t)i, false);
    lh_search_problem p = stock_problem(&s, k, 20);
    list[i] = ours(&p, TIMES, c, &f);
    p.choices = 1;
    one[i] = ours(&p, TIMES, best, &f);
    all_one += one[i];
    all_list += list[i];
    double reach = sum_of(&p, NULL), most = sum_of(&p, best);
    double low = best->distance;
    glpk[i] = milp_glpk(&p, reach, LIMIT_S, &sum, NULL);
    stopped += !(sum < INFINITY);
    wrong += sum < low - 1e-6 || (sum < INFINITY && sum > most + 1e-6);
    cbc[i] = milp_cbc(&p, reach, LIMIT_S, &sum);
    no_cbc += cbc[i] < 0.0;
    stopped += !(sum < INFINITY) && cbc[i] >= 0.0;
    wrong += sum < low - 1e-6 || (sum < INFINITY && sum > most + 1e-6);
    to_glpk[i] = glpk[i] / one[i];
    to_cbc[i] = cbc[i] / one[i];
  }
  printf("| %zu, %zu |", n, k);
  cell(one, TARGETS, 1e3, ".2");
  cell(list, TARGETS, 1e3, ".2");
  printf(" %.2f |", all_list / all_one);
  cell(glpk, TARGETS, 1e3, ".0");
  cell(to_glpk, TARGETS, 1.0, ".0");
  if (no_cbc) {
    printf(" not here | |");
  } else {
    cell(cbc, TARGETS, 1e3, ".0");
    cell(to_cbc, TARGETS, 1.0, ".0");
  }
  printf(" %d |\n", stopped);
  fflush(stdout);
  if (wrong) printf("%d sums do not fit our distances\n", wrong);
  return wrong;
}

static int once(size_t n, size_t k, const char *by)
{
  static search_stock s;
  static lh_search_choice c[LH_SEARCH_CHOICES];
  lh_search_proof f;
  double sum = 0.0;

  for (int i = 0; i < TARGETS; i++) {
    stock_make(&s, n, 1 + (uint64_t)i, false);
    lh_search_problem p = stock_problem(&s, k, 1);
    if (strcmp(by, "glpk") == 0)
      milp_glpk(&p, sum_of(&p, NULL), 60 * LIMIT_S, &sum, NULL);
    else if (strcmp(by, "none") != 0)
      ours(&p, 1, c, &f);
  }
  return 0;
}

int main(int argc, char **argv)
{
  if (argc > 2)
    return once((size_t)atoi(argv[1]), (size_t)atoi(argv[2]),
                argc > 3 ? argv[3] : "ours");
  printf(
      "Processor time, median (least to greatest) over %d targets, one thread, "
      "GLPK %s.\n\n",
      TARGETS, glp_version());
  printf(
      "| n, k | the best, ms | the 20 best, ms | all 20 to all 1 | GLPK, ms | "
      "GLPK to ours | CBC, ms | CBC to ours | stopped at %d s |\n",
      LIMIT_S);
  printf("|---|---|---|---|---|---|---|---|---|\n");
  return row(20, 5, 1) + row(40, 6, 1) + row(60, 6, 1) + row(60, 8, 1) ? 1 : 0;
}
