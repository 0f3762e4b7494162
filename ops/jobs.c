/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "jobs.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif

#include "heap.h"

enum { LONG, SHORT, LANES };

/* Progress is told at most this often.                              [ns] */
#define TELL_EVERY 100000000LL

/* What an operation took, past which it is given back.           [bytes] */
#define GIVE_BACK ((size_t)16 << 20)

struct lh_job {
  lh_jobs *jobs;
  lh_job *next;           /* in its lane */
  const lh_operation *op; /* NULL: an ask of the book */
  lh_book_ask ask;
  char *text;
  size_t n;
  pthread_mutex_t lock; /* over all below                     */
  size_t held;
  bool stop; /* asked to                                       */
  lh_job_view view;
  lh_job_result result;
  long long told; /* when its progress was last told        [ns] */
};

struct lh_jobs {
  pthread_mutex_t lock; /* over the lanes and `closing`       */
  pthread_cond_t more;
  lh_job *first[LANES], *last[LANES];
  size_t waiting, most;
  bool closing;
  void (*wake)(void *);
  void *who;
  size_t workers, places; /* at work; to be                    */
  lh_job **now;           /* what each worker runs                     */
  lh_book **book;         /* each worker's own handle, or NULL         */
  pthread_t *thread;
};

typedef struct {
  lh_jobs *jobs;
  size_t index;
} worker;

static long long nanoseconds(void)
{
  struct timespec t;

  clock_gettime(CLOCK_MONOTONIC, &t);
  return (long long)t.tv_sec * 1000000000LL + t.tv_nsec;
}

/* ---- one job ------------------------------------------------------------ */

lh_job *lh_job_hold(lh_job *job)
{
  pthread_mutex_lock(&job->lock);
  job->held++;
  pthread_mutex_unlock(&job->lock);
  return job;
}

void lh_job_release(lh_job **job)
{
  lh_job *j = *job;
  size_t left;

  *job = NULL;
  if (!j) return;
  pthread_mutex_lock(&j->lock);
  left = --j->held;
  pthread_mutex_unlock(&j->lock);
  if (left > 0) return;
  pthread_mutex_destroy(&j->lock);
  free(j->text);
  free(j->result.text);
  free(j->result.bytes);
  free(j);
}

void lh_job_look(lh_job *job, lh_job_view *view)
{
  pthread_mutex_lock(&job->lock);
  *view = job->view;
  pthread_mutex_unlock(&job->lock);
}

bool lh_job_ended(lh_job *job)
{
  bool ended;

  pthread_mutex_lock(&job->lock);
  ended = job->view.state >= LH_JOB_DONE;
  pthread_mutex_unlock(&job->lock);
  return ended;
}

const lh_operation *lh_job_operation(const lh_job *job)
{
  return job->op;
}

const lh_job_result *lh_job_result_of(lh_job *job)
{
  lh_job_view view;

  lh_job_look(job, &view);
  return view.state == LH_JOB_DONE ? &job->result : NULL;
}

void lh_job_cancel(lh_job *job)
{
  pthread_mutex_lock(&job->lock);
  job->stop = true;
  if (job->view.state == LH_JOB_WAITING) {
    job->view.state = LH_JOB_CANCELLED;
    job->view.st = LH_CANCELLED;
  }
  pthread_mutex_unlock(&job->lock);
}

/* ---- the work ----------------------------------------------------------- */

static bool go(void *who, double done)
{
  lh_job *job = who;
  long long now = nanoseconds();
  bool on, tell;

  pthread_mutex_lock(&job->lock);
  on = !job->stop;
  tell = on && now - job->told >= TELL_EVERY;
  if (done > job->view.done && done <= 1) job->view.done = done;
  if (tell) job->told = now;
  pthread_mutex_unlock(&job->lock);
  if (tell) job->jobs->wake(job->jobs->who);
  return on;
}

static lh_status keep_file(const lh_reply *reply, lh_job_result *out)
{
  if (!reply->bytes) return LH_OK;
  out->bytes = malloc(reply->size ? reply->size : 1);
  if (!out->bytes) return LH_NOMEM;
  memcpy(out->bytes, reply->bytes, reply->size);
  out->bytes_size = reply->size;
  snprintf(out->media, sizeof out->media, "%s", reply->media);
  return LH_OK;
}

/* What the caller gets, out of the arena that is freed next. */
static lh_status keep(const lh_reply *reply, lh_job_result *out)
{
  char *text = lh_json_text(reply->json), *line;

  if (!text) return LH_NOMEM;
  out->size = strlen(text) + 1;
  line = realloc(text, out->size + 1);
  if (!line) {
    free(text);
    return LH_NOMEM;
  }
  memcpy(line + out->size - 1, "\n", 2);
  out->text = line;
  return keep_file(reply, out);
}

