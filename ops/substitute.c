/* SPDX-License-Identifier: GPL-3.0-or-later */
/* substitute.c -- the operation `substitute`: the recipe that can still be
** made. */
#include <math.h>

#include "substitute_room.h"

static const lh_field target_rows[] = {
    LH_AMOUNTS(lh_sub_target, unity, "unity", false, 0, 1e6, "mol",
               "A Seger formula: moles of oxides, scaled so that its fluxes "
               "add to one."),
    LH_OBJECT(lh_sub_target, recipe, "recipe", false, lh_recipe_table,
              "Or a recipe: what it is after the fire is aimed at."),
};
static const lh_fields target_table =
    LH_FIELDS("target", lh_sub_target, target_rows);

static const lh_field limit_rows[] = {
    LH_TEXT(lh_sub_limit, material, "material", false,
            "A material of the stock; or give class."),
    LH_CHOICE(lh_sub_limit, class_, "class", false, lh_material_classes, NAN,
              "All materials of the class together."),
    LH_FLAG(lh_sub_limit, must, "must", 0, "It must be in the recipe."),
    LH_FLAG(lh_sub_limit, never, "never", 0, "It must not."),
    LH_NUMBER(lh_sub_limit, least_percent, "least_percent", false, 0, 100, NAN,
              "% of the batch", "At least so much of it."),
    LH_NUMBER(lh_sub_limit, most_percent, "most_percent", false, 0, 100, NAN,
              "% of the batch", "At most so much of it."),
    LH_NUMBER(lh_sub_limit, share_percent, "share_percent", false, 0, 100, NAN,
              "% of the batch", "Exactly so much of it."),
    LH_TEXT(lh_sub_limit, ratio_to, "ratio_to", false,
            "Another material: with ratio, grams of the first to one of it."),
    LH_NUMBER(lh_sub_limit, ratio, "ratio", false, 1e-6, 1e6, NAN, "g per g",
              "See ratio_to."),
    LH_NUMBER(lh_sub_limit, stock_g, "stock_g", false, 0, 1e9, NAN, "g",
              "So much of it is there for batch_g."),
};
const lh_fields lh_sub_limit_table =
    LH_FIELDS("limit", lh_sub_limit, limit_rows);

static const lh_field group_rows[] = {
    {.key = "oxides",
     .kind = LH_F_TEXTS,
     .offset = offsetof(lh_sub_group, oxides),
     .required = true,
     .most_items = LH_OXIDES,
     .help = "Oxides that may stand for each other, such as Na2O and K2O."},
};
const lh_fields lh_sub_group_table =
    LH_FIELDS("group", lh_sub_group, group_rows);

static const char *const no_yes[] = {"no", "yes", NULL};

static const lh_field rows[] = {
#include "substitute_fields.def"
};
static const lh_fields table = LH_FIELDS("substitute", lh_sub_ask, rows);

static const char *const papers[] = {"a4", "letter", NULL};

static const lh_field sheet_rows[] = {
#include "substitute_fields.def"
    LH_COUNT(lh_sub_ask, choice, "choice", false, 1, LH_SEARCH_CHOICES, 1,
             "Which of the choices is put on the page; 1: the nearest."),
    LH_CHOICE(lh_sub_ask, paper, "paper", false, papers, 0,
              "What it is printed on."),
};
static const lh_fields sheet_table =
    LH_FIELDS("substitute_sheet", lh_sub_ask, sheet_rows);

/* The search, its words when it cannot. */
static lh_status search(lh_sub *s, lh_fault *fault)
{
  lh_status st = lh_search_nearest(&s->problem, s->choice, &s->proof,
                                   s->call->arena, s->call->watch);

  if (st == LH_NOTFOUND) return lh_sub_impossible(s, fault);
  if (st == LH_INPUT && s->proof.bad < s->count &&
      s->use[s->proof.bad] == LH_SEARCH_MUST) {
    return lh_fault_say(fault, LH_RANGE, "/limits", "take the limit out",
                        "%.60s must be in it, but brings no oxide that counts",
                        s->stock[s->proof.bad].name);
  }
  if (st == LH_INPUT) {
    return lh_fault_say(fault, LH_RANGE, "/target",
                        "give weights above 0 to oxides of the target",
                        "nothing of the target counts");
  }
  return st == LH_OK ? st : lh_fault_plain(fault, st, "substitute");
}

