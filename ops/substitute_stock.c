/* SPDX-License-Identifier: GPL-3.0-or-later */
/* substitute_stock.c -- the target, and what there is to make it of. */
#include <math.h>
#include <string.h>

#include "heap.h"
#include "nearest.h"
#include "substitute_room.h"

/* ---- one material ------------------------------------------------------- */

static bool described(const lh_sub *s, const char *name)
{
  const lh_material_doc *doc = s->materials.items;

  for (size_t i = 0; i < s->materials.count; i++)
    if (strcmp(doc[i].name, name) == 0) return true;
  return false;
}

/* A material by name.  What lh_recipe_find says of /materials stands; the
** rest is said of the place where the name was written. */
static lh_status find_one(const lh_sub *s, const char *name,
                          const char *pointer, lh_material_found *m,
                          lh_fault *fault)
{
  lh_part_doc part = {name, 1.0};
  lh_recipe_doc doc = {.lines = {&part, 1}};
  lh_recipe_found found;
  lh_fault own = {0};
  lh_status st = lh_recipe_find(&doc, &s->materials, NULL, NULL, s->call->arena,
                                &found, &own);

  if (st == LH_OK) {
    *m = found.found[0];
    /* Named by another of its names, but described under its own. */
    if (strcmp(m->name, name) != 0 && described(s, m->name))
      return find_one(s, m->name, pointer, m, fault);
    return LH_OK;
  }
  if (strncmp(own.where, "/materials", 10) == 0) pointer = own.where;
  return lh_fault_say(fault, st, pointer, own.todo, "%s", own.what);
}

static bool in_stock(const lh_sub *s, const char *name)
{
  for (size_t i = 0; i < s->count; i++)
    if (strcmp(s->stock[i].name, name) == 0) return true;
  return false;
}

static bool keep(lh_sub *s, const lh_material_found *m)
{
  if (m->oxides.inert || in_stock(s, m->name)) return true;
  if (s->count == LH_SEARCH_MATERIALS) return false;
  s->stock[s->count++] = *m;
  return true;
}

static lh_status too_many(lh_fault *fault)
{
  return lh_fault_say(fault, LH_TOOLARGE, "/stock", "name fewer",
                      "a stock of more than %d materials is not looked through",
                      LH_SEARCH_MATERIALS);
}

/* ---- the book's materials ----------------------------------------------- */

typedef struct {
  lh_arena *arena;
  const char **id;
  size_t count;
  bool full;
} ids;

static bool keep_id(void *user, const lh_book_record *record)
{
  ids *x = user;

  if (x->count == LH_SEARCH_MATERIALS) return false;
  x->id[x->count] = lh_heap_text(x->arena, record->id);
  x->full = !x->id[x->count++];
  return !x->full;
}

/* Read one of the book's materials; its texts live in the reply's document. */
static lh_status bring(lh_sub *s, const char *id, json_t *hold,
                       lh_material_doc *out, lh_fault *fault)
{
  static const lh_at at = {NULL, "materials", 0};
  json_t *borrowed, *own;
  lh_status st = lh_book_read(s->call->book, id, 0, &borrowed, NULL, fault);

  if (st != LH_OK) return st;
  own = lh_json_copy(borrowed);
  if (!own || json_array_append_new(hold, own) != 0)
    return lh_fault_plain(fault, LH_NOMEM, "/materials");
  json_object_del(own, "id");
  return lh_fields_read(&lh_material_table, own, &at, s->call->arena, out,
                        fault);
}

/* All of the book's materials beside those that the document describes. */
static lh_status bring_all(lh_sub *s, lh_reply *r, lh_fault *fault)
{
  lh_arena *a = s->call->arena;
  ids x = {.arena = a};
  lh_material_doc *all;
  size_t n = s->materials.count;
  json_t *hold;
  lh_status st;

  if (!s->call->book) return LH_OK;
  x.id = lh_arena_take(a, LH_SEARCH_MATERIALS, sizeof *x.id);
  all = lh_arena_take(a, n + LH_SEARCH_MATERIALS, sizeof *all);
  if (!x.id || !all) return lh_fault_plain(fault, LH_NOMEM, "/materials");
  if (n) memcpy(all, s->materials.items, n * sizeof *all);
  st = lh_book_list(s->call->book, LH_BOOK_MATERIAL, false, 0,
                    LH_SEARCH_MATERIALS, keep_id, &x, fault);
  if (!r->widened) r->widened = json_object();
  hold = json_array();
  if (!hold || x.full ||
      json_object_set_new(r->widened, "of the book", hold) != 0)
    return lh_fault_plain(fault, LH_NOMEM, "/materials");
  s->materials = (lh_list){all, n};
  for (size_t i = 0; i < x.count && st == LH_OK; i++) {
    st = bring(s, x.id[i], hold, &all[n], fault);
    if (st == LH_OK && !described(s, all[n].name)) s->materials.count = ++n;
  }
  return st;
}

