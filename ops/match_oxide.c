/* SPDX-License-Identifier: GPL-3.0-or-later */
/* match_oxide.c -- oxides that dissolve, in a match: each by itself, and only
** between the strengths at which tiles were made (tested.h).  What two of them
** do together, or one with a stain, no tile has told. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "difference.h"
#include "match_room.h"
#include "tested.h"

static const lh_field strength_rows[] = {
    LH_NUMBER(lh_strength_doc, percent, "percent", true, 0, 300, NAN,
              "% of the base", "How much of it is in the slip."),
    LH_SPECTRUM_OF(lh_strength_doc, absorption, "absorption_m2_g", true, 0, 1e4,
                   "m2 per g", "K of the slip at this strength."),
    LH_SPECTRUM_OF(lh_strength_doc, scattering, "scattering_m2_g", true, 0, 1e4,
                   "m2 per g", "S of the slip at this strength."),
    LH_SPECTRUM_OF(lh_strength_doc, k_error, "absorption_error_percent", false,
                   0, 1e9, "%", "How sure K is; passed over."),
    LH_SPECTRUM_OF(lh_strength_doc, s_error, "scattering_error_percent", false,
                   0, 1e9, "%", "How sure S is; passed over."),
};
const lh_fields lh_strength_table =
    LH_FIELDS("strength", lh_strength_doc, strength_rows);

/* ---- reading ------------------------------------------------------------- */

static lh_status says(lh_fault *fault, size_t i, const char *key,
                      const char *todo, const char *what, const char *name)
{
  char where[64];

  snprintf(where, sizeof where, "/stains/%zu%s", i, key);
  return lh_fault_say(fault, LH_INPUT, where, todo, "%s: %s", name, what);
}

lh_status lh_match_oxide_read(lh_match_work *w, size_t i, lh_fault *fault)
{
  const lh_stain_doc *d = &w->stains[i];
  const lh_strength_doc *s = d->strengths.items;
  size_t n = d->strengths.count;
  lh_match_oxide *o = &w->oxide[w->n_oxides++];

  if (n < 2)
    return says(fault, i, "/strengths", "give them as learn tells them",
                "an oxide that dissolves is known by tested strengths, two at "
                "least",
                d->name);
  if (d->absorption || d->scattering)
    return says(fault, i, "/absorption_m2_g", "take K and S of a gram out",
                "an oxide that dissolves has none: it does not mix by weight",
                d->name);
  o->stain = i;
  o->n = n;
  o->tested = lh_arena_take(w->arena, n, sizeof *o->tested);
  if (!o->tested) return lh_fault_plain(fault, LH_NOMEM, "/stains");
  memset(o->tested, 0, n * sizeof *o->tested);
  for (size_t k = 0; k < n; k++) {
    if (k > 0 && !(s[k].percent > s[k - 1].percent))
      return says(fault, i, "/strengths",
                  "put them in order, the weakest first",
                  "its strengths do not ascend", d->name);
    o->tested[k].percent = s[k].percent;
    memcpy(o->tested[k].slip.absorption, s[k].absorption,
           sizeof o->tested[k].slip.absorption);
    memcpy(o->tested[k].slip.scattering, s[k].scattering,
           sizeof o->tested[k].slip.scattering);
  }
  o->most =
      fmin(fmin(d->most_percent, 100 * w->ask.most_total), s[n - 1].percent);
  if (o->most >= s[0].percent) return LH_OK;
  return says(fault, i, "/most_percent", "allow more of it, or leave it out",
              "all its tested strengths are more than is allowed", d->name);
}

/* ---- working out --------------------------------------------------------- */

/* At a strength: colours, differences, score. */
static lh_status look(const lh_match_work *w, const lh_match_oxide *o,
                      double percent, lh_match_choice *c)
{
  lh_tested at;
  double sum = 0;
  lh_status st = lh_tested_at(o->tested, o->n, percent, &at);

  *c = (lh_match_choice){.count = 1, .share = {percent / 100}};
  if (st == LH_OK)
    st = lh_match_colours(w, &at.slip, w->ask.illuminant, c->lab);
  for (size_t k = 0; k < LH_MATCH_COATS && st == LH_OK; k++) {
    c->de00[k] = lh_delta_e00(c->lab[k], w->ask.target[k]);
    sum += c->de00[k] * c->de00[k];
  }
  c->score = sqrt(sum / LH_MATCH_COATS);
  return st;
}

enum { STEPS = 48, HALVES = 24 };

/* The best strength: of 49 evenly between the least and the most, then closer
** about it, the step halved each time. */
static lh_status best_strength(const lh_match_work *w, const lh_match_oxide *o,
                               lh_match_choice *best)
{
  double least = o->tested[0].percent, step = (o->most - least) / STEPS;
  double at = least;
  lh_match_choice c;
  lh_status st = look(w, o, least, best);

  for (int i = 1; i <= STEPS && st == LH_OK; i++) {
    double x = i == STEPS ? o->most : least + step * i;
    st = look(w, o, x, &c);
    if (st == LH_OK && c.score < best->score) *best = c, at = x;
  }
  for (int i = 0; i < HALVES && st == LH_OK; i++) {
    step /= 2;
    for (int side = -1; side <= 1 && st == LH_OK; side += 2) {
      double x = fmin(fmax(at + side * step, least), o->most);
      st = look(w, o, x, &c);
      if (st == LH_OK && c.score < best->score) {
        *best = c, at = x;
        break;
      }
    }
  }
  return st;
}

