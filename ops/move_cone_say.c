/* SPDX-License-Identifier: GPL-3.0-or-later */
/* move_cone_say.c -- the recipes for another peak, told. */
#include <math.h>
#include <string.h>

#include "heap.h"
#include "move_room.h"
#include "stain_words.h"

/* Outside of these a glaze at its peak would be a puddle, or not have healed
** (log10 of Pa s).  A judgement; viscosity.h says where glazes usually are. */
#define USUAL_LEAST 1.5
#define USUAL_MOST 4.0

enum { STEPS = 5 };

/* ---- the old glaze ------------------------------------------------------ */

static void put_models(const lh_moving *m, lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "viscosity");

  for (int k = 0; k < LH_VISCOSITY_MODELS; k++) {
    const lh_move_said *x = &m->said[k];
    json_t *item = lh_reply_item(r, list);
    lh_reply_string(r, item, "model", lh_viscosity_name((lh_viscosity_model)k));
    lh_reply_flag(r, item, "valid", x->valid);
    lh_reply_string(r, item, "why", x->why);
    if (!x->valid) continue;
    lh_reply_number(r, item, "log10_pa_s_at_from", x->from.level);
    lh_reply_number(r, item, "plus_minus", x->from.plus_minus);
    if (x->to.valid) lh_reply_number(r, item, "log10_pa_s_at_to", x->to.level);
  }
}

static void say_old(const lh_moving *m, lh_reply *r)
{
  const lh_move_said *x = &m->said[m->model];

  lh_reply_text(r,
                "By %s the old glaze has a viscosity of 10^%.2f Pa s at %.0f "
                "C, plus or minus %.2f in the exponent; each recipe here has "
                "it at %.0f C, where the old one would have 10^%.2f.",
                lh_move_spoken(m->model), x->from.level, m->ask->from_c,
                x->from.plus_minus, m->ask->to_c, x->to.level);
  for (int k = 0; k < LH_VISCOSITY_MODELS; k++)
    if (!m->said[k].valid)
      lh_reply_text(r, "%s does not answer for it: %s.",
                    lh_move_spoken((lh_viscosity_model)k), m->said[k].why);
  if (x->from.level < USUAL_LEAST || x->from.level > USUAL_MOST)
    lh_reply_line(r, LH_LINE_CAUTION,
                  "viscosity\ta glaze is rarely right at 10^%.1f Pa s: from "
                  "10^%.1f to 10^%.1f is usual (a judgement)\tcheck from_c and "
                  "the recipe",
                  x->from.level, USUAL_LEAST, USUAL_MOST);
}

static void put_oxides(lh_reply *r, json_t *to, const char *key,
                       const double *v)
{
  json_t *o = lh_reply_object(r, to, key);

  for (size_t i = 0; i < LH_OXIDES; i++)
    if (v[i] > 0.0) lh_reply_number(r, o, lh_oxide_symbol(i), v[i]);
}

/* ---- a choice ----------------------------------------------------------- */

/* What both models say of the new glaze at the new peak, beside the old at
** the old one. */
static void put_levels(const lh_moving *m, const lh_change_side *after,
                       json_t *to, lh_reply *r, bool say)
{
  json_t *list = lh_reply_list(r, to, "viscosity_at_peak");

  for (int k = 0; k < LH_VISCOSITY_MODELS; k++) {
    lh_viscosity_model model = (lh_viscosity_model)k;
    json_t *item = lh_reply_item(r, list);
    lh_move_said now;
    lh_move_ask_model(after->fired.mol, model, m->ask->to_c, m->ask->to_c,
                      &now);
    now.valid = now.valid && m->said[k].valid;
    lh_reply_string(r, item, "model", lh_viscosity_name(model));
    lh_reply_flag(r, item, "valid", now.valid);
    lh_reply_string(r, item, "why", now.why[0] ? now.why : m->said[k].why);
    if (!now.valid) continue;
    lh_reply_number(r, item, "before_log10_pa_s", m->said[k].from.level);
    lh_reply_number(r, item, "after_log10_pa_s", now.from.level);
    lh_reply_number(r, item, "plus_minus", now.from.plus_minus);
    if (say && model != m->model)
      lh_reply_text(r,
                    "By %s it would have 10^%.2f Pa s, the old one 10^%.2f: "
                    "the two models disagree by that much.",
                    lh_move_spoken(model), now.from.level,
                    m->said[k].from.level);
  }
}

