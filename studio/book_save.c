/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_save.c -- new records and edits: on the newest revision, merged past
** others, or kept aside. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "book_room.h"
#include "heap.h"
#include "patch.h"
#include "piece.h"

/* ---- a new record ------------------------------------------------------- */

/* 80 random bits in 16 letters and digits, none of which look alike (the
** alphabet of base 32 as Crockford has it). */
static void make_id(lh_book_kind kind, char *id)
{
  static const char letters[] = "0123456789abcdefghjkmnpqrstvwxyz";
  unsigned char random[16];
  int n = snprintf(id, LH_BOOK_ID + 1, "%s-", lh_book_kind_name(kind));

  sqlite3_randomness(sizeof random, random);
  for (size_t i = 0; i < sizeof random; i++) id[n++] = letters[random[i] & 31];
  id[n] = 0;
}

static lh_status check_id(const char *id, lh_fault *fault)
{
  size_t n = strlen(id);

  if (n > 0 && n <= LH_BOOK_ID &&
      strspn(id, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
                 "0123456789-_.") == n)
    return LH_OK;
  return lh_fault_say(fault, LH_INPUT, "/id",
                      "use 1 to 64 letters, digits, - _ .",
                      "\"%.60s\" cannot be an id in the book", id);
}

/* The document as it will be read back: at most 15 significant digits. */
static lh_status settle(const json_t *document, json_t **out, lh_fault *fault)
{
  char *text = lh_json_line(document);
  lh_status st;

  if (!text) return lh_fault_plain(fault, LH_NOMEM, "/");
  st = lh_json_parse(text, strlen(text), "document", out, fault);
  free(text);
  return st;
}

static lh_status insert_record(lh_book *b, lh_book_place *place,
                               lh_fault *fault)
{
  static const char there[] = "SELECT 1 FROM record WHERE id = ?1";
  static const char sql[] = "INSERT INTO record (id, kind) VALUES (?1, ?2)";
  sqlite3_stmt *q = lh_book_sql(b, there);
  bool row;
  lh_status st;

  if (q) sqlite3_bind_text(q, 1, place->id, -1, SQLITE_STATIC);
  st = lh_book_next(b, q, &row, fault);
  if (q) sqlite3_reset(q);
  if (st != LH_OK) return st;
  if (row) {
    return lh_fault_say(fault, LH_CONFLICT, "/id",
                        "save an edit of it, or take the id out",
                        "\"%s\" is in the book already", place->id);
  }
  q = lh_book_sql(b, sql);
  if (q) {
    sqlite3_bind_text(q, 1, place->id, -1, SQLITE_STATIC);
    sqlite3_bind_text(q, 2, lh_book_kind_name(place->kind), -1, SQLITE_STATIC);
  }
  st = lh_book_run(b, q, fault);
  place->seq = sqlite3_last_insert_rowid(b->db);
  return st;
}

lh_status lh_book_add(lh_book *b, lh_book_kind kind, const json_t *document,
                      const char *device, lh_book_saved *saved, lh_fault *fault)
{
  const char *id = json_string_value(json_object_get(document, "id"));
  lh_book_place place = {.kind = kind};
  lh_book_row row = {.number = 1, .act = "new", .device = device};
  json_t *d = NULL;
  lh_status st = lh_book_device_ok(device, fault);

  if (st == LH_OK && !lh_book_kind_name(kind))
    st = lh_book_valid(kind, document, NULL, fault);
  if (st == LH_OK) st = settle(document, &d, fault);
  if (st == LH_OK && id) st = check_id(id, fault);
  if (st == LH_OK) {
    if (id)
      snprintf(place.id, sizeof place.id, "%s", id);
    else
      make_id(kind, place.id);
    if (!id && lh_book_has_id(kind) && json_is_object(d) &&
        json_object_set_new(d, "id", json_string(place.id)) != 0)
      st = lh_fault_plain(fault, LH_NOMEM, "/id");
  }
  if (st == LH_OK) st = lh_book_valid(kind, d, place.id, fault);
  if (st == LH_OK) st = lh_book_begin(b, fault);
  if (st != LH_OK) {
    json_decref(d);
    return st;
  }
  row.document = d;
  st = insert_record(b, &place, fault);
  if (st == LH_OK) st = lh_book_write(b, &place, &row, fault);
  st = lh_book_end(b, st, fault);
  if (st != LH_OK) {
    json_decref(d);
    return st;
  }
  lh_book_hold(b, &place, 1, d);
  *saved = (lh_book_saved){.number = 1, .head = 1, .how = LH_BOOK_SAVED};
  memcpy(saved->id, place.id, sizeof saved->id);
  return LH_OK;
}

/* ---- an edit ------------------------------------------------------------ */

typedef struct {
  lh_book *b;
  lh_book_place place;
  const char *device;
  long base;
  const json_t *patch;
  lh_book_saved *saved;
  lh_fault *fault;
} editing;

