/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>

#include "book.h"
#include "book_words.h"
#include "cells.h"
#include "clock.h"
#include "file.h"
#include "heap.h"
#include "material_words.h"
#include "nearest.h"
#include "operation.h"
#include "progress.h"
#include "render.h"

/* Who saves, in the history. */
static const char device[] = "command line";

typedef struct {
  lh_book *b; /* NULL for init and import, which make one */
  const char *path;
  const char *const *word; /* what stands behind the word */
  size_t words;
  lh_reply *reply;
  json_t *list; /* for rows */
  bool as_json; /* a document is only printed as what it is */
  const lh_watch *watch;
  lh_arena *arena;
  lh_fault *fault;
} asking;

/* A whole number into the result; 0 stands for none and is left out. */
static void put_whole(asking *x, json_t *to, const char *key, long v)
{
  if (v &&
      json_object_set_new(to ? to : x->reply->json, key, json_integer(v)) != 0)
    x->reply->st = LH_NOMEM;
}

/* ---- what each word does ------------------------------------------------ */

static lh_status do_init(asking *x)
{
  lh_book *b = NULL;
  lh_status st = lh_book_open(x->path, LH_BOOK_CREATE, &b, x->fault);

  lh_book_close(&b);
  if (st != LH_OK) return st;
  lh_reply_string(x->reply, NULL, "book", x->path);
  lh_reply_text(x->reply, "%s is begun.", x->path);
  return LH_OK;
}

static void finding(void *user, const char *line)
{
  asking *x = user;

  json_array_append_new(x->list, json_string(line));
  lh_reply_line(x->reply, LH_LINE_STOP, "not whole\t%s\tsee docs/book.md",
                line);
}

static lh_status do_check(asking *x)
{
  lh_book_checked c;
  lh_status st;

  x->list = lh_reply_list(x->reply, NULL, "findings");
  lh_reply_title(x->reply, "%s", x->path);
  st = lh_book_check(x->b, finding, x, x->watch, &c, x->fault);
  if (st != LH_OK) return st;
  put_whole(x, NULL, "records", c.records);
  put_whole(x, NULL, "revisions", c.revisions);
  put_whole(x, NULL, "blobs", c.blobs);
  if (c.findings == 0)
    lh_reply_line(x->reply, LH_LINE_OK,
                  "whole\trecords: %ld, revisions: %ld, pictures: %ld\t",
                  c.records, c.revisions, c.blobs);
  return c.findings ? LH_STOP : LH_OK;
}

static lh_status do_backup(asking *x)
{
  lh_status st = lh_book_backup(x->b, x->word[0], x->watch, x->fault);

  if (st != LH_OK) return st;
  lh_reply_string(x->reply, NULL, "backup", x->word[0]);
  lh_reply_text(x->reply, "%s is a copy of %s.", x->word[0], x->path);
  return LH_OK;
}

static lh_status do_export(asking *x)
{
  lh_status st = lh_book_export(x->b, x->word[0], x->watch, x->fault);

  if (st != LH_OK) return st;
  lh_reply_string(x->reply, NULL, "folder", x->word[0]);
  lh_reply_text(x->reply, "%s holds all of %s.", x->word[0], x->path);
  return LH_OK;
}

static lh_status do_import(asking *x)
{
  lh_status st = lh_book_import(x->path, x->word[0], x->watch, x->fault);

  if (st != LH_OK) return st;
  lh_reply_string(x->reply, NULL, "book", x->path);
  lh_reply_text(x->reply, "%s is made from %s.", x->path, x->word[0]);
  return LH_OK;
}

static lh_status do_rebuild(asking *x)
{
  lh_status st = lh_book_rebuild(x->b, x->watch, x->fault);

  if (st != LH_OK) return st;
  lh_reply_string(x->reply, NULL, "book", x->path);
  lh_reply_text(x->reply, "Lists and search of %s are worked out anew.",
                x->path);
  return LH_OK;
}

static bool one_record(void *user, const lh_book_record *r)
{
  asking *x = user;
  const char *kind = lh_book_kind_name(r->kind);
  json_t *item = lh_reply_item(x->reply, x->list);

  lh_reply_string(x->reply, item, "id", r->id);
  lh_reply_string(x->reply, item, "kind", kind);
  lh_reply_string(x->reply, item, "name", r->name);
  put_whole(x, item, "revision", r->number);
  lh_reply_row(x->reply, "%s\t%s\t%s", kind, r->name, r->id);
  if (r->asides) {
    put_whole(x, item, "asides", r->asides);
    lh_reply_line(x->reply, LH_LINE_CAUTION,
                  "%s\t%ld versions wait for a choice\tsee its history", r->id,
                  r->asides);
  }
  return true;
}

