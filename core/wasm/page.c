/* SPDX-License-Identifier: GPL-3.0-or-later */
/* page.c -- a zone that is painted on: only what changed is laid and summed
** afresh. */
#include <string.h>

#include "room.h"
#include "since.h"

typedef lh_module_room module;

static int tiles_of(const module *m)
{
  return lh_tiles_across(&m->laying.grid) * lh_tiles_up(&m->laying.grid);
}

static lh_maps maps_of(const module *m, float *const *maps)
{
  lh_maps x = {{0}, {0}};

  for (int k = 0; k < m->laying.layers; k++) {
    x.coat[k] = maps[2 * k];
    x.cover[k] = maps[2 * k + 1];
  }
  return x;
}

int lh_module_since(const void *before, const void *room, unsigned char *stale,
                    int *answer)
{
  const module *old = before, *m = room;
  int tiles = tiles_of(m);
  lh_since s = {.all = true, .tiles = tiles, .changed = (int)m->laying.n};

  if (old) {
    lh_laying_since(old->chart, &old->laying, m->chart, &m->laying, stale, &s);
  } else {
    memset(stale, 1, (size_t)tiles);
    for (int k = 0; k < LH_LAYERS_MOST; k++) s.from[k] = -1;
  }
  answer[0] = s.all;
  answer[1] = s.tiles;
  answer[2] = s.changed;
  for (int k = 0; k < LH_LAYERS_MOST; k++) answer[3 + k] = s.from[k];
  return tiles;
}

/* Rectangles are found in a copy, so that the same tiles can be measured and
** coloured afterwards. */
int lh_module_paint(void *room, float *const *maps, const unsigned char *stale)
{
  module *m = room;
  size_t tiles = (size_t)tiles_of(m);
  lh_maps x = maps_of(m, maps);
  unsigned char left[LH_PIXELS_MOST / (LH_TILE * LH_TILE)];
  lh_rect r;
  int next = 0;

  if (tiles > sizeof left) /* long narrow maps have more tiles than that */
    return (int)lh_lay(&m->laying, &x, NULL, m->scratch, NULL);
  memcpy(left, stale, tiles);
  while (lh_stale_next(&m->laying.grid, left, &next, &r))
    lh_lay(&m->laying, &x, &r, m->scratch, NULL);
  return LH_OK;
}

/* First the pixels' areas, then each tile's sums. */
static size_t areas_bytes(const module *m)
{
  size_t n = lh_pixel_areas(&m->laying.grid) * sizeof(double);

  return (n + 15) / 16 * 16;
}

size_t lh_module_sums(const void *room)
{
  const module *m = room;

  return areas_bytes(m) + (size_t)tiles_of(m) * sizeof(lh_tile_sums);
}

static int write_covered(const lh_covered *c, double *out)
{
  out[0] = c->slip;
  out[1] = c->area_mm2;
  out[2] = c->grams;
  out[3] = c->mean_coat;
  out[4] = c->most_coat;
  return 5;
}

static int write_coverage(const lh_coverage *c, double *out)
{
  int n = LH_MEASURE_NUMBERS;

  out[LH_MEASURE_ZONE] = c->zone_mm2;
  out[LH_MEASURE_BARE] = c->bare_mm2;
  out[LH_MEASURE_LAYERS] = c->layers;
  out[LH_MEASURE_SLIPS] = c->slips;
  out[LH_MEASURE_OVERLAPS] = c->overlaps;
  for (int k = 0; k < c->layers; k++) n += write_covered(&c->layer[k], out + n);
  for (int k = 0; k < c->slips; k++) n += write_covered(&c->slip[k], out + n);
  for (int k = 0; k < c->overlaps; k++) {
    const lh_overlap *o = &c->overlap[k];
    out[n++] = o->upper;
    out[n++] = o->lower;
    out[n++] = o->area_mm2;
    out[n++] = o->upper_coat;
    out[n++] = o->lower_coat;
  }
  return n;
}

int lh_module_measure(const void *room, float *const *maps,
                      const unsigned char *stale, void *sums, double *out)
{
  const module *m = room;
  int tiles = tiles_of(m), fresh = 0;
  double *area = sums;
  lh_tile_sums *s = (void *)((unsigned char *)sums + areas_bytes(m));
  lh_maps x = maps_of(m, maps);
  lh_coverage c;

  for (int i = 0; i < tiles; i++) fresh += stale[i] != 0;
  if (fresh == tiles) lh_pixel_areas_fill(&m->laying.grid, m->chart, area);
  for (int i = 0; i < tiles; i++)
    if (stale[i]) lh_measure_tile(&m->laying, &x, area, i, &s[i]);
  lh_measure_sum(&m->laying, s, (size_t)tiles, &c);
  return write_coverage(&c, out);
}

int lh_module_window(void *room, float *const *maps, int slip, double least,
                     double most, unsigned char *says, double *mm2)
{
  module *m = room;
  const lh_grid *g = &m->laying.grid;
  size_t n = lh_pixel_areas(g), nx = (size_t)g->nx;
  size_t pixels = nx * (size_t)g->ny;
  lh_maps x = maps_of(m, maps);
  lh_arena before = m->arena; /* given back at the end */
  double *area = lh_arena_take(&m->arena, n, sizeof *area);

  mm2[0] = mm2[1] = mm2[2] = 0.0;
  if (!area) return (int)LH_NOMEM;
  lh_pixel_areas_fill(g, m->chart, area);
  for (size_t i = 0; i < pixels; i++) {
    lh_window_says w = lh_window_at(&m->laying, &x, i, slip, least, most);
    says[i] = (unsigned char)w;
    if (w != LH_WINDOW_NONE)
      mm2[w - LH_WINDOW_THIN] += n == pixels ? area[i] : area[i / nx];
  }
  m->arena = before;
  return (int)LH_OK;
}
