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

static json_t *number_schema(const lh_field *f)
{
  char units[128];
  bool has = lh_quantity_read("", 0, f->unit, &(double){0}, units,
                              sizeof units) != LH_OK &&
             *units;
  json_t *s = json_pack("{s:[s,s],s:s}", "type", "number", "string", "pattern",
                        has ? AS_TEXT UNIT "$" : AS_TEXT "$");

  if (f->kind == LH_F_COUNT) {
    json_object_set_new(s, "type", json_pack("[s,s]", "integer", "string"));
  }
  if (!isnan(f->least)) json_object_set_new(s, "minimum", json_real(f->least));
  if (!isnan(f->most)) json_object_set_new(s, "maximum", json_real(f->most));
  return s;
}

static json_t *choice_schema(const lh_field *f)
{
  json_t *s = json_pack("{s:s,s:[]}", "type", "string", "enum");

  for (size_t i = 0; f->choices[i]; i++) {
    json_array_append_new(json_object_get(s, "enum"),
                          json_string(f->choices[i]));
  }
  return s;
}

static json_t *list_schema(const lh_field *f, json_t *items)
{
  size_t most = f->most_items ? f->most_items : LH_LIST_MOST;

  return json_pack("{s:s,s:o,s:I}", "type", "array", "items", items, "maxItems",
                   (json_int_t)most);
}

static json_t *object_schema(const lh_fields *f);

static json_t *field_schema(const lh_field *f)
{
  switch (f->kind) {
  case LH_F_NUMBER:
  case LH_F_COUNT: return number_schema(f);
  case LH_F_FLAG: return json_pack("{s:s}", "type", "boolean");
  case LH_F_TEXT: return json_pack("{s:s}", "type", "string");
  case LH_F_CHOICE: return choice_schema(f);
  case LH_F_OBJECT: return object_schema(f->sub);
  case LH_F_LIST: return list_schema(f, object_schema(f->sub));
  case LH_F_NUMBERS: return list_schema(f, number_schema(f));
  case LH_F_TEXTS: return list_schema(f, json_pack("{s:s}", "type", "string"));
  case LH_F_SPECTRUM:
    return json_pack("{s:[o,{s:s,s:o,s:i,s:i}]}", "anyOf", number_schema(f),
                     "type", "array", "items", number_schema(f), "minItems",
                     LH_SPECTRUM, "maxItems", LH_SPECTRUM);
  case LH_F_AMOUNTS:
    return json_pack("{s:s,s:o}", "type", "object", "additionalProperties",
                     number_schema(f));
  case LH_F_JSON: return json_object();
  }
  return json_object();
}

/* What null may stand for: "not given", wherever the field is not required. */
static json_t *or_null(json_t *s)
{
  return json_pack("{s:[o,{s:s}]}", "anyOf", s, "type", "null");
}

static void describe(json_t *s, const lh_field *f)
{
  char text[512];

  snprintf(text, sizeof text, "%s%s%s%s", f->help ? f->help : "",
           f->unit ? " [" : "", f->unit ? f->unit : "", f->unit ? "]" : "");
  json_object_set_new(s, "description", json_string(text));
  if (isnan(f->otherwise)) return;
  switch (f->kind) {
  case LH_F_NUMBER:
    json_object_set_new(s, "default", json_real(f->otherwise));
    break;
  case LH_F_COUNT:
    json_object_set_new(s, "default", json_integer((long)f->otherwise));
    break;
  case LH_F_FLAG:
    json_object_set_new(s, "default", json_boolean(f->otherwise > 0));
    break;
  case LH_F_CHOICE:
    json_object_set_new(s, "default",
                        json_string(f->choices[(int)f->otherwise]));
    break;
  default: break;
  }
}

static json_t *object_schema(const lh_fields *f)
{
  json_t *s = json_pack("{s:s,s:s,s:{},s:b}", "type", "object", "title",
                        f->title, "properties", "additionalProperties", 0);
  json_t *must = json_array();

  for (size_t i = 0; i < f->count; i++) {
    json_t *one = field_schema(&f->list[i]);
    if (!f->list[i].required && f->list[i].kind != LH_F_JSON)
      one = or_null(one);
    describe(one, &f->list[i]);
    json_object_set_new(json_object_get(s, "properties"), f->list[i].key, one);
    if (f->list[i].required)
      json_array_append_new(must, json_string(f->list[i].key));
  }
  if (json_array_size(must) > 0) json_object_set(s, "required", must);
  json_decref(must);
  return s;
}

json_t *lh_fields_schema(const lh_fields *f)
{
  json_t *s = object_schema(f);

  if (s) {
    json_object_set_new(
        s, "$schema",
        json_string("https://json-schema.org/draft/2020-12/schema"));
  }
  return s;
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
