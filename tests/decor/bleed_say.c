/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bleed_say.c -- a map spread over a cylinder or a cone, for bleed.py.
**
**   bleed_say R0 R1 LENGTH FROM TO PIXEL MM SEED OUT
**
** The wall goes straight from radius R0 to R1 over LENGTH, the zone from FROM
** to TO along it [mm].  OUT: columns, rows, pixel, radius as doubles; then the
** map as it was and the map as it fires, floats. */
#include <stdio.h>

#include "bleed.h"
#include "easel.h"

int main(int argc, char **argv)
{
  double v[8], head[4];
  lh_point p[2] = {{0, 0}, {0, 0}};
  lh_rect all;
  lh_bleed b;
  size_t n;
  float *rate, *coat, *out, *scratch;
  FILE *f;
  easel e;

  if (argc != 10) return 2;
  for (int i = 0; i < 8; i++) v[i] = strtod(argv[i + 1], NULL);
  p[0].r = v[0];
  p[1].r = v[1];
  p[1].z = sqrt(v[2] * v[2] - (v[1] - v[0]) * (v[1] - v[0]));
  if (easel_begin(&e, p, 2, (lh_zone){LH_OUTSIDE, LH_CHART_BAND, v[3], v[4]},
                  v[5], 1) != LH_OK)
    return 1;
  n = (size_t)e.grid.nx * (size_t)e.grid.ny;
  all = (lh_rect){0, 0, e.grid.nx, e.grid.ny};
  rate = calloc(lh_bleed_rates(&e.grid), sizeof *rate);
  coat = calloc(n, sizeof *coat);
  out = calloc(n, sizeof *out);
  if (lh_bleed_make(&e.chart, &e.grid, v[6], rate, &b) != LH_OK) return 1;
  scratch = calloc(lh_bleed_scratch(&b, all.x1, all.y1) + 1, sizeof *scratch);
  for (int i = 0; i < (int)v[7]; i++) easel_random();
  for (size_t i = 0; i < n; i++)
    coat[i] = easel_random() < 0.02 ? (float)(400 * easel_random()) : 0.0f;
  lh_bleed_map(&b, coat, &all, scratch, NULL, out);
  head[0] = e.grid.nx;
  head[1] = e.grid.ny;
  head[2] = e.grid.pixel;
  head[3] = e.chart.radius;
  f = fopen(argv[9], "wb");
  if (!f) return 1;
  fwrite(head, sizeof *head, 4, f);
  fwrite(coat, sizeof *coat, n, f);
  fwrite(out, sizeof *out, n, f);
  free(rate);
  free(coat);
  free(out);
  free(scratch);
  easel_clear(&e);
  return fclose(f) != 0;
}
