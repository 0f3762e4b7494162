/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tested.h"

#include <math.h>

#include "exact.h"

static const double HALF_WAY = 0.05; /* a judgement */
static const double LEAST = 1e-10;   /* [m2/g]: shows on no coat */

static double ln(double x)
{
  return lh_exact_log(fmax(x, LEAST));
}

static double between(double low, double high, double t)
{
  if (t <= 0) return low; /* what was tested, as it is */
  if (t >= 1) return high;
  return lh_exact_exp((1 - t) * ln(low) + t * ln(high));
}

static double doubt(double low, double high, double sd_low, double sd_high,
                    double t)
{
  double own = (1 - t) * sd_low + t * sd_high, arch = 4 * t * (1 - t);
  double step = (ln(high) - ln(low)) / sqrt(12.0);

  return sqrt(own * own + arch * arch * (HALF_WAY * HALF_WAY + step * step));
}

lh_status lh_tested_at(const lh_tested *list, size_t n, double percent,
                       lh_tested *out)
{
  const lh_tested *a = list, *b = list;
  double t = 0;

  if (n < 1 || !(percent >= list[0].percent) ||
      !(percent <= list[n - 1].percent))
    return LH_RANGE;
  for (size_t i = 0; i + 1 < n && percent > list[i].percent; i++)
    a = &list[i], b = &list[i + 1];
  if (b->percent > a->percent)
    t = (percent - a->percent) / (b->percent - a->percent);
  out->percent = percent;
  for (size_t w = 0; w < LH_WAVES; w++) {
    const double *K[2] = {a->slip.absorption, b->slip.absorption};
    const double *S[2] = {a->slip.scattering, b->slip.scattering};
    out->slip.absorption[w] = between(K[0][w], K[1][w], t);
    out->slip.scattering[w] = between(S[0][w], S[1][w], t);
    out->k_sd[w] = doubt(K[0][w], K[1][w], a->k_sd[w], b->k_sd[w], t);
    out->s_sd[w] = doubt(S[0][w], S[1][w], a->s_sd[w], b->s_sd[w], t);
  }
  return LH_OK;
}
