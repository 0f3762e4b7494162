/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "batch.h"
#include "check.h"
#include "seeded.h"

static lh_batch_line part(double parts)
{
  return (lh_batch_line){parts, 0, (double)NAN, (double)NAN};
}

static lh_batch_line addition(double percent)
{
  return (lh_batch_line){percent, 1, (double)NAN, (double)NAN};
}

static lh_batch_ask ask_of(double dry, double step)
{
  return (lh_batch_ask){dry, step, LH_BATCH_SPARE, 1400, 2.6};
}

/* Shares of the whole, written out again for the tests. */
static void shares_of(const lh_batch_line *line, size_t n, double *f)
{
  double parts = 0, whole = 0;

  for (size_t i = 0; i < n; i++)
    parts += line[i].is_addition ? 0 : line[i].parts;
  for (size_t i = 0; i < n; i++) {
    f[i] = line[i].is_addition ? line[i].parts * parts / 100 : line[i].parts;
    whole += f[i];
  }
  for (size_t i = 0; i < n; i++) f[i] /= whole;
}

static double worst_of(const double *k, const double *f, size_t n, double *sq)
{
  double sum = 0, worst = 0;

  *sq = 0;
  for (size_t i = 0; i < n; i++) sum += k[i];
  for (size_t i = 0; i < n; i++) {
    double d = f[i] > 0 ? k[i] / (f[i] * sum) - 1 : 0;
    worst = fmax(worst, fabs(d));
    *sq += d * d;
  }
  return worst;
}

/* By hand: 6 bowls x 200 cm2 x 150 g/m2 = 18 g, a tenth more 19.8, and 5 g
** that stay in the jar. */
static void need(void)
{
  lh_batch_need a = {20000, 150, 6, 0.10, 5};
  double dry = -7;

  CHECK(lh_slip_batch_dry(&a, &dry) == LH_OK, "an area to cover");
  CHECK_NEAR(dry, 24.8, 1e-12, "24.8 g dry");
  a.waste = -0.1;
  CHECK(lh_slip_batch_dry(&a, &dry) == LH_RANGE, "negative waste");
  a = (lh_batch_need){20000, 150, 0, 0.1, 0};
  CHECK(lh_slip_batch_dry(&a, &dry) == LH_RANGE, "no pots, nothing to mix");
  a = (lh_batch_need){20000, (double)NAN, 6, 0.1, 5};
  CHECK(lh_slip_batch_dry(&a, &dry) == LH_RANGE, "NaN");
}

/* By hand: 100 parts and 6 % of stain: 106 g hold 50 + 30 + 20 + 6. */
static void plain(void)
{
  lh_batch_line line[] = {part(50), part(30), part(20), addition(6)};
  lh_batch_weighed w[4];
  lh_batch_total t;
  lh_batch_ask ask = ask_of(106, 0.1);
  static const double grams[] = {50, 30, 20, 6}, pan[] = {50, 80, 100, 106};

  line[0].price_per_kg = 2, line[3].price_per_kg = 100;
  line[0].stock_g = 40, line[1].stock_g = 31, line[3].stock_g = 3;
  CHECK(lh_slip_batch(&ask, line, 4, w, &t) == LH_OK, "a batch of 106 g");
  for (int i = 0; i < 4; i++) {
    CHECK_NEAR(w[i].grams, grams[i], 1e-9, "line %d: %g g", i + 1, grams[i]);
    CHECK_NEAR(w[i].running_g, pan[i], 1e-9, "the pan shows %g g", pan[i]);
  }
  CHECK_NEAR(t.rounding_error, 0, 1e-12, "nothing to round");
  CHECK_NEAR(t.dry_g, 106, 1e-9, "106 g in all");
  /* 1400 g/l at 2.6 holds 650 g dry (the handbook's table) and 750 of water */
  CHECK_NEAR(t.volume_ml, 106.0 / 650 * 1000, 1e-9, "its volume");
  CHECK_NEAR(t.water_g, 106.0 / 650 * 750, 1e-9, "its water");
  CHECK_NEAR(t.cost, 0.1 + 0.6, 1e-12, "50 g at 2 and 6 g at 100 a kg");
  CHECK(t.unpriced == 2, "two lines without a price");
  CHECK_NEAR(w[0].stock_left_g, -10, 1e-9, "10 g of the first are missing");
  CHECK(isnan(w[2].stock_left_g), "stock of the third is not known");
  CHECK(t.short_lines == 2 && t.first_short == 3, "the stain runs out first");
  CHECK_NEAR(t.stock_dry_g, 53, 1e-9, "it is enough for 53 g");
}

