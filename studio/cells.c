/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cells.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

typedef struct {
  const unsigned char *at, *end;
  size_t line, column;
  char separator;
  const char *name;
  lh_fault *fault;
  char *text;    /* where the next cell's text goes; there is room for all */
  lh_cell *cell; /* and the next cell */
} cutting;

void lh_cells_where(char *text, size_t size, const char *name, size_t line,
                    size_t column)
{
  snprintf(text, size, "%.150s:%zu:%zu", name, line, column);
}

/* Unicode 15, table 3-7: well-formed UTF-8 byte sequences. */
size_t lh_cells_character(const unsigned char *s, size_t n)
{
  size_t want = s[0] < 0x80 ? 1 : s[0] < 0xe0 ? 2 : s[0] < 0xf0 ? 3 : 4;

  if (want == 1) return 1;
  if (s[0] < 0xc2 || s[0] > 0xf4 || want > n) return 0;
  for (size_t i = 1; i < want; i++)
    if ((s[i] & 0xc0) != 0x80) return 0;
  if (s[0] == 0xe0 && s[1] < 0xa0) return 0;
  if (s[0] == 0xed && s[1] > 0x9f) return 0;
  if (s[0] == 0xf0 && s[1] < 0x90) return 0;
  if (s[0] == 0xf4 && s[1] > 0x8f) return 0;
  return want;
}

static lh_status fail(const cutting *c, lh_status st, size_t line,
                      size_t column, const char *what, const char *todo)
{
  char where[256];

  lh_cells_where(where, sizeof where, c->name, line, column);
  return lh_fault_say(c->fault, st, where, todo, "%s", what);
}

static bool ends_line(const cutting *c)
{
  return c->at == c->end || *c->at == '\n' || *c->at == '\r';
}

static void pass_line_end(cutting *c)
{
  if (c->at == c->end) return;
  c->at += *c->at == '\r' && c->at + 1 < c->end && c->at[1] == '\n' ? 2 : 1;
  c->line++, c->column = 1;
}

/* Take one character into the text of a cell. */
static lh_status take(cutting *c, const char *begin)
{
  size_t n = lh_cells_character(c->at, (size_t)(c->end - c->at));
  bool control = *c->at < ' ' || *c->at == 0x7f ||
                 (n == 2 && c->at[0] == 0xc2 && c->at[1] < 0xa0);

  if (n == 0)
    return fail(c, LH_INPUT, c->line, c->column, "these bytes are not UTF-8",
                "save the table as \"CSV UTF-8\"");
  if (control && *c->at != '\t')
    return fail(c, LH_INPUT, c->line, c->column,
                "a control character, which no table of text holds",
                "save the table as \"CSV UTF-8\"");
  if ((size_t)(c->text - begin) + n > LH_CELLS_TEXT)
    return fail(c, LH_TOOLARGE, c->line, c->column,
                "the cell is longer than 2000 bytes",
                "shorten it, or look for a quote that is not closed");
  memcpy(c->text, c->at, n);
  if (*c->at == '\t') *c->text = ' '; /* a text is of one line */
  c->text += n, c->at += n, c->column++;
  return LH_OK;
}

/* A quoted cell, from its quote on.  A line end inside becomes a space. */
static lh_status quoted(cutting *c, const char *begin)
{
  size_t line = c->line, column = c->column;
  lh_status st;

  for (c->at++, c->column++;;) {
    if (c->at == c->end)
      return fail(c, LH_INPUT, line, column,
                  "a quote is opened here and not closed",
                  "close it, or write \"\" for a quote inside a cell");
    if (*c->at == '"' && (c->at + 1 == c->end || c->at[1] != '"')) break;
    if (*c->at == '"') c->at++, c->column++;
    if (ends_line(c)) {
      pass_line_end(c);
      *c->text++ = ' ';
    } else if ((st = take(c, begin)) != LH_OK) {
      return st;
    }
  }
  c->at++, c->column++;
  while (c->at < c->end && *c->at == ' ') c->at++, c->column++;
  if (ends_line(c) || *c->at == (unsigned char)c->separator) return LH_OK;
  return fail(c, LH_INPUT, c->line, c->column,
              "there is text behind a closing quote",
              "write \"\" for a quote inside a cell");
}

