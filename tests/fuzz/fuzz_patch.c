/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_patch.c -- any document and any patch, parted by a record separator
** (1E).
**
** What must hold: an edit that applies has an inverse that gives the
** identical document; one that is refused leaves the document alone and says
** what and what to do; the patch between before and after makes the one into
** the other; what is touched can be compared.
*/
#include <jansson.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "fields.h"
#include "patch.h"

enum { MARK = 0x1e };

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(int ok)
{
  if (!ok) abort();
}

static void applied(json_t *d, const json_t *was, const json_t *inverse,
                    const json_t *touched)
{
  json_t *is = json_deep_copy(d), *again = json_deep_copy(was), *p = NULL;
  lh_fault fault = {0};

  must(lh_patch_apply(&d, inverse, NULL, NULL, &fault) == LH_OK);
  must(json_equal(d, was));
  must(lh_patch_between(was, is, &p, &fault) == LH_OK);
  must(lh_patch_apply(&again, p, NULL, NULL, &fault) == LH_OK);
  must(json_equal(again, is));
  /* What changed the document touched something. */
  must(json_equal(was, is) || json_object_size(touched) > 0);
  json_decref(d);
  json_decref(is);
  json_decref(again);
  json_decref(p);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  const uint8_t *end = size ? memchr(data, MARK, size) : NULL;
  size_t n = end ? (size_t)(end - data) : 0;
  json_t *d = NULL, *p = NULL, *was = NULL, *inverse = NULL;
  json_t *touched = json_object();
  lh_fault fault = {0};

  must(touched != NULL);
  if (end && lh_json_parse(data, n, "d", &d, &fault) == LH_OK &&
      lh_json_parse(end + 1, size - n - 1, "p", &p, &fault) == LH_OK) {
    lh_status st;
    was = json_deep_copy(d);
    st = lh_patch_apply(&d, p, &inverse, touched, &fault);
    if (st == LH_OK) {
      applied(d, was, inverse, touched);
    } else {
      must(st != LH_NOMEM && st == fault.status && *fault.what && *fault.todo);
      must(json_equal(d, was));
      json_decref(d);
    }
    d = NULL;
  }
  json_decref(d);
  json_decref(p);
  json_decref(was);
  json_decref(inverse);
  json_decref(touched);
  return 0;
}
