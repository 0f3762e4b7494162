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

/* Rows of a table stand at X_i + X_0, evenly within each octave; X_0, the
** first, is a power of two not above head/G where the slip is darkest.  From a
** row exp(-2 G X) goes on as a line, off by (G d)^2/2 of itself, d at most half
** a step: 8e-6 up to X_0, and beyond it 3e-5 of 1 at most, for where steps
** grow long the exponential is small: with y = G (X + X_0), y^2 exp(-2 y) is
** exp(-2) at most.  (judgement: it moves no colour by dE00 0.02) */
enum { SHIFT = 23 - 6, ROWS_MOST = 1024 }; /* 2^6 rows an octave */
static const double head = 0.25;

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

/* A row of what is the same for all pixels.  Its last four wavelengths stand
** four times: those of four pixels are worked out together. */
static void fill(float *row, const double of[LH_WAVES])
{
  for (size_t w = 0; w < LH_FAST_ROW; w++)
    row[w] = (float)of[w < LH_WAVES ? w : LH_FAST_LAST + w % 4];
}

static uint32_t bits_of(float x)
{
  uint32_t u;

  memcpy(&u, &x, sizeof u);
  return u;
}

static float of_bits(uint32_t u)
{
  float x;

  memcpy(&x, &u, sizeof x);
  return x;
}

/* The table of one slip, reaching to `most` g/m2. */
static lh_status tabulate(const lh_slip_ready *s, double most, lh_arena *a,
                          lh_fast_layer *l)
{
  double deepest = 0.0, slope[LH_WAVES];
  float *rows;
  size_t n;

  for (size_t w = 0; w < LH_WAVES; w++) {
    if (s->scattering[w] > 1e5 * s->absorption[w]) return LH_RANGE;
    deepest = fmax(deepest, s->decay[w]);
    slope[w] = -2.0 * s->decay[w];
  }
  most = fmin(fmax(most, 1.0), 1e30);
  l->first = of_bits(bits_of((float)fmin(head / deepest, most)) & ~0x7fffffu);
  if (!(l->first > 1e-30f)) return LH_RANGE;
  l->most = (float)most;
  l->first_bits = (int32_t)bits_of(l->first);
  n = ((bits_of(l->most + l->first) - bits_of(l->first)) >> SHIFT) + 2;
  if (n > ROWS_MOST) return LH_RANGE;
  rows = take_rows(a, n + 1);
  if (!rows) return LH_NOMEM;
  l->table = rows;
  l->slope = rows + n * LH_FAST_ROW;
  for (size_t i = 0; i < n; i++) {
    uint32_t bits = bits_of(l->first) + ((uint32_t)i << SHIFT);
    double x = (double)of_bits(bits) - (double)l->first;
    for (size_t w = 0; w < LH_WAVES; w++)
      rows[i * LH_FAST_ROW + w] = (float)lh_exact_exp(slope[w] * x);
  }
  fill(rows + n * LH_FAST_ROW, slope);
  return LH_OK;
}

/* m, and -2 G m, over the substrate and over each layer below. */
static lh_status join(const lh_stack_ready *ready, const unsigned char *slip,
                      int n, lh_arena *a, lh_fast_layer *l)
{
  const lh_slip_ready *s = &ready->slips[slip[n]];
  float *rows = take_rows(a, 2 * ((size_t)n + 1));

  if (!rows) return LH_NOMEM;
  l->join = rows;
  for (int i = 0; i <= n; i++, rows += 2 * LH_FAST_ROW) {
    double m[LH_WAVES], slope[LH_WAVES];
    for (size_t w = 0; w < LH_WAVES; w++) {
      double r = own(s, w), R = ready->substrate[w];
      if (i > 0) R = own(&ready->slips[slip[i - 1]], w);
      m[w] = (R - r) / (1.0 - r * R);
      slope[w] = -2.0 * s->decay[w] * m[w];
    }
    fill(rows, m);
    fill(rows + LH_FAST_ROW, slope);
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
  float *turn = take_rows(a, 4);
  double constant[3] = {0.0, 0.0, 0.0}, D[LH_WAVES], weight[3][LH_WAVES];

  if (!turn) return LH_NOMEM;
  l->turn = turn;
  l->weight = turn + LH_FAST_ROW;
  for (size_t w = 0; w < LH_WAVES; w++) {
    lh_boundary b = surface(ready, s, w);
    double r = own(s, w), c = 1.0 - b.k2 * r;
    double A = b.k1 + b.tt * r / c, B = b.tt * (1.0 - r * r) / (c * c);
    D[w] = (r - b.k2) / c;
    for (size_t k = 0; k < 3; k++) {
      weight[k][w] = B * rows[k][w];
      constant[k] += A * rows[k][w];
    }
  }
  fill(turn, D);
  for (size_t k = 0; k < 3; k++) {
    fill(turn + (1 + k) * LH_FAST_ROW, weight[k]);
    l->constant[k] = (float)constant[k];
  }
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

/* The least number that is encoded, 2^-13, has exponent 114. */
static const uint32_t code_first = 114u << 23;

enum { FAST_BLOCK = 64 }; /* pixels whose places are looked up together */

/* Where the coats of a block stand in the tables, each layer for itself. */
typedef struct {
  int32_t at[LH_FAST_LAYERS][FAST_BLOCK]; /* the row [floats]        */
  float rest[LH_FAST_LAYERS][FAST_BLOCK]; /* the coat less its [g/m2] */
  int32_t layers[FAST_BLOCK];             /* a bit each that is there */
} fast_places;

/* All pixels of a block. */
#define EIGHT(n) n, n + 1, n + 2, n + 3, n + 4, n + 5, n + 6, n + 7
static const unsigned char fast_all[FAST_BLOCK] = {
    EIGHT(0),  EIGHT(8),  EIGHT(16), EIGHT(24),
    EIGHT(32), EIGHT(40), EIGHT(48), EIGHT(56)};
#undef EIGHT

/* Those pixels of a block that have the same layers; `left` keeps the rest. */
static size_t alike(const fast_places *p, unsigned char *left, size_t *n,
                    unsigned char *these)
{
  int32_t layers = p->layers[left[0]];
  size_t m = 0, others = 0;

  for (size_t k = 0; k < *n; k++)
    if (p->layers[left[k]] == layers)
      these[m++] = left[k];
    else
      left[others++] = left[k];
  *n = others;
  return m;
}

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
#define TARGET LH_TARGET_AVX2
#include "fast_picture_body.h"
#undef LANES
#undef IN
#undef TARGET

#define LANES 16
#define IN(x) x##_avx512
#define TARGET LH_TARGET_AVX512
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

void lh_fast_codes_make(lh_fast_codes *t)
{
  for (uint32_t i = 0; i <= LH_FAST_CODES; i++) {
    uint32_t from = code_first + (i << 16), next;
    unsigned byte =
        (unsigned)(255.0 * lh_srgb_encode((double)of_bits(from)) + 0.5);
    next = bits_of((float)lh_srgb_decode((byte + 0.5) / 255.0));
    t->code[i] = byte << 16;
    if (next < from + 65536) t->code[i] += from + 65536 - next;
  }
}

void lh_fast_encode(lh_isa isa, const lh_fast_codes *t, const float *linear,
                    size_t n, unsigned char *byte)
{
#if LH_FAST_X86
  if (isa == LH_ISA_AVX2) {
    encode_avx2(t, linear, n, byte);
    return;
  }
  if (isa == LH_ISA_AVX512) {
    encode_avx512(t, linear, n, byte);
    return;
  }
#endif
  (void)isa;
  encode_plain(t, linear, n, byte);
}
