/* SPDX-License-Identifier: GPL-3.0-or-later */
/* move_room.h -- between the files of the operation `move_cone`: move_cone.c
** has the fields and the order of things, _say.c tells the recipes of a
** glaze, _slip.c the tests of a slip.  Memory: the call's arena. */
#ifndef LH_MOVE_ROOM_H
#define LH_MOVE_ROOM_H

#include "chem/move.h"
#include "substitute_room.h"

typedef struct {
  lh_sub_ask sub; /* what it has in common with substitute */
  lh_recipe_doc *recipe;
  double from_c, to_c;
  int model; /* -1: the first that answers; else lh_viscosity_model */
  const char *flux;
} lh_move_ask;

/* What a model says of the old glaze. */
typedef struct {
  bool valid;
  lh_move_level from, to; /* at the old peak and at the new */
  char why[200];          /* not valid: why                 */
} lh_move_said;

typedef struct {
  const lh_move_ask *ask;
  lh_sub *sub;
  lh_viscosity_model model;
  lh_move_said said[LH_VISCOSITY_MODELS];
  bool has_aim;
  double aim[LH_OXIDES]; /* the nearest formula; its fluxes add to one */
  double aim_far;
  lh_move_choice *choice;
  lh_move_proof proof;
} lh_moving;

/* Ask a model about a melt at both peaks. */
void lh_move_ask_model(const double mol[LH_OXIDES], lh_viscosity_model model,
                       double from_c, double to_c, lh_move_said *said);

/* Why a model does not answer, in its own unit; "" when it does. */
void lh_move_why(char *text, size_t size, lh_viscosity_model model,
                 const lh_move_level *at);

/* "Fluegel 2007", "Lakatos 1976". */
const char *lh_move_spoken(lh_viscosity_model model);

/* Everything into the reply. */
lh_status lh_move_say(const lh_moving *m, lh_reply *r, lh_fault *fault);

/* A slip: bars, and the line of test recipes. */
lh_status lh_move_slip(const lh_call *call, const lh_move_ask *ask, lh_reply *r,
                       lh_fault *fault);

#endif
