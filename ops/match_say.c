/* SPDX-License-Identifier: GPL-3.0-or-later */
/* match_say.c -- blends put into words and numbers. */
#include <math.h>
#include <stdio.h>

#include "made.h"
#include "match_room.h"
#include "stain_words.h"

static double worst_of(const lh_match_choice *c)
{
  return fmax(c->de00[0], fmax(c->de00[1], c->de00[2]));
}

/* Cost of the stains in a kilogram of dry blend; NaN when a price is not
** known. */
static double cost_of(const lh_match_work *w, const lh_match_choice *c)
{
  double sum = 1, cost = 0;

  for (size_t j = 0; j < c->count; j++) {
    sum += c->share[j];
    cost += c->share[j] * w->stains[c->stain[j]].price_per_kg;
  }
  return cost / sum;
}

/* ---- the stains' rules -------------------------------------------------- */

static void put_caution(const lh_match_work *w, lh_reply *r, json_t *list,
                        const lh_stain_doc *s, const lh_stain_finding *f)
{
  lh_stain_rule rule = lh_stain_rule_at(f->rule);
  const char *why =
      f->says == LH_STAIN_BROKEN ? lh_stain_why(f, w->arena) : rule.why;
  json_t *x = lh_reply_item(r, list);

  if (!why) {
    r->st = LH_NOMEM;
    return;
  }
  lh_reply_string(r, x, "stain", s->name);
  lh_reply_string(r, x, "says",
                  f->says == LH_STAIN_BROKEN ? "broken" : "not known");
  lh_reply_string(r, x, "why", why);
  lh_reply_string(r, x, "todo", rule.todo);
}

/* Which rules of a choice's stains are broken, or cannot be told here. */
static void put_rules(const lh_match_work *w, const lh_match_choice *c,
                      lh_reply *r, json_t *to)
{
  lh_stain_around around =
      lh_stain_around_of(NULL, w->fields->peak_c, w->fields->atmosphere);
  json_t *list = lh_reply_list(r, to, "cautions");

  for (size_t j = 0; j < c->count; j++) {
    const lh_stain_doc *s = &w->stains[c->stain[j]];
    lh_stain_finding found[LH_STAIN_RULES_MOST];
    size_t n;
    if (s->family < 0 ||
        lh_stain_rules_check((size_t)s->family, &around, found, &n) != LH_OK)
      continue;
    for (size_t i = 0; i < n; i++)
      if (found[i].says != LH_STAIN_KEPT) put_caution(w, r, list, s, &found[i]);
  }
}

static void say_rules(const lh_match_work *w, const lh_match_choice *c,
                      lh_reply *r)
{
  lh_stain_around around =
      lh_stain_around_of(NULL, w->fields->peak_c, w->fields->atmosphere);

  for (size_t j = 0; j < c->count; j++) {
    const lh_stain_doc *s = &w->stains[c->stain[j]];
    lh_stain_finding found[LH_STAIN_RULES_MOST];
    size_t n, untold = 0;
    if (s->family < 0 ||
        lh_stain_rules_check((size_t)s->family, &around, found, &n) != LH_OK)
      continue;
    for (size_t i = 0; i < n; i++) {
      const char *why;
      untold += found[i].says == LH_STAIN_UNTOLD;
      if (found[i].says != LH_STAIN_BROKEN) continue;
      why = lh_stain_why(&found[i], w->arena);
      if (!why) r->st = LH_NOMEM;
      lh_reply_line(r, LH_LINE_CAUTION, "%s\t%s\t%s", s->name, why ? why : "",
                    lh_stain_rule_at(found[i].rule).todo);
    }
    if (untold > 0)
      lh_reply_text(r,
                    "%s: of its rules %zu depend on the glaze's recipe or the "
                    "fire and cannot be judged here; ask the piece's verdict.",
                    s->name, untold);
  }
}

/* ---- for programs ------------------------------------------------------- */

static void put_choice(const lh_match_work *w, const lh_match_shown *x,
                       lh_reply *r, json_t *to)
{
  const lh_match_choice *c = &x->choice;
  json_t *list = lh_reply_list(r, to, "additions");
  char hex[8];

  for (size_t j = 0; j < c->count; j++) {
    json_t *one = lh_reply_item(r, list);
    lh_reply_string(r, one, "stain", w->stains[c->stain[j]].name);
    lh_reply_number(r, one, "percent", 100 * c->share[j]);
    lh_reply_number(r, one, "grams", c->share[j] * w->fields->dry_g);
  }
  lh_reply_number(r, to, "delta_e00", c->de00[0]);
  lh_reply_number(r, to, "delta_e00_window", worst_of(c));
  lh_reply_numbers(r, to, "delta_e00_coats", c->de00, LH_MATCH_COATS);
  lh_reply_range(r, to, "range", x->off.low, x->off.high);
  lh_reply_number(r, to, "delta_e00_hand", x->hand.high);
  lh_reply_number(r, to, "delta_e00_lamp", x->lamp);
  lh_reply_numbers(r, to, "lab",
                   (double[]){c->lab[0].L, c->lab[0].a, c->lab[0].b}, 3);
  lh_srgb_hex(lh_spectrum_srgb(
                  lh_lab_xyz(c->lab[0], lh_spectrum_white(w->ask.illuminant)),
                  w->ask.illuminant),
              hex);
  lh_reply_string(r, to, "hex", hex);
  lh_reply_number(r, to, "stain_cost_per_kg", cost_of(w, c));
  lh_reply_flag(r, to, "reached", c->de00[0] <= w->fields->tolerance);
  lh_reply_flag(r, to, "prediction", true);
  put_rules(w, c, r, to);
}

