/* SPDX-License-Identifier: GPL-3.0-or-later */
/* openapi.c -- the server told to programs (OpenAPI 3.1.0): the fixed half
** from openapi.json, the operations from the table. */
#include <stdio.h>

#include "openapi_base.h" /* made from openapi.json at build time */
#include "server_room.h"
#include "version.h"

static json_t *answer_of(const lh_operation *op)
{
  json_t *content = json_pack("{s:{s:{s:s}}}", "application/json", "schema",
                              "type", "object");

  if (op->media &&
      json_object_set_new(content, op->media, json_object()) != 0) {
    json_decref(content);
    return NULL;
  }
  return json_pack("{s:{s:s,s:{s:{s:s,s:{s:s,s:[s,s]}}},s:o},s:{s:s},s:{s:s}}",
                   "200", "description", "The result.", "headers",
                   "Leatherhard-Outcome", "description",
                   "stop: a verdict says stop; the result stands.", "schema",
                   "type", "string", "enum", "done", "stop", "content", content,
                   "202", "$ref", "#/components/responses/Job", "default",
                   "$ref", "#/components/responses/Problem");
}

/* The piece stands once among the components; an operation that takes one
** says what its "ask" may hold. */
static json_t *schema_of(const lh_operation *op, json_t *all)
{
  json_t *schema = lh_operation_schema(op), *schemas, *piece, *ask, *whole;
  int bad;

  json_object_del(schema, "$schema"); /* 3.1 schemas are of that dialect */
  if (!schema || !(op->takes_piece || op->knows_pieces)) return schema;
  schemas = json_object_get(json_object_get(all, "components"), "schemas");
  piece = json_incref(json_array_get(json_object_get(schema, "oneOf"), 0));
  ask =
      json_incref(json_object_get(json_object_get(piece, "properties"), "ask"));
  bad = json_object_set_new(
      json_object_get(piece, "properties"), "ask",
      json_pack("{s:s}", "description", "See the operation that is asked."));
  bad |= json_object_set_new(schemas, "Piece", piece);
  whole = json_pack("{s:s,s:{s:o}}", "$ref", "#/components/schemas/Piece",
                    "properties", "ask", ask);
  bad |= json_array_set_new(json_object_get(schema, "oneOf"), 0, whole);
  if (!bad) return schema;
  json_decref(schema);
  return NULL;
}

static json_t *body_of(const lh_operation *op, json_t *all)
{
  json_t *schema = schema_of(op, all), *content, *example;

  if (!schema) return NULL;
  content = json_pack("{s:o}", "schema", schema);
  example = op->example ? json_loads(op->example, 0, NULL) : NULL;
  if (op->example &&
      (!example || json_object_set_new(content, "example", example) != 0)) {
    json_decref(content);
    return NULL;
  }
  return json_pack("{s:b,s:{s:o}}", "required", 1, "content",
                   "application/json", content);
}

static bool add(json_t *all, const lh_operation *op)
{
  char path[80];
  json_t *post = json_pack(
      "{s:s,s:s,s:s,s:[s],s:[{s:s},{s:s}],s:o,s:o}", "operationId", op->name,
      "summary", op->help, "description", op->purpose, "tags", "operations",
      "parameters", "$ref", "#/components/parameters/Token", "$ref",
      "#/components/parameters/Prefer", "requestBody", body_of(op, all),
      "responses", answer_of(op));

  snprintf(path, sizeof path, "/api/%s", op->name);
  return post && json_object_set_new(json_object_get(all, "paths"), path,
                                     json_pack("{s:o}", "post", post)) == 0;
}

char *lh_openapi_text(void)
{
  const lh_operation *op;
  json_t *all =
      json_loadb((const char *)openapi_base, openapi_base_size, 0, NULL);
  char *text = NULL;
  bool good = json_object_set_new(json_object_get(all, "info"), "version",
                                  json_string(LH_VERSION)) == 0;

  for (size_t i = 0; good && (op = lh_operation_at(i)); i++)
    good = add(all, op);
  if (good) text = lh_json_line(all);
  json_decref(all);
  return text;
}
