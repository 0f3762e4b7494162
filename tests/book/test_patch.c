/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pointers and patches against the examples of their standards: RFC 6901
** section 5, RFC 6902 appendix A.1 to A.16; the way back of each; what is
** refused; which edits meet, and what becomes of those that do not. */
#include <stdlib.h>

#include "check.h"
#include "fields.h"
#include "patch.h"

static json_t *json_of(const char *text)
{
  lh_fault fault = {0};
  json_t *v = NULL;

  if (lh_json_parse(text, strlen(text), "test", &v, &fault) != LH_OK)
    printf("# %s: %s\n", text, fault.what);
  return v;
}

static char *text_of(const json_t *v)
{
  static char text[4][4096];
  static int k;
  char *s = v ? lh_json_line(v) : NULL;

  k = (k + 1) % 4;
  snprintf(text[k], sizeof text[k], "%s", s ? s : "(nothing)");
  free(s);
  return text[k];
}

/* RFC 6901 section 5: the document and what each pointer evaluates to. */
static void pointers(void)
{
  static const struct {
    const char *pointer, *value;
  } row[] = {{"/foo", "[\"bar\",\"baz\"]"},
             {"/foo/0", "\"bar\""},
             {"/", "0"},
             {"/a~1b", "1"},
             {"/c%d", "2"},
             {"/e^f", "3"},
             {"/g|h", "4"},
             {"/i\\j", "5"},
             {"/k\"l", "6"},
             {"/ ", "7"},
             {"/m~0n", "8"}};
  json_t *d = json_of("{\"foo\":[\"bar\",\"baz\"],\"\":0,\"a/b\":1,\"c%d\":2,"
                      "\"e^f\":3,\"g|h\":4,\"i\\\\j\":5,\"k\\\"l\":6,\" \":7,"
                      "\"m~n\":8}");

  CHECK(lh_pointer_find(d, "") == d, "RFC 6901 5: \"\" is the whole document");
  for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
    CHECK_TEXT(text_of(lh_pointer_find(d, row[i].pointer)), row[i].value,
               "RFC 6901 5: %s", row[i].pointer);
  }
  CHECK(!lh_pointer_find(d, "foo"), "a pointer opens with /");
  CHECK(!lh_pointer_find(d, "/foo/00"), "RFC 6901 4: no leading zeros");
  CHECK(!lh_pointer_find(d, "/foo/2"), "past the end of a list is nothing");
  CHECK(!lh_pointer_find(d, "/foo/-"), "- is no element that is there");
  CHECK(!lh_pointer_find(d, "/m~2n"), "RFC 6901 3: ~ is followed by 0 or 1");
  json_decref(d);
}

