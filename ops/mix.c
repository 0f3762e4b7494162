/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mix.c -- the operation `mix`: what to weigh for a slip. */
#include <math.h>
#include <string.h>

#include "batch.h"
#include "coat.h"
#include "recipe_doc.h"
#include "slip_words.h"
#include "thin.h"

/* A slip: its recipe, either as "recipe" or with its lines beside the name.
** What a slip of a piece holds besides may stand here and is not used. */
typedef struct {
  const char *name;
  lh_recipe_doc *recipe;
  lh_recipe_doc bare;
  double litre_weight_g, solids_density, coat_g_m2;
  json_t *unused;
} slip_doc;

typedef struct {
  slip_doc *slip;
  lh_list materials;
  double area_cm2, coat_g_m2, wet_mm, coats, pots, dry_g;
  double waste_percent, residue_g;
  double litre_weight_g, solids_density, solids_density_error;
  double scale_step_g, spare_percent;
} mix_ask;

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

#define UNUSED(KEY)                                                      \
  {                                                                      \
    .key = KEY, .kind = LH_F_JSON, .offset = offsetof(slip_doc, unused), \
    .least = NAN, .most = NAN, .otherwise = NAN,                         \
    .help = "Of a slip copied from a piece; not used here."              \
  }
static const lh_field slip_rows[] = {
    LH_TEXT(slip_doc, name, "name", false, "What you call it."),
    LH_OBJECT(slip_doc, recipe, "recipe", false, lh_recipe_table,
              "Its recipe; or give lines and additions here."),
    LH_CHOICE(slip_doc, bare.kind, "kind", false, kinds, LH_KIND_SLIP,
              "What the recipe is for."),
    LH_LIST(slip_doc, bare.lines, "lines", false, part_table, 60,
            "Parts by weight, usually adding to 100."),
    LH_LIST(slip_doc, bare.additions, "additions", false, addition_table, 60,
            "Stains, oxides and the like, in % of the parts."),
    LH_NUMBER(slip_doc, litre_weight_g, "litre_weight_g", false, 0, 20000, NAN,
              "g per litre", "As it is brushed."),
    LH_NUMBER(slip_doc, solids_density, "solids_density", false, 0, 20, NAN,
              "relative to water", "Of its dry solids."),
    LH_NUMBER(slip_doc, coat_g_m2, "coat_g_m2", false, 0.01, 1e5, NAN,
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
    UNUSED("note"),
};
static const lh_fields slip_table = LH_FIELDS("slip", slip_doc, slip_rows);

static const lh_field mix_rows[] = {
    LH_OBJECT(mix_ask, slip, "slip", true, slip_table, "The slip to mix."),
    LH_LIST(mix_ask, materials, "materials", false, lh_material_table, 200,
            "Your materials: analysis, density, price, stock."),
    LH_NUMBER(mix_ask, dry_g, "dry_g", false, 0, 1e9, NAN, "g",
              "How much dry slip to make; or give area_cm2 and a coat."),
    LH_NUMBER(mix_ask, area_cm2, "area_cm2", false, 0, 1e8, NAN, "cm2",
              "Area to cover on one pot."),
    LH_NUMBER(mix_ask, coat_g_m2, "coat_g_m2", false, 0, 1e5, NAN, "g per m2",
              "Dry coat weight on it; or wet_mm; or coats."),
    LH_NUMBER(mix_ask, wet_mm, "wet_mm", false, 0, 50, NAN, "mm",
              "Or its thickness as laid."),
    LH_NUMBER(mix_ask, coats, "coats", false, 0, 100, NAN, "coats",
              "Or coats of the brush; needs the slip's coat_g_m2."),
    LH_NUMBER(mix_ask, pots, "pots", false, 0, 1e6, 1, "pots",
              "How many pots."),
    LH_NUMBER(mix_ask, waste_percent, "waste_percent", false, 0, 500, 15, "%",
              "Lost in brush and bowl, over the need (a judgement)."),
    LH_NUMBER(mix_ask, residue_g, "residue_g", false, 0, 1e6, 0, "g",
              "Dry slip that stays in the jar."),
    LH_NUMBER(mix_ask, litre_weight_g, "litre_weight_g", false, 0, 20000, NAN,
              "g per litre", "To mix to; without it the slip's own."),
    LH_NUMBER(mix_ask, solids_density, "solids_density", false, 0, 20, NAN,
              "relative to water",
              "Of the dry slip; without it the slip's own, or that of its "
              "materials, or 2.6."),
    LH_NUMBER(mix_ask, solids_density_error, "solids_density_error", false, 0,
              10, LH_SOLIDS_DENSITY_ERROR, "relative to water",
              "How far solids_density may be off (a judgement)."),
    LH_NUMBER(mix_ask, scale_step_g, "scale_step_g", false, 0.0001, 1000, 0.1,
              "g", "What your scale shows."),
    LH_NUMBER(mix_ask, spare_percent, "spare_percent", false, 0, 100,
              100 * LH_BATCH_SPARE, "%",
              "How much more may be made so that the lines fall on the "
              "scale's steps (a judgement)."),
};
static const lh_fields mix_table = LH_FIELDS("mix", mix_ask, mix_rows);

/* What the handler gathers on its way. */
typedef struct {
  const mix_ask *ask;
  lh_recipe_found recipe;
  lh_batch_line *line;
  lh_batch_weighed *out;
  lh_batch_total total;
  lh_batch_ask batch;
  const char *density_from;
  lh_range water_g, volume_ml;
} mixing;

static lh_status read_recipe(const lh_call *call, mixing *m, lh_fault *fault)
{
  static const lh_at at_slip = {NULL, "slip", 0};
  static const lh_at at_recipe = {&at_slip, "recipe", 0};
  const slip_doc *s = m->ask->slip;
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

static lh_status fill_lines(const lh_call *call, mixing *m)
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
static lh_status find_density(const lh_call *call, mixing *m)
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

static lh_status find_weight(mixing *m, lh_fault *fault)
{
  const mix_ask *a = m->ask;
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
static lh_status coat_weight(const mixing *m, double *g_m2, lh_fault *fault)
{
  const mix_ask *a = m->ask;
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

static lh_status find_dry(mixing *m, lh_fault *fault)
{
  const mix_ask *a = m->ask;
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

static lh_status weigh(mixing *m, lh_fault *fault)
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
static void find_ranges(mixing *m)
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

/* ---- cautions ------------------------------------------------------------ */

static void caution(lh_reply *r, json_t *list, const char *what,
                    const char *text)
{
  if (!list || json_array_append_new(list, json_sprintf("%s: %s", what, text)))
    r->st = LH_NOMEM;
  lh_reply_line(r, LH_LINE_CAUTION, "%s\t%s", what, text);
}

/* "Harmful if swallowed (H302). ..." for a list of codes. */
static void hazard_words(const char *codes, char *text, size_t size)
{
  size_t used = 0;

  text[0] = 0;
  while (*codes && used + 1 < size) {
    size_t n = strcspn(codes, " ,;");
    const char *words = lh_hazard_text(codes, n, NULL);
    if (n > 0 && words) {
      size_t stop = strlen(words);
      while (stop > 0 && words[stop - 1] == '.') stop--;
      used += (size_t)snprintf(text + used, size - used, "%.*s (%.*s). ",
                               (int)stop, words, (int)n, codes);
    } else if (n > 0) {
      used +=
          (size_t)snprintf(text + used, size - used, "%.*s. ", (int)n, codes);
    }
    codes += n + (codes[n] != 0);
  }
  if (used < size)
    snprintf(text + used, size - used,
             "Ask for the supplier's safety data sheet.");
}

static const char *codes_of(const mixing *m, size_t i)
{
  const char *codes = m->recipe.found[i].hazards;

  return codes && m->out[i].grams > 0.0 ? codes : "";
}

/* Materials with the same statements are named together, once. */
static void hazards(const mixing *m, json_t *list, lh_reply *r)
{
  char names[400], text[600];

  for (size_t i = 0; i < m->recipe.count; i++) {
    const char *codes = codes_of(m, i);
    size_t used = 0;
    bool said = !*codes;
    for (size_t k = 0; k < i && !said; k++)
      said = strcmp(codes, codes_of(m, k)) == 0;
    if (said) continue;
    for (size_t k = i; k < m->recipe.count && used < sizeof names; k++) {
      const char *name = m->recipe.found[k].name;
      bool again = strcmp(codes, codes_of(m, k)) != 0;
      for (size_t j = i; j < k && !again; j++)
        again = strcmp(m->recipe.found[j].name, name) == 0;
      if (again) continue;
      used += (size_t)snprintf(names + used, sizeof names - used, "%s%s",
                               used ? ", " : "", name);
    }
    hazard_words(codes, text, sizeof text);
    caution(r, list, names, text);
  }
}

static void cautions(const mixing *m, lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "cautions");
  const lh_batch_total *t = &m->total;
  char text[600];

  lh_reply_title(r, "Before you weigh");
  caution(r, list, "Dust",
          "Dry clay, silica and frit dust harms the lungs for good.  Weigh "
          "with a fitted particle mask or under extraction, add powder to "
          "water, wipe up wet, never sweep dry.");
  hazards(m, list, r);
  for (size_t i = 0; i < m->recipe.count; i++) {
    if (!(m->out[i].stock_left_g < 0.0)) continue;
    snprintf(
        text, sizeof text, "%.*f g more are needed than are in stock%s.",
        lh_slip_words_decimals(m->out[i].stock_left_g), -m->out[i].stock_left_g,
        i == t->first_short && t->short_lines > 1 ? "; it runs out first" : "");
    caution(r, list, m->recipe.found[i].name, text);
  }
  if (t->rounding_error > 0.05) {
    snprintf(text, sizeof text,
             "The scale's step is coarse for this batch: %s is %.0f %% off "
             "its share.  Make more, or weigh it on a finer scale.",
             m->recipe.found[t->worst].name, 100.0 * t->rounding_error);
    caution(r, list, "Scale", text);
  }
}

/* ---- the answer -----------------------------------------------------------
 */

/* Decimals that show the scale's step. */
static int step_decimals(double step)
{
  int d = 0;

  while (d < 4 && fabs(step - round(step)) > 1e-6 * step) {
    step *= 10.0;
    d++;
  }
  return d;
}

static void answer_lines(const mixing *m, lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "lines");
  int d = step_decimals(m->batch.scale_step_g);

  lh_reply_title(r, "%s: %.*f g dry",
                 m->ask->slip->name ? m->ask->slip->name : "Slip", d,
                 m->total.dry_g);
  lh_reply_line(r, LH_LINE_HEAD, "material\tgrams\tpan shows\toff by");
  for (size_t i = 0; i < m->recipe.count; i++) {
    const lh_batch_weighed *w = &m->out[i];
    json_t *item = lh_reply_item(r, list);
    const char *name = m->recipe.found[i].name;
    lh_reply_string(r, item, "material", name);
    lh_reply_number(r, item, "grams", w->grams);
    lh_reply_number(r, item, "running_g", w->running_g);
    lh_reply_number(r, item, "off_percent", 100.0 * w->deviation);
    lh_reply_number(r, item, "cost", w->cost);
    lh_reply_number(r, item, "stock_left_g", w->stock_left_g);
    if (w->grams > 0.0)
      lh_reply_row(r, "%s\t%.*f\t%.*f\t%+.2f %%", name, d, w->grams, d,
                   w->running_g, round(1e4 * w->deviation) / 100.0 + 0.0);
  }
}

static void answer_total(const mixing *m, lh_reply *r)
{
  const lh_batch_total *t = &m->total;
  json_t *range = lh_reply_object(r, NULL, "range");

  lh_reply_number(r, NULL, "needed_dry_g", m->batch.dry_g);
  lh_reply_number(r, NULL, "dry_g", t->dry_g);
  lh_reply_number(r, NULL, "water_g", t->water_g);
  lh_reply_number(r, NULL, "volume_ml", t->volume_ml);
  lh_reply_number(r, NULL, "litre_weight_g", m->batch.litre_weight);
  lh_reply_number(r, NULL, "specific_gravity",
                  m->batch.litre_weight / LH_WATER_G_L);
  lh_reply_number(r, NULL, "solids_density", m->batch.solids_density);
  lh_reply_string(r, NULL, "solids_density_from", m->density_from);
  lh_reply_number(r, NULL, "scale_step_g", m->batch.scale_step_g);
  lh_reply_number(r, NULL, "rounding_error_percent", 100.0 * t->rounding_error);
  lh_reply_number(r, NULL, "add_ml_per_10_g_l",
                  t->volume_ml * 10.0 / (m->batch.litre_weight - LH_WATER_G_L));
  lh_reply_range(r, range, "water_g", m->water_g.low, m->water_g.high);
  lh_reply_range(r, range, "volume_ml", m->volume_ml.low, m->volume_ml.high);
  if (t->unpriced < m->recipe.count) {
    lh_reply_number(r, NULL, "cost", t->cost);
    lh_reply_number(r, NULL, "unpriced_lines", (double)t->unpriced);
  }
  lh_reply_number(r, NULL, "stock_dry_g", t->stock_dry_g);
  lh_reply_title(r, "Water and volume");
  lh_slip_words_row(r, "water", m->water_g, "g");
  lh_slip_words_row(r, "makes", m->volume_ml, "ml");
  lh_reply_row(r, "to reach\t%.0f\tg per litre", m->batch.litre_weight);
  lh_slip_words_plain(r, "per 10 g/l too heavy",
                      t->volume_ml * 10.0 /
                          (m->batch.litre_weight - LH_WATER_G_L),
                      "ml more", "");
  if (t->unpriced < m->recipe.count)
    lh_reply_row(r, "cost\t%.2f\t%s", t->cost,
                 t->unpriced ? "of the materials that have a price" : "");
  lh_reply_text(r,
                "Hold back a tenth of the water, sieve, weigh a litre, then "
                "thin to the weight: the range of the water is what the "
                "density of the solids leaves open (%.2f, %s).",
                m->batch.solids_density,
                strcmp(m->density_from, "default") == 0 ? "the usual one"
                : strcmp(m->density_from, "given") == 0 ? "as given"
                                                        : "of the materials");
}

static lh_status mix(const lh_call *call, const void *document, lh_reply *r,
                     lh_fault *fault)
{
  mixing m = {.ask = document};
  lh_status st = read_recipe(call, &m, fault);

  if (st == LH_OK) st = fill_lines(call, &m);
  if (st == LH_OK) st = find_density(call, &m);
  if (st == LH_OK) st = find_weight(&m, fault);
  if (st == LH_OK) st = find_dry(&m, fault);
  if (st == LH_OK) st = weigh(&m, fault);
  if (st != LH_OK) return st;
  find_ranges(&m);
  answer_lines(&m, r);
  answer_total(&m, r);
  cautions(&m, r);
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
