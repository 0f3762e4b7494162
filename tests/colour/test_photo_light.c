/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_photo_light.c -- light and camera told by patches of known colour.
**
** The patches are the 24 of a measured chart (Ohta 1997; tests/ref), their
** colours as published.  Cameras and lights are drawn here: what is written
** is ((I + D)^-1 colour / e^field)^(1/g), inverted by GSL.  The oracle for the
** least squares is GSL's multifit_nlinear on the sum that the header states.
*/
#include <math.h>
#include <string.h>

#include <gsl/gsl_linalg.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include "chart24_colour.h"
#include "check.h"
#include "difference.h"
#include "photo_light.h"

enum { P = 24, U = LH_LIGHT_UNKNOWNS };

static lh_lab known[P];

static void read_chart(void)
{
  size_t n = 0;

  for (size_t i = 0; i < chart24_colour_count; i++) {
    const chart24_colour_row *t = &chart24_colour[i];
    if (strcmp(t->illuminant, "D65") == 0 && n < P)
      known[n++] = (lh_lab){t->L, t->a, t->b};
  }
  CHECK(n == P, "24 patches under D65");
}

/* ---- a camera and a light ------------------------------------------------ */

typedef struct {
  double exposure, field[5], g, back[3][3]; /* (I + D)^-1 */
} camera;

static camera draw_camera(gsl_rng *r, double share)
{
  camera c;
  gsl_matrix *m = gsl_matrix_alloc(3, 3), *inverse = gsl_matrix_alloc(3, 3);
  gsl_permutation *p = gsl_permutation_alloc(3);
  int sign;

  for (size_t i = 0; i < 3; i++)
    for (size_t k = 0; k < 3; k++)
      gsl_matrix_set(m, i, k, (i == k) + share * gsl_ran_gaussian(r, 0.2));
  gsl_linalg_LU_decomp(m, p, &sign);
  gsl_linalg_LU_invert(m, p, inverse);
  for (size_t i = 0; i < 3; i++)
    for (size_t k = 0; k < 3; k++) c.back[i][k] = gsl_matrix_get(inverse, i, k);
  for (size_t k = 0; k < 5; k++)
    c.field[k] = share * gsl_ran_gaussian(r, k < 2 ? 0.3 : 0.15);
  c.exposure = share * gsl_ran_gaussian(r, 0.5);
  c.g = 1 + share * gsl_ran_gaussian(r, 0.15);
  gsl_permutation_free(p);
  gsl_matrix_free(m);
  gsl_matrix_free(inverse);
  return c;
}

static void written(const camera *c, double x, double y, lh_lab lab,
                    double rgb[3])
{
  double u = 2 * x - 1, v = 2 * y - 1, at[3];
  double light =
      exp(-(c->exposure + c->field[0] * u + c->field[1] * v +
            c->field[2] * u * u + c->field[3] * u * v + c->field[4] * v * v));
  lh_rgb s = lh_lab_srgb(lab);

  at[0] = lh_srgb_decode(s.r), at[1] = lh_srgb_decode(s.g);
  at[2] = lh_srgb_decode(s.b);
  for (size_t i = 0; i < 3; i++) {
    double z = light * (c->back[i][0] * at[0] + c->back[i][1] * at[1] +
                        c->back[i][2] * at[2]);
    rgb[i] = copysign(pow(fabs(z), 1 / c->g), z);
  }
}

/* A colour missed as cameras miss: by L*, C* and h in CIE94's weights. */
static lh_lab missed(gsl_rng *r, lh_lab c, double miss)
{
  double C = hypot(c.a, c.b), h = atan2(c.b, c.a);
  double dC = gsl_ran_gaussian(r, miss * (1 + 0.045 * C)),
         dh = gsl_ran_gaussian(r, miss * (1 + 0.015 * C));

  c.L += gsl_ran_gaussian(r, miss);
  c.a += cos(h) * dC - sin(h) * dh;
  c.b += sin(h) * dC + cos(h) * dh;
  return c;
}

static void place(size_t i, double *x, double *y)
{
  *x = ((double)(i % 6) + 0.5) / 6;
  *y = ((double)(i / 6) + 0.5) / 4;
}

static void chart(const camera *c, gsl_rng *r, double miss, lh_light_patch *t)
{
  for (size_t i = 0; i < P; i++) {
    place(i, &t[i].x, &t[i].y);
    t[i].lab = known[i];
    written(c, t[i].x, t[i].y, r ? missed(r, known[i], miss) : known[i],
            t[i].rgb);
  }
}

/* ---- without a miss all comes back --------------------------------------- */

