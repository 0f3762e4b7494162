/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "search_parts.h"

/* A branch of no more supports than this is counted out: as many are tried in
** the time of a bound or two.  A judgement of speed, not of truth.
*/
#define COUNT_OUT 12000.0

/* Branch and bound over supports.  A branch is a set of materials that are
** in, and a set of those that may be; its bound is the least sum over both,
** however many.  It is split on the material that is dearest to leave out:
** first with it, then without; a small branch is counted out instead
** (search_pairs.c).  Every support is met once: when its last material is put
** in.
*/
static void stop_when_due(lh_search_walk *t)
{
  if (!t->visits || t->proof->visited + t->proof->nodes < t->visits) return;
  t->stop = true;
  t->proof->end = LH_SEARCH_VISITS;
}

/* Is it plain that an amount is below nothing, or the value out of reach?  By
** the products alone, which is quick; where columns are so near that rounding
** (1e-16 over the pivot) could tell, it is not plain.
*/
static bool plainly_falls(const lh_search_ready *r, const lh_search_entry *e,
                          double reach)
{
  double g[LH_SEARCH_LINES][LH_SEARCH_LINES], x[LH_SEARCH_LINES];
  double pivot = 1.0, value = 1.0;

  for (size_t i = 0; i < e->count; i++) {
    const double *row = &r->gram[e->at[i] * r->all];
    x[i] = r->h[e->at[i]];
    for (size_t j = i; j < e->count; j++) g[i][j] = row[e->at[j]];
    for (size_t k = 0; k < i; k++) {
      double c = g[k][i] / g[k][k];
      for (size_t j = i; j < e->count; j++) g[i][j] -= c * g[k][j];
      x[i] -= c * x[k];
    }
    pivot = g[i][i] < pivot ? g[i][i] : pivot;
    if (pivot < 1e-8) return false;
    value -= x[i] * x[i] / g[i][i];
  }
  if (value > reach + 1e-12 / pivot) return true;
  for (size_t i = e->count; i-- > 0;) {
    for (size_t j = i + 1; j < e->count; j++) x[i] -= g[i][j] * x[j];
    x[i] /= g[i][i];
    if (x[i] < -1e-12 / pivot) return true;
  }
  return false;
}

void lh_search_visit(lh_search_walk *t)
{
  lh_search_entry e = {.count = t->count};

  for (size_t i = 0; i < t->count; i++) {
    size_t j = i;
    for (; j > 0 && e.at[j - 1] > t->in[i]; j--) e.at[j] = e.at[j - 1];
    e.at[j] = t->in[i];
  }
  t->proof->visited++;
  stop_when_due(t);
  if (!t->r->limits && plainly_falls(t->r, &e, lh_search_rank_reach(t->k)))
    return;
  switch (lh_search_exact(t->r, e.at, e.count, e.y, &e.value)) {
  case LH_SUPPORT_STANDS:
    e.key = rint(e.value / LH_SEARCH_TIE);
    lh_search_rank(t->k, &e);
    break;
  case LH_SUPPORT_UNSETTLED: t->proof->end = LH_SEARCH_UNSETTLED; break;
  case LH_SUPPORT_FALLS: break;
  }
}

/* The material of those that may be that is dearest to leave out; n: none
** need be looked at.
*/
static size_t choose(const lh_search_walk *t, const uint16_t *may, size_t n,
                     const lh_search_sum *s)
{
  double cost[LH_SEARCH_WIDE], most = -1.0;
  size_t best = n;

  lh_search_dear(t->r, s, cost);
  for (size_t i = 0; i < s->count; i++) {
    if (s->at[i] >= t->r->n || cost[i] <= most) continue;
    for (size_t j = 0; j < n; j++)
      if (may[j] == s->at[i]) {
        best = j;
        most = cost[i];
      }
  }
  if (best < n || !n || !s->settled) return best;
  /* With no limits, none of the others makes a least sum less: no support
  ** with one of them would need it. */
  return s->least && !t->r->limits ? n : 0;
}

/* Leave the branch unseen: nothing in it is nearer than its bound. */
static void leave(lh_search_walk *t, double bound)
{
  t->open = fmin(t->open, bound);
}

/* Is the branch small enough to be counted out? */
static bool small(const lh_search_walk *t, size_t n)
{
  size_t left = t->r->most - t->count;
  double ways = 1.0, all = 0.0;

  if (n > LH_SEARCH_PAIRED) return false;
  for (size_t i = 1; i <= left && i <= n; i++) {
    ways *= (double)(n + 1 - i) / (double)i;
    all += ways;
  }
  return all <= COUNT_OUT;
}

