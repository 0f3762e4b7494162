/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Learning a slip from its tiles: what went in comes back out.
**
** Tiles are made up from known K and S with a good instrument's and a careful
** hand's noise (learn_tiles.h).  Over 200 seeds the 90 % ranges that the fit
** states must hold the truth in 86 to 94 % of cases: the bounds are those of
** the project's own requirement; a count of 200 x 36 is itself good to about
** 1.5 % as neighbours in wavelength go together.
*/
#include <stdlib.h>

#include "check.h"
#include "learn.h"
#include "learn_tiles.h"
#include "least_rows.h"

/* What the problem of a suite is. */
typedef enum { BARE, GLAZED, GLAZE_TOO, DISSOLVING } kind;

enum { UNKNOWNS = 200 }; /* room for the largest below */

static made_truth truth;
static lh_glaze_table surface;
static double p[UNKNOWNS], covariance[UNKNOWNS * UNKNOWNS];

static size_t row(void *who, const double *x, size_t i, double *off, size_t *at,
                  double *by)
{
  return lh_learn_row(who, x, i, off, at, by);
}

static void pose(kind k, const lh_learn_tile *tiles, lh_learn *l)
{
  *l = (lh_learn){.tiles = tiles,
                  .n = 14,
                  .grounds = 2,
                  .surface = k == BARE ? NULL : &surface,
                  .learn_absorb = k >= GLAZE_TOO,
                  .learn_eaten = k == DISSOLVING,
                  .smooth = LH_LEARN_SMOOTH};
  for (size_t w = 0; w < LH_WAVES; w++)
    l->absorb[w] = k >= GLAZE_TOO ? 2e-4 : truth.absorb[w];
  if (k == DISSOLVING) l->eaten = 5, l->share = 0.5;
}

static lh_status fit(lh_learn *l, lh_least_end *end)
{
  lh_least_problem problem = {.row = row,
                              .who = l,
                              .rows = lh_learn_rows(l),
                              .unknowns = lh_learn_unknowns(l)};
  size_t bad;

  if (lh_learn_check(l, &bad) != LH_OK) return LH_RANGE;
  lh_learn_begin(l, p);
  return lh_least_rows(&problem, p, covariance, NULL, end);
}

static double sd(const lh_learn *l, size_t at)
{
  return sqrt(covariance[at * lh_learn_unknowns(l) + at]);
}

/* Readings without noise: K and S within what the rows' own stated doubt
** allows: 1e-3 of full scale over the slope of a reading by ln K. */
static void exact(kind k, const char *name)
{
  static lh_learn_tile tiles[14];
  lh_learn l;
  lh_least_end end;
  double off_k = 0, off_s = 0;

  made_tiles(&truth, k == BARE ? NULL : &surface, k == DISSOLVING, 0, 0, 1,
             tiles);
  pose(k, tiles, &l);
  CHECK(fit(&l, &end) == LH_OK && end.settled, "%s, no noise: settles", name);
  for (size_t w = 0; w < LH_WAVES; w++) {
    size_t ak = lh_learn_at_k(w), as = lh_learn_at_s(w);
    off_k =
        fmax(off_k, fabs(p[ak] - log(truth.slip.absorption[w])) / sd(&l, ak));
    off_s =
        fmax(off_s, fabs(p[as] - log(truth.slip.scattering[w])) / sd(&l, as));
  }
  /* The rows of smoothness pull a little: never by a standard deviation. */
  CHECK(off_k < 1, "%s, no noise: K (%.3f sd)", name, off_k);
  CHECK(off_s < 1, "%s, no noise: S (%.3f sd)", name, off_s);
  if (k == DISSOLVING) {
    size_t at = lh_learn_at_eaten(&l);
    CHECK_NEAR(p[at], log(truth.eaten), sd(&l, at), "what the glaze eats");
    CHECK_NEAR(p[at + 1], log(truth.share / (1 - truth.share)), sd(&l, at + 1),
               "and what of it stays");
  }
}

typedef struct {
  long in, of;
} tally;

static void count(tally *t, double off, double sd_of)
{
  t->in += fabs(off) < 1.6449 * sd_of;
  t->of++;
}

static void holds(const tally *t, const char *name, const char *what)
{
  double share = 100.0 * (double)t->in / (double)t->of;

  CHECK(share >= 86 && share <= 94, "%s: 90 %% ranges of %s hold in %.1f %%",
        name, what, share);
}

