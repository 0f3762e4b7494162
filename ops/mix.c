/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mix.c -- the operation `mix`: what to weigh for a slip. */
#include <math.h>

#include "coat.h"
#include "mix_room.h"
#include "slip_words.h"

static const lh_field part_rows[] = {
    LH_TEXT(lh_part_doc, material, "material", true, "The material's name."),
    LH_NUMBER(lh_part_doc, parts, "parts", true, 0, LH_RECIPE_AMOUNT_MAX, NAN,
              "parts", "How many parts by weight."),
};
static const lh_fields part_table = LH_FIELDS("line", lh_part_doc, part_rows);

static const lh_field addition_rows[] = {
    LH_TEXT(lh_addition_doc, material, "material", true,
            "The material's name."),
    LH_NUMBER(lh_addition_doc, percent, "percent", true, 0, 1000, NAN,
              "% of the parts", "How much is added to 100 of the parts."),
};
static const lh_fields addition_table =
    LH_FIELDS("addition", lh_addition_doc, addition_rows);

static const char *const kinds[] = {"glaze", "slip", "body", NULL};

#define UNUSED(KEY)                                                         \
  {                                                                         \
    .key = KEY, .kind = LH_F_JSON, .offset = offsetof(lh_mix_slip, unused), \
    .least = NAN, .most = NAN, .otherwise = NAN,                            \
    .help = "Of a slip copied from a piece; not used here."                 \
  }
static const lh_field slip_rows[] = {
    LH_TEXT(lh_mix_slip, name, "name", false, "What you call it."),
    LH_OBJECT(lh_mix_slip, recipe, "recipe", false, lh_recipe_table,
              "Its recipe; or give lines and additions here."),
    LH_CHOICE(lh_mix_slip, bare.kind, "kind", false, kinds, LH_KIND_SLIP,
              "What the recipe is for."),
    LH_LIST(lh_mix_slip, bare.lines, "lines", false, part_table, 60,
            "Parts by weight, usually adding to 100."),
    LH_LIST(lh_mix_slip, bare.additions, "additions", false, addition_table, 60,
            "Stains, oxides and the like, in % of the parts."),
    LH_NUMBER(lh_mix_slip, litre_weight_g, "litre_weight_g", false, 0, 20000,
              NAN, "g per litre", "As it is brushed."),
    LH_NUMBER(lh_mix_slip, solids_density, "solids_density", false, 0, 20, NAN,
              "relative to water", "Of its dry solids."),
    LH_NUMBER(lh_mix_slip, coat_g_m2, "coat_g_m2", false, 0.01, 1e5, NAN,
              "g per m2", "Dry weight of one coat, by your own brush."),
    UNUSED("id"),
    UNUSED("from"),
    UNUSED("absorption_m2_g"),
    UNUSED("scattering_m2_g"),
    UNUSED("uncertainty_percent"),
    UNUSED("window"),
    UNUSED("ground"),
    UNUSED("invented"),
    UNUSED("optics_from"),
    UNUSED("tiles_read_by"),
    UNUSED("note"),
};
static const lh_fields slip_table = LH_FIELDS("slip", lh_mix_slip, slip_rows);

