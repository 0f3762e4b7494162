/* SPDX-License-Identifier: GPL-3.0-or-later */
/* patch.c -- JSON Patch (RFC 6902): apply all of it or nothing, and give the
** way back. */
#include <stdint.h>
#include <string.h>

#include "patch_room.h"

typedef struct {
  json_t *root;
  json_t *inverse; /* grows at its front                        */
  json_t *touched; /* may be NULL                               */
  size_t copied;   /* values made by copies so far              */
  size_t number;   /* of the operation, for messages            */
  bool undoing;    /* values are ours to use: no deep copies    */
  lh_fault *fault;
} work;

static lh_status refuse(const work *w, lh_status st, const char *member,
                        const char *what, const char *todo)
{
  char where[64];

  snprintf(where, sizeof where, "/%zu%s%s", w->number, *member ? "/" : "",
           member);
  return lh_fault_say(w->fault, st, where, todo, "%s", what);
}

static lh_status no_memory(const work *w)
{
  return refuse(w, LH_NOMEM, "", "out of memory", "close other programs");
}

static lh_status no_place(const work *w, const char *member,
                          const char *pointer)
{
  char what[256];

  snprintf(what, sizeof what, "there is no place %.150s in the document",
           *pointer ? pointer : "\"\"");
  return refuse(w, LH_INPUT, member, what,
                "fetch the newest revision and make the change on it");
}

/* ---- one operation ------------------------------------------------------ */

typedef struct {
  const char *path, *from; /* as they stand in the patch */
  lh_pointer at, source;
  json_t *value; /* borrowed */
} operation;

static lh_status read_pointer(const work *w, const json_t *op,
                              const char *member, const char **text,
                              lh_pointer *p)
{
  const json_t *v = json_object_get(op, member);
  lh_status st;

  *text = json_string_value(v);
  if (!*text) {
    return refuse(w, LH_INPUT, member, "a JSON pointer is wanted here",
                  "write it like /painting/0/up_mm");
  }
  st = lh_pointer_read(*text, p);
  if (st == LH_OK) return LH_OK;
  return refuse(w, st, member,
                st == LH_INPUT ? "this is no JSON pointer"
                               : "the pointer is too long or too deep",
                "write it like /painting/0/up_mm; ~ is ~0 and / is ~1 in a "
                "name");
}

static size_t depth_of(const json_t *v)
{
  size_t most = 0;
  const char *key;
  json_t *child;

  if (json_is_object(v)) {
    json_object_foreach((json_t *)(uintptr_t)v, key, child)
    {
      size_t d = depth_of(child);
      if (d > most) most = d;
    }
  } else if (json_is_array(v)) {
    for (size_t i = 0; i < json_array_size(v); i++) {
      size_t d = depth_of(json_array_get(v, i));
      if (d > most) most = d;
    }
  } else {
    return 0;
  }
  return most + 1;
}

static size_t count_of(const json_t *v)
{
  size_t sum = 1;
  const char *key;
  json_t *child;

  json_object_foreach((json_t *)(uintptr_t)v, key, child) sum +=
      count_of(child);
  for (size_t i = 0; i < json_array_size(v); i++)
    sum += count_of(json_array_get(v, i));
  return sum;
}

/* ---- the way back ------------------------------------------------------- */

/* Put an operation at the front of the inverse; the value is stolen. */
static lh_status back(work *w, const char *op, const char *path,
                      const char *from, json_t *value)
{
  json_t *x;

  if (!w->inverse) {
    json_decref(value);
    return LH_OK;
  }
  x = json_pack("{s:s,s:s}", "op", op, "path", path);
  if (x && from) json_object_set_new(x, "from", json_string(from));
  if (x && value) {
    json_object_set(x, "value", value);
    if (!json_object_get(x, "value")) json_decref(x), x = NULL;
  }
  json_decref(value);
  if (x && from && !json_object_get(x, "from")) json_decref(x), x = NULL;
  if (!x || json_array_insert_new(w->inverse, 0, x) != 0) return no_memory(w);
  return LH_OK;
}

/* The path with its last token, "-", replaced by the place it stands for. */
static bool exact_path(const operation *o, size_t index, char *text,
                       size_t size)
{
  const char *last = strrchr(o->path, '/');
  size_t n = last ? (size_t)(last - o->path) : 0;

  if (n + 24 > size) return false;
  memcpy(text, o->path, n);
  snprintf(text + n, size - n, "/%zu", index);
  return true;
}

/* ---- putting and taking ------------------------------------------------- */

