/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "since.h"

#include <string.h>

#include "laid.h"

static bool same_chart(const lh_chart *a, const lh_chart *b)
{
  return a->kind == b->kind && a->hand == b->hand && a->radius == b->radius &&
         a->width == b->width && a->height == b->height &&
         a->rho_inner == b->rho_inner && a->n == b->n &&
         memcmp(a->s, b->s, a->n * sizeof *a->s) == 0 &&
         memcmp(a->r, b->r, a->n * sizeof *a->r) == 0 &&
         memcmp(a->w, b->w, a->n * sizeof *a->w) == 0;
}

static bool same_grid(const lh_grid *a, const lh_grid *b)
{
  return a->wraps == b->wraps && a->nx == b->nx && a->ny == b->ny &&
         a->pixel == b->pixel;
}

static bool same_shape(const lh_shape *a, const lh_shape *b)
{
  return a->kind == b->kind && a->slip == b->slip && a->x == b->x &&
         a->y == b->y && a->edge == b->edge && a->coat == b->coat &&
         a->from == b->from && a->to == b->to && a->edge_from == b->edge_from &&
         a->edge_to == b->edge_to && a->n == b->n &&
         (a->n == 0 || memcmp(a->nibs, b->nibs, a->n * sizeof *a->nibs) == 0);
}

/* ---- layers -------------------------------------------------------------- */

/* Which layer before goes on as which layer after, each at most once. */
typedef struct {
  int from[LH_LAYERS_MOST], to[LH_LAYERS_MOST];
} joined;

static bool join(joined *j, int before, int after)
{
  if (before < 0 || after < 0) return before == after;
  if (j->from[after] < 0 && j->to[before] < 0) {
    j->from[after] = before;
    j->to[before] = after;
  }
  return j->from[after] == before && j->to[before] == after;
}

/* A sgraffito takes from all layers so far: which layer is the last of them
** is told by the marks before it, not by its own. */
static bool join_all(joined *j, const lh_laying *old, const lh_laying *l,
                     size_t same, size_t tail)
{
  for (int k = 0; k < LH_LAYERS_MOST; k++) j->from[k] = j->to[k] = -1;
  for (size_t i = 0; i < same; i++)
    if (!l->laid[i].away && !join(j, old->laid[i].layer, l->laid[i].layer))
      return false;
  for (size_t i = 1; i <= tail; i++) {
    const struct lh_laid *a = &old->laid[old->n - i], *b = &l->laid[l->n - i];
    if (!b->away && !join(j, a->layer, b->layer)) return false;
  }
  return true;
}

/* A layer that only changed shapes lie in has nothing outside stale tiles, so
** its maps serve any layer that begins anew. */
static void use_left(joined *j, int before, int after)
{
  int free = 0;

  for (int k = 0; k < after; k++) {
    if (j->from[k] >= 0) continue;
    while (free < before && j->to[free] >= 0) free++;
    if (free == before) return;
    j->from[k] = free;
    j->to[free] = k;
  }
}

/* ---- tiles --------------------------------------------------------------- */

static int wrapped(int tile, int across)
{
  tile %= across;
  return tile < 0 ? tile + across : tile;
}

/* Tiles that a shape's box touches. */
static void shape_stale(const lh_grid *g, const struct lh_laid *d,
                        unsigned char *stale)
{
  int across = lh_tiles_across(g), x0 = d->x0, x1 = d->x1;
  int first, n;

  if (d->y0 >= d->y1 || x0 >= x1) return;
  if (!g->wraps) {
    x0 = x0 < 0 ? 0 : x0;
    x1 = x1 > g->nx ? g->nx : x1;
    if (x0 >= x1) return;
  } else if (x1 - x0 >= g->nx) {
    x0 = 0;
    x1 = g->nx;
  }
  /* Columns are brought within the grid before they become tiles: its last
  ** tile may be narrower. */
  while (x0 < 0) {
    x0 += g->nx;
    x1 += g->nx;
  }
  while (x0 >= g->nx) {
    x0 -= g->nx;
    x1 -= g->nx;
  }
  first = x0 / LH_TILE;
  n = (x1 <= g->nx ? (x1 - 1) / LH_TILE : across + (x1 - g->nx - 1) / LH_TILE) -
      first + 1;
  if (n > across) n = across;
  for (int y = d->y0 / LH_TILE; y <= (d->y1 - 1) / LH_TILE; y++)
    for (int i = 0; i < n; i++)
      stale[y * across + wrapped(first + i, across)] = 1;
}

/* Tiles that a piece of a path touches; three pixels more than it reaches. */
static void stretch_stale(const lh_grid *g, const struct lh_laid *d,
                          const lh_stretch *t, unsigned char *stale)
{
  struct lh_laid box = *d;
  float left = t->ax < t->bx ? t->ax : t->bx;
  float right = t->ax < t->bx ? t->bx : t->ax;
  int x0 = d->column + (int)(left - t->reach) - 3;
  int x1 = d->column + (int)(right + t->reach) + 4;
  int y0 = d->row + (int)(t->low - t->reach) - 3;
  int y1 = d->row + (int)(t->high + t->reach) + 4;

  if (x0 > box.x0) box.x0 = x0;
  if (x1 < box.x1) box.x1 = x1;
  if (y0 > box.y0) box.y0 = y0;
  if (y1 < box.y1) box.y1 = y1;
  shape_stale(g, &box, stale);
}

