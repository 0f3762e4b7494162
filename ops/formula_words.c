/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "formula_words.h"

#include <math.h>
#include <string.h>

#include "chem/expansion.h"
#include "chem/viscosity.h"
#include "heap.h"

/* ---- the oxides --------------------------------------------------------- */

/* Names of the oxides in a set, apart by commas. */
static void list_names(const bool set[LH_OXIDES], char *text, size_t size)
{
  size_t n = 0;

  text[0] = 0;
  for (size_t i = 0; i < LH_OXIDES && n < size; i++) {
    if (!set[i]) continue;
    n += (size_t)snprintf(text + n, size - n, "%s%s", n ? ", " : "",
                          lh_oxide_symbol(i));
  }
}

static bool any_error(const lh_recipe_fired *f)
{
  for (size_t i = 0; i < LH_OXIDES; i++)
    if (f->unity_e[i] > 0.0) return true;
  return false;
}

static void put_unity(lh_reply *r, const lh_recipe_fired *f)
{
  json_t *unity, *ranges;

  if (!(f->flux_mol > 0.0)) {
    if (json_object_set_new(r->json, "unity", json_null()) != 0)
      r->st = LH_NOMEM;
    lh_reply_string(r, NULL, "unity_why",
                    "no flux oxide in the recipe: unity is not defined");
    return;
  }
  unity = lh_reply_object(r, NULL, "unity");
  for (size_t i = 0; i < LH_OXIDES; i++)
    if (f->mol[i] > 0.0)
      lh_reply_number(r, unity, lh_oxide_symbol(i), f->unity[i]);
  if (!any_error(f)) return;
  ranges = lh_reply_object(r, NULL, "unity_range");
  for (size_t i = 0; i < LH_OXIDES; i++)
    if (f->mol[i] > 0.0)
      lh_reply_range(r, ranges, lh_oxide_symbol(i),
                     fmax(f->unity[i] - f->unity_e[i], 0.0),
                     f->unity[i] + f->unity_e[i]);
}

static void put_flux_list(lh_reply *r, const lh_recipe_fired *f)
{
  json_t *list = lh_reply_list(r, NULL, "flux_oxides");

  for (size_t i = 0; i < LH_OXIDES; i++)
    if (f->flux[i] &&
        json_array_append_new(list, json_string(lh_oxide_symbol(i))) != 0)
      r->st = LH_NOMEM;
}

static void put_rows(lh_reply *r, const lh_recipe_fired *f)
{
  bool unity = f->flux_mol > 0.0, range = unity && any_error(f);

  lh_reply_line(r, LH_LINE_HEAD, "oxide\t%s\tmole %%\tweight %%%s",
                unity ? "unity" : "no unity", range ? "\tunity, 9 in 10" : "");
  for (size_t i = 0; i < LH_OXIDES; i++) {
    char u[32] = "-", e[64] = "";
    if (!(f->mol[i] > 0.0)) continue;
    if (unity) snprintf(u, sizeof u, "%.3f", f->unity[i]);
    if (range)
      snprintf(e, sizeof e, "\t%.3f to %.3f",
               fmax(f->unity[i] - f->unity_e[i], 0.0),
               f->unity[i] + f->unity_e[i]);
    lh_reply_row(r, "%s\t%s\t%.2f\t%.2f%s", lh_oxide_symbol(i), u,
                 f->mole_percent[i], f->weight_percent[i], e);
  }
}

