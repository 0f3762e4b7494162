/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "measure.h"

#include <math.h>

/* Which of the zone's slips each layer is; slips in order of first use. */
typedef struct {
  int slips, slip[LH_LAYERS_MOST], of[LH_LAYERS_MOST];
} slip_list;

static slip_list slips_list(const lh_laying *l)
{
  slip_list x = {.slips = 0};

  for (int k = 0; k < l->layers; k++) {
    int i = 0;
    while (i < x.slips && x.slip[i] != l->layer_slip[k]) i++;
    if (i == x.slips) x.slip[x.slips++] = l->layer_slip[k];
    x.of[k] = i;
  }
  return x;
}

/* The layers that lie in a tile, from the lowest up; the others add nothing
** to any sum. */
typedef struct {
  int n, layer[LH_LAYERS_MOST];
  const float *cover[LH_LAYERS_MOST], *coat[LH_LAYERS_MOST];
} present;

size_t lh_pixel_areas(const lh_grid *g)
{
  return g->wraps ? (size_t)g->ny : (size_t)g->nx * (size_t)g->ny;
}

static double scale2(const lh_chart *ch, double x, double y)
{
  double scale;

  if (lh_chart_scale(ch, x, y, &scale) != LH_OK) return 0.0;
  return scale * scale;
}

/* One row of a band: side times the integral of scale^2 over its height. */
static double row_area(const lh_grid *g, const lh_chart *ch, int row)
{
  double y0 = g->y0 + row * g->pixel, y1 = y0 + g->pixel;

  if (y0 >= ch->height) return 0.0;
  if (y1 > ch->height) y1 = ch->height;
  return g->pixel * (y1 - y0) / 6.0 *
         (scale2(ch, 0.0, y0) + 4.0 * scale2(ch, 0.0, 0.5 * (y0 + y1)) +
          scale2(ch, 0.0, y1));
}

static double cut(double x)
{
  return x < 0.0 ? 0.0 : x > 1.0 ? 1.0 : x;
}

/* One pixel of a disc, cut at rim and hole as by a straight line across. */
static double disc_pixel(const lh_grid *g, const lh_chart *ch, double dx,
                         double dy)
{
  double rho = sqrt(dx * dx + dy * dy), h = g->pixel;
  double share = cut((ch->radius - rho) / h + 0.5);

  if (ch->rho_inner > 0.0) share *= cut((rho - ch->rho_inner) / h + 0.5);
  if (!(share > 0.0)) return 0.0;
  if (rho > ch->radius) rho = ch->radius;
  if (rho < ch->rho_inner) rho = ch->rho_inner;
  return share * h * h * scale2(ch, rho, 0.0);
}

void lh_pixel_areas_fill(const lh_grid *g, const lh_chart *ch, double *area)
{
  size_t nx = (size_t)g->nx, ny = (size_t)g->ny;

  if (g->wraps) {
    for (int row = 0; row < g->ny; row++) area[row] = row_area(g, ch, row);
    return;
  }
  for (size_t y = 0; y < ny / 2; y++) /* the four quarters are alike */
    for (size_t x = 0; x < nx / 2; x++) {
      double dx = ((double)(nx / 2 - x) - 0.5) * g->pixel;
      double dy = ((double)(ny / 2 - y) - 0.5) * g->pixel;
      double a = disc_pixel(g, ch, dx, dy);
      area[y * nx + x] = area[y * nx + nx - 1 - x] = a;
      area[(ny - 1 - y) * nx + x] = area[(ny - 1 - y) * nx + nx - 1 - x] = a;
    }
}

/* What lies straight on what, at one pixel. */
static void pixel_overlaps(lh_tile_sums *s, const present *p, const double *c,
                           const double *w, double a)
{
  for (int i = 0; i < p->n; i++) {
    int u = p->layer[i];
    double through = 1.0; /* share not covered between u and l */
    if (!(c[i] > 0.0)) continue;
    for (int j = i - 1; j >= 0; j--) {
      int l = p->layer[j];
      double share = a * c[i] * through * c[j];
      if (!(c[j] > 0.0)) continue;
      s->over[u][l] += share;
      s->upper[u][l] += share * w[i] / c[i];
      s->lower[u][l] += share * w[j] / c[j];
      through *= 1.0 - c[j];
    }
    s->over[u][LH_LAYERS_MOST] += a * c[i] * through;
    s->upper[u][LH_LAYERS_MOST] += a * w[i] * through;
  }
}

