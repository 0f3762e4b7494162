/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_picture.c -- the exact picture: 1920 x 1080 pixels, each with three
** layers of its own coat weights under a glaze, 36 wavelengths, to 8-bit sRGB;
** and the table between nodes at 3840 x 2160.  Nothing is remembered from
** pixel to pixel, and the coat weights are laid before the clock starts.
**
** picture_numpy.py beside it works the same pixels; the mean levels show that
** it is the same picture.  With the word "ms" only the milliseconds of the
** fastest exact picture are printed.
*/
#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "bench.h"
#include "difference.h"
#include "fast_nodes.h"
#include "fast_plain.h"
#include "heap.h"
#include "machine.h"

enum {
  WIDE = 1920,
  HIGH = 1080,
  PIXELS = WIDE * HIGH,
  LAYERS = 3,
  BLOCK = 480
};

static lh_slip_optics optics[LAYERS];
static lh_slip_ready slips[LAYERS];
static lh_stack_ready ready;
static lh_fast_stack fast;
static lh_fast_codes codes;
static lh_fast_nodes nodes;
static plain_stack plain;
static double body[LH_WAVES];
static lh_glaze glaze = {.index = 1.5};
static float *coat[LAYERS]; /* of the lowest first */
static unsigned char *rgb;

/* Made-up slips, smooth over the wavelengths; 0 is the uppermost. */
static void make_slips(void)
{
  for (int k = 0; k < LAYERS; k++) {
    for (int w = 0; w < LH_WAVES; w++) {
      optics[k].absorption[w] = 0.002 + 0.02 * (1 + sin(0.17 * w + 2.1 * k));
      optics[k].scattering[w] = 0.03 + 0.01 * k;
    }
    if (lh_slip_prepare(&optics[k], &slips[k]) != LH_OK) exit(3);
  }
  for (int w = 0; w < LH_WAVES; w++) {
    body[w] = 0.1 + 0.3 * w / 35;
    glaze.optical_depth[w] = 0.05;
  }
}

/* Coat weights up to 150 g/m2, spread evenly. */
static void lay(void)
{
  static const double root[LAYERS] = {2.23606797749979, 1.7320508075688772,
                                      1.4142135623730951};

  for (int k = 0; k < LAYERS; k++) {
    coat[k] = malloc(PIXELS * sizeof(float));
    if (!coat[k]) exit(3);
    for (size_t i = 0; i < PIXELS; i++) {
      double v = (double)(i + 1) * root[k];
      coat[k][i] = (float)(150 * (v - floor(v)));
    }
  }
}

static void make_plain(void)
{
  static double a[LAYERS][LH_WAVES], b[LAYERS][LH_WAVES];

  plain.layers = LAYERS;
  plain.body = body;
  plain.surface = ready.plain;
  for (int n = 0; n < LAYERS; n++) {
    const lh_slip_optics *o = &optics[LAYERS - 1 - n];
    for (int w = 0; w < LH_WAVES; w++) {
      a[n][w] = 1 + o->absorption[w] / o->scattering[w];
      b[n][w] = sqrt(a[n][w] * a[n][w] - 1);
    }
    plain.a[n] = a[n];
    plain.b[n] = b[n];
    plain.S[n] = o->scattering;
  }
  for (int c = 0; c < 3; c++)
    for (int w = 0; w < LH_WAVES; w++)
      plain.rows[c][w] = fast.screen[0][c] * ready.rows[0][w] +
                         fast.screen[1][c] * ready.rows[1][w] +
                         fast.screen[2][c] * ready.rows[2][w];
}

static void make_all(lh_arena *a)
{
  static const unsigned char slip[LAYERS] = {2, 1, 0};
  static const double most[LAYERS] = {150, 150, 150};

  make_slips();
  lay();
  if (lh_stack_prepare(slips, LAYERS, body, &glaze, LH_D8_EX, LH_D65, &ready) ||
      lh_fast_prepare(&ready, slip, most, LAYERS, a, &fast) ||
      lh_fast_nodes_make(lh_machine_isa(), &fast, most, a, &nodes))
    exit(3);
  lh_fast_codes_make(&codes);
  make_plain();
}