void lh_formula_put_oxides(lh_reply *r, const lh_recipe_found *f,
                           const lh_recipe_fired *fired)
{
  static const char *const title[] = {"Seger formula of the glaze",
                                      "Analysis of the slip",
                                      "Analysis of the body"};
  static const char *const kind[] = {"glaze", "slip", "body"};
  json_t *mole, *weight;
  char flux[256];

  lh_reply_string(r, NULL, "kind", kind[f->kind]);
  put_unity(r, fired);
  lh_reply_string(r, NULL, "unity_is",
                  f->kind == LH_KIND_GLAZE
                      ? "the formula of a melt"
                      : "an analysis only: a slip or body is no melt");
  put_flux_list(r, fired);
  mole = lh_reply_object(r, NULL, "mole_percent");
  weight = lh_reply_object(r, NULL, "weight_percent");
  for (size_t i = 0; i < LH_OXIDES; i++) {
    if (!(fired->mol[i] > 0.0)) continue;
    lh_reply_number(r, mole, lh_oxide_symbol(i), fired->mole_percent[i]);
    lh_reply_number(r, weight, lh_oxide_symbol(i), fired->weight_percent[i]);
  }
  lh_reply_title(r, "%s", title[f->kind]);
  put_rows(r, fired);
  list_names(fired->flux, flux, sizeof flux);
  if (fired->flux_mol > 0.0)
    lh_reply_text(r,
                  "Fluxes that add to one: %s.  Other oxides, the colouring "
                  "ones too, are counted beside them.",
                  flux);
  else
    lh_reply_text(r,
                  "No flux oxide is in it (%s), so there is no unity to "
                  "count by.",
                  flux);
  if (f->kind != LH_KIND_GLAZE)
    lh_reply_text(r,
                  "A %s is no melt: read the formula as an analysis.  Its "
                  "quartz and crystals decide, not its oxides.",
                  kind[f->kind]);
}

/* ---- the whole ---------------------------------------------------------- */

void lh_formula_put_whole(lh_reply *r, const lh_recipe_found *f,
                          const lh_recipe_fired *fired)
{
  double untold = 100.0 * fired->untold / fired->batch;
  double ratio = fired->silica_alumina, e = fired->silica_alumina_e;

  lh_reply_number(r, NULL, "loi_percent", fired->loi_percent);
  lh_reply_number(r, NULL, "silica_alumina", ratio);
  lh_reply_title(r, "On the whole");
  if (isfinite(ratio)) {
    char range[48] = "";
    if (e > 0.0) {
      lh_reply_range(r, NULL, "silica_alumina_range", ratio - e, ratio + e);
      snprintf(range, sizeof range, "\t%.2f to %.2f", ratio - e, ratio + e);
    }
    lh_reply_row(r, "silica : alumina\t%.2f\tmoles%s", ratio, range);
  }
  lh_reply_row(r, "loss on ignition\t%.2f\t%% of the batch",
               fired->loi_percent);
  if (fired->inert > 0.0) {
    json_t *names = lh_reply_list(r, NULL, "inert");
    lh_reply_number(r, NULL, "inert_percent", fired->inert_percent);
    lh_reply_row(r, "stain, kept apart\t%.2f\t%% of what is fired",
                 fired->inert_percent);
    for (size_t i = 0; i < f->count; i++)
      if (f->lines[i].material->inert &&
          json_array_append_new(names, json_string(f->found[i].name)) != 0)
        r->st = LH_NOMEM;
  }
  if (fabs(untold) > 0.005) {
    lh_reply_number(r, NULL, "untold_percent", untold);
    lh_reply_row(r, "left open\t%.2f\t%% of the batch", untold);
  }
}

/* ---- the materials ------------------------------------------------------ */

/* Has this material stood on an earlier line? */
static bool seen(const lh_recipe_found *f, size_t i)
{
  for (size_t k = 0; k < i; k++)
    if (strcmp(f->found[k].name, f->found[i].name) == 0) return true;
  return false;
}

