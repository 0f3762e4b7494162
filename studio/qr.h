/* SPDX-License-Identifier: GPL-3.0-or-later */
/* qr.h -- a text as a QR code (ISO/IEC 18004), as dark and light squares.
**
** How they are drawn is the caller's matter: on a label, on a terminal.
** Memory: the squares live in the arena.
*/
#ifndef LH_QR_H
#define LH_QR_H

#include <stddef.h>

#include "arena.h"
#include "status.h"

enum { LH_QR_QUIET = 4 }; /* light squares to leave all around, by the norm */

typedef struct {
  size_t side;                  /* squares along an edge, without the quiet */
  const unsigned char *squares; /* side * side, row by row: 1 dark, 0 light */
} lh_qr;

/* Make the smallest code for a text.
**
** Given:     text   UTF-8, at most some 2300 bytes
** Returned:  *qr
** Status:    LH_OK; LH_RANGE when it is empty or too long; LH_NOMEM
** Notes:  1) Error correction is at level M: up to 15 % of a code may be
**            soiled or covered.
*/
lh_status lh_qr_make(const char *text, lh_arena *a, lh_qr *qr);

#endif
