/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fields.h"

#include <float.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "nearest.h"
#include "number.h"
#include "quantity.h"

/* ---- where we are ------------------------------------------------------ */

static size_t put(char *text, size_t size, size_t n, const char *s)
{
  for (; *s && n + 1 < size; s++) text[n++] = *s;
  return n;
}

static size_t put_escaped(char *text, size_t size, size_t n, const char *s)
{
  for (; *s && n + 2 < size; s++) {
    if (*s == '~')
      n = put(text, size, n, "~0");
    else if (*s == '/')
      n = put(text, size, n, "~1");
    else
      text[n++] = *s;
  }
  if (!*s) return n;
  text[n] = 0; /* cut off: nothing may follow */
  return size - 1;
}

static size_t put_at(const lh_at *at, char *text, size_t size)
{
  char index[24];
  size_t n;

  if (!at) return 0;
  n = put_at(at->up, text, size);
  n = put(text, size, n, "/");
  if (at->key) return put_escaped(text, size, n, at->key);
  snprintf(index, sizeof index, "%zu", at->index);
  return put(text, size, n, index);
}

void lh_at_pointer(const lh_at *at, char *text, size_t size)
{
  size_t n = put_at(at, text, size);

  if (n == 0) n = put(text, size, 0, "/");
  text[n] = 0;
}

/* ---- one reading ------------------------------------------------------- */

typedef struct {
  lh_arena *arena;
  lh_fault *fault;
} reading;

static lh_status refuse(const reading *r, const lh_at *at, lh_status st,
                        const char *what, const char *todo)
{
  char where[256];

  lh_at_pointer(at, where, sizeof where);
  return lh_fault_say(r->fault, st, where, todo, "%s", what);
}

static lh_status no_memory(const reading *r, const lh_at *at)
{
  return refuse(r, at, LH_NOMEM, "out of memory", "close other programs");
}

static const char *kind_of(const json_t *v)
{
  switch (json_typeof(v)) {
  case JSON_OBJECT: return "an object";
  case JSON_ARRAY: return "a list";
  case JSON_STRING: return "a text";
  case JSON_INTEGER:
  case JSON_REAL: return "a number";
  case JSON_TRUE:
  case JSON_FALSE: return "true or false";
  case JSON_NULL: return "null";
  }
  return "something else";
}

static lh_status wrong_kind(const reading *r, const lh_at *at,
                            const char *wanted, const json_t *v)
{
  char what[256], todo[256];

  snprintf(what, sizeof what, "%s is wanted, not %s", wanted, kind_of(v));
  snprintf(todo, sizeof todo, "write %s here", wanted);
  return refuse(r, at, LH_INPUT, what, todo);
}

static lh_status in_limits(const reading *r, const lh_at *at, const lh_field *f,
                           double v)
{
  char what[256], todo[256];
  /* "1.5 fraction" is no way to speak. */
  bool said = f->unit && strcmp(f->unit, "fraction") != 0;
  const char *unit = said ? f->unit : "";
  const char *gap = said ? " " : "";

  if (!(v < f->least) && !(v > f->most) && isfinite(v)) return LH_OK;
  if (!isfinite(v)) {
    return refuse(r, at, LH_RANGE, "not a finite number",
                  "write a plain number");
  }
  if (v < f->least) {
    snprintf(what, sizeof what, "%.15g%s%s is too small", v, gap, unit);
    snprintf(todo, sizeof todo, "give at least %.15g%s%s", f->least, gap, unit);
  } else {
    snprintf(what, sizeof what, "%.15g%s%s is too large", v, gap, unit);
    snprintf(todo, sizeof todo, "give at most %.15g%s%s", f->most, gap, unit);
  }
  return refuse(r, at, LH_RANGE, what, todo);
}

/* Not a plain number: perhaps one with its unit behind it. */
static lh_status read_quantity(const reading *r, const lh_at *at,
                               const lh_field *f, const json_t *v,
                               lh_number_why why, lh_status st, double *out)
{
  char what[256], todo[256], known[128];

  if (lh_quantity_read(json_string_value(v), json_string_length(v), f->unit,
                       out, known, sizeof known) == LH_OK)
    return LH_OK;
  snprintf(what, sizeof what, "\"%.60s\": %s", json_string_value(v),
           lh_number_what(why));
  if (why != LH_NUMBER_SUFFIX || !*known)
    return refuse(r, at, st, what, lh_number_todo(why));
  snprintf(todo, sizeof todo,
           "write the number alone, or with one of the units %s", known);
  return refuse(r, at, st, what, todo);
}

