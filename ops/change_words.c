/* SPDX-License-Identifier: GPL-3.0-or-later */
/* change_words.c -- how two recipes are told apart. */
#include <math.h>
#include <string.h>

#include "change.h"
#include "heap.h"

const char *lh_change_model(const char *model)
{
  return strcmp(model, "appen") == 0               ? "Appen"
         : strcmp(model, "english_turner") == 0    ? "English & Turner"
         : strcmp(model, "winkelmann_schott") == 0 ? "Winkelmann & Schott"
         : strcmp(model, "mayer_havas") == 0       ? "Mayer & Havas"
         : strcmp(model, "fluegel2007") == 0       ? "Fluegel 2007"
                                                   : "Lakatos 1976";
}

/* ---- for a program ------------------------------------------------------ */

/* {"old", "new", "change"}; what is not known is left out. */
static void pair(lh_reply *r, json_t *to, const char *key, double old,
                 double new_)
{
  json_t *o = lh_reply_object(r, to, key);

  lh_reply_number(r, o, "old", old);
  lh_reply_number(r, o, "new", new_);
  lh_reply_number(r, o, "change", new_ - old);
}

static void put_oxides(lh_reply *r, json_t *to, const lh_change_side *old,
                       const lh_change_side *new_)
{
  json_t *list = lh_reply_list(r, to, "oxides");

  for (size_t i = 0; i < LH_OXIDES; i++) {
    json_t *item;
    if (!(old->fired.mol[i] > 0.0) && !(new_->fired.mol[i] > 0.0)) continue;
    item = lh_reply_item(r, list);
    lh_reply_string(r, item, "oxide", lh_oxide_symbol(i));
    pair(r, item, "unity", old->fired.unity[i], new_->fired.unity[i]);
    pair(r, item, "mole_percent", old->fired.mole_percent[i],
         new_->fired.mole_percent[i]);
    pair(r, item, "weight_percent", old->fired.weight_percent[i],
         new_->fired.weight_percent[i]);
    lh_reply_flag(r, item, "colouring", lh_oxide_role(i) == LH_ROLE_COLOURANT);
  }
}

static void put_expansion(lh_reply *r, json_t *to, const lh_change_side *old,
                          const lh_change_side *new_)
{
  json_t *list = lh_reply_list(r, to, "expansion");
  double least = INFINITY, most = -INFINITY;

  for (int k = 0; k < LH_EXPANSION_MODELS; k++) {
    const lh_expansion *a = &old->expansion[k], *b = &new_->expansion[k];
    json_t *item = lh_reply_item(r, list);
    bool valid = a->valid && b->valid;
    lh_reply_string(r, item, "model", lh_expansion_name((lh_expansion_model)k));
    lh_reply_flag(r, item, "valid", valid);
    lh_reply_range(r, item, "range_c", a->low_c, a->high_c);
    if (!valid) {
      lh_reply_string(r, item, "why",
                      a->valid   ? "the new recipe is outside of the model"
                      : b->valid ? "the old recipe is outside of the model"
                                 : "both are outside of the model");
      continue;
    }
    lh_reply_number(r, item, "old_1e6_per_k", a->value);
    lh_reply_number(r, item, "new_1e6_per_k", b->value);
    lh_reply_number(r, item, "change_1e6_per_k", b->value - a->value);
    least = fmin(least, b->value - a->value);
    most = fmax(most, b->value - a->value);
  }
  lh_reply_range(r, to, "expansion_change_1e6_per_k", least, most);
}

static void put_viscosity(lh_reply *r, json_t *to, const lh_change_side *old,
                          const lh_change_side *new_)
{
  json_t *list = lh_reply_list(r, to, "viscosity");

  for (int k = 0; k < LH_VISCOSITY_MODELS; k++) {
    const lh_viscosity *a = &old->viscosity[k], *b = &new_->viscosity[k];
    json_t *item = lh_reply_item(r, list);
    json_t *levels = lh_reply_object(r, item, "t_c");
    lh_reply_string(r, item, "model", lh_viscosity_name((lh_viscosity_model)k));
    lh_reply_flag(r, item, "valid", a->valid && b->valid);
    for (int i = 0; i < LH_VISCOSITY_LEVELS; i++) {
      char level[16];
      json_t *o;
      if (isnan(a->t_c[i]) || isnan(b->t_c[i])) continue;
      snprintf(level, sizeof level, "%.1f", a->level[i]);
      o = lh_reply_object(r, levels, level);
      lh_reply_number(r, o, "old", a->t_c[i]);
      lh_reply_number(r, o, "new", b->t_c[i]);
      lh_reply_number(r, o, "change", b->t_c[i] - a->t_c[i]);
      lh_reply_range(r, o, "new_range", b->t_c[i] - b->e_c[i],
                     b->t_c[i] + b->e_c[i]);
    }
    if (!a->valid || !b->valid)
      lh_reply_string(r, item, "why",
                      "levels at which a recipe is outside of the model are "
                      "left out; ask formula for the oxide");
  }
}

