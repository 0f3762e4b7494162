/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stain_words.h"

#include <math.h>
#include <string.h>

#include "heap.h"

/* Does a text hold "reduc", in any case of letters? */
static bool says_reducing(const char *s)
{
  static const char want[] = "reduc";

  for (; *s; s++) {
    size_t i = 0;
    while (want[i] && (s[i] | 0x20) == want[i]) i++;
    if (!want[i]) return true;
  }
  return false;
}

lh_stain_around lh_stain_around_of(const lh_recipe_fired *glaze, double peak_c,
                                   const char *atmosphere)
{
  return (lh_stain_around){
      .unity = glaze && glaze->flux_mol > 0 ? glaze->unity : NULL,
      .peak_c = peak_c,
      .reducing = atmosphere && *atmosphere ? says_reducing(atmosphere) : -1};
}

/* "ZnO is 0.31 in the glaze's formula, at most 0.02", or as far as a rule has
** numbers. */
static const char *numbers(const lh_stain_rule *r, double is, lh_arena *a)
{
  bool over = is > r->most;

  if (r->quantity == LH_STAIN_UNITY)
    return lh_heap_print(a, "; %s is %.2f in the glaze's formula, at %s %.2f",
                         lh_oxide_symbol(r->oxide), is, over ? "most" : "least",
                         over ? r->most : r->least);
  if (r->quantity == LH_STAIN_PEAK)
    return lh_heap_print(a,
                         "; the firing goes to %.0f \xc2\xb0"
                         "C, at %s %.0f",
                         is, over ? "most" : "least",
                         over ? r->most : r->least);
  return "";
}

const char *lh_stain_why(const lh_stain_finding *f, lh_arena *a)
{
  lh_stain_rule r = lh_stain_rule_at(f->rule);
  const char *n = numbers(&r, f->is, a);

  return n ? lh_heap_print(a, "%s%s (%s)", r.why, n, r.source) : NULL;
}
