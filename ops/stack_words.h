/* SPDX-License-Identifier: GPL-3.0-or-later */
/* stack_words.h -- how documents tell of slips over each other under a glaze.
**
** shade, window, palette and match read layers, glaze, light and doubts the
** same way; the tables and their readers stand here.  What is read lives in
** the call's arena.
*/
#ifndef LH_STACK_WORDS_H
#define LH_STACK_WORDS_H

#include <math.h>

#include "operation.h"
#include "stack.h"

/* ---- a slip --------------------------------------------------------------
** The part of a slip that the colour operations look at; what else a piece
** holds of it (recipe, note) is passed over, other keys are refused. */
typedef struct {
  const char *id, *name;
  double *absorption, *scattering;
  double uncertainty_percent;            /* NaN: not told             */
  double litre_weight_g, solids_density; /* NaN: not told             */
  double coat_g_m2;                      /* of one coat; NaN          */
  double best_g_m2;                      /* of its own window; NaN    */
  bool ground, photographed, invented;
  const char *optics_from; /* NULL: not told            */
} lh_slip_part;

/* Read a slip that stands as an object at a place of the document, or that is
** named there: one that comes with the program (made.h). */
lh_status lh_stack_words_slip(const json_t *slip, const lh_at *at, lh_arena *a,
                              lh_slip_part *part, lh_fault *fault);

/* Its name, else its id, else "the slip". */
const char *lh_slip_part_name(const lh_slip_part *part);

/* What must be said of it wherever it is used, as made.h has it; NULL: nothing.
 */
const char *lh_slip_part_mark(const lh_slip_part *part);

/* Put a mark into the reply, as "mark" and as a sentence that begins so
** ("The slip is "); nothing for NULL. */
void lh_stack_words_mark(lh_reply *r, const char *begin, const char *mark);

/* K and S as core wants them; NULL when out of memory. */
lh_slip_optics *lh_slip_part_optics(const lh_slip_part *part, lh_arena *a);

/* ---- layers -------------------------------------------------------------- */

typedef struct {
  json_t *slip;
  const char *name;
  double *absorption, *scattering, coat_g_m2;
  const char *mark; /* read */
} lh_layer_doc;

extern const lh_fields lh_layer_table;

/* Read a list of lh_layer_doc.
**
** Given:     list    as read
**            at      where the list stands
** Returned:  layers[0..list->count)   the same slip in two layers is one slip
** Status:    LH_OK; LH_INPUT, LH_RANGE with the fault filled; LH_NOMEM
*/
lh_status lh_stack_words_layers(const lh_list *list, const lh_at *at,
                                lh_arena *a, lh_stack_layer *layers,
                                lh_fault *fault);

/* Their mark, once read: the plainest of them. */
const char *lh_stack_words_layers_mark(const lh_list *list);

typedef struct {
  double *reflectance;
} lh_substrate_doc;

extern const lh_fields lh_substrate_table;

/* ---- glaze, light, doubts ------------------------------------------------ */

typedef struct {
  double index, *optical_depth, eats_g_m2, dissolved_share;
} lh_glaze_ask;

extern const lh_fields lh_glaze_ask_table;

lh_glaze lh_stack_words_glaze(const lh_glaze_ask *doc);

typedef struct {
  double absorption, scattering, coat, depth, substrate;
} lh_doubt_doc;

extern const lh_fields lh_doubt_table;

/* NULL: the house's first guess. */
lh_stack_doubt lh_stack_words_doubt(const lh_doubt_doc *doc);

/* In the order of lh_geometry, lh_illuminant; each ends with NULL. */
extern const char *const lh_geometry_keys[];
extern const char *const lh_geometry_words[];
extern const char *const lh_illuminant_keys[];

#define LH_GEOMETRY_FIELD(T)                                            \
  LH_CHOICE(T, geometry, "geometry", false, lh_geometry_keys, LH_D8_IN, \
            "How it is lit and seen.")
#define LH_ILLUMINANT_FIELD(T)                                              \
  LH_CHOICE(T, illuminant, "illuminant", false, lh_illuminant_keys, LH_D65, \
            "Daylight D65, a lamp's A, or the print trade's D50.")

#endif
