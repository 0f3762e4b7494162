/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bleeding.h"

#include "bleed.h"

/* One layer's map spread. */
static lh_status spread(const lh_zone_cover *z, int layer, double mm,
                        lh_arena *a, const lh_watch *watch, float **out)
{
  const lh_grid *g = &z->grid;
  size_t pixels = (size_t)g->nx * (size_t)g->ny;
  float *rate = lh_arena_take(a, lh_bleed_rates(g), sizeof *rate), *scratch;
  lh_rect all = {0, 0, g->nx, g->ny};
  lh_bleed b;
  lh_status st;

  if (!rate) return LH_NOMEM;
  st = lh_bleed_make(&z->zone->chart, g, mm, rate, &b);
  if (st != LH_OK) return st;
  scratch =
      lh_arena_take(a, lh_bleed_scratch(&b, g->nx, g->ny) + 1, sizeof *scratch);
  *out = lh_arena_take(a, pixels, sizeof **out);
  if (!scratch || !*out) return LH_NOMEM;
  return lh_bleed_map(&b, z->maps.coat[layer], &all, scratch, watch, *out);
}

lh_status lh_zone_bleed(const lh_piece *p, const lh_zone_cover *z, lh_arena *a,
                        const lh_watch *watch, lh_zone_cover *fired)
{
  const lh_slip_doc *s = p->doc->slips.items;

  *fired = *z;
  for (int k = 0; k < z->laying.layers; k++) {
    double mm = s[z->laying.layer_slip[k]].bleed_mm;
    lh_status st;
    if (!(mm > 0)) continue;
    st = spread(z, k, mm, a, watch, &fired->maps.coat[k]);
    if (st != LH_OK) return st;
  }
  return LH_OK;
}
