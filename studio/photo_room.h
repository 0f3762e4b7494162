/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photo_room.h -- what the files of photo.h share.
**
** A reader (JPEG, PNG) says how large the picture is, then hands over its
** rows; the collector keeps the pixels of the discs; at the end they are
** turned into linear light.
*/
#ifndef LH_PHOTO_ROOM_H
#define LH_PHOTO_ROOM_H

#include <stdbool.h>

#include "photo.h"

/* The pixels kept of one disc. */
typedef struct {
  lh_disc_pixel *pixel;
  size_t room, n, meant; /* meant: had the picture no edge      */
  double x, y, r;        /* in the file's own pixels            */
  long first, last;      /* rows                                */
  long apart;            /* every so-manieth row and column     */
} lh_photo_kept;

/* What cICP, gAMA and cHRM say, in the end: chromaticities and a curve. */
typedef struct {
  double white[2], red[2], green[2], blue[2];
  int curve;    /* H.273's number of the transfer, or 0: gamma  */
  double gamma; /* light = value^gamma                          */
} lh_photo_codes;

typedef struct {
  const unsigned char *bytes;
  size_t n;
  const char *where;
  lh_photo_disc *disc;
  size_t count;
  lh_arena *arena;
  const lh_watch *watch;
  lh_photo_about *about;
  lh_fault *fault;
  /* found on the way */
  size_t width, height; /* as the file has them                       */
  unsigned full;        /* 255 or 65535                               */
  long needed;          /* rows until the last disc                   */
  const unsigned char *icc;
  size_t icc_size;
  lh_photo_codes codes;
  lh_photo_kept *kept;
} lh_photo;

/* A refusal about the picture. */
lh_status lh_photo_refuse(lh_photo *p, lh_status st, const char *todo,
                          const char *what);
lh_status lh_photo_broken(lh_photo *p);

/* The size is known: is it taken, and where do the discs lie?  about->turned
** is set by then. */
lh_status lh_photo_begin(lh_photo *p, size_t width, size_t height, int bits);

/* A row, 3 or 4 channels, as bytes or as 16-bit numbers. */
void lh_photo_row_8(lh_photo *p, size_t y, const unsigned char *row,
                    size_t channels);
void lh_photo_row_16(lh_photo *p, size_t y, const uint16_t *row,
                     size_t channels);

lh_status lh_photo_jpeg(lh_photo *p);
lh_status lh_photo_png(lh_photo *p);

/* The orientation that Exif data name; 1 when none, or none that is one. */
int lh_photo_exif(const unsigned char *tiff, size_t n);

/* cICP's four bytes; false for what is not taken. */
bool lh_photo_cicp(const unsigned char four[4], lh_photo_codes *codes);

/* Encoded pixels into linear light, for all discs. */
lh_status lh_photo_light(lh_photo *p);

#endif
