/* SPDX-License-Identifier: GPL-3.0-or-later */
/* substitute_doubt.c -- how sure the choices are, the analyses drawn anew. */
#include <math.h>
#include <string.h>

#include "heap.h"
#include "substitute_room.h"

/* Further figures: each model of expansion, then viscosity. */
enum {
  EXPANSION = LH_EXPANSION_MODELS,
  VISCOSITY = LH_VISCOSITY_LEVELS, /* Fluegel's, which reaches farthest */
  EXTRAS = EXPANSION + VISCOSITY
};

static void figures(void *who, const double mol[LH_OXIDES], double *v)
{
  double forms[LH_OXIDE_FORMS] = {0.0};
  lh_viscosity melt;

  (void)who;
  memcpy(forms, mol, LH_OXIDES * sizeof *mol);
  for (int k = 0; k < EXPANSION; k++) {
    lh_expansion e;
    bool fine = lh_expansion_of(mol, (lh_expansion_model)k, &e) == LH_OK;
    v[k] = fine && e.valid ? e.value : NAN;
  }
  for (int k = 0; k < VISCOSITY; k++) v[EXPANSION + k] = NAN;
  if (lh_viscosity_of(forms, LH_VISCOSITY_FLUEGEL, &melt) != LH_OK) return;
  for (int k = 0; k < VISCOSITY; k++) v[EXPANSION + k] = melt.t_c[k];
}

/* ---- the bags ----------------------------------------------------------- */

static size_t place(const lh_sub_sure *d, const char *name)
{
  size_t i = 0;

  while (i < d->materials && strcmp(d->name[i], name) != 0) i++;
  return i;
}

/* A material once, however many recipes it is in; its analysis judged where
** it does not state how far it may be off. */
static void take(lh_sub_sure *d, const lh_material_found *m)
{
  if (m->oxides.inert || place(d, m->name) < d->materials) return;
  d->name[d->materials] = m->name;
  d->judged +=
      lh_doubt_judge(&m->oxides, d->figure_percent, LH_DOUBT_LEAST_PERCENT,
                     &d->bag[d->materials]) > 0;
  d->materials++;
}

static lh_status gather(const lh_sub *s, lh_sub_sure *d)
{
  lh_arena *a = s->call->arena;
  size_t most = s->count + (s->old ? s->old->count : 0);

  d->name = lh_arena_take(a, most, sizeof *d->name);
  d->bag = lh_arena_take(a, most, sizeof *d->bag);
  if (!d->name || !d->bag) return LH_NOMEM;
  for (size_t k = 0; k < s->proof.found; k++)
    for (size_t i = 0; i < s->choice[k].count; i++)
      take(d, &s->stock[s->choice[k].material[i]]);
  for (size_t i = 0; s->old && i < s->old->count; i++)
    take(d, &s->old->found[i]);
  return LH_OK;
}

/* What is weighed: of each choice, and of the recipe aimed at. */
static lh_status weigh(const lh_sub *s, lh_sub_sure *d, lh_doubt_ask *q)
{
  lh_arena *a = s->call->arena;
  size_t n = d->materials;
  const lh_material **bags = lh_arena_take(a, n, sizeof *bags);
  double *grams = lh_arena_take(a, n * s->proof.found, sizeof *grams);
  double *aim = s->old ? lh_arena_take(a, n, sizeof *aim) : NULL;
  double parts = 0.0;

  if (!bags || !grams || (s->old && !aim)) return LH_NOMEM;
  for (size_t i = 0; i < n; i++) bags[i] = &d->bag[i];
  for (size_t k = 0; k < s->proof.found; k++)
    for (size_t i = 0; i < s->choice[k].count; i++)
      grams[k * n + place(d, s->stock[s->choice[k].material[i]].name)] +=
          s->choice[k].grams[i];
  for (size_t i = 0; s->old && i < s->old->parts; i++)
    parts += s->old->lines[i].amount;
  for (size_t i = 0; s->old && i < s->old->count; i++) {
    const lh_recipe_line *line = &s->old->lines[i];
    if (line->material->inert) continue;
    aim[place(d, s->old->found[i].name)] +=
        line->amount * (line->addition ? parts / 100.0 : 1.0);
  }
  q->material = bags;
  q->materials = n;
  q->grams = grams;
  q->target_grams = aim;
  return LH_OK;
}

