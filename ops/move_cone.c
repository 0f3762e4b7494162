/* SPDX-License-Identifier: GPL-3.0-or-later */
/* move_cone.c -- the operation `move_cone`: a recipe for another peak. */
#include <math.h>
#include <string.h>

#include "move_room.h"

static const char *const models[] = {"fluegel2007", "lakatos1976", NULL};
static const char *const no_yes[] = {"no", "yes", NULL};

#define TEXTS(M, KEY, MOST, HELP)                                       \
  {                                                                     \
    .key = KEY, .kind = LH_F_TEXTS, .offset = offsetof(lh_move_ask, M), \
    .most_items = MOST, .help = HELP                                    \
  }

static const lh_field rows[] = {
    LH_OBJECT(lh_move_ask, recipe, "recipe", true, lh_recipe_table,
              "What is right at the old peak: a glaze, or a slip."),
    LH_NUMBER(lh_move_ask, from_c, "from_c", true, 500, 1500, NAN, "C",
              "The peak at which it is right."),
    LH_NUMBER(lh_move_ask, to_c, "to_c", true, 500, 1500, NAN, "C",
              "The new peak."),
    LH_CHOICE(lh_move_ask, model, "model", false, models, NAN,
              "Of a glaze: by whose viscosity; without it the first of the "
              "two that answers for it."),
    TEXTS(sub.without, "without", 60, "Materials that are gone."),
    LH_LIST(lh_move_ask, sub.materials, "materials", false, lh_material_table,
            200,
            "Your materials by formula, analysis or moles, with price and "
            "stock."),
    TEXTS(sub.stock, "stock", LH_SEARCH_MATERIALS,
          "Names of what is at hand; as in substitute."),
    LH_COUNT(lh_move_ask, sub.most_materials, "most_materials", false, 1,
             LH_SEARCH_LINES, NAN,
             "How many materials a recipe may have; without it 6, or one more "
             "than the recipe had."),
    LH_COUNT(lh_move_ask, sub.choices, "choices", false, 1, LH_SEARCH_CHOICES,
             8, "How many recipes to list."),
    LH_LIST(lh_move_ask, sub.limits, "limits", false, lh_sub_limit_table,
            LH_SEARCH_LIMITS - 1, "What may be used, and how much."),
    LH_AMOUNTS(lh_move_ask, sub.weights, "weights", false, 0, 1e6, NULL,
               "How much an oxide counts; 1 where not named."),
    LH_LIST(lh_move_ask, sub.groups, "groups", false, lh_sub_group_table, 12,
            "Oxides that may stand for each other."),
    LH_NUMBER(lh_move_ask, sub.batch_g, "batch_g", false, 1e-3, 1e9, NAN, "g",
              "The batch to be weighed: the stock of each material must last "
              "for it."),
    LH_FLAG(lh_move_ask, sub.keep_additions, "keep_additions", 1,
            "Additions of the recipe that are at hand stay in it."),
    LH_COUNT(lh_move_ask, sub.visits, "visits", false, 0, 1e9, 5e6,
             "Stop each search after so many sets of materials; 0: never (a "
             "judgement)."),
    LH_CHOICE(lh_move_ask, sub.reducing, "reducing", false, no_yes, NAN,
              "Is the fire reducing?  For the rules that stains obey."),
    LH_NUMBER(lh_move_ask, sub.tile_g, "tile_g", false, 1, 1e6, 100, "g",
              "Dry weight to mix for each test (a judgement)."),
    LH_TEXT(lh_move_ask, flux, "flux", false,
            "Of a slip: the material to have more or less of; without it the "
            "largest flux or frit of the recipe."),
};
static const lh_fields table = LH_FIELDS("move_cone", lh_move_ask, rows);

const char *lh_move_spoken(lh_viscosity_model model)
{
  return lh_change_model(lh_viscosity_name(model));
}

void lh_move_why(char *text, size_t size, lh_viscosity_model model,
                 const lh_move_level *at)
{
  const char *unit = model == LH_VISCOSITY_FLUEGEL ? "mole %" : "weight %";
  const lh_melt_limit *l = &at->limit;
  const char *oxide =
      l->oxide < LH_OXIDE_FORMS ? lh_oxide_symbol(l->oxide) : "";

  text[0] = 0;
  if (at->valid) return;
  switch (l->why) {
  case LH_MELT_FINE:
    snprintf(text, size,
             "log10 of its viscosity would be %.1f there; the model goes from "
             "%.0f to %.0f",
             at->level, lh_move_lowest(model), lh_move_highest(model));
    break;
  case LH_MELT_ABOVE:
  case LH_MELT_BELOW:
    snprintf(text, size, "%s is %.2f %s; the model's glasses go %s to %g",
             oxide, l->amount, unit, l->why == LH_MELT_ABOVE ? "up" : "down",
             l->limit);
    break;
  case LH_MELT_UNKNOWN:
    snprintf(text, size, "the model does not know %s, here %.2f %s", oxide,
             l->amount, unit);
    break;
  case LH_MELT_CURVE:
    snprintf(text, size, "the model gives no curve that a melt can have");
    break;
  }
}

