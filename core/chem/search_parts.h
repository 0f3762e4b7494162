/* SPDX-License-Identifier: GPL-3.0-or-later */
/* search_parts.h -- what the files of the search share among themselves.
**
** Both measures are made one problem here: the least |A y - b|^2 over y >= 0,
** with unit columns and a unit b, and limits that are homogeneous in y.  For
** a glaze a column is what a material brings, weighted.  For a slip, whose
** moles must add to 100, it is what 100 moles of it bring less the target,
** with one row more that holds rho; b is that row.  With f the slip's true
** distance^2 the least is rho^2 f / (rho^2 + f), which grows with f, and its
** y has f's proportions: the equality has gone and the order has not changed.
**
** Below, "value" is that least |A y - b|^2, from 0 to 1.  Columns stand in an
** order of their own (by what they hold), so that the caller's order cannot
** tell.  Not a public header.
*/
#ifndef LH_SEARCH_PARTS_H
#define LH_SEARCH_PARTS_H

#include "search.h"

enum {
  LH_SEARCH_DEEP = LH_SEARCH_ROWS + 1,               /* rows of a column     */
  LH_SEARCH_WIDE = LH_SEARCH_DEEP + LH_SEARCH_LIMITS /* with limits below */
};

/* How hard a limit pulls in the bound: a limit broken by d costs (PULL d)^2.
** Any number gives a valid bound; a judgement between tightness and noise.
*/
#define LH_SEARCH_PULL 300.0

/* The same where branches are counted out: there each bound first leans on the
** limits as the branch's own sum does, and less is left to pull.
*/
#define LH_SEARCH_PULL_LEANT 30.0

/* Nearer than this to a mixture of others, a unit column counts as one. */
#define LH_SEARCH_ALIKE 1e-5

/* A problem made ready. */
typedef struct {
  bool slip;
  size_t n;    /* materials that can be used, their columns             */
  size_t all;  /* and, after them, a slack for each limit with >=       */
  size_t deep; /* rows of a column                                      */
  size_t limits, most;
  size_t *place; /* place[n]: in the caller's list                       */
  double *scale; /* scale[n]: grams in one unit of y                     */
  double *col;   /* col[n * deep]                                        */
  double b[LH_SEARCH_DEEP];
  double *lim; /* lim[limits * n]: lim y >= 0 or = 0; largest is 1       */
  bool equal[LH_SEARCH_LIMITS];
  double *gram;  /* gram[all * all], the pull of limits in it            */
  double *h;     /* h[all]: A'b                                          */
  double *plain; /* plain[n * n]: products in which only = limits pull   */
  double *up;    /* up[n]: A'u > 0, for a u that can push residuals down */
  double bu, uu; /* b'u, u'u                                             */
  bool *must;    /* must[n]                                              */
  double *room;  /* LH_SEARCH_WIDE^2: a triangle for the bound           */
} lh_search_ready;

/* A sum of columns: which, and how much of each. */
typedef struct {
  bool settled; /* as far as it goes, not left off             */
  bool least;   /* no column of its set would make it any less */
  size_t count;
  uint16_t at[LH_SEARCH_WIDE];
  double y[LH_SEARCH_WIDE];
} lh_search_sum;

/* A support that was found worth listing. */
typedef struct {
  double key;   /* its value in steps of LH_SEARCH_TIE */
  double value; /* least |A y - b|^2                   */
  size_t count;
  uint16_t at[LH_SEARCH_LINES]; /* ascending */
  double y[LH_SEARCH_LINES];
} lh_search_entry;

/* The best so far, ascending. */
typedef struct {
  size_t want, count;
  lh_search_entry entry[LH_SEARCH_CHOICES];
} lh_search_ranking;

/* What a support's own sum says. */
typedef enum {
  LH_SUPPORT_STANDS, /* it needs all of its materials */
  LH_SUPPORT_FALLS,
  LH_SUPPORT_UNSETTLED
} lh_support_word;

/* search_ready.c: check a problem, make it ready. */
lh_status lh_search_check(const lh_search_problem *p, size_t *bad);
lh_status lh_search_prepare(const lh_search_problem *p, lh_search_ready *r,
                            size_t *bad, lh_arena *a);

/* search_limit.c: the limits as rows over grams, g[materials]; how many rows
** they make with those for `must`. */
size_t lh_search_limit_count(const lh_search_problem *p);
void lh_search_limit_row(const lh_search_problem *p, size_t i, double *g,
                         bool *equal);

/* search_bound.c: a lower bound on the value of any support within a set.
**
** Given:     set, n   columns that may be used
**            reach    leave off when the value is seen to be under this
**            *s       a sum to begin with (columns outside set are dropped)
** Returned:  *s       the least sum over the set, as far as it settled;
**                     not settled when it was left off
**            the bound: valid in any case, 0 when it was left off
*/
double lh_search_bound(const lh_search_ready *r, const uint16_t *set, size_t n,
                       lh_search_sum *s, double reach);

/* What leaving out each column of a sum would cost at least, to first order.*/
void lh_search_dear(const lh_search_ready *r, const lh_search_sum *s,
                    double *cost);

/* search_exact.c: a support's own sum, with limits kept. */
lh_support_word lh_search_exact(const lh_search_ready *r, const uint16_t *at,
                                size_t count, double *y, double *value);

/* search_rank.c */
void lh_search_rank(lh_search_ranking *k, const lh_search_entry *e);
/* Above this value nothing can enter the list any more. */
double lh_search_rank_reach(const lh_search_ranking *k);

/* A walk through the tree. */
typedef struct {
  const lh_search_ready *r;
  lh_search_ranking *k;
  lh_search_proof *proof;
  const lh_watch *w;
  uint64_t visits;
  double noise; /* of a bound                           */
  double open;  /* least bound of a branch left unseen  */
  double done;  /* share of the tree seen               */
  bool stop;
  uint16_t in[LH_SEARCH_LINES]; /* the materials that are in */
  size_t count;
  double *room; /* LH_SEARCH_PAIR_ROOM, for counting out */
} lh_search_walk;

enum {
  LH_SEARCH_PAIRED = 64, /* most columns in a branch that is counted out */
  /* Doubles: 64 columns are counted out with two materials to go, on one
  ** level; 41 with three, on two; 23 with four, on three; and so on. */
  LH_SEARCH_PAIR_ROOM = LH_SEARCH_PAIRED * (LH_SEARCH_PAIRED + 4)
};

/* search_tree.c: walk the tree; look at the support that is in. */
lh_status lh_search_tree(const lh_search_ready *r, lh_search_ranking *k,
                         uint64_t visits, lh_search_proof *proof, double *open,
                         lh_arena *a, const lh_watch *w);
void lh_search_visit(lh_search_walk *t);

/* search_pairs.c: look at every support of those in and up to most of these,
** but the one that is in already; s is the branch's sum. */
void lh_search_pairs(lh_search_walk *t, const uint16_t *may, size_t n,
                     const lh_search_sum *s);

#endif
