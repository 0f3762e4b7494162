/* SPDX-License-Identifier: GPL-3.0-or-later */
/* change.c -- two recipes looked at; how they are told is change_words.c. */
#include "change.h"

#include <math.h>
#include <string.h>

#include "heap.h"

/* ---- one recipe --------------------------------------------------------- */

static lh_status models(lh_change_side *s)
{
  double mol[LH_OXIDE_FORMS] = {0.0};

  memcpy(mol, s->fired.mol, sizeof s->fired.mol);
  for (int k = 0; k < LH_EXPANSION_MODELS; k++) {
    lh_status st =
        lh_expansion_of(s->fired.mol, (lh_expansion_model)k, &s->expansion[k]);
    if (st != LH_OK) return st;
    if (!(s->fired.flux_mol > 0.0)) s->expansion[k].valid = false;
  }
  for (int k = 0; k < LH_VISCOSITY_MODELS; k++) {
    lh_status st =
        lh_viscosity_of(mol, (lh_viscosity_model)k, &s->viscosity[k]);
    if (st != LH_OK) return st;
    if (s->fired.flux_mol > 0.0) continue;
    s->viscosity[k].valid = false;
    for (int i = 0; i < LH_VISCOSITY_LEVELS; i++) s->viscosity[k].t_c[i] = NAN;
  }
  return LH_OK;
}

/* What is weighed of a line, in the unit of the parts. */
static double weighed(const lh_recipe_found *f, size_t i)
{
  double parts = 0.0;

  if (!f->lines[i].addition) return f->lines[i].amount;
  for (size_t k = 0; k < f->parts; k++) parts += f->lines[k].amount;
  return f->lines[i].amount * parts / 100.0;
}

lh_status lh_change_look(const lh_recipe_found *found, lh_change_side *s)
{
  double plastic = 0.0, cost = 0.0;
  lh_status st;

  *s = (lh_change_side){.found = found};
  st = lh_recipe_fire(found->lines, found->count, NULL, &s->fired, NULL);
  if (st != LH_OK) return st;
  for (size_t i = 0; i < found->count; i++) {
    double g = weighed(found, i);
    if (!(g > 0.0)) continue;
    if (strcmp(found->found[i].class_, "plastic clay") == 0) plastic += g;
    cost += g * found->found[i].price_per_kg; /* NAN when one is missing */
  }
  s->plastic_percent = 100.0 * plastic / s->fired.batch;
  s->cost_per_kg = cost / s->fired.batch;
  return models(s);
}

lh_status lh_change_look_formula(const double mol[LH_OXIDES], lh_change_side *s)
{
  double forms[LH_OXIDE_FORMS] = {0.0};
  lh_material m;
  lh_recipe_line line = {&m, 100.0, false};
  lh_status st;

  *s = (lh_change_side){.plastic_percent = NAN, .cost_per_kg = NAN};
  memcpy(forms, mol, LH_OXIDES * sizeof *mol);
  st = lh_material_from_moles(forms, &m, NULL);
  if (st == LH_OK) st = lh_recipe_fire(&line, 1, NULL, &s->fired, NULL);
  return st == LH_OK ? models(s) : st;
}

/* ---- the potter's tiles ------------------------------------------------- */

typedef struct {
  lh_arena *arena;
  const char **id;
  size_t count, room;
  bool full; /* out of memory */
} ids;

static bool grow(lh_arena *a, const char ***list, size_t count, size_t *room)
{
  const char **more;

  if (count < *room) return true;
  *room = *room ? *room * 2 : 64;
  more = lh_arena_take(a, *room, sizeof *more);
  if (!more) return false;
  if (count) memcpy(more, *list, count * sizeof *more);
  *list = more;
  return true;
}

static bool keep_id(void *user, const lh_book_record *r)
{
  ids *x = user;
  const char *copy = lh_heap_text(x->arena, r->id);

  x->full = !copy || !grow(x->arena, &x->id, x->count, &x->room);
  if (x->full) return false;
  x->id[x->count++] = copy;
  return true;
}

typedef struct {
  lh_arena *arena;
  lh_change_tried *tried;
  size_t room;
} gathering;

bool lh_change_untried(const lh_change_tried *tried, const char *name)
{
  for (size_t i = 0; i < tried->count; i++)
    if (strcmp(tried->names[i], name) == 0) return false;
  return true;
}

static bool keep_name(gathering *g, const char *name)
{
  const char *copy;

  if (!lh_change_untried(g->tried, name)) return true;
  copy = lh_heap_text(g->arena, name);
  if (!copy || !grow(g->arena, &g->tried->names, g->tried->count, &g->room))
    return false;
  g->tried->names[g->tried->count++] = copy;
  return true;
}

/* The materials of a slip's or glaze's recipe, beside it or within. */
static bool keep_recipe(gathering *g, const json_t *record)
{
  static const char *const lists[] = {"lines", "additions"};
  const json_t *within = json_object_get(record, "recipe");

  for (int k = 0; k < 4; k++) {
    const json_t *list = json_object_get(k < 2 ? record : within, lists[k % 2]);
    for (size_t i = 0; i < json_array_size(list); i++) {
      const char *name = json_string_value(
          json_object_get(json_array_get(list, i), "material"));
      if (name && !keep_name(g, name)) return false;
    }
  }
  return true;
}

