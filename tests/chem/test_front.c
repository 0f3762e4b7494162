/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What no other beats: against the definition, every pair asked. */
#include <stdint.h>

#include "check.h"
#include "front.h"

static double random01(uint64_t *s)
{
  *s = *s * 6364136223846793005u + 1442695040888963407u;
  return (double)(*s >> 11) * 0x1p-53;
}

static int beats(const double *a, const double *b, size_t ways)
{
  int less = 0;

  for (size_t k = 0; k < ways; k++) {
    if (a[k] > b[k]) return 0;
    less |= a[k] < b[k];
  }
  return less;
}

static void test_pairs(size_t ways, double grid, uint64_t seed)
{
  enum { N = 300 };
  double v[N * LH_FRONT_WAYS];
  size_t order[N], kept, wrong = 0, expected = 0;

  for (size_t i = 0; i < N * ways; i++) v[i] = floor(grid * random01(&seed));
  kept = lh_front_keep(v, N, ways, NULL, order);
  for (size_t i = 0; i < N; i++) {
    int beaten = 0, listed = 0;
    for (size_t j = 0; j < N; j++) {
      int equal = memcmp(v + i * ways, v + j * ways, ways * sizeof *v) == 0;
      beaten |= beats(v + j * ways, v + i * ways, ways) || (equal && j < i);
    }
    for (size_t k = 0; k < kept; k++) listed |= order[k] == i;
    expected += !beaten;
    wrong += listed == beaten;
  }
  CHECK(wrong == 0 && kept == expected, "%zu ways, grid of %g: %zu kept", ways,
        grid, kept);
  for (size_t k = 1; k < kept; k++)
    wrong += v[order[k] * ways] < v[order[k - 1] * ways];
  CHECK(wrong == 0, "in order");
}

/* With a tolerance nothing may be lost: each has one kept no worse than it. */
static void test_same(void)
{
  enum { N = 300, WAYS = 3 };
  double v[N * WAYS], same[WAYS] = {0.05, 0.1, 0.02};
  size_t order[N], kept, lost = 0;
  uint64_t seed = 3;

  for (size_t i = 0; i < N * WAYS; i++) v[i] = random01(&seed);
  v[0] = NAN;
  kept = lh_front_keep(v, N, WAYS, same, order);
  for (size_t i = 1; i < N; i++) {
    int met = 0;
    for (size_t k = 0; k < kept; k++) {
      const double *a = v + order[k] * WAYS, *b = v + i * WAYS;
      met |= a[0] <= b[0] + same[0] && a[1] <= b[1] + same[1] &&
             a[2] <= b[2] + same[2];
    }
    lost += !met;
  }
  CHECK(lost == 0, "each has one of the %zu kept no worse", kept);
  for (size_t k = 0; k < kept; k++) lost += order[k] == 0;
  CHECK(lost == 0, "NaN is never kept");
  CHECK(kept < lh_front_keep(v, N, WAYS, NULL, order), "and fewer are kept");
  CHECK(lh_front_keep(v, 0, WAYS, NULL, order) == 0, "of nothing nothing");
}

int main(void)
{
  test_pairs(1, 1000.0, 1);
  test_pairs(2, 20.0, 2);
  test_pairs(3, 1e9, 3);
  test_pairs(3, 5.0, 4);
  test_pairs(4, 4.0, 5);
  test_same();
  return CHECK_DONE();
}
