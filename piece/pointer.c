/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pointer.c -- JSON pointers (RFC 6901), and what values weigh. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "patch_room.h"

/* One token from s up to the next '/', its ~0 and ~1 undone, in place. */
static char *unescape(char *s, bool *good)
{
  char *out = s;

  for (; *s && *s != '/'; s++) {
    char c = *s;
    if (c == '~') {
      s++;
      if (*s != '0' && *s != '1') {
        *good = false;
        return s;
      }
      c = *s == '0' ? '~' : '/';
    }
    *out++ = c;
  }
  if (*s) s++;
  *out = 0;
  return s;
}

lh_status lh_pointer_read(const char *pointer, lh_pointer *p)
{
  size_t length = strlen(pointer);
  bool good = true;
  char *s, *end;

  p->n = 0;
  if (length > LH_POINTER_MOST) return LH_TOOLARGE;
  memcpy(p->text, pointer, length + 1);
  if (length == 0) return LH_OK;
  if (pointer[0] != '/') return LH_INPUT;
  end = p->text + length;
  s = p->text + 1;
  /* "/a/" has two tokens, the second empty: count the slashes. */
  for (size_t k = 0; k <= length; k++) {
    if (k < length && pointer[k] != '/') continue;
    if (k == 0) continue;
    if (p->n == LH_NESTING_MOST) return LH_TOOLARGE;
    p->token[p->n++] = s;
    s = s < end ? unescape(s, &good) : s;
    if (!good) return LH_INPUT;
  }
  return LH_OK;
}

size_t lh_pointer_index(const char *token)
{
  size_t n = strspn(token, "0123456789");

  if (n == 0 || n > 9 || token[n] || (n > 1 && token[0] == '0'))
    return SIZE_MAX;
  return (size_t)strtoul(token, NULL, 10);
}

json_t *lh_pointer_walk(json_t *root, const lh_pointer *p, size_t n)
{
  json_t *at = root;

  for (size_t i = 0; i < n && at; i++) {
    if (json_is_object(at))
      at = json_object_get(at, p->token[i]);
    else
      at = json_array_get(at, lh_pointer_index(p->token[i]));
  }
  return at;
}

json_t *lh_pointer_find(json_t *document, const char *pointer)
{
  lh_pointer p;

  if (lh_pointer_read(pointer, &p) != LH_OK) return NULL;
  return lh_pointer_walk(document, &p, p.n);
}

bool lh_pointer_add(char *text, size_t size, const char *token)
{
  size_t n = strlen(text);

  if (n + 2 > size) return false;
  text[n++] = '/';
  for (; *token; token++) {
    bool escaped = *token == '~' || *token == '/';
    if (n + 3 > size) return false;
    text[n++] = escaped ? '~' : *token;
    if (escaped) text[n++] = *token == '~' ? '0' : '1';
  }
  text[n] = 0;
  return true;
}

static bool same_object(const json_t *a, const json_t *b)
{
  const char *key;
  json_t *v;

  if (json_object_size(a) != json_object_size(b)) return false;
  json_object_foreach((json_t *)(uintptr_t)a, key, v)
  {
    const json_t *w = json_object_get(b, key);
    if (!w || !lh_json_same(v, w)) return false;
  }
  return true;
}

bool lh_json_same(const json_t *a, const json_t *b)
{
  if (json_is_integer(a) && json_is_integer(b))
    return json_integer_value(a) == json_integer_value(b);
  if (json_is_number(a) && json_is_number(b)) {
    double x = json_number_value(a), y = json_number_value(b);
    return !(x < y) && !(x > y);
  }
  if (json_typeof(a) != json_typeof(b)) return false;
  if (json_is_object(a)) return same_object(a, b);
  if (!json_is_array(a)) return json_equal(a, b) != 0;
  if (json_array_size(a) != json_array_size(b)) return false;
  for (size_t i = 0; i < json_array_size(a); i++)
    if (!lh_json_same(json_array_get(a, i), json_array_get(b, i))) return false;
  return true;
}

/* A character takes at most six bytes (\u001f), most take one. */
static size_t text_most(const char *s, size_t n)
{
  size_t sum = 2;

  for (size_t i = 0; i < n; i++) {
    unsigned char c = (unsigned char)s[i];
    sum += c < 0x20 ? 6 : c == '"' || c == '\\' ? 2 : 1;
  }
  return sum;
}

size_t lh_json_most(const json_t *value)
{
  size_t sum = 2;
  const char *key;
  json_t *v;

  switch (json_typeof(value)) {
  case JSON_OBJECT:
    json_object_foreach((json_t *)(uintptr_t)value, key, v) sum +=
        text_most(key, strlen(key)) + 2 + lh_json_most(v);
    return sum;
  case JSON_ARRAY:
    for (size_t i = 0; i < json_array_size(value); i++)
      sum += 1 + lh_json_most(json_array_get(value, i));
    return sum;
  case JSON_STRING:
    return text_most(json_string_value(value), json_string_length(value));
  default: return 24; /* "-1.23456789012345e-308", "false" */
  }
}
