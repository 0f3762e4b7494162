/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "supplied.h"

#include <stdbool.h>
#include <string.h>

#include "hazards.h"
#include "materials.h"
#include "nearest.h"
#include "number.h"

size_t lh_supplied_count(void)
{
  return materials_count;
}

lh_supplied lh_supplied_at(size_t i)
{
  const materials_row *r = &materials[i];

  return (lh_supplied){.name = r->name,
                       .also = r->also,
                       .kind = r->class,
                       .formula = r->formula,
                       .analysis = r->analysis,
                       .density = r->density,
                       .density_source = r->density_source,
                       .hazards = r->hazards,
                       .hazard_source = r->hazard_source,
                       .note = r->note,
                       .stain_family = r->stain_family};
}

/* Bytes of s before the letter c, or before its end. */
static size_t before(const char *s, char c)
{
  const char *at = strchr(s, c);

  return at ? (size_t)(at - s) : strlen(s);
}

/* The next of the names apart by "; "; NULL after the last. */
static const char *next_name(const char **list, size_t *length)
{
  const char *s = *list;

  if (!s || !*s) return NULL;
  *length = before(s, ';');
  *list = s[*length] ? s + *length + 1 : NULL;
  while (*list && **list == ' ') ++*list;
  return s;
}

/* A name cut out of a list, short enough to compare. */
static const char *cut(const char *s, size_t length, char out[128])
{
  if (length > 127) length = 127;
  memcpy(out, s, length);
  out[length] = 0;
  return out;
}

size_t lh_supplied_find(const char *name)
{
  char one[128];

  if (strlen(name) > LH_NEAREST_MAX) return materials_count;
  for (size_t i = 0; i < materials_count; i++) {
    const char *list = materials[i].also, *s;
    size_t n = 0;
    if (lh_nearest_steps(name, materials[i].name) == 0) return i;
    while ((s = next_name(&list, &n)) != NULL)
      if (lh_nearest_steps(name, cut(s, n, one)) == 0) return i;
  }
  return materials_count;
}

size_t lh_supplied_nearest(const char *name, const char **near, size_t *length)
{
  size_t best = materials_count, best_steps = 0;

  for (size_t i = 0; i < materials_count; i++) {
    const char *list = materials[i].also, *s = materials[i].name;
    size_t n = strlen(s);
    for (; s; s = next_name(&list, &n)) {
      char one[128];
      const char *only = cut(s, n, one);
      size_t steps;
      if (lh_nearest(name, &only, 1) == 1) continue;
      steps = lh_nearest_steps(name, only);
      if (best != materials_count && steps >= best_steps) continue;
      best = i, best_steps = steps;
      *near = s, *length = n;
    }
  }
  return best;
}

/* One "SiO2 47.0" of an analysis. */
static bool read_entry(const char *s, size_t n, double percent[LH_OXIDE_FORMS],
                       double *loi)
{
  size_t symbol = before(s, ' '), form;
  char word[16];
  double v;

  if (symbol >= n || symbol >= sizeof word) return false;
  memcpy(word, s, symbol);
  word[symbol] = 0;
  if (lh_number_read(s + symbol, n - symbol, &v, NULL, NULL) != LH_OK)
    return false;
  if (strcmp(word, "LOI") == 0) {
    *loi = v;
    return true;
  }
  form = lh_oxide_find(word);
  if (form == LH_OXIDE_FORMS) return false;
  percent[form] = v;
  return true;
}

static lh_status from_text(const char *analysis, lh_material *m)
{
  double percent[LH_OXIDE_FORMS] = {0.0}, loi = 0.0;
  const char *s;
  size_t n = 0;

  while ((s = next_name(&analysis, &n)) != NULL)
    if (!read_entry(s, n, percent, &loi)) return LH_INPUT;
  return lh_material_from_analysis(percent, NULL, loi, m, NULL);
}

lh_status lh_supplied_material(size_t i, lh_material *m)
{
  const materials_row *r = &materials[i];
  lh_status st = LH_OK;

  if (*r->formula) {
    lh_formula f;
    st = lh_formula_parse(r->formula, strlen(r->formula), &f, NULL);
    if (st == LH_OK) st = lh_material_from_formula(&f, m);
  } else if (*r->analysis)
    st = from_text(r->analysis, m);
  else
    lh_material_from_nothing(m);
  if (st == LH_OK) m->inert = strcmp(r->class, "stain") == 0;
  return st;
}

const char *lh_hazard_text(const char *code, size_t n, const char **source)
{
  for (size_t i = 0; i < hazards_count; i++) {
    if (strlen(hazards[i].code) != n || memcmp(hazards[i].code, code, n) != 0)
      continue;
    if (source) *source = hazards[i].source;
    return hazards[i].wording;
  }
  return NULL;
}
