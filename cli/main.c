/* SPDX-License-Identifier: GPL-3.0-or-later */
/* main.c -- the command line over ops.
**
** A map of the house, from the ground up:
**   core/     the arithmetic of the craft; no files, clock, state
**     base/     outcomes, watch, arena, numbers, units, nearest name
**     chem/     formulas, materials, recipes, Seger formula
**     slip/     litre weight, batches, thinning, coats, water of the wall
**     colour/   spectra, slip layers under glaze, colour difference
**     form/     the thrown profile, its areas, unrolled charts
**     decor/    marks, repeats, laying marks into coat-weight maps
**   solve/    numerical libraries behind one face (opens with a later room)
**   piece/    a whole piece: document, coverage, picture, verdict
**   studio/   the outside world: files, sheets, the book
**   ops/      one table of operations: JSON in, JSON and lines out
**   http/     the local server over ops
**   cli/      this: words in, lines out
**   data/     tables with their sources, compiled in
**
** Standard output gets a result or nothing; faults go to standard error.
*/
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "args.h"
#include "book.h"
#include "book_words.h"
#include "demo.h"
#include "file.h"
#include "handed.h"
#include "heap.h"
#include "help.h"
#include "nearest.h"
#include "operation.h"
#include "progress.h"
#include "render.h"
#include "serve.h"
#include "version.h"

static int finish(lh_status st, const lh_fault *fault)
{
  if (st != LH_OK && st != LH_STOP)
    lh_render_fault(fault, lh_render_colour(stderr), stderr);
  return lh_status_exit(st);
}

static lh_status no_such(const char *word, lh_fault *fault)
{
  const char *names[128];
  size_t n = 0, near;

  for (; n < 124 && lh_operation_at(n); n++)
    names[n] = lh_operation_at(n)->name;
  names[n++] = "help";
  names[n++] = "demo";
  names[n++] = "book";
  names[n++] = "serve";
  near = lh_nearest(word, names, n);
  if (near < n) {
    return lh_fault_say(fault, LH_INPUT, word, "see leatherhard help",
                        "no such operation; the nearest is \"%s\"",
                        names[near]);
  }
  return lh_fault_say(fault, LH_INPUT, word, "see leatherhard help",
                      "no such operation");
}

static lh_status help(const lh_args *args, lh_fault *fault)
{
  const char *about = args->words > 1 ? args->word[1] : NULL;
  const lh_operation *op = about ? lh_operation_find(about) : NULL;

  if (!about || strcmp(about, "help") == 0 || strcmp(about, "demo") == 0)
    lh_help_all(stdout);
  else if (strcmp(about, "book") == 0)
    lh_help_book(stdout);
  else if (strcmp(about, "serve") == 0)
    return lh_serve(2, (char *[]){"serve", "--help"}, fault);
  else if (strcmp(about, "man") == 0)
    lh_help_man(stdout);
  else if (strcmp(about, "completion") == 0)
    lh_help_completion(stdout);
  else if (op)
    lh_help_one(op, stdout);
  else
    return no_such(about, fault);
  return LH_OK;
}

static lh_status schema(const lh_operation *op, lh_fault *fault)
{
  json_t *v = lh_operation_schema(op);
  char *text = v ? lh_json_text(v) : NULL;

  json_decref(v);
  if (!text) return lh_fault_plain(fault, LH_NOMEM, op->name);
  puts(text);
  free(text);
  return LH_OK;
}

/* A value @FILE is the file's text, as a JSON text; what is no text is handed
** to the call, and the value is its name there. */
static lh_status value_of_file(const char *path, lh_arena *a, lh_handed **files,
                               char **value, lh_fault *fault)
{
  const void *bytes = NULL;
  size_t n = 0;
  lh_status st = lh_file_read(path, LH_HANDED_MOST, a, &bytes, &n, fault);
  json_t *v;

  *value = NULL;
  if (st != LH_OK) return st;
  v = memchr(bytes, 0, n) ? NULL : json_stringn(bytes, n);
  if (v && n > LH_DOCUMENT_MOST) {
    json_decref(v);
    return lh_fault_say(fault, LH_TOOLARGE, path, "give a smaller file",
                        "a text of more than %d MB is not taken",
                        LH_DOCUMENT_MOST / (1024 * 1024));
  }
  if (!v) {
    st = lh_handed_add(files, a, bytes, n);
    v = st == LH_OK ? json_string((*files)->name) : NULL;
  }
  *value = v ? json_dumps(v, JSON_ENCODE_ANY) : NULL;
  json_decref(v);
  return *value ? LH_OK : lh_fault_plain(fault, LH_NOMEM, path);
}

static lh_status set_one(json_t *document, const char *set, lh_arena *a,
                         lh_handed **files, lh_fault *fault)
{
  char pointer[512], *text = NULL;
  size_t n = strcspn(set, "=");
  const char *value = set + n + 1;
  lh_status st = LH_OK;

  if (set[n] == 0 || n >= sizeof pointer) {
    return lh_fault_say(fault, LH_INPUT, set, "write --set /key=value",
                        "this is not /key=value");
  }
  memcpy(pointer, set, n);
  pointer[n] = 0;
  if (value[0] == '@' && value[1])
    st = value_of_file(value + 1, a, files, &text, fault);
  if (st == LH_OK)
    st = lh_json_set(document, pointer, text ? text : value, fault);
  free(text);
  return st;
}

