/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "clock.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

/* The last second of the year 9999. */
#define LAST 253402300799LL

long long lh_clock_now(void)
{
  const char *s = getenv("SOURCE_DATE_EPOCH");
  char *end;
  long long v;

  if (s && *s) {
    errno = 0;
    v = strtoll(s, &end, 10);
    if (!errno && !*end && v >= 0 && v <= LAST) return v;
  }
  return (long long)time(NULL);
}

void lh_clock_words(long long seconds, char text[32])
{
  static const char *const month[] = {
      "January", "February", "March",     "April",   "May",      "June",
      "July",    "August",   "September", "October", "November", "December"};
  time_t t = (time_t)seconds;
  struct tm tm;

  gmtime_r(&t, &tm);
  snprintf(text, 32, "%d %s %d", tm.tm_mday, month[tm.tm_mon % 12],
           tm.tm_year + 1900);
}

void lh_clock_iso(long long seconds, char text[32])
{
  time_t t = (time_t)seconds;
  struct tm tm;

  gmtime_r(&t, &tm);
  strftime(text, 32, "%Y-%m-%dT%H:%M:%SZ", &tm);
}
