/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "form.h"

static double then(double a, double b)
{
  return 1.0 - (1.0 - a) * (1.0 - b);
}

lh_shrink lh_shrink_then(lh_shrink a, lh_shrink b)
{
  return (lh_shrink){then(a.diameter, b.diameter), then(a.height, b.height)};
}

static double rest(double total, double a)
{
  return 1.0 - (1.0 - total) / (1.0 - a);
}

lh_shrink lh_shrink_rest(lh_shrink total, lh_shrink a)
{
  return (lh_shrink){rest(total.diameter, a.diameter),
                     rest(total.height, a.height)};
}

double lh_shrink_volume(lh_shrink a)
{
  double d = 1.0 - a.diameter;

  return 1.0 - d * d * (1.0 - a.height);
}

static bool in_limits(lh_shrink a)
{
  return a.diameter > -1.0 && a.diameter < 1.0 && a.height > -1.0 &&
         a.height < 1.0; /* false for NaN */
}

lh_status lh_form_resize(const lh_point *p, size_t n, lh_stage from,
                         lh_stage to, const lh_shrinkage *sh, lh_point *q)
{
  lh_shrink both = lh_shrink_then(sh->to_leather_hard, sh->to_fired);
  /* What is left of the thrown size at each stage. */
  double d[LH_STAGES] = {1.0, 1.0 - sh->to_leather_hard.diameter,
                         1.0 - both.diameter};
  double h[LH_STAGES] = {1.0, 1.0 - sh->to_leather_hard.height,
                         1.0 - both.height};

  if (!in_limits(sh->to_leather_hard) || !in_limits(sh->to_fired))
    return LH_RANGE;
  if ((unsigned)from >= LH_STAGES || (unsigned)to >= LH_STAGES) return LH_RANGE;
  for (size_t i = 0; i < n; i++) {
    q[i] = p[i];
    if (from == to) continue;
    q[i].r = p[i].r * (d[to] / d[from]);
    q[i].z = p[i].z * (h[to] / h[from]);
  }
  return LH_OK;
}
