/* SPDX-License-Identifier: GPL-3.0-or-later */
/* watch.h -- how a long kernel is asked to stop, and says how far it is.
**
** Every kernel that can take over 50 ms is handed an lh_watch and calls
** lh_watch_go() now and then.  The kernel knows nothing of who watches: a
** terminal's progress line, a job of the server, or nobody (NULL).
*/
#ifndef LH_WATCH_H
#define LH_WATCH_H

#include <stdbool.h>

typedef struct lh_watch {
  /* Go on?  done is the fraction finished, 0..1. */
  bool (*go)(void *who, double done);
  void *who;
} lh_watch;

/* True when the kernel should go on; a NULL watch always says yes. */
static inline bool lh_watch_go(const lh_watch *w, double done)
{
  return !w || !w->go || w->go(w->who, done);
}

#endif
