/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fast_e00_body.h -- differences, LANES pairs at a time; see fast_e00.c.
**
** A pair's sums wait for one another almost from end to end, and a processor
** looks ahead over about one vector of pairs.  So a batch of pairs goes through
** three stages one after the other, each short enough that it overlaps several
** vectors: 1 + G; the chromas and the mean hue; the difference. */
#include "fast_lanes.h"

/* sqrt(C^7 / (C^7 + 25^7)) */
HERE IN(floats) IN(saturation)(IN(floats) c)
{
  IN(floats) c2 = c * c, c7 = c2 * c2 * c2 * c;

  return IN(root)(c7 / (c7 + 6103515625.0f));
}

/* T of (15) from the cosine and sine of the mean hue. */
HERE IN(floats) IN(hue_weight)(IN(floats) x, IN(floats) y)
{
  const float cos30 = 0.866025404f, sin30 = 0.5f;
  const float cos6 = 0.994521895f, sin6 = 0.104528463f;
  const float cos63 = 0.4539905f, sin63 = 0.891006524f;
  IN(floats) c2 = x * x - y * y, s2 = (x + x) * y;
  IN(floats) c3 = c2 * x - s2 * y, s3 = s2 * x + c2 * y;
  IN(floats) c4 = c2 * c2 - s2 * s2, s4 = (c2 + c2) * s2, T;

  T = IN(muladd)(x, IN(all)(-0.17f * cos30), IN(all)(1.0f));
  T = IN(muladd)(y, IN(all)(-0.17f * sin30), T);
  T = IN(muladd)(c2, IN(all)(0.24f), T);
  T = IN(muladd)(c3, IN(all)(0.32f * cos6), T);
  T = IN(muladd)(s3, IN(all)(-0.32f * sin6), T);
  T = IN(muladd)(c4, IN(all)(-0.20f * cos63), T);
  return IN(muladd)(s4, IN(all)(-0.20f * sin63), T);
}

/* sin(2 theta), theta = 30 deg exp(-((h - 275 deg) / 25 deg)^2), of a hue
** with y < 0; elsewhere h is at least 95 degrees away and it is 0 to 6e-7.
** x, y: cosine and sine of the hue.  Polynomials in pairs of terms, so that
** fewer steps wait for one another. */
HERE IN(floats) IN(blue_turn)(IN(floats) x, IN(floats) y)
{
  const float cos275 = 0.0871557427f, sin275 = -0.996194698f;
  const float per_turn = 4.58366236f; /* 2 (180 / pi) / 25 */
  const float log2e = 1.44269504f, pi_3 = 1.04719755f;
  IN(floats) along = x * cos275 + y * sin275, across = y * cos275 - x * sin275;
  IN(floats) half = across / IN(most)(along + 1.0f, IN(all)(0.5f));
  IN(floats) z = half * half, zz = z * z, p, q, r, t, u, e;
  IN(ints) k;

  /* arctangent up to 47.6 deg, to 2.4e-7 */
  p = IN(muladd)(z, IN(all)(-0.333305217f), IN(all)(0.999999764f));
  q = IN(muladd)(z, IN(all)(-0.138638863f), IN(all)(0.199447947f));
  r = IN(muladd)(z, IN(all)(-0.0526975029f), IN(all)(0.0945829362f));
  t = IN(muladd)(z, IN(all)(-0.00327108823f), IN(all)(0.0192799528f));
  p = IN(muladd)(zz, q, p);
  r = IN(muladd)(zz, t, r);
  p = IN(muladd)(zz * zz, r, p);
  u = p * half * per_turn;
  z = u * u * -log2e;
  z = IN(pick)(z > -30.0f, z, IN(all)(-30.0f));
  k = __builtin_convertvector(z - 0.5f, IN(ints)); /* to the nearest: z <= 0 */
  z -= __builtin_convertvector(k, IN(floats));
  zz = z * z; /* 2^z, |z| <= 1/2, to 8e-8 */
  p = IN(muladd)(z, IN(all)(0.693147225f), IN(all)(1.00000008f));
  q = IN(muladd)(z, IN(all)(0.055502973f), IN(all)(0.240221074f));
  r = IN(muladd)(z, IN(all)(0.00134100054f), IN(all)(0.00967603636f));
  q = IN(muladd)(zz, r, q);
  e = IN(muladd)(zz, q, p);
  e *= (IN(floats))((k + 127) << 23) * pi_3; /* 2 theta [rad] */
  z = e * e;                                 /* sine up to 60 deg, to 3e-8 */
  p = IN(muladd)(z, IN(all)(-0.166665778f), IN(all)(0.99999997f));
  q = IN(muladd)(z, IN(all)(-0.000192454527f), IN(all)(0.00832927053f));
  p = IN(muladd)(z * z, q, p);
  return IN(pick)(y < 0.0f, p * e, IN(all)(0.0f));
}

