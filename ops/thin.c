/* SPDX-License-Identifier: GPL-3.0-or-later */
/* thin.c -- the operation `thin`: what a jar holds, and what to add. */
#include "thin.h"

#include <math.h>

#include "slip_words.h"
#include "units.h"

typedef struct {
  double litre_weight_g, litre_weight_error_g;
  double weighed_g, weighed_ml, weighing_error_g, volume_error_ml;
  double specific_gravity, twaddell, oz_per_pint_uk, oz_per_pint_us;
  double target_litre_weight_g, volume_ml, jar_error_percent;
  double solids_density, solids_density_error;
} thin_ask;

static const lh_field thin_rows[] = {
    LH_NUMBER(thin_ask, litre_weight_g, "litre_weight_g", false, 0, 20000, NAN,
              "g per litre",
              "What a litre of the slip weighs now.  Or give one of the next "
              "five."),
    LH_NUMBER(thin_ask, weighed_g, "weighed_g", false, 0, 1e6, NAN, "g",
              "Or what any known volume weighs, jug tared; with weighed_ml."),
    LH_NUMBER(thin_ask, weighed_ml, "weighed_ml", false, 0, 1e6, NAN, "ml",
              "The volume that was weighed."),
    LH_NUMBER(thin_ask, specific_gravity, "specific_gravity", false, 0, 20, NAN,
              "", "Or its weight against water's."),
    LH_NUMBER(thin_ask, twaddell, "twaddell", false, -200, 4000, NAN,
              "degrees Twaddell", "Or what a Twaddell hydrometer reads."),
    LH_NUMBER(thin_ask, oz_per_pint_uk, "oz_per_pint_uk", false, 0, 400, NAN,
              "oz per imperial pint", "Or what an imperial pint weighs."),
    LH_NUMBER(thin_ask, oz_per_pint_us, "oz_per_pint_us", false, 0, 400, NAN,
              "oz per US pint", "Or what a US pint weighs."),
    LH_NUMBER(thin_ask, target_litre_weight_g, "target_litre_weight_g", false,
              0, 20000, NAN, "g per litre",
              "What it should weigh; without it the content alone is told."),
    LH_NUMBER(thin_ask, volume_ml, "volume_ml", false, 0.1, 1e7, 1000, "ml",
              "How much slip is in the jar."),
    LH_NUMBER(thin_ask, solids_density, "solids_density", false, 0, 20,
              LH_SOLIDS_DENSITY, "relative to water",
              "Of the dry solids (the default is a handbook's 2.6)."),
    LH_NUMBER(thin_ask, litre_weight_error_g, "litre_weight_error_g", false, 0,
              1000, LH_LITRE_WEIGHT_ERROR, "g per litre",
              "How far the litre weight may be off (a judgement: 15 from "
              "100 ml); not used with weighed_g."),
    LH_NUMBER(thin_ask, weighing_error_g, "weighing_error_g", false, 0, 1e5,
              LH_WEIGHING_ERROR_G, "g",
              "How far weighed_g may be off (a judgement)."),
    LH_NUMBER(thin_ask, volume_error_ml, "volume_error_ml", false, 0, 1e5, NAN,
              "ml",
              "How far weighed_ml may be off; without it 1 % (a judgement)."),
    LH_NUMBER(thin_ask, jar_error_percent, "jar_error_percent", false, 0, 90, 5,
              "%", "How far volume_ml may be off (a judgement)."),
    LH_NUMBER(thin_ask, solids_density_error, "solids_density_error", false, 0,
              10, LH_SOLIDS_DENSITY_ERROR, "relative to water",
              "How far solids_density may be off (a judgement)."),
};
static const lh_fields thin_table = LH_FIELDS("thin", thin_ask, thin_rows);