/* The same path but for some of its nibs, as a stroke that grows: laid at the
** same place, in a layer that goes on.  Within a mark pieces of the path never
** add up, so only where a piece came, went or changed a pixel can change.  One
** that meets itself round the pot is left to the whole. */
static bool same_path(const lh_grid *g, const lh_laying *old,
                      const lh_laying *l, size_t i, const joined *j)
{
  const lh_shape *a = &old->shapes[i], *b = &l->shapes[i];
  const struct lh_laid *x = &old->laid[i], *y = &l->laid[i];

  return a->kind == LH_SWEEP && b->kind == LH_SWEEP && a->slip == b->slip &&
         a->edge == b->edge && !x->away && !y->away && x->layer >= 0 &&
         y->layer >= 0 && j->from[y->layer] == x->layer &&
         x->column == y->column && x->row == y->row && x->fx == y->fx &&
         x->fy == y->fy && x->sharp == y->sharp && x->coat == y->coat &&
         (!g->wraps || (x->x1 - x->x0 <= g->nx && y->x1 - y->x0 <= g->nx));
}

static void path_stale(const lh_grid *g, const lh_laying *old,
                       const lh_laying *l, size_t i, unsigned char *stale)
{
  const struct lh_laid *x = &old->laid[i], *y = &l->laid[i];
  const lh_stretch *p = old->stretches + x->first, *q = l->stretches + y->first;

  for (size_t m = 0; m < x->n || m < y->n; m++) {
    if (m < x->n && m < y->n && memcmp(&p[m], &q[m], sizeof *p) == 0) continue;
    if (m < x->n) stretch_stale(g, x, &p[m], stale);
    if (m < y->n) stretch_stale(g, y, &q[m], stale);
  }
}

static void everything(const lh_grid *g, unsigned char *stale, lh_since *s)
{
  s->all = true;
  s->tiles = lh_tiles_across(g) * lh_tiles_up(g);
  for (int k = 0; k < LH_LAYERS_MOST; k++) s->from[k] = -1;
  memset(stale, 1, (size_t)s->tiles);
}

void lh_laying_since(const lh_chart *old_chart, const lh_laying *old,
                     const lh_chart *chart, const lh_laying *l,
                     unsigned char *stale, lh_since *s)
{
  const lh_grid *g = &l->grid;
  int tiles = lh_tiles_across(g) * lh_tiles_up(g);
  size_t same = 0, tail = 0, least = old->n < l->n ? old->n : l->n;
  joined j;

  *s = (lh_since){.all = false};
  if (!same_grid(&old->grid, g) || !same_chart(old_chart, chart)) {
    everything(g, stale, s);
    return;
  }
  while (same < least && same_shape(&old->shapes[same], &l->shapes[same]))
    same++;
  while (tail < least - same && same_shape(&old->shapes[old->n - 1 - tail],
                                           &l->shapes[l->n - 1 - tail]))
    tail++;
  s->changed = (int)(old->n + l->n - 2 * (same + tail));
  if (!join_all(&j, old, l, same, tail)) {
    everything(g, stale, s);
    return;
  }
  use_left(&j, old->layers, l->layers);
  memset(stale, 0, (size_t)tiles);
  for (int k = 0; k < LH_LAYERS_MOST; k++) s->from[k] = j.from[k];
  for (size_t i = same; i < old->n - tail || i < l->n - tail; i++) {
    bool before = i < old->n - tail, after = i < l->n - tail;
    if (before && after && same_path(g, old, l, i, &j)) {
      path_stale(g, old, l, i, stale);
      continue;
    }
    if (before) shape_stale(g, &old->laid[i], stale);
    if (after) shape_stale(g, &l->laid[i], stale);
  }
  for (int i = 0; i < tiles; i++) s->tiles += stale[i];
}

/* Along a row as far as it goes, then up as long as all of it is stale. */
bool lh_stale_next(const lh_grid *g, unsigned char *stale, int *next,
                   lh_rect *r)
{
  int across = lh_tiles_across(g), n = across * lh_tiles_up(g), i = *next;
  int wide = 0, high = 1;

  while (i < n && !stale[i]) i++;
  *next = i;
  if (i >= n) return false;
  while (i % across + wide < across && stale[i + wide]) wide++;
  memset(stale + i, 0, (size_t)wide);
  while (i + high * across < n) {
    unsigned char *row = stale + i + high * across;
    if (memchr(row, 0, (size_t)wide)) break;
    memset(row, 0, (size_t)wide);
    high++;
  }
  *r = lh_tile_rect(g, i);
  r->x1 = lh_tile_rect(g, i + wide - 1).x1;
  r->y1 = lh_tile_rect(g, i + (high - 1) * across).y1;
  return true;
}
