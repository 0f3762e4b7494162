/* SPDX-License-Identifier: GPL-3.0-or-later */
/* book_make.c -- find a record; make the document of any revision from the
** full copy before it and the patches since; keep a few in memory. */
#include <string.h>

#include "book_room.h"
#include "patch.h"

lh_status lh_book_find(lh_book *b, const char *id, lh_book_place *place,
                       lh_fault *fault)
{
  static const char sql[] =
      "SELECT r.seq, r.kind, r.id, h.number, h.hidden FROM record r"
      " JOIN head h ON h.record = r.seq WHERE r.id = ?1";
  sqlite3_stmt *q = lh_book_sql(b, sql);
  bool row;
  lh_status st;

  if (q) sqlite3_bind_text(q, 1, id, -1, SQLITE_STATIC);
  st = lh_book_next(b, q, &row, fault);
  if (st != LH_OK) return st;
  if (!row) {
    return lh_fault_say(fault, LH_NOTFOUND, id,
                        "leatherhard book FILE search finds it by its name",
                        "there is no such record in the book");
  }
  place->seq = sqlite3_column_int64(q, 0);
  place->kind = lh_book_kind_find(lh_book_column(q, 1));
  snprintf(place->id, sizeof place->id, "%s", lh_book_column(q, 2));
  place->head = (long)sqlite3_column_int64(q, 3);
  place->hidden = sqlite3_column_int(q, 4) != 0;
  sqlite3_reset(q);
  if (place->kind < LH_BOOK_KINDS) return LH_OK;
  /* A book that a stranger made may say anything. */
  return lh_fault_say(fault, LH_INPUT, id, "run leatherhard book FILE check",
                      "the record is of a kind that no book has");
}

lh_status lh_book_replay(json_t **document, const char *patch, json_t *touched,
                         lh_fault *fault)
{
  json_t *p = NULL;
  lh_status st = lh_json_parse(patch, strlen(patch), "patch", &p, fault);

  if (st == LH_OK) st = lh_patch_apply(document, p, NULL, touched, fault);
  json_decref(p);
  return st;
}

lh_status lh_book_make(lh_book *b, const lh_book_place *place, long number,
                       json_t **document, lh_fault *fault)
{
  static const char sql[] =
      "WITH RECURSIVE chain (number, base, document, patch) AS ("
      " SELECT number, base, document, patch FROM revision"
      "  WHERE record = ?1 AND number = ?2"
      " UNION ALL SELECT r.number, r.base, r.document, r.patch"
      "  FROM chain c JOIN revision r"
      "   ON r.record = ?1 AND r.number = c.base"
      "   AND r.number < c.number WHERE c.document IS NULL)"
      " SELECT document, patch FROM chain ORDER BY number";
  sqlite3_stmt *q = lh_book_sql_of(b, sql, place->seq, number);
  json_t *d = NULL;
  bool row;
  lh_status st;

  *document = NULL;
  while ((st = lh_book_next(b, q, &row, fault)) == LH_OK && row) {
    if (d)
      st = lh_book_replay(&d, lh_book_column(q, 1), NULL, fault);
    else
      st = lh_json_parse(lh_book_column(q, 0),
                         (size_t)sqlite3_column_bytes(q, 0), place->id, &d,
                         fault);
    if (st != LH_OK) break;
  }
  if (q) sqlite3_reset(q);
  if (st == LH_OK && !d) {
    st = lh_fault_say(fault, LH_NOTFOUND, place->id,
                      "leatherhard book FILE history ID lists those there are",
                      "there is no revision %ld", number);
  }
  if (st == LH_OK)
    *document = d;
  else
    json_decref(d);
  return st;
}

/* ---- what is held ------------------------------------------------------- */

void lh_book_drop(lh_book *b)
{
  for (size_t i = 0; i < LH_BOOK_HELD; i++) {
    json_decref(b->held[i].document);
    b->held[i] = (lh_book_held){0};
  }
}

lh_status lh_book_take(lh_book *b, const lh_book_place *place, long number,
                       json_t **document, lh_fault *fault)
{
  for (size_t i = 0; i < LH_BOOK_HELD; i++) {
    lh_book_held *h = &b->held[i];
    if (!h->document || h->record != place->seq || h->number != number)
      continue;
    *document = h->document;
    *h = (lh_book_held){0};
    return LH_OK;
  }
  return lh_book_make(b, place, number, document, fault);
}

void lh_book_hold(lh_book *b, const lh_book_place *place, long number,
                  json_t *document)
{
  lh_book_held *oldest = &b->held[0];

  for (size_t i = 1; i < LH_BOOK_HELD; i++)
    if (!b->held[i].document || b->held[i].used < oldest->used)
      oldest = &b->held[i];
  json_decref(oldest->document);
  *oldest = (lh_book_held){place->seq, number, document, ++b->clock};
}
