/* SPDX-License-Identifier: GPL-3.0-or-later */
/* substitute_say.c -- the recipes that can still be made, told. */
#include <math.h>
#include <string.h>

#include "chem/stain.h"
#include "heap.h"
#include "substitute_room.h"

/* ---- a choice as a recipe ----------------------------------------------- */

/* What is weighed of the old recipe's line, in its parts. */
static double weighed(const lh_recipe_found *f, size_t i)
{
  double parts = 0.0;

  if (!f->lines[i].addition) return f->lines[i].amount;
  for (size_t k = 0; k < f->parts; k++) parts += f->lines[k].amount;
  return f->lines[i].amount * parts / 100.0;
}

static double melting(const lh_recipe_found *f)
{
  double sum = 0.0;

  for (size_t i = 0; i < f->count; i++)
    if (!f->lines[i].material->inert) sum += weighed(f, i);
  return sum;
}

/* Is this stain carried over? */
static bool carried(const lh_sub *s, size_t i)
{
  return s->old->lines[i].material->inert && !s->gone[i] &&
         s->old->lines[i].amount > 0.0;
}

lh_status lh_sub_recipe(const lh_sub *s, const lh_search_choice *c,
                        lh_recipe_found *f)
{
  lh_arena *a = s->call->arena;
  size_t n = c->count + s->stains;

  *f = (lh_recipe_found){.kind = s->kind, .parts = c->count};
  f->found = lh_arena_take(a, n, sizeof *f->found);
  f->lines = lh_arena_take(a, n, sizeof *f->lines);
  if (!f->found || !f->lines) return LH_NOMEM;
  for (size_t k = 0; k < c->count; k++) {
    f->found[k] = s->stock[c->material[k]];
    f->lines[k] = (lh_recipe_line){&f->found[k].oxides, c->percent[k], false};
  }
  f->count = c->count;
  for (size_t i = 0; s->old && i < s->old->count; i++) {
    if (!carried(s, i)) continue;
    f->found[f->count] = s->old->found[i];
    f->lines[f->count] =
        (lh_recipe_line){&f->found[f->count].oxides,
                         100.0 * weighed(s->old, i) / melting(s->old), true};
    f->count++;
  }
  return LH_OK;
}

/* Was it an addition, or does it stand for one that is gone? */
static bool is_addition(const lh_sub *s, const lh_material_found *m)
{
  for (size_t i = 0; s->old && i < s->old->count; i++)
    if (strcmp(s->old->found[i].name, m->name) == 0)
      return s->old->lines[i].addition;
  return s->melting_gone && (strcmp(m->class_, "oxide") == 0 ||
                             strcmp(m->class_, "opacifier") == 0);
}

/* The recipe as the old one was written: parts of 100, additions apart. */
static void put_recipe(lh_reply *r, json_t *to, const lh_sub *s,
                       const lh_recipe_found *f)
{
  static const char *const kinds[] = {"glaze", "slip", "body"};
  json_t *o = lh_reply_object(r, to, "recipe"), *lines, *additions;
  double base = 0.0;
  bool apart = false;

  for (size_t i = 0; i < f->parts; i++)
    if (!is_addition(s, &f->found[i])) base += f->lines[i].amount;
  apart = base > 0.0;
  if (!apart) base = 100.0;
  lh_reply_string(r, o, "kind", kinds[s->kind]);
  lines = lh_reply_list(r, o, "lines");
  additions = lh_reply_list(r, o, "additions");
  for (size_t i = 0; i < f->count; i++) {
    double share = 100.0 * f->lines[i].amount / base;
    bool added = i >= f->parts || (apart && is_addition(s, &f->found[i]));
    json_t *item = lh_reply_item(r, added ? additions : lines);
    lh_reply_string(r, item, "material", f->found[i].name);
    lh_reply_number(r, item, added ? "percent" : "parts", share);
  }
}

/* ---- cautions ----------------------------------------------------------- */

static void caution(lh_reply *r, json_t *list, bool say, const char *what,
                    const char *why, const char *todo)
{
  json_t *item = lh_reply_item(r, list);

  if (!why) why = "";
  lh_reply_string(r, item, "what", what);
  lh_reply_string(r, item, "why", why);
  lh_reply_string(r, item, "do", todo);
  if (say) lh_reply_line(r, LH_LINE_CAUTION, "%s\t%s\t%s", what, why, todo);
}

