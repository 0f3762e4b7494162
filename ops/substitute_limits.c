/* SPDX-License-Identifier: GPL-3.0-or-later */
/* substitute_limits.c -- what may be used, and how much. */
#include <math.h>
#include <string.h>

#include "nearest.h"
#include "substitute_room.h"

enum { CLASSES = 16 };

/* ---- adding one --------------------------------------------------------- */

static lh_status add(lh_sub *s, lh_search_limit limit, lh_sub_origin origin,
                     lh_fault *fault)
{
  if (s->limits == LH_SEARCH_LIMITS) {
    return lh_fault_say(
        fault, LH_TOOLARGE, "/limits", "give fewer, or a smaller stock",
        "more than %d limits in all are not kept", LH_SEARCH_LIMITS);
  }
  s->limit[s->limits] = limit;
  s->origin[s->limits++] = origin;
  return LH_OK;
}

static size_t place_of(const lh_sub *s, const char *name)
{
  size_t known = lh_supplied_find(name);
  size_t i = 0;

  while (i < s->count && strcmp(s->stock[i].name, name) != 0) i++;
  if (i < s->count || known == lh_supplied_count()) return i;
  name = lh_supplied_at(known).name; /* another of its names */
  for (i = 0; i < s->count && strcmp(s->stock[i].name, name) != 0;) i++;
  return i;
}

static lh_status not_there(const lh_sub *s, const char *name, const char *at,
                           lh_fault *fault)
{
  const char *names[LH_SEARCH_MATERIALS];
  size_t near;

  for (size_t i = 0; i < s->count; i++) names[i] = s->stock[i].name;
  near = lh_nearest(name, names, s->count);
  return lh_fault_say(fault, LH_INPUT, at, "name a material of the stock",
                      near < s->count
                          ? "\"%.60s\" is not in the stock; the nearest is "
                            "\"%.60s\""
                          : "\"%.60s\" is not in the stock%s",
                      name, near < s->count ? s->stock[near].name : "");
}

static lh_status row_wrong(size_t i, const char *key, const char *todo,
                           const char *what, lh_fault *fault)
{
  char at[64];

  snprintf(at, sizeof at, "/limits/%zu/%s", i, key);
  return lh_fault_say(fault, LH_RANGE, at, todo, "%s", what);
}

/* ---- those that were asked ---------------------------------------------- */

static lh_status check_row(const lh_sub_limit *x, size_t i, lh_fault *fault)
{
  if (!x->material == (x->class_ < 0)) {
    return row_wrong(
        i, x->material ? "class" : "material", "give one of material, class",
        x->material ? "the limit names both" : "the limit names neither",
        fault);
  }
  if (x->never && (x->must || x->least_percent > 0.0 || x->share_percent > 0.0))
    return row_wrong(i, "never", "take one of them out",
                     "it must not be there and yet must", fault);
  if (x->least_percent > x->most_percent)
    return row_wrong(i, "least_percent", "give a least that is not above most",
                     "the least is above the most", fault);
  if ((x->ratio_to == NULL) != (isnan(x->ratio) != 0))
    return row_wrong(i, x->ratio_to ? "ratio" : "ratio_to",
                     "give ratio and ratio_to together",
                     "half of a ratio is missing", fault);
  if (x->ratio_to && !x->material)
    return row_wrong(i, "ratio", "give two materials",
                     "a ratio is between materials, not classes", fault);
  return LH_OK;
}

/* The materials of a class; NULL when none is in the stock. */
static const bool *class_of(lh_sub *s, const char *name, const char *or_name,
                            bool *none)
{
  bool *of = lh_arena_take(s->call->arena, s->count, sizeof *of);

  *none = true;
  for (size_t i = 0; of && i < s->count; i++) {
    of[i] = strcmp(s->stock[i].class_, name) == 0 ||
            (or_name && strcmp(s->stock[i].class_, or_name) == 0);
    if (of[i]) *none = false;
  }
  return of;
}