static lh_status end_list(asking *x, lh_status st)
{
  if (st == LH_OK && json_array_size(x->list) == 0)
    lh_reply_text(x->reply, "Nothing found.");
  return st;
}

static lh_status do_search(asking *x)
{
  char *words = lh_heap_text(x->arena, x->word[0]);

  for (size_t i = 1; words && i < x->words; i++)
    words = lh_heap_print(x->arena, "%s %s", words, x->word[i]);
  if (!words) return lh_fault_plain(x->fault, LH_NOMEM, x->path);
  x->list = lh_reply_list(x->reply, NULL, "found");
  return end_list(x, lh_book_search(x->b, words, LH_BOOK_ANY, 200, one_record,
                                    x, x->fault));
}

static lh_status read_kind(asking *x, const char *name, lh_book_kind *kind)
{
  const char *names[LH_BOOK_KINDS];
  size_t near;

  *kind = lh_book_kind_find(name);
  if (*kind < LH_BOOK_KINDS) return LH_OK;
  for (int i = 0; i < LH_BOOK_KINDS; i++)
    names[i] = lh_book_kind_name((lh_book_kind)i);
  near = lh_nearest(name, names, LH_BOOK_KINDS);
  return lh_fault_say(x->fault, LH_INPUT, name,
                      "use material, body, slip, glaze, brush, form, motif, "
                      "piece, tile, firing or note",
                      "a book has no such kind%s%s",
                      near < LH_BOOK_KINDS ? "; the nearest is " : "",
                      near < LH_BOOK_KINDS ? names[near] : "");
}

static lh_status do_list(asking *x)
{
  lh_book_kind kind = LH_BOOK_ANY;
  lh_status st = x->words ? read_kind(x, x->word[0], &kind) : LH_OK;

  if (st != LH_OK) return st;
  x->list = lh_reply_list(x->reply, NULL, "records");
  return end_list(
      x, lh_book_list(x->b, kind, false, 0, 1000, one_record, x, x->fault));
}

static bool one_revision(void *user, const lh_book_revision *r)
{
  asking *x = user;
  json_t *item = lh_reply_item(x->reply, x->list);
  char at[32], more[96] = "";

  lh_clock_iso(r->at, at);
  put_whole(x, item, "revision", r->number);
  if (r->base) put_whole(x, item, "base", r->base);
  lh_reply_string(x->reply, item, "at", at);
  lh_reply_string(x->reply, item, "act", r->act);
  lh_reply_string(x->reply, item, "device", r->device);
  if (r->reverses) put_whole(x, item, "reverses", r->reverses);
  if (r->takes) put_whole(x, item, "takes", r->takes);
  if (r->settles) put_whole(x, item, "settles", r->settles);
  lh_reply_flag(x->reply, item, "aside", r->aside);
  lh_reply_flag(x->reply, item, "hidden", r->hidden);
  if (r->reverses)
    snprintf(more, sizeof more, "of %ld", r->reverses);
  else if (r->takes)
    snprintf(more, sizeof more, "brings back %ld", r->takes);
  else if (r->settles)
    snprintf(more, sizeof more, "leaves %ld aside", r->settles);
  else if (r->aside)
    snprintf(more, sizeof more, "kept aside, made on %ld", r->base);
  lh_reply_row(x->reply, "%ld\t%s\t%s\t%s\t%s", r->number, at, r->act,
               r->device, more);
  return true;
}

static lh_status do_history(asking *x)
{
  x->list = lh_reply_list(x->reply, NULL, "revisions");
  return lh_book_history(x->b, x->word[0], one_revision, x, x->fault);
}

/* A revision's number, or 0 when none is asked for. */
static lh_status read_number(asking *x, size_t i, long *number)
{
  char *end;

  *number = 0;
  if (i >= x->words) return LH_OK;
  *number = strtol(x->word[i], &end, 10);
  if (*end == 0 && *number > 0 && *number < 1000000000) return LH_OK;
  return lh_fault_say(x->fault, LH_INPUT, x->word[i],
                      "give a revision's number, as the history shows it",
                      "this is no revision");
}