static void caution_stains(const lh_sub *s, lh_reply *r, json_t *list, bool say)
{
  for (size_t i = 0; s->old && i < s->old->count; i++) {
    if (!s->old->lines[i].material->inert) continue;
    if (!(s->old->lines[i].amount > 0.0)) continue;
    if (carried(s, i))
      caution(r, list, say, s->old->found[i].name,
              "The stain is carried over unchanged; it stands apart from the "
              "oxides.",
              "Look at its colour on the first tile: the recipe around it has "
              "changed.");
    else
      caution(r, list, say, s->old->found[i].name,
              "The stain is gone and nothing stands for it here.",
              "Find another by its colour (the operation match), not by its "
              "oxides.");
  }
}

static void caution_colours(const lh_sub *s, const lh_change_side *after,
                            lh_reply *r, json_t *list, bool say)
{
  for (size_t i = 0; i < LH_OXIDES; i++) {
    double a = s->before.fired.weight_percent[i];
    double b = after->fired.weight_percent[i];
    char why[160];
    if (lh_oxide_role(i) != LH_ROLE_COLOURANT) continue;
    if (fabs(b - a) <= LH_SUB_COLOUR_SHARE * a ||
        fabs(b - a) < LH_SUB_COLOUR_PERCENT)
      continue;
    snprintf(why, sizeof why,
             "This colouring oxide goes from %.2f to %.2f %% of what is fired.",
             a, b);
    caution(r, list, say, lh_oxide_symbol(i), why,
            "Expect another colour; try it on a tile beside the old.");
  }
}

static void caution_materials(const lh_recipe_found *f, lh_reply *r,
                              json_t *list, bool say)
{
  size_t lead = lh_oxide_find("PbO");

  for (size_t i = 0; i < f->parts; i++) {
    if (f->found[i].oxides.mol[lead] > 0.0)
      caution(r, list, say, f->found[i].name,
              "It holds lead: poison in dust and fume, and it may come out of "
              "the fired glaze.",
              "Do not weigh lead in a studio; use a recipe without it.");
    if (f->found[i].supplied && strstr(f->found[i].note, "soluble"))
      caution(r, list, say, f->found[i].name,
              "It dissolves in the water of the slop.",
              "Use a frit that brings the same oxides.");
  }
}

static void caution_classes(const lh_sub *s, lh_reply *r, json_t *list,
                            bool say)
{
  for (size_t k = 0; lh_material_classes[k]; k++)
    if (s->class_lost[k])
      caution(r, list, say, lh_material_classes[k],
              "Nothing of this class is in the stock to take its place.",
              "The slip will brush, dry and shrink differently: make the "
              "bars.");
}

/* Rules that the carried stains obey, held against the new recipe: of a glaze
** its own formula; the glaze over a slip is not known here. */
static void caution_rules(const lh_sub *s, const lh_recipe_found *f,
                          const lh_change_side *after, lh_reply *r,
                          json_t *list, bool say)
{
  lh_stain_around around = {
      s->kind == LH_KIND_GLAZE ? after->fired.unity : NULL, s->ask->peak_c,
      s->ask->reducing < 0 ? -1 : s->ask->reducing};

  for (size_t i = f->parts; i < f->count; i++) {
    lh_stain_finding found[LH_STAIN_RULES_MOST];
    size_t n = 0;
    if (f->found[i].stain_family < 0) continue;
    (void)lh_stain_rules_check((size_t)f->found[i].stain_family, &around, found,
                               &n);
    for (size_t k = 0; k < n; k++) {
      lh_stain_rule rule = lh_stain_rule_at(found[k].rule);
      if (found[k].says != LH_STAIN_BROKEN) continue;
      caution(r, list, say, f->found[i].name,
              lh_heap_print(r->arena, "%s (%s)", rule.why, rule.source),
              rule.todo);
    }
  }
}

void lh_sub_cautions(const lh_sub *s, const lh_recipe_found *f,
                     const lh_change_side *after, lh_reply *r, json_t *to,
                     bool say)
{
  json_t *list = lh_reply_list(r, to, "cautions");

  caution_stains(s, r, list, say);
  caution_rules(s, f, after, r, list, say);
  caution_colours(s, after, r, list, say);
  caution_materials(f, r, list, say);
  caution_classes(s, r, list, say);
}

/* ---- the choices -------------------------------------------------------- */

