/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheet_colour.c -- the colours of a slip, thin to thick, over each ground:
** printed chips, each with an empty square of its size for the real tile. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "heap.h"
#include "made.h"
#include "sheets.h"

#define MM (72.0 / 25.4) /* points in a mm */
#define SQUARE_METRE "g/m\xc2\xb2"

/* How the strip is laid out. [mm] */
static const double least_gap = 6, between = 6, tick = 1.8;
/* A slip of one strip, its squares left out; two of them share a page. */
static const double slip_mm = 80;
/* For the words of how much of a pot a strip is. */
static const double area_mm = 36;
/* Kept free at the foot for a line that stands on every such page. */
static const double daylight_mm = 9.5;

typedef struct {
  lh_paper *p;
  const lh_sheets_input *in;
  const lh_strip *s;
  double side, gap; /* of a chip [mm] */
} strip;

static const lh_slip_doc *slip_of(const lh_sheets_input *in, size_t i)
{
  return (const lh_slip_doc *)in->whole->piece.doc->slips.items + i;
}

/* ---- chips -------------------------------------------------------------- */

static double left_of(const strip *t, size_t i)
{
  return t->p->left + (double)i * (t->side + t->gap);
}

/* Across the page, where a coat weight lies among the chips' middles. */
static double across(const strip *t, double g_m2)
{
  double x = t->p->left + t->side / 2 +
             lh_strip_place(t->s, g_m2) * (t->side + t->gap);

  return fmin(fmax(x, t->p->left), t->p->right);
}

/* A printed chip, and right below it, edge to edge, the empty square. */
static void squares(const strip *t)
{
  cairo_t *cr = t->p->cr;
  double y = t->p->y, side = t->side;

  for (size_t i = 0; i < LH_STRIP_CHIPS; i++) {
    lh_rgb c = t->s->chips[i].srgb;
    double x = left_of(t, i);
    cairo_save(cr);
    cairo_set_source_rgb(cr, c.r, c.g, c.b);
    cairo_rectangle(cr, x * MM, y * MM, side * MM, side * MM);
    cairo_fill(cr);
    cairo_set_source_rgb(cr, 0.35, 0.35, 0.35);
    cairo_set_line_width(cr, 0.2 * MM);
    cairo_rectangle(cr, x * MM, y * MM, side * MM, 2 * side * MM);
    cairo_stroke(cr);
    cairo_restore(cr);
  }
  lh_paper_text(t->p, LH_PLAIN, 8, left_of(t, 0) + 1.2, y + 2 * side - 7.6,
                side - 2, 0.45, "lay your\ntile here");
  t->p->y += 2 * side;
}

/* ---- windows ------------------------------------------------------------ */

/* From least to most, with its ends turned up; open where there is no end. */
static void bracket(const strip *t, double y, double least, double most,
                    bool dotted)
{
  static const double dots[] = {0.3 * MM, 0.9 * MM};
  cairo_t *cr = t->p->cr;
  double x0 = across(t, least),
         x1 = isfinite(most) ? across(t, most) : t->p->right;

  cairo_save(cr);
  cairo_set_line_width(cr, (dotted ? 0.35 : 0.5) * MM);
  if (dotted) cairo_set_dash(cr, dots, 2, 0);
  cairo_set_source_rgb(cr, 0, 0, 0);
  cairo_move_to(cr, x0 * MM, (y - tick) * MM);
  cairo_line_to(cr, x0 * MM, y * MM);
  cairo_line_to(cr, x1 * MM, y * MM);
  if (isfinite(most)) cairo_line_to(cr, x1 * MM, (y - tick) * MM);
  cairo_stroke(cr);
  cairo_restore(cr);
}

/* The ends are not known to the gram: a hair where they may lie. */
static void doubt(const strip *t, double y, lh_range v)
{
  if (isfinite(v.low))
    lh_paper_rule(t->p, across(t, v.low),
                  isfinite(v.high) ? across(t, v.high) : t->p->right, y, 0.15);
}

static void windows(const strip *t)
{
  const lh_window *w = &t->s->window;
  cairo_t *cr = t->p->cr;

  t->p->y += 3.2;
  if (w->reached) {
    bracket(t, t->p->y, w->least, w->most, false);
    doubt(t, t->p->y, t->s->range.least);
    doubt(t, t->p->y, t->s->range.most);
  }
  cairo_save(cr);
  cairo_set_source_rgb(cr, 0, 0, 0);
  cairo_arc(cr, across(t, t->s->best) * MM, t->p->y * MM, 0.9 * MM, 0, 8);
  cairo_fill(cr);
  cairo_restore(cr);
  if (t->s->own)
    bracket(t, t->p->y + 2.6, t->s->own_least, t->s->own_most, true);
  t->p->y += t->s->own ? 3.8 : 1.6;
}

