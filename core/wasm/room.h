/* SPDX-License-Identifier: GPL-3.0-or-later */
/* room.h -- what stands at the beginning of a room; for this folder only. */
#ifndef LH_MODULE_ROOM_H
#define LH_MODULE_ROOM_H

#include "flat.h"
#include "module.h"

/* The rest of the room is the arena's. */
typedef struct {
  lh_arena arena;
  unsigned char *end;
  size_t wanted; /* bytes asked for in all, had or not */
  lh_chart *chart;
  lh_laying laying;
  lh_maps maps; /* of lh_module_lay */
  float *scratch;
} lh_module_room;

/* Begin a room; NULL when it is too small for even *own bytes. */
lh_module_room *lh_module_begin(void *room, size_t bytes, size_t *own);

#endif
