/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bleed.c -- coat maps spread by their slip's bleed, where they changed. */
#include "bleed.h"

#include <string.h>

#include "room.h"
#include "since.h"

/* How far a bleed reaches and what work it takes follow from its steps, which
** need no rates. */
static lh_status steps_of(const lh_module_room *m, double mm, lh_bleed *b)
{
  return lh_bleed_steps(m->chart, &m->laying.grid, mm, b);
}

int lh_module_reach(const void *room, double mm, unsigned char *stale)
{
  const lh_module_room *m = room;
  const lh_grid *g = &m->laying.grid;
  int across = lh_tiles_across(g), up = lh_tiles_up(g);
  lh_bleed b;
  lh_status st = steps_of(m, mm, &b);

  if (st != LH_OK) return (int)st;
  /* A tile at a time; bit 1: found in this round.  The last tile of a band's
  ** row may be narrow, so that one reaches past it: one tile more. */
  for (int far = 0; far < b.steps; far += LH_TILE) {
    for (int k = 0; k < across * up; k++) {
      int x = k % across, y = k / across;
      if (!(stale[k] & 1)) continue;
      for (int dy = -1; dy <= 1; dy++) {
        for (int dx = -2; dx <= 2; dx++) {
          int i = x + dx, j = y + dy;
          if (g->wraps) i = (i % across + across) % across;
          if (i < 0 || i >= across || j < 0 || j >= up) continue;
          stale[j * across + i] |= 2;
        }
      }
    }
    for (int k = 0; k < across * up; k++) stale[k] = stale[k] != 0;
  }
  return (int)LH_OK;
}

/* Rates first, then the scratch. */
static size_t rates_bytes(const lh_grid *g)
{
  return (lh_bleed_rates(g) * sizeof(float) + 15) / 16 * 16;
}

size_t lh_module_work(const void *room, double mm)
{
  const lh_module_room *m = room;
  const lh_grid *g = &m->laying.grid;
  lh_bleed b;

  if (steps_of(m, mm, &b) != LH_OK) return 0;
  return rates_bytes(g) + lh_bleed_scratch(&b, g->nx, g->ny) * sizeof(float);
}

int lh_module_bleed(const void *room, double mm, const float *coat,
                    const unsigned char *stale, void *work, float *out)
{
  const lh_module_room *m = room;
  const lh_grid *g = &m->laying.grid;
  float *scratch = (void *)((unsigned char *)work + rates_bytes(g));
  int tiles = lh_tiles_across(g) * lh_tiles_up(g);
  unsigned char left[LH_PIXELS_MOST / (LH_TILE * LH_TILE)];
  lh_rect r = {0, 0, g->nx, g->ny};
  lh_bleed b;
  lh_status st = lh_bleed_make(m->chart, g, mm, work, &b);
  int next = 0;

  if (st != LH_OK) return (int)st;
  if ((size_t)tiles > sizeof left) /* as in page.c */
    return (int)lh_bleed_map(&b, coat, &r, scratch, NULL, out);
  memcpy(left, stale, (size_t)tiles);
  while (lh_stale_next(g, left, &next, &r))
    lh_bleed_map(&b, coat, &r, scratch, NULL, out);
  return (int)LH_OK;
}
