/* SPDX-License-Identifier: GPL-3.0-or-later */
/* learn.c -- the operation `learn`: what test tiles say of a slip. */
#include <math.h>
#include <string.h>

#include "density.h"
#include "learn_ask.h"
#include "learn_file.h"
#include "photograph.h"
#include "stack_words.h"

static const char *const dissolvings[] = {"none", "learn", NULL};
static const char *const readers[] = {"spectrum", "colorimeter", "photograph",
                                      NULL};

static const lh_field glaze_rows[] = {
    LH_NUMBER(lh_learn_glaze_ask, index, "index", false, 1, 4, 1.5, NULL,
              "Refractive index (1.5 is that of window glass)."),
    LH_SPECTRUM_OF(lh_learn_glaze_ask, absorption_m2_g, "absorption_m2_g",
                   false, 0, 1, "m2 per g",
                   "Its optical depth per coat weight, when known; else it is "
                   "learnt from tiles under two weights of glaze."),
    LH_CHOICE(lh_learn_glaze_ask, dissolving, "dissolving", false, dissolvings,
              NAN,
              "Whether the glaze eats of the slip: learnt when five coat "
              "weights over two grounds are there, unless told."),
    LH_NUMBER(lh_learn_glaze_ask, eats_g_m2, "eats_g_m2", false, 0, 2000, NAN,
              "g per m2",
              "Or how much slip it dissolves, when known, as a piece's glaze "
              "has it: K and S are then those before it ate."),
    LH_NUMBER(lh_learn_glaze_ask, dissolved_share, "dissolved_share", false, 0,
              1, LH_DISSOLVED_SHARE, "fraction",
              "With eats_g_m2: how much of that colour stays in the glaze (a "
              "judgement)."),
};
static const lh_fields glaze_table =
    LH_FIELDS("glaze", lh_learn_glaze_ask, glaze_rows);

const char *const lh_stain_kinds[] = {"inert", "dissolving", NULL};

static const lh_field stain_rows[] = {
    LH_TEXT(lh_learn_stain_ask, name, "name", true, "Which it is."),
    LH_CHOICE(lh_learn_stain_ask, kind, "kind", true, lh_stain_kinds, NAN,
              "An inert stain mixes by weight, one K and S for all strengths; "
              "an oxide that dissolves has its own at each."),
};
static const lh_fields stain_table =
    LH_FIELDS("stain", lh_learn_stain_ask, stain_rows);

static const lh_field tile_rows[] = {
    LH_TEXT(lh_learn_tile_ask, name, "name", true, "What is written on it."),
    LH_TEXT(lh_learn_tile_ask, ground, "ground", true,
            "What lies below the slip: \"body\", \"white\", ..."),
    LH_NUMBER(lh_learn_tile_ask, coat_g_m2, "coat_g_m2", false, 0, 5000, NAN,
              "g per m2", "Dry slip on it; 0: the ground alone."),
    LH_NUMBER(lh_learn_tile_ask, coats, "coats", false, 0, 100, NAN, "coats",
              "Or coats of the brush, counted; needs one_coat_g_m2."),
    LH_NUMBER(lh_learn_tile_ask, jar_loss_g, "jar_loss_g", false, 0, 1e5, NAN,
              "g", "Or wet slip that left the jar; with area_cm2."),
    LH_NUMBER(lh_learn_tile_ask, area_cm2, "area_cm2", false, 0.01, 1e6, NAN,
              "cm2", "Area on which that lies."),
    LH_NUMBER(lh_learn_tile_ask, coat_error_percent, "coat_error_percent",
              false, 0.1, 90, NAN, "%",
              "How far the coat may be off, one standard deviation: 5 when "
              "weighed, 20 when counted (judgements)."),
    LH_NUMBER(lh_learn_tile_ask, glaze_g_m2, "glaze_g_m2", false, 0, 1e5, NAN,
              "g per m2", "Glaze weighed on, dry; absent: bare."),
    LH_NUMBER(lh_learn_tile_ask, stain_percent, "stain_percent", false, 0, 300,
              NAN, "% of the dry base",
              "How much stain is added to its slip; 0: the base alone."),
    LH_CHOICE(lh_learn_tile_ask, geometry, "geometry", false, lh_geometry_keys,
              NAN, "How it was lit and seen, when not as the others."),
    LH_SPECTRUM_OF(lh_learn_tile_ask, reflectance, "reflectance", false, 0, 1.4,
                   NULL, "What a spectrophotometer reads, 0 to 1."),
    {.key = "lab",
     .kind = LH_F_NUMBERS,
     .offset = offsetof(lh_learn_tile_ask, lab),
     .least = -500,
     .most = 500,
     .otherwise = NAN,
     .most_items = 3,
     .help = "Or L*, a*, b* under D65."},
};
static const lh_fields tile_table =
    LH_FIELDS("tile", lh_learn_tile_ask, tile_rows);