/* ---- what stands below a chip ------------------------------------------- */

static void middle(const strip *t, lh_face_of_type face, double pt, double x,
                   double grey, const char *text)
{
  double w = lh_paper_text_width(t->p, face, pt, text);
  double x0 = fmin(fmax(x - w / 2, t->p->left), t->p->right - w);

  lh_paper_text(t->p, face, pt, x0, t->p->y, 0, grey, text);
}

/* The weight large, its unit small beside it. */
static void weight(const strip *t, const lh_chip *c, double x, bool best)
{
  lh_face_of_type face = best ? LH_STRONG : LH_PLAIN;
  const char *unit = c->outside ? SQUARE_METRE " *" : SQUARE_METRE;
  char text[24];
  double w, u = lh_paper_text_width(t->p, LH_PLAIN, 8, unit);

  snprintf(text, sizeof text, "%.0f", c->coat.g_m2);
  w = lh_paper_text_width(t->p, face, 16, text);
  lh_paper_text(t->p, face, 16, x - (w + 0.8 + u) / 2, t->p->y, 0, 0, text);
  lh_paper_text(t->p, LH_PLAIN, 8, x - (w + 0.8 + u) / 2 + w + 0.8,
                t->p->y + 2.6, 0, 0.25, unit);
}

static void numbers(const strip *t)
{
  double y = t->p->y;

  for (size_t i = 0; i < LH_STRIP_CHIPS; i++) {
    const lh_chip *c = &t->s->chips[i];
    double x = left_of(t, i) + t->side / 2;
    char text[32];
    weight(t, c, x, c->coat.g_m2 == round(t->s->best));
    t->p->y += 6.6;
    snprintf(text, sizeof text, "%.*f coats", c->coat.coats < 9.95 ? 1 : 0,
             c->coat.coats);
    middle(t, LH_PLAIN, 9.5, x, 0.1, text);
    t->p->y += 4.3;
    snprintf(text, sizeof text, "%.2f mm wet", c->coat.wet_mm);
    middle(t, LH_PLAIN, 9.5, x, 0.1, text);
    t->p->y = y;
  }
  t->p->y = y + 6.6 + 4.3 + 6.2;
}

/* ---- words -------------------------------------------------------------- */

/* "over Cobalt blue at 50 g/m2, on White ground at 220 g/m2" */
static const char *over_words(const strip *t)
{
  const char *text = "over the body";

  for (size_t i = 1; i < t->s->layers && text; i++) {
    const lh_coat_of *x = &t->s->stack[i];
    const char *name = lh_slip_doc_name(slip_of(t->in, (size_t)x->slip));
    text = lh_heap_print(t->p->arena, "%s%s, %.0f " SQUARE_METRE,
                         i == 1 ? "over " : text, name, x->g_m2);
    if (text && i + 1 < t->s->layers)
      text = lh_heap_print(t->p->arena, "%s, on ", text);
  }
  return text ? text : "";
}

/* A range in brackets; nothing where it has no width worth telling. */
static void range_words(lh_range v, char text[64])
{
  *text = 0;
  if (!isfinite(v.low) || round(v.low) == round(v.high)) return;
  if (isfinite(v.high))
    snprintf(text, 64, " (%.0f to %.0f)", v.low, v.high);
  else
    snprintf(text, 64, " (%.0f and up)", v.low);
}

/* Where the colour is right, and which side is safer. */
static const char *right_words(const strip *t)
{
  const lh_window *w = &t->s->window;
  lh_arena *a = t->p->arena;
  char least[64], most[64], upper[96];
  const char *own = "", *text;

  if (t->s->own)
    own = lh_heap_print(a, " Dotted: yours, %.0f to %.0f.", t->s->own_least,
                        t->s->own_most);
  range_words(t->s->range.least, least);
  range_words(t->s->range.most, most);
  if (isfinite(w->most))
    snprintf(upper, sizeof upper, " to %.0f%s " SQUARE_METRE, w->most, most);
  else
    snprintf(upper, sizeof upper,
             " " SQUARE_METRE " up (no coat too thick for the colour)");
  text = lh_heap_print(
      a,
      "Right from %.0f%s%s: within dE00 %g of the best, %.0f. The %s side is "
      "safer%s (a tenth less: dE00 %.1f, a tenth more: %.1f).%s",
      w->least, least, upper, t->s->tolerance, t->s->best,
      w->thin_safer ? "thin" : "thick",
      w->alike && w->thin_safer ? ", it takes more" : "", w->thin_speed,
      w->thick_speed, own ? own : "");
  return text ? text : "";
}

