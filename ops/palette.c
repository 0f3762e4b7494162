/* SPDX-License-Identifier: GPL-3.0-or-later */
/* palette.c -- the operation `palette`: do these slips work together? */
#include <math.h>
#include <string.h>

#include "difference.h"
#include "optics.h"
#include "palette_room.h"
#include "pixel.h"

extern const lh_operation lh_op_palette;

/* A white ground where none is told.  (judgement) */
static const double white_ground = 0.80;

static const lh_field over_rows[] = {
    LH_SPECTRUM_OF(lh_palette_over, reflectance, "reflectance", true, 0, 1,
                   "fraction",
                   "Internal: of body or ground as glazed, without the "
                   "glaze's surface."),
    LH_LIST(lh_palette_over, stack, "stack_top_first", false, lh_layer_table,
            LH_STACK_LAYERS - 1,
            "Slips that lie on it, a ground say, the uppermost first."),
};
static const lh_fields over_table =
    LH_FIELDS("over", lh_palette_over, over_rows);

static const lh_field palette_rows[] = {
    LH_PIXEL_FIELD_OF(lh_palette_fields),
    {.key = "slips",
     .kind = LH_F_JSON,
     .offset = offsetof(lh_palette_fields, slips),
     .least = NAN,
     .most = NAN,
     .otherwise = NAN,
     .help = "The slips, a list, each as a piece holds it; laid at the best of "
             "its window, else at coat_g_m2.  Of a piece: ids of some of "
             "its slips; without it all but the grounds."},
    LH_OBJECT(lh_palette_fields, over, "over", false, over_table,
              "What they are laid on; without it white, 0.80 (a judgement).  "
              "Of a piece: known."),
    LH_OBJECT(lh_palette_fields, glaze, "glaze", false, lh_glaze_ask_table,
              "The glaze on top; null or absent: bare.  Of a piece: known."),
    LH_GEOMETRY_FIELD(lh_palette_fields),
    {.key = "illuminants",
     .kind = LH_F_TEXTS,
     .offset = offsetof(lh_palette_fields, illuminants),
     .least = NAN,
     .most = NAN,
     .otherwise = NAN,
     .most_items = LH_ILLUMINANTS,
     .help = "The lights, the first foremost: D65, A, D50; without it all "
             "three."},
    LH_NUMBER(lh_palette_fields, severity, "severity", false, 0, 1, 1, NULL,
              "How much the eyes lack that lack a kind of cone: 1 is all of "
              "it."),
    LH_NUMBER(lh_palette_fields, confused_de00, "confused_de00", false, 0, 100,
              3, "dE00", "Nearer than this they are confused (a judgement)."),
    LH_NUMBER(lh_palette_fields, close_de00, "close_de00", false, 0, 100, 10,
              "dE00", "Nearer than this they are close (a judgement)."),
    LH_NUMBER(lh_palette_fields, alike_lightness, "alike_lightness", false, 0,
              100, 5, "L*",
              "Nearer than this in lightness, only their hue tells them apart "
              "(a judgement)."),
    LH_OBJECT(lh_palette_fields, doubt, "uncertainty", false, lh_doubt_table,
              "How sure the numbers are."),
};
static const lh_fields palette_table =
    LH_FIELDS("palette", lh_palette_fields, palette_rows);

const char *const lh_sight_keys[] = {"usual", "protan", "deutan", "tritan",
                                     NULL};

size_t lh_palette_pair_at(const lh_palette_work *w, size_t i, size_t j)
{
  size_t n = w->palette.n;

  return i * (2 * n - i - 1) / 2 + (j - i - 1);
}

/* ---- reading ------------------------------------------------------------ */

static lh_status read_lights(lh_palette_work *w, const char *where,
                             lh_fault *fault)
{
  const char *const *name = w->fields->illuminants.items;
  size_t n = w->fields->illuminants.count;

  for (size_t i = 0; i < n; i++) {
    size_t k = 0;
    while (k < LH_ILLUMINANTS && strcmp(lh_illuminant_keys[k], name[i]) != 0)
      k++;
    if (k == LH_ILLUMINANTS)
      return lh_fault_say(fault, LH_INPUT, where, "known are D65, A and D50",
                          "the light \"%.40s\" is not known", name[i]);
    for (size_t j = 0; j < w->n_lights; j++)
      if (w->lights[j] == (lh_illuminant)k)
        return lh_fault_say(fault, LH_INPUT, where, "name each light once",
                            "%s stands there twice", name[i]);
    w->lights[w->n_lights++] = (lh_illuminant)k;
  }
  for (size_t k = 0; n == 0 && k < LH_ILLUMINANTS; k++)
    w->lights[w->n_lights++] = (lh_illuminant)k;
  return LH_OK;
}