static void test_exact(gsl_rng *r)
{
  lh_light_patch t[P];
  lh_light_fit fit;
  double worst = 0, field = 0;
  camera c = draw_camera(r, 1);

  chart(&c, NULL, 0, t);
  CHECK(lh_light_find(t, P, NULL, &fit) == LH_OK && fit.settled, "settled");
  CHECK_NEAR(fit.miss, LH_LIGHT_MISS_LEAST, 0, "nothing missed, but the least");
  for (size_t i = 0; i < P; i++) {
    double x = t[i].x, y = t[i].y, u = 2 * x - 1, v = 2 * y - 1;
    double f = c.field[0] * u + c.field[1] * v + c.field[2] * u * u +
               c.field[3] * u * v + c.field[4] * v * v;
    worst =
        fmax(worst, lh_delta_e00(lh_light_lab(&fit, x, y, t[i].rgb), t[i].lab));
    field = fmax(field, fabs(log(lh_light_field(&fit, x, y)) - f));
  }
  /* What is known beforehand pulls by its weight beside 72 readings of 0.5. */
  CHECK(worst < LH_LIGHT_MISS_LEAST, "the patches come back within the least");
  CHECK(field < 0.05, "and the light within 5 %%");
  printf("# worst dE00 %.3f, light off by %.4f\n", worst, field);
}

/* ---- GSL finds the same least ------------------------------------------- */

typedef struct {
  const lh_light_patch *t;
  size_t n;
  double miss;
} sum;

static double sd_of(size_t j)
{
  return j <= 2   ? LH_LIGHT_SLOPE
         : j <= 5 ? LH_LIGHT_BEND
         : j == 6 ? LH_LIGHT_TONES
                  : LH_LIGHT_MIX;
}

static int off_by(const gsl_vector *p, void *who, gsl_vector *f)
{
  const sum *s = who;

  for (size_t i = 0; i < s->n; i++) {
    const lh_light_patch *t = &s->t[i];
    double u = 2 * t->x - 1, v = 2 * t->y - 1, bent[3], out[3];
    double terms[5] = {u, v, u * u, u * v, v * v}, e = gsl_vector_get(p, 0);
    for (size_t k = 0; k < 5; k++) e += gsl_vector_get(p, 1 + k) * terms[k];
    for (size_t k = 0; k < 3; k++)
      bent[k] =
          copysign(pow(fabs(t->rgb[k]), 1 + gsl_vector_get(p, 6)), t->rgb[k]);
    for (size_t k = 0; k < 3; k++) {
      out[k] = bent[k];
      for (size_t l = 0; l < 3; l++)
        out[k] += gsl_vector_get(p, 7 + 3 * k + l) * bent[l];
      out[k] = lh_srgb_encode(out[k] * exp(e));
    }
    lh_lab c = lh_srgb_lab((lh_rgb){out[0], out[1], out[2]});
    double C = hypot(t->lab.a, t->lab.b), h = atan2(t->lab.b, t->lab.a);
    double da = c.a - t->lab.a, db = c.b - t->lab.b;
    gsl_vector_set(f, 3 * i, (c.L - t->lab.L) / s->miss);
    gsl_vector_set(f, 3 * i + 1,
                   (cos(h) * da + sin(h) * db) / (1 + 0.045 * C) / s->miss);
    gsl_vector_set(f, 3 * i + 2,
                   (cos(h) * db - sin(h) * da) / (1 + 0.015 * C) / s->miss);
  }
  for (size_t j = 1; j < U; j++)
    gsl_vector_set(f, 3 * s->n + j - 1, gsl_vector_get(p, j) / sd_of(j));
  return GSL_SUCCESS;
}

