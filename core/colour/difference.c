/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "difference.h"

#include <math.h>

#include "exact.h"

/* The equations of Sharma, Wu & Dalal (2005) in their order; the numbers in
** the margin are theirs.  Angles in degrees, as the paper has them; square
** roots, sines and angles give the same bits on every machine. */

static double chroma(double a, double b)
{
  return sqrt(a * a + b * b);
}

static double seventh(double c)
{
  double c2 = c * c;

  return c2 * c2 * c2 * c;
}

static double cos_deg(double degrees)
{
  double s, c;

  lh_exact_sincos(degrees / 360.0, &s, &c);
  return c;
}

static double sin_deg(double degrees)
{
  double s, c;

  lh_exact_sincos(degrees / 360.0, &s, &c);
  return s;
}

/* sqrt(C^7 / (C^7 + 25^7)) */
static double saturation(double c)
{
  double c7 = seventh(c);

  return sqrt(c7 / (c7 + 6103515625.0));
}

/* Hue difference and mean hue, equations (10) and (14). */
static void hues(double h1, double h2, double *dh, double *mean)
{
  double apart = fabs(h1 - h2);

  if (apart <= 180.0 + 1e-9) { /* pair 14 of the paper: see the header */
    *dh = h2 - h1;
    *mean = (h1 + h2) / 2.0;
    return;
  }
  *dh = h2 > h1 ? h2 - h1 - 360.0 : h2 - h1 + 360.0;
  *mean = (h1 + h2 < 360.0 ? h1 + h2 + 360.0 : h1 + h2 - 360.0) / 2.0;
}

double lh_delta_e00(lh_lab p, lh_lab q)
{
  double G = 0.5 * (1.0 - saturation((chroma(p.a, p.b) + /* (2)-(4) */
                                      chroma(q.a, q.b)) /
                                     2.0));
  double a1 = (1.0 + G) * p.a, a2 = (1.0 + G) * q.a; /* (5) */
  double C1 = chroma(a1, p.b), C2 = chroma(a2, q.b); /* (6) */
  double h1 = 360.0 * lh_exact_turns(p.b, a1);       /* (7) */
  double h2 = 360.0 * lh_exact_turns(q.b, a2);
  double dh = 0.0, h = h1 + h2; /* either chroma 0: (10), (14) */

  if (C1 * C2 > 0.0) hues(h1, h2, &dh, &h);
  double dL = q.L - p.L, dC = C2 - C1;                 /* (8), (9) */
  double dH = 2.0 * sqrt(C1 * C2) * sin_deg(dh / 2.0); /* (11) */
  double L = (p.L + q.L) / 2.0, C = (C1 + C2) / 2.0;   /* (12), (13) */
  double T = 1.0 - 0.17 * cos_deg(h - 30.0) + 0.24 * cos_deg(2.0 * h) +
             0.32 * cos_deg(3.0 * h + 6.0) -
             0.20 * cos_deg(4.0 * h - 63.0); /* (15) */
  double turn = (h - 275.0) / 25.0;
  double theta = 30.0 * lh_exact_exp(-turn * turn); /* (16) */
  double RC = 2.0 * saturation(C);                  /* (17) */
  double l2 = (L - 50.0) * (L - 50.0);
  double SL = 1.0 + 0.015 * l2 / sqrt(20.0 + l2);        /* (18) */
  double SC = 1.0 + 0.045 * C, SH = 1.0 + 0.015 * C * T; /* (19), (20) */
  double RT = -sin_deg(2.0 * theta) * RC;                /* (21) */
  double l = dL / SL, c = dC / SC, t = dH / SH;

  return sqrt(fmax(l * l + c * c + t * t + RT * c * t, 0.0)); /* (22) */
}
