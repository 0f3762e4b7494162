/* SPDX-License-Identifier: GPL-3.0-or-later */
/* json.c -- text to document and back. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "fields.h"
#include "number.h"

/* jansson nests deeper than a document has any need to; count ourselves, so
** that the message can say where. */
static size_t too_deep(const char *s, size_t n, size_t most)
{
  size_t depth = 0;
  bool in_text = false;

  for (size_t i = 0; i < n; i++) {
    if (in_text) {
      if (s[i] == '\\')
        i++;
      else if (s[i] == '"')
        in_text = false;
    } else if (s[i] == '"') {
      in_text = true;
    } else if (s[i] == '{' || s[i] == '[') {
      if (++depth > most) return i;
    } else if ((s[i] == '}' || s[i] == ']') && depth > 0) {
      depth--;
    }
  }
  return n;
}

static void place_of(const char *s, size_t i, const char *name, char *where,
                     size_t size)
{
  size_t line = 1, column = 1;

  for (size_t k = 0; k < i; k++) {
    if (s[k] == '\n')
      line++, column = 1;
    else if (((unsigned char)s[k] & 0xc0) != 0x80)
      column++;
  }
  snprintf(where, size, "%.150s:%zu:%zu", name, line, column);
}

/* What jansson found wrong, in words for someone who writes by hand. */
static lh_status say_syntax(const json_error_t *e, const char *where,
                            lh_fault *fault)
{
  const char *near = strstr(e->text, " near "), *what, *todo;

  /* Where memory gives out jansson mostly has no words at all. */
  if (!*e->text) return lh_fault_plain(fault, LH_NOMEM, where);
  what = "this is not JSON";
  todo = "look at or just before this place for a comma or a quote too many "
         "or too few";
  switch (json_error_code(e)) {
  case json_error_out_of_memory: return lh_fault_plain(fault, LH_NOMEM, where);
  case json_error_invalid_utf8:
    what = "a character that is not UTF-8";
    todo = "save the file as UTF-8";
    break;
  case json_error_premature_end_of_input:
    what = "the document ends too early";
    todo = "close what is open: a quote, ] or }";
    break;
  case json_error_end_of_input_expected:
    what = "something stands behind the end of the document";
    todo = "take it out, or look for a ] or } too many";
    break;
  case json_error_duplicate_key:
    what = "a duplicate: this key was given before";
    todo = "keep one of the two";
    break;
  case json_error_null_character:
  case json_error_null_byte_in_key:
    what = "a character of code 0 in a text";
    todo = "take it out";
    break;
  case json_error_numeric_overflow:
    what = "a number too large to hold";
    todo = "write a number below 1e308 in size";
    break;
  default: break;
  }
  return lh_fault_say(fault, LH_INPUT, where, todo, "%s%s", what,
                      near ? near : "");
}

/* ---- when memory runs out ----------------------------------------------- */

/* jansson 2.14 loses bytes of a text whose buffer cannot grow, and then reads
** on past the text's end.  So a block as large as that buffer can become is
** laid by before a document is read; the first request that fails gets it, and
** from then on no further byte is given to be read: the text at hand can be
** ended in what it got, and the document ends too early. */
static _Thread_local struct {
  void *block;
  size_t size;
  bool lacking;
} spare;

static void *take(size_t n)
{
  void *p = malloc(n);

  if (p) return p;
  spare.lacking = true;
  if (n > spare.size) return NULL;
  p = spare.block;
  spare.block = NULL;
  spare.size = 0;
  return p;
}

void lh_json_guard(void)
{
  json_set_alloc_funcs(take, free);
}

typedef struct {
  const char *s;
  size_t n, at;
} reading;

static size_t next_byte(void *to, size_t room, void *user)
{
  reading *r = user;

  if (r->at >= r->n || room == 0 || spare.lacking) return 0;
  *(char *)to = r->s[r->at++];
  return 1;
}

static json_t *read_all(const char *s, size_t n, json_error_t *e, bool *lacking)
{
  reading r = {s, n, 0};
  json_t *json = NULL;

  spare.size = 2 * n + 64; /* the buffer doubles */
  spare.block = malloc(spare.size);
  spare.lacking = false;
  *lacking = !spare.block;
  if (*lacking) {
    spare.size = 0;
    return NULL;
  }
  json = json_load_callback(next_byte, &r,
                            JSON_REJECT_DUPLICATES | JSON_DECODE_ANY, e);
  *lacking = spare.lacking;
  free(spare.block);
  spare.block = NULL;
  spare.size = 0;
  return json;
}

