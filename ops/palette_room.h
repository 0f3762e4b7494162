/* SPDX-License-Identifier: GPL-3.0-or-later */
/* palette_room.h -- what palette.c works out and palette_say.c says. */
#ifndef LH_PALETTE_ROOM_H
#define LH_PALETTE_ROOM_H

#include "palette.h"
#include "sight.h"
#include "stack_words.h"

typedef struct {
  double *reflectance;
  lh_list stack;
} lh_palette_over;

typedef struct {
  double pixel_mm;
  json_t *slips;
  lh_palette_over *over;
  lh_glaze_ask *glaze;
  lh_doubt_doc *doubt;
  lh_list illuminants; /* const char * */
  int geometry;
  double severity, confused_de00, close_de00, alike_lightness;
} lh_palette_fields;

/* Two slips under one light, seen by one kind of eyes. */
typedef struct {
  double de00[LH_ILLUMINANTS][LH_SIGHTS];
  lh_range range;   /* under the first light, by usual eyes */
  double lightness; /* L* of the second less that of the first */
} lh_palette_pair;

typedef struct {
  const lh_palette_fields *fields;
  lh_slip_part slips[LH_PALETTE_MOST];
  lh_stack_layer layers[LH_PALETTE_MOST], ground[LH_STACK_LAYERS];
  lh_stack_doubt doubt[LH_PALETTE_MOST];
  lh_glaze glaze;
  lh_palette palette;
  bool over_told, has_ground; /* of what is below: told; a ground on a body */
  double body[LH_WAVES];
  lh_illuminant lights[LH_ILLUMINANTS]; /* as asked for, each once */
  size_t n_lights;
  lh_xyz xyz[LH_ILLUMINANTS][LH_PALETTE_MOST];
  lh_xyz on_ground[LH_ILLUMINANTS], on_body[LH_ILLUMINANTS];
  lh_palette_pair *pairs; /* n (n - 1)/2: 0-1, 0-2, .., 1-2 .. */
  size_t n_pairs;
  size_t order[LH_PALETTE_MOST]; /* dark first, under the first light */
  double L[LH_PALETTE_MOST];     /* under the first light */
} lh_palette_work;

extern const char *const lh_sight_keys[];

/* Place of a pair i < j among them. */
size_t lh_palette_pair_at(const lh_palette_work *w, size_t i, size_t j);

void lh_palette_put(const lh_palette_work *w, lh_reply *r);
void lh_palette_say(const lh_palette_work *w, lh_reply *r);

#endif
