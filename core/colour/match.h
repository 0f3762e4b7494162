/* SPDX-License-Identifier: GPL-3.0-or-later */
/* match.h -- which stains, and how much of each, fire to a wanted colour.
**
** A blend is a base slip with up to three of the stains in stock weighed into
** it.  Its K and S are those of its parts by dry weight (layers.h,
** lh_slip_mix): right for inert stains, wrong for oxides that dissolve, which
** are not to be handed in.  It is the top coat of a stack; its colour is asked
** at three coat weights, the one in use and the ends of its window, so that
** what matches only at one thickness does not win.
** The room knows no prices, names or rules of stains.  Nothing allocates or
** remembers; the caller owns all memory; about 60 kB of stack.
*/
#ifndef LH_MATCH_H
#define LH_MATCH_H

#include "stack.h"
#include "watch.h"

enum {
  LH_MATCH_STAINS = 40, /* most in stock                          */
  LH_MATCH_AT_ONCE = 3, /* most in one blend                      */
  LH_MATCH_COATS = 3,   /* in use, least, most                    */
  LH_MATCH_KEPT = 64    /* sets that are worked out in full       */
};

typedef struct {
  const lh_slip_optics *optics; /* K and S of a gram of the stain itself */
  double most;                  /* most of it, as a share of the base    */
} lh_match_stain;

typedef struct {
  const lh_stack *stack; /* its top layer's slip is the base; that layer's
                         ** coat is not looked at                       */
  lh_illuminant illuminant;
  const lh_match_stain *stains;
  size_t n;                    /* 1..LH_MATCH_STAINS                          */
  size_t most_stains;          /* 1..LH_MATCH_AT_ONCE                         */
  double most_total;           /* of all stains, as a share of the base       */
  double coat[LH_MATCH_COATS]; /* [g/m2], > 0                      */
  lh_lab target[LH_MATCH_COATS]; /* wanted at each                   */
  double each_stain; /* dE00 that a further stain must gain          */
} lh_match_ask;

typedef struct {
  size_t count, stain[LH_MATCH_AT_ONCE]; /* ascending                   */
  double share[LH_MATCH_AT_ONCE];        /* of the base, by dry weight  */
  double de00[LH_MATCH_COATS];           /* from what is wanted         */
  lh_lab lab[LH_MATCH_COATS];
  double score; /* root mean square of de00, and each_stain for every
                ** stain after the first                               */
} lh_match_choice;

typedef struct {
  size_t sets;  /* of stains tried          */
  size_t looks; /* fired colours worked out */
} lh_match_info;

/* Find the best blends.
**
** Given:     a       the ask
**            watch   may be NULL
**            want    how many choices, 1..LH_MATCH_KEPT
** Returned:  out[0..*got)   by score, each of another set of stains
**            *info          may be NULL
** Status:    LH_OK (a colour out of reach has its nearest blend);
**            LH_RANGE for numbers that cannot be; LH_TOOLARGE; LH_CANCELLED
** Notes:  1) Every set of one, two and three stains is tried: the shares that
**            bring the colour at the coat in use nearest to the wanted one,
**            by damped Gauss-Newton steps in the local metric of CIEDE2000,
**            held between 0 and their mosts.  The best LH_MATCH_KEPT sets by
**            score are worked out again over all three coats.
**            A set in which a share falls below 0.01 % is left to the
**            smaller set (a judgement: nobody weighs that).
**         2) Not proven best: a set may have a second valley.  Against grids
**            over all shares the score was never worse (tests).
** Ref:    K. Levenberg (1944), Quart. Appl. Math. 2, 164-168; D. R. Duncan
**         (1940), Proc. Phys. Soc. 52, 390.
*/
lh_status lh_match_find(const lh_match_ask *a, const lh_watch *watch,
                        lh_match_choice *out, size_t want, size_t *got,
                        lh_match_info *info);

/* The blend's K and S.
**
** Given:     a, c   an ask and a choice of it
** Returned:  *o
*/
void lh_match_blend(const lh_match_ask *a, const lh_match_choice *c,
                    lh_slip_optics *o);

/* How far off a blend may turn out.
**
** Given:     weighing   relative standard uncertainty of each amount
**            d          doubts as for lh_stack_spread; K and S are those of
**                       the base and of each stain for itself
** Returned:  *de00      from what is wanted, at the coat in use: the
**                       prediction, 5th and 95th percentile
** Status:    as lh_match_find
** Notes:  1) Monte Carlo, 200 draws with a fixed seed.
** Ref:    JCGM 101:2008.
*/
lh_status lh_match_doubt(const lh_match_ask *a, const lh_match_choice *c,
                         double weighing, const lh_stack_doubt *d,
                         lh_range *de00);

#endif
