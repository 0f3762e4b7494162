/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_fields.c -- a table of fields reads, refuses and publishes alike.
**
** Oracles: the table itself, read by eye below; RFC 6901 for pointers; JSON
** Schema 2020-12 for the words of the schema.
*/
#include <math.h>
#include <stdlib.h>

#include "check.h"
#include "fields.h"
#include "heap.h"

/* ---- a table with a row of each kind ------------------------------------ */

typedef struct {
  double width;
} sub;

typedef struct {
  double free_number, number, length;
  long count, none;
  bool flag;
  const char *text, *note;
  int choice, no_choice;
  sub *object;
  lh_list list, numbers, texts, amounts;
  double *spectrum;
  json_t *json;
} all;

static const char *const colours[] = {"white", "cobalt blue", "black", NULL};
static const lh_field sub_rows[] = {
    LH_NUMBER(sub, width, "width", true, 1, 9, NAN, "mm", "How wide."),
};
static const lh_fields sub_table = LH_FIELDS("sub", sub, sub_rows);

static const lh_field rows[] = {
    LH_NUMBER(all, free_number, "free", false, NAN, NAN, NAN, NULL, "Any."),
    LH_NUMBER(all, number, "number", false, -1, 10, 2.5, "parts", "Some."),
    LH_NUMBER(all, length, "length", false, 0, 1000, NAN, "mm", "How long."),
    LH_COUNT(all, count, "count", false, 1, 100, 7, "How many."),
    LH_COUNT(all, none, "none", false, NAN, NAN, NAN, "No default."),
    LH_FLAG(all, flag, "flag", 1, "Yes unless no."),
    LH_TEXT(all, text, "text", false, "One line."),
    LH_NOTE(all, note, "note", false, "Several lines."),
    LH_CHOICE(all, choice, "choice", false, colours, 1, "Which."),
    LH_CHOICE(all, no_choice, "no_choice", false, colours, NAN, "Or none."),
    LH_OBJECT(all, object, "object", false, sub_table, "One below."),
    LH_LIST(all, list, "list", false, sub_table, 3, "Some below."),
    {.key = "numbers",
     .kind = LH_F_NUMBERS,
     .offset = offsetof(all, numbers),
     .least = 0,
     .most = 5,
     .otherwise = NAN,
     .most_items = 4,
     .help = "A few."},
    {.key = "texts",
     .kind = LH_F_TEXTS,
     .offset = offsetof(all, texts),
     .otherwise = NAN,
     .help = "Names."},
    LH_AMOUNTS(all, amounts, "amounts", false, 0, 100, "wt%", "Oxides."),
    LH_SPECTRUM_OF(all, spectrum, "spectrum", false, 0, 1, "fraction", "R."),
    {.key = "json",
     .kind = LH_F_JSON,
     .offset = offsetof(all, json),
     .otherwise = NAN,
     .help = "Anything."},
};
static const lh_fields table = LH_FIELDS("all", all, rows);

/* ---- reading ------------------------------------------------------------ */

static lh_arena arena;
static lh_fault fault;
static all got;
static json_t *document;

static lh_status take(const char *text)
{
  json_error_t e;

  json_decref(document);
  document = json_loads(text, JSON_DECODE_ANY, &e);
  if (!document) {
    printf("Bail out! %s: %s\n", text, e.text);
    exit(1);
  }
  fault = (lh_fault){0};
  return lh_fields_read(&table, document, NULL, &arena, &got, &fault);
}

static void refused(const char *text, lh_status st, const char *where,
                    const char *what, const char *todo)
{
  lh_status was = take(text);

  CHECK(was == st && fault.status == st, "%s is refused as %s", text,
        lh_status_text(st));
  CHECK_TEXT(fault.where, where, "  at %s", where);
  CHECK(strstr(fault.what, what), "  says \"%s\"", what);
  CHECK(strstr(fault.todo, todo), "  what to do: \"%s\"", todo);
  if (!strstr(fault.what, what) || !strstr(fault.todo, todo))
    printf("# what \"%s\", todo \"%s\"\n", fault.what, fault.todo);
}

