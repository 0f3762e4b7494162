/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "spectrum.h"

#include <assert.h>

#include "cie1931_10nm.h" /* nm, x, y, z, A, C, D50, D65 */

_Static_assert((int)cie1931_10nm_count == (int)LH_WAVES, "a row a wavelength");

/* Where an illuminant stands in the table. */
static int column_of(lh_illuminant ill)
{
  switch (ill) {
  case LH_D65: return 7;
  case LH_A: return 4;
  case LH_D50: return 6;
  default: break;
  }
  assert(ill < LH_ILLUMINANTS);
  return 7;
}

double lh_wave_nm(size_t i)
{
  assert(i < LH_WAVES);
  return cie1931_10nm[i][0];
}

void lh_spectrum_rows(lh_illuminant ill, double rows[3][LH_WAVES])
{
  int c = column_of(ill);
  double sum = 0.0;

  for (size_t i = 0; i < LH_WAVES; i++)
    sum += cie1931_10nm[i][2] * cie1931_10nm[i][c];
  for (size_t j = 0; j < 3; j++)
    for (size_t i = 0; i < LH_WAVES; i++)
      rows[j][i] = cie1931_10nm[i][j + 1] * cie1931_10nm[i][c] / sum;
}

lh_xyz lh_spectrum_xyz(const double r[LH_WAVES], lh_illuminant ill)
{
  double rows[3][LH_WAVES], v[3] = {0.0, 0.0, 0.0};

  lh_spectrum_rows(ill, rows);
  for (size_t j = 0; j < 3; j++)
    for (size_t i = 0; i < LH_WAVES; i++) v[j] += rows[j][i] * r[i];
  return (lh_xyz){v[0], v[1], v[2]};
}

lh_xyz lh_spectrum_white(lh_illuminant ill)
{
  double one[LH_WAVES];

  for (size_t i = 0; i < LH_WAVES; i++) one[i] = 1.0;
  return lh_spectrum_xyz(one, ill);
}

lh_lab lh_spectrum_lab(const double r[LH_WAVES], lh_illuminant ill)
{
  return lh_xyz_lab(lh_spectrum_xyz(r, ill), lh_spectrum_white(ill));
}

lh_rgb lh_spectrum_srgb(lh_xyz c, lh_illuminant ill)
{
  lh_xyz white = lh_spectrum_white(ill), screen = lh_srgb_white();

  if (ill != LH_D65) return lh_xyz_srgb(lh_adapt(c, white, screen));
  c.x *= screen.x / white.x;
  c.y *= screen.y / white.y;
  c.z *= screen.z / white.z;
  return lh_xyz_srgb(c);
}
