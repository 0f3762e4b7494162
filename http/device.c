/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "device.h"

#include <gnutls/crypto.h>
#include <gnutls/gnutls.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <sys/stat.h>

#include "clock.h"
#include "file.h"
#include "heap.h"
#include "operation.h"
#include "wire.h"

enum { HASH_SIZE = 65, FILE_MOST = 64 * 1024 };

static const char format[] = "leatherhard.devices";

typedef struct {
  lh_device device;
  char hash[HASH_SIZE]; /* SHA-256 of the token, hex */
} entry;

struct lh_devices {
  char *file;
  bool codes;
  char id[9];
  char key[LH_TOKEN_SIZE], code[LH_CODE_SIZE];
  int wrong;       /* tries at this code           */
  long long until; /* no try before this      [ms] */
  entry entry[LH_DEVICES_MOST];
  size_t count;
};

/* ---- chance and hashes -------------------------------------------------- */

static void to_hex(const unsigned char *bytes, size_t n, char *text)
{
  static const char digits[] = "0123456789abcdef";

  for (size_t i = 0; i < n; i++) {
    *text++ = digits[bytes[i] >> 4];
    *text++ = digits[bytes[i] & 15];
  }
  *text = 0;
}

bool lh_random_hex(char *text, size_t n)
{
  unsigned char bytes[64];

  if (n > sizeof bytes || getrandom(bytes, n, 0) != (ssize_t)n) return false;
  to_hex(bytes, n, text);
  return true;
}

/* Eight figures, each number as likely as any other: draws past the last
** whole multiple of 1e8 are thrown away. */
static bool new_code(lh_devices *d)
{
  const unsigned whole = 100000000u, last = UINT_MAX / whole * whole;
  unsigned v;

  do {
    if (getrandom(&v, sizeof v, 0) != (ssize_t)sizeof v) return false;
  } while (v >= last);
  v %= whole;
  for (int i = LH_CODE_SIZE - 2; i >= 0; i--) {
    if (i == 4) {
      d->code[i] = '-';
      continue;
    }
    d->code[i] = (char)('0' + v % 10);
    v /= 10;
  }
  d->code[LH_CODE_SIZE - 1] = 0;
  d->wrong = 0;
  return true;
}

static bool hash_of(const char *token, char hash[HASH_SIZE])
{
  unsigned char bytes[32];

  if (gnutls_hash_fast(GNUTLS_DIG_SHA256, token, strlen(token), bytes) < 0)
    return false;
  to_hex(bytes, sizeof bytes, hash);
  return true;
}

/* ---- the file ----------------------------------------------------------- */

typedef struct {
  const char *id, *name, *hash;
  double since, seen;
} kept_entry;

typedef struct {
  const char *format;
  long version;
  const char *id;
  lh_list devices;
} kept;

static const lh_field entry_rows[] = {
    LH_TEXT(kept_entry, id, "id", true, "Of the device."),
    LH_TEXT(kept_entry, name, "name", true, "What it is called."),
    LH_TEXT(kept_entry, hash, "sha256", true, "Of its token."),
    LH_NUMBER(kept_entry, since, "since_s", true, 0, 1e12, NAN, "s",
              "When it was admitted, in seconds since 1970."),
    LH_NUMBER(kept_entry, seen, "seen_s", true, 0, 1e12, NAN, "s",
              "When it was last seen."),
};
static const lh_fields entry_table =
    LH_FIELDS("device", kept_entry, entry_rows);

static const lh_field kept_rows[] = {
    LH_TEXT(kept, format, "format", true, "leatherhard.devices"),
    LH_COUNT(kept, version, "version", true, 1, 1, NAN, "1"),
    LH_TEXT(kept, id, "id", true, "Of this list."),
    LH_LIST(kept, devices, "devices", true, entry_table, LH_DEVICES_MOST,
            "Those admitted."),
};
static const lh_fields kept_table = LH_FIELDS("devices", kept, kept_rows);

static bool is_hex(const char *s, size_t n)
{
  return strlen(s) == n && strspn(s, "0123456789abcdef") == n;
}

static lh_status spoiled(const lh_devices *d, lh_fault *fault)
{
  return lh_fault_say(fault, LH_INPUT, d->file,
                      "move it away; the devices must then pair again",
                      "this is no list of devices");
}

