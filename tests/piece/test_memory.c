/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_memory.c -- memory gives out, wherever it may.
**
** The arena is limited to every number of bytes, and the JSON library's own
** allocations fail one after the other: each call either answers or says
** LH_NOMEM (exit code 3) in words.  That nothing is lost or used after it is
** freed is the sanitizer's to see.
*/
#include "operation.h"
#include "pieces.h"

/* ---- the arena ---------------------------------------------------------- */

/* Run on the document and tell how it went. */
static lh_status run(const lh_operation *op, json_t *document, size_t *used,
                     bool *told)
{
  lh_arena arena;
  lh_fault fault = {0};
  lh_reply reply = {0};
  lh_call call = {.arena = &arena, .document = document};
  lh_status st;

  lh_heap_open(&arena);
  call.arena = &arena;
  st = lh_operation_run(op, &call, &reply, &fault);
  *used = arena.total;
  *told = st == LH_OK || st == LH_STOP ||
          (fault.status == st && *fault.what && *fault.where);
  lh_reply_free(&reply);
  lh_heap_free(&arena);
  return st;
}

/* From nothing to enough, in steps of a block at first. */
static void starve(const lh_operation *op, json_t *document)
{
  size_t enough, used, tried = 0, answered = 0, odd = 0;
  bool told;
  lh_status st = run(op, document, &enough, &told);

  CHECK(st == LH_OK || st == LH_STOP, "%s answers with all it wants: %zu kB",
        op->name, enough / 1024);
  /* Operations that draw are slow: fewer of them. */
  for (size_t limit = 1; limit < enough; limit += op->media ? enough / 5 + 1
                                                  : limit < 1 << 20
                                                      ? 60000
                                                      : enough / 24) {
    lh_heap_limit(limit);
    st = run(op, document, &used, &told);
    tried++;
    if (st == LH_OK || st == LH_STOP)
      answered++;
    else if (st != LH_NOMEM || !told || lh_status_exit(st) != 3)
      odd++;
  }
  lh_heap_limit(0);
  CHECK(answered == 0, "%s: with less it never answers (%zu tried)", op->name,
        tried);
  CHECK(odd == 0, "%s: out of memory, and says so", op->name);
  st = run(op, document, &used, &told);
  CHECK(st == LH_OK || st == LH_STOP, "%s: afterwards all is well", op->name);
}

static json_t *document_of(const lh_operation *op)
{
  json_t *v = op->takes_piece ? json_load_file(pot_path, 0, NULL)
                              : json_loads(op->example, 0, NULL);

  if (op->takes_piece)
    json_object_set_new(v, "ask", json_pack("{s:f}", "pixel_mm", 1.0));
  return v;
}

static void arenas(void)
{
  const lh_operation *op;

  for (size_t i = 0; (op = lh_operation_at(i)); i++) {
    json_t *document = document_of(op);
    starve(op, document);
    json_decref(document);
  }
}

/* ---- the JSON library --------------------------------------------------- */

static size_t left = 1 << 30; /* allocations still granted */

static void *some(size_t n)
{
  if (left == 0) return NULL;
  left--;
  return malloc(n);
}

static lh_status parse_and_run(const lh_operation *op, const char *text,
                               size_t n, bool *told)
{
  lh_fault fault = {0};
  json_t *document = NULL;
  size_t used;
  lh_status st = lh_json_parse(text, n, "memory", &document, &fault);

  *told = st == LH_OK || (fault.status == st && *fault.what && *fault.where);
  if (st == LH_OK)
    st = run(op, document, &used, told);
  else if (st == LH_INPUT)
    st = LH_NOMEM; /* jansson takes a text that it had no room for as wrong */
  json_decref(document);
  return st;
}

static void json_starved(const char *name)
{
  const lh_operation *op = lh_operation_find(name);
  json_t *document = (left = 1 << 30, document_of(op));
  char *text = lh_json_text(document);
  size_t n = strlen(text), wanted, odd = 0, tried = 0, step;
  bool told;
  lh_status st;

  json_decref(document);
  left = 1 << 30;
  st = parse_and_run(op, text, n, &told);
  wanted = (1 << 30) - left;
  CHECK(st == LH_OK, "%s with %zu allocations of JSON", name, wanted);
  step = wanted / 120 + 1;
  for (size_t i = 0; i<wanted; i += i + 60> wanted ? 1 : step) {
    left = i;
    st = parse_and_run(op, text, n, &told);
    tried++;
    if (st != LH_NOMEM || !told) {
      if (odd++ < 5) printf("# %s, %zu: %s\n", name, i, lh_status_text(st));
    }
  }
  left = 1 << 30;
  CHECK(odd == 0, "%s: with fewer it is out of memory (%zu tried)", name,
        tried);
  free(text);
}

static void schemas(void)
{
  const lh_operation *op;
  size_t half = 0, tried = 0;

  for (size_t i = 0; (op = lh_operation_at(i)); i++) {
    json_t *s, *full;
    size_t wanted;
    left = 1 << 30;
    full = lh_operation_schema(op);
    wanted = (1 << 30) - left;
    for (size_t k = 0; k < wanted; k += wanted / 60 + 1) {
      left = k;
      s = lh_operation_schema(op);
      left = 1 << 30;
      half += s != NULL && !json_equal(s, full);
      tried++;
      json_decref(s);
    }
    json_decref(full);
  }
  CHECK(half == 0, "no schema comes out half (%zu tried)", tried);
}

int main(int argc, char **argv)
{
  if (argc != 2) return 2;
  pot_path = argv[1];
  arenas();
  json_set_alloc_funcs(some, free);
  json_starved("coverage");
  json_starved("piece");
  json_starved("mix");
  schemas();
  return CHECK_DONE();
}
