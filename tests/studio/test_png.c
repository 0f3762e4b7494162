/* SPDX-License-Identifier: GPL-3.0-or-later */
/* PNG files read back by libpng: the pixels, the profile as Little CMS
** understands it, true size, words, and a date only when one is set. */
#include <lcms2.h>
#include <png.h>
#include <stdlib.h>

#include "check.h"
#include "heap.h"
#include "png_file.h"

enum { WIDE = 37, HIGH = 23 };

typedef struct {
  const unsigned char *bytes;
  size_t n, at;
} source;

static void give(png_structp png, png_bytep to, png_size_t n)
{
  source *s = png_get_io_ptr(png);

  if (n > s->n - s->at) png_error(png, "short");
  memcpy(to, s->bytes + s->at, n);
  s->at += n;
}

static void check_words(png_structp png, png_infop info)
{
  png_textp text;
  int n = png_get_text(png, info, &text, NULL);

  CHECK(n == 2, "two words");
  if (n != 2) return;
  CHECK_TEXT(text[0].key, "Title", "the first is the title");
  CHECK_TEXT(text[0].text, "Schüssel", "in UTF-8");
  CHECK(text[0].compression == PNG_ITXT_COMPRESSION_NONE,
        "as international text");
  CHECK_TEXT(text[1].text, "leatherhard", "the second the program");
}

/* sRGB through the file's profile and through Little CMS's own: the same to a
** step of 8 bits, over 17 x 17 x 17 colours. */
static void check_profile(png_structp png, png_infop info)
{
  png_charp name;
  png_bytep icc;
  png_uint_32 n;
  int how, worst = 0;
  unsigned char id[16], zero[16] = {0};
  cmsHPROFILE file, own = cmsCreate_sRGBProfile();
  cmsHTRANSFORM t;

  CHECK(png_get_iCCP(png, info, &name, &how, &icc, &n) != 0,
        "it carries a profile");
  file = cmsOpenProfileFromMem(icc, n);
  CHECK(file != NULL, "Little CMS reads it");
  CHECK(cmsGetColorSpace(file) == cmsSigRgbData, "it is of RGB");
  CHECK(cmsGetDeviceClass(file) == cmsSigDisplayClass, "of a display");
  cmsGetHeaderProfileID(file, id);
  CHECK(memcmp(id, zero, 16) != 0, "it has its own sum");
  CHECK(cmsMD5computeID(file) &&
            (cmsGetHeaderProfileID(file, zero), memcmp(id, zero, 16) == 0),
        "which is right");
  t = cmsCreateTransform(file, TYPE_RGB_8, own, TYPE_RGB_8,
                         INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE);
  for (int r = 0; r <= 256; r += 16) {
    for (int g = 0; g <= 256; g += 16) {
      for (int b = 0; b <= 256; b += 16) {
        unsigned char in[3] = {(unsigned char)(r > 255 ? 255 : r),
                               (unsigned char)(g > 255 ? 255 : g),
                               (unsigned char)(b > 255 ? 255 : b)};
        unsigned char out[3];
        cmsDoTransform(t, in, out, 1);
        for (int c = 0; c < 3; c++)
          worst = abs(in[c] - out[c]) > worst ? abs(in[c] - out[c]) : worst;
      }
    }
  }
  CHECK(worst <= 1, "it is sRGB: within a step of 8 bits (%d)", worst);
  cmsDeleteTransform(t);
  cmsCloseProfile(file);
  cmsCloseProfile(own);
}

static void read_back(const void *bytes, size_t size, const unsigned char *rgb,
                      int year)
{
  source s = {bytes, size, 0};
  png_structp png =
      png_create_read_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
  png_infop info = png_create_info_struct(png);
  unsigned char row[3 * WIDE];
  png_uint_32 x, y;
  png_timep date;
  int unit, differ = 0;

  png_set_read_fn(png, &s, give);
  png_read_info(png, info);
  CHECK(png_get_image_width(png, info) == WIDE &&
            png_get_image_height(png, info) == HIGH &&
            png_get_bit_depth(png, info) == 8 &&
            png_get_color_type(png, info) == PNG_COLOR_TYPE_RGB,
        "size and kind");
  CHECK(png_get_pHYs(png, info, &x, &y, &unit) != 0 && x == 5000 && y == 5000 &&
            unit == PNG_RESOLUTION_METER,
        "0.2 mm a pixel are 5000 a metre");
  check_words(png, info);
  check_profile(png, info);
  if (year)
    CHECK(png_get_tIME(png, info, &date) != 0 && date->year == year,
          "dated by SOURCE_DATE_EPOCH");
  else
    CHECK(png_get_tIME(png, info, &date) == 0, "no date of its own");
  for (int j = 0; j < HIGH; j++) {
    png_read_row(png, row, NULL);
    differ += memcmp(row, rgb + j * 3 * WIDE, sizeof row) != 0;
  }
  CHECK(differ == 0, "every row comes back");
  png_read_end(png, NULL);
  CHECK(s.at == s.n, "and nothing is left over");
  png_destroy_read_struct(&png, &info, NULL);
}

int main(void)
{
  unsigned char rgb[3 * WIDE * HIGH];
  lh_png p = {WIDE, HIGH, rgb, 0.2, "Schüssel", "leatherhard"}, none = p;
  lh_arena a;
  lh_fault fault = {0};
  const void *first = NULL, *second = NULL;
  size_t n = 0, m = 0;

  lh_heap_open(&a);
  for (size_t i = 0; i < sizeof rgb; i++) rgb[i] = (unsigned char)(i * 7 % 256);
  unsetenv("SOURCE_DATE_EPOCH");
  CHECK(lh_png_write(&p, &a, &first, &n, &fault) == LH_OK, "written");
  read_back(first, n, rgb, 0);
  lh_png_write(&p, &a, &second, &m, &fault);
  CHECK(n == m && memcmp(first, second, n) == 0, "the same bytes twice");
  /* 2001-09-09, the billionth second. */
  setenv("SOURCE_DATE_EPOCH", "1000000000", 1);
  lh_png_write(&p, &a, &second, &m, &fault);
  read_back(second, m, rgb, 2001);
  none.height = 0;
  CHECK(lh_png_write(&none, &a, &second, &m, &fault) == LH_RANGE,
        "no pixels, no file");
  lh_heap_free(&a);
  lh_heap_open(&a);
  lh_heap_limit(1000);
  fault = (lh_fault){0};
  CHECK(lh_png_write(&p, &a, &second, &m, &fault) == LH_NOMEM,
        "out of memory is said");
  lh_heap_limit(0);
  lh_heap_free(&a);
  return CHECK_DONE();
}
