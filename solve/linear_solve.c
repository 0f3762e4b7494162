/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <glpk.h>
#include <math.h>
#include <setjmp.h>

#include "linear_glpk.h"

/* A plane is added while the answer breaks the round limit by more than this
** share of the target's length. */
#define ROUND 1e-9
/* While materials are being chosen, by more than this. */
#define ROUND_CHOOSING 1e-6
/* More planes than this and those that hold nothing are dropped. */
enum { PLANES = 60 };
/* GLPK's own tolerances: a judgement, a hundredth of what a limit may be off
** by, and a hundred thousand times the noise of a double. */
#define TIGHT 1e-11

static void put(lh_linear_programme *u, int column, double v)
{
  if (v == 0.0) return;
  u->len++;
  u->ind[u->len] = column;
  u->val[u->len] = v;
}

/* Close the row: sum is = 0, <= 0 or >= 0, or = held. */
static int row(lh_linear_programme *u, glp_prob *lp, int kind, double held)
{
  int i = glp_add_rows(lp, 1);

  glp_set_row_bnds(lp, i, kind, held, held);
  glp_set_mat_row(lp, i, u->len, u->ind, u->val);
  u->len = 0;
  return i;
}

static int column(glp_prob *lp, int count)
{
  return glp_add_cols(lp, count);
}

static void put_made(lh_linear_programme *u, size_t i)
{
  const lh_linear_ready *r = u->r;

  for (size_t j = 0; j < r->n; j++) put(u, (int)j + 1, r->col[j * r->rows + i]);
  put(u, u->t, -r->b[i]);
}

/* Rows that say how far the recipe is from the target. */
static void lay_distance(lh_linear_programme *u)
{
  bool sum = u->r->ask->norm == LH_LINEAR_SUM;
  int rows = (int)u->r->rows;

  for (int i = 0; i < rows; i++) {
    put_made(u, (size_t)i);
    if (sum) {
      put(u, u->p + i, -1.0);
      put(u, u->p + rows + i, 1.0);
      row(u, u->lp, GLP_FX, 0.0);
      continue;
    }
    put(u, u->s, -1.0);
    row(u, u->lp, GLP_UP, 0.0);
    put_made(u, (size_t)i);
    put(u, u->s, 1.0);
    row(u, u->lp, GLP_LO, 0.0);
  }
  if (!sum) return;
  for (int i = 0; i < 2 * rows; i++) put(u, u->p + i, 1.0);
  put(u, u->s, -1.0);
  row(u, u->lp, GLP_UP, 0.0);
}

static void lay_limits(lh_linear_programme *u)
{
  const lh_linear_ready *r = u->r;

  for (size_t k = 0; k < r->limits; k++) {
    for (size_t j = 0; j < r->n; j++) put(u, (int)j + 1, r->lim[k * r->n + j]);
    row(u, u->lp, r->equal[k] ? GLP_FX : GLP_LO, 0.0);
  }
  if (r->ask->problem->measure == LH_SEARCH_SLIP) {
    for (size_t j = 0; j < r->n; j++) put(u, (int)j + 1, r->fired[j]);
    put(u, u->t, -100.0);
    row(u, u->lp, GLP_FX, 0.0);
  }
}

/* No useful answer has more of a material than this. */
static double ceiling_of(const lh_linear_programme *u, size_t j)
{
  const lh_linear_ready *r = u->r;
  double far = u->nearest ? r->length : r->ask->tolerance, most = INFINITY;

  if (!u->nearest && r->per) return r->held / r->per[j];
  if (r->ask->problem->measure == LH_SEARCH_SLIP) return 100.0 / r->fired[j];
  /* No row may be farther over than the whole may; nothing at all is as far
  ** off as the target is long, by SUM as the sum of its rows. */
  if (u->nearest && r->ask->norm == LH_LINEAR_SUM) {
    far = 0.0;
    for (size_t i = 0; i < r->rows; i++) far += r->b[i];
  }
  for (size_t i = 0; i < r->rows; i++) {
    double c = r->col[j * r->rows + i];
    if (c > 0.0) most = fmin(most, (r->b[i] + far) / c);
  }
  return most;
}

static void lay_most(lh_linear_programme *u)
{
  size_t n = u->r->n;

  u->z = column(u->lp, (int)n);
  for (size_t j = 0; j < n; j++) {
    glp_set_col_kind(u->lp, u->z + (int)j, GLP_BV);
    put(u, (int)j + 1, 1.0);
    put(u, u->z + (int)j, -ceiling_of(u, j));
    row(u, u->lp, GLP_UP, 0.0);
  }
  for (size_t j = 0; j < n; j++) put(u, u->z + (int)j, 1.0);
  row(u, u->lp, GLP_UP, (double)u->most);
}

