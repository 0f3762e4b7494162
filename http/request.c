/* SPDX-License-Identifier: GPL-3.0-or-later */
/* request.c -- a request from its first line to its last byte. */
#include <stdlib.h>
#include <string.h>

#include "server_room.h"

const char *lh_request_header(const lh_request *r, const char *name)
{
  return MHD_lookup_connection_value(r->conn->mhd, MHD_HEADER_KIND, name);
}

static lh_conn *conn_of(struct MHD_Connection *mhd)
{
  const union MHD_ConnectionInfo *info =
      MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_SOCKET_CONTEXT);

  return info ? info->socket_context : NULL;
}

void *lh_request_new(void *cls, const char *uri, struct MHD_Connection *mhd)
{
  lh_conn *c = conn_of(mhd);
  lh_request *r = c ? calloc(1, sizeof *r) : NULL;

  if (!r) return NULL; /* no memory: the connection is closed, see below */
  r->server = cls;
  r->conn = c;
  r->target_end = lh_target_read(uri, &r->target);
  c->request = r;
  c->begun = true;
  return r;
}

/* ---- the body ----------------------------------------------------------- */

static size_t most_of(const lh_request *r)
{
  return r->route->flags & LH_BODY ? r->route->most : 0;
}

static bool room_for(lh_request *r, size_t n)
{
  size_t room = r->room ? r->room : 4096;
  char *wider;

  while (room < r->size + n + 1) room *= 2;
  if (room == r->room) return true;
  wider = realloc(r->body, room);
  if (!wider) return false;
  r->body = wider;
  r->room = room;
  return true;
}

/* A body without a length is counted as it comes.  What is too large is let
** through unread for a while, so that whoever sends it hears why. */
static enum MHD_Result take(lh_request *r, const char *data, size_t n)
{
  lh_server *s = r->server;

  r->conn->got += n;
  if (r->too_large || r->size + n > most_of(r) ||
      s->bodies + n > LH_BODIES_MOST) {
    r->too_large = true;
    return r->conn->got > most_of(r) + (1 << 20) ? MHD_NO : MHD_YES;
  }
  if (!room_for(r, n)) return MHD_NO;
  memcpy(r->body + r->size, data, n);
  r->size += n;
  s->bodies += n;
  return MHD_YES;
}

/* ---- the request -------------------------------------------------------- */

enum MHD_Result lh_request_more(void *cls, struct MHD_Connection *mhd,
                                const char *url, const char *method,
                                const char *version, const char *data,
                                size_t *size, void **context)
{
  lh_request *r = *context;
  enum MHD_Result rc;

  (void)cls;
  (void)mhd;
  (void)url;
  (void)version;
  if (!r) return MHD_NO;
  if (!r->looked_at) {
    r->looked_at = true;
    if (!lh_guard(r, method, &rc)) return rc;
    /* The library calls again when the body is there, or when there is none. */
    return MHD_YES;
  }
  if (*size > 0) {
    rc = take(r, data, *size);
    *size = 0;
    return rc;
  }
  if (r->too_large) {
    return lh_answer_problem(r, 413, "toolarge", NULL,
                             "larger than what is taken here",
                             "divide it, or take pictures and raw pen "
                             "samples out");
  }
  if (r->left) return MHD_NO;
  return r->route->run(r);
}

void lh_request_done(void *cls, struct MHD_Connection *mhd, void **context,
                     enum MHD_RequestTerminationCode why)
{
  lh_request *r = *context;
  lh_conn *c;

  (void)cls;
  (void)mhd;
  (void)why;
  if (!r) return;
  *context = NULL;
  c = r->conn;
  c->request = NULL;
  c->begun = false;
  c->got = 0;
  lh_conn_state_set(c, LH_CONN_IDLE);
  if (r->job) {
    lh_job_cancel(r->job);
    lh_job_release(&r->job);
  }
  if (c->stream) lh_stream_detach(c->stream);
  r->server->bodies -= r->size;
  free(r->body);
  free(r);
}

enum MHD_Result lh_request_wait(lh_request *r, lh_job *job)
{
  r->job = job;
  r->suspended = true;
  lh_conn_state_set(r->conn, LH_CONN_WORKING);
  MHD_suspend_connection(r->conn->mhd);
  return MHD_YES;
}

void lh_request_resume(lh_request *r)
{
  if (!r->suspended) return;
  r->suspended = false;
  MHD_resume_connection(r->conn->mhd);
}
