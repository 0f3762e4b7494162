/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How sure a choice is: against distributions in closed form, against the
** derivatives of lh_recipe_fire(), and by coverage of truths drawn another
** way.  Tolerances are four standard errors of the number of draws.  numpy's
** own draws of the same problems are in doubt.py. */
#include "check.h"
#include "doubt.h"
#include "draw.h"
#include "exact.h"
#include "recipe.h"

static unsigned char block[64 << 20];
static lh_doubt_choice out[4];
static size_t row[LH_OXIDES];
static size_t CAO, SIO2, AL2O3, K2O;

static void *none(lh_arena *a, size_t n)
{
  (void)a;
  (void)n;
  return NULL;
}

static lh_status weigh(const lh_doubt_ask *q)
{
  lh_arena a = {.more = none, .at = block, .left = sizeof block};

  return lh_doubt_weigh(q, out, &a, NULL);
}

/* A material of up to two oxides, the second with an error. */
static lh_material stuff(size_t a, double mol, size_t b, double other, double e)
{
  lh_material m = {.total = 100.0};

  m.mol[a] += mol;
  m.mol[b] += other;
  m.mol_e[b] = e;
  return m;
}

/* Unity SiO2 of flux CaO (1 + d z) and certain silica is 1/(1 + d z): falling,
** so that its quantiles are those of z turned round. */
static void test_quotient(void)
{
  const double d = 0.05, n = 20000;
  lh_material lime = stuff(SIO2, 0.0, CAO, 1.0, d * LH_SIGMAS_OF_90),
              flint = stuff(SIO2, 1.0, SIO2, 0.0, 0.0);
  const lh_material *m[] = {&lime, &flint};
  double grams[] = {1.0, 1.0}, target[LH_OXIDES] = {0.0};
  lh_doubt_ask q = {.material = m, .materials = 2, .row = row};
  /* Standard error of the quantile at 5 %, in z, and through the slope. */
  double se = sqrt(0.05 * 0.95 / n) / 0.10313564037537139;
  double t = LH_SIGMAS_OF_90;

  q.rows = LH_OXIDES;
  target[CAO] = target[SIO2] = 1.0;
  q.target = target;
  q.grams = grams;
  q.choices = 1;
  q.draws = (size_t)n;
  CHECK(weigh(&q) == LH_OK, "a quotient");
  CHECK_NEAR(out[0].made[SIO2].printed, 1.0, 1e-15, "as printed");
  CHECK_NEAR(out[0].made[SIO2].low, 1.0 / (1.0 + d * t),
             4.0 * se * d / pow(1.0 + d * t, 2.0), "its low end");
  CHECK_NEAR(out[0].made[SIO2].high, 1.0 / (1.0 - d * t),
             4.0 * se * d / pow(1.0 - d * t, 2.0), "its high end");
  CHECK_NEAR(out[0].made[SIO2].middle, 1.0, 4.0 * d * sqrt((0.5 * LH_PI) / n),
             "its middle");
  CHECK_NEAR(out[0].made[CAO].low, 1.0, 1e-15, "the flux is one always");
  /* The angle off the target is atan(1 + d z) - 45 degrees. */
  CHECK_NEAR(out[0].distance.middle,
             sqrt(2.0) * sin(0.5 * d * 0.6744897501960817),
             4.0 * 0.5 * d * sqrt(2.0) * sqrt(0.25 / n) / 0.6355, /* 2 phi */
             "half of the draws are nearer than this");
}