static void pixel_add(lh_tile_sums *s, const slip_list *x, const present *p,
                      size_t at, double a)
{
  double c[LH_LAYERS_MOST], w[LH_LAYERS_MOST], bare = 1.0;
  double slip_bare[LH_LAYERS_MOST];
  int covered = 0;

  s->zone += a;
  for (int i = 0; i < p->n; i++) {
    c[i] = p->cover[i][at];
    w[i] = p->coat[i][at];
    covered += c[i] > 0.0;
    bare *= 1.0 - c[i];
  }
  s->bare += a * bare;
  if (!covered) return;
  for (int k = 0; k < x->slips; k++) slip_bare[k] = 1.0;
  for (int i = 0; i < p->n; i++) {
    int k = p->layer[i];
    s->area[k] += a * c[i];
    s->grams[k] += a * w[i] * 1e-6;
    if (w[i] > s->most[k]) s->most[k] = w[i];
    slip_bare[x->of[k]] *= 1.0 - c[i];
  }
  for (int k = 0; k < x->slips; k++)
    s->slip_area[k] += a * (1.0 - slip_bare[k]);
  pixel_overlaps(s, p, c, w, a);
}

/* ---- tiles -------------------------------------------------------------- */

int lh_tiles_across(const lh_grid *g)
{
  return (g->nx + LH_TILE - 1) / LH_TILE;
}

int lh_tiles_up(const lh_grid *g)
{
  return (g->ny + LH_TILE - 1) / LH_TILE;
}

lh_rect lh_tile_rect(const lh_grid *g, int tile)
{
  int x = tile % lh_tiles_across(g) * LH_TILE;
  int y = tile / lh_tiles_across(g) * LH_TILE;
  lh_rect r = {x, y, x + LH_TILE, y + LH_TILE};

  if (r.x1 > g->nx) r.x1 = g->nx;
  if (r.y1 > g->ny) r.y1 = g->ny;
  return r;
}

static bool any(const float *map, const lh_grid *g, const lh_rect *r)
{
  for (int y = r->y0; y < r->y1; y++) {
    const float *row = map + (size_t)y * (size_t)g->nx;
    float most = 0.0f;
    for (int x = r->x0; x < r->x1; x++) most = row[x] > most ? row[x] : most;
    if (most > 0.0f) return true;
  }
  return false;
}

void lh_measure_tile(const lh_laying *l, const lh_maps *m, const double *area,
                     int tile, lh_tile_sums *s)
{
  const lh_grid *g = &l->grid;
  lh_rect r = lh_tile_rect(g, tile);
  slip_list slips = slips_list(l);
  present p = {.n = 0};

  *s = (lh_tile_sums){.zone = 0.0};
  for (int k = 0; k < l->layers; k++) {
    if (!any(m->cover[k], g, &r) && !any(m->coat[k], g, &r)) continue;
    p.layer[p.n] = k;
    p.cover[p.n] = m->cover[k];
    p.coat[p.n++] = m->coat[k];
  }
  for (int y = r.y0; y < r.y1; y++) {
    size_t row = (size_t)y * (size_t)g->nx;
    for (int x = r.x0; x < r.x1; x++) {
      size_t at = row + (size_t)x;
      double px = g->wraps ? area[y] : area[at];
      if (px > 0.0) pixel_add(s, &slips, &p, at, px);
    }
  }
}

/* Add a tile; what the zone has no layers for stays 0. */
static void tile_add(lh_tile_sums *to, const lh_tile_sums *s, int layers)
{
  to->zone += s->zone;
  to->bare += s->bare;
  for (int u = 0; u < layers; u++) {
    to->area[u] += s->area[u];
    to->grams[u] += s->grams[u];
    if (s->most[u] > to->most[u]) to->most[u] = s->most[u];
    to->slip_area[u] += s->slip_area[u];
    if (!(s->area[u] > 0.0)) continue;
    for (int k = 0; k <= LH_LAYERS_MOST; k++) {
      to->over[u][k] += s->over[u][k];
      to->upper[u][k] += s->upper[u][k];
      to->lower[u][k] += s->lower[u][k];
    }
  }
}

/* ---- the numbers -------------------------------------------------------- */

static void mean(lh_covered *c)
{
  c->mean_coat = c->area_mm2 > 0.0 ? c->grams * 1e6 / c->area_mm2 : 0.0;
}