/* A pair's a' and b, and what follows from them. */
typedef struct {
  IN(floats) x, y, C;
} IN(plane);

/* Mean hue, as its cosine and sine; returns dH (11).  Of two hues less than 90
** degrees apart the bisector is their sum and dH = 2 cross sqrt(C1 C2)/|sum|,
** sum = C2 p + C1 q; of others it stands across their difference, and
** dH^2 = 2 (C1 C2 - p.q): each where it does not cancel. */
HERE IN(floats) IN(hues)(IN(plane) p, IN(plane) q, IN(floats) cross,
                         IN(floats) unit[2], IN(ints) * hard)
{
  IN(floats) product = p.C * q.C, dot = p.x * q.x + p.y * q.y;
  IN(floats) px = q.C * p.x, py = q.C * p.y, qx = p.C * q.x, qy = p.C * q.y;
  IN(ints) wide = dot < 0.0f, turn = cross < 0.0f, grey = product < 1e-12f;
  IN(floats) x = IN(pick)(wide, IN(pick)(turn, py - qy, qy - py), px + qx);
  IN(floats) y = IN(pick)(wide, IN(pick)(turn, qx - px, px - qx), py + qy), dH;
  IN(floats) inverse;

  /* One without hue: the other's (or, both all but grey, no matter). */
  x = IN(pick)(grey, p.x + q.x, x);
  y = IN(pick)(grey, p.y + q.y, y);
  inverse = 1.0f / IN(root)(IN(most)(x * x + y * y, IN(all)(1e-37f)));
  unit[0] = x * inverse;
  unit[1] = y * inverse;
  dH = IN(pick)(wide, product - dot, product);
  dH = IN(root)(IN(most)(dH + dH, IN(all)(0.0f)));
  /* sqrt(2) sqrt(2 C1 C2) = 2 sqrt(C1 C2) */
  dH = IN(pick)(wide, IN(pick)(turn, -dH, dH),
                cross * inverse * dH * 1.41421356f);
  *hard = wide & ~grey & (cross < product * 1e-5f) & (cross > product * -1e-5f);
  return IN(pick)(grey, IN(all)(0.0f), dH);
}

/* The numbers in the margin are the equations of Sharma, Wu & Dalal (2005). */

/* 1 + G */
HERE IN(floats)
    IN(stretch)(IN(floats) a1, IN(floats) b1, IN(floats) a2, IN(floats) b2)
{
  IN(floats)
  mean = 0.5f * (IN(root)(a1 * a1 + b1 * b1) + /* (2), (3) */
                 IN(root)(a2 * a2 + b2 * b2));

  return 1.5f - 0.5f * IN(saturation)(mean); /* (4) */
}

/* Chromas and mean hue of LANES pairs; returns which are hard, a bit each. */
HERE int IN(turn)(IN(floats) f, IN(floats) a1, IN(floats) b1, IN(floats) a2,
                  IN(floats) b2, e00_batch *e, size_t at)
{
  IN(floats) da = f * (a2 - a1), db = b2 - b1, unit[2];
  IN(plane) p = {f * a1, b1, a1}, q = {f * a2, b2, a2}; /* (5) */
  IN(ints) hard;

  p.C = IN(root)(p.x * p.x + p.y * p.y); /* (6) */
  q.C = IN(root)(q.x * q.x + q.y * q.y);
  IN(store)(e->C + at, p.C + q.C);
  /* C2^2 - C1^2, to be over C1 + C2: of near colours nothing cancels. (9) */
  IN(store)(e->dC + at, da * (p.x + q.x) + db * (p.y + q.y));
  IN(store)
  (e->dH + at, IN(hues)(p, q, p.x * db - p.y * da, unit, &hard)); /* (11) */
  IN(store)(e->x + at, unit[0]);
  IN(store)(e->y + at, unit[1]);
  return IN(bits)(hard);
}

/* The difference. */
HERE IN(floats)
    IN(e00)(IN(floats) L1, IN(floats) L2, const e00_batch *e, size_t at)
{
  IN(floats) x = IN(load)(e->x + at), y = IN(load)(e->y + at);
  IN(floats) C = IN(load)(e->C + at), T = IN(hue_weight)(x, y), RT; /* (15) */
  IN(floats) dL = L2 - L1, l, c, t, s, SC, SH, k;                   /* (8) */

  RT = -2.0f * IN(saturation)(0.5f * C) * IN(blue_turn)(x, y); /* (21) */
  l = 0.5f * (L1 + L2) - 50.0f;
  s = IN(root)(l * l + 20.0f);
  SC = IN(muladd)(C, IN(all)(0.0225f), IN(all)(1.0f)); /* (19) */
  SH = IN(muladd)(0.0075f * C, T, IN(all)(1.0f));      /* (20) */
  C = IN(most)(C, IN(all)(1e-30f));
  l = dL * s / (s + 0.015f * l * l); /* dL / SL, (18) */
  k = 1.0f / (C * SC * SH);
  c = IN(load)(e->dC + at) * SH * k;
  t = IN(load)(e->dH + at) * C * SC * k;
  l = l * l + c * c + t * t + RT * c * t;
  return IN(root)(IN(pick)(l < 0.0f, IN(all)(0.0f), l)); /* (22); NaN stays */
}

