/* SPDX-License-Identifier: GPL-3.0-or-later */
/* patch.h -- edits of a document: JSON Patch with its way back.
**
** An edit is a list of operations (RFC 6902) at JSON pointers (RFC 6901).
** Applying one gives its inverse, so that undo is another edit.  Two edits
** on one base merge when they touch different *things*; a thing is an object
** with an "id" (a mark, a motif, a zone, a slip, an entry of the painting)
** or, outside of those, a member of the document itself.
**
** This room knows JSON, not pots, files or users.  Memory: documents,
** patches and sets are jansson values; what is returned is the caller's to
** let go (json_decref).  A document handed over to be changed must not be
** shared with another.
*/
#ifndef LH_PATCH_H
#define LH_PATCH_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

#include "fault.h"

enum {
  LH_PATCH_OPS_MOST = 20000,      /* operations in one patch (a judgement)    */
  LH_PATCH_COPIES_MOST = 1000000, /* values that its copies make
                                       (a judgement)                         */
  LH_POINTER_MOST = 4000          /* bytes of a pointer (a judgement)         */
};

/* What a pointer points at; borrowed, NULL when there is no such place. */
json_t *lh_pointer_find(json_t *document, const char *pointer);

/* Are two values the same, numbers by value (RFC 6902, 4.6)? */
bool lh_json_same(const json_t *a, const json_t *b);

/* Bytes of the value's compact text, at most: never less than it takes. */
size_t lh_json_most(const json_t *value);

/* Apply a patch.
**
** Given:     document   what is edited; *document may become another value
**            patch      a list of operations
**            inverse    where the way back goes; NULL: not wanted
**            touched    an object that gets a member for each thing touched
**                       (see lh_patch_meet); NULL: not wanted
** Returned:  *inverse   a patch, a new reference; untouched on failure
** Status:    LH_OK; LH_INPUT for what is no patch or a place that is not
**            there; LH_CONFLICT when a test fails; LH_TOOLARGE past the
**            limits above, nesting past LH_NESTING_MOST or text past
**            LH_DOCUMENT_MOST; LH_NOMEM.  The fault points into the patch.
**
** Notes:  1) All or nothing: on failure the document is as it was, but for
**            the order in which an object gives its members, which has no
**            meaning.  Out of memory is the exception: let the document go.
**         2) Applying the inverse gives the document as it was.
** Ref:    RFC 6902.
*/
lh_status lh_patch_apply(json_t **document, const json_t *patch,
                         json_t **inverse, json_t *touched, lh_fault *fault);

/* Do two sets of touched things meet?
**
** Given:     a, b    sets that lh_patch_apply filled, each on the same base
** Returned:  the name of a thing in both, borrowed; NULL: the edits merge
**
** Notes:  1) "#leaf" is the thing with that id, "/name" a member, "*" the
**            whole document.  "-T" says that T went or came as a whole,
**            "+T" that something was put into it: the two meet as well.
*/
const char *lh_patch_meet(const json_t *a, const json_t *b);

/* Move a patch from the document it was made on to a later one.
**
** Given:     base    the document that the patch was made on; gets changed
**            head    the later one; gets changed as the moved patch says
**            patch   made on base
** Returned:  *moved  the same edit, with pointers for head; new reference
** Status:    LH_OK; LH_CONFLICT when a place is not to be found in head;
**            as lh_patch_apply otherwise.  On failure let both go.
**
** Notes:  1) Elements with ids are found by id, others by their place: only
**            sound when the edits do not meet.
*/
lh_status lh_patch_move(json_t **base, json_t **head, const json_t *patch,
                        json_t **moved, lh_fault *fault);

/* The patch that makes one document into another.
**
** Given:     from, to   documents
** Returned:  *patch     new reference; an empty list when they are the same
** Status:    LH_OK; LH_NOMEM; LH_TOOLARGE for a pointer or a patch too long
**
** Notes:  1) Lists whose elements all have ids of their own are compared by
**            id, so that the patch touches only what changed; other lists
**            are replaced whole.
*/
lh_status lh_patch_between(const json_t *from, const json_t *to, json_t **patch,
                           lh_fault *fault);

#endif
