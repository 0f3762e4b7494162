/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photo_memory.h -- a context of Little CMS that survives when memory runs
** out.
**
** Its small pieces come from a pool in an arena, large ones from the heap; it
** locks nothing and prints nothing, so it belongs to one thread.  Knows
** nothing of pictures.
*/
#ifndef LH_PHOTO_MEMORY_H
#define LH_PHOTO_MEMORY_H

#include <lcms2.h>
#include <lcms2_plugin.h>
#include <stdbool.h>
#include <stddef.h>

#include "arena.h"

typedef struct {
  unsigned char *at; /* the pool's next free byte               */
  size_t left;
  bool starved; /* the heap refused something: an outcome that */
                /* is not LH_OK is LH_NOMEM                    */
} lh_photo_memory;

/* A context of its own.
**
** Given:     m   lives as long as the context
**            a   takes the pool
** Returned:  the context, to be given to cmsDeleteContext; NULL: no memory
*/
cmsContext lh_photo_context(lh_photo_memory *m, lh_arena *a);

#endif