static lh_status read_number(const reading *r, const lh_at *at,
                             const lh_field *f, const json_t *v, double *out)
{
  if (json_is_number(v)) {
    *out = json_number_value(v);
  } else if (json_is_string(v)) {
    lh_number_why why;
    lh_status st = lh_number_read(json_string_value(v), json_string_length(v),
                                  out, &why, NULL);
    if (st != LH_OK) st = read_quantity(r, at, f, v, why, st, out);
    if (st != LH_OK) return st;
  } else {
    return wrong_kind(r, at, "a number", v);
  }
  return in_limits(r, at, f, *out);
}

static lh_status read_count(const reading *r, const lh_at *at,
                            const lh_field *f, const json_t *v, long *out)
{
  double d = 0;
  lh_status st = read_number(r, at, f, v, &d);

  if (st != LH_OK) return st;
  if (d != floor(d) || fabs(d) > 1e9) {
    return refuse(r, at, LH_RANGE, "a whole number is wanted",
                  "write a whole number");
  }
  *out = (long)d;
  return LH_OK;
}

/* A control character would break a line, a table or the terminal. */
static bool is_control(const unsigned char *p, bool lines)
{
  if (p[0] == '\n' || p[0] == '\t') return !lines;
  return p[0] < 0x20 || p[0] == 0x7f || (p[0] == 0xc2 && p[1] < 0xa0);
}

static lh_status read_text(const reading *r, const lh_at *at, const json_t *v,
                           const lh_field *f, const char **out)
{
  const char *s = json_string_value(v);

  if (!s) return wrong_kind(r, at, "a text", v);
  /* The name of a file's bytes stands where its text is wanted. */
  if (f->file && !f->handed && strncmp(s, "sha256:", 7) == 0 &&
      strlen(s) == 71) {
    return refuse(r, at, LH_INPUT, "this file is no text in UTF-8",
                  "save it as UTF-8 (of a table: \"CSV UTF-8\")");
  }
  for (const char *p = s; !f->file && p < s + json_string_length(v); p++) {
    if (is_control((const unsigned char *)p, f->lines)) {
      return refuse(r, at, LH_INPUT, "the text holds a control character",
                    *p == '\n' || *p == '\t' ? "write it in one line"
                                             : "take it out");
    }
  }
  *out = s;
  return LH_OK;
}

/* "use one of: a, b, c": as many names as there is room for. */
static void name_all(char *text, size_t size, const char *lead,
                     const char *const *names, size_t n)
{
  size_t used = (size_t)snprintf(text, size, "%s", lead);

  for (size_t i = 0; i < n; i++) {
    size_t want = strlen(names[i]) + 2;
    bool last = i + 1 == n;
    if (used + want + (last ? 1 : 5) > size) {
      snprintf(text + used, size - used, ", ...");
      return;
    }
    used += (size_t)snprintf(text + used, size - used, "%s %s", i ? "," : "",
                             names[i]);
  }
}

static size_t choice_count(const char *const *choices)
{
  size_t n = 0;

  while (choices[n]) n++;
  return n;
}

static lh_status read_choice(const reading *r, const lh_at *at,
                             const lh_field *f, const json_t *v, int *out)
{
  const char *s = json_string_value(v);
  size_t n = choice_count(f->choices), near;
  char what[256], todo[256];

  if (!s) return wrong_kind(r, at, "a text", v);
  for (size_t i = 0; i < n; i++) {
    if (strcmp(s, f->choices[i]) == 0) {
      *out = (int)i;
      return LH_OK;
    }
  }
  near = lh_nearest(s, f->choices, n);
  if (near < n) {
    snprintf(what, sizeof what, "\"%.60s\" is not known; the nearest is \"%s\"",
             s, f->choices[near]);
  } else {
    snprintf(what, sizeof what, "\"%.60s\" is not known", s);
  }
  name_all(todo, sizeof todo, "use one of:", f->choices, n);
  return refuse(r, at, LH_INPUT, what, todo);
}

static lh_status read_object(const reading *r, const lh_at *at,
                             const lh_fields *sub, const json_t *v, void **out)
{
  *out = lh_arena_take(r->arena, 1, sub->size);
  if (!*out) return no_memory(r, at);
  return lh_fields_read(sub, v, at, r->arena, *out, r->fault);
}

