/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recipe_doc.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "chem/formula.h"
#include "chem/oxide.h"
#include "chem/stain.h"
#include "heap.h"
#include "nearest.h"

/* ---- the tables --------------------------------------------------------- */

static const char *const kinds[] = {"glaze", "slip", "body", NULL};

const char *const lh_material_classes[] = {
    "plastic clay", "kaolin", "silica", "flux",  "frit",
    "opacifier",    "oxide",  "stain",  "other", NULL};

static const lh_field material_fields[] = {
    LH_TEXT(lh_material_doc, name, "name", true, "What you call it."),
    LH_TEXT(lh_material_doc, formula, "formula", false,
            "Its formula, such as K2O.Al2O3.6SiO2."),
    LH_AMOUNTS(lh_material_doc, analysis, "analysis", false, 0, 100, "wt%",
               "Or its analysis: oxides and LOI by weight."),
    LH_AMOUNTS(lh_material_doc, moles, "moles", false, 0, 1e6, "mol",
               "Or moles of its oxides, as a frit's formula is written."),
    LH_AMOUNTS(lh_material_doc, uncertainty, "uncertainty", false, 0, 100,
               "wt%", "How far each figure of the analysis may be off."),
    LH_CHOICE(lh_material_doc, class_, "class", false, lh_material_classes, NAN,
              "What it is in a recipe."),
    LH_CHOICE(lh_material_doc, stain_family, "stain_family", false,
              lh_stain_families, NAN,
              "Of a stain: its kind, by which rules are known for it."),
    LH_NUMBER(lh_material_doc, density, "density", false, 0.5, 12, NAN,
              "g per cm3", "Of the solid."),
    LH_NUMBER(lh_material_doc, price_per_kg, "price_per_kg", false, 0, 1e6, NAN,
              "per kg", "What it costs, in your money."),
    LH_NUMBER(lh_material_doc, stock_g, "stock_g", false, 0, 1e9, NAN, "g",
              "How much you have."),
    LH_SPECTRUM_OF(lh_material_doc, absorption, "absorption_m2_g", false, 0,
                   1e5, "m2 per g",
                   "Of an inert stain: K of a gram of it in your glaze, "
                   "learned from tiles; for match."),
    LH_SPECTRUM_OF(lh_material_doc, scattering, "scattering_m2_g", false, 0,
                   1e5, "m2 per g", "And its S."),
    LH_NUMBER(lh_material_doc, most_percent, "most_percent", false, 0, 100, NAN,
              "% of the base", "Of a stain: most that match may take."),
    LH_TEXT(lh_material_doc, hazards, "hazards", false,
            "Hazard codes from its safety data sheet, such as H302 H410."),
    LH_NOTE(lh_material_doc, note, "note", false,
            "A few words for the mixing page."),
};
const lh_fields lh_material_table =
    LH_FIELDS("material", lh_material_doc, material_fields);

static const lh_field part_fields[] = {
    LH_TEXT(lh_part_doc, material, "material", true, "The material's name."),
    LH_NUMBER(lh_part_doc, parts, "parts", true, 0, LH_RECIPE_AMOUNT_MAX, NAN,
              "parts", "How many parts by weight."),
};
static const lh_fields part_table = LH_FIELDS("line", lh_part_doc, part_fields);

static const lh_field addition_fields[] = {
    LH_TEXT(lh_addition_doc, material, "material", true,
            "The material's name."),
    LH_NUMBER(lh_addition_doc, percent, "percent", true, 0, 1000, NAN,
              "% of the parts", "How much is added to 100 of the parts."),
};
static const lh_fields addition_table =
    LH_FIELDS("addition", lh_addition_doc, addition_fields);

static const lh_field recipe_fields[] = {
    LH_CHOICE(lh_recipe_doc, kind, "kind", false, kinds, LH_KIND_GLAZE,
              "What the recipe is for."),
    LH_LIST(lh_recipe_doc, lines, "lines", true, part_table, 60,
            "Parts by weight, usually adding to 100."),
    LH_LIST(lh_recipe_doc, additions, "additions", false, addition_table, 60,
            "Stains, oxides and the like, in % of the parts."),
};
const lh_fields lh_recipe_table =
    LH_FIELDS("recipe", lh_recipe_doc, recipe_fields);