/* ---- the target --------------------------------------------------------- */

lh_status lh_sub_oxide(const char *name, const char *pointer, size_t *oxide,
                       lh_fault *fault)
{
  const char *names[LH_OXIDES];
  size_t near;

  *oxide = lh_oxide_find(name);
  if (*oxide < LH_OXIDES) return LH_OK;
  for (size_t i = 0; i < LH_OXIDES; i++) names[i] = lh_oxide_symbol(i);
  near = lh_nearest(name, names, LH_OXIDES);
  if (*oxide < LH_OXIDE_FORMS && lh_oxide_fired(*oxide) < LH_OXIDES)
    near = lh_oxide_fired(*oxide);
  return lh_fault_say(
      fault, LH_INPUT, pointer, "write oxides such as CaO, K2O, SiO2",
      near < LH_OXIDES ? "no fired oxide \"%.40s\"; the nearest is %s"
                       : "no fired oxide \"%.40s\" is known%s",
      name, near < LH_OXIDES ? names[near] : "");
}

static lh_status read_formula(lh_sub *s, lh_fault *fault)
{
  const lh_amount *x = s->ask->target->unity.items;
  double mol[LH_OXIDES] = {0.0}, sum = 0.0;

  s->kind = LH_KIND_GLAZE;
  for (size_t i = 0; i < s->ask->target->unity.count; i++) {
    char at[96];
    size_t oxide;
    lh_status st;
    snprintf(at, sizeof at, "/target/unity/%.60s", x[i].name);
    st = lh_sub_oxide(x[i].name, at, &oxide, fault);
    if (st != LH_OK) return st;
    mol[oxide] = x[i].value;
    sum += x[i].value;
  }
  if (!(sum > 0.0) || lh_change_look_formula(mol, &s->before) != LH_OK) {
    return lh_fault_say(fault, LH_RANGE, "/target/unity", "give moles above 0",
                        "the formula adds to nothing");
  }
  return LH_OK;
}

static lh_status read_recipe(lh_sub *s, lh_fault *fault)
{
  static const lh_at target = {NULL, "target", 0};
  static const lh_at recipe = {&target, "recipe", 0};
  const lh_recipe_doc *doc = s->ask->target->recipe;
  lh_status st;

  s->old = lh_arena_take(s->call->arena, 1, sizeof *s->old);
  if (!s->old) return lh_fault_plain(fault, LH_NOMEM, "/target");
  st = lh_recipe_find(doc, &s->materials, &recipe, NULL, s->call->arena, s->old,
                      fault);
  if (st != LH_OK) return st;
  s->kind = s->old->kind;
  s->gone = lh_arena_take(s->call->arena, s->old->count, sizeof *s->gone);
  if (!s->gone) return lh_fault_plain(fault, LH_NOMEM, "/target");
  for (size_t i = 0; i < s->old->count; i++)
    s->stains += s->old->lines[i].material->inert;
  if (lh_change_look(s->old, &s->before) == LH_OK) return LH_OK;
  return lh_fault_say(fault, LH_RANGE, "/target/recipe",
                      "give parts above 0 of something that melts",
                      "the recipe is nothing after the fire");
}

static lh_status read_target(lh_sub *s, lh_fault *fault)
{
  const lh_sub_target *t = s->ask->target;
  lh_status st;

  if (!t->recipe == !t->unity.count) {
    return lh_fault_say(fault, LH_INPUT, "/target", "give one of unity, recipe",
                        t->recipe ? "the target is told twice"
                                  : "the target is missing");
  }
  st = t->recipe ? read_recipe(s, fault) : read_formula(s, fault);
  if (st != LH_OK || s->kind != LH_KIND_GLAZE) return st;
  if (s->before.fired.flux_mol > 0.0) return LH_OK;
  return lh_fault_say(fault, LH_RANGE,
                      t->recipe ? "/target/recipe" : "/target/unity",
                      "add a flux, or say that its kind is slip",
                      "no flux oxide is in it: there is no Seger formula");
}

