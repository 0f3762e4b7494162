/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "formula.h"

#include <stdbool.h>
#include <string.h>

/* The text, how far it is read, and what was wrong first. */
typedef struct {
  const char *s;
  size_t n, at;
  lh_formula_fault fault;
} reader;

static bool is_digit(char c)
{
  return c >= '0' && c <= '9';
}

static bool is_upper(char c)
{
  return c >= 'A' && c <= 'Z';
}

static bool is_lower(char c)
{
  return c >= 'a' && c <= 'z';
}

/* The byte k further on; NUL at the end. */
static char peek(const reader *r, size_t k)
{
  return k < r->n - r->at ? r->s[r->at + k] : 0;
}

static bool fail(reader *r, lh_formula_why why, size_t at, size_t length)
{
  r->fault.why = why;
  r->fault.at = at;
  r->fault.length = length;
  return false;
}

/* Bytes of the character that stands here; 0 at the end. */
static size_t letter_length(const reader *r)
{
  size_t n = 1;

  if (r->at == r->n) return 0;
  while (((unsigned char)peek(r, n) & 0xC0u) == 0x80u) n++;
  return n;
}

static bool stands(const reader *r, const char *what)
{
  size_t n = strlen(what);

  return r->n - r->at >= n && memcmp(r->s + r->at, what, n) == 0;
}

/* Bytes of the join that stands here; 0 when none does. */
static size_t join_length(const reader *r)
{
  static const char join[][4] = {
      ".",
      "*",
      "\xC2\xB7",     /* middle dot                              */
      "\xE2\x80\xA2", /* bullet                                  */
      "\xE2\x88\x99", /* bullet operator                         */
      "\xE2\x8B\x85"  /* dot operator                            */
  };

  for (size_t i = 0; i < sizeof join / sizeof join[0]; i++)
    if (stands(r, join[i])) return strlen(join[i]);
  return 0;
}

static void skip_spaces(reader *r)
{
  while (peek(r, 0) == ' ' || peek(r, 0) == '\t') r->at++;
}

/* The value of the ASCII digits that stand here, read past. */
static double read_digits(reader *r)
{
  double v = 0.0;

  for (; is_digit(peek(r, 0)); r->at++)
    v = v * 10.0 + (double)(peek(r, 0) - '0');
  return v; /* 400 digits are inf and refused below as too large */
}

/* The fraction after a point or comma, read past. */
static double read_fraction(reader *r)
{
  double v = 0.0, scale = 1.0;

  r->at++;
  for (; is_digit(peek(r, 0)); r->at++) {
    if (scale < 1e15) { /* further digits are below the last bit */
      v = v * 10.0 + (double)(peek(r, 0) - '0');
      scale *= 10.0;
    }
  }
  return v / scale;
}

static bool check_number(reader *r, double v, size_t from)
{
  if (v > 0.0 && v <= LH_FORMULA_COUNT_MAX) return true;
  return fail(r, LH_FORMULA_NUMBER, from, r->at - from);
}

/* The number before a part: 1 when there is none. */
static bool read_leading(reader *r, double *v)
{
  size_t from = r->at;
  bool mark = peek(r, 0) == '.' || peek(r, 0) == ',';

  *v = 1.0;
  if (!is_digit(peek(r, 0)) && !(mark && is_digit(peek(r, 1)))) return true;
  *v = read_digits(r);
  if ((peek(r, 0) == '.' || peek(r, 0) == ',') && is_digit(peek(r, 1)))
    *v += read_fraction(r);
  return check_number(r, *v, from);
}

/* Does a symbol or group follow the digits after the mark k bytes on? */
static bool part_follows(const reader *r, size_t k)
{
  while (is_digit(peek(r, ++k))) continue;
  if ((peek(r, k) == '.' || peek(r, k) == ',') && is_digit(peek(r, k + 1)))
    while (is_digit(peek(r, ++k))) continue; /* .0.5H2O */
  while (peek(r, k) == ' ' || peek(r, k) == '\t') k++;
  return is_upper(peek(r, k)) || peek(r, k) == '(' || peek(r, k) == '[';
}

/* The numerals U+2080 to U+2089, three bytes each. */
static double read_lowered(reader *r)
{
  double v = 0.0;

  while (stands(r, "\xE2\x82") && (unsigned char)peek(r, 2) >= 0x80u &&
         (unsigned char)peek(r, 2) <= 0x89u) {
    v = v * 10.0 + (double)((unsigned char)peek(r, 2) - 0x80u);
    r->at += 3;
  }
  return v;
}

/* The number after a symbol or group: 1 when there is none. */
static bool read_trailing(reader *r, double *v)
{
  size_t from = r->at;
  bool small;
  char mark;

  *v = read_lowered(r);
  if (r->at != from) return check_number(r, *v, from);
  *v = 1.0;
  if (!is_digit(peek(r, 0))) return true;
  *v = read_digits(r);
  /* K0.6, Fe1.8: nobody writes 0 or 1 as a whole count. */
  small = r->at - from == 1 && *v <= 1.0;
  mark = peek(r, 0);
  if ((mark == '.' || mark == ',') && is_digit(peek(r, 1))) {
    if (small || !part_follows(r, 0))
      *v += read_fraction(r);
    else if (mark == ',')
      return fail(r, LH_FORMULA_COMMA, r->at, 1);
  }
  return check_number(r, *v, from);
}

