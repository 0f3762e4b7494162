/* SPDX-License-Identifier: GPL-3.0-or-later */
/* api_jobs.c -- operations asked for and waited for, or posted as jobs. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "nearest.h"
#include "server_room.h"

static const char *const state_words[] = {"waiting", "running", "done",
                                          "refused", "cancelled"};

/* ---- what an ended job says --------------------------------------------- */

/* How welcome a media type is, by its name, its kind, or as anything. */
static int welcome(const char *accept, const char *media)
{
  char kind[32];
  size_t n = strcspn(media, "/");
  int w = lh_list_weight(accept, media);

  if (w < 0 && n + 3 <= sizeof kind) {
    memcpy(kind, media, n);
    memcpy(kind + n, "/*", 3);
    w = lh_list_weight(accept, kind);
  }
  return w < 0 ? lh_list_weight(accept, "*/*") : w;
}

/* The file, unless the JSON is more welcome. */
static bool wants_file(const lh_request *r, const lh_job_result *is)
{
  const char *accept = lh_request_header(r, "Accept");
  int file, json;

  if (!is->bytes || !accept) return is->bytes != NULL;
  file = welcome(accept, is->media);
  json = welcome(accept, "application/json");
  return file > 0 &&
         (file > json || lh_list_weight(accept, "application/json") < 0);
}

static void let_go(void *cls)
{
  lh_job *job = cls;

  lh_job_release(&job);
}

/* A record of the book has its revision for a tag. */
static bool as_it_was(lh_request *r, const lh_job_result *is, char tag[32])
{
  snprintf(tag, 32, "\"%ld\"", is->number);
  return is->number > 0 && strcmp(r->route->method, "GET") == 0 &&
         lh_etag_listed(lh_request_header(r, "If-None-Match"), tag, true);
}

static enum MHD_Result unchanged(lh_request *r, const char *tag)
{
  struct MHD_Response *p =
      MHD_create_response_from_buffer(0, NULL, MHD_RESPMEM_PERSISTENT);

  if (!p) return MHD_NO;
  MHD_add_response_header(p, "ETag", tag);
  MHD_add_response_header(p, "Cache-Control", "no-cache");
  return lh_answer(r, 304, p);
}

static enum MHD_Result answer_result(lh_request *r, lh_job *job, lh_status st,
                                     unsigned status, const char *location)
{
  const lh_job_result *is = lh_job_result_of(job);
  bool file = is->bytes && (!lh_job_operation(job) || wants_file(r, is));
  char tag[32];
  struct MHD_Response *p;

  if (as_it_was(r, is, tag)) return unchanged(r, tag);
  p = MHD_create_response_from_buffer_with_free_callback_cls(
      file ? is->bytes_size : is->size, file ? is->bytes : is->text, let_go,
      lh_job_hold(job));

  if (!p) {
    lh_job *held = job;
    lh_job_release(&held);
    return MHD_NO;
  }
  MHD_add_response_header(p, "Content-Type",
                          file ? is->media : "application/json");
  if (lh_job_operation(job))
    MHD_add_response_header(p, "Leatherhard-Outcome",
                            st == LH_STOP ? "stop" : "done");
  if (is->bytes) MHD_add_response_header(p, "Vary", "Accept");
  if (is->number > 0) {
    MHD_add_response_header(p, "ETag", tag);
    MHD_add_response_header(p, "Cache-Control", "no-cache");
  } else if (file && !lh_job_operation(job)) {
    /* a blob is named by what it holds: under that name it never changes */
    MHD_add_response_header(p, "Cache-Control",
                            "private, max-age=31536000, immutable");
  }
  if (location) MHD_add_response_header(p, "Location", location);
  return lh_answer(r, status, p);
}

static unsigned status_of(const lh_job_view *v)
{
  if (v->unreadable) return 400;
  return (unsigned)lh_status_http(v->st);
}