/* ---- the stock ---------------------------------------------------------- */

static lh_status named_stock(lh_sub *s, lh_fault *fault)
{
  const char *const *name = s->ask->stock.items;

  s->stock_from = "as you named it";
  for (size_t i = 0; i < s->ask->stock.count; i++) {
    lh_material_found m;
    char at[32];
    lh_status st;
    snprintf(at, sizeof at, "/stock/%zu", i);
    st = find_one(s, name[i], at, &m, fault);
    if (st != LH_OK) return st;
    if (!keep(s, &m)) return too_many(fault);
  }
  return LH_OK;
}

/* Those that come with the program, but for lead and what dissolves. */
static lh_status supplied_stock(lh_sub *s, lh_fault *fault)
{
  s->stock_from = "of the materials that come with the program, theoretical "
                  "or invented";
  for (size_t i = 0; i < lh_supplied_count(); i++) {
    lh_supplied it = lh_supplied_at(i);
    lh_material_found m;
    lh_status st;
    if (strstr(it.note, "soluble") || strstr(it.note, "lead")) continue;
    st = find_one(s, it.name, "/stock", &m, fault);
    if (st != LH_OK) return st;
    if (!keep(s, &m)) return too_many(fault);
  }
  return LH_OK;
}

/* The recipe's own and all that is described; if that is no more than the
** recipe's own, those that come with the program. */
static lh_status assumed_stock(lh_sub *s, lh_fault *fault)
{
  const lh_material_doc *doc = s->materials.items;
  size_t own;

  s->stock_from =
      s->call->book ? "described here and in the book" : "described here";
  for (size_t i = 0; s->old && i < s->old->count; i++)
    if (!keep(s, &s->old->found[i])) return too_many(fault);
  own = s->count;
  for (size_t i = 0; i < s->materials.count; i++) {
    lh_material_found m;
    lh_status st = find_one(s, doc[i].name, "/materials", &m, fault);
    if (st != LH_OK) return st;
    if (!keep(s, &m)) return too_many(fault);
  }
  return s->count > own ? LH_OK : supplied_stock(s, fault);
}

/* The name of a material that is gone, known under any of its names. */
static lh_status gone_name(const lh_sub *s, size_t i, const char **out,
                           lh_fault *fault)
{
  const char *name = ((const char *const *)s->ask->without.items)[i];
  const char *names[128];
  lh_material_found m;
  lh_fault own = {0};
  size_t n = 0, near;
  char at[32];

  snprintf(at, sizeof at, "/without/%zu", i);
  *out = name;
  for (; s->old && n < s->old->count && n < 128; n++)
    names[n] = s->old->found[n].name;
  for (size_t k = 0; k < n; k++)
    if (strcmp(names[k], name) == 0) return LH_OK;
  if (find_one(s, name, at, &m, &own) == LH_OK) {
    *out = m.name;
    return LH_OK;
  }
  near = lh_nearest(name, names, n);
  if (near < n) {
    return lh_fault_say(fault, LH_INPUT, at, "write it as the recipe does",
                        "no material \"%.60s\"; the nearest is \"%.60s\"", name,
                        names[near]);
  }
  return lh_fault_say(fault, own.status, own.where, own.todo, "%s", own.what);
}

static lh_status take_out(lh_sub *s, lh_fault *fault)
{
  for (size_t i = 0; i < s->ask->without.count; i++) {
    const char *name;
    size_t n = 0;
    lh_status st = gone_name(s, i, &name, fault);
    if (st != LH_OK) return st;
    for (size_t k = 0; k < s->count; k++)
      if (strcmp(s->stock[k].name, name) != 0) s->stock[n++] = s->stock[k];
    s->count = n;
    for (size_t k = 0; s->old && k < s->old->count; k++)
      if (strcmp(s->old->found[k].name, name) == 0) s->gone[k] = true;
  }
  if (s->count > 0) return LH_OK;
  return lh_fault_say(fault, LH_RANGE, "/stock",
                      "name materials that are at hand",
                      "nothing is left to make a recipe of");
}

