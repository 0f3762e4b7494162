/* SPDX-License-Identifier: GPL-3.0-or-later */
/* csv.h -- reading a table: the rules that csv2c holds a table to.
**
** Lines that open with '#' are notes; one of them must name a source, a
** memory or a judgement, or say that the table is invented.  The first other
** line names the columns.  Columns are numbers unless a note says
** "# text: name, formula".  An empty number is NAN.  Refused, with the line: a
** row with the wrong number of cells, a cell that is not a number, a control
** byte, a quote that is not closed, two columns of one name, a table without
** rows or without an origin.
**
** The text is the caller's and is cut up in place; cells point into it.
*/
#ifndef LH_CSV_H
#define LH_CSV_H

#include <stdbool.h>
#include <stddef.h>

enum { CSV_CELLS = 128, CSV_NAMES = 2048 };

typedef struct {
  const char *words; /* a text cell; NULL in a column of numbers */
  double number;
} csv_cell;

typedef struct {
  int line;         /* counted from 1            */
  const char *what; /* what is wrong             */
  char word[64];    /* the cell or name at fault */
} csv_fault;

typedef struct {
  /* The columns, once; is_text says which are words. */
  void (*head)(void *who, char *const *column, const bool *is_text,
               int columns);
  /* A row. */
  void (*row)(void *who, const csv_cell *cell, int columns);
  void *who;
} csv_sink;

/* Read a table.
**
** Given:     text, n   its bytes; text[n] must be writable
**            sink      told of head and rows as they are read
** Returned:  how many rows; -1 with *fault filled
*/
int csv_read(char *text, size_t n, const csv_sink *sink, csv_fault *fault);

#endif
