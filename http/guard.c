/* SPDX-License-Identifier: GPL-3.0-or-later */
/* guard.c -- what is refused before it is read.
**
** In this order: a request that could be understood in two ways, a head that
** is too large, a Host that is not this machine (a name rebound to it by a
** stranger's page), an Origin that is not this server, an address or method
** that is not there, a device that was not admitted, a write without the
** token of this run, a body of another kind or too large.
*/
#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>

#include "server_room.h"

static enum MHD_Result refuse(lh_request *r, unsigned status, const char *name,
                              const char *what, const char *todo)
{
  return lh_answer_problem(r, status, name, NULL, what, todo);
}

/* ---- one meaning only --------------------------------------------------- */

static const char *const once[] = {
    "Host",         "Content-Length", "Transfer-Encoding",
    "Content-Type", "Origin",         "Authorization",
    "Cookie",       "If-Match"};
enum { ONCE = sizeof once / sizeof once[0] };

static enum MHD_Result count(void *cls, enum MHD_ValueKind kind,
                             const char *key, const char *value)
{
  unsigned *seen = cls;

  (void)kind;
  (void)value;
  for (size_t i = 0; i < ONCE; i++)
    if (strcasecmp(key, once[i]) == 0) seen[i]++;
  return MHD_YES;
}

/* Headers that steer may stand once; a length and an encoding together are
** how requests are smuggled past whoever reads them otherwise. */
static const char *two_ways(lh_request *r)
{
  unsigned seen[ONCE] = {0};
  const char *coding = lh_request_header(r, "Transfer-Encoding");
  const char *length = lh_request_header(r, "Content-Length");

  MHD_get_connection_values(r->conn->mhd, MHD_HEADER_KIND, count, seen);
  for (size_t i = 0; i < ONCE; i++)
    if (seen[i] > 1) return once[i];
  if (coding && strcasecmp(coding, "chunked") != 0) return "Transfer-Encoding";
  if (coding && length) return "Content-Length";
  if (length && (!*length || strspn(length, "0123456789") != strlen(length)))
    return "Content-Length";
  return seen[0] ? NULL : "Host";
}

static bool plain(lh_request *r, enum MHD_Result *rc)
{
  const union MHD_ConnectionInfo *head = MHD_get_connection_info(
      r->conn->mhd, MHD_CONNECTION_INFO_REQUEST_HEADER_SIZE);
  const char *twice;
  char what[96];

  if (r->target_end == LH_TARGET_LONG) {
    *rc = refuse(r, 414, "toolarge", "the address is longer than 2048 bytes",
                 "put what is long into a document");
    return false;
  }
  if (head && head->header_size > LH_HEADERS_MOST) {
    *rc = refuse(r, 431, "toolarge", "the head is larger than 16 KB",
                 "send fewer headers or cookies");
    return false;
  }
  if (r->target_end != LH_TARGET_OK) {
    *rc = refuse(r, 400, "request", "the address is not plainly a path",
                 "see /api/ for what can be asked");
    return false;
  }
  twice = two_ways(r);
  if (!twice) return true;
  snprintf(what, sizeof what, "the header %s is missing, twice, or unclear",
           twice);
  *rc = refuse(r, 400, "request", what, "send it once, plainly");
  return false;
}

/* ---- this machine, this page -------------------------------------------- */

/* Is the name the address that the connection came in by? */
static bool own_address(const lh_request *r, const char *name)
{
  struct sockaddr_in in = {0};
  socklen_t n = sizeof in;
  char text[INET_ADDRSTRLEN];

  if (getsockname(r->conn->fd, (struct sockaddr *)&in, &n) != 0) return false;
  return in.sin_family == AF_INET &&
         inet_ntop(AF_INET, &in.sin_addr, text, sizeof text) &&
         strcmp(text, name) == 0;
}

static bool own_name(const lh_request *r, const char *name)
{
  const lh_server *s = r->server;
  size_t n = strlen(s->host);

  if (strcmp(name, "localhost") == 0 || own_address(r, name)) return true;
  if (s->o.host && strcasecmp(name, s->o.host) == 0) return true;
  if (!s->o.network || n == 0 || strncasecmp(name, s->host, n) != 0)
    return false;
  return !name[n] || strcmp(name + n, ".local") == 0;
}

static bool at_home(lh_request *r, enum MHD_Result *rc)
{
  const lh_server *s = r->server;
  const char *host = lh_request_header(r, "Host");
  const char *origin = lh_request_header(r, "Origin");
  const char *site = lh_request_header(r, "Sec-Fetch-Site");
  bool api = r->target.parts > 0 && strcmp(r->target.part[0], "api") == 0;
  char name[LH_HOST_MOST];
  unsigned port, usual = s->o.cert ? 443 : 80;

  if (!lh_host_read(host, name, &port) || (port ? port : usual) != s->port ||
      !own_name(r, name)) {
    *rc = refuse(r, 421, "host", "the Host asked for is not this server",
                 "open the address that leatherhard serve printed");
    return false;
  }
  if (origin && !lh_origin_is(origin, s->o.cert ? "https" : "http", host)) {
    *rc = refuse(r, 403, "origin", "the request comes from another page",
                 "ask from the server's own page");
    return false;
  }
  if (api && site && strcmp(site, "same-origin") != 0 &&
      strcmp(site, "none") != 0) {
    *rc = refuse(r, 403, "origin", "the request comes from another site",
                 "ask from the server's own page");
    return false;
  }
  return true;
}

/* ---- the address and the method ----------------------------------------- */