static void put_lines(lh_reply *r, json_t *item, const lh_recipe_found *f)
{
  json_t *lines = lh_reply_list(r, item, "lines");
  json_t *additions = lh_reply_list(r, item, "additions");

  for (size_t i = 0; i < f->count; i++) {
    bool part = i < f->parts;
    json_t *line = lh_reply_item(r, part ? lines : additions);
    lh_reply_string(r, line, "material", f->found[i].name);
    lh_reply_number(r, line, part ? "parts" : "percent", f->lines[i].amount);
  }
}

/* Rules that carried stains break in the new glaze. */
static void caution_stains(const lh_moving *m, const lh_recipe_found *f,
                           const lh_change_side *after, json_t *to, lh_reply *r,
                           bool say)
{
  json_t *list = lh_reply_list(r, to, "cautions");
  int reducing = m->ask->sub.reducing;
  lh_stain_around around = {after->fired.unity, m->ask->to_c,
                            reducing < 0 ? -1 : reducing};

  for (size_t i = f->parts; i < f->count; i++) {
    lh_stain_finding found[LH_STAIN_RULES_MOST];
    size_t n = 0;
    if (f->found[i].stain_family < 0) continue;
    (void)lh_stain_rules_check((size_t)f->found[i].stain_family, &around, found,
                               &n);
    for (size_t k = 0; k < n; k++) {
      const char *why, *todo = lh_stain_rule_at(found[k].rule).todo;
      json_t *item;
      if (found[k].says != LH_STAIN_BROKEN) continue;
      why = lh_stain_why(&found[k], r->arena);
      if (!why) {
        r->st = LH_NOMEM;
        return;
      }
      item = lh_reply_item(r, list);
      lh_reply_string(r, item, "what", f->found[i].name);
      lh_reply_string(r, item, "why", why);
      lh_reply_string(r, item, "do", todo);
      if (say)
        lh_reply_line(r, LH_LINE_CAUTION, "%s\t%s\t%s", f->found[i].name, why,
                      todo);
    }
  }
}

static lh_status put_choice(const lh_moving *m, size_t k, json_t *list,
                            lh_reply *r)
{
  const lh_sub *s = m->sub;
  const lh_search_choice *c = &m->choice[k].choice;
  lh_change_side *after = lh_arena_take(r->arena, 1, sizeof *after);
  lh_recipe_found *f = lh_arena_take(r->arena, 1, sizeof *f);
  json_t *item = lh_reply_item(r, list);
  lh_status st = after && f ? lh_sub_recipe(s, c, f) : LH_NOMEM;
  bool say = k == 0;

  if (st == LH_OK) st = lh_change_look(f, after);
  if (st != LH_OK) return st;
  put_lines(r, item, f);
  lh_reply_number(r, item, "distance", c->distance);
  put_oxides(r, item, "unity", after->fired.unity);
  if (say) {
    lh_reply_title(r, "Where to start testing at %.0f C", m->ask->to_c);
    for (size_t i = 0; i < f->count; i++)
      lh_reply_row(r, "%s\t%.2f\t%s", f->found[i].name, f->lines[i].amount,
                   i < f->parts ? "parts" : "% added");
    if (c->distance < LH_SUB_SAME)
      lh_reply_text(r, "It makes the old formula.");
    else
      lh_reply_text(r, "Its Seger formula is %.3g moles away from the old one.",
                    c->distance);
    say_old(m, r);
  }
  put_levels(m, after, item, r, say);
  lh_change_put(r, lh_reply_object(r, item, "change"), &s->before, after,
                s->kind, &s->tried);
  if (say) lh_change_say(r, &s->before, after, s->kind, &s->tried);
  caution_stains(m, f, after, item, r, say);
  if (k == 1) lh_reply_title(r, "The next nearest");
  if (!say) {
    const char *text = lh_recipe_words(f, r->arena);
    if (text) lh_reply_text(r, "%zu. %.3g away: %s", k + 1, c->distance, text);
  }
  return LH_OK;
}

/* ---- the tests ---------------------------------------------------------- */

/* Share of a material, by name, in a recipe as it is weighed. */
static double share_of(const lh_recipe_found *f, const char *name)
{
  double parts = 0.0, batch = 0.0, own = 0.0;

  for (size_t i = 0; i < f->parts; i++) parts += f->lines[i].amount;
  for (size_t i = 0; i < f->count; i++) {
    double g = f->lines[i].amount * (i < f->parts ? 1.0 : parts / 100.0);
    batch += g;
    if (strcmp(f->found[i].name, name) == 0) own += g;
  }
  return own / batch;
}

