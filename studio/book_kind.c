/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_kind.c -- what documents of each kind may hold, and refer to.  Parts
** of a piece are read by the piece's own tables; what a book keeps beside
** them (a recipe, a note) by a small table more. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "book_room.h"
#include "heap.h"
#include "piece.h"

/* ---- what stands beside the piece's tables ------------------------------ */

typedef struct {
  lh_recipe_doc *recipe;
  const char *note;
} beside_doc;

static const lh_field recipe_rows[] = {
    LH_OBJECT(beside_doc, recipe, "recipe", false, lh_recipe_table,
              "What is weighed for it."),
    LH_NOTE(beside_doc, note, "note", false, "Anything you want to keep."),
};
static const lh_fields with_recipe =
    LH_FIELDS("recipe and note", beside_doc, recipe_rows);

static const lh_field note_rows[] = {
    LH_NOTE(beside_doc, note, "note", false, "Anything you want to keep."),
};
static const lh_fields with_note = LH_FIELDS("note", beside_doc, note_rows);

#define TEXTS(O, M, KEY, HELP)                                              \
  {                                                                         \
    .key = KEY, .kind = LH_F_TEXTS, .offset = offsetof(O, M), .least = NAN, \
    .most = NAN, .otherwise = NAN, .help = HELP                             \
  }

typedef struct {
  const char *id, *name, *date, *kiln, *note;
  lh_list pieces, tiles, pictures;
} firing_doc;

static const lh_field firing_rows[] = {
    LH_TEXT(firing_doc, id, "id", false, "Its id."),
    LH_TEXT(firing_doc, name, "name", true, "What you call it."),
    LH_TEXT(firing_doc, date, "date", false, "When, as 2026-11-25."),
    LH_TEXT(firing_doc, kiln, "kiln", false, "Which kiln."),
    TEXTS(firing_doc, pieces, "pieces", "Ids of the pieces in it."),
    TEXTS(firing_doc, tiles, "tiles", "Ids of the tiles in it."),
    TEXTS(firing_doc, pictures, "pictures", "SHA-256 of its pictures."),
    LH_NOTE(firing_doc, note, "note", false, "Anything you want to keep."),
};
static const lh_fields with_firing =
    LH_FIELDS("a firing's log", firing_doc, firing_rows);

/* ---- tiles and notes ---------------------------------------------------- */

/* Where a tile lies in a photograph of it, and the patches of known colour
** beside it: what the operation `colour` was asked. */
typedef struct {
  const char *name;
  double x, y, radius;
  lh_list lab, patches;
} seen_doc;

#define SEEN_AT                                                               \
  LH_NUMBER(seen_doc, x, "x", true, 0, 1, NAN, "of the picture's width",      \
            "Its middle, from the left."),                                    \
      LH_NUMBER(seen_doc, y, "y", true, 0, 1, NAN, "of the picture's height", \
                "Its middle, from the top."),                                 \
      LH_NUMBER(seen_doc, radius, "radius", true, 0.0005, 0.5, NAN,           \
                "of the picture's width", "Of the disc that is looked at.")

static const lh_field patch_rows[] = {
    LH_TEXT(seen_doc, name, "name", true, "What it is called."),
    SEEN_AT,
    {.key = "lab",
     .kind = LH_F_NUMBERS,
     .offset = offsetof(seen_doc, lab),
     .required = true,
     .least = -300,
     .most = 300,
     .otherwise = NAN,
     .most_items = 3,
     .help = "What it is known to be: L*, a*, b*."},
};
static const lh_fields patch_table =
    LH_FIELDS("patch of known colour", seen_doc, patch_rows);

static const lh_field seen_rows[] = {
    SEEN_AT,
    LH_LIST(seen_doc, patches, "patches", true, patch_table, 200,
            "The patches of known colour beside it."),
};
static const lh_fields seen_table =
    LH_FIELDS("place in a photograph", seen_doc, seen_rows);

