/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What must hold of any document and any edit, over seeded random ones:
** an edit and its inverse give the identical document; an edit that fails
** leaves it alone; the patch between two documents makes one into the other;
** two edits that do not meet give the same, whichever comes first. */
#include <stdint.h>
#include <stdlib.h>

#include "check.h"
#include "fields.h"
#include "patch.h"

enum { ROUNDS = 3000 };

/* xorshift64*, Vigna (2016), ACM Trans. Math. Softw. 42(4), 30. */
static uint64_t state;

static size_t below(size_t n)
{
  state ^= state >> 12;
  state ^= state << 25;
  state ^= state >> 27;
  return (size_t)((state * 2685821657736338717ULL) >> 33) % n;
}

static json_t *value(int depth);

static json_t *object(int depth)
{
  static const char *const keys[] = {"a", "b/c", "d~e", "", "f", "from"};
  json_t *v = json_object();

  for (size_t i = below(5); i > 0; i--)
    json_object_set_new(v, keys[below(6)], value(depth - 1));
  return v;
}

/* A list of things with ids, or of anything. */
static json_t *list(int depth)
{
  json_t *v = json_array();
  size_t n = below(5), first = below(30);
  bool things = below(2) == 0;

  for (size_t i = 0; i < n; i++) {
    char id[8];
    json_t *x = things ? object(depth - 1) : value(depth - 1);
    snprintf(id, sizeof id, "t%zu", (first + i * 7) % 40);
    if (things) json_object_set_new(x, "id", json_string(id));
    json_array_append_new(v, x);
  }
  return v;
}

static json_t *value(int depth)
{
  switch (depth > 0 ? below(7) : 2 + below(5)) {
  case 0: return object(depth);
  case 1: return list(depth);
  case 2: return json_integer((json_int_t)below(9));
  case 3: return json_real((double)below(9) / 8);
  case 4: return json_null();
  case 5: return json_boolean(below(2));
  default: return json_string("text");
  }
}

/* A place in the document, now and then one that is not there. */
static void place(json_t *d, char *text, size_t size)
{
  json_t *at = d;

  text[0] = 0;
  while (below(6) > 0 || at == d) {
    size_t n = json_is_object(at) ? json_object_size(at) : json_array_size(at);
    char token[32];
    if (n == 0 || below(12) == 0) {
      snprintf(token, sizeof token, "%s", json_is_array(at) ? "-" : "new");
      at = NULL;
    } else if (json_is_object(at)) {
      void *it = json_object_iter(at);
      const char *p;
      char *q = token;
      for (size_t i = below(n); i > 0; i--) it = json_object_iter_next(at, it);
      for (p = json_object_iter_key(it); *p; p++) {
        if (*p == '~' || *p == '/') *q++ = '~';
        *q++ = *p == '~' ? '0' : *p == '/' ? '1' : *p;
      }
      *q = 0;
      at = json_object_iter_value(it);
    } else {
      size_t i = below(n + 1);
      snprintf(token, sizeof token, "%zu", i);
      at = json_array_get(at, i);
    }
    if (strlen(text) + strlen(token) + 2 > size) return;
    strcat(text, "/");
    strcat(text, token);
    if (!json_is_object(at) && !json_is_array(at)) return;
  }
}

static json_t *random_patch(json_t *d, size_t n)
{
  static const char *const names[] = {"add",     "remove", "replace", "move",
                                      "replace", "copy",   "add",     "test"};
  json_t *p = json_array();

  for (size_t i = 0; i < n; i++) {
    char path[256], from[256];
    place(d, path, sizeof path);
    place(d, from, sizeof from);
    json_array_append_new(p, json_pack("{s:s,s:s,s:s,s:o}", "op",
                                       names[below(8)], "path", path, "from",
                                       from, "value", value(2)));
  }
  return p;
}

/* Patches are made of the document as it was, so that many of several
** operations fail half-way: those are wanted, too. */
static void there_and_back(void)
{
  size_t applied = 0, refused = 0, back = 0, whole = 0;

  state = 6902;
  for (int i = 0; i < ROUNDS; i++) {
    json_t *d = object(4), *was = json_deep_copy(d), *inverse = NULL;
    json_t *p = random_patch(d, 1 + below(4));
    lh_fault fault = {0};
    if (lh_patch_apply(&d, p, &inverse, NULL, &fault) == LH_OK) {
      json_t *forth = NULL, *is = json_deep_copy(d);
      applied++;
      if (lh_patch_apply(&d, inverse, &forth, NULL, &fault) == LH_OK &&
          json_equal(d, was) && forth &&
          lh_patch_apply(&d, forth, NULL, NULL, &fault) == LH_OK &&
          json_equal(d, is))
        back++;
      json_decref(forth);
      json_decref(is);
      json_decref(inverse);
    } else {
      refused++;
      if (json_equal(d, was)) whole++;
    }
    json_decref(d);
    json_decref(was);
    json_decref(p);
  }
  CHECK(applied > ROUNDS / 5 && refused > ROUNDS / 5,
        "of %d patches %zu apply, %zu are refused", ROUNDS, applied, refused);
  CHECK(back == applied, "the inverse, and its inverse: %zu of %zu", back,
        applied);
  CHECK(whole == refused, "refused leaves the document alone: %zu of %zu",
        whole, refused);
}