static void lay(lh_linear_programme *u)
{
  const lh_linear_ready *r = u->r;
  int n = (int)r->n;

  u->lp = glp_create_prob();
  column(u->lp, n + 2);
  u->t = n + 1;
  u->s = n + 2;
  for (int j = 1; j <= n; j++)
    if (u->only && !u->only[j - 1])
      glp_set_col_bnds(u->lp, j, GLP_FX, 0.0, 0.0);
    else
      glp_set_col_bnds(u->lp, j, GLP_LO, 0.0, 0.0);
  glp_set_col_bnds(u->lp, u->s, GLP_LO, 0.0, 0.0);
  if (r->ask->norm == LH_LINEAR_SUM) {
    int rows = (int)r->rows;
    u->p = column(u->lp, 2 * rows);
    for (int i = 0; i < 2 * rows; i++)
      glp_set_col_bnds(u->lp, u->p + i, GLP_LO, 0.0, 0.0);
  }
  lay_distance(u);
  lay_limits(u);
  if (u->nearest || !r->per) {
    glp_set_col_bnds(u->lp, u->t, GLP_FX, 1.0, 1.0);
  } else {
    glp_set_col_bnds(u->lp, u->t, GLP_LO, 0.0, 0.0);
    for (int j = 0; j < n; j++) put(u, j + 1, r->per[j]);
    row(u, u->lp, GLP_FX, r->held);
  }
  if (u->nearest) {
    glp_set_obj_coef(u->lp, u->s, 1.0);
  } else {
    put(u, u->s, 1.0);
    put(u, u->t, -r->ask->tolerance);
    u->link = row(u, u->lp, GLP_UP, 0.0);
    for (int j = 0; j < n; j++) glp_set_obj_coef(u->lp, j + 1, r->price[j]);
  }
  if (u->most > 0 && r->ask->norm != LH_LINEAR_DISTANCE) lay_most(u);
}

/* Add the plane that touches the round limit where the answer breaks it.
** False when it does not, or by too little.
*/
static bool add_plane(lh_linear_programme *u)
{
  const lh_linear_ready *r = u->r;
  double off[LH_SEARCH_ROWS], t = glp_get_col_prim(u->lp, u->t), sum = 0.0, far;

  for (size_t i = 0; i < r->rows; i++) {
    off[i] = -r->b[i] * t;
    for (size_t j = 0; j < r->n; j++)
      off[i] += r->col[j * r->rows + i] * glp_get_col_prim(u->lp, (int)j + 1);
    sum += off[i] * off[i];
  }
  far = sqrt(sum);
  if (far - glp_get_col_prim(u->lp, u->s) <=
      (u->most ? ROUND_CHOOSING : ROUND) * r->length * t)
    return false;
  for (size_t j = 0; j < r->n; j++) {
    double v = 0.0;
    for (size_t i = 0; i < r->rows; i++)
      v += off[i] / far * r->col[j * r->rows + i];
    put(u, (int)j + 1, v);
  }
  sum = 0.0;
  for (size_t i = 0; i < r->rows; i++) sum += off[i] / far * r->b[i];
  put(u, u->t, -sum);
  put(u, u->s, -1.0);
  row(u, u->lp, GLP_UP, 0.0);
  u->f->cuts++;
  return true;
}

static void branch(glp_tree *tree, void *with)
{
  lh_linear_programme *u = with;
  int open, now, all;

  if (!lh_watch_go(u->r->watch, 0.0)) {
    u->stopped = true;
    glp_ios_terminate(tree);
    return;
  }
  glp_ios_tree_size(tree, &open, &now, &all);
  u->f->nodes = (size_t)all;
}

/* Drop the planes that the answer does not touch. */
static void thin_out(lh_linear_programme *u)
{
  int drop[LH_LINEAR_CUTS + PLANES + 2], n = 0, rows = glp_get_num_rows(u->lp);

  if (rows - u->rows <= PLANES) return;
  for (int i = u->rows + 1; i <= rows; i++)
    if (glp_get_row_stat(u->lp, i) == GLP_BS) drop[++n] = i;
  if (n > 0) glp_del_rows(u->lp, n, drop);
}

