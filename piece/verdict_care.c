/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verdict_care.c -- what can hurt, and what is not known. */
#include <stdio.h>
#include <string.h>

#include "chem/oxide.h"
#include "chem/recipe.h"
#include "made.h"
#include "verdict.h"

/* Metals whose leaching a laboratory is asked about.  Limits exist for lead
** and cadmium (84/500/EEC); the others: common practice, no source. */
static const char *const metals[] = {"PbO",  "CdO", "CuO",   "CoO",  "MnO",
                                     "NiO",  "BaO", "Cr2O3", "V2O5", "Sb2O3",
                                     "Li2O", "ZnO", "SeO2"};
enum { METALS = sizeof metals / sizeof metals[0] };

/* Names joined by commas, each once; NULL when out of memory. */
static const char *joined(lh_arena *a, const char *const *name, size_t n)
{
  size_t length = 1, used = 0;
  char *text;

  for (size_t i = 0; i < n; i++) length += strlen(name[i]) + 2;
  text = lh_arena_take(a, length, 1);
  for (size_t i = 0; text && i < n; i++) {
    size_t k = 0;
    while (k < i && strcmp(name[k], name[i]) != 0) k++;
    if (k < i) continue;
    used += (size_t)snprintf(text + used, length - used, "%s%s",
                             used ? ", " : "", name[i]);
  }
  return text;
}

/* Does a slip that is painted with hold an oxide? */
static bool holds(const lh_verdict_input *in, size_t oxide)
{
  const lh_piece *p = in->cover->piece;

  for (size_t i = 0; oxide < LH_OXIDES && i < p->doc->slips.count; i++) {
    const lh_recipe_found *r = &p->recipes[i];
    if (in->cover->slips[i].area_mm2 <= 0) continue;
    for (size_t j = 0; j < r->count; j++)
      if (r->lines[j].amount > 0 && r->found[j].oxides.mol[oxide] > 1e-6)
        return true;
  }
  return false;
}

static void food(const lh_verdict_input *in, lh_verdict *v)
{
  const char *name[METALS], *text;
  size_t n = 0;

  for (size_t k = 0; k < METALS; k++)
    if (holds(in, lh_oxide_find(metals[k]))) name[n++] = metals[k];
  if (n == 0) {
    lh_verdict_add(v, LH_SAYS_CAUTION, "Surfaces that touch food",
                   "ask a laboratory for the leaching test of your country "
                   "(84/500/EEC, ISO 6486)",
                   "no recipe here names a metal of concern; the glaze and the "
                   "stains may still hold some");
    return;
  }
  text = joined(v->arena, name, n);
  lh_verdict_add(v, LH_SAYS_CAUTION, text ? "Surfaces that touch food" : NULL,
                 "ask a laboratory to test a fired pot for leaching "
                 "(84/500/EEC, ISO 6486), before selling or using it with food",
                 "the slips hold %s; a clear glaze over them does not say how "
                 "much comes out",
                 text ? text : "");
}

/* Every material with a hazard statement is named: a list that is cut short
** would pass the rest for harmless. */
static void dust(const lh_verdict_input *in, lh_verdict *v)
{
  const lh_piece *p = in->cover->piece;
  const char **name, *text = NULL;
  size_t n = 0, room = 0;

  for (size_t i = 0; i < p->doc->slips.count; i++) room += p->recipes[i].count;
  name = lh_arena_take(v->arena, room, sizeof *name);
  for (size_t i = 0; name && i < p->doc->slips.count; i++) {
    const lh_recipe_found *r = &p->recipes[i];
    for (size_t j = 0; j < r->count; j++)
      if (r->found[j].hazards[0]) name[n++] = r->found[j].name;
  }
  if (name) text = joined(v->arena, name, n);
  lh_verdict_add(v, LH_SAYS_CAUTION, text ? "Dust and powders" : NULL,
                 "mask (P3) when weighing, wet sponge instead of a brush, ask "
                 "for each supplier's safety data sheet; never sand bone-dry "
                 "ware",
                 "clays and silica make dust that harms lungs%s%s",
                 n ? "; read the sheets of " : "", text ? text : "");
}

/* K and S of a slip belong to it as glazed: bare, it is another colour. */
static void bare(const lh_piece_doc *doc, lh_verdict *v)
{
  if (doc->glaze) return;
  lh_verdict_add(v, LH_SAYS_CAUTION, "Glaze",
                 "give its glaze, or tiles of the bare slips",
                 "no glaze is given: the picture shows bare slip, but a slip's "
                 "colours are known as they fire under a glaze");
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
                 "this piece uses %s: the picture shows how it works, not how "
                 "your kiln will fire",
                 strcmp(lh_piece_mark(doc), LH_MADE_MARK) == 0
                     ? "colours that are invented from measured powders"
                     : "invented materials or colours");
}

void lh_verdict_care(const lh_verdict_input *in, lh_verdict *v)
{
  const lh_piece_doc *doc = in->cover->piece->doc;

  fit(v);
  bare(doc, v);
  if (doc->glaze_firing) {
    const lh_firing_doc *f = doc->glaze_firing;
    lh_verdict_add(
        v, LH_SAYS_OK, "Firing", "",
        "colours are said for a glaze firing of %.0f \xc2\xb0"
        "C%s%s%s%s; "
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
