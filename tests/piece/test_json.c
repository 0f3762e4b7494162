/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_json.c -- text to document: where it is wrong, and what is not taken.
**
** Places are counted by hand: lines and characters from 1, as editors do.
*/
#include <math.h>
#include <stdlib.h>

#include "check.h"
#include "fields.h"

static lh_fault fault;
static json_t *json;

static lh_status parse_n(const char *text, size_t n)
{
  json_decref(json);
  fault = (lh_fault){0};
  return lh_json_parse(text, n, "my.json", &json, &fault);
}

static lh_status parse(const char *text)
{
  return parse_n(text, strlen(text));
}

/* RFC 8259 leaves it open where an error is noticed; a place is right when it
** is at the wrong token or at its end. */
static void wrong(const char *text, int line, int from, int to,
                  const char *words)
{
  char head[40];
  int at = 0;

  CHECK(parse(text) == LH_INPUT && !json, "%s is refused", words);
  snprintf(head, sizeof head, "my.json:%d:", line);
  if (strncmp(fault.where, head, strlen(head)) == 0)
    at = atoi(fault.where + strlen(head));
  CHECK(at >= from && at <= to, "  in line %d, character %d to %d: %s", line,
        from, to, fault.where);
  CHECK(*fault.what && *fault.todo, "  in words");
}

static void syntax(void)
{
  wrong("{\"a\": 1,, \"b\": 2}", 1, 8, 9, "a comma too many");
  wrong("{\"a\": 1\n \"b\": 2}", 2, 2, 4, "a comma too few");
  wrong("{\n  \"a\": 1,\n  \"b\": 01\n}", 3, 8, 9, "a leading zero");
  wrong("{\n  \"a\": nul\n}", 2, 8, 10, "a word cut short");
  wrong("{\"a\": NaN}", 1, 7, 9, "NaN");
  wrong("{\"a\": +1}", 1, 7, 8, "a plus sign");
  wrong("{\"a\": 1.}", 1, 7, 9, "a number cut short");
  wrong("{\"a\": 'b'}", 1, 7, 8, "single quotes");
  wrong("{\"a\": 1} {}", 1, 9, 11, "something behind the document");
  wrong("{\"a\": [1, 2}", 1, 12, 12, "a bracket closed by a brace");
  wrong("{\"a\": 1", 1, 7, 8, "an object not closed");
  wrong("{\"a\": \"b", 1, 7, 9, "a text not closed");
  wrong("{\"a\": 1e999}", 1, 7, 12, "a number past all doubles");
  wrong("{\"a\": \"\\u0000\"}", 1, 7, 14, "a NUL in a text");
  CHECK(!strstr(fault.what, "JSON_"), "  in no library's words");
  wrong("{\"a\": \"b\tc\"}", 1, 7, 9, "a bare tab in a text");
  wrong("// hello\n{}", 1, 1, 1, "a comment");
  /* Characters, not bytes: e acute is one. */
  wrong("{\"\xc3\xa9\xc3\xa9\xc3\xa9\": 1, x}", 1, 12, 13, "behind UTF-8");
}

static void ends_of_lines(void)
{
  wrong("{\r\n  \"a\": 1,\r\n  \"b\": x\r\n}", 3, 8, 9, "CRLF: the third line");
  CHECK(parse("{\r\n  \"a\": [1,\r\n 2]\r\n}\r\n") == LH_OK, "CRLF is taken");
  CHECK(parse("\xef\xbb\xbf{\"a\": 1}") == LH_OK,
        "a byte order mark is passed");
  wrong("\xef\xbb\xbf{\"a\": x}", 1, 7, 8, "behind a byte order mark");
  wrong("{\"a\": \xef\xbb\xbf 1}", 1, 7, 8, "a byte order mark in the middle");
  CHECK(parse(" \n\t {} \n ") == LH_OK, "space around is taken");
}

static void nothing(void)
{
  CHECK(parse("") == LH_INPUT, "an empty document is refused");
  CHECK_TEXT(fault.where, "my.json", "  at the file");
  CHECK(strstr(fault.what, "empty"), "  as empty");
  CHECK(parse("\xef\xbb\xbf") == LH_INPUT && strstr(fault.what, "empty"),
        "a byte order mark alone is empty");
  CHECK(parse(" \n ") == LH_INPUT, "space alone is refused");
  CHECK(parse_n("\0\0\0", 3) == LH_INPUT, "NULs are refused");
  CHECK(parse("\xff\xfe{\0}\0") == LH_INPUT, "UTF-16 is refused");
}

