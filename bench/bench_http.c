/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_http.c -- the server under wrk, beside a plain libmicrohttpd "hello"
** driven the same way (epoll, one thread), in the same run on loopback.
**
**   bench_http [SECONDS]     10 a row, with 32 connections
*/
#define _GNU_SOURCE
#include <arpa/inet.h>
#include <libgen.h>
#include <limits.h>
#include <microhttpd.h>
#include <netinet/in.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "bench.h"

static enum MHD_Result hello(void *cls, struct MHD_Connection *c,
                             const char *url, const char *method,
                             const char *version, const char *data,
                             size_t *size, void **context)
{
  static char text[] = "hello\n";
  struct MHD_Response *p;
  enum MHD_Result rc;

  (void)cls, (void)url, (void)method, (void)version, (void)data;
  if (!*context || *size > 0) { /* the head alone, or a part of a body */
    *context = text;
    *size = 0;
    return MHD_YES;
  }
  p = MHD_create_response_from_buffer(sizeof text - 1, text,
                                      MHD_RESPMEM_PERSISTENT);
  rc = MHD_queue_response(c, 200, p);
  MHD_destroy_response(p);
  return rc;
}

static double resident_mb(pid_t pid)
{
  char path[64], line[128];
  double kb = 0;
  FILE *f;

  snprintf(path, sizeof path, "/proc/%d/status", (int)pid);
  f = fopen(path, "r");
  while (f && fgets(line, sizeof line, f))
    if (sscanf(line, "VmRSS: %lf", &kb) == 1) break;
  if (f) fclose(f);
  return kb / 1024;
}

/* One row: wrk's own words for requests, latency and errors. */
static void row(const char *name, const char *address, const char *script,
                int seconds, pid_t pid)
{
  char command[1024], line[256];
  char latency[32] = "?", rate[32] = "?", errors[128] = "none";
  double before, after;
  FILE *f;

  snprintf(command, sizeof command, "wrk -t 1 -c 32 -d %d --latency %s %s 2>&1",
           seconds, script, address);
  /* a second to warm up, so that the growth seen is not the first touch */
  snprintf(line, sizeof line, "wrk -t 1 -c 32 -d 1 %s %s >/dev/null 2>&1",
           script, address);
  if (system(line) != 0) fprintf(stderr, "wrk does not run\n");
  before = resident_mb(pid);
  f = popen(command, "r");
  while (f && fgets(line, sizeof line, f)) {
    sscanf(line, " 99%% %31s", latency);
    sscanf(line, " Requests/sec: %31s", rate);
    if (strstr(line, "Non-2xx") || strstr(line, "Socket errors")) {
      line[strcspn(line, "\n")] = 0;
      snprintf(errors, sizeof errors, "%.120s", line + strspn(line, " "));
    }
  }
  if (f) pclose(f);
  after = resident_mb(pid);
  printf("| %s | %s | %s | %s | %.1f | %+.1f |\n", name, rate, latency, errors,
         before, after - before);
  fflush(stdout);
}

static pid_t start(const char *program, FILE **out)
{
  int fd[2];
  pid_t pid;

  if (pipe(fd) != 0) exit(3);
  pid = fork();
  if (pid == 0) {
    dup2(fd[1], STDOUT_FILENO);
    setenv("XDG_STATE_HOME", "/nonexistent", 1);
    execl(program, program, "serve", "--port", "0", (char *)NULL);
    _exit(127);
  }
  close(fd[1]);
  *out = fdopen(fd[0], "r");
  return pid;
}

static void beside_hello(int seconds)
{
  struct sockaddr_in in = {.sin_family = AF_INET,
                           .sin_addr = {htonl(INADDR_LOOPBACK)}};
  struct MHD_Daemon *d =
      MHD_start_daemon(MHD_USE_EPOLL_INTERNAL_THREAD, 0, NULL, NULL, hello,
                       NULL, MHD_OPTION_SOCK_ADDR, &in, MHD_OPTION_END);
  const union MHD_DaemonInfo *info =
      d ? MHD_get_daemon_info(d, MHD_DAEMON_INFO_BIND_PORT) : NULL;
  char address[64];

  if (!info) exit(3);
  snprintf(address, sizeof address, "http://127.0.0.1:%u/", info->port);
  row("plain libmicrohttpd, \"hello\"", address, "", seconds, getpid());
  row("the same, POST", address, "-s thin.lua", seconds, getpid());
  MHD_stop_daemon(d);
}

int main(int argc, char **argv)
{
  int seconds = argc > 1 ? atoi(argv[1]) : 10;
  char program[PATH_MAX + 64], own[PATH_MAX], line[256], address[320];
  char base[128] = "", key[64] = "none";
  FILE *out;
  pid_t pid;

  if (!realpath(argv[0], own)) return 3;
  snprintf(program, sizeof program, "%s/../cli/leatherhard", dirname(own));
  pid = start(program, &out);
  while (out && fgets(line, sizeof line, out))
    if (sscanf(line, " %100[^#]#key=%40s", base, key) == 2) break;
  setenv("LEATHERHARD_KEY", key, 1);
  printf(
      "| wrk, 32 connections, %d s each | requests/s | 99 %% within | errors "
      "| MB | grown by |\n|---|---|---|---|---|---|\n",
      seconds);
  beside_hello(seconds);
  if (strstr(base, "/pair")) *strstr(base, "/pair") = 0;
  snprintf(address, sizeof address, "%s/api/about", base);
  row("leatherhard, GET /api/about", address, "", seconds, pid);
  snprintf(address, sizeof address, "%s/pair.js", base);
  row("a file of the page", address, "", seconds, pid);
  snprintf(address, sizeof address, "%s/api/thin", base);
  row("POST /api/thin", address, "-s thin.lua", seconds, pid);
  kill(pid, SIGTERM);
  waitpid(pid, NULL, 0);
  return 0;
}