static const lh_field learn_rows[] = {
    LH_TEXT(lh_learn_ask, slip, "slip", false, "Which slip it is."),
    LH_OBJECT(lh_learn_ask, stain, "stain", false, stain_table,
              "The stain in it, when tiles of several strengths are told by "
              "stain_percent."),
    LH_NUMBER(lh_learn_ask, at_percent, "at_percent", false, 0, 300, NAN,
              "% of the dry base",
              "A strength at which K and S of the slip are wanted; needs "
              "stain."),
    LH_LIST(lh_learn_ask, tiles, "tiles", true, tile_table, LH_LEARN_TILES,
            "The tiles: slip over grounds, and each ground alone."),
    LH_LIST(lh_learn_ask, photographs, "photographs", false,
            lh_photograph_table, 16,
            "Or photographs that show them beside patches of known colour: "
            "a tile without lab takes the reading of its own name."),
    LH_SPECTRA_FILE_FIELDS(
        lh_learn_ask,
        "Or an instrument's file, CSV or CGATS.17 (ISO 28178) text: a tile "
        "without reflectance takes the sample of its own name."),
    LH_OBJECT(lh_learn_ask, glaze, "glaze", false, glaze_table,
              "The glaze on all of them; absent: all are bare."),
    LH_CHOICE(lh_learn_ask, read_by, "tiles_read_by", false, readers, NAN,
              "With what they were read; needed with lab."),
    LH_GEOMETRY_FIELD(lh_learn_ask),
    LH_NUMBER(lh_learn_ask, litre_weight_g, "litre_weight_g", false, 1001, 2500,
              NAN, "g per litre", "Of the slip; needed with jar_loss_g."),
    LH_NUMBER(lh_learn_ask, solids_density, "solids_density", false, 1.5, 6,
              LH_SOLIDS_DENSITY, "relative to water", "Of its dry solids."),
    LH_NUMBER(lh_learn_ask, one_coat_g_m2, "one_coat_g_m2", false, 0.01, 5000,
              NAN, "g per m2", "What one coat of your brush lays, dry."),
    LH_NUMBER(lh_learn_ask, reading_error, "reading_error", false, 1e-4, 0.2,
              0.003, "of full scale",
              "Of a spectrum's reading, one standard deviation (a judgement)."),
    LH_NUMBER(lh_learn_ask, lab_error, "lab_error", false, 0.05, 20, NAN, "dE",
              "Of L*, a* and b* each: 0.5 by colorimeter, 2 by photograph "
              "(judgements)."),
    LH_NUMBER(lh_learn_ask, smooth, "smoothness", false, 0.01, 10,
              LH_LEARN_SMOOTH, NULL,
              "How much ln K and ln S may bend from one wavelength to the "
              "next, one standard deviation (a judgement)."),
    LH_FLAG(lh_learn_ask, covariance, "covariance", 0,
            "In the JSON, from spectra: also how the errors of ln K (36) and "
            "ln S (36) go together, 72 rows of 72."),
};
static const lh_fields learn_table =
    LH_FIELDS("learn", lh_learn_ask, learn_rows);

