/* SPDX-License-Identifier: GPL-3.0-or-later */
/* api_book.c -- the book at /api/book/KIND[/ID[/REVISION]].
**
** A revision is the tag of a record.  A write names the one it was made on:
** with If-Match it is refused when somebody was first (412); with ?base=N it
** is merged, or kept aside until somebody chooses.  What was saved, here or
** by another program, is told in the stream of events.
*/
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "heap.h"
#include "server_room.h"

/* ---- what is asked ------------------------------------------------------ */

static enum MHD_Result refuse(lh_request *r, unsigned status, const char *name,
                              const char *what, const char *todo)
{
  return lh_answer_problem(r, status, name, NULL, what, todo);
}

/* A whole number from 1 on, of at most nine figures; 0: it is none. */
static long whole(const char *s)
{
  size_t n = s ? strspn(s, "0123456789") : 0;

  return n == 0 || n > 9 || s[n] ? 0 : strtol(s, NULL, 10);
}

/* The revision of a tag: "12" with its quotes. */
static long tagged(const char *tag)
{
  char text[16];
  size_t n = tag ? strlen(tag) : 0;

  if (n < 3 || n > sizeof text || tag[0] != '"' || tag[n - 1] != '"') return 0;
  memcpy(text, tag + 1, n - 2);
  text[n - 2] = 0;
  return whole(text);
}

/* Who saves: the device's name and the beginning of its id, which stay. */
static void name_device(const lh_request *r, char name[LH_BOOK_DEVICE + 1])
{
  const lh_device *d;
  size_t n;

  snprintf(name, LH_BOOK_DEVICE + 1, "the terminal");
  for (size_t i = 0; (d = lh_devices_at(r->server->devices, i)); i++) {
    if (strcmp(d->id, r->who) != 0) continue;
    n = strlen(d->name);
    if (n > LH_BOOK_DEVICE - 5) n = LH_BOOK_DEVICE - 5;
    while (n > 0 && ((unsigned char)d->name[n] & 0xc0) == 0x80) n--;
    snprintf(name, LH_BOOK_DEVICE + 1, "%.*s %.4s", (int)n, d->name, d->id);
  }
}

/* The revision that an edit was made on. */
static bool take_base(lh_request *r, lh_book_ask *ask, enum MHD_Result *rc)
{
  const char *match = lh_request_header(r, "If-Match");
  const char *base = lh_target_value(&r->target, "base");

  ask->exact = match != NULL;
  ask->number = match ? tagged(match) : whole(base);
  if (ask->number > 0) return true;
  if (match || base) {
    *rc = refuse(r, 400, "base", "this is no revision",
                 "send If-Match: \"N\", or ?base=N");
  } else {
    *rc = refuse(r, 428, "base", "it is not said what it was made on",
                 "send If-Match: \"N\" (refused when somebody was first) or "
                 "?base=N (merged, or kept aside)");
  }
  return false;
}

typedef struct {
  long revision;
  bool take;
} act_ask;

static const lh_field act_rows[] = {
    LH_COUNT(act_ask, revision, "revision", false, 1, 1e9, NAN,
             "Which one is brought back, or was kept aside."),
    LH_FLAG(act_ask, take, "take", 0,
            "Take what was kept aside, or leave what stands."),
};
static const lh_fields act_table = LH_FIELDS("act", act_ask, act_rows);

/* The small documents of restore and choose. */
static bool take_act(lh_request *r, lh_book_ask *ask, enum MHD_Result *rc)
{
  lh_fault fault = {0};
  json_t *json = NULL;
  act_ask act = {-1, false};
  lh_arena a;
  lh_status st;

  if (ask->verb != LH_ASK_RESTORE && ask->verb != LH_ASK_CHOOSE) return true;
  lh_heap_open(&a);
  st = lh_json_parse(r->body, r->size, "document", &json, &fault);
  if (st == LH_OK)
    st = lh_fields_read(&act_table, json, NULL, &a, &act, &fault);
  if (st == LH_OK && act.revision < 1)
    st = lh_fault_say(&fault, LH_INPUT, "/revision", "say which",
                      "it is wanted");
  json_decref(json);
  lh_heap_free(&a);
  ask->number = act.revision;
  ask->take = act.take;
  if (st != LH_OK)
    *rc = lh_answer_fault(r, (unsigned)lh_status_http(st), &fault);
  return st == LH_OK;
}

