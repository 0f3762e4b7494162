/* SPDX-License-Identifier: GPL-3.0-or-later */
/* move_search.c -- recipes from stock that have a wanted level. */
#include <math.h>
#include <string.h>

#include "move.h"

enum { STEPS = 12, SPARE = 8, KEPT = LH_MOVE_ROUNDS * LH_SEARCH_CHOICES };

/* Room that is used again for each small search, more from the caller's arena
** when it is not enough. */
typedef struct {
  lh_arena arena; /* first: what the search is handed */
  lh_arena *from;
} again;

typedef struct {
  const lh_move_problem *p;
  lh_search_problem search; /* the caller's, with the level's limit last */
  lh_search_limit *limit;
  double *row;        /* of that limit             */
  lh_search_use *use; /* of a support's own search */
  lh_search_choice *found;
  lh_move_choice *kept;
  size_t n_kept;
  void *room;
  size_t room_size;
  lh_arena *a;
  const lh_watch *w;
  lh_move_proof *proof;
} moving;

static void *more(lh_arena *a, size_t n)
{
  return lh_arena_take(((again *)a)->from, n, 1);
}

static again room_again(const moving *m)
{
  return (again){.arena = {.more = more, .at = m->room, .left = m->room_size},
                 .from = m->a};
}

/* Moles of all fired oxides of a recipe. */
static void moles_of(const moving *m, const lh_search_choice *c,
                     double mol[LH_OXIDES])
{
  memset(mol, 0, LH_OXIDES * sizeof *mol);
  for (size_t k = 0; k < c->count; k++)
    for (size_t i = 0; i < LH_OXIDES; i++)
      mol[i] += c->grams[k] * m->p->m[c->material[k]]->mol[i];
}

/* The limit straightened at a composition u: with x at the same scale,
** level(x) = level(u) + g (x - u), and g u = 0 as only proportions count; so
** g x + (level(u) - wanted) (sum of x)/(sum of u) = 0, whatever the scale.
*/
static lh_status straighten(moving *m, const double *u, double off)
{
  double g[LH_OXIDES], sum = 0.0;
  lh_status st = lh_move_gradient(u, m->p->model, m->p->t_c, g);

  if (st != LH_OK) return st;
  for (size_t i = 0; i < LH_OXIDES; i++) sum += u[i];
  for (size_t j = 0; j < m->search.materials; j++) {
    m->row[j] = 0.0;
    for (size_t i = 0; i < LH_OXIDES; i++)
      m->row[j] += (g[i] + off / sum) * m->p->m[j]->mol[i];
  }
  return LH_OK;
}

/* Bring a recipe's support onto the level: straighten at where it stands,
** search in it alone, until it stays. */
static lh_status settle(moving *m, lh_search_choice *c, lh_move_level *at)
{
  lh_search_problem alone = m->search;
  double mol[LH_OXIDES];

  for (size_t step = 0;; step++) {
    lh_search_proof proof;
    again room = room_again(m);
    lh_status st;
    moles_of(m, c, mol);
    st = lh_move_level_of(mol, m->p->model, m->p->t_c, at);
    if (st != LH_OK || step == STEPS) return st == LH_OK ? LH_NOCONV : st;
    if (fabs(at->level - m->p->level) < 1e-9 && step > 0) return LH_OK;
    st = straighten(m, mol, at->level - m->p->level);
    if (st != LH_OK) return st;
    for (size_t j = 0; j < alone.materials; j++) m->use[j] = LH_SEARCH_NEVER;
    for (size_t k = 0; k < c->count; k++)
      m->use[c->material[k]] =
          m->search.use ? m->search.use[c->material[k]] : LH_SEARCH_MAY;
    alone.use = m->use;
    alone.choices = 1;
    st = lh_search_nearest(&alone, c, &proof, &room.arena, NULL);
    m->proof->visited += proof.visited;
    if (st != LH_OK) return st;
  }
}

static bool same_support(const lh_search_choice *a, const lh_search_choice *b)
{
  return a->count == b->count &&
         memcmp(a->material, b->material, a->count * sizeof *a->material) == 0;
}

/* Keep a recipe in its place, unless its support is there already. */
static void keep(moving *m, const lh_search_choice *c, const lh_move_level *at)
{
  size_t i = m->n_kept;

  for (size_t k = 0; k < m->n_kept; k++)
    if (same_support(&m->kept[k].choice, c)) return;
  if (m->n_kept == KEPT) return;
  for (; i > 0 && m->kept[i - 1].choice.distance > c->distance; i--)
    m->kept[i] = m->kept[i - 1];
  m->kept[i] = (lh_move_choice){*c, *at};
  m->n_kept++;
}

