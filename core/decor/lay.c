/* SPDX-License-Identifier: GPL-3.0-or-later */
/* lay.c -- the inner loops.
**
** A shape is laid row by row.  For each row the primitive leaves a cover and
** a coat in two rows of scratch; then that row goes into the map.  What a
** pixel gets depends on its place about the anchor alone, never on where a
** run or a clip begins, so any clip has the bits of the whole.
*/
#include <math.h>

#include "laid.h"

/* "Not touched": farther out than any edge, and its square is finite. */
#define FAR (-1.0e15f)

/* Shapes between two questions whether to go on. */
enum { WATCH_EVERY = 32 };

/* One shape being laid: its target columns x0 <= i < x1 of the map, and the
** images of the shape (whole times round) that are looked at together. */
typedef struct {
  const struct lh_laid *d;
  const lh_stretch *at;
  int nx;     /* columns once round                      */
  bool wraps; /* the images from..to are laid            */
  int from, to;
  int x0, x1;
  float *best, *coat; /* scratch, one a column of the map */
  int low, high;      /* columns touched in this row      */
} brush;

static int floor_div(int a, int b)
{
  int q = a / b;
  return a % b < 0 ? q - 1 : q;
}

/* ---- sweep -------------------------------------------------------------- */

/* Signed distance of n pixels of a row to one stretch, the greatest kept.
** `column` is the first pixel's, from the anchor's; fx and y place its centre
** about the anchor. */
static void stretch_row(const lh_stretch *g, int column, float fx, float y,
                        int n, float *restrict best, float *restrict coat)
{
  const float ax = g->ax, ux = g->ux, uy = g->uy, length = g->length;
  const float r = g->r, k = g->k, lead = g->lead, w = g->w, dw = g->dw;
  const float dy = y - g->ay, along = dy * uy, across = dy * ux;

  for (int i = 0; i < n; i++) {
    float dx = (float)(column + i) + fx - ax;
    float xi = dx * ux + along, eta = fabsf(dx * uy - across);
    float was = best[i], here = coat[i], l = xi + eta * lead, e, s;
    l = l < 0.0f ? 0.0f : l;
    l = l > length ? length : l;
    e = xi - l;
    s = r + k * l - sqrtf(e * e + eta * eta);
    here = s > was ? w + dw * l : here;
    was = s > was ? s : was;
    coat[i] = here;
    best[i] = was;
  }
}

/* The columns, from the anchor's, that a stretch may touch in the row at
** height y; false for none.  Generous by a pixel: what is beyond the edge has
** no cover, so generosity changes no bit. */
static bool stretch_run(const lh_stretch *g, float fx, float y, int *from,
                        int *to)
{
  float off = y < g->low ? g->low - y : y > g->high ? y - g->high : 0.0f;
  float t0 = 0.0f, t1 = g->length, chord, xa, xb;

  if (!(off < g->reach)) return false;
  chord = sqrtf(g->reach * g->reach - off * off) + 1.0f;
  if (g->uy > 0.01f || g->uy < -0.01f) {
    float ta = (y - g->reach - g->ay) / g->uy;
    float tb = (y + g->reach - g->ay) / g->uy;
    float first = ta < tb ? ta : tb, last = ta < tb ? tb : ta;
    if (first > t0) t0 = first < t1 ? first : t1;
    if (last < t1) t1 = last > t0 ? last : t0;
  }
  xa = g->ax + g->ux * t0;
  xb = g->ax + g->ux * t1;
  *from = (int)((xa < xb ? xa : xb) - chord - fx) - 1;
  *to = (int)((xa < xb ? xb : xa) + chord - fx) + 2;
  return true;
}

/* Clip a run of columns (not yet wrapped) to the target, image by image, and
** call the stretch on each piece. */
static void stretch_lay(brush *b, const lh_stretch *g, float y, int from,
                        int to)
{
  const struct lh_laid *d = b->d;
  int first = b->from, last = b->to;

  from += d->column;
  to += d->column;
  if (b->wraps && first != last) {
    first = floor_div(from, b->nx);
    last = floor_div(to - 1, b->nx);
  }
  for (int m = first; m <= last; m++) {
    int i0 = from - m * b->nx, i1 = to - m * b->nx;
    if (i0 < b->x0) i0 = b->x0;
    if (i1 > b->x1) i1 = b->x1;
    if (i0 >= i1) continue;
    stretch_row(g, i0 + m * b->nx - d->column, d->fx, y, i1 - i0, b->best + i0,
                b->coat + i0);
    if (i0 < b->low) b->low = i0;
    if (i1 > b->high) b->high = i1;
  }
}

