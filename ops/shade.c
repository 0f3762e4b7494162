/* SPDX-License-Identifier: GPL-3.0-or-later */
/* shade.c -- the operation `shade`: the fired colour of a stack of slips. */
#include <math.h>
#include <string.h>

#include "colour_words.h"
#include "stack.h"

typedef struct {
  json_t *slip;
  const char *name;
  double *absorption, *scattering, coat_g_m2;
} layer_doc;

typedef struct {
  const char *name;
  double *absorption, *scattering;
} slip_part;

typedef struct {
  double *reflectance;
} substrate_doc;

typedef struct {
  double index, *optical_depth, eats_g_m2, dissolved_share;
} shade_glaze_doc;

typedef struct {
  double absorption, scattering, coat, depth, substrate;
} doubt_doc;

typedef struct {
  lh_list stack;
  substrate_doc *substrate;
  shade_glaze_doc *glaze;
  doubt_doc *doubt;
  int geometry, illuminant;
} shade_ask;

static const char *const geometries[] = {"d8_in", "d8_ex", "45_0", NULL};
static const char *const geometry_words[] = {
    "diffuse light, seen at 8 degrees, shine included",
    "diffuse light, seen at 8 degrees, shine excluded",
    "light at 45 degrees, seen from straight above"};
static const char *const illuminants[] = {"D65", "A", "D50", NULL};

#define OPTICS_ROWS(T)                                                        \
  LH_SPECTRUM_OF(T, absorption, "absorption_m2_g", false, 0, 1e4, "m2 per g", \
                 "K, under this glaze and firing."),                          \
      LH_SPECTRUM_OF(T, scattering, "scattering_m2_g", false, 0, 1e4,         \
                     "m2 per g", "S, under this glaze and firing."),          \
      LH_TEXT(T, name, "name", false, "What you call it.")

static const lh_field layer_rows[] = {
    OPTICS_ROWS(layer_doc),
    {.key = "slip",
     .kind = LH_F_JSON,
     .offset = offsetof(layer_doc, slip),
     .least = NAN,
     .most = NAN,
     .otherwise = NAN,
     .help = "Or a slip as a piece holds it; its name, K and S are taken."},
    LH_NUMBER(layer_doc, coat_g_m2, "coat_g_m2", true, 0, 1e5, NAN, "g per m2",
              "Dry weight of this coat."),
};
static const lh_fields layer_table = LH_FIELDS("layer", layer_doc, layer_rows);

static const lh_field slip_part_rows[] = {OPTICS_ROWS(slip_part)};
static const lh_fields slip_part_table =
    LH_FIELDS("slip", slip_part, slip_part_rows);

static const lh_field substrate_rows[] = {
    LH_SPECTRUM_OF(substrate_doc, reflectance, "reflectance", true, 0, 1,
                   "fraction",
                   "Internal: of body or ground as glazed, without the "
                   "glaze's surface."),
};
static const lh_fields substrate_table =
    LH_FIELDS("substrate", substrate_doc, substrate_rows);

static const lh_field shade_glaze_rows[] = {
    LH_NUMBER(shade_glaze_doc, index, "index", false, 1, 4, 1.5, "air is 1",
              "Refractive index (1.5 is that of window glass)."),
    LH_SPECTRUM_OF(
        shade_glaze_doc, optical_depth, "optical_depth", false, 0, 1e4,
        "natural log of 1/transmittance",
        "Straight through the glaze as it lies there; without it clear."),
    LH_NUMBER(shade_glaze_doc, eats_g_m2, "eats_g_m2", false, 0, 2000, 0,
              "g per m2", "Dry slip that the glaze dissolves in the fire."),
    LH_NUMBER(shade_glaze_doc, dissolved_share, "dissolved_share", false, 0, 1,
              0.25, "fraction",
              "How much of the dissolved slip's colour stays in the glaze (a "
              "judgement)."),
};
static const lh_fields shade_glaze_table =
    LH_FIELDS("glaze", shade_glaze_doc, shade_glaze_rows);

/* Defaults as lh_stack_doubt_default has them. */
static const lh_field doubt_rows[] = {
    LH_NUMBER(doubt_doc, absorption, "absorption_percent", false, 0, 100, 10,
              "%", "How sure K is, one standard deviation (a judgement)."),
    LH_NUMBER(doubt_doc, scattering, "scattering_percent", false, 0, 100, 10,
              "%", "How sure S is (a judgement)."),
    LH_NUMBER(doubt_doc, coat, "coat_percent", false, 0, 100, 20, "%",
              "How evenly the brush lays a coat (a judgement)."),
    LH_NUMBER(doubt_doc, depth, "optical_depth_percent", false, 0, 100, 15, "%",
              "How sure the glaze's weight is (a judgement)."),
    LH_NUMBER(doubt_doc, substrate, "substrate_percent", false, 0, 100, 3, "%",
              "How sure the body's reflectance is (a judgement)."),
};
static const lh_fields doubt_table =
    LH_FIELDS("uncertainty", doubt_doc, doubt_rows);