/* Appendix A of RFC 6902.  `after` NULL: an error is wanted. */
static const struct {
  const char *section, *document, *patch, *after;
} rfc[] = {
    {"A.1 adding an object member", "{\"foo\":\"bar\"}",
     "[{\"op\":\"add\",\"path\":\"/baz\",\"value\":\"qux\"}]",
     "{\"baz\":\"qux\",\"foo\":\"bar\"}"},
    {"A.2 adding an array element", "{\"foo\":[\"bar\",\"baz\"]}",
     "[{\"op\":\"add\",\"path\":\"/foo/1\",\"value\":\"qux\"}]",
     "{\"foo\":[\"bar\",\"qux\",\"baz\"]}"},
    {"A.3 removing an object member", "{\"baz\":\"qux\",\"foo\":\"bar\"}",
     "[{\"op\":\"remove\",\"path\":\"/baz\"}]", "{\"foo\":\"bar\"}"},
    {"A.4 removing an array element", "{\"foo\":[\"bar\",\"qux\",\"baz\"]}",
     "[{\"op\":\"remove\",\"path\":\"/foo/1\"}]",
     "{\"foo\":[\"bar\",\"baz\"]}"},
    {"A.5 replacing a value", "{\"baz\":\"qux\",\"foo\":\"bar\"}",
     "[{\"op\":\"replace\",\"path\":\"/baz\",\"value\":\"boo\"}]",
     "{\"baz\":\"boo\",\"foo\":\"bar\"}"},
    {"A.6 moving a value",
     "{\"foo\":{\"bar\":\"baz\",\"waldo\":\"fred\"},"
     "\"qux\":{\"corge\":\"grault\"}}",
     "[{\"op\":\"move\",\"from\":\"/foo/waldo\",\"path\":\"/qux/thud\"}]",
     "{\"foo\":{\"bar\":\"baz\"},\"qux\":{\"corge\":\"grault\","
     "\"thud\":\"fred\"}}"},
    {"A.7 moving an array element",
     "{\"foo\":[\"all\",\"grass\",\"cows\",\"eat\"]}",
     "[{\"op\":\"move\",\"from\":\"/foo/1\",\"path\":\"/foo/3\"}]",
     "{\"foo\":[\"all\",\"cows\",\"eat\",\"grass\"]}"},
    {"A.8 testing a value: success",
     "{\"baz\":\"qux\",\"foo\":[\"a\",2,\"c\"]}",
     "[{\"op\":\"test\",\"path\":\"/baz\",\"value\":\"qux\"},"
     "{\"op\":\"test\",\"path\":\"/foo/1\",\"value\":2}]",
     "{\"baz\":\"qux\",\"foo\":[\"a\",2,\"c\"]}"},
    {"A.9 testing a value: error", "{\"baz\":\"qux\"}",
     "[{\"op\":\"test\",\"path\":\"/baz\",\"value\":\"bar\"}]", NULL},
    {"A.10 adding a nested member object", "{\"foo\":\"bar\"}",
     "[{\"op\":\"add\",\"path\":\"/child\",\"value\":{\"grandchild\":{}}}]",
     "{\"child\":{\"grandchild\":{}},\"foo\":\"bar\"}"},
    {"A.11 ignoring unrecognized elements", "{\"foo\":\"bar\"}",
     "[{\"op\":\"add\",\"path\":\"/baz\",\"value\":\"qux\",\"xyz\":123}]",
     "{\"baz\":\"qux\",\"foo\":\"bar\"}"},
    {"A.12 adding to a nonexistent target", "{\"foo\":\"bar\"}",
     "[{\"op\":\"add\",\"path\":\"/baz/bat\",\"value\":\"qux\"}]", NULL},
    {"A.14 ~ escape ordering", "{\"/\":9,\"~1\":10}",
     "[{\"op\":\"test\",\"path\":\"/~01\",\"value\":10}]",
     "{\"/\":9,\"~1\":10}"},
    {"A.15 comparing strings and numbers", "{\"/\":9,\"~1\":10}",
     "[{\"op\":\"test\",\"path\":\"/~01\",\"value\":\"10\"}]", NULL},
    {"A.16 adding an array value", "{\"foo\":[\"bar\"]}",
     "[{\"op\":\"add\",\"path\":\"/foo/-\",\"value\":[\"abc\",\"def\"]}]",
     "{\"foo\":[\"bar\",[\"abc\",\"def\"]]}"},
};