static const lh_field mix_rows[] = {
    LH_OBJECT(lh_mix_ask, slip, "slip", true, slip_table, "The slip to mix."),
    LH_LIST(lh_mix_ask, materials, "materials", false, lh_material_table, 200,
            "Your materials: analysis, density, price, stock."),
    LH_NUMBER(lh_mix_ask, dry_g, "dry_g", false, 0, 1e9, NAN, "g",
              "How much dry slip to make; or give area_cm2 and a coat."),
    LH_NUMBER(lh_mix_ask, area_cm2, "area_cm2", false, 0, 1e8, NAN, "cm2",
              "Area to cover on one pot."),
    LH_NUMBER(lh_mix_ask, coat_g_m2, "coat_g_m2", false, 0, 1e5, NAN,
              "g per m2", "Dry coat weight on it; or wet_mm; or coats."),
    LH_NUMBER(lh_mix_ask, wet_mm, "wet_mm", false, 0, 50, NAN, "mm",
              "Or its thickness as laid."),
    LH_NUMBER(lh_mix_ask, coats, "coats", false, 0, 100, NAN, "coats",
              "Or coats of the brush; needs the slip's coat_g_m2."),
    LH_NUMBER(lh_mix_ask, pots, "pots", false, 0, 1e6, 1, "pots",
              "How many pots."),
    LH_NUMBER(lh_mix_ask, waste_percent, "waste_percent", false, 0, 500, 15,
              "%", "Lost in brush and bowl, over the need (a judgement)."),
    LH_NUMBER(lh_mix_ask, residue_g, "residue_g", false, 0, 1e6, 0, "g",
              "Dry slip that stays in the jar."),
    LH_NUMBER(lh_mix_ask, litre_weight_g, "litre_weight_g", false, 0, 20000,
              NAN, "g per litre", "To mix to; without it the slip's own."),
    LH_NUMBER(lh_mix_ask, solids_density, "solids_density", false, 0, 20, NAN,
              "relative to water",
              "Of the dry slip; without it the slip's own, or that of its "
              "materials, or 2.6."),
    LH_NUMBER(lh_mix_ask, solids_density_error, "solids_density_error", false,
              0, 10, LH_SOLIDS_DENSITY_ERROR, "relative to water",
              "How far solids_density may be off (a judgement)."),
    LH_NUMBER(lh_mix_ask, scale_step_g, "scale_step_g", false, 0.0001, 1000,
              0.1, "g", "What your scale shows."),
    LH_NUMBER(lh_mix_ask, spare_percent, "spare_percent", false, 0, 100,
              100 * LH_BATCH_SPARE, "%",
              "How much more may be made so that the lines fall on the "
              "scale's steps (a judgement)."),
};
static const lh_fields mix_table = LH_FIELDS("mix", lh_mix_ask, mix_rows);

static lh_status read_recipe(const lh_call *call, lh_mixing *m, lh_fault *fault)
{
  static const lh_at at_slip = {NULL, "slip", 0};
  static const lh_at at_recipe = {&at_slip, "recipe", 0};
  const lh_mix_slip *s = m->ask->slip;
  const lh_recipe_doc *doc = s->recipe ? s->recipe : &s->bare;

  if (s->recipe && (s->bare.lines.count || s->bare.additions.count)) {
    return lh_fault_say(fault, LH_INPUT, "/slip/lines",
                        "take out /slip/recipe or these",
                        "the recipe is told twice");
  }
  if (doc->lines.count == 0) {
    return lh_fault_say(
        fault, LH_INPUT, s->recipe ? "/slip/recipe/lines" : "/slip/lines",
        "give lines of material and parts", "the slip has no recipe to weigh");
  }
  return lh_recipe_find(doc, &m->ask->materials,
                        s->recipe ? &at_recipe : &at_slip, NULL, call->arena,
                        &m->recipe, fault);
}

static lh_status fill_lines(const lh_call *call, lh_mixing *m)
{
  size_t n = m->recipe.count;

  m->line = lh_arena_take(call->arena, n, sizeof *m->line);
  m->out = lh_arena_take(call->arena, n, sizeof *m->out);
  if (!m->line || !m->out) return LH_NOMEM;
  for (size_t i = 0; i < n; i++) {
    m->line[i].parts = m->recipe.lines[i].amount;
    m->line[i].is_addition = m->recipe.lines[i].addition;
    m->line[i].price_per_kg = m->recipe.found[i].price_per_kg;
    m->line[i].stock_g = m->recipe.found[i].stock_g;
  }
  return LH_OK;
}