/* ---- one material ------------------------------------------------------- */

typedef struct {
  lh_fault *fault;
} finding;

static lh_status say(const finding *f, const lh_at *at, const char *what,
                     const char *todo)
{
  char where[256];

  lh_at_pointer(at, where, sizeof where);
  return lh_fault_say(f->fault, LH_INPUT, where, todo, "%s", what);
}

static lh_status by_formula(const finding *f, const char *s, const lh_at *up,
                            lh_material *m)
{
  lh_at at = {up, "formula", 0};
  lh_formula formula;
  lh_formula_fault why;
  char what[256];
  lh_status st = lh_formula_parse(s, strlen(s), &formula, &why);

  if (st != LH_OK) {
    snprintf(what, sizeof what, "\"%.80s\", character %zu: %s", s, why.at + 1,
             lh_formula_text(why.why));
    if (why.why == LH_FORMULA_ELEMENT) {
      const char *names[LH_ELEMENTS];
      char symbol[8] = "";
      size_t near;
      for (size_t i = 0; i < LH_ELEMENTS; i++) names[i] = lh_element_symbol(i);
      if (why.length < sizeof symbol) memcpy(symbol, s + why.at, why.length);
      near = lh_nearest(symbol, names, LH_ELEMENTS);
      if (near < LH_ELEMENTS) {
        snprintf(what, sizeof what,
                 "\"%.80s\": no element %s; the nearest is %s", s, symbol,
                 names[near]);
      }
    }
    return say(f, &at, what, "write it like K2O.Al2O3.6SiO2");
  }
  if (lh_material_from_formula(&formula, m) == LH_OK) return LH_OK;
  return say(f, &at, "the formula weighs nothing",
             "write it like K2O.Al2O3.6SiO2");
}

static lh_status unknown_oxide(const finding *f, const lh_at *at,
                               const char *name)
{
  const char *names[LH_OXIDE_FORMS];
  char what[256];
  size_t near;

  for (size_t i = 0; i < LH_OXIDE_FORMS; i++) names[i] = lh_oxide_symbol(i);
  near = lh_nearest(name, names, LH_OXIDE_FORMS);
  if (near < LH_OXIDE_FORMS) {
    snprintf(what, sizeof what, "no oxide \"%.40s\"; the nearest is %s", name,
             names[near]);
  } else {
    snprintf(what, sizeof what, "no oxide \"%.40s\" is known", name);
  }
  return say(f, at, what, "write oxides such as SiO2, Al2O3, K2O, and LOI");
}

/* Amounts by name into a row of forms; LOI apart where it may stand. */
static lh_status spread(const finding *f, const lh_list *amounts,
                        const lh_at *at, double forms[LH_OXIDE_FORMS],
                        double *loi)
{
  for (size_t i = 0; i < LH_OXIDE_FORMS; i++) forms[i] = 0;
  for (size_t i = 0; i < amounts->count; i++) {
    const lh_amount *x = (const lh_amount *)amounts->items + i;
    lh_at here = {at, x->name, 0};
    size_t k = lh_oxide_find(x->name);
    if (loi && strcmp(x->name, "LOI") == 0)
      *loi = x->value;
    else if (k == LH_OXIDE_FORMS)
      return unknown_oxide(f, &here, x->name);
    else
      forms[k] = x->value;
  }
  return LH_OK;
}

static lh_status bad_amount(const finding *f, const lh_at *at, size_t bad)
{
  char what[128];

  if (bad < LH_OXIDE_FORMS) {
    snprintf(what, sizeof what, "%s is negative, over 100, or not a number",
             lh_oxide_symbol(bad));
  } else if (bad == LH_OXIDE_FORMS) {
    snprintf(what, sizeof what, "LOI is negative, over 100, or not a number");
  } else {
    snprintf(what, sizeof what, "the figures add to nothing");
  }
  return say(f, at, what, "copy the figures from the supplier's analysis");
}