/* Section 4 of RFC 6902, in the words of its clauses. */
static const struct {
  const char *clause, *document, *patch, *after;
} clauses[] = {
    {"4.1 add to the root replaces the document", "{\"a\":1}",
     "[{\"op\":\"add\",\"path\":\"\",\"value\":[2]}]", "[2]"},
    {"4.1 add to a member that is there replaces it", "{\"a\":1}",
     "[{\"op\":\"add\",\"path\":\"/a\",\"value\":2}]", "{\"a\":2}"},
    {"4.1 add at the end of a list, by number", "[1,2]",
     "[{\"op\":\"add\",\"path\":\"/2\",\"value\":3}]", "[1,2,3]"},
    {"4.1 add past the end of a list", "[1,2]",
     "[{\"op\":\"add\",\"path\":\"/3\",\"value\":3}]", NULL},
    {"4.2 remove what is not there", "{\"a\":1}",
     "[{\"op\":\"remove\",\"path\":\"/b\"}]", NULL},
    {"4.3 replace what is not there", "{\"a\":1}",
     "[{\"op\":\"replace\",\"path\":\"/b\",\"value\":1}]", NULL},
    {"4.3 replace the root", "{\"a\":1}",
     "[{\"op\":\"replace\",\"path\":\"\",\"value\":{}}]", "{}"},
    {"4.3 replace an element", "[1,2,3]",
     "[{\"op\":\"replace\",\"path\":\"/1\",\"value\":{\"a\":2}}]",
     "[1,{\"a\":2},3]"},
    {"4.4 move into itself", "{\"a\":{\"b\":1}}",
     "[{\"op\":\"move\",\"from\":\"/a\",\"path\":\"/a/b\"}]", NULL},
    {"4.4 move over a member", "{\"a\":1,\"b\":2}",
     "[{\"op\":\"move\",\"from\":\"/a\",\"path\":\"/b\"}]", "{\"b\":1}"},
    {"4.4 move to the end of its list", "[1,2,3]",
     "[{\"op\":\"move\",\"from\":\"/0\",\"path\":\"/-\"}]", "[2,3,1]"},
    {"4.4 move a part to the top, then into it", "{\"a\":{\"b\":1},\"c\":2}",
     "[{\"op\":\"move\",\"from\":\"/a\",\"path\":\"\"},"
     "{\"op\":\"add\",\"path\":\"/d\",\"value\":3}]",
     "{\"b\":1,\"d\":3}"},
    {"4.4 move to where it is", "{\"a\":1}",
     "[{\"op\":\"move\",\"from\":\"/a\",\"path\":\"/a\"}]", "{\"a\":1}"},
    {"4.4 move from nowhere", "{\"a\":1}",
     "[{\"op\":\"move\",\"from\":\"/b\",\"path\":\"/a\"}]", NULL},
    {"4.5 copy, then change the copy only", "{\"a\":{\"b\":1}}",
     "[{\"op\":\"copy\",\"from\":\"/a\",\"path\":\"/c\"},"
     "{\"op\":\"replace\",\"path\":\"/c/b\",\"value\":2}]",
     "{\"a\":{\"b\":1},\"c\":{\"b\":2}}"},
    {"4.6 numbers are tested by value", "{\"a\":1}",
     "[{\"op\":\"test\",\"path\":\"/a\",\"value\":1.0}]", "{\"a\":1}"},
    {"4.6 objects are tested without order", "{\"a\":{\"x\":1,\"y\":[2]}}",
     "[{\"op\":\"test\",\"path\":\"/a\",\"value\":{\"y\":[2],\"x\":1}}]",
     "{\"a\":{\"x\":1,\"y\":[2]}}"},
    {"4 op must be one of the six", "{\"a\":1}",
     "[{\"op\":\"spam\",\"path\":\"/a\"}]", NULL},
    {"4 path must be there", "{\"a\":1}", "[{\"op\":\"remove\"}]", NULL},
    {"4.1 value must be there", "{\"a\":1}",
     "[{\"op\":\"add\",\"path\":\"/b\"}]", NULL},
    {"4.1 null is a value", "{\"a\":1}",
     "[{\"op\":\"add\",\"path\":\"/b\",\"value\":null}]",
     "{\"a\":1,\"b\":null}"},
    {"3 a patch is a list", "{\"a\":1}", "{\"op\":\"remove\"}", NULL},
    {"5 nothing of a patch that fails later is kept", "{\"a\":[1,2],\"b\":3}",
     "[{\"op\":\"move\",\"from\":\"/a/0\",\"path\":\"/c\"},"
     "{\"op\":\"remove\",\"path\":\"/b\"},"
     "{\"op\":\"add\",\"path\":\"\",\"value\":7},"
     "{\"op\":\"remove\",\"path\":\"/z\"}]",
     NULL},
    {"5 a move that finds no place puts back what it took",
     "{\"a\":[1,2],\"b\":3}",
     "[{\"op\":\"move\",\"from\":\"/a/0\",\"path\":\"/x/y\"}]", NULL},
};