static void defaults(void)
{
  CHECK(take("{}") == LH_OK, "an empty object is taken");
  CHECK(isnan(got.free_number), "an absent number without default is NAN");
  CHECK_NEAR(got.number, 2.5, 0, "an absent number is its default");
  CHECK(got.count == 7 && got.none == -1, "an absent count: default, or -1");
  CHECK(got.flag, "an absent flag is its default");
  CHECK(!got.text && !got.note, "an absent text is NULL");
  CHECK(got.choice == 1 && got.no_choice == -1, "an absent choice likewise");
  CHECK(!got.object && !got.spectrum && !got.json, "absent objects are NULL");
  CHECK(got.list.count == 0 && got.numbers.count == 0 && got.texts.count == 0 &&
            got.amounts.count == 0,
        "absent lists are empty");
  /* null stands for "not given". */
  CHECK(take("{\"number\": null, \"count\": null, \"flag\": null,"
             " \"text\": null, \"choice\": null, \"object\": null,"
             " \"list\": null, \"numbers\": null, \"amounts\": null,"
             " \"spectrum\": null, \"json\": null}") == LH_OK,
        "null is taken everywhere");
  CHECK_NEAR(got.number, 2.5, 0, "null for a number is its default");
  CHECK(got.flag && got.count == 7 && got.choice == 1 && !got.text &&
            !got.object && got.list.count == 0 && !got.spectrum,
        "null elsewhere too");
  CHECK(json_is_null(got.json), "but null for anything is null");
}

static void everything(void)
{
  const double *x;
  const sub *s;
  const lh_amount *a;

  CHECK(take("{\"free\": -1e300, \"number\": 10, \"length\": \"2,5\","
             " \"count\": \"12\", \"flag\": false, \"text\": \"caf\\u00e9\","
             " \"note\": \"one\\n\\ttwo\", \"choice\": \"black\","
             " \"object\": {\"width\": 9},"
             " \"list\": [{\"width\": 1}, {\"width\": \"1.5\"}],"
             " \"numbers\": [0, \"0,5\", 5], \"texts\": [\"a\", \"b\"],"
             " \"amounts\": {\"SiO2\": 60, \"LOI\": \"1,5\"},"
             " \"spectrum\": 0.25, \"json\": [1, {}]}") == LH_OK,
        "each kind is taken: %s", fault.what);
  CHECK_NEAR(got.free_number, -1e300, 0, "a number without limits");
  CHECK_NEAR(got.number, 10, 0, "a limit itself is within");
  CHECK_NEAR(got.length, 2.5, 0, "a decimal comma in a text");
  CHECK(got.count == 12, "a count as text");
  CHECK(!got.flag, "a flag");
  CHECK_TEXT(got.text, "caf\xc3\xa9", "a text");
  CHECK_TEXT(got.note, "one\n\ttwo", "a note keeps its lines");
  CHECK(got.choice == 2, "a choice is its place");
  CHECK_NEAR(got.object ? got.object->width : NAN, 9, 0, "an object");
  s = got.list.items;
  CHECK(got.list.count == 2, "a list has its length");
  CHECK_NEAR(s[1].width, 1.5, 0, "a list's item");
  x = got.numbers.items;
  CHECK(got.numbers.count == 3, "numbers");
  CHECK_NEAR(x[1], 0.5, 0, "a number of them");
  CHECK(got.texts.count == 2, "texts");
  CHECK_TEXT(((const char **)got.texts.items)[1], "b", "a text of them");
  a = got.amounts.items;
  CHECK(got.amounts.count == 2, "amounts");
  CHECK_TEXT(a[1].name, "LOI", "an amount's name, in the document's order");
  CHECK_NEAR(a[1].value, 1.5, 0, "an amount's value");
  CHECK(got.json && json_array_size(got.json) == 2, "any JSON is borrowed");
  CHECK(take("{\"free\": 3, \"free\": 4}") == LH_OK,
        "(duplicates are json.c's)");
}

