/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A coat that runs at its edges: mass, evenness, how far, round the band, and
** any part of a map as the whole.  Gauss's and numpy's word: bleed.py. */
#include "bleed.h"

#include "easel.h"

static const lh_point bowl[] = {{25, 0}, {48, 9}, {70, 28}, {82, 50}};
static const lh_point dish[] = {{0, 0}, {30, 2}, {60, 12}, {75, 30}};

/* 90 % point of the normal distribution.  (NIST/SEMATECH e-Handbook,
** 1.3.6.7.1, gives 1.282) */
static const double tenth = 1.2815515655446004;

typedef struct {
  easel e;
  size_t pixels;
  float *rate, *coat, *out, *again, *scratch;
  lh_bleed b;
} pan;

static float *floats(size_t n)
{
  return calloc(n + 1, sizeof(float));
}

/* A map of any coat over a zone, made ready to bleed. */
static lh_status pan_ready(pan *p, double mm)
{
  const lh_grid *g = &p->e.grid;
  lh_status st;

  p->pixels = (size_t)g->nx * (size_t)g->ny;
  p->rate = floats(lh_bleed_rates(g));
  p->coat = floats(p->pixels);
  p->out = floats(p->pixels);
  p->again = floats(p->pixels);
  st = lh_bleed_make(&p->e.chart, g, mm, p->rate, &p->b);
  p->scratch = floats(lh_bleed_scratch(&p->b, g->nx, g->ny));
  return st;
}

static void pan_drop(pan *p)
{
  free(p->rate);
  free(p->coat);
  free(p->out);
  free(p->again);
  free(p->scratch);
  easel_clear(&p->e);
}

static void pan_run(pan *p, const float *coat, float *out)
{
  lh_rect all = {0, 0, p->e.grid.nx, p->e.grid.ny};

  lh_bleed_map(&p->b, coat, &all, p->scratch, NULL, out);
}

/* Strokes and specks: a heavy coat here and there, bare between. */
static void splash(pan *p)
{
  for (size_t i = 0; i < p->pixels; i++)
    p->coat[i] = easel_random() < 0.03 ? (float)(300 * easel_random()) : 0.0f;
}

/* ---- nothing to do --------------------------------------------------------
 */

static void test_none(void)
{
  pan p;

  easel_cylinder(&p.e, 30, 120, 40);
  CHECK(pan_ready(&p, 0) == LH_OK && p.b.steps == 0, "no bleed: no steps");
  splash(&p);
  pan_run(&p, p.coat, p.out);
  CHECK(memcmp(p.coat, p.out, p.pixels * sizeof(float)) == 0,
        "no bleed: the same bytes");
  CHECK(lh_bleed_make(&p.e.chart, &p.e.grid, -0.4, p.rate, &p.b) == LH_OK &&
            p.b.steps == 0,
        "drawn back: no steps");
  CHECK(lh_bleed_make(&p.e.chart, &p.e.grid, 3.01, p.rate, &p.b) == LH_RANGE,
        "3.01 mm are refused");
  CHECK(lh_bleed_make(&p.e.chart, &p.e.grid, (double)NAN, p.rate, &p.b) ==
            LH_RANGE,
        "NaN is refused");
  pan_drop(&p);
}

/* ---- mass -----------------------------------------------------------------
 */

/* True area of a pixel over its chart area, at its centre; *doubt is raised
** to what an eighth of a pixel changes of it. */
static double weight(const easel *e, int x, int y, double *doubt)
{
  const lh_grid *g = &e->grid;
  double cx = g->x0 + g->pixel * (x + 0.5), cy = g->y0 + g->pixel * (y + 0.5);
  double h = sqrt(cx * cx + cy * cy), s = 1, t = 1;

  if (g->wraps) {
    lh_chart_scale(&e->chart, cx, fmin(cy, e->chart.height), &s);
    return s * s;
  }
  h = fmin(fmax(h, e->chart.rho_inner), e->chart.radius);
  lh_chart_scale(&e->chart, h, 0, &s);
  lh_chart_scale(&e->chart, fmax(h - g->pixel / 8, e->chart.rho_inner), 0, &t);
  *doubt = fmax(*doubt, fabs(s * s - t * t) / (s * s));
  return s * s;
}