/* Two choices off by a z1 and b z2: the first is nearer with probability
** (2/pi) atan(b/a). */
static void test_best(void)
{
  const double a = 0.004, b = 0.009;
  lh_material one = stuff(CAO, 1.0, SIO2, 1.0, a * LH_SIGMAS_OF_90),
              two = stuff(CAO, 1.0, SIO2, 1.0, b * LH_SIGMAS_OF_90);
  const lh_material *m[] = {&one, &two};
  double grams[] = {3.0, 0.0, 0.0, 7.0}, target[LH_OXIDES] = {0.0};
  double want = atan(b / a) / (0.5 * LH_PI), first;
  uint64_t id[] = {5, 5};
  lh_doubt_ask q = {.material = m, .materials = 2, .row = row};

  q.rows = LH_OXIDES;
  target[CAO] = target[SIO2] = 1.0;
  q.target = target;
  q.grams = grams;
  q.choices = 2;
  CHECK(weigh(&q) == LH_OK, "two choices");
  /* And b for what the second order of 1 + b z may do. */
  CHECK_NEAR(out[0].best, want, 4.0 * sqrt(want * (1.0 - want) / 1e4) + b,
             "the first is best in %.3f", want);
  CHECK_NEAR(out[0].best + out[1].best, 1.0, 1e-15, "one of them always is");
  CHECK_NEAR(out[0].best_e, 1.645 * sqrt(want * (1.0 - want) / 1e4), 4e-4,
             "known so well");
  first = out[0].best;
  CHECK(weigh(&q) == LH_OK && out[0].best == first, "the same bits again");
  q.seed = 99;
  CHECK(weigh(&q) == LH_OK && out[0].best != first, "another seed, other luck");
  q.id = id;
  CHECK(weigh(&q) == LH_OK && out[0].best == 1.0,
        "of one bag they err alike, and the surer is always the nearer");
}

/* A glaze of three uncertain materials. */
static void glaze(lh_material m[3])
{
  m[0] = stuff(AL2O3, 0.0018, SIO2, 0.0108, 0.00021);
  m[0].mol[K2O] = 0.0018;
  m[0].mol_e[K2O] = 0.00005;
  m[0].mol_e[AL2O3] = 0.00004;
  m[1] = stuff(SIO2, 0.0001, CAO, 0.0098, 0.0002);
  m[1].mol_e[SIO2] = 0.00004;
  m[2] = stuff(AL2O3, 0.0039, SIO2, 0.0078, 0.0002);
  m[2].mol_e[AL2O3] = 0.0001;
}

enum { TRUTHS = 4000 };

/* How many truths have a silica in this range, drawn by another generator
** (Knuth's MMIX; Box and Muller). */
static int truths_within(const lh_material m[3], const double grams[3],
                         lh_doubt_figure span)
{
  uint64_t s = 1;
  int in = 0;

  for (int t = 0; t < TRUTHS; t++) {
    double mol[LH_OXIDES] = {0.0}, u;
    for (size_t j = 0; j < 3; j++)
      for (size_t i = 0; i < LH_OXIDES; i++) {
        double v[2], z;
        for (int k = 0; k < 2; k++) {
          s = s * 6364136223846793005u + 1442695040888963407u;
          v[k] = ((double)(s >> 11) + 0.5) * 0x1p-53;
        }
        z = sqrt(-2.0 * log(v[0])) * cos(2.0 * LH_PI * v[1]);
        mol[i] +=
            grams[j] * fmax(0.0, m[j].mol[i] + m[j].mol_e[i] / 1.644854 * z);
      }
    u = mol[SIO2] / (mol[CAO] + mol[K2O]);
    in += u >= span.low && u <= span.high;
  }
  return in;
}

static void test_linear(void)
{
  lh_material m[3];
  const lh_material *at[] = {&m[0], &m[1], &m[2]};
  double grams[] = {45.0, 20.0, 35.0}, target[LH_OXIDES] = {0.0};
  lh_recipe_line lines[3];
  lh_recipe_fired fired;
  lh_doubt_ask q = {.material = at, .materials = 3, .row = row};
  double squares = 0.0;
  int in;

  glaze(m);
  for (size_t k = 0; k < 3; k++)
    lines[k] = (lh_recipe_line){&m[k], grams[k], false};
  lh_recipe_fire(lines, 3, NULL, &fired, NULL);
  q.rows = LH_OXIDES;
  memcpy(target, fired.unity, sizeof target);
  target[SIO2] += 0.1;
  q.target = target;
  q.grams = grams;
  q.choices = 1;
  CHECK(weigh(&q) == LH_OK, "a glaze");
  /* A quantile's standard error is 0.0211 deviations; of half the range 0.9 %
  ** of it; and a per cent for what is not linear at 2 % errors. */
  for (size_t k = 0; k < 3; k++) {
    size_t i = (size_t[]){SIO2, AL2O3, K2O}[k];
    CHECK_NEAR(0.5 * (out[0].made[i].high - out[0].made[i].low),
               fired.unity_e[i], 0.046 * fired.unity_e[i],
               "%s: the range that derivatives give", lh_oxide_symbol(i));
    CHECK_NEAR(out[0].made[i].printed, fired.unity[i], 1e-14, "as printed");
  }
  in = truths_within(m, grams, out[0].made[SIO2]);
  CHECK_NEAR((double)in / TRUTHS, 0.9,
             4.0 * sqrt(0.09 / TRUTHS) + 4.0 * sqrt(2 * 0.0475 / 1e4),
             "nine truths of ten lie in the range");
  for (uint64_t seed = 1; seed <= 20; seed++) {
    double low = out[0].made[SIO2].low, high = out[0].made[SIO2].high;
    double sd = fired.unity_e[SIO2] / 1.645;
    q.seed = seed;
    weigh(&q);
    if (!(fabs(out[0].made[SIO2].low - low) < 0.0211 * sd * 5.7 &&
          fabs(out[0].made[SIO2].high - high) < 0.0211 * sd * 5.7))
      squares += 1.0;
  }
  CHECK(squares == 0.0, "20 seeds give that range too"); /* 5.7 = 4 sqrt 2 */
}