/* Take a slip into the palette. */
static lh_status take(lh_palette_work *w, const lh_slip_part *part,
                      const char *where, lh_arena *a, lh_fault *fault)
{
  double coat = isnan(part->best_g_m2) ? part->coat_g_m2 : part->best_g_m2;
  size_t k = w->palette.n;
  lh_slip_optics *optics = lh_slip_part_optics(part, a);

  if (!optics) return lh_fault_plain(fault, LH_NOMEM, where);
  if (isnan(coat))
    return lh_fault_say(
        fault, LH_INPUT, where, "give coat_g_m2, or window/best_g_m2",
        "how thick \"%.60s\" is laid is not told", lh_slip_part_name(part));
  if (!(coat >= 0 && coat <= 20000))
    return lh_fault_say(fault, LH_RANGE, where, "give 0 to 20000 g per m2",
                        "a coat of %.15g g/m2", coat);
  w->slips[k] = *part;
  w->layers[k] = (lh_stack_layer){optics, coat};
  w->doubt[k] = lh_stack_words_doubt(w->fields->doubt);
  if (!w->fields->doubt && !isnan(part->uncertainty_percent))
    w->doubt[k].absorption = w->doubt[k].scattering =
        part->uncertainty_percent / 100;
  w->palette.n++;
  return LH_OK;
}

static lh_status check_list(const json_t *list, const char *where,
                            lh_fault *fault)
{
  if (!json_is_array(list))
    return lh_fault_say(fault, LH_INPUT, where, "give a list of slips",
                        "a list is wanted");
  if (json_array_size(list) > LH_PALETTE_MOST)
    return lh_fault_say(fault, LH_TOOLARGE, where, "leave some out",
                        "more than %d slips", LH_PALETTE_MOST);
  return LH_OK;
}

static lh_status of_slips(const lh_call *call, lh_palette_work *w,
                          lh_fault *fault)
{
  static const lh_at list = {NULL, "slips", 0}, over = {NULL, "over", 0};
  const lh_at below = {&over, "stack_top_first", 0};
  const lh_palette_fields *f = w->fields;
  lh_status st = check_list(f->slips, "/slips", fault);
  char where[64];

  for (size_t i = 0; st == LH_OK && i < json_array_size(f->slips); i++) {
    const lh_at at = {&list, NULL, i};
    lh_slip_part part;
    lh_at_pointer(&at, where, sizeof where);
    st = lh_stack_words_slip(json_array_get(f->slips, i), &at, call->arena,
                             &part, fault);
    if (st == LH_OK) st = take(w, &part, where, call->arena, fault);
  }
  if (st != LH_OK) return st;
  w->over_told = f->over != NULL;
  for (size_t i = 0; i < LH_WAVES; i++)
    w->body[i] = f->over ? f->over->reflectance[i] : white_ground;
  if (f->glaze) w->glaze = lh_stack_words_glaze(f->glaze);
  if (f->glaze) w->palette.glaze = &w->glaze;
  if (!f->over) return LH_OK;
  w->palette.n_ground = f->over->stack.count;
  w->has_ground = f->over->stack.count > 0;
  return lh_stack_words_layers(&f->over->stack, &below, call->arena, w->ground,
                               fault);
}

/* Is a slip of the piece asked for? */
static bool asked_for(const json_t *ids, const lh_slip_doc *s)
{
  for (size_t i = 0; i < json_array_size(ids); i++) {
    const char *id = json_string_value(json_array_get(ids, i));
    if (id && strcmp(id, s->id) == 0) return true;
  }
  return !ids && !s->ground;
}

static lh_status check_ids(const json_t *ids, const lh_piece_doc *doc,
                           lh_fault *fault)
{
  for (size_t i = 0; i < json_array_size(ids); i++) {
    const char *id = json_string_value(json_array_get(ids, i));
    if (!id || lh_piece_slip(doc, id) >= doc->slips.count)
      return lh_fault_say(fault, LH_INPUT, "/ask/slips",
                          "name slips of the piece by their ids",
                          "the piece has no slip \"%.60s\"", id ? id : "?");
  }
  return LH_OK;
}