static bool is_aside(editing *e, long number)
{
  static const char sql[] =
      "SELECT aside FROM revision WHERE record = ?1 AND number = ?2";
  sqlite3_stmt *q = lh_book_sql(e->b, sql);
  bool row = false, aside;

  if (!q) return false;
  sqlite3_bind_int64(q, 1, e->place.seq);
  sqlite3_bind_int64(q, 2, number);
  (void)lh_book_next(e->b, q, &row, NULL);
  aside = row && sqlite3_column_int(q, 0) == 1;
  sqlite3_reset(q);
  return aside;
}

/* The things that revisions after `base`, those aside left out, touched. */
static lh_status touched_since(editing *e, json_t *set)
{
  static const char sql[] =
      "SELECT t.thing FROM touched t JOIN revision r"
      " ON r.record = t.record AND r.number = t.number"
      " WHERE t.record = ?1 AND t.number > ?2 AND r.aside = 0";
  sqlite3_stmt *q = lh_book_sql_of(e->b, sql, e->place.seq, e->base);
  lh_status st;
  bool row;

  while ((st = lh_book_next(e->b, q, &row, e->fault)) == LH_OK && row) {
    if (json_object_set_new(set, lh_book_column(q, 0), json_true()) != 0) {
      sqlite3_reset(q);
      return lh_fault_plain(e->fault, LH_NOMEM, e->place.id);
    }
  }
  return st;
}

/* Write the patch on top of the head, whose document is `d` (changed in
** place; ours).  LH_OK: it has become what the book holds. */
static lh_status on_head(editing *e, json_t **d, const json_t *patch,
                         lh_book_how how)
{
  json_t *inverse = NULL, *touched = json_object();
  lh_book_row row = {.base = e->place.head,
                     .act = "edit",
                     .device = e->device,
                     .hidden = e->place.hidden,
                     .patch = patch};
  lh_status st = touched ? LH_OK : lh_fault_plain(e->fault, LH_NOMEM, "");

  if (st == LH_OK) st = lh_patch_apply(d, patch, &inverse, touched, e->fault);
  if (st == LH_OK) st = lh_book_valid(e->place.kind, *d, e->place.id, e->fault);
  if (st == LH_OK)
    st = lh_book_number(e->b, e->place.seq, &row.number, e->fault);
  row.inverse = inverse;
  row.document = *d;
  row.touched = touched;
  if (st == LH_OK) st = lh_book_write(e->b, &e->place, &row, e->fault);
  if (st == LH_OK) {
    e->saved->number = e->saved->head = row.number;
    e->saved->how = how;
  }
  json_decref(inverse);
  json_decref(touched);
  return st;
}

static lh_status keep_aside(editing *e, const json_t *after,
                            const json_t *inverse, const json_t *touched,
                            const char *met)
{
  lh_book_row row = {.base = e->base,
                     .act = "edit",
                     .device = e->device,
                     .aside = true,
                     .hidden = e->place.hidden,
                     .patch = e->patch,
                     .inverse = inverse,
                     .document = after,
                     .touched = touched};
  lh_status st = lh_book_number(e->b, e->place.seq, &row.number, e->fault);

  if (st == LH_OK) st = lh_book_write(e->b, &e->place, &row, e->fault);
  e->saved->number = row.number;
  e->saved->head = e->place.head;
  e->saved->how = LH_BOOK_ASIDE;
  snprintf(e->saved->met, sizeof e->saved->met, "%s", met);
  return st;
}

/* Can the whole piece be read: references, geometry and all? */
static bool readable(const json_t *piece)
{
  const json_t *version = json_object_get(piece, "version");
  bool old = json_integer_value(version) < LH_PIECE_VERSION, good;
  /* Reading brings an older piece up: then a copy of it. */
  json_t *d =
      old ? lh_json_copy(piece) : json_incref((json_t *)(uintptr_t)piece);
  lh_arena a;
  lh_piece p;

  lh_heap_open(&a);
  good = d && lh_piece_read(d, &a, &p, NULL) == LH_OK;
  lh_heap_free(&a);
  json_decref(d);
  return good;
}

bool lh_book_merges_badly(const lh_book_place *place, const json_t *head,
                          const json_t *alone, const json_t *merged)
{
  if (lh_book_valid(place->kind, merged, place->id, NULL) != LH_OK) return true;
  if (place->kind != LH_BOOK_PIECE || readable(merged)) return false;
  return readable(head) && readable(alone);
}

/* Move the edit past what others saved since; *d is the head's document and
** becomes the merged one.  LH_CONFLICT: it cannot be. */
static lh_status past_others(editing *e, const json_t *base, json_t **d)
{
  json_t *from = lh_json_copy(base), *to = lh_json_copy(*d);
  json_t *moved = NULL;
  lh_status st = from && to ? LH_OK : LH_NOMEM;

  if (st == LH_OK) st = lh_patch_move(&from, &to, e->patch, &moved, NULL);
  if (st == LH_OK && lh_book_merges_badly(&e->place, *d, from, to))
    st = LH_CONFLICT;
  if (st != LH_OK && st != LH_NOMEM) st = LH_CONFLICT;
  if (st == LH_OK) st = on_head(e, d, moved, LH_BOOK_MERGED);
  json_decref(from);
  json_decref(to);
  json_decref(moved);
  return st;
}

