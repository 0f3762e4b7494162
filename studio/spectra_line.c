/* SPDX-License-Identifier: GPL-3.0-or-later */
/* spectra_line.c -- exchange text cut into lines of words.
**
** Words are parted by spaces and tabs; a word in quotes may hold them, "" in
** it is one quote; # begins a remark.
*/
#include <stdint.h>
#include <string.h>

#include "cells.h"
#include "spectra_room.h"

/* ---- bytes --------------------------------------------------------------- */

static bool begins(const char *s, size_t n, const char *what)
{
  size_t k = strlen(what);

  return n >= k && memcmp(s, what, k) == 0 &&
         (n == k || strchr(" \t\r\n", s[k]));
}

bool lh_spectra_is_exchange(const char *s, size_t n)
{
  bool top = true;

  if (n >= 3 && memcmp(s, "\xef\xbb\xbf", 3) == 0) s += 3, n -= 3;
  if (n >= 6 && memcmp(s, "CGATS.", 6) == 0) return true;
  for (; n; s++, n--) {
    if (top && *s != ' ' && *s != '\t' &&
        (begins(s, n, "BEGIN_DATA") || begins(s, n, "BEGIN_DATA_FORMAT")))
      return true;
    if (*s == '\n' || *s == '\r')
      top = true;
    else if (*s != ' ' && *s != '\t')
      top = false;
  }
  return false;
}

/* A copy of the file in which words can be ended; bytes that are no UTF-8 are
** taken as ISO 8859-1, all of them. */
static lh_status copy(const lh_spectra_work *w, lh_spectra_lines *x,
                      const unsigned char *s, size_t n)
{
  bool utf8 = true;
  char *to;

  if (n >= 3 && memcmp(s, "\xef\xbb\xbf", 3) == 0) s += 3, n -= 3;
  for (size_t i = 0, k; i < n && utf8; i += k) {
    k = lh_cells_character(s + i, n - i);
    utf8 = k > 0;
  }
  x->at = to = lh_arena_take(w->arena, 2 * n + 1, 1);
  if (!to) return LH_NOMEM;
  for (size_t i = 0; i < n; i++) {
    if (s[i] < 0x80 || utf8) {
      *to++ = (char)s[i];
    } else {
      *to++ = (char)(0xc0 | s[i] >> 6);
      *to++ = (char)(0x80 | (s[i] & 0x3f));
    }
  }
  x->end = to;
  *to = 0;
  return LH_OK;
}

/* Where x->at is; each byte is counted once, before words are written over. */
static lh_spectra_place here(lh_spectra_lines *x)
{
  for (; x->counted < x->at; x->counted++)
    x->column += (*x->counted & 0xc0) != 0x80;
  return (lh_spectra_place){x->line, x->column};
}

static bool line_ends(const lh_spectra_lines *x)
{
  return x->at == x->end || *x->at == '\n' || *x->at == '\r';
}

lh_status lh_spectra_lines_open(const lh_spectra_work *w, const void *bytes,
                                size_t n, lh_spectra_lines *x)
{
  *x = (lh_spectra_lines){0};
  /* A word is two bytes of the file at least, with what parts it. */
  x->room = n / 2 < LH_SPECTRA_WORDS ? n / 2 + 1 : LH_SPECTRA_WORDS;
  x->word = lh_arena_take(w->arena, x->room, sizeof *x->word);
  return x->word ? copy(w, x, bytes, n) : LH_NOMEM;
}

/* ---- words --------------------------------------------------------------- */

static bool is_control(char c)
{
  return ((unsigned char)c < ' ' && c != '\t') || c == 0x7f;
}

static lh_status control(const lh_spectra_work *w, lh_spectra_lines *x)
{
  return lh_spectra_fail(w, LH_INPUT, here(x), "export it as text",
                         "a control character, which no such file holds");
}

static lh_status quoted(const lh_spectra_work *w, lh_spectra_lines *x,
                        lh_spectra_word *to)
{
  char *put = x->at + 1;

  to->text = put;
  for (x->at++;; x->at++) {
    if (line_ends(x))
      return lh_spectra_fail(w, LH_INPUT, to->at,
                             "close it, or write \"\" for a quote inside",
                             "a quote is opened here and not closed");
    if (*x->at == '"') {
      if (x->at[1] != '"') break;
      x->at++;
    }
    if (is_control(*x->at)) return control(w, x);
  }
  x->at++;
  (void)here(x);
  for (const char *s = to->text; s + 1 < x->at; s++) {
    *put++ = *s;
    if (*s == '"') s++;
  }
  to->end = put;
  return LH_OK;
}

static lh_status next_word(const lh_spectra_work *w, lh_spectra_lines *x,
                           lh_spectra_word *to)
{
  to->at = here(x);
  if (*x->at == '"') {
    lh_status st = quoted(w, x, to);
    if (st == LH_OK && !line_ends(x) && *x->at != ' ' && *x->at != '\t')
      return lh_spectra_fail(w, LH_INPUT, here(x),
                             "write \"\" for a quote inside",
                             "there is text behind a closing quote");
    return st;
  }
  to->text = x->at;
  for (; !line_ends(x) && *x->at != ' ' && *x->at != '\t'; x->at++)
    if (is_control(*x->at)) return control(w, x);
  to->end = x->at;
  return LH_OK;
}

static lh_status line_words(const lh_spectra_work *w, lh_spectra_lines *x)
{
  while (!line_ends(x)) {
    lh_status st;
    if (*x->at == ' ' || *x->at == '\t') {
      x->at++;
      continue;
    }
    if (*x->at == '#') {
      while (!line_ends(x)) x->at++;
      break;
    }
    if (x->n == x->room)
      return lh_spectra_fail(
          w, LH_TOOLARGE, here(x), "keep the fields that are needed",
          "more than %d words in one line", LH_SPECTRA_WORDS);
    st = next_word(w, x, &x->word[x->n]);
    if (st != LH_OK) return st;
    x->n++;
  }
  return LH_OK;
}

lh_status lh_spectra_line(const lh_spectra_work *w, lh_spectra_lines *x)
{
  for (x->n = 0; x->n == 0 && x->at < x->end;) {
    lh_status st;
    x->counted = x->at;
    x->column = 1;
    x->line++;
    st = line_words(w, x);
    if (st != LH_OK) return st;
    if (x->at < x->end) x->at += *x->at == '\r' && x->at[1] == '\n' ? 2 : 1;
    for (size_t i = 0; i < x->n; i++) *x->word[i].end = 0;
  }
  return LH_OK;
}
