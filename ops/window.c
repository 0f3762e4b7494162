/* SPDX-License-Identifier: GPL-3.0-or-later */
/* window.c -- the operation `window`: how thin and how thick a slip may be. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "colour_words.h"
#include "optics.h"
#include "window_room.h"

extern const lh_operation lh_op_window;

/* Within this the fired colour is the one wanted; more for a slip known only
** from photographs, whose colour is itself not known better. (judgements) */
static const double tolerance_usual = 3.0, tolerance_photograph = 6.0;

/* Body and white ground when they are not told: covering is then that of a
** dark body beside a good white. (judgements) */
static const double dark_body = 0.10, white_ground = 0.80;

static const lh_field target_rows[] = {
    LH_TRIPLE(lh_target_doc, colour, "lab", true, -300, 300, "L*, a*, b*",
              "Of the fired, glazed colour, under the illuminant."),
};
static const lh_fields target_table =
    LH_FIELDS("target", lh_target_doc, target_rows);

static const lh_field over_rows[] = {
    LH_SPECTRUM_OF(lh_over_doc, reflectance, "reflectance", true, 0, 1,
                   "fraction",
                   "Internal: of body or ground as glazed, without the "
                   "glaze's surface."),
    LH_LIST(lh_over_doc, stack, "stack_top_first", false, lh_layer_table,
            LH_STACK_LAYERS - 1,
            "Slips that lie between, the uppermost first."),
};
static const lh_fields over_table = LH_FIELDS("over", lh_over_doc, over_rows);

static const lh_field window_rows[] = {
    LH_PIXEL_FIELD_OF(lh_window_fields),
    {.key = "slip",
     .kind = LH_F_JSON,
     .offset = offsetof(lh_window_fields, slip),
     .least = NAN,
     .most = NAN,
     .otherwise = NAN,
     .help = "The slip, as a piece holds it; asked of a piece: its id."},
    LH_OBJECT(lh_window_fields, over, "over", false, over_table,
              "What it is laid on.  Of a piece: the ground, or the body."),
    LH_OBJECT(lh_window_fields, target, "target", false, target_table,
              "The colour wanted; or give best."),
    LH_NUMBER(lh_window_fields, best, "best", false, 0.1, 20000, NAN,
              "g per m2, dry",
              "The coat weight whose colour is wanted; without it, that of the "
              "slip's own window."),
    LH_NUMBER(lh_window_fields, tolerance, "tolerance", false, 0.1, 100, NAN,
              "dE00",
              "How far the fired colour may be off: 3, or 6 when the slip's "
              "tiles_read_by is photograph (judgements)."),
    LH_NUMBER(lh_window_fields, heaviest_g_m2, "heaviest_g_m2", false, 1, 20000,
              2000, "g per m2",
              "No coat beyond it is looked at (a judgement: slip as thick as "
              "that peels)."),
    LH_NUMBER(lh_window_fields, area_cm2, "area_cm2", false, 0.01, 1e8, NAN,
              "cm2", "To be covered on one pot.  Of a piece: known."),
    LH_OBJECT(lh_window_fields, body, "body", false, lh_substrate_table,
              "For covering: the bare body.  Without it 0.10 (a judgement)."),
    LH_OBJECT(lh_window_fields, ground, "ground", false, lh_substrate_table,
              "For covering: a white ground.  Without it 0.80 (a judgement)."),
    LH_OBJECT(lh_window_fields, glaze, "glaze", false, lh_glaze_ask_table,
              "The glaze on top; null or absent: bare.  Of a piece: known."),
    LH_GEOMETRY_FIELD(lh_window_fields),
    LH_ILLUMINANT_FIELD(lh_window_fields),
    LH_OBJECT(lh_window_fields, doubt, "uncertainty", false, lh_doubt_table,
              "How sure the numbers are."),
};
static const lh_fields window_table =
    LH_FIELDS("window", lh_window_fields, window_rows);

/* ---- of a piece --------------------------------------------------------- */

static int ground_of(const lh_piece_doc *doc)
{
  const lh_slip_doc *s = doc->slips.items;

  for (size_t i = 0; i < doc->slips.count; i++)
    if (s[i].ground) return (int)i;
  return -1;
}

