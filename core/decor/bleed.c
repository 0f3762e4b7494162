/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bleed.h"

#include <math.h>
#include <string.h>

#include "clear.h"

/* ---- rates -------------------------------------------------------------- */

/* A disc's rates are looked up by the distance from its centre: so many places
** a pixel.  The nearest place is at most an eighth of a pixel off, over which
** no chart's scale changes by as much as a hand's bleed is known. */
enum { PLACES = 4 };

/* Places that reach the corners of a disc's map. */
static size_t places_of(const lh_grid *g)
{
  return (size_t)PLACES * ((size_t)g->nx + (size_t)g->ny) + 1;
}

size_t lh_bleed_rates(const lh_grid *g)
{
  if (g->wraps) return (size_t)g->ny;
  return (size_t)g->nx * (size_t)g->ny + places_of(g);
}

/* Rate at a height for one of so many steps. */
static float rate_at(const lh_chart *ch, double h, double sigma, int steps,
                     double pixel)
{
  double s = lh_clearance_scale(ch, h) * pixel,
         r = sigma * sigma / (2.0 * steps * s * s);

  return (float)(r < LH_BLEED_RATE ? r : LH_BLEED_RATE);
}

/* A disc's: of places first, then of pixels. */
static void rates_disc(const lh_chart *ch, const lh_grid *g, double sigma,
                       int steps, float *rate)
{
  size_t nx = (size_t)g->nx, ny = (size_t)g->ny;
  float *place = rate + nx * ny;

  for (size_t k = 0; k < places_of(g); k++)
    place[k] =
        rate_at(ch, (double)k / PLACES * g->pixel, sigma, steps, g->pixel);
  for (size_t j = 0; j < ny; j++) {
    double y = g->y0 / g->pixel + (double)j + 0.5;
    for (size_t i = 0; i < nx; i++) {
      double x = g->x0 / g->pixel + (double)i + 0.5;
      rate[j * nx + i] = place[(size_t)(PLACES * sqrt(x * x + y * y) + 0.5)];
    }
  }
}

lh_status lh_bleed_steps(const lh_chart *ch, const lh_grid *g, double mm,
                         lh_bleed *b)
{
  double sigma = mm / LH_BLEED_TENTH, least, most, side;

  *b = (lh_bleed){.grid = *g, .rows = g->wraps};
  if (!(mm <= LH_BLEED_MOST_MM)) return LH_RANGE;
  if (!(mm > 0)) return LH_OK;
  lh_chart_scales(ch, &least, &most);
  side = least * g->pixel;
  b->steps = (int)ceil(sigma * sigma / (2 * LH_BLEED_RATE * side * side));
  return LH_OK;
}

lh_status lh_bleed_make(const lh_chart *ch, const lh_grid *g, double mm,
                        float *rate, lh_bleed *b)
{
  double sigma = mm / LH_BLEED_TENTH;
  lh_status st = lh_bleed_steps(ch, g, mm, b);

  if (st != LH_OK || b->steps == 0) return st;
  b->rate = rate;
  if (!g->wraps) rates_disc(ch, g, sigma, b->steps, rate);
  for (int k = 0; g->wraps && k < g->ny; k++)
    rate[k] =
        rate_at(ch, g->y0 + g->pixel * (k + 0.5), sigma, b->steps, g->pixel);
  return LH_OK;
}

/* ---- spreading ---------------------------------------------------------- */

/* A window of the map with its margin. */
typedef struct {
  int x0, y0, w, h; /* columns (not yet wrapped) and rows of the map */
  float *c;         /* w x h */
  float *was;       /* a row as it was before the step */
} window;

static int wrap(int i, int n)
{
  i %= n;
  return i < 0 ? i + n : i;
}

/* The clip widened by the steps: round the band as often as it takes, else
** cut at the map's edge. */
static window widened(const lh_bleed *b, const lh_rect *clip, float *scratch)
{
  const lh_grid *g = &b->grid;
  int x1 = clip->x1 + b->steps, y1 = clip->y1 + b->steps;
  window w = {clip->x0 - b->steps, clip->y0 - b->steps, 0, 0, NULL, NULL};

  if (!g->wraps && w.x0 < 0) w.x0 = 0;
  if (!g->wraps && x1 > g->nx) x1 = g->nx;
  if (w.y0 < 0) w.y0 = 0;
  if (y1 > g->ny) y1 = g->ny;
  w.w = x1 - w.x0;
  w.h = y1 - w.y0;
  w.c = scratch;
  w.was = scratch + (size_t)w.w * (size_t)w.h;
  return w;
}

static void fill(const lh_bleed *b, const float *coat, const window *w)
{
  const lh_grid *g = &b->grid;

  for (int j = 0; j < w->h; j++) {
    const float *from = coat + (size_t)(w->y0 + j) * (size_t)g->nx;
    float *to = w->c + (size_t)j * (size_t)w->w;
    for (int i = 0; i < w->w;) {
      int at = g->wraps ? wrap(w->x0 + i, g->nx) : w->x0 + i;
      int run = g->nx - at < w->w - i ? g->nx - at : w->w - i;
      memcpy(to + i, from + at, (size_t)run * sizeof *to);
      i += run;
    }
  }
}

