/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coverage.c -- how much of each slip lies where on a piece. */
#include <math.h>

#include "operation.h"
#include "pixel.h"
#include "whole.h"

static const lh_field fields[] = {LH_PIXEL_FIELD};
static const lh_fields table = LH_FIELDS("coverage", lh_pixel_ask, fields);

static void slips(const lh_piece_cover *c, lh_reply *r)
{
  const lh_slip_doc *s = c->piece->doc->slips.items;
  double pots = (double)c->piece->doc->pots;
  /* nine in ten: 1.645 standard deviations each way */
  double doubt = 1.645 * c->piece->limits->coat_doubt_percent / 100;
  json_t *list = lh_reply_list(r, NULL, "slips");

  lh_reply_title(r, "On one pot, leather-hard");
  lh_reply_line(r, LH_LINE_HEAD,
                "slip\tarea cm2\tdry g\twet g\tmean g/m2\t"
                "most g/m2");
  for (size_t i = 0; i < c->piece->doc->slips.count; i++) {
    const lh_slip_use *u = &c->slips[i];
    json_t *x = lh_reply_item(r, list);
    lh_reply_string(r, x, "slip", s[i].id);
    lh_reply_string(r, x, "name", lh_slip_doc_name(&s[i]));
    lh_reply_number(r, x, "area_cm2", u->area_mm2 / 100);
    lh_reply_number(r, x, "dry_g", u->dry_g);
    lh_reply_number(r, x, "wet_g", u->wet_g);
    lh_reply_number(r, x, "coat_g_m2", u->mean_g_m2);
    lh_reply_number(r, x, "heaviest_g_m2", u->most_g_m2);
    lh_reply_range(r, x, "dry_g_range", u->dry_g * (1 - doubt),
                   u->dry_g * (1 + doubt));
    lh_reply_number(r, x, "dry_g_all_pots", u->dry_g * pots);
    if (s[i].window) {
      lh_reply_number(r, x, "thin_cm2", u->thin_mm2 / 100);
      lh_reply_number(r, x, "thick_cm2", u->thick_mm2 / 100);
    }
    lh_reply_row(r, "%s\t%.1f\t%.2f\t%.2f\t%.0f\t%.0f", lh_slip_doc_name(&s[i]),
                 u->area_mm2 / 100, u->dry_g, u->wet_g, u->mean_g_m2,
                 u->most_g_m2);
  }
  lh_reply_text(
      r, "Grams by one hand may be off by a third either way (nine in "
         "ten; judgement): weigh the jar before and after to know yours.");
}

static void overlaps(const lh_piece_cover *c, lh_reply *r)
{
  const lh_slip_doc *s = c->piece->doc->slips.items;
  json_t *list = lh_reply_list(r, NULL, "overlaps");

  lh_reply_title(r, "What lies over what");
  lh_reply_line(r, LH_LINE_HEAD,
                "upper\tlower\tarea cm2\tupper g/m2\t"
                "lower g/m2");
  for (size_t i = 0; i < c->n_overlaps; i++) {
    const lh_piece_overlap *o = &c->overlaps[i];
    const char *lower =
        o->lower < 0 ? "the body" : lh_slip_doc_name(&s[o->lower]);
    json_t *x;
    if (o->area_mm2 < 0.5) continue; /* less than a needle's point */
    x = lh_reply_item(r, list);
    lh_reply_string(r, x, "upper", s[o->upper].id);
    lh_reply_string(r, x, "lower", o->lower < 0 ? "body" : s[o->lower].id);
    lh_reply_number(r, x, "area_cm2", o->area_mm2 / 100);
    lh_reply_number(r, x, "upper_g_m2", o->upper_g_m2);
    lh_reply_number(r, x, "lower_g_m2", o->lower_g_m2);
    lh_reply_row(r, "%s\t%s\t%.2f\t%.0f\t%.0f", lh_slip_doc_name(&s[o->upper]),
                 lower, o->area_mm2 / 100, o->upper_g_m2, o->lower_g_m2);
  }
}