/* An element's symbol: a capital and the small letters after it. */
static bool read_symbol(reader *r, double atoms[LH_ELEMENTS], size_t *element)
{
  size_t n = 1, e = LH_ELEMENTS;

  while (is_lower(peek(r, n))) n++;
  if (n <= 2) e = lh_element_find(r->s + r->at, n);
  if (e == LH_ELEMENTS) return fail(r, LH_FORMULA_ELEMENT, r->at, n);
  r->at += n;
  atoms[e] = 1.0;
  *element = e;
  return true;
}

static bool read_formula(reader *r, int depth, double atoms[LH_ELEMENTS]);

/* A group in brackets, without the number after it. */
static bool read_group(reader *r, int depth, double atoms[LH_ELEMENTS])
{
  size_t from = r->at;
  char close = peek(r, 0) == '(' ? ')' : ']';

  if (depth == LH_FORMULA_DEPTH) return fail(r, LH_FORMULA_DEEP, from, 1);
  r->at++;
  if (!read_formula(r, depth + 1, atoms)) return false;
  if (r->at == r->n) return fail(r, LH_FORMULA_OPEN, from, 1);
  if (peek(r, 0) != close) return fail(r, LH_FORMULA_CLOSE, r->at, 1);
  r->at++;
  return true;
}

/* Symbols and groups, each with its number, until something else stands. */
static bool read_items(reader *r, int depth, double times,
                       double atoms[LH_ELEMENTS])
{
  for (size_t items = 0;; items++) {
    double item[LH_ELEMENTS] = {0.0}, count;
    size_t e = 0;
    char c = peek(r, 0);
    if (is_upper(c)) {
      if (!read_symbol(r, item, &e)) return false;
    } else if (c == '(' || c == '[') {
      if (!read_group(r, depth, item)) return false;
    } else if (items > 0)
      return true;
    else if (r->at == r->n || c == ')' || c == ']' || join_length(r) > 0)
      return fail(r, LH_FORMULA_PART, r->at, letter_length(r));
    else
      return fail(r, LH_FORMULA_LETTER, r->at, letter_length(r));
    if (!read_trailing(r, &count)) return false;
    for (e = 0; e < LH_ELEMENTS; e++) atoms[e] += times * count * item[e];
  }
}

/* Parts joined, up to the end or a closing bracket. */
static bool read_formula(reader *r, int depth, double atoms[LH_ELEMENTS])
{
  for (;;) {
    double times;
    size_t join;
    skip_spaces(r);
    if (!read_leading(r, &times)) return false;
    skip_spaces(r);
    if (!read_items(r, depth, times, atoms)) return false;
    skip_spaces(r);
    if (r->at == r->n || peek(r, 0) == ')' || peek(r, 0) == ']') return true;
    join = join_length(r);
    if (!join && peek(r, 0) == ',') return fail(r, LH_FORMULA_COMMA, r->at, 1);
    if (!join) return fail(r, LH_FORMULA_LETTER, r->at, letter_length(r));
    r->at += join;
  }
}

static bool read_all(reader *r, double atoms[LH_ELEMENTS])
{
  double sum = 0.0;

  if (r->n > LH_FORMULA_MAX) return fail(r, LH_FORMULA_LONG, LH_FORMULA_MAX, 0);
  skip_spaces(r);
  if (r->at == r->n) return fail(r, LH_FORMULA_EMPTY, 0, r->n);
  if (!read_formula(r, 0, atoms)) return false;
  if (r->at != r->n) return fail(r, LH_FORMULA_CLOSE, r->at, 1);
  for (size_t e = 0; e < LH_ELEMENTS; e++) sum += atoms[e];
  if (!(sum > 0.0 && sum <= LH_FORMULA_COUNT_MAX))
    return fail(r, LH_FORMULA_NUMBER, 0, r->n);
  return true;
}

lh_status lh_formula_parse(const char *s, size_t n, lh_formula *f,
                           lh_formula_fault *fault)
{
  reader r = {s, n, 0, {LH_FORMULA_FINE, 0, 0}};
  lh_formula read = {{0.0}};
  bool done = read_all(&r, read.atoms);

  if (fault) *fault = r.fault;
  if (done) {
    *f = read;
    return LH_OK;
  }
  return r.fault.why == LH_FORMULA_LONG || r.fault.why == LH_FORMULA_DEEP
             ? LH_TOOLARGE
             : LH_INPUT;
}

double lh_formula_weight(const lh_formula *f)
{
  double sum = 0.0;

  for (size_t e = 0; e < LH_ELEMENTS; e++)
    sum += f->atoms[e] * lh_element_weight(e);
  return sum;
}

const char *lh_formula_text(lh_formula_why why)
{
  switch (why) {
#define X(name, text) \
  case name: return text;
    LH_FORMULA_LIST(X)
#undef X
  }
  return "unknown fault";
}