/* The density of the dry slip: as told, or of its materials, or the usual. */
static lh_status find_density(const lh_call *call, lh_mixing *m)
{
  size_t n = m->recipe.count;
  double parts = 0.0;
  double *g = lh_arena_take(call->arena, n, sizeof *g);
  double *d = lh_arena_take(call->arena, n, sizeof *d);

  if (!g || !d) return LH_NOMEM;
  for (size_t i = 0; i < n; i++)
    if (!m->line[i].is_addition) parts += m->line[i].parts;
  for (size_t i = 0; i < n; i++) {
    g[i] = m->line[i].parts * (m->line[i].is_addition ? parts / 100.0 : 1.0);
    d[i] = m->recipe.found[i].density;
  }
  m->density_from = "given";
  m->batch.solids_density = m->ask->solids_density;
  if (isnan(m->batch.solids_density))
    m->batch.solids_density = m->ask->slip->solids_density;
  if (!isnan(m->batch.solids_density)) return LH_OK;
  m->density_from = "materials";
  if (lh_slip_solids_density(g, d, n, &m->batch.solids_density) == LH_OK)
    return LH_OK;
  m->density_from = "default";
  m->batch.solids_density = LH_SOLIDS_DENSITY;
  return LH_OK;
}

static lh_status find_weight(lh_mixing *m, lh_fault *fault)
{
  const lh_mix_ask *a = m->ask;
  const char *where = "/litre_weight_g", *where_s = "/solids_density";
  lh_status st;

  m->batch.litre_weight = a->litre_weight_g;
  if (isnan(a->litre_weight_g)) {
    m->batch.litre_weight = a->slip->litre_weight_g;
    where = "/slip/litre_weight_g";
  }
  if (isnan(m->batch.litre_weight)) {
    return lh_fault_say(fault, LH_INPUT, "/litre_weight_g",
                        "give the litre weight at which you brush it, such "
                        "as 1400",
                        "the litre weight to mix to is missing");
  }
  if (isnan(a->solids_density) && !isnan(a->slip->solids_density))
    where_s = "/slip/solids_density";
  st = lh_slip_words_density(m->batch.solids_density, a->solids_density_error,
                             where_s, "/solids_density_error", fault);
  if (st != LH_OK) return st;
  return lh_slip_words_weight(m->batch.litre_weight, m->batch.solids_density,
                              where, where_s, fault);
}

/* The coat weight in g/m2, however it was told. */
static lh_status coat_weight(const lh_mixing *m, double *g_m2, lh_fault *fault)
{
  const lh_mix_ask *a = m->ask;
  double one = a->slip->coat_g_m2;
  lh_coat_slip s = {m->batch.litre_weight, m->batch.solids_density,
                    LH_WATER_G_L,          LH_SHRINK_LIMIT,
                    LH_FIRED_SHRINKAGE,    isnan(one) ? 0.0 : one};
  lh_coat c;
  int told = !isnan(a->coat_g_m2) + !isnan(a->wet_mm) + !isnan(a->coats);
  lh_status st;

  if (told != 1) {
    return lh_fault_say(fault, LH_INPUT, "/coat_g_m2",
                        "give one of coat_g_m2, wet_mm, coats",
                        told ? "the coat is told more than once"
                             : "how thick the coat is to be is missing");
  }
  if (!isnan(a->coats) && isnan(one)) {
    return lh_fault_say(fault, LH_INPUT, "/slip/coat_g_m2",
                        "paint a known area, weigh, and give its coat weight",
                        "coats are known by what one of them weighs");
  }
  if (!isnan(a->coats))
    st = lh_slip_coat(&s, LH_COAT_COATS, a->coats, &c);
  else if (!isnan(a->wet_mm))
    st = lh_slip_coat(&s, LH_COAT_WET_MM, a->wet_mm, &c);
  else
    st = lh_slip_coat(&s, LH_COAT_G_M2, a->coat_g_m2, &c);
  if (st == LH_OK) *g_m2 = c.g_m2;
  return st;
}

static lh_status find_dry(lh_mixing *m, lh_fault *fault)
{
  const lh_mix_ask *a = m->ask;
  lh_batch_need need = {a->area_cm2 * 100.0, 0.0, a->pots,
                        a->waste_percent / 100.0, a->residue_g};
  lh_status st;

  if (!isnan(a->dry_g) && !isnan(a->area_cm2)) {
    return lh_fault_say(fault, LH_INPUT, "/dry_g", "take one of them out",
                        "the amount is told twice, by area_cm2 as well");
  }
  if (isnan(a->dry_g) && isnan(a->area_cm2)) {
    return lh_fault_say(fault, LH_INPUT, "/dry_g",
                        "give dry_g, or area_cm2 and a coat",
                        "how much to mix is missing");
  }
  m->batch.dry_g = a->dry_g;
  if (isnan(a->dry_g)) {
    st = coat_weight(m, &need.coat_g_m2, fault);
    if (st != LH_OK) return st;
    lh_slip_batch_dry(&need, &m->batch.dry_g);
  }
  if (m->batch.dry_g > 0.0) return LH_OK;
  return lh_fault_say(fault, LH_RANGE, isnan(a->dry_g) ? "/area_cm2" : "/dry_g",
                      "give an area, a coat and pots above 0",
                      "there is nothing to mix");
}

