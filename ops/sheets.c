/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheets.c -- the working sheets of a piece. */
#include "sheets.h"

#include <math.h>

#include "clock.h"
#include "operation.h"
#include "pixel.h"

typedef struct {
  double pixel_mm;
  int paper;
} sheets_ask;

static const char *const papers[] = {"a4", "letter", NULL};

static const lh_field fields[] = {
    LH_PIXEL_FIELD_OF(sheets_ask),
    LH_CHOICE(sheets_ask, paper, "paper", false, papers, LH_A4,
              "What it is printed on."),
};
static const lh_fields table = LH_FIELDS("sheets", sheets_ask, fields);

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
  st = lh_whole_make(call->document, ask->pixel_mm, call->arena, call->watch, w,
                     fault);
  if (st == LH_OK) st = pictures(call, w, &in, fault);
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
        "tared pan, and the drawing at true size with a 100 mm rule.",
    .fields = &table,
    .run = sheets,
    .media = "application/pdf",
    .takes_piece = true,
};
