/* SPDX-License-Identifier: GPL-3.0-or-later */
/* formula.c -- the operation `formula`: a recipe as chemistry. */
#include <math.h>
#include <string.h>

#include "chem/portion.h"
#include "formula_words.h"
#include "heap.h"
#include "nearest.h"

typedef struct {
  lh_recipe_doc *recipe;
  lh_list materials;   /* lh_material_doc */
  lh_list flux_oxides; /* const char *    */
  lh_list make_unity;  /* lh_amount       */
} formula_ask;

static const lh_field formula_rows[] = {
    LH_OBJECT(formula_ask, recipe, "recipe", true, lh_recipe_table,
              "The recipe.  Of a slip or a body the formula is an analysis, "
              "not a prediction of a melt."),
    LH_LIST(formula_ask, materials, "materials", false, lh_material_table, 200,
            "Your materials by formula, analysis or moles; others are looked "
            "up among those that come with the program."),
    {.key = "flux_oxides",
     .kind = LH_F_TEXTS,
     .offset = offsetof(formula_ask, flux_oxides),
     .most_items = LH_OXIDES,
     .help = "The oxides whose moles add to one, if not the usual: Li2O, "
             "Na2O, K2O, MgO, CaO, SrO, BaO, ZnO, PbO (common practice, no "
             "source)."},
    LH_AMOUNTS(formula_ask, make_unity, "make_unity", false, 0, 1e6, "mol",
               "The way back: moles of oxides that the materials of the "
               "recipe's lines shall make; their parts are then worked out, "
               "additions left aside."),
};
static const lh_fields formula_table =
    LH_FIELDS("formula", formula_ask, formula_rows);

/* A fault at /KEY/ITEM. */
static lh_status say(lh_fault *fault, lh_status st, const char *key,
                     const char *item, const char *todo, const char *what)
{
  lh_at up = {NULL, key, 0}, at = {&up, item, 0};
  char where[256];

  lh_at_pointer(item ? &at : &up, where, sizeof where);
  return lh_fault_say(fault, st, where, todo, "%s", what);
}

static lh_status say_line(lh_fault *fault, size_t line, const char *todo,
                          const char *what)
{
  static const lh_at recipe = {NULL, "recipe", 0};
  static const lh_at lines = {&recipe, "lines", 0};
  lh_at at = {&lines, NULL, line};
  char where[256];

  lh_at_pointer(&at, where, sizeof where);
  return lh_fault_say(fault, LH_RANGE, where, todo, "%s", what);
}

/* A fired oxide by name, or a fault that names the nearest. */
static lh_status find_oxide(const char *name, const char *key, const char *item,
                            size_t *oxide, lh_fault *fault)
{
  const char *names[LH_OXIDES];
  char what[160];
  size_t near;

  *oxide = lh_oxide_find(name);
  if (*oxide < LH_OXIDES) return LH_OK;
  for (size_t i = 0; i < LH_OXIDES; i++) names[i] = lh_oxide_symbol(i);
  near = lh_nearest(name, names, LH_OXIDES);
  if (*oxide < LH_OXIDE_FORMS && lh_oxide_fired(*oxide) < LH_OXIDES)
    near = lh_oxide_fired(*oxide);
  if (near < LH_OXIDES)
    snprintf(what, sizeof what, "no fired oxide \"%.40s\"; the nearest is %s",
             name, names[near]);
  else
    snprintf(what, sizeof what, "no fired oxide \"%.40s\" is known", name);
  return say(fault, LH_INPUT, key, item, "write oxides such as CaO, K2O, SiO2",
             what);
}

static lh_status read_flux(const formula_ask *a, bool flux[LH_OXIDES],
                           lh_fault *fault)
{
  const char *const *name = a->flux_oxides.items;

  for (size_t i = 0; i < LH_OXIDES; i++)
    flux[i] = a->flux_oxides.count == 0 && lh_oxide_flux(i);
  for (size_t i = 0; i < a->flux_oxides.count; i++) {
    char item[24];
    size_t oxide;
    lh_status st;
    snprintf(item, sizeof item, "%zu", i);
    st = find_oxide(name[i], "flux_oxides", item, &oxide, fault);
    if (st != LH_OK) return st;
    flux[oxide] = true;
  }
  return LH_OK;
}

/* Words for weights that cannot be had. */
static lh_status say_portion(const lh_recipe_found *f,
                             const lh_portion_info *info, const double *grams,
                             lh_fault *fault)
{
  char what[256];

  switch (info->why) {
  case LH_PORTION_MISSES:
    snprintf(what, sizeof what,
             "these materials cannot make it: the nearest is %.4g mol too "
             "%s in %s",
             fabs(info->off), info->off > 0.0 ? "much" : "little",
             lh_oxide_symbol(info->oxide));
    return say(fault, LH_RANGE, "make_unity", NULL,
               "add a material that brings the oxide alone, or take out one "
               "that brings too much",
               what);
  case LH_PORTION_NEGATIVE:
    snprintf(what, sizeof what,
             "%.4g g of %.80s would have to be taken out of the batch",
             -grams[info->material], f->found[info->material].name);
    return say_line(fault, info->material,
                    "take it out, or one that brings the same oxides", what);
  case LH_PORTION_MANY:
    snprintf(what, sizeof what,
             "%.80s makes nothing that those before it cannot: more than one "
             "set of weights will do",
             f->found[info->material].name);
    return say_line(fault, info->material, "take one of them out", what);
  case LH_PORTION_FINE: break;
  }
  return lh_fault_plain(fault, LH_RANGE, "/make_unity");
}

