/* SPDX-License-Identifier: GPL-3.0-or-later */
/* draw.h -- random draws that need no memory, and what many of them say.
**
** A draw is a pure function of a key and a counter: the thousandth can be had
** without the 999 before it, in any order, twice over, and is the same to the
** last bit everywhere (+ - * / and sqrt, and exact.h, alone).  That is what
** lets two recipes be judged on the same luck.  Nothing here remembers, and
** nothing is secret: not for keys or tokens.
*/
#ifndef LH_DRAW_H
#define LH_DRAW_H

#include <stddef.h>
#include <stdint.h>

/* Half widths of a 90 % range per standard deviation, of a normal error. */
#define LH_SIGMAS_OF_90 1.6448536269514722

/* 64 random bits: draw i (from 0) of a key.
**
** Ref:  splitmix64: G. L. Steele, D. Lea, C. H. Flood (2014), OOPSLA, 453-472;
**       draw i is that generator's (i + 1)th, begun at the key.
*/
static inline uint64_t lh_draw_bits(uint64_t key, uint64_t i)
{
  uint64_t z = key + (i + 1) * UINT64_C(0x9E3779B97F4A7C15);

  z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
  z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
  return z ^ (z >> 31);
}

/* A key of its own for each pair of numbers under a seed. */
static inline uint64_t lh_draw_key(uint64_t seed, uint64_t a, uint64_t b)
{
  return lh_draw_bits(lh_draw_bits(lh_draw_bits(seed, 0) ^ a, 0) ^ b, 0);
}

/* Evenly between 0 and 1, neither of them ever. */
static inline double lh_draw_even(uint64_t key, uint64_t i)
{
  return ((double)(lh_draw_bits(key, i) >> 12) + 0.5) * 0x1p-52;
}

/* The x below which a normal deviate of mean 0 and deviation 1 lies with
** probability p.
**
** Given:     p   0 < p < 1
** Returned:  x; NaN outside
** Notes:     1) To about 1e-15 of x.
** Ref:       M. J. Wichura (1988), Appl. Statist. 37, 477-484, algorithm
**            AS 241 (PPND16); coefficients from memory, checked against the
**            error function and GSL.
*/
double lh_draw_deviate(double p);

/* A normal deviate: draw i of a key. */
static inline double lh_draw_normal(uint64_t key, uint64_t i)
{
  return lh_draw_deviate(lh_draw_even(key, i));
}

/* Sort only so far that v[k] is what it would be if all were sorted.
**
** Given:     v, n   numbers, no NaN among them; k < n
** Returned:  v[k]; nothing before k is larger, nothing after it smaller
** Ref:       C. A. R. Hoare (1961), Commun. ACM 4, 321, algorithm 65.
*/
double lh_draw_select(double *v, size_t n, size_t k);

/* The value that a share q of n numbers lies below, straight between two of
** them; n > 0, 0 <= q <= 1.  v is put in another order.
**
** Ref:  R. J. Hyndman, Y. Fan (1996), Amer. Statist. 50, 361-365, type 7.
*/
double lh_draw_quantile(double *v, size_t n, double q);

#endif
