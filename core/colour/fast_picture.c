/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fast_picture.h"

#include <assert.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "exact.h"

#if LH_FAST_X86
#include <immintrin.h>
#endif

/* ---- making ready ------------------------------------------------------- */

enum { FINE = 64, COARSE_MOST = 1024 };

/* A step is so small that half of one, to second order, is 2e-5 of the
** exponential: (2 G h/2)^2/2 with G h = 0.0063.  (judgement) */
static const double step_depth = 0.0063;

/* Where the table would grow too long the step may be larger, up to this:
** then 5e-4 of the exponential, which moves no colour by dE00 0.02. */
static const double step_most = 0.03;

/* The slip's own reflectance when endless, r. */
static double own(const lh_slip_ready *s, size_t w)
{
  double K = s->absorption[w], S = s->scattering[w];

  return S > 0.0 ? S / (K + S + s->decay[w]) : 0.0;
}

/* n rows, zeroed, each beginning at a multiple of 64 bytes. */
static float *take_rows(lh_arena *a, size_t n)
{
  unsigned char *p = lh_arena_take(a, n * LH_FAST_ROW * sizeof(float) + 63, 1);

  return p ? (float *)(void *)(p + (64 - (uintptr_t)p % 64) % 64) : NULL;
}

/* The table of one slip, reaching to `most` g/m2. */
static lh_status tabulate(const lh_slip_ready *s, double most, lh_arena *a,
                          lh_fast_layer *l)
{
  double deepest = 0.0, h;
  float *rows;
  size_t coarse;

  for (size_t w = 0; w < LH_WAVES; w++) {
    if (s->scattering[w] > 1e5 * s->absorption[w]) return LH_RANGE;
    deepest = fmax(deepest, s->decay[w]);
  }
  most = fmax(most, 1.0);
  h = deepest > 0.0 ? fmin(step_depth / deepest, most) : most;
  h = fmax(h, most / (FINE * (COARSE_MOST - 2)));
  if (deepest * h > step_most) return LH_RANGE;
  coarse = (size_t)(most / (FINE * h)) + 2;
  rows = take_rows(a, coarse + FINE + 1);
  if (!rows) return LH_NOMEM;
  l->per_coat = (float)(1.0 / h);
  h = 1.0 / (double)l->per_coat; /* of the very number that is used */
  l->most = (float)most;
  l->coarse = rows;
  l->fine = rows + coarse * LH_FAST_ROW;
  l->slope = l->fine + FINE * LH_FAST_ROW;
  for (size_t i = 0; i < coarse + FINE; i++)
    for (size_t w = 0; w < LH_WAVES; w++) {
      double x = i < coarse ? h * FINE * (double)i : h * (double)(i - coarse);
      rows[i * LH_FAST_ROW + w] = (float)lh_exact_exp(-2.0 * s->decay[w] * x);
    }
  for (size_t w = 0; w < LH_WAVES; w++)
    rows[(coarse + FINE) * LH_FAST_ROW + w] = (float)(-2.0 * s->decay[w] * h);
  return LH_OK;
}

/* m over the substrate and over each layer below. */
static lh_status join(const lh_stack_ready *ready, const unsigned char *slip,
                      int n, lh_arena *a, lh_fast_layer *l)
{
  const lh_slip_ready *s = &ready->slips[slip[n]];
  float *rows = take_rows(a, (size_t)n + 1);

  if (!rows) return LH_NOMEM;
  l->join = rows;
  for (int i = 0; i <= n; i++, rows += LH_FAST_ROW)
    for (size_t w = 0; w < LH_WAVES; w++) {
      double r = own(s, w), R = ready->substrate[w];
      if (i > 0) R = own(&ready->slips[slip[i - 1]], w);
      rows[w] = (float)((R - r) / (1.0 - r * R));
    }
  return LH_OK;
}