/* The amounts of one row, for a material or a class. */
static lh_status add_row(lh_sub *s, const lh_sub_limit *x, size_t i,
                         lh_search_limit base, const char *name,
                         lh_fault *fault)
{
  lh_sub_origin origin = {LH_SUB_ASKED, i, name};
  double most = x->never ? 0.0 : x->most_percent;
  double least = x->least_percent;
  lh_status st = LH_OK;

  if (x->must && x->class_ >= 0 && !(least > 0.0))
    least = LH_SEARCH_MUST_PERCENT;
  if (least > 0.0) {
    base.kind = LH_SEARCH_LEAST, base.value = least;
    st = add(s, base, origin, fault);
  }
  if (st == LH_OK && most < 100.0 && !(x->never && x->material)) {
    base.kind = LH_SEARCH_MOST, base.value = most;
    st = add(s, base, origin, fault);
  }
  if (st == LH_OK && !isnan(x->share_percent)) {
    base.kind = LH_SEARCH_SHARE, base.value = x->share_percent;
    st = add(s, base, origin, fault);
  }
  if (st == LH_OK && !isnan(x->stock_g)) {
    if (isnan(s->ask->batch_g))
      return row_wrong(i, "stock_g", "give batch_g beside the target",
                       "the batch that the stock is for is missing", fault);
    base.kind = LH_SEARCH_STOCK, base.value = x->stock_g;
    base.batch = s->ask->batch_g;
    st = add(s, base, origin, fault);
  }
  return st;
}

static lh_status add_material(lh_sub *s, const lh_sub_limit *x, size_t i,
                              lh_fault *fault)
{
  lh_search_limit base = {.material = place_of(s, x->material)};
  lh_sub_origin origin = {LH_SUB_ASKED, i, x->material};
  char at[64];
  lh_status st;

  snprintf(at, sizeof at, "/limits/%zu/material", i);
  if (base.material == s->count) return not_there(s, x->material, at, fault);
  if (x->never) s->use[base.material] = LH_SEARCH_NEVER;
  if (x->must) s->use[base.material] = LH_SEARCH_MUST;
  st = add_row(s, x, i, base, x->material, fault);
  if (st != LH_OK || !x->ratio_to) return st;
  base.other = place_of(s, x->ratio_to);
  snprintf(at, sizeof at, "/limits/%zu/ratio_to", i);
  if (base.other == s->count) return not_there(s, x->ratio_to, at, fault);
  if (base.other == base.material)
    return row_wrong(i, "ratio_to", "name another material",
                     "a ratio is between two materials", fault);
  base.kind = LH_SEARCH_RATIO, base.value = x->ratio;
  return add(s, base, origin, fault);
}

static lh_status add_class(lh_sub *s, const lh_sub_limit *x, size_t i,
                           lh_fault *fault)
{
  const char *name = lh_material_classes[x->class_];
  lh_search_limit base = {.material = 0};
  bool none;
  char what[128];

  base.of = class_of(s, name, NULL, &none);
  if (!base.of) return lh_fault_plain(fault, LH_NOMEM, "/limits");
  if (none && (x->must || x->least_percent > 0.0 || x->share_percent > 0.0)) {
    snprintf(what, sizeof what, "nothing of the class %s is in the stock",
             name);
    return row_wrong(i, "class", "add one to the stock, or take the limit out",
                     what, fault);
  }
  return none ? LH_OK : add_row(s, x, i, base, name, fault);
}