/* The way back: the parts of the lines for a formula. */
static lh_status make(const formula_ask *a, lh_recipe_found *f, lh_fault *fault)
{
  const lh_amount *asked = a->make_unity.items;
  const lh_material *m[LH_PORTION_MAX];
  double target[LH_OXIDES] = {0.0}, grams[LH_PORTION_MAX], sum = 0.0;
  lh_portion_info info;
  lh_status st;

  for (size_t i = 0; i < a->make_unity.count; i++) {
    size_t oxide;
    st = find_oxide(asked[i].name, "make_unity", asked[i].name, &oxide, fault);
    if (st != LH_OK) return st;
    target[oxide] = asked[i].value;
  }
  if (f->parts > LH_PORTION_MAX) {
    return say(fault, LH_TOOLARGE, "recipe", "lines",
               "name the few materials that it is to be made of",
               "a formula is worked back for 16 materials at most");
  }
  for (size_t k = 0; k < f->parts; k++) m[k] = f->lines[k].material;
  /* Formulas are written to two or three digits: 1e-6 of the moles is exact
  ** for them, and above what the sums lose. */
  st = lh_portion_solve(target, m, f->parts, 1e-6, grams, &info);
  if (st == LH_INPUT) {
    return say(fault, LH_INPUT, "make_unity", NULL,
               "give moles of the oxides, above 0",
               "the formula adds to nothing");
  }
  if (st != LH_OK) return say_portion(f, &info, grams, fault);
  for (size_t k = 0; k < f->parts; k++) sum += grams[k];
  for (size_t k = 0; k < f->parts; k++)
    f->lines[k].amount = 100.0 * grams[k] / sum;
  f->count = f->parts;
  return LH_OK;
}

static void put_lines(lh_reply *r, const lh_recipe_found *f)
{
  json_t *list = lh_reply_list(r, NULL, "lines");

  lh_reply_title(r, "Batch for the formula");
  for (size_t k = 0; k < f->parts; k++) {
    json_t *item = lh_reply_item(r, list);
    lh_reply_string(r, item, "material", f->found[k].name);
    lh_reply_number(r, item, "parts", f->lines[k].amount);
    lh_reply_row(r, "%s\t%.2f\tparts", f->found[k].name, f->lines[k].amount);
  }
  lh_reply_text(r,
                "Dust harms the lungs for good: weigh with a mask or "
                "extraction, and ask for the suppliers' safety data sheets.");
}

/* Words for a recipe that comes to nothing. */
static lh_status say_nothing(const lh_recipe_found *f, lh_fault *fault)
{
  double parts = 0.0;

  for (size_t i = 0; i < f->parts; i++) parts += f->lines[i].amount;
  if (parts > 0.0) {
    return say(fault, LH_RANGE, "recipe", "lines",
               "give a material that is there after the fire",
               "nothing of the recipe melts: it is all stain, or burns away");
  }
  return say(fault, LH_RANGE, "recipe", "lines", "give parts above 0",
             "the parts of the recipe add to nothing");
}

static lh_status run(const lh_call *call, const void *document, lh_reply *r,
                     lh_fault *fault)
{
  const formula_ask *a = document;
  bool flux[LH_OXIDES];
  lh_recipe_found found;
  lh_recipe_fired *fired = lh_arena_take(call->arena, 1, sizeof *fired);
  lh_status st;

  if (!fired) return lh_fault_plain(fault, LH_NOMEM, "formula");
  st = read_flux(a, flux, fault);
  if (st == LH_OK) {
    st = lh_recipe_find(a->recipe, &a->materials, NULL, NULL, call->arena,
                        &found, fault);
  }
  if (st == LH_OK && a->make_unity.count > 0) st = make(a, &found, fault);
  if (st != LH_OK) return st;
  if (lh_recipe_fire(found.lines, found.count, flux, fired, NULL) != LH_OK)
    return say_nothing(&found, fault);
  if (a->make_unity.count > 0) put_lines(r, &found);
  lh_formula_put_oxides(r, &found, fired);
  lh_formula_put_whole(r, &found, fired);
  lh_formula_put_materials(r, &found);
  if (found.kind == LH_KIND_GLAZE) {
    lh_formula_put_expansion(r, fired);
    lh_formula_put_viscosity(r, fired);
  }
  return LH_OK;
}

const lh_operation lh_op_formula = {
    .name = "formula",
    .help = "unity formula, analysis, expansion and viscosity of a recipe",
    .purpose =
        "What a recipe is after the fire: the Seger formula with the fluxes "
        "adding to one, mole and weight per cent, loss on ignition and silica "
        "to alumina; for a glaze also its thermal expansion by four sets of "
        "factors and the temperatures of its viscosity by two models, each "
        "only as far as the model reaches.  Or, with make_unity, the parts of "
        "given materials that make a formula.  Encapsulated stains (class "
        "stain) stay out of the formula and are told apart.",
    .fields = &formula_table,
    .run = run,
    .example =
        "{\"recipe\": {\"kind\": \"glaze\", \"lines\": ["
        "{\"material\": \"potash feldspar\", \"parts\": 40}, "
        "{\"material\": \"whiting\", \"parts\": 20}, "
        "{\"material\": \"kaolin\", \"parts\": 10}, "
        "{\"material\": \"quartz\", \"parts\": 30}], "
        "\"additions\": [{\"material\": \"red iron oxide\", \"percent\": 2}]}}",
};
