/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photo_made.h -- small pictures for the tests of photographs, written by
** libpng and libjpeg, and by hand where these would not.
**
** 64 x 32 pixels in four quarters, each of one colour; a disc in the middle of
** each quarter.
*/
#ifndef LH_PHOTO_MADE_H
#define LH_PHOTO_MADE_H

#include <jpeglib.h>
#include <png.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "photo.h"

enum { WIDE = 64, HIGH = 32 };

/* Upper left, upper right, lower left, lower right, 16 bits.  Multiples of
** 257, so that 8 bits hold them as well. */
static const uint16_t quarter[4][3] = {{200 * 257, 40 * 257, 90 * 257},
                                       {30 * 257, 180 * 257, 60 * 257},
                                       {70 * 257, 50 * 257, 220 * 257},
                                       {210 * 257, 190 * 257, 40 * 257}};

typedef struct {
  int bits, kind; /* PNG_COLOR_TYPE_...; 0 bits: 8 */
  bool interlaced, progressive, arithmetic, alpha_holes;
  J_COLOR_SPACE space; /* JPEG: what is written; 0: RGB as YCbCr */
  int turned;          /* EXIF's orientation; 0: none          */
  bool little;         /* its byte order                       */
  const void *icc;
  unsigned icc_size;
  const unsigned char *cicp; /* four bytes                           */
  double gamma;              /* gAMA; 0: none                        */
  const double *chrm;        /* white, red, green, blue              */
  bool srgb;
  size_t wide, high; /* 0: as above                          */
} made;

typedef struct {
  unsigned char *bytes;
  size_t n;
} file;

/* Where the file's pixel (column c, row r) is seen.
** Ref: CIPA DC-008 (Exif 2.32), 4.6.4: which side the 0th row and the 0th
** column are on. */
static void seen_at(int turned, size_t wide, size_t high, size_t c, size_t r,
                    size_t *x, size_t *y)
{
  static const char *const sides[] = {"TL", "TL", "TR", "BR", "BL",
                                      "LT", "RT", "RB", "LB"};
  const size_t at[2] = {r, c};

  for (size_t i = 0; i < 2; i++) switch (sides[turned][i]) {
    case 'T': *y = at[i]; break;
    case 'B': *y = high - 1 - at[i]; break;
    case 'L': *x = at[i]; break;
    default: *x = wide - 1 - at[i];
    }
}

/* The colour of a pixel of the file, so that the picture is seen upright. */
static const uint16_t *colour(const made *m, size_t c, size_t r)
{
  size_t wide = m->wide ? m->wide : WIDE, high = m->high ? m->high : HIGH;
  size_t x = 0, y = 0;

  seen_at(m->turned, wide, high, c, r, &x, &y);
  return quarter[(y >= high / 2) * 2 + (x >= wide / 2)];
}

static void size_of(const made *m, size_t *wide, size_t *high)
{
  size_t w = m->wide ? m->wide : WIDE, h = m->high ? m->high : HIGH;

  *wide = m->turned >= 5 ? h : w;
  *high = m->turned >= 5 ? w : h;
}

/* An Exif block with two entries, the second the orientation; 38 bytes. */
static void exif(const made *m, unsigned char b[38])
{
  static const unsigned char big[] = {
      'M', 'M', 0, 42, 0,    0, 0, 8, 0, 2, 0x01, 0x0f, 0, 2, 0, 0, 0, 1, 'X',
      0,   0,   0, 1,  0x12, 0, 3, 0, 0, 0, 1,    0,    0, 0, 0, 0, 0, 0, 0};
  static const unsigned char small[] = {
      'I', 'I', 42, 0,    8, 0, 0, 0, 2, 0, 0x0f, 0x01, 2, 0, 1, 0, 0, 0, 'X',
      0,   0,   0,  0x12, 1, 3, 0, 1, 0, 0, 0,    0,    0, 0, 0, 0, 0, 0, 0};

  memcpy(b, m->little ? small : big, 38);
  b[m->little ? 30 : 31] = (unsigned char)m->turned;
}

/* ---- PNG ----------------------------------------------------------------- */

static void grow(png_structp png, png_bytep from, png_size_t n)
{
  file *f = png_get_io_ptr(png);

  f->bytes = realloc(f->bytes, f->n + n);
  memcpy(f->bytes + f->n, from, n);
  f->n += n;
}

static void no_flush(png_structp png)
{
  (void)png;
}