/* /api/book/KIND/ID/WORD */
static bool take_word(lh_request *r, lh_book_ask *ask, enum MHD_Result *rc)
{
  static const struct {
    const char *word;
    lh_book_verb verb;
  } words[] = {{"undo", LH_ASK_UNDO},
               {"redo", LH_ASK_REDO},
               {"restore", LH_ASK_RESTORE},
               {"choose", LH_ASK_CHOOSE},
               {"show", LH_ASK_SHOW}};
  const char *word = r->target.part[4];

  if (strcmp(r->route->method, "GET") == 0) {
    ask->number = whole(word);
    ask->verb = ask->number > 0 ? LH_ASK_READ : LH_ASK_HISTORY;
    if (ask->number > 0 || strcmp(word, "history") == 0) return true;
  } else {
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
      if (strcmp(words[i].word, word) != 0) continue;
      ask->verb = words[i].verb;
      return take_act(r, ask, rc);
    }
  }
  *rc = refuse(r, 404, "notfound", "a record has no such thing",
               "ask for a revision or history; post undo, redo, restore, "
               "choose or show");
  return false;
}

static bool take_query(lh_request *r, lh_book_ask *ask, enum MHD_Result *rc)
{
  const char *words = lh_target_value(&r->target, "words");
  const char *hidden = lh_target_value(&r->target, "hidden");

  ask->skip = whole(lh_target_value(&r->target, "skip"));
  ask->most = whole(lh_target_value(&r->target, "most"));
  ask->hidden = hidden && strcmp(hidden, "1") == 0;
  if (words && strlen(words) >= sizeof ask->words) {
    *rc = refuse(r, 414, "toolarge", "too many words", "search for fewer");
    return false;
  }
  if (words) memcpy(ask->words, words, strlen(words) + 1);
  return true;
}

static bool take_blob(lh_request *r, lh_book_ask *ask, enum MHD_Result *rc)
{
  const char *media = lh_request_header(r, "Content-Type");

  ask->verb = r->target.parts == 3 ? LH_ASK_PUT : LH_ASK_GET;
  if (media) {
    size_t n = strcspn(media, "; \t");
    for (size_t i = 0; i < n && i + 1 < sizeof ask->media; i++)
      ask->media[i] =
          (char)(media[i] >= 'A' && media[i] <= 'Z' ? media[i] + 32 : media[i]);
  }
  if (ask->verb == LH_ASK_PUT) return true;
  if (strlen(r->target.part[3]) != 64 ||
      strspn(r->target.part[3], "0123456789abcdef") != 64) {
    *rc = refuse(r, 404, "notfound", "there is no such blob",
                 "name it by its SHA-256, 64 figures of hex");
    return false;
  }
  memcpy(ask->words, r->target.part[3], 65);
  return true;
}

/* /api/book/KIND/ID: by the method. */
static bool take_record(lh_request *r, lh_book_ask *ask, enum MHD_Result *rc)
{
  const char *method = r->route->method;

  if (strcmp(method, "GET") == 0) {
    ask->verb = LH_ASK_READ;
    return true;
  }
  if (strcmp(method, "DELETE") == 0) {
    ask->verb = LH_ASK_HIDE;
    return true;
  }
  ask->verb = strcmp(method, "PUT") == 0 ? LH_ASK_SAVE : LH_ASK_EDIT;
  return take_base(r, ask, rc);
}

