/* SPDX-License-Identifier: GPL-3.0-or-later */
/* server.c -- the socket, the library's daemon, and the one loop. */
#define _GNU_SOURCE /* interfaces and their flags */
#include "server.h"

#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <ifaddrs.h>
#include <limits.h>
#include <net/if.h>
#include <netinet/in.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "server_room.h"

long long lh_server_now(void)
{
  struct timespec t;

  clock_gettime(CLOCK_MONOTONIC, &t);
  return (long long)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

/* ---- the wake pipe ------------------------------------------------------ */

/* From a worker, or a signal handler: nothing but a write.  A full pipe has
** woken the loop already. */
static void ring(const lh_server *s, char what)
{
  int error = errno;
  ssize_t rc = write(s->wake[1], &what, 1);

  (void)rc;
  errno = error;
}

static void job_moved(void *who)
{
  ring(who, 'j');
}

void lh_server_stop(lh_server *s)
{
  ring(s, 's');
}

static bool open_pipe(int fd[2])
{
  if (pipe(fd) != 0) {
    fd[0] = fd[1] = -1;
    return false;
  }
  for (int i = 0; i < 2; i++) {
    fcntl(fd[i], F_SETFD, FD_CLOEXEC);
    fcntl(fd[i], F_SETFL, O_NONBLOCK);
  }
  return true;
}

/* ---- opening ------------------------------------------------------------ */

static lh_status open_socket(lh_server *s, lh_fault *fault)
{
  struct sockaddr_in in = {.sin_family = AF_INET};
  socklen_t n = sizeof in;
  int yes = 1, fd = socket(AF_INET, SOCK_STREAM, 0);
  char where[32];

  s->listening = fd;
  in.sin_addr.s_addr = htonl(s->o.network ? INADDR_ANY : INADDR_LOOPBACK);
  in.sin_port = htons((uint16_t)s->o.port);
  snprintf(where, sizeof where, "port %u", s->o.port);
  if (fd >= 0) {
    fcntl(fd, F_SETFD, FD_CLOEXEC);
    fcntl(fd, F_SETFL, O_NONBLOCK);
    setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
  }
  if (fd < 0 || bind(fd, (struct sockaddr *)&in, sizeof in) != 0 ||
      listen(fd, 128) != 0 ||
      getsockname(fd, (struct sockaddr *)&in, &n) != 0) {
    return lh_fault_say(fault, LH_IO, where,
                        "choose another with --port, or end what has it",
                        "cannot be listened on: %s", strerror(errno));
  }
  s->port = ntohs(in.sin_port);
  return LH_OK;
}

static lh_status start(lh_server *s, lh_fault *fault)
{
  unsigned flags = MHD_USE_EPOLL | MHD_ALLOW_SUSPEND_RESUME;
  struct MHD_OptionItem tls[] = {
      {MHD_OPTION_HTTPS_MEM_CERT, 0, (void *)(uintptr_t)s->o.cert},
      {MHD_OPTION_HTTPS_MEM_KEY, 0, (void *)(uintptr_t)s->o.key},
      {MHD_OPTION_END, 0, NULL}};
  const union MHD_DaemonInfo *info;

  if (!s->o.cert) tls[0].option = MHD_OPTION_END;
  if (s->o.cert) flags |= MHD_USE_TLS;
  s->daemon = MHD_start_daemon(
      flags, 0, NULL, NULL, lh_request_more, s, MHD_OPTION_LISTEN_SOCKET,
      s->listening, MHD_OPTION_URI_LOG_CALLBACK, lh_request_new, s,
      MHD_OPTION_NOTIFY_COMPLETED, lh_request_done, s,
      MHD_OPTION_NOTIFY_CONNECTION, lh_conn_notify, s,
      MHD_OPTION_CONNECTION_LIMIT, (unsigned)LH_CONNECTIONS_MOST,
      MHD_OPTION_PER_IP_CONNECTION_LIMIT, (unsigned)LH_CONNECTIONS_OF_ONE,
      MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)32 * 1024,
      MHD_OPTION_CONNECTION_TIMEOUT, (unsigned)LH_ANSWER_MS / 1000,
      MHD_OPTION_STRICT_FOR_CLIENT, 1, MHD_OPTION_ARRAY, tls, MHD_OPTION_END);
  info = s->daemon ? MHD_get_daemon_info(s->daemon, MHD_DAEMON_INFO_EPOLL_FD)
                   : NULL;
  if (!info) {
    return lh_fault_say(fault, s->o.cert ? LH_INPUT : LH_NOMEM, "serve",
                        s->o.cert ? "give a certificate and its key as PEM"
                                  : "end other programs",
                        s->o.cert ? "the certificate or key is not taken"
                                  : "the server cannot start");
  }
  s->epoll = info->epoll_fd;
  return LH_OK;
}

