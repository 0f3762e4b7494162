/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_undo.c -- undo, redo, restore, choose, hide: each is one more
** revision, so that they, too, can be taken back. */
#include <stdlib.h>
#include <string.h>

#include "book_room.h"
#include "patch.h"

typedef struct {
  lh_book *b;
  lh_book_place place;
  const char *device;
  lh_book_saved *saved;
  lh_fault *fault;
} turning;

static lh_status open_turn(turning *t, const char *id)
{
  lh_status st = lh_book_device_ok(t->device, t->fault);

  if (st == LH_OK) st = lh_book_begin(t->b, t->fault);
  if (st == LH_OK) st = lh_book_find(t->b, id, &t->place, t->fault);
  /* Not before: the id may be the one that *saved holds from last time. */
  *t->saved = (lh_book_saved){.how = LH_BOOK_UNCHANGED};
  return st;
}

static lh_status close_turn(turning *t, lh_status st)
{
  if (sqlite3_get_autocommit(t->b->db)) return st; /* never begun */
  memcpy(t->saved->id, t->place.id, sizeof t->saved->id);
  if (t->saved->how == LH_BOOK_UNCHANGED)
    t->saved->number = t->saved->head = t->place.head;
  return lh_book_end(t->b, st, t->fault);
}

/* Apply a patch (NULL: none) to the head and write it as this act. */
static lh_status write_act(turning *t, lh_book_row *row, const json_t *patch)
{
  json_t *d = NULL, *inverse = NULL, *touched = json_object();
  lh_status st = lh_book_take(t->b, &t->place, t->place.head, &d, t->fault);

  if (st == LH_OK && !touched) st = lh_fault_plain(t->fault, LH_NOMEM, "");
  if (st == LH_OK && patch)
    st = lh_patch_apply(&d, patch, &inverse, touched, t->fault);
  if (st == LH_OK) st = lh_book_valid(t->place.kind, d, t->place.id, t->fault);
  if (st == LH_OK)
    st = lh_book_number(t->b, t->place.seq, &row->number, t->fault);
  row->base = t->place.head;
  row->device = t->device;
  row->patch = patch;
  row->inverse = inverse;
  row->document = d;
  row->touched = touched;
  if (st == LH_OK) st = lh_book_write(t->b, &t->place, row, t->fault);
  if (st == LH_OK) {
    lh_book_hold(t->b, &t->place, row->number, d);
    t->saved->number = t->saved->head = row->number;
    t->saved->how = LH_BOOK_SAVED;
  } else {
    json_decref(d);
  }
  json_decref(inverse);
  json_decref(touched);
  return st;
}

/* ---- undo and redo ------------------------------------------------------ */

/* The revision that the device would take back next; 0: none. */
static const char next_undo[] =
    "SELECT max(number) FROM revision r WHERE record = ?1 AND device = ?2"
    " AND aside = 0 AND act NOT IN ('new', 'undo')"
    " AND (patch <> '[]' OR act IN ('hide', 'show') OR reverses IS NOT NULL)"
    " AND NOT EXISTS (SELECT 1 FROM revision u"
    "  WHERE u.record = ?1 AND u.reverses = r.number)";
/* The undo that it would bring again next: none after a new edit. */
static const char next_redo[] =
    "SELECT max(number) FROM revision r WHERE record = ?1 AND device = ?2"
    " AND act = 'undo' AND NOT EXISTS (SELECT 1 FROM revision u"
    "  WHERE u.record = ?1 AND u.reverses = r.number)"
    " AND NOT EXISTS (SELECT 1 FROM revision e WHERE e.record = ?1"
    "  AND e.device = ?2 AND e.aside = 0 AND e.number > r.number"
    "  AND e.act NOT IN ('undo', 'redo'))";

static lh_status next_of(turning *t, const char *sql, long *number)
{
  sqlite3_stmt *q = lh_book_sql(t->b, sql);
  bool row;
  lh_status st;

  if (q) {
    sqlite3_bind_int64(q, 1, t->place.seq);
    sqlite3_bind_text(q, 2, t->device, -1, SQLITE_STATIC);
  }
  st = lh_book_next(t->b, q, &row, t->fault);
  *number = row ? (long)sqlite3_column_int64(q, 0) : 0;
  if (q) sqlite3_reset(q);
  return st;
}

/* What a revision did. */
typedef struct {
  json_t *inverse;
  bool hides; /* it changed whether the record is hidden */
} deed;

