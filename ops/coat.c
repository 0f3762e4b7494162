/* SPDX-License-Identifier: GPL-3.0-or-later */
/* coat.c -- the operation `coat`: how much slip lies on the pot. */
#include "coat.h"

#include <math.h>

#include "slip_words.h"

typedef struct {
  double jar_loss_g, jar_before_g, jar_after_g, dry_gain_g, area_cm2;
  double coat_g_m2, coats, wet_mm, dry_mm, fired_mm;
  double litre_weight_g, solids_density, one_coat_g_m2;
  double shrink_limit, fired_shrinkage_percent;
  double weighing_error_g, area_error_percent, litre_weight_error_g,
      solids_density_error;
} coat_ask;

static const lh_field coat_rows[] = {
    LH_NUMBER(coat_ask, jar_loss_g, "jar_loss_g", false, 0, 1e6, NAN, "g",
              "Slip that left the jar: jar and brush weighed together before "
              "and after.  Or give one of the next eight."),
    LH_NUMBER(coat_ask, jar_before_g, "jar_before_g", false, 0, 1e6, NAN, "g",
              "Or jar and brush before; with jar_after_g."),
    LH_NUMBER(coat_ask, jar_after_g, "jar_after_g", false, 0, 1e6, NAN, "g",
              "Jar and brush after."),
    LH_NUMBER(coat_ask, dry_gain_g, "dry_gain_g", false, 0, 1e6, NAN, "g",
              "Or what the pot gained, bone dry both times."),
    LH_NUMBER(coat_ask, coat_g_m2, "coat_g_m2", false, 0, 1e5, NAN, "g per m2",
              "Or a coat weight, dry, to be told in other words."),
    LH_NUMBER(coat_ask, coats, "coats", false, 0, 100, NAN, "coats",
              "Or coats of the brush; needs one_coat_g_m2."),
    LH_NUMBER(coat_ask, wet_mm, "wet_mm", false, 0, 100, NAN, "mm",
              "Or its thickness as laid."),
    LH_NUMBER(coat_ask, dry_mm, "dry_mm", false, 0, 100, NAN, "mm",
              "Or its thickness dry."),
    LH_NUMBER(coat_ask, fired_mm, "fired_mm", false, 0, 100, NAN, "mm",
              "Or its thickness fired."),
    LH_NUMBER(coat_ask, area_cm2, "area_cm2", false, 0.01, 1e8, NAN, "cm2",
              "Area on which it lies; needed with a weighing."),
    LH_NUMBER(coat_ask, litre_weight_g, "litre_weight_g", true, 0, 20000, NAN,
              "g per litre", "What a litre of the slip weighs."),
    LH_NUMBER(coat_ask, solids_density, "solids_density", false, 0, 20,
              LH_SOLIDS_DENSITY, "relative to water",
              "Of the dry solids (the default is a handbook's 2.6)."),
    LH_NUMBER(coat_ask, one_coat_g_m2, "one_coat_g_m2", false, 0.01, 1e5, NAN,
              "g per m2", "What one coat of your brush lays, dry."),
    LH_NUMBER(coat_ask, shrink_limit, "shrink_limit", false, 0, 0.9,
              LH_SHRINK_LIMIT, "g water per g dry",
              "Water at which the drying coat stops shrinking (a judgement; "
              "0.085 to 0.29 by clay)."),
    LH_NUMBER(coat_ask, fired_shrinkage_percent, "fired_shrinkage_percent",
              false, 0, 60, 100 * LH_FIRED_SHRINKAGE, "%",
              "Linear, of the dry coat in the fire (a judgement)."),
    LH_NUMBER(coat_ask, weighing_error_g, "weighing_error_g", false, 0, 1e5,
              0.1, "g", "How far one weighing may be off (a judgement)."),
    LH_NUMBER(coat_ask, area_error_percent, "area_error_percent", false, 0, 90,
              5, "%", "How far the area may be off (a judgement)."),
    LH_NUMBER(coat_ask, litre_weight_error_g, "litre_weight_error_g", false, 0,
              1000, LH_LITRE_WEIGHT_ERROR, "g per litre",
              "How far the litre weight may be off (a judgement)."),
    LH_NUMBER(coat_ask, solids_density_error, "solids_density_error", false, 0,
              10, LH_SOLIDS_DENSITY_ERROR, "relative to water",
              "How far solids_density may be off (a judgement)."),
};
static const lh_fields coat_table = LH_FIELDS("coat", coat_ask, coat_rows);

/* In which way the coat is told. */
typedef enum { BY_LOSS, BY_JAR, BY_GAIN, BY_NAME } way_kind;

typedef struct {
  way_kind kind;
  lh_coat_name name;
  double given;
  const char *where;
} way;