/* The first address of this machine in the studio's network. */
static void network_address(char *text, size_t size)
{
  struct ifaddrs *list = NULL;

  snprintf(text, size, "127.0.0.1");
  if (getifaddrs(&list) != 0) return;
  for (const struct ifaddrs *i = list; i; i = i->ifa_next) {
    if (!i->ifa_addr || i->ifa_addr->sa_family != AF_INET) continue;
    if (!(i->ifa_flags & IFF_UP) || (i->ifa_flags & IFF_LOOPBACK)) continue;
    inet_ntop(
        AF_INET,
        &((const struct sockaddr_in *)(const void *)i->ifa_addr)->sin_addr,
        text, (socklen_t)size);
    break;
  }
  freeifaddrs(list);
}

static lh_status name_all(lh_server *s, lh_fault *fault)
{
  char at[INET_ADDRSTRLEN];
  const char *scheme = s->o.cert ? "https" : "http";

  if (gethostname(s->host, sizeof s->host) != 0) s->host[0] = 0;
  s->host[sizeof s->host - 1] = 0;
  network_address(at, sizeof at);
  snprintf(s->network, sizeof s->network, "%s://%s:%u", scheme,
           s->o.host ? s->o.host : at, s->port);
  snprintf(s->address, sizeof s->address, "%s://127.0.0.1:%u/pair#key=%s",
           scheme, s->port, lh_devices_key(s->devices));
  snprintf(s->cookie, sizeof s->cookie, "leatherhard-%u-%s", s->port,
           lh_devices_id(s->devices));
  if (!lh_random_hex(s->run, 16) || !lh_random_hex(s->run_id, 4)) {
    return lh_fault_say(fault, LH_IO, "serve", "try again later",
                        "the system gives no random numbers");
  }
  if (s->o.page_dir && !realpath(s->o.page_dir, s->page_dir)) {
    return lh_fault_say(fault, LH_INPUT, s->o.page_dir,
                        "give the folder that the page is built into",
                        "cannot be opened: %s", strerror(errno));
  }
  return LH_OK;
}

lh_status lh_server_open(const lh_server_options *o, lh_server **out,
                         lh_fault *fault)
{
  lh_server *s = *out = calloc(1, sizeof *s);
  lh_status st;

  if (!s) return lh_fault_plain(fault, LH_NOMEM, "serve");
  s->o = *o;
  s->listening = s->epoll = s->wake[0] = s->wake[1] = -1;
  s->now = lh_server_now();
  s->seq = -1;
  st = open_pipe(s->wake) ? LH_OK : lh_fault_plain(fault, LH_IO, "serve");
  if (st == LH_OK) st = open_socket(s, fault);
  if (st == LH_OK)
    st = lh_devices_open(o->devices, o->network, &s->devices, fault);
  if (st == LH_OK) st = name_all(s, fault);
  if (st == LH_OK) {
    st = lh_jobs_open(o->workers ? o->workers : 2, LH_WAIT_MOST, o->book,
                      job_moved, s, &s->jobs, fault);
  }
  if (st == LH_OK) st = start(s, fault);
  if (st != LH_OK) lh_server_close(out);
  return st;
}

