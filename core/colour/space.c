/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "space.h"

#include <assert.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include "exact.h"

/* CIELAB's join, ISO/CIE 11664-4: (6/29)^3, and the slope (29/6)^2 / 3. */
static const double join = 216.0 / 24389.0;
static const double slope = 841.0 / 108.0;

/* Cube root of x > 0 from + - * / alone, so that the bits are the same
** everywhere: a third of the exponent to begin with (within 6 %), then
** Halley's iteration, which triples the digits each time. */
static double cube_root(double x)
{
  uint64_t u;
  double y;

  memcpy(&u, &x, sizeof u);
  u = u / 3 + UINT64_C(0x2A9F7893782DA1CE);
  memcpy(&y, &u, sizeof y);
  for (int i = 0; i < 4; i++) {
    double y3 = y * y * y;
    y = y * ((y3 + x + x) / (y3 + y3 + x));
  }
  return y;
}

static double to_f(double t)
{
  return t > join ? cube_root(t) : slope * t + 4.0 / 29.0;
}

static double from_f(double f)
{
  return f > 6.0 / 29.0 ? f * f * f : (f - 4.0 / 29.0) / slope;
}

lh_lab lh_xyz_lab(lh_xyz c, lh_xyz white)
{
  double fx = to_f(c.x / white.x), fy = to_f(c.y / white.y),
         fz = to_f(c.z / white.z);

  return (lh_lab){116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz)};
}

lh_xyz lh_lab_xyz(lh_lab c, lh_xyz white)
{
  double fy = (c.L + 16.0) / 116.0;

  return (lh_xyz){white.x * from_f(fy + c.a / 500.0), white.y * from_f(fy),
                  white.z * from_f(fy - c.b / 200.0)};
}

lh_xyz lh_white_xy(double x, double y)
{
  return (lh_xyz){x / y, 1.0, (1.0 - x - y) / y};
}

lh_xyz lh_srgb_white(void)
{
  return lh_white_xy(0.3127, 0.3290);
}

/* out = m v */
static void times(double m[3][3], const double v[3], double out[3])
{
  for (size_t i = 0; i < 3; i++)
    out[i] = m[i][0] * v[0] + m[i][1] * v[1] + m[i][2] * v[2];
}

/* Inverse by cofactors; the matrices here are far from singular. */
static void invert(double m[3][3], double out[3][3])
{
  double det = 0.0;

  for (size_t i = 0; i < 3; i++)
    for (size_t j = 0; j < 3; j++) {
      size_t a = (j + 1) % 3, b = (j + 2) % 3, c = (i + 1) % 3, d = (i + 2) % 3;
      out[i][j] = m[a][c] * m[b][d] - m[a][d] * m[b][c];
    }
  for (size_t i = 0; i < 3; i++) det += m[0][i] * out[i][0];
  for (size_t i = 0; i < 3; i++)
    for (size_t j = 0; j < 3; j++) out[i][j] /= det;
}

/* Linear sRGB to XYZ from the primaries: columns are the primaries' XYZ,
** scaled so that 1, 1, 1 is white (IEC 61966-2-1; ITU-R BT.709-6 table 1). */
static void srgb_matrix(double m[3][3])
{
  lh_xyz p[3] = {lh_white_xy(0.64, 0.33), lh_white_xy(0.30, 0.60),
                 lh_white_xy(0.15, 0.06)};
  lh_xyz w = lh_srgb_white();
  double white[3] = {w.x, w.y, w.z}, inverse[3][3], scale[3];

  for (size_t i = 0; i < 3; i++) {
    m[0][i] = p[i].x;
    m[1][i] = p[i].y;
    m[2][i] = p[i].z;
  }
  invert(m, inverse);
  times(inverse, white, scale);
  for (size_t i = 0; i < 3; i++)
    for (size_t j = 0; j < 3; j++) m[i][j] *= scale[j];
}

