/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "number.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

/* A text being read: what is left of it, and the number as plain ASCII with
** a decimal point.  That copy goes to strtod, which rounds correctly; the
** program never leaves the "C" locale, so the point is understood. */
typedef struct {
  const char *s;
  size_t i, end; /* next byte, and one past the last that is not a space */
  char copy[LH_NUMBER_MAX + 1];
  size_t n;
  lh_number_why why;
} reader;

static bool is_digit(char c)
{
  return c >= '0' && c <= '9';
}

static bool is_space(char c)
{
  return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

/* Does a word stand here, in capitals or not? */
static bool word_here(const reader *r, const char *word)
{
  size_t n = strlen(word);

  if (r->end - r->i < n) return false;
  for (size_t k = 0; k < n; k++) {
    char c = r->s[r->i + k];
    if (c >= 'A' && c <= 'Z') c = (char)(c - 'A' + 'a');
    if (c != word[k]) return false;
  }
  return true;
}

static bool stop(reader *r, lh_number_why why)
{
  r->why = why;
  return false;
}

static size_t take_digits(reader *r)
{
  size_t from = r->i;

  while (r->i < r->end && is_digit(r->s[r->i])) r->copy[r->n++] = r->s[r->i++];
  return r->i - from;
}

static void take_sign(reader *r)
{
  if (r->i == r->end) return;
  if (r->s[r->i] == '-') r->copy[r->n++] = '-';
  if (r->s[r->i] == '-' || r->s[r->i] == '+') r->i++;
}

/* Signs that people put between thousands: space, apostrophe, underscore, and
** the UTF-8 of U+00A0, U+2009, U+202F (spaces) and U+2019 (apostrophe). */
static size_t grouping_here(const reader *r)
{
  static const char *const sign[] = {
      " ", "'", "_", "\xc2\xa0", "\xe2\x80\x89", "\xe2\x80\xaf", "\xe2\x80\x99",
  };

  for (size_t k = 0; k < sizeof sign / sizeof sign[0]; k++) {
    size_t n = strlen(sign[k]);
    if (r->end - r->i >= n && memcmp(r->s + r->i, sign[k], n) == 0) return n;
  }
  return 0;
}

/* Say what stands where the number should have ended. */
static bool explain_rest(reader *r, char separator)
{
  char c = r->s[r->i];
  size_t n = grouping_here(r);

  if ((c == '.' || c == ',') && separator)
    return stop(r, c == separator ? LH_NUMBER_GROUPED : LH_NUMBER_MIXED);
  if (n && r->end - r->i > n && is_digit(r->s[r->i + n]))
    return stop(r, LH_NUMBER_GROUPED);
  return stop(r, LH_NUMBER_SUFFIX);
}

static bool take_exponent(reader *r)
{
  r->copy[r->n++] = 'e';
  r->i++;
  take_sign(r);
  if (take_digits(r) == 0) {
    /* "12 e" and "12em" are words after a number, "1e" a cut one. */
    return stop(r, r->i == r->end ? LH_NUMBER_CUT : LH_NUMBER_SUFFIX);
  }
  return true;
}

static bool take_number(reader *r)
{
  size_t whole;
  char separator = 0;

  take_sign(r);
  if (word_here(r, "nan") || word_here(r, "inf"))
    return stop(r, LH_NUMBER_NOT_FINITE);
  if (word_here(r, "0x")) return stop(r, LH_NUMBER_HEX);
  whole = take_digits(r);
  if (r->i < r->end && (r->s[r->i] == '.' || r->s[r->i] == ',')) {
    separator = r->s[r->i];
    r->copy[r->n++] = '.';
    r->i++;
    if (take_digits(r) == 0) {
      if (r->i == r->end) return stop(r, LH_NUMBER_CUT);
      return whole ? explain_rest(r, separator) : stop(r, LH_NUMBER_SYMBOL);
    }
  } else if (whole == 0) {
    return stop(r, r->i == r->end ? LH_NUMBER_CUT : LH_NUMBER_SYMBOL);
  }
  if (r->i < r->end && (r->s[r->i] == 'e' || r->s[r->i] == 'E'))
    if (!take_exponent(r)) return false;
  if (r->i < r->end) return explain_rest(r, separator);
  return true;
}

/* Is any digit before the exponent other than 0? */
static bool is_nonzero(const reader *r)
{
  for (size_t k = 0; k < r->n && r->copy[k] != 'e'; k++)
    if (r->copy[k] >= '1' && r->copy[k] <= '9') return true;
  return false;
}

static lh_status read_whole(reader *r, double *value)
{
  double v;

  if (r->i == r->end) {
    stop(r, LH_NUMBER_EMPTY);
    return LH_INPUT;
  }
  if (r->end - r->i > LH_NUMBER_MAX) {
    stop(r, LH_NUMBER_LONG);
    return LH_TOOLARGE;
  }
  if (!take_number(r)) return LH_INPUT;
  r->copy[r->n] = 0;
  v = strtod(r->copy, NULL);
  if (isinf(v)) {
    stop(r, LH_NUMBER_HUGE);
    return LH_RANGE;
  }
  if (v == 0.0 && is_nonzero(r)) {
    stop(r, LH_NUMBER_TINY);
    return LH_RANGE;
  }
  *value = v + 0.0; /* minus zero becomes zero */
  return LH_OK;
}

lh_status lh_number_read(const char *s, size_t n, double *value,
                         lh_number_why *why, size_t *at)
{
  reader r = {.s = s, .end = n, .why = LH_NUMBER_FINE};
  size_t first;
  lh_status st;

  assert((s || n == 0) && value);
  while (r.i < r.end && is_space(s[r.i])) r.i++;
  while (r.end > r.i && is_space(s[r.end - 1])) r.end--;
  first = r.i;
  st = read_whole(&r, value);
  if (why) *why = r.why;
  /* What is wrong with a whole number is shown at its beginning. */
  if (at) *at = st == LH_RANGE || st == LH_TOOLARGE ? first : r.i;
  return st;
}

const char *lh_number_what(lh_number_why why)
{
  switch (why) {
#define X(name, what, todo) \
  case name: return what;
    LH_NUMBER_LIST(X)
#undef X
  }
  return "not a number";
}

const char *lh_number_todo(lh_number_why why)
{
  switch (why) {
#define X(name, what, todo) \
  case name: return todo;
    LH_NUMBER_LIST(X)
#undef X
  }
  return "write an ordinary number";
}
