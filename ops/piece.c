/* SPDX-License-Identifier: GPL-3.0-or-later */
/* piece.c -- the verdict on a piece. */
#include <math.h>

#include "made.h"
#include "operation.h"
#include "pixel.h"
#include "whole.h"

static const lh_field fields[] = {LH_PIXEL_FIELD};
static const lh_fields table = LH_FIELDS("piece", lh_pixel_ask, fields);

static void checks(const lh_verdict *v, lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "checks");

  for (size_t i = 0; i < v->n; i++) {
    const lh_check *c = &v->checks[i];
    json_t *x = lh_reply_item(r, list);
    lh_reply_string(r, x, "verdict", lh_says_word(c->says));
    lh_reply_string(r, x, "about", c->about);
    lh_reply_string(r, x, "why", c->why);
    lh_reply_string(r, x, "todo", c->todo);
    lh_reply_line(r,
                  c->says == LH_SAYS_OK        ? LH_LINE_OK
                  : c->says == LH_SAYS_CAUTION ? LH_LINE_CAUTION
                                               : LH_LINE_STOP,
                  "%s\t%s\t%s", c->about, c->why, c->todo);
  }
}

static lh_status piece(const lh_call *call, const void *document, lh_reply *r,
                       lh_fault *fault)
{
  const lh_pixel_ask *ask = document;
  lh_whole *w = lh_arena_take(call->arena, 1, sizeof *w);
  size_t count[3] = {0};
  lh_status st;

  if (!w) return LH_NOMEM;
  st = lh_whole_make(call->document, ask->pixel_mm, call->arena, call->watch, w,
                     fault);
  if (st != LH_OK) return st;
  for (size_t i = 0; i < w->verdict.n; i++) count[w->verdict.checks[i].says]++;
  lh_reply_string(r, NULL, "name", w->piece.doc->name);
  lh_reply_flag(r, NULL, "invented", lh_piece_invented(w->piece.doc));
  if (lh_piece_mark(w->piece.doc))
    lh_reply_string(r, NULL, "mark", lh_piece_mark(w->piece.doc));
  lh_reply_string(r, NULL, "verdict", lh_says_word(w->verdict.worst));
  lh_reply_title(r, "%s%s: %s", w->piece.doc->name,
                 lh_piece_invented(w->piece.doc) ? " (invented)" : "",
                 w->verdict.worst == LH_SAYS_STOP ? "stop"
                 : w->verdict.worst == LH_SAYS_CAUTION
                     ? "go on, minding the cautions"
                     : "ok");
  lh_reply_text(r, "%zu to stop for, %zu cautions, %zu ok", count[LH_SAYS_STOP],
                count[LH_SAYS_CAUTION], count[LH_SAYS_OK]);
  checks(&w->verdict, r);
  return w->verdict.worst == LH_SAYS_STOP ? LH_STOP : LH_OK;
}

const lh_operation lh_op_piece = {
    .name = "piece",
    .help = "the verdict on a piece: ok, caution or stop, and what to do",
    .purpose =
        "Checks a piece before a pot is touched: form, spacing, thickness of "
        "each slip against its window, its colour over what lies below, the "
        "water that coats bring into wall and rim, mixing, firing and care. "
        "Each check says ok, caution or stop, the reason, and what to do.",
    .fields = &table,
    .run = piece,
    .takes_piece = true,
};
