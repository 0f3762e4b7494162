/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "arena.h"

#include <stdint.h>
#include <string.h>

enum { ALIGN = 16, BLOCK = 64 * 1024 };

void *lh_arena_take(lh_arena *a, size_t n, size_t size)
{
  size_t want;
  void *p;

  if (size != 0 && n > (SIZE_MAX / 2) / size) return NULL;
  want = n * size;
  want = (want + ALIGN - 1) / ALIGN * ALIGN;
  if (want == 0) want = ALIGN;
  if (want > a->left) {
    size_t block = want > BLOCK ? want : BLOCK;
    unsigned char *b = a->more(a, block);
    if (!b) return NULL;
    a->total += block;
    /* A large request gets a block of its own; the current one goes on. */
    if (want > BLOCK) return memset(b, 0, want);
    a->at = b;
    a->left = block;
  }
  p = memset(a->at, 0, want);
  a->at += want;
  a->left -= want;
  return p;
}