/* Every vector of whole steps whose sum lies in the window, by counting. */
static void try_all(const double *f, size_t n, size_t i, double left, double *k,
                    double *worst, double *squares)
{
  double sq, w;

  if (i + 1 == n) {
    k[i] = left;
    w = worst_of(k, f, n, &sq);
    if (w < *worst - 1e-12 || (w < *worst + 1e-12 && sq < *squares)) {
      *worst = w;
      *squares = sq;
    }
    return;
  }
  for (k[i] = 1; k[i] <= left - (double)(n - i - 1); k[i] += 1)
    try_all(f, n, i + 1, left - k[i], k, worst, squares);
}

static void against_all(void)
{
  int agree = 1, agree_squares = 1;

  for (int c = 0; c < 300; c++) {
    size_t n = 2 + (size_t)(c % 3);
    lh_batch_line line[4];
    lh_batch_weighed w[4];
    lh_batch_total t;
    lh_batch_ask ask = ask_of(floor(seeded(6, 26)), 1);
    double f[4], k[4], worst = 1e9, squares = 1e9;
    for (size_t i = 0; i < n; i++)
      line[i] =
          i + 1 == n && n > 2 ? addition(seeded(1, 30)) : part(seeded(1, 80));
    shares_of(line, n, f);
    for (double sum = ask.dry_g; sum <= ask.dry_g + (double)n; sum += 1)
      try_all(f, n, 0, sum, k, &worst, &squares);
    lh_slip_batch(&ask, line, n, w, &t);
    agree = agree && fabs(t.rounding_error - worst) < 1e-11;
    agree_squares = agree_squares &&
                    fabs(t.rounding_rms - sqrt(squares / (double)n)) < 1e-9;
  }
  CHECK(agree, "no other rounding has a truer worst line (all were tried)");
  CHECK(agree_squares, "nor, of equals, a smaller sum of squares");
}

/* Is the error no larger than that of rounding each line for itself, to the
** nearest and up, whenever that is enough? */
static int no_further(const lh_batch_ask *ask, const double *f, size_t n,
                      double error)
{
  double step = ask->scale_step_g, k[16], sq;
  int good = 1;

  for (int up = 0; up < 2; up++) {
    double have = 0;
    for (size_t i = 0; i < n; i++) {
      double q = f[i] * ask->dry_g / step;
      k[i] = up ? ceil(q) : fmax(round(q), 1);
      have += k[i];
    }
    if (have * step < ask->dry_g) continue;
    good = good && error <= worst_of(k, f, n, &sq) + 1e-11;
  }
  return good;
}