/* Errors a tenth so large: the mean of distance^2 is what is printed and the
** movement; and what each figure does, by hand. */
static void test_causes(void)
{
  lh_material lime = stuff(SIO2, 0.0, CAO, 0.01, 0.0),
              flint = stuff(CAO, 0.0, SIO2, 0.012, 0.0006),
              clay = stuff(CAO, 0.0, SIO2, 0.008, 0.0004);
  const lh_material *m[] = {&lime, &flint, &clay};
  double grams[] = {100.0, 50.0, 50.0}, target[LH_OXIDES] = {0.0}, sd1, sd2;
  lh_doubt_ask q = {.material = m, .materials = 3, .row = row};

  q.rows = LH_OXIDES;
  target[CAO] = target[SIO2] = 1.0;
  q.target = target;
  q.grams = grams;
  q.choices = 1;
  CHECK(weigh(&q) == LH_OK && out[0].causes == 2, "two figures are in doubt");
  /* Silica moves by 50 g of each: 36 to 16. */
  CHECK_NEAR(out[0].cause[0].share, 36.0 / 52.0, 1e-3, "flint's silica first");
  CHECK_NEAR(out[0].cause[1].share, 16.0 / 52.0, 1e-3, "then the clay's");
  CHECK(out[0].cause[0].material == 1 && out[0].cause[0].oxide == SIO2,
        "each by name");
  /* From (1, 1) a step d of the second is d/2 at its best scale and sqrt 2
  ** across: half of each in either row. */
  sd1 = 50.0 * 0.0006 / LH_SIGMAS_OF_90;
  sd2 = 50.0 * 0.0004 / LH_SIGMAS_OF_90;
  CHECK_NEAR(out[0].spread, sqrt((sd1 * sd1 + sd2 * sd2) / 2.0),
             1e-3 * out[0].spread, "the movement");
  /* Distance is |N| sd/sqrt 2: its 5, 50 and 95 % are those of |N|. */
  CHECK_NEAR(out[0].distance.high, 1.959964 * out[0].spread,
             0.03 * 1.96 * out[0].spread, "95 of 100 are nearer than this");
  q.measure = LH_SEARCH_SLIP;
  target[CAO] = target[SIO2] = 50.0;
  CHECK(weigh(&q) == LH_OK, "the same as a slip");
  /* d(100 s/(1 + s))/ds at 1 is 25, both rows by it. */
  CHECK_NEAR(out[0].spread, 25.0 * sqrt(2.0) * hypot(sd1, sd2),
             2e-3 * out[0].spread, "moves so many mole per cent");
  CHECK_NEAR(out[0].made[SIO2].high - out[0].made[SIO2].low,
             2.0 * 1.645 * 25.0 * hypot(sd1, sd2),
             0.04 * 50.0 * 1.645 * hypot(sd1, sd2), "and ranges so");
}

static void silica(void *who, const double mol[LH_OXIDES], double *values)
{
  values[0] = mol[SIO2] / mol[CAO];
  values[1] = values[0] > *(double *)who ? values[0] : NAN;
}

