/* SPDX-License-Identifier: GPL-3.0-or-later */
/* patch_touch.c -- what an edit touches, and whether two edits meet. */
#include <stdint.h>
#include <string.h>

#include "heap.h"
#include "patch_room.h"

const char *lh_thing_id(const json_t *value)
{
  return json_string_value(json_object_get(value, "id"));
}

static lh_status put(json_t *set, const char *sign, const char *mark,
                     const char *name)
{
  lh_arena a;
  lh_status st = LH_NOMEM;
  char *key;

  lh_heap_open(&a);
  key = lh_heap_print(&a, "%s%s%s", sign, mark, name);
  if (key && json_object_set_new(set, key, json_true()) == 0) st = LH_OK;
  lh_heap_free(&a);
  return st;
}

/* Every thing with an id in a value comes or goes as a whole.  What a copy
** came from is written {"id": ..}, too, and is no thing. */
static lh_status put_all(json_t *set, const json_t *value, const char *key)
{
  const char *id = lh_thing_id(value), *k;
  lh_status st = LH_OK;
  json_t *v;

  if (key && strcmp(key, "from") == 0) return LH_OK;
  if (id) {
    st = put(set, "", "#", id);
    if (st == LH_OK) st = put(set, "-", "#", id);
  }
  if (json_is_object(value)) {
    json_object_foreach((json_t *)(uintptr_t)value, k, v)
    {
      if (st == LH_OK) st = put_all(set, v, k);
    }
  }
  for (size_t i = 0; i < json_array_size(value) && st == LH_OK; i++)
    st = put_all(set, json_array_get(value, i), NULL);
  return st;
}

/* The nearest thing that encloses token n of the pointer, or is it. */
typedef struct {
  const char *mark, *name;
} thing;

static thing nearest(json_t *root, const lh_pointer *p, size_t n)
{
  thing t = {"/", p->token[0]};
  json_t *at = root;

  for (size_t i = 0; i < n && at; i++) {
    const char *id;
    at = json_is_object(at) ? json_object_get(at, p->token[i])
                            : json_array_get(at, lh_pointer_index(p->token[i]));
    id = lh_thing_id(at);
    if (id && strcmp(p->token[i], "from") != 0) t = (thing){"#", id};
  }
  return t;
}

static bool is_whole(const json_t *v)
{
  return json_is_object(v) || json_is_array(v);
}

lh_status lh_touch(json_t *touched, json_t *root, const lh_pointer *p,
                   const json_t *old, const json_t *value)
{
  lh_status st = LH_OK;
  bool in_list, named;
  thing t;

  if (!touched) return LH_OK;
  if (p->n == 0) return put(touched, "", "*", "");
  t = nearest(root, p, p->n - 1);
  in_list = json_is_array(lh_pointer_walk(root, p, p->n - 1));
  named = (!old || lh_thing_id(old)) && (!value || lh_thing_id(value));
  if (in_list && named) {
    /* An element with a name of its own: its list is not touched, but has to
    ** be there still. */
    st = put(touched, "+", t.mark, t.name);
  } else {
    st = put(touched, "", t.mark, t.name);
    if (st == LH_OK && (is_whole(old) || is_whole(value)))
      st = put(touched, "-", t.mark, t.name);
  }
  if (st == LH_OK && old) st = put_all(touched, old, p->token[p->n - 1]);
  if (st == LH_OK && value) st = put_all(touched, value, p->token[p->n - 1]);
  return st;
}

const char *lh_patch_meet(const json_t *a, const json_t *b)
{
  const char *key;
  json_t *v;

  if (json_object_size(a) == 0 || json_object_size(b) == 0) return NULL;
  if (json_object_get(a, "*") || json_object_get(b, "*")) return "*";
  json_object_foreach((json_t *)(uintptr_t)a, key, v)
  {
    char other[LH_POINTER_MOST];
    size_t n = strlen(key);
    if (key[0] == '#' || key[0] == '/') {
      if (json_object_get(b, key)) return key;
      continue;
    }
    if (n >= sizeof other) return key; /* too long to tell: rather ask */
    memcpy(other, key, n + 1);
    other[0] = key[0] == '+' ? '-' : '+';
    if (json_object_get(b, other)) return key + 1;
  }
  return NULL;
}
