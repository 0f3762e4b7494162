/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheet_substitution.h -- a page for a recipe that takes another's place.
**
** Old and new stand in two columns: what to weigh, then what changes, then how
** sure that is, the first tiles with boxes to tick, and care.  This room knows
** no chemistry: it gets words and sets them.  Memory: the call's arena; texts
** are the caller's, UTF-8.
*/
#ifndef LH_SHEET_SUBSTITUTION_H
#define LH_SHEET_SUBSTITUTION_H

#include "paper.h"

/* A row of the two columns.  A head has no figures but names of the columns. */
typedef struct {
  const char *label, *old, *new_, *change;
  bool head, gone; /* gone: not weighed any more, no box to tick */
} lh_sheet_row;

typedef struct {
  const char *title, *under;   /* "Instead of whiting", and a line below   */
  const lh_sheet_row *weigh;   /* the materials, old parts and new         */
  const lh_sheet_row *changes; /* oxides and the like                      */
  const char *const *tiles;    /* each a line with a box                   */
  const char *const *sure;     /* paragraphs                               */
  const char *const *cautions; /* paragraphs beside the heavy bar          */
  size_t weighs, changed, n_tiles, n_sure, n_cautions;
  lh_paper_size paper;
  long long date; /* seconds since 1970, UTC */
} lh_substitution_page;

/* Draw it.
**
** Given:     in
** Returned:  *bytes, *n   the PDF
**            *pages       how many it has
** Status:    LH_OK; LH_NOMEM; LH_IO
*/
lh_status lh_substitution_draw(const lh_substitution_page *in, lh_arena *a,
                               const void **bytes, size_t *n, int *pages);

#endif
