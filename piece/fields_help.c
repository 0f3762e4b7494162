/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fields_help.c -- the table of fields as JSON Schema and as help. */
#include <math.h>
#include <string.h>

#include "fields.h"
#include "quantity.h"

/* A number as text, with a point or a comma, as lh_number_read takes it; its
** unit behind it where the field's can be written in others. */
#define BLANKS "[ \\t\\r\\n]*"
#define DIGITS "([0-9]+([.,][0-9]+)?|[.,][0-9]+)"
#define AS_TEXT "^" BLANKS "[-+]?" DIGITS "([eE][-+]?[0-9]+)?" BLANKS
#define UNIT "( *[^0-9.,+-]+)?"

/* An object with v under a key.  v is taken; NULL, and nothing left behind,
** once memory gave out. */
static json_t *with(json_t *s, const char *key, json_t *v)
{
  if (!s)
    json_decref(v);
  else if (json_object_set_new(s, key, v) == 0)
    return s;
  json_decref(s);
  return NULL;
}

/* A list with v at its end, likewise. */
static json_t *then(json_t *list, json_t *v)
{
  if (!list)
    json_decref(v);
  else if (json_array_append_new(list, v) == 0)
    return list;
  json_decref(list);
  return NULL;
}

static json_t *typed(const char *type)
{
  return with(json_object(), "type", json_string(type));
}

static json_t *number_schema(const lh_field *f)
{
  const char *type = f->kind == LH_F_COUNT ? "integer" : "number";
  char units[128] = "";
  double none;
  bool has =
      lh_quantity_read("", 0, f->unit, &none, units, sizeof units) != LH_OK &&
      *units;
  json_t *types =
      then(then(json_array(), json_string(type)), json_string("string"));
  json_t *s = with(json_object(), "type", types);

  s = with(s, "pattern", json_string(has ? AS_TEXT UNIT "$" : AS_TEXT "$"));
  if (!isnan(f->least)) s = with(s, "minimum", json_real(f->least));
  if (!isnan(f->most)) s = with(s, "maximum", json_real(f->most));
  return s;
}

/* What must be given must not be empty. */
static json_t *text_schema(const lh_field *f)
{
  json_t *s = typed("string");

  if (s && f->required) json_object_set_new(s, "minLength", json_integer(1));
  return s;
}

static json_t *choice_schema(const lh_field *f)
{
  json_t *words = json_array();

  for (size_t i = 0; f->choices[i]; i++)
    words = then(words, json_string(f->choices[i]));
  return with(typed("string"), "enum", words);
}

static json_t *list_schema(const lh_field *f, json_t *items)
{
  size_t most = f->most_items ? f->most_items : LH_LIST_MOST;
  json_t *s = with(typed("array"), "items", items);

  return with(s, "maxItems", json_integer((json_int_t)most));
}

static json_t *spectrum_schema(const lh_field *f)
{
  json_t *s = with(typed("array"), "items", number_schema(f));

  s = with(s, "minItems", json_integer(LH_SPECTRUM));
  s = with(s, "maxItems", json_integer(LH_SPECTRUM));
  return with(json_object(), "anyOf",
              then(then(json_array(), number_schema(f)), s));
}

static json_t *object_schema(const lh_fields *f);

static json_t *field_schema(const lh_field *f)
{
  switch (f->kind) {
  case LH_F_NUMBER:
  case LH_F_COUNT: return number_schema(f);
  case LH_F_FLAG: return typed("boolean");
  case LH_F_TEXT: return text_schema(f);
  case LH_F_CHOICE: return choice_schema(f);
  case LH_F_OBJECT: return object_schema(f->sub);
  case LH_F_LIST: return list_schema(f, object_schema(f->sub));
  case LH_F_NUMBERS: return list_schema(f, number_schema(f));
  case LH_F_TEXTS: return list_schema(f, typed("string"));
  case LH_F_SPECTRUM: return spectrum_schema(f);
  case LH_F_AMOUNTS:
    return with(typed("object"), "additionalProperties", number_schema(f));
  case LH_F_JSON: return json_object();
  }
  return json_object();
}

/* What null may stand for: "not given", wherever the field is not required. */
static json_t *or_null(json_t *s)
{
  return with(json_object(), "anyOf",
              then(then(json_array(), s), typed("null")));
}