/* ---- reading and writing ------------------------------------------------ */

lh_status lh_json_parse(const void *bytes, size_t n, const char *name,
                        json_t **json, lh_fault *fault)
{
  const char *s = bytes;
  char where[256];
  json_error_t e;
  size_t deep;
  bool lacking;

  *json = NULL;
  if (n > LH_DOCUMENT_MOST) {
    return lh_fault_say(fault, LH_TOOLARGE, name,
                        "divide it, or take pictures and raw pen samples out",
                        "the document is larger than the %d MB taken",
                        LH_DOCUMENT_MOST / (1024 * 1024));
  }
  if (n >= 3 && memcmp(s, "\xef\xbb\xbf", 3) == 0) s += 3, n -= 3;
  if (n == 0) {
    return lh_fault_say(fault, LH_INPUT, name,
                        "give a JSON document; see leatherhard help OP",
                        "the document is empty");
  }
  deep = too_deep(s, n, LH_NESTING_MOST);
  if (deep < n) {
    place_of(s, deep, name, where, sizeof where);
    return lh_fault_say(fault, LH_INPUT, where, "nest less deeply",
                        "nested more than %d deep", LH_NESTING_MOST);
  }
  *json = read_all(s, n, &e, &lacking);
  if (*json) return LH_OK;
  if (lacking) return lh_fault_plain(fault, LH_NOMEM, name);
  snprintf(where, sizeof where, "%.150s:%d:%d", name, e.line,
           e.column > 0 ? e.column : 1);
  return say_syntax(&e, where, fault);
}

typedef struct {
  char *s;
  size_t n, room;
  bool lacking;
} writing;

static int add_bytes(const char *bytes, size_t n, void *user)
{
  writing *w = user;

  if (w->lacking) return -1;
  if (w->room - w->n <= n) {
    size_t room = 2 * w->room + n + 256;
    char *s = realloc(w->s, room);
    if (!s) {
      w->lacking = true;
      return -1;
    }
    w->s = s;
    w->room = room;
  }
  memcpy(w->s + w->n, bytes, n);
  w->n += n;
  w->s[w->n] = 0;
  return 0;
}

/* jansson 2.14 forgets that a key could not be written: json_dumps may give a
** text with a piece missing.  What is written here is whole or NULL. */
static char *text_of(const json_t *json, size_t flags)
{
  writing w = {0};
  int rc = json_dump_callback(json, add_bytes, &w,
                              flags | JSON_SORT_KEYS | JSON_REAL_PRECISION(15) |
                                  JSON_ENCODE_ANY);

  if (rc == 0 && !w.lacking && w.s) return w.s;
  free(w.s);
  return NULL;
}

char *lh_json_text(const json_t *json)
{
  return text_of(json, JSON_INDENT(2));
}

char *lh_json_line(const json_t *json)
{
  return text_of(json, JSON_COMPACT);
}

/* jansson takes no constant where it only counts a reference. */
static json_t *shared(const json_t *json)
{
  return (json_t *)(uintptr_t)json;
}

json_t *lh_json_copy_top(const json_t *json)
{
  json_t *copy = json_copy(shared(json));

  if (copy && json_object_size(copy) == json_object_size(json) &&
      json_array_size(copy) == json_array_size(json))
    return copy;
  json_decref(copy);
  return NULL;
}

/* Never deeper than LH_NESTING_MOST: what was parsed is not. */
json_t *lh_json_copy(const json_t *json)
{
  json_t *copy = lh_json_copy_top(json), *value;
  const char *key;
  size_t i;
  bool whole = copy != NULL;

  json_object_foreach(shared(json), key, value)
  {
    json_t *own = whole ? lh_json_copy(value) : NULL;
    whole = own && json_object_set_new_nocheck(copy, key, own) == 0;
    if (!whole) break;
  }
  json_array_foreach(shared(json), i, value)
  {
    json_t *own = whole ? lh_json_copy(value) : NULL;
    whole = own && json_array_set_new(copy, i, own) == 0;
    if (!whole) break;
  }
  if (whole) return copy;
  json_decref(copy);
  return NULL;
}

