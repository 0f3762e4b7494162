/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_json.c -- any bytes at all, read as a document.
**
** What must hold: a document that is taken is written, read again and written
** to the same bytes; one that is refused says where, what and what to do.
** With two record separators (1E) in it the input is pointer, value and
** document, as --set has them.
*/
#include <jansson.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "fields.h"

enum { MARK = 0x1e };

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(int ok)
{
  if (!ok) abort();
}

static void refused(lh_status st, const lh_fault *f)
{
  /* The pointer of the whole document is the empty text (RFC 6901). */
  must(st == f->status && *f->what && *f->todo);
  must(memchr(f->where, 0, sizeof f->where) && memchr(f->what, 0, 256));
}

static void same_again(const json_t *json)
{
  lh_fault fault = {0};
  json_t *again;
  char *one = lh_json_text(json), *two;

  must(one != NULL);
  must(lh_json_parse(one, strlen(one), "again", &again, &fault) == LH_OK);
  two = lh_json_text(again);
  must(two && strcmp(one, two) == 0);
  free(one);
  free(two);
  json_decref(again);
}

/* A copy of the bytes before the next mark, ended by a zero. */
static char *word(const uint8_t **data, size_t *size)
{
  const uint8_t *end = memchr(*data, MARK, *size);
  size_t n;
  char *s;

  if (!end) return NULL;
  n = (size_t)(end - *data);
  s = calloc(n + 1, 1);
  must(s != NULL);
  memcpy(s, *data, n);
  *data = end + 1;
  *size -= n + 1;
  return s;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  lh_fault fault = {0};
  json_t *json = NULL;
  char *pointer = size ? word(&data, &size) : NULL;
  char *value = pointer && size ? word(&data, &size) : NULL;
  lh_status st = lh_json_parse(data, size, "document", &json, &fault);

  if (st != LH_OK) {
    must(json == NULL);
    refused(st, &fault);
  } else {
    same_again(json);
    if (value) {
      st = lh_json_set(json, pointer, value, &fault);
      if (st == LH_OK)
        same_again(json);
      else
        refused(st, &fault);
    }
    json_decref(json);
  }
  free(pointer);
  free(value);
  return 0;
}