static void test_targets(void)
{
  lh_material m[3];
  const lh_material *at[] = {&m[0], &m[1], &m[2]};
  double same[] = {90.0, 40.0, 70.0, 45.0, 22.0, 33.0};
  double recipe[] = {45.0, 20.0, 35.0}, limit, fixed[LH_OXIDES] = {0.0};
  double sure, far;
  lh_doubt_ask q = {.material = at, .materials = 3, .row = row};

  glaze(m);
  q.rows = LH_OXIDES;
  q.target_grams = recipe;
  q.grams = same;
  q.choices = 2;
  CHECK(weigh(&q) == LH_OK, "a target that is a recipe of the same bags");
  CHECK(out[0].best == 1.0 && out[0].distance.high < 1e-12,
        "twice of it is never off, whatever is in the bags");
  CHECK(out[0].spread < 1e-12, "nothing moves it");
  sure = out[1].distance.high - out[1].distance.low;
  for (size_t i = 0; i < LH_OXIDES; i++) fixed[i] = out[0].made[i].printed;
  q.target_grams = NULL;
  q.target = fixed;
  CHECK(weigh(&q) == LH_OK, "against the same formula, held certain");
  far = out[1].distance.high - out[1].distance.low;
  CHECK(far > 3.0 * sure, "one does not know so well");

  q.extra = silica;
  q.extras = 2;
  q.who = &limit;
  limit = out[0].made[SIO2].printed; /* to fluxes, not to lime */
  limit = 0.0;
  weigh(&q);
  CHECK(out[0].extra[0].share == 1.0, "a figure of one's own");
  limit = out[0].extra[0].printed;
  weigh(&q);
  CHECK_NEAR(out[0].extra[1].share, 0.5, 4.0 * 0.005 + 0.01,
             "one that answers half of the time says so");
  CHECK(isnan(out[0].extra[1].printed) && out[0].extra[1].low >= limit,
        "and ranges over its answers");
  for (size_t i = 0; i < LH_OXIDES; i++) m[2].mol_e[i] = 1.0;
  weigh(&q);
  CHECK(out[0].made[AL2O3].low >= 0.0, "nothing is ever below nothing");
}

static void test_refusals(void)
{
  lh_material m[3], sure;
  const lh_material *at[] = {&m[0], &m[1], &m[2]};
  double grams[] = {45.0, 20.0, 35.0}, nothing[3] = {0.0};
  double target[LH_OXIDES] = {1.0};
  lh_doubt_ask q = {.material = at, .materials = 3, .row = row};

  glaze(m);
  q.rows = LH_OXIDES;
  q.target = target;
  q.grams = nothing;
  q.choices = 1;
  CHECK(weigh(&q) == LH_INPUT, "a choice of nothing");
  q.grams = grams;
  grams[1] = NAN;
  CHECK(weigh(&q) == LH_INPUT, "not a number");
  grams[1] = -1.0;
  CHECK(weigh(&q) == LH_INPUT, "less than nothing");
  grams[1] = 20.0;
  q.target = NULL;
  CHECK(weigh(&q) == LH_INPUT, "no target");
  q.target_grams = nothing;
  CHECK(weigh(&q) == LH_INPUT, "a target without a flux");
  q.choices = 51;
  CHECK(weigh(&q) == LH_TOOLARGE, "too many");

  m[0].mol_e[SIO2] = 0.0;
  m[0].mol_e[K2O] = 0.0001;
  CHECK(lh_doubt_judge(&m[0], 3.0, 0.1, &sure) == 1, "one figure was unsaid");
  CHECK_NEAR(sure.mol_e[SIO2], 0.03 * 0.0108, 1e-18, "3 %% of it");
  CHECK_NEAR(sure.mol_e[K2O], 0.0001, 0.0, "what is said stays");
  CHECK_NEAR(sure.mol_e[CAO], 0.0, 0.0, "what is not there stays out");
  m[0].mol[CAO] = 1e-6;
  lh_doubt_judge(&m[0], 3.0, 0.1, &sure);
  CHECK_NEAR(sure.mol_e[CAO], 0.001 / lh_oxide_weight(CAO), 1e-18,
             "a trace: a tenth of a per cent of the weight");
}

int main(void)
{
  CAO = lh_oxide_find("CaO");
  SIO2 = lh_oxide_find("SiO2");
  AL2O3 = lh_oxide_find("Al2O3");
  K2O = lh_oxide_find("K2O");
  for (size_t i = 0; i < LH_OXIDES; i++) row[i] = i;
  test_quotient();
  test_best();
  test_linear();
  test_causes();
  test_targets();
  test_refusals();
  return CHECK_DONE();
}
