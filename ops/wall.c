/* SPDX-License-Identifier: GPL-3.0-or-later */
/* wall.c -- the operation `wall`: where the water of the coats goes.  The
** balance only; nothing here tells a time. */
#include "wall.h"

#include <math.h>

#include "slip_words.h"

typedef struct {
  double thickness_mm, thickness_error_mm, moisture, moisture_error;
  long faces;
  double solids_density, shrink_limit;
} place_doc;

typedef struct {
  double at_min, coat_g_m2, wet_mm, solids_percent, litre_weight_g;
} coat_doc;

typedef struct {
  place_doc *wall, *rim;
  lh_list coats;
  double solids_density, coat_error_percent, caution_moisture, stop_moisture;
  json_t *air, *taps;
} wall_ask;

#define PLACE_ROWS(FACES)                                                      \
  LH_NUMBER(place_doc, thickness_mm, "thickness_mm", true, 0.1, 200, NAN,      \
            "mm", "By calipers."),                                             \
      LH_NUMBER(place_doc, moisture, "moisture", false, 0, 1,                  \
                LH_WALL_MOISTURE, "g water per g dry",                         \
                "Before any coat (the default is a judgement: weigh an "       \
                "offcut wet and oven-dry)."),                                  \
      LH_COUNT(place_doc, faces, "faces", false, 1, 2, FACES,                  \
               "How many of its faces are coated, 1 or 2."),                   \
      LH_NUMBER(place_doc, thickness_error_mm, "thickness_error_mm", false, 0, \
                50, LH_WALL_THICKNESS_ERROR, "mm",                             \
                "How far thickness_mm may be off (a judgement)."),             \
      LH_NUMBER(place_doc, moisture_error, "moisture_error", false, 0, 0.5,    \
                LH_WALL_MOISTURE_ERROR, "g water per g dry",                   \
                "How far moisture may be off (a judgement)."),                 \
      LH_NUMBER(place_doc, solids_density, "solids_density", false, 1.5, 5,    \
                LH_SOLIDS_DENSITY, "relative to water",                        \
                "Of the body's grains."),                                      \
      LH_NUMBER(place_doc, shrink_limit, "shrink_limit", false, 0, 0.9,        \
                LH_SHRINK_LIMIT, "g water per g dry",                          \
                "Where the body stops shrinking (a judgement).")

static const lh_field wall_place_rows[] = {PLACE_ROWS(1)};
static const lh_fields wall_place =
    LH_FIELDS("wall", place_doc, wall_place_rows);
static const lh_field rim_place_rows[] = {PLACE_ROWS(2)};
static const lh_fields rim_place = LH_FIELDS("rim", place_doc, rim_place_rows);

static const lh_field coat_rows[] = {
    LH_NUMBER(coat_doc, coat_g_m2, "coat_g_m2", false, 0, 1e5, NAN, "g per m2",
              "Dry weight on each coated face; or give wet_mm."),
    LH_NUMBER(coat_doc, wet_mm, "wet_mm", false, 0, 50, NAN, "mm",
              "Or its thickness as laid."),
    LH_NUMBER(coat_doc, solids_percent, "solids_percent", false, 1, 99, NAN,
              "% of the weight",
              "Dry part of the slip; or give its litre "
              "weight."),
    LH_NUMBER(coat_doc, litre_weight_g, "litre_weight_g", false, 0, 20000, NAN,
              "g per litre", "Or what a litre of it weighs."),
    LH_NUMBER(coat_doc, at_min, "at_min", false, 0, 1e6, NAN, "min",
              "When it is laid; the balance does not ask."),
};
static const lh_fields coat_table = LH_FIELDS("coat", coat_doc, coat_rows);

