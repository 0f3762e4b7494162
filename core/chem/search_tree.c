/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "search_parts.h"

/* Branch and bound over supports.  A branch is a set of materials that are
** in, and a set of those that may be; its bound is the least sum over both,
** however many.  It is split on the material that is dearest to leave out:
** first with it, then without.  Every support is met once: when its last
** material is put in.
*/
typedef struct {
  const lh_search_ready *r;
  lh_search_ranking *k;
  lh_search_proof *proof;
  const lh_watch *w;
  uint64_t visits;
  double noise; /* of a bound */
  double open;  /* least bound of a branch left unseen */
  double done;  /* share of the tree seen */
  bool stop;
  uint16_t in[LH_SEARCH_LINES];
  size_t count;
} tree;

static void visit(tree *t)
{
  lh_search_entry e = {.count = t->count};

  for (size_t i = 0; i < t->count; i++) {
    size_t j = i;
    for (; j > 0 && e.at[j - 1] > t->in[i]; j--) e.at[j] = e.at[j - 1];
    e.at[j] = t->in[i];
  }
  t->proof->visited++;
  if (t->visits && t->proof->visited >= t->visits) {
    t->stop = true;
    t->proof->end = LH_SEARCH_VISITS;
  }
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
static size_t choose(const tree *t, const uint16_t *may, size_t n,
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
  /* With no limits, none of the others makes the sum less: no support with
  ** one of them would need it. */
  return best == n && t->r->limits && n ? 0 : best;
}

/* Leave the branch unseen: nothing in it is nearer than its bound. */
static void leave(tree *t, double bound)
{
  t->open = fmin(t->open, bound);
}

static void walk(tree *t, const uint16_t *from, size_t n,
                 const lh_search_sum *start, double floor, double share)
{
  uint16_t may[LH_SEARCH_MATERIALS], set[LH_SEARCH_MATERIALS];
  lh_search_sum s = *start;

  memcpy(may, from, n * sizeof *may);
  for (;;) {
    if (t->stop) {
      leave(t, floor);
      return;
    }
    t->proof->nodes++;
    memcpy(set, t->in, t->count * sizeof *set);
    memcpy(set + t->count, may, n * sizeof *may);
    double bound = lh_search_bound(t->r, set, t->count + n, &s) - t->noise;
    floor = fmax(floor, bound);
    size_t i = choose(t, may, n, &s);
    if (floor > lh_search_rank_reach(t->k) || i == n) {
      t->proof->pruned++;
      t->done += share;
      return;
    }
    if (!lh_watch_go(t->w, t->done)) {
      t->stop = true;
      t->proof->end = LH_SEARCH_WATCH;
      continue;
    }
    t->in[t->count++] = may[i];
    memmove(&may[i], &may[i + 1], (--n - i) * sizeof *may);
    visit(t);
    share *= 0.5;
    if (t->count < t->r->most)
      walk(t, may, n, &s, floor, share);
    else
      t->done += share;
    t->count--;
  }
}

lh_status lh_search_tree(const lh_search_ready *r, lh_search_ranking *k,
                         uint64_t visits, lh_search_proof *proof, double *open,
                         const lh_watch *w)
{
  tree t = {.r = r,
            .k = k,
            .proof = proof,
            .w = w,
            .visits = visits,
            .noise = r->limits ? 1e-10 : 1e-14,
            .open = INFINITY};
  uint16_t may[LH_SEARCH_MATERIALS];
  lh_search_sum s = {.count = 0};
  size_t n = 0, musts = 0;

  for (size_t j = 0; j < r->n; j++) may[j] = (uint16_t)j;
  proof->floor = fmax(0.0, lh_search_bound(r, may, r->n, &s) - t.noise);
  for (size_t j = 0; j < r->n; j++) musts += r->must[j];
  if (musts <= r->most) {
    for (size_t j = 0; j < r->n; j++)
      if (r->must[j])
        t.in[t.count++] = (uint16_t)j;
      else
        may[n++] = (uint16_t)j;
    if (t.count) visit(&t);
    if (t.count < r->most) walk(&t, may, n, &s, proof->floor, 1.0);
  }
  *open = t.open;
  return proof->end == LH_SEARCH_WATCH ? LH_CANCELLED : LH_OK;
}