static void broken_text(void)
{
  wrong("{\"a\": \"\xff\"}", 1, 7, 9, "a byte that is no UTF-8");
  CHECK(strstr(fault.todo, "save the file as UTF-8"), "  and how to mend it");
  wrong("{\"a\": \"\xc3\"}", 1, 7, 9, "half a character");
  wrong("{\"a\": \"\xc0\xaf\"}", 1, 7, 9, "an overlong slash");
  wrong("{\"a\": \"\xed\xa0\x80\"}", 1, 7, 9, "a surrogate");
  wrong("{\"a\": \"\xf5\x80\x80\x80\"}", 1, 7, 9, "past the last character");
  wrong("{\n\n\"\xe9\": 1}", 3, 1, 3, "Latin-1 in a key");
  CHECK(parse("{\"a\": \"\\ud83d\\udc1f\"}") == LH_OK, "a pair of surrogates");
  CHECK_TEXT(json_string_value(json_object_get(json, "a")), "\xf0\x9f\x90\x9f",
             "is a fish");
  wrong("{\"a\": \"\\ud83d\"}", 1, 7, 14, "half a pair");
}

static void duplicates(void)
{
  wrong("{\"a\": 1, \"b\": 2, \"a\": 3}", 1, 18, 20, "a key given twice");
  CHECK(strstr(fault.what, "duplicate"), "  as a duplicate");
  wrong("{\n\"x\": [{\"a\": 1,\n\"a\": 1}]}", 3, 1, 3, "also further in");
  wrong("{\"a\": 1, \"\\u0061\": 2}", 1, 10, 17, "also when escaped");
}

static void depth(void)
{
  char text[400], brackets[71];
  int n = LH_NESTING_MOST;

  memset(brackets, '[', 70);
  brackets[70] = 0;
  memset(text, '[', (size_t)n);
  memset(text + n, ']', (size_t)n);
  CHECK(parse_n(text, (size_t)(2 * n)) == LH_OK, "%d deep is taken", n);
  memset(text, '[', (size_t)n + 1);
  memset(text + n + 1, ']', (size_t)n + 1);
  CHECK(parse_n(text, (size_t)(2 * n + 2)) == LH_INPUT, "%d deep is not",
        n + 1);
  CHECK_TEXT(fault.where, "my.json:1:65", "  where the last one opens");
  CHECK(strstr(fault.what, "64"), "  and how deep is taken");
  /* A quote that is escaped does not end the text. */
  snprintf(text, sizeof text, "[\"%.70s\\\"%.70s\"]", brackets, brackets);
  CHECK(parse(text) == LH_OK, "brackets in a text do not count");
}

static void huge(void)
{
  size_t n = LH_DOCUMENT_MOST;
  char *text = malloc(n + 1);

  if (!text) return;
  memset(text, ' ', n + 1);
  memcpy(text, "{}", 2);
  CHECK(parse_n(text, n) == LH_OK, "32 MB are taken");
  CHECK(parse_n(text, n + 1) == LH_TOOLARGE, "a byte more is not");
  CHECK(strstr(fault.what, "32 MB"), "  and how much is taken");
  CHECK(*fault.todo, "  and what to do");
  /* 1. A million brackets went down the reader's stack. */
  memset(text, '[', n);
  CHECK(parse_n(text, n) == LH_INPUT, "32 MB of brackets are refused");
  free(text);
}

/* ---- canonical text ----------------------------------------------------- */

static void canonical(void)
{
  char *text;

  CHECK(parse("{\"b\": 1.50, \"a\": [true, null, \"x\\/y\"], \"B\": 1e2,"
              " \"\xc3\xa9\": 0.1, \"aa\": {}}") == LH_OK,
        "a document");
  text = lh_json_text(json);
  /* RFC 8785, 3.2.3: keys by their UTF-16 units: B a aa b e-acute. */
  CHECK_TEXT(text,
             "{\n  \"B\": 100.0,\n  \"a\": [\n    true,\n    null,\n    "
             "\"x/y\"\n  ],\n  \"aa\": {},\n  \"b\": 1.5,\n  \"\xc3\xa9\": "
             "0.1\n}",
             "keys in order, numbers short");
  free(text);
  CHECK(parse("[0.30000000000000004, 12345678901234567, 1e22]") == LH_OK,
        "long numbers");
  text = lh_json_text(json);
  CHECK_TEXT(text, "[\n  0.3,\n  12345678901234567,\n  1e22\n]",
             "15 significant digits at most; whole numbers whole");
  free(text);
  CHECK(parse("5") == LH_OK, "a number alone is a document");
  text = lh_json_text(json);
  CHECK_TEXT(text, "5", "and comes out so");
  free(text);
}

/* ---- setting ------------------------------------------------------------ */

