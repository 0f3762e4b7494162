/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheets.c -- the order of the pages, the title page and the verdict. */
#include "sheets.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "clock.h"
#include "heap.h"
#include "made.h"
#include "version.h"

const char *const lh_sheet_parts[LH_SHEET_PARTS + 1] = {
    "title", "verdict", "mixing", "colours", "drawing", NULL};

bool lh_sheet_wanted(unsigned only, int part)
{
  return only == 0 || (only & 1u << part) != 0;
}

const char *lh_sheet_count(long n, char text[24])
{
  static const char *const words[] = {
      "no",    "one",   "two",  "three", "four",   "five",  "six",
      "seven", "eight", "nine", "ten",   "eleven", "twelve"};

  if (n >= 0 && n <= 12)
    snprintf(text, 24, "%s", words[n]);
  else
    snprintf(text, 24, "%ld", n);
  return text;
}

lh_rgb lh_sheet_colour(const lh_sheets_input *in, int slip, double g_m2)
{
  const lh_whole *w = in->whole;
  const lh_slip_doc *s = w->piece.doc->slips.items;
  lh_coat_of stack[2] = {{slip, g_m2}, {0, 0}};
  size_t n = 1;

  for (size_t i = 0; i < w->piece.doc->slips.count && !s[slip].ground; i++) {
    if (!s[i].ground || w->cover.slips[i].area_mm2 <= 0) continue;
    stack[n++] = (lh_coat_of){(int)i, w->cover.slips[i].mean_g_m2};
    break;
  }
  return lh_srgb_clip(lh_piece_optics_srgb(&w->optics, stack, n));
}

/* ---- the title page ----------------------------------------------------- */

static double greatest_diameter(const lh_curve *c)
{
  double r = 0;

  for (size_t i = 0; i < c->n; i++) r = fmax(r, c->r[i]);
  return 2 * r;
}

/* "six pots · 210 × 80 mm leather-hard, 195 × 73 mm fired" */
static void facts(const lh_whole *w, char *text, size_t size)
{
  const lh_piece_doc *d = w->piece.doc;
  const lh_curve *c = w->piece.outside;
  double across = greatest_diameter(c), high = c->z[c->n - 1];
  char count[24];

  for (size_t i = 0; i < c->n; i++) high = fmax(high, c->z[i]);
  snprintf(text, size,
           "%s %s \xc2\xb7 %.0f mm across and %.0f mm high leather-hard, "
           "%.0f and %.0f mm fired",
           lh_sheet_count(d->pots, count), d->pots == 1 ? "pot" : "pots",
           across, high, across * (1 - w->piece.shrinkage.to_fired.diameter),
           high * (1 - w->piece.shrinkage.to_fired.height));
}

/* One check in a line or two: a mark in the margin, then the words. */
/* Room for the word before a check. */
#define WORD_MM 20.0

static double check_height(lh_paper *p, const lh_check *c, double width)
{
  double h = lh_paper_text_height(p, LH_STRONG, 11, width, c->about);

  if (*c->todo) h += lh_paper_text_height(p, LH_PLAIN, 11, width, c->todo);
  return h + 4.4;
}

/* The words of a check as they are printed: g/m2 becomes g/m². */
static const char *printed(lh_paper *p, const char *words)
{
  char *out = lh_arena_take(p->arena, 2 * strlen(words) + 1, 1), *to = out;

  if (!out) return words;
  for (const char *s = words; *s; s++) {
    bool square = *s == '2' && s > words && s[-1] == 'm' &&
                  (s - words < 2 || s[-2] == '/' || s[-2] == 'm');
    if (square)
      *to++ = '\xc2', *to++ = '\xb2';
    else
      *to++ = *s;
  }
  *to = 0;
  return out;
}

