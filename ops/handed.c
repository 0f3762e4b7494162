/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "handed.h"

#include <string.h>

#include "digest.h"

static const char PREFIX[] = "sha256:";

lh_status lh_handed_add(lh_handed **list, lh_arena *a, const void *bytes,
                        size_t n)
{
  lh_handed *h = lh_arena_take(a, 1, sizeof *h);
  unsigned char hash[32];

  if (!h) return LH_NOMEM;
  lh_digest(bytes, n, hash);
  memcpy(h->name, PREFIX, sizeof PREFIX - 1);
  lh_digest_hex(hash, h->name + sizeof PREFIX - 1);
  h->bytes = bytes;
  h->n = n;
  h->next = *list;
  *list = h;
  return LH_OK;
}

static lh_status in_book(const lh_call *call, const char *hex,
                         const char *where, const void **bytes, size_t *n,
                         lh_fault *fault)
{
  static const char todo[] =
      "over HTTP send it to /api/book/blobs first; on the command line write "
      "--set /KEY=@FILE";
  lh_fault own = {0}; /* the book's words name the bytes, not the place */
  const char *media;
  lh_status st = LH_NOTFOUND;

  if (call->book)
    st = lh_book_blob_get(call->book, hex, call->arena, &media, bytes, n, &own);
  if (st == LH_NOTFOUND)
    return lh_fault_say(fault, st, where, todo,
                        "the file that this names was not handed in%s",
                        call->book ? ", nor is it in the book" : "");
  if (st != LH_OK)
    return lh_fault_say(fault, st, own.where, own.todo, "%s", own.what);
  return LH_OK;
}

lh_status lh_handed_find(const lh_call *call, const char *name,
                         const char *where, const void **bytes, size_t *n,
                         lh_fault *fault)
{
  const char *hex = name + sizeof PREFIX - 1;
  unsigned char hash[32];

  if (strncmp(name, PREFIX, sizeof PREFIX - 1) != 0 ||
      !lh_digest_unhex(hex, hash))
    return lh_fault_say(fault, LH_INPUT, where,
                        "on the command line write --set /KEY=@FILE",
                        "a picture is named \"sha256:\" and 64 digits");
  for (const lh_handed *h = call->files; h; h = h->next) {
    if (strcmp(h->name, name) != 0) continue;
    *bytes = h->bytes;
    *n = h->n;
    return LH_OK;
  }
  return in_book(call, hex, where, bytes, n, fault);
}
