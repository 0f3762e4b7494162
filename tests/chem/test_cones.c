/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Seger's cones, from batch to formula and from formula to batch. */
#include "check.h"
#include "chem_seger_cones.h"
#include "old_sums.h"
#include "portion.h"
#include "recipe.h"

enum { SPAR, MARBLE, QUARTZ, KAOLIN, IRON, BORIC, MATERIALS };

static const char *const formula[MATERIALS] = {
    "K2O.Al2O3.6SiO2", "CaCO3", "SiO2", "Al2O3.2SiO2.2H2O", "Fe2O3", "H3BO3",
};
static const double equivalent[MATERIALS] = {557, 100, 60, 259, 160, 61.83};

static lh_material old[MATERIALS], new[MATERIALS];

static const char *const oxide[] = {"K2O",   "CaO",  "Fe2O3",
                                    "Al2O3", "SiO2", "B2O3"};

static void target_of(const chem_seger_cones_row *c, double t[LH_OXIDES])
{
  const double moles[] = {c->K2O, c->CaO, c->Fe2O3, c->Al2O3, c->SiO2, c->B2O3};

  memset(t, 0, LH_OXIDES * sizeof *t);
  for (size_t i = 0; i < 6; i++) t[lh_oxide_find(oxide[i])] = moles[i];
}

/* The printed batch of a cone, fired: by the old equivalent weights to the
** batch's last digit, by today's to half a unit in the whole numbers
** (0.5/60, 0.5/100; 83.55 and 35.00 are half-mole batches).
*/
static void forward(const chem_seger_cones_row *c, const lh_material *m,
                    double share, const char *by)
{
  const double batch[] = {c->feldspar, c->marble, c->quartz, c->kaolin,
                          c->iron};
  double t[LH_OXIDES];
  lh_recipe_line lines[5];
  lh_recipe_fired r;

  target_of(c, t);
  for (size_t k = 0; k < 5; k++)
    lines[k] = (lh_recipe_line){&m[k], batch[k], false};
  CHECK(lh_recipe_fire(lines, 5, NULL, &r, NULL) == LH_OK, "cone %s fires",
        c->cone);
  for (size_t i = 0; i < 5; i++) {
    size_t o = lh_oxide_find(oxide[i]);
    /* 0.005 in half a mole of each line, and the share of the weights. */
    double off = 0.0;
    for (size_t k = 0; k < 5; k++) off += 0.01 * m[k].mol[o];
    CHECK_NEAR(r.unity[o], t[o], off + share * t[o] + 1e-4 * t[o],
               "cone %s by %s weights: %s %g", c->cone, by, oxide[i], t[o]);
  }
}

static void back(const chem_seger_cones_row *c, const lh_material *all,
                 double share, const char *by)
{
  const double batch[] = {c->feldspar, c->marble, c->quartz, c->kaolin,
                          c->iron};
  const lh_material *m[5];
  double t[LH_OXIDES], g[5];
  lh_portion_info info;

  target_of(c, t);
  for (size_t k = 0; k < 5; k++) m[k] = &all[k];
  CHECK(lh_portion_solve(t, m, 5, 1e-9, g, &info) == LH_OK,
        "cone %s has a batch", c->cone);
  for (size_t k = 0; k < 5; k++)
    CHECK_NEAR(g[k] / 2.0, batch[k], 5.001e-3 + share * batch[k],
               "cone %s by %s weights: %.2f of %s", c->cone, by, batch[k],
               formula[k]);
}

/* Every formula, with boric acid for the low cones: out and back again. */
static void there_and_back(const chem_seger_cones_row *c)
{
  const lh_material *m[MATERIALS];
  lh_recipe_line lines[MATERIALS];
  double t[LH_OXIDES], g[MATERIALS], worst = 0.0;
  lh_portion_info info;
  lh_recipe_fired r;

  target_of(c, t);
  for (size_t k = 0; k < MATERIALS; k++) m[k] = &new[k];
  CHECK(lh_portion_solve(t, m, MATERIALS, 1e-9, g, &info) == LH_OK,
        "cone %s has a batch by today's weights", c->cone);
  for (size_t k = 0; k < MATERIALS; k++)
    lines[k] = (lh_recipe_line){m[k], g[k], false};
  CHECK(lh_recipe_fire(lines, MATERIALS, NULL, &r, NULL) == LH_OK,
        "and the batch of cone %s fires", c->cone);
  for (size_t i = 0; i < LH_OXIDES; i++)
    worst = fmax(worst, fabs(r.unity[i] - t[i]));
  CHECK_NEAR(worst, 0.0, 1e-11, "back to the formula of cone %s", c->cone);
}

/* What cannot be made, and why. */
static void test_refusals(void)
{
  const lh_material *m[] = {&new[SPAR], &new[MARBLE], &new[QUARTZ], &new[SPAR]};
  double t[LH_OXIDES] = {0.0}, g[4];
  lh_portion_info info;

  t[lh_oxide_find("K2O")] = 0.3;
  t[lh_oxide_find("CaO")] = 0.7;
  t[lh_oxide_find("Al2O3")] = 0.3;
  t[lh_oxide_find("SiO2")] = 1.5; /* feldspar brings 1.8 */
  CHECK(lh_portion_solve(t, m, 3, 1e-9, g, &info) == LH_RANGE &&
            info.why == LH_PORTION_NEGATIVE && info.material == 2,
        "quartz would have to be taken out");
  CHECK_NEAR(g[2], -0.3 * 60.083, 1e-9, "so much of it");
  t[lh_oxide_find("Al2O3")] = 0.5;
  t[lh_oxide_find("SiO2")] = 4.0;
  CHECK(lh_portion_solve(t, m, 3, 1e-9, g, &info) == LH_RANGE &&
            info.why == LH_PORTION_MISSES,
        "alumina cannot be had without clay");
  CHECK(lh_portion_solve(t, m, 4, 1e-9, g, &info) == LH_RANGE &&
            info.why == LH_PORTION_MANY && info.material == 3,
        "one feldspar twice leaves a choice");
  t[0] = -1.0;
  CHECK(lh_portion_solve(t, m, 3, 1e-9, g, &info) == LH_INPUT,
        "a negative target is refused");
  t[0] = NAN;
  CHECK(lh_portion_solve(t, m, 3, 1e-9, g, &info) == LH_INPUT, "and NaN");
  memset(t, 0, sizeof t);
  CHECK(lh_portion_solve(t, m, 3, 1e-9, g, &info) == LH_INPUT,
        "and a target of nothing");
  t[0] = 1.0;
  CHECK(lh_portion_solve(t, m, 0, 1e-9, g, &info) == LH_INPUT,
        "and no materials");
}

int main(void)
{
  for (size_t k = 0; k < MATERIALS; k++) {
    old[k] = old_material(formula[k], equivalent[k]);
    new[k] = new_material(formula[k]);
  }
  for (size_t i = 0; i < chem_seger_cones_count; i++) {
    const chem_seger_cones_row *c = &chem_seger_cones[i];
    there_and_back(c);
    if (isnan(c->feldspar)) continue;
    forward(c, old, 0.0, "the old");
    forward(c, new, 0.5 / 60.0 + 0.5 / 100.0, "today's");
    back(c, old, 0.0, "the old");
    back(c, new, 0.5 / 60.0, "today's");
  }
  test_refusals();
  return CHECK_DONE();
}
