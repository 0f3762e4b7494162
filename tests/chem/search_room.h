/* SPDX-License-Identifier: GPL-3.0-or-later */
/* search_room.h -- an arena for the tests of the search: one block. */
#ifndef LH_SEARCH_ROOM_H
#define LH_SEARCH_ROOM_H

#include <string.h>

#include "arena.h"

static unsigned char search_block[8 << 20];

static inline void *search_none(lh_arena *a, size_t n)
{
  (void)a;
  (void)n;
  return NULL;
}

static inline lh_arena search_room(void)
{
  memset(search_block, 0, sizeof search_block);
  return (lh_arena){
      .more = search_none, .at = search_block, .left = sizeof search_block};
}

#endif
