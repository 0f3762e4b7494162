/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Formulas, analyses and moles as materials: what stays and what leaves. */
#include <stdlib.h>

#include "check.h"
#include "chem_minerals.h"
#include "material.h"

/* The weight per cent of one form in a fired formula. */
static double percent(const lh_formula *f, const char *symbol)
{
  double mol[LH_OXIDE_FORMS], oxygen, loss;
  size_t i = lh_oxide_find(symbol);

  if (i == LH_OXIDE_FORMS) return NAN;
  if (lh_oxide_fire(f, mol, &oxygen, &loss) != LH_OK) return NAN;
  return 100.0 * mol[i] * lh_oxide_weight(i) / lh_formula_weight(f);
}

/* Theoretical minerals to the printed digits. */
static void test_minerals(void)
{
  for (size_t i = 0; i < chem_minerals_count; i++) {
    const chem_minerals_row *r = &chem_minerals[i];
    lh_formula f;
    double loss = 0.0;
    lh_material m;
    CHECK(lh_formula_parse(r->formula, strlen(r->formula), &f, NULL) == LH_OK,
          "%s reads", r->mineral);
    CHECK_NEAR(lh_formula_weight(&f), r->weight, 5.0001e-3, "%s weighs %.2f",
               r->mineral, r->weight);
    for (const char *s = r->percent; s; s = strchr(s, ';')) {
      char symbol[8];
      double want;
      s += *s == ';' ? 2 : 0;
      if (sscanf(s, "%7s %lf", symbol, &want) != 2) break;
      CHECK_NEAR(percent(&f, symbol), want, 5.0001e-3, "%s in %s", symbol,
                 r->mineral);
      if (lh_oxide_find(symbol) >= LH_OXIDES) loss += want;
    }
    CHECK(lh_material_from_formula(&f, &m) == LH_OK, "%s is a material",
          r->mineral);
    /* Two printed figures may be summed. */
    CHECK_NEAR(100.0 * m.loss, loss, 1.0001e-2, "%s loses %.2f %%", r->mineral,
               loss);
  }
}

/* Orthoclase and the batch factors as printed, beside our own weights. */
static void test_printed(void)
{
  static const struct {
    const char *formula, *symbol;
    double percent, digit;
  } t[] = {
      /* Handbook of Mineralogy, "Orthoclase", column (2), 2001 */
      {"KAlSi3O8", "SiO2", 64.76, 0.005},
      {"KAlSi3O8", "Al2O3", 18.32, 0.005},
      {"KAlSi3O8", "K2O", 16.92, 0.005},
      /* university notes "Glass compositions", 2006 */
      {"NaAlSi3O8", "Na2O", 11.8, 0.05},
      {"NaAlSi3O8", "Al2O3", 19.4, 0.05},
      {"NaAlSi3O8", "SiO2", 68.7, 0.05},
      {"Na2CO3", "Na2O", 58.5, 0.05},
      {"CaCO3", "CaO", 56.0, 0.05},
  };

  for (size_t i = 0; i < sizeof t / sizeof t[0]; i++) {
    lh_formula f;
    lh_status st =
        lh_formula_parse(t[i].formula, strlen(t[i].formula), &f, NULL);
    CHECK_NEAR(st == LH_OK ? percent(&f, t[i].symbol) : NAN, t[i].percent,
               t[i].digit + 1e-9, "%s in %s as printed", t[i].symbol,
               t[i].formula);
  }
}

/* Oxygen given off and taken up, and whatever leaves. */
static void test_leaving(void)
{
  static const struct {
    const char *formula, *fired;
    double moles, oxygen;
  } t[] = {
      {"MnO2", "MnO", 1.0, 0.5},       {"Fe3O4", "Fe2O3", 1.5, -0.25},
      {"Cu2O", "CuO", 2.0, -0.5},      {"Co3O4", "CoO", 3.0, 0.5},
      {"CaF2", "CaO", 1.0, -0.5},      {"CaSO4.2H2O", "CaO", 1.0, 0.0},
      {"SiC", "SiO2", 1.0, -2.0},      {"Pb3O4", "PbO", 3.0, 0.5},
      {"FeTiO3", "Fe2O3", 0.5, -0.25},
  };

  for (size_t i = 0; i < sizeof t / sizeof t[0]; i++) {
    lh_formula f;
    double mol[LH_OXIDE_FORMS], oxygen, loss, leaves = 0.0, stays = 0.0;
    lh_formula_parse(t[i].formula, strlen(t[i].formula), &f, NULL);
    lh_oxide_fire(&f, mol, &oxygen, &loss);
    CHECK_NEAR(mol[lh_oxide_find(t[i].fired)], t[i].moles, 1e-14, "%s of %s",
               t[i].fired, t[i].formula);
    CHECK_NEAR(oxygen, t[i].oxygen, 1e-14, "oxygen of %s", t[i].formula);
    for (size_t k = 0; k < LH_OXIDE_FORMS; k++)
      *(k < LH_OXIDES ? &stays : &leaves) += mol[k] * lh_oxide_weight(k);
    leaves += 2.0 * oxygen * lh_element_weight(lh_element_find("O", 1));
    CHECK_NEAR(leaves, loss, 1e-12 * lh_formula_weight(&f),
               "what leaves %s adds to its loss", t[i].formula);
    CHECK_NEAR(stays + loss, lh_formula_weight(&f),
               1e-12 * lh_formula_weight(&f), "%s keeps its weight",
               t[i].formula);
  }
}

