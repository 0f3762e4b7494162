/* SPDX-License-Identifier: GPL-3.0-or-later */
/* linear_case.h -- seeded problems for the tests of solve/linear.h: a shelf of
** invented materials with prices, a target, sometimes limits. */
#ifndef LH_LINEAR_CASE_H
#define LH_LINEAR_CASE_H

#include <stdint.h>
#include <string.h>

#include "linear.h"

enum { CASE_N = 9, CASE_ROWS = 6, CASE_LIMITS = 4 };

typedef struct {
  double mol[CASE_N * CASE_ROWS], fired[CASE_N], target[CASE_ROWS],
      weight[CASE_ROWS], price[CASE_N], per[CASE_N];
  lh_search_limit limit[CASE_LIMITS];
  bool of[CASE_N];
  lh_search_problem problem;
  lh_linear_ask ask;
} linear_case;

static unsigned char case_block[4 << 20];

static inline void *case_none(lh_arena *a, size_t n)
{
  (void)a;
  (void)n;
  return NULL;
}

static inline lh_arena case_room(void)
{
  return (lh_arena){
      .more = case_none, .at = case_block, .left = sizeof case_block};
}

/* Knuth's MMIX generator: any will do. */
static inline double case_random(uint64_t *s)
{
  *s = *s * 6364136223846793005u + 1442695040888963407u;
  return (double)(*s >> 11) * 0x1p-53;
}

static inline void case_limits(linear_case *c, uint64_t *s)
{
  for (size_t j = 0; j < CASE_N; j++) c->of[j] = j % 3 == 0;
  c->limit[0] = (lh_search_limit){.kind = LH_SEARCH_MOST,
                                  .of = c->of,
                                  .value = 30.0 + 40.0 * case_random(s)};
  c->limit[1] = (lh_search_limit){.kind = LH_SEARCH_LEAST,
                                  .material = 4,
                                  .value = 2.0 + 8.0 * case_random(s)};
  c->limit[2] = (lh_search_limit){
      .kind = LH_SEARCH_RATIO, .material = 1, .other = 2, .value = 0.5};
  c->limit[3] = (lh_search_limit){
      .kind = LH_SEARCH_STOCK, .material = 7, .value = 300, .batch = 2000};
}

/* Case `seed`: every second one a slip, every third with limits. */
static inline void case_make(linear_case *c, size_t seed)
{
  uint64_t s = 77u * seed + 1u;
  lh_search_problem *p = &c->problem;
  double sum = 0.0;

  memset(c, 0, sizeof *c);
  for (size_t j = 0; j < CASE_N; j++) {
    c->price[j] = 0.5 + 4.0 * case_random(&s);
    c->per[j] = 0.5 + 0.5 * case_random(&s);
    for (size_t i = 0; i < CASE_ROWS; i++) {
      double v = case_random(&s);
      if (v > 0.45) c->mol[j * CASE_ROWS + i] = 0.01 * v;
    }
    c->mol[j * CASE_ROWS + j % CASE_ROWS] += 0.004;
    for (size_t i = 0; i < CASE_ROWS; i++)
      c->fired[j] += c->mol[j * CASE_ROWS + i];
    c->fired[j] += 0.001 * case_random(&s);
  }
  for (size_t i = 0; i < CASE_ROWS; i++) {
    c->target[i] = 0.1 + 2.0 * case_random(&s);
    c->weight[i] = 0.5 + case_random(&s);
    sum += c->target[i];
  }
  *p = (lh_search_problem){.rows = CASE_ROWS, .materials = CASE_N};
  p->mol = c->mol;
  p->target = c->target;
  p->weight = c->weight;
  p->limit = c->limit;
  if (seed % 2 == 1) {
    p->measure = LH_SEARCH_SLIP;
    p->fired = c->fired;
    for (size_t i = 0; i < CASE_ROWS; i++) c->target[i] *= 100.0 / sum;
  }
  if (seed % 3 == 2) {
    case_limits(c, &s);
    p->limits = CASE_LIMITS;
  }
  c->ask.problem = p;
  c->ask.price = c->price;
  c->ask.per = seed % 4 < 2 ? c->per : NULL;
}

#endif
