/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fast_picture_body.h -- pixels of up to twelve layers; see fast_picture.h.
**
** 36 wavelengths do not fill vectors of 8 or 16.  So two or four pixels with
** the same layers are worked out together: each has its own whole vectors, and
** the last four wavelengths of all of them stand side by side in one more.  A
** lane never looks at its neighbours before the sums, and those go in an order
** of their own for each pixel: its bits do not depend on where it stands.
*/
#include "fast_lanes.h"

enum {
  IN(GROUP) = LANES / 4,       /* pixels worked out together */
  IN(WHOLE) = LH_WAVES / LANES /* whole vectors of each      */
};

/* The layers that lie at a group's pixels, from the lowest up: an array a
** matter, so that compilers keep addresses in registers. */
typedef struct {
  const float *table[LH_FAST_LAYERS], *slope[LH_FAST_LAYERS];
  const float *join[LH_FAST_LAYERS];
  const int32_t *at[LH_FAST_LAYERS]; /* of each pixel */
  const float *rest[LH_FAST_LAYERS];
} IN(coats);

/* exp(-2 G X), of the lowest layer m exp(-2 G X): from a row of its table and
** the coat's rest; the other rows from wavelength w on. */
HERE IN(floats) IN(decay)(const IN(coats) * c, int i, int w, IN(floats) row,
                          IN(floats) rest)
{
  if (i == 0)
    return row * IN(muladd)(IN(load)(c->join[0] + LH_FAST_ROW + w), rest,
                            IN(load)(c->join[0] + w));
  return row * IN(muladd)(IN(load)(c->slope[i] + w), rest, IN(all)(1.0f));
}

#if LANES > 4
/* Four numbers for each pixel, side by side. */
HERE IN(floats) IN(beside)(const float *row, const int32_t *at)
{
  row += LH_FAST_LAST;
#if LANES == 16
  __m512 v = _mm512_castps128_ps512(_mm_loadu_ps(row + at[0]));
  v = _mm512_insertf32x4(v, _mm_loadu_ps(row + at[1]), 1);
  v = _mm512_insertf32x4(v, _mm_loadu_ps(row + at[2]), 2);
  return _mm512_insertf32x4(v, _mm_loadu_ps(row + at[3]), 3);
#else
  return _mm256_insertf128_ps(_mm256_castps128_ps256(_mm_loadu_ps(row + at[0])),
                              _mm_loadu_ps(row + at[1]), 1);
#endif
}

/* Each pixel's number four times. */
HERE IN(floats) IN(fourfold)(const float *of)
{
#if LANES == 16
  const __m512i each =
      _mm512_set_epi32(3, 3, 3, 3, 2, 2, 2, 2, 1, 1, 1, 1, 0, 0, 0, 0);
  return _mm512_permutexvar_ps(each, _mm512_castps128_ps512(_mm_loadu_ps(of)));
#else
  return _mm256_insertf128_ps(_mm256_castps128_ps256(_mm_set1_ps(of[0])),
                              _mm_set1_ps(of[1]), 1);
#endif
}

#endif

/* From the exponentials of n layers to v/(u + D v); the rows from w on. */
HERE IN(floats) IN(meet)(const IN(coats) * c, int n, const lh_fast_layer *top,
                         int w, const IN(floats) * decay)
{
  IN(floats) u = IN(all)(1.0f), v = decay[0];

  for (int i = 1; i < n; i++) {
    IN(floats) m = IN(load)(c->join[i] + w), was = u;
    u = IN(muladd)(m, v, u);
    v = (i == 1 ? m + v : IN(muladd)(m, was, v)) * decay[i];
  }
  return v / IN(muladd)(IN(load)(top->turn + w), v, u);
}

