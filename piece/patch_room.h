/* SPDX-License-Identifier: GPL-3.0-or-later */
/* patch_room.h -- what the files of patch.h share. */
#ifndef LH_PATCH_ROOM_H
#define LH_PATCH_ROOM_H

#include "fields.h"
#include "patch.h"

/* A pointer taken apart: unescaped tokens. */
typedef struct {
  char text[LH_POINTER_MOST + 1];
  const char *token[LH_NESTING_MOST + 1];
  size_t n;
} lh_pointer;

/* Take a pointer apart.  LH_INPUT: no pointer; LH_TOOLARGE. */
lh_status lh_pointer_read(const char *pointer, lh_pointer *p);

/* What the first n tokens lead to; NULL: nothing. */
json_t *lh_pointer_walk(json_t *root, const lh_pointer *p, size_t n);

/* The index that a token names in a list of that size: digits without a
** leading zero; SIZE_MAX when it is none. */
size_t lh_pointer_index(const char *token);

/* Append "/token", escaped, to a pointer's text; false: no room. */
bool lh_pointer_add(char *text, size_t size, const char *token);

/* The id of an element of a list, NULL when it has none. */
const char *lh_thing_id(const json_t *value);

/* Note what an operation at p touches: `old` is what stood there, `value`
** what comes (either may be NULL).  Before the change is made. */
lh_status lh_touch(json_t *touched, json_t *root, const lh_pointer *p,
                   const json_t *old, const json_t *value);

/* One operation of a patch, without the way back: on failure let the
** document go. */
lh_status lh_patch_step(json_t **document, const json_t *op, lh_fault *fault);

#endif