void lh_move_ask_model(const double mol[LH_OXIDES], lh_viscosity_model model,
                       double from_c, double to_c, lh_move_said *said)
{
  lh_status st = lh_move_level_of(mol, model, from_c, &said->from);

  said->valid = false;
  if (st == LH_OK) st = lh_move_level_of(mol, model, to_c, &said->to);
  if (st != LH_OK) {
    snprintf(said->why, sizeof said->why,
             "the model gives no curve that a melt can have");
    return;
  }
  said->valid = said->from.valid;
  lh_move_why(said->why, sizeof said->why, model, &said->from);
}

/* Which model answers for the old glaze at the old peak. */
static lh_status choose_model(lh_moving *m, lh_fault *fault)
{
  const lh_move_ask *a = m->ask;
  int first = a->model < 0 ? 0 : a->model;

  for (int k = 0; k < LH_VISCOSITY_MODELS; k++)
    lh_move_ask_model(m->sub->before.fired.mol, (lh_viscosity_model)k,
                      a->from_c, a->to_c, &m->said[k]);
  for (int k = first; k < LH_VISCOSITY_MODELS; k++) {
    if (m->said[k].valid) {
      m->model = (lh_viscosity_model)k;
      return LH_OK;
    }
    if (a->model >= 0) break;
  }
  if (a->model < 0)
    return lh_fault_say(
        fault, LH_RANGE, "/recipe",
        "make a line of tests at the new peak, with more and less flux",
        "no model answers for this glaze: by %s %.90s; by %s %.90s",
        lh_move_spoken(LH_VISCOSITY_FLUEGEL), m->said[0].why,
        lh_move_spoken(LH_VISCOSITY_LAKATOS), m->said[1].why);
  return lh_fault_say(
      fault, LH_RANGE, "/recipe",
      "leave model out, or make a line of tests with more and less flux",
      "%s does not answer for this glaze: %s",
      lh_move_spoken((lh_viscosity_model)a->model), m->said[a->model].why);
}

/* The nearest formula at equal viscosity, whatever it is made of: to look
** near it first, and to tell. */
static void aim(lh_moving *m)
{
  const lh_recipe_fired *f = &m->sub->before.fired;
  double unity[LH_OXIDES], weight[LH_OXIDES];
  bool may[LH_OXIDES];

  for (size_t i = 0; i < LH_OXIDES; i++) {
    lh_role role = lh_oxide_role(i);
    size_t row = m->sub->row[i];
    unity[i] = f->mol[i] > 0.0 ? f->unity[i] : 0.0;
    weight[i] = row < m->sub->rows ? m->sub->row_weight[row] : 1.0;
    if (!(weight[i] > 0.0)) weight[i] = 1.0;
    may[i] = unity[i] > 0.0 && role != LH_ROLE_COLOURANT &&
             role != LH_ROLE_OPACIFIER && role != LH_ROLE_OTHER;
  }
  m->has_aim = lh_move_formula(unity, f->flux, may, weight, m->model,
                               m->ask->to_c, m->said[m->model].from.level,
                               m->aim, &m->aim_far) == LH_OK;
  if (!m->has_aim) memcpy(m->aim, unity, sizeof m->aim);
}

/* No recipe has it: because of the limits, the model, or the stock? */
static lh_status say_none(lh_moving *m, lh_fault *fault)
{
  lh_sub *s = m->sub;
  lh_search_proof proof;

  if (lh_search_nearest(&s->problem, s->choice, &proof, s->call->arena,
                        s->call->watch) == LH_NOTFOUND)
    return lh_sub_impossible(s, fault);
  if (m->proof.outside) {
    char why[200];
    lh_move_level at = {.limit = m->proof.limit};
    lh_move_why(why, sizeof why, m->model, &at);
    return lh_fault_say(fault, LH_RANGE, "/to_c",
                        "take a peak nearer to the old one, or test by a line",
                        "the recipes that would be as thin at %.0f C are "
                        "outside of %s: %s",
                        m->ask->to_c, lh_move_spoken(m->model), why);
  }
  return lh_fault_say(
      fault, LH_RANGE, "/stock",
      m->ask->to_c < m->ask->from_c
          ? "add a stronger flux, such as a frit with boron, or more materials"
          : "add what stiffens a melt: kaolin, quartz",
      "no recipe of this stock is as thin at %.0f C as the glaze is at %.0f",
      m->ask->to_c, m->ask->from_c);
}

