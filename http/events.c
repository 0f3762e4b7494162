/* SPDX-License-Identifier: GPL-3.0-or-later */
/* events.c -- one stream of events a device: how its jobs stand, what changed.
**
** Server-sent events (WHATWG HTML, section 9.2).  The last events are kept,
** so that a stream that broke goes on where it was; each has a number, and a
** stream remembers the last that it sent.  With nothing to send a stream is
** suspended: to answer "nothing yet" would have it asked again at once.
*/
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "server_room.h"

struct lh_stream {
  lh_stream *next;
  lh_server *server;
  lh_conn *conn; /* NULL: at an end */
  char who[17];
  unsigned long long sent;
  bool hello, reset, beat, closing, suspended;
  char *text; /* what is being sent */
  size_t at, size;
  long long spoke; /* [ms] */
};

/* ---- what is to be sent ------------------------------------------------- */

static char *print_event(const lh_server *s, const char *kind,
                         unsigned long long number, const json_t *data)
{
  char *json =
      json_dumps(data, JSON_COMPACT | JSON_SORT_KEYS | JSON_REAL_PRECISION(15));
  size_t n = json ? strlen(json) + 96 : 0;
  char *text = json ? malloc(n) : NULL;

  if (text)
    snprintf(text, n, "id: %s-%llu\nevent: %s\ndata: %s\n\n", s->run_id, number,
             kind, json);
  free(json);
  return text;
}

static char *hello(lh_stream *t)
{
  json_t *data =
      json_pack("{s:s,s:b}", "run", t->server->run_id, "missed", t->reset);
  char *event = data ? print_event(t->server, "hello", t->sent, data) : NULL;
  char *text = event ? malloc(strlen(event) + 16) : NULL;

  if (text) sprintf(text, "retry: 2000\n%s", event);
  free(event);
  json_decref(data);
  return text;
}

static const lh_event *next_event(lh_stream *t)
{
  lh_server *s = t->server;

  while (t->sent < s->last_event) {
    const lh_event *e = &s->event[(t->sent + 1) % LH_EVENTS_KEPT];
    t->sent++;
    if (e->text && (!*e->who || strcmp(e->who, t->who) == 0)) return e;
  }
  return NULL;
}

/* The next text to send; NULL when there is none. */
static char *next_text(lh_stream *t)
{
  const lh_event *e;

  if (t->sent + LH_EVENTS_KEPT <= t->server->last_event) {
    t->sent = t->server->last_event; /* too far behind: say so */
    t->hello = t->reset = true;
  }
  if (t->hello) {
    t->hello = false;
    return hello(t);
  }
  e = next_event(t);
  if (e) return strdup(e->text);
  if (!t->beat) return NULL;
  t->beat = false;
  return strdup(": still here\n\n");
}

static ssize_t read_more(void *cls, uint64_t pos, char *to, size_t most)
{
  lh_stream *t = cls;
  size_t n;

  (void)pos;
  if (t->at == t->size) {
    free(t->text);
    t->text = t->closing ? NULL : next_text(t);
    t->at = 0;
    t->size = t->text ? strlen(t->text) : 0;
  }
  if (t->size == 0) {
    if (t->closing || !t->conn) return MHD_CONTENT_READER_END_OF_STREAM;
    t->suspended = true;
    MHD_suspend_connection(t->conn->mhd);
    return 0;
  }
  n = t->size - t->at < most ? t->size - t->at : most;
  memcpy(to, t->text + t->at, n);
  t->at += n;
  t->spoke = t->server->now;
  return (ssize_t)n;
}

static void wake(lh_stream *t)
{
  if (!t->suspended || !t->conn) return;
  t->suspended = false;
  MHD_resume_connection(t->conn->mhd);
}

/* ---- streams come and go ------------------------------------------------ */

static size_t streams_of(const lh_server *s, const char *who)
{
  size_t n = 0;

  for (const lh_stream *t = s->streams; t; t = t->next)
    n += !t->closing && strcmp(t->who, who) == 0;
  return n;
}

/* Remember when a device lost its last stream, or that it has one again. */
static void note(lh_server *s, const char *who, long long since)
{
  enum { GONE = sizeof s->gone / sizeof s->gone[0] };
  size_t place = GONE;

  for (size_t i = 0; i < GONE; i++) {
    if (strcmp(s->gone[i].who, who) == 0) place = i;
    if (place == GONE && since && !s->gone[i].since) place = i;
  }
  if (place == GONE) return;
  snprintf(s->gone[place].who, sizeof s->gone[place].who, "%s",
           since ? who : "");
  s->gone[place].since = since;
}