/* Apply; then the way back must give the document again. */
static void one(const char *name, const char *document, const char *patch,
                const char *after)
{
  json_t *d = json_of(document), *p = json_of(patch), *back = NULL;
  lh_fault fault = {0};
  lh_status st = lh_patch_apply(&d, p, &back, NULL, &fault);

  if (!after) {
    CHECK(st != LH_OK && fault.what[0] && fault.todo[0], "%s: refused", name);
    CHECK_TEXT(text_of(d), document, "%s: the document is as it was", name);
  } else {
    CHECK_TEXT(text_of(d), after, "%s", name);
    st = back ? lh_patch_apply(&d, back, NULL, NULL, &fault) : LH_INPUT;
    CHECK_TEXT(st == LH_OK ? text_of(d) : "", document, "%s: and back", name);
  }
  json_decref(d);
  json_decref(p);
  json_decref(back);
}

static void standards(void)
{
  json_error_t e;

  for (size_t i = 0; i < sizeof rfc / sizeof rfc[0]; i++)
    one(rfc[i].section, rfc[i].document, rfc[i].patch, rfc[i].after);
  for (size_t i = 0; i < sizeof clauses / sizeof clauses[0]; i++)
    one(clauses[i].clause, clauses[i].document, clauses[i].patch,
        clauses[i].after);
  /* A.13: a member twice; the parser refuses it before it is a patch. */
  CHECK(!json_loads("[{\"op\":\"add\",\"path\":\"/baz\",\"value\":\"qux\","
                    "\"op\":\"remove\"}]",
                    JSON_REJECT_DUPLICATES, &e),
        "A.13 an invalid patch: refused by the parser");
}

/* ---- limits ------------------------------------------------------------- */

static void limits(void)
{
  char deep[2 * 400 + 1] = "";
  json_t *d, *p, *v = json_integer(1), *patch;
  lh_fault fault = {0};

  for (int i = 0; i < 400; i++) strcat(deep, "/a");
  d = json_of("{\"a\":{}}");
  p = json_pack("[{s:s,s:s,s:i}]", "op", "add", "path", deep, "value", 1);
  CHECK(lh_patch_apply(&d, p, NULL, NULL, &fault) == LH_TOOLARGE,
        "a pointer too deep is too large");
  json_decref(p);

  for (int i = 0; i < LH_NESTING_MOST; i++) v = json_pack("[o]", v);
  patch = json_pack("[{s:s,s:s,s:o}]", "op", "add", "path", "/a/b", "value", v);
  fault = (lh_fault){0};
  CHECK(lh_patch_apply(&d, patch, NULL, NULL, &fault) == LH_TOOLARGE,
        "a value nested too deeply is too large");
  CHECK_TEXT(text_of(d), "{\"a\":{}}", "and the document is as it was");
  json_decref(patch);
  json_decref(d);

  /* Each copy of all into one of its members doubles it: 30 make 2^30. */
  d = json_of("{\"a\":[1]}");
  p = json_array();
  for (int i = 0; i < 30; i++)
    json_array_append_new(p, json_pack("{s:s,s:s,s:s}", "op", "copy", "from",
                                       "", "path", "/a/-"));
  fault = (lh_fault){0};
  CHECK(lh_patch_apply(&d, p, NULL, NULL, &fault) == LH_TOOLARGE,
        "copies that double and double are stopped");
  CHECK_TEXT(text_of(d), "{\"a\":[1]}", "and the document is as it was");
  json_decref(p);
  p = json_array();
  for (int i = 0; i <= LH_PATCH_OPS_MOST; i++)
    json_array_append_new(p, json_pack("{s:s,s:s,s:i}", "op", "test", "path",
                                       "/a/0", "value", 1));
  fault = (lh_fault){0};
  CHECK(lh_patch_apply(&d, p, NULL, NULL, &fault) == LH_TOOLARGE,
        "a patch of too many operations is too large");
  json_decref(p);
  json_decref(d);
}

