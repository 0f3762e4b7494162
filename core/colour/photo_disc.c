/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "photo_disc.h"

#include <math.h>
#include <string.h>

#include "draw.h"

lh_disc_lost lh_disc_count(const lh_disc_pixel *pixel, size_t n, unsigned full)
{
  size_t burnt = 0, dark = 0, clear = 0;
  double all = n > 0 ? (double)n : 1;

  for (size_t i = 0; i < n; i++) {
    const uint16_t *p = pixel[i];
    burnt += p[0] >= full || p[1] >= full || p[2] >= full;
    dark += p[0] == 0 || p[1] == 0 || p[2] == 0;
    clear += p[3] < full;
  }
  return (lh_disc_lost){(double)burnt / all, (double)dark / all,
                        (double)clear / all};
}

lh_status lh_disc_average(const double *rgb, size_t n, double *light,
                          lh_disc_mean *mean)
{
  double *order = light + n, least, most, sum = 0, squares = 0, count = 0;
  double at[3] = {0, 0, 0};
  size_t cut = (size_t)(LH_DISC_TRIM * (double)n);

  if (n == 0) return LH_RANGE;
  for (size_t i = 0; i < n; i++) {
    const double *v = rgb + 3 * i;
    light[i] = 0.2126 * v[0] + 0.7152 * v[1] + 0.0722 * v[2];
    if (!(fabs(light[i]) < 1e9)) return LH_RANGE;
  }
  memcpy(order, light, n * sizeof *order);
  least = lh_draw_select(order, n, cut);
  most = lh_draw_select(order, n, n - 1 - cut);
  for (size_t i = 0; i < n; i++) {
    if (light[i] < least || light[i] > most) continue;
    for (size_t k = 0; k < 3; k++) at[k] += rgb[3 * i + k];
    sum += light[i];
    squares += light[i] * light[i];
    count++;
  }
  if (!(sum > 0)) return LH_RANGE;
  for (size_t k = 0; k < 3; k++) mean->rgb[k] = at[k] / count;
  sum /= count;
  mean->scatter = sqrt(fmax(squares / count - sum * sum, 0)) / sum;
  return LH_OK;
}