/* n pixels of a row take over their share of what their neighbours have more:
** p and q are the neighbours' rows. */
static void share(float *restrict c, const float *restrict was,
                  const float *restrict p, const float *restrict q, float rate,
                  int n)
{
  for (int i = 0; i < n; i++)
    c[i] = was[i] + rate * ((p[i] - was[i]) + (q[i] - was[i]));
}

/* The same with a rate for each. */
static void share_each(float *restrict c, const float *restrict was,
                       const float *restrict p, const float *restrict q,
                       const float *restrict rate, int n)
{
  for (int i = 0; i < n; i++)
    c[i] = was[i] + rate[i] * ((p[i] - was[i]) + (q[i] - was[i]));
}

/* Pixels of row j from column i on. */
static void share_row(const lh_bleed *b, const window *w, int j, int i,
                      const float *was, const float *p, const float *q, int n)
{
  float *c = w->c + (size_t)j * (size_t)w->w + i;
  size_t row = (size_t)(w->y0 + j);

  if (b->rows)
    share(c, was, p, q, b->rate[row], n);
  else
    share_each(c, was, p, q,
               b->rate + row * (size_t)b->grid.nx + (size_t)(w->x0 + i), n);
}

/* One step sideways; at the ends there is no neighbour. */
static void step_across(const lh_bleed *b, const window *w, int j)
{
  float *was = w->was;
  int last = w->w - 1;

  if (last < 1) return;
  memcpy(was, w->c + (size_t)j * (size_t)w->w, (size_t)w->w * sizeof *was);
  share_row(b, w, j, 0, was, was, was + 1, 1);
  share_row(b, w, j, 1, was + 1, was, was + 2, last - 1);
  share_row(b, w, j, last, was + last, was + last - 1, was + last, 1);
}

/* One step up and down, row by row; was: the row below as it was, and this
** one. */
static void step_up(const lh_bleed *b, const window *w)
{
  float *below = w->was, *here = w->was + w->w;
  size_t n = (size_t)w->w;

  for (int j = 0; j < w->h; j++) {
    const float *c = w->c + (size_t)j * n;
    float *swap = below;
    memcpy(here, c, n * sizeof *here);
    if (j == 0) memcpy(below, c, n * sizeof *below);
    share_row(b, w, j, 0, here, below, j + 1 < w->h ? c + n : here, w->w);
    below = here;
    here = swap;
  }
}

/* ---- maps -----------------------------------------------------------------
 */

/* A map is spread in blocks of so many pixels a side: small enough to stay at
** hand and to lie empty often, large enough beside their margin. */
static int block_side(const lh_bleed *b)
{
  return 8 * b->steps > 64 ? 8 * b->steps : 64;
}

size_t lh_bleed_scratch(const lh_bleed *b, int columns, int rows)
{
  int side = block_side(b), margin = 2 * b->steps;
  size_t w = (size_t)((columns < side ? columns : side) + margin);
  size_t h = (size_t)((rows < side ? rows : side) + margin);

  return b->steps == 0 ? 0 : w * h + 2 * w;
}

/* Is a window bare, or one even coat? */
static bool even(const window *w)
{
  size_t n = (size_t)w->w * (size_t)w->h;

  for (size_t i = 1; i < n; i++)
    if (w->c[i] < w->c[0] || w->c[i] > w->c[0]) return false;
  return true;
}

static void spread(const lh_bleed *b, const float *coat, const lh_rect *r,
                   float *scratch, float *out)
{
  size_t nx = (size_t)b->grid.nx, n = (size_t)(r->x1 - r->x0);
  window w = widened(b, r, scratch);

  fill(b, coat, &w);
  for (int k = even(&w) ? b->steps : 0; k < b->steps; k++) {
    for (int j = 0; j < w.h; j++) step_across(b, &w, j);
    step_up(b, &w);
  }
  for (int y = r->y0; y < r->y1; y++)
    memcpy(out + (size_t)y * nx + r->x0,
           w.c + (size_t)(y - w.y0) * (size_t)w.w + (r->x0 - w.x0),
           n * sizeof *out);
}

lh_status lh_bleed_map(const lh_bleed *b, const float *coat,
                       const lh_rect *clip, float *scratch,
                       const lh_watch *watch, float *out)
{
  int side = block_side(b), rows = clip->y1 - clip->y0;
  size_t nx = (size_t)b->grid.nx, n = (size_t)(clip->x1 - clip->x0);

  for (int y = clip->y0; b->steps == 0 && y < clip->y1; y++)
    memcpy(out + (size_t)y * nx + clip->x0, coat + (size_t)y * nx + clip->x0,
           n * sizeof *out);
  if (b->steps == 0) return LH_OK;
  for (int y = clip->y0; y < clip->y1; y += side) {
    for (int x = clip->x0; x < clip->x1; x += side) {
      lh_rect r = {x, y, x + side < clip->x1 ? x + side : clip->x1,
                   y + side < clip->y1 ? y + side : clip->y1};
      if (!lh_watch_go(watch, (double)(y - clip->y0) / rows))
        return LH_CANCELLED;
      spread(b, coat, &r, scratch, out);
    }
  }
  return LH_OK;
}
