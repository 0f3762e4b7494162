/* SPDX-License-Identifier: GPL-3.0-or-later */
/* lay.c -- lay a painted zone within the memory the page gives. */
#include <stdint.h>

#include "room.h"

typedef lh_module_room module;

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

module *lh_module_begin(void *room, size_t bytes, size_t *own)
{
  module *m = room;

  *own = (sizeof *m + 15) / 16 * 16;
  if (bytes < *own) return NULL;
  *m = (module){.arena = {.more = more}, .wanted = *own};
  m->arena.blocks = (unsigned char *)room + *own;
  m->end = (unsigned char *)room + bytes;
  return m;
}

static lh_status maps_take(module *m)
{
  size_t n = (size_t)m->laying.grid.nx * (size_t)m->laying.grid.ny;

  for (int k = 0; k < m->laying.layers; k++) {
    m->maps.coat[k] = lh_arena_take(&m->arena, n, sizeof(float));
    m->maps.cover[k] = lh_arena_take(&m->arena, n, sizeof(float));
    if (!m->maps.coat[k] || !m->maps.cover[k]) return LH_NOMEM;
  }
  return LH_OK;
}

static void report_layers(const module *m, double *report)
{
  const lh_grid *g = &m->laying.grid;

  report[LH_REPORT_LAYERS] = m->laying.layers;
  report[LH_REPORT_NX] = g->nx;
  report[LH_REPORT_NY] = g->ny;
  report[LH_REPORT_PIXEL] = g->pixel;
  report[LH_REPORT_WIDTH] = m->chart->width;
  report[LH_REPORT_HEIGHT] = m->chart->height;
  for (int k = 0; k < m->laying.layers; k++)
    report[LH_REPORT_SLIPS + k] = m->laying.layer_slip[k];
}

static void report_maps(const module *m, double *report)
{
  const unsigned char *start = (const unsigned char *)m;

  for (int k = 0; k < m->laying.layers; k++) {
    report[LH_REPORT_COATS + k] =
        (double)((const unsigned char *)m->maps.coat[k] - start);
    report[LH_REPORT_COVERS + k] =
        (double)((const unsigned char *)m->maps.cover[k] - start);
  }
}

/* Made ready, and when wanted laid in maps of its own. */
static lh_status run(const double *in, size_t n, void *room, size_t bytes,
                     bool maps, double *report)
{
  size_t own;
  module *m = lh_module_begin(room, bytes, &own);
  lh_mark_fault fault = {LH_MARK_FINE, 0, 0};
  lh_painted painted;
  lh_status st = LH_NOMEM;

  for (int i = 0; i < LH_REPORT_NUMBERS; i++) report[i] = 0.0;
  report[LH_REPORT_TAKEN] = (double)own;
  if (!m) return LH_NOMEM;
  m->chart = lh_arena_take(&m->arena, 1, sizeof *m->chart);
  if (m->chart) st = lh_decor_unflatten(in, n, &m->arena, &painted);
  if (st == LH_OK)
    st =
        lh_decor_ready(&painted, &m->arena, &m->laying, m->chart, NULL, &fault);
  if (st == LH_OK) {
    m->scratch = lh_arena_take(&m->arena, lh_lay_scratch(&m->laying.grid),
                               sizeof(float));
    if (!m->scratch) st = LH_NOMEM;
  }
  if (st == LH_OK && maps) st = maps_take(m);
  if (st == LH_OK && maps)
    st = lh_lay(&m->laying, &m->maps, NULL, m->scratch, NULL);
  if (st == LH_OK) report_layers(m, report);
  if (st == LH_OK && maps) report_maps(m, report);
  report[LH_REPORT_WHY] = fault.why;
  report[LH_REPORT_MARK] = (double)fault.mark;
  report[LH_REPORT_NIB] = (double)fault.nib;
  report[LH_REPORT_TAKEN] = (double)m->wanted;
  return st;
}

int lh_module_lay(const double *in, size_t n, void *room, size_t bytes,
                  double *report)
{
  lh_status st = run(in, n, room, bytes, true, report);

  report[LH_REPORT_STATUS] = st;
  return (int)st;
}

int lh_module_ready(const double *in, size_t n, void *room, size_t bytes,
                    double *report)
{
  lh_status st = run(in, n, room, bytes, false, report);

  report[LH_REPORT_STATUS] = st;
  return (int)st;
}

int lh_module_relay(void *room, int x0, int y0, int x1, int y1)
{
  module *m = room;
  lh_rect clip = {x0, y0, x1, y1};

  return (int)lh_lay(&m->laying, &m->maps, &clip, m->scratch, NULL);
}