void lh_formula_put_materials(lh_reply *r, const lh_recipe_found *f)
{
  json_t *totals = NULL, *supplied = NULL;

  for (size_t i = 0; i < f->count; i++) {
    const lh_material_found *m = &f->found[i];
    double total = m->oxides.total;
    if (seen(f, i)) continue;
    if (m->supplied) {
      if (!supplied) supplied = lh_reply_object(r, NULL, "supplied_materials");
      lh_reply_string(r, supplied, m->name, m->note);
    }
    if (m->oxides.inert || fabs(total - 100.0) < 0.005) continue;
    if (!totals) totals = lh_reply_object(r, NULL, "analysis_totals");
    lh_reply_number(r, totals, m->name, total);
    if (total < 98.0 || total > 102.0) /* a judgement */
      lh_reply_line(r, LH_LINE_CAUTION,
                    "%s\tIts analysis adds to %.2f %%; it was used as it "
                    "stands.\tLook for a figure left out, or copied wrongly.",
                    m->name, total);
    else
      lh_reply_text(r,
                    "The analysis of %s adds to %.2f %%; it was used as it "
                    "stands.",
                    m->name, total);
  }
  if (supplied)
    lh_reply_text(r, "Materials not described are those that come with the "
                     "program, theoretical or invented: your supplier's "
                     "analysis goes before them.");
}

/* ---- what the models say ------------------------------------------------ */

/* Why a model was refused, in words. */
static void put_why(lh_melt_limit limit, const char *unit, char *text,
                    size_t size)
{
  const char *oxide =
      limit.oxide < LH_OXIDE_FORMS ? lh_oxide_symbol(limit.oxide) : "";

  switch (limit.why) {
  case LH_MELT_FINE: text[0] = 0; break;
  case LH_MELT_ABOVE:
    snprintf(text, size, "%s is %.2f %s; the model's glasses go up to %g",
             oxide, limit.amount, unit, limit.limit);
    break;
  case LH_MELT_BELOW:
    snprintf(text, size, "%s is %.2f %s; the model's glasses go down to %g",
             oxide, limit.amount, unit, limit.limit);
    break;
  case LH_MELT_UNKNOWN:
    snprintf(text, size, "the model does not know %s, here %.2f %s", oxide,
             limit.amount, unit);
    break;
  case LH_MELT_CURVE:
    snprintf(text, size, "the model gives no curve that a melt can have");
    break;
  }
}

static const char no_flux[] = "no flux is in the recipe: it makes no melt";

static const char *spoken(const char *model)
{
  return strcmp(model, "appen") == 0               ? "Appen"
         : strcmp(model, "english_turner") == 0    ? "English & Turner"
         : strcmp(model, "winkelmann_schott") == 0 ? "Winkelmann & Schott"
         : strcmp(model, "mayer_havas") == 0       ? "Mayer & Havas"
         : strcmp(model, "fluegel2007") == 0       ? "Fluegel 2007"
                                                   : "Lakatos 1976";
}

void lh_formula_put_expansion(lh_reply *r, const lh_recipe_fired *fired)
{
  json_t *list = lh_reply_list(r, NULL, "expansion");
  double least = INFINITY, most = -INFINITY;
  const char *refused[LH_EXPANSION_MODELS] = {NULL};

  lh_reply_title(r, "Thermal expansion, 1e-6 per K");
  for (int k = 0; k < LH_EXPANSION_MODELS; k++) {
    lh_expansion_model model = (lh_expansion_model)k;
    json_t *item = lh_reply_item(r, list);
    const char *name = lh_expansion_name(model);
    char why[160];
    lh_expansion e;
    if (lh_expansion_of(fired->mol, model, &e) != LH_OK) continue;
    put_why(e.limit, k == LH_EXPANSION_APPEN ? "mol%" : "wt%", why, sizeof why);
    if (!(fired->flux_mol > 0.0)) {
      e.valid = false;
      snprintf(why, sizeof why, "%s", no_flux);
    }
    lh_reply_string(r, item, "model", name);
    lh_reply_number(r, item, "value_1e6_per_k", e.value);
    lh_reply_range(r, item, "range_c", e.low_c, e.high_c);
    lh_reply_flag(r, item, "valid", e.valid);
    lh_reply_string(r, item, "why", why);
    if (e.valid) {
      least = fmin(least, e.value), most = fmax(most, e.value);
      lh_reply_row(r,
                   "%s\t%.2f\t%g to %g \xc2\xb0"
                   "C",
                   spoken(name), e.value, e.low_c, e.high_c);
    } else {
      refused[k] = lh_heap_print(r->arena, "Not by %s: %s.", spoken(name), why);
    }
  }
  for (int k = 0; k < LH_EXPANSION_MODELS; k++)
    if (refused[k]) lh_reply_text(r, "%s", refused[k]);
  lh_reply_range(r, NULL, "expansion_spread_1e6_per_k", least, most);
  lh_reply_text(r, "The models disagree by as much as a glaze that fits "
                   "differs from one that does not: compare two glazes by one "
                   "model, against one known to hold on your body.  Most of "
                   "the factors are from memory.");
}