/* Checks stand from the left margin to `right`. */
static void check_line(lh_paper *p, const lh_check *c, double right,
                       bool reason)
{
  double x = p->left + WORD_MM, width = right - x;

  lh_paper_text(p, c->says == LH_SAYS_OK ? LH_PLAIN : LH_STRONG, 11, p->left,
                p->y, WORD_MM - 1, c->says == LH_SAYS_OK ? 0.35 : 0,
                lh_says_word(c->says));
  lh_paper_flow(p, LH_STRONG, 11, x, width, 0, 0, c->about);
  p->y += 1;
  if (reason) {
    lh_paper_flow(p, LH_PLAIN, 10, x, width, 0.2, 0, printed(p, c->why));
    p->y += 1;
  }
  if (*c->todo) {
    lh_paper_flow(p, LH_PLAIN, 11, x, width, 0, 0, printed(p, c->todo));
    p->y += 1;
  }
  p->y += 1.4;
}

/* A dab of each slip, as it fires here, with its name; long names wrap. */
static void dabs(lh_paper *p, const lh_sheets_input *in)
{
  const lh_slip_doc *s = in->whole->piece.doc->slips.items;
  double x = p->left, row = 8;

  for (size_t i = 0; i < in->whole->piece.doc->slips.count; i++) {
    const lh_slip_use *use = &in->whole->cover.slips[i];
    const char *name = lh_slip_doc_name(&s[i]);
    double width = fmin(lh_paper_text_width(p, LH_PLAIN, 11, name) + 0.5, 50);
    if (use->area_mm2 <= 0) continue;
    if (x + 8.5 + width > p->right) x = p->left, p->y += row, row = 8;
    lh_sheet_dab(p, x, p->y, 7, lh_sheet_colour(in, (int)i, use->mean_g_m2));
    row = fmax(row, 2 + lh_paper_cut(p, LH_PLAIN, 11, x + 8.5, p->y + 0.6,
                                     width, 0, 3, name));
    x += 8.5 + width + 6;
  }
  p->y += row + 2;
}

static void summary(lh_paper *p, const lh_verdict *v, double right)
{
  size_t count[3] = {0}, shown = 0;
  double width = right - p->left - WORD_MM;
  char text[200];

  for (size_t i = 0; i < v->n; i++) count[v->checks[i].says]++;
  p->y += lh_paper_text(p, LH_TITLE, 20, p->left, p->y, right - p->left, 0,
                        v->worst == LH_SAYS_STOP ? "Stop: put these right first"
                        : v->worst == LH_SAYS_CAUTION ? "Go on, minding these"
                                                      : "Ready to paint") +
          1;
  for (int says = LH_SAYS_STOP; says >= LH_SAYS_CAUTION; says--) {
    for (size_t i = 0; i < v->n; i++) {
      if ((int)v->checks[i].says != says) continue;
      if (!lh_paper_room(p, check_height(p, &v->checks[i], width) + 6)) break;
      check_line(p, &v->checks[i], right, false);
      shown++;
    }
  }
  if (shown < count[LH_SAYS_STOP] + count[LH_SAYS_CAUTION]) {
    snprintf(text, sizeof text, "and %zu more on the next page; %zu checks ok",
             count[LH_SAYS_STOP] + count[LH_SAYS_CAUTION] - shown,
             count[LH_SAYS_OK]);
  } else {
    snprintf(text, sizeof text,
             "%zu checks ok; the reasons are on the next page",
             count[LH_SAYS_OK]);
  }
  lh_paper_text(p, LH_PLAIN, 10, p->left + WORD_MM, p->y, width, 0.25, text);
}

/* The pot from the side, as wide as the page; a tall one no higher than leaves
** room below for its slips and the verdict. */
static double side_width(const lh_paper *p, const lh_sheets_input *in)
{
  double most = 0.45 * (p->bottom - p->top);

  return fmin(p->right - p->left,
              most * (double)in->side.width / (double)in->side.height);
}