static lh_status solve(lh_moving *m, lh_fault *fault)
{
  lh_sub *s = m->sub;
  lh_arena *a = s->call->arena;
  const lh_material **at = lh_arena_take(a, s->count, sizeof *at);
  double *mol = lh_arena_take(a, s->count * s->rows, sizeof *mol);
  lh_move_problem p = {.search = &s->problem,
                       .m = at,
                       .start = m->aim,
                       .model = m->model,
                       .t_c = m->ask->to_c,
                       .level = m->said[m->model].from.level};
  size_t most = 6;
  lh_status st;

  s->choice = lh_arena_take(a, (size_t)s->ask->choices, sizeof *s->choice);
  m->choice = lh_arena_take(a, (size_t)s->ask->choices, sizeof *m->choice);
  if (!at || !mol || !s->choice || !m->choice)
    return lh_fault_plain(fault, LH_NOMEM, "move_cone");
  for (size_t i = 0; i < s->count; i++) at[i] = &s->stock[i].oxides;
  lh_search_rows(at, s->count, s->row, s->rows, mol, NULL);
  if (s->old->count - s->stains + 1 > most)
    most = s->old->count - s->stains + 1;
  if (most > LH_SEARCH_LINES) most = LH_SEARCH_LINES;
  if (s->ask->most_materials > 0) most = (size_t)s->ask->most_materials;
  s->problem = (lh_search_problem){.measure = LH_SEARCH_GLAZE,
                                   .rows = s->rows,
                                   .materials = s->count,
                                   .mol = mol,
                                   .target = s->row_target,
                                   .weight = s->row_weight,
                                   .most = most,
                                   .choices = (size_t)s->ask->choices,
                                   .use = s->use,
                                   .limit = s->limit,
                                   .limits = s->limits,
                                   .visits = (uint64_t)s->ask->visits};
  st = lh_move_nearest(&p, m->choice, &m->proof, a, s->call->watch);
  if (st == LH_NOTFOUND) return say_none(m, fault);
  if (st == LH_TOOLARGE)
    return lh_fault_say(fault, st, "/limits", "take a limit out",
                        "there are too many limits");
  return st == LH_OK ? st : lh_fault_plain(fault, st, "move_cone");
}

/* substitute speaks of /target/recipe; here the recipe stands at the top. */
static void mend_where(lh_fault *fault)
{
  static const char deep[] = "/target/recipe";

  if (strncmp(fault->where, deep, sizeof deep - 1) == 0)
    memmove(fault->where, fault->where + 7, strlen(fault->where + 7) + 1);
}

static lh_status move_glaze(const lh_call *call, const lh_move_ask *a,
                            lh_reply *r, lh_fault *fault)
{
  lh_moving *m = lh_arena_take(call->arena, 1, sizeof *m);
  lh_sub *s = lh_arena_take(call->arena, 1, sizeof *s);
  lh_sub_ask *ask = lh_arena_take(call->arena, 1, sizeof *ask);
  lh_sub_target *target = lh_arena_take(call->arena, 1, sizeof *target);
  lh_status st;

  if (!m || !s || !ask || !target)
    return lh_fault_plain(fault, LH_NOMEM, "move_cone");
  *ask = a->sub;
  target->recipe = a->recipe;
  ask->target = target;
  ask->peak_c = a->to_c;
  s->call = call;
  s->ask = ask;
  *m = (lh_moving){.ask = a, .sub = s};
  st = lh_sub_find(s, r, fault);
  if (st == LH_OK) st = choose_model(m, fault);
  if (st == LH_OK) st = lh_sub_limits(s, fault);
  if (st == LH_OK) {
    aim(m);
    st = solve(m, fault);
  }
  if (st == LH_OK)
    st = lh_change_look_tiles(call->book, call->arena, &s->tried, fault);
  if (st == LH_OK) st = lh_move_say(m, r, fault);
  if (st != LH_OK) mend_where(fault);
  return st;
}

static lh_status run(const lh_call *call, const void *document, lh_reply *r,
                     lh_fault *fault)
{
  const lh_move_ask *a = document;

  if (a->recipe->kind == LH_KIND_GLAZE) return move_glaze(call, a, r, fault);
  if (a->recipe->kind == LH_KIND_SLIP) return lh_move_slip(call, a, r, fault);
  return lh_fault_say(fault, LH_INPUT, "/recipe/kind",
                      "ask for the slips and glazes that go on it",
                      "a body is not moved by sums: its own bars tell at which "
                      "peak it is dense");
}

const lh_operation lh_op_move_cone = {
    .name = "move_cone",
    .help = "a recipe for another peak temperature: where to start testing",
    .purpose =
        "A glaze that is right at one peak, moved to another: the nearest "
        "recipes of the stock, by Seger formula, that have the viscosity at "
        "the new peak which it has at the old one, by a published model and "
        "only within that model's limits.  It is where to start testing: "
        "crystals, bubbles, colours and fit do not follow viscosity alone.  A "
        "slip is not a melt: for it the answer is to match the body's firing "
        "shrinkage and absorption at the new peak, by bars, with a line of "
        "recipes to make them of.",
    .fields = &table,
    .run = run,
    .example =
        "{\"recipe\": {\"kind\": \"glaze\", \"lines\": ["
        "{\"material\": \"potash feldspar\", \"parts\": 40}, "
        "{\"material\": \"whiting\", \"parts\": 18}, "
        "{\"material\": \"kaolin\", \"parts\": 10}, "
        "{\"material\": \"quartz\", \"parts\": 32}]}, "
        "\"from_c\": 1280, \"to_c\": 1220, "
        "\"stock\": [\"potash feldspar\", \"nepheline syenite\", \"whiting\", "
        "\"wollastonite\", \"kaolin\", \"quartz\", \"zinc oxide\", "
        "\"borate frit\"], \"choices\": 4}",
};
