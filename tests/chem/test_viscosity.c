/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Viscosity by two published models, against what their papers print. */
#include "check.h"
#include "chem_fluegel_checks.h"
#include "chem_lakatos_glasses.h"
#include "viscosity.h"

static void put(double mol[LH_OXIDE_FORMS], const char *oxide, double weight)
{
  size_t o = lh_oxide_find(oxide);

  mol[o] = weight / lh_oxide_weight(o);
}

/* Tables 12 and 2 of Fluegel (2007), printed to 1 C. */
static void test_fluegel(void)
{
  static const char *const name[] = {"SiO2",  "Al2O3", "Na2O",  "K2O",   "MgO",
                                     "CaO",   "SO3",   "Fe2O3", "TiO2",  "ZnO",
                                     "B2O3",  "Li2O",  "PbO",   "Sb2O3", "MnO2",
                                     "Cr2O3", "ZrO2",  "BaO",   "NiO"};

  for (size_t i = 0; i < chem_fluegel_checks_count; i++) {
    const chem_fluegel_checks_row *g = &chem_fluegel_checks[i];
    const double *percent = &g->SiO2; /* the columns stand in this order */
    const double want[] = {g->T1_5, g->T6_6, g->T12};
    double mol[LH_OXIDE_FORMS] = {0.0};
    lh_viscosity v;
    for (size_t k = 0; k < sizeof name / sizeof name[0]; k++)
      mol[lh_oxide_find(name[k])] = percent[k];
    CHECK(lh_viscosity_of(mol, LH_VISCOSITY_FLUEGEL, &v) == LH_OK,
          "%s has its sums", g->glass);
    /* Its 0.4 % of Sb2O3 is over the paper's own Table 3. */
    CHECK(v.valid == (strcmp(g->glass, "710") != 0), "%s: inside, but for 710",
          g->glass);
    for (size_t k = 0; k < 3; k++) {
      if (isnan(want[k])) continue;
      CHECK_NEAR(v.sum_c[k], want[k], 1.0, "%s at log %.1f", g->glass,
                 v.level[k]);
    }
    CHECK_NEAR(v.t0 + v.b / (1.0 - v.a), g->T1_0, 1.0, "%s at log 1.0",
               g->glass);
    for (size_t k = 0; k < 3; k++)
      CHECK_NEAR(v.a + v.b / (v.sum_c[k] - v.t0), v.level[k], 1e-9,
                 "%s: the curve goes through log %.1f", g->glass, v.level[k]);
  }
}

/* The 72 glasses of Lakatos (1976).  D6, the barium glass, misses its printed
** figures by 6.6, 2.4 and 0.6 C with its CaO of 4.48 %, and with it adds to
** 99.64; with 4.84 it adds to 100 and is met: two digits changed places.
*/
static void test_lakatos(void)
{
  static const char *const name[] = {"SiO2", "Al2O3", "Na2O", "K2O",
                                     "Li2O", "CaO",   "MgO",  "BaO",
                                     "ZnO",  "PbO",   "B2O3"};

  CHECK(chem_lakatos_glasses_count == 72, "seventy-two glasses");
  for (size_t i = 0; i < chem_lakatos_glasses_count; i++) {
    const chem_lakatos_glasses_row *g = &chem_lakatos_glasses[i];
    const double *weight = &g->SiO2;
    const double want[] = {g->T2_printed, g->T4_printed, g->T6_printed};
    double mol[LH_OXIDE_FORMS] = {0.0}, sum = 0.0;
    lh_viscosity v;
    for (size_t k = 0; k < sizeof name / sizeof name[0]; k++) {
      bool slip = strcmp(g->nr, "D6") == 0 && strcmp(name[k], "CaO") == 0;
      put(mol, name[k], slip ? 4.84 : weight[k]);
      sum += slip ? 4.84 : weight[k];
    }
    lh_viscosity_of(mol, LH_VISCOSITY_LAKATOS, &v);
    /* The span is of printed per cents; some glasses print to 98 or 101. */
    if (fabs(sum - 100.0) < 0.005)
      CHECK(v.valid, "glass %s is inside its own span", g->nr);
    for (size_t k = 0; k < 3; k++)
      CHECK_NEAR(v.sum_c[k], want[k], 1.5, "glass %s at log %.0f poise", g->nr,
                 v.level[k] + 1.0);
  }
}

static void test_limits(void)
{
  double mol[LH_OXIDE_FORMS] = {0.0};
  size_t al = lh_oxide_find("Al2O3"), sn = lh_oxide_find("SnO2");
  size_t si = lh_oxide_find("SiO2"), na = lh_oxide_find("Na2O");
  size_t ca = lh_oxide_find("CaO"), co = lh_oxide_find("CoO");
  lh_viscosity v;

  mol[si] = 70, mol[na] = 10, mol[ca] = 8, mol[al] = 12;
  lh_viscosity_of(mol, LH_VISCOSITY_FLUEGEL, &v);
  CHECK(!v.valid && v.limit.oxide == al && v.limit.why == LH_MELT_ABOVE,
        "12 mole %% of alumina is outside at two levels");
  CHECK(isnan(v.t_c[0]) && !isnan(v.t_c[1]) && isnan(v.t_c[2]),
        "and inside at the third, where Table 3 prints 12.7");
  CHECK(v.b > 0.0, "its bare sums still make a curve");
  lh_viscosity_of(mol, LH_VISCOSITY_LAKATOS, &v);
  CHECK(!v.valid && v.limit.oxide == al, "and outside Lakatos's span");
  mol[al] = 2;
  mol[si] = 72;
  mol[na] = 14;
  mol[sn] = 0.2;
  lh_viscosity_of(mol, LH_VISCOSITY_FLUEGEL, &v);
  CHECK(!v.valid && v.limit.oxide == sn && isnan(v.t_c[2]) && !isnan(v.t_c[0]),
        "tin oxide: known when thin, not when stiff");
  lh_viscosity_of(mol, LH_VISCOSITY_LAKATOS, &v);
  CHECK(!v.valid && v.limit.oxide == sn && v.limit.why == LH_MELT_UNKNOWN,
        "and not at all to Lakatos");
  mol[sn] = 0;
  mol[co] = 1;
  lh_viscosity_of(mol, LH_VISCOSITY_FLUEGEL, &v);
  CHECK(!v.valid && strcmp(lh_oxide_symbol(v.limit.oxide), "Co3O4") == 0,
        "cobalt is counted as the paper counts it");
  mol[co] = 0;
  mol[si] = 10;
  lh_viscosity_of(mol, LH_VISCOSITY_FLUEGEL, &v);
  CHECK(!v.valid, "too little silica");
  memset(mol, 0, sizeof mol);
  CHECK(lh_viscosity_of(mol, LH_VISCOSITY_FLUEGEL, &v) == LH_RANGE,
        "nothing is refused");
  mol[si] = NAN;
  CHECK(lh_viscosity_of(mol, LH_VISCOSITY_LAKATOS, &v) == LH_RANGE, "and NaN");
  memset(mol, 0, sizeof mol);
  mol[na] = 1;
  lh_viscosity_of(mol, LH_VISCOSITY_LAKATOS, &v);
  CHECK(!v.valid && isnan(v.t_c[0]),
        "no silica at all is outside, not a crash");
}

int main(void)
{
  test_fluegel();
  test_lakatos();
  test_limits();
  return CHECK_DONE();
}
