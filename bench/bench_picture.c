/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_picture.c -- the exact picture: 1920 x 1080 pixels, each with three
** layers of its own coat weights under a glaze, 36 wavelengths, to 8-bit sRGB.
** Nothing is remembered from pixel to pixel.
**
** picture_numpy.py beside it works the same pixels in plain double precision;
** the mean levels show that it is the same picture.  With the word "ms" only
** the milliseconds are printed.
*/
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "bench.h"
#include "stack.h"

enum { WIDE = 1920, HIGH = 1080, LAYERS = 3, TIMES = 3 };

/* Made-up slips, smooth over the wavelengths. */
static void make_slips(lh_slip_ready *slips)
{
  for (int k = 0; k < LAYERS; k++) {
    lh_slip_optics o;
    for (int w = 0; w < LH_WAVES; w++) {
      o.absorption[w] = 0.002 + 0.02 * (1 + sin(0.17 * w + 2.1 * k));
      o.scattering[w] = 0.03 + 0.01 * k;
    }
    if (lh_slip_prepare(&o, &slips[k]) != LH_OK) exit(3);
  }
}

/* Coat weights of pixel i, spread evenly. [g/m2] */
static void coats_of(size_t i, double coat[LAYERS])
{
  static const double root[LAYERS] = {1.4142135623730951, 1.7320508075688772,
                                      2.23606797749979};

  for (int k = 0; k < LAYERS; k++) {
    double v = (double)(i + 1) * root[k];
    coat[k] = 150 * (v - floor(v));
  }
}

static unsigned char byte_of(double v)
{
  return (unsigned char)(255 * v + 0.5);
}

static void draw(const lh_stack_ready *ready, unsigned char *rgb)
{
  static const unsigned char slip[LAYERS] = {0, 1, 2};

  for (size_t i = 0; i < (size_t)WIDE * HIGH; i++) {
    double coat[LAYERS];
    lh_rgb c;
    coats_of(i, coat);
    c = lh_srgb_clip(lh_spectrum_srgb(
        lh_stack_pixel(ready, slip, coat, LAYERS, NULL), LH_D65));
    rgb[3 * i] = byte_of(c.r);
    rgb[3 * i + 1] = byte_of(c.g);
    rgb[3 * i + 2] = byte_of(c.b);
  }
}

int main(int argc, char **argv)
{
  lh_slip_ready slips[LAYERS];
  static lh_stack_ready ready;
  lh_glaze glaze = {.index = 1.5};
  double body[LH_WAVES], best = 1e9, mean[3] = {0};
  unsigned char *rgb = malloc(3u * WIDE * HIGH);

  if (!rgb) return 3;
  make_slips(slips);
  for (int w = 0; w < LH_WAVES; w++) {
    body[w] = 0.1 + 0.3 * w / 35;
    glaze.optical_depth[w] = 0.05;
  }
  if (lh_stack_prepare(slips, LAYERS, body, &glaze, LH_D8_EX, LH_D65, &ready))
    return 3;
  for (int k = 0; k < TIMES; k++) {
    double from = bench_now();
    draw(&ready, rgb);
    best = fmin(best, bench_now() - from);
  }
  for (size_t i = 0; i < 3u * WIDE * HIGH; i++)
    mean[i % 3] += rgb[i] / (double)(WIDE * HIGH);
  if (argc > 1 && strcmp(argv[1], "ms") == 0) {
    printf("%.1f\n", 1e3 * best);
  } else {
    printf("| exact picture 1920 x 1080, 3 layers, one thread | ms | mean R, "
           "G, B |\n|---|---|---|\n");
    printf("| lh_stack_pixel | %.0f | %.3f %.3f %.3f |\n", 1e3 * best, mean[0],
           mean[1], mean[2]);
  }
  free(rgb);
  return 0;
}