/* The bound of a branch; s is its sum.  It is left off early when it is seen
** to come under `reach`, which tells that the branch cannot be cut off.
*/
static double bound_of(lh_search_walk *t, const uint16_t *may, size_t n,
                       lh_search_sum *s, double reach)
{
  uint16_t set[LH_SEARCH_MATERIALS];

  memcpy(set, t->in, t->count * sizeof *set);
  memcpy(set + t->count, may, n * sizeof *may);
  return lh_search_bound(t->r, set, t->count + n, s, reach) - t->noise;
}

/* The material to split on; n when the branch is done with. */
static size_t split_on(lh_search_walk *t, const uint16_t *may, size_t n,
                       lh_search_sum *s, double *floor)
{
  for (;;) {
    if (*floor > lh_search_rank_reach(t->k)) return n;
    size_t i = choose(t, may, n, s);
    if (i < n || s->settled) return i;
    *floor = fmax(*floor, bound_of(t, may, n, s, -INFINITY));
  }
}

/* `floor` is the bound of the branch that `from` and `start` describe. */
static void walk(lh_search_walk *t, const uint16_t *from, size_t n,
                 const lh_search_sum *start, double floor, double share)
{
  uint16_t may[LH_SEARCH_MATERIALS];
  lh_search_sum s = *start;

  memcpy(may, from, n * sizeof *may);
  for (;;) {
    if (t->stop) {
      leave(t, floor);
      return;
    }
    t->proof->nodes++;
    stop_when_due(t);
    if (t->stop) continue;
    size_t i = split_on(t, may, n, &s, &floor);
    if (i == n) {
      t->proof->pruned++;
      t->done += share;
      return;
    }
    if (!lh_watch_go(t->w, t->done)) {
      t->stop = true;
      t->proof->end = LH_SEARCH_WATCH;
      continue;
    }
    if (small(t, n) && t->r->limits && !s.settled) {
      /* Its sum says how to lean on the limits. */
      floor = fmax(floor, bound_of(t, may, n, &s, -INFINITY));
      continue;
    }
    if (small(t, n)) {
      lh_search_pairs(t, may, n, &s);
      if (t->stop) leave(t, floor);
      t->done += share;
      return;
    }
    t->in[t->count++] = may[i];
    memmove(&may[i], &may[i + 1], (--n - i) * sizeof *may);
    lh_search_visit(t);
    share *= 0.5;
    if (t->count < t->r->most)
      walk(t, may, n, &s, floor, share);
    else
      t->done += share;
    t->count--;
    if (t->stop) continue;
    double reach = lh_search_rank_reach(t->k);
    floor = fmax(floor, bound_of(t, may, n, &s, reach));
  }
}

lh_status lh_search_tree(const lh_search_ready *r, lh_search_ranking *k,
                         uint64_t visits, lh_search_proof *proof, double *open,
                         lh_arena *a, const lh_watch *w)
{
  lh_search_walk t = {.r = r,
                      .k = k,
                      .proof = proof,
                      .w = w,
                      .visits = visits,
                      .noise = r->limits ? 1e-10 : 1e-14,
                      .open = INFINITY};
  uint16_t may[LH_SEARCH_MATERIALS];
  lh_search_sum s = {.count = 0};
  size_t n = 0, musts = 0;

  t.room = lh_arena_take(a, LH_SEARCH_PAIR_ROOM, sizeof *t.room);
  if (!t.room) return LH_NOMEM;

  for (size_t j = 0; j < r->n; j++) may[j] = (uint16_t)j;
  proof->floor =
      fmax(0.0, lh_search_bound(r, may, r->n, &s, -INFINITY) - t.noise);
  for (size_t j = 0; j < r->n; j++) musts += r->must[j];
  if (musts <= r->most) {
    for (size_t j = 0; j < r->n; j++)
      if (r->must[j])
        t.in[t.count++] = (uint16_t)j;
      else
        may[n++] = (uint16_t)j;
    if (t.count) lh_search_visit(&t);
    if (t.count < r->most) walk(&t, may, n, &s, proof->floor, 1.0);
  }
  *open = t.open;
  return proof->end == LH_SEARCH_WATCH ? LH_CANCELLED : LH_OK;
}
