/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheet_substitution.c -- old and new recipe in two columns. */
#include "sheet_substitution.h"

#include "clock.h"
#include "heap.h"
#include "version.h"

/* Right edges of the three columns of figures, from the right margin.  [mm] */
#define CHANGE_MM 8.0
#define NEW_MM 34.0
#define OLD_MM 60.0

static void heading(lh_paper *p, const char *text)
{
  if (!lh_paper_room(p, 24)) lh_paper_page(p);
  p->y += 3;
  p->y += lh_paper_text(p, LH_TITLE, 18, p->left, p->y, p->right - p->left, 0,
                        text) +
          1.5;
}

/* One row; `box`: one to tick once it is weighed. */
static void row(lh_paper *p, const lh_sheet_row *r, double pt, bool box)
{
  double width = p->right - OLD_MM - 24 - p->left;
  double grey = r->head ? 0.3 : 0.0, size = r->head ? 10 : pt;
  double h = lh_paper_text_height(p, LH_PLAIN, size, width, r->label);
  lh_face_of_type strong = r->head ? LH_PLAIN : LH_STRONG;

  if (!lh_paper_room(p, h + 3)) lh_paper_page(p);
  lh_paper_text(p, LH_PLAIN, size, p->left, p->y, width, grey, r->label);
  lh_paper_right(p, LH_PLAIN, size, p->right - OLD_MM, p->y,
                 r->head ? grey : 0.25, r->old);
  lh_paper_right(p, strong, size, p->right - NEW_MM, p->y, grey, r->new_);
  if (r->change)
    lh_paper_right(p, LH_PLAIN, size, p->right - (box ? CHANGE_MM : 0), p->y,
                   r->head ? grey : 0.25, r->change);
  if (box && !r->head && !r->gone) lh_paper_box(p, p->right - 6.2, p->y, 6);
  p->y += h + (pt > 13 ? 2.2 : 0.9);
  lh_paper_rule(p, p->left, p->right, p->y, r->head ? 0.3 : 0.12);
  p->y += pt > 13 ? 1.8 : 0.9;
}

static void tiles(lh_paper *p, const lh_substitution_page *in)
{
  double width = p->right - p->left - 10;

  if (in->n_tiles == 0) return;
  heading(p, "First tiles");
  for (size_t i = 0; i < in->n_tiles; i++) {
    double h = lh_paper_text_height(p, LH_PLAIN, 11, width, in->tiles[i]);
    if (!lh_paper_room(p, h + 3)) lh_paper_page(p);
    lh_paper_box(p, p->left, p->y, 5);
    lh_paper_text(p, LH_PLAIN, 11, p->left + 9, p->y, width, 0, in->tiles[i]);
    p->y += (h > 5 ? h : 5) + 2;
  }
}

static void paragraphs(lh_paper *p, const char *const *text, size_t n,
                       double bar)
{
  double x = p->left + (bar > 0 ? 6 : 0);

  for (size_t i = 0; i < n; i++) {
    lh_paper_flow(p, LH_PLAIN, 10.5, x, p->right - x, bar > 0 ? 0 : 0.1, bar,
                  text[i]);
    p->y += 1.4;
  }
}

static void draw(lh_paper *p, const lh_substitution_page *in)
{
  double width = p->right - p->left;

  lh_paper_page(p);
  p->y += lh_paper_heading(p, 32, p->left, p->y - 3, width, in->title) + 1;
  p->y +=
      lh_paper_text(p, LH_PLAIN, 12, p->left, p->y, width, 0.1, in->under) + 4;
  for (size_t i = 0; i < in->weighs; i++) row(p, &in->weigh[i], 17, true);
  heading(p, "What changes");
  for (size_t i = 0; i < in->changed; i++) row(p, &in->changes[i], 11, false);
  tiles(p, in);
  heading(p, "Care");
  paragraphs(p, in->cautions, in->n_cautions, 1.4);
  heading(p, "How sure");
  paragraphs(p, in->sure, in->n_sure, 0);
}

lh_status lh_substitution_draw(const lh_substitution_page *in, lh_arena *a,
                               const void **bytes, size_t *n, int *pages)
{
  char iso[32], day[32], *right;
  lh_paper p;
  lh_status st;

  lh_clock_iso(in->date, iso);
  lh_clock_words(in->date, day);
  right = lh_heap_print(a, "%s  \xc2\xb7  leatherhard %s", day, LH_VERSION);
  if (!right) return LH_NOMEM;
  *pages = 0;
  for (int round = 0; round < 2; round++) {
    lh_paper_open(&p, a, in->paper, *pages, in->title, iso, in->title, right);
    draw(&p, in);
    *pages = p.page;
    st = lh_paper_close(&p);
    if (st != LH_OK) return st;
  }
  *bytes = p.bytes;
  *n = p.n;
  return LH_OK;
}
