/* SPDX-License-Identifier: GPL-3.0-or-later */
/* page_native.c -- the native side of the comparison of what a page asks of
** the WebAssembly module: laying only what changed, measuring, colouring.
**
**   page_native edit KIND IN.flat OUT.flat
**       change a painted zone; KIND: move, drop, add, top, size
**   page_native numbers NAME OUT
**       plain arrays of numbers: palette, strengths, shapes
**   page_native work BEFORE.flat AFTER.flat PALETTE OUT
**       lay BEFORE, go on to AFTER: see work()
**
** The slips are invented: curves that look like slips.
*/
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "flat.h"
#include "measure.h"
#include "module.h"
#include "stack.h"

enum { ROOM = 64 * 1024 * 1024, FLAT_MOST = 4 * 1024 * 1024 };

/* This program is short: what it takes it keeps to its end, in sight of the
** sanitizer that looks for lost memory. */
static void *keep(void *p)
{
  static void *all[65536];
  static size_t n;

  if (!p || n == sizeof all / sizeof *all) exit(2);
  return all[n++] = p;
}

static double *numbers_read(const char *path, size_t *n)
{
  double *p = keep(malloc(FLAT_MOST));
  FILE *f = fopen(path, "rb");

  *n = 0;
  if (f && p) *n = fread(p, sizeof *p, FLAT_MOST / sizeof *p, f);
  if (f) fclose(f);
  return p;
}

static int numbers_write(const char *path, const double *p, size_t n)
{
  FILE *f = fopen(path, "wb");
  int bad = !f || fwrite(p, sizeof *p, n, f) != n;

  if (f && fclose(f) != 0) bad = 1;
  return bad;
}

static void *room_of(size_t bytes)
{
  void *p = keep(aligned_alloc(16, (bytes + 15) / 16 * 16));

  return memset(p, 0, bytes);
}

/* ---- edits ----------------------------------------------------------------
 */

static void *more(lh_arena *a, size_t n)
{
  (void)a;
  return keep(malloc(n));
}

static int edit(const char *kind, const char *from, const char *to)
{
  lh_arena a = {.more = more};
  lh_painted p;
  size_t n;
  double *in = numbers_read(from, &n), *out = keep(malloc(FLAT_MOST));
  lh_group *g;
  lh_mark *m, extra;

  if (lh_decor_unflatten(in, n, &a, &p) != LH_OK || !out) return 1;
  g = (lh_group *)p.groups + 1; /* the loose ones */
  m = (lh_mark *)g->marks;
  extra = m[3];
  extra.anchor.turns += 0.4;
  if (strcmp(kind, "move") == 0) {
    m[120].anchor.turns += 0.013;
    m[120].anchor.up *= 0.9;
  } else if (strcmp(kind, "drop") == 0) {
    memmove(m + 77, m + 78, (g->n - 78) * sizeof *m);
    g->n--;
  } else if (strcmp(kind, "add") == 0) {
    m[g->n] = m[g->n - 1];
    m[g->n].anchor.turns += 0.31;
    g->n++; /* unflatten takes room for one more */
  } else if (strcmp(kind, "top") == 0) {
    lh_group *last = (lh_group *)&p.groups[p.n_groups];
    extra.slip = 9; /* a layer of its own */
    *last = (lh_group){.marks = &extra, .n = 1};
    p.n_groups++;
  } else {
    p.zone.to_mm -= 1; /* another chart */
    for (size_t i = 0; i < p.groups[0].n; i++)
      ((lh_mark *)p.groups[0].marks)[i].to -= 1;
  }
  if (lh_decor_flatten(&p, out, FLAT_MOST / sizeof *out, &n) != LH_OK) return 1;
  return numbers_write(to, out, n);
}

/* ---- numbers --------------------------------------------------------------
 */

static int palette(const char *to)
{
  double p[6 + 2 * LH_WAVES + 10 * 2 * LH_WAVES] = {LH_D8_EX, LH_D65, 1,
                                                    1.5,      8,      0.5};
  double *at = p + 6;

  for (int i = 0; i < LH_WAVES; i++) at[i] = 0.01 * (36 - i) / 36;
  at += LH_WAVES;
  for (int i = 0; i < LH_WAVES; i++) at[i] = 0.09 + 0.012 * i;
  at += LH_WAVES;
  for (int s = 0; s < 10; s++, at += 2 * LH_WAVES)
    for (int i = 0; i < LH_WAVES; i++) {
      double off = (i - 3.6 * s) / 6;
      at[i] = 0.002 + 0.05 / (1 + off * off) * (s > 0);
      at[LH_WAVES + i] = 0.03 + 0.002 * s;
    }
  return numbers_write(to, p, sizeof p / sizeof *p);
}