/* The ground of a piece, as it lies there. */
static void lay_ground(lh_palette_work *w, const lh_piece_optics *o,
                       const lh_piece_cover *c)
{
  const lh_piece_doc *doc = c->piece->doc;
  const lh_slip_doc *s = doc->slips.items;

  for (size_t i = 0; i < doc->slips.count && !w->has_ground; i++) {
    if (!s[i].ground || !(c->slips[i].mean_g_m2 > 0)) continue;
    w->ground[0] = (lh_stack_layer){&o->optics[i], c->slips[i].mean_g_m2};
    w->palette.n_ground = 1;
    w->has_ground = true;
  }
}

static lh_status of_piece(const lh_call *call, lh_palette_work *w,
                          lh_fault *fault)
{
  const lh_palette_fields *f = w->fields;
  const json_t *ids = json_is_null(f->slips) ? NULL : f->slips;
  lh_piece_cover c;
  lh_piece_optics o;
  lh_piece p;
  lh_status st = ids ? check_list(ids, "/ask/slips", fault) : LH_OK;

  if (st == LH_OK && (f->over || f->glaze))
    st = lh_fault_say(fault, LH_INPUT, f->over ? "/ask/over" : "/ask/glaze",
                      "take it out, or change the piece",
                      "the piece itself says that");
  if (st == LH_OK) st = lh_piece_read(call->document, call->arena, &p, fault);
  if (st == LH_OK) st = check_ids(ids, p.doc, fault);
  if (st == LH_OK)
    st = lh_piece_cover_make(&p, f->pixel_mm, call->arena, call->watch, &c,
                             fault);
  if (st == LH_OK)
    st = lh_piece_optics_make(&p, w->palette.geometry, LH_D65, call->arena, &o,
                              fault);
  if (st != LH_OK) return st;
  memcpy(w->body, p.doc->body->reflectance, sizeof w->body);
  lay_ground(w, &o, &c);
  if (o.glazed) w->glaze = o.glaze;
  if (o.glazed) w->palette.glaze = &w->glaze;
  w->over_told = true;
  const lh_slip_doc *s = p.doc->slips.items;
  for (size_t i = 0; i < p.doc->slips.count && st == LH_OK; i++) {
    lh_slip_part part = {.id = s[i].id,
                         .name = s[i].name,
                         .absorption = s[i].absorption_m2_g,
                         .scattering = s[i].scattering_m2_g,
                         .uncertainty_percent = s[i].uncertainty_percent,
                         .coat_g_m2 = s[i].coat_g_m2,
                         .best_g_m2 = c.slips[i].mean_g_m2,
                         .invented = s[i].invented,
                         .optics_from = s[i].optics_from};
    if (!(part.best_g_m2 > 0)) part.best_g_m2 = NAN;
    if (!asked_for(ids, &s[i])) continue;
    st = take(w, &part, "/slips", call->arena, fault);
    if (st == LH_OK && !f->doubt)
      w->doubt[w->palette.n - 1].coat = p.limits->coat_doubt_percent / 100;
  }
  return st;
}

/* ---- working out --------------------------------------------------------- */

static void compare(lh_palette_work *w, size_t i, size_t j)
{
  lh_palette_pair *q = &w->pairs[lh_palette_pair_at(w, i, j)];

  for (size_t k = 0; k < w->n_lights; k++)
    for (int s = 0; s < LH_SIGHTS; s++)
      q->de00[k][s] =
          lh_delta_e00(lh_sight_lab((lh_sight)s, w->fields->severity,
                                    w->xyz[k][i], w->lights[k]),
                       lh_sight_lab((lh_sight)s, w->fields->severity,
                                    w->xyz[k][j], w->lights[k]));
  q->lightness = w->L[j] - w->L[i];
}

static void sort_by_lightness(lh_palette_work *w)
{
  for (size_t i = 0; i < w->palette.n; i++) {
    size_t j = i;
    for (; j > 0 && w->L[w->order[j - 1]] > w->L[i]; j--)
      w->order[j] = w->order[j - 1];
    w->order[j] = i;
  }
}

