/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fault.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* Cut at a character's edge, so that a long name never breaks UTF-8. */
static void mend(char *s, size_t size)
{
  size_t n = strlen(s);

  if (n + 1 < size) return;
  while (n > 0 && ((unsigned char)s[n - 1] & 0xc0) == 0x80) n--;
  if (n > 0 && ((unsigned char)s[n - 1] & 0xc0) == 0xc0) n--;
  s[n] = 0;
}

lh_status lh_fault_say(lh_fault *f, lh_status st, const char *where,
                       const char *todo, const char *format, ...)
{
  va_list ap;

  if (!f) return st;
  if (f->status != LH_OK) return f->status;
  f->status = st;
  snprintf(f->where, sizeof f->where, "%s", where ? where : "");
  snprintf(f->todo, sizeof f->todo, "%s", todo ? todo : "");
  va_start(ap, format);
  vsnprintf(f->what, sizeof f->what, format, ap);
  va_end(ap);
  mend(f->where, sizeof f->where);
  mend(f->what, sizeof f->what);
  mend(f->todo, sizeof f->todo);
  return st;
}

lh_status lh_fault_plain(lh_fault *f, lh_status st, const char *where)
{
  if (st == LH_OK) return st;
  return lh_fault_say(f, st, where, "", "%s", lh_status_text(st));
}
