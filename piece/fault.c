/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fault.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

/* Length of the UTF-8 character at s, 0 when it is none, is cut off, or is a
** control character.  (Overlong forms and surrogates come out of no parser
** of ours, but a file's name may be any bytes.) */
static size_t character(const unsigned char *s)
{
  size_t n = s[0] < 0x80 ? 1 : s[0] < 0xe0 ? 2 : s[0] < 0xf0 ? 3 : 4;

  if (s[0] < 0x20 || s[0] == 0x7f) return 0;
  if (s[0] >= 0x80 && (s[0] < 0xc2 || s[0] > 0xf4)) return 0;
  for (size_t i = 1; i < n; i++)
    if ((s[i] & 0xc0) != 0x80) return 0;
  if (s[0] == 0xc2 && s[1] < 0xa0) return 0; /* the upper control set */
  if (s[0] == 0xe0 && s[1] < 0xa0) return 0;
  if (s[0] == 0xed && s[1] > 0x9f) return 0;
  if (s[0] == 0xf0 && s[1] < 0x90) return 0;
  if (s[0] == 0xf4 && s[1] > 0x8f) return 0;
  return n;
}

/* What a document or a file's name brings along must not break a line, UTF-8
** or the terminal: such bytes become spaces and question marks.  A character
** that the buffer's end cut in two is left out. */
static void mend(char *text, size_t size)
{
  unsigned char *s = (unsigned char *)text;
  bool full = strlen(text) + 1 == size;
  size_t n;

  for (; *s; s += n) {
    n = character(s);
    if (n) continue;
    n = 1;
    if (full && *s >= 0xc0 && strlen((char *)s) < 4) {
      *s = 0;
      return;
    }
    *s = *s == '\n' || *s == '\t' ? ' ' : '?';
  }
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