static lh_status find_way(const coat_ask *a, way *found, lh_fault *fault)
{
  const way ways[] = {
      {BY_LOSS, LH_COAT_G_M2, a->jar_loss_g, "/jar_loss_g"},
      {BY_JAR, LH_COAT_G_M2, a->jar_before_g, "/jar_before_g"},
      {BY_GAIN, LH_COAT_G_M2, a->dry_gain_g, "/dry_gain_g"},
      {BY_NAME, LH_COAT_G_M2, a->coat_g_m2, "/coat_g_m2"},
      {BY_NAME, LH_COAT_COATS, a->coats, "/coats"},
      {BY_NAME, LH_COAT_WET_MM, a->wet_mm, "/wet_mm"},
      {BY_NAME, LH_COAT_DRY_MM, a->dry_mm, "/dry_mm"},
      {BY_NAME, LH_COAT_FIRED_MM, a->fired_mm, "/fired_mm"},
  };

  found->where = NULL;
  for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
    if (isnan(ways[i].given)) continue;
    if (found->where) {
      return lh_fault_say(
          fault, LH_INPUT, ways[i].where, "take one of them out",
          "the coat is told twice, by %s as well", found->where + 1);
    }
    *found = ways[i];
  }
  if (!found->where) {
    return lh_fault_say(fault, LH_INPUT, "/jar_loss_g",
                        "give jar_loss_g, or dry_gain_g, or a coat as "
                        "coat_g_m2, coats, wet_mm, dry_mm or fired_mm",
                        "how much slip was laid is missing");
  }
  if ((found->kind == BY_JAR) != !isnan(a->jar_after_g)) {
    return lh_fault_say(fault, LH_INPUT, "/jar_after_g",
                        "give both, or the loss as jar_loss_g",
                        "jar_before_g and jar_after_g belong together");
  }
  if (found->kind != BY_NAME && isnan(a->area_cm2)) {
    return lh_fault_say(fault, LH_INPUT, "/area_cm2",
                        "give the area on which the slip lies",
                        "a weighing needs the area it is spread over");
  }
  if (found->name == LH_COAT_COATS && isnan(a->one_coat_g_m2)) {
    return lh_fault_say(fault, LH_INPUT, "/one_coat_g_m2",
                        "paint a known area, weigh, and give its coat weight",
                        "coats are known by what one of them weighs");
  }
  return LH_OK;
}

/* The numbers that may be off, so that each can be moved to its ends. */
typedef struct {
  double litre_weight, solids_density, mass_g, area_mm2;
} inputs;

/* The coat that these numbers make. */
static lh_status make(const coat_ask *a, const way *w, const inputs *in,
                      lh_coat *c)
{
  lh_coat_slip s = {in->litre_weight,
                    in->solids_density,
                    LH_WATER_G_L,
                    a->shrink_limit,
                    a->fired_shrinkage_percent / 100.0,
                    isnan(a->one_coat_g_m2) ? 0.0 : a->one_coat_g_m2};
  lh_range g_m2 = lh_range_exact(0.0);
  lh_status st;

  if (w->kind == BY_NAME) return lh_slip_coat(&s, w->name, w->given, c);
  if (w->kind == BY_GAIN)
    st = lh_slip_coat_from_gain(lh_range_exact(in->mass_g),
                                lh_range_exact(in->area_mm2), &g_m2);
  else
    st = lh_slip_coat_from_loss(lh_range_exact(in->mass_g),
                                lh_range_exact(in->area_mm2),
                                lh_range_exact(in->litre_weight),
                                lh_range_exact(in->solids_density), &g_m2);
  return st == LH_OK ? lh_slip_coat(&s, LH_COAT_G_M2, g_m2.value, c) : st;
}

enum { NAMES = 5 };

static void by_name(const lh_coat *c, double v[NAMES])
{
  v[0] = c->g_m2, v[1] = c->wet_mm, v[2] = c->dry_mm, v[3] = c->fired_mm;
  v[4] = c->coats;
}

/* Move one input to its ends and gather what it does to all five names.  An
** end that no slip can have is taken back to the value. */
static void move(const coat_ask *a, const way *w, const inputs *low,
                 const inputs *high, const lh_coat *at, lh_spread sum[NAMES])
{
  lh_coat c = *at, d = *at;
  double u[NAMES], v[NAMES];

  if (make(a, w, low, &c) != LH_OK) c = *at;
  if (make(a, w, high, &d) != LH_OK) d = *at;
  by_name(&c, u);
  by_name(&d, v);
  for (int i = 0; i < NAMES; i++) lh_spread_add(&sum[i], u[i], v[i]);
}

/* What was weighed: a difference of two weighings, whoever took it. */
static lh_status weighed(const coat_ask *a, const way *w, lh_range *mass,
                         lh_fault *fault)
{
  double before = w->kind == BY_JAR ? a->jar_before_g : w->given;
  double after = w->kind == BY_JAR ? a->jar_after_g : 0.0;

  *mass = lh_range_exact(0.0);
  if (w->kind == BY_NAME) return LH_OK;
  if (lh_slip_jar_loss(before, after, a->weighing_error_g, mass) == LH_OK)
    return LH_OK;
  return lh_fault_say(fault, LH_RANGE, w->where,
                      "weigh again: there must be more before than after",
                      "nothing was laid by this weighing");
}

