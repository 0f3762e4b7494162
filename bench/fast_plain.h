/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fast_plain.h -- the plain way: double precision, the libm's functions, one
** pair, one pixel, one wavelength at a time, as the papers print it.  What the
** fast kernels are measured against; used by no program. */
#ifndef LH_BENCH_FAST_PLAIN_H
#define LH_BENCH_FAST_PLAIN_H

#include <math.h>

#include "glaze.h"
#include "space.h"

#define PLAIN_RAD 0.017453292519943295

/* A hue in degrees, 0 to 360. */
static inline double plain_hue(double b, double a)
{
  double h = a == 0 && b == 0 ? 0 : atan2(b, a) / PLAIN_RAD;

  return h < 0 ? h + 360 : h;
}

/* G. Sharma, W. Wu, E. N. Dalal (2005), Color Res. Appl. 30(1), 21-30, (2) to
** (22). */
static inline double plain_e00(lh_lab p, lh_lab q)
{
  double Cm = (hypot(p.a, p.b) + hypot(q.a, q.b)) / 2, C7 = pow(Cm, 7);
  double G = 0.5 * (1 - sqrt(C7 / (C7 + 6103515625.0)));
  double a1 = (1 + G) * p.a, a2 = (1 + G) * q.a;
  double C1 = hypot(a1, p.b), C2 = hypot(a2, q.b);
  double h1 = plain_hue(p.b, a1), h2 = plain_hue(q.b, a2), dh = h2 - h1, h;
  double dH, T, SL, SC, SH, RT, L, l, c, t;

  if (C1 * C2 == 0)
    dh = 0;
  else if (dh > 180)
    dh -= 360;
  else if (dh < -180)
    dh += 360;
  dH = 2 * sqrt(C1 * C2) * sin(dh / 2 * PLAIN_RAD);
  h = h1 + h2;
  if (C1 * C2 != 0) {
    if (fabs(h1 - h2) > 180 + 1e-9) h += h < 360 ? 360 : -360;
    h /= 2;
  }
  L = (p.L + q.L) / 2 - 50;
  Cm = (C1 + C2) / 2;
  C7 = pow(Cm, 7);
  T = 1 - 0.17 * cos((h - 30) * PLAIN_RAD) + 0.24 * cos(2 * h * PLAIN_RAD) +
      0.32 * cos((3 * h + 6) * PLAIN_RAD) -
      0.20 * cos((4 * h - 63) * PLAIN_RAD);
  SL = 1 + 0.015 * L * L / sqrt(20 + L * L);
  SC = 1 + 0.045 * Cm;
  SH = 1 + 0.015 * Cm * T;
  RT = -2 * sqrt(C7 / (C7 + 6103515625.0)) *
       sin(60 * PLAIN_RAD * exp(-(h - 275) / 25 * (h - 275) / 25));
  l = (q.L - p.L) / SL;
  c = (C2 - C1) / SC;
  t = dH / SH;
  return sqrt(l * l + c * c + t * t + RT * c * t);
}

/* sRGB's curve by the libm (IEC 61966-2-1). */
static inline double plain_encode(double c)
{
  c = c > 0 ? (c < 1 ? c : 1) : 0;
  return c <= 0.0031308 ? 12.92 * c : 1.055 * pow(c, 1 / 2.4) - 0.055;
}

/* One pixel: layers of P. Kubelka (1948), J. Opt. Soc. Am. 38, 448-457, from
** the lowest up, then the surface of each wavelength, then linear sRGB. */
typedef struct {
  int layers;
  const double *a[12], *b[12], *S[12]; /* a = 1 + K/S, b = sqrt(a^2 - 1) */
  const double *body;
  const lh_boundary *surface;
  double rows[3][LH_WAVES]; /* observer for linear sRGB */
} plain_stack;

/* With the hyperbolic tangent, as printed. */
static inline void plain_tanh(const plain_stack *s, const double *X,
                              double rgb[3])
{
  rgb[0] = rgb[1] = rgb[2] = 0;
  for (int w = 0; w < LH_WAVES; w++) {
    double R = s->body[w];
    for (int n = 0; n < s->layers; n++) {
      double bc = s->b[n][w] / tanh(s->b[n][w] * s->S[n][w] * X[n]);
      R = (1 - R * (s->a[n][w] - bc)) / (s->a[n][w] - R + bc);
    }
    R = s->surface[w].k1 + s->surface[w].tt * R / (1 - s->surface[w].k2 * R);
    for (int c = 0; c < 3; c++) rgb[c] += s->rows[c][w] * R;
  }
}

/* With one exponential instead: b coth bSX = b (1 + e)/(1 - e). */
static inline void plain_exp(const plain_stack *s, const double *X,
                             double rgb[3])
{
  rgb[0] = rgb[1] = rgb[2] = 0;
  for (int w = 0; w < LH_WAVES; w++) {
    double R = s->body[w];
    for (int n = 0; n < s->layers; n++) {
      double e = exp(-2 * s->b[n][w] * s->S[n][w] * X[n]);
      double bc = s->b[n][w] * (1 + e) / (1 - e);
      R = (1 - R * (s->a[n][w] - bc)) / (s->a[n][w] - R + bc);
    }
    R = s->surface[w].k1 + s->surface[w].tt * R / (1 - s->surface[w].k2 * R);
    for (int c = 0; c < 3; c++) rgb[c] += s->rows[c][w] * R;
  }
}

#endif
