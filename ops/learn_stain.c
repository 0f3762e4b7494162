/* SPDX-License-Identifier: GPL-3.0-or-later */
/* learn_stain.c -- a stain at several strengths: an inert one with one K and S
** for all of them, an oxide that dissolves with its own at each. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "learn_ask.h"
#include "stack_words.h"
#include "tested.h"

static bool coated(const lh_learn_tile_ask *t)
{
  return t->coat_g_m2 > 0 || t->coats > 0 || t->jar_loss_g > 0;
}

/* Two strengths are one when they differ by a tenth or less, as two coats. */
static bool same(double a, double b)
{
  return fabs(a - b) <= 0.1 * fmax(a, b);
}

/* Strengths of the tiles with slip on them, ascending; each once. */
static size_t tested(const lh_learn_ask *ask, double *percent)
{
  const lh_learn_tile_ask *t = ask->tiles.items;
  size_t n = 0, k;

  for (size_t i = 0; i < ask->tiles.count; i++) {
    double x = t[i].stain_percent;
    bool is_new = coated(&t[i]);
    for (k = 0; k < n; k++) is_new = is_new && !(percent[k] == x);
    if (!is_new) continue;
    for (k = n++; k > 0 && percent[k - 1] > x; k--) percent[k] = percent[k - 1];
    percent[k] = x;
  }
  return n;
}

/* "1, 2 and 4", as many as a line bears. */
static const char *listed(const double *percent, size_t n, char text[160])
{
  size_t at = 0;

  for (size_t i = 0; i < n && at + 24 < 160; i++)
    at += (size_t)snprintf(text + at, 160 - at, "%s%.4g",
                           i == 0       ? ""
                           : i + 1 == n ? " and "
                                        : ", ",
                           percent[i]);
  return text;
}

/* ---- what can be asked --------------------------------------------------- */

static lh_status tile_says(const lh_learn_ask *ask, lh_fault *fault)
{
  const lh_learn_tile_ask *t = ask->tiles.items;
  char where[64];

  for (size_t i = 0; i < ask->tiles.count; i++) {
    bool told = !isnan(t[i].stain_percent);
    snprintf(where, sizeof where, "/tiles/%zu/stain_percent", i);
    if (!ask->stain && told)
      return lh_fault_say(fault, LH_INPUT, where,
                          "give stain, with name and kind, or take it out",
                          "a strength is told, but not of what");
    if (ask->stain && coated(&t[i]) && !told)
      return lh_fault_say(fault, LH_INPUT, where,
                          "give it in % of the dry base; 0 for the base alone",
                          "how much %s is in this tile's slip is missing",
                          ask->stain->name);
  }
  return LH_OK;
}

/* Does a strength have two stacks that differ? */
static bool two_stacks(const lh_learn_ask *ask, double percent)
{
  const lh_learn_tile_ask *t = ask->tiles.items, *a = NULL;

  for (size_t i = 0; i < ask->tiles.count; i++) {
    if (!coated(&t[i]) || !same(t[i].stain_percent, percent)) continue;
    if (a && (strcmp(a->ground, t[i].ground) != 0 ||
              !(a->coat_g_m2 == t[i].coat_g_m2) || a->coats > 0 ||
              a->jar_loss_g > 0))
      return true;
    if (!a) a = &t[i];
  }
  return false;
}

static lh_status inert_good(const lh_learn_ask *ask, const double *percent,
                            size_t n, lh_fault *fault)
{
  const lh_learn_tile_ask *t = ask->tiles.items;
  size_t good = 0;
  char text[160];

  for (size_t i = 0; i < ask->tiles.count; i++)
    if (!t[i].reflectance)
      return lh_fault_say(fault, LH_INPUT, "/stain/kind",
                          "read the tiles with a spectrophotometer, or learn "
                          "each strength as a slip of its own",
                          "L*a*b* do not tell base and stain apart");
  for (size_t i = 0; i < n; i++)
    if (i == 0 || !same(percent[i], percent[i - 1]))
      good += two_stacks(ask, percent[i]);
  if (good >= 2) return LH_OK;
  return lh_fault_say(
      fault, LH_INPUT, "/tiles",
      "make tiles of two coat weights, or over two grounds, at two strengths "
      "that differ by more than a tenth; the base alone (0) counts as one",
      "base and %s cannot be told apart from tiles at %s %% alone",
      ask->stain->name, listed(percent, n, text));
}

