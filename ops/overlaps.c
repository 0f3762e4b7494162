/* SPDX-License-Identifier: GPL-3.0-or-later */
/* overlaps.c -- the operation `overlaps`: is white needed between? */
#include <math.h>

#include "between.h"
#include "made.h"
#include "operation.h"
#include "pixel.h"
#include "stack_words.h"
#include "whole.h"

static const lh_field fields[] = {LH_PIXEL_FIELD};
static const lh_fields table = LH_FIELDS("overlaps", lh_pixel_ask, fields);

typedef struct {
  const lh_piece *piece;
  const lh_piece_cover *cover;
  const lh_piece_optics *optics;
  size_t off; /* places that fire to another colour than on the ground */
} looking;

static const char *slip_name(const looking *w, int slip)
{
  const lh_slip_doc *s = w->piece->doc->slips.items;

  return slip < 0 ? "the body" : lh_slip_doc_name(&s[slip]);
}

static const char *slip_id(const looking *w, int slip)
{
  const lh_slip_doc *s = w->piece->doc->slips.items;

  return slip < 0 ? "body" : s[slip].id;
}

static double coats_of(const looking *w, int slip, double g_m2)
{
  const lh_slip_doc *s = w->piece->doc->slips.items;

  return g_m2 / s[slip].coat_g_m2;
}

static void put_lab(lh_reply *r, json_t *to, const char *key, lh_lab c)
{
  lh_reply_numbers(r, to, key, (double[]){c.L, c.a, c.b}, 3);
}

static void put_least(const looking *w, lh_reply *r, json_t *to, int slip,
                      lh_range v)
{
  lh_reply_number(r, to, "least_g_m2", v.value);
  lh_reply_number(r, to, "least_coats", coats_of(w, slip, v.value));
  if (isfinite(v.low) && isfinite(v.high))
    lh_reply_range(r, to, "least_g_m2_range", v.low, v.high);
}

static void put(const looking *w, const lh_piece_overlap *x,
                const lh_between *b, lh_reply *r, json_t *list)
{
  json_t *to = lh_reply_item(r, list), *white;

  lh_reply_string(r, to, "upper", slip_id(w, b->upper));
  lh_reply_string(r, to, "lower", slip_id(w, b->lower));
  lh_reply_number(r, to, "area_cm2", x->area_mm2 / 100);
  lh_reply_number(r, to, "upper_g_m2", x->upper_g_m2);
  lh_reply_number(r, to, "lower_g_m2", x->lower_g_m2);
  put_lab(r, to, "lab", b->painted);
  put_lab(r, to, "lab_on_ground", b->wanted);
  lh_reply_number(r, to, "delta_e00", b->de00);
  lh_reply_flag(r, to, "white_needed", b->needed);
  if (b->lower >= 0) {
    lh_reply_number(r, to, "turned_delta_e00", b->turned_de00);
    lh_reply_string(r, to, "better_order", b->turn ? "turned" : "as painted");
  }
  if (b->white < 0) return;
  white = lh_reply_object(r, to, "white_between");
  lh_reply_string(r, white, "slip", slip_id(w, b->white));
  lh_reply_number(r, white, "coat_g_m2", b->white_g_m2);
  put_lab(r, white, "lab", b->with_white);
  lh_reply_number(r, white, "delta_e00", b->white_de00);
  put_least(w, r, white, b->white, b->least);
}

/* What to do about it. */
static void say(const looking *w, const lh_piece_overlap *x,
                const lh_between *b, lh_reply *r)
{
  const char *up = slip_name(w, b->upper), *low = slip_name(w, b->lower);
  const char *on = b->white < 0 ? "the body" : "the ground";
  bool turn = b->turn && b->turned_de00 <= w->piece->limits->seen_de00;

  if (b->de00 <= w->piece->limits->seen_de00) {
    lh_reply_line(r, LH_LINE_OK,
                  "%s over %s\t%.2f cm2 fire as on %s (dE00 %.1f)", up, low,
                  x->area_mm2 / 100, on, b->de00);
    return;
  }
  if (b->white < 0) {
    lh_reply_line(r, LH_LINE_CAUTION,
                  "%s over %s\t%.2f cm2 fire to another colour than on %s "
                  "(dE00 %.1f)\t%s",
                  up, low, x->area_mm2 / 100, on, b->de00,
                  turn ? "paint them in the other order"
                       : "leave the lower out there, or add a white ground "
                         "to the piece");
    return;
  }
  lh_reply_line(r, LH_LINE_CAUTION,
                "%s over %s\t%.2f cm2 fire to L* %.0f a* %.0f b* %.0f, on the "
                "ground to %.0f %.0f %.0f (dE00 %.1f); with %.0f g/m2 of white "
                "between dE00 %.1f\t%s",
                up, low, x->area_mm2 / 100, b->painted.L,
                round(b->painted.a) + 0.0, round(b->painted.b) + 0.0,
                b->wanted.L, round(b->wanted.a) + 0.0, round(b->wanted.b) + 0.0,
                b->de00, b->white_g_m2, b->white_de00,
                turn ? "paint them in the other order, or lay white between"
                     : "lay white between, or leave the lower out there");
}

/* How heavy, of those that are off. */
static void say_weight(const looking *w, const lh_between *b, lh_reply *r)
{
  const char *up = slip_name(w, b->upper), *low = slip_name(w, b->lower);

  if (b->white < 0 || !b->needed) return;
  if (isnan(b->least.value))
    lh_reply_text(r,
                  "No weight of %s takes the difference between %s and %s "
                  "away.",
                  slip_name(w, b->white), up, low);
  else if (isfinite(b->least.high))
    lh_reply_row(r, "%s over %s\t%.0f g/m2\t%.0f to %.0f\t%.1f coats", up, low,
                 b->least.value, b->least.low, b->least.high,
                 coats_of(w, b->white, b->least.value));
  else
    lh_reply_row(r, "%s over %s\t%.0f g/m2\t\t%.1f coats", up, low,
                 b->least.value, coats_of(w, b->white, b->least.value));
}