static void spectra(void)
{
  char text[400] = "{\"spectrum\": [0";
  bool flat = true;

  CHECK(take("{\"spectrum\": 0.25}") == LH_OK, "one number is a flat spectrum");
  for (int i = 0; i < LH_SPECTRUM; i++)
    flat = flat && !(got.spectrum[i] != 0.25);
  CHECK(flat, "all 36 of it");
  for (int i = 1; i < LH_SPECTRUM; i++) strcat(text, i == 35 ? ",1" : ",0.5");
  strcat(text, "]}");
  CHECK(take(text) == LH_OK, "36 numbers are taken");
  CHECK_NEAR(got.spectrum[35], 1, 0, "the last is at 730 nm");
  refused("{\"spectrum\": [0.1, 0.2]}", LH_INPUT, "/spectrum", "2 numbers",
          "36 numbers for 380 to 730 nm");
  refused("{\"spectrum\": []}", LH_INPUT, "/spectrum", "0 numbers",
          "one number");
  refused("{\"spectrum\": 1.5}", LH_RANGE, "/spectrum", "too large",
          "at most 1");
  *strstr(text, ",0.5") = ' '; /* "[0 0.5": not JSON any more; mend it so */
  memcpy(strstr(text, "[0 "), "[2,", 3);
  refused(text, LH_RANGE, "/spectrum/0", "2 is too large", "at most 1");
}

static void numbers(void)
{
  refused("{\"number\": 10.5}", LH_RANGE, "/number", "10.5 parts is too large",
          "give at most 10 parts");
  refused("{\"number\": -1.5}", LH_RANGE, "/number", "too small",
          "give at least -1 parts");
  refused("{\"number\": \"NaN\"}", LH_INPUT, "/number", "NaN",
          "ordinary number");
  refused("{\"number\": \"Infinity\"}", LH_INPUT, "/number", "infinity",
          "number");
  refused("{\"number\": \"1.234,5\"}", LH_INPUT, "/number", "point and a comma",
          "one decimal");
  refused("{\"number\": \"\"}", LH_INPUT, "/number", "no number here", "1.5");
  refused("{\"number\": true}", LH_INPUT, "/number", "not true or false",
          "a number");
  refused("{\"number\": [1]}", LH_INPUT, "/number", "not a list", "a number");
  refused("{\"number\": {}}", LH_INPUT, "/number", "not an object", "a number");
  refused("{\"count\": 2.5}", LH_RANGE, "/count", "whole number",
          "whole number");
  refused("{\"count\": \"2,5\"}", LH_RANGE, "/count", "whole number", "whole");
  refused("{\"count\": 101}", LH_RANGE, "/count", "too large", "at most 100");
  refused("{\"none\": 5000000000}", LH_RANGE, "/none", "whole number", "whole");
  refused("{\"numbers\": [1, 2, 6]}", LH_RANGE, "/numbers/2", "too large", "5");
  refused("{\"amounts\": {\"SiO2\": 101}}", LH_RANGE, "/amounts/SiO2",
          "101 wt% is too large", "100");
  /* The international inch is 25.4 mm exactly (NIST SP 811, appendix B). */
  CHECK(take("{\"length\": \"8,5 in\"}") == LH_OK, "inches are taken for mm");
  CHECK_NEAR(got.length, 215.9, 1e-12, "8,5 in are 215.9 mm");
  refused("{\"length\": \"40 in\"}", LH_RANGE, "/length",
          "1016 mm is too large", "1000 mm");
  refused("{\"length\": \"3 oz\"}", LH_INPUT, "/length", "after the number",
          "mm, cm, in");
  refused("{\"number\": \"3 in\"}", LH_INPUT, "/number", "after the number",
          "number alone");
}

