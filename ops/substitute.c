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
    LH_OBJECT(lh_sub_ask, target, "target", true, target_table,
              "What to come near to: unity or recipe."),
    {.key = "without",
     .kind = LH_F_TEXTS,
     .offset = offsetof(lh_sub_ask, without),
     .most_items = 60,
     .help = "Materials that are gone."},
    LH_LIST(lh_sub_ask, materials, "materials", false, lh_material_table, 200,
            "Your materials by formula, analysis or moles, with price and "
            "stock."),
    {.key = "stock",
     .kind = LH_F_TEXTS,
     .offset = offsetof(lh_sub_ask, stock),
     .most_items = LH_SEARCH_MATERIALS,
     .help = "Names of what is at hand; without it the materials described "
             "here and in the book, or else those that come with the program "
             "(but for lead and what dissolves in water)."},
    LH_COUNT(lh_sub_ask, most_materials, "most_materials", false, 1,
             LH_SEARCH_LINES, NAN,
             "How many materials a recipe may have; without it 6, or as many "
             "as the recipe had."),
    LH_COUNT(lh_sub_ask, choices, "choices", false, 1, LH_SEARCH_CHOICES, 8,
             "How many recipes to list."),
    LH_LIST(lh_sub_ask, limits, "limits", false, lh_sub_limit_table,
            LH_SEARCH_LIMITS, "What may be used, and how much."),
    LH_AMOUNTS(lh_sub_ask, weights, "weights", false, 0, 1e6, NULL,
               "How much an oxide counts; 1 where not named."),
    LH_LIST(lh_sub_ask, groups, "groups", false, lh_sub_group_table, 12,
            "Oxides that may stand for each other."),
    LH_NUMBER(lh_sub_ask, batch_g, "batch_g", false, 1e-3, 1e9, NAN, "g",
              "The batch to be weighed: the stock of each material must last "
              "for it."),
    LH_FLAG(lh_sub_ask, like_for_like, "like_for_like", 1,
            "Of a slip: each class of material keeps its share."),
    LH_NUMBER(lh_sub_ask, class_points, "class_points", false, 0, 100, 5,
              "points of %",
              "Of a slip: how far the share of a class may move (a "
              "judgement)."),
    LH_FLAG(lh_sub_ask, keep_additions, "keep_additions", 1,
            "Additions of the recipe that are at hand stay in it."),
    LH_COUNT(lh_sub_ask, visits, "visits", false, 0, 1e9, 5e6,
             "Stop the search after so many sets of materials, and say how "
             "far off the answer can be; 0: never stop (a judgement)."),
    LH_NUMBER(lh_sub_ask, peak_c, "peak_c", false, 500, 1500, NAN, "C",
              "Peak of the firing, for the rules that stains obey."),
    LH_CHOICE(lh_sub_ask, reducing, "reducing", false, no_yes, NAN,
              "Is the fire reducing?  For the same rules."),
    LH_COUNT(lh_sub_ask, draws, "draws", false, 0, 100000, 1000,
             "How often the analyses are drawn anew to see how sure it is; 0: "
             "not at all (a judgement)."),
    LH_COUNT(lh_sub_ask, seed, "seed", false, 1, 2e9, LH_DOUBT_SEED,
             "Where the draws begin: the same seed gives the same answer."),
    LH_NUMBER(lh_sub_ask, analysis_percent, "analysis_percent", false, 0, 100,
              LH_DOUBT_OF_FIGURE_PERCENT, "% of each figure",
              "How far an analysis that does not state its uncertainty may be "
              "off (a judgement)."),
    LH_NUMBER(lh_sub_ask, tile_g, "tile_g", false, 1, 1e6, 100, "g",
              "Dry weight to mix for each of the first tiles (a judgement)."),
};
static const lh_fields table = LH_FIELDS("substitute", lh_sub_ask, rows);

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

static lh_status run(const lh_call *call, const void *document, lh_reply *r,
                     lh_fault *fault)
{
  lh_sub *s = lh_arena_take(call->arena, 1, sizeof *s);
  lh_status st;

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
  if (st == LH_OK) st = lh_sub_say(s, r, fault);
  return st;
}

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
    .example =
        "{\"target\": {\"recipe\": {\"kind\": \"glaze\", \"lines\": ["
        "{\"material\": \"potash feldspar\", \"parts\": 40}, "
        "{\"material\": \"whiting\", \"parts\": 20}, "
        "{\"material\": \"kaolin\", \"parts\": 10}, "
        "{\"material\": \"quartz\", \"parts\": 30}]}}, "
        "\"without\": [\"potash feldspar\"], "
        "\"stock\": [\"nepheline syenite\", \"soda feldspar\", \"whiting\", "
        "\"wollastonite\", \"kaolin\", \"ball clay\", \"quartz\"], "
        "\"groups\": [{\"oxides\": [\"Na2O\", \"K2O\"]}], \"choices\": 4}",
};
