/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheet_mixing.c -- the page of one slip: what to weigh onto one tared pan,
** how much water, the litre weight to reach, how to lay it, and care. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "heap.h"
#include "made.h"
#include "sheets.h"
#include "slip/coat.h"
#include "slip/density.h"
#include "units.h"

#define MM (72.0 / 25.4) /* points in a mm */

/* ---- dabs from thin to thick -------------------------------------------- */

void lh_sheet_dab(lh_paper *p, double x, double y, double side, lh_rgb colour)
{
  cairo_t *cr = p->cr;

  /* A round brush set down at the upper left and drawn off to the right. */
  cairo_save(cr);
  cairo_translate(cr, x * MM, y * MM);
  cairo_scale(cr, side * MM, side * MM);
  cairo_move_to(cr, 0.05, 0.95);
  cairo_curve_to(cr, -0.12, 0.35, 0.22, 0.0, 0.62, 0.02);
  cairo_curve_to(cr, 0.98, 0.04, 1.06, 0.22, 0.86, 0.40);
  cairo_curve_to(cr, 0.60, 0.64, 0.42, 0.86, 0.05, 0.95);
  cairo_close_path(cr);
  cairo_set_source_rgb(cr, colour.r, colour.g, colour.b);
  cairo_fill_preserve(cr);
  /* A hair of grey keeps a white dab visible on white paper. */
  cairo_set_source_rgba(cr, 0, 0, 0, 0.35);
  cairo_set_line_width(cr, 0.012);
  cairo_stroke(cr);
  cairo_restore(cr);
}

enum { DABS = 10 };

/* Ten coats from thin to thick, as they fire over the ground, the window
** bracketed, each with its coat weight. */
static void chips(lh_paper *p, const lh_sheets_input *in, size_t slip)
{
  const lh_slip_doc *s =
      (lh_slip_doc *)in->whole->piece.doc->slips.items + slip;
  const lh_window_doc *w = s->window;
  double least = w ? 0.25 * w->least_g_m2 : 0.25 * s->coat_g_m2;
  double most = w ? 1.6 * w->most_g_m2 : 4 * s->coat_g_m2;
  double step = (p->right - p->left) / DABS, from = NAN, to = NAN;

  if (least <= 0) least = most / 20;
  for (int i = 0; i < DABS; i++) {
    double g = least * pow(most / least, (double)i / (DABS - 1));
    double x = p->left + i * step;
    char text[24];
    lh_sheet_dab(p, x, p->y, 10.5, lh_sheet_colour(in, (int)slip, g));
    snprintf(text, sizeof text, "%.0f", g);
    lh_paper_text(p, LH_PLAIN, 9, x + 1, p->y + 15, step, 0.3, text);
    if (!w || g < w->least_g_m2 || g > w->most_g_m2) continue;
    if (isnan(from)) from = x;
    to = x + 11;
  }
  if (!isnan(from)) {
    double y = p->y + 13.6;
    lh_paper_rule(p, from, to, y, 0.4);
    cairo_save(p->cr);
    cairo_set_line_width(p->cr, 0.4 * MM);
    for (int end = 0; end < 2; end++) {
      double x = (end ? to : from) * MM;
      cairo_move_to(p->cr, x, (y + 0.2) * MM);
      cairo_line_to(p->cr, x, (y - 1.6) * MM);
    }
    cairo_stroke(p->cr);
    cairo_restore(p->cr);
  }
  p->y += 19.5;
  lh_paper_text(p, LH_PLAIN, 9, p->left + 1, p->y, p->right - p->left, 0.3,
                w ? "dry g/m\xc2\xb2 of the coat; the bracket marks where its "
                    "colour is right"
                  : "dry g/m\xc2\xb2 of the coat; its window is not known yet");
  p->y += 8;
}

/* ---- the table ---------------------------------------------------------- */

static void table_head(lh_paper *p)
{
  lh_paper_text(p, LH_PLAIN, 11, p->left, p->y, 90, 0.2,
                "weigh onto one tared pan");
  lh_paper_right(p, LH_PLAIN, 11, p->left + 119, p->y, 0.2, "grams");
  lh_paper_right(p, LH_PLAIN, 11, p->left + 149, p->y, 0.2, "pan reads");
  p->y += 6.5;
  lh_paper_rule(p, p->left, p->right, p->y, 0.35);
  p->y += 2.2;
}

