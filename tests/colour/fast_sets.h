/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The instruction sets that this machine has, for the fast_ suites. */
#ifndef LH_TESTS_FAST_SETS_H
#define LH_TESTS_FAST_SETS_H

#include <stdint.h>
#include <stdlib.h>

#include "arena.h"
#include "check.h"
#include "fast_isa.h"

enum { SETS = 3 };

static inline int sets_here(void)
{
#if LH_FAST_X86
  __builtin_cpu_init();
  if (__builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512dq"))
    return 3;
  printf("# no AVX-512 here\n");
  if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma")) return 2;
#endif
  printf("# no AVX2 here: only the plain kernels are tried\n");
  return 1;
}

static const char *const set_name[] = {"plain", "AVX2", "AVX-512"};

/* A number in low..high from a small generator with a fixed seed. */
static inline double draw(double low, double high)
{
  static uint64_t s = 3;

  s = s * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  return low + (high - low) * (double)(s >> 11) * 0x1p-53;
}

/* An arena of blocks that are never freed one by one; gives out at `limit`
** bytes. */
typedef struct {
  lh_arena arena;
  void *block[512];
  int blocks;
  size_t limit;
} test_heap;

static inline void *test_heap_more(lh_arena *a, size_t n)
{
  test_heap *h = (test_heap *)(void *)a;

  if (h->blocks == 512 || n > h->limit) return NULL;
  h->limit -= n;
  return h->block[h->blocks++] = malloc(n);
}

static inline void test_heap_open(test_heap *h, size_t limit)
{
  *h = (test_heap){.arena = {.more = test_heap_more}, .limit = limit};
}

static inline void test_heap_free(test_heap *h)
{
  while (h->blocks > 0) free(h->block[--h->blocks]);
}

#endif