static void sweep_row(brush *b, float y)
{
  const struct lh_laid *d = b->d;

  for (size_t i = 0; i < d->n; i++) {
    int from, to;
    if (stretch_run(&b->at[i], d->fx, y, &from, &to))
      stretch_lay(b, &b->at[i], y, from, to);
  }
}

/* ---- polygon ------------------------------------------------------------ */

/* Squared distance to one side of the outline, the least kept (negative). */
static void side_row(const lh_stretch *g, int column, float fx, float y, int n,
                     float *restrict best)
{
  const float ax = g->ax, ux = g->ux, uy = g->uy, length = g->length;
  const float dy = y - g->ay, along = dy * uy, across = dy * ux;

  for (int i = 0; i < n; i++) {
    float dx = (float)(column + i) + fx - ax;
    float xi = dx * ux + along, eta = dx * uy - across, l, e, q;
    l = xi < 0.0f ? 0.0f : xi;
    l = l > length ? length : l;
    e = xi - l;
    q = -(e * e + eta * eta);
    best[i] = q > best[i] ? q : best[i];
  }
}

/* Where a side crosses the row, everything to the right changes between
** outside and inside.  The ends are the very floats of the neighbouring
** sides, so that no crossing is counted twice or lost. */
static void side_crossing(brush *b, const lh_stretch *g, float y)
{
  const struct lh_laid *d = b->d;
  float at;
  int i;

  if ((g->ay <= y) == (g->by <= y)) return;
  at = g->ax + (y - g->ay) * (g->bx - g->ax) / (g->by - g->ay) - d->fx;
  i = (int)at;
  if ((float)i < at) i++;
  i += d->column - b->from * b->nx;
  if (i < b->x0) i = b->x0;
  if (i < b->x1) b->coat[i] = 1.0f - b->coat[i];
}

static void polygon_row(brush *b, float y)
{
  const struct lh_laid *d = b->d;
  int shift = b->from * b->nx - d->column; /* map column -> anchor's */
  float in = 0.0f;

  b->low = d->x0 - b->from * b->nx;
  b->high = d->x1 - b->from * b->nx;
  if (b->low < b->x0) b->low = b->x0;
  if (b->high > b->x1) b->high = b->x1;
  if (b->low >= b->high) return;
  for (int i = b->low; i < b->high; i++) b->coat[i] = 0.0f;
  for (size_t k = 0; k < d->n; k++) {
    const lh_stretch *g = &b->at[k];
    int from, to;
    side_crossing(b, g, y);
    if (!stretch_run(g, d->fx, y, &from, &to)) continue;
    from -= shift;
    to -= shift;
    if (from < b->low) from = b->low;
    if (to > b->high) to = b->high;
    if (from < to)
      side_row(g, from + shift, d->fx, y, to - from, b->best + from);
  }
  for (int i = b->low; i < b->high; i++) {
    float away = sqrtf(-b->best[i]);
    if (b->coat[i] > 0.5f) in = 1.0f - in;
    b->best[i] = in > 0.5f ? away : -away;
    b->coat[i] = d->coat;
  }
}

/* ---- ring --------------------------------------------------------------- */

static float soft(float s, float sharp)
{
  float u = s * sharp + 0.5f;
  u = u < 0.0f ? 0.0f : u;
  u = u > 1.0f ? 1.0f : u;
  return u * u * (3.0f - 2.0f * u);
}

static float ring_cover(const struct lh_laid *d, float at)
{
  float a = d->sharp_from > 0.0f ? soft(at - d->from, d->sharp_from) : 1.0f;
  float b = d->sharp_to > 0.0f ? soft(d->to - at, d->sharp_to) : 1.0f;
  return a < b ? a : b;
}

/* Cover, not distance, straight into the row: the two edges may differ. */
static void ring_row(brush *b, const lh_grid *g, int row)
{
  float y = (float)row + 0.5f, mid = 0.5f * (float)g->nx;

  b->low = b->x0;
  b->high = b->x1;
  for (int i = b->x0; i < b->x1; i++) {
    float dx = (float)i + 0.5f - mid, dy = y - mid;
    float at = g->wraps ? y : sqrtf(dx * dx + dy * dy);
    b->best[i] = ring_cover(b->d, at);
    b->coat[i] = b->d->coat;
  }
}

/* ---- into the maps ------------------------------------------------------- */

static void cover_row(float *restrict best, int n, float sharp)
{
  for (int i = 0; i < n; i++) best[i] = soft(best[i], sharp);
}

static void add_row(float *restrict map, const float *restrict cover,
                    const float *restrict coat, int n)
{
  for (int i = 0; i < n; i++) map[i] += cover[i] * coat[i];
}

/* Two covers of which neither knows the other: 1 - (1 - a)(1 - b). */
static void join_row(float *restrict map, const float *restrict cover, int n)
{
  for (int i = 0; i < n; i++) map[i] += cover[i] * (1.0f - map[i]);
}

