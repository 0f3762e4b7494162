/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_photo.c -- any bytes as a photograph.
**
** What must hold: a picture that is taken has a size, and every disc of it
** finite light, shares between 0 and 1, and no more pixels than are looked at;
** the same bytes say the same again.  One that is refused says where, what and
** what to do.
*/
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "heap.h"
#include "photo.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { DISCS = 3 };

static void must(int ok)
{
  if (!ok) abort();
}

static void sound(const lh_photo_about *about, const lh_photo_disc *d)
{
  must(about->width > 0 && about->height > 0);
  must(about->width <= LH_PHOTO_PIXELS / about->height);
  must(about->turned >= 1 && about->turned <= 8);
  must(memchr(about->profile, 0, sizeof about->profile) != NULL);
  for (size_t i = 0; i < DISCS; i++) {
    must(d[i].pixels <= 2 * LH_PHOTO_LOOKED);
    must(d[i].outside >= 0 && d[i].outside <= 1);
    must(d[i].lost.burnt >= 0 && d[i].lost.burnt <= 1);
    must(d[i].lost.dark >= 0 && d[i].lost.dark <= 1);
    must(d[i].lost.clear >= 0 && d[i].lost.clear <= 1);
    must(isfinite(d[i].mean.scatter) && d[i].mean.scatter >= 0);
    for (size_t k = 0; k < 3; k++) must(isfinite(d[i].mean.rgb[k]));
  }
}

static lh_status look(const uint8_t *data, size_t size, lh_photo_disc *d,
                      lh_photo_about *about, lh_fault *fault, lh_arena *a)
{
  static const lh_photo_disc at[DISCS] = {{.x = 0.5, .y = 0.5, .radius = 0.3},
                                          {.x = 0.1, .y = 0.9, .radius = 0.05},
                                          {.x = 1, .y = 0, .radius = 0.5}};

  memcpy(d, at, sizeof at);
  return lh_photo_read(data, size, "/file", d, DISCS, a, NULL, about, fault);
}

/* A picture of many pixels in few bytes takes seconds under the sanitizers;
** what is large is left to the tests. */
static int large(const lh_photo_about *about)
{
  return about->height > 0 && about->width > 1000000 / about->height;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  lh_photo_disc d[DISCS], again[DISCS];
  lh_photo_about about, about2;
  lh_fault fault = {0}, fault2 = {0};
  lh_arena a;
  lh_status st;

  lh_heap_open(&a);
  st = look(data, size, d, &about, &fault, &a);
  if (st == LH_OK) {
    sound(&about, d);
    must(large(&about) ||
         (look(data, size, again, &about2, &fault2, &a) == LH_OK &&
          memcmp(d, again, sizeof d) == 0));
  } else {
    must(st == LH_INPUT || st == LH_TOOLARGE);
    must(strcmp(fault.where, "/file") == 0 && fault.what[0] && fault.todo[0]);
  }
  lh_heap_free(&a);
  return 0;
}
