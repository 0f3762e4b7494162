/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The search where the answer is known: old batches, laws, hard cases. */
#include "check.h"
#include "chem_seger_cones.h"
#include "old_sums.h"
#include "search_room.h"
#include "search_stock.h"

enum { MOST = 40 };

static lh_search_choice c[LH_SEARCH_CHOICES], d[LH_SEARCH_CHOICES];

static lh_status ask(const lh_search_problem *p, lh_search_choice *out,
                     lh_search_proof *f)
{
  lh_arena a = search_room();

  return lh_search_nearest(p, out, f, &a, NULL);
}

static double grams_of(const lh_search_choice *r, size_t material)
{
  for (size_t i = 0; i < r->count; i++)
    if (r->material[i] == material) return r->grams[i];
  return 0.0;
}

/* The old books' stock, by their equivalent weights, over every oxide. */
static const struct {
  const char *formula;
  double equivalent;
} old[] = {
    {"K2O.Al2O3.6SiO2", 557},  {"CaCO3", 100}, {"SiO2", 60},
    {"Al2O3.2SiO2.2H2O", 259}, {"Fe2O3", 160},
};

static void cones(void)
{
  static double mol[5 * LH_OXIDES], target[LH_OXIDES];
  const lh_material *m[5];
  lh_material made[5];
  size_t row[LH_OXIDES];

  for (size_t i = 0; i < LH_OXIDES; i++) row[i] = i;
  for (size_t j = 0; j < 5; j++) {
    made[j] = old_material(old[j].formula, old[j].equivalent);
    m[j] = &made[j];
  }
  lh_search_rows(m, 5, row, LH_OXIDES, mol, NULL);
  for (size_t i = 0; i < sizeof chem_seger_cones / sizeof chem_seger_cones[0];
       i++) {
    const chem_seger_cones_row *r = &chem_seger_cones[i];
    const double batch[] = {r->feldspar, r->marble, r->quartz, r->kaolin,
                            r->iron};
    lh_search_proof f;
    if (r->B2O3 > 0.0) continue;
    memset(target, 0, sizeof target);
    target[lh_oxide_find("K2O")] = r->K2O;
    target[lh_oxide_find("CaO")] = r->CaO;
    target[lh_oxide_find("Fe2O3")] = r->Fe2O3;
    target[lh_oxide_find("Al2O3")] = r->Al2O3;
    target[lh_oxide_find("SiO2")] = r->SiO2;
    lh_search_problem p = {.rows = LH_OXIDES,
                           .materials = 5,
                           .mol = mol,
                           .target = target,
                           .most = 5,
                           .choices = 3};
    CHECK(ask(&p, c, &f) == LH_OK && f.proven, "cone %s is found", r->cone);
    CHECK_NEAR(c[0].distance, 0.0, 1e-9, "cone %s is met", r->cone);
    /* Batches are printed for half a mole, to 0.01. */
    for (size_t j = 0; j < 5; j++)
      CHECK_NEAR(0.5 * grams_of(&c[0], j), batch[j], 0.006, "cone %s: %s",
                 r->cone, old[j].formula);
  }
}

/* Binns's matt glaze (The Potter's Craft, 1910, on glaze calculation): PbO .50
** CaO .35 K2O .15, Al2O3 .35, SiO2 1.54.  Printed in whole parts, products
** cut or rounded: each may be one part off.  Calcined and raw kaolin are the
** same after the fire; it is the proportion of 33 to 13 that needs both.
*/
static void binns(void)
{
  static const struct {
    const char *formula;
    double equivalent, parts;
  } line[] = {
      {"PbO", 258, 129},
      {"CaO.CO2", 100, 35},
      {"K2O.Al2O3.6SiO2", 557, 83},
      {"Al2O3.2SiO2", 222, 33},
      {"Al2O3.2SiO2.2H2O", 258, 13},
      {"SiO2", 60, 14},
  };
  static const char *const oxide[] = {"PbO", "CaO", "K2O", "Al2O3", "SiO2"};
  const double target[] = {0.50, 0.35, 0.15, 0.35, 1.54};
  double mol[6 * 5];
  lh_search_limit both = {
      .kind = LH_SEARCH_RATIO, .material = 3, .other = 4, .value = 33.0 / 13};
  lh_search_proof f;

  for (size_t j = 0; j < 6; j++) {
    lh_material m = old_material(line[j].formula, line[j].equivalent);
    for (size_t i = 0; i < 5; i++)
      mol[j * 5 + i] = m.mol[lh_oxide_find(oxide[i])];
  }
  lh_search_problem p = {.rows = 5,
                         .materials = 6,
                         .mol = mol,
                         .target = target,
                         .most = 6,
                         .choices = 8};
  CHECK(ask(&p, c, &f) == LH_OK && f.proven, "Binns's target is found");
  CHECK(c[0].count == 5 && c[1].count == 5,
        "either kaolin makes it, and neither with the other");
  CHECK_NEAR(c[0].distance, 0.0, 1e-9, "it is met by the one");
  CHECK_NEAR(c[1].distance, 0.0, 1e-9, "and by the other");
  p.limit = &both;
  p.limits = 1;
  CHECK(ask(&p, d, &f) == LH_OK && d[0].count == 6,
        "a proportion of the kaolins makes it need both");
  CHECK_NEAR(d[0].distance, 0.0, 1e-5, "and meets the target");
  for (size_t j = 0; j < 6; j++)
    CHECK_NEAR(grams_of(&d[0], j), line[j].parts, 1.0, "Binns's batch: %s",
               line[j].formula);
}

