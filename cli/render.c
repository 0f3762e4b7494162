/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "render.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

bool lh_render_colour(FILE *out)
{
  const char *no = getenv("NO_COLOR");
  const char *term = getenv("TERM");

  if (no && *no) return false;
  if (term && strcmp(term, "dumb") == 0) return false;
  return isatty(fileno(out)) == 1;
}

/* Characters, not bytes: continuation bytes of UTF-8 take no column. */
static int width_of(const char *s)
{
  int n = 0;

  for (; *s; s++) n += ((unsigned char)*s & 0xc0) != 0x80;
  return n;
}

static bool is_figure(const char *s)
{
  if (*s == '-' || *s == '+' || *s == '<' || *s == '>') s++;
  if (strncmp(s, "\xe2\x88\x92", 3) == 0) s += 3; /* a minus sign */
  return *s >= '0' && *s <= '9';
}

static bool is_row(const lh_line *x)
{
  return x && (x->kind == LH_LINE_ROW || x->kind == LH_LINE_HEAD);
}

static void measure(const lh_line *x, int width[LH_CELLS], bool right[LH_CELLS])
{
  for (int i = 0; i < LH_CELLS; i++) width[i] = 0, right[i] = false;
  for (; is_row(x); x = x->next) {
    for (size_t i = 0; i < x->cells; i++) {
      int w = width_of(x->cell[i]);
      if (w > width[i]) width[i] = w;
      if (x->kind == LH_LINE_ROW && is_figure(x->cell[i])) right[i] = true;
    }
  }
}

static void row(const lh_line *x, const int width[LH_CELLS],
                const bool right[LH_CELLS], bool colour, FILE *out)
{
  if (colour && x->kind == LH_LINE_HEAD) fputs("\033[2m", out);
  for (size_t i = 0; i < x->cells; i++) {
    int gap = width[i] - width_of(x->cell[i]);
    bool lead =
        right[i] && i > 0 && (is_figure(x->cell[i]) || x->kind == LH_LINE_HEAD);
    bool last = i + 1 == x->cells;
    fputs("  ", out);
    if (lead) fprintf(out, "%*s", gap, "");
    fputs(x->cell[i], out);
    if (!lead && !last) fprintf(out, "%*s", gap, "");
  }
  if (colour && x->kind == LH_LINE_HEAD) fputs("\033[0m", out);
  fputc('\n', out);
}

/* Text in lines of at most 78 columns, the later ones indented. */
static void wrapped(const char *s, int indent, FILE *out)
{
  int column = indent;

  while (*s) {
    size_t n = strcspn(s, " \n");
    char word[512];
    int w;
    if (n >= sizeof word) n = sizeof word - 1;
    memcpy(word, s, n);
    word[n] = 0;
    w = width_of(word);
    if (column > indent && column + 1 + w > 78) {
      fprintf(out, "\n%*s", indent, "");
      column = indent;
    } else if (column > indent) {
      fputc(' ', out);
      column++;
    }
    fputs(word, out);
    column += w;
    s += n;
    while (*s == ' ' || *s == '\n') s++;
  }
  fputc('\n', out);
}

static void verdict(const lh_line *x, bool colour, FILE *out)
{
  const char *word = x->kind == LH_LINE_OK        ? "ok"
                     : x->kind == LH_LINE_CAUTION ? "caution"
                                                  : "stop";
  const char *paint = x->kind == LH_LINE_OK        ? "\033[32m"
                      : x->kind == LH_LINE_CAUTION ? "\033[33m"
                                                   : "\033[1;31m";

  fprintf(out, "  %s%-8s%s %s%s%s\n", colour ? paint : "", word,
          colour ? "\033[0m" : "", colour ? "\033[1m" : "", x->cell[0],
          colour ? "\033[0m" : "");
  for (size_t i = 1; i < x->cells; i++) {
    if (!*x->cell[i]) continue;
    fprintf(out, "%11s", "");
    if (i == 2) fputs("\xe2\x86\x92 ", out);
    wrapped(x->cell[i], i == 2 ? 13 : 11, out);
  }
}

void lh_render_lines(const lh_line *x, bool colour, FILE *out)
{
  int width[LH_CELLS];
  bool right[LH_CELLS];

  for (bool first = true; x; x = x->next, first = false) {
    switch (x->kind) {
    case LH_LINE_TITLE:
      fprintf(out, "%s%s%s%s\n", first ? "" : "\n", colour ? "\033[1m" : "",
              x->cell[0], colour ? "\033[0m" : "");
      break;
    case LH_LINE_TEXT:
      fputs("  ", out);
      wrapped(x->cell[0], 2, out);
      break;
    case LH_LINE_ROW:
    case LH_LINE_HEAD:
      measure(x, width, right);
      for (;; x = x->next) {
        row(x, width, right, colour, out);
        if (!is_row(x->next)) break;
      }
      break;
    case LH_LINE_OK:
    case LH_LINE_CAUTION:
    case LH_LINE_STOP: verdict(x, colour, out); break;
    }
  }
}

void lh_render_fault(const lh_fault *fault, bool colour, FILE *out)
{
  fprintf(out, "%s%s%s: %s\n", colour ? "\033[1m" : "",
          *fault->where ? fault->where : "leatherhard", colour ? "\033[0m" : "",
          *fault->what ? fault->what : lh_status_text(fault->status));
  if (*fault->todo) fprintf(out, "  %s\n", fault->todo);
}
