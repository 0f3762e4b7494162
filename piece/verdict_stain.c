/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verdict_stain.c -- do the stains of the slips bear this glaze and fire? */
#include <math.h>

#include "heap.h"
#include "stain_words.h"
#include "verdict.h"

/* The hottest that the slips get: with bisque, perhaps not the glaze's. */
static double peak_of(const lh_piece_doc *doc)
{
  double glaze = doc->glaze_firing ? doc->glaze_firing->peak_c : NAN;
  double bisque = doc->bisque_firing ? doc->bisque_firing->peak_c : NAN;

  return doc->glaze_firing ? fmax(glaze, bisque) : NAN;
}

static void say_untold(const char *about, const char *family, size_t n,
                       const lh_stain_around *around, lh_verdict *v)
{
  lh_verdict_add(v, LH_SAYS_CAUTION, about,
                 !around->unity          ? "give glaze/recipe"
                 : isnan(around->peak_c) ? "give glaze_firing"
                                         : "give glaze_firing/atmosphere",
                 "%zu of the rules known for %s stains cannot be held against "
                 "this piece",
                 n, family);
}

static void one(const lh_material_found *m, const char *slip,
                const lh_stain_around *around, lh_verdict *v)
{
  lh_stain_finding found[LH_STAIN_RULES_MOST];
  const char *family = lh_stain_families[m->stain_family];
  const char *about = lh_heap_print(v->arena, "%s, %s", slip, m->name);
  size_t n, untold = 0, broken = 0;

  if (lh_stain_rules_check((size_t)m->stain_family, around, found, &n) != LH_OK)
    return;
  for (size_t i = 0; i < n; i++) {
    const char *why;
    untold += found[i].says == LH_STAIN_UNTOLD;
    if (found[i].says != LH_STAIN_BROKEN) continue;
    broken++;
    why = lh_stain_why(&found[i], v->arena);
    lh_verdict_add(v, LH_SAYS_CAUTION, why ? about : NULL,
                   lh_stain_rule_at(found[i].rule).todo, "%s", why ? why : "");
  }
  if (untold)
    say_untold(about, family, untold, around, v);
  else if (!broken)
    lh_verdict_add(v, LH_SAYS_OK, about, "",
                   "all %zu rules known for %s stains are kept", n, family);
}

void lh_verdict_stains(const lh_verdict_input *in, lh_verdict *v)
{
  const lh_piece *p = in->cover->piece;
  const lh_slip_doc *s = p->doc->slips.items;
  const lh_firing_doc *fire = p->doc->glaze_firing;
  const lh_recipe_found *g = &p->glaze_recipe;
  lh_recipe_fired *glaze = lh_arena_take(v->arena, 1, sizeof *glaze);
  lh_stain_around around;

  if (!glaze) {
    v->st = LH_NOMEM;
    return;
  }
  if (g->count == 0 ||
      lh_recipe_fire(g->lines, g->count, NULL, glaze, NULL) != LH_OK)
    glaze = NULL;
  around = lh_stain_around_of(glaze, peak_of(p->doc),
                              fire ? fire->atmosphere : NULL);
  for (size_t i = 0; i < p->doc->slips.count; i++) {
    const lh_recipe_found *r = &p->recipes[i];
    if (in->cover->slips[i].area_mm2 <= 0) continue;
    for (size_t k = 0; k < r->count; k++)
      if (r->found[k].stain_family >= 0 && r->lines[k].amount > 0)
        one(&r->found[k], lh_slip_doc_name(&s[i]), &around, v);
  }
}
