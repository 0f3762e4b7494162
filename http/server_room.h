/* SPDX-License-Identifier: GPL-3.0-or-later */
/* server_room.h -- what the files of this room share; nobody else's.
**
** All of it is touched by one thread, the one in lh_server_run; the workers
** of ops only write a byte into the wake pipe.
**
** A connection is receiving, working (its operation runs, the connection is
** suspended), answering, or streaming.  A request lives from its first line
** to its last byte; a posted job outlives the request that posted it.
*/
#ifndef LH_SERVER_ROOM_H
#define LH_SERVER_ROOM_H

#include <microhttpd.h>
#include <stdbool.h>
#include <stddef.h>

#include "device.h"
#include "jobs.h"
#include "operation.h"
#include "server.h"
#include "wire.h"

enum {
  LH_WHOLE_MS = 20000,     /* a request must be whole by then             */
  LH_BODY_BYTES_MS = 64,   /* but a body may take a ms for each 64 bytes  */
  LH_ANSWER_MS = 120000,   /* an answer must be taken by then             */
  LH_NEWS_MS = 1000,       /* how often the book is asked what is new     */
  LH_TICK_MS = 200,        /* how often connections are looked over       */
  LH_BEAT_MS = 15000,      /* a silent stream says that it is there       */
  LH_LEFT_MS = 10000,      /* a device without a stream has left          */
  LH_KEEP_MS = 600000,     /* a posted job's result is kept               */
  LH_STOP_MS = 30000,      /* what is under way may take when stopping    */
  LH_POSTED_MOST = 64,     /* jobs kept, running or ended                 */
  LH_WAIT_MOST = 64,       /* operations that wait for a worker           */
  LH_STREAMS_MOST = 4,     /* of one device: the oldest makes room        */
  LH_EVENTS_KEPT = 256,    /* for streams that come back                  */
  LH_HEADERS_MOST = 16384, /* bytes of a request's head                   */
  LH_CONNECTIONS_MOST = 256,
  LH_CONNECTIONS_OF_ONE = 96 /* address, so that one cannot take them all */
};
/* Of all bodies that are being received.                        [bytes] */
#define LH_BODIES_MOST ((size_t)256 * 1024 * 1024)

typedef struct lh_request lh_request;
typedef struct lh_conn lh_conn;
typedef struct lh_stream lh_stream;

typedef enum {
  LH_CONN_IDLE, /* receiving, or nothing yet */
  LH_CONN_WORKING,
  LH_CONN_ANSWERING,
  LH_CONN_STREAMING
} lh_conn_state;

struct lh_conn {
  lh_conn *next, *prev;
  lh_server *server;
  struct MHD_Connection *mhd;
  int fd;
  lh_conn_state state;
  long long since; /* of this state                     [ms] */
  bool begun;      /* a request has begun                     */
  size_t got;      /* of its body                    [bytes] */
  lh_request *request;
  lh_stream *stream;
};

typedef struct {
  const char *method;
  const char *path[5]; /* "*" is any part; NULL past the last  */
  unsigned flags;
  size_t most; /* bytes of a body                      */
  enum MHD_Result (*run)(lh_request *r);
} lh_route;

enum {
  LH_OPEN = 1,      /* no device needed                */
  LH_BODY = 2,      /* has a body: JSON, unless         */
  LH_NO_TOKEN = 4,  /* a write without the run's token */
  LH_PATCH = 8,     /* the body is a JSON Patch        */
  LH_BYTES = 16,    /* the body is a blob              */
  LH_MAY_EMPTY = 32 /* the body may be left out       */
};

struct lh_request {
  lh_server *server;
  lh_conn *conn;
  char *raw;
  lh_target target;
  lh_target_end target_end;
  bool looked_at; /* its head has been judged        */
  const lh_route *route;
  char who[17]; /* the device; "key": the key; "": nobody */
  char *body;
  size_t size, room;
  bool too_large;
  lh_book_ask ask; /* of the book, while it is waited for */
  /* an operation that is waited for */
  lh_job *job;
  bool suspended, left;
};

/* A job that was answered with 202. */
typedef struct lh_posted {
  struct lh_posted *next;
  char id[17], who[17];
  lh_job *job;
  long long ended; /* [ms]; 0: not yet               */
  double told;     /* progress last told             */
  lh_job_state state;
} lh_posted;

typedef struct {
  unsigned long long number; /* 0: empty                       */
  char who[17];              /* for this device; "": for all   */
  char *text;                /* as it goes over the wire       */
} lh_event;

struct lh_server {
  lh_server_options o;
  struct MHD_Daemon *daemon;
  int listening, epoll, wake[2];
  unsigned port;
  char address[160];       /* opens the page, and admits    */
  char network[300];       /* what other devices open       */
  char host[256];          /* the machine's own name        */
  char run[LH_TOKEN_SIZE]; /* goes with every write         */
  char run_id[9];          /* tells one run from the next   */
  char cookie[40];         /* its name                      */
  char code_told[LH_CODE_SIZE];
  lh_devices *devices;
  lh_jobs *jobs;
  lh_conn *conns;
  size_t bodies;      /* bytes being received          */
  lh_posted *posted;  /* the newest first              */
  lh_job *since;      /* asks the book what is new              */
  long long seq;      /* the last that was told; -1: none yet   */
  long long asked;    /* when it was asked last            [ms] */
  bool changed;       /* somebody here wrote                    */
  lh_stream *streams; /* the newest first              */
  lh_event event[LH_EVENTS_KEPT];
  unsigned long long last_event;
  struct {
    char who[17];
    long long since;
  } gone[LH_DEVICES_MOST + 1]; /* devices whose last stream closed */
  long long ticked;
  int stops;            /* how often told to stop        */
  long long stopped_at; /* [ms]                          */
  char *openapi, *help; /* made once                     */
  char openapi_tag[24], help_tag[24];
  char page_dir[4096]; /* absolute; empty: none         */
  long long now;       /* [ms], taken once a turn       */
};

