/* SPDX-License-Identifier: GPL-3.0-or-later */
/* match.c -- the operation `match`: stains for a wanted colour. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "colour_words.h"
#include "difference.h"
#include "match_room.h"

/* A white ground where none is told; ends of the window where none are told:
** a fifth thinner, a quarter thicker. (judgements) */
static const double white_ground = 0.80, thinner = 0.8, thicker = 1.25;

static const lh_field wanted_rows[] = {
    LH_TRIPLE(lh_wanted_doc, colour, "lab", false, -300, 300, "L*, a*, b*",
              "Of the fired, glazed colour, under the illuminant; or"),
    {.key = "slip",
     .kind = LH_F_JSON,
     .offset = offsetof(lh_wanted_doc, slip),
     .least = NAN,
     .most = NAN,
     .otherwise = NAN,
     .help = "a slip as a piece holds it, one that can no longer be made "
             "say; matched at each coat weight."},
};
static const lh_fields wanted_table =
    LH_FIELDS("target", lh_wanted_doc, wanted_rows);

enum { INERT, DISSOLVING };
static const char *const kinds[] = {"inert", "dissolving", NULL};

static const lh_field stain_rows[] = {
    LH_TEXT(lh_stain_doc, name, "name", true, "What you call it."),
    LH_SPECTRUM_OF(lh_stain_doc, absorption, "absorption_m2_g", false, 0, 1e5,
                   "m2 per g", "K of a gram of the stain, in this glaze."),
    LH_SPECTRUM_OF(lh_stain_doc, scattering, "scattering_m2_g", false, 0, 1e5,
                   "m2 per g", "S of a gram of the stain, in this glaze."),
    LH_NUMBER(lh_stain_doc, most_percent, "most_percent", false, 0, 100,
              LH_STAIN_MOST_PERCENT, "% of the base",
              "Most of it (the default is a judgement)."),
    LH_NUMBER(lh_stain_doc, price_per_kg, "price_per_kg", false, 0, 1e6, NAN,
              "currency per kg", "What it costs."),
    LH_NUMBER(lh_stain_doc, stock_g, "stock_g", false, 0, 1e9, NAN, "g",
              "How much there is."),
    LH_CHOICE(lh_stain_doc, family, "stain_family", false, lh_stain_families,
              NAN, "Its kind, by which rules are known for it."),
    LH_CHOICE(lh_stain_doc, kind, "kind", false, kinds, 0,
              "As learn tells it: inert, or an oxide that dissolves, which is "
              "tried by itself, between its tested strengths."),
    LH_LIST(lh_stain_doc, strengths, "strengths", false, lh_strength_table,
            LH_MATCH_STRENGTHS,
            "Of one that dissolves: K and S of the slip at each tested "
            "strength, the weakest first, as learn tells them."),
    LH_SPECTRUM_OF(lh_stain_doc, k_error, "absorption_error_percent", false, 0,
                   1e9, "%", "How sure K is, as learn tells it; passed over."),
    LH_SPECTRUM_OF(lh_stain_doc, s_error, "scattering_error_percent", false, 0,
                   1e9, "%", "How sure S is, as learn tells it; passed over."),
};
static const lh_fields stain_table =
    LH_FIELDS("stain", lh_stain_doc, stain_rows);

static const lh_field over_rows[] = {
    LH_SPECTRUM_OF(lh_match_over, reflectance, "reflectance", true, 0, 1,
                   "fraction",
                   "Internal: of body or ground as glazed, without the "
                   "glaze's surface."),
    LH_LIST(lh_match_over, stack, "stack_top_first", false, lh_layer_table,
            LH_STACK_LAYERS - 1,
            "Slips that lie between, the uppermost first."),
};
static const lh_fields over_table = LH_FIELDS("over", lh_match_over, over_rows);

