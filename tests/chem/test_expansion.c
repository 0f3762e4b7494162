/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Additive expansion against glasses of which it was measured. */
#include "check.h"
#include "chem_expansion_glasses.h"
#include "expansion.h"

static void moles_of(const chem_expansion_glasses_row *g, double mol[LH_OXIDES])
{
  static const char *const name[] = {"SiO2",  "Al2O3", "B2O3", "Na2O", "K2O",
                                     "MgO",   "CaO",   "BaO",  "ZnO",  "PbO",
                                     "Fe2O3", "TiO2",  "Sb2O3"};
  const double *weight = &g->SiO2; /* the columns stand in this order */

  memset(mol, 0, LH_OXIDES * sizeof *mol);
  for (size_t i = 0; i < sizeof name / sizeof name[0]; i++) {
    size_t o = lh_oxide_find(name[i]);
    mol[o] = weight[i] / lh_oxide_weight(o);
  }
}

static void test_glasses(void)
{
  for (size_t i = 0; i < chem_expansion_glasses_count; i++) {
    const chem_expansion_glasses_row *g = &chem_expansion_glasses[i];
    const double want[] = {g->appen, g->english_turner, g->winkelmann_schott,
                           g->mayer_havas};
    double mol[LH_OXIDES];
    moles_of(g, mol);
    for (int m = 0; m < LH_EXPANSION_MODELS; m++) {
      lh_expansion e;
      if (isnan(want[m])) continue;
      CHECK(lh_expansion_of(mol, (lh_expansion_model)m, &e) == LH_OK,
            "%s has a sum", g->glass);
      /* 0.2 % of the glass left out, and the printed 0.005. */
      CHECK_NEAR(e.value, want[m], 0.005 + 0.004 * want[m], "%s by %s",
                 g->glass, lh_expansion_name((lh_expansion_model)m));
    }
  }
}

/* Appen's factors, from memory, against what was measured: 0.3e-6 on soda
** lime, borosilicate and silica, as is claimed for them; the lead-barium glass
** is outside glaze use and misses by 1.
*/
static void test_measured(void)
{
  for (size_t i = 0; i < chem_expansion_glasses_count; i++) {
    const chem_expansion_glasses_row *g = &chem_expansion_glasses[i];
    double mol[LH_OXIDES], off = g->PbO > 0.0 ? 1.0 : 0.3;
    lh_expansion e;
    moles_of(g, mol);
    lh_expansion_of(mol, LH_EXPANSION_APPEN, &e);
    CHECK_NEAR(e.value, g->measured, off, "%s as measured", g->glass);
  }
}

/* Factors that were seen in print, alone: English & Turner's silica 0.05,
** Winkelmann & Schott's 0.8 (cubic), B2O3 and MgO 0.1 (cubic), 1e-7 a wt%.
*/
static void test_seen(void)
{
  static const struct {
    const char *oxide;
    lh_expansion_model model;
    double value;
  } t[] = {
      {"SiO2", LH_EXPANSION_ENGLISH_TURNER, 0.05},
      {"SiO2", LH_EXPANSION_WINKELMANN_SCHOTT, 0.8 / 3.0},
      {"B2O3", LH_EXPANSION_WINKELMANN_SCHOTT, 0.1 / 3.0},
      {"MgO", LH_EXPANSION_WINKELMANN_SCHOTT, 0.1 / 3.0},
  };

  for (size_t i = 0; i < sizeof t / sizeof t[0]; i++) {
    double mol[LH_OXIDES] = {0.0};
    lh_expansion e;
    mol[lh_oxide_find(t[i].oxide)] = 3.0;
    lh_expansion_of(mol, t[i].model, &e);
    /* A hundred per cent, and 1e-7 told in 1e-6. */
    CHECK_NEAR(e.value, t[i].value * 100.0 / 10.0, 1e-12, "%s alone by %s",
               t[i].oxide, lh_expansion_name(t[i].model));
  }
}

static void test_limits(void)
{
  double mol[LH_OXIDES] = {0.0};
  size_t si = lh_oxide_find("SiO2"), na = lh_oxide_find("Na2O");
  size_t sr = lh_oxide_find("SrO"), b = lh_oxide_find("B2O3");
  lh_expansion e;

  mol[si] = 60;
  mol[na] = 40;
  lh_expansion_of(mol, LH_EXPANSION_APPEN, &e);
  CHECK(!e.valid && e.limit.why == LH_MELT_ABOVE && e.limit.oxide == na,
        "Appen has no glass of 40 %% soda");
  CHECK_NEAR(e.limit.amount, 40.0, 1e-12, "and says how much there is");
  mol[na] = 15;
  mol[sr] = 5;
  lh_expansion_of(mol, LH_EXPANSION_APPEN, &e);
  CHECK(e.valid, "Appen knows strontia");
  lh_expansion_of(mol, LH_EXPANSION_MAYER_HAVAS, &e);
  CHECK(!e.valid && e.limit.why == LH_MELT_UNKNOWN && e.limit.oxide == sr,
        "the others do not");
  mol[sr] = 0;
  mol[b] = 20;
  lh_expansion_of(mol, LH_EXPANSION_ENGLISH_TURNER, &e);
  CHECK(!e.valid && e.limit.oxide == b, "20 %% of boric oxide is too much");
  mol[b] = 0;
  mol[lh_oxide_find("Al2O3")] = 40;
  for (int m = 0; m < LH_EXPANSION_MODELS; m++) {
    lh_expansion_of(mol, (lh_expansion_model)m, &e);
    CHECK(!e.valid && e.limit.oxide == lh_oxide_find("Al2O3"),
          "so much alumina is no glass to %s",
          lh_expansion_name((lh_expansion_model)m));
  }
  mol[b] = -1;
  CHECK(lh_expansion_of(mol, LH_EXPANSION_APPEN, &e) == LH_RANGE,
        "negative moles are refused");
  mol[b] = NAN;
  CHECK(lh_expansion_of(mol, LH_EXPANSION_APPEN, &e) == LH_RANGE, "and NaN");
  memset(mol, 0, sizeof mol);
  CHECK(lh_expansion_of(mol, LH_EXPANSION_APPEN, &e) == LH_RANGE,
        "and nothing");
}

/* The scale of the moles is of no account; each table name is an oxide. */
static void test_scale(void)
{
  for (int m = 0; m < LH_EXPANSION_MODELS; m++) {
    double a[LH_OXIDES], b[LH_OXIDES];
    lh_expansion x, y;
    moles_of(&chem_expansion_glasses[1], a);
    for (size_t i = 0; i < LH_OXIDES; i++) b[i] = 1234.5 * a[i];
    lh_expansion_of(a, (lh_expansion_model)m, &x);
    lh_expansion_of(b, (lh_expansion_model)m, &y);
    CHECK_NEAR(x.value, y.value, 1e-12, "%s: scale changes nothing",
               lh_expansion_name((lh_expansion_model)m));
  }
}

int main(void)
{
  test_glasses();
  test_measured();
  test_seen();
  test_limits();
  test_scale();
  return CHECK_DONE();
}