/* The levels that one model answers, each with its range. */
static void put_levels(lh_reply *r, json_t *item, const lh_viscosity *v,
                       const char *name, bool *headed)
{
  json_t *t_c = lh_reply_object(r, item, "t_c");
  json_t *ranges = lh_reply_object(r, item, "t_range_c");

  for (size_t i = 0; i < LH_VISCOSITY_LEVELS; i++) {
    double low = v->t_c[i] - v->e_c[i], high = v->t_c[i] + v->e_c[i];
    char level[16];
    snprintf(level, sizeof level, "%.1f", v->level[i]);
    if (isnan(v->t_c[i])) continue;
    lh_reply_number(r, t_c, level, v->t_c[i]);
    lh_reply_range(r, ranges, level, low, high);
    if (!*headed)
      lh_reply_line(r, LH_LINE_HEAD, "model\tlog10 Pa s\tC\t9 in 10");
    *headed = true;
    lh_reply_row(r, "%s\t%s\t%.0f\t%.0f to %.0f", spoken(name), level,
                 v->t_c[i], low, high);
  }
}

void lh_formula_put_viscosity(lh_reply *r, const lh_recipe_fired *fired)
{
  json_t *list = lh_reply_list(r, NULL, "viscosity");
  const char *refused[LH_VISCOSITY_MODELS] = {NULL};
  double mol[LH_OXIDE_FORMS] = {0.0};
  bool headed = false;

  memcpy(mol, fired->mol, sizeof fired->mol);
  lh_reply_title(r, "Temperature at a viscosity");
  for (int k = 0; k < LH_VISCOSITY_MODELS; k++) {
    lh_viscosity_model model = (lh_viscosity_model)k;
    const char *name = lh_viscosity_name(model), *why;
    json_t *item = lh_reply_item(r, list);
    char words[160];
    bool some = false;
    lh_viscosity v;
    if (lh_viscosity_of(mol, model, &v) != LH_OK) continue;
    if (!(fired->flux_mol > 0.0)) {
      v.valid = false;
      v.t_c[0] = v.t_c[1] = v.t_c[2] = NAN;
    }
    for (size_t i = 0; i < LH_VISCOSITY_LEVELS; i++)
      some = some || !isnan(v.t_c[i]);
    put_why(v.limit, k == LH_VISCOSITY_FLUEGEL ? "mol%" : "wt%", words,
            sizeof words);
    if (!(fired->flux_mol > 0.0)) snprintf(words, sizeof words, "%s", no_flux);
    why = lh_heap_print(r->arena, "%s%s",
                        some && !v.valid ? "at the levels left out, " : "",
                        words);
    lh_reply_string(r, item, "model", name);
    put_levels(r, item, &v, name, &headed);
    lh_reply_flag(r, item, "valid", v.valid);
    lh_reply_string(r, item, "why", why);
    if (!v.valid)
      refused[k] = lh_heap_print(r->arena, "Not by %s: %s.", spoken(name), why);
  }
  for (int k = 0; k < LH_VISCOSITY_MODELS; k++)
    if (refused[k]) lh_reply_text(r, "%s", refused[k]);
}