static double mass(const easel *e, const float *map, double *doubt)
{
  double sum = 0;

  for (int y = 0; y < e->grid.ny; y++)
    for (int x = 0; x < e->grid.nx; x++)
      sum += weight(e, x, y, doubt) *
             (double)map[(size_t)y * (size_t)e->grid.nx + (size_t)x];
  return sum;
}

/* Rounding: eight operations a step and pixel, each 2^-24 of what is there; a
** disc's rates are those of a place an eighth of a pixel off at most, and what
** moves is no more than all of it each way. */
static void test_mass(const char *what, const lh_point *form, size_t n,
                      lh_zone zone, double mm)
{
  double before, after, doubt = 0, tolerance;
  float most = 0, high = 0, low = 1;
  pan p;

  easel_begin(&p.e, form, n, zone, 0.4, 1);
  CHECK(pan_ready(&p, mm) == LH_OK && p.b.steps > 0, "%s: ready", what);
  splash(&p);
  pan_run(&p, p.coat, p.out);
  before = mass(&p.e, p.coat, &doubt);
  after = mass(&p.e, p.out, &doubt);
  tolerance = 8 * p.b.steps * 0x1p-24 + 2 * doubt;
  CHECK_NEAR(after / before, 1, tolerance, "%s, %.1f mm: the coat's mass stays",
             what, mm);
  CHECK(tolerance < 0.01, "%s: and that is a strict test (%.1e)", what,
        tolerance);
  for (size_t i = 0; i < p.pixels; i++) {
    if (p.coat[i] > most) most = p.coat[i];
    if (p.out[i] > high) high = p.out[i];
    if (p.out[i] < low) low = p.out[i];
  }
  CHECK(low >= 0 && high <= most && high > 0, "%s: nothing below 0, no peak",
        what);
  for (size_t i = 0; i < p.pixels; i++) p.coat[i] = 123.4f;
  pan_run(&p, p.coat, p.out);
  CHECK(memcmp(p.coat, p.out, p.pixels * sizeof(float)) == 0,
        "%s: an even coat stays even to the bit", what);
  pan_drop(&p);
}

/* ---- how far --------------------------------------------------------------
 */

/* Second moment of a row or column of a map that began as one pixel. */
static double moment(const pan *p, int at, bool across)
{
  const lh_grid *g = &p->e.grid;
  int n = across ? g->nx : g->ny, other = across ? g->ny : g->nx;
  double sum = 0, all = 0;

  for (int k = 0; k < n; k++) {
    for (int m = 0; m < other; m++) {
      size_t i = across ? (size_t)m * (size_t)g->nx + (size_t)k
                        : (size_t)k * (size_t)g->nx + (size_t)m;
      double c = (double)p->out[i];
      all += c;
      sum += c * (k - at) * (k - at);
    }
  }
  return sum / all * g->pixel * g->pixel;
}

/* Variance of what a pixel becomes: (mm / 1.28)^2 each way, exactly but for
** the rates' rounding. */
static void test_moment(double mm)
{
  double sigma = mm / tenth;
  pan p;

  easel_cylinder(&p.e, 200 * 0.2 / (2 * pi), 200, 160);
  pan_ready(&p, mm);
  p.coat[(size_t)80 * 200 + 100] = 1000;
  pan_run(&p, p.coat, p.out);
  CHECK_NEAR(moment(&p, 100, true), sigma * sigma, 1e-5 * sigma * sigma,
             "%.2f mm: as wide as its variance asks, across", mm);
  CHECK_NEAR(moment(&p, 80, false), sigma * sigma, 1e-5 * sigma * sigma,
             "%.2f mm: and up and down", mm);
  pan_drop(&p);
}