static void leave_out(moving *m, const lh_move_level *at)
{
  if (m->proof->outside++ == 0) m->proof->limit = at->limit;
}

/* One search with the limit as it is straightened now. */
static lh_status one_round(moving *m)
{
  lh_status st =
      lh_search_nearest(&m->search, m->found, &m->proof->last, m->a, m->w);
  size_t found = m->proof->last.found;

  m->proof->rounds++;
  m->proof->visited += m->proof->last.visited;
  m->proof->proven = m->proof->proven && m->proof->last.proven;
  if (st != LH_OK && st != LH_CANCELLED) return st;
  for (size_t i = 0; i < found; i++) {
    lh_search_choice c = m->found[i];
    lh_move_level at;
    lh_status settled = settle(m, &c, &at);
    if (settled == LH_NOMEM) return settled;
    if (settled != LH_OK) continue; /* no recipe of these materials has it */
    if (at.valid)
      keep(m, &c, &at);
    else
      leave_out(m, &at);
  }
  return st;
}

static lh_status rounds(moving *m)
{
  double u[LH_OXIDES];
  lh_search_choice best;
  lh_move_level at;
  lh_status st;

  memcpy(u, m->p->start, sizeof u);
  for (size_t round = 0; round < LH_MOVE_ROUNDS; round++) {
    bool had = m->n_kept > 0;
    if (had) best = m->kept[0].choice;
    st = lh_move_level_of(u, m->p->model, m->p->t_c, &at);
    if (st == LH_OK) st = straighten(m, u, at.level - m->p->level);
    if (st == LH_OK) st = one_round(m);
    if (st != LH_OK) return had && st == LH_NOTFOUND ? LH_OK : st;
    if (m->n_kept == 0) return LH_NOTFOUND;
    m->proof->settled = had && same_support(&best, &m->kept[0].choice);
    if (m->proof->settled) return LH_OK;
    moles_of(m, &m->kept[0].choice, u);
  }
  return LH_OK;
}

static bool take_room(moving *m)
{
  const lh_search_problem *s = m->p->search;
  size_t n = s->materials, wide = n + s->limits + LH_SEARCH_LINES;

  m->room_size = 40 * wide * wide + 256 * 1024;
  m->limit = lh_arena_take(m->a, s->limits + 1, sizeof *m->limit);
  m->row = lh_arena_take(m->a, n, sizeof *m->row);
  m->use = lh_arena_take(m->a, n, sizeof *m->use);
  m->found = lh_arena_take(m->a, LH_SEARCH_CHOICES, sizeof *m->found);
  m->kept = lh_arena_take(m->a, KEPT, sizeof *m->kept);
  m->room = lh_arena_take(m->a, m->room_size, 1);
  return m->limit && m->row && m->use && m->found && m->kept && m->room;
}

lh_status lh_move_nearest(const lh_move_problem *p, lh_move_choice *choice,
                          lh_move_proof *proof, lh_arena *a, const lh_watch *w)
{
  const lh_search_problem *s = p->search;
  moving m = {.p = p, .search = *s, .a = a, .w = w, .proof = proof};
  lh_status st;

  *proof = (lh_move_proof){.proven = true,
                           .limit = {LH_MELT_FINE, LH_OXIDES, 0.0, 0.0}};
  if (s->measure != LH_SEARCH_GLAZE || !isfinite(p->level)) return LH_INPUT;
  if (s->limits >= LH_SEARCH_LIMITS || s->materials > LH_SEARCH_MATERIALS ||
      s->choices > LH_SEARCH_CHOICES)
    return LH_TOOLARGE;
  if (!take_room(&m)) return LH_NOMEM;
  if (s->limits) memcpy(m.limit, s->limit, s->limits * sizeof *m.limit);
  m.limit[s->limits] = (lh_search_limit){.kind = LH_SEARCH_EVEN, .row = m.row};
  m.search.limit = m.limit;
  m.search.limits = s->limits + 1;
  m.search.choices = s->choices + SPARE < LH_SEARCH_CHOICES ? s->choices + SPARE
                                                            : LH_SEARCH_CHOICES;
  st = rounds(&m);
  proof->found = m.n_kept < s->choices ? m.n_kept : s->choices;
  memcpy(choice, m.kept, proof->found * sizeof *choice);
  return st;
}
