/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One mark at a time against closed forms of its area and mass.
**
** With a soft edge e a convex outline of area A and a radius of curvature
** above e/2 covers A + pi e^2/20 (Steiner: the parallel body at distance d has
** area A + P d + pi d^2; the mean of d over the edge is 0, of d^2 is e^2/20).
** Pixels add the error of the midpoint rule, which is at most
** h^2/24 times the integral of |second derivative|: for an edge of perimeter
** P that is h^2 P/(8 e), e times 3/e being the total change of slope across
** it.  A tenth is left for curvature, 2e-6 of the area for float sums.
*/
#include "easel.h"

static double bound(double h, double perimeter, double edge, double area)
{
  return 1.1 * h * h * perimeter / (8.0 * edge) + 2e-6 * area;
}

/* Area covered by one mark on a cylinder, and its mass in g/m2 mm2. */
static double covered(const lh_mark *m, int columns, double *mass, double *h)
{
  easel e;
  double area = -1.0;

  easel_cylinder(&e, 40.0, columns, columns / 5);
  if (easel_marks(&e, m, 1, NULL, 0) == LH_OK && easel_lay(&e) == LH_OK) {
    area = easel_sum(&e, e.maps.cover[0]);
    if (mass) *mass = easel_sum(&e, e.maps.coat[0]);
  }
  if (h) *h = e.grid.pixel;
  easel_clear(&e);
  return area;
}

static void closed_form(const char *what, const lh_mark *m, double area,
                        double perimeter, double coat)
{
  area += pi * m->edge * m->edge / 20.0;
  for (int columns = 600; columns <= 2400; columns *= 2) {
    double mass, h, got = covered(m, columns, &mass, &h);
    double tol = bound(h, perimeter, m->edge, area);
    CHECK_NEAR(got, area, tol, "%s: area, %.3f mm pixels", what, h);
    CHECK_NEAR(mass, coat * area, coat * tol, "%s: mass, %.3f mm pixels", what,
               h);
  }
}

static void test_dot(void)
{
  lh_nib nib = {0, 0, 9.0, 250.0};
  lh_mark m = easel_sweep(0, 0.3137, 23.61, 1.2, &nib, 1);

  closed_form("dot", &m, pi * 4.5 * 4.5, 2 * pi * 4.5, 250.0);
  m.local.scale = 1.5;
  closed_form("dot, half as large again", &m, pi * 6.75 * 6.75, 2 * pi * 6.75,
              250.0);
}

static void test_capsule(void)
{
  lh_nib nibs[] = {{-8, -3, 5, 100}, {9, 6, 5, 300}};
  double l = hypot(17, 9);
  lh_mark m = easel_sweep(0, 0.51, 25.0, 1.0, nibs, 2);

  /* The coat changes evenly along it, so its mean is the middle's. */
  closed_form("straight stroke", &m, 5 * l + pi * 2.5 * 2.5, 2 * l + 5 * pi,
              200.0);
  m.local.turn = 0.171;
  closed_form("straight stroke, turned", &m, 5 * l + pi * 2.5 * 2.5,
              2 * l + 5 * pi, 200.0);
}

/* The hull of two discs: with sin b = (R - r)/L it has two straight sides
** L cos b long and arcs of pi + 2b and pi - 2b. */
static void test_taper(void)
{
  lh_nib nibs[] = {{-7, 4, 9, 180}, {10, -5, 3, 180}};
  double l = hypot(17, 9), ra = 4.5, rb = 1.5, b = asin((ra - rb) / l);
  double area =
      ra * ra * (pi / 2 + b) + rb * rb * (pi / 2 - b) + (ra + rb) * l * cos(b);
  double perimeter = 2 * l * cos(b) + ra * (pi + 2 * b) + rb * (pi - 2 * b);
  lh_mark m = easel_sweep(0, 0.9, 25.0, 1.0, nibs, 2);

  closed_form("tapered stroke", &m, area, perimeter, 180.0);
}

/* One nib's disc holds the next: only the larger is seen. */
static void test_swallowed(void)
{
  lh_nib nibs[] = {{0, 0, 10, 200}, {2, 1, 3, 200}};
  lh_mark m = easel_sweep(0, 0.4, 25.0, 1.0, nibs, 2);

  closed_form("a nib within a nib", &m, pi * 25, 10 * pi, 200.0);
  nibs[1] = nibs[0];
  closed_form("two nibs in one place", &m, pi * 25, 10 * pi, 200.0);
}

