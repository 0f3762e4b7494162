/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stack_words.h"

#include <string.h>

#include "density.h"
#include "made.h"

const char *const lh_geometry_keys[] = {"d8_in", "d8_ex", "45_0", NULL};
const char *const lh_geometry_words[] = {
    "diffuse light, seen at 8 degrees, shine included",
    "diffuse light, seen at 8 degrees, shine excluded",
    "light at 45 degrees, seen from straight above", NULL};
const char *const lh_illuminant_keys[] = {"D65", "A", "D50", NULL};

#define OPTICS_ROWS(T)                                                        \
  LH_SPECTRUM_OF(T, absorption, "absorption_m2_g", false, 0, 1e4, "m2 per g", \
                 "K, under this glaze and firing."),                          \
      LH_SPECTRUM_OF(T, scattering, "scattering_m2_g", false, 0, 1e4,         \
                     "m2 per g", "S, under this glaze and firing."),          \
      LH_TEXT(T, name, "name", false, "What you call it.")

static const lh_field layer_rows[] = {
    OPTICS_ROWS(lh_layer_doc),
    {.key = "slip",
     .kind = LH_F_JSON,
     .offset = offsetof(lh_layer_doc, slip),
     .least = NAN,
     .most = NAN,
     .otherwise = NAN,
     .help = "Or a slip as a piece holds it (its name, K and S are taken), or "
             "the name "
             "of one that comes with the program (see slips)."},
    LH_NUMBER(lh_layer_doc, coat_g_m2, "coat_g_m2", true, 0, 1e5, NAN,
              "g per m2", "Dry weight of this coat."),
};
const lh_fields lh_layer_table = LH_FIELDS("layer", lh_layer_doc, layer_rows);

typedef struct {
  const char *id, *name;
  double *absorption, *scattering, *k_error, *s_error;
  double uncertainty_percent, litre_weight_g, solids_density, coat_g_m2;
  json_t *window;
  bool ground, invented;
  const char *optics_from;
  int read_by;
} part_doc;

static const lh_field part_rows[] = {
    LH_TEXT(part_doc, id, "id", false, "Its id."),
    OPTICS_ROWS(part_doc),
    LH_NUMBER(part_doc, uncertainty_percent, "uncertainty_percent", false, 0,
              100, NAN, "%", "How sure K and S are."),
    LH_SPECTRUM_OF(part_doc, k_error, "absorption_error_percent", false, 0, 1e9,
                   "%", "How sure K is, as learn tells it; passed over."),
    LH_SPECTRUM_OF(part_doc, s_error, "scattering_error_percent", false, 0, 1e9,
                   "%", "How sure S is, as learn tells it; passed over."),
    LH_NUMBER(part_doc, litre_weight_g, "litre_weight_g", false, 1001, 2500,
              NAN, "g per litre", "As it is brushed."),
    LH_NUMBER(part_doc, solids_density, "solids_density", false, 1.5, 6, 2.6,
              "relative to water", "Of its dry solids."),
    LH_NUMBER(part_doc, coat_g_m2, "coat_g_m2", false, 0.1, 5000, NAN,
              "g per m2", "Dry weight of one coat."),
    {.key = "window",
     .kind = LH_F_JSON,
     .offset = offsetof(part_doc, window),
     .least = NAN,
     .most = NAN,
     .otherwise = NAN,
     .help = "Coat weights between which its colour is right."},
    LH_FLAG(part_doc, ground, "ground", 0, "Laid first, under others."),
    LH_FLAG(part_doc, invented, "invented", 0, "Made up, not measured."),
    LH_TEXT(part_doc, optics_from, "optics_from", false,
            "Where K and S are from."),
    LH_CHOICE(part_doc, read_by, "tiles_read_by", false, lh_slip_readers, NAN,
              "With what its tiles were read."),
};
static const lh_fields part_table = LH_FIELDS("slip", part_doc, part_rows);

static const lh_field substrate_rows[] = {
    LH_SPECTRUM_OF(lh_substrate_doc, reflectance, "reflectance", true, 0, 1,
                   "fraction",
                   "Internal: of body or ground as glazed, without the "
                   "glaze's surface."),
};
const lh_fields lh_substrate_table =
    LH_FIELDS("substrate", lh_substrate_doc, substrate_rows);