/* The document of the call: a file, or nothing but what --set says. */
static lh_status load(const lh_operation *op, const lh_args *args, lh_arena *a,
                      json_t **document, lh_handed **files, lh_fault *fault)
{
  lh_status st = LH_OK;

  *document = NULL;
  if (args->words > 1) {
    const char *path = args->word[1];
    const void *bytes = NULL;
    size_t n = 0;
    st = lh_file_read(path, LH_DOCUMENT_MOST, a, &bytes, &n, fault);
    if (st != LH_OK) return st;
    if (strcmp(path, "-") == 0) path = "standard input";
    st = lh_json_parse(bytes, n, path, document, fault);
  } else if (args->sets > 0 || op->asks_nothing) {
    *document = json_object();
  } else {
    return lh_fault_say(fault, LH_INPUT, args->word[0],
                        "give a file, - for standard input, or --set; "
                        "leatherhard help OP shows an example",
                        "there is no document");
  }
  for (size_t i = 0; i < args->sets && st == LH_OK; i++)
    st = set_one(*document, args->set[i], a, files, fault);
  return st;
}

static lh_status show(const lh_args *args, const lh_reply *r, lh_fault *fault)
{
  char *text;

  if (args->out) {
    lh_status st = lh_file_write(args->out, r->bytes, r->size, fault);
    if (st != LH_OK) return st;
  }
  if (!args->json) {
    lh_render_lines(r->first, lh_render_colour(stdout), stdout);
    return LH_OK;
  }
  text = lh_json_text(r->json);
  if (!text) return lh_fault_plain(fault, LH_NOMEM, args->word[0]);
  puts(text);
  free(text);
  return LH_OK;
}

static lh_status check_out(const lh_operation *op, const lh_args *args,
                           lh_fault *fault)
{
  if (op->media && !args->out) {
    return lh_fault_say(fault, LH_INPUT, "--out", "give --out FILE",
                        "say where the file (%s) goes", op->media);
  }
  if (!op->media && args->out) {
    return lh_fault_say(fault, LH_INPUT, "--out", "leave it out",
                        "%s gives no file", op->name);
  }
  if (args->words > 2) {
    return lh_fault_say(fault, LH_INPUT, args->word[2], "give one file",
                        "one document at a time is taken");
  }
  return LH_OK;
}

static lh_status run(const lh_operation *op, const lh_args *args, lh_arena *a,
                     lh_fault *fault)
{
  lh_progress progress;
  lh_watch watch = lh_progress_watch(&progress, op->name);
  lh_call call = {.arena = a, .watch = &watch};
  lh_reply reply = {0};
  lh_handed *files = NULL;
  lh_status st = check_out(op, args, fault), shown = LH_OK;

  if (st == LH_OK) st = load(op, args, a, &call.document, &files, fault);
  call.files = files;
  if (st == LH_OK && args->book)
    st = lh_book_open(args->book, LH_BOOK_OPEN, &call.book, fault);
  if (st == LH_OK) {
    st = lh_operation_run(op, &call, &reply, fault);
    lh_progress_clear(&progress);
    if (st == LH_OK || st == LH_STOP) shown = show(args, &reply, fault);
  }
  lh_reply_free(&reply);
  json_decref(call.document);
  lh_book_close(&call.book);
  return shown != LH_OK ? shown : st;
}

static lh_status dispatch(const lh_args *args, lh_arena *a, lh_fault *fault)
{
  const char *word = args->words ? args->word[0] : "help";
  const lh_operation *op = lh_operation_find(word);

  if (args->version) {
    printf("leatherhard %s\n", LH_VERSION);
    return LH_OK;
  }
  if (strcmp(word, "help") == 0) return help(args, fault);
  if (strcmp(word, "demo") == 0 && args->help) {
    lh_help_all(stdout);
    return LH_OK;
  }
  if (strcmp(word, "demo") == 0)
    return lh_demo(args->words > 1 ? args->word[1] : "demo", a, fault);
  if (strcmp(word, "book") == 0 && args->help) {
    lh_help_book(stdout);
    return LH_OK;
  }
  if (strcmp(word, "book") == 0) return lh_book_words(args, a, fault);
  if (!op) return no_such(word, fault);
  if (args->schema) return schema(op, fault);
  if (args->help) {
    lh_help_one(op, stdout);
    return LH_OK;
  }
  return run(op, args, a, fault);
}

int main(int argc, char **argv)
{
  lh_args args;
  lh_arena arena;
  lh_fault fault = {0};
  lh_status st;

  lh_heap_open(&arena);
  if (argc > 1 && strcmp(argv[1], "serve") == 0) {
    st = lh_serve(argc - 1, argv + 1, &fault);
  } else {
    st = lh_args_read(argc, argv, &args, &fault);
    if (st == LH_OK) st = dispatch(&args, &arena, &fault);
  }
  /* A full disk behind standard output shows only when it is flushed. */
  if (fflush(stdout) != 0 || ferror(stdout)) {
    st =
        lh_fault_say(&fault, LH_IO, "standard output",
                     "make room, or send it elsewhere", "cannot be written to");
  }
  lh_heap_free(&arena);
  return finish(st, &fault);
}