/* Put a value where `at` says; stolen.  In a list it goes between.
** *old gets what it took the place of, as a new reference, or NULL. */
static lh_status put(work *w, const operation *o, json_t *value, json_t **old)
{
  const lh_pointer *p = &o->at;
  json_t *into;
  size_t i, n;
  int rc = -1;

  *old = NULL;
  if (p->n == 0) {
    *old = w->root;
    w->root = value;
    return LH_OK;
  }
  into = lh_pointer_walk(w->root, p, p->n - 1);
  if (json_is_object(into)) {
    *old = json_incref(json_object_get(into, p->token[p->n - 1]));
    rc = json_object_set_new(into, p->token[p->n - 1], value);
  } else if (json_is_array(into)) {
    n = json_array_size(into);
    i = strcmp(p->token[p->n - 1], "-") == 0
            ? n
            : lh_pointer_index(p->token[p->n - 1]);
    if (i > n) {
      json_decref(value);
      return no_place(w, "path", o->path);
    }
    rc = json_array_insert_new(into, i, value);
  } else {
    json_decref(value);
    return no_place(w, "path", o->path);
  }
  if (rc == 0) return LH_OK;
  json_decref(*old);
  *old = NULL;
  return no_memory(w);
}

/* Take out what p points at; *value is a new reference. */
static lh_status take(work *w, const char *member, const char *text,
                      const lh_pointer *p, json_t **value)
{
  json_t *from, *v = NULL;

  if (p->n == 0) {
    return refuse(w, LH_INPUT, member, "the document itself cannot go",
                  "replace it instead");
  }
  from = lh_pointer_walk(w->root, p, p->n - 1);
  if (json_is_object(from)) {
    v = json_incref(json_object_get(from, p->token[p->n - 1]));
    if (v) json_object_del(from, p->token[p->n - 1]);
  } else if (json_is_array(from)) {
    size_t i = lh_pointer_index(p->token[p->n - 1]);
    v = json_incref(json_array_get(from, i));
    if (v) json_array_remove(from, i);
  }
  if (!v) return no_place(w, member, text);
  *value = v;
  return LH_OK;
}

/* Note what it touches, put it, note the way back. */
static lh_status add(work *w, const operation *o, json_t *value)
{
  json_t *into = lh_pointer_walk(w->root, &o->at, o->at.n ? o->at.n - 1 : 0);
  bool list = o->at.n > 0 && json_is_array(into);
  size_t end = json_array_size(into);
  json_t *old = NULL;
  char path[LH_POINTER_MOST + 32];
  json_t *there = list ? NULL : lh_pointer_walk(w->root, &o->at, o->at.n);
  lh_status st;

  if (o->at.n + depth_of(value) > LH_NESTING_MOST) {
    json_decref(value);
    return refuse(w, LH_TOOLARGE, "path", "nested too deeply",
                  "nest less deeply");
  }
  st = lh_touch(w->touched, w->root, &o->at, there, value);
  if (st != LH_OK) {
    json_decref(value);
    return no_memory(w);
  }
  st = put(w, o, value, &old);
  if (st != LH_OK) return st;
  if (!list)
    return old ? back(w, "replace", o->path, NULL, old)
               : back(w, "remove", o->path, NULL, NULL);
  if (strcmp(o->at.token[o->at.n - 1], "-") != 0)
    return back(w, "remove", o->path, NULL, NULL);
  if (!exact_path(o, end, path, sizeof path))
    return refuse(w, LH_TOOLARGE, "path", "the pointer is too long", "");
  return back(w, "remove", path, NULL, NULL);
}

/* ---- the six ------------------------------------------------------------ */

static lh_status own(work *w, json_t *value, json_t **mine)
{
  *mine = w->undoing ? json_incref(value) : lh_json_copy(value);
  return *mine ? LH_OK : no_memory(w);
}

static lh_status op_add(work *w, operation *o)
{
  json_t *mine;
  lh_status st = own(w, o->value, &mine);

  return st == LH_OK ? add(w, o, mine) : st;
}

static lh_status op_remove(work *w, operation *o)
{
  json_t *old = NULL;
  json_t *there = o->at.n ? lh_pointer_walk(w->root, &o->at, o->at.n) : NULL;
  lh_status st = LH_OK;

  if (there) st = lh_touch(w->touched, w->root, &o->at, there, NULL);
  if (st != LH_OK) return no_memory(w);
  st = take(w, "path", o->path, &o->at, &old);
  if (st != LH_OK) return st;
  return back(w, "add", o->path, NULL, old);
}

