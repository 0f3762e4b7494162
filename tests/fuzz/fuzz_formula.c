/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_formula.c -- any bytes at all, read as a chemical formula and fired.
**
** What must hold: a formula that is read has atoms, none of them negative,
** and a weight; fired, its oxides and what leaves add up to that weight.  One
** that is refused says why and points into the text.
*/
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "formula.h"
#include "oxide.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(int ok)
{
  if (!ok) abort();
}

static void fire(const lh_formula *f, double weight)
{
  double mol[LH_OXIDE_FORMS], oxygen, loss, sum = 0.0;

  if (lh_oxide_fire(f, mol, &oxygen, &loss) != LH_OK) return;
  for (size_t i = 0; i < LH_OXIDES; i++) {
    must(mol[i] >= 0.0);
    sum += mol[i] * lh_oxide_weight(i);
  }
  /* 43 products, each rounded: far below a thousand units in the last place
  ** of the larger of what goes in and what comes out. */
  must(fabs(sum + loss - weight) <= 1e-12 * fmax(weight, sum));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  lh_formula f;
  lh_formula_fault fault;
  double weight;
  lh_status st = lh_formula_parse((const char *)data, size, &f, &fault);

  if (st != LH_OK) {
    must(st == LH_INPUT || st == LH_TOOLARGE);
    must(fault.why != LH_FORMULA_FINE && *lh_formula_text(fault.why));
    must(fault.at <= size && fault.length <= size - fault.at);
    return 0;
  }
  must(fault.why == LH_FORMULA_FINE);
  for (size_t e = 0; e < LH_ELEMENTS; e++)
    must(f.atoms[e] >= 0.0 && isfinite(f.atoms[e]));
  weight = lh_formula_weight(&f);
  must(weight > 0.0 && isfinite(weight));
  fire(&f, weight);
  return 0;
}