/* A pixel's lanes added up to four, pixel by pixel. */
HERE IN(floats) IN(fold)(const IN(floats) * s)
{
#if LANES == 16
  __m512 a = _mm512_shuffle_f32x4(s[0], s[1], 0x44) +
             _mm512_shuffle_f32x4(s[0], s[1], 0xee);
  __m512 b = _mm512_shuffle_f32x4(s[2], s[3], 0x44) +
             _mm512_shuffle_f32x4(s[2], s[3], 0xee);
  return _mm512_shuffle_f32x4(a, b, 0x88) + _mm512_shuffle_f32x4(a, b, 0xdd);
#elif LANES == 8
  return _mm256_permute2f128_ps(s[0], s[1], 0x20) +
         _mm256_permute2f128_ps(s[0], s[1], 0x31);
#else
  return s[0];
#endif
}

/* Those four to one, for r, g and b: each pixel's three, and one more. */
HERE void IN(sums)(const IN(floats) s[3], const float constant[4], float *four)
{
#if LANES == 16
  __m512 xy = _mm512_unpacklo_ps(s[0], s[1]) + _mm512_unpackhi_ps(s[0], s[1]);
  __m512 zz = _mm512_unpacklo_ps(s[2], s[2]) + _mm512_unpackhi_ps(s[2], s[2]);
  __m512 v = _mm512_shuffle_ps(xy, zz, 0x44) + _mm512_shuffle_ps(xy, zz, 0xee);
  IN(store)(four, v + _mm512_broadcast_f32x4(_mm_loadu_ps(constant)));
#elif LANES == 8
  __m256 xy = _mm256_unpacklo_ps(s[0], s[1]) + _mm256_unpackhi_ps(s[0], s[1]);
  __m256 zz = _mm256_unpacklo_ps(s[2], s[2]) + _mm256_unpackhi_ps(s[2], s[2]);
  __m256 v = _mm256_shuffle_ps(xy, zz, 0x44) + _mm256_shuffle_ps(xy, zz, 0xee);
  IN(store)(four, v + _mm256_broadcast_ps((const __m128 *)constant));
#else
  for (int c = 0; c < 3; c++)
    four[c] = constant[c] + ((s[c][0] + s[c][2]) + (s[c][1] + s[c][3]));
#endif
}

/* Pixel j's whole vector k, and its share of r, g and b. */
HERE void IN(whole)(const IN(coats) * c, int n, const lh_fast_layer *top, int j,
                    int k, IN(floats) part[3][IN(GROUP)])
{
  IN(floats) decay[LH_FAST_LAYERS], v;
  int w = k * LANES, i = 0;

  do { /* there is one layer at least */
    IN(floats) row = IN(load)(c->table[i] + c->at[i][j] + w);
    decay[i] = IN(decay)(c, i, w, row, IN(all)(c->rest[i][j]));
  } while (++i < n);
  v = IN(meet)(c, n, top, w, decay);
  for (int x = 0; x < 3; x++) {
    IN(floats) by = IN(load)(top->weight + x * LH_FAST_ROW + w);
    part[x][j] = k == 0 ? by * v : IN(muladd)(by, v, part[x][j]);
  }
}

/* A group of pixels with the same n layers; n is a constant where this is put
** in.  The loops stand so that what is the same for all pixels stays in
** registers where there are 16, and the sums where there are 32. */
HERE void IN(group)(const IN(coats) * c, int n, const lh_fast_layer *top,
                    IN(floats) sum[3])
{
  IN(floats) part[3][IN(GROUP)];

#if LANES == 16
  for (int j = 0; j < IN(GROUP); j++)
    for (int k = 0; k < IN(WHOLE); k++) IN(whole)(c, n, top, j, k, part);
#else
  for (int k = 0; k < IN(WHOLE); k++)
    for (int j = 0; j < IN(GROUP); j++) IN(whole)(c, n, top, j, k, part);
#endif
  for (int x = 0; x < 3; x++) sum[x] = IN(fold)(part[x]);
#if LANES > 4
  IN(floats) decay[LH_FAST_LAYERS], v;
  int i = 0;
  do {
    IN(floats) row = IN(beside)(c->table[i], c->at[i]);
    decay[i] = IN(decay)(c, i, LH_FAST_LAST, row, IN(fourfold)(c->rest[i]));
  } while (++i < n);
  v = IN(meet)(c, n, top, LH_FAST_LAST, decay);
  for (int x = 0; x < 3; x++)
    sum[x] = IN(muladd)(IN(load)(top->weight + x * LH_FAST_ROW + LH_FAST_LAST),
                        v, sum[x]);
#endif
}

