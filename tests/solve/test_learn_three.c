/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Learning from three numbers a tile: colours come back, spectra need not.
**
** The tiles are those of learn_tiles.h, seen by a colorimeter with noise dE
** 0.5 in each of L*, a*, b*; the check is on colours at coat weights of which
** no tile was made.
*/
#include "check.h"
#include "difference.h"
#include "learn_three.h"
#include "learn_tiles.h"
#include "least_rows.h"

enum { TILES = 12, UNKNOWNS = LH_THREE_OWN + TILES };

static made_truth truth;
static lh_glaze_table surface;
static lh_learn_tile made[14];
static lh_three_tile tiles[TILES];
static double p[UNKNOWNS], covariance[UNKNOWNS * UNKNOWNS];

static size_t row(void *who, const double *x, size_t i, double *off, size_t *at,
                  double *by)
{
  return lh_three_row(who, x, i, off, at, by);
}

static void pose(lh_three *l, double noise, uint64_t seed)
{
  *l = (lh_three){.tiles = tiles,
                  .n = TILES,
                  .grounds = 2,
                  .surface = &surface,
                  .absorb = 1e-4};
  memcpy(l->ground, truth.ground, sizeof truth.ground);
  lh_spectrum_rows(LH_D65, l->rows);
  l->white = lh_spectrum_white(LH_D65);
  for (size_t i = 0; i < TILES; i++) {
    const lh_learn_tile *m = &made[i + 2];
    lh_lab c = lh_spectrum_lab(m->reading, LH_D65);
    c.L += noise * made_normal(&seed);
    c.a += noise * made_normal(&seed);
    c.b += noise * made_normal(&seed);
    tiles[i] =
        (lh_three_tile){m->coat, 0.05, m->glaze, m->ground, NULL, c, 0.5};
  }
}

/* The colour that the truth has there. */
static lh_lab true_colour(double coat, double glaze, size_t ground)
{
  double R[LH_WAVES];

  for (size_t w = 0; w < LH_WAVES; w++) {
    lh_boundary b = lh_glaze_at(&surface, truth.absorb[w] * glaze);
    R[w] = lh_boundary_measured(
        &b, lh_layer_over(truth.slip.absorption[w], truth.slip.scattering[w],
                          coat, truth.ground[ground][w]));
  }
  return lh_spectrum_lab(R, LH_D65);
}

static void colours(void)
{
  static const double coats[] = {35, 70, 120, 200, 320};
  double worst = 0, sum = 0;
  int of = 0, unsettled = 0;

  for (uint64_t seed = 1; seed <= 20; seed++) {
    lh_three l;
    lh_least_problem problem = {.row = row, .who = &l};
    lh_least_end end;
    made_tiles(&truth, &surface, false, 0.001, 0.05, seed, made);
    pose(&l, 0.5, seed);
    problem.rows = lh_three_rows(&l);
    problem.unknowns = lh_three_unknowns(&l);
    lh_three_begin(&l, p);
    if (lh_least_rows(&problem, p, covariance, NULL, &end) != LH_OK ||
        !end.settled)
      unsettled++;
    for (size_t i = 0; i < 5; i++)
      for (size_t g = 0; g < 2; g++) {
        double d = lh_delta_e00(
            lh_three_predict(
                &l, p,
                &(lh_three_tile){.coat = coats[i], .glaze = 600, .ground = g}),
            true_colour(coats[i], 600, g));
        worst = fmax(worst, d);
        sum += d;
        of++;
      }
  }
  CHECK(unsettled == 0, "every one of 20 settles");
  /* The floor that goes with such readings is dE 4. */
  CHECK(worst < 4, "no colour between the tiles is off by dE00 4 (%.2f)",
        worst);
  CHECK(sum / of < 2, "the mean is off by less than 2 (%.2f)", sum / of);
}

static void refusals(void)
{
  lh_three l;
  size_t bad = 0;

  made_tiles(&truth, &surface, false, 0.001, 0.05, 1, made);
  pose(&l, 0.5, 1);
  CHECK(lh_three_check(&l, &bad) == LH_OK, "twelve tiles");
  tiles[4].reading.a = NAN;
  CHECK(lh_three_check(&l, &bad) == LH_RANGE && bad == 4, "NaN in a reading");
  tiles[4].reading.a = 0;
  tiles[2].coat = 0;
  CHECK(lh_three_check(&l, &bad) == LH_RANGE && bad == 2, "no coat");
  tiles[2].coat = 50;
  tiles[1].glaze = 0;
  CHECK(lh_three_check(&l, &bad) == LH_RANGE && bad == 1, "a bare one");
  l.n = 1;
  CHECK(lh_three_check(&l, &bad) == LH_RANGE, "one tile");
}

int main(void)
{
  lh_glaze_tabulate(1.5, LH_D8_IN, &surface);
  made_blue(&truth);
  colours();
  refusals();
  return CHECK_DONE();
}
