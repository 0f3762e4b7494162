/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "heap.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct block {
  struct block *next;
  size_t size;
} block;

/* The header keeps the 16-byte alignment of what follows it. */
_Static_assert(sizeof(block) == 16, "block header keeps the alignment");

static size_t limit;

void lh_heap_limit(size_t bytes)
{
  limit = bytes;
}

static void *more(lh_arena *a, size_t n)
{
  block *b;

  if (limit && a->total + n > limit) return NULL;
  b = malloc(sizeof *b + n);
  if (!b) return NULL;
  b->next = a->blocks;
  b->size = n;
  a->blocks = b;
  return b + 1;
}

void lh_heap_open(lh_arena *a)
{
  *a = (lh_arena){.more = more};
}

void lh_heap_free(lh_arena *a)
{
  block *b = a->blocks;

  while (b) {
    block *next = b->next;
    free(b);
    b = next;
  }
  lh_heap_open(a);
}

void *lh_heap_copy(lh_arena *a, const void *bytes, size_t n)
{
  void *p = lh_arena_take(a, n, 1);

  return p && n ? memcpy(p, bytes, n) : p;
}

char *lh_heap_text(lh_arena *a, const char *text)
{
  return lh_heap_copy(a, text, strlen(text) + 1);
}

char *lh_heap_vprint(lh_arena *a, const char *format, va_list ap)
{
  va_list again;
  char *p;
  int n;

  va_copy(again, ap);
  n = vsnprintf(NULL, 0, format, again);
  va_end(again);
  if (n < 0) return NULL;
  p = lh_arena_take(a, (size_t)n + 1, 1);
  if (p) vsnprintf(p, (size_t)n + 1, format, ap);
  return p;
}

char *lh_heap_print(lh_arena *a, const char *format, ...)
{
  va_list ap;
  char *p;

  va_start(ap, format);
  p = lh_heap_vprint(a, format, ap);
  va_end(ap);
  return p;
}