static lh_status list_size(const reading *r, const lh_at *at, const lh_field *f,
                           const json_t *v)
{
  size_t most = f->most_items ? f->most_items : LH_LIST_MOST;
  char what[256], todo[256];

  if (!json_is_array(v)) return wrong_kind(r, at, "a list", v);
  if (json_array_size(v) <= most) return LH_OK;
  snprintf(what, sizeof what, "the list holds %zu, more than the %zu taken",
           json_array_size(v), most);
  snprintf(todo, sizeof todo, "leave out all but %zu, or divide the work",
           most);
  return refuse(r, at, LH_TOOLARGE, what, todo);
}

static lh_status read_list(const reading *r, const lh_at *at, const lh_field *f,
                           const json_t *v, lh_list *out)
{
  lh_status st = list_size(r, at, f, v);
  size_t n = json_array_size(v);

  if (st != LH_OK) return st;
  out->items = lh_arena_take(r->arena, n, f->sub->size);
  if (!out->items) return no_memory(r, at);
  out->count = n;
  for (size_t i = 0; i < n && st == LH_OK; i++) {
    lh_at here = {at, NULL, i};
    st = lh_fields_read(f->sub, json_array_get(v, i), &here, r->arena,
                        (unsigned char *)out->items + i * f->sub->size,
                        r->fault);
  }
  return st;
}

static lh_status read_numbers(const reading *r, const lh_at *at,
                              const lh_field *f, const json_t *v, lh_list *out)
{
  lh_status st = list_size(r, at, f, v);
  size_t n = json_array_size(v);
  double *x;

  if (st != LH_OK) return st;
  x = lh_arena_take(r->arena, n, sizeof *x);
  if (!x) return no_memory(r, at);
  *out = (lh_list){x, n};
  for (size_t i = 0; i < n && st == LH_OK; i++) {
    lh_at here = {at, NULL, i};
    st = read_number(r, &here, f, json_array_get(v, i), &x[i]);
  }
  return st;
}

static lh_status read_texts(const reading *r, const lh_at *at,
                            const lh_field *f, const json_t *v, lh_list *out)
{
  lh_status st = list_size(r, at, f, v);
  size_t n = json_array_size(v);
  const char **x;

  if (st != LH_OK) return st;
  x = lh_arena_take(r->arena, n, sizeof *x);
  if (!x) return no_memory(r, at);
  *out = (lh_list){x, n};
  for (size_t i = 0; i < n && st == LH_OK; i++) {
    lh_at here = {at, NULL, i};
    st = read_text(r, &here, json_array_get(v, i), f, &x[i]);
  }
  return st;
}

static lh_status read_spectrum(const reading *r, const lh_at *at,
                               const lh_field *f, const json_t *v, double **out)
{
  lh_status st = LH_OK;
  double *x = lh_arena_take(r->arena, LH_SPECTRUM, sizeof *x);

  if (!x) return no_memory(r, at);
  *out = x;
  if (json_is_array(v)) {
    if (json_array_size(v) != LH_SPECTRUM) {
      char what[96];
      snprintf(what, sizeof what, "%zu numbers stand here, not 36",
               json_array_size(v));
      return refuse(r, at, LH_INPUT, what,
                    "give 36 numbers for 380 to 730 nm by 10 nm, or one "
                    "number for all");
    }
    for (size_t i = 0; i < LH_SPECTRUM && st == LH_OK; i++) {
      lh_at here = {at, NULL, i};
      st = read_number(r, &here, f, json_array_get(v, i), &x[i]);
    }
    return st;
  }
  st = read_number(r, at, f, v, &x[0]);
  for (size_t i = 1; i < LH_SPECTRUM; i++) x[i] = x[0];
  return st;
}

static lh_status read_amounts(const reading *r, const lh_at *at,
                              const lh_field *f, const json_t *v, lh_list *out)
{
  lh_status st = LH_OK;
  const char *key;
  json_t *item;
  lh_amount *x;
  size_t n = json_object_size(v);

  if (!json_is_object(v)) return wrong_kind(r, at, "an object", v);
  if (n > LH_LIST_MOST) {
    return refuse(r, at, LH_TOOLARGE, "too many names", "leave some out");
  }
  x = lh_arena_take(r->arena, n, sizeof *x);
  if (!x) return no_memory(r, at);
  *out = (lh_list){x, 0};
  json_object_foreach((json_t *)(uintptr_t)v, key, item)
  {
    lh_at here = {at, key, 0};
    x[out->count].name = key;
    st = read_number(r, &here, f, item, &x[out->count].value);
    if (st != LH_OK) break;
    out->count++;
  }
  return st;
}

