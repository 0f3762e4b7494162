/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photo_png.c -- rows of a PNG picture. */
#include <png.h>
#include <setjmp.h>
#include <stdlib.h>
#include <string.h>

#include "photo_room.h"

/* libpng speaks by longjmp. */
typedef struct {
  png_structp png;
  png_infop info;
  lh_photo *p;
  size_t at;
  bool no_profile; /* it found the profile to be none */
  lh_status st;
  unsigned char *row; /* or the whole picture, when interlaced */
  size_t bytes;       /* of a row */
} reading;

static void give(png_structp png, png_bytep to, png_size_t n)
{
  reading *r = png_get_io_ptr(png);

  if (n > r->p->n - r->at) png_error(png, "cut off");
  memcpy(to, r->p->bytes + r->at, n);
  r->at += n;
}

static void failed(png_structp png, png_const_charp what)
{
  reading *r = png_get_error_ptr(png);

  if (strstr(what, "memory")) r->st = LH_NOMEM;
  png_longjmp(png, 1);
}

/* Not a word on standard error; but a profile that is thrown away would
** change the colours. */
static void warned(png_structp png, png_const_charp what)
{
  reading *r = png_get_error_ptr(png);

  if (strstr(what, "iCCP")) r->no_profile = true;
}

/* ---- chunks that libpng does not tell of -------------------------------- */

static size_t big_endian(const unsigned char *b)
{
  return (size_t)b[0] << 24 | (size_t)b[1] << 16 | (size_t)b[2] << 8 | b[3];
}

/* A chunk's data, or NULL; its sum is libpng's to check. */
static const unsigned char *chunk(const lh_photo *p, const char *name,
                                  size_t *size)
{
  for (size_t at = 8; p->n >= 12 && at <= p->n - 12;) {
    const unsigned char *c = p->bytes + at;
    *size = big_endian(c);
    if (*size > p->n - 12 - at) return NULL;
    if (memcmp(c + 4, name, 4) == 0) return c + 8;
    at += 12 + *size;
  }
  return NULL;
}

static lh_status codes(lh_photo *p, const unsigned char *cicp)
{
  if (!lh_photo_cicp(cicp, &p->codes))
    return lh_photo_refuse(p, LH_INPUT,
                           "save it as sRGB, or with an ICC "
                           "profile",
                           "colours of this kind (cICP) are not taken");
  p->about->told = LH_PHOTO_CODES;
  return LH_OK;
}

/* gAMA and cHRM: what has no curve of its own is a power. */
static void gamma_codes(reading *r)
{
  static const lh_photo_codes bt709 = {
      {0.3127, 0.3290}, {0.64, 0.33}, {0.30, 0.60}, {0.15, 0.06}, 0, 0};
  lh_photo_codes *c = &r->p->codes;
  double gamma;

  *c = bt709;
  if (!png_get_gAMA(r->png, r->info, &gamma) || !(gamma > 0.1 && gamma < 10))
    return;
  c->gamma = 1 / gamma;
  png_get_cHRM(r->png, r->info, &c->white[0], &c->white[1], &c->red[0],
               &c->red[1], &c->green[0], &c->green[1], &c->blue[0],
               &c->blue[1]);
  r->p->about->told = LH_PHOTO_CODES;
}

/* What the colours mean, the first that says it.
** Ref: the PNG specification's third edition, 4.3 and 13.13. */
static lh_status meaning(reading *r)
{
  lh_photo *p = r->p;
  size_t size = 0;
  const unsigned char *cicp = chunk(p, "cICP", &size);
  png_charp name = NULL;
  png_bytep icc = NULL;
  png_uint_32 icc_size = 0;
  int how;

  if (cicp && size == 4) return codes(p, cicp);
  if (r->no_profile)
    return lh_photo_refuse(p, LH_INPUT,
                           "save the picture again with its "
                           "profile, or as sRGB",
                           "the picture's colour profile is broken");
  if (png_get_iCCP(r->png, r->info, &name, &how, &icc, &icc_size)) {
    unsigned char *kept = lh_arena_take(p->arena, icc_size, 1);
    if (!kept) return LH_NOMEM;
    p->icc = memcpy(kept, icc, icc_size);
    p->icc_size = icc_size;
    p->about->told = LH_PHOTO_ICC;
  } else if (png_get_valid(r->png, r->info, PNG_INFO_sRGB)) {
    p->about->told = LH_PHOTO_SRGB;
  } else {
    gamma_codes(r);
  }
  return LH_OK;
}