static lh_status take(lh_devices *d, const kept *k, lh_fault *fault)
{
  bool good = strcmp(k->format, format) == 0 && is_hex(k->id, 8);

  for (size_t i = 0; good && i < k->devices.count; i++) {
    const kept_entry *from = (const kept_entry *)k->devices.items + i;
    entry *to = &d->entry[i];
    good = is_hex(from->id, 16) && is_hex(from->hash, HASH_SIZE - 1) &&
           strlen(from->name) < LH_DEVICE_NAME;
    if (!good) break;
    memcpy(to->device.id, from->id, sizeof to->device.id);
    memcpy(to->hash, from->hash, sizeof to->hash);
    memcpy(to->device.name, from->name, strlen(from->name) + 1);
    to->device.since = (long long)from->since;
    to->device.seen = (long long)from->seen;
  }
  if (!good) return spoiled(d, fault);
  memcpy(d->id, k->id, sizeof d->id);
  d->count = k->devices.count;
  return LH_OK;
}

static lh_status load(lh_devices *d, lh_fault *fault)
{
  const void *bytes;
  lh_fault none = {0};
  json_t *json = NULL;
  lh_arena a;
  kept k;
  size_t n;
  lh_status st;

  if (!d->file) return LH_OK;
  lh_heap_open(&a);
  st = lh_file_read(d->file, FILE_MOST, &a, &bytes, &n, &none);
  if (st == LH_NOTFOUND) {
    st = LH_OK; /* nobody was admitted yet */
  } else if (st != LH_OK) {
    *fault = none;
  } else if (lh_json_parse(bytes, n, d->file, &json, &none) != LH_OK ||
             lh_fields_read(&kept_table, json, NULL, &a, &k, &none) != LH_OK) {
    st = spoiled(d, fault);
  } else {
    st = take(d, &k, fault);
  }
  json_decref(json);
  lh_heap_free(&a);
  return st;
}

static json_t *as_json(const lh_devices *d)
{
  json_t *list = json_array();
  int bad = 0; /* a list that lacks one would lock that device out */

  for (size_t i = 0; i < d->count; i++) {
    const entry *e = &d->entry[i];
    bad |= json_array_append_new(
        list, json_pack("{s:s,s:s,s:s,s:I,s:I}", "id", e->device.id, "name",
                        e->device.name, "sha256", e->hash, "since_s",
                        (json_int_t)e->device.since, "seen_s",
                        (json_int_t)e->device.seen));
  }
  if (bad) {
    json_decref(list);
    return NULL;
  }
  return json_pack("{s:s,s:i,s:s,s:o}", "format", format, "version", 1, "id",
                   d->id, "devices", list);
}

/* The folder is the user's alone, and with it the file. */
static lh_status own_folder(const char *file, lh_fault *fault)
{
  char folder[PATH_MAX];
  const char *slash = strrchr(file, '/');
  size_t n = slash ? (size_t)(slash - file) : 0;
  lh_status st;

  if (n == 0 || n >= sizeof folder) return LH_OK;
  memcpy(folder, file, n);
  folder[n] = 0;
  st = lh_file_folder(folder, fault);
  if (st == LH_OK) chmod(folder, 0700);
  return st;
}

static lh_status save(const lh_devices *d, lh_fault *fault)
{
  json_t *json;
  char *text;
  lh_status st;

  if (!d->file) return LH_OK;
  json = as_json(d);
  text = json ? lh_json_text(json) : NULL;
  json_decref(json);
  if (!text) return lh_fault_plain(fault, LH_NOMEM, d->file);
  st = own_folder(d->file, fault);
  if (st == LH_OK) st = lh_file_write(d->file, text, strlen(text), fault);
  free(text);
  return st;
}

/* ---- the list ----------------------------------------------------------- */

lh_status lh_devices_open(const char *file, bool codes, lh_devices **out,
                          lh_fault *fault)
{
  lh_devices *d = *out = calloc(1, sizeof *d);
  lh_status st;

  if (!d) return lh_fault_plain(fault, LH_NOMEM, "devices");
  d->codes = codes;
  d->file = file ? strdup(file) : NULL;
  if (!lh_random_hex(d->id, 4) || !lh_random_hex(d->key, 16) || !new_code(d)) {
    st = lh_fault_say(fault, LH_IO, "devices", "try again later",
                      "the system gives no random numbers");
  } else if (file && !d->file) {
    st = lh_fault_plain(fault, LH_NOMEM, "devices");
  } else {
    st = load(d, fault);
  }
  if (st != LH_OK) lh_devices_close(out);
  return st;
}

