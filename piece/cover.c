/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cover.h"

#include <math.h>

#include "piece_room.h"
#include "slip/density.h"

typedef struct {
  const lh_piece *p;
  lh_arena *a;
  const lh_watch *watch;
  lh_fault *fault;
} covering;

/* Maps of a zone: a multiple of its largest repeat, so that a piece turned by
** one repeat has the same pixels. */
static lh_status fit_grid(const covering *w, const lh_piece_zone *z,
                          double pixel_mm, lh_grid *g)
{
  long multiple = 1;

  for (size_t i = 0; i < z->n_groups; i++) {
    const lh_repeat_doc *r = z->entries[i].doc->repeat;
    if (r && r->count > multiple) multiple = r->count;
  }
  return lh_grid_fit(&z->chart, pixel_mm, (int)multiple, g) == LH_OK
             ? LH_OK
             : lh_fault_say(w->fault, LH_TOOLARGE, "/ask/pixel_mm",
                            "make pixel_mm larger, or the zone smaller",
                            "the map of zone \"%.80s\" would be too large",
                            z->doc->id);
}

static lh_status lay_zone(const covering *w, const lh_piece_zone *z,
                          double pixel_mm, lh_zone_cover *c)
{
  lh_mark_fault why;
  size_t pixels;
  float *scratch;
  lh_status st = fit_grid(w, z, pixel_mm, &c->grid);

  c->zone = z;
  if (st != LH_OK) return st;
  st = lh_lay_prepare(&c->laying, w->a, &c->grid, z->shapes.at, z->shapes.n,
                      &why);
  if (st != LH_OK) {
    return lh_fault_say(w->fault, st, "/painting", "draw it again",
                        "zone \"%.80s\" cannot be laid: %s", z->doc->id,
                        why.why == LH_MARK_WRAPS
                            ? "a fill goes more than once round"
                            : lh_status_text(st));
  }
  pixels = (size_t)c->grid.nx * (size_t)c->grid.ny;
  for (int i = 0; i < c->laying.layers; i++) {
    c->maps.coat[i] = lh_arena_take(w->a, pixels, sizeof(float));
    c->maps.cover[i] = lh_arena_take(w->a, pixels, sizeof(float));
    if (!c->maps.coat[i] || !c->maps.cover[i]) return LH_NOMEM;
  }
  scratch = lh_arena_take(w->a, lh_lay_scratch(&c->grid), sizeof(float));
  if (!scratch) return LH_NOMEM;
  st = lh_lay(&c->laying, &c->maps, NULL, scratch, w->watch);
  if (st != LH_OK) return st;
  return lh_measure(&z->chart, &c->laying, &c->maps, w->a, w->watch, &c->cover);
}

/* ---- sums over the zones ------------------------------------------------ */

static void add_overlap(lh_piece_cover *c, const lh_overlap *o)
{
  lh_piece_overlap *x = c->overlaps;
  double area;

  for (; x < c->overlaps + c->n_overlaps; x++)
    if (x->upper == o->upper && x->lower == o->lower) break;
  if (x == c->overlaps + c->n_overlaps) {
    *x = (lh_piece_overlap){.upper = o->upper, .lower = o->lower};
    c->n_overlaps++;
  }
  area = x->area_mm2 + o->area_mm2;
  if (area <= 0) return;
  x->upper_g_m2 =
      (x->upper_g_m2 * x->area_mm2 + o->upper_coat * o->area_mm2) / area;
  x->lower_g_m2 =
      (x->lower_g_m2 * x->area_mm2 + o->lower_coat * o->area_mm2) / area;
  x->area_mm2 = area;
}

/* Area of a slip that lies outside its window. */
static lh_status window_area(const covering *w, const lh_zone_cover *c,
                             int slip, lh_slip_use *use)
{
  const lh_slip_doc *s = (lh_slip_doc *)w->p->doc->slips.items + slip;
  size_t n = lh_pixel_areas(&c->grid), nx = (size_t)c->grid.nx;
  size_t pixels = nx * (size_t)c->grid.ny;
  double *area;

  if (!s->window) return LH_OK;
  area = lh_arena_take(w->a, n, sizeof *area);
  if (!area) return LH_NOMEM;
  lh_pixel_areas_fill(&c->grid, &c->zone->chart, area);
  for (size_t k = 0; k < pixels; k++) {
    double mm2 = n == pixels ? area[k] : area[k / nx];
    lh_window_says says =
        lh_window_at(&c->laying, &c->maps, k, slip, s->window->least_g_m2,
                     s->window->most_g_m2);
    if (says == LH_WINDOW_NONE) continue;
    use->window_mm2 += mm2;
    if (says == LH_WINDOW_THIN) use->thin_mm2 += mm2;
    if (says == LH_WINDOW_THICK) use->thick_mm2 += mm2;
  }
  return LH_OK;
}

static lh_status add_zone(const covering *w, lh_piece_cover *c,
                          const lh_zone_cover *z)
{
  lh_status st = LH_OK;

  c->zone_mm2 += z->cover.zone_mm2;
  c->bare_mm2 += z->cover.bare_mm2;
  for (int i = 0; i < z->cover.slips && st == LH_OK; i++) {
    const lh_covered *x = &z->cover.slip[i];
    lh_slip_use *use = &c->slips[x->slip];
    use->area_mm2 += x->area_mm2;
    use->dry_g += x->grams;
    use->most_g_m2 = fmax(use->most_g_m2, x->most_coat);
    st = window_area(w, z, x->slip, use);
  }
  for (int i = 0; i < z->cover.overlaps; i++)
    add_overlap(c, &z->cover.overlap[i]);
  return st;
}

