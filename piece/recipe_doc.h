/* SPDX-License-Identifier: GPL-3.0-or-later */
/* recipe_doc.h -- materials and recipes as they stand in documents.
**
** A material is told by formula, analysis or moles; a recipe names materials.
** A name is looked up among the materials that stand beside the recipe, then
** among those that come with the program.  Memory: the call's arena.
*/
#ifndef LH_RECIPE_DOC_H
#define LH_RECIPE_DOC_H

#include "chem/recipe.h"
#include "chem/supplied.h"
#include "fields.h"

/* A material as written.  Numbers not given are NAN. */
typedef struct {
  const char *name;
  const char *formula;
  lh_list analysis;    /* lh_amount, wt%, LOI among them */
  lh_list moles;       /* lh_amount                      */
  lh_list uncertainty; /* lh_amount, wt%                 */
  int class_;          /* lh_material_classes            */
  int stain_family;    /* lh_stain_families; -1: none    */
  double density;      /* [g/cm3]                        */
  double price_per_kg, stock_g;
  double *absorption, *scattering; /* of an inert stain, [36]; or NULL */
  double most_percent;             /* of one, % of the base            */
  const char *hazards;             /* GHS codes, "H302 H410"         */
  const char *note;
} lh_material_doc;

typedef struct {
  const char *material;
  double parts;
} lh_part_doc;

typedef struct {
  const char *material;
  double percent;
} lh_addition_doc;

typedef struct {
  int kind;          /* lh_kind                    */
  lh_list lines;     /* lh_part_doc                */
  lh_list additions; /* lh_addition_doc            */
} lh_recipe_doc;

extern const char *const lh_material_classes[];
extern const lh_fields lh_material_table, lh_recipe_table;

/* A material found: its oxides and what is known of it for sheets. */
typedef struct {
  const char *name;
  const char *class_;
  lh_material oxides;
  double density, price_per_kg, stock_g; /* NAN when not known */
  const char *hazards, *hazard_source, *note;
  int stain_family; /* lh_stain_families; -1: none */
  bool supplied;    /* came with the program */
} lh_material_found;

/* A recipe with its materials found. */
typedef struct {
  int kind;
  size_t count;          /* lines and additions            */
  size_t parts;          /* of these, lines; the rest are additions */
  lh_recipe_line *lines; /* amounts; material points into found */
  lh_material_found *found;
} lh_recipe_found;

/* Find the materials of a recipe.
**
** Given:     doc         the recipe
**            materials   lh_list of lh_material_doc beside it
**            at          where the recipe stands, for messages; NULL: "/recipe"
**            at_materials where the materials stand; NULL: "/materials"
** Returned:  *found
** Status:    LH_OK; LH_INPUT for an unknown material or oxide (the nearest is
**            named), a formula that cannot be read, an analysis out of range
*/
lh_status lh_recipe_find(const lh_recipe_doc *doc, const lh_list *materials,
                         const lh_at *at, const lh_at *at_materials,
                         lh_arena *a, lh_recipe_found *found, lh_fault *fault);

/* "Kaolin 40.0, Silica 12.5": the lines as a person would say them; NULL when
** the arena is full. */
const char *lh_recipe_words(const lh_recipe_found *f, lh_arena *a);

#endif
