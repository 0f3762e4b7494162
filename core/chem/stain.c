/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stain.h"

#include <math.h>
#include <string.h>

#include "stain_rules.h"

const char *const lh_stain_families[LH_STAIN_FAMILIES + 1] = {
    "chrome-tin",
    "chrome-alumina pink",
    "manganese-alumina pink",
    "chrome green",
    "victoria green",
    "zinc-iron-chrome brown",
    "iron-chrome black",
    "cobalt black",
    "cobalt blue",
    "vanadium-zircon blue",
    "praseodymium-zircon yellow",
    "iron-zircon coral",
    "vanadium-tin yellow",
    "vanadium-zirconia yellow",
    "titania yellow",
    "titanate of zirconium",
    "lead antimonate yellow",
    "cadmium-selenium",
    "encapsulated cadmium-selenium",
    "iron oxide",
    NULL};

size_t lh_stain_rule_count(void)
{
  return stain_rules_count;
}

static size_t family_of(const char *name)
{
  size_t i = 0;

  while (i < LH_STAIN_FAMILIES && strcmp(lh_stain_families[i], name) != 0) i++;
  return i;
}

static lh_stain_quantity quantity_of(const char *name)
{
  if (strcmp(name, "unity") == 0) return LH_STAIN_UNITY;
  if (strcmp(name, "peak") == 0) return LH_STAIN_PEAK;
  return strcmp(name, "reduction") == 0 ? LH_STAIN_REDUCTION : LH_STAIN_ALWAYS;
}

lh_stain_rule lh_stain_rule_at(size_t i)
{
  const stain_rules_row *r = &stain_rules[i];

  return (lh_stain_rule){.family = family_of(r->family),
                         .quantity = quantity_of(r->quantity),
                         .oxide = lh_oxide_find(r->oxide),
                         .least = r->least,
                         .most = r->most,
                         .why = r->why,
                         .todo = r->todo,
                         .source = r->source};
}

/* What a rule looks at; NAN when it is not known. */
static double looked_at(const lh_stain_rule *r, const lh_stain_around *around)
{
  switch (r->quantity) {
  case LH_STAIN_UNITY: return around->unity ? around->unity[r->oxide] : NAN;
  case LH_STAIN_PEAK: return around->peak_c;
  case LH_STAIN_REDUCTION:
    return around->reducing < 0 ? (double)NAN : around->reducing;
  case LH_STAIN_ALWAYS: break;
  }
  return 1.0;
}

static lh_stain_says judge(const lh_stain_rule *r, double is)
{
  if (isnan(is)) return LH_STAIN_UNTOLD;
  if (r->quantity == LH_STAIN_ALWAYS) return LH_STAIN_BROKEN;
  if (r->quantity == LH_STAIN_REDUCTION)
    return is > 0.0 ? LH_STAIN_BROKEN : LH_STAIN_KEPT;
  /* A limit that is not there is NAN, and nothing is beyond it. */
  return is < r->least || is > r->most ? LH_STAIN_BROKEN : LH_STAIN_KEPT;
}

lh_status lh_stain_rules_check(size_t family, const lh_stain_around *around,
                               lh_stain_finding found[LH_STAIN_RULES_MOST],
                               size_t *n)
{
  *n = 0;
  if (family >= LH_STAIN_FAMILIES || isinf(around->peak_c)) return LH_RANGE;
  for (size_t i = 0; around->unity && i < LH_OXIDES; i++)
    if (around->unity[i] < 0.0 || isinf(around->unity[i])) return LH_RANGE;
  for (size_t i = 0; i < stain_rules_count; i++) {
    lh_stain_rule r = lh_stain_rule_at(i);
    double is;
    if (r.family != family || *n == LH_STAIN_RULES_MOST) continue;
    is = looked_at(&r, around);
    found[(*n)++] = (lh_stain_finding){i, judge(&r, is), is};
  }
  return LH_OK;
}
