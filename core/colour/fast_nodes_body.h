/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fast_nodes_body.h -- a pixel between the nodes; see fast_nodes.h.  Four
** numbers at a time in both sets (a node is four); with AVX2 the two
** neighbours in the first layer go as one. */
#include "fast_lanes.h"

/* Where a coat lies: the node below it, and how far beyond. */
HERE int IN(place)(float coat, float per_root, float *part)
{
  float x = sqrtf(coat > 0.0f ? coat : 0.0f) * per_root;
  int i;

  x = x < LH_NODES - 1 ? x : LH_NODES - 1;
  i = (int)x < LH_NODES - 2 ? (int)x : LH_NODES - 2;
  *part = x - (float)i;
  return i;
}

#if LANES == 8
typedef __m256 IN(two);
HERE __m256 IN(both)(const float *node)
{
  return _mm256_loadu_ps(node);
}
HERE __m256 IN(mix)(__m256 a, __m256 b, float part)
{
  return _mm256_fmadd_ps(_mm256_set1_ps(part), _mm256_sub_ps(b, a), a);
}
HERE void IN(settle)(__m256 a, float part, float *four)
{
  __m128 low = _mm256_castps256_ps128(a), high = _mm256_extractf128_ps(a, 1);

  _mm_storeu_ps(four, _mm_fmadd_ps(_mm_set1_ps(part), high - low, low));
}
#else
typedef struct {
  IN(floats) low, high;
} IN(two);
HERE IN(two) IN(both)(const float *node)
{
  return (IN(two)){IN(load)(node), IN(load)(node + 4)};
}
HERE IN(two) IN(mix)(IN(two) a, IN(two) b, float part)
{
  return (IN(two)){a.low + part * (b.low - a.low),
                   a.high + part * (b.high - a.high)};
}
HERE void IN(settle)(IN(two) a, float part, float *four)
{
  IN(store)(four, a.low + part * (a.high - a.low));
}
#endif

/* Pixel k; n, the number of layers, is a constant where this is put in. */
HERE void IN(node_pixel)(const lh_fast_nodes *t, const float *const *coat,
                         size_t k, int n, float *four)
{
  enum { ROW = 4 * LH_NODES, SHEET = ROW * LH_NODES };
  float x, y = 0.0f, z = 0.0f;
  const float *at = t->node + 4 * IN(place)(coat[0][k], t->per_root[0], &x);
  IN(two) c;

  if (n > 1) at += ROW * IN(place)(coat[1][k], t->per_root[1], &y);
  if (n > 2) at += SHEET * IN(place)(coat[2][k], t->per_root[2], &z);
  c = IN(both)(at);
  if (n > 1) c = IN(mix)(c, IN(both)(at + ROW), y);
  if (n > 2) {
    IN(two) d = IN(mix)(IN(both)(at + SHEET), IN(both)(at + SHEET + ROW), y);
    c = IN(mix)(c, d, z);
  }
  IN(settle)(c, x, four);
}

HERE void IN(nodes_of)(const lh_fast_nodes *t, const float *const *coat,
                       size_t pixels, int n, unsigned char *byte, float *code)
{
  for (size_t k = 0; k < pixels; k++) {
    float four[4];
    IN(node_pixel)(t, coat, k, n, four);
    for (size_t c = 0; c < 3; c++) {
      if (byte) byte[3 * k + c] = (unsigned char)(int)(four[c] + 0.5f);
      if (code) code[3 * k + c] = four[c];
    }
  }
}

static TARGET void IN(nodes_bytes)(const lh_fast_nodes *t,
                                   const float *const *coat, size_t pixels,
                                   unsigned char *byte)
{
  switch (t->layers) {
  case 1: IN(nodes_of)(t, coat, pixels, 1, byte, NULL); break;
  case 2: IN(nodes_of)(t, coat, pixels, 2, byte, NULL); break;
  default: IN(nodes_of)(t, coat, pixels, 3, byte, NULL); break;
  }
}

static TARGET void IN(nodes_codes)(const lh_fast_nodes *t,
                                   const float *const *coat, size_t pixels,
                                   float *code)
{
  IN(nodes_of)(t, coat, pixels, t->layers, NULL, code);
}

#undef HERE