/* A hard edge: where a tenth is left. */
static void test_tenth(double mm)
{
  const double h = 0.2;
  int k = 100;
  double at;
  pan p;

  easel_cylinder(&p.e, 200 * h / (2 * pi), 200, 30);
  pan_ready(&p, mm);
  for (size_t i = 0; i < p.pixels; i++) p.coat[i] = i % 200 < 100 ? 100 : 0;
  pan_run(&p, p.coat, p.out);
  while (p.out[15 * 200 + k] > 10) k++;
  at = (double)(p.out[15 * 200 + k - 1] - 10) /
       (double)(p.out[15 * 200 + k - 1] - p.out[15 * 200 + k]);
  CHECK_NEAR((k - 1 + at + 0.5 - 100) * h, mm, h / 5,
             "%.2f mm: there a tenth of the coat is left", mm);
  pan_drop(&p);
}

/* On the pot, not on the chart: a ring of the same width bleeds as far where
** the bowl is narrow as where it is wide. */
static void test_scale(void)
{
  lh_zone z = {LH_OUTSIDE, LH_CHART_BAND, 6, 70};
  const double mm = 1.0, sigma = mm / tenth;
  pan p;

  easel_begin(&p.e, bowl, 4, z, 0.2, 1);
  pan_ready(&p, mm);
  for (int which = 0; which < 2; which++) {
    int rows = p.e.grid.ny, row = which ? rows - 40 : 40;
    double scale, sum = 0, all = 0, side;
    lh_chart_scale(&p.e.chart, 0, (row + 0.5) * p.e.grid.pixel, &scale);
    side = scale * p.e.grid.pixel;
    memset(p.coat, 0, p.pixels * sizeof(float));
    for (int x = 0; x < p.e.grid.nx; x++)
      p.coat[(size_t)row * (size_t)p.e.grid.nx + (size_t)x] = 100;
    pan_run(&p, p.coat, p.out);
    for (int y = 0; y < rows; y++) {
      double s, c = (double)p.out[(size_t)y * (size_t)p.e.grid.nx];
      lh_chart_scale(&p.e.chart, 0,
                     fmin((y + 0.5) * p.e.grid.pixel, p.e.chart.height), &s);
      all += c * s * s;
      sum += c * s * s * (y - row) * (y - row);
    }
    /* Over 3 sigma the scale changes by up to 6 % here; its change is even
    ** about the row to first order, the second is below 1 %. */
    CHECK_NEAR(sqrt(sum / all) * side, sigma, 0.01 * sigma,
               "scale %.2f: the same mm on the pot", scale);
  }
  pan_drop(&p);
}

/* ---- parts ----------------------------------------------------------------
 */

static void test_round(const char *what, pan *p)
{
  const lh_grid *g = &p->e.grid;
  float *turned = floats(p->pixels);
  size_t nx = (size_t)g->nx;
  bool same = true;

  for (size_t i = 0; i < p->pixels; i++)
    turned[i] = p->coat[i / nx * nx + (i % nx + 17) % nx];
  pan_run(p, p->coat, p->out);
  pan_run(p, turned, p->again);
  for (size_t i = 0; i < p->pixels; i++)
    same &= memcmp(&p->again[i], &p->out[i / nx * nx + (i % nx + 17) % nx],
                   sizeof(float)) == 0;
  CHECK(same, "%s: turned, it bleeds the same, bit for bit", what);
  free(turned);
}

static void test_clip(const char *what, pan *p)
{
  const lh_grid *g = &p->e.grid;
  size_t wrong = 0, beyond = 0;

  pan_run(p, p->coat, p->out);
  for (int k = 0; k < 40; k++) {
    int x = (int)(easel_random() * g->nx), y = (int)(easel_random() * g->ny);
    lh_rect r = {x, y, x + 1 + (int)(easel_random() * (g->nx - x)),
                 y + 1 + (int)(easel_random() * (g->ny - y))};
    for (size_t i = 0; i < p->pixels; i++) p->again[i] = -7;
    lh_bleed_map(&p->b, p->coat, &r, p->scratch, NULL, p->again);
    for (int j = 0; j < g->ny; j++) {
      for (int i = 0; i < g->nx; i++) {
        size_t at = (size_t)j * (size_t)g->nx + (size_t)i;
        bool in = i >= r.x0 && i < r.x1 && j >= r.y0 && j < r.y1;
        if (in)
          wrong += memcmp(&p->again[at], &p->out[at], sizeof(float)) != 0;
        else
          beyond += p->again[at] > -6.5f;
      }
    }
  }
  CHECK(wrong == 0, "%s: any part has the bits of the whole (%zu differ)", what,
        wrong);
  CHECK(beyond == 0, "%s: and nothing beyond it is touched", what);
}

