/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "demo.h"

#include <stdio.h>

#include "file.h"
#include "heap.h"
#include "operation.h"
#include "progress.h"
#include "render.h"
#include "tide_line.h" /* made from data/tide-line.json at build time */

/* One operation on the sample; its lines and file are the reply's. */
static lh_status make(const char *op_name, const char *view, json_t *document,
                      lh_arena *a, lh_reply *reply, lh_fault *fault)
{
  const lh_operation *op = lh_operation_find(op_name);
  lh_progress progress;
  lh_watch watch = lh_progress_watch(&progress, op_name);
  lh_call call = {.arena = a, .document = document, .watch = &watch};
  json_t *ask = view ? json_pack("{s:s}", "view", view) : json_object();
  lh_status st;

  if (!op || json_object_set_new(document, "ask", ask) != 0)
    return lh_fault_plain(fault, LH_NOMEM, op_name);
  st = lh_operation_run(op, &call, reply, fault);
  lh_progress_clear(&progress);
  return st;
}

static const struct {
  const char *op, *view, *file, *words;
} parts[] = {
    {"picture", "band", "picture-band.png", "the band unrolled, as fired"},
    {"picture", "side", "picture-side.png", "the pot from the side"},
    {"picture", "above", "picture-above.png", "the pot from above"},
    {"sheets", NULL, "sheets.pdf", "the working sheets: print these"},
};
enum { PARTS = sizeof parts / sizeof parts[0] };

static const char *path_in(const char *folder, const char *file, lh_arena *a)
{
  return lh_heap_print(a, "%s/%s", folder, file);
}

static void say_what_to_open(const char *folder)
{
  printf("\nOpen\n");
  for (size_t i = 0; i < PARTS; i++)
    printf("  %s/%-18s %s\n", folder, parts[i].file, parts[i].words);
  printf("  %s/%-18s %s\n", folder, "piece.json",
         "the piece itself: copy it and make it yours (docs/piece.md)");
}

/* All files are made before any is written: a full disk leaves none. */
static lh_status work(const char *folder, json_t *document, lh_arena *a,
                      lh_fault *fault)
{
  lh_file files[PARTS + 1];
  lh_reply reply = {0};
  lh_status st = LH_OK;

  for (size_t i = 0; i < PARTS && st == LH_OK; i++) {
    st = make(parts[i].op, parts[i].view, document, a, &reply, fault);
    files[i] =
        (lh_file){path_in(folder, parts[i].file, a), reply.bytes, reply.size};
    if (!files[i].path) st = lh_fault_plain(fault, LH_NOMEM, folder);
    lh_reply_free(&reply);
  }
  files[PARTS] =
      (lh_file){path_in(folder, "piece.json", a), tide_line, tide_line_size};
  if (!files[PARTS].path) st = lh_fault_plain(fault, LH_NOMEM, folder);
  if (st == LH_OK) st = lh_file_folder(folder, fault);
  if (st == LH_OK) st = lh_file_write_all(files, PARTS + 1, fault);
  if (st != LH_OK) return st;
  st = make("piece", NULL, document, a, &reply, fault);
  if (st == LH_OK || st == LH_STOP) {
    lh_render_lines(reply.first, lh_render_colour(stdout), stdout);
    say_what_to_open(folder);
  }
  lh_reply_free(&reply);
  return st;
}

lh_status lh_demo(const char *folder, lh_arena *a, lh_fault *fault)
{
  json_t *document = NULL;
  lh_status st =
      lh_json_parse(tide_line, tide_line_size, "piece.json", &document, fault);

  if (st == LH_OK) st = work(folder, document, a, fault);
  json_decref(document);
  return st;
}
