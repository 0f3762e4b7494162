/* SPDX-License-Identifier: GPL-3.0-or-later */
/* piece_read.c -- a piece document checked: version, ids, references, form
** and zones.  What is painted in the zones is piece_paint.c's. */
#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "heap.h"
#include "nearest.h"
#include "piece.h"
#include "piece_room.h"

/* ---- versions ----------------------------------------------------------- */

/* One pure step a version: step[0] turns version 1 into 2, and so on.  There
** is one version yet. */
typedef lh_status migration(json_t *json, lh_fault *fault);
static migration *const step[LH_PIECE_VERSION] = {NULL};

lh_status lh_piece_migrate(json_t *json, lh_fault *fault)
{
  const json_t *format = json_object_get(json, "format");
  const json_t *version = json_object_get(json, "version");

  if (!json_is_string(format) ||
      strcmp(json_string_value(format), "leatherhard.piece") != 0) {
    return lh_fault_say(fault, LH_INPUT, "/format",
                        "write \"format\": \"leatherhard.piece\"",
                        "this is not a piece");
  }
  if (!json_is_number(version) || !(json_number_value(version) >= 1) ||
      json_number_value(version) != floor(json_number_value(version))) {
    return lh_fault_say(fault, LH_INPUT, "/version", "write \"version\": 1",
                        "the version is missing or not a whole number");
  }
  if (json_number_value(version) > LH_PIECE_VERSION) {
    return lh_fault_say(fault, LH_INPUT, "/version",
                        "open it with the newer leatherhard that wrote it",
                        "leatherhard.piece version %.15g is newer than the "
                        "version %d known here",
                        json_number_value(version), LH_PIECE_VERSION);
  }
  for (int v = (int)json_number_value(version); v < LH_PIECE_VERSION; v++) {
    lh_status st = step[v - 1](json, fault);
    if (st != LH_OK) return st;
    json_object_set_new(json, "version", json_integer(v + 1));
  }
  return LH_OK;
}

/* ---- words -------------------------------------------------------------- */

lh_status lh_piece_refuse(lh_fault *fault, const lh_at *at, lh_status st,
                          const char *what, const char *todo)
{
  char where[256];

  lh_at_pointer(at, where, sizeof where);
  return lh_fault_say(fault, st, where, todo, "%s", what);
}

lh_status lh_piece_unknown(lh_fault *fault, const lh_at *at, const char *kind,
                           const char *id, const char *const *names, size_t n)
{
  size_t near = lh_nearest(id, names, n);
  char what[256];

  if (near < n) {
    snprintf(what, sizeof what, "no %s \"%.60s\"; the nearest is \"%.60s\"",
             kind, id, names[near]);
  } else {
    snprintf(what, sizeof what, "no %s \"%.60s\" in this piece", kind, id);
  }
  return lh_piece_refuse(fault, at, LH_INPUT, what,
                         "correct the id, or add what it names");
}

const char *lh_slip_doc_name(const lh_slip_doc *s)
{
  return s->name ? s->name : s->id;
}

size_t lh_piece_slip(const lh_piece_doc *doc, const char *id)
{
  const lh_slip_doc *s = doc->slips.items;
  size_t i = 0;

  while (i < doc->slips.count && strcmp(s[i].id, id) != 0) i++;
  return i;
}

double lh_mark_doc_coat(const lh_mark_doc *m, const lh_slip_doc *s)
{
  if (!s) return 0;
  return isnan(m->coat_g_m2) ? m->coats * s->coat_g_m2 : m->coat_g_m2;
}

bool lh_piece_invented(const lh_piece_doc *doc)
{
  const lh_slip_doc *s = doc->slips.items;
  bool any = doc->invented || doc->body->invented ||
             (doc->glaze && doc->glaze->invented);

  for (size_t i = 0; i < doc->slips.count; i++) any = any || s[i].invented;
  return any;
}

/* ---- ids ---------------------------------------------------------------- */

typedef struct {
  const char *id;
  size_t number; /* in the order of the document's lists */
  char where[96];
} id_place;

typedef struct {
  id_place *at;
  size_t n;
} id_list;

static int by_id(const void *x, const void *y)
{
  const id_place *a = x, *b = y;
  int order = strcmp(a->id, b->id);

  if (order) return order;
  return a->number < b->number ? -1 : 1;
}