static bool take_ask(lh_request *r, lh_book_ask *ask, enum MHD_Result *rc)
{
  const lh_target *t = &r->target;

  *ask = (lh_book_ask){.verb = LH_ASK_ABOUT, .kind = LH_BOOK_ANY};
  name_device(r, ask->device);
  if (t->parts == 2) return true;
  if (strcmp(t->part[2], "blobs") == 0 && t->parts < 5)
    return take_blob(r, ask, rc);
  ask->kind = lh_book_kind_find(t->part[2]);
  if (ask->kind == LH_BOOK_KINDS && strcmp(t->part[2], "any") != 0) {
    *rc = refuse(r, 404, "notfound", "the book has no such kind",
                 "see GET /api/book for its kinds");
    return false;
  }
  if (t->parts == 3 && strcmp(r->route->method, "POST") == 0) {
    ask->verb = LH_ASK_ADD;
    if (ask->kind != LH_BOOK_ANY) return true;
    *rc = refuse(r, 404, "notfound", "a record is of one kind",
                 "post it to its own kind");
    return false;
  }
  if (t->parts == 3) {
    ask->verb = LH_ASK_LIST;
    return take_query(r, ask, rc);
  }
  if (strlen(t->part[3]) > LH_BOOK_ID) {
    *rc = refuse(r, 404, "notfound", "there is no such record",
                 "an id has at most 64 bytes");
    return false;
  }
  memcpy(ask->id, t->part[3], strlen(t->part[3]) + 1);
  return t->parts == 4 ? take_record(r, ask, rc) : take_word(r, ask, rc);
}

/* ---- what is answered --------------------------------------------------- */

/* Where a new record is. */
static const char *place(const lh_request *r, const lh_book_ask *ask,
                         char *text, size_t size)
{
  const lh_job_result *is = lh_job_result_of(r->job);
  json_t *json = is && ask->verb == LH_ASK_ADD
                     ? json_loadb(is->text, is->size, 0, NULL)
                     : NULL;
  const char *id = json_string_value(json_object_get(json, "id"));

  if (id)
    snprintf(text, size, "/api/book/%s/%s", lh_book_kind_name(ask->kind), id);
  json_decref(json);
  return id ? text : NULL;
}

static bool writes(lh_book_verb v)
{
  return v != LH_ASK_ABOUT && v != LH_ASK_LIST && v != LH_ASK_READ &&
         v != LH_ASK_HISTORY && v != LH_ASK_GET;
}

enum MHD_Result lh_api_book(lh_request *r)
{
  lh_server *s = r->server;
  char where[160];
  char *text = r->body;
  size_t n = r->size;
  lh_book_ask ask;
  lh_job *job = NULL;
  enum MHD_Result rc = MHD_NO;

  if (r->job) {
    ask = r->ask;
    if (writes(ask.verb)) s->changed = true;
    return lh_answer_ended(
        r, r->job, ask.verb == LH_ASK_ADD || ask.verb == LH_ASK_PUT ? 201 : 200,
        place(r, &ask, where, sizeof where));
  }
  if (!take_ask(r, &ask, &rc)) return rc;
  r->ask = ask;
  s->bodies -= n;
  r->body = NULL;
  r->size = r->room = 0;
  if (lh_job_start_ask(s->jobs, &ask, text, n, &job) != LH_OK)
    return lh_api_busy(r);
  return lh_request_wait(r, job);
}

/* ---- what is new -------------------------------------------------------- */

/* The answer of `since`, or, at first, of `about`. */
static void tell_news(lh_server *s)
{
  const lh_job_result *is = lh_job_result_of(s->since);
  json_t *json = is ? json_loadb(is->text, is->size, 0, NULL) : NULL;
  json_t *list = json_object_get(json, "revisions"), *v;
  size_t i;

  if (json_is_integer(json_object_get(json, "seq")))
    s->seq = json_integer_value(json_object_get(json, "seq"));
  json_array_foreach(list, i, v)
  {
    s->seq = json_integer_value(json_object_get(v, "seq"));
    lh_event_add(s, "", "book", json_incref(v));
  }
  if (json_array_size(list) == LH_ASK_MOST) s->changed = true;
  json_decref(json);
}

void lh_book_sweep(lh_server *s)
{
  lh_book_ask ask = {.verb = s->seq < 0 ? LH_ASK_ABOUT : LH_ASK_SINCE,
                     .kind = LH_BOOK_ANY,
                     .seq = s->seq};

  if (!s->o.book) return;
  if (s->since) {
    if (!lh_job_ended(s->since)) return;
    tell_news(s);
    lh_job_release(&s->since);
  }
  if (s->stops > 0) return;
  if (!s->changed && s->now - s->asked < LH_NEWS_MS) return;
  s->changed = false;
  s->asked = s->now;
  lh_job_start_ask(s->jobs, &ask, NULL, 0, &s->since);
}
