/* SPDX-License-Identifier: GPL-3.0-or-later */
/* memo.c -- colours of pixels, each stack worked out once. */
#include <assert.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "stack.h"

static size_t place_of(const float *coat, int n)
{
  uint64_t h = 1469598103934665603u; /* FNV-1a, by words */

  for (int i = 0; i < n; i++) {
    uint32_t bits;
    memcpy(&bits, &coat[i], sizeof bits);
    h = (h ^ bits) * 1099511628211u;
  }
  return (size_t)((h ^ (h >> 32)) & (LH_MEMO_PLACES - 1));
}

static unsigned char byte_of(double encoded)
{
  return (unsigned char)(encoded * 255.0 + 0.5);
}

static void work_out(const lh_stack_ready *ready, const unsigned char *slip,
                     int layers, const float *coat, lh_stack_memo *m)
{
  unsigned char top[LH_MEMO_LAYERS];
  double weight[LH_MEMO_LAYERS];
  size_t n = 0;
  lh_rgb c;

  for (int i = layers - 1; i >= 0; i--) {
    if (!(coat[i] > 0)) continue;
    top[n] = slip[i];
    weight[n++] = (double)coat[i];
  }
  c = lh_spectrum_srgb(lh_stack_pixel(ready, top, weight, n, NULL),
                       ready->illuminant);
  m->outside = !lh_srgb_in_gamut(c);
  c = lh_srgb_clip(c);
  m->rgb[0] = (float)lh_srgb_decode(c.r);
  m->rgb[1] = (float)lh_srgb_decode(c.g);
  m->rgb[2] = (float)lh_srgb_decode(c.b);
  m->byte[0] = byte_of(c.r);
  m->byte[1] = byte_of(c.g);
  m->byte[2] = byte_of(c.b);
  m->byte[3] = 255;
  memcpy(m->coat, coat, sizeof m->coat);
  m->used = true;
}

const lh_stack_memo *lh_stack_remember(const lh_stack_ready *ready,
                                       const unsigned char *slip, int layers,
                                       const float coat[LH_MEMO_LAYERS],
                                       lh_stack_memo *memo)
{
  lh_stack_memo *m = &memo[place_of(coat, layers)];

  assert(layers <= LH_MEMO_LAYERS);
  if (!m->used || memcmp(m->coat, coat, sizeof m->coat) != 0)
    work_out(ready, slip, layers, coat, m);
  return m;
}

float lh_coat_round(float coat)
{
  uint32_t bits;

  if (coat < 32.0f) return floorf(coat * 2.0f + 0.5f) * 0.5f;
  memcpy(&bits, &coat, sizeof bits);
  bits = (bits + 0x10000u) & ~0x1ffffu; /* 6 of the 23 digits are kept */
  memcpy(&coat, &bits, sizeof bits);
  return coat;
}
