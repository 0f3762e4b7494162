/* SPDX-License-Identifier: GPL-3.0-or-later */
/* conn.c -- connections: who is too slow, who has left.
**
** The library's own timeout counts silence only; a head that drips byte by
** byte would stay open for ever.  And it does not look at a connection that
** is suspended, so that somebody who closes the page would not be noticed
** until his picture is ready.
*/
#define _GNU_SOURCE /* POLLRDHUP */
#include <poll.h>
#include <stdlib.h>
#include <sys/ioctl.h>
#include <sys/socket.h>

#include "server_room.h"

void lh_conn_state_set(lh_conn *c, lh_conn_state state)
{
  c->state = state;
  c->since = c->server->now;
}

static void opened(lh_server *s, struct MHD_Connection *mhd, void **context)
{
  const union MHD_ConnectionInfo *info =
      MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_CONNECTION_FD);
  lh_conn *c = calloc(1, sizeof *c);

  *context = c;
  if (!c) return; /* its requests are refused for want of memory */
  c->server = s;
  c->mhd = mhd;
  c->fd = info ? info->connect_fd : -1;
  lh_conn_state_set(c, LH_CONN_IDLE);
  c->next = s->conns;
  if (s->conns) s->conns->prev = c;
  s->conns = c;
}

static void closed(lh_server *s, lh_conn *c)
{
  if (c->prev)
    c->prev->next = c->next;
  else
    s->conns = c->next;
  if (c->next) c->next->prev = c->prev;
  free(c);
}

void lh_conn_notify(void *cls, struct MHD_Connection *mhd, void **context,
                    enum MHD_ConnectionNotificationCode code)
{
  lh_server *s = cls;

  if (code == MHD_CONNECTION_NOTIFY_STARTED) {
    opened(s, mhd, context);
  } else if (*context) {
    closed(s, *context);
    *context = NULL;
  }
}

/* How long this state may last; 0: as long as it likes.             [ms] */
static long long patience(const lh_conn *c)
{
  switch (c->state) {
  case LH_CONN_IDLE:
    return LH_WHOLE_MS + (long long)(c->got / LH_BODY_BYTES_MS);
  case LH_CONN_ANSWERING: return LH_ANSWER_MS;
  case LH_CONN_WORKING:
  case LH_CONN_STREAMING: break;
  }
  return 0;
}

static bool has_left(const lh_conn *c)
{
  struct pollfd p = {.fd = c->fd, .events = POLLRDHUP};

  return poll(&p, 1, 0) > 0 &&
         (p.revents & (POLLRDHUP | POLLHUP | POLLERR | POLLNVAL));
}

/* Nothing more will come, and nothing waits to be read.  (The library asks
** epoll for changes only: an end that came in one go with the last bytes is no
** change to it, and it would wait for more.) */
static bool broke_off(const lh_conn *c)
{
  int waiting = 0;

  return has_left(c) && ioctl(c->fd, FIONREAD, &waiting) == 0 && waiting == 0;
}

void lh_conn_wake(lh_server *s)
{
  for (lh_conn *c = s->conns; c; c = c->next)
    if (c->state == LH_CONN_WORKING && c->request && c->request->job &&
        lh_job_ended(c->request->job))
      lh_request_resume(c->request);
}

void lh_conn_sweep(lh_server *s)
{
  lh_conn *next;

  for (lh_conn *c = s->conns; c; c = next) {
    long long may = patience(c);
    next = c->next;
    if ((may && s->now - c->since > may) ||
        (c->state == LH_CONN_IDLE && broke_off(c))) {
      /* The library sees the end and closes in its own time. */
      shutdown(c->fd, SHUT_RDWR);
    } else if (c->state == LH_CONN_WORKING && c->request && has_left(c)) {
      c->request->left = true;
      if (c->request->job) lh_job_cancel(c->request->job);
      lh_request_resume(c->request);
    } else if (c->state == LH_CONN_STREAMING && c->stream && has_left(c)) {
      lh_stream_left(c->stream);
    } else if (s->stops > 0 && c->state == LH_CONN_IDLE && !c->begun) {
      shutdown(c->fd, SHUT_RDWR);
    }
  }
}