static lh_status slip_named(const lh_window_fields *f, const lh_piece_doc *doc,
                            size_t *at, lh_fault *fault)
{
  const lh_slip_doc *s = doc->slips.items;
  const char *id = json_string_value(f->slip);

  if (!id)
    return lh_fault_say(fault, LH_INPUT, "/ask/slip",
                        "give the id of one of the piece's slips",
                        "of a piece, the slip is named");
  *at = lh_piece_slip(doc, id);
  if (*at < doc->slips.count) return LH_OK;
  return lh_fault_say(fault, LH_INPUT, "/ask/slip", "name one of its slips",
                      "the piece has no slip \"%.60s\"; its first is \"%.60s\"",
                      id, doc->slips.count ? s[0].id : "");
}

/* What a piece knows is not told again. */
static lh_status told_twice(const lh_window_fields *f, lh_fault *fault)
{
  const char *key = f->glaze              ? "/ask/glaze"
                    : f->body             ? "/ask/body"
                    : !isnan(f->area_cm2) ? "/ask/area_cm2"
                                          : NULL;

  if (!key) return LH_OK;
  return lh_fault_say(fault, LH_INPUT, key, "take it out, or change the piece",
                      "the piece itself says that");
}

static lh_slip_part part_of(const lh_slip_doc *s)
{
  return (lh_slip_part){s->id,
                        s->name,
                        s->absorption_m2_g,
                        s->scattering_m2_g,
                        s->uncertainty_percent,
                        s->litre_weight_g,
                        s->solids_density,
                        s->coat_g_m2,
                        s->window ? s->window->best_g_m2 : NAN,
                        s->ground,
                        s->read_by == LH_READ_PHOTOGRAPH,
                        s->invented,
                        s->optics_from};
}

/* The ground as it lies on the piece, for covering. */
static void ground_laid(const lh_piece_optics *o, int ground, double coat,
                        const double *body, double out[LH_WAVES])
{
  lh_slip_over(&o->slips[ground], coat, body, out);
}

static lh_status of_piece(const lh_call *call, lh_window_work *w,
                          lh_fault *fault)
{
  const lh_window_fields *f = w->fields;
  lh_piece_cover c;
  lh_piece_optics o;
  lh_piece p;
  size_t i = 0;
  lh_status st = told_twice(f, fault);

  if (st == LH_OK) st = lh_piece_read(call->document, call->arena, &p, fault);
  if (st == LH_OK) st = slip_named(f, p.doc, &i, fault);
  if (st == LH_OK)
    st = lh_piece_cover_make(&p, f->pixel_mm, call->arena, call->watch, &c,
                             fault);
  if (st == LH_OK)
    st = lh_piece_optics_make(&p, w->stack.geometry, w->ask.illuminant,
                              call->arena, &o, fault);
  if (st != LH_OK) return st;
  const lh_slip_doc *s = p.doc->slips.items;
  int ground = ground_of(p.doc);
  double ground_g = ground < 0 ? 0 : c.slips[ground].mean_g_m2;
  w->slip = part_of(&s[i]);
  if (isnan(w->slip.best_g_m2) && c.slips[i].mean_g_m2 > 0)
    w->slip.best_g_m2 = c.slips[i].mean_g_m2;
  w->area_cm2 = c.slips[i].area_mm2 / 100;
  w->stack.substrate = p.doc->body->reflectance;
  w->below = "the body";
  if (ground >= 0 && ground != (int)i && ground_g > 0) {
    w->layers[w->stack.count++] = (lh_stack_layer){&o.optics[ground], ground_g};
    w->below = lh_slip_doc_name(&s[ground]);
  }
  memcpy(w->body, p.doc->body->reflectance, sizeof w->body);
  if (ground >= 0 && !f->ground)
    ground_laid(&o, ground, ground_g > 0 ? ground_g : s[ground].coat_g_m2,
                w->body, w->ground);
  w->ground_told = w->ground_told || ground >= 0;
  w->body_told = true;
  if (o.glazed) w->glaze = o.glaze;
  if (o.glazed) w->stack.glaze = &w->glaze;
  if (!f->doubt) w->doubt.coat = p.limits->coat_doubt_percent / 100;
  return LH_OK;
}

/* ---- of a slip alone ---------------------------------------------------- */