/* The table of oxides stands as oxide.h says. */
static void test_table(void)
{
  size_t owners[LH_ELEMENTS] = {0};
  size_t wrong = 0;

  for (size_t i = 0; i < LH_OXIDE_FORMS; i++) {
    lh_role role = lh_oxide_role(i);
    CHECK(lh_oxide_element(i) < LH_ELEMENTS, "%s has a cation we know",
          lh_oxide_symbol(i));
    if (i < LH_OXIDES)
      wrong += lh_oxide_fired(i) != i || role >= LH_ROLE_LEAVES;
    else if (role == LH_ROLE_LEAVES)
      wrong += lh_oxide_fired(i) != LH_OXIDES;
    else
      wrong += role != LH_ROLE_FORM || lh_oxide_fired(i) >= LH_OXIDES;
    if (role != LH_ROLE_FORM) owners[lh_oxide_element(i)]++;
    wrong += lh_oxide_find(lh_oxide_symbol(i)) != i;
  }
  CHECK(wrong == 0, "rows stand in the order that oxide.h promises");
  wrong = 0;
  for (size_t e = 0; e < LH_ELEMENTS; e++)
    wrong += owners[e] != (e != lh_element_find("O", 1));
  CHECK(wrong == 0, "every element but oxygen ends in one row");
}

static double one(const char *symbol, const lh_material *m)
{
  return m->mol[lh_oxide_find(symbol)];
}

static void test_analysis(void)
{
  double p[LH_OXIDE_FORMS] = {0.0}, e[LH_OXIDE_FORMS] = {0.0};
  size_t si = lh_oxide_find("SiO2"), bad;
  lh_material m, f;

  p[si] = 60.0;
  p[lh_oxide_find("FeO")] = 10.0;
  p[lh_oxide_find("CO2")] = 3.0;
  e[si] = 0.6;
  CHECK(lh_material_from_analysis(p, e, 25.0, &m, &bad) == LH_OK,
        "it is taken");
  CHECK_NEAR(m.total, 98.0, 1e-12, "its total is shown, not made 100");
  CHECK_NEAR(one("SiO2", &m), 0.6 / 60.083, 1e-15, "silica by weight");
  CHECK_NEAR(m.mol_e[si], 0.006 / 60.083, 1e-15, "and its plus or minus");
  CHECK_NEAR(one("Fe2O3", &m), 0.1 / 71.844 / 2.0, 1e-15,
             "FeO is turned into half as many Fe2O3");
  /* 2 FeO take up one O: 15.999/143.688 of their weight. */
  CHECK_NEAR(m.loss, 0.28 - 0.1 * 15.999 / 143.688, 1e-14,
             "the oxygen it takes up is in the loss");
  p[si] = 100.5;
  CHECK(lh_material_from_analysis(p, e, 0.0, &m, &bad) == LH_RANGE && bad == si,
        "over 100 %% of one oxide is refused");
  p[si] = -0.1;
  CHECK(lh_material_from_analysis(p, e, 0.0, &m, &bad) == LH_RANGE && bad == si,
        "a negative one is refused");
  p[si] = NAN;
  CHECK(lh_material_from_analysis(p, e, 0.0, &m, &bad) == LH_RANGE && bad == si,
        "NaN is refused");
  p[si] = 60.0;
  CHECK(lh_material_from_analysis(p, NULL, 100.1, &m, &bad) == LH_RANGE &&
            bad == LH_OXIDE_FORMS,
        "a loss over 100 %% is refused");
  CHECK(lh_material_from_analysis(p, NULL, -1.0, &m, &bad) == LH_RANGE,
        "a negative loss is refused");
  CHECK(lh_material_from_analysis(p, NULL, NAN, &m, &bad) == LH_RANGE,
        "a loss of NaN is refused");
  memset(p, 0, sizeof p);
  CHECK(lh_material_from_analysis(p, NULL, 0.0, &m, &bad) == LH_RANGE,
        "an analysis of nothing is refused");
  /* The same mineral by moles and by formula. */
  p[lh_oxide_find("Al2O3")] = 1.0;
  p[si] = 2.0;
  p[lh_oxide_find("H2O")] = 2.0;
  CHECK(lh_material_from_moles(p, &m, &bad) == LH_OK, "moles are taken");
  {
    lh_formula k;
    lh_formula_parse("Al2Si2O5(OH)4", 13, &k, NULL);
    lh_material_from_formula(&k, &f);
  }
  CHECK_NEAR(one("SiO2", &m), one("SiO2", &f), 1e-15, "moles are a formula");
  CHECK_NEAR(m.loss, f.loss, 1e-14, "with the same loss");
  p[si] = INFINITY;
  CHECK(lh_material_from_moles(p, &m, &bad) == LH_RANGE && bad == si,
        "infinite moles are refused");
}

int main(void)
{
  test_minerals();
  test_printed();
  test_leaving();
  test_table();
  test_analysis();
  return CHECK_DONE();
}