static lh_overlap *overlap_of(lh_coverage *c, int upper, int lower)
{
  for (int i = 0; i < c->overlaps; i++)
    if (c->overlap[i].upper == upper && c->overlap[i].lower == lower)
      return &c->overlap[i];
  c->overlap[c->overlaps] = (lh_overlap){.upper = upper, .lower = lower};
  return &c->overlap[c->overlaps++];
}

static void overlaps_list(const lh_laying *l, const lh_tile_sums *s,
                          lh_coverage *c)
{
  for (int u = 0; u < l->layers; u++)
    for (int k = 0; k <= LH_LAYERS_MOST; k++) {
      lh_overlap *o;
      if (!(s->over[u][k] > 0.0)) continue;
      o = overlap_of(c, l->layer_slip[u],
                     k < LH_LAYERS_MOST ? l->layer_slip[k] : LH_NO_SLIP);
      o->area_mm2 += s->over[u][k];
      o->upper_coat += s->upper[u][k]; /* sums until the end */
      o->lower_coat += s->lower[u][k];
    }
  for (int i = 0; i < c->overlaps; i++) {
    c->overlap[i].upper_coat /= c->overlap[i].area_mm2;
    c->overlap[i].lower_coat /= c->overlap[i].area_mm2;
  }
}

static void results(const lh_laying *l, const lh_tile_sums *s, lh_coverage *c)
{
  slip_list x = slips_list(l);

  *c = (lh_coverage){.layers = l->layers, .slips = x.slips};
  for (int k = 0; k < x.slips; k++) c->slip[k].slip = x.slip[k];
  c->zone_mm2 = s->zone;
  c->bare_mm2 = s->bare;
  for (int k = 0; k < l->layers; k++) {
    lh_covered *slip = &c->slip[x.of[k]];
    c->layer[k] = (lh_covered){.slip = l->layer_slip[k],
                               .area_mm2 = s->area[k],
                               .grams = s->grams[k],
                               .most_coat = s->most[k]};
    mean(&c->layer[k]);
    slip->area_mm2 = s->slip_area[x.of[k]];
    slip->grams += s->grams[k];
    if (s->most[k] > slip->most_coat) slip->most_coat = s->most[k];
    mean(slip);
  }
  overlaps_list(l, s, c);
}

void lh_measure_sum(const lh_laying *l, const lh_tile_sums *s, size_t n,
                    lh_coverage *c)
{
  lh_tile_sums all = {.zone = 0.0};

  for (size_t i = 0; i < n; i++) tile_add(&all, &s[i], l->layers);
  results(l, &all, c);
}

lh_status lh_measure(const lh_chart *ch, const lh_laying *l, const lh_maps *m,
                     lh_arena *a, const lh_watch *watch, lh_coverage *c)
{
  const lh_grid *g = &l->grid;
  double *area = lh_arena_take(a, lh_pixel_areas(g), sizeof *area);
  int across = lh_tiles_across(g), n = across * lh_tiles_up(g);
  lh_tile_sums all = {.zone = 0.0}, one;

  if (!area) return LH_NOMEM;
  for (int k = 0; k < l->layers; k++)
    if (!m->coat[k] || !m->cover[k]) return LH_RANGE;
  lh_pixel_areas_fill(g, ch, area);
  for (int i = 0; i < n; i++) {
    if (i % across == 0 && !lh_watch_go(watch, (double)i / n))
      return LH_CANCELLED;
    lh_measure_tile(l, m, area, i, &one);
    tile_add(&all, &one, l->layers);
  }
  results(l, &all, c);
  return LH_OK;
}

/* ---- windows ------------------------------------------------------------ */

lh_window_says lh_window_at(const lh_laying *l, const lh_maps *m, size_t pixel,
                            int slip, double least, double most)
{
  double coat = 0, cover = 0;

  for (int i = 0; i < l->layers; i++) {
    if (l->layer_slip[i] != slip) continue;
    coat += (double)m->coat[i][pixel];
    if ((double)m->cover[i][pixel] > cover) cover = (double)m->cover[i][pixel];
  }
  if (cover < LH_WINDOW_COVER) return LH_WINDOW_NONE;
  if (coat < least) return LH_WINDOW_THIN;
  return coat > most ? LH_WINDOW_THICK : LH_WINDOW_RIGHT;
}
