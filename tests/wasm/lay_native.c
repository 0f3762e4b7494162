/* SPDX-License-Identifier: GPL-3.0-or-later */
/* lay_native.c -- the native side of the comparison with WebAssembly.
**
**   lay_native sample NAME OUT.flat   write a painted zone as a flat array;
**                                     NAME: band, disc, wrong
**   lay_native lay IN.flat OUT.maps   lay it: the report, then each layer's
**                                     coat and cover map
**
** Any painted zone can be compared by writing it with lh_decor_flatten and
** handing the file to `lay`.  The samples are invented.
*/
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "flat.h"
#include "module.h"

enum { ROOM = 96 * 1024 * 1024 };

static double even(double from, double to)
{
  static uint64_t state = 2026;

  state = state * 6364136223846793005U + 1442695040888963407U;
  return from + (to - from) * (double)(state >> 11) * 0x1p-53;
}

static int numbers_write(const char *path, const double *p, size_t n)
{
  FILE *f = fopen(path, "wb");
  int bad = !f || fwrite(p, sizeof *p, n, f) != n;

  if (f && fclose(f) != 0) bad = 1;
  return bad;
}

static double *numbers_read(const char *path, size_t *n)
{
  FILE *f = fopen(path, "rb");
  double *p = NULL;
  long size;

  if (!f) return NULL;
  if (fseek(f, 0, SEEK_END) == 0 && (size = ftell(f)) > 0 &&
      fseek(f, 0, SEEK_SET) == 0 && (p = malloc((size_t)size))) {
    *n = (size_t)size / sizeof *p;
    if (fread(p, sizeof *p, *n, f) != *n) *n = 0;
  }
  fclose(f);
  return p;
}

/* ---- samples ------------------------------------------------------------ */

enum { LOOSE = 300, NIBS = 24 };
static lh_nib nibs[LOOSE][NIBS], dab[LH_DAB_NIBS];
static lh_mark loose[LOOSE], motif[3], ground, lines[3];
static lh_placing placings[64];

static void loose_fill(double length)
{
  for (int i = 0; i < LOOSE; i++) {
    size_t n = i % 6 ? (size_t)even(3, NIBS) : 1;
    double x = 0, y = 0;
    for (size_t k = 0; k < n; k++) {
      nibs[i][k] = (lh_nib){x, y, even(0.2, 4), even(60, 300)};
      x += even(-1, 3);
      y += even(-1.5, 1.5);
    }
    loose[i] = (lh_mark){.kind = n == 1 ? LH_DOT : LH_STROKE,
                         .slip = 1 + i / 90,
                         .anchor = {even(0, 1), even(0.1, 0.9) * length},
                         .local = {.turn = even(0, 1),
                                   .scale = even(0.5, 1.5),
                                   .flip_x = i % 3 == 0},
                         .edge = even(0, 0.8),
                         .coat = 150,
                         .nibs = nibs[i],
                         .n = n};
    if (n > 2 && i % 9 == 0) loose[i].kind = LH_FILL;
    if (n > 2 && i % 31 == 0) {
      loose[i].kind = LH_SGRAFFITO;
      loose[i].slip = LH_NO_SLIP;
    }
  }
}

static void others_fill(double length)
{
  ground = (lh_mark){.kind = LH_BANDING,
                     .slip = 0,
                     .edge = 0.4,
                     .coat = 220,
                     .from = 0,
                     .to = length};
  lh_dab(11, 4, 0.2, 210, 0.4, dab);
  for (int i = 0; i < 3; i++) {
    motif[i] = (lh_mark){.kind = LH_DAB,
                         .slip = 7,
                         .anchor = {0.03, 0.4 * length},
                         .local = {.x = 3.0 * i, .turn = 0.07 * i, .scale = 1},
                         .edge = 0.5,
                         .nibs = dab,
                         .n = LH_DAB_NIBS};
    lines[i] = (lh_mark){.kind = LH_BANDING,
                         .slip = 8,
                         .edge = 0.3,
                         .coat = 180,
                         .from = length * (0.1 + 0.2 * i),
                         .to = length * (0.1 + 0.2 * i) + 1.7};
  }
}

static int sample(const char *name, const char *path)
{
  static const lh_point bowl[] = {{28, 0}, {52, 8}, {78, 24}, {90, 46}};
  static const lh_point dish[] = {{0, 4}, {35, 5}, {62, 12}, {80, 30}};
  static const lh_exception odd[] = {{.instance = 1,
                                      .move_turns = 0.01,
                                      .move_up = 4,
                                      .turn = 0.05,
                                      .scale = 1.2},
                                     {.instance = 5, .left_out = true}};
  int disc = strcmp(name, "disc") == 0;
  double length = disc ? 60 : 55;
  lh_repeat r = {disc ? LH_DN : LH_P2MG, 5, 0.02, odd, 2};
  lh_painted p = {.profile = disc ? dish : bowl,
                  .n_profile = 4,
                  .zone = {disc ? LH_INSIDE : LH_OUTSIDE,
                           disc ? LH_CHART_DISC : LH_CHART_BAND, disc ? 0 : 10,
                           disc ? 60 : 65},
                  .pixel = 0.25,
                  .multiple = 5};
  lh_group g[4] = {{.marks = &ground, .n = 1},
                   {.marks = loose, .n = LOOSE},
                   {.marks = motif,
                    .n = 3,
                    .placings = placings,
                    .has_pivot = true,
                    .pivot = {0.03, 0.4 * length}},
                   {.marks = lines, .n = 3}};
  double *out;
  size_t n;
  int bad;

  loose_fill(length);
  others_fill(length);
  if (strcmp(name, "wrong") == 0) nibs[7][2].width = -1;
  if (lh_repeat_fill(&r, placings, 64, &g[2].n_placings) != LH_OK) return 1;
  p.groups = g;
  p.n_groups = 4;
  lh_decor_flatten(&p, NULL, 0, &n);
  out = malloc(n * sizeof *out);
  if (!out) return 1;
  bad =
      lh_decor_flatten(&p, out, n, &n) != LH_OK || numbers_write(path, out, n);
  free(out);
  return bad;
}

/* ---- laying ------------------------------------------------------------- */

static int lay(const char *from, const char *to)
{
  double report[LH_REPORT_NUMBERS], *in;
  unsigned char *room = aligned_alloc(16, ROOM);
  FILE *f = fopen(to, "wb");
  size_t n = 0, pixels;
  int bad = 1;

  in = numbers_read(from, &n);
  if (in && room && f) {
    lh_module_lay(in, n, room, ROOM, report);
    bad = fwrite(report, sizeof *report, LH_REPORT_NUMBERS, f) !=
          LH_REPORT_NUMBERS;
    pixels = (size_t)report[LH_REPORT_NX] * (size_t)report[LH_REPORT_NY];
    for (int k = 0; k < (int)report[LH_REPORT_LAYERS]; k++)
      for (int cover = 0; cover < 2; cover++) {
        size_t at =
            (size_t)report[(cover ? LH_REPORT_COVERS : LH_REPORT_COATS) + k];
        bad |= fwrite(room + at, sizeof(float), pixels, f) != pixels;
      }
  }
  if (f && fclose(f) != 0) bad = 1;
  free(in);
  free(room);
  return bad;
}

int main(int argc, char **argv)
{
  if (argc == 4 && strcmp(argv[1], "sample") == 0)
    return sample(argv[2], argv[3]);
  if (argc == 4 && strcmp(argv[1], "lay") == 0) return lay(argv[2], argv[3]);
  fputs("lay_native sample NAME OUT.flat | lay IN.flat OUT.maps\n", stderr);
  return 2;
}
