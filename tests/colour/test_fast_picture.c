/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Colours of many pixels in single precision: against Kubelka's formula as it
** is printed, against the double-precision stack, the sets among each other. */
#include "difference.h"
#include "fast_nodes.h"
#include "fast_sets.h"

enum { PIXELS = 3001, SLIPS = 4, LAYERS = 5 };

static int sets;
static lh_slip_optics optics[SLIPS];
static lh_slip_ready slips[SLIPS];
static lh_stack_ready ready;
static lh_glaze glaze;
static double body[LH_WAVES];
static float coat[LAYERS][PIXELS], rgb[SETS][3 * PIXELS];
static const float *const maps[] = {coat[0], coat[1], coat[2], coat[3],
                                    coat[4]};
static const unsigned char slip[LAYERS] = {2, 0, 1, 3, 0};

/* Smooth made-up slips: clear to strong, little to much scattering; one that
** hardly absorbs, one that hardly scatters. */
static void palette(double eaten, double share, lh_geometry g,
                    lh_illuminant ill)
{
  for (size_t k = 0; k < SLIPS; k++) {
    double strength = draw(0.0005, 0.05), from = draw(0, 6), S = 0;
    S = k == 3 ? 1e-5 : draw(0.002, 0.06);
    if (k == 2) strength = 2e-3 * S;
    for (size_t w = 0; w < LH_WAVES; w++) {
      double wave = 1.02 + sin(from + 0.17 * (double)w);
      optics[k].absorption[w] = strength * wave;
      optics[k].scattering[w] = S * (1.2 - 0.01 * (double)w);
    }
    if (lh_slip_prepare(&optics[k], &slips[k]) != LH_OK) CHECK(false, "slip");
  }
  glaze = (lh_glaze){.index = 1.52, .eaten = eaten, .share = share};
  for (size_t w = 0; w < LH_WAVES; w++) {
    body[w] = 0.1 + 0.6 * (double)w / 35;
    glaze.optical_depth[w] = 0.03 + 0.002 * (double)w;
  }
  if (lh_stack_prepare(slips, SLIPS, body, &glaze, g, ill, &ready) != LH_OK)
    CHECK(false, "palette");
}

/* Coats up to `most`; a fifth of them none, some hair-thin. */
static void lay(double most)
{
  for (size_t k = 0; k < LAYERS; k++)
    for (size_t i = 0; i < PIXELS; i++) {
      double v = draw(0, 1);
      coat[k][i] = (float)(v < 0.2 ? 0 : most * v * v);
    }
}

/* Kubelka (1948), as printed, with coth from tanh; the surface of glaze.h. */
static lh_lab textbook(int layers, size_t i)
{
  double R[LH_WAVES];

  for (size_t w = 0; w < LH_WAVES; w++) {
    lh_boundary b = {0, 1, 0};
    R[w] = body[w];
    for (int n = 0; n < layers; n++) {
      double X = (double)coat[n][i], S = optics[slip[n]].scattering[w];
      double a = 1 + optics[slip[n]].absorption[w] / S, q, bc;
      q = sqrt(a * a - 1);
      if (!(X > 0)) continue;
      bc = q / tanh(q * S * X);
      R[w] = (1 - R[w] * (a - bc)) / (a - R[w] + bc);
    }
    if (lh_glaze_boundary(glaze.index, glaze.optical_depth[w], LH_D8_EX, &b) !=
        LH_OK)
      R[w] = NAN;
    R[w] = lh_boundary_measured(&b, R[w]);
  }
  return lh_srgb_lab(lh_spectrum_srgb(lh_spectrum_xyz(R, LH_D65), LH_D65));
}

static lh_rgb screen(int layers, size_t i)
{
  unsigned char top[LAYERS];
  double weight[LAYERS];
  size_t n = 0;

  for (int k = layers; k-- > 0;) {
    top[n] = slip[k];
    weight[n++] = (double)coat[k][i];
  }
  return lh_spectrum_srgb(lh_stack_pixel(&ready, top, weight, n, NULL),
                          ready.illuminant);
}

static lh_lab lab_of(const float c[3])
{
  lh_rgb v = {lh_srgb_encode((double)c[0]), lh_srgb_encode((double)c[1]),
              lh_srgb_encode((double)c[2])};

  return lh_srgb_lab(v);
}

static void prepare(int layers, double most, test_heap *h, lh_fast_stack *f)
{
  double all[LAYERS] = {most, most, most, most, most};

  CHECK(lh_fast_prepare(&ready, slip, all, layers, &h->arena, f) == LH_OK,
        "made ready: %d layers to %g g/m2", layers, most);
}