static lh_status op_replace(work *w, operation *o)
{
  json_t *there = lh_pointer_walk(w->root, &o->at, o->at.n);
  json_t *into, *mine;
  lh_status st;

  if (!there) return no_place(w, "path", o->path);
  st = own(w, o->value, &mine);
  if (st != LH_OK) return st;
  into = o->at.n ? lh_pointer_walk(w->root, &o->at, o->at.n - 1) : NULL;
  if (!json_is_array(into)) return add(w, o, mine);
  if (o->at.n + depth_of(mine) > LH_NESTING_MOST) {
    json_decref(mine);
    return refuse(w, LH_TOOLARGE, "path", "nested too deeply",
                  "nest less deeply");
  }
  if (lh_touch(w->touched, w->root, &o->at, there, mine) != LH_OK) {
    json_decref(mine);
    return no_memory(w);
  }
  json_incref(there);
  if (json_array_set_new(into, lh_pointer_index(o->at.token[o->at.n - 1]),
                         mine) != 0) {
    json_decref(there);
    return no_memory(w);
  }
  return back(w, "replace", o->path, NULL, there);
}

/* Is `p` inside what `source` points at? */
static bool inside(const lh_pointer *source, const lh_pointer *p)
{
  if (p->n <= source->n) return false;
  for (size_t i = 0; i < source->n; i++)
    if (strcmp(p->token[i], source->token[i]) != 0) return false;
  return true;
}

/* A part moved to where something stands that it was in: there is no moving
** back into what is gone, so the way back brings both by value. */
static lh_status move_out(work *w, const operation *o, json_t *value)
{
  json_t *copy = lh_json_copy(value), *old = NULL;
  bool list = o->at.n > 0 &&
              json_is_array(lh_pointer_walk(w->root, &o->at, o->at.n - 1));
  json_t *there = list ? NULL : lh_pointer_walk(w->root, &o->at, o->at.n);
  lh_status st;

  if (!copy || lh_touch(w->touched, w->root, &o->at, there, value) != LH_OK) {
    json_decref(copy);
    return no_memory(w);
  }
  st = put(w, o, json_incref(value), &old);
  if (st == LH_OK) st = back(w, "add", o->from, NULL, copy);
  if (st == LH_OK) st = back(w, old ? "replace" : "remove", o->path, NULL, old);
  return st;
}

/* The value has been taken out; should it find no place, the inverse made so
** far puts it back. */
static lh_status move_to(work *w, const operation *o, json_t *value)
{
  json_t *into = lh_pointer_walk(w->root, &o->at, o->at.n - 1), *old = NULL;
  bool list = json_is_array(into);
  char path[LH_POINTER_MOST + 32];
  const char *end = o->path;
  lh_status st = LH_OK;

  if (list && strcmp(o->at.token[o->at.n - 1], "-") == 0) {
    if (!exact_path(o, json_array_size(into), path, sizeof path))
      return refuse(w, LH_TOOLARGE, "path", "the pointer is too long", "");
    end = path;
  }
  if (o->at.n + depth_of(value) > LH_NESTING_MOST) {
    return refuse(w, LH_TOOLARGE, "path", "nested too deeply",
                  "nest less deeply");
  }
  if (lh_touch(w->touched, w->root, &o->at,
               list ? NULL : lh_pointer_walk(w->root, &o->at, o->at.n),
               value) != LH_OK)
    return no_memory(w);
  st = put(w, o, json_incref(value), &old);
  if (st != LH_OK) return st;
  /* Back: it moves home, then what it replaced comes again. */
  if (w->inverse) json_array_remove(w->inverse, 0);
  if (old) st = back(w, "add", end, NULL, old);
  if (st == LH_OK) st = back(w, "move", o->from, end, NULL);
  return st;
}

static lh_status op_move(work *w, operation *o)
{
  json_t *there = lh_pointer_walk(w->root, &o->source, o->source.n);
  json_t *value = NULL;
  lh_status st;

  if (!there) return no_place(w, "from", o->from);
  if (strcmp(o->from, o->path) == 0) return LH_OK;
  if (inside(&o->source, &o->at)) {
    return refuse(w, LH_INPUT, "path", "a value cannot move into itself",
                  "copy it instead");
  }
  st = lh_touch(w->touched, w->root, &o->source, there, NULL);
  if (st != LH_OK) return no_memory(w);
  st = take(w, "from", o->from, &o->source, &value);
  if (st != LH_OK) return st;
  if (inside(&o->at, &o->source)) {
    st = move_out(w, o, value);
  } else {
    st = back(w, "add", o->from, NULL, json_incref(value));
    if (st == LH_OK) st = move_to(w, o, value);
  }
  json_decref(value);
  return st;
}

