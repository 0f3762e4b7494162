/* SPDX-License-Identifier: GPL-3.0-or-later */
/* supplied.h -- the materials that come with the program.
**
** Theoretical minerals, metal oxides and carbonates, and a few clays and
** frits that are invented and say so (data/materials.csv), with the hazard
** statements (data/hazards.csv) that must be looked at before weighing.
** Real materials differ from mine to mine: a supplier's analysis goes before
** all of these.  The tables are constant; nothing here allocates, prints or
** remembers.
*/
#ifndef LH_SUPPLIED_H
#define LH_SUPPLIED_H

#include <stddef.h>

#include "material.h"
#include "status.h"

/* A row; texts are constant and may be empty, never NULL. */
typedef struct {
  const char *name;
  const char *also;     /* other names, apart by "; "              */
  const char *kind;     /* class: plastic clay, kaolin, silica, ... */
  const char *formula;  /* or empty                                 */
  const char *analysis; /* "SiO2 47.0; ...; LOI 13.1", or empty     */
  double density;       /* [g/cm3]; NAN when not known              */
  const char *density_source;
  const char *hazards;       /* "H302 H317", or empty                    */
  const char *hazard_source; /* where those codes are from               */
  const char *note;          /* "invented", "theoretical", ...           */
  const char *stain_family;  /* of lh_stain_families, or empty           */
} lh_supplied;

/* How many there are, and the i-th of them. */
size_t lh_supplied_count(void);
lh_supplied lh_supplied_at(size_t i);

/* Find one by its name or another of its names, ASCII case aside.
**
** Returned:  its index; lh_supplied_count() when there is none
*/
size_t lh_supplied_find(const char *name);

/* The nearest supplied material to a name; lh_supplied_count() when none is
** near (lh_nearest()).  *near is the name that was near, one of the other
** names perhaps, of *length bytes.
*/
size_t lh_supplied_nearest(const char *name, const char **near, size_t *length);

/* Its oxides.  Status: LH_OK (a test sees to it that every row reads). */
lh_status lh_supplied_material(size_t i, lh_material *m);

/* The wording of a hazard statement such as "H302"; NULL when not listed.
** *source, unless NULL, says where the wording is from.
*/
const char *lh_hazard_text(const char *code, size_t n, const char **source);

#endif