typedef struct {
  const char *id, *name, *note, *body, *under, *slip, *glaze, *firing, *date;
  const char *body_name, *under_name, *slip_name, *glaze_name;
  double under_g_m2, coat_g_m2, coats, coat_error_percent, glaze_g_m2;
  double *reflectance;
  int geometry, read_by;
  double lab_l, lab_a, lab_b, reading_de00;
  seen_doc *seen;
  lh_firing_doc *fired;
  lh_list pictures;
  bool invented;
} tile_doc;

static const char *const geometries[] = {"d8_in", "d8_ex", "45_0", NULL};
static const char *const readers[] = {"spectrophotometer", "colorimeter",
                                      "photograph", NULL};

static const lh_field tile_rows[] = {
    LH_TEXT(tile_doc, id, "id", false, "Its id."),
    LH_TEXT(tile_doc, name, "name", true, "What is scratched on its back."),
    LH_TEXT(tile_doc, body, "body", false, "Id of its body."),
    LH_TEXT(tile_doc, body_name, "body_name", false,
            "Or what the body is called."),
    LH_TEXT(tile_doc, under, "under", false, "Id of the slip under the slip."),
    LH_TEXT(tile_doc, under_name, "under_name", false,
            "Or what that slip is called."),
    LH_NUMBER(tile_doc, under_g_m2, "under_g_m2", false, 0, 20000, NAN,
              "g per m2", "Dry weight of the slip under it."),
    LH_TEXT(tile_doc, slip, "slip", false, "Id of its slip."),
    LH_TEXT(tile_doc, slip_name, "slip_name", false,
            "Or what the slip is called."),
    LH_NUMBER(tile_doc, coat_g_m2, "coat_g_m2", false, 0, 20000, NAN,
              "g per m2", "Dry weight of the slip."),
    LH_NUMBER(tile_doc, coats, "coats", false, 0, 100, NAN, "coats",
              "How many coats of the brush that is, where they were counted."),
    LH_NUMBER(tile_doc, coat_error_percent, "coat_error_percent", false, 0.1,
              90, NAN, "%",
              "How far the coat may be off, one standard deviation."),
    LH_TEXT(tile_doc, glaze, "glaze", false, "Id of its glaze."),
    LH_TEXT(tile_doc, glaze_name, "glaze_name", false,
            "Or what the glaze is called."),
    LH_NUMBER(tile_doc, glaze_g_m2, "glaze_g_m2", false, 0, 5000, NAN,
              "g per m2", "Dry weight of the glaze."),
    LH_TEXT(tile_doc, firing, "firing", false, "Id of its firing."),
    LH_OBJECT(tile_doc, fired, "fired", false, lh_firing_fields,
              "Or how it was fired."),
    LH_SPECTRUM_OF(tile_doc, reflectance, "reflectance", false, 0, 2,
                   "fraction", "As measured, 380 to 730 nm by 10 nm."),
    LH_CHOICE(tile_doc, geometry, "geometry", false, geometries, NAN,
              "How it was measured: sphere with or without gloss, or a "
              "camera's 45_0."),
    LH_CHOICE(tile_doc, read_by, "read_by", false, readers, NAN,
              "With what it was read."),
    LH_NUMBER(tile_doc, lab_l, "lab_l", false, 0, 120, NAN, "L*",
              "Or three numbers of a colorimeter, D65 and 2 degrees: L*."),
    LH_NUMBER(tile_doc, lab_a, "lab_a", false, -200, 200, NAN, "a*", "a*."),
    LH_NUMBER(tile_doc, lab_b, "lab_b", false, -200, 200, NAN, "b*", "b*."),
    LH_NUMBER(tile_doc, reading_de00, "reading_de00", false, 0, 100, NAN,
              "dE00", "The true colour is that near, nine times of ten."),
    LH_OBJECT(tile_doc, seen, "seen", false, seen_table,
              "Where it lies in the first of its pictures."),
    LH_TEXT(tile_doc, date, "date", false, "When, as 2026-11-25."),
    TEXTS(tile_doc, pictures, "pictures", "SHA-256 of its pictures."),
    LH_FLAG(tile_doc, invented, "invented", 0, "Made up, not measured."),
    LH_NOTE(tile_doc, note, "note", false, "What you saw."),
};
static const lh_fields tile_table = LH_FIELDS("tile", tile_doc, tile_rows);