static lh_status pose(lh_sub *s, lh_fault *fault)
{
  lh_arena *a = s->call->arena;
  const lh_material **m = lh_arena_take(a, s->count, sizeof *m);
  double *mol = lh_arena_take(a, s->count * s->rows, sizeof *mol);
  double *fired = lh_arena_take(a, s->count, sizeof *fired);
  size_t most = 6;

  s->choice = lh_arena_take(a, (size_t)s->ask->choices, sizeof *s->choice);
  if (!m || !mol || !fired || !s->choice)
    return lh_fault_plain(fault, LH_NOMEM, "substitute");
  for (size_t i = 0; i < s->count; i++) m[i] = &s->stock[i].oxides;
  lh_search_rows(m, s->count, s->row, s->rows, mol, fired);
  if (s->old && s->old->count - s->stains > most)
    most = s->old->count - s->stains;
  if (most > LH_SEARCH_LINES) most = LH_SEARCH_LINES;
  if (s->ask->most_materials > 0) most = (size_t)s->ask->most_materials;
  s->problem = (lh_search_problem){
      .measure = s->kind == LH_KIND_GLAZE ? LH_SEARCH_GLAZE : LH_SEARCH_SLIP,
      .rows = s->rows,
      .materials = s->count,
      .mol = mol,
      .fired = fired,
      .target = s->row_target,
      .weight = s->row_weight,
      .most = most,
      .choices = (size_t)s->ask->choices,
      .use = s->use,
      .limit = s->limit,
      .limits = s->limits,
      .visits = (uint64_t)s->ask->visits,
  };
  return LH_OK;
}

/* All that is reckoned, before anything is told. */
static lh_status reckon(const lh_call *call, const void *document, lh_reply *r,
                        lh_sub **out, lh_fault *fault)
{
  lh_sub *s = lh_arena_take(call->arena, 1, sizeof *s);
  lh_status st;

  *out = s;
  if (!s) return lh_fault_plain(fault, LH_NOMEM, "substitute");
  s->call = call;
  s->ask = document;
  st = lh_sub_find(s, r, fault);
  if (st == LH_OK) st = lh_sub_limits(s, fault);
  if (st == LH_OK) st = pose(s, fault);
  if (st == LH_OK) st = search(s, fault);
  if (st == LH_OK)
    st = lh_change_look_tiles(call->book, call->arena, &s->tried, fault);
  if (st == LH_OK) st = lh_sub_doubt(s, fault);
  return st;
}

static lh_status run(const lh_call *call, const void *document, lh_reply *r,
                     lh_fault *fault)
{
  lh_sub *s;
  lh_status st = reckon(call, document, r, &s, fault);

  return st == LH_OK ? lh_sub_say(s, r, fault) : st;
}

static lh_status sheet(const lh_call *call, const void *document, lh_reply *r,
                       lh_fault *fault)
{
  const lh_sub_ask *ask = document;
  lh_sub *s;
  lh_status st = reckon(call, document, r, &s, fault);

  if (st != LH_OK) return st;
  if ((size_t)ask->choice > s->proof.found) {
    return lh_fault_say(fault, LH_RANGE, "/choice",
                        "give choices as many, or a nearer one",
                        "there are %zu choices only", s->proof.found);
  }
  st = lh_sub_page(s, (size_t)ask->choice - 1, r);
  return st == LH_OK ? st : lh_fault_plain(fault, st, "substitute_sheet");
}

#define EXAMPLE                                                         \
  "{\"target\": {\"recipe\": {\"kind\": \"glaze\", \"lines\": ["        \
  "{\"material\": \"potash feldspar\", \"parts\": 40}, "                \
  "{\"material\": \"whiting\", \"parts\": 20}, "                        \
  "{\"material\": \"kaolin\", \"parts\": 10}, "                         \
  "{\"material\": \"quartz\", \"parts\": 30}]}}, "                      \
  "\"without\": [\"potash feldspar\"], "                                \
  "\"stock\": [\"nepheline syenite\", \"soda feldspar\", \"whiting\", " \
  "\"wollastonite\", \"kaolin\", \"ball clay\", \"quartz\"], "          \
  "\"groups\": [{\"oxides\": [\"Na2O\", \"K2O\"]}], \"choices\": 4}"

const lh_operation lh_op_substitute = {
    .name = "substitute",
    .help = "nearest recipes from the materials at hand",
    .purpose =
        "A material is gone, or a recipe must be made from another stock: the "
        "nearest recipes, proven, each with what will change and the first "
        "tiles to make.  Glazes are compared by Seger formula, slips by mole "
        "per cent of what is fired, like for like: a plastic clay for a "
        "plastic clay.  Encapsulated stains are held apart and carried over: "
        "they are exchanged by colour, not by oxides.  Near by arithmetic is "
        "not yet right in the fire: try it on tiles.",
    .fields = &table,
    .run = run,
    .example = EXAMPLE,
};

const lh_operation lh_op_substitute_sheet = {
    .name = "substitute_sheet",
    .help = "a page with the old recipe and the one that takes its place",
    .purpose =
        "Draws one PDF from the document of substitute: old and new recipe in "
        "two columns with boxes to tick, what changes, the first tiles, how "
        "sure it is, and care.",
    .fields = &sheet_table,
    .run = sheet,
    .media = "application/pdf",
    .example = EXAMPLE,
};
