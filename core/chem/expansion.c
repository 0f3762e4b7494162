/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "expansion.h"

#include <math.h>

#include "expansion_factors.h"

/* What an oxide without a factor may amount to [%]; a judgement. */
static const double TRACE = 0.5;

const char *lh_expansion_name(lh_expansion_model model)
{
  static const char name[][20] = {"appen", "english_turner",
                                  "winkelmann_schott", "mayer_havas"};

  return name[model];
}

static double factor(const expansion_factors_row *f, lh_expansion_model model)
{
  switch (model) {
  case LH_EXPANSION_APPEN: return f->appen;
  case LH_EXPANSION_ENGLISH_TURNER: return f->english_turner;
  case LH_EXPANSION_WINKELMANN_SCHOTT: return f->winkelmann_schott / 3.0;
  case LH_EXPANSION_MAYER_HAVAS: return f->mayer_havas / 3.0;
  }
  return NAN;
}

static double most(const expansion_factors_row *f, lh_expansion_model model)
{
  if (model == LH_EXPANSION_APPEN) return f->appen_most;
  if (model == LH_EXPANSION_ENGLISH_TURNER) return f->english_turner_most;
  return f->cubic_most;
}

static double of(const double p[LH_OXIDES], const char *oxide)
{
  return p[lh_oxide_find(oxide)];
}

/* Appen's factor of B2O3 falls as the alkalis that make BO4 grow scarce:
**   12.5 (4 - psi) - 50 up to psi = 4, then -50,
**   psi = [Na2O + K2O + BaO + 0.7 (CaO + SrO + CdO + PbO)
**          + 0.3 (Li2O + MgO + ZnO) - Al2O3] / B2O3,  mole per cent.
*/
static double appen_boron(const double p[LH_OXIDES])
{
  double psi =
      of(p, "Na2O") + of(p, "K2O") + of(p, "BaO") +
      0.7 * (of(p, "CaO") + of(p, "SrO") + of(p, "CdO") + of(p, "PbO")) +
      0.3 * (of(p, "Li2O") + of(p, "MgO") + of(p, "ZnO")) - of(p, "Al2O3");

  psi /= of(p, "B2O3");
  return psi > 4.0 ? -50.0 : 12.5 * (4.0 - psi) - 50.0;
}

/* The factors of Appen that change with the glass; p in mole per cent.
** From memory, as is where "almost no soda" begins (1 %, a judgement).
*/
static double appen_factor(const double p[LH_OXIDES], size_t i, double plain)
{
  double silica = of(p, "SiO2");
  double alkali = of(p, "Li2O") + of(p, "Na2O") + of(p, "K2O");

  if (i == lh_oxide_find("SiO2")) return plain - fmax(silica - 67.0, 0.0);
  if (i == lh_oxide_find("B2O3")) return appen_boron(p);
  if (i == lh_oxide_find("K2O")) return of(p, "Na2O") < 1.0 ? 425.0 : plain;
  if (i == lh_oxide_find("PbO"))
    return fmin(plain + 5.0 * fmax(alkali - 3.0, 0.0), 190.0);
  if (i == lh_oxide_find("TiO2"))
    return plain - 1.5 * (fmin(fmax(silica, 50.0), 80.0) - 50.0);
  return plain;
}

static const expansion_factors_row *row_of(size_t oxide)
{
  for (size_t k = 0; k < expansion_factors_count; k++)
    if (lh_oxide_find(expansion_factors[k].oxide) == oxide)
      return &expansion_factors[k];
  return NULL;
}

/* Keep the limit that is passed by the larger share. */
static void pass(lh_expansion *e, lh_melt_why why, size_t oxide, double amount,
                 double limit)
{
  if (!(amount > limit)) return;
  if (!e->valid && amount / limit <= e->limit.amount / e->limit.limit) return;
  e->valid = false;
  e->limit = (lh_melt_limit){why, oxide, amount, limit};
}

lh_status lh_expansion_of(const double mol[LH_OXIDES], lh_expansion_model model,
                          lh_expansion *e)
{
  bool appen = model == LH_EXPANSION_APPEN;
  double p[LH_OXIDES], sum = 0.0, value = 0.0;

  for (size_t i = 0; i < LH_OXIDES; i++) {
    if (!(mol[i] >= 0.0) || !isfinite(mol[i])) return LH_RANGE;
    sum += p[i] = appen ? mol[i] : mol[i] * lh_oxide_weight(i);
  }
  if (!(sum > 0.0)) return LH_RANGE;
  *e = (lh_expansion){.valid = true, .limit = {LH_MELT_FINE, LH_OXIDES, 0, 0}};
  for (size_t i = 0; i < LH_OXIDES; i++) p[i] *= 100.0 / sum;
  for (size_t i = 0; i < LH_OXIDES; i++) {
    const expansion_factors_row *f;
    double a;
    if (p[i] == 0.0) continue;
    f = row_of(i);
    a = f ? factor(f, model) : NAN;
    if (isnan(a)) {
      pass(e, LH_MELT_UNKNOWN, i, p[i], TRACE);
      continue;
    }
    /* Appen's factors go with mole fractions, the others with per cent. */
    value += appen ? appen_factor(p, i, a) * p[i] / 100.0 : a * p[i];
    pass(e, LH_MELT_ABOVE, i, p[i], most(f, model));
  }
  e->value = value / 10.0; /* from 1e-7 to 1e-6 */
  e->low_c = appen ? 20.0 : model == LH_EXPANSION_ENGLISH_TURNER ? 25.0 : 0.0;
  e->high_c = appen                                  ? 400.0
              : model == LH_EXPANSION_ENGLISH_TURNER ? 90.0
                                                     : 100.0;
  return LH_OK;
}