/* Digits behind the point that a scale of this step shows. */
static int digits_of(double step)
{
  int n = 0;

  for (double s = step; n < 3 && fabs(s - round(s)) > 1e-9; s *= 10) n++;
  return n;
}

static const char *line_note(const lh_jar *j, size_t i, lh_arena *a)
{
  const lh_material_found *m = &j->recipe->found[i];
  const char *own = m->supplied ? "" : m->note, *note;

  if (j->lines[i].stock_left_g < 0)
    note = lh_heap_print(a, "the stock is %.1f g short",
                         -j->lines[i].stock_left_g);
  else if (m->hazards[0] && own[0])
    note = lh_heap_print(a, "%s; mask on", own);
  else
    note = m->hazards[0] ? "mask on" : own;
  return note ? note : "";
}

static void continue_table(lh_paper *p, const lh_jar *j)
{
  lh_paper_page(p);
  p->y += lh_paper_text(p, LH_TITLE, 20, p->left, p->y, p->right - p->left, 0,
                        lh_slip_doc_name(j->slip)) +
          3;
  table_head(p);
}

/* Name, and its note behind it where there is room, else below. */
static void table_line(lh_paper *p, const lh_jar *j, size_t i)
{
  const double column = 96, pt = 15, small = 10;
  int digits = digits_of(j->scale_step_g);
  const char *note = line_note(j, i, p->arena);
  const char *name = j->recipe->found[i].name;
  double name_w = lh_paper_text_width(p, LH_PLAIN, pt, name);
  double name_h = lh_paper_text_height(p, LH_PLAIN, pt, column, name);
  bool beside =
      name_w + 3 + lh_paper_text_width(p, LH_PLAIN, small, note) < column;
  double h = fmax(name_h, 6.6) + 1.1;
  char text[64];

  if (!beside) h += lh_paper_text_height(p, LH_PLAIN, small, column, note);
  if (!lh_paper_room(p, h + 2)) continue_table(p, j);
  lh_paper_text(p, LH_PLAIN, pt, p->left, p->y, column, 0, name);
  if (beside)
    lh_paper_text(p, LH_PLAIN, small, p->left + name_w + 3, p->y + 1.9, 0, 0.3,
                  note);
  else
    lh_paper_text(p, LH_PLAIN, small, p->left, p->y + name_h, column, 0.3,
                  note);
  snprintf(text, sizeof text, "%.*f", digits, j->lines[i].grams);
  lh_paper_right(p, LH_STRONG, 18, p->left + 119, p->y - 0.8, 0, text);
  snprintf(text, sizeof text, "%.*f", digits, j->lines[i].running_g);
  lh_paper_right(p, LH_STRONG, 18, p->left + 149, p->y - 0.8, 0, text);
  lh_paper_box(p, p->right - 6.2, p->y, 6);
  p->y += h;
  lh_paper_rule(p, p->left, p->right, p->y, 0.12);
  p->y += 1.5;
}

/* ---- water, laying, care ------------------------------------------------ */

/* A large figure with its unit, then sentences below it. */
static double figure(lh_paper *p, double x, double width, const char *number,
                     const char *unit, const char *text)
{
  double w = lh_paper_text_width(p, LH_STRONG, 30, number);

  lh_paper_text(p, LH_STRONG, 30, x, p->y, 0, 0, number);
  lh_paper_text(p, LH_PLAIN, 15, x + w + 2.5, p->y + 6, width, 0, unit);
  return 14.5 + lh_paper_text(p, LH_PLAIN, 12, x, p->y + 14.5, width, 0, text);
}