static const lh_field shade_rows[] = {
    LH_LIST(shade_ask, stack, "stack_top_first", true, layer_table,
            LH_STACK_LAYERS, "The slips, the uppermost first; may be empty."),
    LH_OBJECT(shade_ask, substrate, "substrate", true, substrate_table,
              "What lies below them."),
    LH_OBJECT(shade_ask, glaze, "glaze", false, shade_glaze_table,
              "The glaze on top; null or absent: bare."),
    LH_CHOICE(shade_ask, geometry, "geometry", false, geometries, LH_D8_IN,
              "How it is lit and seen."),
    LH_CHOICE(shade_ask, illuminant, "illuminant", false, illuminants, LH_D65,
              "Daylight D65, a lamp's A, or the print trade's D50."),
    LH_OBJECT(shade_ask, doubt, "uncertainty", false, doubt_table,
              "How sure the numbers are."),
};
static const lh_fields shade_table = LH_FIELDS("shade", shade_ask, shade_rows);

/* The optical part of a slip taken from a piece: what else it holds (recipe,
** litre weight) says nothing of colour. */
static lh_status read_slip(const json_t *slip, const lh_at *at, lh_arena *a,
                           slip_part *part, lh_fault *fault)
{
  json_t *own;
  lh_status st;
  char where[128];

  lh_at_pointer(at, where, sizeof where);
  if (!json_is_object(slip))
    return lh_fault_say(fault, LH_INPUT, where,
                        "give the slip itself, with absorption_m2_g and "
                        "scattering_m2_g",
                        "a slip stands here as an object, not as a name");
  own = json_object();
  for (size_t i = 0; own && i < slip_part_table.count; i++) {
    const char *key = slip_part_table.list[i].key;
    json_t *v = json_object_get(slip, key);
    if (v) json_object_set(own, key, v);
  }
  st = own ? lh_fields_read(&slip_part_table, own, at, a, part, fault)
           : lh_fault_plain(fault, LH_NOMEM, where);
  json_decref(own);
  return st;
}

/* A layer's slip, told by itself or by its K and S. */
static lh_status read_layer(const layer_doc *d, size_t i, lh_arena *a,
                            lh_stack_layer *layer, lh_fault *fault)
{
  const lh_at list = {NULL, "stack_top_first", 0}, item = {&list, NULL, i};
  const lh_at at = {&item, "slip", 0};
  slip_part part = {d->name, d->absorption, d->scattering};
  lh_slip_optics *optics = lh_arena_take(a, 1, sizeof *optics);
  char where[128];
  bool twice = d->slip && (d->absorption || d->scattering);

  if (!optics) return lh_fault_plain(fault, LH_NOMEM, "/stack_top_first");
  if (d->slip && !twice) {
    lh_status st = read_slip(d->slip, &at, a, &part, fault);
    if (st != LH_OK) return st;
  }
  lh_at_pointer(&item, where, sizeof where);
  if (twice || !part.absorption || !part.scattering)
    return lh_fault_say(fault, LH_INPUT, where,
                        "give slip, or absorption_m2_g and scattering_m2_g",
                        twice ? "the slip is told twice"
                              : "the slip's K or S is missing");
  memcpy(optics->absorption, part.absorption, sizeof optics->absorption);
  memcpy(optics->scattering, part.scattering, sizeof optics->scattering);
  *layer = (lh_stack_layer){optics, d->coat_g_m2};
  return LH_OK;
}

/* The same slip in two layers is one slip: what is unsure of it is unsure of
** both alike. */
static void share_slips(lh_stack_layer *layers, size_t n)
{
  for (size_t i = 1; i < n; i++)
    for (size_t j = 0; j < i; j++)
      if (memcmp(layers[i].slip, layers[j].slip, sizeof *layers[i].slip) == 0)
        layers[i].slip = layers[j].slip;
}

static lh_stack_doubt doubt_of(const doubt_doc *d)
{
  if (!d) return lh_stack_doubt_default();
  return (lh_stack_doubt){d->absorption / 100, d->scattering / 100,
                          d->coat / 100, d->depth / 100, d->substrate / 100};
}

static void put(const shade_ask *a, const double R[LH_WAVES],
                const lh_stack_range *range, lh_reply *r)
{
  lh_illuminant ill = (lh_illuminant)a->illuminant;
  lh_xyz c = lh_spectrum_xyz(R, ill), w = lh_spectrum_white(ill);
  lh_lab lab = lh_xyz_lab(c, w);
  json_t *to;

  lh_reply_numbers(r, NULL, "reflectance", R, LH_WAVES);
  lh_colour_words_put(r, c, lab, lh_spectrum_srgb(c, ill));
  lh_reply_string(r, NULL, "geometry", geometries[a->geometry]);
  lh_reply_string(r, NULL, "illuminant", illuminants[a->illuminant]);
  lh_reply_numbers(r, NULL, "white_xyz", (double[]){w.x, w.y, w.z}, 3);
  to = lh_reply_object(r, NULL, "range");
  lh_reply_range(r, to, "L", range->L.low, range->L.high);
  lh_reply_range(r, to, "a", range->a.low, range->a.high);
  lh_reply_range(r, to, "b", range->b.low, range->b.high);
  lh_reply_number(r, to, "delta_e00", range->radius);
}