static const lh_field match_rows[] = {
    LH_OBJECT(lh_match_fields, target, "target", true, wanted_table,
              "What is wanted: a colour, or a slip."),
    LH_LIST(lh_match_fields, stains, "stains", false, stain_table,
            LH_MATCH_STAINS,
            "Stains to choose from, as learn tells them.  Without them and "
            "stock, all materials of the "
            "book that have K and S."),
    {.key = "stock",
     .kind = LH_F_TEXTS,
     .offset = offsetof(lh_match_fields, stock),
     .least = NAN,
     .most = NAN,
     .otherwise = NAN,
     .most_items = LH_MATCH_STAINS,
     .help = "Names of materials in the book, with K and S, to choose from "
             "too."},
    {.key = "base",
     .kind = LH_F_JSON,
     .offset = offsetof(lh_match_fields, base),
     .least = NAN,
     .most = NAN,
     .otherwise = NAN,
     .help = "The slip without stain, as a piece holds it.  Needed."},
    LH_OBJECT(lh_match_fields, over, "over", false, over_table,
              "What it is laid on; without it white, 0.80 (a judgement)."),
    LH_OBJECT(lh_match_fields, glaze, "glaze", false, lh_glaze_ask_table,
              "The glaze on top; null or absent: bare."),
    LH_GEOMETRY_FIELD(lh_match_fields),
    LH_ILLUMINANT_FIELD(lh_match_fields),
    LH_NUMBER(lh_match_fields, coat_g_m2, "coat_g_m2", false, 0.1, 20000, NAN,
              "g per m2",
              "The coat weight in use; without it the best of the base's "
              "window, or its coat."),
    LH_NUMBER(lh_match_fields, least_g_m2, "least_g_m2", false, 0.1, 20000, NAN,
              "g per m2",
              "Thinnest of the window; without it a fifth thinner (a "
              "judgement)."),
    LH_NUMBER(lh_match_fields, most_g_m2, "most_g_m2", false, 0.1, 20000, NAN,
              "g per m2",
              "Thickest; without it a quarter thicker (a judgement)."),
    LH_COUNT(lh_match_fields, most_stains, "most_stains", false, 1,
             LH_MATCH_AT_ONCE, 3, "Most stains in one blend."),
    LH_COUNT(lh_match_fields, choices, "choices", false, 1, LH_MATCH_SHOWN, 3,
             "How many blends to show."),
    LH_NUMBER(lh_match_fields, most_total_percent, "most_total_percent", false,
              0.01, 300, 20, "% of the base",
              "Most of all stains together (a judgement)."),
    LH_NUMBER(lh_match_fields, each_stain_de00, "each_stain_de00", false, 0,
              100, 0.25, "dE00",
              "What a further stain must gain to be worth weighing (a "
              "judgement)."),
    LH_NUMBER(lh_match_fields, tolerance, "tolerance", false, 0.1, 100, 3,
              "dE00", "Nearer than this is reached (a judgement)."),
    LH_NUMBER(lh_match_fields, weighing_error_percent, "weighing_error_percent",
              false, 0, 100, 2, "%",
              "How sure each stain's amount is (a judgement)."),
    LH_NUMBER(lh_match_fields, dry_g, "dry_g", false, 0, 1e9, NAN, "g",
              "Dry base of the batch, for grams and the stock."),
    LH_NUMBER(lh_match_fields, peak_c, "peak_c", false, 500, 1500, NAN,
              "degrees C", "Of the glaze firing, for the stains' rules."),
    LH_TEXT(lh_match_fields, atmosphere, "atmosphere", false,
            "Of the glaze firing: oxidation, reduction."),
    LH_OBJECT(lh_match_fields, doubt, "uncertainty", false, lh_doubt_table,
              "How sure the numbers are."),
};
static const lh_fields match_table =
    LH_FIELDS("match", lh_match_fields, match_rows);

/* ---- reading ------------------------------------------------------------ */