/* The same list with its materials in another order, and its numbers of
** another size.
*/
static void shuffled(void)
{
  static search_stock s, t;
  size_t other[MOST], wrong = 0, wrong_size = 0;

  for (uint64_t seed = 1; seed <= 60; seed++) {
    uint64_t dice = seed;
    lh_search_proof f, g;
    stock_make(&s, MOST, seed, seed % 2);
    lh_search_problem p = stock_problem(&s, 4, 20), q = p;
    q.mol = t.mol;
    for (size_t j = 0; j < MOST; j++) other[j] = j;
    for (size_t j = MOST; j-- > 1;) {
      size_t i = (size_t)((double)(j + 1) * stock_random(&dice)), v = other[j];
      other[j] = other[i];
      other[i] = v;
    }
    for (size_t j = 0; j < MOST; j++)
      memcpy(&t.mol[j * STOCK_ROWS], &s.mol[other[j] * STOCK_ROWS],
             STOCK_ROWS * sizeof *t.mol);
    ask(&p, c, &f);
    ask(&q, d, &g);
    wrong += f.found != g.found;
    for (size_t i = 0; i < f.found; i++)
      for (size_t k = 0; k < d[i].count; k++)
        wrong += d[i].count != c[i].count ||
                 grams_of(&c[i], other[d[i].material[k]]) != d[i].grams[k];
    for (size_t k = 0; k < MOST * STOCK_ROWS; k++) t.mol[k] = 0.7 * s.mol[k];
    ask(&q, d, &g);
    wrong_size += f.found != g.found;
    for (size_t i = 0; i < f.found; i++)
      wrong_size +=
          memcmp(d[i].material, c[i].material, sizeof c[i].material) != 0 ||
          !(fabs(d[i].distance - c[i].distance) < 1e-9);
  }
  CHECK(wrong == 0, "the order of the materials changes nothing, to the bit");
  CHECK(wrong_size == 0, "nor does the scale of their numbers");
}

/* More to choose from never makes it worse, a limit never better. */
static void monotone(void)
{
  static search_stock s;
  size_t worse = 0, better = 0, fewer = 0;

  for (uint64_t seed = 1; seed <= 100; seed++) {
    uint64_t dice = seed;
    lh_search_proof f;
    double before = INFINITY;
    stock_make(&s, MOST, seed, seed % 2);
    lh_search_problem p = stock_problem(&s, 4, 1);
    for (p.materials = 10; p.materials <= MOST; p.materials += 3) {
      ask(&p, c, &f);
      worse += c[0].distance > before + 1e-12;
      before = c[0].distance;
    }
    p.materials = MOST;
    ask(&p, c, &f);
    before = c[0].distance;
    lh_search_limit limit = {.kind = (lh_search_limit_kind)(seed % 3),
                             .material = c[0].material[seed % c[0].count],
                             .value = 40.0 * stock_random(&dice)};
    p.limit = &limit;
    p.limits = 1;
    if (ask(&p, d, &f) == LH_OK) better += d[0].distance < before - 1e-9;
    p.limits = 0;
    p.most = 5;
    ask(&p, d, &f);
    fewer += d[0].distance > before + 1e-12;
  }
  CHECK(worse == 0, "a material more never makes the best worse");
  CHECK(better == 0, "a limit never makes it better");
  CHECK(fewer == 0, "nor is a recipe of one more material ever worse");
}

