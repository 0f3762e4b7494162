/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verdict_water.c -- the water that coats bring into wall and rim. */
#include <math.h>

#include "heap.h"
#include "slip/density.h"
#include "slip/wall.h"
#include "verdict.h"

/* The rim is looked at so far below the lip. (judgement) */
#define BELOW_LIP_MM 3.0

enum { COATS = 2 * LH_LAYERS_MOST };

typedef struct {
  lh_wall_coat coat[COATS];
  size_t n;
} wetting;

static double water_per_dry(const lh_slip_doc *s)
{
  lh_slip_content c;

  if (lh_slip_content_of(s->litre_weight_g, s->solids_density, &c) != LH_OK)
    return 0;
  return c.water_per_dry;
}

/* Add the mean coats of rows j0 <= j < j1 of a zone's maps. */
static void add_rows(const lh_verdict_input *in, const lh_zone_cover *z, int j0,
                     int j1, wetting *w)
{
  const lh_slip_doc *s = in->cover->piece->doc->slips.items;
  size_t nx = (size_t)z->grid.nx;

  for (int i = 0; i < z->laying.layers && w->n < COATS; i++) {
    double sum = 0;
    for (int j = j0; j < j1; j++)
      for (size_t k = 0; k < nx; k++)
        sum += (double)z->maps.coat[i][(size_t)j * nx + k];
    w->coat[w->n++] =
        (lh_wall_coat){sum / ((double)nx * (double)(j1 - j0)),
                       water_per_dry(&s[z->laying.layer_slip[i]])};
  }
}

/* The rows of a band between two places up its profile. */
static void rows_between(const lh_zone_cover *z, double up0, double up1,
                         int *j0, int *j1)
{
  double x, y0 = 0, y1 = z->zone->chart.height;

  (void)lh_chart_place(&z->zone->chart, 0, fmax(up0, 0), &x, &y0);
  (void)lh_chart_place(&z->zone->chart, 0, fmin(up1, z->zone->chart.length), &x,
                       &y1);
  *j0 = (int)floor(y0 / z->grid.pixel);
  *j1 = (int)ceil(y1 / z->grid.pixel);
  if (*j1 > z->grid.ny) *j1 = z->grid.ny;
  if (*j0 >= *j1) *j0 = *j1 - 1;
}

static lh_wall wall_of(const lh_body_doc *b, double mm)
{
  double x = b->moisture_percent / 100;

  return (lh_wall){.thickness_mm = lh_range_within(
                       mm, fmin(LH_WALL_THICKNESS_ERROR, mm / 2)),
                   .moisture = lh_range_within(x, LH_WALL_MOISTURE_ERROR),
                   .faces = 1, /* the coats of both faces stand in one list */
                   .solids_density = b->solids_density,
                   .shrink_limit = LH_SHRINK_LIMIT,
                   .water = LH_WATER_20C_G_L};
}

static void say(const lh_verdict_input *in, const char *about, double mm,
                const wetting *w, const char *todo, lh_verdict *v)
{
  const lh_body_doc *b = in->cover->piece->doc->body;
  lh_wall wall = wall_of(b, mm);
  lh_wall_balance x;
  lh_wall_word word;

  if (lh_slip_wall(&wall, w->coat, w->n, LH_WALL_COAT_ERROR, &x) != LH_OK)
    return;
  word = lh_slip_wall_judge(&x, b->soft_percent / 100, b->slump_percent / 100);
  lh_verdict_add(v,
                 word == LH_WALL_FIT       ? LH_SAYS_OK
                 : word == LH_WALL_CAREFUL ? LH_SAYS_CAUTION
                                           : LH_SAYS_STOP,
                 about, word == LH_WALL_FIT ? "" : todo,
                 "the coats take a wall of %.1f mm from %.0f to %.1f %% water "
                 "(%.1f to %.1f), at most %.1f %% before it spreads; soft from "
                 "%.0f %%, slumps at %.0f %% (judgement)",
                 mm, b->moisture_percent, 100 * x.x_even.value,
                 100 * x.x_even.low, 100 * x.x_even.high,
                 100 * x.x_ceiling.value, b->soft_percent, b->slump_percent);
}