/* The one way in which the litre weight is told, and its pointer. */
static lh_status litre_weight(const thin_ask *a, lh_range *p,
                              const char **where, lh_fault *fault)
{
  const struct {
    double given, g_l;
    const char *where;
  } way[] = {
      {a->litre_weight_g, a->litre_weight_g, "/litre_weight_g"},
      {a->weighed_g, a->weighed_g / a->weighed_ml * 1000.0, "/weighed_g"},
      {a->specific_gravity, a->specific_gravity * LH_WATER_G_L,
       "/specific_gravity"},
      {a->twaddell, lh_slip_from_twaddell(a->twaddell) * LH_WATER_G_L,
       "/twaddell"},
      {a->oz_per_pint_uk, lh_units_g_l_from_oz_pint_uk(a->oz_per_pint_uk),
       "/oz_per_pint_uk"},
      {a->oz_per_pint_us, lh_units_g_l_from_oz_pint_us(a->oz_per_pint_us),
       "/oz_per_pint_us"},
  };
  lh_weighing w = {a->weighed_g, a->weighed_ml, a->weighing_error_g,
                   a->volume_error_ml};

  *where = NULL;
  for (size_t i = 0; i < sizeof way / sizeof way[0]; i++) {
    if (isnan(way[i].given)) continue;
    if (*where) {
      return lh_fault_say(fault, LH_INPUT, way[i].where, "take one of them out",
                          "the weight is told twice, by %s as well",
                          *where + 1);
    }
    *where = way[i].where;
    *p = lh_range_within(way[i].g_l, a->litre_weight_error_g);
  }
  if (!*where) {
    return lh_fault_say(fault, LH_INPUT, "/litre_weight_g",
                        "give litre_weight_g, or weighed_g and weighed_ml",
                        "what the slip weighs is missing");
  }
  if (isnan(a->weighed_g) != isnan(a->weighed_ml)) {
    return lh_fault_say(fault, LH_INPUT, "/weighed_ml",
                        "give both, or the litre weight",
                        "weighed_g and weighed_ml belong together");
  }
  if (isnan(a->weighed_g)) return LH_OK;
  if (isnan(w.volume_error_ml))
    w.volume_error_ml = LH_VOLUME_ERROR * w.weighed_ml;
  if (lh_slip_weighed(&w, p) == LH_OK) return LH_OK;
  return lh_fault_say(fault, LH_RANGE, "/weighed_g",
                      "weigh more of it, with smaller errors",
                      "weight and volume must be above 0 and above their "
                      "errors");
}

static void say_content(const lh_slip_content *c, lh_range p, lh_reply *r)
{
  lh_slip_words_row(r, "litre weight", p, "g");
  lh_reply_row(r, "specific gravity\t%.3f", c->specific_gravity);
  lh_reply_row(r, "degrees Twaddell\t%.0f", c->twaddell);
  lh_reply_row(r, "imperial pint\t%.1f\toz", c->oz_pint_uk);
  lh_reply_row(r, "US pint\t%.1f\toz", c->oz_pint_us);
  lh_reply_row(r, "dry part\t%.1f\t%% of the weight", 100.0 * c->solids);
}

static void content(const thin_ask *a, lh_range p, const lh_slip_content *c,
                    const lh_thin_answer *t, lh_reply *r)
{
  json_t *range = lh_reply_object(r, NULL, "range");

  lh_reply_number(r, NULL, "litre_weight_g", c->litre_weight);
  lh_reply_number(r, NULL, "specific_gravity", c->specific_gravity);
  lh_reply_number(r, NULL, "twaddell", c->twaddell);
  lh_reply_number(r, NULL, "oz_per_pint_uk", c->oz_pint_uk);
  lh_reply_number(r, NULL, "oz_per_pint_us", c->oz_pint_us);
  lh_reply_number(r, NULL, "dry_g_per_litre", c->dry_g_l);
  lh_reply_number(r, NULL, "solids_percent", 100.0 * c->solids);
  lh_reply_number(r, NULL, "volume_ml", a->volume_ml);
  lh_reply_number(r, NULL, "dry_g", t->dry_g.value);
  lh_reply_number(r, NULL, "water_g", t->water_g);
  lh_reply_range(r, range, "litre_weight_g", p.low, p.high);
  lh_reply_range(r, range, "dry_g", t->dry_g.low, t->dry_g.high);
  if (isnan(a->target_litre_weight_g)) return;
  lh_reply_number(r, NULL, "target_litre_weight_g", a->target_litre_weight_g);
  lh_reply_number(r, NULL, "add_water_ml", t->add_water_ml.value);
  lh_reply_number(r, NULL, "drops", t->drops);
  lh_reply_number(r, NULL, "decant_ml", t->decant_ml);
  lh_reply_number(r, NULL, "decant_percent", 100.0 * t->decant_part);
  lh_reply_number(r, NULL, "or_dry_slip_g", t->dry_slip_g);
  lh_reply_number(r, NULL, "volume_after_ml", t->volume_after_ml);
  lh_reply_number(r, NULL, "add_ml_per_10_g_l", t->per_10_g_l_ml);
  lh_reply_range(r, range, "add_water_ml", t->add_water_ml.low,
                 t->add_water_ml.high);
}

/* Decimals for the whole range, so that its ends tell apart. */
static int decimals(const lh_thin_answer *t)
{
  return lh_slip_words_decimals(
      fmax(fabs(t->add_water_ml.low), fabs(t->add_water_ml.high)));
}

/* A potter need not chase what the scale cannot see. */
static void say_unsure(const lh_thin_answer *t, lh_reply *r)
{
  if (t->add_water_ml.low < 0.0 && t->add_water_ml.high > 0.0)
    lh_reply_text(r, "The range holds 0: the slip may be right already, this "
                     "weighing cannot tell.  Weigh a larger volume.");
}

