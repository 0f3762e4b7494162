/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "photo.h"

#include <math.h>
#include <string.h>

#include "photo_room.h"

lh_status lh_photo_refuse(lh_photo *p, lh_status st, const char *todo,
                          const char *what)
{
  return lh_fault_say(p->fault, st, p->where, todo, "%s", what);
}

lh_status lh_photo_broken(lh_photo *p)
{
  return lh_photo_refuse(p, LH_INPUT, "copy it from the camera again",
                         "the picture is broken or cut off");
}

/* ---- where the discs lie ------------------------------------------------ */

/* From a place as seen to the same in the file, both as shares.
** Ref: CIPA DC-008 (Exif 2.32), 4.6.4, Orientation: where the file's first
** row and first column are seen. */
static void turn(int turned, double x, double y, double *u, double *v)
{
  switch (turned) {
  case 2: *u = 1 - x, *v = y; return;     /* top, right    */
  case 3: *u = 1 - x, *v = 1 - y; return; /* bottom, right */
  case 4: *u = x, *v = 1 - y; return;     /* bottom, left  */
  case 5: *u = y, *v = x; return;         /* left, top     */
  case 6: *u = y, *v = 1 - x; return;     /* right, top    */
  case 7: *u = 1 - y, *v = 1 - x; return; /* right, bottom */
  case 8: *u = 1 - y, *v = x; return;     /* left, bottom  */
  default: *u = x, *v = y;
  }
}

/* Every so-manieth pixel, so that about LH_PHOTO_LOOKED are looked at. */
static long apart(double r)
{
  double area = 3.14159265358979 * r * r;

  return (long)fmax(1, ceil(sqrt(area / LH_PHOTO_LOOKED)));
}

static bool inside(const lh_photo_kept *k, long x, long y)
{
  double dx = (double)x + 0.5 - k->x, dy = (double)y + 0.5 - k->y;

  return dx * dx + dy * dy <= k->r * k->r;
}

/* How many pixels there are to keep, were there no edge. */
static void measure(lh_photo_kept *k)
{
  long left = (long)floor((k->x - k->r) / (double)k->apart) * k->apart;
  long top = (long)floor((double)k->first / (double)k->apart) * k->apart;
  double right = ceil(k->x + k->r);

  k->meant = 0;
  for (long y = top; y <= k->last; y += k->apart)
    for (long x = left; (double)x <= right; x += k->apart)
      if (inside(k, x, y)) k->meant++;
}

lh_status lh_photo_begin(lh_photo *p, size_t width, size_t height, int bits)
{
  bool across = p->about->turned >= 5;
  size_t wide = across ? height : width;

  if (width < 1 || height < 1) return lh_photo_broken(p);
  if (width > LH_PHOTO_PIXELS / height)
    return lh_photo_refuse(p, LH_TOOLARGE,
                           "make it smaller: 12 million pixels are plenty",
                           "the picture has more than 64 million pixels");
  if (width > LH_PHOTO_SIDE || height > LH_PHOTO_SIDE)
    return lh_photo_refuse(p, LH_TOOLARGE, "cut out the part with the tile",
                           "a side of the picture has over 65,500 pixels");
  p->width = width;
  p->height = height;
  p->full = bits == 16 ? 65535 : 255;
  p->about->bits = bits;
  p->about->width = wide;
  p->about->height = across ? width : height;
  p->kept = lh_arena_take(p->arena, p->count + 1, sizeof *p->kept);
  if (!p->kept) return lh_fault_plain(p->fault, LH_NOMEM, p->where);
  for (size_t i = 0; i < p->count; i++) {
    lh_photo_kept *k = &p->kept[i];
    double u, v;
    turn(p->about->turned, p->disc[i].x, p->disc[i].y, &u, &v);
    k->x = u * (double)width;
    k->y = v * (double)height;
    k->r = p->disc[i].radius * (double)wide;
    k->first = (long)floor(k->y - k->r);
    k->last = (long)ceil(k->y + k->r);
    k->apart = apart(k->r);
    measure(k);
    k->pixel = lh_arena_take(p->arena, k->meant + 1, sizeof *k->pixel);
    if (!k->pixel) return lh_fault_plain(p->fault, LH_NOMEM, p->where);
    if (k->last >= p->needed) p->needed = k->last + 1;
  }
  if (p->needed > (long)height) p->needed = (long)height;
  return LH_OK;
}

/* ---- rows --------------------------------------------------------------- */

/* The pixels of row y to keep for a disc. */
static bool wanted(const lh_photo *p, const lh_photo_kept *k, long y,
                   long *left, long *right)
{
  if (y < k->first || y > k->last || y % k->apart) return false;
  *left = (long)fmax(0, floor(k->x - k->r));
  *right = (long)fmin((double)p->width - 1, ceil(k->x + k->r));
  *left += (k->apart - *left % k->apart) % k->apart;
  return true;
}

void lh_photo_row_8(lh_photo *p, size_t y, const unsigned char *row,
                    size_t channels)
{
  long left, right;

  for (size_t i = 0; i < p->count; i++) {
    lh_photo_kept *k = &p->kept[i];
    if (!wanted(p, k, (long)y, &left, &right)) continue;
    for (long x = left; x <= right; x += k->apart) {
      const unsigned char *from = row + channels * (size_t)x;
      if (!inside(k, x, (long)y) || k->n >= k->meant) continue;
      uint16_t *to = k->pixel[k->n++];
      for (size_t c = 0; c < 3; c++) to[c] = from[c];
      to[3] = channels == 4 ? from[3] : 255;
    }
  }
}

void lh_photo_row_16(lh_photo *p, size_t y, const uint16_t *row,
                     size_t channels)
{
  long left, right;

  for (size_t i = 0; i < p->count; i++) {
    lh_photo_kept *k = &p->kept[i];
    if (!wanted(p, k, (long)y, &left, &right)) continue;
    for (long x = left; x <= right; x += k->apart) {
      const uint16_t *from = row + channels * (size_t)x;
      if (!inside(k, x, (long)y) || k->n >= k->meant) continue;
      uint16_t *to = k->pixel[k->n++];
      for (size_t c = 0; c < 3; c++) to[c] = from[c];
      to[3] = channels == 4 ? from[3] : 65535;
    }
  }
}

/* ---- the whole ---------------------------------------------------------- */

static lh_status by_kind(lh_photo *p)
{
  static const unsigned char png[] = {137, 80, 78, 71, 13, 10, 26, 10};
  static const unsigned char jpeg[] = {0xff, 0xd8, 0xff};

  if (p->n >= sizeof png && memcmp(p->bytes, png, sizeof png) == 0)
    return lh_photo_png(p);
  if (p->n >= sizeof jpeg && memcmp(p->bytes, jpeg, sizeof jpeg) == 0)
    return lh_photo_jpeg(p);
  return lh_photo_refuse(p, LH_INPUT,
                         "save it as JPEG or PNG, from the camera directly",
                         "this file is neither a JPEG nor a PNG picture");
}

lh_status lh_photo_read(const void *bytes, size_t n, const char *where,
                        lh_photo_disc *disc, size_t count, lh_arena *a,
                        const lh_watch *watch, lh_photo_about *about,
                        lh_fault *fault)
{
  lh_photo p = {.bytes = bytes,
                .n = n,
                .where = where,
                .disc = disc,
                .count = count,
                .arena = a,
                .watch = watch,
                .about = about,
                .fault = fault};
  lh_status st;

  *about = (lh_photo_about){.turned = 1, .told = LH_PHOTO_NOTHING};
  st = by_kind(&p);
  if (st == LH_OK) st = lh_photo_light(&p);
  return st;
}
