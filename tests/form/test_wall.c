/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Walls and sizes: clay of bodies known in closed form, thickness, curves
** that make no wall, and the identities of shrinkage. */
#include <stdint.h>

#include "check.h"
#include "form.h"
#include "shapes.h"

static const double pi = 3.14159265358979323846;
static lh_curve out, in;

static void draw(const lh_point *o, size_t n, const lh_point *i, size_t m)
{
  CHECK(lh_curve_build(o, n, &out, NULL) == LH_OK &&
            lh_curve_build(i, m, &in, NULL) == LH_OK,
        "both curves are drawn");
}

/* ---- clay --------------------------------------------------------------- */

static void test_clay(void)
{
  /* A beaker with flat rim and floor. */
  static const lh_point o1[] = {{40, 0}, {40, 100}};
  static const lh_point i1[] = {{0, 6}, {35, 6}, {35, 100}};
  static const lh_point i2[] = {{35, 6}, {35, 100}}; /* floor left flat */
  static const lh_point i3[] = {{0, 6}, {35, 6}, {35, 97}};
  double v, w, want = pi * (1600 * 100 - 1225 * 94);

  draw(o1, 2, i1, 3);
  CHECK(lh_wall_check(&out, &in, NULL) == LH_OK, "beaker: a wall");
  CHECK(lh_wall_clay(&out, &in, 1.8, &v, &w) == LH_OK, "beaker: clay");
  CHECK_NEAR(v, want, 1e-7, "beaker: outside less inside");
  CHECK_NEAR(w, want * 1.8 / 1000, 1e-9, "beaker: grams");
  draw(o1, 2, i2, 2);
  CHECK(lh_wall_check(&out, &in, NULL) == LH_OK, "open floor: a wall");
  lh_wall_clay(&out, &in, 1.8, &v, &w);
  CHECK_NEAR(v, want, 1e-7, "a curve that starts off the axis is closed flat");
  draw(o1, 2, i3, 3);
  lh_wall_clay(&out, &in, 1.8, &v, &w);
  /* Rim falls from (40,100) to (35,97): a frustum joins the two. */
  want =
      pi * 1600 * 100 - pi / 3 * 3 * (1600 + 40 * 35 + 1225) - pi * 1225 * 91;
  CHECK_NEAR(v, want, 1e-7, "a sloping rim is a frustum");
}

static void test_round_clay(void)
{
  /* Hemispherical shell: 2 pi/3 (R^3 - r^3); whole torus: 2 pi^2 R b^2, its
  ** outer half as outside, its inner half as inside.  The bound is that of
  ** test_curve.c, on each solid. */
  double bound = pi * pi / 63 / 63 / 8, v, w, big = pi * 2 / 3 * 8e6 / 8;

  shape_arc_curve(0, 100, 100, -pi / 2, 0, LH_CURVE_POINTS, &out);
  shape_arc_curve(0, 100, 94, -pi / 2, 0, LH_CURVE_POINTS, &in);
  CHECK(lh_wall_check(&out, &in, NULL) == LH_OK, "hemisphere: a wall");
  CHECK(lh_wall_clay(&out, &in, 1, &v, &w) == LH_OK, "hemisphere: clay");
  CHECK_NEAR(v, 2 * pi / 3 * (1e6 - 94.0 * 94 * 94), 2 * bound * big,
             "hemisphere: 2 pi/3 (R^3 - r^3)");
  for (int k = 0; k < 5; k++) {
    double mm, s = out.length * k / 4;
    CHECK(lh_wall_thickness(&out, &in, s, &mm) == LH_OK, "thickness at %d", k);
    CHECK_NEAR(mm, 6, 2 * bound * 100, "concentric spheres: R - r, place %d",
               k);
  }
  shape_arc_curve(60, 20, 20, -pi / 2, pi / 2, LH_CURVE_POINTS, &out);
  shape_arc_curve(60, 20, 20, -pi / 2, -3 * pi / 2, LH_CURVE_POINTS, &in);
  CHECK(lh_wall_clay(&out, &in, 1, &v, &w) == LH_OK, "torus: clay");
  CHECK_NEAR(v, 2 * pi * pi * 60 * 400, 2 * bound * pi * 6400 * 40,
             "torus: 2 pi^2 R b^2");
}