enum MHD_Result lh_answer_ended(lh_request *r, lh_job *job, unsigned status,
                                const char *location)
{
  lh_job_view v;
  bool first; /* nobody said which version it should have been */

  lh_job_look(job, &v);
  if (v.state == LH_JOB_DONE)
    return answer_result(r, job, v.st, status, location);
  first = v.st == LH_CONFLICT && !lh_request_header(r, "If-Match");
  if (v.unreadable) {
    return lh_answer_problem(r, 400, "syntax", v.fault.where, v.fault.what,
                             v.fault.todo);
  }
  if (v.fault.status == LH_OK) lh_fault_plain(&v.fault, v.st, NULL);
  return lh_answer_fault(r, first ? 409 : status_of(&v), &v.fault);
}

/* ---- POST /api/OP ------------------------------------------------------- */

static enum MHD_Result no_such(lh_request *r, const char *name)
{
  const char *names[128];
  char what[160] = "there is no such operation";
  size_t n = 0, near;

  for (; n < 128 && lh_operation_at(n); n++)
    names[n] = lh_operation_at(n)->name;
  near = lh_nearest(name, names, n);
  if (near < n)
    snprintf(what, sizeof what, "no such operation; the nearest is \"%s\"",
             names[near]);
  return lh_answer_problem(r, 404, "notfound", NULL, what,
                           "see /api/ for what can be asked");
}

enum MHD_Result lh_api_busy(lh_request *r)
{
  return lh_answer_problem_with(r, 503, "busy", "too many operations wait",
                                "try again, or cancel what is not needed",
                                "Retry-After", "2");
}

static json_t *job_json(const lh_posted *p, const lh_job_view *v)
{
  json_t *json = json_pack("{s:s,s:s,s:s,s:f}", "id", p->id, "operation",
                           lh_job_operation(p->job)->name, "state",
                           state_words[v->state], "done", v->done);
  char where[48];
  int bad = 0;

  if (v->state == LH_JOB_DONE) {
    snprintf(where, sizeof where, "/api/jobs/%s/result", p->id);
    bad |= json_object_set_new(json, "result", json_string(where));
    bad |= json_object_set_new(json, "outcome",
                               json_string(v->st == LH_STOP ? "stop" : "done"));
  } else if (v->state == LH_JOB_REFUSED) {
    bad |= json_object_set_new(
        json, "problem",
        lh_problem_json(status_of(v),
                        v->unreadable ? "syntax" : lh_problem_name(v->st),
                        v->fault.where, v->fault.what, v->fault.todo));
  }
  if (!bad) return json;
  json_decref(json);
  return NULL;
}

static void tell(lh_server *s, const lh_posted *p, const lh_job_view *v)
{
  json_t *json = job_json(p, v);

  if (json) lh_event_add(s, p->who, "job", json);
}

static void drop(lh_posted **at)
{
  lh_posted *p = *at;

  *at = p->next;
  lh_job_release(&p->job);
  free(p);
}

/* Room for one more: the oldest that has ended goes. */
static bool make_room(lh_server *s)
{
  lh_posted **oldest = NULL;
  size_t n = 0;

  for (lh_posted **at = &s->posted; *at; at = &(*at)->next) {
    n++;
    if ((*at)->ended) oldest = at;
  }
  if (n < LH_POSTED_MOST) return true;
  if (!oldest) return false;
  drop(oldest);
  return true;
}

static enum MHD_Result post(lh_request *r, lh_job *job)
{
  lh_server *s = r->server;
  lh_posted *p = make_room(s) ? calloc(1, sizeof *p) : NULL;
  lh_job_view v;
  char where[40];
  char *text;
  struct MHD_Response *answer;

  if (!p || !lh_random_hex(p->id, 8)) {
    free(p);
    lh_job_cancel(job);
    lh_job_release(&job);
    return lh_api_busy(r);
  }
  memcpy(p->who, r->who, sizeof p->who);
  p->job = job;
  p->next = s->posted;
  s->posted = p;
  lh_job_look(job, &v);
  tell(s, p, &v);
  snprintf(where, sizeof where, "/api/jobs/%s", p->id);
  text = lh_json_text_freed(job_json(p, &v));
  if (!text) return MHD_NO;
  answer = MHD_create_response_from_buffer(strlen(text), text,
                                           MHD_RESPMEM_MUST_FREE);
  if (!answer) return MHD_NO;
  MHD_add_response_header(answer, "Content-Type", "application/json");
  MHD_add_response_header(answer, "Location", where);
  MHD_add_response_header(answer, "Preference-Applied", "respond-async");
  return lh_answer(r, 202, answer);
}