static lh_status of_slip(const lh_call *call, lh_window_work *w,
                         lh_fault *fault)
{
  static const lh_at at = {NULL, "slip", 0};
  const lh_window_fields *f = w->fields;

  if (!f->slip || json_is_null(f->slip))
    return lh_fault_say(fault, LH_INPUT, "/slip",
                        "give slip, with absorption_m2_g and scattering_m2_g",
                        "the slip is missing");
  if (!f->over)
    return lh_fault_say(fault, LH_INPUT, "/over",
                        "give over, such as {\"reflectance\": 0.75}",
                        "what it is laid on is missing");
  w->area_cm2 = f->area_cm2;
  if (f->glaze) w->glaze = lh_stack_words_glaze(f->glaze);
  if (f->glaze) w->stack.glaze = &w->glaze;
  return lh_stack_words_slip(f->slip, &at, call->arena, &w->slip, fault);
}

/* What is told of the ground below, in whichever document. */
static lh_status lay_over(const lh_call *call, lh_window_work *w,
                          const char *ask, lh_fault *fault)
{
  const lh_at top = {NULL, "ask", 0};
  const lh_at over = {*ask ? &top : NULL, "over", 0};
  const lh_at at = {&over, "stack_top_first", 0};
  const lh_over_doc *d = w->fields->over;

  if (!d) return LH_OK;
  w->stack.count = 1 + d->stack.count;
  w->stack.substrate = d->reflectance;
  w->below = d->stack.count ? "the slips below it" : "what is below it";
  return lh_stack_words_layers(&d->stack, &at, call->arena, w->layers + 1,
                               fault);
}

/* ---- what is wanted ----------------------------------------------------- */

/* A pointer below the fields. */
static void place(char *text, size_t n, const char *ask, const char *rest)
{
  snprintf(text, n, "%s%s", ask, rest);
}

static lh_status what_wanted(lh_window_work *w, const char *ask,
                             lh_fault *fault)
{
  const lh_window_fields *f = w->fields;
  char where[64];

  if (f->target && !isnan(f->best)) {
    place(where, sizeof where, ask, "/best");
    return lh_fault_say(fault, LH_INPUT, where, "give target or best",
                        "what is wanted is told twice");
  }
  if (f->target) {
    place(where, sizeof where, ask, "/target/lab");
    w->ask.by_colour = true;
    return lh_colour_words_lab(&f->target->colour, where, &w->ask.target,
                               fault);
  }
  place(where, sizeof where, ask, "/best");
  w->ask.best = isnan(f->best) ? w->slip.best_g_m2 : f->best;
  if (isnan(w->ask.best))
    return lh_fault_say(fault, LH_INPUT, where,
                        "give best (a coat weight) or target (a colour)",
                        "which colour is wanted is not told");
  if (w->ask.best > 0 && w->ask.best <= f->heaviest_g_m2) return LH_OK;
  return lh_fault_say(fault, LH_RANGE, where,
                      "give a coat weight up to heaviest_g_m2",
                      "a best coat of %.15g g/m2 is outside 0 to %.15g",
                      w->ask.best, f->heaviest_g_m2);
}

static void begin(const lh_window_fields *f, lh_window_work *w)
{
  *w = (lh_window_work){.fields = f};
  w->stack = (lh_stack){
      .layers = w->layers, .count = 1, .geometry = (lh_geometry)f->geometry};
  w->ask = (lh_window_ask){.stack = &w->stack,
                           .illuminant = (lh_illuminant)f->illuminant,
                           .heaviest = f->heaviest_g_m2,
                           .body = w->body,
                           .ground = w->ground};
  w->doubt = lh_stack_words_doubt(f->doubt);
  w->body_told = f->body != NULL;
  w->ground_told = f->ground != NULL;
  for (size_t i = 0; i < LH_WAVES; i++) {
    w->body[i] = f->body ? f->body->reflectance[i] : dark_body;
    w->ground[i] = f->ground ? f->ground->reflectance[i] : white_ground;
  }
}

/* Does it show anything, however thick? */
static bool colourless(const lh_slip_optics *o)
{
  double most = 0;

  for (size_t i = 0; i < LH_WAVES; i++)
    most = fmax(most, fmax(o->absorption[i], o->scattering[i]));
  return !(most > 0);
}

