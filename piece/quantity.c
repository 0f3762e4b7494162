/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "quantity.h"

#include <stdio.h>
#include <string.h>

#include "number.h"
#include "units.h"

static double same(double v)
{
  return v;
}

static double from_cm(double v)
{
  return 10 * v;
}

static double from_kg(double v)
{
  return 1000 * v;
}

/* A pound is sixteen ounces (both of the international pound of 1959). */
static double from_lb(double v)
{
  return lh_units_g_from_oz(16 * v);
}

static double from_pint_uk(double v)
{
  return v * LH_ML_PER_PINT_UK;
}

static double from_pint_us(double v)
{
  return v * LH_ML_PER_PINT_US;
}

/* Field's unit, what may be written, how it is turned. */
static const struct {
  const char *unit, *written;
  double (*turn)(double);
} table[] = {
    {"mm", "mm", same},
    {"mm", "cm", from_cm},
    {"mm", "in", lh_units_mm_from_in},
    {"g", "g", same},
    {"g", "kg", from_kg},
    {"g", "oz", lh_units_g_from_oz},
    {"g", "lb", from_lb},
    {"ml", "ml", same},
    {"ml", "l", from_kg},
    {"ml", "imp pt", from_pint_uk},
    {"ml", "US pt", from_pint_us},
    {"g per litre", "g/l", same},
    {"g per litre", "oz/imp pt", lh_units_g_l_from_oz_pint_uk},
    {"g per litre", "oz/US pt", lh_units_g_l_from_oz_pint_us},
    {"degrees C", "C", same},
    {"degrees C",
     "\xc2\xb0"
     "C",
     same},
    {"degrees C", "F", lh_units_c_from_f},
    {"degrees C",
     "\xc2\xb0"
     "F",
     lh_units_c_from_f},
};
enum { ROWS = sizeof table / sizeof table[0] };

/* Is the text a number, a gap of spaces or none, and this unit? */
static int reads_as(const char *s, size_t n, const char *unit, double *value)
{
  size_t k = strlen(unit);

  if (n <= k || memcmp(s + n - k, unit, k) != 0) return 0;
  return lh_number_read(s, n - k, value, NULL, NULL) == LH_OK;
}

lh_status lh_quantity_read(const char *s, size_t n, const char *unit,
                           double *value, char *known, size_t size)
{
  size_t used = 0;
  double v;

  known[0] = 0;
  if (!unit) return LH_NOTFOUND;
  while (n > 0 && (s[n - 1] == ' ' || s[n - 1] == '\t')) n--;
  for (int i = 0; i < ROWS; i++) {
    if (strcmp(table[i].unit, unit) != 0) continue;
    if (reads_as(s, n, table[i].written, &v)) {
      *value = table[i].turn(v);
      return LH_OK;
    }
    if (used < size)
      used += (size_t)snprintf(known + used, size - used, "%s%s",
                               used ? ", " : "", table[i].written);
  }
  return LH_NOTFOUND;
}