/* Linear sRGB of one unit of X, Y or Z under the palette's light; the curve
** is taken off again, so that no matrix stands here a second time. */
static void column(lh_illuminant ill, int which, double rgb[3])
{
  lh_xyz one = {which == 0, which == 1, which == 2};
  lh_rgb c = lh_spectrum_srgb(one, ill);

  rgb[0] = lh_srgb_decode(c.r);
  rgb[1] = lh_srgb_decode(c.g);
  rgb[2] = lh_srgb_decode(c.b);
}

/* The observer's three rows for linear sRGB. */
static void observer(const lh_fast_stack *f, double rows[3][LH_WAVES])
{
  const lh_stack_ready *ready = f->ready;

  for (size_t c = 0; c < 3; c++)
    for (size_t w = 0; w < LH_WAVES; w++)
      rows[c][w] = f->screen[0][c] * ready->rows[0][w] +
                   f->screen[1][c] * ready->rows[1][w] +
                   f->screen[2][c] * ready->rows[2][w];
}

/* The surface over a slip of which the glaze has had its fill. */
static lh_boundary surface(const lh_stack_ready *ready, const lh_slip_ready *s,
                           size_t w)
{
  if (!ready->glazed) return (lh_boundary){0.0, 1.0, 0.0};
  if (!(ready->eaten > 0.0 && ready->share > 0.0)) return ready->plain[w];
  return lh_glaze_at(&ready->table, ready->depth[w] + ready->share *
                                                          s->absorption[w] *
                                                          ready->eaten / 2);
}

static lh_status crown(const lh_stack_ready *ready, const unsigned char slip,
                       double rows[3][LH_WAVES], lh_arena *a, lh_fast_layer *l)
{
  const lh_slip_ready *s = &ready->slips[slip];
  float *turn = take_rows(a, 4), *weight;
  double constant[3] = {0.0, 0.0, 0.0};

  if (!turn) return LH_NOMEM;
  l->turn = turn;
  l->weight = weight = turn + LH_FAST_ROW;
  for (size_t w = 0; w < LH_WAVES; w++) {
    lh_boundary b = surface(ready, s, w);
    double r = own(s, w), c = 1.0 - b.k2 * r;
    double A = b.k1 + b.tt * r / c, B = b.tt * (1.0 - r * r) / (c * c);
    turn[w] = (float)((r - b.k2) / c);
    for (size_t k = 0; k < 3; k++) {
      weight[k * LH_FAST_ROW + w] = (float)(B * rows[k][w]);
      constant[k] += A * rows[k][w];
    }
  }
  for (size_t k = 0; k < 3; k++) l->constant[k] = (float)constant[k];
  return LH_OK;
}

/* A stack in double precision; slips from the lowest up. */
static void exact_rgb(const lh_fast_stack *f, const unsigned char *slip,
                      const double *coat, size_t n, float *rgb)
{
  unsigned char down[LH_FAST_LAYERS] = {0};
  double weight[LH_FAST_LAYERS] = {0};
  lh_xyz v;

  for (size_t i = 0; i < n; i++) {
    down[i] = slip[n - 1 - i];
    weight[i] = coat[n - 1 - i];
  }
  v = lh_stack_pixel(f->ready, down, weight, n, NULL);
  for (size_t c = 0; c < 3; c++)
    rgb[c] = (float)(f->screen[0][c] * v.x + f->screen[1][c] * v.y +
                     f->screen[2][c] * v.z);
}

lh_status lh_fast_prepare(const lh_stack_ready *ready,
                          const unsigned char *slip, const double *most,
                          int layers, lh_arena *a, lh_fast_stack *f)
{
  double rows[3][LH_WAVES];
  lh_status st = LH_OK;

  assert(layers >= 0 && layers <= LH_FAST_LAYERS);
  *f = (lh_fast_stack){.ready = ready, .layers = layers};
  f->eaten = (float)ready->eaten;
  for (int k = 0; k < 3; k++) column(ready->illuminant, k, f->screen[k]);
  exact_rgb(f, NULL, NULL, 0, f->bare);
  observer(f, rows);
  for (int n = 0; n < layers && st == LH_OK; n++) {
    lh_fast_layer *l = &f->layer[n];
    double far = most[n];
    int same = 0;
    while (slip[same] != slip[n]) same++;
    for (int i = n + 1; i < layers; i++)
      if (slip[i] == slip[n]) far = fmax(far, most[i]);
    if (same < n)
      *l = f->layer[same];
    else
      st = tabulate(&ready->slips[slip[n]], far, a, l);
    if (st == LH_OK) st = join(ready, slip, n, a, l);
    if (st == LH_OK && same == n) st = crown(ready, slip[n], rows, a, l);
    l->slip = slip[n];
  }
  return st;
}