static lh_status read_base(const lh_call *call, lh_match_work *w,
                           lh_fault *fault)
{
  static const lh_at at = {NULL, "base", 0}, over = {NULL, "over", 0};
  const lh_at below = {&over, "stack_top_first", 0};
  const lh_match_fields *f = w->fields;
  double *plain;
  lh_status st;

  if (!f->base || json_is_null(f->base))
    return lh_fault_say(fault, LH_INPUT, "/base",
                        "give base, with absorption_m2_g and scattering_m2_g",
                        "the slip that takes the stains is missing");
  st = lh_stack_words_slip(f->base, &at, call->arena, &w->base, fault);
  if (st != LH_OK) return st;
  w->layers[0] =
      (lh_stack_layer){lh_slip_part_optics(&w->base, call->arena), 0};
  plain = lh_arena_take(call->arena, LH_WAVES, sizeof *plain);
  if (!w->layers[0].slip || !plain)
    return lh_fault_plain(fault, LH_NOMEM, "/base");
  for (size_t i = 0; i < LH_WAVES; i++)
    plain[i] = f->over ? f->over->reflectance[i] : white_ground;
  w->stack.substrate = plain;
  if (f->glaze) w->glaze = lh_stack_words_glaze(f->glaze);
  if (f->glaze) w->stack.glaze = &w->glaze;
  if (!f->over) return LH_OK;
  w->stack.count = 1 + f->over->stack.count;
  return lh_stack_words_layers(&f->over->stack, &below, call->arena,
                               w->layers + 1, fault);
}

static lh_status read_coats(lh_match_work *w, lh_fault *fault)
{
  const lh_match_fields *f = w->fields;
  double *coat = w->ask.coat;

  coat[0] = !isnan(f->coat_g_m2)        ? f->coat_g_m2
            : !isnan(w->base.best_g_m2) ? w->base.best_g_m2
                                        : w->base.coat_g_m2;
  if (isnan(coat[0]))
    return lh_fault_say(fault, LH_INPUT, "/coat_g_m2",
                        "give the coat weight in use",
                        "how thick the slip is laid is not told");
  if (!(coat[0] >= 0.1 && coat[0] <= 20000))
    return lh_fault_say(fault, LH_RANGE, "/base/window/best_g_m2",
                        "give 0.1 to 20000 g per m2", "a coat of %.15g g/m2",
                        coat[0]);
  coat[1] = isnan(f->least_g_m2) ? thinner * coat[0] : f->least_g_m2;
  coat[2] = isnan(f->most_g_m2) ? thicker * coat[0] : f->most_g_m2;
  if (coat[1] <= coat[0] && coat[0] <= coat[2]) return LH_OK;
  return lh_fault_say(fault, LH_INPUT, "/least_g_m2",
                      "give least_g_m2 <= coat_g_m2 <= most_g_m2",
                      "the coat in use, %.15g g/m2, is outside its window",
                      coat[0]);
}

static lh_status read_inert(const lh_call *call, lh_match_work *w, size_t i,
                            lh_fault *fault)
{
  const lh_stain_doc *d = &w->stains[i];
  lh_slip_part part = {.absorption = d->absorption,
                       .scattering = d->scattering};
  char where[64];

  snprintf(where, sizeof where, "/stains/%zu", i);
  if (d->strengths.count > 0)
    return lh_fault_say(fault, LH_INPUT, where,
                        "say \"kind\": \"dissolving\", or take them out",
                        "%s: an inert stain has one K and S, no strengths",
                        d->name);
  if (!d->absorption || !d->scattering)
    return lh_fault_say(fault, LH_INPUT, where,
                        "give absorption_m2_g and scattering_m2_g",
                        "%s: K and S of a gram of it are missing", d->name);
  w->part_of[w->ask.n] = i;
  w->parts[w->ask.n] = (lh_match_stain){lh_slip_part_optics(&part, call->arena),
                                        d->most_percent / 100};
  if (!w->parts[w->ask.n++].optics)
    return lh_fault_plain(fault, LH_NOMEM, "/stains");
  return LH_OK;
}

static lh_status read_stains(const lh_call *call, lh_match_work *w,
                             lh_fault *fault)
{
  lh_status st = lh_match_gather(call, w, fault);

  for (size_t i = 0; i < w->n_stains && st == LH_OK; i++)
    st = w->stains[i].kind == DISSOLVING ? lh_match_oxide_read(w, i, fault)
                                         : read_inert(call, w, i, fault);
  return st;
}

