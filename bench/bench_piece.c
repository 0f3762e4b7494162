/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_piece.c -- the sample piece from document to pictures and sheets, by
** stage, with the peak of memory.
**
**   bench_piece [piece.json]      the sample when none is named
*/
#include <stdio.h>

#include "bench.h"
#include "file.h"
#include "heap.h"
#include "picture.h"
#include "sheets.h"
#include "whole.h"

enum { STAGES = 8, ROUNDS = 5 };

static const char *const stage[STAGES] = {
    "JSON parsed",      "piece read, placed", "marks laid, measured",
    "colours, verdict", "zones coloured",     "picture, side",
    "picture, above",   "sheets PDF"};

/* What lh_whole_make does once a piece is laid out. */
static lh_status judge(lh_whole *w, lh_arena *a, lh_fault *fault)
{
  lh_verdict_input in = {&w->cover, &w->optics, NULL};
  size_t n = w->piece.doc->slips.count;
  lh_status st =
      lh_piece_optics_make(&w->piece, LH_D8_EX, LH_D65, a, &w->optics, fault);

  w->jars = lh_arena_take(a, n, sizeof *w->jars);
  if (!w->jars) return LH_NOMEM;
  for (size_t i = 0; i < n && st == LH_OK; i++)
    st = lh_jar_make(&w->cover, i, a, &w->jars[i], fault);
  in.jars = w->jars;
  return st == LH_OK ? lh_verdict_make(&in, a, &w->verdict) : st;
}

static lh_status once(const void *bytes, size_t n, double ms[STAGES])
{
  lh_picture_ask side = {.view = LH_VIEW_SIDE}, above = {.view = LH_VIEW_ABOVE};
  lh_sheets_input in = {0};
  lh_fault fault = {0};
  lh_arena a;
  lh_piece_skin skin;
  lh_whole *w;
  json_t *json = NULL;
  const void *pdf;
  size_t size;
  int pages, k = 0;
  lh_status st;
  double t = bench_now();

#define STAGE(call)                    \
  do {                                 \
    if (st == LH_OK) st = (call);      \
    ms[k++] = 1e3 * (bench_now() - t); \
    t = bench_now();                   \
  } while (0)
  lh_heap_open(&a);
  w = lh_arena_take(&a, 1, sizeof *w);
  st = w ? LH_OK : LH_NOMEM;
  STAGE(lh_json_parse(bytes, n, "sample", &json, &fault));
  STAGE(lh_piece_read(json, &a, &w->piece, &fault));
  STAGE(
      lh_piece_cover_make(&w->piece, LH_PIXEL_MM, &a, NULL, &w->cover, &fault));
  STAGE(judge(w, &a, &fault));
  STAGE(lh_piece_skin_make(&w->cover, &w->optics, &a, NULL, &skin));
  STAGE(lh_piece_picture(&skin, &side, &a, NULL, &in.side, &fault));
  STAGE(lh_piece_picture(&skin, &above, &a, NULL, &in.above, &fault));
  in.whole = w;
  STAGE(lh_sheets_draw(&in, &a, &pdf, &size, &pages));
#undef STAGE
  json_decref(json);
  lh_heap_free(&a);
  if (st != LH_OK) fprintf(stderr, "%s: %s\n", fault.where, fault.what);
  return st;
}

int main(int argc, char **argv)
{
  double ms[STAGES], best[STAGES], sum = 0;
  const void *bytes;
  lh_fault fault = {0};
  lh_arena a;
  size_t n;

  lh_heap_open(&a);
  if (lh_file_read(argc > 1 ? argv[1] : "../data/tide-line.json",
                   LH_DOCUMENT_MOST, &a, &bytes, &n, &fault) != LH_OK) {
    fprintf(stderr, "%s: %s\n", fault.where, fault.what);
    return 2;
  }
  for (int r = 0; r < ROUNDS; r++) {
    if (once(bytes, n, ms) != LH_OK) return 3;
    for (int k = 0; k < STAGES; k++)
      if (r == 0 || ms[k] < best[k]) best[k] = ms[k];
  }
  printf("| stage, best of %d | ms |\n| --- | ---: |\n", ROUNDS);
  for (int k = 0; k < STAGES; k++) {
    printf("| %s | %.1f |\n", stage[k], best[k]);
    sum += best[k];
  }
  printf("| **all** | **%.1f** |\n\nPeak memory %.0f MB.\n", sum,
         bench_peak_mb());
  lh_heap_free(&a);
  return 0;
}
