/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the room colour computes on a few thousand inputs, boiled down to one
** number a part.  Built natively and as WebAssembly; tests/same_bits.sh
** requires that both print the same.  No input is computed by a libm. */
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "difference.h"
#include "fast_e00.h"
#include "fast_nodes.h"
#include "recovery.h"
#include "stack.h"

uint32_t lh_bits_of_part(int part);

static uint64_t hash;

/* FNV-1a over the bytes of a double. */
static void eat(double x)
{
  uint64_t u;

  memcpy(&u, &x, sizeof u);
  for (int i = 0; i < 8; i++) {
    hash ^= (u >> (8 * i)) & 0xff;
    hash *= 0x100000001b3U;
  }
}

static double draw(double low, double high)
{
  static uint64_t s = 29;

  s = s * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  return low + (high - low) * (double)(s >> 11) * 0x1p-53;
}

static void eat_lab(lh_lab c)
{
  eat(c.L);
  eat(c.a);
  eat(c.b);
}

static void eat_rgb(lh_rgb c)
{
  eat(c.r);
  eat(c.g);
  eat(c.b);
}

static void spaces(void)
{
  for (int i = 0; i < 3000; i++) {
    lh_rgb c = {draw(-0.2, 1.2), draw(-0.2, 1.2), draw(-0.2, 1.2)};
    lh_lab p = lh_srgb_lab(c);
    lh_lab q = {draw(0, 100), draw(-90, 90), draw(-90, 90)};
    eat_lab(p);
    eat_rgb(lh_lab_srgb(q));
    eat(lh_delta_e00(p, q));
  }
}

static void layers(void)
{
  for (int i = 0; i < 5000; i++) {
    double K = draw(0, 1), S = draw(0, 1) * draw(0, 1), X = draw(0, 300);
    if (i % 3 == 0) K *= K * K * K * 1e-6;
    if (i % 5 == 0) S *= 1e-9;
    eat(lh_layer_over(K, S, X, draw(0, 1)));
    eat(lh_layer_through(K, S, X));
    eat(lh_layer_endless(K, S));
  }
}

static void glazes(void)
{
  static lh_glaze_table t;

  for (int i = 0; i < 60; i++) {
    double n = draw(1, 2.2), tau = draw(0, 3) * draw(0, 3);
    lh_boundary b = {0, 0, 0};
    if (lh_glaze_boundary(n, tau, (lh_geometry)(i % 3), &b) == LH_OK) eat(b.tt);
    eat(b.k1);
    eat(b.k2);
    if (i % 20 != 0 || lh_glaze_tabulate(n, LH_D8_IN, &t) != LH_OK) continue;
    for (int k = 0; k < 500; k++) {
      b = lh_glaze_at(&t, 0.04 * k);
      eat(b.tt);
      eat(b.k2);
    }
  }
}

static void stacks(void)
{
  static lh_slip_optics o[3];
  static lh_glaze g = {1.52, {0}, 12, 0.5};
  double base[LH_WAVES], r[LH_WAVES];
  lh_stack_doubt d = lh_stack_doubt_default();
  lh_stack_range range;

  for (size_t i = 0; i < LH_WAVES; i++) {
    base[i] = draw(0, 1);
    g.optical_depth[i] = draw(0, 0.1);
    for (size_t j = 0; j < 3; j++)
      o[j].absorption[i] = draw(0, 0.1), o[j].scattering[i] = draw(0, 0.03);
  }
  lh_stack_layer l[] = {{&o[0], 5}, {&o[1], 60}, {&o[2], 200}};
  lh_stack s = {l, 3, base, &g, LH_D8_EX};
  if (lh_stack_reflectance(&s, r) != LH_OK) return;
  for (size_t i = 0; i < LH_WAVES; i++) eat(r[i]);
  for (int ill = 0; ill < LH_ILLUMINANTS; ill++) {
    eat_lab(lh_spectrum_lab(r, (lh_illuminant)ill));
    eat_rgb(lh_spectrum_srgb(lh_spectrum_xyz(r, (lh_illuminant)ill),
                             (lh_illuminant)ill));
  }
  if (lh_stack_spread(&s, LH_D65, &d, &range) != LH_OK) return;
  eat(range.L.low + range.L.high);
  eat(range.a.low + range.a.high);
  eat(range.b.low + range.b.high);
  eat(range.radius);
}

