/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Operations run beside whoever asked: results, refusals, cancelling. */
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "check.h"
#include "heap.h"
#include "jobs.h"

static _Atomic int woken;

static void wake(void *who)
{
  *(_Atomic int *)who = 1;
}

static void rest(void)
{
  struct timespec t = {0, 5000000};

  nanosleep(&t, NULL);
}

static bool wait_for(lh_job *job, double seconds)
{
  for (int i = 0; i < (int)(seconds / 0.005); i++) {
    if (lh_job_ended(job)) return true;
    rest();
  }
  return false;
}

static lh_job *start(lh_jobs *jobs, const char *op, const char *text)
{
  lh_job *job = NULL;

  if (lh_job_start(jobs, lh_operation_find(op), strdup(text), strlen(text),
                   &job) != LH_OK)
    return NULL;
  return job;
}

/* What the operation gives when it is called straight. */
static char *straight(const char *op, const char *text)
{
  lh_arena a;
  lh_call call = {.arena = &a};
  lh_reply reply = {0};
  lh_fault fault = {0};
  char *out = NULL;

  lh_heap_open(&a);
  lh_json_parse(text, strlen(text), "x", &call.document, &fault);
  if (lh_operation_run(lh_operation_find(op), &call, &reply, &fault) == LH_OK)
    out = lh_json_text(reply.json);
  lh_reply_free(&reply);
  json_decref(call.document);
  lh_heap_free(&a);
  return out;
}

static void test_answers(lh_jobs *jobs)
{
  const char *example = lh_operation_find("thin")->example;
  char *want = straight("thin", example);
  lh_job *job = start(jobs, "thin", example);
  const lh_job_result *is;
  lh_job_view v;

  CHECK(job && wait_for(job, 10), "a job ends");
  is = lh_job_result_of(job);
  CHECK(is && want && is->size == strlen(want) + 1 &&
            strncmp(is->text, want, strlen(want)) == 0 &&
            is->text[is->size - 1] == '\n',
        "with what the operation gives, and a line end");
  lh_job_look(job, &v);
  CHECK(v.state == LH_JOB_DONE && v.st == LH_OK && v.done == 1, "it is done");
  CHECK(woken, "whoever asked was woken");
  lh_job_cancel(job);
  lh_job_look(job, &v);
  CHECK(v.state == LH_JOB_DONE, "to cancel it then changes nothing");
  lh_job_release(&job);
  CHECK(job == NULL, "let go");
  free(want);

  job = start(jobs, "thin", "{\"litre_weight_g\": \"x\"}");
  CHECK(wait_for(job, 10), "a refusal ends too");
  lh_job_look(job, &v);
  CHECK(v.state == LH_JOB_REFUSED && !v.unreadable &&
            strcmp(v.fault.where, "/litre_weight_g") == 0 && *v.fault.todo,
        "and says where and what to do");
  CHECK(!lh_job_result_of(job), "it has no result");
  lh_job_release(&job);
  job = start(jobs, "thin", "{");
  CHECK(wait_for(job, 10), "also of what is no JSON");
  lh_job_look(job, &v);
  CHECK(v.state == LH_JOB_REFUSED && v.unreadable, "said apart");
  lh_job_release(&job);
}

/* A piece that takes seconds; the rest of the file is the caller's. */
static char *long_piece(const char *path)
{
  json_t *piece = json_load_file(path, 0, NULL);
  char *text;

  json_object_set_new(piece, "ask",
                      json_pack("{s:s,s:i,s:f}", "view", "side", "width_px",
                                4000, "pixel_mm", 0.1));
  text = json_dumps(piece, 0);
  json_decref(piece);
  return text;
}

static void test_cancel(lh_jobs *jobs, const char *path)
{
  char *text = long_piece(path);
  lh_job *one = start(jobs, "picture", text);
  lh_job *two = start(jobs, "picture", text);
  lh_job_view v = {0}, w;
  double seen = 0;

  CHECK(one && two, "two long jobs, one worker");
  for (int i = 0; i < 2000 && v.done <= 0; i++) {
    lh_job_look(one, &v);
    rest();
  }
  lh_job_look(two, &w);
  CHECK(v.state == LH_JOB_RUNNING && v.done > 0 && w.state == LH_JOB_WAITING,
        "one runs, the other waits");
  for (int i = 0; i < 100; i++) {
    lh_job_look(one, &v);
    if (v.done < seen) break;
    seen = v.done;
    rest();
  }
  CHECK(v.done >= seen && v.done <= 1, "progress never goes back");
  lh_job_cancel(two);
  CHECK(lh_job_ended(two), "one that waits is cancelled at once");
  lh_job_cancel(one);
  CHECK(wait_for(one, 20), "one that runs when its kernel next asks");
  lh_job_look(one, &v);
  CHECK(v.state == LH_JOB_CANCELLED && v.st == LH_CANCELLED, "and says so");
  lh_job_release(&one);
  lh_job_release(&two);
  free(text);
}

static void test_crowd(lh_jobs *jobs, const char *path)
{
  enum { MOST = 12 };
  char *text = long_piece(path);
  lh_job *job[MOST] = {0};
  size_t n = 0;

  while (n < MOST && (job[n] = start(jobs, "picture", text))) n++;
  CHECK(n >= 4 && n < MOST, "with four that may wait, %zu are taken", n);
  for (size_t i = 0; i < n; i++) lh_job_cancel(job[i]);
  for (size_t i = 0; i < n; i++)
    if (!wait_for(job[i], 20)) n = 0;
  CHECK(n > 0, "all can be cancelled");
  for (size_t i = 0; i < MOST; i++) lh_job_release(&job[i]);
  free(text);
}

/* Closing while jobs wait and run: they are cancelled, and what is held can
** still be looked at. */
static void test_close(lh_jobs **jobs, const char *path)
{
  char *text = long_piece(path);
  lh_job *job[3];
  bool ended = true;

  /* Those cancelled before may still stand in the lane. */
  for (int i = 0; i < 3; i++)
    for (int k = 0; k < 4000 && !(job[i] = start(*jobs, "picture", text)); k++)
      rest();
  rest();
  lh_jobs_close(jobs);
  CHECK(*jobs == NULL, "closed while three were under way");
  for (int i = 0; i < 3; i++) {
    ended = ended && job[i] && lh_job_ended(job[i]);
    if (job[i]) lh_job_release(&job[i]);
  }
  CHECK(ended, "all three ended, and could be looked at");
  free(text);
}

int main(int argc, char **argv)
{
  lh_jobs *jobs = NULL;
  lh_fault fault = {0};

  if (argc != 2) return 2;
  CHECK(lh_jobs_open(1, 4, NULL, wake, (void *)&woken, &jobs, &fault) == LH_OK,
        "the workers start");
  test_answers(jobs);
  test_cancel(jobs, argv[1]);
  test_crowd(jobs, argv[1]);
  test_close(&jobs, argv[1]);
  return CHECK_DONE();
}