/* One tile: its slip, the slip under it, its glaze. */
static lh_status keep_tile(struct lh_book *book, gathering *g, const char *id,
                           lh_fault *fault)
{
  static const char *const of[] = {"slip", "under", "glaze"};
  const char *record[3] = {NULL};
  json_t *doc;
  lh_status st = lh_book_read(book, id, 0, &doc, NULL, fault);

  if (st != LH_OK) return st;
  for (int k = 0; k < 3; k++) {
    const char *s = json_string_value(json_object_get(doc, of[k]));
    if (s && !(record[k] = lh_heap_text(g->arena, s)))
      return lh_fault_plain(fault, LH_NOMEM, "/materials");
  }
  for (int k = 0; k < 3; k++) {
    if (!record[k]) continue;
    st = lh_book_read(book, record[k], 0, &doc, NULL, fault);
    if (st != LH_OK) return st;
    if (!keep_recipe(g, doc))
      return lh_fault_plain(fault, LH_NOMEM, "/materials");
  }
  return LH_OK;
}

lh_status lh_change_look_tiles(struct lh_book *book, lh_arena *a,
                               lh_change_tried *tried, lh_fault *fault)
{
  ids tiles = {.arena = a};
  gathering g = {a, tried, 0};
  lh_status st;

  *tried = (lh_change_tried){.book = book != NULL};
  if (!book) return LH_OK;
  st = lh_book_list(book, LH_BOOK_TILE, false, 0, LH_LIST_MOST, keep_id, &tiles,
                    fault);
  if (st == LH_OK && tiles.full) st = lh_fault_plain(fault, LH_NOMEM, "tiles");
  for (size_t i = 0; i < tiles.count && st == LH_OK; i++)
    st = keep_tile(book, &g, tiles.id[i], fault);
  return st;
}

/* ---- what is new about it ----------------------------------------------- */

static bool has_code(const lh_recipe_found *f, const char *code, size_t n)
{
  for (size_t i = 0; f && i < f->count; i++) {
    const char *s = f->found[i].hazards;
    while (*s && f->lines[i].amount > 0.0) {
      size_t k = strcspn(s, " ,;");
      if (k == n && strncmp(s, code, n) == 0) return true;
      s += k + (s[k] != 0);
    }
  }
  return false;
}

static bool listed(const char *list, const char *code, size_t n)
{
  for (const char *s = list; (s = strstr(s, code)) != NULL; s += n)
    if ((s == list || s[-1] == ' ') && (s[n] == 0 || s[n] == ' ')) return true;
  return false;
}

const char *lh_change_hazards(lh_arena *a, const lh_change_side *old,
                              const lh_change_side *new_, const char **bring)
{
  char codes[200] = "", names[400] = "";

  for (size_t i = 0; new_->found && i < new_->found->count; i++) {
    const char *s = new_->found->found[i].hazards;
    bool brings = false;
    while (*s && new_->found->lines[i].amount > 0.0) {
      size_t n = strcspn(s, " ,;"), used = strlen(codes);
      char code[24];
      snprintf(code, sizeof code, "%.*s", (int)(n < 23 ? n : 23), s);
      if (n > 0 && !has_code(old->found, s, n)) {
        brings = true;
        if (!listed(codes, code, strlen(code)))
          snprintf(codes + used, sizeof codes - used, "%s%s", used ? " " : "",
                   code);
      }
      s += n + (s[n] != 0);
    }
    if (brings && !strstr(names, new_->found->found[i].name)) {
      size_t used = strlen(names);
      snprintf(names + used, sizeof names - used, "%s%s", used ? ", " : "",
               new_->found->found[i].name);
    }
  }
  *bring = lh_heap_text(a, names);
  return lh_heap_text(a, codes);
}

/* Fluxes of a slip, and its free-standing silica and alumina, in mole %. */
static double flux_percent(const lh_change_side *s)
{
  double sum = 0.0;

  for (size_t i = 0; i < LH_OXIDES; i++)
    if (lh_oxide_flux(i)) sum += s->fired.mole_percent[i];
  return sum;
}

const char *lh_change_bar(lh_arena *a, bool curl, const lh_change_side *old,
                          const lh_change_side *new_)
{
  double p0 = old->plastic_percent, p1 = new_->plastic_percent;
  double f0 = flux_percent(old), f1 = flux_percent(new_);
  bool plastic = fabs(p1 - p0) >= LH_CHANGE_POINTS;
  bool flux = fabs(f1 - f0) >= LH_CHANGE_POINTS;

  if (plastic && (!curl || !flux))
    return lh_heap_print(a,
                         "plastic clay goes from %.1f to %.1f %% of the batch, "
                         "and drying shrinkage goes with it",
                         p0, p1);
  if (flux)
    return lh_heap_print(a,
                         "the fluxes go from %.2f to %.2f mole %%, and firing "
                         "shrinkage goes with them",
                         f0, f1);
  return "plastic clay and fluxes hardly move, but clays of one class shrink "
         "differently";
}