/* Below a teaspoon a potter counts drops, and only by feel. */
static void say_add(const lh_thin_answer *t, lh_reply *r)
{
  bool right = t->add_water_ml.value == 0.0;

  if (right)
    lh_reply_title(r, "Nothing to add");
  else
    lh_reply_title(r, "Add %.*f ml of water", decimals(t),
                   t->add_water_ml.value);
  lh_slip_words_row(r, "water", t->add_water_ml, "ml");
  if (t->add_water_ml.value > 0.0 && t->add_water_ml.value < 5.0)
    lh_reply_row(r, "by feel\t%.0f\tdrops", t->drops);
  lh_slip_words_plain(r, "per 10 g/l too heavy", t->per_10_g_l_ml, "ml", "");
  lh_slip_words_plain(r, "then in the jar", t->volume_after_ml, "ml", "");
  say_unsure(t, r);
  if (right) return;
  lh_reply_text(r, "Add two thirds, stir, wait until the bubbles are gone, "
                   "weigh again: the range is what the weighing leaves open.");
}

static void say_decant(const lh_thin_answer *t, lh_reply *r)
{
  lh_range off = {t->decant_ml, -t->add_water_ml.high, -t->add_water_ml.low};

  lh_reply_title(r, "Let off %.*f ml of clear water", decimals(t),
                 t->decant_ml);
  lh_slip_words_row(r, "clear water off", off, "ml");
  lh_slip_words_plain(r, "or dry slip in", t->dry_slip_g, "g", "");
  lh_slip_words_plain(r, "then in the jar", t->volume_after_ml, "ml",
                      "with water let off");
  lh_reply_text(r, "The slip is too thin.  Let it settle and take off clear "
                   "water only: cloudy water carries slip away.  Or stir in "
                   "dry slip of the same recipe, soaked and sieved.  Weigh "
                   "again after.");
  say_unsure(t, r);
  if (t->decant_part > 0.3)
    lh_reply_text(r,
                  "That is %.0f %% of the jar, more than many slips settle "
                  "to: dry slip may be the way.",
                  100.0 * t->decant_part);
}

static lh_status thin(const lh_call *call, const void *document, lh_reply *r,
                      lh_fault *fault)
{
  const thin_ask *a = document;
  bool aims = !isnan(a->target_litre_weight_g);
  double jar = a->jar_error_percent / 100.0 * a->volume_ml;
  const char *where = NULL;
  lh_thin_ask ask;
  lh_thin_answer t;
  lh_slip_content c;
  lh_status st;

  (void)call;
  st = lh_slip_words_density(a->solids_density, a->solids_density_error,
                             "/solids_density", "/solids_density_error", fault);
  if (st == LH_OK) st = litre_weight(a, &ask.litre_weight, &where, fault);
  if (st == LH_OK)
    st = lh_slip_words_weight(ask.litre_weight.value, a->solids_density, where,
                              "/solids_density", fault);
  if (st == LH_OK && aims)
    st = lh_slip_words_weight(a->target_litre_weight_g, a->solids_density,
                              "/target_litre_weight_g", "/solids_density",
                              fault);
  if (st != LH_OK) return st;
  ask.target_litre_weight =
      aims ? a->target_litre_weight_g : ask.litre_weight.value;
  ask.volume_ml = lh_range_within(a->volume_ml, jar);
  ask.solids_density =
      lh_range_within(a->solids_density, a->solids_density_error);
  st = lh_slip_content_of(ask.litre_weight.value, a->solids_density, &c);
  if (st == LH_OK) st = lh_slip_thin(&ask, &t);
  if (st != LH_OK) return st;
  content(a, ask.litre_weight, &c, &t, r);
  if (aims && t.decant_ml > 0.0)
    say_decant(&t, r);
  else if (aims)
    say_add(&t, r);
  lh_reply_title(r, "The slip as it is");
  lh_slip_words_row(r, "dry in the jar", t.dry_g, "g");
  lh_slip_words_plain(r, "water in the jar", t.water_g, "g", "");
  say_content(&c, ask.litre_weight, r);
  return LH_OK;
}

const lh_operation lh_op_thin = {
    .name = "thin",
    .help = "water to add or let off for a litre weight",
    .purpose =
        "From what a litre of slip weighs: how much dry slip and water it "
        "holds,\nand how much water brings it to the litre weight wanted.  A "
        "negative amount\nis clear water to let off.  Litre weight first; "
        "consistency after.",
    .fields = &thin_table,
    .run = thin,
    .example = "{\"weighed_g\": 156, \"weighed_ml\": 100, "
               "\"target_litre_weight_g\": 1500, \"volume_ml\": 800}",
};
