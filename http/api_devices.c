/* SPDX-License-Identifier: GPL-3.0-or-later */
/* api_devices.c -- who is there: about, pairing, devices. */
#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>

#include "clock.h"
#include "heap.h"
#include "server_room.h"
#include "version.h"

enum { PAIR_DAYS = 400 }; /* the longest that browsers keep a cookie */

/* ---- about -------------------------------------------------------------- */

static bool loopback(const lh_request *r)
{
  struct sockaddr_in in = {0};
  socklen_t n = sizeof in;

  return getsockname(r->conn->fd, (struct sockaddr *)&in, &n) == 0 &&
         in.sin_family == AF_INET && (ntohl(in.sin_addr.s_addr) >> 24) == 127;
}

static const lh_device *device(const lh_request *r, const char *id)
{
  const lh_device *d;

  for (size_t i = 0; (d = lh_devices_at(r->server->devices, i)); i++)
    if (strcmp(d->id, id) == 0) return d;
  return NULL;
}

static const char plain_words[] =
    "Plain http: others in this network can read along, and the browser keeps "
    "back some of its help. A certificate (--tls-cert, --tls-key) mends both.";

static json_t *about(const lh_request *r, const char *who)
{
  const lh_server *s = r->server;
  const lh_device *d = device(r, who);
  const char *way = s->o.cert ? "tls" : loopback(r) ? "loopback" : "plain";
  json_t *json = json_pack("{s:s,s:s,s:s,s:s,s:b,s:b}", "name", "leatherhard",
                           "version", LH_VERSION, "run", s->run_id, "transport",
                           way, "network", s->o.network, "admitted", *who != 0);
  int bad = 0;

  if (strcmp(way, "plain") == 0)
    bad |= json_object_set_new(json, "warning", json_string(plain_words));
  if (*who) bad |= json_object_set_new(json, "token", json_string(s->run));
  if (d)
    bad |= json_object_set_new(
        json, "device", json_pack("{s:s,s:s}", "id", d->id, "name", d->name));
  if (!bad) return json;
  json_decref(json); /* half of it is worse than none */
  return NULL;
}

enum MHD_Result lh_api_about(lh_request *r)
{
  return lh_answer_json(r, 200, about(r, r->who));
}

/* ---- pairing ------------------------------------------------------------ */

typedef struct {
  const char *code, *name;
} pair_ask;

static const lh_field pair_rows[] = {
    LH_TEXT(pair_ask, code, "code", true,
            "The pairing code, or the key of the address that was printed."),
    LH_TEXT(pair_ask, name, "name", false, "What this device is called."),
};
static const lh_fields pair_table = LH_FIELDS("pair", pair_ask, pair_rows);

void lh_code_tell(lh_server *s)
{
  const char *code = lh_devices_code(s->devices);
  char address[400];

  if (!s->o.network || !s->o.code || strcmp(code, s->code_told) == 0) return;
  strcpy(s->code_told, code);
  snprintf(address, sizeof address, "%s/pair#code=%s", s->network, code);
  s->o.code(s->o.who, address, code);
}

static enum MHD_Result welcome(lh_request *r, const char *token, const char *id)
{
  lh_server *s = r->server;
  char cookie[160];
  char *text = lh_json_text_freed(about(r, id));
  struct MHD_Response *p = text ? MHD_create_response_from_buffer(
                                      strlen(text), text, MHD_RESPMEM_MUST_FREE)
                                : NULL;

  if (!p) return MHD_NO;
  snprintf(cookie, sizeof cookie,
           "%s=%s; Path=/; Max-Age=%d; HttpOnly; SameSite=Strict%s", s->cookie,
           token, PAIR_DAYS * 24 * 3600, s->o.cert ? "; Secure" : "");
  MHD_add_response_header(p, "Content-Type", "application/json");
  MHD_add_response_header(p, "Set-Cookie", cookie);
  return lh_answer(r, 200, p);
}

static enum MHD_Result admit(lh_request *r, const pair_ask *ask)
{
  lh_server *s = r->server;
  char token[LH_TOKEN_SIZE], id[17];
  lh_fault fault = {0};

  switch (lh_devices_admit(s->devices, ask->code,
                           ask->name ? ask->name : "a device", s->now, token,
                           id, &fault)) {
  case LH_PAIR_IN: lh_code_tell(s); return welcome(r, token, id);
  case LH_PAIR_SLOWER:
    return lh_answer_problem_with(r, 429, "code", "too many wrong tries",
                                  "wait, and take the new code", "Retry-After",
                                  "10");
  case LH_PAIR_FULL:
    return lh_answer_problem(r, 409, "conflict", NULL,
                             "as many devices as may be are admitted",
                             "revoke one that is no longer used");
  case LH_PAIR_FAILED: return lh_answer_fault(r, 500, &fault);
  case LH_PAIR_WRONG: break;
  }
  lh_code_tell(s);
  return lh_answer_problem(r, 403, "code", "/code",
                           "the pairing code is not right",
                           "take the code that leatherhard serve shows now");
}

enum MHD_Result lh_api_pair(lh_request *r)
{
  lh_fault fault = {0};
  json_t *json = NULL;
  lh_arena a;
  pair_ask ask;
  lh_status st;
  enum MHD_Result rc;

  if (*r->who && strcmp(r->who, "key") != 0) /* it is in already */
    return lh_answer_json(r, 200, about(r, r->who));
  lh_heap_open(&a);
  st = lh_json_parse(r->body, r->size, "document", &json, &fault);
  if (st != LH_OK) {
    rc = lh_answer_problem(r, 400, "syntax", fault.where, fault.what,
                           fault.todo);
  } else {
    st = lh_fields_read(&pair_table, json, NULL, &a, &ask, &fault);
    rc = st == LH_OK ? admit(r, &ask)
                     : lh_answer_fault(r, (unsigned)lh_status_http(st), &fault);
  }
  json_decref(json);
  lh_heap_free(&a);
  return rc;
}

/* ---- devices ------------------------------------------------------------ */

enum MHD_Result lh_api_devices(lh_request *r)
{
  json_t *list = json_array();
  const lh_device *d;
  int bad = 0;

  for (size_t i = 0; (d = lh_devices_at(r->server->devices, i)); i++) {
    char since[32], seen[32];
    lh_clock_iso(d->since, since);
    lh_clock_iso(d->seen, seen);
    bad |= json_array_append_new(
        list, json_pack("{s:s,s:s,s:s,s:s,s:b}", "id", d->id, "name", d->name,
                        "since", since, "seen", seen, "this",
                        strcmp(d->id, r->who) == 0));
  }
  if (bad) {
    json_decref(list);
    return MHD_NO;
  }
  return lh_answer_json(r, 200, json_pack("{s:o}", "devices", list));
}

enum MHD_Result lh_api_revoke(lh_request *r)
{
  const char *id = r->target.part[2];
  lh_fault fault = {0};
  lh_status st = lh_devices_revoke(r->server->devices, id, &fault);

  if (st != LH_OK)
    return lh_answer_fault(r, (unsigned)lh_status_http(st), &fault);
  lh_events_close(r->server, id);
  lh_posted_leave(r->server, id);
  return lh_api_devices(r);
}