static void where(void)
{
  json_t *d = json_of("{\"a\":1}");
  json_t *p = json_of("[{\"op\":\"test\",\"path\":\"/a\",\"value\":1},"
                      "{\"op\":\"test\",\"path\":\"/a\",\"value\":2}]");
  lh_fault fault = {0};

  CHECK(lh_patch_apply(&d, p, NULL, NULL, &fault) == LH_CONFLICT,
        "a test that fails says that somebody was first");
  CHECK_TEXT(fault.where, "/1/value", "the fault points into the patch");
  json_decref(p);
  json_decref(d);
}

/* ---- meeting and merging ------------------------------------------------ */

static const char piece[] =
    "{\"name\":\"Bowl\",\"note\":\"\",\"slips\":[{\"id\":\"white\"},"
    "{\"id\":\"blue\"}],"
    "\"motifs\":[{\"id\":\"reed\",\"name\":\"Reed\",\"marks\":["
    "{\"id\":\"blade\",\"width_mm\":3,\"path\":[{\"x\":1},{\"x\":2}]},"
    "{\"id\":\"tip\",\"width_mm\":1}]}],"
    "\"painting\":[{\"id\":\"ground\"},{\"id\":\"reeds\",\"motif\":\"reed\"},"
    "{\"id\":\"line\",\"mark\":{\"id\":\"line-mark\",\"width_mm\":2}}]}";

