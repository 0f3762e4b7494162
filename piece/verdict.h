/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verdict.h -- may this piece be painted as it stands?
**
** A list of checks, each ok, caution or stop, with the reason and what to do.
** Cautions are where a potter would hesitate; a stop is where pots would be
** spoiled.  The limits between them are judgements, listed in
** docs/decisions.md and marked where they stand in the code.
** Memory: the call's arena.
*/
#ifndef LH_VERDICT_H
#define LH_VERDICT_H

#include "jar.h"
#include "optics.h"

typedef enum { LH_SAYS_OK, LH_SAYS_CAUTION, LH_SAYS_STOP } lh_says;

typedef struct {
  lh_says says;
  const char *about; /* "Copper green, thickness"      */
  const char *why;   /* the reason, with its numbers   */
  const char *todo;  /* what to do; "" when ok         */
} lh_check;

typedef struct {
  lh_arena *arena;
  lh_check *checks;
  size_t n, room;
  lh_says worst;
  lh_status st; /* LH_NOMEM once a check could not be kept */
} lh_verdict;

/* Everything the verdict looks at. */
typedef struct {
  const lh_piece_cover *cover;
  const lh_piece_optics *optics;
  const lh_jar *jars; /* beside the document's slips */
} lh_verdict_input;

/* Judge a piece.
**
** Given:     in
** Returned:  *v    in the order of the work: form, painting, slips, mixing,
**                  fire, care
** Status:    LH_OK (also when the worst is a stop); LH_NOMEM
*/
lh_status lh_verdict_make(const lh_verdict_input *in, lh_arena *a,
                          lh_verdict *v);

/* "ok", "caution", "stop". */
const char *lh_says_word(lh_says says);

/* ---- for the files of this room ----------------------------------------- */

/* Add a check.  about and todo are kept as they are: constant, or text of the
** verdict's arena (NULL: out of memory); why is printed into it. */
void lh_verdict_add(lh_verdict *v, lh_says says, const char *about,
                    const char *todo, const char *why, ...)
    __attribute__((format(printf, 5, 6)));
void lh_verdict_slips(const lh_verdict_input *in, lh_verdict *v);
void lh_verdict_stains(const lh_verdict_input *in, lh_verdict *v);
void lh_verdict_water(const lh_verdict_input *in, lh_verdict *v);
void lh_verdict_care(const lh_verdict_input *in, lh_verdict *v);

#endif