/* The palette pale, then strong. */
static int strengths(const char *to)
{
  enum { N = 6 + 2 * LH_WAVES + 10 * 2 * LH_WAVES };
  static double out[2 * N];
  double laid[4 * 10];
  size_t n;
  double *in;

  if (palette(to) != 0) return 1;
  in = numbers_read(to, &n);
  for (int i = 0; i < 10; i++) {
    double one[] = {0.02 * (i + 1), 40 + 15 * i, i ? 0 : -1, 220};
    memcpy(laid + (size_t)4 * (size_t)i, one, sizeof one);
  }
  if (n != N || lh_module_strength(in, n, laid, 1, out) != 0 ||
      lh_module_strength(in, n, laid, 2, out + N) != 0)
    return 1;
  return numbers_write(to, out, (size_t)2 * N);
}

/* Every function of shape.c, one after the other. */
static int shapes(const char *to)
{
  static const double profile[] = {28, 0, 52, 8, 78, 24, 90, 46};
  static const double shrink[] = {0.04, 0.045, 0.06, 0.065};
  static const double zone[] = {LH_OUTSIDE, LH_CHART_BAND, 10, 65};
  static const double odd[] = {1, 0, 0.01, 4, 0.05, 1.2, 5, 1, 0, 0, 0, 1};
  static double out[4096];
  void *room = room_of(LH_SHAPE_ROOM);
  size_t n = 0;

  out[n++] = lh_module_resize(profile, 4, 0, 1, shrink, out + 1);
  n += 8;
  out[n] = lh_module_rings(profile, 4, room, LH_SHAPE_ROOM, 64, out + n + 1);
  n += 1 + 5 * (size_t)out[n];
  out[n] = lh_module_repeat(4, 5, 0.02, odd, 2, room, LH_SHAPE_ROOM, 64,
                            out + n + 1);
  n += 1 + 8 * (size_t)out[n];
  out[n] = lh_module_dab(11, 4, 0.2, 210, 0.4, out + n + 1);
  n += 1 + 4 * (size_t)out[n];
  out[n] = lh_module_chart(profile, 4, zone, room, LH_SHAPE_ROOM, out + n + 1);
  n += 9;
  out[n] = lh_module_place(room, 0.37, 20, out + n + 1);
  n += 4;
  out[n] = lh_module_back(room, out[n - 3], out[n - 2], out + n + 1);
  n += 4;
  return numbers_write(to, out, n);
}

/* ---- work -----------------------------------------------------------------
 */

typedef struct {
  double report[LH_REPORT_NUMBERS];
  void *room;
  float *maps[2 * LH_LAYERS_MOST];
  size_t pixels;
} zone;

static void ready(zone *z, const double *in, size_t n)
{
  z->room = room_of(ROOM);
  lh_module_ready(in, n, z->room, ROOM, z->report);
  z->pixels = (size_t)z->report[LH_REPORT_NX] * (size_t)z->report[LH_REPORT_NY];
}

static void put(FILE *f, const void *p, size_t n)
{
  if (fwrite(p, 1, n, f) != n) exit(2);
}

/* The layers of even number bleed, each more than the one before. */
static double bleed_of(int layer)
{
  return layer % 2 ? 0 : 0.15 + 0.1 * layer;
}

/* The same coloured as it fires: spread by the bleeds where it is stale. */
static void put_bled(FILE *f, zone *z, const void *palette_room,
                     const unsigned char *stale, void *memo,
                     unsigned char *rgba)
{
  int layers = (int)z->report[LH_REPORT_LAYERS];
  float *maps[2 * LH_LAYERS_MOST];
  size_t tiles = (((size_t)z->report[LH_REPORT_NX] + 31) / 32) *
                 (((size_t)z->report[LH_REPORT_NY] + 31) / 32);
  unsigned char *wide = room_of(tiles);

  memcpy(wide, stale, tiles);
  lh_module_reach(z->room, 1.25, wide);
  put(f, wide, tiles);
  for (int k = 0; k < layers; k++) {
    double mm = bleed_of(k);
    void *work = room_of(lh_module_work(z->room, mm) + 16);
    maps[2 * k] = room_of(z->pixels * sizeof(float));
    maps[2 * k + 1] = z->maps[2 * k + 1];
    lh_module_bleed(z->room, mm, z->maps[2 * k], wide, work, maps[2 * k]);
    put(f, maps[2 * k], z->pixels * sizeof(float));
  }
  lh_module_tint(palette_room, z->room, maps, wide, memo, 1, rgba);
  put(f, rgba, 4 * z->pixels);
}

static void put_all(FILE *f, zone *z, const void *palette_room,
                    const unsigned char *stale, void *sums, void *memo,
                    unsigned char *rgba)
{
  double out[LH_MEASURE_MOST] = {0}, mm2[3];
  int n = lh_module_measure(z->room, z->maps, stale, sums, out);
  unsigned char *says = room_of(z->pixels);

  put(f, out, (size_t)n * sizeof *out);
  for (int k = 0; k < 2 * (int)z->report[LH_REPORT_LAYERS]; k++)
    put(f, z->maps[k], z->pixels * sizeof(float));
  lh_module_tint(palette_room, z->room, z->maps, stale, memo, 1, rgba);
  put(f, rgba, 4 * z->pixels);
  lh_module_window(z->room, z->maps, 2, 100, 200, says, mm2);
  put(f, says, z->pixels);
  put(f, mm2, sizeof mm2);
  put_bled(f, z, palette_room, stale, memo, rgba);
}

