/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_lay.c -- 2,000 strokes of 40 stretches on a map of 3600 x 480.
**
** Beside lh_lay stands the same sweep written the plain way, in double: for
** each stretch every pixel of its box, with the formula of lay.h, no rows, no
** clipping, no single precision.  The largest difference between the two maps
** is printed with the times.
*/
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "bench.h"
#include "lay.h"

enum { STROKES = 2000, NIBS = 41, NX = 3600, NY = 480, TIMES = 5 };

static const double PIXEL = 0.1, EDGE = 0.4; /* [mm] */

static void *more(lh_arena *a, size_t n)
{
  (void)a; /* the program ends with it */
  return malloc(n);
}

static double uniform(double from, double to)
{
  static uint64_t s = 88172645463325252u; /* xorshift64, Marsaglia 2003 */

  s ^= s << 13;
  s ^= s >> 7;
  s ^= s << 17;
  return from + (to - from) * (double)(s >> 11) / 9007199254740992.0;
}

/* A curved frond 15 to 35 mm long, thin at both ends. */
static void make(lh_shape *s, lh_nib *nib, size_t k)
{
  double length = uniform(15.0, 35.0), way = uniform(0.0, 6.283185307);
  double bend = uniform(-2.0, 2.0), width = uniform(0.8, 2.4);
  double step = length / (NIBS - 1), x = 0.0, y = 0.0;

  *s = (lh_shape){.kind = LH_SWEEP, .mark = k, .scale = 1.0, .edge = EDGE};
  s->x = uniform(0.0, NX * PIXEL);
  s->y = uniform(0.0, NY * PIXEL);
  for (size_t i = 0; i < NIBS; i++) {
    double t = (double)i / (NIBS - 1), w = width * sqrt(4.0 * t * (1.0 - t));
    nib[i] = (lh_nib){x, y, w, 200.0 + 300.0 * t};
    s->left = fmin(s->left, x - w / 2.0);
    s->right = fmax(s->right, x + w / 2.0);
    s->low = fmin(s->low, y - w / 2.0);
    s->high = fmax(s->high, y + w / 2.0);
    x += step * cos(way);
    y += step * sin(way);
    way += bend / (NIBS - 1);
  }
  s->nibs = nib;
  s->n = NIBS;
}

/* ---- the plain way ------------------------------------------------------ */

static double best[NY][NX], coat[NY][NX];

typedef struct {
  int x0, x1, y0, y1; /* pixels, x not yet wrapped */
} box;

static box box_of(const lh_shape *s, const lh_nib *a, const lh_nib *b)
{
  double r = fmax(a->width, b->width) / 2.0 + EDGE / 2.0;
  box o = {(int)floor((s->x + fmin(a->x, b->x) - r) / PIXEL) - 1,
           (int)ceil((s->x + fmax(a->x, b->x) + r) / PIXEL) + 1,
           (int)floor((s->y + fmin(a->y, b->y) - r) / PIXEL) - 1,
           (int)ceil((s->y + fmax(a->y, b->y) + r) / PIXEL) + 1};

  if (o.y0 < 0) o.y0 = 0;
  if (o.y1 > NY) o.y1 = NY;
  return o;
}

static int wrap(int i)
{
  return (i % NX + NX) % NX;
}

static void plain_stretch(const lh_shape *s, const lh_nib *a, const lh_nib *b)
{
  double dx = b->x - a->x, dy = b->y - a->y, length = hypot(dx, dy);
  double ux = dx / length, uy = dy / length;
  double k = (b->width - a->width) / 2.0 / length;
  double lead = k / sqrt(1.0 - k * k);
  box o = box_of(s, a, b);

  for (int j = o.y0; j < o.y1; j++) {
    for (int i = o.x0; i < o.x1; i++) {
      double px = (i + 0.5) * PIXEL - s->x - a->x;
      double py = (j + 0.5) * PIXEL - s->y - a->y;
      double xi = px * ux + py * uy, eta = fabs(px * uy - py * ux);
      double l = fmin(fmax(xi + eta * lead, 0.0), length);
      double d = a->width / 2.0 + k * l - hypot(xi - l, eta);
      if (d <= best[j][wrap(i)]) continue;
      best[j][wrap(i)] = d;
      coat[j][wrap(i)] = a->coat + (b->coat - a->coat) * l / length;
    }
  }
}

static void plain_sum(const lh_shape *s, const lh_nib *a, const lh_nib *b,
                      double *map)
{
  box o = box_of(s, a, b);

  for (int j = o.y0; j < o.y1; j++) {
    for (int i = o.x0; i < o.x1; i++) {
      double u = best[j][wrap(i)] / EDGE + 0.5;
      best[j][wrap(i)] = -1e9; /* once a mark */
      if (u <= 0.0) continue;
      u = fmin(u, 1.0);
      map[j * NX + wrap(i)] += coat[j][wrap(i)] * u * u * (3.0 - 2.0 * u);
    }
  }
}

static void plain(const lh_shape *s, double *map)
{
  memset(map, 0, sizeof *map * NX * NY);
  for (size_t k = 0; k < STROKES; k++, s++) {
    for (size_t i = 0; i + 1 < NIBS; i++)
      plain_stretch(s, &s->nibs[i], &s->nibs[i + 1]);
    for (size_t i = 0; i + 1 < NIBS; i++)
      plain_sum(s, &s->nibs[i], &s->nibs[i + 1], map);
  }
}

/* ---- both, side by side ------------------------------------------------- */

static double lay_once(const lh_grid *g, const lh_shape *s, float *map,
                       float *scratch)
{
  lh_arena a = {.more = more};
  lh_laying l;
  lh_maps m = {.coat = {map}};
  double from = bench_now();

  if (lh_lay_prepare(&l, &a, g, s, STROKES, NULL) != LH_OK) exit(3);
  memset(map, 0, sizeof *map * NX * NY);
  if (lh_lay(&l, &m, NULL, scratch, NULL) != LH_OK) exit(3);
  return bench_now() - from;
}

int main(void)
{
  static lh_shape s[STROKES];
  static lh_nib nib[STROKES][NIBS];
  static float map[NX * NY];
  static double want[NX * NY];
  lh_grid g = {.wraps = true, .nx = NX, .ny = NY, .pixel = PIXEL};
  float *scratch = malloc(sizeof *scratch * lh_lay_scratch(&g));
  double ours = 1e9, theirs = 1e9, worst = 0.0, heaviest = 0.0;

  if (!scratch) return 3;
  for (size_t k = 0; k < STROKES; k++) make(&s[k], nib[k], k);
  for (int j = 0; j < NY; j++)
    for (int i = 0; i < NX; i++) best[j][i] = -1e9;
  for (int k = 0; k < TIMES; k++) {
    ours = fmin(ours, lay_once(&g, s, map, scratch));
    double from = bench_now();
    plain(s, want);
    theirs = fmin(theirs, bench_now() - from);
  }
  for (size_t i = 0; i < NX * NY; i++) {
    worst = fmax(worst, fabs((double)map[i] - want[i]));
    heaviest = fmax(heaviest, want[i]);
  }
  printf("| %d strokes of %d stretches on %d x %d, one thread | ms |\n",
         STROKES, NIBS - 1, NX, NY);
  printf("|---|---|\n| lh_lay, ready-making included | %.1f |\n", 1e3 * ours);
  printf("| the same sweep, plain double | %.1f |\n\n", 1e3 * theirs);
  printf("Largest difference %.3f g/m2, where the heaviest pixel has %.0f.\n",
         worst, heaviest);
  free(scratch);
  return 0;
}
