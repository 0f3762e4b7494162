/* SPDX-License-Identifier: GPL-3.0-or-later */
/* CIEDE2000 of many pairs: the published ones, and against double precision,
** with every instruction set there is. */
#include "ciede2000.h"
#include "difference.h"
#include "fast_e00.h"
#include "fast_sets.h"

enum { MANY = 20011 };

static float c[6][MANY], out[SETS][MANY];
static int sets;

static double exact(size_t i)
{
  lh_lab p = {(double)c[0][i], (double)c[1][i], (double)c[2][i]};
  lh_lab q = {(double)c[3][i], (double)c[4][i], (double)c[5][i]};

  return lh_delta_e00(p, q);
}

static void run(int set, size_t n)
{
  lh_labs p = {c[0], c[1], c[2]}, q = {c[3], c[4], c[5]};

  lh_fast_e00((lh_isa)set, p, q, n, out[set]);
}

/* Sharma, Wu & Dalal (2005), table 1: printed to 4 decimals, so 5e-5, and
** the stated 4e-5, or 8e-6 of a difference above 5.  Pair 14 has exactly
** opposite hues. */
static void published(int set)
{
  for (size_t way = 0; way < 2; way++) {
    for (size_t i = 0; i < ciede2000_count; i++)
      for (size_t k = 0; k < 6; k++)
        c[k][i] = (float)ciede2000[i][1 + (k + 3 * way) % 6];
    run(set, ciede2000_count);
    for (size_t i = 0; i < ciede2000_count; i++)
      CHECK_NEAR((double)out[set][i], ciede2000[i][7],
                 5e-5 + fmax(4e-5, 8e-6 * ciede2000[i][7]), "%s: pair %g%s",
                 set_name[set], ciede2000[i][0], way ? " swapped" : "");
  }
}

/* Kinds of pairs: all over; near; dark and near grey; greys, equals and
** opposites; blues, where the rotation term acts. */
static const char *const kinds[] = {"anywhere", "near", "close to grey",
                                    "greys, equals, opposites", "blues"};

static void fill(int kind)
{
  for (size_t i = 0; i < MANY; i++) {
    double p[3] = {draw(0, 100), draw(-120, 120), draw(-120, 120)}, q[3];
    double reach = kind == 0 ? 300 : kind == 1 ? 6 : kind == 2 ? 3 : 8;
    if (kind == 2 || kind == 3) p[1] /= 40, p[2] /= 40;
    if (kind == 4) p[1] = draw(-20, 40), p[2] = draw(-110, -10);
    for (int k = 0; k < 3; k++) {
      q[k] = p[k] + draw(-reach, reach);
      q[k] = fmin(fmax(q[k], k ? -120 : 0), k ? 120 : 100);
    }
    if (kind == 3 && i % 5 == 0) q[1] = -p[1], q[2] = -p[2];
    if (kind == 3 && i % 5 == 1) q[1] = q[2] = 0;
    if (kind == 3 && i % 5 == 2) q[0] = p[0], q[1] = p[1], q[2] = p[2];
    if (kind == 3 && i % 5 == 3) q[1] = -1e-6 * p[1], q[2] = -p[2];
    if (kind == 3 && i % 25 == 4) p[1] = p[2] = q[1] = q[2] = 0;
    for (int k = 0; k < 3; k++) {
      c[k][i] = (float)p[k];
      c[3 + k][i] = (float)q[k];
    }
  }
}

/* The header's bounds. */
static void against_double(int kind)
{
  double small[SETS] = {0}, large[SETS] = {0}, apart = 0;

  fill(kind);
  for (int set = 0; set < sets; set++) run(set, MANY);
  for (size_t i = 0; i < MANY; i++) {
    double want = exact(i);
    for (int set = 0; set < sets; set++) {
      double e = fabs((double)out[set][i] - want);
      if (!(e < INFINITY)) e = INFINITY;
      if (want < 5)
        small[set] = fmax(small[set], e);
      else
        large[set] = fmax(large[set], e / want);
    }
    for (int set = 1; set < sets; set++)
      apart = fmax(apart, fabs((double)out[0][i] - (double)out[set][i]) /
                              fmax(5, want));
  }
  for (int set = 0; set < sets; set++) {
    CHECK_NEAR(small[set], 0, 4e-5, "%s, %s: below dE 5", kinds[kind],
               set_name[set]);
    CHECK_NEAR(large[set], 0, 8e-6, "%s, %s: above, of itself", kinds[kind],
               set_name[set]);
  }
  CHECK_NEAR(apart, 0, 16e-6, "%s: the sets agree", kinds[kind]);
}

/* Any count, anywhere in the arrays, and the one-to-many form: the bits of
** the whole. */
static void places(int set)
{
  size_t wrong = 0;

  fill(1);
  run(set, MANY);
  for (size_t from = 0; from < 40; from++)
    for (size_t n = 0; n <= 20; n++) {
      lh_labs p = {c[0] + from, c[1] + from, c[2] + from};
      lh_labs q = {c[3] + from, c[4] + from, c[5] + from};
      float some[21];
      some[n] = 77.0f;
      lh_fast_e00((lh_isa)set, p, q, n, some);
      wrong += some[n] < 77.0f || some[n] > 77.0f;
      wrong += memcmp(some, out[set] + from, n * sizeof *some) != 0;
    }
  CHECK(wrong == 0, "%s: a pair's bits, whatever stands beside it",
        set_name[set]);
  for (size_t i = 0; i < MANY; i++)
    for (size_t k = 0; k < 3; k++) c[k][i] = c[k][0];
  run(set, MANY);
  {
    static float from_one[MANY];
    float one[3] = {c[0][0], c[1][0], c[2][0]};
    lh_labs q = {c[3], c[4], c[5]};
    lh_fast_e00_from((lh_isa)set, one, q, MANY, from_one);
    CHECK(memcmp(from_one, out[set], sizeof from_one) == 0,
          "%s: one against many is the same", set_name[set]);
  }
  c[1][3] = NAN;
  run(set, 8);
  CHECK(isnan(out[set][3]) && !isnan(out[set][2]), "%s: NaN in, NaN out",
        set_name[set]);
}

int main(void)
{
  sets = sets_here();
  for (int set = 0; set < sets; set++) {
    published(set);
    places(set);
  }
  for (int kind = 0; kind < 5; kind++) against_double(kind);
  return CHECK_DONE();
}