/* Two edits on one base: do they meet, and what is the outcome?  The same,
** whichever arrives first, unless both put something at one place. */
static const struct {
  const char *name, *a, *b, *meet, *after;
} pairs[] = {
    {"two marks of one motif",
     "[{\"op\":\"replace\",\"path\":\"/motifs/0/marks/0/width_mm\","
     "\"value\":4}]",
     "[{\"op\":\"remove\",\"path\":\"/motifs/0/marks/1\"}]", NULL,
     "/motifs/0/marks=[{\"id\":\"blade\",\"path\":[{\"x\":1},{\"x\":2}],"
     "\"width_mm\":4}]"},
    {"the later of two marks, when the earlier goes",
     "[{\"op\":\"remove\",\"path\":\"/motifs/0/marks/0\"}]",
     "[{\"op\":\"replace\",\"path\":\"/motifs/0/marks/1/width_mm\","
     "\"value\":2}]",
     NULL, "/motifs/0/marks=[{\"id\":\"tip\",\"width_mm\":2}]"},
    {"one mark, two places of its path",
     "[{\"op\":\"replace\",\"path\":\"/motifs/0/marks/0/path/0/x\","
     "\"value\":9}]",
     "[{\"op\":\"add\",\"path\":\"/motifs/0/marks/0/path/0\","
     "\"value\":{\"x\":0}}]",
     "#blade", NULL},
    {"a motif's name, and a new mark in it",
     "[{\"op\":\"replace\",\"path\":\"/motifs/0/name\",\"value\":\"Rush\"}]",
     "[{\"op\":\"add\",\"path\":\"/motifs/0/marks/-\","
     "\"value\":{\"id\":\"new\"}}]",
     NULL, "/motifs/0/marks/2={\"id\":\"new\"}"},
    {"a motif gone, and a new mark in it",
     "[{\"op\":\"remove\",\"path\":\"/motifs/0\"}]",
     "[{\"op\":\"add\",\"path\":\"/motifs/0/marks/-\","
     "\"value\":{\"id\":\"new\"}}]",
     "#reed", NULL},
    {"a motif gone, and a mark of it changed",
     "[{\"op\":\"remove\",\"path\":\"/motifs/0\"}]",
     "[{\"op\":\"replace\",\"path\":\"/motifs/0/marks/1/width_mm\","
     "\"value\":2}]",
     "#tip", NULL},
    {"all slips replaced, and one added",
     "[{\"op\":\"replace\",\"path\":\"/slips\",\"value\":[{\"id\":\"blue\"}]}]",
     "[{\"op\":\"add\",\"path\":\"/slips/-\",\"value\":{\"id\":\"red\"}}]",
     "/slips", NULL},
    {"two slips added",
     "[{\"op\":\"add\",\"path\":\"/slips/-\",\"value\":{\"id\":\"red\"}}]",
     "[{\"op\":\"add\",\"path\":\"/slips/0\",\"value\":{\"id\":\"black\"}}]",
     NULL,
     "/slips=[{\"id\":\"black\"},{\"id\":\"white\"},{\"id\":\"blue\"},"
     "{\"id\":\"red\"}]"},
    {"name and note",
     "[{\"op\":\"replace\",\"path\":\"/name\",\"value\":\"B\"}]",
     "[{\"op\":\"replace\",\"path\":\"/note\",\"value\":\"n\"}]", NULL,
     "/name=\"B\""},
    {"the name twice",
     "[{\"op\":\"replace\",\"path\":\"/name\",\"value\":\"B\"}]",
     "[{\"op\":\"replace\",\"path\":\"/name\",\"value\":\"C\"}]", "/name",
     NULL},
    {"an entry moved up, and the mark in it",
     "[{\"op\":\"add\",\"path\":\"/painting/2/up_mm\",\"value\":5}]",
     "[{\"op\":\"replace\",\"path\":\"/painting/2/mark/width_mm\","
     "\"value\":1}]",
     NULL,
     "/painting/2={\"id\":\"line\",\"mark\":{\"id\":\"line-mark\","
     "\"width_mm\":1},\"up_mm\":5}"},
    {"the order of painting, and an entry changed",
     "[{\"op\":\"move\",\"from\":\"/painting/2\",\"path\":\"/painting/0\"}]",
     "[{\"op\":\"add\",\"path\":\"/painting/1/turns\",\"value\":0.5}]", NULL,
     "/painting=[{\"id\":\"line\",\"mark\":{\"id\":\"line-mark\","
     "\"width_mm\":2}},{\"id\":\"ground\"},{\"id\":\"reeds\","
     "\"motif\":\"reed\",\"turns\":0.5}]"},
    {"an entry moved by both",
     "[{\"op\":\"move\",\"from\":\"/painting/2\",\"path\":\"/painting/0\"}]",
     "[{\"op\":\"move\",\"from\":\"/painting/2\",\"path\":\"/painting/1\"}]",
     "#line", NULL},
    {"two entries moved",
     "[{\"op\":\"move\",\"from\":\"/painting/2\",\"path\":\"/painting/0\"}]",
     "[{\"op\":\"move\",\"from\":\"/painting/0\",\"path\":\"/painting/1\"}]",
     NULL, "/name=\"Bowl\""},
    {"everything replaced", "[{\"op\":\"replace\",\"path\":\"\",\"value\":{}}]",
     "[{\"op\":\"replace\",\"path\":\"/note\",\"value\":\"n\"}]", "*", NULL},
};

/* Apply a to one copy of the base, move b over, apply: the text of the
** place that `after` names, or of a fault. */
static char *merged(const char *a, const char *b, const char *pointer)
{
  json_t *base = json_of(piece), *head = json_of(piece), *moved = NULL;
  json_t *pa = json_of(a), *pb = json_of(b);
  lh_fault fault = {0};
  lh_status st = lh_patch_apply(&head, pa, NULL, NULL, &fault);
  char *text;

  if (st == LH_OK) st = lh_patch_move(&base, &head, pb, &moved, &fault);
  text = text_of(st == LH_OK ? lh_pointer_find(head, pointer) : NULL);
  if (st != LH_OK) printf("# %s: %s\n", fault.where, fault.what);
  json_decref(base);
  json_decref(head);
  json_decref(moved);
  json_decref(pa);
  json_decref(pb);
  return text;
}

