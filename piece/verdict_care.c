/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verdict_care.c -- what can hurt, and what is not known. */
#include <stdio.h>
#include <string.h>

#include "chem/oxide.h"
#include "chem/recipe.h"
#include "verdict.h"

/* Metals whose leaching a laboratory is asked about.  Limits exist for lead
** and cadmium (84/500/EEC); the others: common practice, no source. */
static const char *const metals[] = {"PbO",  "CdO", "CuO",   "CoO",  "MnO",
                                     "NiO",  "BaO", "Cr2O3", "V2O5", "Sb2O3",
                                     "Li2O", "ZnO", "SeO2"};
enum { METALS = sizeof metals / sizeof metals[0] };

static size_t put(char *text, size_t size, size_t used, const char *word)
{
  int n;

  if (used >= size) return used;
  n = snprintf(text + used, size - used, "%s%s", used ? ", " : "", word);
  return n < 0 ? used : used + (size_t)n;
}

/* The metals of all recipes, named once each. */
static void food(const lh_verdict_input *in, lh_verdict *v)
{
  const lh_piece *p = in->cover->piece;
  char text[256] = "";
  size_t used = 0;

  for (size_t k = 0; k < METALS; k++) {
    size_t oxide = lh_oxide_find(metals[k]);
    bool found = false;
    for (size_t i = 0; oxide < LH_OXIDES && i < p->doc->slips.count; i++) {
      const lh_recipe_found *r = &p->recipes[i];
      if (in->cover->slips[i].area_mm2 <= 0) continue;
      for (size_t j = 0; j < r->count; j++)
        found = found || (r->lines[j].amount > 0 &&
                          r->found[j].oxides.mol[oxide] > 1e-6);
    }
    if (found) used = put(text, sizeof text, used, metals[k]);
  }
  if (!used) {
    lh_verdict_add(v, LH_SAYS_CAUTION, "Surfaces that touch food",
                   "ask a laboratory for the leaching test of your country "
                   "(84/500/EEC, ISO 6486)",
                   "no recipe here names a metal of concern; the glaze and the "
                   "stains may still hold some");
    return;
  }
  lh_verdict_add(v, LH_SAYS_CAUTION, "Surfaces that touch food",
                 "ask a laboratory to test a fired pot for leaching "
                 "(84/500/EEC, ISO 6486), before selling or using it with food",
                 "the slips hold %s; a clear glaze over them does not say how "
                 "much comes out",
                 text);
}

static void dust(const lh_verdict_input *in, lh_verdict *v)
{
  const lh_piece *p = in->cover->piece;
  char text[300] = "";
  size_t used = 0;

  for (size_t i = 0; i < p->doc->slips.count; i++) {
    const lh_recipe_found *r = &p->recipes[i];
    for (size_t j = 0; j < r->count; j++)
      if (r->found[j].hazards[0] && !strstr(text, r->found[j].name))
        used = put(text, sizeof text, used, r->found[j].name);
  }
  lh_verdict_add(v, LH_SAYS_CAUTION, "Dust and powders",
                 "mask (P3) when weighing, wet sponge instead of a brush, ask "
                 "for each supplier's safety data sheet; never sand bone-dry "
                 "ware",
                 "clays and silica make dust that harms lungs%s%s%s",
                 used ? "; read the sheets of " : "", text, "");
}

/* Slips and bodies are not melts: only bars tell whether they fit. */
static void fit(lh_verdict *v)
{
  lh_verdict_add(v, LH_SAYS_CAUTION, "Slip on body, shrinkage",
                 "make a shrinkage bar of each slip and of the body, and a "
                 "thin bar slipped on one face beside a bare one",
                 "whether slip and body shrink alike is not known: no "
                 "analysis tells");
}

static void invented(const lh_piece_doc *doc, lh_verdict *v)
{
  if (!lh_piece_invented(doc)) return;
  lh_verdict_add(v, LH_SAYS_CAUTION, "Invented data",
                 "make your own tiles before you trust a colour",
                 "this piece uses invented materials or colours: the picture "
                 "shows how it works, not how your kiln will fire");
}

void lh_verdict_care(const lh_verdict_input *in, lh_verdict *v)
{
  const lh_piece_doc *doc = in->cover->piece->doc;

  fit(v);
  if (doc->glaze_firing) {
    const lh_firing_doc *f = doc->glaze_firing;
    lh_verdict_add(
        v, LH_SAYS_OK, "Firing", "",
        "colours are said for a glaze firing of %.0f C%s%s%s%s; "
        "another cone or atmosphere fires other colours",
        f->peak_c, f->cone ? ", cone " : "", f->cone ? f->cone->number : "",
        f->cone ? " on the scale " : "", f->cone ? f->cone->scale : "");
  } else {
    lh_verdict_add(v, LH_SAYS_CAUTION, "Firing", "give glaze_firing",
                   "no glaze firing is stated: colours belong to one cone and "
                   "atmosphere");
  }
  dust(in, v);
  food(in, v);
  invented(doc, v);
}