static lh_status grounds(const looking *w, lh_reply *r)
{
  int ground = lh_between_ground(w->cover);
  lh_thin_ground t;
  json_t *to;
  lh_status st;

  if (ground < 0) return LH_OK;
  st = lh_between_thin(w->optics, w->cover, ground, true, &t);
  if (st != LH_OK) return st;
  to = lh_reply_object(r, NULL, "ground");
  lh_reply_string(r, to, "slip", slip_id(w, ground));
  lh_reply_number(r, to, "coat_g_m2", t.g_m2);
  lh_reply_number(r, to, "delta_e00", t.de00);
  lh_reply_flag(r, to, "hides", t.de00 <= w->piece->limits->hides_de00);
  put_least(w, r, to, ground, t.hides);
  lh_reply_title(r, "The ground over the body");
  if (isnan(t.hides.value))
    lh_reply_text(r, "%s hides the body at no weight.", slip_name(w, ground));
  else
    lh_reply_text(r,
                  "%s lies at %.0f g/m2, dE00 %.1f from a thick coat of "
                  "itself; from %.0f g/m2 on (%.0f to %.0f; %.1f coats) it "
                  "looks like that, within dE00 %g: the body no longer "
                  "shows.",
                  slip_name(w, ground), t.g_m2, t.de00, t.hides.value,
                  t.hides.low, t.hides.high, coats_of(w, ground, t.hides.value),
                  w->piece->limits->hides_de00);
  return LH_OK;
}

/* Is it worth a word: no ground itself, more than a needle's point, more than
** a detail of its slip. */
static bool counts(const looking *w, const lh_piece_overlap *x)
{
  const lh_slip_doc *s = w->piece->doc->slips.items;
  double all = w->cover->slips[x->upper].area_mm2;

  if (s[x->upper].ground || x->upper == x->lower || x->area_mm2 < 0.5)
    return false;
  if (x->lower >= 0 && s[x->lower].ground) return false;
  if (x->lower < 0 && lh_between_ground(w->cover) < 0) return false;
  return 100 * x->area_mm2 >= w->piece->limits->detail_percent * all;
}

static lh_status each(looking *w, const lh_call *call, lh_reply *r,
                      lh_between *b, size_t *n)
{
  json_t *list = lh_reply_list(r, NULL, "overlaps");

  for (size_t i = 0; i < w->cover->n_overlaps; i++) {
    const lh_piece_overlap *x = &w->cover->overlaps[i];
    lh_status st;
    if (!counts(w, x)) continue;
    if (!lh_watch_go(call->watch, (double)i / (double)w->cover->n_overlaps))
      return LH_CANCELLED;
    st = lh_between_look(w->optics, w->cover, x, true, &b[*n]);
    if (st != LH_OK) return st;
    put(w, x, &b[*n], r, list);
    say(w, x, &b[*n], r);
    w->off += b[*n].de00 > w->piece->limits->seen_de00;
    ++*n;
  }
  return LH_OK;
}

static lh_status overlaps(const lh_call *call, const void *document,
                          lh_reply *r, lh_fault *fault)
{
  const lh_pixel_ask *ask = document;
  lh_piece p;
  lh_piece_cover c;
  lh_piece_optics o;
  looking w = {&p, &c, &o, 0};
  lh_between *b;
  size_t n = 0, needed = 0;
  lh_status st = lh_piece_read(call->document, call->arena, &p, fault);

  if (st == LH_OK)
    st = lh_piece_cover_make(&p, ask->pixel_mm, call->arena, call->watch, &c,
                             fault);
  if (st == LH_OK)
    st = lh_piece_optics_make(&p, LH_D8_EX, LH_D65, call->arena, &o, fault);
  if (st != LH_OK) return st;
  b = lh_arena_take(call->arena, c.n_overlaps, sizeof *b);
  if (!b) return lh_fault_plain(fault, LH_NOMEM, "/");
  lh_reply_title(r, "Where one slip lies on another");
  st = each(&w, call, r, b, &n);
  if (n == 0 && st == LH_OK)
    lh_reply_text(r, "Nowhere: each lies on its ground.");
  for (size_t i = 0; i < n; i++) needed += b[i].needed;
  if (needed > 0) lh_reply_title(r, "White between: at least");
  for (size_t i = 0; i < n && st == LH_OK; i++) say_weight(&w, &b[i], r);
  if (st == LH_OK) st = grounds(&w, r);
  if (st != LH_OK)
    return lh_fault_say(fault, st, "/slips", "correct the optical numbers",
                        "the fired colours cannot be worked out");
  lh_reply_text(r,
                "Seen from dE00 %g on, hidden below %g (limits of the piece; "
                "judgements), under D65, the glaze's shine left out.  Ranges: "
                "nine times in ten, if the tiles told "
                "the truth.",
                p.limits->seen_de00, p.limits->hides_de00);
  lh_stack_words_mark(r, "Some of it is ", lh_piece_mark(p.doc));
  return LH_OK;
}

const lh_operation lh_op_overlaps = {
    .name = "overlaps",
    .help = "is white needed between two slips of a piece?",
    .purpose =
        "For every place of a piece where one slip lies on another: the colour "
        "it fires to,\nwith and without a white ground between, how heavy that "
        "white must be, and whether\nthe other painting order is better.  And "
        "whether the body shows through the ground.",
    .fields = &table,
    .run = overlaps,
    .takes_piece = true,
};
