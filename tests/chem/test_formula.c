/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Formulas read into atoms: atomic weights, good and bad formulas. */
#include "check.h"
#include "chem_ciaaw.h"
#include "formula.h"

static double atoms_of(const lh_formula *f, const char *symbol)
{
  return f->atoms[lh_element_find(symbol, strlen(symbol))];
}

/* The table against CIAAW's figures. */
static void test_weights(void)
{
  CHECK((int)chem_ciaaw_count == (int)LH_ELEMENTS,
        "every element has its weight");
  for (size_t i = 0; i < chem_ciaaw_count; i++) {
    const char *s = chem_ciaaw[i].element;
    size_t e = lh_element_find(s, strlen(s));
    CHECK(e < LH_ELEMENTS, "element %s is found", s);
    if (e == LH_ELEMENTS) continue;
    CHECK_TEXT(lh_element_symbol(e), s, "%s is itself", s);
    CHECK_NEAR(lh_element_weight(e), chem_ciaaw[i].weight, 0.0, "weight of %s",
               s);
  }
  CHECK(lh_element_find("CO", 2) == LH_ELEMENTS, "CO is not an element");
  CHECK(lh_element_find("", 0) == LH_ELEMENTS, "nor is nothing");
}

/* One formula written in several ways is one formula. */
static void test_same(void)
{
  static const char *const same[][2] = {
      {"K2O.Al2O3.6SiO2", "K2Al2Si6O16"},
      {"K2O.Al2O3.6SiO2", "K2O\xC2\xB7"
                          "Al2O3\xC2\xB7"
                          "6SiO2"},
      {"K2O.Al2O3.6SiO2", "K2O*Al2O3*6SiO2"},
      {"K2O.Al2O3.6SiO2", " K2O . Al2O3 . 6 SiO2 "},
      {"K2O.Al2O3.6SiO2",
       "K\xE2\x82\x82O.Al\xE2\x82\x82O\xE2\x82\x83.6SiO\xE2\x82\x82"},
      {"K2O.Al2O3.6SiO2", "2KAlSi3O8"},
      {"CuCO3.Cu(OH)2", "2CuO.CO2.H2O"},
      {"CuCO3.Cu(OH)2", "Cu2CO3[OH]2"},
      {"Na2O.2B2O3.10H2O", "Na2B4O7*10H2O"},
      {"Na2O.2B2O3.10H2O", "Na2B4O7.10H2O"},
      {"CaSO4.0.5H2O", "CaSO4*.5H2O"},
      {"2CaSO4.H2O", "2(CaSO4.0.5H2O)"},
      {"0.3K2O.0.7CaO.0.5Al2O3.4SiO2", "0,3K2O*0,7CaO*0,5Al2O3*4SiO2"},
      {"0.3K2O.0.7CaO.0.5Al2O3.4SiO2", "K0.6Ca0.7AlSi4O10.5"},
      {"K0.6Na0.4AlSi3O8", "K0,6Na0,4AlSi3O8"},
      {"Fe2O3.1.5H2O", "Fe2O3*1.5H2O"},
      {"Ca(Mg(CO3)2)", "CaMgC2O6"},
      {"((((((((SiO2))))))))", "SiO2"},
      {"Al2Si2O5(OH)4", "Al2O3.2SiO2.2H2O"},
  };

  for (size_t i = 0; i < sizeof same / sizeof same[0]; i++) {
    lh_formula a, b;
    double worst = 0.0;
    lh_status x = lh_formula_parse(same[i][0], strlen(same[i][0]), &a, NULL);
    lh_status y = lh_formula_parse(same[i][1], strlen(same[i][1]), &b, NULL);
    CHECK(x == LH_OK && y == LH_OK, "%s and %s read", same[i][0], same[i][1]);
    if (x != LH_OK || y != LH_OK) continue;
    for (size_t e = 0; e < LH_ELEMENTS; e++)
      worst = fmax(worst, fabs(a.atoms[e] - b.atoms[e]));
    CHECK_NEAR(worst, 0.0, 1e-12, "%s is %s", same[i][0], same[i][1]);
  }
}

/* Counts that can be told by eye. */
static void test_counts(void)
{
  static const struct {
    const char *text, *symbol;
    double atoms;
  } t[] = {
      {"K2O.Al2O3.6SiO2", "O", 16},
      {"K2O.Al2O3.6SiO2", "Si", 6},
      {"CuCO3.Cu(OH)2", "H", 2},
      {"CuCO3.Cu(OH)2", "O", 5},
      {"Ca3(PO4)2", "O", 8},
      {"Co", "Co", 1},
      {"CO", "C", 1},
      {"0.3K2O", "K", 0.6},
      {"Al2.5", "Al", 2.5},
      {"3(Na(AlO2)2)4", "Al", 24},
      {"999999H", "H", 999999},
  };

  for (size_t i = 0; i < sizeof t / sizeof t[0]; i++) {
    lh_formula f;
    lh_status st = lh_formula_parse(t[i].text, strlen(t[i].text), &f, NULL);
    CHECK_NEAR(st == LH_OK ? atoms_of(&f, t[i].symbol) : NAN, t[i].atoms,
               1e-12 * t[i].atoms, "%s in %s", t[i].symbol, t[i].text);
  }
}

