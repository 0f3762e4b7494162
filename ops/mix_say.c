/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mix_say.c -- what `mix` answers: lines, totals, cautions. */
#include <math.h>
#include <string.h>

#include "mix_room.h"
#include "slip_words.h"

/* ---- cautions ------------------------------------------------------------ */

static void caution(lh_reply *r, json_t *list, const char *what,
                    const char *text)
{
  if (!list || json_array_append_new(list, json_sprintf("%s: %s", what, text)))
    r->st = LH_NOMEM;
  lh_reply_line(r, LH_LINE_CAUTION, "%s\t%s", what, text);
}

/* "Harmful if swallowed (H302). ..." for a list of codes. */
static void hazard_words(const char *codes, char *text, size_t size)
{
  size_t used = 0;

  text[0] = 0;
  while (*codes && used + 1 < size) {
    size_t n = strcspn(codes, " ,;");
    const char *words = lh_hazard_text(codes, n, NULL);
    if (n > 0 && words) {
      size_t stop = strlen(words);
      while (stop > 0 && words[stop - 1] == '.') stop--;
      used += (size_t)snprintf(text + used, size - used, "%.*s (%.*s). ",
                               (int)stop, words, (int)n, codes);
    } else if (n > 0) {
      used +=
          (size_t)snprintf(text + used, size - used, "%.*s. ", (int)n, codes);
    }
    codes += n + (codes[n] != 0);
  }
  if (used < size)
    snprintf(text + used, size - used,
             "Ask for the supplier's safety data sheet.");
}

static const char *codes_of(const lh_mixing *m, size_t i)
{
  const char *codes = m->recipe.found[i].hazards;

  return codes && m->out[i].grams > 0.0 ? codes : "";
}

/* Materials with the same statements are named together, once. */
static void hazards(const lh_mixing *m, json_t *list, lh_reply *r)
{
  char names[400], text[600];

  for (size_t i = 0; i < m->recipe.count; i++) {
    const char *codes = codes_of(m, i);
    size_t used = 0;
    bool said = !*codes;
    for (size_t k = 0; k < i && !said; k++)
      said = strcmp(codes, codes_of(m, k)) == 0;
    if (said) continue;
    for (size_t k = i; k < m->recipe.count && used < sizeof names; k++) {
      const char *name = m->recipe.found[k].name;
      bool again = strcmp(codes, codes_of(m, k)) != 0;
      for (size_t j = i; j < k && !again; j++)
        again = strcmp(m->recipe.found[j].name, name) == 0;
      if (again) continue;
      used += (size_t)snprintf(names + used, sizeof names - used, "%s%s",
                               used ? ", " : "", name);
    }
    hazard_words(codes, text, sizeof text);
    caution(r, list, names, text);
  }
}

static void cautions(const lh_mixing *m, lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "cautions");
  const lh_batch_total *t = &m->total;
  char text[600];

  lh_reply_title(r, "Before you weigh");
  caution(r, list, "Dust",
          "Dry clay, silica and frit dust harms the lungs for good.  Weigh "
          "with a fitted particle mask or under extraction, add powder to "
          "water, wipe up wet, never sweep dry.");
  hazards(m, list, r);
  for (size_t i = 0; i < m->recipe.count; i++) {
    if (!(m->out[i].stock_left_g < 0.0)) continue;
    snprintf(
        text, sizeof text, "%.*f g more are needed than are in stock%s.",
        lh_slip_words_decimals(m->out[i].stock_left_g), -m->out[i].stock_left_g,
        i == t->first_short && t->short_lines > 1 ? "; it runs out first" : "");
    caution(r, list, m->recipe.found[i].name, text);
  }
  if (t->rounding_error > 0.05) {
    snprintf(text, sizeof text,
             "The scale's step is coarse for this batch: %s is %.0f %% off "
             "its share.  Make more, or weigh it on a finer scale.",
             m->recipe.found[t->worst].name, 100.0 * t->rounding_error);
    caution(r, list, "Scale", text);
  }
}

/* ---- the answer -----------------------------------------------------------
 */

/* Decimals that show the scale's step. */
static int step_decimals(double step)
{
  int d = 0;

  while (d < 4 && fabs(step - round(step)) > 1e-6 * step) {
    step *= 10.0;
    d++;
  }
  return d;
}