/* The C library keeps what was freed; a server that drew one large picture
** would hold its hundreds of megabytes for the rest of the day. */
static void give_back(lh_arena *a)
{
  bool large = a->total > GIVE_BACK;

  lh_heap_free(a);
#ifdef __GLIBC__
  if (large) malloc_trim(0);
#else
  (void)large;
#endif
}

static void end(lh_job *job, lh_status st, bool unreadable,
                const lh_fault *fault, const lh_job_result *result)
{
  bool good = st == LH_OK || st == LH_STOP;

  pthread_mutex_lock(&job->lock);
  job->view.st = st;
  job->view.unreadable = unreadable;
  job->view.fault = *fault;
  if (good) job->view.done = 1;
  job->view.state = good                 ? LH_JOB_DONE
                    : st == LH_CANCELLED ? LH_JOB_CANCELLED
                                         : LH_JOB_REFUSED;
  job->result = *result;
  pthread_mutex_unlock(&job->lock);
}

static lh_status operate(lh_job *job, lh_call *call, lh_reply *reply,
                         bool *unreadable, lh_fault *fault)
{
  lh_status st =
      lh_json_parse(job->text, job->n, "document", &call->document, fault);

  *unreadable = st == LH_INPUT;
  free(job->text); /* it may be large, and the work long */
  job->text = NULL;
  if (st == LH_OK) st = lh_operation_run(job->op, call, reply, fault);
  return st;
}

static void work(lh_job *job, lh_book *book)
{
  lh_watch watch = {go, job};
  lh_arena arena;
  lh_call call = {.arena = &arena, .watch = &watch, .book = book};
  lh_reply reply = {0};
  lh_fault fault = {0};
  lh_job_result result = {0};
  lh_book_told told = {0};
  lh_status st, kept = LH_OK;

  lh_heap_open(&arena);
  if (job->op)
    st = operate(job, &call, &reply, &told.unreadable, &fault);
  else
    st = lh_book_ask_run(book, &job->ask, job->text, job->n, &arena, &reply,
                         &told, &fault);
  if (st == LH_OK || st == LH_STOP) kept = keep(&reply, &result);
  if (kept != LH_OK) st = lh_fault_plain(&fault, kept, "answer");
  result.number = told.number;
  lh_reply_free(&reply);
  json_decref(call.document);
  give_back(&arena);
  if (st != LH_OK && st != LH_STOP) {
    free(result.text);
    free(result.bytes);
    result = (lh_job_result){0};
  }
  end(job, st, told.unreadable, &fault, &result);
}

/* ---- the workers -------------------------------------------------------- */

static lh_job *take(lh_jobs *s, size_t lane)
{
  lh_job *job = s->first[lane];

  s->first[lane] = job->next;
  if (!job->next) s->last[lane] = NULL;
  job->next = NULL;
  s->waiting--;
  return job;
}

/* A job that was cancelled while it waited is not begun. */
static bool begin(lh_job *job)
{
  bool on;

  pthread_mutex_lock(&job->lock);
  on = job->view.state == LH_JOB_WAITING;
  if (on) job->view.state = LH_JOB_RUNNING;
  pthread_mutex_unlock(&job->lock);
  return on;
}

static void *serve(void *arg)
{
  worker w = *(worker *)arg;
  lh_jobs *s = w.jobs;
  size_t lane = w.index == 0 ? SHORT : LONG;

  free(arg);
  pthread_mutex_lock(&s->lock);
  for (;;) {
    lh_job *job;
    while (!s->closing && !s->first[lane])
      pthread_cond_wait(&s->more, &s->lock);
    if (s->closing) break;
    job = s->now[w.index] = take(s, lane);
    pthread_mutex_unlock(&s->lock);
    if (begin(job)) work(job, s->book[w.index]);
    pthread_mutex_lock(&s->lock);
    s->now[w.index] = NULL;
    pthread_mutex_unlock(&s->lock);
    s->wake(s->who);
    lh_job_release(&job);
    pthread_mutex_lock(&s->lock);
  }
  pthread_mutex_unlock(&s->lock);
  return NULL;
}

static bool hire(lh_jobs *s)
{
  worker *w = malloc(sizeof *w);

  if (!w) return false;
  *w = (worker){s, s->workers};
  if (pthread_create(&s->thread[s->workers], NULL, serve, w) != 0) {
    free(w);
    return false;
  }
  s->workers++;
  return true;
}

