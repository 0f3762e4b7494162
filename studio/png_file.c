/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <errno.h>
#include <math.h>
#include <png.h>
#include <setjmp.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <lcms2.h>

#include "png_file.h"

/* ---- the profile -------------------------------------------------------- */

/* Bytes of an ICC header that would differ from run to run: the date of
** making (24 to 35), which is set to the start of 2000, and the profile's
** own sum (84 to 99), which is taken afterwards.  Ref: ICC.1:2022, 7.2. */
static void fix_date(unsigned char *icc)
{
  static const unsigned char date[12] = {0x07, 0xd0, 0, 1, 0, 1};

  memcpy(icc + 24, date, sizeof date);
}

static unsigned char *save(cmsHPROFILE profile, lh_arena *a, size_t *n)
{
  cmsUInt32Number size = 0;
  unsigned char *out;

  if (!cmsSaveProfileToMem(profile, NULL, &size) || size < 128) return NULL;
  out = lh_arena_take(a, size, 1);
  if (!out || !cmsSaveProfileToMem(profile, out, &size)) return NULL;
  *n = size;
  return out;
}

lh_status lh_png_profile(lh_arena *a, const void **bytes, size_t *n)
{
  cmsHPROFILE made = cmsCreate_sRGBProfile(), dated = NULL;
  unsigned char *icc = NULL;

  if (made) {
    cmsSetProfileVersion(made, 2.1); /* what every reader understands */
    icc = save(made, a, n);
    cmsCloseProfile(made);
  }
  if (!icc) return LH_NOMEM;
  fix_date(icc);
  memset(icc + 84, 0, 16);
  dated = cmsOpenProfileFromMem(icc, (cmsUInt32Number)*n);
  if (!dated) return LH_NOMEM;
  if (cmsMD5computeID(dated)) cmsGetHeaderProfileID(dated, icc + 84);
  cmsCloseProfile(dated);
  *bytes = icc;
  return LH_OK;
}

/* ---- the file ----------------------------------------------------------- */

/* libpng speaks by longjmp; what it writes grows here. */
typedef struct {
  unsigned char *bytes;
  size_t n, room;
} growing;

static void take(png_structp png, png_bytep bytes, png_size_t n)
{
  growing *g = png_get_io_ptr(png);

  if (g->n + n > g->room) {
    size_t room = 2 * (g->n + n);
    unsigned char *more = realloc(g->bytes, room);
    if (!more) png_error(png, "out of memory");
    g->bytes = more;
    g->room = room;
  }
  memcpy(g->bytes + g->n, bytes, n);
  g->n += n;
}

static void flushed(png_structp png)
{
  (void)png;
}

/* Not a word on standard error. */
static void hush(png_structp png, png_const_charp what)
{
  (void)png;
  (void)what;
}

static void failed(png_structp png, png_const_charp what)
{
  (void)what;
  png_longjmp(png, 1);
}

/* A date for tIME, only when the builder sets one.
** Ref: reproducible-builds.org, SOURCE_DATE_EPOCH. */
static void put_time(png_structp png, png_infop info)
{
  const char *text = getenv("SOURCE_DATE_EPOCH");
  char *end;
  long long seconds;
  struct tm tm;
  png_time t;
  time_t when;

  if (!text || !*text) return;
  errno = 0;
  seconds = strtoll(text, &end, 10);
  when = (time_t)seconds;
  if (errno || *end || seconds < 0 || !gmtime_r(&when, &tm)) return;
  png_convert_from_struct_tm(&t, &tm);
  png_set_tIME(png, info, &t);
}

static void put_text(png_structp png, png_infop info, const char *key,
                     const char *text)
{
  png_text t = {.compression = PNG_ITXT_COMPRESSION_NONE};
  bool plain = true;

  if (!text) return;
  for (const char *c = text; *c; c++) plain = plain && (unsigned char)*c < 0x80;
  if (plain) t.compression = PNG_TEXT_COMPRESSION_NONE;
  t.key = (char *)(size_t)key;
  t.text = (char *)(size_t)text;
  t.text_length = strlen(text);
  png_set_text(png, info, &t, 1);
}

static void put_all(png_structp png, png_infop info, const lh_png *p,
                    const void *icc, size_t icc_size)
{
  png_set_IHDR(png, info, (png_uint_32)p->width, (png_uint_32)p->height, 8,
               PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE,
               PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
  png_set_iCCP(png, info, "sRGB", PNG_COMPRESSION_TYPE_BASE, icc,
               (png_uint_32)icc_size);
  if (p->mm_per_px > 0) {
    png_uint_32 per_metre = (png_uint_32)fmin(1e9, 1000 / p->mm_per_px + 0.5);
    png_set_pHYs(png, info, per_metre, per_metre, PNG_RESOLUTION_METER);
  }
  put_text(png, info, "Title", p->title);
  put_text(png, info, "Software", p->software);
  put_time(png, info);
  png_set_compression_level(png, 6);
  png_write_info(png, info);
  for (size_t j = 0; j < p->height; j++)
    png_write_row(png, p->rgb + 3 * p->width * j);
  png_write_end(png, info);
}

/* png and info are set before setjmp and stay: their values are sure. */
static lh_status write_all(const lh_png *p, const void *icc, size_t icc_size,
                           growing *g)
{
  png_structp png =
      png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, failed, hush);
  png_infop info = png ? png_create_info_struct(png) : NULL;

  if (!info || setjmp(png_jmpbuf(png))) {
    png_destroy_write_struct(&png, &info);
    return LH_NOMEM;
  }
  png_set_write_fn(png, g, take, flushed);
  put_all(png, info, p, icc, icc_size);
  png_destroy_write_struct(&png, &info);
  return LH_OK;
}

lh_status lh_png_write(const lh_png *p, lh_arena *a, const void **bytes,
                       size_t *n, lh_fault *fault)
{
  growing g = {0};
  const void *icc = NULL;
  size_t icc_size = 0;
  void *out = NULL;
  lh_status st;

  if (p->width < 1 || p->height < 1 || p->width > 1000000 ||
      p->height > 1000000)
    return lh_fault_plain(fault, LH_RANGE, "picture");
  st = lh_png_profile(a, &icc, &icc_size);
  if (st == LH_OK) st = write_all(p, icc, icc_size, &g);
  if (st == LH_OK && !(out = lh_arena_take(a, g.n, 1))) st = LH_NOMEM;
  if (st == LH_OK) {
    *bytes = memcpy(out, g.bytes, g.n);
    *n = g.n;
  }
  free(g.bytes);
  return st == LH_OK ? st : lh_fault_plain(fault, st, "picture");
}
