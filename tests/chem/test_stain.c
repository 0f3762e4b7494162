/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rules of stains: the table is sound, and each rule says what its row says.
**
** Facts of the trade, common practice without a source unless the row of
** data/stain_rules.csv names one: chrome-tin wants lime and no zinc, chrome
** goes brown with zinc, reduction blackens cadmium. */
#include "stain.h"

#include "check.h"

static size_t family(const char *name)
{
  size_t i = 0;

  while (lh_stain_families[i] && strcmp(lh_stain_families[i], name) != 0) i++;
  return i;
}

static void test_table(void)
{
  size_t each[LH_STAIN_FAMILIES] = {0}, bad = 0, silent = 0;

  CHECK(family("none such") == LH_STAIN_FAMILIES, "the list ends");
  for (size_t i = 0; i < lh_stain_rule_count(); i++) {
    lh_stain_rule r = lh_stain_rule_at(i);
    bool limit = !isnan(r.least) || !isnan(r.most);
    bool number = r.quantity == LH_STAIN_UNITY || r.quantity == LH_STAIN_PEAK;
    if (r.family >= LH_STAIN_FAMILIES || number != limit ||
        (r.quantity == LH_STAIN_UNITY && r.oxide >= LH_OXIDES)) {
      bad++;
      continue;
    }
    each[r.family]++;
    silent += !r.why[0] || !r.todo[0] || !r.source[0];
  }
  CHECK(bad == 0, "every row has a known family, oxide and its limit");
  CHECK(silent == 0, "every row says why, what to do, and its source");
  for (size_t i = 0; i < LH_STAIN_FAMILIES; i++)
    CHECK(each[i] > 0 && each[i] <= LH_STAIN_RULES_MOST, "%s has its rules",
          lh_stain_families[i]);
}

/* What a family says of an oxide, or of another quantity. */
static lh_stain_says says(const char *name, const lh_stain_around *around,
                          lh_stain_quantity q, const char *oxide)
{
  lh_stain_finding f[LH_STAIN_RULES_MOST];
  size_t n;

  if (lh_stain_rules_check(family(name), around, f, &n) != LH_OK) return 9;
  for (size_t i = 0; i < n; i++) {
    lh_stain_rule r = lh_stain_rule_at(f[i].rule);
    if (r.quantity == q && (!oxide || r.oxide == lh_oxide_find(oxide)))
      return f[i].says;
  }
  return 9;
}

static void test_rules(void)
{
  double lime[LH_OXIDES] = {0}, zinc[LH_OXIDES] = {0};
  lh_stain_around a = {lime, 1040, 0}, z = {zinc, 1300, 1};
  lh_stain_around dark = {NULL, NAN, -1};

  lime[lh_oxide_find("CaO")] = 0.7, lime[lh_oxide_find("K2O")] = 0.3;
  lime[lh_oxide_find("Al2O3")] = 0.4;
  zinc[lh_oxide_find("ZnO")] = 0.4, zinc[lh_oxide_find("Na2O")] = 0.6;
#define SAYS(F, A, Q, O, W, ...) CHECK(says(F, A, Q, O) == W, __VA_ARGS__)
  SAYS("chrome-tin", &a, LH_STAIN_UNITY, "CaO", LH_STAIN_KEPT,
       "chrome-tin in a lime glaze");
  SAYS("chrome-tin", &a, LH_STAIN_UNITY, "ZnO", LH_STAIN_KEPT,
       "which has no zinc");
  SAYS("chrome-tin", &z, LH_STAIN_UNITY, "CaO", LH_STAIN_BROKEN,
       "chrome-tin without lime");
  SAYS("chrome-tin", &z, LH_STAIN_UNITY, "ZnO", LH_STAIN_BROKEN,
       "chrome-tin with zinc");
  SAYS("chrome-tin", &z, LH_STAIN_PEAK, NULL, LH_STAIN_BROKEN,
       "chrome-tin too hot");
  SAYS("chrome-tin", &z, LH_STAIN_REDUCTION, NULL, LH_STAIN_BROKEN,
       "chrome-tin in reduction");
  SAYS("chrome green", &z, LH_STAIN_UNITY, "ZnO", LH_STAIN_BROKEN,
       "chrome with zinc goes brown");
  SAYS("zinc-iron-chrome brown", &a, LH_STAIN_UNITY, "ZnO", LH_STAIN_BROKEN,
       "a zinc brown wants zinc");
  SAYS("zinc-iron-chrome brown", &z, LH_STAIN_UNITY, "ZnO", LH_STAIN_KEPT,
       "and has it");
  SAYS("encapsulated cadmium-selenium", &a, LH_STAIN_PEAK, NULL, LH_STAIN_KEPT,
       "an encapsulated red bears 1040");
  SAYS("cadmium-selenium", &a, LH_STAIN_PEAK, NULL, LH_STAIN_BROKEN,
       "a bare one does not");
  SAYS("encapsulated cadmium-selenium", &a, LH_STAIN_ALWAYS, NULL,
       LH_STAIN_BROKEN, "of its capsule it is always said");
  SAYS("chrome-tin", &dark, LH_STAIN_UNITY, "ZnO", LH_STAIN_UNTOLD,
       "without a recipe nothing is known");
  SAYS("chrome-tin", &dark, LH_STAIN_PEAK, NULL, LH_STAIN_UNTOLD,
       "nor without a firing");
  SAYS("chrome-tin", &dark, LH_STAIN_REDUCTION, NULL, LH_STAIN_UNTOLD,
       "nor without its atmosphere");
}

/* At the limit itself a rule is kept. */
static void test_edge(void)
{
  double u[LH_OXIDES] = {0};
  lh_stain_around a = {u, 1260, 0};
  lh_stain_finding f[LH_STAIN_RULES_MOST];
  size_t n;

  u[lh_oxide_find("CaO")] = 0.5, u[lh_oxide_find("ZnO")] = 0.02;
  SAYS("chrome-tin", &a, LH_STAIN_UNITY, "CaO", LH_STAIN_KEPT, "least, met");
  SAYS("chrome-tin", &a, LH_STAIN_UNITY, "ZnO", LH_STAIN_KEPT, "most, met");
  SAYS("chrome-tin", &a, LH_STAIN_PEAK, NULL, LH_STAIN_KEPT, "peak, met");
  a.peak_c = nextafter(1260, 2000);
  SAYS("chrome-tin", &a, LH_STAIN_PEAK, NULL, LH_STAIN_BROKEN, "and passed");
  u[0] = -1;
  CHECK(lh_stain_rules_check(0, &a, f, &n) == LH_RANGE && n == 0,
        "a negative formula is refused");
  u[0] = INFINITY;
  CHECK(lh_stain_rules_check(0, &a, f, &n) == LH_RANGE, "an endless one too");
  u[0] = NAN;
  CHECK(lh_stain_rules_check(0, &a, f, &n) == LH_OK, "NaN is not known");
  CHECK(lh_stain_rules_check(LH_STAIN_FAMILIES, &a, f, &n) == LH_RANGE,
        "a family that is none");
}

int main(void)
{
  test_table();
  test_rules();
  test_edge();
  return CHECK_DONE();
}
