/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_number.c -- any bytes at all, read as a number.
**
** What must hold: a number that is taken is finite, and written with 17
** digits it reads back to the same bits; one that is refused leaves the value
** alone, says why in words, and points into the text.
*/
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "number.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(int ok)
{
  if (!ok) abort();
}

static void taken(double value)
{
  char text[64], *comma;
  double again = 0.0;

  must(isfinite(value));
  int n = snprintf(text, sizeof text, "%.17g", value);
  must(lh_number_read(text, (size_t)n, &again, NULL, NULL) == LH_OK);
  must(memcmp(&again, &value, sizeof value) == 0);
  comma = strchr(text, '.');
  if (!comma) return;
  *comma = ',';
  must(lh_number_read(text, (size_t)n, &again, NULL, NULL) == LH_OK);
  must(memcmp(&again, &value, sizeof value) == 0);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  double value = -12345.5;
  lh_number_why why = LH_NUMBER_FINE;
  size_t at = 0;
  lh_status st = lh_number_read((const char *)data, size, &value, &why, &at);

  if (st == LH_OK) {
    must(why == LH_NUMBER_FINE);
    taken(value);
    return 0;
  }
  must(st == LH_INPUT || st == LH_RANGE || st == LH_TOOLARGE);
  must(value == -12345.5 && why != LH_NUMBER_FINE && at <= size);
  must(*lh_number_what(why) && *lh_number_todo(why));
  return 0;
}
