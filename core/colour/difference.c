/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "difference.h"

#include <math.h>
#include <stdbool.h>

#include "exact.h"

/* The equations of Sharma, Wu & Dalal (2005) in their order; the numbers in
** the margin are theirs.  Hues are carried as unit vectors: the mean hue is
** the bisector of the shorter way round (14), the hue difference a chord (11),
** and T (15) follows from the bisector's cosine and sine by multiple angles,
** so that one arctangent, one exponential and one sine are all it takes.
** Square roots, sines and angles give the same bits on every machine. */

typedef struct {
  double x, y;
} unit; /* cosine and sine of a hue */

static double chroma(double a, double b)
{
  return sqrt(a * a + b * b);
}

/* sqrt(C^7 / (C^7 + 25^7)) */
static double saturation(double c)
{
  double c2 = c * c, c7 = c2 * c2 * c2 * c;

  return sqrt(c7 / (c7 + 6103515625.0));
}

/* Chord between two hues, 2 sin(dh/2) with its sign, and the mean hue.  Close
** to opposite, the bisector is lost to rounding: there the hues are taken as
** angles, with the slack that pair 14 of the paper needs (see the header). */
static double hues(unit p, unit q, unit *mean)
{
  double cross = p.x * q.y - p.y * q.x, dot = p.x * q.x + p.y * q.y;
  double dx = q.x - p.x, dy = q.y - p.y, chord = sqrt(dx * dx + dy * dy);

  if (dot < 0.0 && fabs(cross) < 1e-6) {
    double h1 = 360.0 * lh_exact_turns(p.y, p.x);
    double h2 = 360.0 * lh_exact_turns(q.y, q.x);
    bool direct = fabs(h1 - h2) <= 180.0 + 1e-9; /* (10), (14) */
    double h = (h1 + h2 + (direct ? 0.0 : 360.0)) / 2.0;
    lh_exact_sincos(h / 360.0, &mean->y, &mean->x);
    return (h2 > h1) == direct ? chord : -chord;
  }
  double x = p.x + q.x, y = p.y + q.y, length = sqrt(x * x + y * y);
  *mean = (unit){x / length, y / length};
  return cross < 0.0 ? -chord : chord;
}

/* T of (15): cos(h - 30), cos 2h, cos(3h + 6), cos(4h - 63), from the cosine
** and sine of h. */
static double hue_weight(unit h)
{
  double c2 = h.x * h.x - h.y * h.y, s2 = 2.0 * h.x * h.y;
  double c3 = c2 * h.x - s2 * h.y, s3 = s2 * h.x + c2 * h.y;
  double c4 = c2 * c2 - s2 * s2, s4 = 2.0 * c2 * s2;
  const double cos30 = 0.866025403784438647, sin30 = 0.5;
  const double cos6 = 0.994521895368273337, sin6 = 0.104528463267653471;
  const double cos63 = 0.453990499739546792, sin63 = 0.891006524188367863;

  return 1.0 - 0.17 * (h.x * cos30 + h.y * sin30) + 0.24 * c2 +
         0.32 * (c3 * cos6 - s3 * sin6) - 0.20 * (c4 * cos63 + s4 * sin63);
}

double lh_delta_e00(lh_lab p, lh_lab q)
{
  double G = 0.5 * (1.0 - saturation((chroma(p.a, p.b) + /* (2)-(4) */
                                      chroma(q.a, q.b)) /
                                     2.0));
  double a1 = (1.0 + G) * p.a, a2 = (1.0 + G) * q.a;                /* (5) */
  double C1 = chroma(a1, p.b), C2 = chroma(a2, q.b);                /* (6) */
  unit u = C1 > 0.0 ? (unit){a1 / C1, p.b / C1} : (unit){1.0, 0.0}; /* (7) */
  unit v = C2 > 0.0 ? (unit){a2 / C2, q.b / C2} : (unit){1.0, 0.0}, h;
  double chord = 0.0, s2, c2;

  if (C1 > 0.0 && C2 > 0.0)
    chord = hues(u, v, &h);
  else
    h = C1 > 0.0 ? u : v;              /* either chroma 0: (10), (14) */
  double dL = q.L - p.L, dC = C2 - C1; /* (8), (9) */
  double dH = sqrt(C1 * C2) * chord;   /* (11) */
  double L = (p.L + q.L) / 2.0, C = (C1 + C2) / 2.0; /* (12), (13) */
  double T = hue_weight(h);                          /* (15) */
  double turn = (360.0 * lh_exact_turns(h.y, h.x) - 275.0) / 25.0;
  double theta = 30.0 * lh_exact_exp(-turn * turn); /* (16) */
  double RC = 2.0 * saturation(C);                  /* (17) */
  double l2 = (L - 50.0) * (L - 50.0);
  double SL = 1.0 + 0.015 * l2 / sqrt(20.0 + l2);        /* (18) */
  double SC = 1.0 + 0.045 * C, SH = 1.0 + 0.015 * C * T; /* (19), (20) */
  double l = dL / SL, c = dC / SC, t = dH / SH;

  lh_exact_sincos(theta / 180.0, &s2, &c2); /* of 2 theta; RT: (21) */
  return sqrt(fmax(l * l + c * c + t * t - s2 * RC * c * t, 0.0)); /* (22) */
}
