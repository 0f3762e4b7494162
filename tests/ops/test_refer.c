/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A piece of the book, named instead of sent: the same answers, of the revision
** that was meant, and what is refused.  The oracle is the same operation on the
** whole document.
**
**   test_refer PIECE.json
*/
#include "../book/desk.h"
#include "operation.h"

static json_t *load(const char *path)
{
  return json_load_file(path, 0, NULL);
}

/* Run an operation; its JSON, or NULL with the fault filled. */
static json_t *asked(const char *op, lh_book *b, json_t *document,
                     lh_status *st, lh_fault *fault)
{
  lh_arena a;
  lh_call call = {.arena = &a, .document = document, .book = b};
  lh_reply reply = {0};
  json_t *out = NULL;

  lh_heap_open(&a);
  *fault = (lh_fault){0};
  *st = lh_operation_run(lh_operation_find(op), &call, &reply, fault);
  if (*st == LH_OK || *st == LH_STOP) out = json_incref(reply.json);
  lh_reply_free(&reply);
  lh_heap_free(&a);
  return out;
}

static bool same(const char *op, lh_book *b, json_t *whole, json_t *named)
{
  lh_fault fault;
  lh_status st, other;
  json_t *x = asked(op, b, whole, &st, &fault);
  json_t *y = asked(op, b, named, &other, &fault);
  bool good = x && y && st == other && json_equal(x, y);

  if (!y) printf("# %s: %s %s\n", op, fault.where, fault.what);
  json_decref(x);
  json_decref(y);
  return good;
}

static json_t *name(const char *id, int revision)
{
  json_t *v =
      json_pack("{s:{s:s},s:{s:f}}", "piece", "id", id, "ask", "pixel_mm", 1.0);

  if (revision > 0)
    json_object_set_new(json_object_get(v, "piece"), "revision",
                        json_integer(revision));
  return v;
}

static void answers(desk *d, json_t *first)
{
  const lh_operation *op;
  json_t *edit = json_pack("[{s:s,s:s,s:i}]", "op", "replace", "path", "/pots",
                           "value", 11);
  json_t *second, *one = name("tide-line", 1), *two = name("tide-line", 2),
                  *newest = name("tide-line", 0);
  json_t *ask = json_pack("{s:f}", "pixel_mm", 1.0);

  lh_book_add(d->b, LH_BOOK_PIECE, first, "test", &d->saved, &d->fault);
  lh_book_edit(d->b, "tide-line", 1, edit, "test", true, &d->saved, &d->fault);
  CHECK(d->saved.number == 2, "a piece of two revisions is in the book");
  second = json_deep_copy(first);
  json_object_set_new(second, "pots", json_integer(11));
  json_object_set(first, "ask", ask);
  json_object_set(second, "ask", ask);
  for (size_t i = 0; (op = lh_operation_at(i)); i++) {
    if (!op->takes_piece) continue;
    CHECK(same(op->name, d->b, first, one),
          "%s: by its name, the first revision answers as the whole", op->name);
    CHECK(same(op->name, d->b, second, two), "%s: so does the second",
          op->name);
  }
  CHECK(same("coverage", d->b, second, newest), "without a revision: newest");
  CHECK(!same("coverage", d->b, first, newest), "which is another");
  json_decref(edit);
  json_decref(second);
  json_decref(one);
  json_decref(two);
  json_decref(newest);
  json_decref(ask);
}

static void refuse(lh_book *b, const char *text, lh_status want,
                   const char *where, const char *what)
{
  json_t *v = json_of(text);
  lh_fault fault;
  lh_status st;
  json_t *out = asked("coverage", b, v, &st, &fault);

  CHECK(!out && st == want && strcmp(fault.where, where) == 0 &&
            strstr(fault.what, what) && *fault.todo,
        "%s: %s", text, what);
  if (st != want || strcmp(fault.where, where) != 0)
    printf("# %s: %s: %s\n", lh_status_text(st), fault.where, fault.what);
  json_decref(out);
  json_decref(v);
}