static const lh_field glaze_rows[] = {
    LH_NUMBER(lh_glaze_ask, index, "index", false, 1, 4, 1.5, "air is 1",
              "Refractive index (1.5 is that of window glass)."),
    LH_SPECTRUM_OF(
        lh_glaze_ask, optical_depth, "optical_depth", false, 0, 1e4,
        "natural log of 1/transmittance",
        "Straight through the glaze as it lies there; without it clear."),
    LH_NUMBER(lh_glaze_ask, eats_g_m2, "eats_g_m2", false, 0, 2000, 0,
              "g per m2", "Dry slip that the glaze dissolves in the fire."),
    LH_NUMBER(lh_glaze_ask, dissolved_share, "dissolved_share", false, 0, 1,
              LH_DISSOLVED_SHARE, "fraction",
              "How much of the dissolved slip's colour stays in the glaze (a "
              "judgement)."),
};
const lh_fields lh_glaze_ask_table =
    LH_FIELDS("glaze", lh_glaze_ask, glaze_rows);

/* Defaults as lh_stack_doubt_default has them. */
static const lh_field doubt_rows[] = {
    LH_NUMBER(lh_doubt_doc, absorption, "absorption_percent", false, 0, 100, 10,
              "%", "How sure K is, one standard deviation (a judgement)."),
    LH_NUMBER(lh_doubt_doc, scattering, "scattering_percent", false, 0, 100, 10,
              "%", "How sure S is (a judgement)."),
    LH_NUMBER(lh_doubt_doc, coat, "coat_percent", false, 0, 100, 20, "%",
              "How evenly the brush lays a coat (a judgement)."),
    LH_NUMBER(lh_doubt_doc, depth, "optical_depth_percent", false, 0, 100, 15,
              "%", "How sure the glaze's weight is (a judgement)."),
    LH_NUMBER(lh_doubt_doc, substrate, "substrate_percent", false, 0, 100, 3,
              "%", "How sure the body's reflectance is (a judgement)."),
};
const lh_fields lh_doubt_table =
    LH_FIELDS("uncertainty", lh_doubt_doc, doubt_rows);

/* Is it a key that a piece's slip may have? */
static bool known(const char *key)
{
  for (size_t i = 0; i < lh_slip_fields.count; i++)
    if (strcmp(lh_slip_fields.list[i].key, key) == 0) return true;
  return false;
}

/* What the colour operations look at, and what a piece does not know (which
** the reader then refuses by its name). */
static json_t *own_part(const json_t *slip)
{
  json_t *own = json_object(), *v;
  const char *key;

  json_object_foreach((json_t *)slip, key, v)
  {
    bool wanted = !known(key);
    for (size_t i = 0; i < part_table.count; i++)
      wanted = wanted || strcmp(part_table.list[i].key, key) == 0;
    if (own && wanted) json_object_set(own, key, v);
  }
  return own;
}

/* A slip that comes with the program. */
static lh_status named_slip(const char *name, const char *where, lh_arena *a,
                            lh_slip_part *part, lh_fault *fault)
{
  lh_made *m = lh_arena_take(a, 1, sizeof *m);
  size_t i = lh_made_find(name);
  const char *near = lh_made_near(name);

  if (!m) return lh_fault_plain(fault, LH_NOMEM, where);
  if (i == lh_made_count())
    return lh_fault_say(fault, LH_INPUT, where,
                        "see leatherhard slips, or give the slip itself, with "
                        "absorption_m2_g and scattering_m2_g",
                        "no slip \"%.60s\" comes with the program%s%s%s", name,
                        near ? "; the nearest is \"" : "", near ? near : "",
                        near ? "\"" : "");
  lh_made_take(i, m);
  *part = (lh_slip_part){.id = m->id,
                         .name = m->name,
                         .absorption = m->absorption,
                         .scattering = m->scattering,
                         .uncertainty_percent = m->uncertainty_percent,
                         .litre_weight_g = m->litre_weight_g,
                         .solids_density = LH_SOLIDS_DENSITY,
                         .coat_g_m2 = m->coat_g_m2,
                         .best_g_m2 = NAN,
                         .invented = true,
                         .optics_from = LH_MADE_MARK};
  return LH_OK;
}

