/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_photo.c -- photographs read: kinds of file, turned pictures, discs,
** what is refused.  The pictures are written by libpng and libjpeg; what light
** they hold is IEC 61966-2-1's formula, written out here. */
#include <math.h>
#include <zlib.h>

#include "check.h"
#include "heap.h"
#include "photo_made.h"

static lh_arena arena;

static double light(unsigned v)
{
  double x = v / 65535.0;

  return x <= 0.04045 ? x / 12.92 : pow((x + 0.055) / 1.055, 2.4);
}

/* A disc in the middle of each quarter, as seen. */
static void quarters(lh_photo_disc d[4])
{
  for (size_t i = 0; i < 4; i++)
    d[i] = (lh_photo_disc){.x = i % 2 ? 0.75 : 0.25,
                           .y = i / 2 ? 0.75 : 0.25,
                           .radius = 5.0 / WIDE};
}

static lh_status look(const file *f, lh_photo_disc *d, lh_photo_about *about,
                      lh_fault *fault)
{
  *fault = (lh_fault){0};
  return lh_photo_read(f->bytes, f->n, "/file", d, 4, &arena, NULL, about,
                       fault);
}

/* Each quarter has its colour, to so many steps of 8 bits. */
static bool alike(const lh_photo_disc d[4], double steps)
{
  bool good = true;

  for (size_t i = 0; i < 4; i++)
    for (size_t c = 0; c < 3; c++) {
      double slack = 257 * steps;
      double least = light((unsigned)fmax(quarter[i][c] - slack, 0)),
             most = light((unsigned)fmin(quarter[i][c] + slack, 65535));
      /* Little CMS reckons in single precision: 1e-6 of full scale. */
      if (!(d[i].mean.rgb[c] >= least - 2e-6 &&
            d[i].mean.rgb[c] <= most + 2e-6))
        good = false;
    }
  if (!good)
    for (size_t i = 0; i < 4; i++)
      printf("# %zu: %.6f %.6f %.6f\n", i, d[i].mean.rgb[0], d[i].mean.rgb[1],
             d[i].mean.rgb[2]);
  return good;
}

static void one(file f, double steps, const char *words)
{
  lh_photo_disc d[4];
  lh_photo_about about;
  lh_fault fault;

  quarters(d);
  CHECK(look(&f, d, &about, &fault) == LH_OK, "%s: read", words);
  if (fault.what[0]) printf("# %s\n", fault.what);
  CHECK(alike(d, steps), "%s: its colours", words);
  CHECK(about.width == WIDE && about.height == HIGH, "%s: its size", words);
  free(f.bytes);
}

static void test_kinds(void)
{
  static const struct {
    made m;
    const char *words;
  } png[] = {{{.kind = PNG_COLOR_TYPE_RGB}, "PNG of 8 bits"},
             {{.kind = PNG_COLOR_TYPE_RGB, .bits = 16}, "of 16 bits"},
             {{.kind = PNG_COLOR_TYPE_RGBA}, "opaque, 8 bits"},
             {{.kind = PNG_COLOR_TYPE_RGBA, .bits = 16}, "opaque, 16 bits"},
             {{.kind = PNG_COLOR_TYPE_PALETTE}, "with a palette"},
             {{.kind = PNG_COLOR_TYPE_RGB, .interlaced = true}, "interlaced"},
             {{.kind = PNG_COLOR_TYPE_RGBA, .bits = 16, .interlaced = true},
              "interlaced, 16 bits"}};
  /* Two steps: rounding of Y, Cb, Cr by half a step each, times 1.772 at most
  ** (ISO/IEC 10918-5), and of the result. */
  static const struct {
    made m;
    const char *words;
  } jpeg[] = {{{.bits = 8}, "JPEG"},
              {{.progressive = true}, "progressive"},
              {{.arithmetic = true}, "arithmetic"}};

  for (size_t i = 0; i < sizeof png / sizeof png[0]; i++)
    one(make_png(&png[i].m), 0, png[i].words);
  for (size_t i = 0; i < sizeof jpeg / sizeof jpeg[0]; i++)
    one(make_jpeg(&jpeg[i].m), 2, jpeg[i].words);
}

static void test_turned(void)
{
  for (int turned = 1; turned <= 8; turned++)
    for (int little = 0; little < 2; little++) {
      made m = {.kind = PNG_COLOR_TYPE_RGB, .turned = turned, .little = little};
      char words[60];
      snprintf(words, sizeof words, "PNG turned %d, %s end first", turned,
               little ? "little" : "big");
      one(make_png(&m), 0, words);
      snprintf(words, sizeof words, "JPEG turned %d, %s end first", turned,
               little ? "little" : "big");
      one(make_jpeg(&m), 2, words);
    }
}

