/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "book_ask.h"

#include <stdint.h>
#include <string.h>

#include "clock.h"
#include "heap.h"

/* ---- telling ------------------------------------------------------------ */

/* A whole number, written as one. */
static void tell_count(lh_reply *r, json_t *to, const char *key, long long v)
{
  if (json_object_set_new(to ? to : r->json, key, json_integer(v)) != 0)
    r->st = LH_NOMEM;
}

static void tell_record(lh_reply *r, json_t *to, const lh_book_record *is)
{
  lh_reply_string(r, to, "id", is->id);
  lh_reply_string(r, to, "kind", lh_book_kind_name(is->kind));
  lh_reply_string(r, to, "name", is->name);
  lh_reply_string(r, to, "note", is->note);
  tell_count(r, to, "revision", is->number);
  lh_reply_flag(r, to, "hidden", is->hidden);
  tell_count(r, to, "asides", is->asides);
}

typedef struct {
  lh_reply *reply;
  json_t *list;
  size_t most;
} telling;

static bool each_record(void *user, const lh_book_record *is)
{
  telling *t = user;

  tell_record(t->reply, lh_reply_item(t->reply, t->list), is);
  return t->reply->st == LH_OK;
}

static bool each_revision(void *user, const lh_book_revision *is)
{
  telling *t = user;
  json_t *to = lh_reply_item(t->reply, t->list);
  char at[32];

  lh_clock_iso(is->at, at);
  tell_count(t->reply, to, "seq", is->seq);
  lh_reply_string(t->reply, to, "id", is->id);
  tell_count(t->reply, to, "revision", is->number);
  tell_count(t->reply, to, "base", is->base);
  lh_reply_string(t->reply, to, "at", at);
  lh_reply_string(t->reply, to, "device", is->device);
  lh_reply_string(t->reply, to, "act", is->act);
  lh_reply_flag(t->reply, to, "aside", is->aside);
  lh_reply_flag(t->reply, to, "hidden", is->hidden);
  if (is->reverses) tell_count(t->reply, to, "reverses", is->reverses);
  if (is->takes) tell_count(t->reply, to, "takes", is->takes);
  if (is->settles) tell_count(t->reply, to, "settles", is->settles);
  return t->reply->st == LH_OK && json_array_size(t->list) < t->most;
}

static lh_status tell_saved(lh_reply *r, const lh_book_saved *is,
                            lh_book_told *told)
{
  static const char *const how[] = {"saved", "merged", "aside", "unchanged"};

  lh_reply_string(r, NULL, "id", is->id);
  tell_count(r, NULL, "revision", is->number);
  tell_count(r, NULL, "head", is->head);
  lh_reply_string(r, NULL, "how", how[is->how]);
  if (is->how == LH_BOOK_ASIDE) lh_reply_string(r, NULL, "met", is->met);
  told->number = is->head;
  return LH_OK;
}

/* ---- reading ------------------------------------------------------------ */

static bool each_counts(void *user, const lh_book_record *is)
{
  long *count = user;

  (void)is;
  ++*count;
  return true;
}

static lh_status about(lh_book *b, lh_reply *r, lh_fault *fault)
{
  json_t *kinds = lh_reply_object(r, NULL, "records");
  long long seq = 0;
  lh_status st = lh_book_last(b, &seq, fault);

  for (int k = 0; k < LH_BOOK_KINDS && st == LH_OK; k++) {
    long n = 0;
    st = lh_book_list(b, (lh_book_kind)k, false, 0, 1000000, each_counts, &n,
                      fault);
    tell_count(r, kinds, lh_book_kind_name((lh_book_kind)k), n);
  }
  tell_count(r, NULL, "seq", seq);
  return st;
}

static lh_status list(lh_book *b, const lh_book_ask *ask, lh_reply *r,
                      lh_fault *fault)
{
  telling t = {r, lh_reply_list(r, NULL, "records"), 0};
  long most =
      ask->most > 0 && ask->most < LH_ASK_MOST ? ask->most : LH_ASK_MOST;

  if (*ask->words)
    return lh_book_search(b, ask->words, ask->kind, most, each_record, &t,
                          fault);
  return lh_book_list(b, ask->kind, ask->hidden, ask->skip, most, each_record,
                      &t, fault);
}

/* The record, of the kind that was asked for. */
static lh_status find(lh_book *b, const lh_book_ask *ask, json_t **document,
                      lh_book_record *is, lh_fault *fault)
{
  lh_status st =
      lh_book_read(b, ask->id, ask->verb == LH_ASK_READ ? ask->number : 0,
                   document, is, fault);

  if (st != LH_OK || is->kind == ask->kind || ask->kind == LH_BOOK_ANY)
    return st;
  return lh_fault_say(fault, LH_NOTFOUND, ask->id,
                      "ask for it among its own kind", "it is a %s",
                      lh_book_kind_name(is->kind));
}

static lh_status read_one(json_t *document, const lh_book_ask *ask,
                          const lh_book_record *is, lh_reply *r,
                          lh_book_told *told)
{
  json_t *copy = lh_json_copy(document);

  if (!copy) return LH_NOMEM;
  json_decref(r->json);
  r->json = copy;
  told->number = ask->number ? ask->number : is->number;
  return LH_OK;
}

