/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "csv.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A longer line is no line of a table. (judgement) */
enum { LINE_MOST = 65535 };

typedef struct {
  char *at, *end; /* what is left of the text */
  csv_fault *fault;
  char names[CSV_NAMES]; /* of text columns: ",a,b," */
  char *column[CSV_CELLS];
  bool is_text[CSV_CELLS];
  int columns;
  bool origin;
} reading;

static bool fail(reading *r, const char *what, const char *word)
{
  r->fault->what = what;
  snprintf(r->fault->word, sizeof r->fault->word, "%s", word);
  return false;
}

/* Cut off the next line; NULL at the end or, with a fault, at a bad byte. */
static char *next_line(reading *r)
{
  char *line = r->at, *s;

  if (line == r->end) return NULL;
  r->fault->line++;
  for (s = line; s < r->end && *s != '\n'; s++) {
    unsigned char c = (unsigned char)*s;
    if (c < ' ' && c != '\t' && c != '\r') {
      fail(r, "a control byte", "");
      return NULL;
    }
  }
  if (s - line >= LINE_MOST) {
    fail(r, "the line is too long", "");
    return NULL;
  }
  r->at = s < r->end ? s + 1 : s;
  while (s > line && isspace((unsigned char)s[-1])) s--;
  *s = 0;
  if (r->fault->line == 1 && s - line >= 3 && !memcmp(line, "\xef\xbb\xbf", 3))
    line += 3; /* a byte order mark */
  return line;
}

/* Split a line in place, honouring "quoted, cells"; the count, or -1. */
static int split(reading *r, char *s, char *cell[CSV_CELLS])
{
  for (int n = 0;; s++) {
    char *out;
    bool more;
    if (n == CSV_CELLS) return fail(r, "too many cells", ""), -1;
    if (*s == '"') {
      out = cell[n++] = ++s;
      while (*s && !(*s == '"' && s[1] != '"')) {
        if (*s == '"') s++;
        *out++ = *s++;
      }
      if (!*s) return fail(r, "a quote is not closed", ""), -1;
      s++;
      if (*s && *s != ',') return fail(r, "text after a closing quote", ""), -1;
    } else {
      out = cell[n++] = s;
      while (*s && *s != ',') out++, s++;
    }
    more = *s == ',';
    *out = 0;
    if (!more) return n;
  }
}

static bool names_origin(const char *s)
{
  char low[256];
  size_t n = 0;

  for (; s[n] && n + 1 < sizeof low; n++)
    low[n] = (char)tolower((unsigned char)s[n]);
  low[n] = 0;
  return strstr(low, "source") || strstr(low, "memory") ||
         strstr(low, "judgement") || strstr(low, "invented");
}

/* Keep the names of a "# text: a, b" note as ",a,b,". */
static void keep_text(reading *r, const char *s)
{
  size_t n = 0;

  r->names[n++] = ',';
  for (; *s && n + 2 < sizeof r->names; s++)
    if (!isspace((unsigned char)*s)) r->names[n++] = *s;
  r->names[n++] = ',';
  r->names[n] = 0;
}

static bool named_text(const reading *r, const char *column)
{
  char want[CSV_NAMES];
  int n = snprintf(want, sizeof want, ",%s,", column);

  return n > 2 && (size_t)n < sizeof want && strstr(r->names, want);
}

/* Every column has a name of its own, every word column is there. */
static bool check_head(reading *r)
{
  char list[CSV_NAMES], *word;

  for (int i = 0; i < r->columns; i++) {
    if (!*r->column[i]) return fail(r, "a column has no name", "");
    for (int j = 0; j < i; j++)
      if (!strcmp(r->column[i], r->column[j]))
        return fail(r, "two columns of one name", r->column[i]);
  }
  strcpy(list, r->names);
  for (word = strtok(list, ","); word; word = strtok(NULL, ",")) {
    int i = 0;
    while (i < r->columns && strcmp(r->column[i], word) != 0) i++;
    if (i == r->columns)
      return fail(r, "is named as a text column, but is no column", word);
  }
  return true;
}

static bool read_head(reading *r, char *line, const csv_sink *sink)
{
  r->columns = split(r, line, r->column);
  if (r->columns < 0 || !check_head(r)) return false;
  for (int i = 0; i < r->columns; i++)
    r->is_text[i] = named_text(r, r->column[i]);
  sink->head(sink->who, r->column, r->is_text, r->columns);
  return true;
}

static bool read_number(reading *r, const char *s, double *v)
{
  char *end;

  *v = NAN;
  if (!*s) return true;
  *v = strtod(s, &end);
  /* only decimal digits: strtod would also take "0x10", "inf", " 1" */
  if (*end || !isfinite(*v) || s[strspn(s, "0123456789.eE+-")])
    return fail(r, "is not a number (say \"# text: column\" for words)", s);
  return true;
}

static bool read_row(reading *r, char *line, const csv_sink *sink)
{
  char *text[CSV_CELLS];
  csv_cell cell[CSV_CELLS];
  int n = split(r, line, text);

  if (n < 0) return false;
  if (n != r->columns)
    return fail(r, "the number of cells differs from the heading's", "");
  for (int i = 0; i < n; i++) {
    cell[i] = (csv_cell){r->is_text[i] ? text[i] : NULL, NAN};
    if (!r->is_text[i] && !read_number(r, text[i], &cell[i].number))
      return false;
  }
  sink->row(sink->who, cell, n);
  return true;
}

int csv_read(char *text, size_t n, const csv_sink *sink, csv_fault *fault)
{
  reading r = {.at = text, .end = text + n, .fault = fault};
  char *line;
  int rows = 0;

  *fault = (csv_fault){0};
  while ((line = next_line(&r))) {
    if (!*line) continue;
    if (*line == '#') {
      r.origin = r.origin || names_origin(line);
      if (strncmp(line, "# text:", 7) == 0) keep_text(&r, line + 7);
    } else if (!r.columns) {
      if (!read_head(&r, line, sink)) return -1;
    } else {
      if (!read_row(&r, line, sink)) return -1;
      rows++;
    }
  }
  if (fault->what) return -1;
  if (!rows) return fail(&r, "the table has no rows", ""), -1;
  if (!r.origin)
    return fail(&r, "no note names a source, a memory or a judgement", ""), -1;
  return rows;
}
