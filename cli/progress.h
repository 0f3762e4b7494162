/* SPDX-License-Identifier: GPL-3.0-or-later */
/* progress.h -- a line on the terminal for anything over a second.
**
** Written to standard error, only when that is a terminal, and taken away
** when the work is done.
*/
#ifndef LH_PROGRESS_H
#define LH_PROGRESS_H

#include <stdbool.h>
#include <time.h>

#include "watch.h"

typedef struct {
  const char *what;
  struct timespec since;
  bool terminal, shown;
  int percent;
} lh_progress;

/* A watch that shows progress of `what`; p must live as long. */
lh_watch lh_progress_watch(lh_progress *p, const char *what);

/* Take the line away. */
void lh_progress_clear(lh_progress *p);

#endif