/* 1: bytes too many before a marker, which some cameras write, are passed over;
** libjpeg's message for it was taken for another. */
static void test_extraneous(void)
{
  made m = {.bits = 8};
  file f = make_jpeg(&m);

  for (size_t i = 0; i + 1 < f.n; i++)
    if (f.bytes[i] == 0xff && f.bytes[i + 1] == 0xdb) {
      f.bytes = realloc(f.bytes, f.n + 1);
      memmove(f.bytes + i + 1, f.bytes + i, f.n - i);
      f.bytes[i] = 0;
      f.n++;
      break;
    }
  one(f, 2, "JPEG with a byte too many before a marker");
}

/* ---- discs --------------------------------------------------------------- */

static void test_discs(void)
{
  made m = {.kind = PNG_COLOR_TYPE_RGB, .wide = 600, .high = 400};
  file f = make_png(&m);
  lh_photo_disc d[4] = {{.x = 0, .y = 0.25, .radius = 0.1},
                        {.x = 0.25, .y = 0.25, .radius = 0.05},
                        {.x = 0.5, .y = 0.5, .radius = 0.3},
                        {.x = 1, .y = 1, .radius = 0.02}};
  lh_photo_about about;
  lh_fault fault;

  CHECK(look(&f, d, &about, &fault) == LH_OK, "discs of many sizes");
  CHECK_NEAR(d[0].outside, 0.5, 0.01, "half of one is beyond the edge");
  CHECK_NEAR(d[3].outside, 0.75, 0.02, "three quarters at a corner");
  CHECK(d[1].outside == 0, "none of one well inside");
  CHECK_NEAR((double)d[1].pixels, 3.14159265 * 30 * 30, 60,
             "as many pixels as its area has");
  CHECK((double)d[2].pixels <= LH_PHOTO_LOOKED * 1.05 &&
            d[2].pixels > LH_PHOTO_LOOKED / 5,
        "of a large one some: %zu", d[2].pixels);
  CHECK(d[1].mean.scatter < 1e-6 && d[2].mean.scatter > 0.1,
        "an even disc is even, one over four colours is not");
  free(f.bytes);
}

static void test_lost(void)
{
  made holes = {.kind = PNG_COLOR_TYPE_RGBA, .alpha_holes = true};
  file f = make_png(&holes);
  lh_photo_disc d[4];
  lh_photo_about about;
  lh_fault fault;

  quarters(d);
  CHECK(look(&f, d, &about, &fault) == LH_OK, "a picture with holes");
  CHECK(d[0].lost.clear == 1 && d[1].lost.clear == 0,
        "the left half is see-through, the right is not");
  CHECK(d[0].lost.burnt == 0 && d[0].lost.dark == 0, "nothing is burnt out");
  free(f.bytes);
}

/* ---- what is refused ----------------------------------------------------- */

static void refused(file f, lh_status st, const char *part, const char *words)
{
  lh_photo_disc d[4];
  lh_photo_about about;
  lh_fault fault;

  quarters(d);
  lh_status got = look(&f, d, &about, &fault);
  CHECK(got == st && strstr(fault.what, part) && fault.todo[0] &&
            strcmp(fault.where, "/file") == 0,
        "%s is refused in words", words);
  if (got != st || !strstr(fault.what, part))
    printf("# %d: %s\n", (int)got, fault.what);
  free(f.bytes);
}

static file text(const char *s, size_t n)
{
  file f = {malloc(n + 1), n};

  memcpy(f.bytes, s, n);
  return f;
}

/* Write another size into a PNG's head, with the sum that belongs to it. */
static file resized(uint32_t wide, uint32_t high)
{
  made m = {.kind = PNG_COLOR_TYPE_RGB};
  file f = make_png(&m);
  uint32_t v[3] = {wide, high, 0};

  for (size_t i = 0; i < 2; i++)
    for (size_t k = 0; k < 4; k++)
      f.bytes[16 + 4 * i + k] = (unsigned char)(v[i] >> (24 - 8 * k));
  v[2] = (uint32_t)crc32(crc32(0, NULL, 0), f.bytes + 12, 17);
  for (size_t k = 0; k < 4; k++)
    f.bytes[29 + k] = (unsigned char)(v[2] >> (24 - 8 * k));
  return f;
}

static file jpeg_resized(void)
{
  made m = {.bits = 8};
  file f = make_jpeg(&m);

  for (size_t i = 0; i + 9 < f.n; i++)
    if (f.bytes[i] == 0xff && f.bytes[i + 1] == 0xc0) {
      memset(f.bytes + i + 5, 0xff, 4);
      f.bytes[i + 6] = f.bytes[i + 8] = 0xdc; /* 65500, libjpeg's most */
      break;
    }
  return f;
}