static void recovered(void)
{
  double rho[LH_WAVES];

  for (int i = 0; i < 60; i++) {
    lh_rgb c = {draw(0, 1), draw(0, 1), draw(0, 1)};
    eat(lh_recover(lh_srgb_xyz(c), rho, NULL) == LH_OK);
    for (size_t k = 0; k < LH_WAVES; k++) eat(rho[k]);
  }
}

/* Room for an arena of the test's own. */
static unsigned char heap[4 << 20];
static size_t heap_used;

static void *more(lh_arena *a, size_t n)
{
  unsigned char *p = heap + heap_used;

  (void)a;
  n = (n + 15) / 16 * 16;
  if (n > sizeof heap - heap_used) return NULL;
  heap_used += n;
  return p;
}

static void fast_pairs(void)
{
  static float c[6][501], out[501];
  lh_labs p = {c[0], c[1], c[2]}, q = {c[3], c[4], c[5]};

  for (size_t i = 0; i < 501; i++)
    for (size_t k = 0; k < 6; k++)
      c[k][i] = (float)(k % 3 == 0 ? draw(0, 100) : draw(-90, 90));
  lh_fast_e00(LH_ISA_PLAIN, p, q, 501, out);
  for (size_t i = 0; i < 501; i++) eat((double)out[i]);
}

static void fast_pixels(void)
{
  static lh_slip_ready slips[3];
  static lh_stack_ready ready;
  static lh_fast_stack f;
  static lh_fast_nodes nodes;
  static float c[3][500], rgb[1500];
  static unsigned char byte[1500];
  const unsigned char slip[] = {0, 1, 2};
  const float *maps[] = {c[0], c[1], c[2]};
  const double most[] = {200, 200, 200};
  lh_arena a = {.more = more};
  lh_glaze g = {1.52, {0}, 0, 0};
  double base[LH_WAVES];

  for (size_t j = 0; j < 3; j++) {
    lh_slip_optics o;
    for (size_t i = 0; i < LH_WAVES; i++) {
      base[i] = draw(0, 1), g.optical_depth[i] = draw(0, 0.1);
      o.absorption[i] = draw(0, 0.1), o.scattering[i] = draw(0, 0.03);
    }
    if (lh_slip_prepare(&o, &slips[j]) != LH_OK) return;
    for (size_t i = 0; i < 500; i++) c[j][i] = (float)draw(0, 200);
  }
  if (lh_stack_prepare(slips, 3, base, &g, LH_D8_EX, LH_D65, &ready) != LH_OK ||
      lh_fast_prepare(&ready, slip, most, 3, &a, &f) != LH_OK ||
      lh_fast_nodes_make(LH_ISA_PLAIN, &f, most, &a, &nodes) != LH_OK)
    return;
  lh_fast_rgb(LH_ISA_PLAIN, &f, maps, 500, rgb);
  for (size_t i = 0; i < 1500; i++) eat((double)rgb[i]);
  lh_fast_nodes_bytes(LH_ISA_PLAIN, &nodes, maps, 500, byte);
  for (size_t i = 0; i < 1500; i++) eat((double)byte[i]);
}

uint32_t lh_bits_of_part(int part)
{
  hash = 0xcbf29ce484222325U;
  switch (part) {
  case 0: spaces(); break;
  case 1: layers(); break;
  case 2: glazes(); break;
  case 3: stacks(); break;
  case 4: recovered(); break;
  case 5:
    fast_pairs();
    fast_pixels();
    break;
  default: break;
  }
  return (uint32_t)(hash ^ (hash >> 32));
}

#ifndef __wasm__
int main(void)
{
  static const char *const parts[] = {
      "spaces and differences", "layers",   "glazes",
      "stacks and ranges",      "recovery", "fast kernels"};

  for (int part = 0; part < (int)(sizeof parts / sizeof parts[0]); part++)
    printf("%u\t%s\n", (unsigned)lh_bits_of_part(part), parts[part]);
  return 0;
}
#endif
