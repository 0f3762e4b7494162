/* SPDX-License-Identifier: GPL-3.0-or-later */
/* paper.h -- a printed page: text, rules and boxes in millimetres.
**
** A thin layer over cairo and pango for the sheets: one document, its pages
** with margins and a footer, and a pen that knows how far down the page it
** is.  It knows nothing of slips.  The document is drawn twice, once to count
** its pages.  Type: Vollkorn italic for titles, Lato for the rest, both under
** the Open Font License; figures are lining and tabular.
**
** Memory: the PDF grows in the arena; cairo's own is freed by lh_paper_close.
** Units: mm from the upper left corner; type in points.
*/
#ifndef LH_PAPER_H
#define LH_PAPER_H

#include <cairo.h>
#include <pango/pangocairo.h>
#include <stdbool.h>
#include <stddef.h>

#include "arena.h"
#include "fault.h"

typedef enum { LH_A4, LH_LETTER } lh_paper_size;

typedef enum { LH_TITLE, LH_PLAIN, LH_STRONG } lh_face_of_type;

typedef struct {
  cairo_t *cr;
  cairo_surface_t *surface;
  lh_arena *arena;
  unsigned char *bytes; /* what was written so far      */
  size_t n, room;
  lh_status st;
  double width, height;            /* of the sheet [mm]           */
  double left, right, top, bottom; /* of what is printed on [mm] */
  double y;                        /* the pen [mm]                */
  int page, pages;                 /* this one; of how many       */
  const char *foot_left, *foot_right;
} lh_paper;

/* Begin a document.
**
** Given:     size          of the sheet
**            pages         how many there will be; 0 in the counting round
**            title, date   for the file's own data; date as ISO 8601
**            foot_left, foot_right   of every page; the page number follows
** Status:    in p->st, kept through all calls
*/
void lh_paper_open(lh_paper *p, lh_arena *a, lh_paper_size size, int pages,
                   const char *title, const char *date, const char *foot_left,
                   const char *foot_right);

/* A new page, with its footer; the pen goes to the top. */
void lh_paper_page(lh_paper *p);

/* Is there room for so many mm above the bottom? */
bool lh_paper_room(const lh_paper *p, double mm);

/* End the document.
** Returned:  p->bytes, p->n
** Status:    LH_OK; LH_NOMEM; LH_IO when cairo could not draw
*/
lh_status lh_paper_close(lh_paper *p);

/* Text in a column, wrapped between words (and within a word that is too
** long), at the pen's height or where it is told; the pen stays.
**
** Given:     face, pt   typeface and size
**            x, y       upper left of the text                       [mm]
**            width      of the column                                [mm]
**            grey       0 black .. 1 white
**            text       UTF-8
** Returned:  the height it took                                      [mm]
*/
double lh_paper_text(lh_paper *p, lh_face_of_type face, double pt, double x,
                     double y, double width, double grey, const char *text);

/* Text of at most so many lines; what does not fit ends in an ellipsis. */
double lh_paper_cut(lh_paper *p, lh_face_of_type face, double pt, double x,
                    double y, double width, double grey, int lines,
                    const char *text);

/* A heading: smaller when it would take more than two lines, and cut with an
** ellipsis after four of the smallest.  Gives the height it took [mm]. */
double lh_paper_heading(lh_paper *p, double pt, double x, double y,
                        double width, const char *text);

/* Text to the right of x, in one line; gives its width. */
double lh_paper_right(lh_paper *p, lh_face_of_type face, double pt, double x,
                      double y, double grey, const char *text);

/* Text that goes on overleaf when the page is full, line by line; the pen
** moves down.  A heavy bar `bar` mm wide stands at the left margin beside it
** (0: none). */
void lh_paper_flow(lh_paper *p, lh_face_of_type face, double pt, double x,
                   double width, double grey, double bar, const char *text);

/* How high a text would be. */
double lh_paper_text_height(lh_paper *p, lh_face_of_type face, double pt,
                            double width, const char *text);
/* How wide a line is. */
double lh_paper_text_width(lh_paper *p, lh_face_of_type face, double pt,
                           const char *text);

/* A level rule of a weight, a box to tick. */
void lh_paper_rule(lh_paper *p, double x0, double x1, double y, double weight);
void lh_paper_box(lh_paper *p, double x, double y, double side);

/* A picture: 8-bit sRGB rows, fitted to a width.  Gives its height [mm]. */
double lh_paper_image(lh_paper *p, const unsigned char *rgb, size_t width,
                      size_t height, double x, double y, double mm);

#endif