/* Photographs are taken by a camera, unless told otherwise. */
static void by_camera(const lh_call *call, lh_learn_ask *ask)
{
  if (ask->read_by == LH_READ_PHOTOGRAPH &&
      !json_object_get(call->document, "geometry"))
    ask->geometry = LH_45_0;
}

/* One slip, or one stain at several strengths. */
static lh_status fit_and_tell(const lh_call *call, const lh_learn_ask *ask,
                              lh_learn_set *set, lh_reply *r, lh_fault *fault)
{
  lh_learn_fit *fit = lh_arena_take(call->arena, 1, sizeof *fit);
  lh_learn_strengths_set *s = lh_arena_take(call->arena, 1, sizeof *s);
  lh_status st;

  if (!fit || !s) return LH_NOMEM;
  if (ask->stain) {
    st = lh_learn_stain_fit(call, ask, s, fault);
    if (st == LH_OK) lh_learn_stain_tell(ask, s, r);
    return st;
  }
  st = set->three
           ? lh_learn_fit_three(&set->numbers, call->arena, call->watch, fit)
           : lh_learn_fit_spectra(&set->spectra, call->arena, call->watch, fit);
  if (st == LH_RANGE)
    return lh_fault_say(fault, st, "/tiles",
                        "look for a tile that was read or written down wrongly",
                        "no slip agrees with these tiles");
  if (st == LH_OK) lh_learn_tell(ask, set, fit, r);
  return st;
}

static lh_status learn(const lh_call *call, const void *document, lh_reply *r,
                       lh_fault *fault)
{
  lh_learn_ask own = *(const lh_learn_ask *)document, *ask = &own;
  struct lh_photograph_read *photographs = NULL;
  lh_learn_file *file = NULL;
  lh_learn_set *set = lh_arena_take(call->arena, 1, sizeof *set);
  lh_status st;

  if (!set) return LH_NOMEM;
  st = lh_learn_file_take(call, ask, &file, fault);
  if (st == LH_OK) st = lh_learn_photographs(call, ask, &photographs, fault);
  if (st == LH_OK) st = lh_learn_stain_good(ask, fault);
  if (st == LH_OK) by_camera(call, ask);
  if (st == LH_OK) st = lh_learn_ready(ask, call->arena, set, fault);
  if (st == LH_OK) st = fit_and_tell(call, ask, set, r, fault);
  if (st == LH_OK) lh_learn_photographs_tell(ask, photographs, r);
  if (st == LH_OK) lh_learn_file_tell(ask, file, r);
  return st;
}

const lh_operation lh_op_learn = {
    .name = "learn",
    .help = "a slip's optical numbers, from tiles of known coat weight",
    .purpose =
        "Paint one slip on tiles at different coat weights, over one or two "
        "grounds, keep\na tile of each ground alone, weigh the glaze on, fire, "
        "and read them: with a\nspectrophotometer (36 numbers, 380 to 730 nm), "
        "as L*, a*, b*, or in photographs\nbeside patches of known colour.  "
        "Out come K and S under this glaze and firing,\nwith their errors, and "
        "how well a tile that was left out is predicted: that is\nhow far to "
        "trust the colours worked out from them.",
    .fields = &learn_table,
    .run = learn,
    .example = "{\"slip\": \"iron amber (invented)\", \"tiles_read_by\": "
               "\"colorimeter\", \"glaze\": {}, \"tiles\": ["
               "{\"name\": \"body\", \"ground\": \"body\", \"coat_g_m2\": 0, "
               "\"glaze_g_m2\": 600, \"lab\": [38, 17, 19]}, "
               "{\"name\": \"1\", \"ground\": \"body\", \"coat_g_m2\": 60, "
               "\"glaze_g_m2\": 600, \"lab\": [47.1, 18.9, 31.6]}, "
               "{\"name\": \"2\", \"ground\": \"body\", \"coat_g_m2\": 120, "
               "\"glaze_g_m2\": 600, \"lab\": [50.9, 18.6, 36.5]}, "
               "{\"name\": \"3\", \"ground\": \"body\", \"coat_g_m2\": 240, "
               "\"glaze_g_m2\": 600, \"lab\": [52.6, 18.2, 38.9]}]}",
};