unsigned lh_server_port(const lh_server *s)
{
  return s->port;
}

const char *lh_server_address(const lh_server *s)
{
  return s->address;
}

/* ---- the loop ----------------------------------------------------------- */

static void drain(lh_server *s)
{
  char bytes[256];
  ssize_t n;
  bool moved = false;

  while ((n = read(s->wake[0], bytes, sizeof bytes)) > 0) {
    for (ssize_t i = 0; i < n; i++) {
      moved |= bytes[i] == 'j';
      s->stops += bytes[i] == 's';
    }
  }
  if (!moved) return;
  lh_conn_wake(s);
  lh_posted_sweep(s);
  lh_book_sweep(s);
}

/* Take no more; what was posted can be fetched by nobody afterwards. */
static void begin_to_stop(lh_server *s)
{
  int fd = MHD_quiesce_daemon(s->daemon);

  s->stopped_at = s->now;
  if (fd >= 0) close(fd);
  s->listening = -1;
  lh_posted_leave(s, NULL);
  lh_events_close(s, NULL);
}

static bool finished(const lh_server *s)
{
  if (s->stops > 1 || s->now - s->stopped_at > LH_STOP_MS) return true;
  return s->conns == NULL;
}

static int wait_for(lh_server *s)
{
  MHD_UNSIGNED_LONG_LONG ms;
  bool busy = s->conns || s->posted || s->stops > 0;
  long long left = s->ticked + (busy ? LH_TICK_MS : LH_NEWS_MS) - s->now;

  if (left < 0) left = 0;
  if (MHD_get_timeout(s->daemon, &ms) == MHD_YES &&
      ms < (MHD_UNSIGNED_LONG_LONG)left)
    left = (long long)ms;
  return (int)left;
}

lh_status lh_server_run(lh_server *s, lh_fault *fault)
{
  struct pollfd fds[2] = {{.fd = s->epoll, .events = POLLIN},
                          {.fd = s->wake[0], .events = POLLIN}};

  lh_code_tell(s);
  for (;;) {
    if (poll(fds, 2, wait_for(s)) < 0 && errno != EINTR)
      return lh_fault_plain(fault, LH_IO, "serve");
    s->now = lh_server_now();
    drain(s);
    if (s->stops > 0 && !s->stopped_at) begin_to_stop(s);
    if (MHD_run(s->daemon) != MHD_YES)
      return lh_fault_plain(fault, LH_IO, "serve");
    if (s->now - s->ticked >= LH_TICK_MS) {
      s->ticked = s->now;
      lh_conn_sweep(s);
      lh_posted_sweep(s);
      lh_book_sweep(s);
      lh_events_sweep(s);
    }
    if (s->stopped_at && finished(s)) return LH_OK;
  }
}

/* Connections that are suspended must go on before the library may end. */
static void let_all_go(lh_server *s)
{
  s->stops = 2;
  for (lh_conn *c = s->conns; c; c = c->next) {
    if (!c->request) continue;
    c->request->left = true;
    lh_request_resume(c->request);
  }
  lh_events_close(s, NULL);
  MHD_run(s->daemon);
}

void lh_server_close(lh_server **server)
{
  lh_server *s = *server;

  *server = NULL;
  if (!s) return;
  if (s->daemon) {
    let_all_go(s);
    MHD_stop_daemon(s->daemon);
  } else if (s->listening >= 0) {
    close(s->listening);
  }
  lh_jobs_close(&s->jobs);
  lh_job_release(&s->since);
  lh_posted_free(s);
  lh_events_free(s);
  lh_devices_close(&s->devices);
  if (s->wake[0] >= 0) close(s->wake[0]);
  if (s->wake[1] >= 0) close(s->wake[1]);
  free(s->openapi);
  free(s->help);
  free(s);
}