static lh_status do_read(asking *x)
{
  json_t *d = NULL;
  long number;
  lh_status st = read_number(x, 1, &number);

  if (st == LH_OK)
    st = lh_book_read(x->b, x->word[0], number, &d, NULL, x->fault);
  if (st != LH_OK) return st;
  json_decref(x->reply->json);
  x->reply->json = lh_json_copy(d);
  x->as_json = true;
  return LH_OK;
}

static lh_status tell_saved(asking *x, lh_status st, const lh_book_saved *s)
{
  if (st != LH_OK) return st;
  lh_reply_string(x->reply, NULL, "id", s->id);
  put_whole(x, NULL, "revision", s->number);
  if (s->how == LH_BOOK_UNCHANGED)
    lh_reply_text(x->reply, "%s is so already: revision %ld.", s->id,
                  s->number);
  else
    lh_reply_text(x->reply, "%s is saved: revision %ld.", s->id, s->number);
  return LH_OK;
}

static lh_status do_add(asking *x)
{
  const char *path = x->word[1];
  const void *bytes = NULL;
  size_t n = 0;
  json_t *d = NULL;
  lh_book_kind kind;
  lh_book_saved saved;
  lh_status st = read_kind(x, x->word[0], &kind);

  if (st == LH_OK)
    st = lh_file_read(path, LH_DOCUMENT_MOST, x->arena, &bytes, &n, x->fault);
  if (strcmp(path, "-") == 0) path = "standard input";
  if (st == LH_OK) st = lh_json_parse(bytes, n, path, &d, x->fault);
  if (st == LH_OK) st = lh_book_add(x->b, kind, d, device, &saved, x->fault);
  json_decref(d);
  return tell_saved(x, st, &saved);
}

/* A supplier's table into the stock; words behind it are columns that are no
** matter of ours.  Read whole before anything is kept. */
static lh_status do_stock(asking *x)
{
  const char *path = x->word[0];
  lh_analysis_ask ask = {.name = strcmp(path, "-") ? path : "standard input",
                         .trace = LH_ANALYSIS_TRACE,
                         .leave_out = x->word + 1,
                         .leave_out_count = x->words - 1};
  const void *bytes = NULL;
  size_t n = 0;
  lh_analyses all;
  long added, renewed, same;
  lh_status st =
      lh_file_read(path, LH_CELLS_BYTES, x->arena, &bytes, &n, x->fault);

  if (st == LH_OK)
    st = lh_analysis_read(bytes, n, &ask, x->arena, &all, x->fault);
  if (st == LH_OK)
    st = lh_materials_keep(x->b, &all, device, &added, &renewed, &same,
                           x->fault);
  if (st != LH_OK) return st;
  lh_materials_put(x->reply, &all);
  put_whole(x, NULL, "added", added);
  put_whole(x, NULL, "renewed", renewed);
  put_whole(x, NULL, "unchanged", same);
  lh_reply_text(x->reply,
                "In the stock of %s: %ld new, %ld with a new revision, %ld as "
                "they were.",
                x->path, added, renewed, same);
  return LH_OK;
}

static lh_status do_restore(asking *x)
{
  lh_book_saved saved;
  long number;
  lh_status st = read_number(x, 1, &number);

  if (st == LH_OK)
    st = lh_book_restore(x->b, x->word[0], number, device, &saved, x->fault);
  return tell_saved(x, st, &saved);
}

static lh_status do_hide(asking *x)
{
  lh_book_saved saved;

  return tell_saved(
      x, lh_book_hide(x->b, x->word[0], true, device, &saved, x->fault),
      &saved);
}

static lh_status do_unhide(asking *x)
{
  lh_book_saved saved;

  return tell_saved(
      x, lh_book_hide(x->b, x->word[0], false, device, &saved, x->fault),
      &saved);
}

/* ---- the table ---------------------------------------------------------- */

