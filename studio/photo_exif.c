/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photo_exif.c -- which way up a camera was held.
** Ref: CIPA DC-008 (Exif 2.32), 4.5.2 (TIFF header), 4.6.2 (directory of
** 12-byte entries), 4.6.4 (Orientation, tag 0x0112, one SHORT). */
#include <stdint.h>
#include <string.h>

#include "photo_room.h"

static uint32_t number(const unsigned char *at, size_t n, bool big)
{
  uint32_t v = 0;

  for (size_t i = 0; i < n; i++) v = v << 8 | at[big ? i : n - 1 - i];
  return v;
}

int lh_photo_exif(const unsigned char *tiff, size_t n)
{
  enum { ORIENTATION = 0x0112, SHORT = 3 };
  bool big;
  size_t at, entries;

  if (n < 14) return 1;
  big = tiff[0] == 'M';
  if (memcmp(tiff, big ? "MM" : "II", 2) != 0) return 1;
  if (number(tiff + 2, 2, big) != 42) return 1;
  at = number(tiff + 4, 4, big);
  if (at > n - 2) return 1;
  entries = number(tiff + at, 2, big);
  for (at += 2; entries > 0 && n >= 12 && at <= n - 12; entries--, at += 12) {
    const unsigned char *e = tiff + at;
    uint32_t v = number(e + 8, 2, big);
    if (number(e, 2, big) != ORIENTATION) continue;
    if (number(e + 2, 2, big) != SHORT || number(e + 4, 4, big) != 1) return 1;
    return v >= 1 && v <= 8 ? (int)v : 1;
  }
  return 1;
}