/* What follows from the slip as read. */
static lh_status settle(const lh_call *call, lh_window_work *w, lh_fault *fault)
{
  const lh_window_fields *f = w->fields;
  lh_slip_optics *optics = lh_slip_part_optics(&w->slip, call->arena);

  if (!optics) return lh_fault_plain(fault, LH_NOMEM, "/slip");
  if (colourless(optics))
    return lh_fault_say(fault, LH_RANGE, "/slip",
                        "correct absorption_m2_g and scattering_m2_g",
                        "with K and S 0 it shows nothing, however thick");
  w->layers[0] = (lh_stack_layer){optics, 0};
  if (!f->doubt && !isnan(w->slip.uncertainty_percent))
    w->doubt.absorption = w->doubt.scattering =
        w->slip.uncertainty_percent / 100;
  w->ask.tolerance = !isnan(f->tolerance)   ? f->tolerance
                     : w->slip.photographed ? tolerance_photograph
                                            : tolerance_usual;
  if (!isnan(w->slip.litre_weight_g))
    w->coat = (lh_coat_slip){w->slip.litre_weight_g,
                             w->slip.solids_density,
                             LH_WATER_G_L,
                             LH_SHRINK_LIMIT,
                             LH_FIRED_SHRINKAGE,
                             isnan(w->slip.coat_g_m2) ? 0 : w->slip.coat_g_m2};
  return LH_OK;
}

static lh_status window(const lh_call *call, const void *document, lh_reply *r,
                        lh_fault *fault)
{
  bool piece = lh_operation_piece(&lh_op_window, call->document);
  const char *ask = piece ? "/ask" : "";
  lh_window_work *w = lh_arena_take(call->arena, 1, sizeof *w);
  lh_status st;

  if (!w) return lh_fault_plain(fault, LH_NOMEM, "/");
  begin(document, w);
  st = piece ? of_piece(call, w, fault) : of_slip(call, w, fault);
  if (st == LH_OK) st = settle(call, w, fault);
  if (st == LH_OK) st = lay_over(call, w, ask, fault);
  if (st == LH_OK) st = what_wanted(w, ask, fault);
  if (st != LH_OK) return st;
  if (w->slip.litre_weight_g >= LH_WATER_G_L * w->slip.solids_density)
    return lh_fault_say(fault, LH_RANGE, "/slip/litre_weight_g",
                        "weigh it again, or correct solids_density",
                        "a slip cannot be as heavy as its dry solids");
  st = lh_window_find(&w->ask, &w->window);
  if (st == LH_OK)
    st = lh_window_spread(&w->ask, &w->window, &w->doubt, &w->range);
  if (st == LH_OK)
    st = lh_window_curve(&w->ask, &w->window, w->curve, LH_CURVE_SHOWN);
  if (st != LH_OK)
    return lh_fault_say(fault, st, "/", "correct the optical numbers",
                        "the fired colours cannot be worked out");
  lh_window_put(w, r);
  lh_window_say(w, r);
  return LH_OK;
}

const lh_operation lh_op_window = {
    .name = "window",
    .help = "how thin and how thick a slip may be laid",
    .purpose =
        "Between which coat weights a slip fires to the colour wanted, within "
        "a tolerance;\nfrom which on it covers; on which side it goes wrong "
        "more slowly.  Wanted is the\ncolour at a best coat weight, or a "
        "colour given as L*a*b*.",
    .fields = &window_table,
    .run = window,
    .knows_pieces = true,
    .example =
        "{\"slip\": {\"name\": \"blue (invented)\", "
        "\"absorption_m2_g\": [0.013, 0.012, 0.011, 0.010, 0.009, 0.008, "
        "0.008, 0.008, 0.008, 0.009, 0.011, 0.015, 0.022, 0.031, 0.042, "
        "0.055, 0.068, 0.079, 0.087, 0.092, 0.095, 0.096, 0.095, 0.093, "
        "0.090, 0.087, 0.083, 0.076, 0.066, 0.053, 0.041, 0.031, 0.024, "
        "0.019, 0.016, 0.014], \"scattering_m2_g\": 0.004, "
        "\"litre_weight_g\": 1400, \"coat_g_m2\": 55}, "
        "\"over\": {\"reflectance\": 0.75}, "
        "\"glaze\": {\"index\": 1.52, \"optical_depth\": 0.02}, "
        "\"best\": 60, \"area_cm2\": 150}",
};
