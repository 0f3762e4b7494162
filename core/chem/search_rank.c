/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "search_parts.h"

/* A strict order: by distance in steps, then fewer materials, then by the
** columns' own order.  Being strict, the list does not depend on the order in
** which the supports were met.
*/
static int order(const lh_search_entry *a, const lh_search_entry *b)
{
  if (a->key != b->key) return a->key < b->key ? -1 : 1;
  if (a->count != b->count) return a->count < b->count ? -1 : 1;
  for (size_t i = 0; i < a->count; i++)
    if (a->at[i] != b->at[i]) return a->at[i] < b->at[i] ? -1 : 1;
  return 0;
}

void lh_search_rank(lh_search_ranking *k, const lh_search_entry *e)
{
  size_t i = k->count;

  while (i > 0 && order(e, &k->entry[i - 1]) < 0) i--;
  if (i == k->want || (i > 0 && order(e, &k->entry[i - 1]) == 0)) return;
  size_t last = k->count < k->want ? k->count++ : k->want - 1;
  memmove(&k->entry[i + 1], &k->entry[i], (last - i) * sizeof *e);
  k->entry[i] = *e;
}

double lh_search_rank_reach(const lh_search_ranking *k)
{
  if (k->count < k->want) return INFINITY;
  return (k->entry[k->count - 1].key + 2.0) * LH_SEARCH_TIE;
}