static lh_status read_deed(turning *t, long number, deed *d)
{
  static const char sql[] =
      "SELECT r.inverse, r.hidden <> p.hidden FROM revision r"
      " JOIN revision p ON p.record = r.record AND p.number = r.base"
      " WHERE r.record = ?1 AND r.number = ?2";
  sqlite3_stmt *q = lh_book_sql_of(t->b, sql, t->place.seq, number);
  bool row;
  lh_status st;

  st = lh_book_next(t->b, q, &row, t->fault);
  if (st == LH_OK && row) {
    const char *text = lh_book_column(q, 0);
    d->hides = sqlite3_column_int(q, 1) != 0;
    st = lh_json_parse(text, strlen(text), "inverse", &d->inverse, t->fault);
  }
  if (q) sqlite3_reset(q);
  return st;
}

static lh_status put_touched(turning *t, long number, json_t *set)
{
  static const char sql[] =
      "SELECT thing FROM touched WHERE record = ?1 AND number = ?2";
  sqlite3_stmt *q = lh_book_sql_of(t->b, sql, t->place.seq, number);
  lh_status st;
  bool row;

  while ((st = lh_book_next(t->b, q, &row, t->fault)) == LH_OK && row) {
    if (json_object_set_new(set, lh_book_column(q, 0), json_true()) == 0)
      continue;
    sqlite3_reset(q);
    return lh_fault_plain(t->fault, LH_NOMEM, t->place.id);
  }
  return st;
}

/* What is in effect of all that came after a revision: an edit and its undo
** cancel each other.  Set: the numbers, as keys. */
static lh_status in_effect(turning *t, long after, json_t *numbers)
{
  static const char sql[] =
      "SELECT number, coalesce(reverses, 0) FROM revision WHERE record = ?1"
      " AND number > ?2 AND aside = 0 ORDER BY number DESC";
  sqlite3_stmt *q = lh_book_sql_of(t->b, sql, t->place.seq, after);
  json_t *gone = json_object();
  lh_status st = gone ? LH_OK : lh_fault_plain(t->fault, LH_NOMEM, "");
  bool row;

  while (st == LH_OK && (st = lh_book_next(t->b, q, &row, t->fault)) == LH_OK &&
         row) {
    const char *number = lh_book_column(q, 0);
    long long reverses = sqlite3_column_int64(q, 1);
    bool pair = reverses > after;
    if (json_object_get(gone, number)) continue;
    if (json_object_set_new(pair ? gone : numbers,
                            pair ? lh_book_column(q, 1) : number,
                            json_true()) != 0)
      st = lh_fault_plain(t->fault, LH_NOMEM, "");
  }
  if (q) sqlite3_reset(q);
  json_decref(gone);
  return st;
}

/* Has anything in effect since touched what this revision did? */
static lh_status check_free(turning *t, long number)
{
  json_t *ours = json_object(), *theirs = json_object();
  json_t *numbers = json_object(), *v;
  const char *key, *met;
  lh_status st = ours && theirs && numbers
                     ? put_touched(t, number, ours)
                     : lh_fault_plain(t->fault, LH_NOMEM, "");

  if (st == LH_OK) st = in_effect(t, number, numbers);
  json_object_foreach(numbers, key, v)
  {
    if (st == LH_OK) st = put_touched(t, atol(key), theirs);
  }
  met = st == LH_OK ? lh_patch_meet(ours, theirs) : NULL;
  if (met) {
    st = lh_fault_say(t->fault, LH_CONFLICT, t->place.id,
                      "look at the history and bring back what you want",
                      "it cannot be taken back: %.60s was changed again since",
                      *met == '*' ? "the whole document" : met);
  }
  json_decref(ours);
  json_decref(theirs);
  json_decref(numbers);
  return st;
}

/* Move the inverse from the revision it belongs to, to the head. */
static lh_status to_head(turning *t, long number, json_t **patch)
{
  json_t *then = NULL, *now = NULL, *moved = NULL, *head = NULL;
  lh_status st;

  if (number == t->place.head) return LH_OK;
  st = lh_book_make(t->b, &t->place, number, &then, t->fault);
  if (st == LH_OK)
    st = lh_book_make(t->b, &t->place, t->place.head, &now, t->fault);
  if (st == LH_OK) {
    head = lh_json_copy(now);
    st = lh_patch_move(&then, &now, *patch, &moved, t->fault);
  }
  if (st == LH_OK &&
      (!head || lh_book_merges_badly(&t->place, head, then, now))) {
    st = lh_fault_say(t->fault, LH_CONFLICT, t->place.id,
                      "look at the history and bring back what you want",
                      "it cannot be taken back: what came since needs it");
    json_decref(moved);
  } else if (st == LH_OK) {
    json_decref(*patch);
    *patch = moved;
  }
  json_decref(head);
  json_decref(then);
  json_decref(now);
  return st;
}

