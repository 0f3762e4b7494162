/* SPDX-License-Identifier: GPL-3.0-or-later */
/* easel.h -- a zone, its pixels and the marks on it, for the tests.
**
** An easel owns all it needs; easel_clear() gives it back.  Marks are added
** with easel_mark() and laid with easel_lay().
*/
#ifndef EASEL_H
#define EASEL_H

#include <stdint.h>
#include <stdlib.h>

#include "check.h"
#include "clear.h"
#include "lay.h"
#include "measure.h"

static const double pi = 3.14159265358979323846;

typedef struct {
  lh_arena arena;
  lh_curve curve;
  lh_chart chart;
  lh_grid grid;
  lh_shapes shapes;
  lh_laying laying;
  lh_maps maps;
  float *scratch;
  lh_mark_fault fault;
} easel;

/* Blocks are chained through their first 16 bytes. */
__attribute__((unused)) static void *easel_more(lh_arena *a, size_t n)
{
  char *p = malloc(n + 16);

  if (!p) return NULL;
  *(void **)p = a->blocks;
  a->blocks = p;
  return p + 16;
}

__attribute__((unused)) static void easel_clear(easel *e)
{
  for (void *p = e->arena.blocks; p;) {
    void *next = *(void **)p;
    free(p);
    p = next;
  }
  memset(e, 0, sizeof *e);
}

/* A zone of a profile, with pixels of about the given size. */
__attribute__((unused)) static lh_status easel_begin(easel *e,
                                                     const lh_point *p,
                                                     size_t n, lh_zone z,
                                                     double pixel, int multiple)
{
  lh_status st;

  memset(e, 0, sizeof *e);
  e->arena.more = easel_more;
  e->shapes.arena = &e->arena;
  st = lh_curve_build(p, n, &e->curve, NULL);
  if (st == LH_OK) st = lh_chart_make(&e->curve, &z, &e->chart, NULL);
  if (st == LH_OK) st = lh_grid_fit(&e->chart, pixel, multiple, &e->grid);
  return st;
}

/* A cylinder: scale 1 everywhere.  The zone is `rows` whole pixels high,
** `columns` around. */
__attribute__((unused)) static void easel_cylinder(easel *e, double radius,
                                                   int columns, int rows)
{
  double h = 2.0 * pi * radius / columns;
  lh_point p[] = {{radius, 0}, {radius, rows * h + 20.0}};
  lh_zone z = {LH_OUTSIDE, LH_CHART_BAND, 10.0, 10.0 + rows * h};

  if (easel_begin(e, p, 2, z, h * 1.0000001, columns) != LH_OK ||
      e->grid.nx != columns || e->grid.ny != rows)
    CHECK(0, "cylinder: %d x %d pixels", e->grid.nx, e->grid.ny);
}

__attribute__((unused)) static lh_status easel_marks(easel *e, const lh_mark *m,
                                                     size_t n,
                                                     const lh_placing *p,
                                                     size_t n_p)
{
  return lh_place(&e->shapes, &e->chart, m, n, 0, p, n_p, NULL, &e->fault);
}

__attribute__((unused)) static lh_status easel_lay(easel *e)
{
  size_t n = (size_t)e->grid.nx * (size_t)e->grid.ny;
  lh_status st = lh_lay_prepare(&e->laying, &e->arena, &e->grid, e->shapes.at,
                                e->shapes.n, &e->fault);

  if (st != LH_OK) return st;
  for (int k = 0; k < e->laying.layers; k++) {
    e->maps.coat[k] = lh_arena_take(&e->arena, n, sizeof(float));
    e->maps.cover[k] = lh_arena_take(&e->arena, n, sizeof(float));
  }
  e->scratch =
      lh_arena_take(&e->arena, lh_lay_scratch(&e->grid), sizeof(float));
  return lh_lay(&e->laying, &e->maps, NULL, e->scratch, NULL);
}

/* A sweep of one slip. */
__attribute__((unused)) static lh_mark easel_sweep(int slip, double turns,
                                                   double up, double edge,
                                                   const lh_nib *nibs, size_t n)
{
  return (lh_mark){.kind = n == 1 ? LH_DOT : LH_STROKE,
                   .slip = slip,
                   .anchor = {turns, up},
                   .local = {.scale = 1.0},
                   .edge = edge,
                   .nibs = nibs,
                   .n = n};
}

__attribute__((unused)) static float easel_at(const easel *e, int layer, int x,
                                              int y)
{
  return e->maps.coat[layer][(size_t)y * (size_t)e->grid.nx + (size_t)x];
}

/* Sum over a map times the pixel's chart area. */
__attribute__((unused)) static double easel_sum(const easel *e,
                                                const float *map)
{
  double sum = 0.0;

  for (size_t i = 0; i < (size_t)e->grid.nx * (size_t)e->grid.ny; i++)
    sum += map[i];
  return sum * e->grid.pixel * e->grid.pixel;
}

__attribute__((unused)) static bool easel_same(const easel *a, const easel *b)
{
  size_t n = (size_t)a->grid.nx * (size_t)a->grid.ny * sizeof(float);

  if (a->laying.layers != b->laying.layers || a->grid.nx != b->grid.nx ||
      a->grid.ny != b->grid.ny)
    return false;
  for (int k = 0; k < a->laying.layers; k++)
    if (memcmp(a->maps.coat[k], b->maps.coat[k], n) != 0 ||
        memcmp(a->maps.cover[k], b->maps.cover[k], n) != 0)
      return false;
  return true;
}

__attribute__((unused)) static double easel_random(void)
{
  static uint64_t state = 5;

  state = state * 6364136223846793005U + 1442695040888963407U;
  return (double)(state >> 11) * 0x1p-53;
}

#endif
