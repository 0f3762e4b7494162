/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "wire.h"

#include <stdint.h>
#include <string.h>

/* Letters as ASCII has them, whatever the locale. */
static char low(char c)
{
  return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool same_word(const char *a, size_t n, const char *b)
{
  for (size_t i = 0; i < n; i++)
    if (!b[i] || low(a[i]) != low(b[i])) return false;
  return b[n] == 0;
}

static bool digit(char c)
{
  return c >= '0' && c <= '9';
}

/* A character of an RFC 9110 token. */
static bool token(char c)
{
  return digit(c) || (low(c) >= 'a' && low(c) <= 'z') ||
         (c && strchr("!#$%&'*+-.^_`|~", c));
}

static size_t blanks(const char *s)
{
  return strspn(s, " \t");
}

/* ---- the target --------------------------------------------------------- */

static int hex(char c)
{
  if (digit(c)) return c - '0';
  c = low(c);
  return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

/* Length of the UTF-8 character at s, 0 when it is none (RFC 3629). */
static size_t character(const unsigned char *s)
{
  size_t n = s[0] < 0x80 ? 1 : s[0] < 0xe0 ? 2 : s[0] < 0xf0 ? 3 : 4;

  if (s[0] >= 0x80 && (s[0] < 0xc2 || s[0] > 0xf4)) return 0;
  for (size_t i = 1; i < n; i++)
    if ((s[i] & 0xc0) != 0x80) return 0;
  if (s[0] == 0xe0 && s[1] < 0xa0) return 0;
  if (s[0] == 0xed && s[1] > 0x9f) return 0;
  if (s[0] == 0xf0 && s[1] < 0x90) return 0;
  if (s[0] == 0xf4 && s[1] > 0x8f) return 0;
  return n;
}

static bool clean(const char *text)
{
  const unsigned char *s = (const unsigned char *)text;

  while (*s) {
    size_t n = character(s);
    if (n == 0 || *s < 0x20 || *s == 0x7f) return false;
    if (*s == 0xc2 && s[1] < 0xa0) return false; /* the upper controls */
    s += n;
  }
  return true;
}

/* Decode n bytes to *out, end them with a zero, and pass both on. */
static bool decode(const char *s, size_t n, bool plus, char **out)
{
  char *start = *out;

  for (size_t i = 0; i < n; i++) {
    int c = (unsigned char)s[i];
    if (c == '%') {
      int high = n - i > 2 ? hex(s[i + 1]) : -1;
      int less = n - i > 2 ? hex(s[i + 2]) : -1;
      if (high < 0 || less < 0) return false;
      c = 16 * high + less;
      i += 2;
    } else if (plus && c == '+') {
      c = ' ';
    }
    if (c == 0) return false;
    *(*out)++ = (char)c;
  }
  *(*out)++ = 0;
  return clean(start);
}

static bool good_part(const char *s)
{
  return *s && strcmp(s, ".") != 0 && strcmp(s, "..") != 0 &&
         !strpbrk(s, "/\\");
}

static bool read_path(const char *s, size_t n, lh_target *t, char **out)
{
  size_t i = 1;

  t->folder = s[n - 1] == '/';
  while (i < n) {
    const char *end = memchr(s + i, '/', n - i);
    size_t len = end ? (size_t)(end - s) - i : n - i;
    char *part = *out;
    if (t->parts == LH_TARGET_PARTS) return false;
    if (!decode(s + i, len, false, out) || !good_part(part)) return false;
    t->part[t->parts++] = part;
    i += len + 1;
  }
  return true;
}

static bool read_query(const char *s, lh_target *t, char **out)
{
  while (*s) {
    size_t n = strcspn(s, "&"), k = 0;
    if (n > 0) {
      while (k < n && s[k] != '=') k++;
      if (t->pairs == LH_TARGET_PAIRS) return false;
      t->key[t->pairs] = *out;
      if (!decode(s, k, true, out)) return false;
      if (lh_target_value(t, t->key[t->pairs])) return false;
      t->value[t->pairs] = *out;
      if (!decode(s + k + (k < n), n - k - (k < n), true, out)) return false;
      t->pairs++;
    }
    s += n + (s[n] == '&');
  }
  return true;
}

lh_target_end lh_target_read(const char *raw, lh_target *t)
{
  char *out = t->text;
  size_t n;

  t->parts = t->pairs = 0;
  t->folder = false;
  if (strlen(raw) > LH_TARGET_MOST) return LH_TARGET_LONG;
  if (raw[0] != '/' || strchr(raw, '#')) return LH_TARGET_WRONG;
  n = strcspn(raw, "?");
  if (!read_path(raw, n, t, &out)) return LH_TARGET_WRONG;
  if (raw[n] && !read_query(raw + n + 1, t, &out)) return LH_TARGET_WRONG;
  return LH_TARGET_OK;
}

const char *lh_target_value(const lh_target *t, const char *key)
{
  for (size_t i = 0; i < t->pairs; i++)
    if (strcmp(t->key[i], key) == 0) return t->value[i];
  return NULL;
}

/* ---- headers ------------------------------------------------------------ */

/* cookie-octet of RFC 6265 */
static bool cookie_byte(char c)
{
  return c > ' ' && c < 0x7f && !strchr("\",;\\", c);
}

bool lh_cookie_find(const char *header, const char *name, char *value,
                    size_t size)
{
  size_t len = strlen(name);

  for (const char *s = header; s && *s;) {
    s += blanks(s);
    if (strncmp(s, name, len) == 0 && s[len] == '=') {
      size_t n = 0;
      s += len + 1;
      while (s[n] && s[n] != ';') {
        if (!cookie_byte(s[n]) || n + 1 >= size) return false;
        value[n] = s[n];
        n++;
      }
      value[n] = 0;
      return true;
    }
    s += strcspn(s, ";");
    if (*s == ';') s++;
  }
  return false;
}

static bool read_port(const char *s, unsigned *port)
{
  size_t n = strspn(s, "0123456789");

  *port = 0;
  if (n == 0 || n > 5 || s[n]) return false;
  for (; *s; s++) *port = 10 * *port + (unsigned)(*s - '0');
  return *port >= 1 && *port <= 65535;
}

bool lh_host_read(const char *header, char *name, unsigned *port)
{
  const char *s = header, *set = "abcdefghijklmnopqrstuvwxyz0123456789-._";
  bool address;
  size_t n = 0;

  *port = 0;
  if (!s) return false;
  address = *s == '[';
  if (address) s++, set = "0123456789abcdef:.";
  while (*s && strchr(set, low(*s))) {
    if (n + 1 >= LH_HOST_MOST) return false;
    name[n++] = low(*s++);
  }
  name[n] = 0;
  if (n == 0 || (address && *s++ != ']')) return false;
  if (*s == ':') return read_port(s + 1, port);
  return *s == 0;
}

bool lh_origin_is(const char *origin, const char *scheme, const char *host)
{
  size_t n = strlen(scheme);

  return origin && host &&
         same_word(origin, n < strlen(origin) ? n : 0, scheme) &&
         strncmp(origin + n, "://", 3) == 0 &&
         same_word(origin + n + 3, strlen(origin + n + 3), host);
}

bool lh_media_is(const char *header, const char *media)
{
  const char *s = header;
  size_t n;

  if (!s) return false;
  s += blanks(s);
  n = strcspn(s, "; \t");
  if (!same_word(s, n, media)) return false;
  s += n;
  for (;;) {
    s += blanks(s);
    if (!*s) return true;
    if (*s++ != ';') return false;
    s += blanks(s);
    n = strcspn(s, "; \t");
    if (n > 0 && !same_word(s, n, "charset=utf-8") &&
        !same_word(s, n, "charset=\"utf-8\""))
      return false;
    s += n;
  }
}

/* q=0.123 in thousandths; -1 when it is no weight. */
static int weight(const char *s, size_t n)
{
  int w = 0, place = 100;

  if (n < 3 || low(s[0]) != 'q' || s[1] != '=') return -1;
  if (s[2] != '0' && s[2] != '1') return -1;
  w = 1000 * (s[2] - '0');
  if (n > 3 && s[3] != '.') return -1;
  if (n > 7) return -1;
  for (size_t i = 4; i < n; i++, place /= 10) {
    if (!digit(s[i])) return -1;
    w += place * (s[i] - '0');
  }
  return w > 1000 ? -1 : w;
}

int lh_list_weight(const char *header, const char *name)
{
  const char *s = header ? header : "";

  while (*s) {
    size_t n = 0;
    bool named;
    int w = 1000;
    s += strspn(s, " \t,");
    while (token(s[n]) || s[n] == '/') n++;
    named = n > 0 && same_word(s, n, name);
    s += n;
    while (*s && *s != ',') {
      s += strspn(s, " \t;");
      n = strcspn(s, ",; \t");
      if (weight(s, n) >= 0) w = weight(s, n);
      s += n;
    }
    if (named) return w;
  }
  return -1;
}

bool lh_etag_listed(const char *header, const char *tag, bool weak)
{
  const char *s = header;

  if (!s) return false;
  s += blanks(s);
  if (*s == '*') return s[1 + blanks(s + 1)] == 0;
  while (*s) {
    bool is_weak = s[0] == 'W' && s[1] == '/';
    const char *end;
    if (is_weak) s += 2;
    end = *s == '"' ? strchr(s + 1, '"') : NULL;
    if (!end) return false;
    end++;
    if ((weak || !is_weak) && strlen(tag) == (size_t)(end - s) &&
        strncmp(s, tag, (size_t)(end - s)) == 0)
      return true;
    s = end + strspn(end, " \t,");
  }
  return false;
}

const char *lh_bearer(const char *header)
{
  if (!header || strlen(header) < 8 || !same_word(header, 7, "bearer "))
    return NULL;
  header += 7 + blanks(header + 7);
  return *header ? header : NULL;
}

bool lh_same_secret(const char *a, const char *b)
{
  size_t n = strlen(a), m = strlen(b);
  unsigned differ = n != m;

  for (size_t i = 0; i < m; i++)
    differ |= (unsigned)(unsigned char)(n ? a[i % n] : 0) ^
              (unsigned)(unsigned char)b[i];
  return differ == 0;
}