static lh_status by_analysis(const finding *f, const lh_material_doc *doc,
                             const lh_at *up, lh_material *m)
{
  lh_at at = {up, "analysis", 0}, at_sd = {up, "uncertainty", 0};
  double percent[LH_OXIDE_FORMS], sd[LH_OXIDE_FORMS], loi = 0, loi_sd = 0;
  size_t bad = LH_OXIDE_FORMS + 1;
  lh_status st = spread(f, &doc->analysis, &at, percent, &loi);

  if (st == LH_OK) st = spread(f, &doc->uncertainty, &at_sd, sd, &loi_sd);
  if (st != LH_OK) return st;
  st = lh_material_from_analysis(percent, doc->uncertainty.count ? sd : NULL,
                                 loi, m, &bad);
  return st == LH_OK ? LH_OK : bad_amount(f, &at, bad);
}

static lh_status by_moles(const finding *f, const lh_material_doc *doc,
                          const lh_at *up, lh_material *m)
{
  lh_at at = {up, "moles", 0};
  double mol[LH_OXIDE_FORMS];
  size_t bad = LH_OXIDE_FORMS + 1;
  lh_status st = spread(f, &doc->moles, &at, mol, NULL);

  if (st != LH_OK) return st;
  st = lh_material_from_moles(mol, m, &bad);
  return st == LH_OK ? LH_OK : bad_amount(f, &at, bad);
}

static lh_status from_document(const finding *f, const lh_material_doc *doc,
                               const lh_at *at, lh_material_found *found)
{
  lh_status st = LH_OK;
  bool stain =
      doc->class_ >= 0 && !strcmp(lh_material_classes[doc->class_], "stain");
  int ways = (doc->formula != NULL) + (doc->analysis.count > 0) +
             (doc->moles.count > 0);

  if (ways > 1) {
    return say(f, at, "told in more than one way",
               "give one of formula, analysis, moles");
  }
  if (doc->formula)
    st = by_formula(f, doc->formula, at, &found->oxides);
  else if (doc->analysis.count)
    st = by_analysis(f, doc, at, &found->oxides);
  else if (doc->moles.count)
    st = by_moles(f, doc, at, &found->oxides);
  else if (stain)
    lh_material_from_nothing(&found->oxides);
  else {
    return say(f, at, "nothing says what it is made of",
               "give formula, analysis or moles");
  }
  if (stain) found->oxides.inert = true;
  found->name = doc->name;
  found->stain_family = doc->stain_family;
  found->class_ = doc->class_ < 0 ? "" : lh_material_classes[doc->class_];
  found->density = doc->density;
  found->price_per_kg = doc->price_per_kg;
  found->stock_g = doc->stock_g;
  found->hazards = doc->hazards ? doc->hazards : "";
  found->hazard_source = doc->hazards ? "as you gave them" : "";
  found->note = doc->note ? doc->note : "";
  return st;
}

/* -1 when it is none. */
static int family_of(const char *name)
{
  for (int i = 0; lh_stain_families[i]; i++)
    if (strcmp(lh_stain_families[i], name) == 0) return i;
  return -1;
}

static void from_supplied(size_t i, lh_material_found *found)
{
  lh_supplied s = lh_supplied_at(i);

  (void)lh_supplied_material(i, &found->oxides);
  if (strcmp(s.kind, "stain") == 0) found->oxides.inert = true;
  found->name = s.name;
  found->class_ = s.kind;
  found->density = s.density;
  found->price_per_kg = found->stock_g = NAN;
  found->hazards = s.hazards;
  found->hazard_source = s.hazard_source;
  found->note = s.note;
  found->stain_family = family_of(s.stain_family);
  found->supplied = true;
}

static lh_status unknown_material(const finding *f, const char *name,
                                  const lh_list *materials, const lh_at *at)
{
  const lh_material_doc *doc = materials->items;
  const char *names[256] = {NULL}, *near;
  size_t n = 0, k, length;
  char what[256];

  for (; n < materials->count && n < 256; n++) names[n] = doc[n].name;
  k = lh_nearest(name, names, n);
  if (k < n) {
    snprintf(what, sizeof what,
             "no material \"%.60s\"; the nearest is \"%.60s\"", name, names[k]);
  } else if (lh_supplied_nearest(name, &near, &length) < lh_supplied_count()) {
    snprintf(what, sizeof what,
             "no material \"%.60s\"; the nearest is \"%.*s\"", name,
             (int)length, near);
  } else {
    snprintf(what, sizeof what, "no material \"%.60s\" is known", name);
  }
  return say(f, at, what,
             "correct the name, or describe it under \"materials\"");
}

