/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "linear_glpk.h"

/* More branches than this are too many: a judgement, minutes of work. */
enum { BRANCHES = 200000 };

/* A material that has been decided for is at least this share of the batch.
** With less it belongs to the branch that does without.                 [%] */
#define SOME (10.0 * LH_SEARCH_TRACE_PERCENT)

typedef enum { OPEN, IN, OUT } word;

typedef struct {
  lh_linear_programme *u;
  word *said;   /* said[n]                                 */
  size_t in;    /* how many are IN                         */
  double best;  /* the least price so far                  */
  bool *chosen; /* chosen[n]: by whom                      */
  bool any;
  lh_search_problem near; /* the search's problem, for a branch */
  lh_search_use *use;     /* use[materials]                     */
  unsigned char *room;
  size_t size;
} chooser;

static void *no_more(lh_arena *a, size_t n)
{
  (void)a;
  (void)n;
  return NULL;
}

static bool may(const chooser *c, size_t j)
{
  return c->said[j] == IN || (c->said[j] == OPEN && c->in < c->u->most);
}

/* Can a branch hold a recipe near enough with so few materials?  The search
** proves it in less time than one programme takes; what it does not prove is
** taken for a yes. */
static bool in_reach(chooser *c)
{
  const lh_linear_ready *r = c->u->r;
  lh_arena a = {.more = no_more, .at = c->room, .left = c->size};
  lh_search_choice choice;
  lh_search_proof proof;
  lh_status st;

  for (size_t j = 0; j < r->n; j++)
    c->use[r->place[j]] = !may(c, j)           ? LH_SEARCH_NEVER
                          : c->said[j] == OPEN ? LH_SEARCH_MAY
                                               : LH_SEARCH_MUST;
  st = lh_search_nearest(&c->near, &choice, &proof, &a, NULL);
  if (st == LH_NOTFOUND) return false;
  if (st != LH_OK || !proof.proven) return true;
  return choice.distance <= r->ask->tolerance + 1e-8 * r->length;
}

static lh_status price(chooser *c, double *value)
{
  lh_linear_programme *u = c->u;
  lh_status st;

  for (size_t j = 0; j < u->r->n; j++)
    glp_set_col_bnds(u->lp, (int)j + 1, may(c, j) ? GLP_LO : GLP_FX, 0.0, 0.0);
  st = lh_linear_relax(u);
  if (st == LH_OK) *value = glp_get_obj_val(u->lp);
  return st;
}

static double grams_of(const chooser *c, size_t j)
{
  return glp_get_col_prim(c->u->lp, (int)j + 1) * c->u->r->scale[j];
}

/* Amounts up to this are none                                        [g] */
static double trace_of(const chooser *c)
{
  double heaviest = 0.0;

  for (size_t j = 0; j < c->u->r->n; j++)
    heaviest = fmax(heaviest, grams_of(c, j));
  return heaviest * LH_SEARCH_TRACE_PERCENT / 100.0;
}

/* The answer of a branch: does it have few enough?  If not, which material is
** next to be decided: the heaviest that is open. */
static bool few(chooser *c, size_t *next)
{
  double most = 0.0, trace = trace_of(c);
  size_t count = c->in;

  for (size_t j = 0; j < c->u->r->n; j++) {
    double g = grams_of(c, j);
    if (c->said[j] != OPEN || !(g > trace)) continue;
    count++;
    if (g > most) {
      most = g;
      *next = j;
    }
  }
  return count <= c->u->most;
}

static void take(chooser *c, double value)
{
  double trace = trace_of(c);

  c->best = value;
  c->any = true;
  for (size_t j = 0; j < c->u->r->n; j++)
    c->chosen[j] = c->said[j] == IN || grams_of(c, j) > trace;
}

static lh_status branch(chooser *c)
{
  double value = 0.0;
  size_t next = 0;
  lh_status st;

  if (++c->u->f->nodes > BRANCHES) return LH_NOCONV;
  if (!lh_watch_go(c->u->r->watch, 0.0)) return LH_CANCELLED;
  if (c->in > c->u->most || !in_reach(c)) return LH_OK;
  st = price(c, &value);
  if (st == LH_NOTFOUND) return LH_OK;
  if (st != LH_OK) return st;
  if (c->any && !(value < c->best * (1.0 - 1e-9))) return LH_OK;
  if (few(c, &next)) {
    take(c, value);
    return LH_OK;
  }
  c->said[next] = IN;
  c->in++;
  st = branch(c);
  c->in--;
  if (st == LH_OK) {
    c->said[next] = OUT;
    st = branch(c);
  }
  c->said[next] = OPEN;
  return st;
}

/* The nearest of so many materials is the search's own business. */
static lh_status nearest(chooser *c)
{
  lh_arena a = {.more = no_more, .at = c->room, .left = c->size};
  const lh_linear_ready *r = c->u->r;
  lh_search_choice choice;
  lh_search_proof proof;
  lh_status st;

  c->near.use = r->ask->problem->use;
  c->near.must_percent = r->ask->problem->must_percent;
  st = lh_search_nearest(&c->near, &choice, &proof, &a, r->watch);
  if (st != LH_OK) return st;
  for (size_t j = 0; j < r->n; j++) {
    c->u->y->x[j] = 0.0;
    for (size_t k = 0; k < choice.count; k++)
      if (choice.material[k] == r->place[j]) c->u->y->x[j] = 1.0;
  }
  return LH_OK;
}

lh_status lh_linear_choose(lh_linear_programme *u)
{
  const lh_search_problem *p = u->r->ask->problem;
  size_t n = u->r->n, wide = p->materials + p->limits + LH_SEARCH_LINES;
  chooser c = {.u = u, .near = *p, .size = (256u << 10) + 64 * wide * wide};
  lh_status st;

  c.said = lh_arena_take(u->a, n, sizeof *c.said);
  c.chosen = lh_arena_take(u->a, n, sizeof *c.chosen);
  c.use = lh_arena_take(u->a, p->materials, sizeof *c.use);
  c.room = lh_arena_take(u->a, c.size, 1);
  if (!c.said || !c.chosen || !c.use || !c.room) return LH_NOMEM;
  for (size_t j = 0; j < p->materials; j++) c.use[j] = LH_SEARCH_NEVER;
  for (size_t j = 0; p->use && j < n; j++)
    if (p->use[u->r->place[j]] == LH_SEARCH_MUST) c.said[j] = IN, c.in++;
  c.near.use = c.use;
  c.near.most = u->most;
  c.near.choices = 1;
  c.near.visits = 0;
  c.near.must_percent = SOME;
  if (u->nearest) return nearest(&c);
  st = branch(&c);
  if (st != LH_OK) return st;
  for (size_t j = 0; j < n; j++) u->y->x[j] = c.chosen[j] ? 1.0 : 0.0;
  return c.any ? LH_OK : LH_NOTFOUND;
}