lh_status lh_stack_words_slip(const json_t *slip, const lh_at *at, lh_arena *a,
                              lh_slip_part *part, lh_fault *fault)
{
  json_t *own;
  part_doc d;
  lh_status st;
  char where[128];

  lh_at_pointer(at, where, sizeof where);
  if (json_is_string(slip))
    return named_slip(json_string_value(slip), where, a, part, fault);
  if (!json_is_object(slip))
    return lh_fault_say(fault, LH_INPUT, where,
                        "give the slip itself, or the name of one that comes "
                        "with the program (leatherhard slips)",
                        "a slip stands here as an object or a name");
  own = own_part(slip);
  st = own ? lh_fields_read(&part_table, own, at, a, &d, fault)
           : lh_fault_plain(fault, LH_NOMEM, where);
  json_decref(own);
  if (st != LH_OK) return st;
  *part = (lh_slip_part){d.id,
                         d.name,
                         d.absorption,
                         d.scattering,
                         d.uncertainty_percent,
                         d.litre_weight_g,
                         d.solids_density,
                         d.coat_g_m2,
                         NAN,
                         d.ground,
                         d.read_by == LH_READ_PHOTOGRAPH,
                         d.invented,
                         d.optics_from};
  if (json_is_number(json_object_get(d.window, "best_g_m2")))
    part->best_g_m2 = json_number_value(json_object_get(d.window, "best_g_m2"));
  if (part->absorption && part->scattering) return LH_OK;
  return lh_fault_say(fault, LH_INPUT, where,
                      "give absorption_m2_g and scattering_m2_g",
                      "the slip's K or S is missing");
}

const char *lh_slip_part_name(const lh_slip_part *part)
{
  return part->name ? part->name : part->id ? part->id : "the slip";
}

const char *lh_slip_part_mark(const lh_slip_part *part)
{
  return lh_made_mark(part->invented, part->optics_from);
}

void lh_stack_words_mark(lh_reply *r, const char *begin, const char *mark)
{
  if (!mark) return;
  lh_reply_string(r, NULL, "mark", mark);
  lh_reply_text(r, "%s%s.", begin, mark);
}

lh_slip_optics *lh_slip_part_optics(const lh_slip_part *part, lh_arena *a)
{
  lh_slip_optics *optics = lh_arena_take(a, 1, sizeof *optics);

  if (!optics) return NULL;
  memcpy(optics->absorption, part->absorption, sizeof optics->absorption);
  memcpy(optics->scattering, part->scattering, sizeof optics->scattering);
  return optics;
}

/* A layer's slip, told by itself or by its K and S. */
static lh_status read_layer(lh_layer_doc *d, const lh_at *list, size_t i,
                            lh_arena *a, lh_stack_layer *layer, lh_fault *fault)
{
  const lh_at item = {list, NULL, i}, at = {&item, "slip", 0};
  lh_slip_part part = {.absorption = d->absorption,
                       .scattering = d->scattering};
  char where[128];
  bool twice = d->slip && (d->absorption || d->scattering);

  lh_at_pointer(&item, where, sizeof where);
  if (d->slip && !twice) {
    lh_status st = lh_stack_words_slip(d->slip, &at, a, &part, fault);
    if (st != LH_OK) return st;
  }
  if (twice || !part.absorption || !part.scattering)
    return lh_fault_say(fault, LH_INPUT, where,
                        "give slip, or absorption_m2_g and scattering_m2_g",
                        twice ? "the slip is told twice"
                              : "the slip's K or S is missing");
  d->mark = lh_slip_part_mark(&part);
  *layer = (lh_stack_layer){lh_slip_part_optics(&part, a), d->coat_g_m2};
  return layer->slip ? LH_OK : lh_fault_plain(fault, LH_NOMEM, where);
}

lh_status lh_stack_words_layers(const lh_list *list, const lh_at *at,
                                lh_arena *a, lh_stack_layer *layers,
                                lh_fault *fault)
{
  lh_layer_doc *doc = list->items;
  lh_status st = LH_OK;

  for (size_t i = 0; i < list->count && st == LH_OK; i++) {
    st = read_layer(&doc[i], at, i, a, &layers[i], fault);
    /* The same slip in two layers is one slip: what is unsure of it is unsure
    ** of both alike. */
    for (size_t j = 0; st == LH_OK && j < i; j++)
      if (memcmp(layers[i].slip, layers[j].slip, sizeof *layers[i].slip) == 0)
        layers[i].slip = layers[j].slip;
  }
  return st;
}

const char *lh_stack_words_layers_mark(const lh_list *list)
{
  const lh_layer_doc *doc = list->items;
  const char *mark = NULL;

  for (size_t i = 0; i < list->count; i++)
    mark = lh_made_plainer(mark, doc[i].mark);
  return mark;
}

lh_glaze lh_stack_words_glaze(const lh_glaze_ask *doc)
{
  lh_glaze g = {.index = doc->index,
                .eaten = doc->eats_g_m2,
                .share = doc->dissolved_share};

  if (doc->optical_depth)
    memcpy(g.optical_depth, doc->optical_depth, sizeof g.optical_depth);
  return g;
}

lh_stack_doubt lh_stack_words_doubt(const lh_doubt_doc *d)
{
  if (!d) return lh_stack_doubt_default();
  return (lh_stack_doubt){d->absorption / 100, d->scattering / 100,
                          d->coat / 100, d->depth / 100, d->substrate / 100};
}
