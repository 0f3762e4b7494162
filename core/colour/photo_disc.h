/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photo_disc.h -- what the pixels of a disc in a photograph say together.
**
** A disc lies on a patch of known colour or on a tile.  Its pixels are first
** looked at as the file has them (encoded: was the sensor full, or empty?),
** then averaged in linear light, so that a glint of the glaze or a speck does
** not count.  Knows nothing of files, profiles or where the disc lies; the
** caller owns all memory; nothing allocates.
*/
#ifndef LH_PHOTO_DISC_H
#define LH_PHOTO_DISC_H

#include <stddef.h>
#include <stdint.h>

#include "status.h"

/* Of the pixels in order of their light, this share is left out at each end
** (a judgement: twice the glint that LH_DISC_LOST lets pass). */
#define LH_DISC_TRIM 0.10

/* Most of a disc that may be burnt out or black (a judgement: half of what is
** left out at that end, so that none of it counts). */
#define LH_DISC_LOST 0.05

typedef uint16_t lh_disc_pixel[4]; /* red, green, blue, opacity, as encoded */

typedef struct {
  double burnt; /* share with a channel at full scale              */
  double dark;  /* share with a channel at 0                       */
  double clear; /* share that is not wholly opaque                 */
} lh_disc_lost;

typedef struct {
  double rgb[3];  /* mean, linear light                                  */
  double scatter; /* standard deviation of one pixel's light over the    */
                  /* mean, of those that count                       [1] */
} lh_disc_mean;

/* Count what carries no colour.
**
** Given:     pixel, n   as the file has them
**            full       the largest value there is, 255 or 65535
** Returned:  the shares, 0..1; all 0 for n = 0
*/
lh_disc_lost lh_disc_count(const lh_disc_pixel *pixel, size_t n, unsigned full);

/* Average a disc.
**
** Given:     rgb, n   pixels, linear light, any scale
**                     (3 n numbers)
**            light    room for 2 n numbers
** Returned:  *mean    over the pixels between the two ends
** Status:    LH_OK; LH_RANGE for n = 0, a number that is not finite, or when
**            no light is left
** Notes:  1) Ordered by 0.2126 r + 0.7152 g + 0.0722 b: one order for all
**            three, so that no pixel counts for a part of its colour.
** Ref:    J. W. Tukey (1962), Ann. Math. Stat. 33, 1-67 (trimmed mean); weights
**         of ITU-R BT.709.
*/
lh_status lh_disc_average(const double *rgb, size_t n, double *light,
                          lh_disc_mean *mean);

#endif
