/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mix_room.h -- between the two files of the operation `mix`: mix.c reads and
** reckons, mix_say.c tells.  Memory: the call's arena. */
#ifndef LH_MIX_ROOM_H
#define LH_MIX_ROOM_H

#include "batch.h"
#include "operation.h"
#include "recipe_doc.h"

/* A slip: its recipe, either as "recipe" or with its lines beside the name.
** What a slip of a piece holds besides may stand here and is not used. */
typedef struct {
  const char *name;
  lh_recipe_doc *recipe;
  lh_recipe_doc bare;
  double litre_weight_g, solids_density, coat_g_m2;
  json_t *unused;
} lh_mix_slip;

typedef struct {
  lh_mix_slip *slip;
  lh_list materials;
  double area_cm2, coat_g_m2, wet_mm, coats, pots, dry_g;
  double waste_percent, residue_g;
  double litre_weight_g, solids_density, solids_density_error;
  double scale_step_g, spare_percent;
} lh_mix_ask;

/* What the handler gathers on its way. */
typedef struct {
  const lh_mix_ask *ask;
  lh_recipe_found recipe;
  lh_batch_line *line;
  lh_batch_weighed *out;
  lh_batch_total total;
  lh_batch_ask batch;
  const char *density_from;
  lh_range water_g, volume_ml;
} lh_mixing;

/* Tell the lines to weigh, the totals and the cautions, in this order. */
void lh_mix_say(const lh_mixing *m, lh_reply *r);

#endif