static const lh_field wall_rows[] = {
    LH_OBJECT(wall_ask, wall, "wall", true, wall_place, "The wall."),
    LH_OBJECT(wall_ask, rim, "rim", false, rim_place,
              "A thinner place that takes the same coats, usually the rim; "
              "coated on both faces unless said."),
    LH_LIST(wall_ask, coats, "coats", true, coat_table, 200,
            "The coats, one after the other."),
    LH_NUMBER(wall_ask, solids_density, "solids_density", false, 0, 20,
              LH_SOLIDS_DENSITY, "relative to water",
              "Of the slips' dry solids."),
    LH_NUMBER(wall_ask, coat_error_percent, "coat_error_percent", false, 0, 95,
              100 * LH_WALL_COAT_ERROR, "%",
              "How far the coats may be off together (a judgement)."),
    LH_NUMBER(wall_ask, caution_moisture, "caution_moisture", false, 0.01, 1,
              LH_WALL_CAUTION, "g water per g dry",
              "Above this the wall goes soft again (a judgement)."),
    LH_NUMBER(wall_ask, stop_moisture, "stop_moisture", false, 0.01, 1,
              LH_WALL_STOP, "g water per g dry",
              "Above this it may slump or crack (a judgement)."),
    {.key = "air",
     .kind = LH_F_JSON,
     .offset = offsetof(wall_ask, air),
     .least = NAN,
     .most = NAN,
     .otherwise = NAN,
     .help = "Of the room; the balance does not ask, nothing evaporates."},
    {.key = "taps",
     .kind = LH_F_JSON,
     .offset = offsetof(wall_ask, taps),
     .least = NAN,
     .most = NAN,
     .otherwise = NAN,
     .help = "Times of lost sheen; the balance does not ask."},
};
static const lh_fields wall_table = LH_FIELDS("wall", wall_ask, wall_rows);

static lh_status refuse_coat(size_t i, const char *key, const char *todo,
                             const char *what, lh_fault *fault)
{
  lh_at coats = {NULL, "coats", 0}, item = {&coats, NULL, i};
  lh_at at = {&item, key, 0};
  char where[128];

  lh_at_pointer(&at, where, sizeof where);
  return lh_fault_say(fault, LH_INPUT, where, todo, "%s", what);
}

/* A coat as core wants it: dry weight, and water over solids. */
static lh_status read_coat(const coat_doc *d, size_t i, double s,
                           lh_wall_coat *c, lh_fault *fault)
{
  lh_at coats = {NULL, "coats", 0}, item = {&coats, NULL, i};
  lh_at at = {&item, "litre_weight_g", 0};
  double part, p = d->litre_weight_g, w = LH_WATER_20C_G_L;
  char where[128];
  lh_status st;

  if (isnan(d->coat_g_m2) == isnan(d->wet_mm))
    return refuse_coat(i, "coat_g_m2", "give coat_g_m2 or wet_mm",
                       "one of the two is wanted for each coat", fault);
  if (isnan(d->solids_percent) == isnan(p))
    return refuse_coat(i, "solids_percent",
                       "give solids_percent or litre_weight_g",
                       "one of the two is wanted for each coat", fault);
  if (isnan(p)) {
    part = d->solids_percent / 100.0;
    st = lh_slip_density(part, s, w, &p);
    if (st != LH_OK) return st;
  } else {
    lh_slip_content held;
    lh_at_pointer(&at, where, sizeof where);
    st = lh_slip_words_weight(p, s, where, "/solids_density", fault);
    if (st == LH_OK) st = lh_slip_content_of(p, s, &held);
    if (st != LH_OK) return st;
    part = held.solids;
  }
  c->water_per_dry = (1.0 - part) / part;
  c->g_m2 = isnan(d->coat_g_m2) ? d->wet_mm * part * p : d->coat_g_m2;
  return LH_OK;
}

static lh_status read_place(const place_doc *d, const char *key, lh_wall *w,
                            lh_fault *fault)
{
  char where[128];
  lh_at up = {NULL, key, 0}, at = {&up, "thickness_error_mm", 0};
  double low = fmax(d->moisture - d->moisture_error, 0.0);
  double high = fmin(d->moisture + d->moisture_error, 1.0);

  w->thickness_mm = lh_range_within(d->thickness_mm, d->thickness_error_mm);
  w->moisture = (lh_range){d->moisture, low, high};
  w->faces = (int)d->faces;
  w->solids_density = d->solids_density;
  w->shrink_limit = d->shrink_limit;
  w->water = LH_WATER_20C_G_L;
  if (w->thickness_mm.low > 0.0) return LH_OK;
  lh_at_pointer(&at, where, sizeof where);
  return lh_fault_say(fault, LH_RANGE, where,
                      "give a smaller error, or measure again",
                      "with this error the wall may not be there at all");
}