typedef struct {
  const char *id, *name, *note, *date;
  lh_list about, pictures;
} note_doc;

static const lh_field note_table_rows[] = {
    LH_TEXT(note_doc, id, "id", false, "Its id."),
    LH_TEXT(note_doc, name, "name", true, "Its heading."),
    LH_TEXT(note_doc, date, "date", false, "When, as 2026-11-25."),
    LH_NOTE(note_doc, note, "note", false, "The note."),
    TEXTS(note_doc, about, "about", "Ids of what it is about."),
    TEXTS(note_doc, pictures, "pictures", "SHA-256 of its pictures."),
};
static const lh_fields note_table =
    LH_FIELDS("note", note_doc, note_table_rows);

/* ---- the kinds ---------------------------------------------------------- */

typedef struct {
  const char *key, *kind; /* "" any record, "blob" a blob */
} ref_row;

static const ref_row tile_refs[] = {{"body", "body"},     {"under", "slip"},
                                    {"slip", "slip"},     {"glaze", "glaze"},
                                    {"firing", "firing"}, {"pictures", "blob"},
                                    {NULL, NULL}};
static const ref_row firing_refs[] = {
    {"pieces", "piece"}, {"tiles", "tile"}, {"pictures", "blob"}, {NULL, NULL}};
static const ref_row note_refs[] = {
    {"about", ""}, {"pictures", "blob"}, {NULL, NULL}};

static const struct {
  const char *name;
  const lh_fields *table, *beside; /* beside: NULL, or fields of its own  */
  const ref_row *refs;
} kinds[LH_BOOK_KINDS] = {
    [LH_BOOK_MATERIAL] = {"material", &lh_material_table, NULL, NULL},
    [LH_BOOK_BODY] = {"body", &lh_body_fields, &with_recipe, NULL},
    [LH_BOOK_SLIP] = {"slip", &lh_slip_fields, NULL, NULL},
    [LH_BOOK_GLAZE] = {"glaze", &lh_glaze_fields, &with_recipe, NULL},
    [LH_BOOK_BRUSH] = {"brush", &lh_brush_fields, &with_note, NULL},
    [LH_BOOK_FORM] = {"form", &lh_form_table, &with_note, NULL},
    [LH_BOOK_MOTIF] = {"motif", &lh_motif_fields, &with_note, NULL},
    [LH_BOOK_PIECE] = {"piece", &lh_piece_table, NULL, NULL},
    [LH_BOOK_TILE] = {"tile", &tile_table, NULL, tile_refs},
    [LH_BOOK_FIRING] = {"firing", &lh_firing_fields, &with_firing, firing_refs},
    [LH_BOOK_NOTE] = {"note", &note_table, NULL, note_refs},
};

const char *lh_book_kind_name(lh_book_kind kind)
{
  return (unsigned)kind < LH_BOOK_KINDS ? kinds[kind].name : NULL;
}

lh_book_kind lh_book_kind_find(const char *name)
{
  int i = 0;

  while (i < LH_BOOK_KINDS && strcmp(kinds[i].name, name) != 0) i++;
  return (lh_book_kind)i;
}

static bool has_key(const lh_fields *f, const char *key)
{
  for (size_t i = 0; f && i < f->count; i++)
    if (strcmp(f->list[i].key, key) == 0) return true;
  return false;
}

bool lh_book_has_id(lh_book_kind kind)
{
  if (!lh_book_kind_name(kind)) return false;
  return has_key(kinds[kind].table, "id") || has_key(kinds[kind].beside, "id");
}

/* ---- checking ----------------------------------------------------------- */

static lh_status read_by(const lh_fields *f, const json_t *json, lh_arena *a,
                         void **out, lh_fault *fault)
{
  *out = lh_arena_take(a, 1, f->size);
  if (!*out) return lh_fault_plain(fault, LH_NOMEM, "/");
  return lh_fields_read(f, json, NULL, a, *out, fault);
}