static void between(void)
{
  size_t same = 0, back = 0;

  state = 6901;
  for (int i = 0; i < ROUNDS; i++) {
    json_t *a = object(4), *b, *p = NULL, *inverse = NULL;
    json_t *was = json_deep_copy(a);
    lh_fault fault = {0};
    b = json_deep_copy(a);
    if (below(3) == 0) {
      json_decref(b);
      b = object(4);
    }
    for (size_t k = below(4); k > 0; k--) {
      json_t *q = random_patch(b, 1);
      (void)lh_patch_apply(&b, q, NULL, NULL, NULL);
      json_decref(q);
    }
    if (lh_patch_between(a, b, &p, &fault) == LH_OK &&
        lh_patch_apply(&a, p, &inverse, NULL, &fault) == LH_OK &&
        json_equal(a, b))
      same++;
    if (inverse && lh_patch_apply(&a, inverse, NULL, NULL, &fault) == LH_OK &&
        json_equal(a, was))
      back++;
    json_decref(a);
    json_decref(b);
    json_decref(p);
    json_decref(was);
    json_decref(inverse);
  }
  CHECK(same == ROUNDS, "the patch between two makes the other: %zu of %d",
        same, ROUNDS);
  CHECK(back == ROUNDS, "and its inverse the one: %zu of %d", back, ROUNDS);
}

/* A document like a piece: lists of things, things in things. */
static json_t *sketch(void)
{
  json_t *d = json_pack("{s:s,s:[],s:[]}", "name", "x", "slips", "motifs");
  int next = 0;

  for (int i = 0; i < 4; i++) {
    json_t *m = json_pack("{s:o,s:i,s:[]}", "id", json_sprintf("m%d", i),
                          "turns", i, "marks");
    json_array_append_new(
        json_object_get(d, "slips"),
        json_pack("{s:o,s:i}", "id", json_sprintf("s%d", i), "coat", i));
    for (int k = 0; k < 3; k++)
      json_array_append_new(json_object_get(m, "marks"),
                            json_pack("{s:o,s:i,s:[i,i]}", "id",
                                      json_sprintf("k%d", next++), "width", k,
                                      "path", 1, 2));
    json_array_append_new(json_object_get(d, "motifs"), m);
  }
  return d;
}

/* One edit such as a hand makes: change, add, remove, reorder. */
static json_t *sketch_patch(int who)
{
  size_t i = below(4), k = below(3);
  static int fresh;

  fresh++;
  switch (below(7)) {
  case 0:
    return json_pack("[{s:s,s:o,s:i}]", "op", "replace", "path",
                     json_sprintf("/motifs/%zu/marks/%zu/width", i, k), "value",
                     10 + who);
  case 1:
    return json_pack("[{s:s,s:o}]", "op", "remove", "path",
                     json_sprintf("/motifs/%zu/marks/%zu", i, k));
  case 2:
    return json_pack("[{s:s,s:o,s:{s:o}}]", "op", "add", "path",
                     json_sprintf("/motifs/%zu/marks/%zu", i, k), "value", "id",
                     json_sprintf("n%d", fresh));
  case 3:
    return json_pack("[{s:s,s:o}]", "op", "remove", "path",
                     json_sprintf("/slips/%zu", i));
  case 4:
    return json_pack("[{s:s,s:o,s:i}]", "op", "add", "path",
                     json_sprintf("/motifs/%zu/marks/%zu/path/1", i, k),
                     "value", who);
  case 5:
    return json_pack("[{s:s,s:o,s:i}]", "op", "replace", "path",
                     json_sprintf("/slips/%zu/coat", i), "value", 20 + who);
  default:
    return json_pack("[{s:s,s:o}]", "op", "remove", "path",
                     json_sprintf("/motifs/%zu", i));
  }
}

/* a, then b moved over; false when it cannot. */
static bool merge(const json_t *start, const json_t *a, const json_t *b,
                  json_t **out)
{
  json_t *base = json_deep_copy(start), *head = json_deep_copy(start);
  json_t *moved = NULL;
  lh_fault fault = {0};
  bool good = lh_patch_apply(&head, a, NULL, NULL, &fault) == LH_OK &&
              lh_patch_move(&base, &head, b, &moved, &fault) == LH_OK;

  if (!good) printf("# %s %s\n", fault.where, fault.what);
  json_decref(moved);
  json_decref(base);
  *out = head;
  return good;
}

static void whichever_first(void)
{
  size_t met = 0, parted = 0, same = 0;

  state = 412;
  for (int i = 0; i < ROUNDS; i++) {
    json_t *start = sketch(), *a = sketch_patch(1), *b = sketch_patch(2);
    json_t *x = json_deep_copy(start), *y = json_deep_copy(start);
    json_t *ta = json_object(), *tb = json_object(), *one, *two;
    (void)lh_patch_apply(&x, a, NULL, ta, NULL);
    (void)lh_patch_apply(&y, b, NULL, tb, NULL);
    if (lh_patch_meet(ta, tb)) {
      met++;
    } else {
      bool good = merge(start, a, b, &one);
      parted++;
      good = merge(start, b, a, &two) && good;
      /* Two put in at one place stand in the order in which they came. */
      if (good && (json_equal(one, two) ||
                   (!strcmp(json_string_value(
                                json_object_get(json_array_get(a, 0), "op")),
                            "add") &&
                    json_equal(json_object_get(json_array_get(a, 0), "path"),
                               json_object_get(json_array_get(b, 0), "path")))))
        same++;
      json_decref(one);
      json_decref(two);
    }
    json_decref(start);
    json_decref(a);
    json_decref(b);
    json_decref(x);
    json_decref(y);
    json_decref(ta);
    json_decref(tb);
  }
  CHECK(met > ROUNDS / 20 && parted > ROUNDS / 2,
        "of %d pairs %zu meet, %zu merge", ROUNDS, met, parted);
  CHECK(same == parted, "the same, whichever comes first: %zu of %zu", same,
        parted);
}

int main(void)
{
  there_and_back();
  between();
  whichever_first();
  return CHECK_DONE();
}
