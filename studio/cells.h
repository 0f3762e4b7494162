/* SPDX-License-Identifier: GPL-3.0-or-later */
/* cells.h -- a table as programs of the office write it, cut into cells.
**
** CSV has no one form: the separator is a comma, a semicolon or a tab, lines
** end in LF, CR LF or CR, a byte order mark may stand first, a cell may be
** quoted and then hold separators, line ends and "" for one quote.  This
** room knows bytes and cells, not what they mean.
**
** Memory: the table and its texts stand in the arena that is handed in.
** Lines and columns count from 1; a column counts characters, as in the
** messages about JSON.
*/
#ifndef LH_CELLS_H
#define LH_CELLS_H

#include <stddef.h>

#include "arena.h"
#include "fault.h"

/* Judgements: a supplier's whole list is far smaller. */
enum {
  LH_CELLS_BYTES = 2 * 1024 * 1024, /* of a table         */
  LH_CELLS_WIDE = 500,              /* cells in one line  */
  LH_CELLS_TEXT = 2000              /* bytes in one cell  */
};

typedef struct {
  const char *text;    /* spaces around it dropped; never NULL */
  size_t line, column; /* where it begins                      */
} lh_cell;

typedef struct {
  const lh_cell *cell;
  size_t count;
  size_t line;
} lh_cell_row;

typedef struct {
  lh_cell_row *row;
  size_t count;
} lh_cells;

/* Cut a table into rows of cells.
**
** Given:     bytes, n    the file
**            separator   ',', ';' or a tab
**            name        what to call it in messages
** Returned:  *t          rows that hold anything; a line that begins with #
**                        and a line of empty cells are passed over
** Status:    LH_OK; LH_INPUT with name:line:column for bytes that are not
**            UTF-8, a control character, a quote that is not closed or has
**            text behind it; LH_TOOLARGE for a table, a line or a cell past
**            the limits above; LH_NOMEM
*/
lh_status lh_cells_cut(const void *bytes, size_t n, char separator,
                       const char *name, lh_arena *a, lh_cells *t,
                       lh_fault *fault);

/* Write "name:line:column" of a place, for messages. */
void lh_cells_where(char *text, size_t size, const char *name, size_t line,
                    size_t column);

/* Bytes of the UTF-8 character at s, of which n bytes are left; 0 when it is
** none.  Control characters count as characters. */
size_t lh_cells_character(const unsigned char *s, size_t n);

#endif