lh_xyz lh_adapt(lh_xyz c, lh_xyz from, lh_xyz to)
{
  double cones[3][3] = {{0.8951, 0.2664, -0.1614}, /* Lam (1985) */
                        {-0.7502, 1.7135, 0.0367},
                        {0.0389, -0.0685, 1.0296}};
  double v[3] = {c.x, c.y, c.z}, f[3] = {from.x, from.y, from.z},
         t[3] = {to.x, to.y, to.z}, back[3][3], vc[3], fc[3], tc[3];

  times(cones, v, vc);
  times(cones, f, fc);
  times(cones, t, tc);
  for (size_t i = 0; i < 3; i++) vc[i] *= tc[i] / fc[i];
  invert(cones, back);
  times(back, vc, v);
  return (lh_xyz){v[0], v[1], v[2]};
}

double lh_srgb_encode(double c)
{
  if (!(c > 0.0031308)) return 12.92 * c;
  return 1.055 * lh_exact_exp(lh_exact_log(c) / 2.4) - 0.055;
}

double lh_srgb_decode(double v)
{
  if (!(v > 0.04045)) return v / 12.92;
  return lh_exact_exp(2.4 * lh_exact_log((v + 0.055) / 1.055));
}

lh_rgb lh_xyz_srgb(lh_xyz c)
{
  double m[3][3], inverse[3][3], v[3] = {c.x, c.y, c.z}, l[3];

  srgb_matrix(m);
  invert(m, inverse);
  times(inverse, v, l);
  return (lh_rgb){lh_srgb_encode(l[0]), lh_srgb_encode(l[1]),
                  lh_srgb_encode(l[2])};
}

lh_xyz lh_srgb_xyz(lh_rgb c)
{
  double m[3][3], v[3];
  double l[3] = {lh_srgb_decode(c.r), lh_srgb_decode(c.g), lh_srgb_decode(c.b)};

  srgb_matrix(m);
  times(m, l, v);
  return (lh_xyz){v[0], v[1], v[2]};
}

lh_rgb lh_lab_srgb(lh_lab c)
{
  return lh_xyz_srgb(lh_lab_xyz(c, lh_srgb_white()));
}

lh_lab lh_srgb_lab(lh_rgb c)
{
  return lh_xyz_lab(lh_srgb_xyz(c), lh_srgb_white());
}

bool lh_srgb_in_gamut(lh_rgb c)
{
  const double low = -1e-6, high = 1.0 + 1e-6;

  return c.r >= low && c.r <= high && c.g >= low && c.g <= high && c.b >= low &&
         c.b <= high;
}

static double cut(double v)
{
  return v > 0.0 ? (v < 1.0 ? v : 1.0) : 0.0; /* NaN becomes 0 */
}

lh_rgb lh_srgb_clip(lh_rgb c)
{
  return (lh_rgb){cut(c.r), cut(c.g), cut(c.b)};
}

void lh_srgb_hex(lh_rgb c, char hex[8])
{
  static const char digit[] = "0123456789abcdef";
  double part[3];

  c = lh_srgb_clip(c);
  part[0] = c.r, part[1] = c.g, part[2] = c.b;
  *hex++ = '#';
  for (size_t i = 0; i < 3; i++) {
    unsigned v = (unsigned)(255.0 * part[i] + 0.5);
    *hex++ = digit[v >> 4];
    *hex++ = digit[v & 15];
  }
  *hex = 0;
}

static int digit_of(char c)
{
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return -1;
}

lh_status lh_hex_srgb(const char *text, lh_rgb *c)
{
  int v[6];

  if (*text == '#') text++;
  for (size_t i = 0; i < 6; i++)
    if ((v[i] = digit_of(text[i])) < 0) return LH_INPUT;
  if (text[6]) return LH_INPUT;
  *c = (lh_rgb){(16 * v[0] + v[1]) / 255.0, (16 * v[2] + v[3]) / 255.0,
                (16 * v[4] + v[5]) / 255.0};
  return LH_OK;
}
