/* SPDX-License-Identifier: GPL-3.0-or-later */
/* picture.c -- a piece as it will look when fired, as PNG. */
#include <math.h>

#include "difference.h"
#include "heap.h"
#include "made.h"
#include "operation.h"
#include "picture.h"
#include "pixel.h"
#include "png_file.h"
#include "stack_words.h"

typedef struct {
  double pixel_mm;
  int view, illuminant, strength;
  long width_px;
  const char *zone;
  double turn_turns;
} picture_ask;

static const char *const views[] = {"band", "side", "above", NULL};
static const char *const view_words[] = {
    "the band unrolled", "the pot from the side", "the pot from above"};
static const char *const illuminants[] = {"D65", "A", "D50", NULL};
static const char *const strengths[] = {"expected", "pale", "strong", NULL};

static const lh_field fields[] = {
    LH_PIXEL_FIELD_OF(picture_ask),
    LH_CHOICE(picture_ask, view, "view", false, views, LH_VIEW_BAND,
              "The band unrolled, or the pot from the side or from above."),
    LH_COUNT(picture_ask, width_px, "width_px", false, LH_PICTURE_LEAST_PX,
             LH_PICTURE_MOST_PX, NAN,
             "Pixels across; without it, enough for a page."),
    LH_TEXT(picture_ask, zone, "zone", false,
            "Of a band: the zone's id; without it, the band with the most "
            "marks."),
    LH_NUMBER(picture_ask, turn_turns, "turn_turns", false, -1000, 1000, 0,
              "turns", "The pot turned so far, anticlockwise from above."),
    LH_CHOICE(picture_ask, illuminant, "illuminant", false, illuminants, LH_D65,
              "The light its colours are worked out for: daylight, lamplight "
              "or D50."),
    LH_CHOICE(picture_ask, strength, "strength", false, strengths,
              LH_STRENGTH_EXPECTED,
              "As the tiles say, or at the pale or the strong end of what "
              "their error (uncertainty_percent) leaves open; coat weights "
              "stay as painted."),
};
static const lh_fields table = LH_FIELDS("picture", picture_ask, fields);

/* ---- how sure ----------------------------------------------------------- */

/* The stack in which a slip covers the most: on top, over what it mostly
** lies on. */
static size_t main_stack(const lh_piece_cover *c, int slip, lh_coat_of *stack)
{
  const lh_piece_overlap *best = NULL;

  stack[0] = (lh_coat_of){slip, c->slips[slip].mean_g_m2};
  for (size_t i = 0; i < c->n_overlaps; i++) {
    const lh_piece_overlap *o = &c->overlaps[i];
    if (o->upper == slip && (!best || o->area_mm2 > best->area_mm2)) best = o;
  }
  if (!best) return 1;
  stack[0].g_m2 = best->upper_g_m2;
  if (best->lower < 0) return 1;
  stack[1] = (lh_coat_of){best->lower, best->lower_g_m2};
  return 2;
}

/* Digits past what is known would only differ from compiler to compiler. */
static double tidy(double v)
{
  return floor(1e4 * v + 0.5) / 1e4 + 0.0;
}

static json_t *put_colour(const lh_slip_doc *s, const lh_coat_of *stack,
                          size_t n, lh_lab lab, lh_reply *r, json_t *list)
{
  json_t *x = lh_reply_item(r, list);

  lh_reply_string(r, x, "slip", s[stack[0].slip].id);
  lh_reply_string(r, x, "over", n > 1 ? s[stack[1].slip].id : "body");
  lh_reply_number(r, x, "coat_g_m2", tidy(stack[0].g_m2));
  lh_reply_numbers(r, x, "lab",
                   (double[]){tidy(lab.L), tidy(lab.a), tidy(lab.b)}, 3);
  return x;
}