/* One test: so much of the new recipe, the rest the old. */
static void put_step(const lh_moving *m, const lh_recipe_found *f, double share,
                     json_t *list, lh_reply *r)
{
  const lh_recipe_found *each[2] = {f, m->sub->old};
  json_t *item = lh_reply_item(r, list), *lines;
  char text[700] = "";

  lh_reply_number(r, item, "new_percent", 100.0 * share);
  lines = lh_reply_list(r, item, "lines");
  for (size_t k = 0; k < 2; k++)
    for (size_t i = 0; i < each[k]->count; i++) {
      const char *name = each[k]->found[i].name;
      double g;
      size_t used = strlen(text), j = 0;
      while (k == 1 && j < f->count && strcmp(f->found[j].name, name)) j++;
      if (k == 1 && j < f->count) continue; /* told with the new */
      g = m->ask->sub.tile_g * (share * share_of(f, name) +
                                (1 - share) * share_of(m->sub->old, name));
      if (!(g > 0.0)) continue;
      json_t *line = lh_reply_item(r, lines);
      lh_reply_string(r, line, "material", name);
      lh_reply_number(r, line, "grams", g);
      snprintf(text + used, sizeof text - used, "%s%s %.1f", used ? ", " : "",
               name, g);
    }
  lh_reply_text(r, "%.0f %% new: %s", 100.0 * share, text);
}

static lh_status put_tests(const lh_moving *m, lh_reply *r)
{
  json_t *o = lh_reply_object(r, NULL, "tests"), *list;
  lh_recipe_found f;

  if (lh_sub_recipe(m->sub, &m->choice[0].choice, &f) != LH_OK) return LH_NOMEM;
  lh_reply_number(r, o, "tile_g", m->ask->sub.tile_g);
  lh_reply_number(r, o, "fire_to_c", m->ask->to_c);
  list = lh_reply_list(r, o, "steps");
  lh_reply_title(r, "First tests, all fired to %.0f C", m->ask->to_c);
  lh_reply_text(r, "Grams for %g g dry:", m->ask->sub.tile_g);
  for (int k = m->sub->all_had ? 0 : STEPS - 1; k < STEPS; k++)
    put_step(m, &f, (double)k / (STEPS - 1), list, r);
  return LH_OK;
}

/* ---- all ---------------------------------------------------------------- */

static void put_proof(const lh_moving *m, lh_reply *r)
{
  const lh_move_proof *p = &m->proof;

  lh_reply_string(r, NULL, "proof",
                  p->proven ? "each search optimal, with the viscosity "
                              "straightened"
                            : "stopped at its limit of visits");
  lh_reply_flag(r, NULL, "settled", p->settled);
  lh_reply_number(r, NULL, "rounds", (double)p->rounds);
  lh_reply_number(r, NULL, "visited", (double)p->visited);
  lh_reply_number(r, NULL, "outside", (double)p->outside);
  lh_reply_title(r, "How sure");
  lh_reply_text(r,
                "Each recipe has the old viscosity to the last digit of the "
                "model.  That none is nearer is %s; viscosity is not linear, "
                "so a recipe that is nearer by a hair could be left out.",
                p->proven ? "proven for the viscosity taken as a straight line"
                          : "not proven: the search was stopped");
  if (p->outside)
    lh_reply_text(r,
                  "%zu recipes were left out: the model does not reach "
                  "them.",
                  p->outside);
  lh_reply_text(r,
                "Equal viscosity is where to start testing, no more: crystals, "
                "bubbles, colour, fit and the glaze's bite on slip change with "
                "the peak as well.");
}

lh_status lh_move_say(const lh_moving *m, lh_reply *r, lh_fault *fault)
{
  json_t *list = lh_reply_list(r, NULL, "choices");

  lh_reply_string(r, NULL, "kind", "glaze");
  lh_reply_string(r, NULL, "model", lh_viscosity_name(m->model));
  put_models(m, r);
  if (m->has_aim) {
    put_oxides(r, NULL, "aim", m->aim);
    lh_reply_number(r, NULL, "aim_distance", m->aim_far);
  }
  lh_reply_string(r, NULL, "stock", m->sub->stock_from);
  for (size_t k = 0; k < m->proof.found; k++) {
    lh_status st = put_choice(m, k, list, r);
    if (st != LH_OK) return lh_fault_plain(fault, st, "move_cone");
  }
  put_proof(m, r);
  if (put_tests(m, r) != LH_OK)
    return lh_fault_plain(fault, LH_NOMEM, "move_cone");
  lh_reply_text(r, "The stock is %s.", m->sub->stock_from);
  lh_reply_text(r, "Dust harms the lungs for good: weigh with a mask or under "
                   "extraction, and ask for the suppliers' safety data "
                   "sheets.");
  return LH_OK;
}