/* The stated bound is dE00 0.02. */
static void against_double(int layers, double most, double eaten, double share,
                           lh_geometry g, lh_illuminant ill)
{
  double worst[SETS] = {0}, printed = 0, apart = 0;
  static lh_fast_stack f;
  test_heap h;

  palette(eaten, share, g, ill);
  lay(most);
  test_heap_open(&h, SIZE_MAX);
  prepare(layers, most, &h, &f);
  for (int set = 0; set < sets; set++)
    lh_fast_rgb((lh_isa)set, &f, maps, PIXELS, rgb[set]);
  for (size_t i = 0; i < PIXELS; i++) {
    lh_lab want = lh_srgb_lab(screen(layers, i));
    for (int set = 0; set < sets; set++) {
      double d = lh_delta_e00(want, lab_of(&rgb[set][3 * i]));
      worst[set] = d <= worst[set] ? worst[set] : d;
    }
    for (int set = 1; set < sets; set++)
      apart = fmax(apart, lh_delta_e00(lab_of(&rgb[0][3 * i]),
                                       lab_of(&rgb[set][3 * i])));
    if (eaten > 0 || ill != LH_D65 || g != LH_D8_EX || i % 10 > 0) continue;
    printed = fmax(printed, lh_delta_e00(textbook(layers, i),
                                         lab_of(&rgb[sets - 1][3 * i])));
  }
  for (int set = 0; set < sets; set++)
    CHECK_NEAR(worst[set], 0, 0.02, "%s: %d layers to %g, %g eaten: dE00",
               set_name[set], layers, most, eaten);
  CHECK_NEAR(printed, 0, 0.02, "against Kubelka as printed: dE00");
  CHECK_NEAR(apart, 0, 0.02, "the sets agree: dE00");
  test_heap_free(&h);
}

/* Alone or in a row: the same bits; above the greatest coat: as that. */
static void places(int set)
{
  static lh_fast_stack f;
  size_t wrong = 0;
  float much = 1e9f, most = 200, c[2][3];
  const float *one = &much, *other = &most;
  test_heap h;

  palette(8, 0.5, LH_D8_EX, LH_D65);
  lay(200);
  test_heap_open(&h, SIZE_MAX);
  prepare(3, 200, &h, &f);
  lh_fast_rgb((lh_isa)set, &f, maps, PIXELS, rgb[0]);
  for (size_t i = 0; i < PIXELS; i++) {
    const float *at[] = {coat[0] + i, coat[1] + i, coat[2] + i};
    float alone[3];
    lh_fast_rgb((lh_isa)set, &f, at, 1, alone);
    wrong += memcmp(alone, rgb[0] + 3 * i, sizeof alone) != 0;
  }
  CHECK(wrong == 0, "%s: a pixel's bits, alone or in a row", set_name[set]);
  prepare(1, 200, &h, &f);
  lh_fast_rgb((lh_isa)set, &f, &one, 1, c[0]);
  lh_fast_rgb((lh_isa)set, &f, &other, 1, c[1]);
  CHECK(lh_delta_e00(lab_of(c[0]), lab_of(c[1])) < 3,
        "%s: a coat beyond the table stays within it", set_name[set]);
  test_heap_free(&h);
}

static void refusals(void)
{
  static lh_fast_stack f;
  const unsigned char first[] = {0};
  double most[] = {300};
  size_t limit = 0;
  lh_status st;
  test_heap h;

  palette(0, 0, LH_D8_EX, LH_D65);
  test_heap_open(&h, SIZE_MAX);
  slips[0].absorption[7] = 0; /* all but clear, and white */
  slips[0].decay[7] = 0;
  CHECK(lh_fast_prepare(&ready, first, most, 1, &h.arena, &f) == LH_RANGE,
        "a slip without absorption is left to double precision");
  palette(0, 0, LH_D8_EX, LH_D65);
  slips[0].decay[3] = 50; /* black at a thousandth of a coat */
  most[0] = 5000;
  CHECK(lh_fast_prepare(&ready, first, most, 1, &h.arena, &f) == LH_RANGE,
        "a table that would be too long");
  test_heap_free(&h);
  palette(0, 0, LH_D8_EX, LH_D65);
  do {
    test_heap_open(&h, limit += 4096);
    st = lh_fast_prepare(&ready, slip, (double[]){9, 9, 9}, 3, &h.arena, &f);
    if (st != LH_OK && st != LH_NOMEM) CHECK(false, "only no memory");
    test_heap_free(&h);
  } while (st != LH_OK && limit < 10000000);
  CHECK(st == LH_OK && limit > 4096, "out of memory is said, until there is");
}