void lh_devices_close(lh_devices **d)
{
  lh_fault none = {0};

  if (!*d) return;
  if ((*d)->count > 0) save(*d, &none); /* when each was seen; not vital */
  free((*d)->file);
  free(*d);
  *d = NULL;
}

const char *lh_devices_id(const lh_devices *d)
{
  return d->id;
}

const char *lh_devices_key(const lh_devices *d)
{
  return d->key;
}

const char *lh_devices_code(const lh_devices *d)
{
  return d->code;
}

/* Blanks and hyphens out; at most size - 1 characters. */
static void squeeze(const char *from, char *to, size_t size)
{
  size_t n = 0;

  for (; *from && n + 1 < size; from++)
    if (*from != ' ' && *from != '-') to[n++] = *from;
  to[n] = 0;
}

/* Is the word the key or the code?  A wrong one counts, a right code is
** spent. */
static lh_pair_end judge(lh_devices *d, const char *word, long long now)
{
  char shown[40], code[LH_CODE_SIZE];

  squeeze(word, shown, sizeof shown);
  squeeze(d->code, code, sizeof code);
  if (lh_same_secret(shown, d->key)) return LH_PAIR_IN;
  if (now < d->until) return LH_PAIR_SLOWER;
  if (d->codes && lh_same_secret(shown, code))
    return new_code(d) ? LH_PAIR_IN : LH_PAIR_WRONG;
  if (++d->wrong >= LH_PAIR_TRIES) {
    d->until = now + LH_PAIR_WAIT_MS;
    new_code(d);
  }
  return LH_PAIR_WRONG;
}

/* A name for the list, on one line whatever was sent. */
static void call_it(const char *name, char *out)
{
  lh_fault words = {0};
  size_t n;

  lh_fault_say(&words, LH_INPUT, "", "", "%.*s", LH_DEVICE_NAME - 1, name);
  n = strlen(words.what);
  if (n >= LH_DEVICE_NAME) n = LH_DEVICE_NAME - 1;
  /* not in the middle of a character */
  while (n > 0 && n < strlen(name) && ((unsigned char)name[n] & 0xc0) == 0x80)
    n--;
  memcpy(out, words.what, n);
  out[n] = 0;
  if (n == 0) memcpy(out, "a device", 9);
}

lh_pair_end lh_devices_admit(lh_devices *d, const char *word, const char *name,
                             long long now, char token[LH_TOKEN_SIZE],
                             char id[17], lh_fault *fault)
{
  entry *e = &d->entry[d->count];
  lh_pair_end end;

  if (d->count == LH_DEVICES_MOST) return LH_PAIR_FULL;
  end = judge(d, word, now);
  if (end != LH_PAIR_IN) return end;
  *e = (entry){0};
  if (!lh_random_hex(token, 16) || !lh_random_hex(e->device.id, 8) ||
      !hash_of(token, e->hash)) {
    lh_fault_say(fault, LH_IO, "devices", "try again later",
                 "the system gives no random numbers");
    return LH_PAIR_FAILED;
  }
  call_it(name, e->device.name);
  e->device.since = e->device.seen = lh_clock_now();
  d->count++;
  if (save(d, fault) != LH_OK) {
    d->count--;
    return LH_PAIR_FAILED;
  }
  memcpy(id, e->device.id, sizeof e->device.id);
  return LH_PAIR_IN;
}

const lh_device *lh_devices_find(lh_devices *d, const char *token)
{
  char hash[HASH_SIZE];
  lh_device *found = NULL;

  if (!is_hex(token, LH_TOKEN_SIZE - 1) || !hash_of(token, hash)) return NULL;
  for (size_t i = 0; i < d->count; i++)
    if (lh_same_secret(hash, d->entry[i].hash)) found = &d->entry[i].device;
  if (found) found->seen = lh_clock_now();
  return found;
}

const lh_device *lh_devices_at(const lh_devices *d, size_t i)
{
  return i < d->count ? &d->entry[i].device : NULL;
}

lh_status lh_devices_revoke(lh_devices *d, const char *id, lh_fault *fault)
{
  size_t i = 0;

  while (i < d->count && strcmp(d->entry[i].device.id, id) != 0) i++;
  if (i == d->count) {
    return lh_fault_say(fault, LH_NOTFOUND, "devices",
                        "see GET /api/devices for those admitted",
                        "no such device");
  }
  memmove(&d->entry[i], &d->entry[i + 1],
          (d->count - i - 1) * sizeof d->entry[0]);
  d->count--;
  return save(d, fault);
}