static void test_oracle(gsl_rng *r)
{
  lh_light_patch t[P];
  lh_light_fit fit;
  camera c = draw_camera(r, 1);
  gsl_multifit_nlinear_parameters par =
      gsl_multifit_nlinear_default_parameters();
  gsl_matrix *covariance = gsl_matrix_alloc(U, U);
  double off = 0, wide = 0;
  int why;

  chart(&c, r, 1.5, t);
  lh_light_find(t, P, NULL, &fit);
  par.fdtype = GSL_MULTIFIT_NLINEAR_CTRDIFF;
  sum s = {t, P, fit.miss};
  gsl_multifit_nlinear_fdf fdf = {0};
  fdf.f = off_by;
  fdf.n = 3 * P + U - 1;
  fdf.p = U;
  fdf.params = &s;
  gsl_multifit_nlinear_workspace *w =
      gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &par, fdf.n, U);
  gsl_vector *begin = gsl_vector_calloc(U);
  gsl_vector_set(begin, 0, fit.p[0]);
  gsl_multifit_nlinear_init(begin, &fdf, w);
  int rc =
      gsl_multifit_nlinear_driver(500, 1e-10, 1e-12, 0, NULL, NULL, &why, w);
  gsl_multifit_nlinear_covar(gsl_multifit_nlinear_jac(w), 0, covariance);
  for (size_t j = 0; j < U; j++) {
    double sd = sqrt(gsl_matrix_get(covariance, j, j));
    off = fmax(off, fabs(gsl_vector_get(w->x, j) - fit.p[j]) / sd);
    wide = fmax(wide, fabs(sqrt(fit.covariance[j][j]) / sd - 1));
  }
  CHECK(rc == GSL_SUCCESS, "GSL settles");
  CHECK(off < 1e-4, "at the same place, to a thousandth of its errors");
  CHECK(wide < 1e-4, "with the same standard deviations");
  printf("# %.2g of a standard deviation apart; widths differ by %.2g\n", off,
         wide);
  gsl_multifit_nlinear_free(w);
  gsl_vector_free(begin);
  gsl_matrix_free(covariance);
}

/* ---- the stated range ---------------------------------------------------- */

/* Over many drawn pictures the true colour of a tile lies within the stated
** range in nine of ten.  The tiles are colours of the chart at places between
** the patches; the patches that are told are a random few.  86 to 94 % is
** asked: of 200 pictures whose two tiles share their errors, 2 % is one
** standard deviation at worst (3 of 200). */
static void test_range(gsl_rng *r, size_t least, size_t most, const char *words)
{
  enum { PICTURES = 200, TILES = 2 };
  size_t in = 0;

  for (size_t k = 0; k < PICTURES; k++) {
    lh_light_patch t[P], all[P];
    lh_light_fit fit;
    camera used;
    double miss = 0.8 + 1.4 * gsl_rng_uniform(r);
    size_t n = least + gsl_rng_uniform_int(r, most - least + 1), order[P];
    /* A camera that turns light into less than none is drawn again. */
    do {
      camera c = draw_camera(r, 1);
      chart(&c, r, miss, all);
      used = c;
      for (size_t i = 0; i < P; i++) order[i] = i;
      gsl_ran_shuffle(r, order, P, sizeof order[0]);
      for (size_t i = 0; i < n; i++) t[i] = all[order[i]];
    } while (lh_light_find(t, n, NULL, &fit) != LH_OK);
    for (size_t i = 0; i < TILES; i++) {
      double x = gsl_rng_uniform(r), y = gsl_rng_uniform(r), rgb[3];
      lh_lab truth = known[gsl_rng_uniform_int(r, P)];
      written(&used, x, y, missed(r, truth, miss), rgb);
      in += lh_delta_e00(lh_light_lab(&fit, x, y, rgb), truth) <=
            lh_light_range(&fit, x, y, rgb);
    }
  }
  double share = 100.0 * (double)in / (PICTURES * TILES);
  CHECK(share >= 86 && share <= 94, "%s: the 90 %% range holds in 86 to 94 %%",
        words);
  printf("# %.1f %%\n", share);
}

/* One grey fixes exposure and white; a tile of its colour beside it is read
** well, one of another colour far off is not, and it is said. */
static void test_one_grey(gsl_rng *r)
{
  camera c = draw_camera(r, 0.7);
  lh_light_patch t = {.x = 0.5, .y = 0.5, .lab = {65, 0, 0}};
  lh_light_fit fit;
  double near[3], far[3];

  written(&c, 0.5, 0.5, t.lab, t.rgb);
  written(&c, 0.55, 0.5, (lh_lab){60, 0, 0}, near);
  written(&c, 0.95, 0.95, (lh_lab){40, 40, -30}, far);
  CHECK(lh_light_find(&t, 1, NULL, &fit) == LH_OK, "one grey patch is enough");
  CHECK(lh_delta_e00(lh_light_lab(&fit, 0.5, 0.5, t.rgb), t.lab) < 0.5,
        "and comes back");
  CHECK(lh_light_range(&fit, 0.55, 0.5, near) <
            0.5 * lh_light_range(&fit, 0.95, 0.95, far),
        "what is like it and near is surer than what is not");
}

/* ---- patches that disagree ----------------------------------------------- */

static size_t named(const lh_light_patch *t, size_t n, size_t who[2])
{
  lh_light_verdict v[P];
  size_t count = 0;

  if (lh_light_judge(t, n, NULL, v) != LH_OK) return 99;
  for (size_t i = 0; i < n; i++) {
    if (!v[i].apart) continue;
    if (count < 2) who[count] = i;
    count++;
  }
  return count;
}