/* ---- time --------------------------------------------------------------- */

long long lh_server_now(void); /* [ms], monotonic */

/* ---- connections (conn.c) ----------------------------------------------- */

void lh_conn_notify(void *cls, struct MHD_Connection *c, void **context,
                    enum MHD_ConnectionNotificationCode code);
void lh_conn_state_set(lh_conn *c, lh_conn_state state);
/* Go on with the requests whose operation has ended. */
void lh_conn_wake(lh_server *s);
/* Cut who is too slow; notice who has left. */
void lh_conn_sweep(lh_server *s);

/* ---- requests (request.c) ----------------------------------------------- */

void *lh_request_new(void *cls, const char *uri, struct MHD_Connection *c);
enum MHD_Result lh_request_more(void *cls, struct MHD_Connection *c,
                                const char *url, const char *method,
                                const char *version, const char *data,
                                size_t *size, void **context);
void lh_request_done(void *cls, struct MHD_Connection *c, void **context,
                     enum MHD_RequestTerminationCode why);
const char *lh_request_header(const lh_request *r, const char *name);
/* Wait for the job; the route's function is called again when it ended. */
enum MHD_Result lh_request_wait(lh_request *r, lh_job *job);
void lh_request_resume(lh_request *r);

/* May it be asked, and who asks (guard.c)?  True: go on; else it was
** answered, and *rc is for the library. */
bool lh_guard(lh_request *r, const char *method, enum MHD_Result *rc);

/* ---- answers (answer.c) ------------------------------------------------- */

/* A response that is queued and given up; adds what every answer carries. */
enum MHD_Result lh_answer(lh_request *r, unsigned status,
                          struct MHD_Response *p);
/* As the command line prints it, with a line end; takes the reference; free()
** it.  NULL when out of memory. */
char *lh_json_text_freed(json_t *json);
/* The text becomes the answer's. */
enum MHD_Result lh_answer_text(lh_request *r, unsigned status, char *text,
                               const char *media);
/* The same, the reference is taken; status 200 unless told otherwise. */
enum MHD_Result lh_answer_json(lh_request *r, unsigned status, json_t *json);
/* A refusal (RFC 9457). */
enum MHD_Result lh_answer_problem(lh_request *r, unsigned status,
                                  const char *name, const char *where,
                                  const char *what, const char *todo);
enum MHD_Result lh_answer_fault(lh_request *r, unsigned status,
                                const lh_fault *fault);
/* The same with one more header. */
enum MHD_Result lh_answer_problem_with(lh_request *r, unsigned status,
                                       const char *name, const char *what,
                                       const char *todo, const char *header,
                                       const char *value);
/* A text that does not change while the server runs, with its tag. */
enum MHD_Result lh_answer_kept(lh_request *r, const char *text, size_t n,
                               const char *media, const char *tag);
void lh_tag_of(const void *bytes, size_t n, char tag[24]);
typedef struct {
  const char *name, *title;
} lh_problem;
extern const lh_problem lh_problems[]; /* ends with a NULL name */
const char *lh_problem_name(lh_status st);
json_t *lh_problem_json(unsigned status, const char *name, const char *where,
                        const char *what, const char *todo);

/* ---- routes ------------------------------------------------------------- */

/* The table ends with a NULL method. */
extern const lh_route lh_routes[];

enum MHD_Result lh_api_operation(lh_request *r); /* api_jobs.c */
/* What a job came to: its refusal, or its result with this status. */
enum MHD_Result lh_answer_ended(lh_request *r, lh_job *job, unsigned status,
                                const char *location);
enum MHD_Result lh_api_busy(lh_request *r);
enum MHD_Result lh_api_jobs(lh_request *r);
enum MHD_Result lh_api_job(lh_request *r);
enum MHD_Result lh_api_job_result(lh_request *r);
enum MHD_Result lh_api_job_cancel(lh_request *r);
void lh_posted_sweep(lh_server *s);
void lh_posted_leave(lh_server *s, const char *who);
void lh_posted_free(lh_server *s);

enum MHD_Result lh_api_about(lh_request *r); /* api_devices.c */
enum MHD_Result lh_api_pair(lh_request *r);
enum MHD_Result lh_api_devices(lh_request *r);
enum MHD_Result lh_api_revoke(lh_request *r);
void lh_code_tell(lh_server *s);

enum MHD_Result lh_api_book(lh_request *r); /* api_book.c: all of /api/book */
void lh_book_sweep(lh_server *s);

enum MHD_Result lh_api_events(lh_request *r); /* events.c */
void lh_event_add(lh_server *s, const char *who, const char *kind,
                  json_t *data);
void lh_events_sweep(lh_server *s);
void lh_events_close(lh_server *s, const char *who); /* NULL: all */
void lh_events_free(lh_server *s);
void lh_stream_left(lh_stream *t);   /* its reader is gone          */
void lh_stream_detach(lh_stream *t); /* its connection is at an end */

enum MHD_Result lh_page(lh_request *r); /* page.c */
enum MHD_Result lh_api_help(lh_request *r);
enum MHD_Result lh_api_openapi(lh_request *r);
char *lh_help_page(void);    /* help_page.c */
char *lh_openapi_text(void); /* openapi.c */

#endif