/* Two descriptions under one name: which is meant cannot be known. */
static lh_status only_one(const finding *f, const lh_list *materials, size_t i,
                          const lh_at *at_materials)
{
  const lh_material_doc *doc = materials->items;

  for (size_t k = i + 1; k < materials->count; k++) {
    lh_at here = {at_materials, NULL, k};
    char what[128];
    if (strcmp(doc[k].name, doc[i].name) != 0) continue;
    snprintf(what, sizeof what, "\"%.60s\" is described twice", doc[i].name);
    return say(f, &here, what, "keep one, or give each a name of its own");
  }
  return LH_OK;
}

static lh_status find_one(const finding *f, const char *name,
                          const lh_list *materials, const lh_at *at,
                          const lh_at *at_materials, lh_material_found *found)
{
  const lh_material_doc *doc = materials->items;
  size_t i;

  for (i = 0; i < materials->count; i++) {
    lh_at here = {at_materials, NULL, i};
    if (strcmp(doc[i].name, name) != 0) continue;
    if (only_one(f, materials, i, at_materials) != LH_OK) return LH_INPUT;
    /* A known name with nothing but a price or a stock: the supplied one. */
    if (!doc[i].formula && !doc[i].analysis.count && !doc[i].moles.count &&
        lh_supplied_find(name) < lh_supplied_count()) {
      from_supplied(lh_supplied_find(name), found);
      found->price_per_kg = doc[i].price_per_kg;
      found->stock_g = doc[i].stock_g;
      if (doc[i].note) found->note = doc[i].note;
      return LH_OK;
    }
    return from_document(f, &doc[i], &here, found);
  }
  i = lh_supplied_find(name);
  if (i == lh_supplied_count()) return unknown_material(f, name, materials, at);
  from_supplied(i, found);
  return LH_OK;
}

/* A material on two lines is one material, its analysis uncertain once. */
static const lh_material *one_for_all(const lh_recipe_found *found, size_t i)
{
  size_t k = 0;

  while (k < i && strcmp(found->found[k].name, found->found[i].name) != 0) k++;
  return &found->found[k].oxides;
}

lh_status lh_recipe_find(const lh_recipe_doc *doc, const lh_list *materials,
                         const lh_at *at, const lh_at *at_materials,
                         lh_arena *a, lh_recipe_found *found, lh_fault *fault)
{
  static const lh_at recipe_at = {NULL, "recipe", 0};
  static const lh_at materials_at = {NULL, "materials", 0};
  finding f = {fault};
  size_t n = doc->lines.count + doc->additions.count;
  lh_status st = LH_OK;

  if (!at) at = &recipe_at;
  if (!at_materials) at_materials = &materials_at;
  *found = (lh_recipe_found){
      .kind = doc->kind, .count = n, .parts = doc->lines.count};
  found->lines = lh_arena_take(a, n, sizeof *found->lines);
  found->found = lh_arena_take(a, n, sizeof *found->found);
  if (!found->lines || !found->found)
    return lh_fault_plain(fault, LH_NOMEM, "/recipe");
  if (n == 0) {
    return say(&f, at, "the recipe has no lines", "give lines with parts");
  }
  for (size_t i = 0; i < n && st == LH_OK; i++) {
    bool part = i < doc->lines.count;
    size_t k = part ? i : i - doc->lines.count;
    const lh_part_doc *p = part ? doc->lines.items : NULL;
    const lh_addition_doc *x = part ? NULL : doc->additions.items;
    lh_at list = {at, part ? "lines" : "additions", 0}, item = {&list, NULL, k};
    lh_at name = {&item, "material", 0};
    st = find_one(&f, part ? p[k].material : x[k].material, materials, &name,
                  at_materials, &found->found[i]);
    if (st != LH_OK) break;
    found->lines[i] = (lh_recipe_line){one_for_all(found, i),
                                       part ? p[k].parts : x[k].percent, !part};
  }
  return st;
}

const char *lh_recipe_words(const lh_recipe_found *f, lh_arena *a)
{
  char text[700] = "";

  for (size_t i = 0; i < f->count; i++) {
    size_t used = strlen(text);
    snprintf(text + used, sizeof text - used, "%s%s %.1f", used ? ", " : "",
             f->found[i].name, f->lines[i].amount);
  }
  return lh_heap_text(a, text);
}