/* ---- rows --------------------------------------------------------------- */

static lh_status head(reading *r)
{
  lh_photo *p = r->p;
  size_t size = 0;
  const unsigned char *exif = chunk(p, "eXIf", &size);
  int bits = png_get_bit_depth(r->png, r->info);
  int type = png_get_color_type(r->png, r->info);
  lh_status st = meaning(r);

  if (st != LH_OK) return st;
  if (exif) p->about->turned = lh_photo_exif(exif, size);
  if (!(type & PNG_COLOR_MASK_COLOR))
    return lh_photo_refuse(p, LH_INPUT, "take it in colour",
                           "a grey picture says nothing of colours");
  png_set_expand(r->png);
  if (bits == 16) png_set_swap(r->png);
  return lh_photo_begin(p, png_get_image_width(r->png, r->info),
                        png_get_image_height(r->png, r->info),
                        bits == 16 ? 16 : 8);
}

static void take(reading *r, size_t y, const unsigned char *row)
{
  size_t channels = png_get_channels(r->png, r->info);

  if (r->p->full > 255)
    lh_photo_row_16(r->p, y, (const uint16_t *)(const void *)row, channels);
  else
    lh_photo_row_8(r->p, y, row, channels);
}

static lh_status interlaced(reading *r, int passes)
{
  lh_photo *p = r->p;

  if (r->bytes > LH_PHOTO_HELD / p->height)
    return lh_photo_refuse(p, LH_TOOLARGE, "save it without interlacing",
                           "an interlaced picture of this size is not taken");
  r->row = malloc(r->bytes * p->height);
  if (!r->row) return LH_NOMEM;
  for (int pass = 0; pass < passes; pass++)
    for (size_t y = 0; y < p->height; y++) {
      png_read_row(r->png, r->row + r->bytes * y, NULL);
      if (y % 64 == 0 &&
          !lh_watch_go(p->watch,
                       0.9 * (pass + (double)y / (double)p->height) / passes))
        return LH_CANCELLED;
    }
  for (size_t y = 0; y < (size_t)p->needed; y++)
    take(r, y, r->row + r->bytes * y);
  return LH_OK;
}

static lh_status rows(reading *r)
{
  lh_photo *p = r->p;
  int passes = png_set_interlace_handling(r->png);

  png_read_update_info(r->png, r->info);
  r->bytes = png_get_rowbytes(r->png, r->info);
  if (passes > 1) return interlaced(r, passes);
  r->row = malloc(r->bytes);
  if (!r->row) return LH_NOMEM;
  for (size_t y = 0; (long)y < p->needed; y++) {
    png_read_row(r->png, r->row, NULL);
    take(r, y, r->row);
    if (y % 64 == 0 &&
        !lh_watch_go(p->watch, 0.9 * (double)y / (double)p->needed))
      return LH_CANCELLED;
  }
  return LH_OK;
}

/* r lives with the caller and is not changed by the jump. */
static lh_status read_all(reading *r)
{
  r->png = png_create_read_struct(PNG_LIBPNG_VER_STRING, r, failed, warned);
  r->info = r->png ? png_create_info_struct(r->png) : NULL;
  if (!r->info) return LH_NOMEM;
  r->st = LH_INPUT;
  if (setjmp(png_jmpbuf(r->png))) return r->st;
  /* A bad sum anywhere is damage; by itself libpng lets some pass. */
  png_set_crc_action(r->png, PNG_CRC_ERROR_QUIT, PNG_CRC_ERROR_QUIT);
  png_set_user_limits(r->png, 1000000, 1000000);
  png_set_read_fn(r->png, r, give);
  png_read_info(r->png, r->info);
  lh_status st = head(r);
  return st == LH_OK ? rows(r) : st;
}

lh_status lh_photo_png(lh_photo *p)
{
  reading *r = lh_arena_take(p->arena, 1, sizeof *r);
  lh_status st;

  if (!r) return lh_fault_plain(p->fault, LH_NOMEM, p->where);
  r->p = p;
  st = read_all(r);
  png_destroy_read_struct(&r->png, &r->info, NULL);
  free(r->row);
  if (st == LH_INPUT) return lh_photo_broken(p);
  return st == LH_OK ? st : lh_fault_plain(p->fault, st, p->where);
}