static lh_status read_field(const reading *r, const lh_at *at,
                            const lh_field *f, json_t *v, void *member)
{
  switch (f->kind) {
  case LH_F_NUMBER: return read_number(r, at, f, v, member);
  case LH_F_COUNT: return read_count(r, at, f, v, member);
  case LH_F_FLAG:
    if (!json_is_boolean(v)) return wrong_kind(r, at, "true or false", v);
    *(bool *)member = json_is_true(v);
    return LH_OK;
  case LH_F_TEXT: return read_text(r, at, v, f, member);
  case LH_F_CHOICE: return read_choice(r, at, f, v, member);
  case LH_F_OBJECT: return read_object(r, at, f->sub, v, member);
  case LH_F_LIST: return read_list(r, at, f, v, member);
  case LH_F_NUMBERS: return read_numbers(r, at, f, v, member);
  case LH_F_TEXTS: return read_texts(r, at, f, v, member);
  case LH_F_SPECTRUM: return read_spectrum(r, at, f, v, member);
  case LH_F_AMOUNTS: return read_amounts(r, at, f, v, member);
  case LH_F_JSON: *(json_t **)member = v; return LH_OK;
  }
  return LH_INPUT;
}

static void set_default(const lh_field *f, void *member)
{
  bool none = isnan(f->otherwise);

  switch (f->kind) {
  case LH_F_NUMBER: *(double *)member = f->otherwise; return;
  case LH_F_COUNT: *(long *)member = none ? -1 : (long)f->otherwise; return;
  case LH_F_CHOICE: *(int *)member = none ? -1 : (int)f->otherwise; return;
  case LH_F_FLAG: *(bool *)member = !none && f->otherwise > 0; return;
  default: return; /* the struct was cleared: NULL and empty */
  }
}

static lh_status unknown_key(const reading *r, const lh_at *at,
                             const lh_fields *f, const char *key)
{
  const char *names[128];
  size_t n = 0, near;
  char what[256], todo[256];

  for (; n < f->count && n < 128; n++) names[n] = f->list[n].key;
  near = lh_nearest(key, names, n);
  if (near < n) {
    snprintf(what, sizeof what,
             "the key \"%.60s\" is not known; the nearest is \"%s\"", key,
             names[near]);
    snprintf(todo, sizeof todo, "write \"%s\", or take it out", names[near]);
    return refuse(r, at, LH_INPUT, what, todo);
  }
  snprintf(what, sizeof what, "the key \"%.60s\" is not known", key);
  name_all(todo, sizeof todo, "known here:", names, n);
  return refuse(r, at, LH_INPUT, what, todo);
}

static lh_status known_keys(const reading *r, const lh_at *at,
                            const lh_fields *f, const json_t *json)
{
  const char *key;
  json_t *v;

  json_object_foreach((json_t *)(uintptr_t)json, key, v)
  {
    size_t i = 0;
    while (i < f->count && strcmp(f->list[i].key, key) != 0) i++;
    if (i == f->count) {
      lh_at here = {at, key, 0};
      return unknown_key(r, &here, f, key);
    }
  }
  return LH_OK;
}

lh_status lh_fields_read(const lh_fields *f, const json_t *json,
                         const lh_at *at, lh_arena *a, void *out,
                         lh_fault *fault)
{
  reading r = {a, fault};
  lh_status st;

  memset(out, 0, f->size);
  for (size_t i = 0; i < f->count; i++)
    set_default(&f->list[i], (unsigned char *)out + f->list[i].offset);
  if (!json_is_object(json)) return wrong_kind(&r, at, "an object", json);
  st = known_keys(&r, at, f, json);
  for (size_t i = 0; i < f->count && st == LH_OK; i++) {
    const lh_field *field = &f->list[i];
    json_t *v = json_object_get(json, field->key);
    lh_at here = {at, field->key, 0};
    /* null stands for "not given", except where anything may stand. */
    if (v && json_is_null(v) && field->kind != LH_F_JSON) v = NULL;
    if (v) {
      st =
          read_field(&r, &here, field, v, (unsigned char *)out + field->offset);
      /* A name is given to be called by. */
      if (st == LH_OK && field->required && field->kind == LH_F_TEXT &&
          json_string_length(v) == 0)
        st = refuse(&r, &here, LH_INPUT, "the text is empty", field->help);
    } else if (field->required) {
      char what[256], todo[256];
      snprintf(what, sizeof what, "\"%s\" is missing", field->key);
      snprintf(todo, sizeof todo, "give %s: %s", field->key, field->help);
      st = refuse(&r, &here, LH_INPUT, what, todo);
    }
  }
  return st;
}
