/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_formula.c -- any bytes for the formula parser.
**
** Whatever comes, a formula that is taken has counts that are finite and not
** negative and fires without losing weight; one that is refused says where,
** inside the text.
*/
#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "material.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(int ok)
{
  if (!ok) abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  lh_formula f;
  lh_formula_fault w;
  lh_material m;
  double fired = 0.0;
  lh_status st = lh_formula_parse((const char *)data, size, &f, &w);

  must(lh_formula_text(w.why)[0] != 0);
  if (st != LH_OK) {
    must(w.why != LH_FORMULA_FINE);
    must(w.at <= size && w.length <= size - w.at);
    return 0;
  }
  must(w.why == LH_FORMULA_FINE && size <= LH_FORMULA_MAX);
  for (size_t e = 0; e < LH_ELEMENTS; e++)
    must(isfinite(f.atoms[e]) && f.atoms[e] >= 0.0);
  must(lh_material_from_formula(&f, &m) == LH_OK);
  for (size_t i = 0; i < LH_OXIDES; i++) {
    must(isfinite(m.mol[i]) && m.mol[i] >= 0.0);
    fired += m.mol[i] * lh_oxide_weight(i);
  }
  must(fabs(fired + m.loss - 1.0) < 1e-9);
  return 0;
}
