/* SPDX-License-Identifier: GPL-3.0-or-later */
/* window_walk.h -- the curve of colours behind window.h: for window*.c only. */
#ifndef LH_WINDOW_WALK_H
#define LH_WINDOW_WALK_H

#include "window.h"

/* A stack made ready, with one coat that can be set. */
typedef struct {
  lh_stack_ready ready; /* its slips are those below */
  lh_slip_ready slips[LH_STACK_LAYERS];
  unsigned char slip[LH_STACK_LAYERS];
  double coat[LH_STACK_LAYERS];
  size_t count, at;
  double factor; /* the coat is this times what it is called */
  double bend;   /* the called weight that the glaze just eats up; 0: none */
  double body[LH_WAVES], ground[LH_WAVES]; /* for covering */
  lh_xyz white;
  lh_lab wanted;
  double heaviest;
  double half; /* most that half a stride may move the colour */
  double near; /* relative width to which crossings are halved */
} lh_walk;

/* Make ready; wanted, half and near are the caller's to set. */
lh_status lh_walk_begin(const lh_window_ask *a, lh_walk *k);

/* Where the glaze has just eaten the coat up; to be set again when coats or
** factor change. */
void lh_walk_bend(lh_walk *k);

lh_lab lh_walk_lab(lh_walk *k, double coat);
double lh_walk_off(lh_walk *k, double coat); /* dE00 from wanted */

/* The coat weight nearest to the wanted colour (note 1 of lh_window_find). */
double lh_walk_nearest(lh_walk *k);

/* From `best` to `limit`: where the difference first exceeds the tolerance;
** NaN when it never does. */
double lh_walk_end(lh_walk *k, double best, double limit, double tolerance);

/* All stretches within the tolerance; gives how many. */
size_t lh_walk_spans(lh_walk *k, double tolerance, lh_window_span *s,
                     size_t room);

double lh_walk_covering(lh_walk *k);
double lh_walk_contrast(lh_walk *k);

#endif
