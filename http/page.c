/* SPDX-License-Identifier: GPL-3.0-or-later */
/* page.c -- the page's files, built in or from a folder; the help page. */
#define _GNU_SOURCE /* realpath */
#include <fcntl.h>
#include <limits.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "asset.h"
#include "server_room.h"

/* ---- built in ----------------------------------------------------------- */

static const lh_asset *find(const char *name)
{
  for (const lh_asset *a = lh_assets; a->name; a++)
    if (strcmp(a->name, name) == 0) return a;
  return NULL;
}

static bool takes(const lh_request *r, const char *coding)
{
  const char *header = lh_request_header(r, "Accept-Encoding");
  int w = lh_list_weight(header, coding);

  return w > 0;
}

/* The smallest that the asker takes; each has its own strong tag. */
static enum MHD_Result answer_asset(lh_request *r, const lh_asset *a)
{
  const char *coding = NULL, *mark = "";
  size_t place = a->plain, n = a->plain_size;
  char tag[32];
  bool same;
  struct MHD_Response *p;

  if (a->brotli_size && takes(r, "br")) {
    coding = "br", mark = "-b", place = a->brotli, n = a->brotli_size;
  } else if (a->gzip_size && takes(r, "gzip")) {
    coding = "gzip", mark = "-g", place = a->gzip, n = a->gzip_size;
  }
  snprintf(tag, sizeof tag, "\"%s%s\"", a->tag, mark);
  same = lh_etag_listed(lh_request_header(r, "If-None-Match"), tag, true);
  p = MHD_create_response_from_buffer(
      same ? 0 : n, (void *)(uintptr_t)(lh_asset_bytes + place),
      MHD_RESPMEM_PERSISTENT);
  if (!p) return MHD_NO;
  MHD_add_response_header(p, "ETag", tag);
  MHD_add_response_header(p, "Cache-Control", "no-cache");
  MHD_add_response_header(p, "Vary", "Accept-Encoding");
  if (!same) {
    MHD_add_response_header(p, "Content-Type", a->media);
    if (coding) MHD_add_response_header(p, "Content-Encoding", coding);
  }
  return lh_answer(r, same ? 304 : 200, p);
}

/* ---- from a folder, while the page is being made ------------------------ */

static const char *media_of(const char *name)
{
  const char *dot = strrchr(name, '.');

  /* the type that a built-in file of that ending has */
  for (const lh_asset *a = lh_assets; a->name && dot; a++) {
    const char *its = strrchr(a->name, '.');
    if (its && strcmp(its, dot) == 0) return a->media;
  }
  if (dot && strcmp(dot, ".wasm") == 0) return "application/wasm";
  if (dot && strcmp(dot, ".png") == 0) return "image/png";
  if (dot && strcmp(dot, ".svg") == 0) return "image/svg+xml";
  if (dot && strcmp(dot, ".woff2") == 0) return "font/woff2";
  if (dot && strcmp(dot, ".json") == 0) return "application/json";
  if (dot && strcmp(dot, ".webmanifest") == 0)
    return "application/manifest+json";
  return "application/octet-stream";
}

/* Open a file below the folder; links that lead out of it are not followed. */
static int open_below(const char *folder, const char *name, struct stat *is)
{
  char path[2 * PATH_MAX], real[PATH_MAX];
  size_t n = strlen(folder);
  int fd;

  if (snprintf(path, sizeof path, "%s/%s", folder, name) >= (int)sizeof path)
    return -1;
  if (!realpath(path, real) || strncmp(real, folder, n) != 0 || real[n] != '/')
    return -1;
  fd = open(real, O_RDONLY | O_NOFOLLOW | O_CLOEXEC | O_NONBLOCK);
  if (fd >= 0 && (fstat(fd, is) != 0 || !S_ISREG(is->st_mode))) {
    close(fd);
    fd = -1;
  }
  return fd;
}

static enum MHD_Result answer_file(lh_request *r, const char *name, int fd,
                                   const struct stat *is)
{
  char tag[80];
  bool same;
  struct MHD_Response *p;

  snprintf(tag, sizeof tag, "\"%llx-%llx-%llx\"",
           (unsigned long long)is->st_ino, (unsigned long long)is->st_size,
           (unsigned long long)is->st_mtim.tv_sec * 1000000000ull +
               (unsigned long long)is->st_mtim.tv_nsec);
  same = lh_etag_listed(lh_request_header(r, "If-None-Match"), tag, true);
  if (same) {
    close(fd);
    p = MHD_create_response_from_buffer(0, NULL, MHD_RESPMEM_PERSISTENT);
  } else {
    p = MHD_create_response_from_fd64((uint64_t)is->st_size, fd);
    if (!p) close(fd);
  }
  if (!p) return MHD_NO;
  MHD_add_response_header(p, "ETag", tag);
  MHD_add_response_header(p, "Cache-Control", "no-cache");
  if (!same) MHD_add_response_header(p, "Content-Type", media_of(name));
  return lh_answer(r, same ? 304 : 200, p);
}

/* ---- either ------------------------------------------------------------- */

static bool answer_name(lh_request *r, const char *name, enum MHD_Result *rc)
{
  const lh_asset *a;
  struct stat is;
  int fd = -1;

  if (*r->server->page_dir) fd = open_below(r->server->page_dir, name, &is);
  if (fd >= 0) {
    *rc = answer_file(r, name, fd, &is);
    return true;
  }
  a = find(name);
  if (a) *rc = answer_asset(r, a);
  return a != NULL;
}

static enum MHD_Result see(lh_request *r, const char *where)
{
  struct MHD_Response *p =
      MHD_create_response_from_buffer(0, NULL, MHD_RESPMEM_PERSISTENT);

  if (!p) return MHD_NO;
  MHD_add_response_header(p, "Location", where);
  return lh_answer(r, 303, p);
}

enum MHD_Result lh_page(lh_request *r)
{
  char name[LH_TARGET_MOST + LH_TARGET_PARTS + 2];
  size_t n = 0;
  enum MHD_Result rc = MHD_NO;

  for (size_t i = 0; i < r->target.parts; i++)
    n += (size_t)snprintf(name + n, sizeof name - n, "%s%s", i ? "/" : "",
                          r->target.part[i]);
  if (n == 0) {
    if (!*r->who) return see(r, "/pair");
    if (answer_name(r, "index.html", &rc)) return rc;
    return see(r, "/api/");
  }
  if (strcmp(name, "pair") == 0) strcpy(name, "pair.html");
  if (strcmp(name, "favicon.ico") == 0) strcpy(name, "mark.svg");
  if (answer_name(r, name, &rc)) return rc;
  return lh_answer_problem(r, 404, "notfound", NULL,
                           "there is nothing at this address",
                           "open / for the page, /api/ for the operations");
}

/* ---- the operations' help ----------------------------------------------- */

enum MHD_Result lh_api_help(lh_request *r)
{
  lh_server *s = r->server;

  if (!s->help) s->help = lh_help_page();
  if (!s->help) return MHD_NO;
  lh_tag_of(s->help, strlen(s->help), s->help_tag);
  return lh_answer_kept(r, s->help, strlen(s->help), "text/html; charset=utf-8",
                        s->help_tag);
}

enum MHD_Result lh_api_openapi(lh_request *r)
{
  lh_server *s = r->server;

  if (!s->openapi) s->openapi = lh_openapi_text();
  if (!s->openapi) return MHD_NO;
  lh_tag_of(s->openapi, strlen(s->openapi), s->openapi_tag);
  return lh_answer_kept(r, s->openapi, strlen(s->openapi), "application/json",
                        s->openapi_tag);
}
