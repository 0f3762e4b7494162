/* SPDX-License-Identifier: GPL-3.0-or-later */
/* made.h -- slips to begin with, until there are tiles of one's own.
**
** Their optical numbers were learned from tiles that were made up out of
** measured powders (data/made_optics.csv, data/made_slips.csv); no tile was
** fired, and wherever such a slip is used that is said: the mark.  A document
** holds a copy of a slip, never its name alone, so that it stays what it is
** when this table changes.  Nothing is kept; a document is the caller's.
*/
#ifndef LH_MADE_H
#define LH_MADE_H

#include "piece.h"
#include "spectrum.h"

/* The mark of a slip out of measured powders, as it opens its optics_from. */
#define LH_MADE_MARK "invented from measured powders: make your own tiles"

typedef struct {
  const char *id, *name;
  const char *powders; /* which ones stand behind it, in words              */
  double left_out_de00, worst_de00; /* how tiles left out were missed       */
  double absorption[LH_WAVES], scattering[LH_WAVES]; /* [m2/g]        */
  double absorption_error[LH_WAVES], scattering_error[LH_WAVES]; /* [%], sd */
  double uncertainty_percent; /* of both in one number, one sd              */
  double coat_g_m2, litre_weight_g;
} lh_made;

/* How many there are; the i-th; the number of one by its name or id, the count
** when there is none; the name nearest to a word, NULL when none is near. */
size_t lh_made_count(void);
void lh_made_take(size_t i, lh_made *out);
size_t lh_made_find(const char *name);
const char *lh_made_near(const char *name);

/* A slip of a piece, whole.
** Returned:  a new reference; NULL when out of memory */
json_t *lh_made_document(const lh_made *m);

/* What must stand wherever a slip is used.
**
** Given:     invented, optics_from   as a slip has them
** Returned:  LH_MADE_MARK for one out of measured powders; "invented: make
**            your own tiles" for another that is invented; NULL for one that
**            is not
*/
const char *lh_made_mark(bool invented, const char *optics_from);
const char *lh_slip_doc_mark(const lh_slip_doc *s);

/* The plainer of two marks, either of them NULL. */
const char *lh_made_plainer(const char *one, const char *other);

/* The mark of a piece: the plainest of its slips'; NULL when nothing of it is
** invented. */
const char *lh_piece_mark(const lh_piece_doc *doc);

#endif
