/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stock.h"

#include <stdint.h>
#include <string.h>

/* The names of materials in lines and additions, wherever a recipe stands. */
static int gather(const json_t *v, json_t *names)
{
  const char *key;
  json_t *child;

  for (size_t i = 0; i < json_array_size(v); i++)
    if (gather(json_array_get(v, i), names) != 0) return -1;
  json_object_foreach((json_t *)(uintptr_t)v, key, child)
  {
    bool list = strcmp(key, "lines") == 0 || strcmp(key, "additions") == 0;
    for (size_t i = 0; list && i < json_array_size(child); i++) {
      const char *name = json_string_value(
          json_object_get(json_array_get(child, i), "material"));
      if (name && json_object_set_new(names, name, json_true()) != 0) return -1;
    }
    if (!list && gather(child, names) != 0) return -1;
  }
  return 0;
}

/* What stands beside the recipes already needs no looking up. */
static void leave_out(const json_t *document, json_t *names)
{
  const json_t *list = json_object_get(document, "materials");

  for (size_t i = 0; i < json_array_size(list); i++) {
    const char *name =
        json_string_value(json_object_get(json_array_get(list, i), "name"));
    if (name) json_object_del(names, name);
  }
}

/* Copies of the book's materials of these names, added to a list. */
static lh_status fetch(lh_book *book, json_t *names, json_t *list,
                       lh_fault *fault)
{
  lh_status st = LH_OK;
  const char *key;
  json_t *v;

  json_object_foreach(names, key, v)
  {
    json_t *found = NULL;
    st = lh_book_named(book, LH_BOOK_MATERIAL, key, &found, NULL, fault);
    if (st != LH_OK) break;
    if (!found) continue;
    if (json_array_append_new(list, lh_json_copy(found)) != 0)
      return lh_fault_plain(fault, LH_NOMEM, "/materials");
  }
  return st;
}

lh_status lh_stock_bring(lh_book *book, const json_t *document, json_t **wider,
                         lh_fault *fault)
{
  const json_t *beside = json_object_get(document, "materials");
  json_t *names, *list = NULL, *copy = NULL;
  lh_status st = LH_OK;

  *wider = NULL;
  if (!book || !json_is_object(document)) return LH_OK;
  /* Told wrongly, it is for the table of fields to say so. */
  if (beside && !json_is_null(beside) && !json_is_array(beside)) return LH_OK;
  names = json_object();
  list = json_is_array(beside) ? lh_json_copy_top(beside) : json_array();
  if (!names || !list || gather(document, names) != 0)
    st = lh_fault_plain(fault, LH_NOMEM, "/materials");
  if (st == LH_OK) {
    leave_out(document, names);
    st = fetch(book, names, list, fault);
  }
  if (st == LH_OK && json_array_size(list) > json_array_size(beside)) {
    copy = lh_json_copy_top(document);
    if (!copy || json_object_set(copy, "materials", list) != 0) {
      json_decref(copy);
      copy = NULL;
      st = lh_fault_plain(fault, LH_NOMEM, "/materials");
    }
  }
  *wider = copy;
  json_decref(names);
  json_decref(list);
  return st;
}