/* A dab is as long and as wide as it says, wherever it points. */
static void test_dab(void)
{
  lh_nib nibs[LH_DAB_NIBS];
  double left = 1e9, right = -1e9, high = -1e9;
  lh_status st = lh_dab(12.0, 5.0, 0.0, 200.0, 0.5, nibs);

  CHECK(st == LH_OK, "dab: made");
  for (int i = 0; i < LH_DAB_NIBS; i++) {
    left = fmin(left, nibs[i].x - nibs[i].width / 2);
    right = fmax(right, nibs[i].x + nibs[i].width / 2);
    high = fmax(high, nibs[i].y + nibs[i].width / 2);
  }
  CHECK_NEAR(left, -6.0, 1e-12, "dab: begins half its length back");
  CHECK_NEAR(right, 6.0, 1e-12, "dab: ends half its length on");
  CHECK(high <= 2.5 && high > 2.4, "dab: as wide as it says");
  CHECK_NEAR(nibs[LH_DAB_NIBS - 1].coat, 100.0, 1e-12, "dab: thins to its tip");
  CHECK(lh_dab(6.0, 5.0, 0, 200, 0.5, nibs) == LH_RANGE,
        "dab: a round one is a dot");
  CHECK(lh_dab(NAN, 5.0, 0, 200, 0.5, nibs) == LH_RANGE, "dab: no NaN");
}

/* Polygon: the parallel bodies gain d^2 times half the turning angle at an
** outward corner and lose d^2 tan(angle/2) at it when they shrink; an inward
** corner the other way round.  So the soft edge adds e^2/40 times the sum of
** angle/2 + tan(angle/2), inward corners negative. */
static void test_fill(void)
{
  static const double xy[][2] = {{-9, -7}, {10, -8},  {11, 6},
                                 {2, 1},   {-3, 8.5}, {-10, 3}};
  enum { N = sizeof xy / sizeof xy[0] };
  lh_nib nibs[N] = {{0}};
  double area = 0, perimeter = 0, corners = 0;
  lh_mark m = {.kind = LH_FILL,
               .slip = 0,
               .anchor = {0.2, 25.0},
               .local = {.scale = 1.0},
               .edge = 1.0,
               .coat = 150.0,
               .nibs = nibs,
               .n = N};

  for (size_t i = 0; i < N; i++) {
    const double *a = xy[i], *b = xy[(i + 1) % N], *c = xy[(i + 2) % N];
    double ux = b[0] - a[0], uy = b[1] - a[1], vx = c[0] - b[0],
           vy = c[1] - b[1];
    double turn = atan2(ux * vy - uy * vx, ux * vx + uy * vy);
    nibs[i].x = a[0];
    nibs[i].y = a[1];
    area += (a[0] * b[1] - b[0] * a[1]) / 2; /* shoelace */
    perimeter += hypot(ux, uy);
    corners += turn / 2 + tan(turn / 2);
  }
  area += m.edge * m.edge / 40 * corners;
  for (int columns = 600; columns <= 2400; columns *= 2) {
    double mass, h, got = covered(&m, columns, &mass, &h);
    CHECK_NEAR(got, area, bound(h, perimeter, 1.0, area),
               "fill: area, %.3f mm pixels", h);
    CHECK_NEAR(mass, 150 * area, 150 * bound(h, perimeter, 1.0, area),
               "fill: mass, %.3f mm pixels", h);
  }
}

/* Even-odd: where an outline goes round twice it leaves a hole. */
static void test_even_odd(void)
{
  lh_nib nibs[] = {{-8, -8, 0, 0}, {8, -8, 0, 0},  {8, 8, 0, 0},  {-8, 8, 0, 0},
                   {-8, -8, 0, 0}, {-3, -3, 0, 0}, {3, -3, 0, 0}, {3, 3, 0, 0},
                   {-3, 3, 0, 0},  {-3, -3, 0, 0}};
  lh_mark m = {.kind = LH_FILL,
               .slip = 0,
               .anchor = {0.2, 25.0},
               .local = {.scale = 1.0},
               .edge = 0.5,
               .coat = 100.0,
               .nibs = nibs,
               .n = 10};
  double h, got = covered(&m, 1200, NULL, &h);
  /* The seam between the two squares is there and back, an outline within
  ** the filled area: it lacks, on each side, the integral of 1 - cover from
  ** the line to e/2, 3/32 e.  Its ends and the corners are good for e^2. */
  double seam = hypot(5, 5) * 2 * 3.0 / 32.0 * 0.5;

  CHECK_NEAR(got, 256 - 36 - seam, bound(h, 64 + 24 + 15, 0.5, 220) + 0.25,
             "fill: even-odd leaves the inner square bare");
}

static void test_banding(void)
{
  lh_mark m = {.kind = LH_BANDING,
               .slip = 0,
               .edge = 1.0,
               .coat = 120.0,
               .from = 11.3,
               .to = 16.8};
  double around = 2 * pi * 40;

  for (int columns = 600; columns <= 2400; columns *= 2) {
    double h, got = covered(&m, columns, NULL, &h);
    CHECK_NEAR(got, around * 5.5, bound(h, 2 * around, 1.0, around * 5.5),
               "banding line: area, %.3f mm pixels", h);
  }
  m.from = 0.0;
  m.to = 2 * pi * 40 / 5.0;
  CHECK_NEAR(covered(&m, 600, NULL, NULL), around * around / 5.0,
             2e-6 * around * around, "ground over the whole zone: no edge");
}

