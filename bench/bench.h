/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench.h -- the clock, the memory and the table of a benchmark.
**
** Each measurement is repeated and the best kept: what disturbs a run only
** ever makes it longer.
*/
#ifndef LH_BENCH_H
#define LH_BENCH_H

#include <stdio.h>
#include <sys/resource.h>
#include <time.h>

/* Seconds on a clock that only goes forward. */
static inline double bench_now(void)
{
  struct timespec t;

  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* The most memory this program has held so far [MB]. */
static inline double bench_peak_mb(void)
{
  struct rusage u;

  getrusage(RUSAGE_SELF, &u);
  return (double)u.ru_maxrss / 1024.0;
}

#endif