/* The edit was made on an older revision. */
static lh_status on_older(editing *e)
{
  json_t *base = NULL, *after = NULL, *head = NULL, *inverse = NULL;
  json_t *ours = json_object(), *theirs = json_object();
  const char *met = NULL;
  lh_status st = lh_book_make(e->b, &e->place, e->base, &base, e->fault);

  if (st == LH_OK) after = lh_json_copy(base);
  if (st == LH_OK && (!after || !ours || !theirs))
    st = lh_fault_plain(e->fault, LH_NOMEM, e->place.id);
  if (st == LH_OK)
    st = lh_patch_apply(&after, e->patch, &inverse, ours, e->fault);
  if (st == LH_OK)
    st = lh_book_valid(e->place.kind, after, e->place.id, e->fault);
  if (st == LH_OK) st = touched_since(e, theirs);
  if (st == LH_OK) {
    met = is_aside(e, e->base) ? "a version kept aside"
                               : lh_patch_meet(ours, theirs);
    if (!met) {
      st = lh_book_make(e->b, &e->place, e->place.head, &head, e->fault);
      if (st == LH_OK) st = past_others(e, base, &head);
      if (st == LH_CONFLICT) met = "what one takes away and the other needs";
    }
  }
  if (met && (st == LH_OK || st == LH_CONFLICT))
    st = keep_aside(e, after, inverse, ours, met);
  if (st == LH_OK && e->saved->how == LH_BOOK_MERGED) {
    lh_book_hold(e->b, &e->place, e->saved->number, head);
    head = NULL;
  }
  json_decref(base);
  json_decref(after);
  json_decref(head);
  json_decref(inverse);
  json_decref(ours);
  json_decref(theirs);
  return st;
}

static lh_status somebody_first(const editing *e)
{
  return lh_fault_say(e->fault, LH_CONFLICT, e->place.id,
                      "look at both, then save again on the newest",
                      "revision %ld is not the newest any more: %ld is",
                      e->base, e->place.head);
}

static lh_status edit(editing *e, const char *id, bool exact)
{
  json_t *d = NULL;
  lh_status st = lh_book_find(e->b, id, &e->place, e->fault);

  /* From here on: the id may be the one that *saved holds from last time. */
  *e->saved = (lh_book_saved){
      .number = e->place.head, .head = e->place.head, .how = LH_BOOK_UNCHANGED};
  if (st != LH_OK) return st;
  memcpy(e->saved->id, e->place.id, sizeof e->saved->id);
  if (exact && e->base != e->place.head) return somebody_first(e);
  if (json_is_array(e->patch) && json_array_size(e->patch) == 0) return LH_OK;
  if (e->base != e->place.head) return on_older(e);
  st = lh_book_take(e->b, &e->place, e->place.head, &d, e->fault);
  if (st == LH_OK) st = on_head(e, &d, e->patch, LH_BOOK_SAVED);
  if (st == LH_OK)
    lh_book_hold(e->b, &e->place, e->saved->number, d);
  else
    json_decref(d);
  return st;
}

static lh_status run_edit(editing *e, const char *id, bool exact)
{
  lh_status st = lh_book_device_ok(e->device, e->fault);

  if (st == LH_OK) st = lh_book_begin(e->b, e->fault);
  if (st != LH_OK) return st;
  return lh_book_end(e->b, edit(e, id, exact), e->fault);
}

lh_status lh_book_edit(lh_book *b, const char *id, long base,
                       const json_t *patch, const char *device, bool exact,
                       lh_book_saved *saved, lh_fault *fault)
{
  json_t *p = NULL;
  editing e = {
      .b = b, .device = device, .base = base, .saved = saved, .fault = fault};
  lh_status st = settle(patch, &p, fault);

  e.patch = p;
  if (st == LH_OK) st = run_edit(&e, id, exact);
  json_decref(p);
  return st;
}

lh_status lh_book_save(lh_book *b, const char *id, long base,
                       const json_t *document, const char *device, bool exact,
                       lh_book_saved *saved, lh_fault *fault)
{
  editing e = {
      .b = b, .device = device, .base = base, .saved = saved, .fault = fault};
  json_t *from = NULL, *to = NULL, *patch = NULL;
  lh_status st = settle(document, &to, fault);

  /* The base never changes once it is there: no transaction is needed. */
  if (st == LH_OK) st = lh_book_find(b, id, &e.place, fault);
  if (st == LH_OK && lh_book_has_id(e.place.kind) && json_is_object(to) &&
      !json_object_get(to, "id") &&
      json_object_set_new(to, "id", json_string(e.place.id)) != 0)
    st = lh_fault_plain(fault, LH_NOMEM, "/id");
  /* Refused in the words of the document, not of a patch. */
  if (st == LH_OK) st = lh_book_valid(e.place.kind, to, e.place.id, fault);
  if (st == LH_OK) st = lh_book_make(b, &e.place, base, &from, fault);
  if (st == LH_OK) st = lh_patch_between(from, to, &patch, fault);
  e.patch = patch;
  if (st == LH_OK) st = run_edit(&e, id, exact);
  json_decref(from);
  json_decref(to);
  json_decref(patch);
  return st;
}