/* How far from its chip a coat may fire. */
static const char *range_of_chips(const strip *t)
{
  const lh_chip *c = t->s->chips, *best = c;
  const lh_chip *last = &c[LH_STRIP_CHIPS - 1];
  bool outside = false;
  const char *text;

  for (size_t i = 0; i < LH_STRIP_CHIPS; i++) {
    if (c[i].coat.g_m2 == round(t->s->best)) best = &c[i];
    outside = outside || c[i].outside;
  }
  text = lh_heap_print(
      t->p->arena,
      "Nine in ten fire within dE00 %.1f of the chip at %.0f, %.1f at %.0f, "
      "%.1f at %.0f " SQUARE_METRE ", if the tiles told the truth.%s",
      best->radius, best->coat.g_m2, c->radius, c->coat.g_m2, last->radius,
      last->coat.g_m2,
      outside ? " * More vivid than a screen or this print can show." : "");
  return text ? text : "";
}

/* What the colours rest on. */
static const char *learned_words(const strip *t)
{
  static const char *const by[] = {"a spectrophotometer", "a colorimeter",
                                   "photographs"};
  const lh_slip_doc *d = slip_of(t->in, t->s->slip);
  bool told = d->read_by >= 0;
  const char *text = lh_heap_print(
      t->p->arena,
      "Learning error: K and S to %.3g %% (one standard deviation)%s%s%s.",
      d->uncertainty_percent, told ? ", tiles read by " : "",
      told ? by[d->read_by] : "",
      t->s->floor > 0 ? ", so no better than dE00 4 (judgement)" : "");

  return text ? text : "";
}

/* Rules to write on, each after its word. */
static void to_write_on(const strip *t)
{
  static const struct {
    const char *word;
    double share; /* of the width */
  } rules[] = {{"date", 0.2},
               {"firing", 0.34},
               {"glaze " SQUARE_METRE, 0.22},
               {"tile", 0.24}};
  lh_paper *p = t->p;
  double x = p->left, width = p->right - p->left;

  p->y += 3;
  for (size_t i = 0; i < sizeof rules / sizeof rules[0]; i++) {
    double end = x + rules[i].share * width;
    double w = lh_paper_text_width(p, LH_PLAIN, 9.5, rules[i].word);
    lh_paper_text(p, LH_PLAIN, 9.5, x, p->y, 0, 0.25, rules[i].word);
    lh_paper_rule(p, x + w + 1.5, i == 3 ? p->right : end - 3, p->y + 4.2, 0.2);
    x = end;
  }
  p->y += 5;
}

/* ---- a strip ------------------------------------------------------------ */

static double words_height(const strip *t)
{
  double w = t->p->right - t->p->left;

  return lh_paper_text_height(t->p, LH_PLAIN, 11.5, w, right_words(t)) +
         lh_paper_text_height(t->p, LH_PLAIN, 10, w, range_of_chips(t)) + 1;
}

/* What a strip is headed by: two lines at most. */
static double over_height(const strip *t)
{
  double width = t->p->right - t->p->left - area_mm;

  return fmin(lh_paper_text_height(t->p, LH_STRONG, 13, width, over_words(t)),
              12) +
         1.8;
}

static double strip_height(const strip *t)
{
  return over_height(t) + 2 * t->side + (t->s->own ? 7 : 4.8) + 17.1 +
         words_height(t) + 8;
}

static void draw_strip(const strip *t)
{
  lh_paper *p = t->p;
  double width = p->right - p->left, area = t->s->area_mm2 / 100;
  char text[64];

  snprintf(text, sizeof text, "%.*f cm\xc2\xb2 of a pot", area < 10 ? 1 : 0,
           area);
  lh_paper_right(p, LH_PLAIN, 10, p->right, p->y + 0.8, 0.25, text);
  lh_paper_cut(p, LH_STRONG, 13, p->left, p->y, width - area_mm, 0, 2,
               over_words(t));
  p->y += over_height(t);
  squares(t);
  windows(t);
  numbers(t);
  p->y += lh_paper_text(p, LH_PLAIN, 11.5, p->left, p->y, width, 0,
                        right_words(t)) +
          1;
  p->y += lh_paper_text(p, LH_PLAIN, 10, p->left, p->y, width, 0.2,
                        range_of_chips(t));
  to_write_on(t);
}