/* ---- thickness ---------------------------------------------------------- */

static void test_thinnest(void)
{
  /* Outside straight up at 50, inside a cone from 40 at z = 10 to 48 at
  ** z = 110: at height z the distance is (50 - r(z)) cos(slope). */
  static const lh_point o[] = {{50, 0}, {50, 110}};
  static const lh_point i[] = {{40, 10}, {48, 110}}; /* and a flat floor */
  double s, mm, slope = 8.0 / 100, c = 1 / sqrt(1 + slope * slope);

  draw(o, 2, i, 2);
  CHECK(lh_wall_check(&out, &in, NULL) == LH_OK, "tapering wall");
  CHECK(lh_wall_thinnest(&out, &in, 80, 107, &s, &mm) == LH_OK, "near the rim");
  CHECK_NEAR(s, 107, 1e-12, "thinnest at the top of the stretch");
  CHECK_NEAR(mm, (50 - 48 + 3 * slope) * c, 1e-9, "how thin, in closed form");
  lh_wall_thickness(&out, &in, 60, &mm);
  CHECK_NEAR(mm, (10 - 50 * slope) * c, 1e-9, "thickness half way up");
  lh_wall_thickness(&out, &in, 0, &mm);
  CHECK_NEAR(mm, sqrt(200), 1e-9, "at the foot: to the inside's corner");
  CHECK(lh_wall_thinnest(&out, &in, 9, 8, &s, &mm) == LH_RANGE, "wrong way");
  CHECK(lh_wall_thinnest(&out, &in, 0, 111, &s, &mm) == LH_RANGE, "too far");
  CHECK(lh_wall_thickness(&out, &in, NAN, &mm) == LH_RANGE, "NaN");
}

/* ---- no wall ------------------------------------------------------------ */

static void no_wall(const lh_point *o, size_t n, const lh_point *i, size_t m,
                    lh_wall_why why, size_t inside, size_t outside,
                    const char *what)
{
  lh_wall_fault f = {LH_WALL_FINE, 99, 99};

  draw(o, n, i, m);
  CHECK(lh_wall_check(&out, &in, &f) == LH_INPUT, "%s: refused", what);
  CHECK(f.why == why && f.inside == inside && f.outside == outside,
        "%s: says where (%d, %zu, %zu)", what, (int)f.why, f.inside, f.outside);
}

static void test_no_wall(void)
{
  static const lh_point o[] = {{40, 0}, {40, 50}, {50, 100}};
  static const lh_point through[] = {{0, 6}, {35, 6}, {35, 60}, {55, 90}};
  static const lh_point below[] = {{0, -4}, {30, 6}, {38, 100}};
  static const lh_point off[] = {{60, 10}, {70, 100}};
  static const lh_point under[] = {{0, -20}, {30, -15}, {35, -10}};
  static const lh_point flat[] = {{45, 6}, {46, 50}, {60, 100}};
  static const lh_point sharp[] = {{0, 6}, {34, 6}, {35, 50}, {50, 100}};
  static const lh_point ring[] = {{0, 9}, {28, 9}, {30, 0}, {36, 0}, {60, 60}};
  static const lh_point low[] = {{0, 5}, {20, 12}, {55, 60}};
  lh_wall_fault f;
  double v, w;

  no_wall(o, 3, through, 4, LH_WALL_CROSSES, 2, 1, "inside out through");
  no_wall(o, 3, below, 3, LH_WALL_FLOOR, 0, 0, "through the foot");
  no_wall(o, 3, off, 2, LH_WALL_FLOOR, 0, 0, "inside larger");
  no_wall(o, 3, under, 3, LH_WALL_OUTSIDE, 0, 0, "inside under the pot");
  no_wall(o, 3, flat, 3, LH_WALL_FLOOR, 0, 0, "flat floor wider than the pot");
  no_wall(ring, 5, low, 3, LH_WALL_CROSSES, 0, 0, "floor under a turned foot");
  draw(o, 3, sharp, 4);
  CHECK(lh_wall_check(&out, &in, &f) == LH_OK && f.why == LH_WALL_FINE,
        "a sharp lip, where the curves meet, is a wall");
  CHECK(lh_wall_clay(&out, &in, 0, &v, &w) == LH_RANGE, "no density");
  CHECK(lh_wall_clay(&out, &in, NAN, &v, &w) == LH_RANGE, "density of NaN");
  CHECK(lh_wall_clay(&in, &out, 1.8, &v, &w) == LH_RANGE,
        "inside and outside changed over: no clay");
}

