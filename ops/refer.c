/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "refer.h"

#include <math.h>
#include <string.h>

#include "fields.h"

typedef struct {
  const char *id;
  long revision;
} named;

static const lh_field named_rows[] = {
    LH_TEXT(named, id, "id", true, "Its id in the open book."),
    LH_COUNT(named, revision, "revision", false, 1, 1e9, NAN,
             "Which of its revisions; without it the newest."),
};
static const lh_fields named_table = LH_FIELDS("piece", named, named_rows);

typedef struct {
  const named *piece;
  json_t *ask;
} referring;

static const lh_field referring_rows[] = {
    LH_OBJECT(referring, piece, "piece", true, named_table,
              "A piece of the open book, instead of a whole one."),
    {.key = "ask",
     .kind = LH_F_JSON,
     .offset = offsetof(referring, ask),
     .help = "The operation's own fields."},
};
static const lh_fields referring_table =
    LH_FIELDS("a piece of the book", referring, referring_rows);

static lh_status no_book(lh_fault *fault)
{
  return lh_fault_say(fault, LH_NOTFOUND, "/piece",
                      "open one with --book FILE, or give the piece itself",
                      "no book is open");
}

static lh_status find(lh_book *b, const named *is, json_t **document,
                      lh_fault *fault)
{
  lh_book_record record;
  lh_fault said = {0};
  lh_status st = LH_NOTFOUND;

  /* A longer id is none, and what is quoted must fit. */
  if (strlen(is->id) <= LH_BOOK_ID)
    st = lh_book_read(b, is->id, 0, document, &record, &said);
  if (st == LH_NOTFOUND) {
    return lh_fault_say(fault, st, "/piece/id",
                        "see leatherhard book FILE list piece, or GET "
                        "/api/book/piece",
                        "the book has no piece \"%.64s\"", is->id);
  }
  if (st != LH_OK)
    return lh_fault_say(fault, st, "/piece", said.todo, "%s", said.what);
  if (record.kind != LH_BOOK_PIECE) {
    return lh_fault_say(fault, LH_NOTFOUND, "/piece/id",
                        "name one of the book's pieces",
                        "\"%s\" is a %s of the book, no piece", is->id,
                        lh_book_kind_name(record.kind));
  }
  if (is->revision < 0 || is->revision == record.number) return LH_OK;
  st = lh_book_read(b, is->id, is->revision, document, NULL, &said);
  if (st == LH_NOTFOUND) {
    return lh_fault_say(fault, st, "/piece/revision",
                        "leave it out for the newest, or see the history",
                        "\"%s\" has no revision %ld", is->id, is->revision);
  }
  if (st != LH_OK)
    return lh_fault_say(fault, st, "/piece", said.todo, "%s", said.what);
  return LH_OK;
}

lh_status lh_refer_take(lh_book *book, const json_t *document, lh_arena *arena,
                        json_t **piece, lh_fault *fault)
{
  referring is;
  json_t *found = NULL, *copy;
  lh_status st;

  *piece = NULL;
  if (!json_object_get(document, "piece")) return LH_OK;
  st = lh_fields_read(&referring_table, document, NULL, arena, &is, fault);
  if (st != LH_OK) return st;
  if (!book) return no_book(fault);
  st = find(book, is.piece, &found, fault);
  if (st != LH_OK) return st;
  copy = lh_json_copy_top(found);
  if (!copy || (is.ask && json_object_set(copy, "ask", is.ask) != 0)) {
    json_decref(copy);
    return lh_fault_plain(fault, LH_NOMEM, "/piece");
  }
  *piece = copy;
  return LH_OK;
}

json_t *lh_refer_schema(json_t *ask)
{
  json_t *v = lh_fields_schema(&referring_table);

  json_object_del(v, "$schema");
  if (json_object_set_new(json_object_get(v, "properties"), "ask", ask) == 0)
    return v;
  json_decref(v);
  return NULL;
}
