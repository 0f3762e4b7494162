/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "operation.h"

#include <string.h>

#include "piece.h"
#include "refer.h"
#include "stock.h"

#define OP(name) extern const lh_operation lh_op_##name;
#include "operations.def"
#undef OP

static const lh_operation *const table[] = {
#define OP(name) &lh_op_##name,
#include "operations.def"
#undef OP
    NULL};

const lh_operation *lh_operation_at(size_t i)
{
  for (size_t k = 0; table[k]; k++)
    if (k == i) return table[k];
  return NULL;
}

const lh_operation *lh_operation_find(const char *name)
{
  for (size_t i = 0; table[i]; i++)
    if (strcmp(table[i]->name, name) == 0) return table[i];
  return NULL;
}

bool lh_operation_piece(const lh_operation *op, const json_t *document)
{
  return op->takes_piece ||
         (op->knows_pieces && json_object_get(document, "format"));
}

/* Of a piece, the operation's own fields stand in "ask"; the rest of the
** document is for the handler to read as a piece. */
static lh_status read_ask(const lh_operation *op, const lh_call *call,
                          void *ask, lh_fault *fault)
{
  static const lh_at at = {NULL, "ask", 0};
  const json_t *json = call->document;
  json_t *empty = NULL;
  lh_status st;

  if (!lh_operation_piece(op, call->document))
    return lh_fields_read(op->fields, json, NULL, call->arena, ask, fault);
  json = json_object_get(call->document, "ask");
  if (!json || json_is_null(json)) json = empty = json_object();
  st = lh_fields_read(op->fields, json, &at, call->arena, ask, fault);
  json_decref(empty);
  return st;
}

json_t *lh_operation_schema(const lh_operation *op)
{
  json_t *piece, *named, *both, *ask = lh_fields_schema(op->fields), *own;

  if (!(op->takes_piece || op->knows_pieces) || !ask) return ask;
  json_object_del(ask, "$schema");
  named = lh_refer_schema(json_incref(ask));
  piece = lh_fields_schema(&lh_piece_table);
  if (!named || !piece ||
      json_object_set(json_object_get(piece, "properties"), "ask", ask) != 0) {
    json_decref(named);
    named = NULL;
  }
  json_object_del(piece, "$schema");
  both = named ? json_pack("{s:s,s:[O,O]}", "$schema",
                           "https://json-schema.org/draft/2020-12/schema",
                           "oneOf", piece, named)
               : NULL;
  own = op->knows_pieces ? lh_fields_schema(op->fields) : NULL;
  json_object_del(own, "$schema");
  if (op->knows_pieces &&
      (!own || json_array_append(json_object_get(both, "oneOf"), own) != 0)) {
    json_decref(both);
    both = NULL;
  }
  json_decref(own);
  json_decref(ask);
  json_decref(piece);
  json_decref(named);
  return both;
}

/* Does the document have a place for materials? */
static bool takes_materials(const lh_operation *op, const json_t *document)
{
  for (size_t i = 0; i < op->fields->count; i++)
    if (strcmp(op->fields->list[i].key, "materials") == 0) return true;
  return lh_operation_piece(op, document);
}

/* Somebody's whole piece, by what it says of itself. */
static bool is_piece(const json_t *document)
{
  const char *format = json_string_value(json_object_get(document, "format"));

  return format && strcmp(format, "leatherhard.piece") == 0;
}

lh_status lh_operation_run(const lh_operation *op, const lh_call *call,
                           lh_reply *reply, lh_fault *fault)
{
  lh_call stocked = *call;
  void *ask;
  lh_status st = LH_OK;

  *reply = (lh_reply){.arena = call->arena, .json = json_object()};
  if (!reply->json) return lh_fault_plain(fault, LH_NOMEM, op->name);
  if (op->takes_piece && !json_is_object(call->document)) {
    return lh_fault_say(fault, LH_INPUT, "/", "give a piece, see docs/piece.md",
                        "an object is wanted");
  }
  if (!op->takes_piece && !op->knows_pieces && is_piece(call->document))
    return lh_fault_say(
        fault, LH_INPUT, "/format", "see its help for what it takes",
        "this is a whole piece, and %s does not take one", op->name);
  if (op->takes_piece || op->knows_pieces)
    st = lh_refer_take(call->book, call->document, call->arena,
                       &reply->referred, fault);
  if (reply->referred) {
    stocked.document = reply->referred;
    call = &stocked;
  }
  if (st == LH_OK && takes_materials(op, call->document))
    st = lh_stock_bring(call->book, call->document, &reply->widened, fault);
  if (st != LH_OK) return st;
  if (reply->widened) {
    stocked.document = reply->widened;
    call = &stocked;
  }
  ask = lh_arena_take(call->arena, 1, op->fields->size ? op->fields->size : 1);
  if (!ask) return lh_fault_plain(fault, LH_NOMEM, op->name);
  st = read_ask(op, call, ask, fault);
  if (st == LH_OK) st = op->run(call, ask, reply, fault);
  if (st != LH_OK && st != LH_STOP) return lh_fault_plain(fault, st, op->name);
  if (reply->st != LH_OK) return lh_fault_plain(fault, reply->st, op->name);
  return st;
}