/* ---- sizes -------------------------------------------------------------- */

static void test_shrinkage(void)
{
  /* Identities: volume = 1 - (1 - l)^3, so 10 % linear is 27.1 % and 16 % is
  ** 40.7 % (to its digits) in volume; total = 1 - (1 - d)(1 - f).  The
  ** definition of linear shrinkage on the wet length: Florida Geological
  ** Survey, 15th Annual Report (1924), p. 91. */
  lh_shrink ten = {0.10, 0.10}, sixteen = {0.16, 0.16}, d = {0.06, 0.05},
            f = {0.07, 0.08}, t;
  lh_shrinkage body = {{0.06, 0.05}, {0.07, 0.08}};
  lh_point p[2] = {{100, 0}, {50, 200}}, q[2], r[2];

  CHECK_NEAR(lh_shrink_volume(ten), 0.271, 1e-15, "10 %% linear: 27.1 %%");
  CHECK_NEAR(lh_shrink_volume(sixteen), 0.407, 5e-4, "16 %% linear: 40.7 %%");
  t = lh_shrink_then(d, f);
  CHECK_NEAR(t.diameter, 1 - 0.94 * 0.93, 1e-15, "total 1 - (1 - d)(1 - f)");
  CHECK_NEAR(t.height, 1 - 0.95 * 0.92, 1e-15, "height apart");
  t = lh_shrink_rest(t, d);
  CHECK_NEAR(t.diameter, f.diameter, 1e-15, "what is left of the total");
  CHECK_NEAR(t.height, f.height, 1e-15, "what is left, in height");

  CHECK(lh_form_resize(p, 2, LH_THROWN, LH_FIRED, &body, q) == LH_OK,
        "to fire");
  CHECK_NEAR(q[0].r, 100 * 0.94 * 0.93, 1e-12, "fired radius");
  CHECK_NEAR(q[1].z, 200 * 0.95 * 0.92, 1e-12, "fired height");
  lh_form_resize(q, 2, LH_FIRED, LH_LEATHER_HARD, &body, r);
  CHECK_NEAR(r[1].r, 50 * 0.94, 1e-12, "back to leather-hard: radius");
  CHECK_NEAR(r[1].z, 200 * 0.95, 1e-12, "back to leather-hard: height");
  lh_form_resize(r, 2, LH_LEATHER_HARD, LH_THROWN, &body, r);
  CHECK_NEAR(r[1].z, 200, 1e-12, "back to thrown, in place");
  lh_form_resize(p, 2, LH_FIRED, LH_FIRED, &body, q);
  CHECK(q[1].r == 50 && q[1].z == 200, "the same stage: the same points");
  {
    /* A cylinder's volume falls by lh_shrink_volume. */
    double before = 50 * 50 * 200.0;
    lh_form_resize(p, 2, LH_THROWN, LH_LEATHER_HARD, &body, q);
    CHECK_NEAR(1 - q[1].r * q[1].r * q[1].z / before, lh_shrink_volume(d),
               1e-14, "volume and size agree");
  }
  body.to_fired.height = 1;
  CHECK(lh_form_resize(p, 2, LH_THROWN, LH_FIRED, &body, q) == LH_RANGE,
        "nothing left");
  body.to_fired.height = NAN;
  CHECK(lh_form_resize(p, 2, LH_THROWN, LH_FIRED, &body, q) == LH_RANGE, "NaN");
}

int main(void)
{
  test_clay();
  test_round_clay();
  test_thinnest();
  test_no_wall();
  test_shrinkage();
  return CHECK_DONE();
}