static lh_status how_sure(const lh_piece_optics *o, const lh_piece_cover *c,
                          lh_reply *r)
{
  const lh_slip_doc *s = c->piece->doc->slips.items;
  json_t *list = lh_reply_list(r, NULL, "colours");
  int least = -1, most = -1;
  double low = INFINITY, high = 0;

  for (size_t i = 0; i < c->piece->doc->slips.count; i++) {
    lh_coat_of stack[2];
    lh_lab lab;
    lh_stack_range range;
    json_t *x;
    size_t n;
    lh_status st;
    if (c->slips[i].area_mm2 <= 0) continue;
    n = main_stack(c, (int)i, stack);
    st = lh_piece_optics_range(o, stack, n, &lab, &range);
    if (st != LH_OK) return st;
    x = put_colour(s, stack, n, lab, r, list);
    lh_reply_number(r, x, "delta_e00_90", tidy(range.radius));
    if (range.radius < low) {
      low = range.radius;
      least = (int)i;
    }
    if (range.radius > high) {
      high = range.radius;
      most = (int)i;
    }
  }
  if (least < 0) return LH_OK;
  lh_reply_text(r,
                "How sure: nine times in ten the fired colour lies within "
                "dE00 %.1f (%s) to %.1f (%s) of what is shown.",
                low, lh_slip_doc_name(&s[least]), high,
                lh_slip_doc_name(&s[most]));
  lh_stack_words_mark(r, "Some of it is ", lh_piece_mark(c->piece->doc));
  return LH_OK;
}

/* Pale or strong: how far each slip is from what is expected. */
static lh_status how_far(const lh_piece_optics *o, const lh_piece_optics *usual,
                         const lh_piece_cover *c, const char *strength,
                         lh_reply *r)
{
  const lh_slip_doc *s = c->piece->doc->slips.items;
  json_t *list = lh_reply_list(r, NULL, "colours");
  int least = -1, most = -1;
  double low = INFINITY, high = -1;

  for (size_t i = 0; i < c->piece->doc->slips.count; i++) {
    lh_coat_of stack[2];
    lh_lab lab;
    double de;
    json_t *x;
    size_t n;
    if (c->slips[i].area_mm2 <= 0) continue;
    n = main_stack(c, (int)i, stack);
    lab = lh_piece_optics_lab(o, stack, n);
    de = lh_delta_e00(lab, lh_piece_optics_lab(usual, stack, n));
    x = put_colour(s, stack, n, lab, r, list);
    lh_reply_number(r, x, "expected_delta_e00", tidy(de));
    if (de < low) {
      low = de;
      least = (int)i;
    }
    if (de > high) {
      high = de;
      most = (int)i;
    }
  }
  if (least < 0) return LH_OK;
  lh_reply_text(r,
                "Shown %s: every slip at that end of what its tiles' error "
                "leaves open nine times in ten, dE00 %.1f (%s) to %.1f (%s) "
                "from what is expected.  Coat weights are as painted: a hand "
                "that lays thick or thin comes on top.",
                strength, low, lh_slip_doc_name(&s[least]), high,
                lh_slip_doc_name(&s[most]));
  lh_stack_words_mark(r, "Some of it is ", lh_piece_mark(c->piece->doc));
  return LH_OK;
}

/* ---- the operation ------------------------------------------------------ */

static void say(const picture_ask *ask, const lh_piece_skin *s,
                const lh_image *image, lh_reply *r)
{
  const lh_piece_doc *doc = s->cover->piece->doc;

  lh_reply_string(r, NULL, "name", doc->name);
  lh_reply_string(r, NULL, "view", views[ask->view]);
  lh_reply_number(r, NULL, "width_px", (double)image->width);
  lh_reply_number(r, NULL, "height_px", (double)image->height);
  lh_reply_flag(r, NULL, "invented", lh_piece_invented(doc));
  lh_reply_string(r, NULL, "geometry", "d8_ex");
  lh_reply_string(r, NULL, "illuminant", illuminants[ask->illuminant]);
  lh_reply_string(r, NULL, "strength", strengths[ask->strength]);
  lh_reply_number(r, NULL, "clipped_percent", s->clipped_percent);
  lh_reply_title(
      r, "%s%s: %s%s%s", doc->name, lh_piece_invented(doc) ? " (invented)" : "",
      view_words[ask->view], ask->strength == LH_STRENGTH_EXPECTED ? "" : ", ",
      ask->strength == LH_STRENGTH_EXPECTED ? "" : strengths[ask->strength]);
  lh_reply_row(r, "picture\t%zu x %zu\tpx", image->width, image->height);
  if (image->zone) {
    lh_reply_string(r, NULL, "zone", image->zone->doc->id);
    lh_reply_number(r, NULL, "mm_per_px", image->mm_per_px);
    lh_reply_number(r, NULL, "fired_mm_per_px", image->fired_mm_per_px);
    lh_reply_row(r, "a pixel\t%.3f\tmm leather-hard", image->mm_per_px);
    lh_reply_row(r, "\t%.3f\tmm fired", image->fired_mm_per_px);
  }
}

