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

/* A tile's row and those next to it, at column i round the band. */
static void mark_column(const lh_grid *g, int i, int y, unsigned char *stale)
{
  int across = lh_tiles_across(g), up = lh_tiles_up(g);

  if (g->wraps) i = (i % across + across) % across;
  if (i < 0 || i >= across) return;
  for (int j = y - 1; j <= y + 1; j++)
    if (j >= 0 && j < up) stale[j * across + i] |= 2;
}

/* One tile more on every side.  The last of a row may be narrow: a reach of a
** tile's width goes on past it. */
static void widen(const lh_grid *g, unsigned char *stale)
{
  int across = lh_tiles_across(g), up = lh_tiles_up(g);
  bool narrow = g->nx % LH_TILE != 0;

  for (int k = 0; k < across * up; k++) {
    int x = k % across, y = k / across;
    if (!(stale[k] & 1)) continue;
    for (int dx = -1; dx <= 1; dx++) mark_column(g, x + dx, y, stale);
    if (narrow && x == 0) mark_column(g, -2, y, stale);
    if (narrow && x == across - 2) mark_column(g, x + 2, y, stale);
  }
  for (int k = 0; k < across * up; k++) stale[k] = stale[k] != 0;
}

int lh_module_reach(const void *room, double mm, unsigned char *stale)
{
  const lh_module_room *m = room;
  lh_bleed b;
  lh_status st = steps_of(m, mm, &b);

  for (int far = 0; st == LH_OK && far < b.steps; far += LH_TILE)
    widen(&m->laying.grid, stale);
  return (int)st;
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