void lh_match_put(const lh_match_work *w, lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "choices");

  for (size_t i = 0; i < w->n; i++)
    put_choice(w, &w->shown[i], r, lh_reply_item(r, list));
  lh_reply_numbers(r, NULL, "coats_g_m2", w->ask.coat, LH_MATCH_COATS);
  lh_reply_numbers(
      r, NULL, "target_lab",
      (double[]){w->ask.target[0].L, w->ask.target[0].a, w->ask.target[0].b},
      3);
  lh_reply_number(r, NULL, "sets_tried", (double)w->info.sets);
  lh_reply_string(r, NULL, "geometry", lh_geometry_keys[w->stack.geometry]);
  lh_reply_string(r, NULL, "illuminant", lh_illuminant_keys[w->ask.illuminant]);
}

/* ---- for a person ------------------------------------------------------- */

static void say_additions(const lh_match_work *w, const lh_match_choice *c,
                          lh_reply *r)
{
  double dry = w->fields->dry_g;

  for (size_t j = 0; j < c->count; j++) {
    const lh_stain_doc *s = &w->stains[c->stain[j]];
    double percent = 100 * c->share[j];
    if (isnan(dry)) {
      lh_reply_row(r, "%s\t%.*f\t%%", s->name, percent < 1 ? 3 : 2, percent);
      continue;
    }
    lh_reply_row(r, "%s\t%.*f\t%%\t%.2f\tg%s", s->name, percent < 1 ? 3 : 2,
                 percent, c->share[j] * dry,
                 c->share[j] * dry > s->stock_g ? "\tmore than there is" : "");
  }
}

static void say_choice(const lh_match_work *w, const lh_match_shown *x,
                       lh_reply *r)
{
  const lh_match_choice *c = &x->choice;

  lh_reply_text(r,
                "dE00 %.1f at %.0f g/m2; %.1f at %.0f and %.1f at %.0f.  Nine "
                "in ten pots within %.1f for hand and scale, within %.1f if K "
                "and S are doubted too.",
                c->de00[0], w->ask.coat[0], c->de00[1], w->ask.coat[1],
                c->de00[2], w->ask.coat[2], x->hand.high, x->off.high);
  if (isfinite(x->lamp))
    lh_reply_text(r,
                  "By lamplight (A) it lies dE00 %.1f from the slip "
                  "wanted.",
                  x->lamp);
  if (isfinite(cost_of(w, c)))
    lh_reply_text(r, "Stain for %.2f in a kilogram of dry slip.",
                  cost_of(w, c));
  say_rules(w, c, r);
}

/* In which way the nearest fails. */
static void say_gamut(const lh_match_work *w, lh_reply *r)
{
  const lh_match_choice *c = &w->shown[0].choice;
  lh_lab t = w->ask.target[0], g = c->lab[0];
  double ct = sqrt(t.a * t.a + t.b * t.b), cg = sqrt(g.a * g.a + g.b * g.b);

  lh_reply_text(r,
                "With these stains the colour cannot be reached: the nearest "
                "is L* %.0f a* %.0f b* %.0f, wanted %.0f %.0f %.0f; it is "
                "%s and %s.",
                g.L, round(g.a) + 0.0, round(g.b) + 0.0, t.L, round(t.a) + 0.0,
                round(t.b) + 0.0,
                g.L < t.L - 1   ? "darker"
                : g.L > t.L + 1 ? "lighter"
                                : "as light",
                cg < ct - 1   ? "duller"
                : cg > ct + 1 ? "stronger"
                              : "of another hue");
}

void lh_match_say(const lh_match_work *w, lh_reply *r)
{
  for (size_t i = 0; i < w->n; i++) {
    if (i == 0)
      lh_reply_title(r, "Weigh into %s (%% of its dry weight)",
                     lh_slip_part_name(&w->base));
    else
      lh_reply_title(r, i == 1 ? "The next best" : "Then");
    say_additions(w, &w->shown[i].choice, r);
    say_choice(w, &w->shown[i], r);
    if (i == 0 && w->shown[0].choice.de00[0] > w->fields->tolerance)
      say_gamut(w, r);
  }
  lh_reply_text(r,
                "Predictions: no tile was made of these blends.  Make one of "
                "the first before the batch.");
  lh_reply_text(
      r,
      "%zu set%s of stains tried, inert ones as powders that mix by "
      "weight, %s, under %s, %s%s.",
      w->info.sets, w->info.sets == 1 ? "" : "s",
      w->fields->over ? "over what is told" : "on a white that is assumed",
      lh_illuminant_keys[w->ask.illuminant],
      lh_geometry_words[w->stack.geometry], w->stack.glaze ? "" : "; no glaze");
  lh_match_oxides_say(w, r);
  lh_stack_words_mark(
      r, "Some of it is ",
      lh_made_plainer(lh_slip_part_mark(&w->base),
                      w->by_slip ? lh_slip_part_mark(&w->wanted) : NULL));
}
