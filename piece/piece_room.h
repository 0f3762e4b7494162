/* SPDX-License-Identifier: GPL-3.0-or-later */
/* piece_room.h -- what the files of this room share among themselves. */
#ifndef LH_PIECE_ROOM_H
#define LH_PIECE_ROOM_H

#include "piece.h"

/* A refusal with its place. */
lh_status lh_piece_refuse(lh_fault *fault, const lh_at *at, lh_status st,
                          const char *what, const char *todo);

/* "no KIND id; the nearest is ...". */
lh_status lh_piece_unknown(lh_fault *fault, const lh_at *at, const char *kind,
                           const char *id, const char *const *names, size_t n);

/* Put everything painted onto the charts of the zones. */
lh_status lh_piece_paint(lh_piece *p, lh_arena *a, lh_fault *fault);

/* The curves of a form document, leather-hard, checked; also for the
** operation `form`.  Sets p's curves, points and shrinkage. */
lh_status lh_form_doc_curves(const lh_form_doc *form, const lh_at *at,
                             lh_arena *a, lh_piece *p, lh_fault *fault);
void lh_form_doc_shrinkage(const lh_form_doc *form, lh_shrinkage *sh);
lh_status lh_form_doc_curve(const lh_list *points, int measured,
                            const lh_shrinkage *sh, const lh_at *at,
                            lh_arena *a, lh_point **leather_hard,
                            lh_curve **curve, lh_fault *fault);

#endif