/* Spaces around a text, no-break spaces too, go. */
static const char *trim(char *begin, char *end)
{
  for (;;) {
    ptrdiff_t n = end - begin;
    if (n > 0 && (end[-1] == ' ' || end[-1] == '\t'))
      end--;
    else if (n > 1 && memcmp(end - 2, "\xc2\xa0", 2) == 0)
      end -= 2;
    else
      break;
  }
  *end = 0;
  for (;;) {
    if (*begin == ' ' || *begin == '\t')
      begin++;
    else if (memcmp(begin, "\xc2\xa0", *begin ? 2 : 1) == 0)
      begin += 2;
    else
      return begin;
  }
}

static lh_status cut_cell(cutting *c, lh_cell *cell)
{
  char *begin = c->text;
  lh_status st = LH_OK;

  while (c->at < c->end && *c->at == ' ') c->at++, c->column++;
  *cell = (lh_cell){.line = c->line, .column = c->column};
  if (c->at < c->end && *c->at == '"') {
    st = quoted(c, begin);
  } else {
    while (st == LH_OK && !ends_line(c) &&
           *c->at != (unsigned char)c->separator)
      st = take(c, begin);
  }
  if (st != LH_OK) return st;
  *c->text = 0;
  cell->text = trim(begin, c->text);
  c->text++;
  return LH_OK;
}

/* One line, which a quoted cell may carry over several. */
static lh_status cut_row(cutting *c, lh_cell_row *row, bool *holds)
{
  lh_status st;

  *row = (lh_cell_row){.cell = c->cell, .line = c->line};
  *holds = false;
  for (;;) {
    if (row->count == LH_CELLS_WIDE)
      return fail(c, LH_TOOLARGE, c->line, c->column,
                  "more than 500 cells in one line",
                  "keep the columns of the analysis alone");
    st = cut_cell(c, c->cell);
    if (st != LH_OK) return st;
    *holds = *holds || c->cell->text[0];
    c->cell++, row->count++;
    if (ends_line(c)) break;
    c->at++, c->column++; /* the separator */
  }
  pass_line_end(c);
  if (!*holds) c->cell = (lh_cell *)(uintptr_t)row->cell;
  return LH_OK;
}

/* A line that begins with # is a remark, whatever stands in it. */
static void pass_remark(cutting *c)
{
  while (!ends_line(c)) c->at++;
  pass_line_end(c);
}

lh_status lh_cells_cut(const void *bytes, size_t n, char separator,
                       const char *name, lh_arena *a, lh_cells *t,
                       lh_fault *fault)
{
  cutting c = {bytes,     (const unsigned char *)bytes + n,
               1,         1,
               separator, name,
               fault,     NULL,
               NULL};
  size_t cells = 1, rows = 1;
  lh_status st = LH_OK;

  if (n > LH_CELLS_BYTES)
    return fail(&c, LH_TOOLARGE, 1, 1, "the table is larger than 2 MB",
                "keep the columns of the analysis alone, or split it");
  if (n >= 2 &&
      (memcmp(bytes, "\xff\xfe", 2) == 0 || memcmp(bytes, "\xfe\xff", 2) == 0))
    return fail(&c, LH_INPUT, 1, 1, "the table is UTF-16, not UTF-8",
                "save the table as \"CSV UTF-8\"");
  if (n >= 3 && memcmp(bytes, "\xef\xbb\xbf", 3) == 0) c.at += 3;
  for (const unsigned char *s = c.at; s < c.end; s++) {
    rows += *s == '\n' || *s == '\r';
    cells += *s == '\n' || *s == '\r' || *s == (unsigned char)separator;
  }
  t->count = 0;
  t->row = lh_arena_take(a, rows, sizeof *t->row);
  c.cell = lh_arena_take(a, cells, sizeof *c.cell);
  c.text = lh_arena_take(a, n + cells, 1);
  if (!t->row || !c.cell || !c.text)
    return lh_fault_plain(fault, LH_NOMEM, name);
  while (st == LH_OK && c.at < c.end) {
    bool holds = false;
    if (*c.at == '#')
      pass_remark(&c);
    else
      st = cut_row(&c, &t->row[t->count], &holds);
    t->count += holds;
  }
  return st;
}
