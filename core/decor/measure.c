/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "measure.h"

#include <math.h>

/* Rows between two questions whether to go on. */
enum { WATCH_EVERY = 16 };

/* What is summed over pixels; index LH_LAYERS_MOST of below is the body. */
typedef struct {
  double area[LH_LAYERS_MOST], grams[LH_LAYERS_MOST], most[LH_LAYERS_MOST];
  double slip_area[LH_LAYERS_MOST];
  int slip_of[LH_LAYERS_MOST], slips; /* layer -> which of the slips */
  double over[LH_LAYERS_MOST][LH_LAYERS_MOST + 1];
  double upper[LH_LAYERS_MOST][LH_LAYERS_MOST + 1];
  double lower[LH_LAYERS_MOST][LH_LAYERS_MOST + 1];
  double zone, bare;
} sums;

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
static void pixel_overlaps(sums *s, const double *c, const double *w,
                           int layers, double a)
{
  for (int u = 0; u < layers; u++) {
    double through = 1.0; /* share not covered between u and l */
    if (!(c[u] > 0.0)) continue;
    for (int l = u - 1; l >= 0; l--) {
      double share = a * c[u] * through * c[l];
      if (!(c[l] > 0.0)) continue;
      s->over[u][l] += share;
      s->upper[u][l] += share * w[u] / c[u];
      s->lower[u][l] += share * w[l] / c[l];
      through *= 1.0 - c[l];
    }
    s->over[u][LH_LAYERS_MOST] += a * c[u] * through;
    s->upper[u][LH_LAYERS_MOST] += a * w[u] * through;
  }
}

static void pixel_add(sums *s, const lh_maps *m, int layers, size_t at,
                      double a)
{
  double c[LH_LAYERS_MOST], w[LH_LAYERS_MOST], bare = 1.0;
  double slip_bare[LH_LAYERS_MOST];
  int covered = 0;

  s->zone += a;
  for (int k = 0; k < layers; k++) {
    c[k] = m->cover[k][at];
    w[k] = m->coat[k][at];
    covered += c[k] > 0.0;
    bare *= 1.0 - c[k];
  }
  s->bare += a * bare;
  if (!covered) return;
  for (int k = 0; k < s->slips; k++) slip_bare[k] = 1.0;
  for (int k = 0; k < layers; k++) {
    s->area[k] += a * c[k];
    s->grams[k] += a * w[k] * 1e-6;
    if (w[k] > s->most[k]) s->most[k] = w[k];
    slip_bare[s->slip_of[k]] *= 1.0 - c[k];
  }
  for (int k = 0; k < s->slips; k++)
    s->slip_area[k] += a * (1.0 - slip_bare[k]);
  pixel_overlaps(s, c, w, layers, a);
}

/* Slips in order of first use. */
static void slips_list(const lh_laying *l, sums *s, lh_coverage *c)
{
  for (int k = 0; k < l->layers; k++) {
    int i = 0;
    while (i < s->slips && c->slip[i].slip != l->layer_slip[k]) i++;
    if (i == s->slips) c->slip[s->slips++].slip = l->layer_slip[k];
    s->slip_of[k] = i;
  }
  c->slips = s->slips;
  c->layers = l->layers;
}

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

static void overlaps_list(const lh_laying *l, const sums *s, lh_coverage *c)
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

static void results(const lh_laying *l, const sums *s, lh_coverage *c)
{
  c->zone_mm2 = s->zone;
  c->bare_mm2 = s->bare;
  for (int k = 0; k < l->layers; k++) {
    lh_covered *slip = &c->slip[s->slip_of[k]];
    c->layer[k] = (lh_covered){.slip = l->layer_slip[k],
                               .area_mm2 = s->area[k],
                               .grams = s->grams[k],
                               .most_coat = s->most[k]};
    mean(&c->layer[k]);
    slip->area_mm2 = s->slip_area[s->slip_of[k]];
    slip->grams += s->grams[k];
    if (s->most[k] > slip->most_coat) slip->most_coat = s->most[k];
    mean(slip);
  }
  overlaps_list(l, s, c);
}

lh_status lh_measure(const lh_chart *ch, const lh_laying *l, const lh_maps *m,
                     lh_arena *a, const lh_watch *watch, lh_coverage *c)
{
  const lh_grid *g = &l->grid;
  double *area = lh_arena_take(a, lh_pixel_areas(g), sizeof *area);
  sums s = {.slips = 0};

  if (!area) return LH_NOMEM;
  for (int k = 0; k < l->layers; k++)
    if (!m->coat[k] || !m->cover[k]) return LH_RANGE;
  *c = (lh_coverage){.layers = 0};
  slips_list(l, &s, c);
  lh_pixel_areas_fill(g, ch, area);
  for (int y = 0; y < g->ny; y++) {
    size_t row = (size_t)y * (size_t)g->nx;
    if (y % WATCH_EVERY == 0 && !lh_watch_go(watch, (double)y / g->ny))
      return LH_CANCELLED;
    for (size_t x = 0; x < (size_t)g->nx; x++) {
      double px = g->wraps ? area[y] : area[row + x];
      if (px > 0.0) pixel_add(&s, m, l->layers, row + x, px);
    }
  }
  results(l, &s, c);
  return LH_OK;
}