static void properties(void)
{
  double mass = 0, sum_off = 0, step_off = 0, error_off = 0, running_off = 0;
  int enough = 1, naive = 1, small = 1;

  for (int c = 0; c < 1500; c++) {
    size_t n = 1 + (size_t)seeded(0, 12);
    double step = c % 3 == 0 ? 1 : c % 3 == 1 ? 0.1 : 0.01;
    lh_batch_line line[16];
    lh_batch_weighed w[16];
    lh_batch_total t;
    lh_batch_ask ask = ask_of(seeded(20, 3000), step);
    double f[16], k[16], sq, sum = 0;
    ask.solids_density = seeded(2.3, 3.2);
    ask.litre_weight = seeded(1050, 1900);
    for (size_t i = 0; i < n; i++)
      line[i] =
          i > 0 && i % 3 == 2 ? addition(seeded(0.2, 12)) : part(seeded(1, 60));
    shares_of(line, n, f);
    if (lh_slip_batch(&ask, line, n, w, &t) != LH_OK) {
      CHECK(0, "case %d is refused", c);
      return;
    }
    for (size_t i = 0; i < n; i++) {
      sum += w[i].grams;
      k[i] = w[i].grams;
      step_off =
          fmax(step_off, fabs(w[i].grams / step - round(w[i].grams / step)));
      running_off = fmax(running_off, fabs(w[i].running_g - sum) / step);
    }
    sum_off = fmax(sum_off, fabs(sum - t.dry_g) / step);
    mass = fmax(mass, fabs((t.dry_g + t.water_g) /
                               (t.volume_ml * ask.litre_weight / 1000) -
                           1));
    /* volumes of solids and water must make the slip's */
    mass = fmax(
        mass,
        fabs((t.dry_g / ask.solids_density + t.water_g) / t.volume_ml - 1));
    error_off =
        fmax(error_off, fabs(worst_of(k, f, n, &sq) - t.rounding_error));
    enough = enough && t.dry_g >= ask.dry_g * (1 - 1e-12);
    small = small && t.dry_g <= fmax((ask.dry_g + step) * (1 + LH_BATCH_SPARE),
                                     ask.dry_g + step * (double)(n + 1)) +
                                    1e-9;
    naive = naive && no_further(&ask, f, n, t.rounding_error);
  }
  /* three or four operations of rounding each */
  CHECK_NEAR(mass, 0, 1e-12, "dry and water make weight and volume");
  CHECK_NEAR(sum_off, 0, 1e-7, "the lines add to the batch");
  CHECK_NEAR(running_off, 0, 1e-7, "the pan shows the sum so far");
  CHECK_NEAR(step_off, 0, 1e-7, "every line is a step of the scale");
  CHECK_NEAR(error_off, 0, 1e-11, "the error stated is the error made");
  CHECK(enough, "never less than needed");
  CHECK(small, "never much more than needed");
  CHECK(naive, "never further off than rounding line by line");
}

static void refusals(void)
{
  lh_batch_line line[LH_BATCH_LINES + 1], two[] = {part(0), part(0)};
  lh_batch_weighed w[LH_BATCH_LINES + 1];
  lh_batch_total t = {.dry_g = -7};
  lh_batch_ask ask = ask_of(100, 0.1);

  for (int i = 0; i <= LH_BATCH_LINES; i++) line[i] = part(1 + i);
  CHECK(lh_slip_batch(&ask, line, LH_BATCH_LINES + 1, w, &t) == LH_TOOLARGE,
        "too many lines");
  CHECK(lh_slip_batch(&ask, line, 0, w, &t) == LH_RANGE, "no lines");
  CHECK(lh_slip_batch(&ask, two, 2, w, &t) == LH_RANGE, "parts of nothing");
  two[0] = addition(5);
  CHECK(lh_slip_batch(&ask, two, 1, w, &t) == LH_RANGE, "additions alone");
  two[0] = part(-5), two[1] = part(10);
  CHECK(lh_slip_batch(&ask, two, 2, w, &t) == LH_RANGE, "negative parts");
  two[0] = part((double)NAN);
  CHECK(lh_slip_batch(&ask, two, 2, w, &t) == LH_RANGE, "NaN parts");
  ask = ask_of(100, 0);
  CHECK(lh_slip_batch(&ask, line, 3, w, &t) == LH_RANGE, "a scale of no step");
  ask = ask_of(1e9, 0.001);
  CHECK(lh_slip_batch(&ask, line, 3, w, &t) == LH_RANGE, "1e12 steps");
  ask = ask_of(0, 0.1);
  CHECK(lh_slip_batch(&ask, line, 3, w, &t) == LH_RANGE, "nothing to make");
  ask = ask_of(100, 0.1), ask.litre_weight = 1000;
  CHECK(lh_slip_batch(&ask, line, 3, w, &t) == LH_RANGE, "to mix to water");
  CHECK(t.dry_g == -7, "a refusal leaves the batch alone");
  ask = ask_of(1, 0.1);
  CHECK(lh_slip_batch(&ask, line, LH_BATCH_LINES, w, &t) == LH_OK &&
            t.rounding_error > 1 && t.dry_g >= 6.4 - 1e-9,
        "a scale too coarse for its lines is answered, with its error");
  two[0] = part(0), two[1] = part(10);
  CHECK(lh_slip_batch(&ask, two, 2, w, &t) == LH_OK && w[0].grams == 0 &&
            t.rounding_error == 0,
        "a line of no parts is not weighed");
}

int main(void)
{
  need();
  plain();
  against_all();
  properties();
  refusals();
  return CHECK_DONE();
}