static void put_bars(lh_reply *r, json_t *to, const lh_change_side *old,
                     const lh_change_side *new_)
{
  static const char *const make[] = {"shrinkage bars", "curl bar"};
  json_t *list = lh_reply_list(r, to, "bars");

  for (int k = 0; old->found && k < 2; k++) {
    json_t *item = lh_reply_item(r, list);
    lh_reply_string(r, item, "make", make[k]);
    lh_reply_string(r, item, "why", lh_change_bar(r->arena, k == 1, old, new_));
  }
}

void lh_change_put(lh_reply *r, json_t *to, const lh_change_side *old,
                   const lh_change_side *new_, int kind,
                   const lh_change_tried *tried)
{
  const char *bring, *codes = lh_change_hazards(r->arena, old, new_, &bring);
  json_t *names, *o;

  put_oxides(r, to, old, new_);
  pair(r, to, "loi_percent", old->found ? old->fired.loi_percent : NAN,
       new_->fired.loi_percent);
  pair(r, to, "plastic_clay_percent", old->plastic_percent,
       new_->plastic_percent);
  pair(r, to, "cost_per_kg", old->cost_per_kg, new_->cost_per_kg);
  if (kind == LH_KIND_GLAZE) {
    put_expansion(r, to, old, new_);
    put_viscosity(r, to, old, new_);
  } else {
    put_bars(r, to, old, new_);
  }
  o = lh_reply_object(r, to, "new_hazards");
  lh_reply_string(r, o, "codes", codes);
  lh_reply_string(r, o, "materials", bring);
  lh_reply_flag(r, to, "book_open", tried->book);
  names = lh_reply_list(r, to, "never_on_a_tile");
  for (size_t i = 0; tried->book && i < new_->found->count; i++)
    if (lh_change_untried(tried, new_->found->found[i].name) &&
        json_array_append_new(names, json_string(new_->found->found[i].name)) !=
            0)
      r->st = LH_NOMEM;
}

/* ---- for a person ------------------------------------------------------- */

static void say_oxides(lh_reply *r, const lh_change_side *old,
                       const lh_change_side *new_, int kind)
{
  bool unity = kind == LH_KIND_GLAZE;

  lh_reply_line(r, LH_LINE_HEAD, "%s\t%s\tnew\tchange\tnew, weight %%",
                unity ? "Seger formula" : "mole per cent",
                old->found ? "old" : "aim");
  for (size_t i = 0; i < LH_OXIDES; i++) {
    double a = unity ? old->fired.unity[i] : old->fired.mole_percent[i];
    double b = unity ? new_->fired.unity[i] : new_->fired.mole_percent[i];
    if (!(old->fired.mol[i] > 0.0) && !(new_->fired.mol[i] > 0.0)) continue;
    lh_reply_row(r, "%s%s\t%.3f\t%.3f\t%+.3f\t%.2f", lh_oxide_symbol(i),
                 lh_oxide_role(i) == LH_ROLE_COLOURANT ? ", colours" : "", a, b,
                 round((b - a) * 1e3) / 1e3 + 0.0,
                 new_->fired.weight_percent[i]);
  }
}

static void say_expansion(lh_reply *r, const lh_change_side *old,
                          const lh_change_side *new_)
{
  bool any = false;

  for (int k = 0; k < LH_EXPANSION_MODELS; k++) {
    const lh_expansion *a = &old->expansion[k], *b = &new_->expansion[k];
    if (!a->valid || !b->valid) continue;
    if (!any)
      lh_reply_line(r, LH_LINE_HEAD, "expansion, 1e-6 per K\told\tnew\tchange");
    any = true;
    lh_reply_row(r, "%s\t%.2f\t%.2f\t%+.2f",
                 lh_change_model(lh_expansion_name((lh_expansion_model)k)),
                 a->value, b->value,
                 round(100.0 * (b->value - a->value)) / 100.0 + 0.0);
  }
  lh_reply_text(r, any ? "Each model is compared with itself: they differ from "
                         "one another by more than most changes.  Crazing and "
                         "shivering are tried on your own body."
                       : "No model of expansion answers for both recipes.");
}