static void add_id(id_list *l, const char *id, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static void add_id(id_list *l, const char *id, const char *format, ...)
{
  id_place *p = &l->at[l->n];
  va_list ap;

  *p = (id_place){.id = id, .number = l->n++};
  va_start(ap, format);
  vsnprintf(p->where, sizeof p->where, format, ap);
  va_end(ap);
}

static void add_motif(id_list *l, const lh_motif_doc *motif, size_t i)
{
  const lh_mark_doc *m = motif->marks.items;

  add_id(l, motif->id, "/motifs/%zu/id", i);
  for (size_t k = 0; k < motif->marks.count; k++)
    add_id(l, m[k].id, "/motifs/%zu/marks/%zu/id", i, k);
}

static void add_painted(id_list *l, const lh_painted_doc *x, size_t i)
{
  add_id(l, x->id, "/painting/%zu/id", i);
  if (x->mark) add_id(l, x->mark->id, "/painting/%zu/mark/id", i);
}

/* Ids of slips, zones, motifs, brushes, marks and entries of the painting
** are each used once in a piece. */
lh_status lh_piece_check_ids(const lh_piece_doc *doc, lh_arena *a,
                             lh_fault *fault)
{
  const lh_slip_doc *slip = doc->slips.items;
  const lh_zone_doc *zone = doc->zones.items;
  const lh_brush_doc *brush = doc->brushes.items;
  const lh_motif_doc *motif = doc->motifs.items;
  const lh_painted_doc *painted = doc->painting.items;
  size_t room = doc->slips.count + doc->zones.count + doc->brushes.count +
                doc->motifs.count + 2 * doc->painting.count;
  id_list l = {NULL, 0};

  for (size_t i = 0; i < doc->motifs.count; i++) room += motif[i].marks.count;
  l.at = lh_arena_take(a, room, sizeof *l.at);
  if (!l.at) return lh_fault_plain(fault, LH_NOMEM, "/");
  for (size_t i = 0; i < doc->slips.count; i++)
    add_id(&l, slip[i].id, "/slips/%zu/id", i);
  for (size_t i = 0; i < doc->zones.count; i++)
    add_id(&l, zone[i].id, "/zones/%zu/id", i);
  for (size_t i = 0; i < doc->brushes.count; i++)
    add_id(&l, brush[i].id, "/brushes/%zu/id", i);
  for (size_t i = 0; i < doc->motifs.count; i++) add_motif(&l, &motif[i], i);
  for (size_t i = 0; i < doc->painting.count; i++)
    add_painted(&l, &painted[i], i);
  qsort(l.at, l.n, sizeof *l.at, by_id);
  for (size_t i = 1; i < l.n; i++) {
    if (strcmp(l.at[i].id, l.at[i - 1].id) != 0) continue;
    return lh_fault_say(fault, LH_INPUT, l.at[i].where,
                        "give it an id of its own",
                        "the id \"%.80s\" is used already at %.100s",
                        l.at[i].id, l.at[i - 1].where);
  }
  return LH_OK;
}

/* ---- form --------------------------------------------------------------- */

static const char *curve_words(const lh_curve_fault *why, char *text,
                               size_t size)
{
  size_t k = why->first + 1;

  switch (why->why) {
  case LH_CURVE_TOO_FEW: return "fewer than 2 points";
  case LH_CURVE_TOO_MANY: return "too many points";
  case LH_CURVE_NOT_NUMBER:
    snprintf(text, size, "point %zu is not a number", k);
    return text;
  case LH_CURVE_NEGATIVE:
    snprintf(text, size, "point %zu has a negative diameter", k);
    return text;
  case LH_CURVE_TOO_LARGE:
    snprintf(text, size, "point %zu is larger than any pot", k);
    return text;
  case LH_CURVE_REPEATED:
    snprintf(text, size, "points %zu and %zu are the same", k, k + 1);
    return text;
  case LH_CURVE_ON_AXIS:
    snprintf(text, size, "point %zu, between the ends, has diameter 0", k);
    return text;
  case LH_CURVE_CROSSES:
    snprintf(text, size,
             "the profile crosses itself: between points %zu and %zu, and "
             "between %zu and %zu",
             k, k + 1, why->second + 1, why->second + 2);
    return text;
  case LH_CURVE_FINE: break;
  }
  return "the profile cannot be drawn";
}

lh_status lh_form_doc_curve(const lh_list *points, int measured,
                            const lh_shrinkage *sh, const lh_at *at,
                            lh_arena *a, lh_point **leather_hard,
                            lh_curve **curve, lh_fault *fault)
{
  const lh_caliper_doc *c = points->items;
  lh_point *p = lh_arena_take(a, points->count, sizeof *p);
  lh_curve_fault why = {0};
  char text[160];
  lh_status st;

  *curve = lh_arena_take(a, 1, sizeof **curve);
  *leather_hard = p;
  if (!p || !*curve)
    return lh_piece_refuse(fault, at, LH_NOMEM, "out of memory", "");
  for (size_t i = 0; i < points->count; i++)
    p[i] = (lh_point){c[i].diameter_mm / 2, c[i].height_mm};
  st = lh_form_resize(p, points->count, (lh_stage)measured, LH_LEATHER_HARD, sh,
                      p);
  if (st != LH_OK) {
    return lh_piece_refuse(fault, at, st, "the shrinkage cannot be",
                           "give shrinkage in percent, below 100");
  }
  st = lh_curve_build(p, points->count, *curve, &why);
  if (st == LH_OK) return LH_OK;
  return lh_piece_refuse(fault, at, st, curve_words(&why, text, sizeof text),
                         "measure again; points run from foot to lip (inside: "
                         "from the centre)");
}

void lh_form_doc_shrinkage(const lh_form_doc *form, lh_shrinkage *sh)
{
  const lh_shrink_doc *a = form->to_leather_hard, *b = form->to_fired;

  *sh = (lh_shrinkage){0};
  if (a)
    sh->to_leather_hard =
        (lh_shrink){a->diameter_percent / 100, a->height_percent / 100};
  if (b)
    sh->to_fired =
        (lh_shrink){b->diameter_percent / 100, b->height_percent / 100};
}

lh_status lh_form_doc_curves(const lh_form_doc *form, const lh_at *at,
                             lh_arena *a, lh_piece *p, lh_fault *fault)
{
  lh_at out = {at, "outside", 0}, in = {at, "inside", 0};
  lh_wall_fault why = {0};
  lh_status st;

  lh_form_doc_shrinkage(form, &p->shrinkage);
  st = lh_form_doc_curve(&form->outside, form->measured, &p->shrinkage, &out, a,
                         &p->outside_points, &p->outside, fault);
  if (st != LH_OK || form->inside.count == 0) return st;
  st = lh_form_doc_curve(&form->inside, form->measured, &p->shrinkage, &in, a,
                         &p->inside_points, &p->inside, fault);
  if (st != LH_OK) return st;
  st = lh_wall_check(p->outside, p->inside, &why);
  if (st == LH_OK) return LH_OK;
  return lh_piece_refuse(
      fault, &in, st,
      why.why == LH_WALL_CROSSES
          ? "the inside crosses the outside: the wall has no thickness there"
      : why.why == LH_WALL_FLOOR ? "the inside goes through the foot"
                                 : "the inside starts outside the pot",
      "measure both faces again, from the same table");
}

/* ---- zones -------------------------------------------------------------- */

static const char *zone_words(lh_zone_why why)
{
  switch (why) {
  case LH_ZONE_NOT_NUMBER: return "an edge of the zone is not a number";
  case LH_ZONE_EMPTY: return "the zone is empty: from_mm is not below to_mm";
  case LH_ZONE_OFF_FORM: return "the zone reaches off the form";
  case LH_ZONE_ON_AXIS:
    return "a band cannot reach the middle of the pot (a disc can, at one end)";
  case LH_ZONE_STRETCHED:
    return "the zone comes too near the middle to be unrolled";
  case LH_ZONE_FINE: break;
  }
  return "the zone cannot be drawn";
}

static lh_status join_zone(lh_piece *p, size_t i, const lh_at *at,
                           lh_fault *fault)
{
  lh_piece_zone *z = &p->zones[i];
  lh_zone_why why;
  char what[200], todo[200];
  lh_status st;

  z->zone = (lh_zone){(lh_face)z->doc->face, (lh_chart_kind)z->doc->kind,
                      z->doc->from_mm, z->doc->to_mm};
  z->curve = z->doc->face == LH_INSIDE ? p->inside : p->outside;
  if (!z->curve) {
    return lh_piece_refuse(fault, at, LH_INPUT,
                           "the form has no inside for this zone",
                           "give form/inside, or put the zone outside");
  }
  st = lh_chart_make(z->curve, &z->zone, &z->chart, &why);
  if (st == LH_OK) return LH_OK;
  snprintf(what, sizeof what, "%s", zone_words(why));
  snprintf(todo, sizeof todo,
           "the profile is %.1f mm long there (leather-hard): keep from_mm and "
           "to_mm within 0 to %.1f",
           z->curve->length, z->curve->length);
  return lh_piece_refuse(fault, at, st, what, todo);
}

/* Zones of one face must stay apart: what lies over what is told in one. */
static lh_status zones_apart(const lh_piece *p, lh_fault *fault)
{
  static const lh_at zones = {NULL, "zones", 0};

  for (size_t i = 0; i < p->n_zones; i++) {
    for (size_t k = 0; k < i; k++) {
      const lh_zone *a = &p->zones[i].zone, *b = &p->zones[k].zone;
      lh_at at = {&zones, NULL, i};
      char what[256];
      if (a->face != b->face) continue;
      if (a->from_mm >= b->to_mm || b->from_mm >= a->to_mm) continue;
      snprintf(what, sizeof what, "the zone overlaps the zone \"%.80s\"",
               p->zones[k].doc->id);
      return lh_piece_refuse(fault, &at, LH_INPUT, what,
                             "let one end where the other begins");
    }
  }
  return LH_OK;
}

static lh_status join_zones(lh_piece *p, lh_arena *a, lh_fault *fault)
{
  static const lh_at zones = {NULL, "zones", 0};
  const lh_zone_doc *doc = p->doc->zones.items;
  lh_status st = LH_OK;

  p->n_zones = p->doc->zones.count;
  p->zones = lh_arena_take(a, p->n_zones, sizeof *p->zones);
  if (!p->zones) return lh_fault_plain(fault, LH_NOMEM, "/zones");
  for (size_t i = 0; i < p->n_zones && st == LH_OK; i++) {
    lh_at at = {&zones, NULL, i};
    p->zones[i].doc = &doc[i];
    st = join_zone(p, i, &at, fault);
  }
  return st == LH_OK ? zones_apart(p, fault) : st;
}

/* ---- slips -------------------------------------------------------------- */

static lh_status check_slip(const lh_slip_doc *s, const lh_at *at,
                            lh_fault *fault)
{
  const lh_window_doc *w = s->window;
  lh_at here = {at, "window", 0}, litre = {at, "litre_weight_g", 0};

  if (s->litre_weight_g >= 1000 * s->solids_density) {
    return lh_piece_refuse(fault, &litre, LH_RANGE,
                           "heavier than its own solids: no water is left",
                           "weigh a litre again, or correct solids_density");
  }
  if (w && !(w->least_g_m2 <= w->most_g_m2)) {
    return lh_piece_refuse(fault, &here, LH_RANGE,
                           "least_g_m2 is above most_g_m2", "exchange them");
  }
  if (w && (w->best_g_m2 < w->least_g_m2 || w->best_g_m2 > w->most_g_m2)) {
    return lh_piece_refuse(fault, &here, LH_RANGE,
                           "best_g_m2 is outside the window",
                           "put it between least_g_m2 and most_g_m2");
  }
  return LH_OK;
}

static lh_status join_slips(lh_piece *p, lh_arena *a, lh_fault *fault)
{
  static const lh_at slips = {NULL, "slips", 0};
  const lh_slip_doc *s = p->doc->slips.items;
  size_t n = p->doc->slips.count;
  lh_status st = LH_OK;

  p->recipes = lh_arena_take(a, n, sizeof *p->recipes);
  if (!p->recipes) return lh_fault_plain(fault, LH_NOMEM, "/slips");
  for (size_t i = 0; i < n && st == LH_OK; i++) {
    lh_at at = {&slips, NULL, i}, recipe = {&at, "recipe", 0};
    st = check_slip(&s[i], &at, fault);
    if (st == LH_OK && s[i].recipe)
      st = lh_recipe_find(s[i].recipe, &p->doc->materials, &recipe, NULL, a,
                          &p->recipes[i], fault);
  }
  return st;
}

static lh_status join_glaze(lh_piece *p, lh_arena *a, lh_fault *fault)
{
  static const lh_at glaze = {NULL, "glaze", 0}, at = {&glaze, "recipe", 0};

  if (!p->doc->glaze || !p->doc->glaze->recipe) return LH_OK;
  return lh_recipe_find(p->doc->glaze->recipe, &p->doc->materials, &at, NULL, a,
                        &p->glaze_recipe, fault);
}

/* What the house holds to where the piece does not say otherwise. */
static const lh_limits usual_limits = {
#define X(member, least, most, usual, unit, help) .member = (usual),
    LH_LIMITS_LIST(X)
#undef X
};

lh_status lh_piece_read(json_t *json, lh_arena *a, lh_piece *p, lh_fault *fault)
{
  static const lh_at form = {NULL, "form", 0};
  lh_piece_doc *doc = lh_arena_take(a, 1, sizeof *doc);
  lh_status st;

  *p = (lh_piece){.doc = doc, .json = json};
  if (!doc) return lh_fault_plain(fault, LH_NOMEM, "/");
  st = lh_piece_migrate(json, fault);
  if (st == LH_OK)
    st = lh_fields_read(&lh_piece_table, json, NULL, a, doc, fault);
  p->limits = doc->limits ? doc->limits : &usual_limits;
  if (st == LH_OK) st = lh_piece_check_ids(doc, a, fault);
  if (st == LH_OK) st = lh_form_doc_curves(doc->form, &form, a, p, fault);
  if (st == LH_OK) st = join_slips(p, a, fault);
  if (st == LH_OK) st = join_glaze(p, a, fault);
  if (st == LH_OK) st = join_zones(p, a, fault);
  if (st == LH_OK) st = lh_piece_paint(p, a, fault);
  return st;
}
