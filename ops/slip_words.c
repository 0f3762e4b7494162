/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "slip_words.h"

#include <math.h>

#include "density.h"

lh_status lh_slip_words_density(double density, double error, const char *where,
                                const char *where_error, lh_fault *fault)
{
  if (!(density > 1.0)) {
    return lh_fault_say(fault, LH_RANGE, where,
                        "give the density of the dry solids: clays 2.5 to "
                        "2.7, frits and oxides more",
                        "solids of density %.15g are no heavier than water",
                        density);
  }
  if (!(density - error > 1.0)) {
    return lh_fault_say(fault, LH_RANGE, where_error,
                        "give a smaller error, 0.1 is usual",
                        "with this error the solids may be as light as water");
  }
  return LH_OK;
}

lh_status lh_slip_words_weight(double litre_weight, double solids_density,
                               const char *where, const char *where_s,
                               lh_fault *fault)
{
  lh_status st =
      lh_slip_words_density(solids_density, 0.0, where_s, where_s, fault);

  if (st != LH_OK) return st;
  if (!(litre_weight > LH_WATER_G_L)) {
    return lh_fault_say(fault, LH_RANGE, where,
                        "slips weigh 1100 to 1900 g per litre; if this was "
                        "weighed, weigh again, jug tared",
                        "%.15g g per litre is water's weight or less: there "
                        "is no slip in it",
                        litre_weight);
  }
  if (!(litre_weight < LH_WATER_G_L * solids_density)) {
    return lh_fault_say(fault, LH_RANGE, where,
                        "slips weigh 1100 to 1900 g per litre; if this was "
                        "weighed, check the volume and the density",
                        "%.15g g per litre is as heavy as its dry solids: "
                        "there is no water in it",
                        litre_weight);
  }
  return LH_OK;
}

int lh_slip_words_decimals(double v)
{
  double a = fabs(v);

  if (a == 0.0 || a >= 99.95) return 0;
  if (a >= 9.995) return 1;
  if (a >= 0.9995) return 2;
  return 3;
}

void lh_slip_words_row(lh_reply *r, const char *what, lh_range v,
                       const char *unit)
{
  int d = lh_slip_words_decimals(fmax(fabs(v.low), fabs(v.high)));

  if (v.low == v.high) {
    lh_slip_words_plain(r, what, v.value, unit, "");
    return;
  }
  lh_reply_row(r, "%s\t%.*f\t%s\t%.*f to %.*f", what, d, v.value, unit, d,
               v.low, d, v.high);
}

void lh_slip_words_plain(lh_reply *r, const char *what, double v,
                         const char *unit, const char *note)
{
  int d = lh_slip_words_decimals(v);

  if (*note)
    lh_reply_row(r, "%s\t%.*f\t%s\t%s", what, d, v, unit, note);
  else if (*unit)
    lh_reply_row(r, "%s\t%.*f\t%s", what, d, v, unit);
  else
    lh_reply_row(r, "%s\t%.*f", what, d, v);
}