static json_t *value_of(const char *text)
{
  json_t *v = json_loads(text, JSON_DECODE_ANY | JSON_REJECT_DUPLICATES, NULL);
  double d;

  if (v) return v;
  if (lh_number_read(text, strlen(text), &d, NULL, NULL) == LH_OK)
    return json_real(d);
  return json_string(text);
}

/* Undo ~1 and ~0 of one reference token, in place. */
static void unescape(char *s)
{
  char *out = s;

  for (; *s; s++) {
    if (s[0] == '~' && (s[1] == '0' || s[1] == '1')) {
      *out++ = s[1] == '0' ? '~' : '/';
      s++;
    } else {
      *out++ = *s;
    }
  }
  *out = 0;
}

/* The place in an array that a token names: digits without a leading zero
** (RFC 6901), or one that no array has. */
static size_t index_of(const char *token)
{
  size_t n = strspn(token, "0123456789");

  if (n == 0 || n > 9 || token[n] || (n > 1 && token[0] == '0'))
    return SIZE_MAX;
  return (size_t)strtoul(token, NULL, 10);
}

/* Does this place stand just behind the last of the list? */
static bool is_behind(const json_t *list, const char *token)
{
  return strcmp(token, "-") == 0 || index_of(token) == json_array_size(list);
}

/* The child named by token.  One that is not there is made: a list when the
** next token is a list's first or new place, else an object. */
static json_t *child(json_t *at, const char *token, const char *then)
{
  size_t n = strcspn(then, "/");
  bool list = n == 1 && (*then == '0' || *then == '-');
  json_t *next = NULL;

  if (json_is_array(at) && !is_behind(at, token))
    return json_array_get(at, index_of(token));
  if (json_is_object(at)) next = json_object_get(at, token);
  if (next || (!json_is_array(at) && !json_is_object(at))) return next;
  next = list ? json_array() : json_object();
  if (json_is_array(at))
    return json_array_append_new(at, next) == 0 ? next : NULL;
  return json_object_set_new(at, token, next) == 0 ? next : NULL;
}

static int place_value(json_t *at, const char *token, json_t *v)
{
  if (json_is_object(at)) return json_object_set_new(at, token, v);
  if (!json_is_array(at)) {
    json_decref(v);
    return -1;
  }
  if (is_behind(at, token)) return json_array_append_new(at, v);
  return json_array_set_new(at, index_of(token), v);
}

/* Would the value, put there, nest the document deeper than is read? */
static bool set_too_deep(const char *pointer, const char *value)
{
  size_t steps = 0, n = strlen(value);

  for (; *pointer; pointer++) steps += *pointer == '/';
  return steps > LH_NESTING_MOST ||
         too_deep(value, n, LH_NESTING_MOST - steps) < n;
}

static lh_status no_such_place(const char *pointer, lh_fault *fault)
{
  return lh_fault_say(fault, LH_INPUT, pointer,
                      "use a pointer such as /litre_weight_g or "
                      "/slips/0/coat_g_m2",
                      "--set finds no such place in the document");
}

lh_status lh_json_set(json_t *root, const char *pointer, const char *value,
                      lh_fault *fault)
{
  char path[512];
  char *token = path, *next;
  json_t *at = root, *v;

  if (pointer[0] != '/' || strlen(pointer) >= sizeof path)
    return no_such_place(pointer, fault);
  if (set_too_deep(pointer, value)) {
    return lh_fault_say(fault, LH_INPUT, pointer, "nest less deeply",
                        "nested more than %d deep", LH_NESTING_MOST);
  }
  v = value_of(value);
  if (!v) {
    return lh_fault_say(fault, LH_INPUT, pointer, "write it in UTF-8",
                        "the value is not a text");
  }
  strcpy(path, pointer + 1);
  while (at && (next = strchr(token, '/')) != NULL) {
    *next = 0;
    unescape(token);
    at = child(at, token, next + 1);
    token = next + 1;
  }
  unescape(token);
  if (!at) json_decref(v);
  if (at && place_value(at, token, v) == 0) return LH_OK;
  return no_such_place(pointer, fault);
}