static void refusals(desk *d)
{
  json_t *slip = json_of("{\"id\": \"grey\", \"name\": \"Grey\"}");
  char text[200];

  lh_book_add(d->b, LH_BOOK_NOTE, slip, "test", &d->saved, &d->fault);
  json_decref(slip);
  refuse(NULL, "{\"piece\": {\"id\": \"tide-line\"}}", LH_NOTFOUND, "/piece",
         "no book is open");
  refuse(d->b, "{\"piece\": {\"id\": \"tide-lime\"}}", LH_NOTFOUND, "/piece/id",
         "the book has no piece \"tide-lime\"");
  snprintf(text, sizeof text, "{\"piece\": {\"id\": \"%0100d\"}}", 7);
  refuse(d->b, text, LH_NOTFOUND, "/piece/id", "the book has no piece");
  refuse(d->b, "{\"piece\": {\"id\": \"grey\"}}", LH_NOTFOUND, "/piece/id",
         "is a note of the book, no piece");
  refuse(d->b, "{\"piece\": {\"id\": \"tide-line\", \"revision\": 3}}",
         LH_NOTFOUND, "/piece/revision", "has no revision 3");
  refuse(d->b, "{\"piece\": {\"id\": \"tide-line\", \"revision\": 0}}",
         LH_RANGE, "/piece/revision", "");
  refuse(d->b, "{\"piece\": {\"revision\": 1}}", LH_INPUT, "/piece/id",
         "is missing");
  refuse(d->b, "{\"piece\": {\"id\": \"tide-line\"}, \"pots\": 2}", LH_INPUT,
         "/pots", "not known");
  refuse(d->b, "{\"piece\": {\"id\": \"tide-line\"}, \"ask\": {\"x\": 2}}",
         LH_INPUT, "/ask/x", "not known");
  refuse(d->b, "{\"piece\": null}", LH_INPUT, "/piece", "missing");
  refuse(d->b, "{\"piece\": \"tide-line\"}", LH_INPUT, "/piece",
         "an object is wanted");
}

/* ---- too little memory -------------------------------------------------- */

static size_t left = 1 << 30;

static void *some(size_t n)
{
  if (left == 0) return NULL;
  left--;
  return malloc(n);
}

static void starved(desk *d)
{
  json_t *v = name("tide-line", 1);
  lh_fault fault;
  lh_status st;
  size_t wanted, odd = 0, tried = 0;
  json_t *out;

  lh_book_close(&d->b);
  lh_book_open(d->path, LH_BOOK_OPEN, &d->b, &d->fault);
  left = 1 << 30;
  out = asked("coverage", d->b, v, &st, &fault);
  wanted = (1 << 30) - left;
  CHECK(out != NULL, "asked by name it takes %zu pieces of JSON", wanted);
  json_decref(out);
  for (size_t i = 0; i < wanted; i += 1 + wanted / 150, tried++) {
    lh_book_close(&d->b); /* or the revision would be at hand */
    left = 1 << 30;
    lh_book_open(d->path, LH_BOOK_OPEN, &d->b, &d->fault);
    left = i;
    out = asked("coverage", d->b, v, &st, &fault);
    left = 1 << 30;
    /* jansson takes a text that it had no room for as wrong */
    if ((st != LH_NOMEM && st != LH_INPUT) || !*fault.what || out) {
      if (odd++ < 5) printf("# %zu: %s %s\n", i, fault.where, fault.what);
    }
    json_decref(out);
  }
  CHECK(odd == 0, "with fewer it gives none and says so (%zu tried)", tried);
  json_decref(v);
}

int main(int argc, char **argv)
{
  json_t *piece;
  desk d;

  if (argc != 2) return 2;
  json_set_alloc_funcs(some, free);
  piece = load(argv[1]);
  if (!piece || !desk_open(&d)) return 2;
  answers(&d, piece);
  refusals(&d);
  starved(&d);
  json_decref(piece);
  desk_close(&d);
  return CHECK_DONE();
}