static void water(lh_paper *p, const lh_jar *j)
{
  double sg = j->slip->litre_weight_g / 1000, h1, h2, width = 82;
  char number[32], text[400];

  if (!lh_paper_room(p, 45)) lh_paper_page(p);
  snprintf(number, sizeof number, "%.0f", j->water_g);
  snprintf(text, sizeof text,
           "makes %.0f ml at %.0f g per litre (specific gravity %.2f; %.1f oz "
           "to the imperial pint, %.1f to the US pint). Start with nine "
           "tenths, sieve, then weigh.",
           j->volume_ml, j->slip->litre_weight_g, sg,
           lh_units_oz_pint_uk_from_g_l(j->slip->litre_weight_g),
           lh_units_oz_pint_us_from_g_l(j->slip->litre_weight_g));
  h1 = figure(p, p->left, width, number, "ml water", text);
  snprintf(number, sizeof number, "%.1f", j->hundred_ml_g);
  snprintf(text, sizeof text,
           "is what 100 ml should weigh. For each gram over (10 g per litre "
           "too heavy) add %.1f ml to this jar; for each gram under let it "
           "settle and decant %.1f ml of clear water. One weighing is good to "
           "about 1.5 g.",
           j->per_10_g_l_ml, j->per_10_g_l_ml);
  h2 = figure(p, p->left + 89, width, number, "g", text);
  p->y += fmax(h1, h2) + 5;
}

/* The potter's own words after ours: a capital before, a full stop behind. */
static const char *as_sentence(lh_paper *p, const char *words)
{
  size_t n = words ? strlen(words) : 0;
  char *s;

  if (n == 0) return "";
  s = lh_heap_print(p->arena, "%s%s", words,
                    strchr(".!?", words[n - 1]) ? "" : ".");
  if (!s) return words;
  if (*s >= 'a' && *s <= 'z') *s = (char)(*s - 'a' + 'A');
  return s;
}

static void laying(lh_paper *p, const lh_sheets_input *in, const lh_jar *j,
                   size_t slip)
{
  const lh_slip_doc *s = j->slip;
  const lh_slip_use *use = &in->whole->cover.slips[slip];
  lh_coat_slip c = {s->litre_weight_g, s->solids_density,  LH_WATER_G_L,
                    LH_SHRINK_LIMIT,   LH_FIRED_SHRINKAGE, s->coat_g_m2};
  const lh_window_doc *w = s->window;
  const char *mark = lh_slip_doc_mark(s);
  int digits = j->need_g < 20 ? 1 : 0;
  double width = p->right - p->left;
  lh_coat coat;
  char *text;

  if (lh_slip_coat(&c, LH_COAT_G_M2, use->mean_g_m2, &coat) != LH_OK) return;
  text = lh_heap_print(
      p->arena,
      "Lay %.0f g/m\xc2\xb2 dry on average: about %.1f coats, %.2f mm wet, "
      "%.2f mm dry; %.1f g of wet slip leave the jar for each pot.",
      use->mean_g_m2, coat.coats, coat.wet_mm, coat.dry_mm, use->wet_g);
  if (text && w) {
    text = lh_heap_print(p->arena,
                         "%s Right between %.0f and %.0f g/m\xc2\xb2%s.%s%s",
                         text, w->least_g_m2, w->most_g_m2,
                         w->safer < 0 ? ""
                         : w->safer   ? "; the safer side is thick"
                                      : "; the safer side is thin",
                         w->why ? " " : "", as_sentence(p, w->why));
  }
  if (!lh_paper_room(p, 22)) lh_paper_page(p);
  lh_paper_flow(p, LH_PLAIN, 13, p->left, width, 0, 0, text ? text : "");
  p->y += 2;
  text = lh_heap_print(
      p->arena,
      "The pots want %.*f g dry with waste and jar; by the hand's doubt %.*f "
      "to %.*f g (nine in ten; judgement).%s%s%s%s",
      digits, j->need_g, digits, j->need_low_g, digits, j->need_high_g,
      j->mix_g > j->need_g ? " This is your smallest batch." : "",
      mark ? " Its colours are " : "", mark ? mark : "", mark ? "." : "");
  lh_paper_flow(p, LH_PLAIN, 11, p->left, width, 0.25, 0, text ? text : "");
  p->y += 4;
}

/* Does a list of codes hold this one? */
static bool has_code(const char *list, const char *code, size_t n)
{
  for (const char *s = list; *s; s += strspn(s, " ;,")) {
    size_t k = strcspn(s, " ;,");
    if (k == n && strncmp(s, code, n) == 0) return true;
    s += k;
  }
  return false;
}

static size_t add(char *text, size_t size, size_t used, const char *words)
{
  int n = used < size ? snprintf(text + used, size - used, "%s", words) : 0;

  return used + (n < 0 ? 0 : (size_t)n);
}