static void say_viscosity(lh_reply *r, const lh_change_side *old,
                          const lh_change_side *new_)
{
  bool any = false;

  for (int k = 0; k < LH_VISCOSITY_MODELS; k++) {
    const lh_viscosity *a = &old->viscosity[k], *b = &new_->viscosity[k];
    const char *name = lh_viscosity_name((lh_viscosity_model)k);
    for (int i = 0; i < LH_VISCOSITY_LEVELS; i++) {
      if (isnan(a->t_c[i]) || isnan(b->t_c[i])) continue;
      if (!any)
        lh_reply_line(
            r, LH_LINE_HEAD,
            "\xc2\xb0"
            "C at a viscosity\tlog10 Pa s\told\tnew\tchange\t9 in 10");
      any = true;
      lh_reply_row(r, "%s\t%.1f\t%.0f\t%.0f\t%+.0f\t%.0f to %.0f",
                   lh_change_model(name), a->level[i], a->t_c[i], b->t_c[i],
                   round(b->t_c[i] - a->t_c[i]) + 0.0, b->t_c[i] - b->e_c[i],
                   b->t_c[i] + b->e_c[i]);
    }
  }
  if (!any)
    lh_reply_text(r, "No model of viscosity answers for both recipes: try on "
                     "an upright tile how far it runs.");
}

static void say_whole(lh_reply *r, const lh_change_side *old,
                      const lh_change_side *new_)
{
  if (!old->found) {
    lh_reply_row(r, "loss on ignition\t%.2f\t%% of the batch",
                 new_->fired.loi_percent);
    return;
  }
  lh_reply_line(r, LH_LINE_HEAD, "of the batch\told\tnew\tchange");
  lh_reply_row(
      r, "loss on ignition, %%\t%.2f\t%.2f\t%+.2f", old->fired.loi_percent,
      new_->fired.loi_percent,
      round(100.0 * (new_->fired.loi_percent - old->fired.loi_percent)) /
              100.0 +
          0.0);
  if (old->plastic_percent > 0.0 || new_->plastic_percent > 0.0)
    lh_reply_row(r, "plastic clay, %%\t%.1f\t%.1f\t%+.1f", old->plastic_percent,
                 new_->plastic_percent,
                 round(10.0 * (new_->plastic_percent - old->plastic_percent)) /
                         10.0 +
                     0.0);
  if (isfinite(old->cost_per_kg) && isfinite(new_->cost_per_kg))
    lh_reply_row(r, "cost, per kg\t%.2f\t%.2f\t%+.2f", old->cost_per_kg,
                 new_->cost_per_kg,
                 round(100.0 * (new_->cost_per_kg - old->cost_per_kg)) / 100.0 +
                     0.0);
}

static void say_tried(lh_reply *r, const lh_change_side *new_,
                      const lh_change_tried *tried)
{
  char names[400] = "";

  for (size_t i = 0; tried->book && i < new_->found->count; i++) {
    size_t used = strlen(names);
    const char *name = new_->found->found[i].name;
    if (lh_change_untried(tried, name) && !strstr(names, name))
      snprintf(names + used, sizeof names - used, "%s%s", used ? ", " : "",
               name);
  }
  if (names[0]) lh_reply_text(r, "Never on one of your tiles: %s.", names);
  if (!tried->book)
    lh_reply_text(r, "No book is open, so it is not known which materials "
                     "your tiles have shown.");
}

void lh_change_say(lh_reply *r, const lh_change_side *old,
                   const lh_change_side *new_, int kind,
                   const lh_change_tried *tried)
{
  const char *bring, *codes = lh_change_hazards(r->arena, old, new_, &bring);

  lh_reply_title(r, "What will change");
  say_oxides(r, old, new_, kind);
  say_whole(r, old, new_);
  if (kind == LH_KIND_GLAZE) {
    say_expansion(r, old, new_);
    say_viscosity(r, old, new_);
  } else {
    lh_reply_text(r, "A slip is no melt, so neither expansion nor viscosity "
                     "is told.  Make bars instead.");
    if (old->found) {
      lh_reply_text(r, "Shrinkage bars: %s.",
                    lh_change_bar(r->arena, false, old, new_));
      lh_reply_text(r, "A curl bar, slipped on one face beside a bare one: %s.",
                    lh_change_bar(r->arena, true, old, new_));
    }
  }
  say_tried(r, new_, tried);
  if (codes && *codes)
    lh_reply_line(r, LH_LINE_CAUTION,
                  "%s\t%s: %s.\tAsk for the supplier's safety data sheet "
                  "before you weigh it.",
                  bring,
                  old->found ? "Brings hazards that the old recipe had not"
                             : "Has hazards",
                  codes);
}