static void test_refused(void)
{
  made grey = {.kind = PNG_COLOR_TYPE_GRAY, .space = JCS_GRAYSCALE},
       cmyk = {.space = JCS_CMYK};

  refused(text("", 0), LH_INPUT, "neither", "nothing");
  refused(text("II*\0\x08\0\0\0", 8), LH_INPUT, "neither", "TIFF");
  refused(text("GIF89a", 6), LH_INPUT, "neither", "GIF");
  refused(text("\x89PNG\r\n\x1a\n", 8), LH_INPUT, "broken", "a bare signature");
  refused(text("\xff\xd8\xff", 3), LH_INPUT, "broken", "a bare marker");
  refused(make_png(&grey), LH_INPUT, "grey", "a grey PNG");
  refused(make_jpeg(&grey), LH_INPUT, "grey", "a grey JPEG");
  refused(make_jpeg(&cmyk), LH_INPUT, "CMYK", "a JPEG for printing");
  refused(resized(100000, 100000), LH_TOOLARGE, "64 million",
          "a PNG that says it has 10,000 million pixels");
  refused(resized(66000, 10), LH_TOOLARGE, "65,500", "one of a long side");
  refused(resized(1000, 65000), LH_INPUT, "broken",
          "one of 65 million that are not there");
  refused(resized(WIDE, HIGH + 16), LH_INPUT, "broken",
          "one that lacks its last rows");
  refused(jpeg_resized(), LH_TOOLARGE, "64 million",
          "a JPEG of 65,500 by 65,500");
}

/* Cut off anywhere, or with any byte changed: read, when the damage lies where
** nothing is looked at, or refused in words. */
static void test_damage(const file *f, const char *words)
{
  size_t bad = 0, whole = 0;
  lh_photo_disc d[4];
  lh_photo_about about;
  lh_fault fault;

  for (size_t n = 0; n < 2 * f->n; n++) {
    file g = {malloc(f->n), n < f->n ? n : f->n};
    memcpy(g.bytes, f->bytes, g.n);
    if (n >= f->n) g.bytes[n - f->n] ^= 0x41;
    g.bytes = realloc(g.bytes, g.n ? g.n : 1);
    quarters(d);
    lh_status st = look(&g, d, &about, &fault);
    if (st == LH_OK)
      whole++;
    else if (!fault.what[0] || !fault.todo[0] ||
             (st != LH_INPUT && st != LH_TOOLARGE))
      bad++;
    free(g.bytes);
    if (n % 512 == 0) {
      lh_heap_free(&arena);
      lh_heap_open(&arena);
    }
  }
  CHECK(bad == 0, "%s: %zu kinds of damage, each refused in words or unseen",
        words, 2 * f->n);
  printf("# %zu were read all the same\n", whole);
}

static bool stop(void *who, double done)
{
  (void)done;
  return --*(int *)who > 0;
}

static void test_cancelled(void)
{
  static const made kinds[] = {
      {.kind = PNG_COLOR_TYPE_RGB, .wide = 300, .high = 600},
      {.kind = PNG_COLOR_TYPE_RGB,
       .wide = 300,
       .high = 600,
       .interlaced = true},
      {.progressive = true, .wide = 300, .high = 600}};

  for (size_t i = 0; i < 3; i++) {
    file f = i < 2 ? make_png(&kinds[i]) : make_jpeg(&kinds[i]);
    int calls = 3;
    lh_watch watch = {stop, &calls};
    lh_photo_disc d[4];
    lh_photo_about about;
    lh_fault fault = {0};
    quarters(d);
    CHECK(lh_photo_read(f.bytes, f.n, "/file", d, 4, &arena, &watch, &about,
                        &fault) == LH_CANCELLED,
          "called off in the midst of picture %zu", i);
    free(f.bytes);
  }
}

int main(void)
{
  static const made png = {.kind = PNG_COLOR_TYPE_RGB, .turned = 6},
                    jpeg = {.turned = 3};
  file f;

  lh_heap_open(&arena);
  test_kinds();
  test_turned();
  test_extraneous();
  test_discs();
  test_lost();
  test_refused();
  f = make_png(&png);
  test_damage(&f, "PNG");
  free(f.bytes);
  f = make_jpeg(&jpeg);
  test_damage(&f, "JPEG");
  free(f.bytes);
  test_cancelled();
  lh_heap_free(&arena);
  return CHECK_DONE();
}