/* The relaxed programme, with as many planes as it takes. */
lh_status lh_linear_relax(lh_linear_programme *u)
{
  glp_smcp how;

  glp_init_smcp(&how);
  how.msg_lev = GLP_MSG_OFF;
  how.meth = GLP_DUALP;
  how.tol_bnd = how.tol_dj = TIGHT;
  for (size_t k = 0; k <= LH_LINEAR_CUTS; k++) {
    int rc, was;
    if (!lh_watch_go(u->r->watch, 0.0)) return LH_CANCELLED;
    u->f->programmes++;
    rc = glp_simplex(u->lp, &how);
    was = glp_get_status(u->lp);
    if (rc == 0 && (was == GLP_NOFEAS || was == GLP_UNDEF)) return LH_NOTFOUND;
    if (rc != 0 || was != GLP_OPT) {
      /* Tolerances this tight can keep it from settling: begin afresh. */
      glp_std_basis(u->lp);
      how.meth = GLP_PRIMAL;
      rc = glp_simplex(u->lp, &how);
      how.meth = GLP_DUALP;
      was = glp_get_status(u->lp);
      if (rc == 0 && was == GLP_NOFEAS) return LH_NOTFOUND;
      if (rc != 0 || was != GLP_OPT) return LH_NOCONV;
    }
    if (u->r->ask->norm != LH_LINEAR_DISTANCE || !add_plane(u)) {
      thin_out(u);
      return LH_OK;
    }
  }
  return LH_NOCONV;
}

static lh_status yes_or_no(lh_linear_programme *u)
{
  glp_iocp how;
  int rc, was;

  glp_init_iocp(&how);
  how.msg_lev = GLP_MSG_OFF;
  how.cb_func = branch;
  how.cb_info = u;
  how.tol_obj = 1e-9;
  rc = glp_intopt(u->lp, &how);
  if (u->stopped) return LH_CANCELLED;
  was = glp_mip_status(u->lp);
  if (rc != 0) return LH_NOCONV;
  if (was == GLP_NOFEAS || was == GLP_UNDEF) return LH_NOTFOUND;
  return was == GLP_OPT ? LH_OK : LH_NOCONV;
}

static lh_status work(lh_linear_programme *u)
{
  lh_linear_answer *y = u->y;
  lh_status st;

  lay(u);
  glp_adv_basis(u->lp, 0);
  u->rows = glp_get_num_rows(u->lp);
  if (u->most > 0 && u->r->ask->norm == LH_LINEAR_DISTANCE)
    return lh_linear_choose(u);
  if ((st = lh_linear_relax(u)) != LH_OK) return st;
  if (u->most > 0) {
    if ((st = yes_or_no(u)) != LH_OK) return st;
    /* Which materials is all that is taken from it. */
    for (size_t j = 0; j < u->r->n; j++)
      y->x[j] = glp_mip_col_val(u->lp, u->z + (int)j) > 0.5 ? 1.0 : 0.0;
    return LH_OK;
  }
  for (size_t j = 0; j < u->r->n; j++)
    y->x[j] = fmax(glp_get_col_prim(u->lp, (int)j + 1), 0.0);
  y->t = glp_get_col_prim(u->lp, u->t);
  y->s = glp_get_col_prim(u->lp, u->s);
  y->value = glp_get_obj_val(u->lp);
  y->link = u->nearest ? 0.0 : glp_get_row_dual(u->lp, u->link);
  return LH_OK;
}

static void caught(void *with)
{
  longjmp(*(jmp_buf *)with, 1);
}

static int silent(void *with, const char *text)
{
  (void)with;
  (void)text;
  return 1;
}

/* GLPK ends the program on an error unless its hook never returns; a jump is
** the way its manual names (ch. 6), after which all it holds must be freed.
** Its state is the thread's own.
*/
lh_status lh_linear_solve(const lh_linear_ready *r, bool nearest,
                          const bool *only, size_t most, lh_linear_answer *y,
                          lh_linear_found *f, lh_arena *a)
{
  lh_linear_programme u = {
      .r = r, .y = y, .f = f, .only = only, .nearest = nearest};
  jmp_buf out;
  lh_status st;

  u.most = most;
  u.a = a;
  if (setjmp(out) != 0) {
    glp_free_env();
    return LH_NOMEM;
  }
  glp_term_hook(silent, NULL);
  glp_term_out(GLP_OFF);
  glp_error_hook(caught, &out);
  st = work(&u);
  glp_free_env();
  return st;
}
