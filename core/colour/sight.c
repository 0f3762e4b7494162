/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sight.h"

#include <assert.h>
#include <math.h>

#include "cvd_machado2009.h" /* type, severity, m11 .. m33 */

/* Eleven severities each of protanomaly, deuteranomaly, tritanomaly. */
enum { STEPS = 10 };
_Static_assert((int)cvd_machado2009_count == 3 * (STEPS + 1), "three sights");

lh_rgb lh_sight_see(lh_sight sight, double severity, lh_rgb c)
{
  const double rgb[3] = {lh_srgb_decode(c.r), lh_srgb_decode(c.g),
                         lh_srgb_decode(c.b)};
  double out[3], at = severity * STEPS, f;
  int k;

  assert((unsigned)sight < LH_SIGHTS);
  if (!(severity >= 0.0 && severity <= 1.0)) return (lh_rgb){NAN, NAN, NAN};
  if (sight == LH_SIGHT_USUAL) return c;
  k = at < STEPS ? (int)at : STEPS - 1;
  f = at - k;
  const cvd_machado2009_row *low =
      &cvd_machado2009[((int)sight - 1) * (STEPS + 1) + k];
  for (int i = 0; i < 3; i++) {
    const double *a = &low[0].m11 + 3 * i, *b = &low[1].m11 + 3 * i;
    out[i] = 0.0;
    for (int j = 0; j < 3; j++)
      out[i] += ((1.0 - f) * a[j] + f * b[j]) * rgb[j];
  }
  return (lh_rgb){lh_srgb_encode(out[0]), lh_srgb_encode(out[1]),
                  lh_srgb_encode(out[2])};
}

lh_lab lh_sight_lab(lh_sight sight, double severity, lh_xyz xyz,
                    lh_illuminant ill)
{
  if (sight == LH_SIGHT_USUAL) return lh_xyz_lab(xyz, lh_spectrum_white(ill));
  return lh_srgb_lab(
      lh_srgb_clip(lh_sight_see(sight, severity, lh_spectrum_srgb(xyz, ill))));
}
