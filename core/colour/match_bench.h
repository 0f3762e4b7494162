/* SPDX-License-Identifier: GPL-3.0-or-later */
/* match_bench.h -- fired colours of blends, quickly: for match*.c only. */
#ifndef LH_MATCH_BENCH_H
#define LH_MATCH_BENCH_H

#include "match.h"

typedef struct {
  const lh_match_ask *ask;
  lh_stack_ready ready;
  lh_slip_ready slips[LH_STACK_LAYERS]; /* place 0: the blend */
  lh_xyz white;
  double coat[LH_MATCH_COATS];            /* as drawn             */
  double left[LH_MATCH_COATS];            /* what the glaze leaves */
  double ate[LH_MATCH_COATS];             /* and what it takes     */
  double below[LH_MATCH_COATS][LH_WAVES]; /* reflectance under it */
  double depth[LH_MATCH_COATS][LH_WAVES]; /* tau without the blend */
  lh_slip_optics base;
  lh_slip_optics part[LH_MATCH_STAINS];
  size_t looks;
} lh_match_bench;

/* Make ready. */
lh_status lh_match_begin(const lh_match_ask *a, lh_match_bench *b);

/* Work out what lies below the blend; again when coats or slips change. */
void lh_match_below(lh_match_bench *b, const double *coats_below);

/* L*a*b* of a blend at one of the coats. */
lh_lab lh_match_look(lh_match_bench *b, const size_t *stain,
                     const double *share, size_t count, size_t coat);

#endif