static lh_status reverse(lh_book *b, const char *id, const char *device,
                         bool redo, lh_book_saved *saved, lh_fault *fault)
{
  turning t = {.b = b, .device = device, .saved = saved, .fault = fault};
  lh_book_row row = {.act = redo ? "redo" : "undo"};
  deed d = {0};
  lh_status st = open_turn(&t, id);

  if (st == LH_OK)
    st = next_of(&t, redo ? next_redo : next_undo, &row.reverses);
  if (st == LH_OK && row.reverses) {
    st = read_deed(&t, row.reverses, &d);
    if (st == LH_OK) st = check_free(&t, row.reverses);
    if (st == LH_OK) st = to_head(&t, row.reverses, &d.inverse);
    row.hidden = t.place.hidden != d.hides;
    if (st == LH_OK) st = write_act(&t, &row, d.inverse);
    json_decref(d.inverse);
  }
  return close_turn(&t, st);
}

lh_status lh_book_undo(lh_book *b, const char *id, const char *device,
                       lh_book_saved *saved, lh_fault *fault)
{
  return reverse(b, id, device, false, saved, fault);
}

lh_status lh_book_redo(lh_book *b, const char *id, const char *device,
                       lh_book_saved *saved, lh_fault *fault)
{
  return reverse(b, id, device, true, saved, fault);
}

/* ---- restore, choose, hide ---------------------------------------------- */

/* The patch that makes the head what a revision was. */
static lh_status back_to(turning *t, long number, json_t **patch)
{
  json_t *then = NULL, *now = NULL;
  lh_status st = lh_book_make(t->b, &t->place, number, &then, t->fault);

  if (st == LH_OK)
    st = lh_book_make(t->b, &t->place, t->place.head, &now, t->fault);
  if (st == LH_OK) st = lh_patch_between(now, then, patch, t->fault);
  json_decref(then);
  json_decref(now);
  return st;
}

lh_status lh_book_restore(lh_book *b, const char *id, long number,
                          const char *device, lh_book_saved *saved,
                          lh_fault *fault)
{
  turning t = {.b = b, .device = device, .saved = saved, .fault = fault};
  lh_book_row row = {.act = "restore", .takes = number};
  json_t *patch = NULL;
  lh_status st = open_turn(&t, id);

  if (st == LH_OK) st = back_to(&t, number, &patch);
  if (st == LH_OK && (json_array_size(patch) > 0 || t.place.hidden))
    st = write_act(&t, &row, patch);
  json_decref(patch);
  return close_turn(&t, st);
}

static lh_status is_open_aside(turning *t, long number)
{
  static const char sql[] =
      "SELECT 1 FROM revision a WHERE record = ?1 AND number = ?2"
      " AND aside = 1 AND NOT EXISTS (SELECT 1 FROM revision s"
      "  WHERE s.record = ?1 AND s.settles = a.number)";
  sqlite3_stmt *q = lh_book_sql_of(t->b, sql, t->place.seq, number);
  bool row;
  lh_status st;

  st = lh_book_next(t->b, q, &row, t->fault);
  if (q) sqlite3_reset(q);
  if (st != LH_OK || row) return st;
  return lh_fault_say(t->fault, LH_NOTFOUND, t->place.id,
                      "the history shows which are kept aside",
                      "revision %ld is not waiting for a choice", number);
}

lh_status lh_book_choose(lh_book *b, const char *id, long aside, bool take,
                         const char *device, lh_book_saved *saved,
                         lh_fault *fault)
{
  turning t = {.b = b, .device = device, .saved = saved, .fault = fault};
  lh_book_row row = {.act = "choose", .settles = aside};
  json_t *patch = NULL;
  lh_status st = open_turn(&t, id);

  if (st == LH_OK) st = is_open_aside(&t, aside);
  if (st == LH_OK && take) {
    row.takes = aside;
    st = back_to(&t, aside, &patch);
  }
  row.hidden = t.place.hidden;
  if (st == LH_OK) st = write_act(&t, &row, patch);
  json_decref(patch);
  return close_turn(&t, st);
}

lh_status lh_book_hide(lh_book *b, const char *id, bool hide,
                       const char *device, lh_book_saved *saved,
                       lh_fault *fault)
{
  turning t = {.b = b, .device = device, .saved = saved, .fault = fault};
  lh_book_row row = {.act = hide ? "hide" : "show", .hidden = hide};
  lh_status st = open_turn(&t, id);

  if (st == LH_OK && t.place.hidden != hide) st = write_act(&t, &row, NULL);
  return close_turn(&t, st);
}