/* Where LANES coats stand in a layer's table. */
HERE void IN(place)(const lh_fast_layer *l, IN(floats) coat, int32_t *at,
                    float *rest)
{
  IN(floats) most = IN(all)(l->most);
  IN(floats) x = IN(pick)(coat < most, coat, most) + l->first;
  IN(ints)
  row = ((IN(ints))x + (1 << (SHIFT - 1)) - l->first_bits) >> SHIFT;
  IN(floats) stands = (IN(floats))((row << SHIFT) + l->first_bits);

  row *= LH_FAST_ROW;
  x -= stands;
  memcpy(at, &row, sizeof row);
  IN(store)(rest, x);
}

/* All layers of a block; above n pixels there are coats of nothing.  True if
** all pixels have the same layers. */
HERE bool IN(places)(const lh_fast_stack *f, const float *const *coat,
                     size_t from, size_t n, fast_places *p)
{
  float room[LH_FAST_LAYERS][FAST_BLOCK];
  const float *x[LH_FAST_LAYERS];
  IN(ints) differ = {0};

  for (int i = 0; i < f->layers; i++) {
    x[i] = coat[i] + from;
    if (n == FAST_BLOCK) continue;
    memset(room[i], 0, sizeof room[i]);
    x[i] = memcpy(room[i], x[i], n * sizeof(float));
  }
  for (size_t k = 0; k < FAST_BLOCK; k += LANES) {
    IN(ints) layers = {0};
    for (int i = 0; i < f->layers; i++) {
      IN(floats) of = IN(load)(x[i] + k);
      IN(place)(&f->layer[i], of, p->at[i] + k, p->rest[i] + k);
      layers |= ((of > 0.0f) & 1) << i;
    }
    memcpy(p->layers + k, &layers, sizeof layers);
    differ |= layers ^ p->layers[0];
  }
  return n == FAST_BLOCK && IN(bits)(differ != 0) == 0;
}

/* The glaze eats of the uppermost: pixels that have less of it are worked out
** in double precision and leave the list. */
static TARGET size_t IN(eat)(const lh_fast_stack *f, const float *const *coat,
                             size_t from, int up, unsigned char *these,
                             size_t n, fast_places *p, float *rgb)
{
  size_t stay = 0;

  for (size_t k = 0; k < n; k++) {
    size_t at = these[k];
    float left = coat[up][from + at] - f->eaten;
    int32_t row[LANES];
    float rest[LANES];
    if (left < 0.0f) {
      exact_pixel(f, coat, from + at, rgb + 3 * at);
      continue;
    }
    IN(place)(&f->layer[up], IN(all)(left), row, rest);
    p->at[up][at] = row[0];
    p->rest[up][at] = rest[0];
    these[stay++] = (unsigned char)at;
  }
  return stay;
}