static void put_oxides(lh_reply *r, json_t *to, const char *key,
                       const lh_recipe_fired *f, const double *v)
{
  json_t *o = lh_reply_object(r, to, key);

  for (size_t i = 0; i < LH_OXIDES; i++)
    if (f->mol[i] > 0.0) lh_reply_number(r, o, lh_oxide_symbol(i), v[i]);
}

/* What the distance was taken of: oxides, or groups as "Na2O+K2O". */
static void put_made(const lh_sub *s, lh_reply *r, json_t *to, const char *key,
                     const double *v)
{
  json_t *o = lh_reply_object(r, to, key);

  for (size_t k = 0; k < s->rows; k++) {
    char name[200] = "";
    for (size_t i = 0; i < LH_OXIDES; i++) {
      size_t used = strlen(name);
      if (s->row[i] == k)
        snprintf(name + used, sizeof name - used, "%s%s", used ? "+" : "",
                 lh_oxide_symbol(i));
    }
    lh_reply_number(r, o, name, v[k]);
  }
}

static void say_best(const lh_sub *s, const lh_recipe_found *f, double distance,
                     lh_reply *r)
{
  lh_reply_title(r, "The nearest recipe that can be made");
  for (size_t i = 0; i < f->count; i++)
    lh_reply_row(r, "%s\t%.2f\t%s", f->found[i].name, f->lines[i].amount,
                 i < f->parts ? "parts" : "% added");
  if (distance < LH_SUB_SAME)
    lh_reply_text(r, "It makes the same %s%s.",
                  s->kind == LH_KIND_GLAZE ? "formula" : "analysis",
                  s->ask->groups.count
                      ? ", with the oxides of a group taken as one"
                      : "");
  else
    lh_reply_text(r, "It is %.4g away, in %s.", distance,
                  s->kind == LH_KIND_GLAZE ? "moles of the Seger formula"
                                           : "mole per cent of what is fired");
}

static lh_status put_choice(lh_sub *s, size_t k, json_t *list, lh_reply *r)
{
  const lh_search_choice *c = &s->choice[k];
  lh_change_side *after = lh_arena_take(r->arena, 1, sizeof *after);
  lh_recipe_found *f = lh_arena_take(r->arena, 1, sizeof *f);
  json_t *item = lh_reply_item(r, list), *lines, *additions;
  lh_status st = after && f ? lh_sub_recipe(s, c, f) : LH_NOMEM;
  bool say = k == 0;

  if (st == LH_OK) st = lh_change_look(f, after);
  if (st != LH_OK) return st;
  lines = lh_reply_list(r, item, "lines");
  additions = lh_reply_list(r, item, "additions");
  for (size_t i = 0; i < f->count; i++) {
    json_t *line = lh_reply_item(r, i < f->parts ? lines : additions);
    lh_reply_string(r, line, "material", f->found[i].name);
    lh_reply_number(r, line, i < f->parts ? "parts" : "percent",
                    f->lines[i].amount);
  }
  put_recipe(r, item, s, f);
  lh_reply_number(r, item, "distance", c->distance);
  put_made(s, r, item, "made", c->made);
  lh_sub_put_sure(s, k, r, item);
  put_oxides(r, item, "unity", &after->fired, after->fired.unity);
  put_oxides(r, item, "mole_percent", &after->fired, after->fired.mole_percent);
  lh_change_put(r, lh_reply_object(r, item, "change"), &s->before, after,
                s->kind, &s->tried);
  if (say) {
    say_best(s, f, c->distance, r);
    lh_change_say(r, &s->before, after, s->kind, &s->tried);
  }
  lh_sub_cautions(s, f, after, r, item, say);
  lh_sub_put_tiles(s, f, r, item);
  return LH_OK;
}

/* ---- how sure ----------------------------------------------------------- */

