/* SPDX-License-Identifier: GPL-3.0-or-later */
/* analysis.h -- suppliers' analyses as they come: a table, a line a material.
**
** The columns stand in any order: the name, oxides in weight per cent of the
** raw material, loss on ignition by any of its usual names; perhaps class,
** price, stock, density, hazards, a note, a total.  Figures may have a point
** or a comma, may be "-" or empty (not told), "<0.1" or "trace".
**
** What is not understood is refused by file:line:column, the whole table
** with it: half a table read is worse than none.  What is understood is
** never bent: a total that is not 100 stays as it is, and is told.
**
** Memory: the arena that is handed in.  Units: weight per cent.
*/
#ifndef LH_ANALYSIS_H
#define LH_ANALYSIS_H

#include <stdbool.h>
#include <stddef.h>

#include "arena.h"
#include "chem/oxide.h"
#include "fault.h"

enum {
  LH_ANALYSIS_MOST = 2000, /* materials in one table (a judgement) */
  LH_ANALYSIS_COLUMNS = 500
};

/* A trace without a number: what it may amount to [wt%].  A judgement:
** analyses are printed to 0.1 or 0.01, and nobody calls 0.2 a trace. */
#define LH_ANALYSIS_TRACE 0.1

/* One figure.  "<0.1" is 0 plus or minus 0.1: a judgement on the safe side,
** as the range then holds every value that the words allow. */
typedef struct {
  bool told;
  double percent;
  double e; /* plus or minus, as the cell says; 0 when it does not */
} lh_analysis_figure;

/* A material as its line tells it.  Numbers not told are NAN. */
typedef struct {
  const char *name;
  size_t line; /* of the file                         */
  int class_;  /* of lh_material_classes; -1: not told */
  lh_analysis_figure oxide[LH_OXIDE_FORMS];
  lh_analysis_figure loi;
  double total;        /* what the figures add to       [wt%] */
  double rounding;     /* what rounding can do to total [wt%] */
  double stated_total; /* the table's own               [wt%] */
  double price_per_kg, stock_g, density;
  const char *hazards, *note; /* NULL: not told */
} lh_analysis;

typedef struct {
  lh_analysis *material;
  size_t count;
  const char **left_out; /* headings that were asked to be left out */
  size_t left_out_count;
  size_t above; /* lines above the heading, passed over */
} lh_analyses;

typedef struct {
  const char *name;             /* what to call the file in messages */
  double trace;                 /* [wt%]; NAN: LH_ANALYSIS_TRACE     */
  const char *const *leave_out; /* headings that are no matter of ours */
  size_t leave_out_count;
} lh_analysis_ask;

/* Read a table of analyses.
**
** Given:     bytes, n   the file
**            ask        how
** Returned:  *out       in the order of the lines
** Status:    LH_OK; LH_INPUT with name:line:column, what and what to do;
**            LH_TOOLARGE; LH_NOMEM
**
** Notes:  1) The separator is the one with which a line names most oxides;
**            that line is the heading.
**         2) A heading that is none of ours is refused, the nearest named,
**            unless it stands in leave_out.
*/
lh_status lh_analysis_read(const void *bytes, size_t n,
                           const lh_analysis_ask *ask, lh_arena *a,
                           lh_analyses *out, lh_fault *fault);

/* ---- for the files of this room ----------------------------------------- */

typedef enum {
  LH_HEAD_UNKNOWN,
  LH_HEAD_NAME,
  LH_HEAD_OXIDE, /* which: its row in oxide.h             */
  LH_HEAD_LOI,
  LH_HEAD_TOTAL,
  LH_HEAD_CLASS,
  LH_HEAD_PRICE, /* per kg                                */
  LH_HEAD_STOCK, /* scale: grams in one                   */
  LH_HEAD_DENSITY,
  LH_HEAD_HAZARDS,
  LH_HEAD_NOTE,
  LH_HEAD_UNIT, /* ours, but in a unit that is not: see why */
  LH_HEAD_OUT   /* left out                               */
} lh_analysis_what;

typedef struct {
  lh_analysis_what what;
  size_t oxide;
  bool plus_minus; /* how far the figure of that oxide may be off */
  double scale;
  const char *why; /* of LH_HEAD_UNIT: what to write instead */
} lh_analysis_head;

/* What a heading means. */
lh_analysis_head lh_analysis_head_of(const char *text, size_t n);

/* A heading as it is compared: small letters and digits, accents dropped.
** Returned: its length; text is cut when it is longer than size allows. */
size_t lh_analysis_fold(const char *s, size_t n, char *text, size_t size);

/* Read one cell as a figure; *todo says what to do when it is none. */
bool lh_analysis_figure_of(const char *text, double trace,
                           lh_analysis_figure *f, double *step,
                           const char **what, const char **todo);

#endif