static void test_bad(void)
{
  static const struct {
    const char *text;
    lh_formula_why why;
    size_t at, length;
  } t[] = {
      {"", LH_FORMULA_EMPTY, 0, 0},
      {"   ", LH_FORMULA_EMPTY, 0, 3},
      {"SiX2", LH_FORMULA_ELEMENT, 2, 1},
      {"K2O.Alu2O3", LH_FORMULA_ELEMENT, 4, 3},
      {"Ca(OH", LH_FORMULA_OPEN, 2, 1},
      {"CaO)", LH_FORMULA_CLOSE, 3, 1},
      {"Ca(OH]2", LH_FORMULA_CLOSE, 5, 1},
      {"K2O.", LH_FORMULA_PART, 4, 0},
      {"K2O..SiO2", LH_FORMULA_PART, 4, 1},
      {".K2O", LH_FORMULA_PART, 0, 1},
      {"()", LH_FORMULA_PART, 1, 1},
      {"2", LH_FORMULA_PART, 1, 0},
      {"k2o", LH_FORMULA_LETTER, 0, 1},
      {"SiO2+Al2O3", LH_FORMULA_LETTER, 4, 1},
      {"SiO 2", LH_FORMULA_LETTER, 4, 1},
      {"CaSO4 2H2O", LH_FORMULA_LETTER, 6, 1},
      {"-SiO2", LH_FORMULA_LETTER, 0, 1},
      {"SiO2\xC3\xA9", LH_FORMULA_LETTER, 4, 2},
      {"SiO2\xFF", LH_FORMULA_LETTER, 4, 1},
      {"SiO0", LH_FORMULA_NUMBER, 3, 1},
      {"0SiO2", LH_FORMULA_NUMBER, 0, 1},
      {"0.0SiO2", LH_FORMULA_NUMBER, 0, 3},
      {"Si1000001", LH_FORMULA_NUMBER, 2, 7},
      {"(Si1000000)1000000", LH_FORMULA_NUMBER, 0, 18},
      {"Al2O3,6SiO2", LH_FORMULA_COMMA, 5, 1},
      {"K2O,Al2O3", LH_FORMULA_COMMA, 3, 1},
      {"1,000.5SiO2", LH_FORMULA_PART, 5, 1},
  };

  for (size_t i = 0; i < sizeof t / sizeof t[0]; i++) {
    lh_formula f;
    lh_formula_fault w;
    lh_status st = lh_formula_parse(t[i].text, strlen(t[i].text), &f, &w);
    CHECK(st == LH_INPUT && w.why == t[i].why, "\"%s\": %s", t[i].text,
          lh_formula_text(w.why));
    CHECK(w.at == t[i].at && w.length == t[i].length,
          "\"%s\": at %zu, %zu bytes", t[i].text, w.at, w.length);
  }
}

static void test_limits(void)
{
  char text[LH_FORMULA_MAX + 1];
  lh_formula f;
  lh_formula_fault w;

  memset(text, 'O', sizeof text);
  CHECK(lh_formula_parse(text, LH_FORMULA_MAX, &f, &w) == LH_OK,
        "the longest formula is taken");
  CHECK_NEAR(atoms_of(&f, "O"), LH_FORMULA_MAX, 0.0, "and counted");
  CHECK(lh_formula_parse(text, sizeof text, &f, &w) == LH_TOOLARGE &&
            w.why == LH_FORMULA_LONG,
        "one byte more is not");
  memset(text, '(', sizeof text);
  CHECK(lh_formula_parse(text, LH_FORMULA_MAX, &f, &w) == LH_TOOLARGE &&
            w.why == LH_FORMULA_DEEP && w.at == LH_FORMULA_DEPTH,
        "nesting stops at %d", LH_FORMULA_DEPTH);
  memset(text, '9', sizeof text);
  CHECK(lh_formula_parse(text, LH_FORMULA_MAX, &f, &w) == LH_INPUT &&
            w.why == LH_FORMULA_NUMBER,
        "400 digits are too large a number");
  CHECK(lh_formula_parse("SiO2\0junk", 9, &f, &w) == LH_INPUT && w.at == 4,
        "a zero byte is a letter that cannot stand there");
}

int main(void)
{
  test_weights();
  test_same();
  test_counts();
  test_bad();
  test_limits();
  return CHECK_DONE();
}