static void words(void)
{
  refused("{\"flag\": 1}", LH_INPUT, "/flag", "not a number", "true or false");
  refused("{\"flag\": \"true\"}", LH_INPUT, "/flag", "not a text", "true or");
  refused("{\"text\": 5}", LH_INPUT, "/text", "a text is wanted", "a text");
  refused("{\"text\": \"a\\tb\"}", LH_INPUT, "/text", "control", "one line");
  refused("{\"text\": \"a\\u001bb\"}", LH_INPUT, "/text", "control",
          "take it out");
  refused("{\"note\": \"a\\u001bb\"}", LH_INPUT, "/note", "control",
          "take it out");
  refused("{\"text\": \"a\\u009bb\"}", LH_INPUT, "/text", "control",
          "take it out");
  refused("{\"texts\": [\"a\", 1]}", LH_INPUT, "/texts/1", "a text is wanted",
          "a text");
  refused("{\"choice\": \"blak\"}", LH_INPUT, "/choice",
          "\"blak\" is not known; the nearest is \"black\"",
          "use one of: white, cobalt blue, black");
  refused("{\"choice\": \"Black\"}", LH_INPUT, "/choice",
          "nearest is \"black\"", "use one of");
  refused("{\"choice\": \"zzzzzzzz\"}", LH_INPUT, "/choice",
          "\"zzzzzzzz\" is not known", "use one of");
  CHECK(!strstr(fault.what, "nearest"), "  and no wild guess is made");
  refused("{\"choice\": 1}", LH_INPUT, "/choice", "a text is wanted", "a text");
}

static void keys(void)
{
  refused("{\"nubmer\": 1}", LH_INPUT, "/nubmer",
          "\"nubmer\" is not known; the nearest is \"number\"",
          "write \"number\"");
  refused("{\"object\": {\"widht\": 1}}", LH_INPUT, "/object/widht",
          "nearest is \"width\"", "write");
  refused("{\"qqqqqqqqqqqqq\": 1}", LH_INPUT, "/qqqqqqqqqqqqq", "not known",
          "known here: free, number,");
  refused("{\"object\": {}}", LH_INPUT, "/object/width", "\"width\" is missing",
          "give width: How wide.");
  refused("{\"object\": {\"width\": null}}", LH_INPUT, "/object/width",
          "is missing", "give width");
  refused("{\"object\": []}", LH_INPUT, "/object",
          "an object is wanted, not a "
          "list",
          "an object");
  refused("[]", LH_INPUT, "/", "an object is wanted, not a list", "an object");
  refused("5", LH_INPUT, "/", "an object is wanted, not a number", "object");
  refused("null", LH_INPUT, "/", "an object is wanted, not null", "object");
}

static void lists(void)
{
  refused("{\"list\": [{\"width\": 1}, {\"width\": 10}]}", LH_RANGE,
          "/list/1/width", "too large", "at most 9");
  refused("{\"list\": [{\"width\": 1}, 5]}", LH_INPUT, "/list/1",
          "an object is wanted", "object");
  refused("{\"list\": {}}", LH_INPUT, "/list", "a list is wanted", "a list");
  refused("{\"list\": [{}, {}, {}, {}]}", LH_TOOLARGE, "/list",
          "holds 4, more than the 3", "all but 3");
  refused("{\"numbers\": [1, 2, 3, 4, 5]}", LH_TOOLARGE, "/numbers",
          "more than", "4");
  refused("{\"amounts\": []}", LH_INPUT, "/amounts", "an object", "an object");
  CHECK(take("{\"list\": [], \"numbers\": [], \"amounts\": {}}") == LH_OK,
        "empty lists are taken");
}

/* RFC 6901: ~ is ~0, / is ~1; a pointer that is too long is cut. */
static void pointers(void)
{
  lh_at a = {NULL, "a/b", 0}, b = {&a, "m~n", 0}, c = {&b, NULL, 12};
  lh_at d = {&c, "", 0};
  char text[64], small[8];

  lh_at_pointer(NULL, text, sizeof text);
  CHECK_TEXT(text, "/", "the whole document");
  lh_at_pointer(&c, text, sizeof text);
  CHECK_TEXT(text, "/a~1b/m~0n/12", "~ and / are escaped");
  lh_at_pointer(&d, text, sizeof text);
  CHECK_TEXT(text, "/a~1b/m~0n/12/", "an empty key");
  memset(small, 'x', sizeof small);
  lh_at_pointer(&c, small, sizeof small);
  CHECK(strlen(small) < sizeof small &&
            strncmp(text, small, strlen(small)) == 0,
        "a pointer is cut to its room");
  refused("{\"a/b~c\": 1}", LH_INPUT, "/a~1b~0c", "\"a/b~c\" is not known", "");
  refused("{\"amounts\": {\"K2O/Na2O\": -1}}", LH_RANGE, "/amounts/K2O~1Na2O",
          "too small", "at least 0");
}

