/* SPDX-License-Identifier: GPL-3.0-or-later */
/* csv2c.c -- turn a table into C, or fail the build.
**
**   csv2c NAME <table.csv >table.h
**
** What a table may hold is said in csv.h.  What is refused is named on stderr
** with its line, and the exit code is 1.
**
** All columns numbers:  static const double NAME[][COLUMNS]
** otherwise:            static const NAME_row NAME[], one field a column
** always:               enum { NAME_count = rows }
*/
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "csv.h"

static void put_name(const char *s)
{
  if (isdigit((unsigned char)*s)) putchar('_');
  for (; *s; s++) putchar(isalnum((unsigned char)*s) ? *s : '_');
}

static void put_text(const char *s)
{
  putchar('"');
  for (; *s; s++) {
    if (*s == '"' || *s == '\\') putchar('\\');
    putchar(*s);
  }
  putchar('"');
}

static void put_head(void *who, char *const *column, const bool *is_text,
                     int columns)
{
  const char *name = who;
  bool text = false;

  for (int i = 0; i < columns; i++) text = text || is_text[i];
  printf("/* Made by csv2c from %s.csv; change the table, not this. */\n"
         "#include <math.h>\n",
         name);
  if (!text) {
    printf("__attribute__((unused)) static const double %s[][%d] = {\n", name,
           columns);
    return;
  }
  printf("typedef struct {\n");
  for (int i = 0; i < columns; i++) {
    printf("  %s", is_text[i] ? "const char *" : "double ");
    put_name(column[i]);
    printf(";\n");
  }
  printf("} %s_row;\n__attribute__((unused)) static const %s_row %s[] = {\n",
         name, name, name);
}

static void put_row(void *who, const csv_cell *cell, int columns)
{
  (void)who;
  printf("  {");
  for (int i = 0; i < columns; i++) {
    if (i) printf(", ");
    if (cell[i].words)
      put_text(cell[i].words);
    else if (isnan(cell[i].number))
      printf("NAN");
    else
      printf("%.17g", cell[i].number);
  }
  printf("},\n");
}

/* All of standard input, with room for a zero behind it. */
static char *drain(size_t *n)
{
  size_t room = 1 << 16;
  char *text = malloc(room);

  for (*n = 0; text;) {
    *n += fread(text + *n, 1, room - 1 - *n, stdin);
    if (*n < room - 1) break;
    char *wider = realloc(text, room *= 2);
    if (!wider) free(text);
    text = wider;
  }
  return text;
}

int main(int argc, char **argv)
{
  csv_sink sink = {put_head, put_row, argc == 2 ? argv[1] : NULL};
  csv_fault fault;
  size_t n;
  char *text;
  int rows;

  if (argc != 2) {
    fprintf(stderr, "use: csv2c NAME <table.csv >table.h\n");
    return 1;
  }
  text = drain(&n);
  if (!text) {
    fprintf(stderr, "csv2c: out of memory\n");
    return 1;
  }
  rows = csv_read(text, n, &sink, &fault);
  if (rows < 0) {
    fprintf(stderr, "%s%s%scsv2c: %s: line %d: %s\n", *fault.word ? "\"" : "",
            fault.word, *fault.word ? "\" " : "", argv[1], fault.line,
            fault.what);
  } else {
    printf("};\nenum { %s_count = %d };\n", argv[1], rows);
  }
  free(text);
  return rows < 0;
}