/* The lanes that want double precision. */
static TARGET void IN(mend)(int lanes, const float *p[3], const float *q[3],
                            float *out)
{
  for (int i = 0; i < LANES; i++) {
    if (!(lanes & 1 << i)) continue;
    lh_lab u = {(double)p[0][i], (double)p[1][i], (double)p[2][i]};
    lh_lab v = {(double)q[0][i], (double)q[1][i], (double)q[2][i]};
    out[i] = (float)lh_delta_e00(u, v);
  }
}

/* A batch of whole vectors; p goes on by `step`, LANES or 0. */
HERE void IN(batch)(const float *p[3], size_t step, const float *q[3],
                    size_t vectors, float *out)
{
  int hard[E00_BATCH / LANES], any = 0;
  e00_batch e;

  for (size_t i = 0; i < vectors; i++) {
    size_t u = i * step, v = i * LANES;
    IN(store)
    (e.f + v, IN(stretch)(IN(load)(p[1] + u), IN(load)(p[2] + u),
                          IN(load)(q[1] + v), IN(load)(q[2] + v)));
  }
  for (size_t i = 0; i < vectors; i++) {
    size_t u = i * step, v = i * LANES;
    hard[i] =
        IN(turn)(IN(load)(e.f + v), IN(load)(p[1] + u), IN(load)(p[2] + u),
                 IN(load)(q[1] + v), IN(load)(q[2] + v), &e, v);
    any |= hard[i];
  }
  for (size_t i = 0; i < vectors; i++) {
    size_t u = i * step, v = i * LANES;
    IN(store)
    (out + v, IN(e00)(IN(load)(p[0] + u), IN(load)(q[0] + v), &e, v));
  }
  for (size_t i = 0; any && i < vectors; i++) {
    size_t u = i * step, v = i * LANES;
    const float *one[3] = {p[0] + u, p[1] + u, p[2] + u};
    const float *other[3] = {q[0] + v, q[1] + v, q[2] + v};
    if (hard[i] != 0) IN(mend)(hard[i], one, other, out + v);
  }
}

/* The last few pairs, with others beside them that cannot be met. */
static TARGET void IN(rest)(const float *p[3], const float *q[3], size_t n,
                            float *out)
{
  float room[7][LANES] = {{0}};
  const float *u[3] = {room[0], room[1], room[2]};
  const float *v[3] = {room[3], room[4], room[5]};

  for (size_t c = 0; c < 3; c++) {
    memcpy(room[c], p[c], n * sizeof(float));
    memcpy(room[3 + c], q[c], n * sizeof(float));
  }
  IN(batch)(u, LANES, v, 1, room[6]);
  memcpy(out, room[6], n * sizeof(float));
}

/* n pairs; p goes on by `step` a vector. */
static TARGET void IN(all_pairs)(lh_labs P, size_t step, lh_labs Q, size_t n,
                                 float *out)
{
  size_t i = 0, of = 0;

  while (i + LANES <= n) {
    size_t vectors = (n - i) / LANES;
    const float *p[3] = {P.L + of, P.a + of, P.b + of};
    const float *q[3] = {Q.L + i, Q.a + i, Q.b + i};
    if (vectors > E00_BATCH / LANES) vectors = E00_BATCH / LANES;
    IN(batch)(p, step, q, vectors, out + i);
    i += vectors * LANES;
    of += vectors * step;
  }
  if (i < n) {
    const float *p[3] = {P.L + of, P.a + of, P.b + of};
    const float *q[3] = {Q.L + i, Q.a + i, Q.b + i};
    IN(rest)(p, q, n - i, out + i);
  }
}

static TARGET void IN(pairs)(lh_labs P, lh_labs Q, size_t n, float *out)
{
  IN(all_pairs)(P, LANES, Q, n, out);
}

static TARGET void IN(from)(const float one[3], lh_labs Q, size_t n, float *out)
{
  float room[3][LANES];

  for (size_t c = 0; c < 3; c++) IN(store)(room[c], IN(all)(one[c]));
  IN(all_pairs)((lh_labs){room[0], room[1], room[2]}, 0, Q, n, out);
}

#undef HERE