static void head_png(const made *m, png_structp png, png_infop info)
{
  size_t wide, high;
  static unsigned char block[38];

  size_of(m, &wide, &high);
  png_set_IHDR(png, info, (png_uint_32)wide, (png_uint_32)high,
               m->bits ? m->bits : 8, m->kind,
               m->interlaced ? PNG_INTERLACE_ADAM7 : PNG_INTERLACE_NONE, 0, 0);
  if (m->kind == PNG_COLOR_TYPE_PALETTE) {
    png_color p[4];
    for (size_t i = 0; i < 4; i++)
      p[i] = (png_color){(png_byte)(quarter[i][0] / 257),
                         (png_byte)(quarter[i][1] / 257),
                         (png_byte)(quarter[i][2] / 257)};
    png_set_PLTE(png, info, p, 4);
  }
  if (m->icc)
    png_set_iCCP(png, info, "x", 0, (png_const_bytep)m->icc, m->icc_size);
  if (m->srgb) png_set_sRGB(png, info, 0);
  if (m->gamma > 0) png_set_gAMA(png, info, m->gamma);
  if (m->chrm)
    png_set_cHRM(png, info, m->chrm[0], m->chrm[1], m->chrm[2], m->chrm[3],
                 m->chrm[4], m->chrm[5], m->chrm[6], m->chrm[7]);
  if (m->turned) {
    exif(m, block);
    png_set_eXIf_1(png, info, sizeof block, block);
  }
  if (m->cicp) {
    png_unknown_chunk c = {
        .name = "cICP", .size = 4, .location = PNG_HAVE_IHDR};
    unsigned char four[4];
    memcpy(four, m->cicp, 4);
    c.data = four;
    png_set_keep_unknown_chunks(png, PNG_HANDLE_CHUNK_ALWAYS, NULL, 0);
    png_set_unknown_chunks(png, info, &c, 1);
  }
}

static size_t pixel(const made *m, const uint16_t *v, bool hole,
                    unsigned char *to)
{
  bool wide = m->bits == 16, alpha = m->kind & PNG_COLOR_MASK_ALPHA;
  size_t channels = m->kind & PNG_COLOR_MASK_COLOR ? 3 : 1, n = 0;

  if (m->kind == PNG_COLOR_TYPE_PALETTE) {
    for (size_t i = 0; i < 4; i++)
      if (quarter[i] == v) to[0] = (unsigned char)i;
    return 1;
  }
  for (size_t c = 0; c < channels + alpha; c++) {
    uint16_t x = c < channels ? v[c] : hole ? 0x8080 : 0xffff;
    to[n++] = (unsigned char)(x >> 8);
    if (wide) to[n++] = (unsigned char)(x & 0xff);
  }
  return n;
}

static file make_png(const made *m)
{
  png_structp png =
      png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
  png_infop info = png_create_info_struct(png);
  file f = {NULL, 0};
  size_t wide, high;

  size_of(m, &wide, &high);
  png_set_write_fn(png, &f, grow, no_flush);
  head_png(m, png, info);
  png_write_info(png, info);
  unsigned char **rows = malloc(high * sizeof *rows);
  for (size_t r = 0; r < high; r++) {
    unsigned char *at = rows[r] = malloc(wide * 8);
    for (size_t c = 0; c < wide; c++)
      at += pixel(m, colour(m, c, r), m->alpha_holes && c < wide / 2, at);
  }
  png_write_image(png, rows);
  png_write_end(png, info);
  for (size_t r = 0; r < high; r++) free(rows[r]);
  free(rows);
  png_destroy_write_struct(&png, &info);
  return f;
}

/* ---- JPEG ---------------------------------------------------------------- */

static file make_jpeg(const made *m)
{
  struct jpeg_compress_struct j;
  struct jpeg_error_mgr errors;
  unsigned long n = 0;
  file f = {NULL, 0};
  size_t wide, high;
  unsigned char *row, block[44] = "Exif";

  size_of(m, &wide, &high);
  j.err = jpeg_std_error(&errors);
  jpeg_create_compress(&j);
  jpeg_mem_dest(&j, &f.bytes, &n);
  j.image_width = (JDIMENSION)wide;
  j.image_height = (JDIMENSION)high;
  j.in_color_space = m->space ? m->space : JCS_RGB;
  j.input_components = j.in_color_space == JCS_CMYK        ? 4
                       : j.in_color_space == JCS_GRAYSCALE ? 1
                                                           : 3;
  jpeg_set_defaults(&j);
  jpeg_set_quality(&j, 100, TRUE);
  if (m->progressive) jpeg_simple_progression(&j);
  j.arith_code = m->arithmetic;
  jpeg_start_compress(&j, TRUE);
  if (m->turned) {
    exif(m, block + 6);
    jpeg_write_marker(&j, JPEG_APP0 + 1, block, sizeof block);
  }
  if (m->icc) jpeg_write_icc_profile(&j, m->icc, m->icc_size);
  row = calloc(wide, 4);
  for (size_t r = 0; r < high; r++) {
    for (size_t c = 0; c < wide; c++)
      for (size_t k = 0; k < 3 && (int)k < j.input_components; k++)
        row[c * (size_t)j.input_components + k] =
            (unsigned char)(colour(m, c, r)[k] / 257);
    jpeg_write_scanlines(&j, &row, 1);
  }
  jpeg_finish_compress(&j);
  jpeg_destroy_compress(&j);
  free(row);
  f.n = n;
  return f;
}

#endif
