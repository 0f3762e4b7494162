/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "nearest.h"

static unsigned char lower(char c)
{
  unsigned char u = (unsigned char)c;

  return u >= 'A' && u <= 'Z' ? (unsigned char)(u - 'A' + 'a') : u;
}

static size_t length(const char *s)
{
  size_t n = 0;

  while (n < LH_NEAREST_MAX && s[n]) n++;
  return n;
}

static size_t least(size_t a, size_t b)
{
  return a < b ? a : b;
}

size_t lh_nearest_steps(const char *a, const char *b)
{
  size_t n = length(a), m = length(b);
  size_t row[3][LH_NEAREST_MAX + 1]; /* this row and the two before it */

  for (size_t j = 0; j <= m; j++) row[0][j] = j;
  for (size_t i = 1; i <= n; i++) {
    size_t *now = row[i % 3];
    const size_t *above = row[(i + 2) % 3], *two = row[(i + 1) % 3];
    now[0] = i;
    for (size_t j = 1; j <= m; j++) {
      size_t cost = lower(a[i - 1]) != lower(b[j - 1]);
      now[j] = least(least(above[j] + 1, now[j - 1] + 1), above[j - 1] + cost);
      if (i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) &&
          lower(a[i - 2]) == lower(b[j - 1]))
        now[j] = least(now[j], two[j - 2] + 1);
    }
  }
  return row[n % 3][m];
}

static int begins(const char *want, const char *name)
{
  size_t n = length(want);

  for (size_t i = 0; i < n; i++)
    if (lower(want[i]) != lower(name[i])) return 0;
  return n >= 3;
}

size_t lh_nearest(const char *want, const char *const *names, size_t n)
{
  size_t best = n, best_steps = 0;

  for (size_t i = 0; i < n; i++) {
    size_t longer, steps;
    if (!names[i]) continue;
    longer = length(want);
    if (length(names[i]) > longer) longer = length(names[i]);
    steps = lh_nearest_steps(want, names[i]);
    if (steps > (longer + 2) / 3) {
      if (!begins(want, names[i])) continue;
      steps = longer; /* the beginning of a name: behind any near one */
    }
    if (best == n || steps < best_steps) best = i, best_steps = steps;
  }
  return best;
}