static void put_proof(const lh_sub *s, lh_reply *r)
{
  const lh_search_proof *p = &s->proof;
  size_t most = s->problem.most < s->count ? s->problem.most : s->count;

  if (p->proven)
    lh_reply_string(r, NULL, "proof", "optimal");
  else
    lh_reply_number(r, NULL, "proof", p->bound);
  lh_reply_number(r, NULL, "proven", (double)p->sure);
  lh_reply_number(r, NULL, "bound", p->bound);
  lh_reply_number(r, NULL, "gap", p->gap);
  lh_reply_number(r, NULL, "floor", p->floor);
  lh_reply_number(r, NULL, "visited", (double)p->visited);
  lh_reply_number(r, NULL, "pruned", (double)p->pruned);
  lh_reply_title(r, "How sure");
  if (p->proven)
    lh_reply_text(r,
                  "Proven: no other recipe of these %zu materials, with at "
                  "most %zu in it, is nearer by arithmetic than those listed.",
                  s->count, most);
  else
    lh_reply_text(r,
                  "The search was stopped at its limit of visits: another "
                  "recipe could be nearer than the best by %.4g at most%s.",
                  p->gap,
                  p->sure ? ", but the first of the list are sure" : "");
  if (p->found > 0) lh_sub_say_sure(s, r);
  lh_reply_text(r, "That is arithmetic on analyses.  Melting, colour and fit "
                   "are known from tiles only.");
}

static void say_others(const lh_sub *s, lh_reply *r)
{
  if (s->proof.found < 2) return;
  lh_reply_title(r, "The next nearest");
  for (size_t k = 1; k < s->proof.found; k++) {
    lh_recipe_found f;
    char often[40] = "";
    if (s->sure.done)
      snprintf(often, sizeof often, ", nearest in %.0f %%",
               100.0 * s->sure.choice[k].best);
    if (lh_sub_recipe(s, &s->choice[k], &f) != LH_OK) {
      r->st = LH_NOMEM;
      return;
    }
    if (s->choice[k].distance < LH_SUB_SAME)
      lh_reply_text(r, "%zu. the same%s: %s", k + 1, often,
                    lh_recipe_words(&f, r->arena));
    else
      lh_reply_text(r, "%zu. %.4g away%s: %s", k + 1, s->choice[k].distance,
                    often, lh_recipe_words(&f, r->arena));
  }
}

static void put_asked(const lh_sub *s, lh_reply *r)
{
  bool glaze = s->kind == LH_KIND_GLAZE;
  json_t *gone = lh_reply_list(r, NULL, "cannot_be_had");

  lh_reply_string(r, NULL, "measure",
                  glaze ? "Seger formula, moles" : "mole per cent, fired");
  put_made(s, r, NULL, "target", s->row_target);
  lh_reply_string(r, NULL, "stock", s->stock_from);
  for (size_t i = 0; s->old && i < s->old->count; i++)
    if (s->gone[i] &&
        json_array_append_new(gone, json_string(s->old->found[i].name)) != 0)
      r->st = LH_NOMEM;
}

/* What is noise of the arithmetic is told as nothing; and equals stand in an
** order of their own, which their noise is not to undo. */
static void quiet(lh_sub *s)
{
  double scale = 0.0, *of[] = {&s->proof.bound, &s->proof.gap, &s->proof.floor};

  for (size_t i = 0; i < s->rows; i++)
    scale = fmax(scale, s->row_weight[i] * s->row_target[i]);
  for (size_t k = 0; k < 3; k++)
    if (fabs(*of[k]) < LH_SUB_NOISE * scale) *of[k] = 0.0;
  for (size_t k = 0; k < s->proof.found; k++) {
    if (s->choice[k].distance < LH_SUB_NOISE * scale)
      s->choice[k].distance = 0.0;
    if (k > 0)
      s->choice[k].distance =
          fmax(s->choice[k].distance, s->choice[k - 1].distance);
  }
}

lh_status lh_sub_say(lh_sub *s, lh_reply *r, lh_fault *fault)
{
  json_t *list = lh_reply_list(r, NULL, "choices");
  lh_status st;

  quiet(s);
  put_asked(s, r);
  for (size_t k = 0; k < s->proof.found; k++) {
    st = put_choice(s, k, list, r);
    if (st != LH_OK) return lh_fault_plain(fault, st, "substitute");
  }
  put_proof(s, r);
  say_others(s, r);
  st = lh_sub_price(s, r, fault);
  if (st != LH_OK) return st;
  if (s->proof.found > 0) {
    lh_recipe_found f;
    if (lh_sub_recipe(s, &s->choice[0], &f) != LH_OK)
      return lh_fault_plain(fault, LH_NOMEM, "substitute");
    lh_sub_say_tiles(s, &f, r);
  }
  lh_reply_text(r, "The stock is %s.", s->stock_from);
  lh_reply_text(r, "Dust harms the lungs for good: weigh with a mask or under "
                   "extraction, and ask for the suppliers' safety data "
                   "sheets.");
  return LH_OK;
}
