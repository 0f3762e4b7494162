/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fast_picture_body.h -- pixels of up to twelve layers; see fast_picture.h. */
#include "fast_lanes.h"

/* The layers that lie at one pixel, from the lowest up: an array a matter, so
** that compilers keep addresses in registers. */
typedef struct {
  const lh_fast_layer *layer[LH_FAST_LAYERS];
  const float *join[LH_FAST_LAYERS];
  const fast_place *at[LH_FAST_LAYERS];
} IN(coats);

HERE fast_place IN(place_of)(const lh_fast_layer *l, float weight)
{
  float steps = (weight < l->most ? weight : l->most) * l->per_coat;
  int at = (int)(steps + 0.5f);

  return (fast_place){(at >> 6) * LH_FAST_ROW, (at & 63) * LH_FAST_ROW,
                      steps - (float)at};
}

/* exp(-2 G X) */
HERE IN(floats) IN(decay)(const IN(coats) * c, int i, int w)
{
  const lh_fast_layer *l = c->layer[i];
  const fast_place *at = c->at[i];
  IN(floats)
  e = IN(load)(l->coarse + at->coarse + w) * IN(load)(l->fine + at->fine + w);

  return e *
         IN(muladd)(IN(load)(l->slope + w), IN(all)(at->rest), IN(all)(1.0f));
}

/* The lanes of three vectors added up, side by side. */
HERE void IN(sums)(const IN(floats) s[3], const float constant[3], float *rgb)
{
#if LANES >= 8
#if LANES == 16
  __m256 t[3];
  for (int c = 0; c < 3; c++)
    t[c] = _mm256_add_ps(_mm512_castps512_ps256(s[c]),
                         _mm512_extractf32x8_ps(s[c], 1));
#else
  const __m256 *t = s;
#endif
  __m256 xy = _mm256_hadd_ps(t[0], t[1]), z = _mm256_hadd_ps(t[2], t[2]);
  __m256 v = _mm256_hadd_ps(xy, z);
  __m128 sum =
      _mm_add_ps(_mm256_castps256_ps128(v), _mm256_extractf128_ps(v, 1));
  sum = _mm_add_ps(sum, _mm_loadu_ps(constant));
  memcpy(rgb, &sum, 3 * sizeof(float));
#else
  for (int c = 0; c < 3; c++)
    rgb[c] = constant[c] + ((s[c][0] + s[c][1]) + (s[c][2] + s[c][3]));
#endif
}

/* One pixel of n layers; n is a constant where this is put in. */
HERE void IN(pixel)(const IN(coats) * c, int n, const lh_fast_layer *top,
                    float *rgb)
{
  IN(floats) sum[3] = {IN(all)(0.0f), IN(all)(0.0f), IN(all)(0.0f)};

  for (int w = 0; w < LH_WAVES; w += LANES) {
    IN(floats) u = IN(all)(1.0f);
    IN(floats) v = IN(load)(c->join[0] + w) * IN(decay)(c, 0, w);
    for (int i = 1; i < n; i++) {
      IN(floats) m = IN(load)(c->join[i] + w), was = u;
      u = IN(muladd)(m, v, u);
      v = IN(muladd)(m, was, v) * IN(decay)(c, i, w);
    }
    v = v / IN(muladd)(IN(load)(top->turn + w), v, u);
    for (int k = 0; k < 3; k++)
      sum[k] =
          IN(muladd)(IN(load)(top->weight + k * LH_FAST_ROW + w), v, sum[k]);
  }
  IN(sums)(sum, top->constant, rgb);
}

/* Pixel k of a block whose places in the tables are known. */
HERE void IN(one)(const lh_fast_stack *f, const float *const *coat, size_t k,
                  fast_place place[LH_FAST_LAYERS][FAST_BLOCK], size_t at,
                  float *rgb)
{
  IN(coats) c;
  const lh_fast_layer *top;
  int n = 0, under = 0, up = f->layers - 1;

  while (up >= 0 && !(coat[up][k] > 0.0f)) up--;
  if (up < 0) {
    memcpy(rgb, f->bare, sizeof f->bare);
    return;
  }
  top = &f->layer[up];
  if (f->eaten > 0.0f) {
    if (coat[up][k] < f->eaten) {
      exact_pixel(f, coat, k, rgb);
      return;
    }
    place[up][at] = IN(place_of)(top, coat[up][k] - f->eaten);
  }
  for (int i = 0; i <= up; i++) {
    if (!(coat[i][k] > 0.0f)) continue;
    c.layer[n] = &f->layer[i];
    c.join[n] = f->layer[i].join + under;
    c.at[n++] = &place[i][at];
    under = (i + 1) * LH_FAST_ROW;
  }
  switch (n) {
  case 1: IN(pixel)(&c, 1, top, rgb); break;
  case 2: IN(pixel)(&c, 2, top, rgb); break;
  case 3: IN(pixel)(&c, 3, top, rgb); break;
  default: IN(pixel)(&c, n, top, rgb); break;
  }
}

static TARGET void IN(rgb)(const lh_fast_stack *f, const float *const *coat,
                           size_t pixels, float *rgb)
{
  fast_place place[LH_FAST_LAYERS][FAST_BLOCK];

  for (size_t from = 0; from < pixels; from += FAST_BLOCK) {
    size_t n = pixels - from < FAST_BLOCK ? pixels - from : FAST_BLOCK;
    for (int i = 0; i < f->layers; i++)
      for (size_t k = 0; k < n; k++)
        place[i][k] = IN(place_of)(&f->layer[i], coat[i][from + k]);
    for (size_t k = 0; k < n; k++, rgb += 3)
      IN(one)(f, coat, from + k, place, k, rgb);
  }
}

#undef HERE
