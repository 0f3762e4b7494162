/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_wire.c -- any text at all, as a target and as each header.
**
** What must hold: a target that is taken has parts that lead nowhere else,
** and written out again is taken as the same; a cookie's value stands in the
** header; a host written out again is the same host; weights are weights.
*/
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "wire.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(int ok)
{
  if (!ok) abort();
}

static void target(const char *raw)
{
  static char again[3 * LH_TARGET_MOST + LH_TARGET_PARTS + 2];
  lh_target t, u;
  size_t n = 0;

  if (lh_target_read(raw, &t) != LH_TARGET_OK) return;
  must(raw[0] == '/' && t.parts <= LH_TARGET_PARTS &&
       t.pairs <= LH_TARGET_PAIRS);
  for (size_t i = 0; i < t.parts; i++) {
    const char *p = t.part[i];
    must(*p && strcmp(p, ".") != 0 && strcmp(p, "..") != 0);
    again[n++] = '/';
    for (; *p; p++) {
      must((unsigned char)*p >= 0x20 && *p != '/' && *p != '\\');
      n += (size_t)sprintf(again + n, "%%%02X", (unsigned char)*p);
    }
  }
  if (n == 0 || t.folder) again[n++] = '/';
  again[n] = 0;
  for (size_t i = 0; i < t.pairs; i++)
    must(lh_target_value(&t, t.key[i]) == t.value[i]);
  if (n > LH_TARGET_MOST) return;
  must(lh_target_read(again, &u) == LH_TARGET_OK && u.parts == t.parts);
  for (size_t i = 0; i < t.parts; i++) must(strcmp(t.part[i], u.part[i]) == 0);
}

static void cookie(const char *text)
{
  char value[64], pair[80];

  if (!lh_cookie_find(text, "name", value, sizeof value)) return;
  must(strlen(value) < sizeof value && !strpbrk(value, "; ,\"\\"));
  snprintf(pair, sizeof pair, "name=%s", value);
  must(strstr(text, pair) != NULL);
}

static void host(const char *text)
{
  char name[LH_HOST_MOST], again[LH_HOST_MOST + 16], twice[LH_HOST_MOST];
  unsigned port, other;
  const char *form = "%s:%u";

  if (!lh_host_read(text, name, &port)) return;
  must(*name && port <= 65535 && !strpbrk(name, "/@ ,%"));
  if (strchr(name, ':') || text[0] == '[') form = "[%s]:%u";
  snprintf(again, sizeof again, form, name, port ? port : 1);
  must(lh_host_read(again, twice, &other) && strcmp(name, twice) == 0 &&
       other == (port ? port : 1));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  char *text = malloc(size + 1);
  int w;

  must(text != NULL);
  if (size) memcpy(text, data, size);
  text[size] = 0;
  target(text);
  cookie(text);
  host(text);
  if (lh_origin_is(text, "http", "a:1")) must(strlen(text) == 10);
  if (lh_media_is(text, "application/json"))
    must(strlen(text) >= 16 && !strchr(text, ','));
  w = lh_list_weight(text, "gzip");
  must(w >= -1 && w <= 1000);
  if (lh_etag_listed(text, "\"tag\"", false)) {
    must(strstr(text, "\"tag\"") || strchr(text, '*'));
    must(lh_etag_listed(text, "\"tag\"", true));
  }
  if (lh_bearer(text)) must(*lh_bearer(text) && strlen(text) > 7);
  must(lh_same_secret(text, text));
  free(text);
  return 0;
}
