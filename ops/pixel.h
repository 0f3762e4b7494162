/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pixel.h -- the one thing that operations on a piece may all be asked. */
#ifndef LH_PIXEL_H
#define LH_PIXEL_H

#include "cover.h"
#include "fields.h"

typedef struct {
  double pixel_mm;
} lh_pixel_ask;

/* A row for the table of fields of a struct T that begins like that. */
#define LH_PIXEL_FIELD_OF(T)                                            \
  LH_NUMBER(T, pixel_mm, "pixel_mm", false, 0.05, 5, LH_PIXEL_MM, "mm", \
            "Side of a pixel of the maps: finer is slower.")
#define LH_PIXEL_FIELD LH_PIXEL_FIELD_OF(lh_pixel_ask)

#endif
