/* SPDX-License-Identifier: GPL-3.0-or-later */
/* patch_merge.c -- an edit moved from the document it was made on to a later
** one: elements are found again by their ids. */
#include <stdint.h>
#include <string.h>

#include "patch_room.h"

/* The place of the element with an id; the size when there is none. */
static size_t place_of(const json_t *list, const char *id)
{
  size_t i = 0, n = json_array_size(list);

  for (; i < n; i++) {
    const char *is = lh_thing_id(json_array_get(list, i));
    if (is && strcmp(is, id) == 0) return i;
  }
  return n;
}

/* The same element in the other list; SIZE_MAX when it is not there. */
static size_t same_element(const json_t *ours, const json_t *theirs, size_t i)
{
  const char *id = lh_thing_id(json_array_get(ours, i));
  size_t k = id ? place_of(theirs, id) : i;

  return k < json_array_size(theirs) ? k : SIZE_MAX;
}

/* Where to put a new element: before the first that it stood before, or else
** behind the last that it stood behind, or else at the end. */
static size_t same_gap(const json_t *ours, const json_t *theirs, size_t i)
{
  size_t end = json_array_size(theirs), n = json_array_size(ours), k;

  if (i < n && !lh_thing_id(json_array_get(ours, i))) return i < end ? i : end;
  for (size_t j = i; j < n; j++) {
    k = same_element(ours, theirs, j);
    if (k != SIZE_MAX) return k;
  }
  for (size_t j = i < n ? i : n; j-- > 0 && i < n;) {
    k = same_element(ours, theirs, j);
    if (k != SIZE_MAX) return k + 1;
  }
  return end;
}

static lh_status lost(const char *pointer, lh_fault *fault)
{
  return lh_fault_say(fault, LH_CONFLICT, pointer,
                      "look at both versions and choose",
                      "what was changed there is not there any more");
}

static bool put_index(char *text, size_t size, size_t i)
{
  char index[24];

  snprintf(index, sizeof index, "%zu", i);
  return lh_pointer_add(text, size, index);
}

/* Write the pointer for the later document.  `gap`: the last token names the
** gap that a new element goes into. */
static lh_status translate(json_t *ours, json_t *theirs, const char *pointer,
                           bool gap, char *text, size_t size, lh_fault *fault)
{
  lh_pointer p;
  lh_status st = lh_pointer_read(pointer, &p);

  text[0] = 0;
  if (st != LH_OK) return lh_fault_plain(fault, st, pointer);
  for (size_t i = 0; i < p.n; i++) {
    bool last = i + 1 == p.n, good = false;
    if (json_is_object(ours) && json_is_object(theirs)) {
      good = lh_pointer_add(text, size, p.token[i]);
      ours = json_object_get(ours, p.token[i]);
      theirs = json_object_get(theirs, p.token[i]);
    } else if (json_is_array(ours) && json_is_array(theirs)) {
      size_t at = lh_pointer_index(p.token[i]), k;
      if (last && gap && strcmp(p.token[i], "-") == 0)
        at = json_array_size(ours);
      k = last && gap ? same_gap(ours, theirs, at)
                      : same_element(ours, theirs, at);
      good = k != SIZE_MAX && put_index(text, size, k);
      ours = json_array_get(ours, at);
      theirs = json_array_get(theirs, k);
    }
    if (!good || (!last && (!ours || !theirs))) return lost(pointer, fault);
  }
  return LH_OK;
}

/* Take, from both documents, what a move takes away first. */
static lh_status translate_move(json_t **base, json_t **head, const json_t *op,
                                const char *from, char *path, size_t size,
                                lh_fault *fault)
{
  const char *source = json_string_value(json_object_get(op, "from"));
  const char *target = json_string_value(json_object_get(op, "path"));
  json_t *a = json_pack("{s:s,s:s}", "op", "remove", "path", source);
  json_t *b = json_pack("{s:s,s:s}", "op", "remove", "path", from);
  json_t *ours = lh_json_copy(*base), *theirs = lh_json_copy(*head);
  lh_status st = a && b && ours && theirs ? LH_OK : LH_NOMEM;

  if (st == LH_OK) st = lh_patch_step(&ours, a, fault);
  if (st == LH_OK) st = lh_patch_step(&theirs, b, fault);
  if (st == LH_OK)
    st = translate(ours, theirs, target, true, path, size, fault);
  json_decref(a);
  json_decref(b);
  json_decref(ours);
  json_decref(theirs);
  return lh_fault_plain(fault, st, target);
}

static lh_status move_one(json_t **base, json_t **head, const json_t *op,
                          json_t *moved, lh_fault *fault)
{
  const char *name = json_string_value(json_object_get(op, "op"));
  const char *pointer = json_string_value(json_object_get(op, "path"));
  const char *source = json_string_value(json_object_get(op, "from"));
  char path[LH_POINTER_MOST + 32], from[LH_POINTER_MOST + 32];
  json_t *x = lh_json_copy_top(op);
  bool gap = name && (!strcmp(name, "add") || !strcmp(name, "copy"));
  lh_status st = LH_OK;

  if (!x || !pointer) {
    json_decref(x);
    return lh_fault_plain(fault, x ? LH_INPUT : LH_NOMEM, "");
  }
  if (source)
    st = translate(*base, *head, source, false, from, sizeof from, fault);
  if (st == LH_OK && name && strcmp(name, "move") == 0)
    st =
        source && strcmp(source, pointer) != 0
            ? translate_move(base, head, op, from, path, sizeof path, fault)
            : translate(*base, *head, pointer, false, path, sizeof path, fault);
  else if (st == LH_OK)
    st = translate(*base, *head, pointer, gap, path, sizeof path, fault);
  if (st == LH_OK && json_object_set_new(x, "path", json_string(path)) != 0)
    st = LH_NOMEM;
  if (st == LH_OK && source &&
      json_object_set_new(x, "from", json_string(from)) != 0)
    st = LH_NOMEM;
  if (st == LH_OK) st = lh_patch_step(base, op, fault);
  if (st == LH_OK) st = lh_patch_step(head, x, fault);
  if (st == LH_OK && json_array_append(moved, x) != 0) st = LH_NOMEM;
  json_decref(x);
  return lh_fault_plain(fault, st, pointer);
}

lh_status lh_patch_move(json_t **base, json_t **head, const json_t *patch,
                        json_t **moved, lh_fault *fault)
{
  json_t *out = json_array();
  lh_status st = out ? LH_OK : lh_fault_plain(fault, LH_NOMEM, "");

  for (size_t i = 0; i < json_array_size(patch) && st == LH_OK; i++)
    st = move_one(base, head, json_array_get(patch, i), out, fault);
  if (st == LH_OK)
    *moved = out;
  else
    json_decref(out);
  return st;
}
