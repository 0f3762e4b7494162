/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "front.h"

#include <assert.h>
#include <stdbool.h>

/* Does a come before b, by the first value that differs? */
static bool before(const double *a, const double *b, size_t ways)
{
  for (size_t k = 0; k < ways; k++)
    if (a[k] != b[k]) return a[k] < b[k];
  return false;
}

static bool no_worse(const double *a, const double *b, size_t ways,
                     const double *same)
{
  for (size_t k = 0; k < ways; k++)
    if (!(a[k] <= b[k] + (same ? same[k] : 0.0))) return false;
  return true;
}

static bool whole(const double *a, size_t ways)
{
  for (size_t k = 0; k < ways; k++)
    if (a[k] != a[k]) return false;
  return true;
}

size_t lh_front_keep(const double *value, size_t n, size_t ways,
                     const double *same, size_t *order)
{
  size_t sound = 0, kept = 0;

  assert(ways > 0 && ways <= LH_FRONT_WAYS);
  for (size_t i = 0; i < n; i++) { /* in order; equals as they were given */
    size_t k = sound;
    if (!whole(value + i * ways, ways)) continue;
    for (; k > 0 && before(value + i * ways, value + order[k - 1] * ways, ways);
         k--)
      order[k] = order[k - 1];
    order[k] = i;
    sound++;
  }
  for (size_t i = 0; i < sound; i++) {
    size_t at = order[i];
    bool beaten = false;
    for (size_t k = 0; k < kept && !beaten; k++)
      beaten = no_worse(value + order[k] * ways, value + at * ways, ways, same);
    if (!beaten) order[kept++] = at;
  }
  return kept;
}