static void coverage(kind k, const char *name, uint64_t seeds)
{
  static lh_learn_tile tiles[14];
  tally of_k = {0, 0}, of_s = {0, 0}, of_ground = {0, 0};
  lh_learn l;
  lh_least_end end;
  int failed = 0;

  for (uint64_t s = 1; s <= seeds; s++) {
    made_tiles(&truth, k == BARE ? NULL : &surface, k == DISSOLVING, 0.003,
               0.05, s, tiles);
    pose(k, tiles, &l);
    if (fit(&l, &end) != LH_OK || !end.settled) {
      failed++;
      continue;
    }
    for (size_t w = 0; w < LH_WAVES; w++) {
      size_t at = lh_learn_at_k(w);
      double R = truth.ground[0][w];
      count(&of_k, p[at] - log(truth.slip.absorption[w]), sd(&l, at));
      at = lh_learn_at_s(w);
      count(&of_s, p[at] - log(truth.slip.scattering[w]), sd(&l, at));
      at = lh_learn_at_ground(0, w);
      count(&of_ground, p[at] - log(R / (1 - R)), sd(&l, at));
    }
  }
  CHECK(failed == 0, "%s: every one of %d settles", name, (int)seeds);
  holds(&of_k, name, "K");
  holds(&of_s, name, "S");
  holds(&of_ground, name, "the ground");
}

/* A coat 30 % too heavy on one tile is found as that tile's. */
static void one_off(void)
{
  static lh_learn_tile tiles[14];
  lh_learn l;
  lh_least_end end;
  size_t most = 0;

  made_tiles(&truth, &surface, false, 0.001, 0.01, 7, tiles);
  tiles[6].coat /= 1.3;
  tiles[6].coat_sd = 0.05;
  pose(GLAZED, tiles, &l);
  for (size_t i = 0; i < 14; i++) tiles[i].coat_sd = 0.05;
  CHECK(fit(&l, &end) == LH_OK, "one coat wrong: fits");
  for (size_t i = 1; i < 14; i++)
    if (fabs(log(lh_learn_coat(&l, p, i))) >
        fabs(log(lh_learn_coat(&l, p, most))))
      most = i;
  CHECK(most == 6, "the tile whose coat is off is told");
  CHECK_NEAR(lh_learn_coat(&l, p, 6), 1.3, 0.1, "and by how much");
}

static void refusals(void)
{
  static lh_learn_tile tiles[14];
  lh_learn l;
  size_t bad = 0;

  made_tiles(&truth, &surface, false, 0.003, 0.05, 1, tiles);
  pose(DISSOLVING, tiles, &l);
  CHECK(lh_learn_check(&l, &bad) == LH_OK, "six coats over two grounds");
  l.n = 10; /* four coats */
  CHECK(lh_learn_check(&l, &bad) == LH_RANGE, "dissolving from four coats");
  l.n = 14;
  tiles[3].glaze = 0;
  CHECK(lh_learn_check(&l, &bad) == LH_RANGE && bad == 3,
        "a bare tile among glazed ones");
  tiles[3].glaze = 500;
  tiles[5].reading[7] = NAN;
  CHECK(lh_learn_check(&l, &bad) == LH_RANGE && bad == 5, "NaN in a reading");
  tiles[5].reading[7] = 0.5;
  tiles[9].coat = -1;
  CHECK(lh_learn_check(&l, &bad) == LH_RANGE && bad == 9, "a coat below 0");
  tiles[9].coat = 100;
  l.grounds = 3;
  CHECK(lh_learn_check(&l, &bad) == LH_RANGE && bad == 14,
        "a ground without a tile of its own");
  l.grounds = 2;
  for (size_t i = 0; i < 14; i++) tiles[i].glaze = 500;
  l.learn_eaten = false;
  CHECK(lh_learn_check(&l, &bad) == LH_RANGE,
        "the glaze's absorption from one weight of it");
}

/* Any argument: the coverages that take longer. */
int main(int argc, char **argv)
{
  (void)argv;
  lh_glaze_tabulate(1.5, LH_D8_IN, &surface);
  made_blue(&truth);
  if (argc > 1) {
    coverage(GLAZED, "glazed", 200);
    coverage(GLAZE_TOO, "glaze learnt", 200);
    return CHECK_DONE();
  }
  exact(BARE, "bare");
  exact(GLAZED, "glazed");
  exact(GLAZE_TOO, "glaze learnt");
  exact(DISSOLVING, "dissolving");
  coverage(BARE, "bare", 200);
  coverage(DISSOLVING, "dissolving", 200);
  one_off();
  refusals();
  return CHECK_DONE();
}