static lh_status weigh(lh_mixing *m, lh_fault *fault)
{
  bool nothing = true;
  lh_status st;

  for (size_t i = 0; i < m->recipe.count; i++)
    if (!m->line[i].is_addition && m->line[i].parts > 0.0) nothing = false;
  if (nothing) {
    return lh_fault_say(fault, LH_RANGE, "/slip", "give parts above 0",
                        "the parts of the recipe add to nothing");
  }
  m->batch.scale_step_g = m->ask->scale_step_g;
  m->batch.spare = m->ask->spare_percent / 100.0;
  if (m->batch.dry_g / m->batch.scale_step_g > 1e9) {
    return lh_fault_say(fault, LH_RANGE, "/scale_step_g",
                        "give a coarser step, or less to mix",
                        "%.15g g in steps of %.15g g are more than a thousand "
                        "million",
                        m->batch.dry_g, m->batch.scale_step_g);
  }
  st = lh_slip_batch(&m->batch, m->line, m->recipe.count, m->out, &m->total);
  return st;
}

/* Water and volume with what the solids' density leaves open. */
static void find_ranges(lh_mixing *m)
{
  double s = m->batch.solids_density, e = m->ask->solids_density_error;
  double p = m->batch.litre_weight, dry = m->total.dry_g, low, high;
  lh_range w;

  m->volume_ml = lh_range_exact(m->total.volume_ml);
  m->water_g = lh_range_exact(m->total.water_g);
  if (lh_slip_dry_range(lh_range_exact(p), lh_range_within(s, e), &w) != LH_OK)
    return;
  low = dry / w.high * 1000.0;
  high = dry / w.low * 1000.0;
  m->volume_ml = (lh_range){m->total.volume_ml, low, high};
  m->water_g = (lh_range){m->total.water_g, fmax(low * p / 1000.0 - dry, 0.0),
                          high * p / 1000.0 - dry};
}

static lh_status mix(const lh_call *call, const void *document, lh_reply *r,
                     lh_fault *fault)
{
  lh_mixing m = {.ask = document};
  lh_status st = read_recipe(call, &m, fault);

  if (st == LH_OK) st = fill_lines(call, &m);
  if (st == LH_OK) st = find_density(call, &m);
  if (st == LH_OK) st = find_weight(&m, fault);
  if (st == LH_OK) st = find_dry(&m, fault);
  if (st == LH_OK) st = weigh(&m, fault);
  if (st != LH_OK) return st;
  find_ranges(&m);
  lh_mix_say(&m, r);
  return LH_OK;
}

const lh_operation lh_op_mix = {
    .name = "mix",
    .help = "what to weigh for an area and a coat, on one tared pan",
    .purpose =
        "From an area and a coat weight to grams on the scale: rounded to its "
        "steps\nso that no line of the recipe is further off than it must be, "
        "never less than\nneeded; the water, the volume, cost, stock and "
        "cautions.",
    .fields = &mix_table,
    .run = mix,
    .example =
        "{\"slip\": {\"name\": \"cobalt blue (invented)\", \"lines\": "
        "[{\"material\": \"kaolinite\", \"parts\": 60}, {\"material\": "
        "\"quartz\", \"parts\": 25}, {\"material\": \"potash feldspar\", "
        "\"parts\": 15}], \"additions\": [{\"material\": \"cobalt "
        "carbonate\", \"percent\": 2.5}]}, \"area_cm2\": 180, "
        "\"coat_g_m2\": 150, \"pots\": 6, \"litre_weight_g\": 1400}",
};
