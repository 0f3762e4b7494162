/* SPDX-License-Identifier: GPL-3.0-or-later */
/* status.h -- how things can end.
**
** One list gives every outcome its name, the exit code of the command line,
** the status of HTTP and a wording, so that they cannot drift apart.  The
** kernels of core return lh_status and nothing else; the words for a person
** (lh_fault) are filled above core.  Nothing here allocates or prints.
*/
#ifndef LH_STATUS_H
#define LH_STATUS_H

#define LH_STATUS_LIST(X)                                        \
  X(LH_OK, 0, 200, "done")                                       \
  X(LH_STOP, 1, 200, "a verdict says stop")                      \
  X(LH_INPUT, 2, 422, "the document is not what was asked for")  \
  X(LH_RANGE, 2, 422, "a value is outside what can be answered") \
  X(LH_NOTFOUND, 2, 404, "no such record")                       \
  X(LH_CONFLICT, 2, 412, "someone else changed it first")        \
  X(LH_TOOLARGE, 2, 413, "larger than what is taken")            \
  X(LH_NOCONV, 3, 500, "the calculation did not settle")         \
  X(LH_CANCELLED, 3, 499, "stopped on request")                  \
  X(LH_NOMEM, 3, 503, "out of memory")                           \
  X(LH_IO, 3, 500, "a file could not be read or written")

typedef enum {
#define X(name, exit, http, text) name,
  LH_STATUS_LIST(X)
#undef X
} lh_status;

/* Words for a person; filled outside core. */
typedef struct {
  lh_status status;
  char where[256]; /* JSON pointer, or file:line:column   */
  char what[256];  /* what is wrong, with the nearest name */
  char todo[256];  /* what to do about it                 */
} lh_fault;

/* The exit code, HTTP status and wording of an outcome. */
int lh_status_exit(lh_status st);
int lh_status_http(lh_status st);
const char *lh_status_text(lh_status st);

#endif
