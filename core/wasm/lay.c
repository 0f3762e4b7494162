/* SPDX-License-Identifier: GPL-3.0-or-later */
/* lay.c -- lay a painted zone within the memory the page gives. */
#include <stdint.h>

#include "flat.h"
#include "module.h"

/* Stands at the beginning of the room; the rest is the arena's. */
typedef struct {
  lh_arena arena;
  unsigned char *end;
  size_t wanted; /* bytes asked for in all, had or not */
  lh_laying laying;
  lh_maps maps;
  float *scratch;
} module;

/* Blocks of the arena follow each other in the room; `blocks` is where the
** next one begins. */
static void *more(lh_arena *a, size_t n)
{
  module *m = (module *)a;
  unsigned char *at = a->blocks;

  n = (n + 15) / 16 * 16;
  m->wanted += n;
  if (n > (size_t)(m->end - at)) return NULL;
  a->blocks = at + n;
  return at;
}

static lh_status maps_take(module *m)
{
  size_t n = (size_t)m->laying.grid.nx * (size_t)m->laying.grid.ny;

  for (int k = 0; k < m->laying.layers; k++) {
    m->maps.coat[k] = lh_arena_take(&m->arena, n, sizeof(float));
    m->maps.cover[k] = lh_arena_take(&m->arena, n, sizeof(float));
    if (!m->maps.coat[k] || !m->maps.cover[k]) return LH_NOMEM;
  }
  m->scratch =
      lh_arena_take(&m->arena, lh_lay_scratch(&m->laying.grid), sizeof(float));
  return m->scratch ? LH_OK : LH_NOMEM;
}

static void report_maps(const module *m, double *report)
{
  const unsigned char *start = (const unsigned char *)m;
  const lh_grid *g = &m->laying.grid;

  report[LH_REPORT_LAYERS] = m->laying.layers;
  report[LH_REPORT_NX] = g->nx;
  report[LH_REPORT_NY] = g->ny;
  report[LH_REPORT_PIXEL] = g->pixel;
  for (int k = 0; k < m->laying.layers; k++) {
    report[LH_REPORT_SLIPS + k] = m->laying.layer_slip[k];
    report[LH_REPORT_COATS + k] =
        (double)((const unsigned char *)m->maps.coat[k] - start);
    report[LH_REPORT_COVERS + k] =
        (double)((const unsigned char *)m->maps.cover[k] - start);
  }
}

int lh_module_lay(const double *in, size_t n, void *room, size_t bytes,
                  double *report)
{
  module *m = room;
  size_t own = (sizeof *m + 15) / 16 * 16;
  lh_mark_fault fault = {LH_MARK_FINE, 0, 0};
  lh_painted painted;
  lh_chart *ch;
  lh_status st;

  for (int i = 0; i < LH_REPORT_NUMBERS; i++) report[i] = 0.0;
  if (bytes < own) {
    report[LH_REPORT_TAKEN] = (double)own;
    report[LH_REPORT_STATUS] = LH_NOMEM;
    return LH_NOMEM;
  }
  *m = (module){.arena = {.more = more}, .wanted = own};
  m->arena.blocks = (unsigned char *)room + own;
  m->end = (unsigned char *)room + bytes;
  ch = lh_arena_take(&m->arena, 1, sizeof *ch);
  st = ch ? lh_decor_unflatten(in, n, &m->arena, &painted) : LH_NOMEM;
  if (st == LH_OK)
    st = lh_decor_ready(&painted, &m->arena, &m->laying, ch, NULL, &fault);
  if (st == LH_OK) st = maps_take(m);
  if (st == LH_OK) st = lh_lay(&m->laying, &m->maps, NULL, m->scratch, NULL);
  if (st == LH_OK) {
    report_maps(m, report);
    report[LH_REPORT_WIDTH] = ch->width;
    report[LH_REPORT_HEIGHT] = ch->height;
  }
  report[LH_REPORT_STATUS] = st;
  report[LH_REPORT_WHY] = fault.why;
  report[LH_REPORT_MARK] = (double)fault.mark;
  report[LH_REPORT_NIB] = (double)fault.nib;
  report[LH_REPORT_TAKEN] = (double)m->wanted;
  return (int)st;
}

int lh_module_relay(void *room, int x0, int y0, int x1, int y1)
{
  module *m = room;
  lh_rect clip = {x0, y0, x1, y1};

  return (int)lh_lay(&m->laying, &m->maps, &clip, m->scratch, NULL);
}
