/* SPDX-License-Identifier: GPL-3.0-or-later */
/* search_same.h -- is a ranking that of the oracle? */
#ifndef LH_SEARCH_SAME_H
#define LH_SEARCH_SAME_H

#include "search_oracle.h"

/* Support by support; those nearer to each other than `near` may stand in
** either order, and the last may tie with one that was left out.
*/
static inline bool same_ranking(const lh_search_choice *c, size_t found,
                                const oracle_list *o, double near)
{
  if (found != o->found) return false;
  for (size_t i = 0; i < found; i++) {
    bool met = false;
    if (!(fabs(c[i].distance - o->list[i].distance) <= near)) return false;
    for (size_t j = 0; j < found && !met; j++)
      met = fabs(o->list[j].distance - c[i].distance) <= near &&
            o->list[j].count == c[i].count &&
            memcmp(o->list[j].material, c[i].material,
                   c[i].count * sizeof(size_t)) == 0;
    if (!met && c[i].distance < o->list[found - 1].distance - near)
      return false;
  }
  return true;
}

#endif