static lh_status op_copy(work *w, operation *o)
{
  json_t *there = lh_pointer_walk(w->root, &o->source, o->source.n);
  json_t *mine;

  if (!there) return no_place(w, "from", o->from);
  w->copied += count_of(there);
  if (w->copied > LH_PATCH_COPIES_MOST) {
    return refuse(w, LH_TOOLARGE, "", "the copies grow too large",
                  "copy less at once");
  }
  mine = lh_json_copy(there);
  return mine ? add(w, o, mine) : no_memory(w);
}

static lh_status op_test(work *w, operation *o)
{
  json_t *there = lh_pointer_walk(w->root, &o->at, o->at.n);

  if (!there) return no_place(w, "path", o->path);
  if (lh_touch(w->touched, w->root, &o->at, there, NULL) != LH_OK)
    return no_memory(w);
  if (lh_json_same(there, o->value)) return LH_OK;
  return refuse(w, LH_CONFLICT, "value",
                "the document holds another value there",
                "fetch the newest revision and make the change on it");
}

static const struct {
  const char *name;
  bool value, from;
  lh_status (*run)(work *, operation *);
} ops[] = {
    {"add", true, false, op_add},         {"remove", false, false, op_remove},
    {"replace", true, false, op_replace}, {"move", false, true, op_move},
    {"copy", false, true, op_copy},       {"test", true, false, op_test},
};
enum { OPS = sizeof ops / sizeof ops[0] };

static lh_status one(work *w, const json_t *op)
{
  const char *name = json_string_value(json_object_get(op, "op"));
  operation o = {0};
  lh_status st;
  size_t k = 0;

  while (name && k < OPS && strcmp(ops[k].name, name) != 0) k++;
  if (!name || k == OPS) {
    return refuse(w, LH_INPUT, "op", "no such operation",
                  "use add, remove, replace, move, copy or test");
  }
  st = read_pointer(w, op, "path", &o.path, &o.at);
  if (st == LH_OK && ops[k].from)
    st = read_pointer(w, op, "from", &o.from, &o.source);
  if (st != LH_OK) return st;
  o.value = json_object_get(op, "value");
  if (ops[k].value && !o.value) {
    return refuse(w, LH_INPUT, "value", "the value is missing",
                  "give the value; null is one, too");
  }
  return ops[k].run(w, &o);
}

static lh_status run(work *w, const json_t *patch)
{
  lh_status st = LH_OK;

  for (size_t i = 0; i < json_array_size(patch) && st == LH_OK; i++) {
    w->number = i;
    st = one(w, json_array_get(patch, i));
  }
  return st;
}

lh_status lh_patch_step(json_t **document, const json_t *op, lh_fault *fault)
{
  work w = {.root = *document, .fault = fault};
  lh_status st = one(&w, op);

  *document = w.root;
  return st;
}

static lh_status check_shape(const json_t *patch, lh_fault *fault)
{
  if (!json_is_array(patch)) {
    return lh_fault_say(fault, LH_INPUT, "", "give a list of operations",
                        "a patch is a list (RFC 6902)");
  }
  if (json_array_size(patch) > LH_PATCH_OPS_MOST) {
    return lh_fault_say(fault, LH_TOOLARGE, "", "divide it",
                        "the patch has %zu operations, more than the %d taken",
                        json_array_size(patch), LH_PATCH_OPS_MOST);
  }
  return LH_OK;
}

/* The document must fit into what is read again. */
static lh_status check_size(const work *w)
{
  if (lh_json_most(w->root) <= LH_DOCUMENT_MOST) return LH_OK;
  return refuse(w, LH_TOOLARGE, "",
                "the document would grow larger than is taken",
                "leave raw pen samples out, or divide it");
}

lh_status lh_patch_apply(json_t **document, const json_t *patch,
                         json_t **inverse, json_t *touched, lh_fault *fault)
{
  work w = {.root = *document, .touched = touched, .fault = fault};
  lh_status st = check_shape(patch, fault);

  if (st != LH_OK) return st;
  w.inverse = json_array();
  if (!w.inverse) return lh_fault_plain(fault, LH_NOMEM, "");
  st = run(&w, patch);
  if (st == LH_OK) st = check_size(&w);
  *document = w.root;
  if (st != LH_OK && st != LH_NOMEM) {
    work undo = {.root = w.root, .undoing = true};
    lh_status undone = run(&undo, w.inverse);
    *document = undo.root;
    if (undone != LH_OK) st = LH_NOMEM;
  }
  if (st == LH_OK && inverse)
    *inverse = w.inverse;
  else
    json_decref(w.inverse);
  return st;
}
