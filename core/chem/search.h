/* SPDX-License-Identifier: GPL-3.0-or-later */
/* search.h -- the nearest recipes that the stock can make, with their proof.
**
** A target in moles, a stock of materials of which each gram brings moles,
** and at most so many materials in a recipe: out come the best recipe and
** the next best, in order, and the word that no other is nearer.  This room
** knows no names, no prices and no colours; a material is its place in the
** caller's list.  What a row stands for is the caller's matter: one oxide,
** or several that may stand for each other (soda with potash), added up.
**
** Two measures.  Glaze: distance^2 = sum w^2 (moles - target)^2, the target a
** Seger formula (its fluxes one), the amounts free.  Slip: the same with both
** in mole per cent of all that is fired, so that only proportions count.
**
** A support is the set of materials in a recipe.  It is listed when it needs
** every one of them: with any left out the distance is greater.  So each
** listed amount is above zero, and two recipes never differ in amounts only.
**
** Memory comes from the caller's arena; answers go to the caller's structs.
** Amounts in grams, shares in per cent of the batch as it is weighed, raw.
** Nothing here allocates, prints or remembers.
*/
#ifndef LH_SEARCH_H
#define LH_SEARCH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "arena.h"
#include "material.h"
#include "status.h"
#include "watch.h"

/* The largest problem taken: judgements, far above a potter's shelf. */
enum {
  LH_SEARCH_ROWS = 36,       /* oxides, or groups of them             */
  LH_SEARCH_MATERIALS = 256, /* in the stock                          */
  LH_SEARCH_LINES = 12,      /* materials in one recipe               */
  LH_SEARCH_CHOICES = 50,    /* recipes listed                        */
  LH_SEARCH_LIMITS = 48      /* limits, counting one for each `must`  */
};

/* A material that must be there and has no least share of its own: how much
** of the batch it is at least.  A judgement: what a studio's scale can weigh
** of a kilogram.                                                        [%]
*/
#define LH_SEARCH_MUST_PERCENT 0.1

/* An amount under this share of the batch is none.  A judgement, far under
** what can be weighed and above the noise of the arithmetic.            [%]
*/
#define LH_SEARCH_TRACE_PERCENT 1e-7

/* Two distances^2 closer than this share of the target's length^2 (for slips:
** of the weighted mole per cent) count as equal.  A judgement: some thousand
** times the noise of the arithmetic.
*/
#define LH_SEARCH_TIE 1e-12

typedef enum { LH_SEARCH_GLAZE, LH_SEARCH_SLIP } lh_search_measure;

/* May a material be used? */
typedef enum { LH_SEARCH_MAY, LH_SEARCH_MUST, LH_SEARCH_NEVER } lh_search_use;

typedef enum {
  LH_SEARCH_LEAST, /* these together are at least `value`        [%]  */
  LH_SEARCH_MOST,  /* these together are at most `value`         [%]  */
  LH_SEARCH_SHARE, /* these together are exactly `value`         [%]  */
  LH_SEARCH_RATIO, /* material = value x other               [g to g] */
  LH_SEARCH_STOCK, /* these together: `value` grams are there for a
                      batch of `batch` grams                     [g]  */
  LH_SEARCH_EVEN   /* the sum of grams x `row` is nothing             */
} lh_search_limit_kind;

/* A limit on a material, or on a class of them. */
typedef struct {
  lh_search_limit_kind kind;
  const bool *of;    /* of[materials]: those of the class; NULL: `material` */
  size_t material;   /* which, when `of` is NULL; for RATIO always          */
  size_t other;      /* RATIO                                               */
  double value;      /* LEAST, MOST, SHARE 0 to 100; RATIO > 0; STOCK >= 0  */
  double batch;      /* STOCK: > 0                                      [g] */
  const double *row; /* EVEN: row[materials], of any sign         [per g] */
} lh_search_limit;

typedef struct {
  lh_search_measure measure;
  size_t rows;              /* 1 to LH_SEARCH_ROWS                        */
  size_t materials;         /* 1 to LH_SEARCH_MATERIALS                   */
  const double *mol;        /* mol[j * rows + i]: row i from material j,
                               >= 0                               [mol/g] */
  const double *fired;      /* SLIP: fired[j], all that fires of material
                               j, rows or not; NULL: its rows     [mol/g] */
  const double *target;     /* target[rows] >= 0  [mol]; SLIP: [mole %]   */
  const double *weight;     /* weight[rows] >= 0; NULL: all 1             */
  size_t most;              /* materials in a recipe, 1 to LH_SEARCH_LINES */
  size_t choices;           /* recipes wanted, 1 to LH_SEARCH_CHOICES     */
  const lh_search_use *use; /* use[materials]; NULL: all may              */
  double must_percent;      /* least share of a `must` without a least of
                               its own; 0: LH_SEARCH_MUST_PERCENT     [%] */
  const lh_search_limit *limit;
  size_t limits;
  uint64_t visits; /* stop after so many branches and supports; 0: never */
} lh_search_problem;