/* What was saved since, each with its kind and name, which an event tells. */
static lh_status since(lh_book *b, const lh_book_ask *ask, lh_reply *r,
                       lh_fault *fault)
{
  telling t = {r, lh_reply_list(r, NULL, "revisions"), LH_ASK_MOST};
  lh_status st = lh_book_since(b, ask->seq, each_revision, &t, fault);

  for (size_t i = 0; i < json_array_size(t.list) && st == LH_OK; i++) {
    json_t *v = json_array_get(t.list, i), *document;
    lh_book_record is;
    st = lh_book_read(b, json_string_value(json_object_get(v, "id")), 0,
                      &document, &is, fault);
    if (st != LH_OK) break;
    lh_reply_string(r, v, "kind", lh_book_kind_name(is.kind));
    lh_reply_string(r, v, "name", is.name);
  }
  return st;
}

/* ---- writing ------------------------------------------------------------ */

static lh_status write_text(lh_book *b, const lh_book_ask *ask,
                            const json_t *document, lh_book_saved *saved,
                            lh_fault *fault)
{
  switch (ask->verb) {
  case LH_ASK_ADD:
    return lh_book_add(b, ask->kind, document, ask->device, saved, fault);
  case LH_ASK_SAVE:
    return lh_book_save(b, ask->id, ask->number, document, ask->device,
                        ask->exact, saved, fault);
  default:
    return lh_book_edit(b, ask->id, ask->number, document, ask->device,
                        ask->exact, saved, fault);
  }
}

static lh_status act(lh_book *b, const lh_book_ask *ask, lh_book_saved *saved,
                     lh_fault *fault)
{
  switch (ask->verb) {
  case LH_ASK_UNDO: return lh_book_undo(b, ask->id, ask->device, saved, fault);
  case LH_ASK_REDO: return lh_book_redo(b, ask->id, ask->device, saved, fault);
  case LH_ASK_RESTORE:
    return lh_book_restore(b, ask->id, ask->number, ask->device, saved, fault);
  case LH_ASK_CHOOSE:
    return lh_book_choose(b, ask->id, ask->number, ask->take, ask->device,
                          saved, fault);
  default:
    return lh_book_hide(b, ask->id, ask->verb == LH_ASK_HIDE, ask->device,
                        saved, fault);
  }
}

/* ---- blobs -------------------------------------------------------------- */

static lh_status put_blob(lh_book *b, const lh_book_ask *ask, const void *bytes,
                          size_t n, lh_reply *r, lh_fault *fault)
{
  char hex[65];
  lh_status st = lh_book_blob_put(b, ask->media, bytes, n, hex, fault);

  if (st != LH_OK) return st;
  lh_reply_string(r, NULL, "sha256", hex);
  tell_count(r, NULL, "bytes", (long long)n);
  return LH_OK;
}

static lh_status get_blob(lh_book *b, const lh_book_ask *ask, lh_arena *a,
                          lh_reply *r, lh_fault *fault)
{
  return lh_book_blob_get(b, ask->words, a, &r->media, &r->bytes, &r->size,
                          fault);
}

/* ---- asking ------------------------------------------------------------- */

static lh_status write_one(lh_book *b, const lh_book_ask *ask, const void *text,
                           size_t n, lh_reply *r, lh_book_told *told,
                           lh_fault *fault)
{
  lh_book_saved saved;
  json_t *document = NULL;
  lh_status st = lh_json_parse(text, n, "document", &document, fault);

  told->unreadable = st == LH_INPUT;
  if (st == LH_OK) st = write_text(b, ask, document, &saved, fault);
  if (st == LH_OK) st = tell_saved(r, &saved, told);
  json_decref(document);
  return st;
}

static lh_status ask_record(lh_book *b, const lh_book_ask *ask,
                            const void *text, size_t n, lh_reply *r,
                            lh_book_told *told, lh_fault *fault)
{
  telling t = {r, NULL, LH_ASK_MOST};
  json_t *document;
  lh_book_record is;
  lh_book_saved saved;
  lh_status st = find(b, ask, &document, &is, fault);

  if (st != LH_OK) return st;
  switch (ask->verb) {
  case LH_ASK_READ: return read_one(document, ask, &is, r, told);
  case LH_ASK_HISTORY:
    t.list = lh_reply_list(r, NULL, "revisions");
    return lh_book_history(b, ask->id, each_revision, &t, fault);
  case LH_ASK_SAVE:
  case LH_ASK_EDIT: return write_one(b, ask, text, n, r, told, fault);
  default: st = act(b, ask, &saved, fault);
  }
  return st == LH_OK ? tell_saved(r, &saved, told) : st;
}

lh_status lh_book_ask_run(lh_book *book, const lh_book_ask *ask,
                          const void *text, size_t n, lh_arena *arena,
                          lh_reply *r, lh_book_told *told, lh_fault *fault)
{
  lh_status st;

  *told = (lh_book_told){0};
  *r = (lh_reply){.arena = arena, .json = json_object()};
  if (!r->json) return lh_fault_plain(fault, LH_NOMEM, "book");
  if (!book) {
    return lh_fault_say(fault, LH_NOTFOUND, "book",
                        "start leatherhard serve with --book FILE",
                        "no book is open");
  }
  switch (ask->verb) {
  case LH_ASK_ABOUT: st = about(book, r, fault); break;
  case LH_ASK_LIST: st = list(book, ask, r, fault); break;
  case LH_ASK_SINCE: st = since(book, ask, r, fault); break;
  case LH_ASK_ADD: st = write_one(book, ask, text, n, r, told, fault); break;
  case LH_ASK_PUT: st = put_blob(book, ask, text, n, r, fault); break;
  case LH_ASK_GET: st = get_blob(book, ask, arena, r, fault); break;
  default: st = ask_record(book, ask, text, n, r, told, fault);
  }
  if (st == LH_OK) st = r->st;
  return st == LH_OK ? st : lh_fault_plain(fault, st, "book");
}