static void test_apart(gsl_rng *r)
{
  size_t wrong = 0, none = 0, both = 0, who[2] = {99, 99};
  enum { TIMES = 12 };

  for (size_t k = 0; k < TIMES; k++) {
    lh_light_patch t[P];
    camera c = draw_camera(r, 1);
    double rgb[3];
    size_t i = gsl_rng_uniform_int(r, P), j = (i + 5) % P;
    chart(&c, r, 1.2, t);
    size_t good = named(t, P, who);
    if (good == 99) { /* a camera that cannot be */
      k--;
      continue;
    }
    none += good == 0;
    t[i].lab.a += t[i].lab.a > 0 ? -40 : 40; /* its Lab is wrong */
    t[i].lab.L += t[i].lab.L > 50 ? -15 : 15;
    wrong += named(t, P, who) == 1 && who[0] == i;
    chart(&c, r, 1.2, t);
    memcpy(rgb, t[i].rgb, sizeof rgb); /* two discs on each other's patch */
    memcpy(t[i].rgb, t[j].rgb, sizeof rgb);
    memcpy(t[j].rgb, rgb, sizeof rgb);
    if (lh_delta_e00(known[i], known[j]) < 25)
      both++; /* hardly to be told apart */
    else
      both += named(t, P, who) == 2 && who[0] == (i < j ? i : j) &&
              who[1] == (i < j ? j : i);
  }
  CHECK(none == TIMES, "none of 24 that agree is named, each time");
  CHECK(wrong == TIMES, "one whose Lab is wrong is named alone, each time");
  CHECK(both >= TIMES - 2, "two that were swapped are both named");
  printf("# agreeing %zu, wrong %zu, swapped %zu of %d\n", none, wrong, both,
         TIMES);
}

static void test_disagree(gsl_rng *r)
{
  lh_light_patch t[P];
  lh_light_fit fit;
  camera c = draw_camera(r, 1);
  lh_lab was[P];

  chart(&c, r, 1, t);
  for (size_t i = 0; i < P; i++) was[i] = t[i].lab;
  for (size_t i = 0; i < P; i++) t[i].lab = was[(i + 7) % P];
  CHECK(lh_light_find(t, P, NULL, &fit) == LH_OK &&
            fit.miss > LH_LIGHT_DISAGREE,
        "a chart read from the wrong end disagrees");
  printf("# miss %.1f\n", fit.miss);
}

static bool stop(void *who, double done)
{
  (void)who;
  (void)done;
  return false;
}

static void test_refused(void)
{
  lh_light_patch t = {0.5, 0.5, {0.2, 0.2, 0.2}, {50, 0, 0}}, bad;
  lh_light_verdict v[1];
  lh_light_fit fit;
  bool leave = true;

  CHECK(lh_light_find(&t, 0, NULL, &fit) == LH_RANGE, "no patch");
  CHECK(lh_light_find(&t, 1, &leave, &fit) == LH_RANGE, "all left out");
  CHECK(lh_light_judge(&t, 1, NULL, v) == LH_OK && isnan(v[0].off) &&
            !v[0].apart,
        "one alone cannot be judged");
  lh_watch watch = {stop, NULL};
  lh_light_patch two[2] = {t, t};
  lh_light_verdict w[2];
  CHECK(lh_light_judge(two, 2, &watch, w) == LH_CANCELLED, "called off");
  CHECK(lh_light_judge(&t, 0, NULL, v) == LH_RANGE, "none to be judged");
  for (int i = 0; i < 6; i++) {
    bad = t;
    if (i == 0) bad.rgb[0] = NAN;
    if (i == 1) bad.rgb[0] = bad.rgb[1] = bad.rgb[2] = 0;
    if (i == 2) bad.lab.L = 0;
    if (i == 3) bad.lab.b = INFINITY;
    if (i == 4) bad.x = 1.5;
    if (i == 5) bad.y = NAN;
    CHECK(lh_light_find(&bad, 1, NULL, &fit) == LH_RANGE &&
              lh_light_judge(&bad, 1, NULL, v) == LH_RANGE,
          "a patch that cannot be (%d)", i);
  }
}

int main(void)
{
  gsl_rng *r = gsl_rng_alloc(gsl_rng_mt19937);

  gsl_rng_set(r, 20261126);
  read_chart();
  test_exact(r);
  test_oracle(r);
  test_range(r, 12, 24, "12 to 24 patches");
  test_range(r, 3, 8, "3 to 8 patches");
  test_range(r, 1, 2, "1 or 2 patches");
  test_one_grey(r);
  test_apart(r);
  test_disagree(r);
  test_refused();
  gsl_rng_free(r);
  return CHECK_DONE();
}
