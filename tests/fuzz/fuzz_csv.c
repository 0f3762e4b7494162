/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_csv.c -- any bytes as a table: read whole or refused with a line. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "csv.h"

typedef struct {
  int columns, rows;
  bool is_text[CSV_CELLS];
} seen;

static void head(void *who, char *const *column, const bool *is_text,
                 int columns)
{
  seen *s = who;

  if (s->columns || columns < 1 || columns > CSV_CELLS) abort();
  s->columns = columns;
  for (int i = 0; i < columns; i++) {
    if (!*column[i]) abort();
    s->is_text[i] = is_text[i];
  }
}

static void row(void *who, const csv_cell *cell, int columns)
{
  seen *s = who;

  if (columns != s->columns) abort();
  s->rows++;
  for (int i = 0; i < columns; i++) {
    if ((cell[i].words != NULL) != s->is_text[i]) abort();
    if (cell[i].words && strlen(cell[i].words) > 1000000) abort();
    if (!cell[i].words && isinf(cell[i].number)) abort();
  }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  seen s = {0};
  csv_sink sink = {head, row, &s};
  csv_fault fault;
  char *text = malloc(size + 1);
  int rows;

  if (!text) return 0;
  memcpy(text, data, size);
  text[size] = 'x'; /* not a zero: the reader must not need one */
  rows = csv_read(text, size, &sink, &fault);
  if (rows >= 0 && (rows != s.rows || rows == 0)) abort();
  if (rows < 0 && (!fault.what || fault.line < 0)) abort();
  free(text);
  return 0;
}