enum MHD_Result lh_api_operation(lh_request *r)
{
  const char *name = r->target.part[1];
  const lh_operation *op = lh_operation_find(name);
  lh_job *job = NULL;
  lh_status st;
  char *text = r->body;
  size_t n = r->size;

  if (r->job) return lh_answer_ended(r, r->job, 200, NULL);
  if (!op) return no_such(r, name);
  r->server->bodies -= n;
  r->body = NULL;
  r->size = r->room = 0;
  st = lh_job_start(r->server->jobs, op, text, n, &job);
  if (st != LH_OK) return lh_api_busy(r);
  if (lh_list_weight(lh_request_header(r, "Prefer"), "respond-async") >= 0)
    return post(r, job);
  return lh_request_wait(r, job);
}

/* ---- /api/jobs ---------------------------------------------------------- */

static lh_posted **find(lh_request *r)
{
  lh_posted **at = &r->server->posted;

  while (*at && (strcmp((*at)->id, r->target.part[2]) != 0 ||
                 strcmp((*at)->who, r->who) != 0))
    at = &(*at)->next;
  return at;
}

static enum MHD_Result no_job(lh_request *r)
{
  return lh_answer_problem(r, 404, "notfound", NULL,
                           "this device has no such job",
                           "see GET /api/jobs; results are kept ten minutes");
}

enum MHD_Result lh_api_jobs(lh_request *r)
{
  json_t *list = json_array();
  int bad = 0;

  for (const lh_posted *p = r->server->posted; p && list; p = p->next) {
    lh_job_view v;
    if (strcmp(p->who, r->who) != 0) continue;
    lh_job_look(p->job, &v);
    bad |= json_array_append_new(list, job_json(p, &v));
  }
  if (bad) {
    json_decref(list);
    return MHD_NO;
  }
  return lh_answer_json(r, 200, json_pack("{s:o}", "jobs", list));
}

enum MHD_Result lh_api_job(lh_request *r)
{
  lh_posted *p = *find(r);
  lh_job_view v;

  if (!p) return no_job(r);
  lh_job_look(p->job, &v);
  return lh_answer_json(r, 200, job_json(p, &v));
}

enum MHD_Result lh_api_job_result(lh_request *r)
{
  lh_posted *p = *find(r);

  if (!p) return no_job(r);
  if (!lh_job_ended(p->job)) {
    return lh_answer_problem_with(r, 409, "busy", "the job has not ended yet",
                                  "follow /api/events, or ask again",
                                  "Retry-After", "1");
  }
  return lh_answer_ended(r, p->job, 200, NULL);
}

/* One that has ended is forgotten; another is stopped, and kept to be seen. */
enum MHD_Result lh_api_job_cancel(lh_request *r)
{
  lh_posted **at = find(r);
  lh_job_view v;
  json_t *json;

  if (!*at) return no_job(r);
  lh_job_cancel((*at)->job);
  lh_job_look((*at)->job, &v);
  json = job_json(*at, &v);
  if ((*at)->ended) drop(at);
  return lh_answer_json(r, 200, json);
}

/* ---- time goes by ------------------------------------------------------- */

void lh_posted_sweep(lh_server *s)
{
  for (lh_posted **at = &s->posted; *at;) {
    lh_posted *p = *at;
    lh_job_view v;
    if (p->ended && s->now - p->ended > LH_KEEP_MS) {
      drop(at);
      continue;
    }
    at = &p->next;
    if (p->ended) continue;
    lh_job_look(p->job, &v);
    if (v.state != p->state || v.done > p->told) {
      p->state = v.state;
      p->told = v.done;
      tell(s, p, &v);
    }
    if (v.state >= LH_JOB_DONE) p->ended = s->now;
  }
}

void lh_posted_leave(lh_server *s, const char *who)
{
  for (lh_posted *p = s->posted; p; p = p->next)
    if (!p->ended && (!who || strcmp(p->who, who) == 0)) lh_job_cancel(p->job);
}

void lh_posted_free(lh_server *s)
{
  while (s->posted) drop(&s->posted);
}