/* Colours of a slip in the blend's place, at the three coats. */
lh_status lh_match_colours(const lh_match_work *w, const lh_slip_optics *slip,
                           lh_illuminant ill, lh_lab out[LH_MATCH_COATS])
{
  lh_stack_layer layers[LH_STACK_LAYERS];
  lh_stack s = w->stack;
  double R[LH_WAVES];

  memcpy(layers, w->layers, sizeof layers);
  s.layers = layers;
  layers[0].slip = slip;
  for (size_t k = 0; k < LH_MATCH_COATS; k++) {
    lh_status st;
    layers[0].coat = w->ask.coat[k];
    st = lh_stack_reflectance(&s, R);
    if (st != LH_OK) return st;
    out[k] = lh_spectrum_lab(R, ill);
  }
  return LH_OK;
}

static lh_status read_target(const lh_call *call, lh_match_work *w,
                             lh_fault *fault)
{
  static const lh_at target = {NULL, "target", 0}, at = {&target, "slip", 0};
  const lh_wanted_doc *d = w->fields->target;
  const lh_slip_optics *slip;
  lh_status st;

  w->by_slip = d->slip && !json_is_null(d->slip);
  if (w->by_slip == (d->colour.items != NULL))
    return lh_fault_say(fault, LH_INPUT, "/target", "give one of lab and slip",
                        w->by_slip ? "what is wanted is told twice"
                                   : "what is wanted is not told");
  if (!w->by_slip) {
    st = lh_colour_words_lab(&d->colour, "/target/lab", &w->ask.target[0],
                             fault);
    w->ask.target[1] = w->ask.target[2] = w->ask.target[0];
    return st;
  }
  st = lh_stack_words_slip(d->slip, &at, call->arena, &w->wanted, fault);
  if (st != LH_OK) return st;
  slip = lh_slip_part_optics(&w->wanted, call->arena);
  if (!slip) return lh_fault_plain(fault, LH_NOMEM, "/target/slip");
  st = lh_match_colours(w, slip, w->ask.illuminant, w->ask.target);
  if (st == LH_OK) return LH_OK;
  return lh_fault_say(fault, st, "/target/slip", "correct its K and S",
                      "its colour cannot be worked out");
}

/* ---- working out --------------------------------------------------------- */

/* Under the lamp, from the slip wanted: do the two part there? */
static double under_lamp(const lh_match_work *w, const lh_match_choice *c)
{
  lh_lab wanted[LH_MATCH_COATS], got[LH_MATCH_COATS];
  lh_slip_part part = w->wanted;
  lh_slip_optics o, blend;

  if (!w->by_slip || w->ask.illuminant == LH_A) return (double)NAN;
  memcpy(o.absorption, part.absorption, sizeof o.absorption);
  memcpy(o.scattering, part.scattering, sizeof o.scattering);
  lh_match_blend(&w->ask, c, &blend);
  if (lh_match_colours(w, &o, LH_A, wanted) != LH_OK ||
      lh_match_colours(w, &blend, LH_A, got) != LH_OK)
    return (double)NAN;
  return lh_delta_e00(wanted[0], got[0]);
}

static lh_status work_out(const lh_call *call, lh_match_work *w)
{
  lh_match_choice best[LH_MATCH_SHOWN];
  const lh_stack_doubt hand = {0, 0, w->doubt.coat, 0, 0};
  double weighing = w->fields->weighing_error_percent / 100;
  lh_status st = LH_OK;

  if (w->ask.n > 0)
    st = lh_match_find(&w->ask, call->watch, best, (size_t)w->fields->choices,
                       &w->n, &w->info);

  for (size_t i = 0; i < w->n && st == LH_OK; i++) {
    lh_match_shown *x = &w->shown[i];
    x->choice = best[i];
    x->lamp = under_lamp(w, &best[i]);
    st = lh_match_doubt(&w->ask, &best[i], weighing, &w->doubt, &x->off);
    if (st == LH_OK)
      st = lh_match_doubt(&w->ask, &best[i], weighing, &hand, &x->hand);
    for (size_t j = 0; j < best[i].count; j++)
      x->choice.stain[j] = w->part_of[best[i].stain[j]];
  }
  return st == LH_OK ? lh_match_oxides(w, weighing, &hand) : st;
}