static const char *word_of(lh_wall_word w)
{
  return w == LH_WALL_FIT ? "ok" : w == LH_WALL_CAREFUL ? "caution" : "stop";
}

static void say_verdict(const wall_ask *a, const char *name, lh_wall_word word,
                        const lh_wall_balance *b, json_t *checks, lh_reply *r)
{
  static const lh_line_kind kind[] = {LH_LINE_OK, LH_LINE_CAUTION,
                                      LH_LINE_STOP};
  static const char *const todo[] = {
      "", "let the sheen go and the wall stiffen between coats; lay it thinner",
      "lay fewer or thinner coats, a heavier slip, or one face a day"};
  json_t *item = lh_reply_item(r, checks);
  char reason[200], doubt[60] = "";

  if (b->x_even.high > a->caution_moisture + 0.0005)
    snprintf(doubt, sizeof doubt, ", though its range reaches %.3f",
             b->x_even.high);

  if (word == LH_WALL_FIT)
    snprintf(reason, sizeof reason,
             "takes the water and stays below %.2f g per g dry%s",
             a->caution_moisture, doubt);
  else if (b->x_even.value > a->caution_moisture)
    snprintf(reason, sizeof reason,
             "comes to %.3f g water per g dry, above %.2f", b->x_even.value,
             word == LH_WALL_TOO_WET ? a->stop_moisture : a->caution_moisture);
  else
    snprintf(reason, sizeof reason,
             "could come to %.3f g water per g dry, above %.2f, were it to "
             "take all the water",
             b->x_ceiling.value, a->stop_moisture);
  lh_reply_string(r, item, "about", name);
  lh_reply_string(r, item, "verdict", word_of(word));
  lh_reply_string(r, item, "why", reason);
  lh_reply_string(r, item, "todo", todo[word]);
  lh_reply_line(r, kind[word], "%s\t%s\t%s", name, reason, todo[word]);
}

static void say_balance(const lh_wall_balance *b, double coats, json_t *to,
                        lh_reply *r)
{
  json_t *range = lh_reply_object(r, to, "range");

  lh_reply_number(r, to, "x_even", b->x_even.value);
  lh_reply_number(r, to, "x_ceiling", b->x_ceiling.value);
  lh_reply_number(r, to, "wall_dry_g_m2", b->wall_dry_g_m2);
  lh_reply_number(r, to, "coat_dry_g_m2", b->coat_dry_g_m2);
  lh_reply_number(r, to, "coat_water_g_m2", b->coat_water_g_m2);
  lh_reply_number(r, to, "swelling_percent", 100.0 * b->swelling);
  lh_reply_number(r, to, "coats_to_caution", coats);
  lh_reply_range(r, range, "x_even", b->x_even.low, b->x_even.high);
  lh_reply_range(r, range, "x_ceiling", b->x_ceiling.low, b->x_ceiling.high);
}

static void show_balance(const char *name, const lh_wall *w,
                         const lh_wall_balance *b, double coats, double caution,
                         lh_reply *r)
{
  lh_reply_title(r, "The %s: %.1f mm, coated on %s", name,
                 w->thickness_mm.value,
                 w->faces == 2 ? "both faces" : "one face");
  lh_reply_row(r, "before\t%.3f\tg water per g dry", w->moisture.value);
  lh_reply_row(r, "shared evenly\t%.3f\tg water per g dry\t%.3f to %.3f",
               b->x_even.value, b->x_even.low, b->x_even.high);
  lh_reply_row(r, "all in the wall\t%.3f\tg water per g dry\t%.3f to %.3f",
               b->x_ceiling.value, b->x_ceiling.low, b->x_ceiling.high);
  lh_reply_row(r, "water laid on\t%.0f\tg/m2", b->coat_water_g_m2);
  lh_reply_row(r, "swells by\t%.2f\t%%", 100.0 * b->swelling);
  if (isfinite(coats))
    lh_reply_row(r, "takes\t%.1f\tcoats in all\tto %.2f", coats, caution);
}