static void take_row(float *restrict map, const float *restrict cover, int n)
{
  for (int i = 0; i < n; i++) map[i] *= 1.0f - cover[i];
}

static void row_into_maps(const brush *b, const lh_maps *m, size_t row)
{
  size_t at = row * (size_t)b->nx + (size_t)b->low;
  const float *cover = b->best + b->low, *coat = b->coat + b->low;
  int n = b->high - b->low, layer = b->d->layer;

  if (!b->d->away) {
    add_row(m->coat[layer] + at, cover, coat, n);
    if (m->cover[layer]) join_row(m->cover[layer] + at, cover, n);
    return;
  }
  for (int l = 0; l <= layer; l++) {
    take_row(m->coat[l] + at, cover, n);
    if (m->cover[l]) take_row(m->cover[l] + at, cover, n);
  }
}

/* One pass over the rows of a shape. */
static void pass(brush *b, const lh_grid *g, const lh_maps *m, int y0, int y1)
{
  const struct lh_laid *d = b->d;

  for (int row = y0; row < y1; row++) {
    float y = (float)(row - d->row) + d->fy;
    b->low = b->x1;
    b->high = b->x0;
    if (d->kind == LH_SWEEP)
      sweep_row(b, y);
    else if (d->kind == LH_POLYGON)
      polygon_row(b, y);
    else
      ring_row(b, g, row);
    if (b->low >= b->high) continue;
    if (d->kind != LH_RING)
      cover_row(b->best + b->low, b->high - b->low, d->sharp);
    row_into_maps(b, m, (size_t)row);
    for (int i = b->low; i < b->high; i++) b->best[i] = FAR;
  }
}

static void shape_lay(brush *b, const lh_grid *g, const lh_maps *m,
                      const lh_rect *clip)
{
  const struct lh_laid *d = b->d;
  int y0 = d->y0 > clip->y0 ? d->y0 : clip->y0;
  int y1 = d->y1 < clip->y1 ? d->y1 : clip->y1;
  int first = 0, last = 0;

  if (y0 >= y1 || d->x0 >= d->x1 || d->layer < 0) return;
  b->x0 = clip->x0;
  b->x1 = clip->x1;
  b->from = b->to = 0;
  if (g->wraps) {
    first = floor_div(d->x0, g->nx);
    last = floor_div(d->x1 - 1, g->nx);
  }
  if (d->x1 - d->x0 > g->nx) { /* meets itself: all images at once */
    b->from = first;
    b->to = last;
    pass(b, g, m, y0, y1);
    return;
  }
  for (int k = first; k <= last; k++) {
    if (d->x1 - k * g->nx <= clip->x0 || d->x0 - k * g->nx >= clip->x1)
      continue;
    b->from = b->to = k;
    pass(b, g, m, y0, y1);
  }
}

size_t lh_lay_scratch(const lh_grid *g)
{
  return 2 * (size_t)g->nx;
}

static void wipe(float *map, const lh_grid *g, const lh_rect *r)
{
  for (int y = r->y0; y < r->y1; y++)
    for (int x = r->x0; x < r->x1; x++)
      map[(size_t)y * (size_t)g->nx + (size_t)x] = 0.0f;
}

lh_status lh_lay(const lh_laying *l, const lh_maps *m, const lh_rect *clip,
                 float *scratch, const lh_watch *watch)
{
  const lh_grid *g = &l->grid;
  lh_rect r = {0, 0, g->nx, g->ny};
  brush b = {.nx = g->nx, .wraps = g->wraps};

  if (clip) {
    if (clip->x0 > r.x0) r.x0 = clip->x0;
    if (clip->y0 > r.y0) r.y0 = clip->y0;
    if (clip->x1 < r.x1) r.x1 = clip->x1;
    if (clip->y1 < r.y1) r.y1 = clip->y1;
  }
  if (r.x0 >= r.x1 || r.y0 >= r.y1) return LH_OK;
  for (int k = 0; k < l->layers; k++) {
    wipe(m->coat[k], g, &r);
    if (m->cover[k]) wipe(m->cover[k], g, &r);
  }
  b.best = scratch;
  b.coat = scratch + g->nx;
  for (int i = 0; i < g->nx; i++) {
    b.best[i] = FAR;
    b.coat[i] = 0.0f;
  }
  for (size_t i = 0; i < l->n; i++) {
    if (i % WATCH_EVERY == 0 && !lh_watch_go(watch, (double)i / (double)l->n))
      return LH_CANCELLED;
    b.d = &l->laid[i];
    b.at = l->stretches + l->laid[i].first;
    shape_lay(&b, g, m, &r);
  }
  return LH_OK;
}
