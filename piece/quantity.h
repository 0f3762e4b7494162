/* SPDX-License-Identifier: GPL-3.0-or-later */
/* quantity.h -- a number that carries its own unit: "8 1/2" is not read, but
** "8,5 in", "2 oz", "1940 F" and "28.4 oz/imp pt" are.
**
** Documents are metric and a key names its unit.  Where a potter's calipers,
** scale or kiln speak inches, ounces or Fahrenheit, the value may be written
** as text with its unit behind it, and is turned here, at the edge, by the
** exact factors of core/base/units.h.  A unit that does not measure what the
** field wants is refused, with those that do.
*/
#ifndef LH_QUANTITY_H
#define LH_QUANTITY_H

#include <stddef.h>

#include "status.h"

/* Turn a text with a unit into a field's own unit.
**
** Given:     s, n        the text                                   [bytes]
**            unit        the field's unit: "mm", "g", "ml", "g per litre",
**                        "degrees C"; others take none
** Returned:  *value      in the field's unit
**            known, size words for the units that may stand, "" when none
** Status:    LH_OK; LH_NOTFOUND when no unit of this kind stands behind a
**            number there, *value untouched
*/
lh_status lh_quantity_read(const char *s, size_t n, const char *unit,
                           double *value, char *known, size_t size);

#endif