/* What of the old recipe cannot be had. */
static void look_what_is_gone(lh_sub *s)
{
  s->all_had = s->old != NULL;
  for (size_t i = 0; s->old && i < s->old->count; i++) {
    bool inert = s->old->lines[i].material->inert;
    if (!inert && !in_stock(s, s->old->found[i].name)) s->gone[i] = true;
    if (!s->gone[i] || !(s->old->lines[i].amount > 0.0)) continue;
    s->all_had = false;
    if (inert) s->stain_gone++;
    if (!inert && s->old->lines[i].addition) s->melting_gone = true;
  }
}

/* ---- the rows ----------------------------------------------------------- */

static lh_status group_rows(lh_sub *s, lh_fault *fault)
{
  const lh_sub_group *g = s->ask->groups.items;
  bool grouped[LH_OXIDES] = {false};

  for (size_t k = 0; k < s->ask->groups.count; k++) {
    const char *const *name = g[k].oxides.items;
    size_t first = LH_OXIDES;
    for (size_t i = 0; i < g[k].oxides.count; i++) {
      char at[96];
      size_t oxide;
      lh_status st;
      snprintf(at, sizeof at, "/groups/%zu/oxides/%zu", k, i);
      st = lh_sub_oxide(name[i], at, &oxide, fault);
      if (st != LH_OK) return st;
      if (grouped[oxide]) {
        return lh_fault_say(fault, LH_INPUT, at, "leave it in one group",
                            "%s is named twice", name[i]);
      }
      grouped[oxide] = true;
      if (first == LH_OXIDES) first = oxide;
      s->row[oxide] = s->row[first];
    }
  }
  return LH_OK;
}

/* Oxides of target and stock, each a row, or a row for a group. */
static lh_status make_rows(lh_sub *s, lh_fault *fault)
{
  const lh_amount *w = s->ask->weights.items;
  const double *of = s->kind == LH_KIND_GLAZE ? s->before.fired.unity
                                              : s->before.fired.mole_percent;
  size_t place[LH_OXIDES];
  lh_status st;

  for (size_t i = 0; i < LH_OXIDES; i++) s->row[i] = i, place[i] = SIZE_MAX;
  st = group_rows(s, fault);
  for (size_t i = 0; i < LH_OXIDES && st == LH_OK; i++) {
    bool there = s->before.fired.mol[i] > 0.0;
    for (size_t k = 0; k < s->count && !there; k++)
      there = s->stock[k].oxides.mol[i] > 0.0;
    if (there && place[s->row[i]] == SIZE_MAX) place[s->row[i]] = s->rows++;
  }
  for (size_t i = 0; i < LH_OXIDES; i++) {
    s->row[i] = place[s->row[i]];
    if (s->row[i] < s->rows && s->before.fired.mol[i] > 0.0)
      s->row_target[s->row[i]] += of[i];
  }
  for (size_t i = 0; i < s->rows; i++) s->row_weight[i] = 1.0;
  for (size_t k = 0; k < s->ask->weights.count && st == LH_OK; k++) {
    char at[80];
    size_t oxide;
    snprintf(at, sizeof at, "/weights/%.60s", w[k].name);
    st = lh_sub_oxide(w[k].name, at, &oxide, fault);
    if (st == LH_OK && s->row[oxide] < s->rows)
      s->row_weight[s->row[oxide]] = w[k].value;
  }
  return st;
}

lh_status lh_sub_find(lh_sub *s, lh_reply *r, lh_fault *fault)
{
  const json_t *stock = json_object_get(s->call->document, "stock");
  lh_status st;

  s->materials = s->ask->materials;
  s->stock =
      lh_arena_take(s->call->arena, LH_SEARCH_MATERIALS, sizeof *s->stock);
  if (!s->stock) return lh_fault_plain(fault, LH_NOMEM, "/stock");
  if (json_is_array(stock) && json_array_size(stock) == 0) {
    return lh_fault_say(fault, LH_RANGE, "/stock",
                        "name what is at hand, or leave stock out",
                        "an empty stock makes no recipe");
  }
  st = bring_all(s, r, fault);
  if (st == LH_OK) st = read_target(s, fault);
  if (st == LH_OK)
    st = s->ask->stock.count ? named_stock(s, fault) : assumed_stock(s, fault);
  if (st == LH_OK) st = take_out(s, fault);
  if (st == LH_OK) {
    look_what_is_gone(s);
    st = make_rows(s, fault);
  }
  return st;
}
