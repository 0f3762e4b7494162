/* SPDX-License-Identifier: GPL-3.0-or-later */
/* csv2c.c -- turn a table into C, or fail the build.
**
**   csv2c NAME <table.csv >table.h
**
** Lines that open with '#' are notes; one of them must name a source, a
** memory or a judgement, or say that the table is invented.  The first other
** line names the columns.  Columns are numbers unless a note says
** "# text: name, formula".  An empty number becomes NAN.  A row with the
** wrong number of cells, a cell that is not a number, a file without rows:
** the line is named on stderr and the exit code is 1.
**
** All columns numbers:  static const double NAME[][COLUMNS]
** otherwise:            static const NAME_row NAME[], one field a column
** always:               enum { NAME_count = rows }
*/
#include <ctype.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CELLS = 128, LINE = 65536 };

static int line_no;
static char text_list[2048];

static void fail(const char *name, const char *what)
{
  fprintf(stderr, "csv2c: %s: line %d: %s\n", name, line_no, what);
  exit(1);
}

/* Read a line without its end; false at the end of the file. */
static bool read_line(const char *name, char line[LINE])
{
  size_t n = 0;
  int c = getchar();

  if (c == EOF) return false;
  line_no++;
  for (; c != EOF && c != '\n'; c = getchar()) {
    if (n + 1 == LINE) fail(name, "the line is too long");
    if (c < ' ' && c != '\t' && c != '\r') fail(name, "a control byte");
    line[n++] = (char)c;
  }
  while (n && isspace((unsigned char)line[n - 1])) n--;
  line[n] = 0;
  return true;
}

/* Split a line in place, honouring "quoted, cells"; gives the count. */
static int split(const char *name, char *s, char *cell[CELLS])
{
  int n = 0;

  for (;;) {
    char *out;
    if (n == CELLS) fail(name, "too many cells");
    if (*s == '"') {
      out = cell[n++] = ++s;
      while (*s && !(*s == '"' && s[1] != '"')) {
        if (*s == '"') s++;
        *out++ = *s++;
      }
      if (!*s) fail(name, "a quote is not closed");
      s++;
      if (*s && *s != ',') fail(name, "text after a closing quote");
    } else {
      out = cell[n++] = s;
      while (*s && *s != ',') out++, s++;
    }
    bool more = *s == ',';
    *out = 0;
    if (!more) return n;
    s++;
  }
}

static bool is_text(const char *column)
{
  char want[128];

  snprintf(want, sizeof want, ",%s,", column);
  return strstr(text_list, want) != NULL;
}

/* Keep the names of a "# text: a, b" note as ",a,b,". */
static void keep_text(const char *s)
{
  size_t n = 0;

  text_list[n++] = ',';
  for (; *s && n + 2 < sizeof text_list; s++)
    if (!isspace((unsigned char)*s)) text_list[n++] = *s;
  text_list[n++] = ',';
  text_list[n] = 0;
}

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

static void put_number(const char *name, const char *s)
{
  char *end;
  double v;

  if (!*s) {
    printf("NAN");
    return;
  }
  v = strtod(s, &end);
  /* only decimal digits: strtod would also take "0x10", "inf", " 1" */
  if (*end || !isfinite(v) || s[strspn(s, "0123456789.eE+-")]) {
    fprintf(stderr, "\"%s\" ", s);
    fail(name, "is not a number (say \"# text: column\" for words)");
  }
  printf("%.17g", v);
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

/* Every column has a name of its own, every word column is there. */
static void check_head(const char *name, char *column[CELLS], int columns)
{
  char list[sizeof text_list], *word;

  for (int i = 0; i < columns; i++) {
    if (!*column[i]) fail(name, "a column has no name");
    for (int j = 0; j < i; j++)
      if (!strcmp(column[i], column[j])) fail(name, "two columns of one name");
  }
  strcpy(list, text_list);
  for (word = strtok(list, ","); word; word = strtok(NULL, ",")) {
    int i = 0;
    while (i < columns && strcmp(column[i], word) != 0) i++;
    if (i < columns) continue;
    fprintf(stderr, "\"%s\" ", word);
    fail(name, "is named as a text column, but is no column");
  }
}

static void put_head(const char *name, char *column[CELLS], int columns)
{
  bool text = false;

  for (int i = 0; i < columns; i++) text = text || is_text(column[i]);
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
    printf("  %s", is_text(column[i]) ? "const char *" : "double ");
    put_name(column[i]);
    printf(";\n");
  }
  printf("} %s_row;\n__attribute__((unused)) static const %s_row %s[] = {\n",
         name, name, name);
}

int main(int argc, char **argv)
{
  static char line[LINE], head[LINE];
  char *column[CELLS], *cell[CELLS];
  const char *name = argc == 2 ? argv[1] : NULL;
  int columns = 0, rows = 0;
  bool origin = false;

  if (!name) {
    fprintf(stderr, "use: csv2c NAME <table.csv >table.h\n");
    return 1;
  }
  while (read_line(name, line)) {
    char *s = line;
    if (line_no == 1 && strncmp(s, "\xef\xbb\xbf", 3) == 0) s += 3;
    if (!*s) continue;
    if (*s == '#') {
      origin = origin || names_origin(s);
      if (strncmp(s, "# text:", 7) == 0) keep_text(s + 7);
      continue;
    }
    if (!columns) {
      strcpy(head, s);
      columns = split(name, head, column);
      check_head(name, column, columns);
      put_head(name, column, columns);
      continue;
    }
    if (split(name, s, cell) != columns)
      fail(name, "the number of cells differs from the heading's");
    printf("  {");
    for (int i = 0; i < columns; i++) {
      if (i) printf(", ");
      if (is_text(column[i]))
        put_text(cell[i]);
      else
        put_number(name, cell[i]);
    }
    printf("},\n");
    rows++;
  }
  if (!rows) fail(name, "the table has no rows");
  if (!origin) fail(name, "no note names a source, a memory or a judgement");
  printf("};\nenum { %s_count = %d };\n", name, rows);
  return 0;
}