/* Base and stain whose blend at share s has this K, and the slope of it by the
** share; where that would take less than nothing of either, none of it. */
static void tangent(double K, double slope, double s, double *base,
                    double *stain)
{
  *stain = K + (1 + s) * slope;
  *base = K * (1 + s) - s * *stain;
  if (*base < 0) *base = 0, *stain = s > 0 ? K * (1 + s) / s : K;
  if (*stain < 0) *stain = 0, *base = K * (1 + s);
}

/* The doubts of match.h, with a pair of parts that blend alike at this
** strength. */
static lh_status doubts(const lh_match_work *w, const lh_match_oxide *o,
                        double weighing, const lh_stack_doubt *hand,
                        lh_match_shown *x)
{
  double s = x->choice.share[0], p = 100 * s, h, low, high;
  lh_match_ask ask = w->ask;
  lh_stack stack = w->stack;
  lh_stack_layer layers[LH_STACK_LAYERS];
  lh_slip_optics base, stain;
  lh_match_stain one = {&stain, 1};
  lh_tested at, a, b;
  lh_status st;

  h = 0.01 * (o->most - o->tested[0].percent);
  low = fmax(p - h, o->tested[0].percent), high = fmin(p + h, o->most);
  lh_tested_at(o->tested, o->n, p, &at);
  lh_tested_at(o->tested, o->n, low, &a);
  lh_tested_at(o->tested, o->n, high, &b);
  for (size_t i = 0; i < LH_WAVES; i++) {
    double by = high > low ? 100 / (high - low) : 0;
    tangent(at.slip.absorption[i],
            by * (b.slip.absorption[i] - a.slip.absorption[i]), s,
            &base.absorption[i], &stain.absorption[i]);
    tangent(at.slip.scattering[i],
            by * (b.slip.scattering[i] - a.slip.scattering[i]), s,
            &base.scattering[i], &stain.scattering[i]);
  }
  memcpy(layers, w->layers, sizeof layers);
  layers[0].slip = &base;
  stack.layers = layers;
  ask.stack = &stack, ask.stains = &one, ask.n = 1, ask.most_total = 1;
  st = lh_match_doubt(&ask, &x->choice, weighing, &w->doubt, &x->off);
  if (st != LH_OK) return st;
  return lh_match_doubt(&ask, &x->choice, weighing, hand, &x->hand);
}

static double under_lamp(const lh_match_work *w, const lh_match_oxide *o,
                         const lh_match_choice *c)
{
  lh_lab wanted[LH_MATCH_COATS], got[LH_MATCH_COATS];
  lh_slip_optics slip;
  lh_tested at;

  if (!w->by_slip || w->ask.illuminant == LH_A) return (double)NAN;
  memcpy(slip.absorption, w->wanted.absorption, sizeof slip.absorption);
  memcpy(slip.scattering, w->wanted.scattering, sizeof slip.scattering);
  if (lh_tested_at(o->tested, o->n, 100 * c->share[0], &at) != LH_OK ||
      lh_match_colours(w, &slip, LH_A, wanted) != LH_OK ||
      lh_match_colours(w, &at.slip, LH_A, got) != LH_OK)
    return (double)NAN;
  return lh_delta_e00(wanted[0], got[0]);
}

/* In its place by score among those shown. */
static void insert(lh_match_work *w, const lh_match_shown *x)
{
  size_t room = (size_t)w->fields->choices, i;

  if (w->n == room && !(x->choice.score < w->shown[room - 1].choice.score))
    return;
  i = w->n < room ? w->n++ : room - 1;
  for (; i > 0 && w->shown[i - 1].choice.score > x->choice.score; i--)
    w->shown[i] = w->shown[i - 1];
  w->shown[i] = *x;
}

lh_status lh_match_oxides(lh_match_work *w, double weighing,
                          const lh_stack_doubt *hand)
{
  lh_status st = LH_OK;

  for (size_t i = 0; i < w->n_oxides && st == LH_OK; i++) {
    const lh_match_oxide *o = &w->oxide[i];
    lh_match_shown x = {.lamp = NAN};
    st = best_strength(w, o, &x.choice);
    w->info.sets++;
    if (st != LH_OK || !(x.choice.share[0] > 0)) continue; /* none of it */
    st = doubts(w, o, weighing, hand, &x);
    x.lamp = under_lamp(w, o, &x.choice);
    x.choice.stain[0] = o->stain;
    if (st == LH_OK) insert(w, &x);
  }
  return st;
}

void lh_match_oxides_say(const lh_match_work *w, lh_reply *r)
{
  for (size_t i = 0; i < w->n_oxides; i++) {
    const lh_match_oxide *o = &w->oxide[i];
    lh_reply_text(r,
                  "%s dissolves: it was tried by itself, and only between "
                  "%.4g and %.4g %%, as tested; its K and S are those of the "
                  "slip that was tested.",
                  w->stains[o->stain].name, o->tested[0].percent, o->most);
  }
}
