/* SPDX-License-Identifier: GPL-3.0-or-later */
/* picture.h -- a piece as it will look when fired.
**
** Three views: the band unrolled, flat and unlit, for judging colours; the
** pot from the side and from above, on a grey table under one large soft
** light, for judging the pot.  Colours are those of the stacks (optics.h);
** where no zone lies, bare body under the glaze.  The pot has its fired size.
**
** Light is added up linearly and only cut at the end, where a screen can show
** no more.  This room writes no files (studio/png_file.h does) and knows no
** profile but sRGB.  Memory: the arena of the call.
** Units: leather-hard mm unless a name says fired; turns; pixels.
*/
#ifndef LH_PICTURE_H
#define LH_PICTURE_H

#include <stddef.h>

#include "cover.h"
#include "optics.h"
#include "watch.h"

typedef enum { LH_VIEW_BAND, LH_VIEW_SIDE, LH_VIEW_ABOVE, LH_VIEWS } lh_view;

/* Width of a picture where none is asked for, and its limits.  (judgement) */
enum {
  LH_PICTURE_BAND_PX = 2400,
  LH_PICTURE_POT_PX = 1400,
  LH_PICTURE_TALL_PX = 1100, /* of a pot about as high as wide on the page */
  LH_PICTURE_LEAST_PX = 16,
  LH_PICTURE_MOST_PX = 8000
};

/* An 8-bit sRGB picture. */
typedef struct {
  size_t width, height;      /* [px]                                        */
  unsigned char *rgb;        /* rows from the top, 3 bytes a pixel          */
  const lh_piece_zone *zone; /* of a band; NULL for the pot                 */
  double mm_per_px;          /* of a band: on the chart, leather-hard       */
  double fired_mm_per_px;    /* the same around when fired; of the pot from */
                             /* the side: at its axis                       */
} lh_image;

/* The colours of all zones, worked out once for any number of pictures. */
typedef struct {
  const lh_piece_cover *cover;
  const lh_piece_optics *optics;
  float **rgb;            /* beside cover->zones: linear sRGB, row 0 lowest */
  float body[3];          /* bare body under the glaze, linear sRGB         */
  double clipped_percent; /* of the zones' pixels: no screen shows them     */
} lh_piece_skin;

/* Work out the colours.
**
** Given:     c, o      of the same piece; kept by reference.  Take the
**                      geometry LH_D8_EX: the shine is the light's affair
** Returned:  *s
** Status:    LH_OK; LH_CANCELLED; LH_NOMEM
*/
lh_status lh_piece_skin_make(const lh_piece_cover *c, const lh_piece_optics *o,
                             lh_arena *a, const lh_watch *watch,
                             lh_piece_skin *s);

/* What is to be drawn; all zero is the band with the most marks. */
typedef struct {
  lh_view view;
  size_t width_px;   /* 0: the usual                                       */
  const char *zone;  /* of a band: its id; NULL: that with the most marks  */
  double turn_turns; /* the pot is turned anticlockwise seen from above by */
                     /* so much; the band begins so much further left      */
} lh_picture_ask;

/* Draw a picture.
**
** Given:     s, ask
** Returned:  *image
** Status:    LH_OK; LH_INPUT for an unknown zone, one that is no band, or a
**            piece without a band; LH_RANGE; LH_CANCELLED; LH_NOMEM
** Notes:  1) The band shows the whole way round in the true proportions of
**            its chart, top up, nothing added: a pixel is the mean of the
**            map under it.
**         2) The height of the pot's pictures follows from its form.
**         3) Same input, same bytes.
*/
lh_status lh_piece_picture(const lh_piece_skin *s, const lh_picture_ask *ask,
                           lh_arena *a, const lh_watch *watch, lh_image *image,
                           lh_fault *fault);

#endif