/* A tenth is shown; what rounds to nothing is shown without a sign. */
static double tenth(double v)
{
  return fabs(v) < 0.05 ? 0.0 : v;
}

static void say_range(lh_reply *r, const char *what, lh_range v,
                      const char *ends)
{
  lh_reply_row(r, "%s\t%.1f\t%.1f to %.1f\t%s", what, tenth(v.value),
               tenth(v.low), tenth(v.high), ends);
}

static void say(const shade_ask *a, const double R[LH_WAVES],
                const lh_stack_range *g, lh_reply *r)
{
  lh_illuminant ill = (lh_illuminant)a->illuminant;
  lh_rgb s = lh_spectrum_srgb(lh_spectrum_xyz(R, ill), ill);
  lh_stack_doubt d = doubt_of(a->doubt);
  char hex[8];

  lh_srgb_hex(s, hex);
  lh_reply_title(r,
                 "fires to %s, L* %.1f a* %.1f b* %.1f, give or take dE00 %.1f",
                 hex, g->L.value, g->a.value, g->b.value, g->radius);
  say_range(r, "L*", g->L, "black to white");
  say_range(r, "a*", g->a, "green to red");
  say_range(r, "b*", g->b, "blue to yellow");
  lh_colour_words_gamut(r, s);
  lh_reply_text(r,
                "Ranges: nine times in ten, if K is known to %.0f %%, S to "
                "%.0f %%, coats to %.0f %%, the glaze to %.0f %% and the "
                "ground to %.0f %%%s.  What the fire adds is not in them.",
                100 * d.absorption, 100 * d.scattering, 100 * d.coat,
                100 * d.depth, 100 * d.substrate,
                a->doubt ? "" : " (judgements)");
  lh_reply_text(r, "Under %s, %s%s.", illuminants[a->illuminant],
                geometry_words[a->geometry], a->glaze ? "" : "; no glaze");
}

static lh_status shade(const lh_call *call, const void *document, lh_reply *r,
                       lh_fault *fault)
{
  const shade_ask *a = document;
  const layer_doc *doc = a->stack.items;
  lh_stack_layer layers[LH_STACK_LAYERS];
  lh_glaze glaze;
  lh_stack s = {layers, a->stack.count, a->substrate->reflectance,
                a->glaze ? &glaze : NULL, (lh_geometry)a->geometry};
  lh_stack_doubt doubt = doubt_of(a->doubt);
  lh_stack_range range;
  double R[LH_WAVES];
  lh_status st = LH_OK;

  for (size_t i = 0; i < a->stack.count && st == LH_OK; i++)
    st = read_layer(&doc[i], i, call->arena, &layers[i], fault);
  if (st != LH_OK) return st;
  share_slips(layers, a->stack.count);
  if (a->glaze) {
    glaze = (lh_glaze){.index = a->glaze->index,
                       .eaten = a->glaze->eats_g_m2,
                       .share = a->glaze->dissolved_share};
    if (a->glaze->optical_depth)
      memcpy(glaze.optical_depth, a->glaze->optical_depth,
             sizeof glaze.optical_depth);
  }
  st = lh_stack_reflectance(&s, R);
  if (st == LH_OK)
    st = lh_stack_spread(&s, (lh_illuminant)a->illuminant, &doubt, &range);
  if (st != LH_OK)
    return lh_fault_say(fault, st, "/", "correct the optical numbers",
                        "the fired colour cannot be worked out");
  put(a, R, &range, r);
  say(a, R, &range, r);
  return LH_OK;
}

const lh_operation lh_op_shade = {
    .name = "shade",
    .help = "the fired colour of slips over each other under a glaze",
    .purpose =
        "What a stack of slips fires to: each coat by its absorption K and "
        "scattering S\n(two-constant Kubelka-Munk), over the body or ground, "
        "under a glaze with its\nsurface and its own colour.  K and S belong "
        "to a slip with its glaze and its\nfiring.  The range says how far to "
        "trust it.",
    .fields = &shade_table,
    .run = shade,
    .example =
        "{\"stack_top_first\": [{\"name\": \"blue (invented)\", "
        "\"absorption_m2_g\": [0.013, 0.012, 0.011, 0.010, 0.009, 0.008, "
        "0.008, 0.008, 0.008, 0.009, 0.011, 0.015, 0.022, 0.031, 0.042, "
        "0.055, 0.068, 0.079, 0.087, 0.092, 0.095, 0.096, 0.095, 0.093, "
        "0.090, 0.087, 0.083, 0.076, 0.066, 0.053, 0.041, 0.031, 0.024, "
        "0.019, 0.016, 0.014], \"scattering_m2_g\": 0.01, "
        "\"coat_g_m2\": 120}], \"substrate\": {\"reflectance\": 0.75}, "
        "\"glaze\": {\"index\": 1.52, \"optical_depth\": 0.02}}",
};