void lh_stream_detach(lh_stream *t)
{
  lh_stream **at = &t->server->streams;

  while (*at && *at != t) at = &(*at)->next;
  if (*at) *at = t->next;
  t->closing = true;
  if (t->conn) t->conn->stream = NULL;
  t->conn = NULL;
  if (streams_of(t->server, t->who) == 0)
    note(t->server, t->who, t->server->now);
}

/* The library has no more use for it. */
static void free_stream(void *cls)
{
  lh_stream *t = cls;

  if (t->conn) lh_stream_detach(t);
  free(t->text);
  free(t);
}

void lh_stream_left(lh_stream *t)
{
  t->closing = true;
  t->at = t->size;
  wake(t);
}

/* Where a stream that came back had stopped. */
static void pick_up(lh_stream *t, const char *last)
{
  lh_server *s = t->server;
  size_t n = strlen(s->run_id);
  unsigned long long number;
  char *end;

  t->sent = s->last_event;
  if (!last) return;
  t->reset = true;
  if (strncmp(last, s->run_id, n) != 0 || last[n] != '-') return;
  if (strspn(last + n + 1, "0123456789") != strlen(last + n + 1)) return;
  number = strtoull(last + n + 1, &end, 10);
  if (*end || number > s->last_event ||
      number + LH_EVENTS_KEPT <= s->last_event)
    return;
  t->sent = number;
  t->reset = false;
}

enum MHD_Result lh_api_events(lh_request *r)
{
  lh_server *s = r->server;
  lh_stream *t = calloc(1, sizeof *t), *oldest = NULL;
  struct MHD_Response *p;

  if (!t) return MHD_NO;
  t->server = s;
  t->conn = r->conn;
  memcpy(t->who, r->who, sizeof t->who);
  t->hello = true;
  t->spoke = s->now;
  pick_up(t, lh_request_header(r, "Last-Event-ID"));
  p = MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, 2048, read_more, t,
                                        free_stream);
  if (!p) {
    free(t);
    return MHD_NO;
  }
  if (streams_of(s, t->who) >= LH_STREAMS_MOST) {
    for (lh_stream *o = s->streams; o; o = o->next)
      if (!o->closing && strcmp(o->who, t->who) == 0) oldest = o;
    if (oldest) lh_stream_left(oldest);
  }
  t->next = s->streams;
  s->streams = t;
  r->conn->stream = t;
  note(s, t->who, 0);
  lh_conn_state_set(r->conn, LH_CONN_STREAMING);
  MHD_add_response_header(p, "Content-Type", "text/event-stream");
  return lh_answer(r, 200, p);
}

/* ---- events ------------------------------------------------------------- */

void lh_event_add(lh_server *s, const char *who, const char *kind, json_t *data)
{
  lh_event *e = &s->event[(s->last_event + 1) % LH_EVENTS_KEPT];
  char *text = print_event(s, kind, s->last_event + 1, data);

  json_decref(data);
  if (!text) return; /* no memory: what is asked for later is still true */
  s->last_event++;
  free(e->text);
  e->text = text;
  e->number = s->last_event;
  snprintf(e->who, sizeof e->who, "%s", who);
  for (lh_stream *t = s->streams; t; t = t->next)
    if (!*who || strcmp(who, t->who) == 0) wake(t);
}

void lh_events_sweep(lh_server *s)
{
  for (lh_stream *t = s->streams; t; t = t->next) {
    if (s->now - t->spoke < LH_BEAT_MS) continue;
    t->beat = true;
    t->spoke = s->now;
    wake(t);
  }
  for (size_t i = 0; i < sizeof s->gone / sizeof s->gone[0]; i++) {
    char who[17];
    if (!s->gone[i].since || s->now - s->gone[i].since < LH_LEFT_MS) continue;
    memcpy(who, s->gone[i].who, sizeof who);
    note(s, who, 0);
    lh_posted_leave(s, who);
  }
}

void lh_events_close(lh_server *s, const char *who)
{
  lh_stream *next;

  for (lh_stream *t = s->streams; t; t = next) {
    next = t->next;
    if (!who || strcmp(t->who, who) == 0) lh_stream_left(t);
  }
}

void lh_events_free(lh_server *s)
{
  for (size_t i = 0; i < LH_EVENTS_KEPT; i++) free(s->event[i].text);
}
