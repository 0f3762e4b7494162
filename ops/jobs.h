/* SPDX-License-Identifier: GPL-3.0-or-later */
/* jobs.h -- operations run beside whoever asked.
**
** The only room with threads.  A job is one operation on one document, given
** as text, or one ask of the book; it waits its turn, runs in a worker, and
** keeps its answer until
** the last who holds it lets go.  It can be looked at and cancelled at any
** time.  Short operations have a worker of their own, so that a number is
** never kept waiting by somebody's picture.  Nothing here knows of sockets.
**
** Memory: a job is held and released (counted); its result lives as long as
** it is held.  The arena of the operation is freed as soon as it ends.
*/
#ifndef LH_JOBS_H
#define LH_JOBS_H

#include <stdbool.h>
#include <stddef.h>

#include "book_ask.h"
#include "operation.h"

typedef struct lh_jobs lh_jobs;
typedef struct lh_job lh_job;

typedef enum {
  LH_JOB_WAITING,
  LH_JOB_RUNNING,
  LH_JOB_DONE,     /* with a result; also when a verdict says stop */
  LH_JOB_REFUSED,  /* with a fault                                 */
  LH_JOB_CANCELLED /* nobody wants it any more                     */
} lh_job_state;

typedef struct {
  lh_job_state state;
  double done;     /* how far along, 0..1                             */
  lh_status st;    /* the outcome, once it has ended                  */
  bool unreadable; /* the document is no JSON at all                  */
  lh_fault fault;  /* of a refusal                                    */
} lh_job_view;

typedef struct {
  char *text; /* the JSON result, ended by a line end    */
  size_t size;
  void *bytes; /* the file, or NULL                       */
  size_t bytes_size;
  char media[64]; /* its type                                */
  long number;    /* of the book's revision; 0: none         */
} lh_job_result;

/* Start the workers.
**
** Given:     workers    for operations on a piece; one more is for the rest
**            most       jobs that may wait; more are refused
**            book       its file, opened once by each worker; NULL: none
**            wake, who  called from a worker when a job moved on: it must be
**                       quick and may not call back into this room
** Returned:  *jobs      close it with lh_jobs_close
** Status:    LH_OK; what lh_book_open says; LH_NOMEM when there is no memory
**            or no thread
*/
lh_status lh_jobs_open(size_t workers, size_t most, const char *book,
                       void (*wake)(void *), void *who, lh_jobs **jobs,
                       lh_fault *fault);

/* Cancel what waits and runs, wait for the workers, and forget them.  Jobs
** that are held stay readable. */
void lh_jobs_close(lh_jobs **jobs);

/* Hand in a document.
**
** Given:     op        the operation
**            text, n   the document; it becomes the job's, which free()s it,
**                      whatever the status
** Returned:  *job      held once by the caller
** Status:    LH_OK; LH_TOOLARGE when too many wait; LH_NOMEM
*/
lh_status lh_job_start(lh_jobs *jobs, const lh_operation *op, char *text,
                       size_t n, lh_job **job);

/* Hand in an ask of the book; the same.  Asks are done one after another, by
** the worker of what is short. */
lh_status lh_job_start_ask(lh_jobs *jobs, const lh_book_ask *ask, char *text,
                           size_t n, lh_job **job);

/* How a job stands. */
void lh_job_look(lh_job *job, lh_job_view *view);

/* Ended, one way or another? */
bool lh_job_ended(lh_job *job);

/* Ask a job to stop.  One that waits is cancelled at once; one that runs,
** when its kernel next asks whether to go on; one that has ended stays. */
void lh_job_cancel(lh_job *job);

/* The result of a job that is done; NULL of any other. */
const lh_job_result *lh_job_result_of(lh_job *job);

/* Its operation; NULL of an ask of the book. */
const lh_operation *lh_job_operation(const lh_job *job);

/* Hold it once more; let go once.  Release nulls the pointer. */
lh_job *lh_job_hold(lh_job *job);
void lh_job_release(lh_job **job);

#endif