/* One place: its balance and its verdict. */
static lh_status work(const wall_ask *a, const place_doc *d, const char *name,
                      const lh_wall_coat *coat, json_t *to, json_t *checks,
                      lh_wall_word *worst, lh_reply *r, lh_fault *fault)
{
  size_t n = a->coats.count;
  lh_wall w;
  lh_wall_balance b;
  lh_wall_word word;
  double coats = (double)NAN;
  lh_status st = read_place(d, name, &w, fault);

  if (st == LH_OK)
    st = lh_slip_wall(&w, coat, n, a->coat_error_percent / 100.0, &b);
  if (st != LH_OK) return st;
  if (n > 0) lh_slip_wall_room(&w, &coat[n - 1], a->caution_moisture, &coats);
  word = lh_slip_wall_judge(&b, a->caution_moisture, a->stop_moisture);
  if (word > *worst) *worst = word;
  say_balance(&b, coats, to, r);
  show_balance(name, &w, &b, coats, a->caution_moisture, r);
  say_verdict(a, name, word, &b, checks, r);
  return LH_OK;
}

static lh_status wall(const lh_call *call, const void *document, lh_reply *r,
                      lh_fault *fault)
{
  const wall_ask *a = document;
  const coat_doc *coats = a->coats.items;
  lh_wall_word worst = LH_WALL_FIT;
  lh_wall_coat *c =
      lh_arena_take(call->arena, a->coats.count, sizeof(lh_wall_coat));
  json_t *checks;
  lh_status st = lh_slip_words_density(a->solids_density, 0.0,
                                       "/solids_density", "", fault);

  if (!c) return LH_NOMEM;
  if (st == LH_OK && !(a->caution_moisture <= a->stop_moisture))
    return lh_fault_say(fault, LH_RANGE, "/stop_moisture",
                        "give a stop above the caution",
                        "caution at %.15g comes after stop at %.15g",
                        a->caution_moisture, a->stop_moisture);
  for (size_t i = 0; i < a->coats.count && st == LH_OK; i++)
    st = read_coat(&coats[i], i, a->solids_density, &c[i], fault);
  if (st != LH_OK) return st;
  checks = lh_reply_list(r, NULL, "checks");
  st = work(a, a->wall, "wall", c, NULL, checks, &worst, r, fault);
  if (st == LH_OK && a->rim)
    st = work(a, a->rim, "rim", c, lh_reply_object(r, NULL, "rim"), checks,
              &worst, r, fault);
  if (st != LH_OK) return st;
  lh_reply_string(r, NULL, "verdict", word_of(worst));
  lh_reply_text(r,
                "Nothing evaporates in this balance, so the true wall is "
                "drier as time goes; when, is not told here.  The limits "
                "of %.2f and %.2f are judgements: press an offcut of known "
                "moisture and set your own.",
                a->caution_moisture, a->stop_moisture);
  return worst == LH_WALL_TOO_WET ? LH_STOP : LH_OK;
}

const lh_operation lh_op_wall = {
    .name = "wall",
    .help = "water that coats bring into a wall, and whether a rim takes it",
    .purpose =
        "The wall, not the air, dries a coat.  How wet the wall becomes when "
        "the water\nof all coats is shared evenly (x_even), and if all of it "
        "went into the wall\n(x_ceiling); the same for a thin rim, which takes "
        "up most.",
    .fields = &wall_table,
    .run = wall,
    .example = "{\"wall\": {\"thickness_mm\": 6, \"moisture\": 0.20}, "
               "\"rim\": {\"thickness_mm\": 4, \"moisture\": 0.18}, "
               "\"coats\": [{\"wet_mm\": 0.3, \"solids_percent\": 50}]}",
};