static lh_status finish_slips(const covering *w, lh_piece_cover *c)
{
  const lh_slip_doc *s = w->p->doc->slips.items;

  for (size_t i = 0; i < w->p->doc->slips.count; i++) {
    lh_slip_use *use = &c->slips[i];
    lh_slip_content content;
    lh_status st =
        lh_slip_content_of(s[i].litre_weight_g, s[i].solids_density, &content);
    if (st != LH_OK) return st; /* refused when the piece was read */
    use->wet_g = use->dry_g / content.solids;
    use->mean_g_m2 = use->area_mm2 > 0 ? use->dry_g / use->area_mm2 * 1e6 : 0;
  }
  return LH_OK;
}

/* ---- clearances --------------------------------------------------------- */

/* Standard deviations from the middle to the end of a 90 % range. */
#define NINETY 1.6448536269514722

/* Which bleeds an entry's slips have. */
static void look_for_bleeds(const lh_slip_doc *slips, const lh_shape *s,
                            size_t n, lh_entry_clearance *x)
{
  x->bleeds = false;
  x->all_known = true;
  for (size_t i = 0; i < n; i++) {
    bool known;
    if (s[i].kind == LH_RING || s[i].slip < 0) continue;
    known = fabs(slips[s[i].slip].bleed_mm) > 0;
    x->bleeds |= known;
    x->all_known &= known;
  }
}

/* The clearance as fired, with its range: the errors of one slip add up, those
** of two are independent. */
static lh_status clear_fired(const covering *w, const lh_shape *s, size_t n,
                             const double *bleed, lh_entry_clearance *x)
{
  const lh_slip_doc *slips = w->p->doc->slips.items;
  double error[2] = {0, 0}, sd;
  int slip[2];
  lh_status st;

  look_for_bleeds(slips, s, n, x);
  x->fired = x->clearance;
  x->low = x->fired.least;
  x->high = x->fired.most;
  if (!x->bleeds) return LH_OK;
  st = lh_clearance_fired(&x->zone->chart, s, n, bleed, w->watch, &x->fired);
  for (int k = 0; k < 2; k++) {
    slip[k] = s[x->fired.shape[k]].slip;
    if (slip[k] < 0) continue;
    x->bleed_mm[k] = bleed[slip[k]];
    if (fabs(bleed[slip[k]]) > 0) error[k] = slips[slip[k]].bleed_error_mm;
  }
  sd = slip[0] == slip[1] ? 2 * error[0] : hypot(error[0], error[1]);
  x->low = x->fired.least - NINETY * sd;
  x->high = x->fired.most + NINETY * sd;
  return st;
}

static lh_status clear_entries(const covering *w, lh_piece_cover *c)
{
  const lh_slip_doc *slips = w->p->doc->slips.items;
  size_t n = w->p->doc->painting.count, m = w->p->doc->slips.count;
  double *bleed = lh_arena_take(w->a, m, sizeof *bleed);

  c->clearances = lh_arena_take(w->a, n, sizeof *c->clearances);
  if (!c->clearances || !bleed) return LH_NOMEM;
  for (size_t i = 0; i < m; i++) bleed[i] = slips[i].bleed_mm;
  for (size_t k = 0; k < w->p->n_zones; k++) {
    const lh_piece_zone *z = &w->p->zones[k];
    for (size_t i = 0; i < z->n_groups; i++) {
      const lh_piece_entry *e = &z->entries[i];
      const lh_shape *s = z->shapes.at + e->first_shape;
      lh_entry_clearance *x = &c->clearances[c->n_clearances];
      lh_status st;
      if (!e->doc->repeat || e->n_shapes == 0) continue;
      *x = (lh_entry_clearance){.zone = z, .entry = e};
      st = lh_clearance_motifs(&z->chart, s, e->n_shapes, w->watch,
                               &x->clearance);
      if (st == LH_OK && x->clearance.found)
        st = clear_fired(w, s, e->n_shapes, bleed, x);
      if (st != LH_OK) return st;
      if (x->clearance.found) c->n_clearances++;
    }
  }
  return LH_OK;
}

lh_status lh_piece_cover_make(const lh_piece *p, double pixel_mm, lh_arena *a,
                              const lh_watch *watch, lh_piece_cover *c,
                              lh_fault *fault)
{
  covering w = {p, a, watch, fault};
  size_t n = p->doc->slips.count;
  lh_status st = LH_OK;

  *c = (lh_piece_cover){.piece = p, .n_zones = p->n_zones};
  c->zones = lh_arena_take(a, p->n_zones, sizeof *c->zones);
  c->slips = lh_arena_take(a, n, sizeof *c->slips);
  c->overlaps = lh_arena_take(a, n * (n + 1), sizeof *c->overlaps);
  if (!c->zones || !c->slips || !c->overlaps) st = LH_NOMEM;
  for (size_t i = 0; i < p->n_zones && st == LH_OK; i++) {
    st = lay_zone(&w, &p->zones[i], pixel_mm, &c->zones[i]);
    if (st == LH_OK) st = add_zone(&w, c, &c->zones[i]);
  }
  if (st == LH_OK) st = finish_slips(&w, c);
  if (st == LH_OK) st = clear_entries(&w, c);
  return lh_fault_plain(fault, st, "/");
}