static lh_status dissolving_good(const lh_learn_ask *ask, const double *percent,
                                 size_t n, lh_fault *fault)
{
  double p = ask->at_percent;
  char text[160];

  if (n > LH_LEARN_STRENGTHS)
    return lh_fault_say(fault, LH_TOOLARGE, "/tiles", "leave some out",
                        "more than %d strengths at once", LH_LEARN_STRENGTHS);
  for (size_t i = 0; i < n; i++)
    if (!two_stacks(ask, percent[i]))
      return lh_fault_say(fault, LH_INPUT, "/tiles",
                          "make tiles of two coat weights, or over two "
                          "grounds, at each strength",
                          "at %.4g %% there is one tile: K and S of a "
                          "strength need two",
                          percent[i]);
  if (isnan(p) || (p >= percent[0] && p <= percent[n - 1])) return LH_OK;
  return lh_fault_say(fault, LH_RANGE, "/at_percent",
                      "ask between the tested strengths, or make tiles there",
                      "%.4g %% of %s is outside of what was tested: %s %%; an "
                      "oxide that dissolves may do anything there",
                      p, ask->stain->name, listed(percent, n, text));
}

lh_status lh_learn_stain_good(const lh_learn_ask *ask, lh_fault *fault)
{
  double percent[LH_LEARN_TILES];
  lh_status st = tile_says(ask, fault);
  size_t n;

  if (st != LH_OK) return st;
  if (!ask->stain && !isnan(ask->at_percent))
    return lh_fault_say(fault, LH_INPUT, "/at_percent",
                        "give stain, with name and kind, or take it out",
                        "a strength is asked, but not of what");
  if (!ask->stain) return LH_OK;
  n = tested(ask, percent);
  if (n == 0) return LH_OK; /* refused for having no slip */
  return ask->stain->kind == LH_STAIN_INERT
             ? inert_good(ask, percent, n, fault)
             : dissolving_good(ask, percent, n, fault);
}

/* ---- fitting ------------------------------------------------------------- */

/* The grounds' tiles, and those of one strength; of all for NAN. */
static lh_status only(const lh_learn_ask *ask, double percent, lh_arena *a,
                      lh_learn_ask *out)
{
  const lh_learn_tile_ask *t = ask->tiles.items;
  lh_learn_tile_ask *k = lh_arena_take(a, ask->tiles.count, sizeof *k);

  *out = *ask;
  out->tiles = (lh_list){k, 0};
  if (!k) return LH_NOMEM;
  for (size_t i = 0; i < ask->tiles.count; i++)
    if (isnan(percent) || !coated(&t[i]) || t[i].stain_percent == percent)
      k[out->tiles.count++] = t[i];
  return LH_OK;
}

static lh_status fit_one(const lh_call *call, lh_learn_strength *s,
                         lh_fault *fault)
{
  lh_status st = lh_learn_ready(&s->ask, call->arena, &s->set, fault);

  if (st != LH_OK) return st;
  st = s->set.three ? lh_learn_fit_three(&s->set.numbers, call->arena,
                                         call->watch, &s->fit)
                    : lh_learn_fit_spectra(&s->set.spectra, call->arena,
                                           call->watch, &s->fit);
  if (st != LH_RANGE) return st;
  return lh_fault_say(fault, st, "/tiles",
                      "look for a tile that was read or written down wrongly",
                      "no slip agrees with these tiles");
}

lh_status lh_learn_stain_fit(const lh_call *call, const lh_learn_ask *ask,
                             lh_learn_strengths_set *s, lh_fault *fault)
{
  bool inert = ask->stain->kind == LH_STAIN_INERT;
  lh_status st = LH_OK;

  s->n_tested = tested(ask, s->tested);
  s->n = inert ? 1 : s->n_tested;
  s->at = lh_arena_take(call->arena, s->n, sizeof *s->at);
  if (!s->at) return LH_NOMEM;
  for (size_t i = 0; i < s->n && st == LH_OK; i++) {
    s->at[i].percent = inert ? (double)NAN : s->tested[i];
    st = only(ask, s->at[i].percent, call->arena, &s->at[i].ask);
    if (st == LH_OK) st = fit_one(call, &s->at[i], fault);
  }
  return st;
}

/* ---- telling ------------------------------------------------------------- */

/* K and S at the strength asked for. */
static void put_asked(const lh_learn_ask *ask, const lh_learn_strengths_set *s,
                      lh_reply *r)
{
  lh_tested list[LH_LEARN_STRENGTHS], at;
  double c = ask->at_percent / (100 + ask->at_percent);
  json_t *to;

  if (isnan(ask->at_percent)) return;
  to = lh_reply_object(r, NULL, "slip");
  if (ask->slip) lh_reply_string(r, to, "name", ask->slip);
  if (ask->stain->kind == LH_STAIN_INERT) {
    lh_learn_fit_at(&s->at[0].set.spectra, &s->at[0].fit, c, &at.slip, at.k_sd,
                    at.s_sd);
  } else {
    for (size_t i = 0; i < s->n; i++) {
      const lh_learn_fit *f = &s->at[i].fit;
      list[i].percent = s->at[i].percent;
      list[i].slip = f->slip;
      memcpy(list[i].k_sd, f->k_sd, sizeof f->k_sd);
      memcpy(list[i].s_sd, f->s_sd, sizeof f->s_sd);
    }
    if (lh_tested_at(list, s->n, ask->at_percent, &at) != LH_OK) {
      r->st = LH_RANGE; /* was refused before */
      return;
    }
  }
  lh_learn_put_optics(r, to, &at.slip, at.k_sd, at.s_sd);
}

