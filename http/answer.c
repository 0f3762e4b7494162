/* SPDX-License-Identifier: GPL-3.0-or-later */
/* answer.c -- what goes back, and what every answer carries. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "server_room.h"

/* The page may run its own scripts and the module of the core, and talk to
** nobody but its own server. */
static const char *const policy[][2] = {
    {"Content-Security-Policy",
     "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; "
     "style-src 'self'; font-src 'self'; connect-src 'self'; "
     "img-src 'self' blob:; worker-src 'self'; manifest-src 'self'; "
     "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
    {"X-Content-Type-Options", "nosniff"},
    {"Referrer-Policy", "no-referrer"},
    {"Cross-Origin-Opener-Policy", "same-origin"},
    {"Cross-Origin-Resource-Policy", "same-origin"},
    {"X-Frame-Options", "DENY"},
};

enum MHD_Result lh_answer(lh_request *r, unsigned status,
                          struct MHD_Response *p)
{
  enum MHD_Result rc;

  if (!p) return MHD_NO;
  for (size_t i = 0; i < sizeof policy / sizeof policy[0]; i++)
    MHD_add_response_header(p, policy[i][0], policy[i][1]);
  if (!MHD_get_response_header(p, "Cache-Control"))
    MHD_add_response_header(p, "Cache-Control", "no-store");
  if (r->server->stops > 0) MHD_add_response_header(p, "Connection", "close");
  if (r->conn->state != LH_CONN_STREAMING)
    lh_conn_state_set(r->conn, LH_CONN_ANSWERING);
  rc = MHD_queue_response(r->conn->mhd, status, p);
  MHD_destroy_response(p);
  return rc;
}

enum MHD_Result lh_answer_text(lh_request *r, unsigned status, char *text,
                               const char *media)
{
  struct MHD_Response *p;

  if (!text) return MHD_NO;
  p = MHD_create_response_from_buffer(strlen(text), text,
                                      MHD_RESPMEM_MUST_FREE);
  if (!p) {
    free(text);
    return MHD_NO;
  }
  MHD_add_response_header(p, "Content-Type", media);
  return lh_answer(r, status, p);
}

char *lh_json_text_freed(json_t *json)
{
  char *text = json ? lh_json_text(json) : NULL, *line;
  size_t n = text ? strlen(text) : 0;

  json_decref(json);
  line = text ? realloc(text, n + 2) : NULL;
  if (!line) {
    free(text);
    return NULL;
  }
  memcpy(line + n, "\n", 2);
  return line;
}

enum MHD_Result lh_answer_json(lh_request *r, unsigned status, json_t *json)
{
  return lh_answer_text(r, status, lh_json_text_freed(json),
                        "application/json");
}

/* ---- refusals ----------------------------------------------------------- */

/* Names and titles: the fixed half of a refusal.  The rest of the list are
** the outcomes of operations, see lh_problem_name. */
const lh_problem lh_problems[] = {
    {"request", "the request is not plainly one"},
    {"host", "this machine is not called so"},
    {"origin", "another page asked"},
    {"device", "this device is not admitted"},
    {"token", "the token of this run is missing"},
    {"code", "the pairing code is not right"},
    {"media", "another media type is taken"},
    {"method", "this method is not for this address"},
    {"base", "it must say which revision it was made on"},
    {"syntax", "the document is no JSON"},
    {"busy", "too much is asked at once"},
    {"input", "the document is not what was asked for"},
    {"range", "a value is outside what can be answered"},
    {"notfound", "there is no such thing"},
    {"conflict", "someone else changed it first"},
    {"toolarge", "larger than what is taken"},
    {"noconv", "the calculation did not settle"},
    {"cancelled", "stopped on request"},
    {"nomem", "out of memory"},
    {"io", "a file could not be read or written"},
    {NULL, NULL}};

const char *lh_problem_name(lh_status st)
{
  switch (st) {
  case LH_OK:
  case LH_STOP: break;
  case LH_INPUT: return "input";
  case LH_RANGE: return "range";
  case LH_NOTFOUND: return "notfound";
  case LH_CONFLICT: return "conflict";
  case LH_TOOLARGE: return "toolarge";
  case LH_NOCONV: return "noconv";
  case LH_CANCELLED: return "cancelled";
  case LH_NOMEM: return "nomem";
  case LH_IO: return "io";
  }
  return "request";
}

json_t *lh_problem_json(unsigned status, const char *name, const char *where,
                        const char *what, const char *todo)
{
  const lh_problem *p = lh_problems;
  char type[64];
  json_t *json;

  while (p->name && strcmp(p->name, name) != 0) p++;
  snprintf(type, sizeof type, "/api/#%s", name);
  json = json_pack("{s:s,s:i,s:s,s:s,s:s}", "type", type, "status", (int)status,
                   "title", p->title ? p->title : "", "detail", what, "todo",
                   todo ? todo : "");
  if (where &&
      json_object_set_new(json, *where == '/' || !*where ? "pointer" : "where",
                          json_string(where)) != 0) {
    json_decref(json);
    return NULL;
  }
  return json;
}

static struct MHD_Response *problem(unsigned status, const char *name,
                                    const char *where, const char *what,
                                    const char *todo)
{
  char *text =
      lh_json_text_freed(lh_problem_json(status, name, where, what, todo));
  struct MHD_Response *p;

  if (!text) return NULL;
  p = MHD_create_response_from_buffer(strlen(text), text,
                                      MHD_RESPMEM_MUST_FREE);
  if (p)
    MHD_add_response_header(p, "Content-Type", "application/problem+json");
  else
    free(text);
  return p;
}

enum MHD_Result lh_answer_problem(lh_request *r, unsigned status,
                                  const char *name, const char *where,
                                  const char *what, const char *todo)
{
  return lh_answer(r, status, problem(status, name, where, what, todo));
}

enum MHD_Result lh_answer_problem_with(lh_request *r, unsigned status,
                                       const char *name, const char *what,
                                       const char *todo, const char *header,
                                       const char *value)
{
  struct MHD_Response *p = problem(status, name, NULL, what, todo);

  if (p) MHD_add_response_header(p, header, value);
  return lh_answer(r, status, p);
}

enum MHD_Result lh_answer_fault(lh_request *r, unsigned status,
                                const lh_fault *fault)
{
  return lh_answer_problem(r, status, lh_problem_name(fault->status),
                           fault->where, fault->what, fault->todo);
}

/* ---- what stays the same ------------------------------------------------ */

/* Fowler, Noll and Vo's hash, 64 bits (draft-eastlake-fnv): a tag tells
** versions of one file apart, it keeps nobody out. */
void lh_tag_of(const void *bytes, size_t n, char tag[24])
{
  const unsigned char *s = bytes;
  uint64_t h = 0xcbf29ce484222325u;

  for (size_t i = 0; i < n; i++) h = (h ^ s[i]) * 0x100000001b3u;
  snprintf(tag, 24, "\"%016llx\"", (unsigned long long)h);
}

enum MHD_Result lh_answer_kept(lh_request *r, const char *text, size_t n,
                               const char *media, const char *tag)
{
  bool same = lh_etag_listed(lh_request_header(r, "If-None-Match"), tag, true);
  struct MHD_Response *p = MHD_create_response_from_buffer(
      same ? 0 : n, (void *)(uintptr_t)text, MHD_RESPMEM_PERSISTENT);

  if (!p) return MHD_NO;
  MHD_add_response_header(p, "ETag", tag);
  MHD_add_response_header(p, "Cache-Control", "no-cache");
  if (!same) MHD_add_response_header(p, "Content-Type", media);
  return lh_answer(r, same ? 304 : 200, p);
}