static void answer_lines(const lh_mixing *m, lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "lines");
  int d = step_decimals(m->batch.scale_step_g);

  lh_reply_title(r, "%s: %.*f g dry",
                 m->ask->slip->name ? m->ask->slip->name : "Slip", d,
                 m->total.dry_g);
  lh_reply_line(r, LH_LINE_HEAD, "material\tgrams\tpan shows\toff by");
  for (size_t i = 0; i < m->recipe.count; i++) {
    const lh_batch_weighed *w = &m->out[i];
    json_t *item = lh_reply_item(r, list);
    const char *name = m->recipe.found[i].name;
    lh_reply_string(r, item, "material", name);
    lh_reply_number(r, item, "grams", w->grams);
    lh_reply_number(r, item, "running_g", w->running_g);
    lh_reply_number(r, item, "off_percent", 100.0 * w->deviation);
    lh_reply_number(r, item, "cost", w->cost);
    lh_reply_number(r, item, "stock_left_g", w->stock_left_g);
    if (w->grams > 0.0)
      lh_reply_row(r, "%s\t%.*f\t%.*f\t%+.2f %%", name, d, w->grams, d,
                   w->running_g, round(1e4 * w->deviation) / 100.0 + 0.0);
  }
}

static void answer_total(const lh_mixing *m, lh_reply *r)
{
  const lh_batch_total *t = &m->total;
  json_t *range = lh_reply_object(r, NULL, "range");

  lh_reply_number(r, NULL, "needed_dry_g", m->batch.dry_g);
  lh_reply_number(r, NULL, "dry_g", t->dry_g);
  lh_reply_number(r, NULL, "water_g", t->water_g);
  lh_reply_number(r, NULL, "volume_ml", t->volume_ml);
  lh_reply_number(r, NULL, "litre_weight_g", m->batch.litre_weight);
  lh_reply_number(r, NULL, "specific_gravity",
                  m->batch.litre_weight / LH_WATER_G_L);
  lh_reply_number(r, NULL, "solids_density", m->batch.solids_density);
  lh_reply_string(r, NULL, "solids_density_from", m->density_from);
  lh_reply_number(r, NULL, "scale_step_g", m->batch.scale_step_g);
  lh_reply_number(r, NULL, "rounding_error_percent", 100.0 * t->rounding_error);
  lh_reply_number(r, NULL, "add_ml_per_10_g_l",
                  t->volume_ml * 10.0 / (m->batch.litre_weight - LH_WATER_G_L));
  lh_reply_range(r, range, "water_g", m->water_g.low, m->water_g.high);
  lh_reply_range(r, range, "volume_ml", m->volume_ml.low, m->volume_ml.high);
  if (t->unpriced < m->recipe.count) {
    lh_reply_number(r, NULL, "cost", t->cost);
    lh_reply_number(r, NULL, "unpriced_lines", (double)t->unpriced);
  }
  lh_reply_number(r, NULL, "stock_dry_g", t->stock_dry_g);
  lh_reply_title(r, "Water and volume");
  lh_slip_words_row(r, "water", m->water_g, "g");
  lh_slip_words_row(r, "makes", m->volume_ml, "ml");
  lh_reply_row(r, "to reach\t%.0f\tg per litre", m->batch.litre_weight);
  lh_slip_words_plain(r, "per 10 g/l too heavy",
                      t->volume_ml * 10.0 /
                          (m->batch.litre_weight - LH_WATER_G_L),
                      "ml more", "");
  if (t->unpriced < m->recipe.count)
    lh_reply_row(r, "cost\t%.2f\t%s", t->cost,
                 t->unpriced ? "of the materials that have a price" : "");
  lh_reply_text(r,
                "Hold back a tenth of the water, sieve, weigh a litre, then "
                "thin to the weight: the range of the water is what the "
                "density of the solids leaves open (%.2f, %s).",
                m->batch.solids_density,
                strcmp(m->density_from, "default") == 0 ? "the usual one"
                : strcmp(m->density_from, "given") == 0 ? "as given"
                                                        : "of the materials");
}

void lh_mix_say(const lh_mixing *m, lh_reply *r)
{
  answer_lines(m, r);
  answer_total(m, r);
  cautions(m, r);
}
