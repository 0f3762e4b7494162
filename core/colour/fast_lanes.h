/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fast_lanes.h -- a few numbers at once, for the _body files only.
**
** Read once for each instruction set, so it has no guard.  Before it stand
**   LANES     4, 8 or 16
**   IN(x)     x with the set's ending, so that names do not meet
**   TARGET    the attribute that allows the set's instructions
** Vectors are the compiler's own (gcc, clang): + - * / and comparisons are
** written as for single numbers, and every lane is rounded as IEEE 754 says.
*/
typedef float IN(floats) __attribute__((vector_size(4 * LANES)));
typedef int32_t IN(ints) __attribute__((vector_size(4 * LANES)));

#define HERE static inline __attribute__((always_inline)) TARGET

HERE IN(floats) IN(load)(const float *p)
{
  IN(floats) v;

  memcpy(&v, p, sizeof v);
  return v;
}

HERE void IN(store)(float *p, IN(floats) v)
{
  memcpy(p, &v, sizeof v);
}

HERE IN(floats) IN(all)(float x)
{
#if LANES == 16
  return _mm512_set1_ps(x);
#elif LANES == 8
  return (IN(floats)){x, x, x, x, x, x, x, x};
#else
  return (IN(floats)){x, x, x, x};
#endif
}

/* a b + c, rounded once with FMA and twice without. */
HERE IN(floats) IN(muladd)(IN(floats) a, IN(floats) b, IN(floats) c)
{
#if LANES == 16
  return _mm512_fmadd_ps(a, b, c);
#elif LANES == 8
  return _mm256_fmadd_ps(a, b, c);
#else
  return a * b + c;
#endif
}

HERE IN(floats) IN(root)(IN(floats) a)
{
#if LANES == 16
  return _mm512_sqrt_ps(a);
#elif LANES == 8
  return _mm256_sqrt_ps(a);
#elif defined(__SSE2__)
  return _mm_sqrt_ps(a);
#else
  return (IN(floats)){sqrtf(a[0]), sqrtf(a[1]), sqrtf(a[2]), sqrtf(a[3])};
#endif
}

/* a where the mask is all ones, b where it is 0. */
HERE IN(floats) IN(pick)(IN(ints) mask, IN(floats) a, IN(floats) b)
{
  return (IN(floats))(((IN(ints))a & mask) | ((IN(ints))b & ~mask));
}

HERE IN(floats) IN(most)(IN(floats) a, IN(floats) b)
{
  return IN(pick)(a > b, a, b);
}

/* One bit a lane, lane 0 lowest. */
HERE int IN(bits)(IN(ints) mask)
{
#if LANES == 16
  return (int)_mm512_movepi32_mask((__m512i)mask);
#elif LANES == 8
  return _mm256_movemask_ps((IN(floats))mask);
#elif defined(__SSE2__)
  return _mm_movemask_ps((IN(floats))mask);
#else
  return (mask[0] & 1) | (mask[1] & 2) | (mask[2] & 4) | (mask[3] & 8);
#endif
}