static lh_status add_asked(lh_sub *s, lh_fault *fault)
{
  const lh_sub_limit *x = s->ask->limits.items;
  double least = 0.0;

  for (size_t i = 0; i < s->ask->limits.count; i++) {
    lh_status st = check_row(&x[i], i, fault);
    if (st == LH_OK)
      st = x[i].material ? add_material(s, &x[i], i, fault)
                         : add_class(s, &x[i], i, fault);
    if (st != LH_OK) return st;
    if (x[i].material)
      least += isnan(x[i].share_percent) ? fmax(x[i].least_percent, 0.0)
                                         : x[i].share_percent;
    if (least > 100.0 * (1.0 + 1e-9))
      return row_wrong(
          i, isnan(x[i].share_percent) ? "least_percent" : "share_percent",
          "ask for less of one of them",
          "with this the least shares add to more than 100 %", fault);
  }
  return LH_OK;
}

/* ---- additions that stay, the batch ------------------------------------- */

/* What all of the old recipe weighs that melts, in its parts; and a line. */
static double weighed(const lh_recipe_found *f, size_t i, double *melts)
{
  double parts = 0.0;

  for (size_t k = 0; k < f->parts; k++) parts += f->lines[k].amount;
  *melts = 0.0;
  for (size_t k = 0; k < f->count; k++)
    if (!f->lines[k].material->inert)
      *melts +=
          f->lines[k].amount * (f->lines[k].addition ? parts / 100.0 : 1.0);
  return f->lines[i].amount * (f->lines[i].addition ? parts / 100.0 : 1.0);
}

/* In a glaze they stay, and their amount follows the formula; in a slip they
** keep their share, or the colour would make up for the clay. */
static lh_status keep_additions(lh_sub *s, lh_fault *fault)
{
  for (size_t i = s->old ? s->old->parts : 0; s->old && i < s->old->count;
       i++) {
    size_t k = place_of(s, s->old->found[i].name);
    double melts, g = weighed(s->old, i, &melts);
    lh_search_limit limit = {
        .kind = LH_SEARCH_LEAST, .material = k, .value = LH_SUB_KEPT_PERCENT};
    lh_sub_origin origin = {LH_SUB_KEPT, 0, s->old->found[i].name};
    lh_status st;
    if (k == s->count || !(s->old->lines[i].amount > 0.0)) continue;
    if (s->use[k] != LH_SEARCH_MAY) continue;
    s->use[k] = LH_SEARCH_MUST;
    if (s->kind != LH_KIND_GLAZE) {
      limit.kind = LH_SEARCH_SHARE;
      limit.value = 100.0 * g / melts;
    }
    st = add(s, limit, origin, fault);
    if (st != LH_OK) return st;
  }
  return LH_OK;
}

static lh_status keep_to_stock(lh_sub *s, lh_fault *fault)
{
  double batch = s->ask->batch_g;

  for (size_t i = 0; !isnan(batch) && i < s->count; i++) {
    lh_search_limit limit = {.kind = LH_SEARCH_STOCK,
                             .material = i,
                             .value = s->stock[i].stock_g,
                             .batch = batch};
    lh_sub_origin origin = {LH_SUB_STOCK, 0, s->stock[i].name};
    lh_status st;
    if (!(s->stock[i].stock_g < batch)) continue;
    st = add(s, limit, origin, fault);
    if (st != LH_OK) return st;
  }
  return LH_OK;
}

/* ---- like for like ------------------------------------------------------ */

/* A flux and a frit do the same in a slip: one class for the exchange. */
static size_t class_place(const char *class_)
{
  if (strcmp(class_, "frit") == 0) class_ = "flux";
  for (size_t k = 0; k < CLASSES && lh_material_classes[k]; k++)
    if (strcmp(lh_material_classes[k], class_) == 0) return k;
  return CLASSES;
}

/* Shares of the classes in what melts of the old recipe [%]; what has no
** class is counted as open. */
static double class_shares(const lh_sub *s, double share[CLASSES])
{
  double parts = 0.0, sum = 0.0, open = 0.0;

  for (size_t i = 0; i < s->old->parts; i++) parts += s->old->lines[i].amount;
  for (size_t k = 0; k < CLASSES; k++) share[k] = 0.0;
  for (size_t i = 0; i < s->old->count; i++) {
    size_t k = class_place(s->old->found[i].class_);
    double g = s->old->lines[i].amount *
               (s->old->lines[i].addition ? parts / 100.0 : 1.0);
    if (s->old->lines[i].material->inert) continue;
    sum += g;
    if (k < CLASSES)
      share[k] += g;
    else
      open += g;
  }
  for (size_t k = 0; k < CLASSES; k++) share[k] *= 100.0 / sum;
  return 100.0 * open / sum;
}