static lh_status match(const lh_call *call, const void *document, lh_reply *r,
                       lh_fault *fault)
{
  lh_match_work *w = lh_arena_take(call->arena, 1, sizeof *w);
  lh_status st;

  if (!w) return lh_fault_plain(fault, LH_NOMEM, "/");
  w->fields = document;
  w->arena = call->arena;
  w->stack = (lh_stack){.layers = w->layers,
                        .count = 1,
                        .geometry = (lh_geometry)w->fields->geometry};
  w->doubt = lh_stack_words_doubt(w->fields->doubt);
  w->ask = (lh_match_ask){.stack = &w->stack,
                          .illuminant = (lh_illuminant)w->fields->illuminant,
                          .stains = w->parts,
                          .most_stains = (size_t)w->fields->most_stains,
                          .most_total = w->fields->most_total_percent / 100,
                          .each_stain = w->fields->each_stain_de00};
  st = read_base(call, w, fault);
  if (st == LH_OK) st = read_coats(w, fault);
  if (st == LH_OK) st = read_stains(call, w, fault);
  if (st == LH_OK) st = read_target(call, w, fault);
  if (st != LH_OK) return st;
  st = work_out(call, w);
  if (st == LH_CANCELLED) return lh_fault_plain(fault, st, "/");
  if (st != LH_OK || w->n == 0)
    return lh_fault_say(fault, st == LH_OK ? LH_RANGE : st, "/stains",
                        "correct the optical numbers, or allow more of them",
                        "no blend can be worked out");
  lh_match_put(w, r);
  lh_match_say(w, r);
  return LH_OK;
}

const lh_operation lh_op_match = {
    .name = "match",
    .help = "which stains, and how much, fire to a wanted colour",
    .purpose =
        "Blends of up to three of the stains in stock that come nearest to a "
        "wanted fired\ncolour, at the coat weight in use and across the "
        "window; the next best; how much a\nhand and a scale put them off.  "
        "Inert stains mix; an oxide that dissolves is tried\nby itself, "
        "between "
        "its tested strengths.  A blend is a prediction until a\ntile is made.",
    .fields = &match_table,
    .run = match,
    .example =
        "{\"target\": {\"lab\": [55, -9, 17]}, \"base\": {\"name\": \"white "
        "base (invented)\", \"absorption_m2_g\": 0.0003, \"scattering_m2_g\": "
        "0.02, \"coat_g_m2\": 90}, \"stains\": [{\"name\": \"yellow "
        "(invented)\", \"absorption_m2_g\": [0.9, 0.9, 0.9, 0.9, 0.88, 0.85, "
        "0.8, 0.74, 0.66, 0.55, 0.42, 0.3, 0.2, 0.12, 0.08, 0.05, 0.04, 0.03, "
        "0.03, 0.02, 0.02, 0.02, 0.02, 0.02, 0.02, 0.02, 0.02, 0.02, 0.02, "
        "0.02, 0.02, 0.02, 0.02, 0.02, 0.02, 0.02], \"scattering_m2_g\": "
        "0.05, \"price_per_kg\": 40}, {\"name\": \"blue (invented)\", "
        "\"absorption_m2_g\": [0.3, 0.27, 0.24, 0.2, 0.17, 0.15, 0.14, 0.14, "
        "0.15, 0.17, 0.2, 0.26, 0.36, 0.5, 0.68, 0.88, 1.1, 1.26, 1.4, 1.48, "
        "1.52, 1.53, 1.52, 1.49, 1.45, 1.38, 1.26, 1.08, 0.86, 0.66, 0.5, "
        "0.4, 0.32, 0.27, 0.24, 0.22], \"scattering_m2_g\": 0.05, "
        "\"price_per_kg\": 90}, {\"name\": \"black (invented)\", "
        "\"absorption_m2_g\": 2.5, \"scattering_m2_g\": 0.05, "
        "\"price_per_kg\": 60}], \"over\": {\"reflectance\": 0.75}, "
        "\"glaze\": {\"index\": 1.5}}",
};