/* "H372 phrase: ball clay, quartz." for one code; once for all materials. */
static size_t add_code(char *text, size_t size, size_t used, const lh_jar *j,
                       const char *code, size_t n)
{
  char head[300];
  const char *words = lh_hazard_text(code, n, NULL);
  bool first = true;

  snprintf(head, sizeof head, "%s%.*s %s (", used ? " " : "", (int)n, code,
           words ? words : "");
  used = add(text, size, used, head);
  for (size_t i = 0; i < j->n; i++) {
    if (!has_code(j->recipe->found[i].hazards, code, n)) continue;
    used = add(text, size, used, first ? "" : ", ");
    used = add(text, size, used, j->recipe->found[i].name);
    first = false;
  }
  return add(text, size, used, ").");
}

/* Every code of the recipe's materials, each with the materials it is of. */
static size_t hazards(char *text, size_t size, const lh_jar *j)
{
  char done[512] = "";
  size_t used = 0;

  for (size_t i = 0; i < j->n; i++) {
    const char *s = j->recipe->found[i].hazards;
    while (*s) {
      size_t n = strcspn(s, " ;,");
      if (n > 0 && !has_code(done, s, n) &&
          strlen(done) + n + 2 < sizeof done) {
        used = add_code(text, size, used, j, s, n);
        strncat(done, s, n);
        strcat(done, " ");
      }
      s += n;
      s += strspn(s, " ;,");
    }
  }
  return used;
}

static void care(lh_paper *p, const lh_jar *j)
{
  char text[4000] = "";
  double h, width = p->right - p->left - 6;
  size_t used = hazards(text, sizeof text, j);

  if (used) {
    used = add(text, sizeof text, used,
               " These statements are from memory or from your own list: ");
  }
  used = add(text, sizeof text, used,
             used ? "ask each supplier for the safety data sheet."
                  : "Ask each supplier for the safety data sheet.");
  (void)add(text, sizeof text, used,
            " Clay and silica dust harm lungs: mask (P3), wet sponge, no food "
            "or drink here, never sand bone-dry ware. Not for surfaces that "
            "touch food until a laboratory has tested a fired pot for "
            "leaching.");
  h = lh_paper_text_height(p, LH_PLAIN, 9.5, width, text);
  if (!lh_paper_room(p, h + 0.5)) {
    lh_paper_page(p);
    p->y += lh_paper_text(p, LH_TITLE, 20, p->left, p->y, width, 0,
                          lh_slip_doc_name(j->slip)) +
            3;
  }
  lh_paper_flow(p, LH_PLAIN, 9.5, p->left + 6, width, 0, 1.4, text);
}

void lh_sheet_mixing(lh_paper *p, const lh_sheets_input *in, size_t slip)
{
  const lh_piece_doc *doc = in->whole->piece.doc;
  const lh_jar *j = &in->whole->jars[slip];
  lh_mixing_doc mix = lh_jar_mixing(doc);
  double width = p->right - p->left;
  char text[300], count[24];

  lh_paper_page(p);
  p->y += lh_paper_heading(p, 34, p->left, p->y - 3, width,
                           lh_slip_doc_name(j->slip)) -
          2;
  snprintf(text, sizeof text,
           "for %s %s, with %.0f %% for the brush and %.0f g left in the jar",
           lh_sheet_count(doc->pots, count), doc->pots == 1 ? "pot" : "pots",
           mix.waste_percent, mix.residue_g);
  p->y += lh_paper_text(p, LH_PLAIN, 14, p->left, p->y, width, 0, text) + 5;
  chips(p, in, slip);
  if (j->n > 0) {
    table_head(p);
    for (size_t i = 0; i < j->n; i++) table_line(p, j, i);
    p->y += 3;
  } else {
    snprintf(text, sizeof text,
             "%.0f g dry, weighed as you know it: the piece "
             "holds no recipe.",
             j->dry_g);
    p->y += lh_paper_text(p, LH_STRONG, 14, p->left, p->y, width, 0, text) + 5;
  }
  water(p, j);
  laying(p, in, j, slip);
  if (j->slip->note) {
    lh_paper_flow(p, LH_PLAIN, 11, p->left, width, 0.1, 0, j->slip->note);
    p->y += 3;
  }
  care(p, j);
}
