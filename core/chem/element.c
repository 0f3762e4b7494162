/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "element.h"

#include <string.h>

#include "atomic_weights.h"

_Static_assert((int)LH_ELEMENTS == (int)atomic_weights_count,
               "element.h and data/atomic_weights.csv differ");

const char *lh_element_symbol(size_t e)
{
  return atomic_weights[e].element;
}

double lh_element_weight(size_t e)
{
  return atomic_weights[e].weight;
}

size_t lh_element_find(const char *s, size_t n)
{
  for (size_t e = 0; e < LH_ELEMENTS; e++) {
    const char *symbol = atomic_weights[e].element;
    if (n && symbol[0] == s[0] && strlen(symbol) == n &&
        memcmp(symbol, s, n) == 0)
      return e;
  }
  return LH_ELEMENTS;
}