static void meetings(void)
{
  for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
    json_t *set[2] = {json_object(), json_object()};
    const char *text[2] = {pairs[i].a, pairs[i].b}, *meet;
    lh_fault fault = {0};
    for (int k = 0; k < 2; k++) {
      json_t *d = json_of(piece), *p = json_of(text[k]);
      CHECK(lh_patch_apply(&d, p, NULL, set[k], &fault) == LH_OK,
            "%s: edit %d applies", pairs[i].name, k + 1);
      json_decref(d);
      json_decref(p);
    }
    meet = lh_patch_meet(set[0], set[1]);
    if (pairs[i].meet)
      CHECK_TEXT(meet, pairs[i].meet, "%s: meet", pairs[i].name);
    else
      CHECK(!meet, "%s: merge (%s)", pairs[i].name, meet ? meet : "nothing");
    CHECK(!lh_patch_meet(set[1], set[0]) == !meet, "%s: either way round",
          pairs[i].name);
    if (pairs[i].after) {
      char pointer[64];
      size_t n = strcspn(pairs[i].after, "=");
      const char *want = pairs[i].after + n + 1;
      memcpy(pointer, pairs[i].after, n);
      pointer[n] = 0;
      CHECK_TEXT(merged(pairs[i].a, pairs[i].b, pointer), want, "%s: a, then b",
                 pairs[i].name);
      CHECK_TEXT(merged(pairs[i].b, pairs[i].a, pointer), want, "%s: b, then a",
                 pairs[i].name);
    }
    json_decref(set[0]);
    json_decref(set[1]);
  }
}

/* ---- out of memory ------------------------------------------------------ */

static long left; /* allocations until one fails; -1: none does */

static void *scarce(size_t n)
{
  if (left == 0) return NULL;
  if (left > 0) left--;
  return malloc(n);
}

/* Each allocation in turn fails: LH_NOMEM or the whole thing, never less. */
static void scarcity(void)
{
  static const char edit[] =
      "[{\"op\":\"move\",\"from\":\"/painting/2\",\"path\":\"/painting/0\"},"
      "{\"op\":\"copy\",\"from\":\"/slips/0\",\"path\":\"/slips/-\"},"
      "{\"op\":\"replace\",\"path\":\"/slips/2/id\",\"value\":\"red\"},"
      "{\"op\":\"add\",\"path\":\"/pots\",\"value\":3},"
      "{\"op\":\"remove\",\"path\":\"/motifs/0/marks/0\"}]";
  json_t *patch = json_of(edit);
  int failed = 0, good = 0, other = 0, done = 0;

  for (long n = 0; n < 2000 && done < 3; n++) {
    json_t *a = json_of(piece), *b = json_of(piece), *c = json_of(piece);
    json_t *inverse = NULL, *moved = NULL, *between = NULL;
    json_t *touched = json_object();
    lh_status st[3];
    lh_fault fault = {0};
    json_set_alloc_funcs(scarce, free);
    left = n;
    st[0] = lh_patch_apply(&a, patch, &inverse, touched, &fault);
    left = n;
    st[1] = lh_patch_move(&b, &c, patch, &moved, NULL);
    left = n;
    st[2] = lh_patch_between(b, a, &between, NULL);
    left = -1;
    json_set_alloc_funcs(malloc, free);
    done = 0;
    for (int k = 0; k < 3; k++) {
      if (st[k] == LH_NOMEM)
        failed++;
      else if (st[k] == LH_OK)
        good++, done++;
      else
        other++;
    }
    json_decref(a);
    json_decref(b);
    json_decref(c);
    json_decref(inverse);
    json_decref(moved);
    json_decref(between);
    json_decref(touched);
  }
  CHECK(failed > 50 && good >= 3 && other == 0 && done == 3,
        "each allocation fails in turn: %d out of memory, %d whole, %d other",
        failed, good, other);
  json_decref(patch);
}

int main(void)
{
  pointers();
  standards();
  limits();
  where();
  meetings();
  scarcity();
  return CHECK_DONE();
}
