/* SPDX-License-Identifier: GPL-3.0-or-later */
/* arena.h -- memory that is handed out piece by piece and freed at once.
**
** An arena is a list of blocks given by its owner's `more` function; core
** itself never allocates.  Each operation has one arena, freed when the
** operation ends; a kernel that needs room of a size known only inside takes
** it from the arena it is handed.  Zeroed, aligned to 16 bytes.
*/
#ifndef LH_ARENA_H
#define LH_ARENA_H

#include <stddef.h>

typedef struct lh_arena lh_arena;

struct lh_arena {
  /* Give at least n bytes that live as long as the arena; NULL when out. */
  void *(*more)(lh_arena *a, size_t n);
  unsigned char *at; /* next free byte of the current block */
  size_t left;       /* bytes left in it                    */
  void *blocks;      /* the owner's list                    */
  size_t total;      /* bytes asked of the owner so far     */
};

/* Take room for n objects of the given size.
**
** Given:     a        the arena
**            n, size  how many, and of what size               [bytes]
** Returned:  zeroed room, or NULL when out of memory or n * size overflows
*/
void *lh_arena_take(lh_arena *a, size_t n, size_t size);

#endif