/* ---- the ways ----------------------------------------------------------- */

static void coats_of(size_t i, double X[LAYERS])
{
  for (int k = 0; k < LAYERS; k++) X[k] = (double)coat[k][i];
}

static void put(size_t i, const double v[3])
{
  for (size_t c = 0; c < 3; c++)
    rgb[3 * i + c] = (unsigned char)(255 * plain_encode(v[c]) + 0.5);
}

static void draw_tanh(lh_isa isa)
{
  (void)isa;
  for (size_t i = 0; i < PIXELS; i++) {
    double X[LAYERS], v[3];
    coats_of(i, X);
    plain_tanh(&plain, X, v);
    put(i, v);
  }
}

static void draw_exp(lh_isa isa)
{
  (void)isa;
  for (size_t i = 0; i < PIXELS; i++) {
    double X[LAYERS], v[3];
    coats_of(i, X);
    plain_exp(&plain, X, v);
    put(i, v);
  }
}

static void draw_stack(lh_isa isa)
{
  static const unsigned char slip[LAYERS] = {0, 1, 2};

  (void)isa;
  for (size_t i = 0; i < PIXELS; i++) {
    double X[LAYERS], top[LAYERS];
    lh_rgb c;
    coats_of(i, X);
    for (int k = 0; k < LAYERS; k++) top[k] = X[LAYERS - 1 - k];
    c = lh_srgb_clip(lh_spectrum_srgb(
        lh_stack_pixel(&ready, slip, top, LAYERS, NULL), LH_D65));
    rgb[3 * i] = (unsigned char)(255 * c.r + 0.5);
    rgb[3 * i + 1] = (unsigned char)(255 * c.g + 0.5);
    rgb[3 * i + 2] = (unsigned char)(255 * c.b + 0.5);
  }
}

static void fast_part(lh_isa isa, size_t from, size_t end)
{
  float linear[3 * BLOCK];

  for (size_t i = from; i < end; i += BLOCK) {
    const float *at[] = {coat[0] + i, coat[1] + i, coat[2] + i};
    lh_fast_rgb(isa, &fast, at, BLOCK, linear);
    lh_fast_encode(isa, &codes, linear, 3 * (size_t)BLOCK, rgb + 3 * i);
  }
}

static void draw_fast(lh_isa isa)
{
  fast_part(isa, 0, PIXELS);
}

/* Half the picture each. */
static void *second(void *isa)
{
  fast_part(*(lh_isa *)isa, PIXELS / 2, PIXELS);
  return NULL;
}

static void draw_two(lh_isa isa)
{
  pthread_t t;

  if (pthread_create(&t, NULL, second, &isa)) exit(3);
  fast_part(isa, 0, PIXELS / 2);
  pthread_join(t, NULL);
}

/* Four times 1920 x 1080 is 3840 x 2160; the same pixels four times over. */
static void nodes_part(lh_isa isa, size_t from, size_t end)
{
  const float *at[] = {coat[0] + from, coat[1] + from, coat[2] + from};

  for (int k = 0; k < 4; k++)
    lh_fast_nodes_bytes(isa, &nodes, at, end - from, rgb + 3 * from);
}

static void draw_nodes(lh_isa isa)
{
  nodes_part(isa, 0, PIXELS);
}

static void *second_nodes(void *isa)
{
  nodes_part(*(lh_isa *)isa, PIXELS / 2, PIXELS);
  return NULL;
}

static void draw_nodes_two(lh_isa isa)
{
  pthread_t t;

  if (pthread_create(&t, NULL, second_nodes, &isa)) exit(3);
  nodes_part(isa, 0, PIXELS / 2);
  pthread_join(t, NULL);
}

/* ---- clock and error ---------------------------------------------------- */

