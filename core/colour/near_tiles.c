/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two bounds say which tiles cannot be nearer than the best so far, D.
**
** (1) Lightness.  dE00^2 = l^2 + q, l = dL/SL, q = c^2 + t^2 + RT c t with
** c = dC/SC, t = dH/SH.  |RT| = sin(2 theta) RC <= sin(60 deg) 2 < 2, so
** q >= (1 - |RT|/2)(c^2 + t^2) >= 0 and dE00 >= |dL|/SL.
**     SL = 1 + 0.015 m^2/sqrt(20 + m^2),  m = (L1 + L2)/2 - 50,
** grows with |m|; L* from 0 to 100 keeps |m| <= 50, so SL is never above
** 1 + 37.5/sqrt(2520) = 1.7471 < 1.748, and whatever lies more than 1.748 D
** away in L* is farther than D.  With SL taken at the very pair the bound is
** tighter, and still grows as L2 walks away from L1: its slope has the sign of
** SL - |dL| dSL/dL2, with |dSL/dL2| = 0.0075 |m| (m^2 + 40)/(m^2 + 20)^1.5
** <= 0.0075 * 1.09 (the most of x (x^2 + 40)/(x^2 + 20)^1.5, at x^2 = 40),
** so SL - |dL| dSL/dL2 >= 1 - 100 * 0.0082 > 0.  So a walk along the sorted
** list may end at the first tile where |dL|/SL exceeds D.
**
** (2) Hue and chroma.  SH <= 1 + 0.015 C 1.93 < SC = 1 + 0.045 C (C the mean
** of the two C'; T <= 1 + 0.17 + 0.24 + 0.32 + 0.20), so c^2 + t^2 is at least
** (dC^2 + dH^2)/SC^2 = (da'^2 + db^2)/SC^2 >= d^2/SC^2, d the distance in the
** plane of a* and b*, for a' = (1 + G) a* and 1 <= 1 + G <= 1.5.  The same
** gives C <= 1.5 (C1 + d/2), C1 the wanted colour's chroma.  With
** 1 - |RT|/2 >= 1 - sin 60 deg = 0.13397 = 0.36602^2:
**     dE00 >= 0.36602 d / (1 + 0.0675 C1 + 0.03375 d),
** so that d > D (1 + 0.0675 C1)/(0.36602 - 0.03375 D) is farther than D (for
** D < 10.8; above, nothing can be said and nothing is left out).
**
** Both are asked in single precision with a slack of 1e-3 of D and more, far
** above its rounding. */
#include "near_tiles.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include "difference.h"
#include "fast_e00.h"

/* ---- sorting ------------------------------------------------------------ */

static bool fits(lh_lab c)
{
  return c.L >= 0.0 && c.L <= 100.0 && fabs(c.a) <= 1000.0 &&
         fabs(c.b) <= 1000.0;
}

/* A key that sorts as L* does: numbers >= 0 sort as their bits. */
static uint32_t key_of(lh_lab c)
{
  float L = (float)c.L + 0.0f; /* -0 becomes 0 */
  uint32_t u;

  memcpy(&u, &L, sizeof u);
  return u;
}

/* A place for each byte of the key, lowest byte first; equal ones keep their
** order, so that the list is the same on every machine. */
static void sort(const lh_lab *tile, size_t n, uint32_t *which, uint32_t *room)
{
  for (size_t i = 0; i < n; i++) which[i] = (uint32_t)i;
  for (int byte = 0; byte < 4; byte++) {
    size_t start[257] = {0};
    uint32_t *swap = which;
    for (size_t i = 0; i < n; i++)
      start[(key_of(tile[which[i]]) >> (8 * byte) & 255) + 1]++;
    for (size_t k = 0; k < 256; k++) start[k + 1] += start[k];
    for (size_t i = 0; i < n; i++)
      room[start[key_of(tile[which[i]]) >> (8 * byte) & 255]++] = which[i];
    which = room;
    room = swap;
  }
}

lh_status lh_near_make(const lh_lab *tile, size_t n, lh_arena *a, lh_near *near)
{
  uint32_t *room;

  *near = (lh_near){.tile = tile, .count = n};
  if (n > UINT32_C(1) << 31) return LH_TOOLARGE;
  for (size_t i = 0; i < n; i++)
    if (!fits(tile[i])) return LH_RANGE;
  near->L = lh_arena_take(a, n + 1, sizeof(float));
  near->a = lh_arena_take(a, n + 1, sizeof(float));
  near->b = lh_arena_take(a, n + 1, sizeof(float));
  near->which = lh_arena_take(a, n + 1, sizeof(uint32_t));
  room = lh_arena_take(a, n + 1, sizeof(uint32_t));
  if (!near->L || !near->a || !near->b || !near->which || !room)
    return LH_NOMEM;
  sort(tile, n, near->which, room); /* four passes: it ends where it began */
  for (size_t i = 0; i < n; i++) {
    lh_lab c = tile[near->which[i]];
    near->L[i] = (float)c.L;
    near->a[i] = (float)c.a;
    near->b[i] = (float)c.b;
  }
  return LH_OK;
}

/* ---- asking ------------------------------------------------------------- */

enum { BATCH = 64, STEP = 32 };

typedef struct {
  const lh_near *near;
  lh_lab want;
  float from[3];
  double chroma;
  lh_isa isa;
  lh_near_one *one;
  size_t found, most;
  float best, reach;     /* D with its slack; d^2 beyond which none is nearer */
  float batch[3][BATCH]; /* tiles that passed the bounds */
  uint32_t which[BATCH];
  size_t waiting;
} search;

/* D as it now is, and what follows from it. */
static void tighten(search *s)
{
  double D, under, d;

  s->best = s->reach = INFINITY;
  if (s->found < s->most) return;
  D = s->one[s->found - 1].difference * 1.001 + 1e-3;
  s->best = (float)D;
  under = 0.36602 - 0.03375 * D;
  if (under < 1e-3) return;
  d = D * (1.0 + 0.0675 * s->chroma) / under + 1e-3;
  s->reach = (float)(d * d);
}

/* Put one among the answers, in its place. */
static void insert(search *s, size_t which, double difference)
{
  size_t i;

  if (s->found == s->most) {
    const lh_near_one *last = &s->one[s->found - 1];
    if (difference > last->difference ||
        (difference == last->difference && which > last->which))
      return;
  } else {
    s->found++;
  }
  for (i = s->found - 1; i > 0; i--) {
    const lh_near_one *b = &s->one[i - 1];
    if (b->difference < difference ||
        (b->difference == difference && b->which < which))
      break;
    s->one[i] = *b;
  }
  s->one[i] = (lh_near_one){which, difference};
}

/* Ask those that wait: in single precision first, then, if still in doubt,
** exactly. */
static void flush(search *s)
{
  float dE[BATCH];
  lh_labs q = {s->batch[0], s->batch[1], s->batch[2]};

  lh_fast_e00_from(s->isa, s->from, q, s->waiting, dE);
  for (size_t i = 0; i < s->waiting; i++) {
    if (dE[i] > s->best) continue;
    insert(s, s->which[i], lh_delta_e00(s->want, s->near->tile[s->which[i]]));
    tighten(s);
  }
  s->waiting = 0;
}

static void wait(search *s, size_t i)
{
  size_t k = s->waiting++;

  s->batch[0][k] = s->near->L[i];
  s->batch[1][k] = s->near->a[i];
  s->batch[2][k] = s->near->b[i];
  s->which[k] = s->near->which[i];
  if (s->waiting == BATCH) flush(s);
}

/* STEP squared distances; in a loop that compilers turn into vectors. */
static int within(const float *a, const float *b, const float from[3],
                  float reach, float d2[STEP])
{
  const float fa = from[1], fb = from[2];
  int any = 0;

  for (size_t i = 0; i < STEP; i++) {
    float da = a[i] - fa, db = b[i] - fb, d = da * da + db * db;
    d2[i] = d;
    any |= d <= reach;
  }
  return any;
}

/* Tiles from to before end: those within reach wait. */
static void look(search *s, size_t from, size_t end)
{
  const float *a = s->near->a + from, *b = s->near->b + from;
  float d2[STEP];

  if (end - from == STEP) {
    if (!within(a, b, s->from, s->reach, d2)) return;
    for (size_t i = 0; i < STEP; i++)
      if (d2[i] <= s->reach) wait(s, from + i);
    return;
  }
  for (size_t i = 0; i < end - from; i++) {
    float da = a[i] - s->from[1], db = b[i] - s->from[2];
    if (da * da + db * db <= s->reach) wait(s, from + i);
  }
}

/* |dL|/SL of the wanted colour and tile i; of none: infinity. */
static float side(const search *s, size_t i, bool there)
{
  float L, dL, m;

  if (!there) return INFINITY;
  L = s->near->L[i];
  dL = fabsf(L - s->from[0]);
  m = 0.5f * (L + s->from[0]) - 50.0f;
  return dL / (1.0f + 0.015f * m * m / sqrtf(20.0f + m * m));
}

static size_t first_not_below(const lh_near *near, float L)
{
  size_t low = 0, high = near->count;

  while (low < high) {
    size_t middle = low + (high - low) / 2;
    if (near->L[middle] < L)
      low = middle + 1;
    else
      high = middle;
  }
  return low;
}

size_t lh_near_find(lh_isa isa, const lh_near *near, lh_lab want, size_t most,
                    lh_near_one *one)
{
  search s = {.near = near, .want = want, .isa = isa, .one = one, .most = most};
  float above, below;
  size_t up, down;

  assert(most >= 1 && most <= LH_NEAR_MOST && fits(want));
  s.from[0] = (float)want.L;
  s.from[1] = (float)want.a;
  s.from[2] = (float)want.b;
  s.chroma = sqrt(want.a * want.a + want.b * want.b);
  tighten(&s);
  up = down = first_not_below(near, s.from[0]);
  above = side(&s, up, up < near->count);
  below = side(&s, down - 1, down > 0);
  /* The side that is nearer in lightness goes on, as long as the bound lets
  ** either; what waits may yet tighten it. */
  while (up < near->count || down > 0) {
    if (above > s.best && below > s.best) {
      if (s.waiting == 0) break;
      flush(&s);
    } else if (above <= below) {
      size_t end = up + STEP < near->count ? up + STEP : near->count;
      look(&s, up, end);
      up = end;
      above = side(&s, up, up < near->count);
    } else {
      size_t end = down > STEP ? down - STEP : 0;
      look(&s, end, down);
      down = end;
      below = side(&s, down - 1, down > 0);
    }
    if (s.found < s.most && s.waiting >= 16) flush(&s);
  }
  flush(&s);
  return s.found;
}