/* One recipe. */
typedef struct {
  size_t count;                     /* materials in it                    */
  size_t material[LH_SEARCH_LINES]; /* their places in the list, ascending */
  double grams[LH_SEARCH_LINES];    /* GLAZE: for the target as it stands;
                                      SLIP: for 100 moles fired      [g] */
  double percent[LH_SEARCH_LINES];  /* of the batch; adds to 100      [%] */
  double made[LH_SEARCH_ROWS];      /* as `target`: what it makes         */
  double distance;                  /* from the target, in its unit       */
} lh_search_choice;

typedef enum {
  LH_SEARCH_DONE,     /* all was visited or shown to be farther          */
  LH_SEARCH_VISITS,   /* stopped at `visits`                             */
  LH_SEARCH_WATCH,    /* stopped by the watch                            */
  LH_SEARCH_UNSETTLED /* a support's own sum did not settle (never seen) */
} lh_search_end;

/* How sure the list is. */
typedef struct {
  lh_search_end end;
  size_t found;     /* recipes listed                                       */
  size_t sure;      /* so many of them, from the first, are proven: no recipe
                       that is not before them is nearer                    */
  bool proven;      /* all of the list is; when found < choices, there are
                       no more                                              */
  double bound;     /* no recipe left out is nearer than this; INFINITY when
                       none is left out                                     */
  double gap;       /* how much nearer than the first recipe another could
                       still be; 0 when the first is proven; INFINITY when
                       nothing was found and it is not done                 */
  double floor;     /* nearer than this no recipe of these materials comes,
                       however many there are in it (limits included)       */
  uint64_t visited; /* supports looked at one by one, beyond those that
                       were told from a row of their like              */
  uint64_t nodes;   /* branches opened                                    */
  uint64_t pruned;  /* branches cut off by their bound                    */
  size_t bad;       /* LH_INPUT: the material or limit at fault, or the row;
                       SIZE_MAX when it is none                             */
} lh_search_proof;

/* Find the nearest recipes.
**
** Given:     p        the problem
**            a        where room is taken from: about 20 (n + limits)^2 bytes,
*64 kB
**            w        asked every millisecond or so; may be NULL
** Returned:  choice[p->choices]  room for the answers; the first
**                     proof->found are filled, ascending by distance
**            *proof   always filled
** Status:    LH_OK, also when stopped at p->visits (see proof->end);
**            LH_NOTFOUND when the limits leave no recipe at all;
**            LH_CANCELLED when the watch said stop: what was found stands;
**            LH_INPUT for a number out of its range or NaN (proof->bad), a
**            target of nothing, a limit of no material;
**            LH_TOOLARGE above the largest problem; LH_NOMEM
**
** Notes:  1) Branch and bound over supports.  A branch is cut off only on a
**            dual bound, which is valid whether or not the sum behind it
**            settled; a stopped search still gives a valid proof->bound.
**         2) Equal distances (LH_SEARCH_TIE) go: fewer materials first, then
**            by what the materials bring, last by their places in the list.
**            So neither the order of the list nor the scale of the numbers
**            changes the answer, but for materials that are wholly alike.
**         3) A material that brings nothing to any weighted row (for slips:
**            fires to nothing) is never chosen; a `must` that brings nothing
**            is LH_INPUT.  Inert stains are held apart by the caller.
**         4) A support whose materials can replace one another in all rows
**            (one within 1e-5 of a mixture of the others) is listed only
**            when a limit makes it need them all.
**         5) Limits are kept to 1e-9 of the batch.
** Ref:    Lawson & Hanson, Solving Least Squares Problems (1974), ch. 23;
**         Goldfarb & Idnani, Math. Programming 27 (1983), 1-33.
*/
lh_status lh_search_nearest(const lh_search_problem *p,
                            lh_search_choice *choice, lh_search_proof *proof,
                            lh_arena *a, const lh_watch *w);

/* The rows of a problem from materials: what oxides count, and which stand
** for each other.
**
** Given:     m, n     the materials
**            row      the row of each fired oxide; rows or above: left out
**            rows     how many rows
** Returned:  mol[n * rows]  as lh_search_problem wants it        [mol/g]
**            fired[n]       all fired moles of each; may be NULL [mol/g]
*/
void lh_search_rows(const lh_material *const *m, size_t n,
                    const size_t row[LH_OXIDES], size_t rows, double *mol,
                    double *fired);

#endif