static bool fits(const lh_route *route, const lh_target *t)
{
  size_t n = 0;

  for (; n < 5 && route->path[n]; n++) {
    if (n >= t->parts) return false;
    if (strcmp(route->path[n], "*") != 0 &&
        strcmp(route->path[n], t->part[n]) != 0)
      return false;
  }
  return n == t->parts;
}

static bool find_route(lh_request *r, const char *method, enum MHD_Result *rc)
{
  const char *asked = strcmp(method, "HEAD") == 0 ? "GET" : method;
  char allow[64] = "";
  size_t n = 0;

  if (r->target.parts == 0 || strcmp(r->target.part[0], "api") != 0) {
    static const lh_route page = {"GET", {NULL}, LH_OPEN, 0, lh_page};
    r->route = &page;
    if (strcmp(asked, "GET") == 0) return true;
    *rc = lh_answer_problem_with(r, 405, "method", "pages can only be got",
                                 "use GET", "Allow", "GET, HEAD");
    return false;
  }
  for (const lh_route *route = lh_routes; route->method; route++) {
    if (!fits(route, &r->target)) continue;
    r->route = route;
    if (strcmp(route->method, asked) == 0) return true;
    if (n < sizeof allow)
      n += (size_t)snprintf(allow + n, sizeof allow - n, "%s%s", n ? ", " : "",
                            route->method);
  }
  if (n == 0) {
    *rc = refuse(r, 404, "notfound", "there is nothing at this address",
                 "see /api/ for what can be asked");
  } else {
    *rc =
        lh_answer_problem_with(r, 405, "method", "this address is not asked so",
                               "see the header Allow", "Allow", allow);
  }
  return false;
}

/* ---- who asks ----------------------------------------------------------- */

static void who_asks(lh_request *r)
{
  lh_server *s = r->server;
  const char *bearer = lh_bearer(lh_request_header(r, "Authorization"));
  char token[LH_TOKEN_SIZE];
  const lh_device *d = NULL;

  if (bearer) {
    if (lh_same_secret(bearer, lh_devices_key(s->devices)))
      strcpy(r->who, "key");
    return;
  }
  if (lh_cookie_find(lh_request_header(r, "Cookie"), s->cookie, token,
                     sizeof token))
    d = lh_devices_find(s->devices, token);
  if (d) memcpy(r->who, d->id, sizeof r->who);
}

static bool admitted(lh_request *r, const char *method, enum MHD_Result *rc)
{
  const char *token = lh_request_header(r, "Leatherhard-Token");
  bool writes = strcmp(method, "GET") != 0 && strcmp(method, "HEAD") != 0;

  who_asks(r);
  if (!(r->route->flags & LH_OPEN) && !*r->who) {
    *rc = lh_answer_problem_with(
        r, 401, "device", "this device is not admitted",
        "open the address that leatherhard serve printed, or pair it",
        "WWW-Authenticate", "Bearer realm=\"leatherhard\"");
    return false;
  }
  if (!writes || (r->route->flags & LH_NO_TOKEN) || strcmp(r->who, "key") == 0)
    return true;
  if (token && lh_same_secret(token, r->server->run)) return true;
  *rc =
      refuse(r, 403, "token", "the header Leatherhard-Token is not this run's",
             "take the token from /api/about and ask again");
  return false;
}

/* ---- the body ----------------------------------------------------------- */

static bool right_media(const lh_request *r, const char *media)
{
  if (r->route->flags & LH_PATCH)
    return lh_media_is(media, "application/json-patch+json");
  if (r->route->flags & LH_BYTES)
    return lh_media_is(media, "image/png") ||
           lh_media_is(media, "image/jpeg") ||
           lh_media_is(media, "application/octet-stream");
  return lh_media_is(media, "application/json");
}

static const char *const *media_words(const lh_request *r)
{
  static const char *const words[3][2] = {
      {"the body is not said to be JSON",
       "send Content-Type: application/json"},
      {"the body is not said to be a JSON Patch",
       "send Content-Type: application/json-patch+json"},
      {"the body is of no kind that is kept",
       "send image/png, image/jpeg or application/octet-stream"}};

  return words[r->route->flags & LH_PATCH   ? 1
               : r->route->flags & LH_BYTES ? 2
                                            : 0];
}

static bool body_taken(lh_request *r, enum MHD_Result *rc)
{
  const char *length = lh_request_header(r, "Content-Length");
  const char *media = lh_request_header(r, "Content-Type");
  unsigned long long n = length ? strtoull(length, NULL, 10) : 0;
  size_t most = r->route->flags & LH_BODY ? r->route->most : 0;
  char what[96];

  if (n > most || (!most && lh_request_header(r, "Transfer-Encoding"))) {
    snprintf(what, sizeof what, "more than the %zu KB taken here", most / 1024);
    *rc = refuse(r, 413, "toolarge", what,
                 "divide it, or take pictures and raw pen samples out");
    return false;
  }
  if ((r->route->flags & LH_BODY) && !right_media(r, media) &&
      !(r->route->flags & LH_MAY_EMPTY && n == 0 && !media)) {
    *rc = refuse(r, 415, "media", media_words(r)[0], media_words(r)[1]);
    return false;
  }
  if (r->server->bodies + n > LH_BODIES_MOST) {
    *rc = lh_answer_problem_with(r, 503, "busy",
                                 "too much is being received already",
                                 "try again", "Retry-After", "2");
    return false;
  }
  return true;
}

bool lh_guard(lh_request *r, const char *method, enum MHD_Result *rc)
{
  return plain(r, rc) && at_home(r, rc) && find_route(r, method, rc) &&
         admitted(r, method, rc) && body_taken(r, rc);
}