static double best_of(int times, void (*draw)(lh_isa), lh_isa isa)
{
  double best = 1e9;

  for (int k = 0; k < times; k++) {
    double from = bench_now();
    draw(isa);
    best = fmin(best, bench_now() - from);
  }
  return 1e3 * best;
}

static void row(const char *name, double ms, double one_exp)
{
  double mean[3] = {0};

  for (size_t i = 0; i < 3u * PIXELS; i++)
    mean[i % 3] += rgb[i] / (double)PIXELS;
  printf("| %s | %.1f | %.1f | %.3f %.3f %.3f |\n", name, ms, one_exp / ms,
         mean[0], mean[1], mean[2]);
}

/* dE00 before rounding to bytes against the plain pixel, every 7th pixel. */
static void error(bool table, lh_isa isa, double *mean, double *most)
{
  size_t n = 0;

  *mean = *most = 0;
  for (size_t i = 0; i < PIXELS; i += 7, n++) {
    const float *at[] = {coat[0] + i, coat[1] + i, coat[2] + i};
    double X[LAYERS], v[3], d;
    float got[3];
    lh_rgb want, ours;
    coats_of(i, X);
    plain_tanh(&plain, X, v);
    want = (lh_rgb){lh_srgb_encode(v[0]), lh_srgb_encode(v[1]),
                    lh_srgb_encode(v[2])};
    if (table) {
      lh_fast_nodes_codes(isa, &nodes, at, 1, got);
      ours = (lh_rgb){(double)got[0] / 255, (double)got[1] / 255,
                      (double)got[2] / 255};
    } else {
      lh_fast_rgb(isa, &fast, at, 1, got);
      ours = (lh_rgb){lh_srgb_encode((double)got[0]),
                      lh_srgb_encode((double)got[1]),
                      lh_srgb_encode((double)got[2])};
    }
    d = lh_delta_e00(lh_srgb_lab(lh_srgb_clip(want)),
                     lh_srgb_lab(lh_srgb_clip(ours)));
    *mean += d;
    *most = fmax(*most, d);
  }
  *mean /= (double)n;
}

static void errors(lh_isa isa)
{
  double mean, most;

  error(false, isa, &mean, &most);
  printf("\ndE00 against plain double, before rounding: exact picture mean "
         "%.1e, most %.1e;\n",
         mean, most);
  error(true, isa, &mean, &most);
  printf("table mean %.3f, most %.3f.\n", mean, most);
}

int main(int argc, char **argv)
{
  lh_isa isa = lh_machine_isa();
  double one_exp;
  lh_arena a;

  rgb = malloc(3u * PIXELS);
  if (!rgb) return 3;
  lh_heap_open(&a);
  make_all(&a);
  if (argc > 1 && strcmp(argv[1], "ms") == 0) {
    printf("%.2f\n", best_of(7, draw_fast, isa));
    return 0;
  }
  printf("| exact picture 1920 x 1080, 3 layers, one thread | ms | times as "
         "fast as one exp | mean R, G, B |\n|---|---|---|---|\n");
  one_exp = best_of(2, draw_exp, isa);
  row("plain double, one exp a layer and wavelength", one_exp, one_exp);
  row("plain double, tanh as printed", best_of(1, draw_tanh, isa), one_exp);
  row("lh_stack_pixel", best_of(1, draw_stack, isa), one_exp);
  row("lh_fast_rgb, any processor", best_of(5, draw_fast, LH_ISA_PLAIN),
      one_exp);
  if (isa == LH_ISA_AVX512)
    row("lh_fast_rgb, AVX2", best_of(9, draw_fast, LH_ISA_AVX2), one_exp);
  row("lh_fast_rgb, this processor", best_of(9, draw_fast, isa), one_exp);
  row("the same, two threads", best_of(9, draw_two, isa), one_exp);
  row("table of 33 nodes, 3840 x 2160", best_of(5, draw_nodes, isa),
      4 * one_exp);
  row("the same, two threads", best_of(9, draw_nodes_two, isa), 4 * one_exp);
  errors(isa);
  lh_heap_free(&a);
  return 0;
}