void lh_sheet_title(lh_paper *p, const lh_sheets_input *in)
{
  const lh_whole *w = in->whole;
  double width = p->right - p->left, aside = 52;
  char text[300];

  lh_paper_page(p);
  p->y +=
      lh_paper_heading(p, 36, p->left, p->y - 3, width, w->piece.doc->name) - 2;
  facts(w, text, sizeof text);
  p->y += lh_paper_text(p, LH_PLAIN, 13, p->left, p->y, width, 0.1, text) + 1;
  if (lh_piece_mark(w->piece.doc)) {
    snprintf(text, sizeof text, "%s %s.",
             w->piece.doc->invented ? "An invented example; its colours are"
                                    : "Some of its colours are",
             lh_piece_mark(w->piece.doc));
    p->y +=
        lh_paper_text(p, LH_PLAIN, 11, p->left, p->y, width, 0.25, text) + 1;
  }
  p->y += 1.5;
  p->y += lh_paper_image(p, in->side.rgb, in->side.width, in->side.height,
                         p->left, p->y, side_width(p, in)) +
          4;
  dabs(p, in);
  (void)lh_paper_image(p, in->above.rgb, in->above.width, in->above.height,
                       p->right - aside, p->y + 1, aside);
  summary(p, &w->verdict, p->right - aside - 6);
}

/* ---- the whole verdict -------------------------------------------------- */

static void verdict_head(lh_paper *p, bool again)
{
  lh_paper_page(p);
  p->y += lh_paper_text(p, LH_TITLE, 24, p->left, p->y - 2, p->right - p->left,
                        0, again ? "The verdict, continued" : "The verdict") +
          2;
}

void lh_sheet_verdict(lh_paper *p, const lh_sheets_input *in)
{
  const lh_verdict *v = &in->whole->verdict;
  double width = p->right - p->left - WORD_MM;

  verdict_head(p, false);
  for (int says = LH_SAYS_STOP; says >= LH_SAYS_OK; says--) {
    for (size_t i = 0; i < v->n; i++) {
      const lh_check *c = &v->checks[i];
      double h = check_height(p, c, width) +
                 lh_paper_text_height(p, LH_PLAIN, 10, width, c->why);
      if ((int)c->says != says) continue;
      if (!lh_paper_room(p, h)) verdict_head(p, true);
      check_line(p, c, p->right, true);
    }
  }
}

/* ---- all of them -------------------------------------------------------- */

static void draw(lh_paper *p, const lh_sheets_input *in)
{
  const lh_whole *w = in->whole;

  if (lh_sheet_wanted(in->only, LH_SHEET_TITLE)) lh_sheet_title(p, in);
  if (lh_sheet_wanted(in->only, LH_SHEET_VERDICT)) lh_sheet_verdict(p, in);
  for (size_t i = 0; i < w->piece.doc->slips.count; i++)
    if (lh_sheet_wanted(in->only, LH_SHEET_MIXING) && w->jars[i].dry_g > 0)
      lh_sheet_mixing(p, in, i);
  if (lh_sheet_wanted(in->only, LH_SHEET_COLOURS)) lh_sheet_colours(p, in);
  if (lh_sheet_wanted(in->only, LH_SHEET_DRAWING)) {
    for (size_t i = 0; i < w->piece.n_zones; i++) lh_sheet_drawing(p, in, i);
    lh_sheet_lines(p, in);
  }
  if (p->page > 0) return;
  lh_paper_page(p);
  lh_paper_text(p, LH_PLAIN, 14, p->left, p->y, p->right - p->left, 0,
                "Nothing is painted yet: these sheets are empty.");
}

lh_status lh_sheets_draw(const lh_sheets_input *in, lh_arena *a,
                         const void **bytes, size_t *n, int *pages)
{
  const char *name = in->whole->piece.doc->name;
  bool invented = lh_piece_invented(in->whole->piece.doc);
  char iso[32], day[32], *left, *right;
  lh_paper p;
  lh_status st;

  lh_clock_iso(in->date, iso);
  lh_clock_words(in->date, day);
  left = lh_heap_print(a, "%s%s", name,
                       in->whole->piece.doc->invented
                           ? " \xc2\xb7 invented example"
                       : invented ? " \xc2\xb7 invented colours"
                                  : "");
  right = lh_heap_print(a, "%s  \xc2\xb7  leatherhard %s", day, LH_VERSION);
  if (!left || !right) return LH_NOMEM;
  *pages = 0;
  for (int round = 0; round < 2; round++) {
    lh_paper_open(&p, a, in->paper, *pages, name, iso, left, right);
    draw(&p, in);
    *pages = p.page;
    st = lh_paper_close(&p);
    if (st != LH_OK) return st;
  }
  *bytes = p.bytes;
  *n = p.n;
  return LH_OK;
}
