/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "progress.h"

#include <stdio.h>
#include <unistd.h>

static bool go(void *who, double done)
{
  lh_progress *p = who;
  struct timespec now;
  int percent = (int)(100 * (done < 0 ? 0 : done > 1 ? 1 : done));

  if (!p->terminal || percent == p->percent) return true;
  clock_gettime(CLOCK_MONOTONIC, &now);
  if (now.tv_sec - p->since.tv_sec < 1 + (now.tv_nsec < p->since.tv_nsec))
    return true;
  fprintf(stderr, "\r%s: %d %%", p->what, percent);
  fflush(stderr);
  p->percent = percent;
  p->shown = true;
  return true;
}

lh_watch lh_progress_watch(lh_progress *p, const char *what)
{
  *p = (lh_progress){.what = what, .percent = -1};
  p->terminal = isatty(STDERR_FILENO) == 1;
  clock_gettime(CLOCK_MONOTONIC, &p->since);
  return (lh_watch){go, p};
}

void lh_progress_clear(lh_progress *p)
{
  if (p->shown) fputs("\r\033[K", stderr);
  p->shown = false;
}
