/* SPDX-License-Identifier: GPL-3.0-or-later */
/* patch_diff.c -- the patch between two documents. */
#include <stdint.h>
#include <string.h>

#include "heap.h"
#include "patch_room.h"

typedef struct {
  json_t *patch;
  lh_fault *fault;
} diff;

static lh_status between(diff *d, const char *path, const json_t *from,
                         const json_t *to);

static lh_status say(diff *d, const char *op, const char *path,
                     const char *from, const json_t *value)
{
  json_t *x = json_pack("{s:s,s:s}", "op", op, "path", path);
  json_t *copy = value ? lh_json_copy(value) : NULL;

  if (json_array_size(d->patch) >= LH_PATCH_OPS_MOST) {
    json_decref(x);
    json_decref(copy);
    return lh_fault_say(d->fault, LH_TOOLARGE, path, "save less at once",
                        "too many changes for one patch");
  }
  if (!x || (value && !copy) ||
      (copy && json_object_set_new(x, "value", copy) != 0) ||
      (from && json_object_set_new(x, "from", json_string(from)) != 0) ||
      json_array_append(d->patch, x) != 0) {
    json_decref(x);
    return lh_fault_plain(d->fault, LH_NOMEM, path);
  }
  json_decref(x);
  return LH_OK;
}

/* path + "/" + token into `text`. */
static lh_status step(diff *d, const char *path, const char *token, char *text)
{
  strcpy(text, path);
  if (lh_pointer_add(text, LH_POINTER_MOST, token)) return LH_OK;
  return lh_fault_say(d->fault, LH_TOOLARGE, path, "use shorter names",
                      "the pointer is too long");
}

static lh_status step_to(diff *d, const char *path, size_t i, char *text)
{
  char token[24];

  snprintf(token, sizeof token, "%zu", i);
  return step(d, path, token, text);
}

static lh_status objects(diff *d, const char *path, const json_t *from,
                         const json_t *to)
{
  char text[LH_POINTER_MOST];
  lh_status st = LH_OK;
  const char *key;
  json_t *v;

  json_object_foreach((json_t *)(uintptr_t)from, key, v)
  {
    if (json_object_get(to, key)) continue;
    st = step(d, path, key, text);
    if (st == LH_OK) st = say(d, "remove", text, NULL, NULL);
    if (st != LH_OK) return st;
  }
  json_object_foreach((json_t *)(uintptr_t)to, key, v)
  {
    const json_t *was = json_object_get(from, key);
    st = step(d, path, key, text);
    if (st == LH_OK)
      st = was ? between(d, text, was, v) : say(d, "add", text, NULL, v);
    if (st != LH_OK) return st;
  }
  return st;
}

/* The places of a list's elements by their ids; NULL when one has none, or
** two have the same (or when out of memory: then it is replaced whole). */
static json_t *by_id(const json_t *list)
{
  json_t *set = json_object();

  for (size_t i = 0; set && i < json_array_size(list); i++) {
    const char *id = lh_thing_id(json_array_get(list, i));
    if (!id || json_object_get(set, id) ||
        json_object_set_new(set, id, json_integer((json_int_t)i)) != 0) {
      json_decref(set);
      return NULL;
    }
  }
  return set;
}

/* Bring the list into the other's order, step by step; what stands before i
** is in its place already. */
static lh_status reorder(diff *d, const char *path, const json_t *from,
                         const json_t *to, const json_t *was,
                         const char **order, size_t n)
{
  char text[LH_POINTER_MOST], source[LH_POINTER_MOST];
  lh_status st = LH_OK;

  for (size_t i = 0; i < json_array_size(to) && st == LH_OK; i++) {
    const json_t *v = json_array_get(to, i);
    const char *id = lh_thing_id(v);
    const json_t *k = json_object_get(was, id);
    size_t j = i;
    st = step_to(d, path, i, text);
    if (st != LH_OK) break;
    if (!k) {
      st = say(d, "add", text, NULL, v);
      memmove(order + i + 1, order + i, (n - i) * sizeof *order);
      order[i] = id;
      n++;
      continue;
    }
    while (strcmp(order[j], id) != 0) j++;
    if (j != i) {
      st = step_to(d, path, j, source);
      if (st == LH_OK) st = say(d, "move", text, source, NULL);
      memmove(order + i + 1, order + i, (j - i) * sizeof *order);
      order[i] = id;
    }
    if (st == LH_OK)
      st = between(d, text, json_array_get(from, (size_t)json_integer_value(k)),
                   v);
  }
  return st;
}

static lh_status lists(diff *d, const char *path, const json_t *from,
                       const json_t *to, const json_t *was, const json_t *is)
{
  size_t n = json_array_size(from), kept = 0;
  char text[LH_POINTER_MOST];
  lh_status st = LH_OK;
  const char **order;
  lh_arena a;

  lh_heap_open(&a);
  order = lh_arena_take(&a, n + json_array_size(to) + 1, sizeof *order);
  if (!order) st = lh_fault_plain(d->fault, LH_NOMEM, path);
  for (size_t i = n; i-- > 0 && st == LH_OK;) {
    if (json_object_get(is, lh_thing_id(json_array_get(from, i)))) continue;
    st = step_to(d, path, i, text);
    if (st == LH_OK) st = say(d, "remove", text, NULL, NULL);
  }
  for (size_t i = 0; i < n && st == LH_OK; i++) {
    const char *id = lh_thing_id(json_array_get(from, i));
    if (json_object_get(is, id)) order[kept++] = id;
  }
  if (st == LH_OK) st = reorder(d, path, from, to, was, order, kept);
  lh_heap_free(&a);
  return st;
}

static lh_status between(diff *d, const char *path, const json_t *from,
                         const json_t *to)
{
  json_t *was, *is;
  lh_status st;

  if (json_equal(from, to)) return LH_OK;
  if (json_is_object(from) && json_is_object(to))
    return objects(d, path, from, to);
  if (!json_is_array(from) || !json_is_array(to))
    return say(d, "replace", path, NULL, to);
  was = by_id(from);
  is = by_id(to);
  st = was && is ? lists(d, path, from, to, was, is)
                 : say(d, "replace", path, NULL, to);
  json_decref(was);
  json_decref(is);
  return st;
}

lh_status lh_patch_between(const json_t *from, const json_t *to, json_t **patch,
                           lh_fault *fault)
{
  diff d = {json_array(), fault};
  lh_status st;

  if (!d.patch) return lh_fault_plain(fault, LH_NOMEM, "");
  st = between(&d, "", from, to);
  if (st == LH_OK)
    *patch = d.patch;
  else
    json_decref(d.patch);
  return st;
}