/* What is written in the file: pale and strong say so. */
static const char *title_of(const lh_piece_doc *doc, const picture_ask *ask,
                            lh_arena *a)
{
  if (ask->strength == LH_STRENGTH_EXPECTED) return doc->name;
  return lh_heap_print(a, "%s, %s", doc->name, strengths[ask->strength]);
}

static lh_status picture(const lh_call *call, const void *document, lh_reply *r,
                         lh_fault *fault)
{
  const picture_ask *ask = document;
  lh_picture_ask want = {.view = (lh_view)ask->view,
                         .zone = ask->zone,
                         .width_px =
                             (size_t)(ask->width_px > 0 ? ask->width_px : 0),
                         .turn_turns = ask->turn_turns};
  lh_piece *p = lh_arena_take(call->arena, 1, sizeof *p);
  lh_piece_optics *o = lh_arena_take(call->arena, 1, sizeof *o);
  lh_piece_optics *usual = lh_arena_take(call->arena, 1, sizeof *usual);
  lh_piece_cover c;
  lh_piece_skin skin;
  lh_image image;
  lh_png png = {.software = "leatherhard"};
  lh_status st;

  if (!p || !o || !usual) return LH_NOMEM;
  st = lh_piece_read(call->document, call->arena, p, fault);
  if (st == LH_OK)
    st = lh_piece_cover_make(p, ask->pixel_mm, call->arena, call->watch, &c,
                             fault);
  if (st == LH_OK)
    st = lh_piece_optics_make(p, LH_D8_EX, (lh_illuminant)ask->illuminant,
                              call->arena, usual, fault);
  if (st == LH_OK)
    st = lh_piece_optics_make_at(p, LH_D8_EX, (lh_illuminant)ask->illuminant,
                                 (lh_strength)ask->strength, call->arena, o,
                                 fault);
  if (st == LH_OK)
    st = lh_piece_skin_make(&c, o, call->arena, call->watch, &skin);
  if (st == LH_OK)
    st =
        lh_piece_picture(&skin, &want, call->arena, call->watch, &image, fault);
  if (st != LH_OK) return st;
  png.width = image.width;
  png.height = image.height;
  png.rgb = image.rgb;
  png.mm_per_px = image.mm_per_px;
  png.title = title_of(p->doc, ask, call->arena);
  if (!png.title) return LH_NOMEM;
  st = lh_png_write(&png, call->arena, &r->bytes, &r->size, fault);
  if (st != LH_OK) return st;
  r->media = "image/png";
  say(ask, &skin, &image, r);
  st = ask->strength == LH_STRENGTH_EXPECTED
           ? how_sure(o, &c, r)
           : how_far(o, usual, &c, strengths[ask->strength], r);
  if (skin.clipped_percent > 0)
    lh_reply_text(r,
                  "%.1f %% of the painted ground is more colourful than a "
                  "screen can show; there the nearest colour stands.",
                  skin.clipped_percent);
  return st;
}

const lh_operation lh_op_picture = {
    .name = "picture",
    .help = "a piece as it will look when fired, as PNG",
    .purpose =
        "Draws a piece in its fired colours under its glaze: the band "
        "unrolled, flat, for judging colours; or the pot from the side or from "
        "above under a soft light, at its fired proportions. The picture "
        "carries the sRGB profile. Colours are those of diffuse light without "
        "the shine (d8_ex); the shine on the pot is the light's.",
    .fields = &table,
    .run = picture,
    .media = "image/png",
    .takes_piece = true,
};