static void clearances(const lh_piece_cover *c, lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "clearances");
  bool fired = false;

  if (c->n_clearances == 0) return;
  lh_reply_title(r, "Between neighbours of a repeat");
  for (size_t i = 0; i < c->n_clearances; i++) {
    const lh_entry_clearance *e = &c->clearances[i];
    json_t *x = lh_reply_item(r, list);
    lh_reply_string(r, x, "painted", e->entry->doc->id);
    lh_reply_string(r, x, "zone", e->zone->doc->id);
    lh_reply_number(r, x, "clearance_mm", e->clearance.mm);
    lh_reply_range(r, x, "clearance_mm_range", e->clearance.least,
                   e->clearance.most);
    lh_reply_row(r, "%s\t%.1f\tmm\t(%.1f to %.1f)", e->entry->doc->id,
                 e->clearance.mm, e->clearance.least, e->clearance.most);
    if (!e->bleeds) continue;
    lh_reply_numbers(r, x, "bleed_mm", e->bleed_mm, 2);
    lh_reply_number(r, x, "fired_clearance_mm", e->fired.mm);
    lh_reply_range(r, x, "fired_clearance_mm_range", e->low, e->high);
    lh_reply_flag(r, x, "every_bleed_known", e->all_known);
    lh_reply_row(r, "\t%.1f\tmm fired\t(%.1f to %.1f)", e->fired.mm, e->low,
                 e->high);
    fired = true;
  }
  if (fired)
    lh_reply_text(r, "Fired: less what the slips bleed at either side, with "
                     "the error of that (nine in ten), in leather-hard mm.");
}

static void layers(const lh_piece_cover *c, lh_reply *r)
{
  const lh_slip_doc *s = c->piece->doc->slips.items;
  json_t *list = lh_reply_list(r, NULL, "zones");

  for (size_t i = 0; i < c->n_zones; i++) {
    const lh_zone_cover *z = &c->zones[i];
    json_t *x = lh_reply_item(r, list), *l;
    lh_reply_string(r, x, "zone", z->zone->doc->id);
    lh_reply_number(r, x, "area_cm2", z->cover.zone_mm2 / 100);
    lh_reply_number(r, x, "bare_cm2", z->cover.bare_mm2 / 100);
    l = lh_reply_list(r, x, "layers_bottom_first");
    for (int k = 0; k < z->cover.layers; k++) {
      const lh_covered *y = &z->cover.layer[k];
      json_t *one = lh_reply_item(r, l);
      lh_reply_string(r, one, "slip", s[y->slip].id);
      lh_reply_number(r, one, "area_cm2", y->area_mm2 / 100);
      lh_reply_number(r, one, "dry_g", y->grams);
      lh_reply_number(r, one, "coat_g_m2", y->mean_coat);
    }
  }
}

static lh_status coverage(const lh_call *call, const void *document,
                          lh_reply *r, lh_fault *fault)
{
  const lh_pixel_ask *ask = document;
  lh_piece p;
  lh_piece_cover c;
  lh_status st = lh_piece_read(call->document, call->arena, &p, fault);

  if (st == LH_OK)
    st = lh_piece_cover_make(&p, ask->pixel_mm, call->arena, call->watch, &c,
                             fault);
  if (st != LH_OK) return st;
  lh_reply_string(r, NULL, "name", p.doc->name);
  lh_reply_number(r, NULL, "pots", (double)p.doc->pots);
  slips(&c, r);
  overlaps(&c, r);
  clearances(&c, r);
  layers(&c, r);
  return LH_OK;
}

const lh_operation lh_op_coverage = {
    .name = "coverage",
    .help = "how much of each slip lies where on a piece",
    .purpose =
        "Lays the painting of a piece on its real form and measures it: area, "
        "dry and wet grams and coat weight of each slip on one pot, what lies "
        "over what, and the clearance between neighbours of each repeat.",
    .fields = &table,
    .run = coverage,
    .takes_piece = true,
};
