/* SPDX-License-Identifier: GPL-3.0-or-later */
/* search_milp.h -- the recipe search as general solvers can take it.
**
** The sum of absolute differences instead of the distance, and a variable
** that is 0 or 1 for each material: a mixed-integer linear programme, solved by
** GLPK in this process or by CBC's own program.
*/
#ifndef LH_SEARCH_MILP_H
#define LH_SEARCH_MILP_H

#include <glpk.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "search.h"

/* Seconds of the processor, which other work on the machine does not lengthen
** much. */
static inline double milp_now(void)
{
  struct timespec t;

  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Minimise sum e, -e <= A x - t <= e, x <= most z, sum z <= k, z 0 or 1;
** x in units of 100 g.
*/
static inline glp_prob *milp_model(const lh_search_problem *p, double reach)
{
  int m = (int)p->rows, n = (int)p->materials, at[256];
  double v[256];
  glp_prob *g = glp_create_prob();

  glp_set_obj_dir(g, GLP_MIN);
  glp_add_cols(g, 2 * n + m); /* x, z, e */
  glp_add_rows(g, 2 * m + n + 1);
  for (int j = 1; j <= n; j++) {
    glp_set_col_bnds(g, j, GLP_LO, 0.0, 0.0);
    glp_set_col_kind(g, n + j, GLP_BV);
  }
  for (int i = 1; i <= m; i++) {
    double t = p->target[i - 1];
    glp_set_col_bnds(g, 2 * n + i, GLP_LO, 0.0, 0.0);
    glp_set_obj_coef(g, 2 * n + i, 1.0);
    for (int side = 0; side < 2; side++) {
      int len = 0, row = side * m + i;
      for (int j = 1; j <= n; j++) {
        double a = 100.0 * p->mol[(j - 1) * m + i - 1];
        if (a == 0.0) continue;
        at[++len] = j;
        v[len] = a;
      }
      at[++len] = 2 * n + i;
      v[len] = side ? -1.0 : 1.0;
      glp_set_row_bnds(g, row, side ? GLP_UP : GLP_LO, t, t);
      glp_set_mat_row(g, row, len, at, v);
    }
  }
  for (int j = 1; j <= n; j++) {
    double most = INFINITY;
    for (int i = 0; i < m; i++) {
      double a = 100.0 * p->mol[(j - 1) * m + i];
      if (a > 0.0) most = fmin(most, (p->target[i] + reach) / a);
    }
    int pair[] = {0, j, n + j};
    double w[] = {0.0, 1.0, -most};
    glp_set_row_bnds(g, 2 * m + j, GLP_UP, 0.0, 0.0);
    glp_set_mat_row(g, 2 * m + j, 2, pair, w);
    at[j] = n + j;
    v[j] = 1.0;
  }
  glp_set_row_bnds(g, 2 * m + n + 1, GLP_UP, 0.0, (double)p->most);
  glp_set_mat_row(g, 2 * m + n + 1, n, at, v);
  return g;
}

/* Seconds; *sum INFINITY when the limit stopped it; grams may be NULL. */
static inline double milp_glpk(const lh_search_problem *p, double reach,
                               int limit_s, double *sum, double *grams)
{
  glp_iocp how;
  glp_prob *g = milp_model(p, reach);

  glp_term_out(GLP_OFF);
  glp_init_iocp(&how);
  how.presolve = GLP_ON;
  how.tm_lim = 1000 * limit_s;
  double from = milp_now();
  int rc = glp_intopt(g, &how);
  double took = milp_now() - from;
  *sum =
      rc == 0 && glp_mip_status(g) == GLP_OPT ? glp_mip_obj_val(g) : INFINITY;
  for (size_t j = 0; grams && j < p->materials; j++)
    grams[j] = 100.0 * glp_mip_col_val(g, (int)j + 1);
  glp_delete_prob(g);
  return took;
}

/* Seconds by its own clock, without reading the file; < 0: it is not here. */
static inline double milp_cbc(const lh_search_problem *p, double reach,
                              int limit_s, double *sum)
{
  char file[] = "/tmp/search_milp_XXXXXX", line[512], command[256];
  glp_prob *g = milp_model(p, reach);
  double took = -1.0;
  bool optimal = false;
  int fd = mkstemp(file);

  *sum = INFINITY;
  if (fd < 0) return took;
  close(fd);
  glp_term_out(GLP_OFF);
  glp_write_mps(g, GLP_MPS_FILE, NULL, file);
  glp_delete_prob(g);
  snprintf(command, sizeof command,
           "cbc %s -ratioGap 0 -allowableGap 0 -sec %d -timeMode elapsed "
           "-solve -quit 2>&1",
           file, limit_s);
  FILE *f = popen(command, "r");
  while (f && fgets(line, sizeof line, f)) {
    double v;
    if (strstr(line, "Result - Optimal solution found")) optimal = true;
    if (sscanf(line, "Objective value: %lf", &v) == 1 && optimal) *sum = v;
    if (sscanf(line, "Total time (CPU seconds): %lf", &v) == 1) took = v;
  }
  if (f) pclose(f);
  unlink(file);
  return took;
}

#endif