/* Every 9973rd float from 0 to 1, many at once and alone, and what lies
** outside. */
static void bytes(lh_isa isa)
{
  static lh_fast_codes t;
  static float x[0x3f800000 / 9973 + 8];
  static unsigned char byte[sizeof x / sizeof *x];
  const float odd[] = {-1, 0, 2, NAN, 1, -INFINITY, INFINITY};
  const unsigned char want[] = {0, 0, 255, 0, 255, 0, 255};
  size_t n = 0, wrong = 0;

  lh_fast_codes_make(&t);
  for (uint32_t u = 0; u < 0x3f800000; u += 9973, n++)
    memcpy(&x[n], &u, sizeof u);
  memcpy(x + n, odd, sizeof odd);
  n += 7;
  lh_fast_encode(isa, &t, x, n, byte);
  for (size_t i = 0; i < n - 7; i++) {
    double v = 255 * lh_srgb_encode((double)x[i]);
    unsigned char alone;
    lh_fast_encode(isa, &t, x + i, 1, &alone);
    wrong += !(fabs(byte[i] - v) <= 0.5 + 1e-5) || alone != byte[i];
  }
  CHECK(wrong == 0, "%s: bytes are rounded to the nearest", set_name[isa]);
  CHECK(memcmp(byte + n - 7, want, 7) == 0,
        "%s: what lies outside is cut, NaN is black", set_name[isa]);
}

static void nodes(int layers)
{
  static lh_fast_stack f;
  static unsigned char byte[3 * PIXELS];
  double most[] = {150, 150, 150}, worst[SETS] = {0}, apart = 0;
  size_t rounded = 0;
  test_heap h;

  palette(0, 0, LH_D8_EX, LH_D65);
  lay(150);
  test_heap_open(&h, SIZE_MAX);
  prepare(layers, 150, &h, &f);
  for (int set = 0; set < sets; set++) {
    lh_fast_nodes t;
    lh_status st = lh_fast_nodes_make((lh_isa)set, &f, most, &h.arena, &t);
    CHECK(st == LH_OK, "%s: a table of %d layers", set_name[set], layers);
    lh_fast_nodes_codes((lh_isa)set, &t, maps, PIXELS, rgb[set]);
    lh_fast_nodes_bytes((lh_isa)set, &t, maps, PIXELS, byte);
    for (size_t i = 0; i < PIXELS; i++) {
      const float *x = &rgb[set][3 * i];
      lh_rgb got = {(double)x[0] / 255, (double)x[1] / 255, (double)x[2] / 255};
      double d = lh_delta_e00(lh_srgb_lab(lh_srgb_clip(screen(layers, i))),
                              lh_srgb_lab(got));
      worst[set] = d <= worst[set] ? worst[set] : d;
      for (size_t c = 0; c < 3; c++)
        rounded += fabs((double)x[c] - byte[3 * i + c]) > 0.50001;
    }
  }
  for (int set = 1; set < sets; set++)
    for (size_t i = 0; i < 3 * (size_t)PIXELS; i++)
      apart = fmax(apart, fabs((double)rgb[0][i] - (double)rgb[set][i]));
  for (int set = 0; set < sets; set++)
    CHECK_NEAR(worst[set], 0, 0.35, "%s: between nodes, %d layers: dE00",
               set_name[set], layers);
  CHECK(rounded == 0, "and its bytes are those, rounded");
  CHECK_NEAR(apart, 0, 0.05, "the sets agree: of a step of 8 bits");
  test_heap_free(&h);
}

int main(void)
{
  sets = sets_here();
  for (int layers = 0; layers <= LAYERS; layers++)
    against_double(layers, 250, 0, 0, LH_D8_EX, LH_D65);
  for (int i = 0; i < 6; i++) against_double(3, 200, 0, 0, LH_D8_EX, LH_D65);
  against_double(3, 1500, 0, 0, LH_D8_EX, LH_D65);
  against_double(3, 5, 0, 0, LH_D8_EX, LH_D65);
  against_double(3, 200, 8, 0.5, LH_D8_EX, LH_D65);
  against_double(4, 200, 20, 0, LH_45_0, LH_A);
  against_double(2, 200, 0, 1, LH_D8_IN, LH_D50);
  for (int set = 0; set < sets; set++) places(set);
  for (int layers = 1; layers <= LH_NODES_LAYERS; layers++) nodes(layers);
  refusals();
  for (int set = 0; set < sets; set++) bytes((lh_isa)set);
  return CHECK_DONE();
}