static lh_status measure(const coat_ask *a, const way *w, lh_range v[NAMES],
                         lh_fault *fault)
{
  double part = a->area_error_percent / 100.0, x[NAMES];
  lh_range mass;
  lh_coat c;
  lh_spread sum[NAMES];
  inputs in = {a->litre_weight_g, a->solids_density, 0.0, a->area_cm2 * 100.0};
  inputs low, high;
  lh_status st = weighed(a, w, &mass, fault);

  in.mass_g = mass.value;
  if (st == LH_OK) st = make(a, w, &in, &c);
  if (st != LH_OK) return st;
  by_name(&c, x);
  for (int i = 0; i < NAMES; i++) sum[i] = lh_spread_of(x[i]);
  low = high = in;
  low.litre_weight =
      fmax(in.litre_weight - a->litre_weight_error_g, LH_WATER_G_L + 1.0);
  high.litre_weight += a->litre_weight_error_g;
  move(a, w, &low, &high, &c, sum);
  low = high = in;
  low.solids_density -= a->solids_density_error;
  high.solids_density += a->solids_density_error;
  move(a, w, &low, &high, &c, sum);
  low = high = in;
  low.mass_g = fmax(mass.low, 1e-9 * mass.value);
  high.mass_g = mass.high;
  move(a, w, &low, &high, &c, sum);
  low = high = in;
  low.area_mm2 *= 1.0 - part;
  high.area_mm2 *= 1.0 + part;
  move(a, w, &low, &high, &c, sum);
  for (int i = 0; i < NAMES; i++) {
    v[i] = lh_spread_range(sum[i]);
    v[i].low = fmax(v[i].low, 0.0);
  }
  return LH_OK;
}

static void answer(const coat_ask *a, const lh_range v[NAMES], lh_reply *r)
{
  static const char *const key[NAMES] = {"coat_g_m2", "wet_mm", "dry_mm",
                                         "fired_mm", "coats"};
  json_t *range = lh_reply_object(r, NULL, "range");

  for (int i = 0; i < NAMES; i++) {
    if (!isfinite(v[i].value)) continue;
    lh_reply_number(r, NULL, key[i], v[i].value);
    lh_reply_range(r, range, key[i], v[i].low, v[i].high);
  }
  lh_reply_title(r, "%.0f g dry on a square metre", v[0].value);
  lh_slip_words_row(r, "coat weight", v[0], "g/m2 dry");
  lh_slip_words_row(r, "wet", v[1], "mm");
  lh_slip_words_row(r, "dry", v[2], "mm");
  lh_slip_words_row(r, "fired", v[3], "mm");
  if (isfinite(v[4].value)) lh_slip_words_row(r, "coats", v[4], "");
  if (!isnan(a->area_cm2)) {
    lh_reply_number(r, NULL, "dry_g", v[0].value * a->area_cm2 / 1e4);
    lh_slip_words_plain(r, "dry in all", v[0].value * a->area_cm2 / 1e4, "g",
                        "");
  }
  lh_reply_text(r,
                "This is the mean over the area.  The ranges hold the "
                "weighing, the area and the slip; not the shrinkages (to "
                "%.2f g water per g dry, %.1f %% in the fire), which are "
                "judgements until you measure them.",
                a->shrink_limit, a->fired_shrinkage_percent);
}

static lh_status coat(const lh_call *call, const void *document, lh_reply *r,
                      lh_fault *fault)
{
  const coat_ask *a = document;
  lh_range v[NAMES];
  way w = {0};
  lh_status st;

  (void)call;
  st = lh_slip_words_density(a->solids_density, a->solids_density_error,
                             "/solids_density", "/solids_density_error", fault);
  if (st == LH_OK)
    st = lh_slip_words_weight(a->litre_weight_g, a->solids_density,
                              "/litre_weight_g", "/solids_density", fault);
  if (st == LH_OK) st = find_way(a, &w, fault);
  if (st == LH_OK) st = measure(a, &w, v, fault);
  if (st == LH_OK) answer(a, v, r);
  return st;
}

const lh_operation lh_op_coat = {
    .name = "coat",
    .help = "coat weight from a weighing; coats, g/m2 and mm turned about",
    .purpose =
        "Weigh jar and brush together before and after painting a known "
        "area (a wet\npot loses water while you weigh it; the jar hardly "
        "does): the coat weight in\ndry g/m2, and the same coat as mm wet, dry "
        "and fired.  A coat told in any of\nthese words is turned into the "
        "others.",
    .fields = &coat_table,
    .run = coat,
    .example = "{\"jar_loss_g\": 6.9, \"litre_weight_g\": 1380, "
               "\"area_cm2\": 100}",
};
