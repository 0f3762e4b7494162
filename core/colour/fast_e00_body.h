/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fast_e00_body.h -- the difference of LANES pairs; see fast_e00.c. */
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
** x and y need not be a unit vector; length is theirs.  Polynomials in pairs
** of terms, so that fewer steps wait for one another. */
HERE IN(floats) IN(blue_turn)(IN(floats) x, IN(floats) y, IN(floats) length)
{
  const float cos275 = 0.0871557427f, sin275 = -0.996194698f;
  const float per_turn = 4.58366236f; /* 2 (180 / pi) / 25 */
  const float log2e = 1.44269504f, pi_3 = 1.04719755f;
  IN(floats) along = x * cos275 + y * sin275, across = y * cos275 - x * sin275;
  IN(floats) half = across / IN(most)(along + length, length * 0.5f);
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

/* Mean hue as a vector of some length; returns dH (11).  Of two hues less than
 *90
 ** degrees apart the bisector is their sum and dH = 2 cross sqrt(C1 C2)/|sum|,
 ** sum = C2 p + C1 q; of others it stands across their difference, and
 ** dH^2 = 2 (C1 C2 - p.q): each where it does not cancel. */
typedef struct {
  IN(floats) x, y, length, inverse; /* inverse: 1 / length */
} IN(hue);

HERE IN(floats) IN(hues)(IN(plane) p, IN(plane) q, IN(floats) cross,
                         IN(hue) * h, IN(ints) * hard)
{
  IN(floats) product = p.C * q.C, dot = p.x * q.x + p.y * q.y;
  IN(floats) px = q.C * p.x, py = q.C * p.y, qx = p.C * q.x, qy = p.C * q.y;
  IN(ints) wide = dot < 0.0f, turn = cross < 0.0f, grey = product < 1e-12f;
  IN(floats) x = IN(pick)(wide, IN(pick)(turn, py - qy, qy - py), px + qx);
  IN(floats) y = IN(pick)(wide, IN(pick)(turn, qx - px, px - qx), py + qy), dH;

  /* One without hue: the other's (or, both all but grey, no matter). */
  h->x = IN(pick)(grey, p.x + q.x, x);
  h->y = IN(pick)(grey, p.y + q.y, y);
  h->length = IN(root)(IN(most)(h->x * h->x + h->y * h->y, IN(all)(1e-37f)));
  h->inverse = 1.0f / h->length;
  dH = IN(pick)(wide, product - dot, product);
  dH = IN(root)(IN(most)(dH + dH, IN(all)(0.0f)));
  /* sqrt(2) sqrt(2 C1 C2) = 2 sqrt(C1 C2) */
  dH = IN(pick)(wide, IN(pick)(turn, -dH, dH),
                cross * h->inverse * dH * 1.41421356f);
  *hard = wide & ~grey & (cross < product * 1e-5f) & (cross > product * -1e-5f);
  return IN(pick)(grey, IN(all)(0.0f), dH);
}

/* LANES pairs.  The numbers in the margin are the equations of Sharma, Wu &
** Dalal (2005). */
HERE IN(floats)
    IN(e00)(IN(floats) L1, IN(floats) a1, IN(floats) b1, IN(floats) L2,
            IN(floats) a2, IN(floats) b2, IN(ints) * hard)
{
  IN(floats)
  mean = 0.5f * (IN(root)(a1 * a1 + b1 * b1) + /* (2), (3) */
                 IN(root)(a2 * a2 + b2 * b2));
  IN(floats) f = 1.5f - 0.5f * IN(saturation)(mean);         /* 1 + G, (4) */
  IN(floats) da = f * (a2 - a1), db = b2 - b1, dL = L2 - L1; /* (8) */
  IN(plane) p = {f * a1, b1, a1}, q = {f * a2, b2, a2};      /* (5) */
  IN(floats) C, dC, dH, T, RT, l, c, t, s, SC, SH, k;
  IN(hue) h;

  p.C = IN(root)(p.x * p.x + p.y * p.y); /* (6) */
  q.C = IN(root)(q.x * q.x + q.y * q.y);
  C = p.C + q.C;
  /* C2^2 - C1^2 over C1 + C2: of near colours nothing cancels. (9) */
  dC = da * (p.x + q.x) + db * (p.y + q.y);
  dH = IN(hues)(p, q, p.x * db - p.y * da, &h, hard);   /* (11) */
  T = IN(hue_weight)(h.x * h.inverse, h.y * h.inverse); /* (15) */
  RT = -2.0f * IN(saturation)(0.5f * C) *
       IN(blue_turn)(h.x, h.y, h.length); /* (21) */
  l = 0.5f * (L1 + L2) - 50.0f;
  s = IN(root)(l * l + 20.0f);
  SC = IN(muladd)(C, IN(all)(0.0225f), IN(all)(1.0f)); /* (19) */
  SH = IN(muladd)(0.0075f * C, T, IN(all)(1.0f));      /* (20) */
  C = IN(most)(C, IN(all)(1e-30f));
  l = dL * s / (s + 0.015f * l * l); /* dL / SL, (18) */
  k = 1.0f / (C * SC * SH);
  c = dC * SH * k;
  t = dH * C * SC * k;
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

HERE void IN(block)(const float *p[3], const float *q[3], float *out)
{
  IN(ints) hard;
  int lanes;

  IN(store)
  (out, IN(e00)(IN(load)(p[0]), IN(load)(p[1]), IN(load)(p[2]), IN(load)(q[0]),
                IN(load)(q[1]), IN(load)(q[2]), &hard));
  lanes = IN(bits)(hard);
  if (__builtin_expect(lanes != 0, 0)) IN(mend)(lanes, p, q, out);
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
  IN(block)(u, v, room[6]);
  memcpy(out, room[6], n * sizeof(float));
}

static TARGET void IN(pairs)(lh_labs P, lh_labs Q, size_t n, float *out)
{
  size_t i = 0;

  for (; i + LANES <= n; i += LANES) {
    const float *p[3] = {P.L + i, P.a + i, P.b + i};
    const float *q[3] = {Q.L + i, Q.a + i, Q.b + i};
    IN(block)(p, q, out + i);
  }
  if (i < n) {
    const float *p[3] = {P.L + i, P.a + i, P.b + i};
    const float *q[3] = {Q.L + i, Q.a + i, Q.b + i};
    IN(rest)(p, q, n - i, out + i);
  }
}

static TARGET void IN(from)(const float one[3], lh_labs Q, size_t n, float *out)
{
  float room[3][LANES];
  const float *p[3] = {room[0], room[1], room[2]};
  size_t i = 0;

  for (size_t c = 0; c < 3; c++) IN(store)(room[c], IN(all)(one[c]));
  for (; i + LANES <= n; i += LANES) {
    const float *q[3] = {Q.L + i, Q.a + i, Q.b + i};
    IN(block)(p, q, out + i);
  }
  if (i < n) {
    const float *q[3] = {Q.L + i, Q.a + i, Q.b + i};
    IN(rest)(p, q, n - i, out + i);
  }
}

#undef HERE