static void put_inert(const lh_learn_ask *ask, const lh_learn_strengths_set *s,
                      lh_reply *r, json_t *stain)
{
  const lh_learn_strength *one = &s->at[0];
  json_t *base = lh_reply_object(r, NULL, "base");

  lh_learn_put_optics(r, stain, &one->fit.stain, one->fit.stain_k_sd,
                      one->fit.stain_s_sd);
  lh_reply_string(r, base, "name", "base");
  lh_learn_put_optics(r, base, &one->fit.slip, one->fit.k_sd, one->fit.s_sd);
  lh_learn_put_around(ask, &one->set, &one->fit, r, NULL);
  lh_learn_put_trust(ask, &one->set, &one->fit, r, NULL);
}

static void put_dissolving(const lh_learn_strengths_set *s, lh_reply *r,
                           json_t *stain)
{
  json_t *numbers = lh_reply_list(r, stain, "strengths");
  json_t *trust = lh_reply_list(r, NULL, "strengths");

  for (size_t i = 0; i < s->n; i++) {
    const lh_learn_strength *k = &s->at[i];
    json_t *to = lh_reply_item(r, numbers);
    lh_reply_number(r, to, "percent", k->percent);
    lh_learn_put_optics(r, to, &k->fit.slip, k->fit.k_sd, k->fit.s_sd);
    to = lh_reply_item(r, trust);
    lh_reply_number(r, to, "percent", k->percent);
    lh_learn_put_around(&k->ask, &k->set, &k->fit, r, to);
    lh_learn_put_trust(&k->ask, &k->set, &k->fit, r, to);
  }
}

static void say(const lh_learn_ask *ask, const lh_learn_strengths_set *s,
                lh_reply *r)
{
  bool inert = ask->stain->kind == LH_STAIN_INERT;
  char text[160];

  lh_reply_title(r, "%s, %s: %s", ask->stain->name,
                 inert ? "inert" : "dissolving",
                 inert ? "K and S of a gram, for any strength"
                       : "K and S at each strength, and between them");
  lh_reply_text(r, "Tested at %s %% of the dry base.",
                listed(s->tested, s->n_tested, text));
  for (size_t i = 0; i < s->n; i++) {
    const lh_learn_strength *k = &s->at[i];
    double trust = lh_learn_trusted(&k->ask, &k->set, &k->fit);
    if (!inert) lh_reply_title(r, "At %.4g %%", k->percent);
    if (isnan(trust))
      lh_reply_text(r, "No tile could be left out to try it.");
    else
      lh_reply_text(r, "Colours to be trusted to dE00 %.1f.", trust);
    lh_learn_say(&k->ask, &k->set, &k->fit, r);
  }
  if (inert && ask->at_percent > s->tested[s->n_tested - 1] * 1.1)
    lh_reply_line(r, LH_LINE_CAUTION,
                  "beyond\t%.4g %% is more than was tested\tmake a tile of it "
                  "before you trust it",
                  ask->at_percent);
  lh_reply_text(
      r, inert ? "With --json base and stain come as match takes them."
               : "With --json it comes as match takes it; outside of the "
                 "tested strengths nothing is said of it.");
}

void lh_learn_stain_tell(const lh_learn_ask *ask,
                         const lh_learn_strengths_set *s, lh_reply *r)
{
  bool inert = ask->stain->kind == LH_STAIN_INERT;
  json_t *stain = lh_reply_object(r, NULL, "stain"), *tiles;

  lh_reply_string(r, stain, "name", ask->stain->name);
  lh_reply_string(r, stain, "kind", lh_stain_kinds[ask->stain->kind]);
  put_asked(ask, s, r);
  if (inert)
    put_inert(ask, s, r, stain);
  else
    put_dissolving(s, r, stain);
  lh_reply_numbers(r, NULL, "tested_percent", s->tested, s->n_tested);
  tiles = lh_reply_list(r, NULL, "tiles");
  for (size_t i = 0; i < s->n; i++)
    lh_learn_put_tiles(&s->at[i].ask, &s->at[i].set, &s->at[i].fit, r, tiles);
  lh_reply_string(r, NULL, "geometry", lh_geometry_keys[ask->geometry]);
  say(ask, s, r);
}