static void rim(const lh_verdict_input *in, lh_verdict *v)
{
  const lh_piece *p = in->cover->piece;
  wetting w = {.n = 0};
  int faces = 0;
  double mm, s = p->outside->length - BELOW_LIP_MM;

  if (s <= 0 || lh_wall_thickness(p->outside, p->inside, s, &mm) != LH_OK)
    return;
  for (size_t i = 0; i < in->cover->n_zones; i++) {
    const lh_zone_cover *z = &in->cover->zones[i];
    double length = z->zone->curve->length;
    int j0, j1;
    if (z->zone->zone.kind != LH_CHART_BAND || z->laying.layers == 0) continue;
    if (z->zone->zone.to_mm < length - p->limits->rim_mm) continue;
    rows_between(z, z->zone->chart.length - BELOW_LIP_MM - 2,
                 z->zone->chart.length, &j0, &j1);
    add_rows(in, z, j0, j1, &w);
    faces++;
  }
  if (faces == 0) {
    lh_verdict_add(v, LH_SAYS_OK, "Rim, water", "",
                   "no slip within %.0f mm of the lip", p->limits->rim_mm);
    return;
  }
  say(in, faces > 1 ? "Rim, wetted on both faces" : "Rim, wetted", mm, &w,
      "lay one face, wait until it has lost its sheen, then the other; never "
      "wet the rim twice in a row",
      v);
}

/* The heaviest row of each band, with what lies on the other face there. */
static void wall(const lh_verdict_input *in, const lh_zone_cover *z,
                 lh_verdict *v)
{
  const lh_piece *p = in->cover->piece;
  size_t nx = (size_t)z->grid.nx;
  double most = -1, turns, up = 0, mm;
  int worst = 0;
  lh_curve_spot spot;
  wetting w = {.n = 0};
  const char *about;

  if (z->zone->zone.kind != LH_CHART_BAND || z->zone->zone.face != LH_OUTSIDE ||
      z->laying.layers == 0)
    return;
  for (int j = 0; j < z->grid.ny; j++) {
    double sum = 0;
    for (int i = 0; i < z->laying.layers; i++)
      for (size_t k = 0; k < nx; k++)
        sum += (double)z->maps.coat[i][(size_t)j * nx + k];
    if (sum > most) most = sum, worst = j;
  }
  if (lh_chart_back(&z->zone->chart, 0,
                    fmin((worst + 0.5) * z->grid.pixel, z->zone->chart.height),
                    &turns, &up) != LH_OK ||
      lh_curve_at(p->outside, z->zone->zone.from_mm + up, &spot) != LH_OK ||
      lh_wall_thickness(p->outside, p->inside, z->zone->zone.from_mm + up,
                        &mm) != LH_OK)
    return;
  add_rows(in, z, worst, worst + 1, &w);
  for (size_t i = 0; i < in->cover->n_zones; i++) {
    const lh_zone_cover *other = &in->cover->zones[i];
    lh_curve_spot a, b;
    if (other->zone->zone.face != LH_INSIDE || other->laying.layers == 0 ||
        lh_curve_at(other->zone->curve, other->zone->zone.from_mm, &a) ||
        lh_curve_at(other->zone->curve, other->zone->zone.to_mm, &b))
      continue;
    if (spot.at.z >= a.at.z && spot.at.z <= b.at.z)
      add_rows(in, other, 0, other->grid.ny, &w);
  }
  about =
      lh_heap_print(v->arena, "%s, water in the wall",
                    z->zone->doc->name ? z->zone->doc->name : z->zone->doc->id);
  say(in, about, mm, &w,
      "let each coat lose its sheen before the next, or begin drier", v);
}

void lh_verdict_water(const lh_verdict_input *in, lh_verdict *v)
{
  const lh_piece *p = in->cover->piece;

  if (!p->inside) return; /* the form's check has said so */
  if (p->doc->stage != LH_ON_LEATHER_HARD) return;
  rim(in, v);
  for (size_t i = 0; i < in->cover->n_zones; i++)
    wall(in, &in->cover->zones[i], v);
}