/* ---- pixels ------------------------------------------------------------- */

/* Pixel k in double precision. */
static void exact_pixel(const lh_fast_stack *f, const float *const *coat,
                        size_t k, float *rgb)
{
  unsigned char slip[LH_FAST_LAYERS];
  double weight[LH_FAST_LAYERS];
  size_t n = 0;

  for (int i = 0; i < f->layers; i++) {
    if (!(coat[i][k] > 0.0f)) continue;
    slip[n] = f->layer[i].slip;
    weight[n++] = (double)coat[i][k];
  }
  exact_rgb(f, slip, weight, n, rgb);
}

/* Where a coat stands in its layer's table. */
typedef struct {
  int coarse, fine; /* [floats] */
  float rest;       /* of a step */
} fast_place;

enum { FAST_BLOCK = 64 }; /* pixels whose places are looked up together */

#define LANES 4
#define IN(x) x##_plain
#define TARGET
#include "fast_picture_body.h"
#undef LANES
#undef IN
#undef TARGET

#if LH_FAST_X86
#define LANES 8
#define IN(x) x##_avx2
#define TARGET __attribute__((target("avx2,fma")))
#include "fast_picture_body.h"
#undef LANES
#undef IN
#undef TARGET

#define LANES 16
#define IN(x) x##_avx512
#define TARGET __attribute__((target("avx2,fma,avx512f,avx512dq")))
#include "fast_picture_body.h"
#undef LANES
#undef IN
#undef TARGET
#endif

void lh_fast_rgb(lh_isa isa, const lh_fast_stack *f, const float *const *coat,
                 size_t n, float *rgb)
{
#if LH_FAST_X86
  if (isa == LH_ISA_AVX2) {
    rgb_avx2(f, coat, n, rgb);
    return;
  }
  if (isa == LH_ISA_AVX512) {
    rgb_avx512(f, coat, n, rgb);
    return;
  }
#endif
  (void)isa;
  rgb_plain(f, coat, n, rgb);
}

/* ---- to bytes ----------------------------------------------------------- */

static float of_bits(uint32_t u)
{
  float x;

  memcpy(&x, &u, sizeof x);
  return x;
}

/* 2^-13 has exponent 114; a place is 2^16 of its bits. */
static const uint32_t first = 114u << 23;

void lh_fast_codes_make(lh_fast_codes *t)
{
  for (uint32_t i = 0; i <= LH_FAST_CODES; i++) {
    double from = (double)of_bits(first + (i << 16));
    unsigned byte = (unsigned)(255.0 * lh_srgb_encode(from) + 0.5);
    t->code[i].byte = (unsigned char)byte;
    t->code[i].next = (float)lh_srgb_decode((byte + 0.5) / 255.0);
  }
}

void lh_fast_encode(const lh_fast_codes *t, const float *linear, size_t n,
                    unsigned char *byte)
{
  const float least = 0x1p-13f; /* below half a byte */

  for (size_t i = 0; i < n; i++) {
    float x = linear[i] > least ? linear[i] : least; /* NaN too */
    uint32_t bits;
    x = x < 1.0f ? x : 1.0f;
    memcpy(&bits, &x, sizeof bits);
    bits = (bits - first) >> 16;
    byte[i] = (unsigned char)(t->code[bits].byte + (x >= t->code[bits].next));
  }
}