static lh_status set(const char *pointer, const char *value)
{
  fault = (lh_fault){0};
  return lh_json_set(json, pointer, value, &fault);
}

static void is(const char *want, const char *words)
{
  char *text =
      json_dumps(json, JSON_COMPACT | JSON_SORT_KEYS | JSON_REAL_PRECISION(15));

  CHECK_TEXT(text, want, "%s", words);
  free(text);
}

static void setting(void)
{
  parse("{\"a\": 1, \"l\": [1, {\"x\": 2}]}");
  CHECK(set("/a", "2,5") == LH_OK, "a decimal comma");
  CHECK(set("/b/c", "true") == LH_OK, "objects are made on the way");
  CHECK(set("/l/1/x", "\"3\"") == LH_OK, "into a list");
  CHECK(set("/l/-", "{\"y\": [1]}") == LH_OK, "at a list's end");
  CHECK(set("/m~1n~0o", "a word") == LH_OK, "text, under an escaped key");
  is("{\"a\":2.5,\"b\":{\"c\":true},\"l\":[1,{\"x\":\"3\"},{\"y\":[1]}],"
     "\"m/n~o\":\"a word\"}",
     "the document then");
  CHECK(set("/l/-/z", "1") == LH_OK, "a new object at a list's end");
  CHECK(set("/l/0", "[9]") == LH_OK, "one for another");
  CHECK(set("/a", "1.234,5") == LH_OK &&
            json_is_string(json_object_get(json, "a")),
        "two separators stay text, which the reader then refuses");
  CHECK(set("/a", "NaN") == LH_OK && json_is_string(json_object_get(json, "a")),
        "NaN stays text");
  CHECK(set("/a", "") == LH_OK, "nothing is an empty text");
}

static void not_setting(void)
{
  static const char *const bad[] = {"a",     "",     "/l/7",  "/l/x/y",
                                    "/l/01", "/a/b", "/l/-1", "/l/9999999999"};
  char deep[300] = "";

  parse("{\"a\": 1, \"l\": [1]}");
  for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
    CHECK(set(bad[i], "1") == LH_INPUT, "\"%s\" is no place", bad[i]);
    CHECK(strstr(fault.what, "no such place") && *fault.todo, "  and says so");
  }
  CHECK(set("/b", "\xff") == LH_INPUT && strstr(fault.todo, "UTF-8"),
        "a value that is not UTF-8");
  for (int i = 0; i < 65; i++) strcat(deep, "/x");
  CHECK(set(deep, "1") == LH_INPUT && strstr(fault.what, "64 deep"),
        "a place too deep");
  is("{\"a\":1,\"l\":[1]}", "the document stays as it was");
  parse("5");
  CHECK(set("/a", "1") == LH_INPUT, "nothing can be put into a number");
}

/* How many allocations are granted; below zero, all. */
static long granted = -1;

static void *grudging(size_t n)
{
  if (granted == 0) return NULL;
  if (granted > 0) granted--;
  return malloc(n);
}

/* Each allocation of a copy fails in turn: it is whole, or there is none. */
static void copying(void)
{
  static const char text[] =
      "{\"a\":[1,2.5,{\"b\":null,\"c\":\"d\"}],\"e\":{\"f\":[],\"g\":{}},"
      "\"h\":true,\"i\":[[1],[2,3]],\"j\":0,\"k\":\"l\"}";
  json_t *is, *copy, *top;
  int whole = 0, none = 0, halves = 0;

  json_set_alloc_funcs(grudging, free);
  is = json_loads(text, 0, NULL);
  for (long k = 0; k < 200; k++) {
    granted = k;
    copy = lh_json_copy(is);
    top = lh_json_copy_top(is);
    granted = -1;
    whole += json_equal(is, copy);
    none += !copy;
    halves += (copy && !json_equal(is, copy)) || (top && !json_equal(is, top));
    json_decref(copy);
    json_decref(top);
  }
  CHECK(halves == 0, "a copy is whole or none");
  CHECK(none > 20 && whole > 20, "of both some: %d and %d", none, whole);
  copy = lh_json_copy(is);
  CHECK(json_array_append_new(json_object_get(copy, "i"), json_null()) == 0 &&
            json_array_size(json_object_get(is, "i")) == 2,
        "and it is its own");
  json_decref(copy);
  json_decref(is);
  json_set_alloc_funcs(malloc, free);
}

int main(void)
{
  copying();
  syntax();
  ends_of_lines();
  nothing();
  broken_text();
  duplicates();
  depth();
  huge();
  canonical();
  setting();
  not_setting();
  json_decref(json);
  return CHECK_DONE();
}