static const struct {
  const char *name, *more, *help;
  size_t least, most; /* words behind it */
  bool opens;         /* there must be a book already */
  lh_status (*run)(asking *);
} table[] = {
    {"init", "", "begin a book", 0, 0, false, do_init},
    {"add", "KIND DOCUMENT", "keep a document", 2, 2, true, do_add},
    {"stock", "TABLE [COLUMN...]", "keep a supplier's analyses as materials", 1,
     5, true, do_stock},
    {"list", "[KIND]", "what there is, the newest first", 0, 1, true, do_list},
    {"search", "WORD...", "by name and note", 1, 5, true, do_search},
    {"read", "ID [REVISION]", "a document", 1, 2, true, do_read},
    {"history", "ID", "its revisions", 1, 1, true, do_history},
    {"restore", "ID REVISION", "bring a revision back", 2, 2, true, do_restore},
    {"hide", "ID", "take it out of lists; nothing is removed", 1, 1, true,
     do_hide},
    {"unhide", "ID", "show it again", 1, 1, true, do_unhide},
    {"check", "", "is the book whole?", 0, 0, true, do_check},
    {"rebuild", "", "work lists and search out anew", 0, 0, true, do_rebuild},
    {"backup", "FILE", "copy it, also while it is in use", 1, 1, true,
     do_backup},
    {"export", "FOLDER", "all of it as JSON Lines and pictures", 1, 1, true,
     do_export},
    {"import", "FOLDER", "make a book from an export", 1, 1, false, do_import},
};
enum { WORDS = sizeof table / sizeof table[0] };

bool lh_book_word_at(size_t i, const char **name, const char **more,
                     const char **help)
{
  if (i >= WORDS) return false;
  *name = table[i].name;
  *more = table[i].more;
  *help = table[i].help;
  return true;
}

static lh_status find_word(const lh_args *args, size_t *i, lh_fault *fault)
{
  const char *names[WORDS];
  const char *word = args->words > 2 ? args->word[2] : "";
  size_t near, given = args->words > 3 ? args->words - 3 : 0;

  if (args->words < 3) {
    return lh_fault_say(fault, LH_INPUT, "book",
                        "write leatherhard book FILE WORD; see leatherhard "
                        "help book",
                        "it is not said %s",
                        args->words < 2 ? "which book" : "what to do with it");
  }
  for (*i = 0; *i < WORDS; ++*i) {
    names[*i] = table[*i].name;
    if (strcmp(word, table[*i].name) == 0) break;
  }
  if (*i < WORDS && given >= table[*i].least && given <= table[*i].most)
    return LH_OK;
  if (*i < WORDS) {
    char todo[128];
    snprintf(todo, sizeof todo, "write leatherhard book FILE %s %s",
             table[*i].name, table[*i].more);
    return lh_fault_say(fault, LH_INPUT, word, todo, "too %s words behind it",
                        given < table[*i].least ? "few" : "many");
  }
  near = lh_nearest(word, names, WORDS);
  if (near < WORDS)
    return lh_fault_say(fault, LH_INPUT, word, "see leatherhard help book",
                        "no such word; the nearest is \"%s\"", names[near]);
  return lh_fault_say(fault, LH_INPUT, word, "see leatherhard help book",
                      "no such word");
}

static lh_status print(const asking *x, bool json)
{
  char *text;

  if (!json && !x->as_json) {
    lh_render_lines(x->reply->first, lh_render_colour(stdout), stdout);
    return LH_OK;
  }
  text = lh_json_text(x->reply->json);
  if (!text) return lh_fault_plain(x->fault, LH_NOMEM, x->path);
  puts(text);
  free(text);
  return LH_OK;
}

lh_status lh_book_words(const lh_args *args, lh_arena *a, lh_fault *fault)
{
  lh_progress progress;
  lh_watch watch = lh_progress_watch(&progress, "book");
  lh_reply reply = {.arena = a, .json = json_object()};
  asking x = {.path = args->words > 1 ? args->word[1] : "",
              .word = args->word + 3,
              .words = args->words > 3 ? args->words - 3 : 0,
              .reply = &reply,
              .watch = &watch,
              .arena = a,
              .fault = fault};
  size_t i = 0;
  lh_status st = find_word(args, &i, fault), shown = LH_OK;

  if (st == LH_OK && table[i].opens)
    st = lh_book_open(x.path, LH_BOOK_OPEN, &x.b, fault);
  if (st == LH_OK) {
    st = table[i].run(&x);
    lh_progress_clear(&progress);
    if (st == LH_OK || st == LH_STOP) {
      if (reply.st != LH_OK)
        shown = lh_fault_plain(fault, reply.st, x.path);
      else
        shown = print(&x, args->json);
    }
  }
  lh_book_close(&x.b);
  lh_reply_free(&reply);
  return shown != LH_OK ? shown : st;
}
