/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fast_nodes.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#if LH_FAST_X86
#include <immintrin.h>
#endif

/* The nodes of one row: layer 0 varies, the others stand. */
static void row_of(lh_isa isa, const lh_fast_stack *f, const double *most,
                   const size_t at[LH_NODES_LAYERS], float *node)
{
  float coat[LH_NODES_LAYERS][LH_NODES], rgb[3 * LH_NODES];
  const float *maps[LH_NODES_LAYERS] = {coat[0], coat[1], coat[2]};

  for (int n = 0; n < f->layers; n++)
    for (size_t i = 0; i < LH_NODES; i++) {
      double part = (double)(n == 0 ? i : at[n]) / (LH_NODES - 1);
      coat[n][i] = (float)(most[n] * part * part);
    }
  lh_fast_rgb(isa, f, maps, LH_NODES, rgb);
  for (size_t i = 0; i < LH_NODES; i++)
    for (size_t c = 0; c < 3; c++) {
      double x = fmin(fmax((double)rgb[3 * i + c], 0.0), 1.0);
      node[4 * i + c] = (float)(255.0 * lh_srgb_encode(x));
    }
}

lh_status lh_fast_nodes_make(lh_isa isa, const lh_fast_stack *f,
                             const double *most, lh_arena *a, lh_fast_nodes *t)
{
  size_t rows = 1, at[LH_NODES_LAYERS];
  float *node;

  *t = (lh_fast_nodes){.layers = f->layers};
  if (f->layers < 1 || f->layers > LH_NODES_LAYERS) return LH_RANGE;
  for (int n = 0; n < f->layers; n++) {
    if (!(most[n] > 0.0)) return LH_RANGE;
    t->per_root[n] = (float)((LH_NODES - 1) / sqrt(most[n]));
    if (n > 0) rows *= LH_NODES;
  }
  node = lh_arena_take(a, rows * LH_NODES * 4, sizeof *node);
  if (!node) return LH_NOMEM;
  t->node = node;
  for (size_t i = 0; i < rows; i++) {
    at[0] = 0;
    at[1] = i % LH_NODES;
    at[2] = i / LH_NODES;
    row_of(isa, f, most, at, node + i * 4 * LH_NODES);
  }
  return LH_OK;
}

#define LANES 4
#define IN(x) x##_plain
#define TARGET
#include "fast_nodes_body.h"
#undef LANES
#undef IN
#undef TARGET

#if LH_FAST_X86
#define LANES 8
#define IN(x) x##_avx2
#define TARGET LH_TARGET_AVX2
#include "fast_nodes_body.h"
#undef LANES
#undef IN
#undef TARGET
#endif

void lh_fast_nodes_bytes(lh_isa isa, const lh_fast_nodes *t,
                         const float *const *coat, size_t n, unsigned char *rgb)
{
#if LH_FAST_X86
  if (isa != LH_ISA_PLAIN) {
    nodes_bytes_avx2(t, coat, n, rgb);
    return;
  }
#endif
  (void)isa;
  nodes_bytes_plain(t, coat, n, rgb);
}

void lh_fast_nodes_codes(lh_isa isa, const lh_fast_nodes *t,
                         const float *const *coat, size_t n, float *rgb)
{
#if LH_FAST_X86
  if (isa != LH_ISA_PLAIN) {
    nodes_codes_avx2(t, coat, n, rgb);
    return;
  }
#endif
  (void)isa;
  nodes_codes_plain(t, coat, n, rgb);
}
