/* SPDX-License-Identifier: GPL-3.0-or-later */
/* shade.c -- the operation `shade`: the fired colour of a stack of slips. */
#include <math.h>

#include "colour_words.h"
#include "stack_words.h"

typedef struct {
  lh_list stack;
  lh_substrate_doc *substrate;
  lh_glaze_ask *glaze;
  lh_doubt_doc *doubt;
  int geometry, illuminant;
} shade_ask;

static const lh_field shade_rows[] = {
    LH_LIST(shade_ask, stack, "stack_top_first", true, lh_layer_table,
            LH_STACK_LAYERS, "The slips, the uppermost first; may be empty."),
    LH_OBJECT(shade_ask, substrate, "substrate", true, lh_substrate_table,
              "What lies below them."),
    LH_OBJECT(shade_ask, glaze, "glaze", false, lh_glaze_ask_table,
              "The glaze on top; null or absent: bare."),
    LH_GEOMETRY_FIELD(shade_ask),
    LH_ILLUMINANT_FIELD(shade_ask),
    LH_OBJECT(shade_ask, doubt, "uncertainty", false, lh_doubt_table,
              "How sure the numbers are."),
};
static const lh_fields shade_table = LH_FIELDS("shade", shade_ask, shade_rows);

static void put(const shade_ask *a, const double R[LH_WAVES],
                const lh_stack_range *range, lh_reply *r)
{
  lh_illuminant ill = (lh_illuminant)a->illuminant;
  lh_xyz c = lh_spectrum_xyz(R, ill), w = lh_spectrum_white(ill);
  lh_lab lab = lh_xyz_lab(c, w);
  json_t *to;

  lh_reply_numbers(r, NULL, "reflectance", R, LH_WAVES);
  lh_colour_words_put(r, c, lab, lh_spectrum_srgb(c, ill));
  lh_reply_string(r, NULL, "geometry", lh_geometry_keys[a->geometry]);
  lh_reply_string(r, NULL, "illuminant", lh_illuminant_keys[a->illuminant]);
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
  lh_stack_doubt d = lh_stack_words_doubt(a->doubt);
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
  lh_reply_text(r, "Under %s, %s%s.", lh_illuminant_keys[a->illuminant],
                lh_geometry_words[a->geometry], a->glaze ? "" : "; no glaze");
}

static lh_status shade(const lh_call *call, const void *document, lh_reply *r,
                       lh_fault *fault)
{
  static const lh_at at = {NULL, "stack_top_first", 0};
  const shade_ask *a = document;
  lh_stack_layer layers[LH_STACK_LAYERS];
  lh_glaze glaze;
  lh_stack s = {layers, a->stack.count, a->substrate->reflectance,
                a->glaze ? &glaze : NULL, (lh_geometry)a->geometry};
  lh_stack_doubt doubt = lh_stack_words_doubt(a->doubt);
  lh_stack_range range;
  double R[LH_WAVES];
  lh_status st;

  st = lh_stack_words_layers(&a->stack, &at, call->arena, layers, fault);
  if (st != LH_OK) return st;
  if (a->glaze) glaze = lh_stack_words_glaze(a->glaze);
  st = lh_stack_reflectance(&s, R);
  if (st == LH_OK)
    st = lh_stack_spread(&s, (lh_illuminant)a->illuminant, &doubt, &range);
  if (st != LH_OK)
    return lh_fault_say(fault, st, "/", "correct the optical numbers",
                        "the fired colour cannot be worked out");
  put(a, R, &range, r);
  say(a, R, &range, r);
  lh_stack_words_mark(r, "Some of it is ",
                      lh_stack_words_layers_mark(&a->stack));
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