/* What a fault quotes: the bytes are anybody's. */
static void quotes(void)
{
  char text[400] = "{\"";
  bool whole = true;

  refused("{\"a\\u001b[31mb\\nc\": 1}", LH_INPUT, "/a?[31mb c",
          "\"a?[31mb c\" is not known", "");
  /* 1. A name cut inside a character left broken UTF-8 behind. */
  for (int i = 0; i < 90; i++) strcat(text, i % 2 ? "\xe2\x82\xac" : "a");
  strcat(text, "\": 1}");
  CHECK(take(text) == LH_INPUT, "a long key of three-byte letters is refused");
  {
    json_t *s = json_string(fault.what), *w = json_string(fault.where);
    whole = s && w;
    json_decref(s);
    json_decref(w);
  }
  CHECK(whole, "and quoted in whole UTF-8 (jansson's own check)");
}

/* ---- the schema --------------------------------------------------------- */

static const json_t *of(const json_t *schema, const char *key)
{
  return json_object_get(json_object_get(schema, "properties"), key);
}

/* The part of an optional field that is not null. */
static const json_t *given(const json_t *s)
{
  return json_array_get(json_object_get(s, "anyOf"), 0);
}

static double number_of(const json_t *s, const char *key)
{
  return json_number_value(json_object_get(s, key));
}

static void schema(void)
{
  json_t *s = lh_fields_schema(&table);
  const json_t *x;
  size_t n = sizeof rows / sizeof rows[0];

  CHECK(s != NULL, "there is a schema");
  CHECK_TEXT(json_string_value(json_object_get(s, "$schema")),
             "https://json-schema.org/draft/2020-12/schema", "of 2020-12");
  CHECK(json_object_size(json_object_get(s, "properties")) == n,
        "with every field and no other");
  CHECK(json_is_false(json_object_get(s, "additionalProperties")),
        "unknown keys are refused there too");
  CHECK(!json_object_get(s, "required"), "nothing is required here");
  x = given(of(s, "number"));
  CHECK_NEAR(number_of(x, "minimum"), -1, 0, "least");
  CHECK_NEAR(number_of(x, "maximum"), 10, 0, "most");
  CHECK_NEAR(number_of(of(s, "number"), "default"), 2.5, 0, "default");
  CHECK_TEXT(json_string_value(json_object_get(of(s, "number"), "description")),
             "Some. [parts]", "help and unit");
  x = given(of(s, "free"));
  CHECK(x && !json_object_get(x, "minimum") && !json_object_get(x, "maximum"),
        "no limits where there are none");
  CHECK_TEXT(json_string_value(json_object_get(of(s, "choice"), "default")),
             "cobalt blue", "default of a choice by its word");
  CHECK(json_array_size(json_object_get(given(of(s, "choice")), "enum")) == 3,
        "all choices");
  x = given(of(s, "list"));
  CHECK_NEAR(number_of(x, "maxItems"), 3, 0, "longest list");
  x = json_object_get(x, "items");
  CHECK(json_array_size(json_object_get(x, "required")) == 1,
        "a required key of a list's item");
  CHECK(!given(of(x, "width")), "which cannot be null");
  json_decref(s);
}

static void help(void)
{
  char *text = NULL;
  size_t size = 0, missing = 0;
  FILE *out = open_memstream(&text, &size);

  lh_fields_help(&table, 2, out);
  fclose(out);
  for (size_t i = 0; i < table.count; i++)
    if (!strstr(text, rows[i].key) || !strstr(text, rows[i].help)) missing++;
  CHECK(missing == 0, "the help names every key and says its sentence");
  CHECK(strstr(text, "[parts], -1 to 10, default 2.5"),
        "with unit, limits and default");
  CHECK(strstr(text, "one of white, cobalt blue, black, default cobalt blue"),
        "and choices");
  CHECK(strstr(text, "required"), "and what is required");
  free(text);
}

int main(void)
{
  lh_heap_open(&arena);
  defaults();
  everything();
  spectra();
  numbers();
  words();
  keys();
  lists();
  pointers();
  quotes();
  schema();
  help();
  json_decref(document);
  lh_heap_free(&arena);
  return CHECK_DONE();
}