/* Outlines, and what lies at some places. */
static void put_hits(FILE *f, const zone *z)
{
  size_t n = (size_t)lh_module_shapes(z->room, 0, NULL);
  double *out = room_of((n * LH_SHAPE_NUMBERS + 1) * sizeof *out), hit[2];

  lh_module_shapes(z->room, n, out);
  put(f, out, n * LH_SHAPE_NUMBERS * sizeof *out);
  for (int i = 0; i < 200; i++) {
    hit[0] = hit[1] = -1;
    lh_module_hit(z->room, 2.5 * (i % 40) - 30, 9.0 * (i / 40) - 4, 0.5, hit);
    put(f, hit, sizeof hit);
  }
  free(out);
}

/* Sums kept from before, beside all of them afresh. */
static size_t numbers_differ(const zone *z, unsigned char *stale, void *sums)
{
  double kept[LH_MEASURE_MOST] = {0}, fresh[LH_MEASURE_MOST] = {0};

  lh_module_measure(z->room, z->maps, stale, sums, kept);
  memset(stale, 1, 1 << 16);
  lh_module_measure(z->room, z->maps, stale, sums, fresh);
  return memcmp(kept, fresh, sizeof kept) != 0;
}

/* Before whole; then after, by what changed; then after once more, whole, in
** the plainest way: the maps must be those. */
static int work(const char *before, const char *after, const char *pal,
                const char *to)
{
  size_t n, m, k;
  double *a = numbers_read(before, &n), *b = numbers_read(after, &m);
  double *p = numbers_read(pal, &k), whole[LH_REPORT_NUMBERS];
  void *palette_room = room_of(LH_PALETTE_ROOM), *room = room_of(ROOM);
  void *memo = room_of(lh_module_memo()), *sums;
  unsigned char *stale = room_of(1 << 20), *rgba;
  int answer[3 + LH_LAYERS_MOST];
  zone x = {.room = NULL}, y = {.room = NULL};
  FILE *f = fopen(to, "wb");
  size_t wrong = 0;

  if (!f || lh_module_palette(p, k, palette_room, LH_PALETTE_ROOM) != 0)
    return 1;
  ready(&x, a, n);
  for (int i = 0; i < 2 * LH_LAYERS_MOST; i++)
    x.maps[i] = room_of(x.pixels * sizeof(float));
  rgba = room_of(8 * x.pixels);
  sums = room_of(lh_module_sums(x.room) + (1 << 16));
  lh_module_since(NULL, x.room, stale, answer);
  lh_module_paint(x.room, x.maps, stale);
  put_all(f, &x, palette_room, stale, sums, memo, rgba);
  ready(&y, b, m);
  lh_module_since(x.room, y.room, stale, answer);
  put(f, answer, sizeof answer);
  for (int i = 0; i < LH_LAYERS_MOST; i++)
    for (int c = 0; c < 2; c++)
      y.maps[2 * i + c] = answer[3 + i] < 0 ? room_of(y.pixels * sizeof(float))
                                            : x.maps[2 * answer[3 + i] + c];
  lh_module_paint(y.room, y.maps, stale);
  memset(memo, 0, lh_module_memo());
  put_all(f, &y, palette_room, stale, sums, memo, rgba);
  put_hits(f, &y);
  wrong += numbers_differ(&y, stale, sums);
  lh_module_lay(b, m, room, ROOM, whole);
  for (int i = 0; i < (int)whole[LH_REPORT_LAYERS]; i++)
    for (int c = 0; c < 2; c++)
      wrong +=
          memcmp(
              (char *)room +
                  (size_t)whole[(c ? LH_REPORT_COVERS : LH_REPORT_COATS) + i],
              y.maps[2 * i + c], y.pixels * sizeof(float)) != 0;
  printf("%d %d %zu %d\n", answer[0], answer[1], wrong,
         (int)whole[LH_REPORT_LAYERS]);
  return fclose(f) != 0;
}

int main(int argc, char **argv)
{
  if (argc == 5 && strcmp(argv[1], "edit") == 0)
    return edit(argv[2], argv[3], argv[4]);
  if (argc == 4 && strcmp(argv[1], "numbers") == 0)
    return strcmp(argv[2], "palette") == 0     ? palette(argv[3])
           : strcmp(argv[2], "strengths") == 0 ? strengths(argv[3])
                                               : shapes(argv[3]);
  if (argc == 6 && strcmp(argv[1], "work") == 0)
    return work(argv[2], argv[3], argv[4], argv[5]);
  fputs("page_native edit | numbers | work\n", stderr);
  return 2;
}
