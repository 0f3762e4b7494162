/* SPDX-License-Identifier: GPL-3.0-or-later */
/* search_stock.h -- stocks and targets to search in, made from a seed.
**
** A stock of n materials over twelve oxides: first the minerals of the trade
** by their theoretical formulas, then more of them and invented frits; each
** jittered as real materials are, so that the same feldspar comes from three
** pits a little different.  A target is a glaze of five to eight materials
** of another stock, in moles to fluxes of one.  All of it is invented.
*/
#ifndef LH_SEARCH_STOCK_H
#define LH_SEARCH_STOCK_H

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "search.h"

enum { STOCK_ROWS = 12, STOCK_MOST = 128, STOCK_MINERALS = 18 };

typedef struct {
  size_t n;
  double mol[STOCK_MOST * STOCK_ROWS]; /* [mol/g] */
  double target[STOCK_ROWS];           /* [mol]   */
} search_stock;

static const char *const stock_oxide[STOCK_ROWS] = {
    "Li2O", "Na2O", "K2O",  "MgO",   "CaO",   "SrO",
    "BaO",  "ZnO",  "B2O3", "Al2O3", "Fe2O3", "SiO2"};

enum { STOCK_FLUXES = 8 };

static const char *const stock_mineral[STOCK_MINERALS] = {"K2O.Al2O3.6SiO2",
                                                          "CaCO3",
                                                          "Al2O3.2SiO2.2H2O",
                                                          "SiO2",
                                                          "Na2O.Al2O3.6SiO2",
                                                          "CaMg(CO3)2",
                                                          "3MgO.4SiO2.H2O",
                                                          "CaSiO3",
                                                          "ZnO",
                                                          "BaCO3",
                                                          "SrCO3",
                                                          "Li2O.Al2O3.4SiO2",
                                                          "2CaO.3B2O3.5H2O",
                                                          "Al2O3.2SiO2",
                                                          "Na2O.2B2O3",
                                                          "CaO.Al2O3.2SiO2",
                                                          "Fe2O3",
                                                          "Li2O.Al2O3.8SiO2"};

/* splitmix64 (public domain, from memory): any seed will do. */
static inline double stock_random(uint64_t *seed)
{
  uint64_t z = (*seed += 0x9e3779b97f4a7c15u);

  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
  return (double)((z ^ (z >> 31)) >> 11) / 9007199254740992.0;
}

static inline void stock_mineral_of(size_t i, double *mol)
{
  lh_formula f;
  lh_material m = {.loss = 0.0};

  lh_formula_parse(stock_mineral[i], strlen(stock_mineral[i]), &f, NULL);
  lh_material_from_formula(&f, &m);
  for (size_t k = 0; k < STOCK_ROWS; k++)
    mol[k] = m.mol[lh_oxide_find(stock_oxide[k])];
}

/* A frit: silica, some alumina and boron, two to four fluxes. */
static inline void stock_frit(uint64_t *seed, double *mol)
{
  double grams[STOCK_ROWS] = {0.0}, sum = 0.0;
  int fluxes = 2 + (int)(3.0 * stock_random(seed));

  grams[11] = 30.0 + 35.0 * stock_random(seed);
  grams[9] = 12.0 * stock_random(seed);
  grams[8] = fmax(0.0, 30.0 * stock_random(seed) - 5.0);
  for (int i = 0; i < fluxes; i++) {
    size_t k = (size_t)(STOCK_FLUXES * stock_random(seed));
    grams[k] += 3.0 + 20.0 * stock_random(seed);
  }
  for (size_t k = 0; k < STOCK_ROWS; k++) sum += grams[k];
  for (size_t k = 0; k < STOCK_ROWS; k++)
    mol[k] = grams[k] / sum / lh_oxide_weight(lh_oxide_find(stock_oxide[k]));
}

static inline void stock_jitter(uint64_t *seed, double *mol)
{
  double sum = 0.0;

  for (size_t k = 0; k < STOCK_ROWS; k++) {
    mol[k] *= 1.0 + 0.08 * (stock_random(seed) - 0.5);
    sum += mol[k];
  }
  for (int i = 0; i < 4; i++) /* and a little of what the pit has */
    mol[(size_t)(STOCK_ROWS * stock_random(seed))] +=
        0.01 * sum * stock_random(seed);
}

static inline void stock_materials(search_stock *s, size_t n, uint64_t *seed,
                                   bool pure)
{
  s->n = n;
  for (size_t j = 0; j < n; j++) {
    double *mol = &s->mol[j * STOCK_ROWS];
    if (j < STOCK_MINERALS || stock_random(seed) < 0.5)
      stock_mineral_of(j < STOCK_MINERALS
                           ? j
                           : (size_t)(STOCK_MINERALS * stock_random(seed)),
                       mol);
    else
      stock_frit(seed, mol);
    if (j >= 4 || !pure) stock_jitter(seed, mol);
  }
}

/* A stock and a target for it.  Pure: the first four minerals are, in both, so
** that some targets can be met exactly and many recipes tie.
*/
static inline void stock_make(search_stock *s, size_t n, uint64_t seed,
                              bool pure)
{
  static search_stock other;
  double flux = 0.0;

  stock_materials(&other, 40, &seed, pure);
  stock_materials(s, n, &seed, pure);
  memset(s->target, 0, sizeof s->target);
  size_t lines = 5 + (size_t)(4.0 * stock_random(&seed));
  for (size_t i = 0; i < lines; i++) {
    size_t j = i < (pure ? 4 : 2) ? i : (size_t)(40.0 * stock_random(&seed));
    double g = 0.1 + stock_random(&seed);
    for (size_t k = 0; k < STOCK_ROWS; k++)
      s->target[k] += g * other.mol[j * STOCK_ROWS + k];
  }
  for (size_t k = 0; k < STOCK_FLUXES; k++) flux += s->target[k];
  for (size_t k = 0; k < STOCK_ROWS; k++) s->target[k] /= flux;
}

/* The same as a problem: at most k materials, so many choices. */
static inline lh_search_problem stock_problem(const search_stock *s, size_t k,
                                              size_t choices)
{
  return (lh_search_problem){.measure = LH_SEARCH_GLAZE,
                             .rows = STOCK_ROWS,
                             .materials = s->n,
                             .mol = s->mol,
                             .target = s->target,
                             .most = k,
                             .choices = choices};
}

#endif