/* Colour and opacity come of small shares: those may move by half of what
** they are at most (a judgement), and none comes in that was not there. */
static bool is_strong(const char *class_)
{
  return strcmp(class_, "oxide") == 0 || strcmp(class_, "opacifier") == 0;
}

/* Each class keeps its share within class_points.  What the stock has no
** class for may be taken by the others. */
static lh_status like_for_like(lh_sub *s, lh_fault *fault)
{
  double share[CLASSES], give, open;
  const bool *of[CLASSES];
  lh_status st = LH_OK;

  if (s->kind == LH_KIND_GLAZE || !s->old || !s->ask->like_for_like)
    return LH_OK;
  open = class_shares(s, share);
  for (size_t k = 0; k < CLASSES && lh_material_classes[k]; k++) {
    const char *name = lh_material_classes[k];
    bool none;
    if (strcmp(name, "frit") == 0) continue;
    of[k] = class_of(s, name, strcmp(name, "flux") == 0 ? "frit" : NULL, &none);
    if (!of[k]) return lh_fault_plain(fault, LH_NOMEM, "/limits");
    s->class_had[k] = !none;
    s->class_lost[k] = none && share[k] > 0.0;
    if (none) open += share[k];
  }
  for (size_t k = 0; k < CLASSES && lh_material_classes[k]; k++) {
    lh_sub_origin origin = {LH_SUB_CLASS, k, lh_material_classes[k]};
    lh_search_limit limit = {.of = s->class_had[k] ? of[k] : NULL};
    if (!s->class_had[k]) continue;
    give = s->ask->class_points;
    if (is_strong(lh_material_classes[k])) give = fmin(give, share[k] / 2.0);
    if (share[k] - give > 0.0 && st == LH_OK) {
      limit.kind = LH_SEARCH_LEAST, limit.value = share[k] - give;
      st = add(s, limit, origin, fault);
    }
    if (!is_strong(lh_material_classes[k])) give += open;
    if (share[k] + give < 100.0 && st == LH_OK) {
      limit.kind = LH_SEARCH_MOST, limit.value = share[k] + give;
      st = add(s, limit, origin, fault);
    }
  }
  return st;
}

lh_status lh_sub_limits(lh_sub *s, lh_fault *fault)
{
  lh_status st;

  s->use = lh_arena_take(s->call->arena, s->count, sizeof *s->use);
  if (!s->use) return lh_fault_plain(fault, LH_NOMEM, "/limits");
  st = add_asked(s, fault);
  if (st == LH_OK && s->ask->keep_additions) st = keep_additions(s, fault);
  if (st == LH_OK) st = keep_to_stock(s, fault);
  if (st == LH_OK) st = like_for_like(s, fault);
  return st;
}

/* ---- which one leaves nothing ------------------------------------------- */

/* Is there any recipe with these limits and uses?  A failure counts as no. */
static bool any(lh_sub *s, const lh_search_problem *p)
{
  lh_search_choice one;
  lh_search_proof proof;
  lh_search_problem q = *p;

  q.choices = 1;
  q.visits = 20000; /* enough to find one, not to prove it */
  return lh_search_nearest(&q, &one, &proof, s->call->arena, s->call->watch) ==
             LH_OK &&
         proof.found > 0;
}

