/* SPDX-License-Identifier: GPL-3.0-or-later */
/* heap.h -- arenas over the C library's heap.
**
** Core only takes from an arena; here is where its blocks come from.  One
** arena lives as long as one operation and is freed at its end.  A test can
** make the heap run out after a number of bytes, to prove that LH_NOMEM is
** handled everywhere.
*/
#ifndef LH_HEAP_H
#define LH_HEAP_H

#include <stdarg.h>

#include "arena.h"

/* Open an empty arena over malloc.  Free it with lh_heap_free. */
void lh_heap_open(lh_arena *a);

/* Free every block; the arena is empty and can be used again. */
void lh_heap_free(lh_arena *a);

/* For tests: let arenas refuse once they have given this many bytes in all;
** 0 takes the limit off. */
void lh_heap_limit(size_t bytes);

/* Copy n bytes, or a text, into the arena; NULL when out of memory. */
void *lh_heap_copy(lh_arena *a, const void *bytes, size_t n);
char *lh_heap_text(lh_arena *a, const char *text);

/* printf into the arena; NULL when out of memory. */
char *lh_heap_print(lh_arena *a, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
char *lh_heap_vprint(lh_arena *a, const char *format, va_list ap);

#endif