/* The pixels of a block that have the same layers. */
HERE void IN(same)(const lh_fast_stack *f, const unsigned char *these,
                   size_t count, unsigned layers, const fast_places *p,
                   float *rgb)
{
  const lh_fast_layer *top = NULL;
  int32_t at[LH_FAST_LAYERS][IN(GROUP)];
  float rest[LH_FAST_LAYERS][IN(GROUP)], four[LANES];
  IN(floats) sum[FAST_BLOCK / IN(GROUP)][3];
  int which[LH_FAST_LAYERS], n = 0, under = 0;
  IN(coats) c;

  for (int i = 0; i < f->layers; i++) {
    if (!(layers >> i & 1)) continue;
    top = &f->layer[i];
    c.table[n] = top->table;
    c.slope[n] = top->slope;
    c.join[n] = top->join + under;
    which[n++] = i;
    under = 2 * (i + 1) * LH_FAST_ROW;
  }
  for (size_t k = 0; k < count; k += IN(GROUP)) {
    size_t last = k + IN(GROUP) <= count ? k + IN(GROUP) - 1 : count - 1;
    bool row =
        k + IN(GROUP) <= count && these[last] - these[k] == IN(GROUP) - 1;
    for (int i = 0; i < n; i++) {
      c.at[i] = row ? &p->at[which[i]][these[k]] : at[i];
      c.rest[i] = row ? &p->rest[which[i]][these[k]] : rest[i];
      for (size_t j = 0; !row && j < IN(GROUP); j++) {
        size_t of = these[k + j < count ? k + j : last];
        at[i][j] = p->at[which[i]][of];
        rest[i][j] = p->rest[which[i]][of];
      }
    }
    switch (n) {
    case 1: IN(group)(&c, 1, top, sum[k / IN(GROUP)]); break;
    case 2: IN(group)(&c, 2, top, sum[k / IN(GROUP)]); break;
    case 3: IN(group)(&c, 3, top, sum[k / IN(GROUP)]); break;
    default: IN(group)(&c, n, top, sum[k / IN(GROUP)]); break;
    }
  }
  for (size_t k = 0; k < count; k += IN(GROUP)) {
    IN(sums)(sum[k / IN(GROUP)], top->constant, four);
    for (size_t j = 0; j < IN(GROUP) && k + j < count; j++)
      memcpy(rgb + 3 * (size_t)these[k + j], four + 4 * j, 3 * sizeof *rgb);
  }
}

static TARGET void IN(rgb)(const lh_fast_stack *f, const float *const *coat,
                           size_t pixels, float *rgb)
{
  fast_places p;

  for (size_t from = 0; from < pixels; from += FAST_BLOCK) {
    unsigned char left[FAST_BLOCK], these[FAST_BLOCK];
    size_t n = pixels - from < FAST_BLOCK ? pixels - from : FAST_BLOCK;
    float *out = rgb + 3 * from;
    bool one = IN(places)(f, coat, from, n, &p);
    memcpy(one ? these : left, fast_all, FAST_BLOCK);
    while (n > 0) {
      unsigned layers = (unsigned)p.layers[one ? 0 : left[0]];
      size_t count = one ? n : alike(&p, left, &n, these);
      int up = f->layers - 1;
      if (one) n = 0;
      while (up >= 0 && !(layers >> up & 1)) up--;
      if (f->eaten > 0.0f && up >= 0)
        count = IN(eat)(f, coat, from, up, these, count, &p, out);
      if (up >= 0)
        IN(same)(f, these, count, layers, &p, out);
      else
        for (size_t k = 0; k < count; k++)
          memcpy(out + 3 * (size_t)these[k], f->bare, sizeof f->bare);
    }
  }
}

/* gcc's own gather, a macro without optimisation, converts a mask. */
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wsign-conversion"
/* Bytes of n numbers; see lh_fast_encode. */
static TARGET void IN(encode)(const lh_fast_codes *t, const float *linear,
                              size_t n, unsigned char *byte)
{
  size_t i = 0;

#if LANES == 16
  for (; i + LANES <= n; i += LANES) {
    __m512 x = _mm512_max_ps(_mm512_loadu_ps(linear + i), IN(all)(0x1p-13f));
    __m512i bits = _mm512_castps_si512(_mm512_min_ps(x, IN(all)(1.0f))), code;
    bits = _mm512_sub_epi32(bits, _mm512_set1_epi32((int)code_first));
    code = _mm512_i32gather_epi32(_mm512_srli_epi32(bits, 16), t->code, 4);
    bits = _mm512_and_si512(bits, _mm512_set1_epi32(65535));
    code = _mm512_srli_epi32(_mm512_add_epi32(code, bits), 16);
    _mm_storeu_si128((__m128i *)(void *)(byte + i), _mm512_cvtepi32_epi8(code));
  }
#endif
  for (; i < n; i++) {
    float x = linear[i] > 0x1p-13f ? linear[i] : 0x1p-13f; /* NaN too */
    uint32_t bits = bits_of(x < 1.0f ? x : 1.0f) - code_first;
    byte[i] = (unsigned char)((t->code[bits >> 16] + (bits & 65535)) >> 16);
  }
}
#pragma GCC diagnostic pop

#undef HERE