/* The error falls at least as the square of the pixel: root mean square over
** places, where floats (1e-6 of the area) do not yet hide it. */
static void test_order(void)
{
  double rms[3] = {0, 0, 0};

  for (int i = 0; i < 40; i++) {
    lh_nib nib = {0, 0, 6.0, 100.0};
    lh_mark m =
        easel_sweep(0, easel_random(), 20 + 8 * easel_random(), 2.0, &nib, 1);
    double want = pi * (9.0 + 2.0 * 2.0 / 20.0);
    for (int k = 0; k < 3; k++) {
      double got = covered(&m, 260 << k, NULL, NULL);
      rms[k] += (got - want) * (got - want) / 40;
    }
  }
  for (int k = 0; k < 3; k++) rms[k] = sqrt(rms[k]);
  CHECK(rms[1] < rms[0] / 4,
        "halving the pixel: a quarter of the error or "
        "less (%.1e to %.1e mm2)",
        rms[0], rms[1]);
  CHECK(rms[2] < rms[1] / 4, "and again (%.1e to %.1e mm2)", rms[1], rms[2]);
}

/* Midpoints with the width and coat between change nothing. */
static void test_density(void)
{
  lh_nib coarse[6], fine[11], finest[21];
  easel a, b;
  double worst = 0, worst_cover = 0;
  lh_mark m;

  for (int i = 0; i < 6; i++)
    coarse[i] = (lh_nib){-20 + 8 * i, 10 * sin(i * 1.3), 3 + 2 * cos(i * 2.0),
                         200 + 50 * sin(i)};
  for (int i = 0; i < 21; i++) {
    const lh_nib *p = &coarse[i / 4], *q = &coarse[i == 20 ? 5 : i / 4 + 1];
    double t = i == 20 ? 0.0 : (i % 4) / 4.0;
    finest[i] = (lh_nib){p->x + t * (q->x - p->x), p->y + t * (q->y - p->y),
                         p->width + t * (q->width - p->width),
                         p->coat + t * (q->coat - p->coat)};
    if (i % 2 == 0) fine[i / 2] = finest[i];
  }
  for (int k = 0; k < 2; k++) {
    easel_cylinder(&a, 40, 1500, 300);
    easel_cylinder(&b, 40, 1500, 300);
    m = easel_sweep(0, 0.5, 25, 0.8, coarse, 6);
    easel_marks(&a, &m, 1, NULL, 0);
    m = easel_sweep(0, 0.5, 25, 0.8, k ? finest : fine, k ? 21 : 11);
    easel_marks(&b, &m, 1, NULL, 0);
    easel_lay(&a);
    easel_lay(&b);
    for (size_t i = 0; i < 1500 * 300; i++) {
      worst = fmax(worst, fabs(a.maps.coat[0][i] - b.maps.coat[0][i]));
      worst_cover =
          fmax(worst_cover, fabs(a.maps.cover[0][i] - b.maps.cover[0][i]));
    }
    /* Floats: places up to 120 pixels from the anchor carry 4e-6 pixel, a few
    ** of them 2e-5; the edge is 4.8 pixels, its steepest 1.5/4.8 a pixel. */
    CHECK(worst_cover < 2e-5 * 1.5 / 4.8 * 2,
          "%d times as dense: same cover "
          "(%.1e)",
          k ? 4 : 2, worst_cover);
    CHECK(worst < 250 * 2e-5, "%d times as dense: same coat (%.1e g/m2)",
          k ? 4 : 2, worst);
    easel_clear(&a);
    easel_clear(&b);
  }
}

/* A nib narrower than its edge lays more than its width by
** 2 (v^3 - v^4/2) e, v = 1/2 - width/(2 e): from the edge's integral. */
static void test_thin(void)
{
  for (int i = 1; i <= 4; i++) {
    double width = 0.25 * i, v = 0.5 - 0.5 * width, h;
    lh_nib nibs[] = {{-30, 0.1, 0, 100}, {30, 0.1, 0, 100}};
    lh_mark m = easel_sweep(0, 0.5, 25, 1.0, nibs, 2);
    double full, half;
    nibs[0].width = nibs[1].width = width;
    full = covered(&m, 2400, NULL, &h);
    nibs[0].x = -10; /* the ends are the same: their difference is the line */
    half = covered(&m, 2400, NULL, &h);
    CHECK_NEAR(full - half, 20 * (width + 2 * (v * v * v - v * v * v * v / 2)),
               bound(h, 40, 1.0, 20), "a line %.2f of its edge wide", width);
  }
}

int main(void)
{
  test_dot();
  test_capsule();
  test_taper();
  test_swallowed();
  test_dab();
  test_fill();
  test_even_odd();
  test_banding();
  test_order();
  test_density();
  test_thin();
  return CHECK_DONE();
}