static void test_parts(void)
{
  pan p;

  easel_begin(&p.e, bowl, 4, (lh_zone){LH_OUTSIDE, LH_CHART_BAND, 20, 50}, 1.0,
              1);
  pan_ready(&p, 2.0);
  splash(&p);
  test_round("band", &p);
  test_clip("band", &p);
  pan_drop(&p);
  /* Wider than the way round: the margin goes round more than once. */
  easel_cylinder(&p.e, 3, 20, 60);
  pan_ready(&p, 3.0);
  CHECK(p.b.steps > 10, "a narrow neck: the bleed reaches round (%d of %d)",
        p.b.steps, p.e.grid.nx);
  splash(&p);
  test_round("neck", &p);
  test_clip("neck", &p);
  pan_drop(&p);
  easel_begin(&p.e, dish, 4, (lh_zone){LH_INSIDE, LH_CHART_DISC, 0, 60}, 1.2,
              1);
  pan_ready(&p, 2.5);
  splash(&p);
  test_clip("disc", &p);
  pan_drop(&p);
}

static bool no(void *who, double done)
{
  (void)done;
  return --*(int *)who > 0;
}

static void test_watch(void)
{
  lh_rect all;
  int left = 2;
  lh_watch w = {no, &left};
  pan p;

  easel_cylinder(&p.e, 30, 480, 160);
  pan_ready(&p, 0.3);
  all = (lh_rect){0, 0, 480, 160};
  splash(&p);
  CHECK(lh_bleed_map(&p.b, p.coat, &all, p.scratch, &w, p.out) == LH_CANCELLED,
        "called off");
  pan_drop(&p);
}

/* A map that lies mostly bare or even, in blocks, beside the same by one
** block: a speck a block away must not be missed. */
static void test_blocks(void)
{
  size_t wrong = 0;
  pan p;

  easel_cylinder(&p.e, 640 * 0.2 / (2 * pi), 640, 200);
  pan_ready(&p, 0.8);
  for (size_t i = 0; i < p.pixels; i++) p.coat[i] = i / 640 < 90 ? 0 : 220;
  for (int i = 0; i < 12; i++)
    p.coat[(size_t)(easel_random() * (double)p.pixels)] = 50;
  pan_run(&p, p.coat, p.out);
  for (int y = 0; y < 200; y += 7) {
    for (int x = 0; x < 640; x += 9) {
      lh_rect one = {x, y, x + 1, y + 1};
      size_t at = (size_t)y * 640 + (size_t)x;
      lh_bleed_map(&p.b, p.coat, &one, p.scratch, NULL, p.again);
      wrong += memcmp(&p.again[at], &p.out[at], sizeof(float)) != 0;
    }
  }
  CHECK(wrong == 0, "bare and even parts: a pixel alone has the map's bits");
  pan_drop(&p);
}

int main(void)
{
  static const double far[] = {0.05, 0.15, 0.3, 0.8, 2.0};

  test_none();
  test_mass("bowl", bowl, 4, (lh_zone){LH_OUTSIDE, LH_CHART_BAND, 6, 70}, 0.8);
  test_mass("dish", dish, 4, (lh_zone){LH_INSIDE, LH_CHART_DISC, 0, 70}, 0.8);
  test_mass("ring", dish, 4, (lh_zone){LH_INSIDE, LH_CHART_DISC, 25, 70}, 2.0);
  for (size_t i = 0; i < sizeof far / sizeof *far; i++) {
    test_moment(far[i]);
    test_tenth(far[i]);
  }
  test_scale();
  test_parts();
  test_blocks();
  test_watch();
  return CHECK_DONE();
}