lh_status lh_sub_doubt(lh_sub *s, lh_fault *fault)
{
  lh_sub_sure *d = &s->sure;
  bool glaze = s->kind == LH_KIND_GLAZE;
  lh_doubt_ask q = {
      .measure = s->problem.measure,
      .row = s->row,
      .rows = s->rows,
      .weight = s->row_weight,
      .target = s->row_target,
      .choices = s->proof.found,
      .draws = (size_t)s->ask->draws,
      .seed = (uint64_t)s->ask->seed,
      .extra = glaze ? figures : NULL,
      .extras = glaze ? EXTRAS : 0,
  };
  lh_status st;

  if (s->ask->draws == 0 || s->proof.found == 0) return LH_OK;
  d->figure_percent = s->ask->analysis_percent;
  d->choice = lh_arena_take(s->call->arena, s->proof.found, sizeof *d->choice);
  st = d->choice ? gather(s, d) : LH_NOMEM;
  if (st == LH_OK) st = weigh(s, d, &q);
  if (st == LH_OK)
    st = lh_doubt_weigh(&q, d->choice, s->call->arena, s->call->watch);
  d->done = st == LH_OK;
  return st == LH_OK ? st : lh_fault_plain(fault, st, "substitute");
}

/* ---- told --------------------------------------------------------------- */

static void put_figure(lh_reply *r, json_t *to, const char *key,
                       const lh_doubt_figure *f)
{
  if (f->share > 0.0) lh_reply_range(r, to, key, f->low, f->high);
}

void lh_sub_put_sure(const lh_sub *s, size_t k, lh_reply *r, json_t *to)
{
  const lh_sub_sure *d = &s->sure;
  const lh_doubt_choice *c = &d->choice[k];
  json_t *o, *ranges, *list;

  if (!d->done) return;
  o = lh_reply_object(r, to, "sure");
  lh_reply_number(r, o, "best_percent", 100.0 * c->best);
  lh_reply_number(r, o, "best_percent_plus_minus", 100.0 * c->best_e);
  put_figure(r, o, "distance_range", &c->distance);
  ranges = lh_reply_object(
      r, o, s->kind == LH_KIND_GLAZE ? "unity_range" : "mole_percent_range");
  for (size_t i = 0; i < LH_OXIDES; i++)
    if (c->made[i].high > 0.0)
      put_figure(r, ranges, lh_oxide_symbol(i), &c->made[i]);
  if (s->kind == LH_KIND_GLAZE) {
    json_t *e = lh_reply_object(r, o, "expansion_range_1e6_per_k");
    json_t *t = lh_reply_object(r, o, "fluegel2007_range_c");
    static const char *const level[VISCOSITY] = {"1.5", "6.6", "12.0"};
    for (int i = 0; i < EXPANSION; i++)
      put_figure(r, e, lh_expansion_name((lh_expansion_model)i), &c->extra[i]);
    for (int i = 0; i < VISCOSITY; i++)
      put_figure(r, t, level[i], &c->extra[EXPANSION + i]);
  }
  list = lh_reply_list(r, o, "what_matters_most");
  for (size_t i = 0; i < c->causes; i++) {
    json_t *item = lh_reply_item(r, list);
    lh_reply_string(r, item, "material", d->name[c->cause[i].material]);
    lh_reply_string(r, item, "oxide", lh_oxide_symbol(c->cause[i].oxide));
    lh_reply_number(r, item, "share_percent", 100.0 * c->cause[i].share);
  }
}

void lh_sub_say_sure(const lh_sub *s, lh_reply *r)
{
  const lh_sub_sure *d = &s->sure;
  const lh_doubt_choice *c = d->choice;

  if (!d->done) {
    lh_reply_text(r, "How sure the analyses make it was not asked (draws 0).");
    return;
  }
  lh_reply_text(r,
                "Analyses are not exact.  Drawn anew %ld times, the first "
                "recipe stays the nearest in %.0f %% (plus or minus %.0f) of "
                "them%s.",
                s->ask->draws, 100.0 * c->best, ceil(100.0 * c->best_e),
                s->proof.found < 2 ? ", being alone" : "");
  if (isfinite(c->distance.low))
    lh_reply_text(r,
                  "Nine times in ten it lies %.3g to %.3g from the aim, its "
                  "analyses being what they may be.",
                  c->distance.low, c->distance.high);
  if (c->causes > 0)
    lh_reply_text(r,
                  "What matters most is the %s of %s: %.0f %% of all the "
                  "movement.  A fresh analysis of it is worth more than any "
                  "other.",
                  lh_oxide_symbol(c->cause[0].oxide),
                  d->name[c->cause[0].material], 100.0 * c->cause[0].share);
  if (d->judged > 0)
    lh_reply_text(r,
                  "Of %zu of %zu materials nothing says how far the analysis "
                  "may be off: plus or minus %g %% of each figure was taken, a "
                  "judgement (analysis_percent).",
                  d->judged, d->materials, d->figure_percent);
}
