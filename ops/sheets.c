/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheets.c -- the working sheets of a piece. */
#include "sheets.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "clock.h"
#include "made.h"
#include "nearest.h"
#include "operation.h"
#include "pixel.h"

typedef struct {
  double pixel_mm;
  int paper;
  lh_list only; /* const char * */
} sheets_ask;

static const char *const papers[] = {"a4", "letter", NULL};

static const lh_field fields[] = {
    LH_PIXEL_FIELD_OF(sheets_ask),
    LH_CHOICE(sheets_ask, paper, "paper", false, papers, LH_A4,
              "What it is printed on."),
    {.key = "only",
     .kind = LH_F_TEXTS,
     .offset = offsetof(sheets_ask, only),
     .least = NAN,
     .most = NAN,
     .otherwise = NAN,
     .most_items = LH_SHEET_PARTS,
     .help = "Only these of its parts: title, verdict, mixing, colours, "
             "drawing.  Absent: all."},
};
static const lh_fields table = LH_FIELDS("sheets", sheets_ask, fields);

/* Which parts are asked for. */
static lh_status parts(const sheets_ask *ask, unsigned *only, lh_fault *fault)
{
  const char *const *want = ask->only.items;

  *only = 0;
  for (size_t i = 0; i < ask->only.count; i++) {
    size_t k = 0, near;
    char where[48];
    while (k < LH_SHEET_PARTS && strcmp(want[i], lh_sheet_parts[k]) != 0) k++;
    *only |= 1u << k;
    if (k < LH_SHEET_PARTS) continue;
    near = lh_nearest(want[i], lh_sheet_parts, LH_SHEET_PARTS);
    snprintf(where, sizeof where, "/ask/only/%zu", i);
    return lh_fault_say(fault, LH_INPUT, where,
                        "name some of title, verdict, mixing, colours, drawing",
                        "the sheets have no part \"%.60s\"%s%s%s", want[i],
                        near < LH_SHEET_PARTS ? "; the nearest is \"" : "",
                        near < LH_SHEET_PARTS ? lh_sheet_parts[near] : "",
                        near < LH_SHEET_PARTS ? "\"" : "");
  }
  return LH_OK;
}

/* The strips of the colour pages, when those are asked for. */
static lh_status strips(const lh_call *call, const lh_whole *w,
                        lh_sheets_input *in, lh_fault *fault)
{
  lh_strip *all = NULL;
  lh_status st;

  if (!lh_sheet_wanted(in->only, LH_SHEET_COLOURS)) return LH_OK;
  st = lh_strips_make(&w->optics, &w->cover, call->arena, call->watch, &all,
                      &in->n_strips);
  in->strips = all;
  if (st == LH_RANGE)
    return lh_fault_say(fault, st, "/slips", "correct the optical numbers",
                        "the fired colours cannot be worked out");
  return st;
}

static lh_status pictures(const lh_call *call, lh_whole *w, lh_sheets_input *in,
                          lh_fault *fault)
{
  lh_picture_ask side = {.view = LH_VIEW_SIDE, .width_px = 1600};
  lh_picture_ask above = {.view = LH_VIEW_ABOVE, .width_px = 900};
  lh_piece_skin skin;
  lh_status st = lh_piece_skin_make(&w->cover, &w->optics, call->arena,
                                    call->watch, &skin);

  if (st != LH_OK) return st;
  st = lh_piece_picture(&skin, &side, call->arena, call->watch, &in->side,
                        fault);
  if (st != LH_OK) return st;
  return lh_piece_picture(&skin, &above, call->arena, call->watch, &in->above,
                          fault);
}

static lh_status sheets(const lh_call *call, const void *document, lh_reply *r,
                        lh_fault *fault)
{
  const sheets_ask *ask = document;
  lh_whole *w = lh_arena_take(call->arena, 1, sizeof *w);
  lh_sheets_input in = {
      .whole = w, .paper = (lh_paper_size)ask->paper, .date = lh_clock_now()};
  int pages = 0;
  char day[32];
  lh_status st;

  if (!w) return LH_NOMEM;
  st = parts(ask, &in.only, fault);
  if (st != LH_OK) return st;
  st = lh_whole_make(call->document, ask->pixel_mm, call->arena, call->watch, w,
                     fault);
  if (st == LH_OK && lh_sheet_wanted(in.only, LH_SHEET_TITLE))
    st = pictures(call, w, &in, fault);
  if (st == LH_OK) st = strips(call, w, &in, fault);
  if (st == LH_OK)
    st = lh_sheets_draw(&in, call->arena, &r->bytes, &r->size, &pages);
  if (st != LH_OK) return st;
  r->media = "application/pdf";
  lh_clock_words(in.date, day);
  lh_reply_string(r, NULL, "name", w->piece.doc->name);
  lh_reply_number(r, NULL, "pages", pages);
  lh_reply_string(r, NULL, "paper", papers[ask->paper]);
  lh_reply_string(r, NULL, "date", day);
  lh_reply_string(r, NULL, "verdict", lh_says_word(w->verdict.worst));
  lh_reply_flag(r, NULL, "invented", lh_piece_invented(w->piece.doc));
  if (lh_piece_mark(w->piece.doc))
    lh_reply_string(r, NULL, "mark", lh_piece_mark(w->piece.doc));
  lh_reply_title(r, "Sheets for %s", w->piece.doc->name);
  lh_reply_row(r, "pages\t%d\t%s", pages, papers[ask->paper]);
  lh_reply_row(r, "verdict\t%s", lh_says_word(w->verdict.worst));
  return LH_OK;
}

const lh_operation lh_op_sheets = {
    .name = "sheets",
    .help = "the working sheets of a piece, one PDF",
    .purpose =
        "Draws one PDF for the studio wall: a title page with the picture and "
        "the verdict, a mixing page for each slip with a running total for one "
        "tared pan, each slip's colours thin to thick with room for the real "
        "tiles, and the drawing at true size with a 100 mm rule.",
    .fields = &table,
    .run = sheets,
    .media = "application/pdf",
    .takes_piece = true,
};