/* Exact and near duplicates, a target in one material's direction, oxides
** that nobody wants: it ends, and the list is what it should be.
*/
static void alike(void)
{
  static search_stock s;
  static double mol[30 * STOCK_ROWS];
  lh_search_proof f;
  size_t unproven = 0, wrong = 0, both = 0;

  for (uint64_t seed = 1; seed <= 30; seed++) {
    uint64_t dice = seed;
    stock_make(&s, 10, seed, seed % 2);
    lh_search_problem p = stock_problem(&s, 5, 8), q = p;
    ask(&p, c, &f);
    for (size_t j = 0; j < 30; j++)
      for (size_t i = 0; i < STOCK_ROWS; i++)
        mol[j * STOCK_ROWS + i] =
            s.mol[j % 10 * STOCK_ROWS + i] *
            (j < 20 ? 1.0 : 1.0 + 1e-9 * stock_random(&dice));
    q.mol = mol;
    q.materials = 30;
    q.choices = 50;
    unproven += ask(&q, d, &f) != LH_OK || !f.proven;
    wrong += !(fabs(d[0].distance - c[0].distance) < 1e-7);
    for (size_t i = 0; i < f.found; i++)
      for (size_t k = 0; k < d[i].count; k++)
        for (size_t l = 0; l < k; l++)
          both += d[i].material[k] % 10 == d[i].material[l] % 10;
  }
  CHECK(unproven == 0, "each material three times: it ends, proven");
  CHECK(wrong == 0, "and the best is as good as with each once");
  CHECK(both == 0, "no recipe has a material beside its own double");
  memcpy(s.target, s.mol, sizeof s.target);
  lh_search_problem p = stock_problem(&s, 6, 8);
  CHECK(ask(&p, c, &f) == LH_OK && c[0].count == 1 && c[0].material[0] == 0 &&
            c[0].distance < 1e-12,
        "a target that is a material is that material alone");
}

/* A stopped search tells the truth: its bound is under what is best. */
static void stopped(void)
{
  static search_stock s;
  size_t wrong = 0, short_of = 0;

  for (uint64_t seed = 1; seed <= 40; seed++) {
    lh_search_proof f, g;
    stock_make(&s, MOST, seed, seed % 2);
    lh_search_problem p = stock_problem(&s, 5, 8);
    ask(&p, c, &f);
    for (p.visits = 1; p.visits < f.visited; p.visits = p.visits * 3 + 1) {
      ask(&p, d, &g);
      wrong += g.end != LH_SEARCH_VISITS || g.proven ||
               g.bound > c[g.sure].distance + 1e-9;
      if (g.found) wrong += d[0].distance - g.gap > c[0].distance + 1e-9;
      for (size_t i = 0; i < g.sure; i++)
        wrong += d[i].distance != c[i].distance;
      short_of++;
    }
  }
  CHECK(wrong == 0 && short_of > 100,
        "stopped %zu times: bound, gap and what is sure are true", short_of);
}

static bool stop_at_once(void *who, double done)
{
  (void)done;
  return ++*(int *)who < 3;
}

static void words(void)
{
  static search_stock s;
  int asked = 0;
  lh_watch w = {stop_at_once, &asked};
  lh_search_proof f;
  lh_search_use use[MOST] = {LH_SEARCH_MAY};
  lh_arena a = search_room();

  stock_make(&s, MOST, 3, false);
  lh_search_problem p = stock_problem(&s, 6, 8), q = p;
  CHECK(lh_search_nearest(&p, c, &f, &a, &w) == LH_CANCELLED && !f.proven &&
            f.end == LH_SEARCH_WATCH,
        "a watch stops it");
  a = search_room();
  a.left = 1000;
  CHECK(lh_search_nearest(&p, c, &f, &a, NULL) == LH_NOMEM, "no room");
  q.most = LH_SEARCH_LINES + 1;
  CHECK(ask(&q, c, &f) == LH_TOOLARGE, "thirteen materials are too many");
  q = p;
  s.target[2] = -1.0;
  CHECK(ask(&q, c, &f) == LH_INPUT && f.bad == 2, "a target below nothing");
  memset(s.target, 0, sizeof s.target);
  CHECK(ask(&q, c, &f) == LH_INPUT && f.bad == SIZE_MAX, "one of nothing");
  stock_make(&s, MOST, 3, false);
  s.mol[5 * STOCK_ROWS] = NAN;
  CHECK(ask(&q, c, &f) == LH_INPUT && f.bad == 5, "a material that is NaN");
  stock_make(&s, MOST, 3, false);
  q.use = use;
  use[7] = LH_SEARCH_MUST;
  use[0] = LH_SEARCH_NEVER;
  CHECK(ask(&q, c, &f) == LH_OK && f.proven, "one must, one never");
  size_t wrong = 0;
  for (size_t i = 0; i < f.found; i++) {
    double least = LH_SEARCH_MUST_PERCENT;
    for (size_t k = 0; k < c[i].count; k++)
      if (c[i].material[k] == 7) wrong += c[i].percent[k] < least - 1e-7;
    wrong += grams_of(&c[i], 7) <= 0.0 || grams_of(&c[i], 0) > 0.0;
  }
  CHECK(wrong == 0 && f.found == 8, "and so it is in each of the eight");
  for (size_t j = 1; j < 8; j++) use[j] = LH_SEARCH_MUST;
  CHECK(ask(&q, c, &f) == LH_NOTFOUND && f.proven && !f.found,
        "seven that must be in a recipe of six");
}

int main(void)
{
  cones();
  binns();
  shuffled();
  monotone();
  alike();
  stopped();
  words();
  return CHECK_DONE();
}
