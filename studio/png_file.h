/* SPDX-License-Identifier: GPL-3.0-or-later */
/* png_file.h -- pictures as PNG, with the colour profile that says what their
** numbers mean.
**
** 8-bit RGB rows in, the bytes of a file out, in the arena.  Knows nothing of
** pots.  Same input, same bytes: the only date is SOURCE_DATE_EPOCH's, and
** without it there is none.
*/
#ifndef LH_PNG_FILE_H
#define LH_PNG_FILE_H

#include <stddef.h>

#include "arena.h"
#include "fault.h"

typedef struct {
  size_t width, height;     /* [px]                                   */
  const unsigned char *rgb; /* rows from the top, 3 bytes a pixel     */
  double mm_per_px;         /* true size, 0: not said                 */
  const char *title;        /* UTF-8; NULL: none                      */
  const char *software;     /* the same                               */
} lh_png;

/* The bytes of a PNG file.
**
** Given:     p, a
** Returned:  *bytes, *n   in the arena
** Status:    LH_OK; LH_RANGE for no pixels; LH_NOMEM; with the fault filled
** Notes:  1) The profile is sRGB (IEC 61966-2-1) as Little CMS makes it, with
**            its date fixed.
*/
lh_status lh_png_write(const lh_png *p, lh_arena *a, const void **bytes,
                       size_t *n, lh_fault *fault);

/* The bytes of the sRGB profile; also for other files that carry one. */
lh_status lh_png_profile(lh_arena *a, const void **bytes, size_t *n);

#endif