static lh_status say_culprit(const lh_sub *s, const lh_sub_origin *o,
                             const lh_search_limit *l, lh_fault *fault)
{
  static const char *const before[] = {"at least", "at most", "exactly",
                                       "the ratio", "the stock of"};
  static const char *const after[] = {" %", " %", " %", "", " g"};
  static const char *const keys[] = {"least_percent", "most_percent",
                                     "share_percent", "ratio", "stock_g"};
  char much[64], at[64] = "/class_points";

  if (o->of == LH_SUB_ASKED)
    snprintf(at, sizeof at, "/limits/%zu/%s", o->row, keys[l->kind]);
  if (o->of == LH_SUB_KEPT) snprintf(at, sizeof at, "/keep_additions");
  if (o->of == LH_SUB_STOCK) snprintf(at, sizeof at, "/batch_g");
  snprintf(much, sizeof much, "%s %g%s", before[l->kind], l->value,
           after[l->kind]);
  return lh_fault_say(fault, LH_RANGE, at,
                      o->of == LH_SUB_CLASS
                          ? "give more class_points, or set like_for_like to "
                            "false"
                          : "loosen it, or let more materials be in a recipe",
                      "no recipe of %zu materials keeps all limits; without "
                      "%s of %.60s there is one",
                      s->problem.most, much, o->name);
}

/* Those that must be in it are too many, or one of them is to blame. */
static lh_status blame_must(lh_sub *s, lh_fault *fault)
{
  lh_search_problem p = s->problem;
  lh_search_use *use = lh_arena_take(s->call->arena, s->count, sizeof *use);
  size_t musts = 0;

  if (!use) return lh_fault_plain(fault, LH_NOMEM, "/limits");
  for (size_t i = 0; i < s->count; i++) musts += s->use[i] == LH_SEARCH_MUST;
  if (musts > p.most) {
    return lh_fault_say(fault, LH_RANGE, "/most_materials",
                        "allow more materials, or let fewer be a must",
                        "%zu materials must be in the recipe, but it may have "
                        "%zu",
                        musts, p.most);
  }
  p.use = use;
  for (size_t k = 0; k < s->count; k++) {
    if (s->use[k] == LH_SEARCH_MAY) continue;
    memcpy(use, s->use, s->count * sizeof *use);
    use[k] = LH_SEARCH_MAY;
    if (!any(s, &p)) continue;
    return lh_fault_say(
        fault, LH_RANGE, "/limits", "take that limit out",
        "no recipe of %zu materials keeps all limits; if %.60s %s there is "
        "one",
        p.most, s->stock[k].name,
        s->use[k] == LH_SEARCH_MUST ? "need not be in it" : "may be in it");
  }
  return LH_OK;
}

lh_status lh_sub_impossible(lh_sub *s, lh_fault *fault)
{
  lh_search_problem p = s->problem;
  lh_search_limit fewer[LH_SEARCH_LIMITS];
  lh_status st;

  p.limit = fewer;
  for (size_t k = 0; k < s->limits; k++) {
    p.limits = 0;
    for (size_t i = 0; i < s->limits; i++)
      if (i != k) fewer[p.limits++] = s->limit[i];
    if (any(s, &p)) return say_culprit(s, &s->origin[k], &s->limit[k], fault);
  }
  st = blame_must(s, fault);
  if (st != LH_OK) return st;
  p = s->problem;
  p.most = LH_SEARCH_LINES;
  if (p.most > s->problem.most && any(s, &p)) {
    return lh_fault_say(fault, LH_RANGE, "/most_materials",
                        "allow more materials",
                        "no recipe of %zu materials keeps all limits; with "
                        "more there is one",
                        s->problem.most);
  }
  p.limits = 0;
  p.use = NULL;
  if (!any(s, &p)) {
    return lh_fault_say(fault, LH_RANGE, "/stock",
                        "name materials that bring its oxides",
                        "the stock brings none of the target's oxides");
  }
  return lh_fault_say(fault, LH_RANGE, "/limits",
                      "take some of them out, one after another",
                      "no recipe keeps all limits, and none of them is to "
                      "blame alone");
}