static lh_status open_books(lh_jobs *s, size_t n, const char *path,
                            lh_fault *fault)
{
  lh_status st = LH_OK;

  for (size_t i = 0; path && i < n && st == LH_OK; i++)
    st = lh_book_open(path, LH_BOOK_OPEN, &s->book[i], fault);
  return st;
}

lh_status lh_jobs_open(size_t workers, size_t most, const char *book,
                       void (*wake)(void *), void *who, lh_jobs **jobs,
                       lh_fault *fault)
{
  lh_jobs *s = calloc(1, sizeof *s);
  bool good;
  lh_status st = LH_OK;

  *jobs = s;
  if (!s) return lh_fault_plain(fault, LH_NOMEM, "serve");
  pthread_mutex_init(&s->lock, NULL);
  pthread_cond_init(&s->more, NULL);
  s->wake = wake;
  s->who = who;
  s->most = most;
  s->places = workers + 1;
  s->now = calloc(workers + 1, sizeof(lh_job *));
  s->thread = calloc(workers + 1, sizeof *s->thread);
  s->book = calloc(workers + 1, sizeof(lh_book *));
  good = s->now && s->thread && s->book;
  if (good) st = open_books(s, workers + 1, book, fault);
  /* The hash seed of jansson is drawn at its first use; draw it before there
  ** are threads. */
  json_object_seed(0);
  lh_json_guard();
  for (size_t i = 0; good && st == LH_OK && i <= workers; i++) good = hire(s);
  if (!good) st = lh_fault_plain(fault, LH_NOMEM, "serve");
  if (st != LH_OK) lh_jobs_close(jobs);
  return st;
}

void lh_jobs_close(lh_jobs **jobs)
{
  lh_jobs *s = *jobs;

  *jobs = NULL;
  if (!s) return;
  pthread_mutex_lock(&s->lock);
  s->closing = true;
  for (size_t i = 0; i < s->workers; i++)
    if (s->now[i]) lh_job_cancel(s->now[i]);
  pthread_cond_broadcast(&s->more);
  pthread_mutex_unlock(&s->lock);
  for (size_t i = 0; i < s->workers; i++) pthread_join(s->thread[i], NULL);
  for (size_t lane = 0; lane < LANES; lane++) {
    while (s->first[lane]) {
      lh_job *job = take(s, lane);
      lh_job_cancel(job);
      lh_job_release(&job);
    }
  }
  for (size_t i = 0; s->book && i < s->places; i++) lh_book_close(&s->book[i]);
  pthread_cond_destroy(&s->more);
  pthread_mutex_destroy(&s->lock);
  free(s->book);
  free(s->now);
  free(s->thread);
  free(s);
}

/* Into its lane; refused when too many wait there. */
static lh_status enter(lh_jobs *jobs, size_t lane, lh_job *job, lh_job **out)
{
  bool full;

  pthread_mutex_lock(&jobs->lock);
  full = jobs->closing || jobs->waiting >= jobs->most;
  if (!full) {
    if (jobs->last[lane])
      jobs->last[lane]->next = job;
    else
      jobs->first[lane] = job;
    jobs->last[lane] = job;
    jobs->waiting++;
    pthread_cond_broadcast(&jobs->more);
  }
  pthread_mutex_unlock(&jobs->lock);
  if (full) {
    job->held = 1;
    lh_job_release(&job);
    return LH_TOOLARGE;
  }
  *out = job;
  return LH_OK;
}

static lh_job *new_job(lh_jobs *jobs, char *text, size_t n)
{
  lh_job *job = calloc(1, sizeof *job);

  if (!job) {
    free(text);
    return NULL;
  }
  pthread_mutex_init(&job->lock, NULL);
  job->jobs = jobs;
  job->text = text;
  job->n = n;
  job->held = 2; /* by the caller, and by the lane */
  return job;
}

lh_status lh_job_start(lh_jobs *jobs, const lh_operation *op, char *text,
                       size_t n, lh_job **out)
{
  lh_job *job = new_job(jobs, text, n);

  *out = NULL;
  if (!job) return LH_NOMEM;
  job->op = op;
  return enter(jobs, op->takes_piece || op->knows_pieces ? LONG : SHORT, job,
               out);
}

lh_status lh_job_start_ask(lh_jobs *jobs, const lh_book_ask *ask, char *text,
                           size_t n, lh_job **out)
{
  lh_job *job = new_job(jobs, text, n);

  *out = NULL;
  if (!job) return LH_NOMEM;
  job->ask = *ask;
  return enter(jobs, SHORT, job, out);
}
