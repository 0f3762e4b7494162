/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photo.h -- photographs in: what lies under discs of a JPEG or PNG picture.
**
** A picture's bytes go in, the mean linear light of each disc comes out, as
** the picture's own colour profile has it.  Nothing of the rest is kept.  What
** lies under a disc, a patch of known colour or a tile, is not known here, and
** no light is evened out.
**
** Taken: JPEG (8 bits a channel, baseline or progressive), PNG (8 or 16 bits,
** palettes too).  A picture is turned as its EXIF says.  Its colours are those
** of its ICC profile (Little CMS: matrices and tables), of its cICP, sRGB or
** gAMA and cHRM chunks, or sRGB's when it says nothing.  Refused, in words:
** grey pictures, CMYK, profiles of other kinds, high dynamic range, and what
** is broken or cut off.
**
** Memory: all in the arena, but for what the libraries take and give back
** within the call.  None of their errors gets out as anything but a status.
*/
#ifndef LH_PHOTO_H
#define LH_PHOTO_H

#include "arena.h"
#include "fault.h"
#include "photo_disc.h"
#include "watch.h"

/* The largest picture taken (a judgement: above it, memory for a progressive
** JPEG passes half a gigabyte).                                         [px] */
#define LH_PHOTO_PIXELS ((size_t)64 * 1024 * 1024)

/* Its longest side taken, JPEG's own limit in libjpeg; and the most memory for
** an interlaced PNG, which must be held whole (a judgement).  [px], [bytes] */
#define LH_PHOTO_SIDE ((size_t)65500)
#define LH_PHOTO_HELD ((size_t)256 * 1024 * 1024)

/* Pixels of a disc that are looked at; of larger discs every second, third,
** ... row and column. */
enum { LH_PHOTO_LOOKED = 16384 };

typedef struct {
  /* Given, of the picture as it is seen. */
  double x, y;   /* the middle, 0..1 of its width and height      */
  double radius; /* of its width                                  */
  /* Returned. */
  size_t pixels;     /* looked at                                     */
  double outside;    /* share of the disc that is beyond the edge     */
  lh_disc_lost lost; /* what carries no colour                        */
  lh_disc_mean mean; /* linear light, sRGB's primaries, not clipped;  */
                     /* 0 when no pixel was looked at                 */
} lh_photo_disc;

typedef enum {
  LH_PHOTO_ICC,    /* a profile of its own                          */
  LH_PHOTO_CODES,  /* PNG's cICP, or gAMA and cHRM                  */
  LH_PHOTO_SRGB,   /* said to be sRGB                               */
  LH_PHOTO_NOTHING /* not said; read as sRGB                        */
} lh_photo_told;

typedef struct {
  size_t width, height; /* as seen                        [px] */
  int turned;           /* EXIF's orientation, 1 to 8          */
  int bits;             /* of a channel                        */
  lh_photo_told told;   /* what its colours mean               */
  char profile[64];     /* the profile's own name, ASCII       */
} lh_photo_about;

/* Read the discs of a picture.
**
** Given:     bytes, n      the file
**            where         what to call it in a fault: a JSON pointer
**            disc, count   with places and radii
**            a, watch
** Returned:  disc          filled
**            *about
** Status:    LH_OK; LH_INPUT for what is no such picture, or a broken one;
**            LH_TOOLARGE; LH_CANCELLED; LH_NOMEM; with the fault filled
** Notes:  1) Rows below the last disc are not read, so that damage there goes
**            unseen.
** Ref:    ISO/IEC 10918-1 (JPEG); ISO/IEC 15948 and the PNG specification's
**         third edition (cICP, eXIf); ICC.1:2022; CIPA DC-008 (Exif 2.32),
**         4.6.4; ITU-T H.273 (cICP's numbers).
*/
lh_status lh_photo_read(const void *bytes, size_t n, const char *where,
                        lh_photo_disc *disc, size_t count, lh_arena *a,
                        const lh_watch *watch, lh_photo_about *about,
                        lh_fault *fault);

#endif
