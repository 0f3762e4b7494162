/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_photo_disc.c -- pixels of a disc: what is lost, what counts. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>

#include "check.h"
#include "photo_disc.h"

enum { N = 2000 };

static double rgb[N][3], light[2 * N];

static double luminance(const double v[3])
{
  return 0.2126 * v[0] + 0.7152 * v[1] + 0.0722 * v[2];
}

/* Against GSL's trimmed mean of the luminances (it leaves floor(a n) out at
** each end of sorted data, as is stated here). */
static void test_trimmed(void)
{
  gsl_rng *r = gsl_rng_alloc(gsl_rng_mt19937);
  static double sorted[N];
  lh_disc_mean m;
  size_t cut = N / 10;
  double mean, sd;

  for (size_t i = 0; i < N; i++) {
    double v = 0.3 + 0.1 * gsl_rng_uniform(r);
    rgb[i][0] = v, rgb[i][1] = 0.8 * v, rgb[i][2] = 0.5 * v;
    sorted[i] = luminance(rgb[i]);
  }
  gsl_sort(sorted, 1, N);
  mean = gsl_stats_trmean_from_sorted_data(LH_DISC_TRIM, sorted, 1, N);
  sd = gsl_stats_sd_with_fixed_mean(sorted + cut, 1, N - 2 * cut, mean);
  CHECK(lh_disc_average(rgb[0], N, light, &m) == LH_OK, "a disc is averaged");
  CHECK_NEAR(luminance(m.rgb), mean, 1e-12, "as GSL's trimmed mean");
  CHECK_NEAR(m.rgb[2] / m.rgb[0], 0.5, 1e-12, "all channels of the same ones");
  CHECK_NEAR(m.scatter, sd / mean, 1e-9, "the scatter is GSL's");
  gsl_rng_free(r);
}

/* (Sums of 2,000 numbers are good to about 1e-13 of them, and the scatter to
** the root of that.)
** A glint on a twentieth of the disc and a speck on another change nothing
** but which pixels count: the mean of an even disc stays. */
static void test_glint(void)
{
  lh_disc_mean m;

  for (size_t i = 0; i < N; i++)
    for (size_t k = 0; k < 3; k++)
      rgb[i][k] = i % 20 == 3 ? 1 : i % 20 == 7 ? 0.001 : 0.2 + 0.1 * (double)k;
  CHECK(lh_disc_average(rgb[0], N, light, &m) == LH_OK, "glint and speck");
  for (size_t k = 0; k < 3; k++)
    CHECK_NEAR(m.rgb[k], 0.2 + 0.1 * (double)k, 1e-12,
               "channel %zu is that of the rest", k);
  CHECK_NEAR(m.scatter, 0, 1e-6, "which is even");
}

static void test_refused(void)
{
  lh_disc_mean m = {{7, 7, 7}, 7};

  CHECK(lh_disc_average(rgb[0], 0, light, &m) == LH_RANGE, "no pixel");
  memset(rgb, 0, sizeof rgb);
  CHECK(lh_disc_average(rgb[0], N, light, &m) == LH_RANGE, "no light");
  rgb[5][1] = NAN;
  CHECK(lh_disc_average(rgb[0], N, light, &m) == LH_RANGE, "no number");
  rgb[5][1] = INFINITY;
  CHECK(lh_disc_average(rgb[0], N, light, &m) == LH_RANGE, "no finite number");
  CHECK_NEAR(m.scatter, 7, 0, "and nothing is touched");
  rgb[0][0] = rgb[0][1] = rgb[0][2] = 0.25;
  CHECK(lh_disc_average(rgb[0], 1, light, &m) == LH_OK && m.rgb[0] == 0.25 &&
            m.scatter == 0,
        "one pixel is its own mean");
}

/* Counted by hand. */
static void test_lost(void)
{
  static const lh_disc_pixel four[] = {{255, 10, 10, 255},
                                       {0, 255, 9, 255},
                                       {100, 100, 0, 254},
                                       {1, 254, 1, 255}};
  lh_disc_lost l = lh_disc_count(four, 4, 255);

  CHECK_NEAR(l.burnt, 0.5, 0, "two of four at full scale in a channel");
  CHECK_NEAR(l.dark, 0.5, 0, "two of four at nought in a channel");
  CHECK_NEAR(l.clear, 0.25, 0, "one is not opaque");
  l = lh_disc_count(four, 4, 65535);
  CHECK(l.burnt == 0 && l.clear == 1, "of 16 bits 255 is not full");
  l = lh_disc_count(four, 0, 255);
  CHECK(l.burnt == 0 && l.dark == 0 && l.clear == 0, "none of none");
}

int main(void)
{
  test_trimmed();
  test_glint();
  test_refused();
  test_lost();
  return CHECK_DONE();
}