/* ---- the pages ---------------------------------------------------------- */

static void page(lh_paper *p, const lh_sheets_input *in)
{
  char text[300];

  lh_paper_page(p);
  snprintf(text, sizeof text,
           "Judge by daylight, the tile laid into its square: the printer's "
           "colours are not the kiln's.\nRanges: coats by hand to %.0f %% "
           "(judgement); what the fire adds is not in them.",
           in->whole->piece.limits->coat_doubt_percent);
  lh_paper_text(p, LH_PLAIN, 10, p->left, p->bottom + 2.4, p->right - p->left,
                0.1, text);
}

/* The slip's name, what stands behind its colours, and its mark. */
static void head(const strip *t, bool again)
{
  lh_paper *p = t->p;
  const lh_slip_doc *d = slip_of(t->in, t->s->slip);
  const char *mark = lh_slip_doc_mark(d);
  double width = p->right - p->left;
  const char *name = lh_slip_doc_name(d);

  if (again) {
    name = lh_heap_print(p->arena, "%s, continued", name);
    p->y +=
        lh_paper_heading(p, 22, p->left, p->y - 2, width, name ? name : "") + 2;
    if (!mark) return;
  } else {
    p->y += lh_paper_heading(p, 28, p->left, p->y - 3, width, name) - 1;
  }
  if (mark) {
    char line[96];
    snprintf(line, sizeof line, "%c%s.", mark[0] - 'a' + 'A', mark + 1);
    p->y += lh_paper_text(p, LH_STRONG, 12, p->left, p->y, width, 0, line) + 1;
  }
  if (!again)
    p->y += lh_paper_text(p, LH_PLAIN, 10.5, p->left, p->y, width, 0.15,
                          learned_words(t));
  p->y += 3.5;
}

/* How high a slip's head is: its name, its mark and the words. */
static double head_height(const strip *t)
{
  const lh_slip_doc *d = slip_of(t->in, t->s->slip);
  const char *name = lh_slip_doc_name(d), *mark = lh_slip_doc_mark(d);
  double width = t->p->right - t->p->left;
  /* A heading is never higher than four lines of its smallest type. */
  double h =
      fmin(lh_paper_text_height(t->p, LH_TITLE, 28, width, name), 29) - 1;

  if (mark) h += lh_paper_text_height(t->p, LH_STRONG, 12, width, mark) + 1;
  return h + 3.5 +
         lh_paper_text_height(t->p, LH_PLAIN, 10.5, width, learned_words(t));
}

/* The strips of one slip together: as high as this. */
static double slip_height(strip t, size_t n)
{
  double h = head_height(&t);

  for (size_t i = 0; i < n; i++, t.s++) h += strip_height(&t) + between;
  return h;
}

/* As large as width and height allow. */
static void lay_out(strip *t)
{
  const lh_paper *p = t->p;
  double width = p->right - p->left, n = LH_STRIP_CHIPS;
  double wide = (width - (n - 1) * least_gap) / n;
  double high = (p->bottom - p->top - between - 2 * slip_mm) / 4;

  t->side = fmin(wide, high);
  t->gap = (width - n * t->side) / (n - 1);
}

void lh_sheet_colours(lh_paper *p, const lh_sheets_input *in)
{
  double bottom = p->bottom;
  strip t = {.p = p, .in = in};
  bool begun = false;

  p->bottom -= daylight_mm;
  lay_out(&t);
  for (size_t i = 0, n; i < in->n_strips; i += n) {
    t.s = &in->strips[i];
    for (n = 1; i + n < in->n_strips && t.s[n].slip == t.s->slip;) n++;
    double high = slip_height(t, n) - between, left = p->bottom - p->y - high;
    if (!begun || left < 0) {
      page(p, in);
    } else {
      p->y += fmin(left, between);
    }
    begun = true;
    head(&t, false);
    for (size_t k = 0; k < n; k++, t.s++) {
      if (k > 0 && !lh_paper_room(p, strip_height(&t))) {
        page(p, in);
        head(&t, true);
      }
      draw_strip(&t);
      p->y += between;
    }
  }
  p->bottom = bottom;
}