static lh_status work_out(lh_palette_work *w, lh_arena *a)
{
  size_t n = w->palette.n;
  lh_xyz *draws = lh_arena_take(a, n * LH_PALETTE_DRAWS, sizeof *draws);
  lh_status st = draws ? LH_OK : LH_NOMEM;

  w->n_pairs = n * (n - 1) / 2;
  w->pairs = lh_arena_take(a, w->n_pairs, sizeof *w->pairs);
  if (!w->pairs) st = LH_NOMEM;
  for (size_t k = 0; k < w->n_lights && st == LH_OK; k++)
    st = lh_palette_colours(&w->palette, w->lights[k], w->xyz[k],
                            &w->on_ground[k], &w->on_body[k]);
  if (st == LH_OK)
    st = lh_palette_draws(&w->palette, w->lights[0], w->doubt, draws);
  if (st != LH_OK) return st;
  for (size_t i = 0; i < n; i++)
    w->L[i] = lh_xyz_lab(w->xyz[0][i], lh_spectrum_white(w->lights[0])).L;
  sort_by_lightness(w);
  for (size_t i = 0; i < n; i++)
    for (size_t j = i + 1; j < n; j++) {
      compare(w, i, j);
      w->pairs[lh_palette_pair_at(w, i, j)].range =
          lh_palette_apart(&w->palette, w->lights[0], w->xyz[0], draws, i, j);
    }
  return LH_OK;
}

static lh_status palette(const lh_call *call, const void *document, lh_reply *r,
                         lh_fault *fault)
{
  bool piece = lh_operation_piece(&lh_op_palette, call->document);
  lh_palette_work *w = lh_arena_take(call->arena, 1, sizeof *w);
  lh_status st;

  if (!w) return lh_fault_plain(fault, LH_NOMEM, "/");
  w->fields = document;
  w->palette = (lh_palette){.slips = w->layers,
                            .ground = w->ground,
                            .body = w->body,
                            .geometry = (lh_geometry)w->fields->geometry};
  st = read_lights(w, piece ? "/ask/illuminants" : "/illuminants", fault);
  if (st == LH_OK)
    st = piece ? of_piece(call, w, fault) : of_slips(call, w, fault);
  if (st != LH_OK) return st;
  if (w->palette.n < 2)
    return lh_fault_say(fault, LH_INPUT, piece ? "/ask/slips" : "/slips",
                        "give at least two", "one slip is no palette");
  st = work_out(w, call->arena);
  if (st != LH_OK)
    return lh_fault_say(fault, st, "/slips", "correct the optical numbers",
                        "the fired colours cannot be worked out");
  lh_palette_put(w, r);
  lh_palette_say(w, r);
  return LH_OK;
}

const lh_operation lh_op_palette = {
    .name = "palette",
    .help = "do these slips work together?",
    .purpose =
        "How far apart slips fire from each other, from the ground and from "
        "the body; their\norder in lightness; which of them are confused, "
        "under which light, and by eyes that\nlack one kind of cone.",
    .fields = &palette_table,
    .run = palette,
    .knows_pieces = true,
    .example =
        "{\"slips\": [{\"name\": \"brick (invented)\", \"absorption_m2_g\": "
        "[0.03, 0.03, 0.03, 0.03, 0.03, 0.03, 0.03, 0.03, 0.03, 0.03, 0.029, "
        "0.028, 0.027, 0.026, 0.025, 0.024, 0.022, 0.019, 0.015, 0.011, "
        "0.008, 0.006, 0.005, 0.004, 0.004, 0.003, 0.003, 0.003, 0.003, "
        "0.003, 0.003, 0.003, 0.003, 0.003, 0.003, 0.003], "
        "\"scattering_m2_g\": 0.01, \"coat_g_m2\": 90}, "
        "{\"name\": \"moss (invented)\", \"absorption_m2_g\": [0.03, 0.03, "
        "0.03, 0.03, 0.03, 0.029, 0.027, 0.025, 0.022, 0.019, 0.015, 0.011, "
        "0.009, 0.007, 0.006, 0.006, 0.006, 0.006, 0.007, 0.008, 0.009, "
        "0.01, 0.011, 0.012, 0.012, 0.012, 0.012, 0.011, 0.01, 0.009, 0.008, "
        "0.007, 0.006, 0.005, 0.005, 0.005], \"scattering_m2_g\": 0.01, "
        "\"coat_g_m2\": 90}, {\"name\": \"slate (invented)\", "
        "\"absorption_m2_g\": 0.012, \"scattering_m2_g\": 0.006, "
        "\"coat_g_m2\": 75}], \"over\": {\"reflectance\": 0.75}, "
        "\"glaze\": {\"index\": 1.5}}",
};
