/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheets.h -- the working sheets of a piece, one PDF for the studio wall.
**
** A title page with the picture and the verdict; the whole verdict; a mixing
** page for each slip; its colours, thin to thick; the drawing at true size.
*Black on white with the
** slips' fired colours, readable at arm's length, vector but for the picture
** of the pot.  Memory: the call's arena.
*/
#ifndef LH_SHEETS_H
#define LH_SHEETS_H

#include "paper.h"
#include "picture.h"
#include "strips.h"
#include "whole.h"

typedef struct {
  const lh_whole *whole;
  lh_image side, above; /* pictures of the pot      */
  lh_paper_size paper;
  long long date; /* seconds since 1970, UTC  */
  unsigned only;  /* bits of lh_sheet_part; 0: all */
  const lh_strip *strips;
  size_t n_strips;
} lh_sheets_input;

/* The parts of the sheets, in their order. */
enum {
  LH_SHEET_TITLE,
  LH_SHEET_VERDICT,
  LH_SHEET_MIXING,
  LH_SHEET_COLOURS,
  LH_SHEET_DRAWING,
  LH_SHEET_PARTS
};
extern const char *const lh_sheet_parts[LH_SHEET_PARTS + 1]; /* ends in NULL */

/* Is a part asked for? */
bool lh_sheet_wanted(unsigned only, int part);

/* Draw the sheets.
**
** Given:     in
** Returned:  *bytes, *n   the PDF
**            *pages       how many it has
** Status:    LH_OK; LH_NOMEM; LH_IO
*/
lh_status lh_sheets_draw(const lh_sheets_input *in, lh_arena *a,
                         const void **bytes, size_t *n, int *pages);

/* ---- for the files of this room ----------------------------------------- */

void lh_sheet_title(lh_paper *p, const lh_sheets_input *in);
void lh_sheet_verdict(lh_paper *p, const lh_sheets_input *in);
void lh_sheet_mixing(lh_paper *p, const lh_sheets_input *in, size_t slip);
void lh_sheet_colours(lh_paper *p, const lh_sheets_input *in);
void lh_sheet_drawing(lh_paper *p, const lh_sheets_input *in, size_t zone);
void lh_sheet_lines(lh_paper *p, const lh_sheets_input *in);

/* "six", "21": small numbers in words, as a person says them. */
const char *lh_sheet_count(long n, char text[24]);

/* A dab of slip, `side` mm high. */
void lh_sheet_dab(lh_paper *p, double x, double y, double side, lh_rgb colour);

/* The colour that a slip fires to as it is used here; the ground below. */
lh_rgb lh_sheet_colour(const lh_sheets_input *in, int slip, double g_m2);

#endif