static json_t *describe(json_t *s, const lh_field *f)
{
  char text[512];

  snprintf(text, sizeof text, "%s%s%s%s", f->help ? f->help : "",
           f->unit ? " [" : "", f->unit ? f->unit : "", f->unit ? "]" : "");
  s = with(s, "description", json_string(text));
  if (isnan(f->otherwise)) return s;
  switch (f->kind) {
  case LH_F_NUMBER: return with(s, "default", json_real(f->otherwise));
  case LH_F_COUNT: return with(s, "default", json_integer((long)f->otherwise));
  case LH_F_FLAG: return with(s, "default", json_boolean(f->otherwise > 0));
  case LH_F_CHOICE:
    return with(s, "default", json_string(f->choices[(int)f->otherwise]));
  default: return s;
  }
}

static json_t *object_schema(const lh_fields *f)
{
  json_t *must = json_array(), *properties = json_object();
  json_t *s = with(typed("object"), "title", json_string(f->title));

  for (size_t i = 0; i < f->count; i++) {
    const lh_field *x = &f->list[i];
    json_t *one = field_schema(x);
    if (!x->required && x->kind != LH_F_JSON) one = or_null(one);
    properties = with(properties, x->key, describe(one, x));
    if (x->required) must = then(must, json_string(x->key));
  }
  s = with(s, "additionalProperties", json_false());
  s = with(s, "properties", properties);
  if (!must || json_array_size(must) > 0) return with(s, "required", must);
  json_decref(must);
  return s;
}

json_t *lh_fields_schema(const lh_fields *f)
{
  return with(object_schema(f), "$schema",
              json_string("https://json-schema.org/draft/2020-12/schema"));
}

static const char *kind_name(const lh_field *f)
{
  switch (f->kind) {
  case LH_F_NUMBER: return "number";
  case LH_F_COUNT: return "whole number";
  case LH_F_FLAG: return "true or false";
  case LH_F_TEXT: return "text";
  case LH_F_CHOICE: return "one of";
  case LH_F_OBJECT: return "object";
  case LH_F_LIST: return "list of";
  case LH_F_NUMBERS: return "list of numbers";
  case LH_F_TEXTS: return "list of texts";
  case LH_F_SPECTRUM: return "one number or 36, 380-730 nm";
  case LH_F_AMOUNTS: return "names with a number each";
  case LH_F_JSON: return "any JSON";
  }
  return "";
}

static void put_limits(const lh_field *f, FILE *out)
{
  if (!isnan(f->least) && !isnan(f->most) && (f->least != 0 || f->most != 0))
    fprintf(out, ", %.15g to %.15g", f->least, f->most);
  else if (!isnan(f->least))
    fprintf(out, ", from %.15g", f->least);
  else if (!isnan(f->most))
    fprintf(out, ", up to %.15g", f->most);
}

static void put_default(const lh_field *f, FILE *out)
{
  if (f->required)
    fprintf(out, ", required");
  else if (isnan(f->otherwise))
    return;
  else if (f->kind == LH_F_CHOICE)
    fprintf(out, ", default %s", f->choices[(int)f->otherwise]);
  else if (f->kind == LH_F_NUMBER || f->kind == LH_F_COUNT)
    fprintf(out, ", default %.15g", f->otherwise);
}

void lh_fields_help(const lh_fields *f, int indent, FILE *out)
{
  for (size_t i = 0; i < f->count; i++) {
    const lh_field *x = &f->list[i];
    bool number = x->kind == LH_F_NUMBER || x->kind == LH_F_COUNT ||
                  x->kind == LH_F_SPECTRUM || x->kind == LH_F_NUMBERS ||
                  x->kind == LH_F_AMOUNTS;
    fprintf(out, "%*s%s\n%*s", indent, "", x->key, indent + 4, "");
    fprintf(out, "%s", kind_name(x));
    for (size_t k = 0; x->kind == LH_F_CHOICE && x->choices[k]; k++)
      fprintf(out, "%s %s", k ? "," : "", x->choices[k]);
    if (x->unit) fprintf(out, " [%s]", x->unit);
    if (number) put_limits(x, out);
    put_default(x, out);
    fprintf(out, "\n%*s%s\n", indent + 4, "", x->help ? x->help : "");
    if (x->sub) lh_fields_help(x->sub, indent + 8, out);
  }
}