/* A document that two tables share is parted by key. */
static lh_status read_both(const lh_fields *f, const lh_fields *beside,
                           const json_t *json, lh_arena *a, lh_fault *fault)
{
  json_t *one = json_object(), *two = json_object(), *v;
  lh_status st = one && two ? LH_OK : lh_fault_plain(fault, LH_NOMEM, "/");
  const char *key;
  void *out;

  json_object_foreach((json_t *)(uintptr_t)json, key, v)
  {
    bool second = has_key(beside, key) && !has_key(f, key);
    if (st == LH_OK && json_object_set(second ? two : one, key, v) != 0)
      st = lh_fault_plain(fault, LH_NOMEM, "/");
  }
  if (st == LH_OK) st = read_by(f, one, a, &out, fault);
  if (st == LH_OK) st = read_by(beside, two, a, &out, fault);
  json_decref(one);
  json_decref(two);
  return st;
}

static lh_status valid_piece(const json_t *json, lh_arena *a, lh_fault *fault)
{
  const json_t *version = json_object_get(json, "version");
  json_t *copy = NULL;
  void *doc;
  lh_status st;

  if (json_object_get(json, "ask")) {
    return lh_fault_say(fault, LH_INPUT, "/ask", "take it out",
                        "a question to an operation is no part of a piece");
  }
  /* An older piece stays as it was written; only its copy is brought up. */
  if (json_is_integer(version) &&
      json_integer_value(version) < LH_PIECE_VERSION)
    copy = lh_json_copy(json);
  st = lh_piece_migrate(copy ? copy : (json_t *)(uintptr_t)json, fault);
  if (st == LH_OK)
    st = read_by(&lh_piece_table, copy ? copy : json, a, &doc, fault);
  if (st == LH_OK) st = lh_piece_check_ids(doc, a, fault);
  json_decref(copy);
  return st;
}

static lh_status valid_id(lh_book_kind kind, const json_t *document,
                          const char *id, lh_fault *fault)
{
  const char *is = json_string_value(json_object_get(document, "id"));

  if (!id || !lh_book_has_id(kind)) return LH_OK;
  if (is && strcmp(is, id) == 0) return LH_OK;
  return lh_fault_say(fault, LH_INPUT, "/id",
                      "leave the id alone, or save it as a new one",
                      "the id of \"%s\" cannot change", id);
}

lh_status lh_book_valid(lh_book_kind kind, const json_t *document,
                        const char *id, lh_fault *fault)
{
  lh_arena a;
  lh_status st;
  void *out;

  if (!lh_book_kind_name(kind)) {
    return lh_fault_say(fault, LH_INPUT, "kind",
                        "see docs/book.md for the kinds there are",
                        "a book has no such kind");
  }
  if (!json_is_object(document)) {
    return lh_fault_say(fault, LH_INPUT, "/", "give one object",
                        "a document is an object");
  }
  lh_heap_open(&a);
  if (kind == LH_BOOK_PIECE)
    st = valid_piece(document, &a, fault);
  else if (kinds[kind].beside)
    st = read_both(kinds[kind].table, kinds[kind].beside, document, &a, fault);
  else
    st = read_by(kinds[kind].table, document, &a, &out, fault);
  lh_heap_free(&a);
  return st == LH_OK ? valid_id(kind, document, id, fault) : st;
}

lh_status lh_book_refs(lh_book_kind kind, const json_t *document,
                       lh_book_each_ref *each, void *user)
{
  lh_status st = LH_OK;

  if (!lh_book_kind_name(kind)) return st;
  for (const ref_row *r = kinds[kind].refs; r && r->key && st == LH_OK; r++) {
    const json_t *v = json_object_get(document, r->key);
    char place[64];
    snprintf(place, sizeof place, "/%s", r->key);
    if (json_is_string(v))
      st = each(user, place, r->kind, json_string_value(v));
    for (size_t i = 0; i < json_array_size(v) && st == LH_OK; i++) {
      snprintf(place, sizeof place, "/%s/%zu", r->key, i);
      st = each(user, place, r->kind, json_string_value(json_array_get(v, i)));
    }
  }
  return st;
}
