/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "jar.h"

#include <math.h>

#include "piece_room.h"
#include "slip/density.h"

/* A normal 90 % range reaches 1.645 standard deviations each way. */
#define NINETY 1.645

lh_mixing_doc lh_jar_mixing(const lh_piece_doc *doc)
{
  /* The same defaults as in the table of fields. */
  static const lh_mixing_doc usual = {15, 10, 0.1, 0};

  return doc->mixing ? *doc->mixing : usual;
}

static lh_status weigh(size_t slip, double step, lh_arena *a, lh_jar *j,
                       lh_fault *fault)
{
  const lh_recipe_found *r = j->recipe;
  lh_at list = {NULL, "slips", 0}, item = {&list, NULL, slip};
  lh_at at = {&item, "recipe", 0};
  lh_batch_line *lines = lh_arena_take(a, r->count, sizeof *lines);
  lh_batch_ask ask = {j->mix_g, step, LH_BATCH_SPARE, j->slip->litre_weight_g,
                      j->slip->solids_density};
  lh_status st;

  j->n = r->count;
  j->lines = lh_arena_take(a, r->count, sizeof *j->lines);
  if (!lines || !j->lines) return lh_fault_plain(fault, LH_NOMEM, "/slips");
  for (size_t i = 0; i < r->count; i++) {
    lines[i] = (lh_batch_line){r->lines[i].amount, r->lines[i].addition,
                               r->found[i].price_per_kg, r->found[i].stock_g};
  }
  st = lh_slip_batch(&ask, lines, r->count, j->lines, &j->total);
  if (st != LH_OK) {
    double parts = 0;
    for (size_t i = 0; i < r->count; i++)
      if (!r->lines[i].addition) parts += r->lines[i].amount;
    if (!(parts > 0)) {
      return lh_piece_refuse(fault, &at, st,
                             "the parts of the recipe add to nothing",
                             "give parts above 0");
    }
    return lh_piece_refuse(fault, &at, st,
                           "the recipe cannot be weighed: the litre weight or "
                           "the scale's step does not suit",
                           "check litre_weight_g and scale_step_g");
  }
  j->dry_g = j->total.dry_g;
  j->water_g = j->total.water_g;
  j->volume_ml = j->total.volume_ml;
  return LH_OK;
}

lh_status lh_jar_make(const lh_piece_cover *c, size_t slip, lh_arena *a,
                      lh_jar *j, lh_fault *fault)
{
  const lh_piece_doc *doc = c->piece->doc;
  const lh_slip_use *use = &c->slips[slip];
  lh_mixing_doc mix = lh_jar_mixing(doc);
  lh_slip_content content;
  double doubt;
  lh_status st;

  *j = (lh_jar){.slip = (lh_slip_doc *)doc->slips.items + slip,
                .recipe = &c->piece->recipes[slip],
                .scale_step_g = mix.scale_step_g};
  j->on_pots_g = use->dry_g * (double)doc->pots;
  if (j->on_pots_g <= 0) return LH_OK;
  j->need_g = j->on_pots_g * (1 + mix.waste_percent / 100) + mix.residue_g;
  j->mix_g = fmax(j->need_g, mix.least_g);
  /* One hand lays all pots alike: the doubt does not average out.  What is
  ** lost goes with what is laid; what stays in the jar does not. */
  doubt = NINETY * c->piece->limits->coat_doubt_percent / 100 *
          (j->need_g - mix.residue_g);
  j->need_low_g = j->need_g - doubt;
  j->need_high_g = j->need_g + doubt;
  st = lh_slip_content_of(j->slip->litre_weight_g, j->slip->solids_density,
                          &content);
  if (st != LH_OK) return lh_fault_plain(fault, st, "/slips");
  j->dry_g = j->mix_g;
  j->volume_ml = j->mix_g / content.dry_g_l * 1000;
  j->water_g = j->volume_ml * content.water_g_l / 1000;
  if (j->recipe->count > 0) {
    st = weigh(slip, mix.scale_step_g, a, j, fault);
    if (st != LH_OK) return st;
  }
  j->hundred_ml_g = j->slip->litre_weight_g / 10;
  /* Water for a litre weight P + 10 to come down to P: V 10/(P - 1000). */
  j->per_10_g_l_ml = j->volume_ml * 10 / (j->slip->litre_weight_g - 1000);
  return LH_OK;
}
