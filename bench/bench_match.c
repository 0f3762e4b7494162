/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_match.c -- stains for a wanted colour: 40 in stock, up to 3 at once,
** across the window.
**
** Beside it the same looks the plain way: mixed and fired by the exact path,
** from some of them.  The stains are made up by rule.
*/
#include <math.h>

#include "bench.h"
#include "match.h"

enum { STAINS = 40, TIMES = 5, PLAIN = 500 };

/* Processor time of this program: other work on the machine does not count. */
static double spent(void)
{
  struct timespec t;

  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Stain i: an absorption hump about a wavelength of its own. */
static void make(size_t i, lh_slip_optics *o)
{
  double at = fmod((double)(i + 1) * sqrt(2.0), 1.0) * 300 + 420;
  double wide = fmod((double)(i + 1) * sqrt(3.0), 1.0) * 80 + 30;

  for (size_t k = 0; k < LH_WAVES; k++) {
    double x = (lh_wave_nm(k) - at) / wide;
    o->absorption[k] = 0.02 + 1.5 * exp(-x * x);
    o->scattering[k] = 0.1;
  }
}

/* One look by the exact path. */
static double plain(const lh_match_ask *a, const lh_slip_optics *base, size_t i)
{
  lh_slip_optics part[4] = {*base}, mix;
  double parts[4] = {1, 0.01, 0.01, 0.01}, R[LH_WAVES];
  lh_stack_layer layer = {&mix, a->coat[0]};
  lh_stack s = *a->stack;

  for (size_t j = 1; j < 4; j++) part[j] = *a->stains[(i + j) % STAINS].optics;
  s.layers = &layer;
  if (lh_slip_mix(part, parts, 4, &mix) || lh_stack_reflectance(&s, R))
    return (double)NAN;
  return lh_spectrum_lab(R, a->illuminant).L;
}

static void measure(double eaten, lh_lab target, const char *what)
{
  static lh_slip_optics optics[STAINS], base;
  lh_match_stain stains[STAINS];
  double ground[LH_WAVES], best = 1e9, plainly, sum = 0.0;
  lh_glaze g = {1.5, {0}, eaten, 0.5};
  lh_stack_layer layer = {&base, 0};
  lh_stack s = {&layer, 1, ground, &g, LH_D8_IN};
  lh_match_ask a = {&s,  LH_D65, stains,        STAINS,
                    3,   0.2,    {90, 72, 112}, {target, target, target},
                    0.25};
  lh_match_choice c[3];
  lh_match_info info = {0, 0};
  size_t got = 0;

  for (size_t i = 0; i < STAINS; i++) {
    make(i, &optics[i]);
    stains[i] = (lh_match_stain){&optics[i], 0.15};
  }
  for (size_t i = 0; i < LH_WAVES; i++)
    base.absorption[i] = 0.0003, base.scattering[i] = 0.02, ground[i] = 0.75;
  for (int k = 0; k < TIMES; k++) {
    double from = spent();
    if (lh_match_find(&a, NULL, c, 3, &got, &info) || got == 0) return;
    best = fmin(best, spent() - from);
  }
  plainly = spent();
  for (size_t i = 0; i < PLAIN; i++) sum += plain(&a, &base, i);
  plainly = (spent() - plainly) / PLAIN * (double)info.looks;
  printf("| %s | %zu | %zu | %.0f | %.0f | %.2f |\n", what, info.sets,
         info.looks, 1e3 * best, sum > 0 ? 1e3 * plainly : 0.0, c[0].de00[0]);
}

int main(void)
{
  printf("| 40 stains, 3 at once, across the window, one thread | sets | "
         "looks | processor ms | the same looks by the exact path, ms | dE00 "
         "of the best |\n|---|---|---|---|---|---|\n");
  measure(0, (lh_lab){55, -10, 20}, "a green within reach");
  measure(0, (lh_lab){60, 60, 70}, "an orange out of reach");
  measure(8, (lh_lab){55, -10, 20}, "the green, the glaze eats 8 g/m2");
  return 0;
}
