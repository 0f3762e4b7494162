/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "seeded.h"
#include "shrinkage.h"
#include "wall.h"
#include "wall_shared.h"

static lh_wall wall_of(double mm, double moisture, int faces)
{
  lh_wall w = {lh_range_exact(mm), lh_range_exact(moisture), faces, 2.6, 0.12,
               LH_WATER_20C_G_L};
  return w;
}

static lh_wall_coat coat_of(double wet_mm, double percent)
{
  double w = percent / 100, p = 0.0;

  lh_slip_density(w, 2.6, LH_WATER_20C_G_L, &p);
  return (lh_wall_coat){wet_mm * w * p, (1 - w) / w};
}

/* source: a drying model run as a separate program, see the table; and its
** notes: wall 10.256 kg/m2 dry, coat 0.3107 kg/m2, water 0.380 kg/m2. */
static void shared(void)
{
  lh_wall w = wall_of(6, 0.20, 1);
  lh_wall_coat c = coat_of(0.5, 45);
  lh_wall_balance b;

  for (int i = 0; i < wall_shared_count; i++) {
    const double *t = wall_shared[i];
    lh_wall wi = wall_of(t[0], t[1], 1);
    lh_wall_coat ci = coat_of(t[2], t[3]);
    lh_slip_wall(&wi, &ci, 1, 0, &b);
    CHECK_NEAR(b.x_even.value, t[4], 5e-5, "%g mm wall at %g, %g mm of %g %%",
               t[0], t[1], t[2], t[3]);
  }
  CHECK(lh_slip_wall(&w, &c, 1, 0, &b) == LH_OK, "the base case");
  CHECK_NEAR(b.wall_dry_g_m2, 10256, 0.5, "10.256 kg/m2 of dry wall");
  CHECK_NEAR(b.coat_dry_g_m2, 310.7, 0.05, "0.3107 kg/m2 of dry coat");
  CHECK_NEAR(b.coat_water_g_m2, 380, 0.5, "0.380 kg/m2 of water in it");
  /* by hand: 0.20 + 0.37974/10.256 */
  CHECK_NEAR(b.x_ceiling.value, 0.2370, 5e-5, "ceiling: all of it in the wall");
  CHECK(b.x_even.low == b.x_even.value && b.x_even.high == b.x_even.value,
        "no error in, no range out");
}

static void shrinks(void)
{
  double s = 0;

  for (int i = 0; i < shrinkage_count; i++) {
    const double *t = shrinkage[i];
    lh_slip_shrinkage(t[0], 0.0, 2.6, 0.12, LH_WATER_20C_G_L, &s);
    CHECK_NEAR(100 * s, t[1], 0.005, "from %g to dry", t[0]);
  }
  lh_slip_shrinkage(0.12, 0.0, 2.6, 0.12, LH_WATER_20C_G_L, &s);
  CHECK(s == 0.0, "below the limit it shrinks no more");
  /* slope near 0.2: 0.57 % for a point of moisture (drying notes) */
  lh_slip_shrinkage(0.205, 0.195, 2.6, 0.12, LH_WATER_20C_G_L, &s);
  CHECK_NEAR(100 * s, 0.57, 0.005, "0.57 %% for a point of moisture");
}

/* Count the water, place by place: an independent sum in grams. */
static void properties(void)
{
  double even = 0, ceiling = 0, room = 0;
  int order = 1, rims = 1;

  for (int i = 0; i < 1000; i++) {
    lh_wall w = wall_of(seeded(2, 12), seeded(0.13, 0.24), i % 2 + 1);
    lh_wall_coat c[4], swapped[4];
    lh_wall_balance b, d;
    double dry = 0, water = 0, n = 0;
    for (int k = 0; k < 4; k++) {
      c[k] = coat_of(seeded(0.1, 0.8), seeded(40, 65));
      swapped[3 - k] = c[k];
    }
    lh_slip_wall(&w, c, 4, 0, &b);
    for (int k = 0; k < 4; k++)
      for (int f = 0; f < w.faces; f++) {
        dry += c[k].g_m2;
        water += c[k].g_m2 * c[k].water_per_dry;
      }
    water += b.wall_dry_g_m2 * w.moisture.value;
    even =
        fmax(even, fabs(b.x_even.value * (b.wall_dry_g_m2 + dry) / water - 1));
    ceiling =
        fmax(ceiling, fabs(b.x_ceiling.value * b.wall_dry_g_m2 / water - 1));
    lh_slip_wall(&w, swapped, 4, 0, &d);
    order = order && fabs(d.x_even.value - b.x_even.value) < 1e-14;
    /* common practice, no source: a thin rim coated on both faces takes up
    ** more water per clay than the wall */
    lh_wall thick = wall_of(seeded(5, 12), w.moisture.value, 1);
    lh_wall rim = wall_of(seeded(2, 4.9), w.moisture.value, 2);
    lh_slip_wall(&thick, c, 1, 0, &b);
    lh_slip_wall(&rim, c, 1, 0, &d);
    rims = rims && d.x_even.value > b.x_even.value &&
           d.x_ceiling.value > b.x_ceiling.value;
    /* as many coats as there is room for bring it just to the limit */
    lh_slip_wall_room(&w, c, 0.25, &n);
    lh_wall_coat many = {c[0].g_m2 * n, c[0].water_per_dry};
    lh_slip_wall(&w, &many, 1, 0, &b);
    room = fmax(room, fabs(b.x_even.value / 0.25 - 1));
  }
  CHECK_NEAR(even, 0, 1e-13, "shared evenly, no water is lost");
  CHECK_NEAR(ceiling, 0, 1e-13, "all in the wall, no water is lost");
  CHECK(order, "the order of coats does not matter to the balance");
  CHECK(rims, "a thin rim coated twice takes up more than the wall");
  CHECK_NEAR(room, 0, 1e-12, "room for coats brings x_even to the limit");
}

static void words(void)
{
  lh_wall w = wall_of(6, 0.20, 1), rim = wall_of(3, 0.20, 2);
  lh_wall_coat c = coat_of(0.5, 45);
  lh_wall_balance b;
  double n = 0;

  lh_slip_wall(&w, &c, 1, 0, &b);
  CHECK(lh_slip_wall_judge(&b, 0.25, 0.30) == LH_WALL_FIT, "the wall is fit");
  /* by hand: 0.3797 x 2 / 5.128 over 0.20 gives 0.312 at least */
  lh_slip_wall(&rim, &c, 1, 0, &b);
  CHECK(lh_slip_wall_judge(&b, 0.25, 0.30) == LH_WALL_TOO_WET,
        "its thin rim is too wet");
  CHECK(lh_slip_wall_judge(&b, 0.25, 0.33) == LH_WALL_CAREFUL,
        "or wants care, by another's judgement");
  CHECK(lh_slip_wall_judge(&b, 0.40, 0.33) == LH_WALL_CAREFUL,
        "the ceiling alone asks for care");
  CHECK(b.swelling > 0, "it swells");
  lh_slip_wall_room(&w, &c, 0.20, &n);
  CHECK(n == 0, "no room in a wall as wet as the limit");
  c.water_per_dry = 0.2;
  lh_slip_wall_room(&w, &c, 0.25, &n);
  CHECK(isinf(n), "coats drier than the limit never reach it");
  lh_slip_wall(&w, NULL, 0, 0, &b);
  CHECK_NEAR(b.x_even.value, 0.20, 1e-15, "no coats, no change");
  CHECK_NEAR(b.swelling, 0, 1e-15, "and no swelling");
}

/* Ends asked by moving one input at a time through the public function. */
static void ranges(void)
{
  lh_wall w = wall_of(6, 0.20, 1), v = w;
  lh_wall_coat c = coat_of(0.5, 45), more = {c.g_m2 * 1.2, c.water_per_dry};
  lh_wall_balance b, t, x, k;

  w.thickness_mm = lh_range_within(6, 0.5);
  w.moisture = lh_range_within(0.20, 0.02);
  lh_slip_wall(&w, &c, 1, 0.2, &b);
  v = wall_of(5.5, 0.20, 1), lh_slip_wall(&v, &c, 1, 0, &t);
  v = wall_of(6, 0.22, 1), lh_slip_wall(&v, &c, 1, 0, &x);
  v = wall_of(6, 0.20, 1), lh_slip_wall(&v, &more, 1, 0, &k);
  CHECK_NEAR(b.x_even.high - b.x_even.value,
             sqrt(pow(t.x_even.value - b.x_even.value, 2) +
                  pow(x.x_even.value - b.x_even.value, 2) +
                  pow(k.x_even.value - b.x_even.value, 2)),
             1e-12, "the high end holds thickness, moisture and coats");
  CHECK(b.x_even.low < b.x_even.value && b.x_ceiling.high > b.x_ceiling.value,
        "both have a range");
}

static void refusals(void)
{
  lh_wall_coat c = coat_of(0.5, 45), bad = {-1, 1};
  lh_wall_balance b;
  lh_wall w;
  double x = -7;

  w = wall_of(0, 0.2, 1);
  CHECK(lh_slip_wall(&w, &c, 1, 0, &b) == LH_RANGE, "no wall");
  w = wall_of(6, -0.1, 1);
  CHECK(lh_slip_wall(&w, &c, 1, 0, &b) == LH_RANGE, "negative moisture");
  w = wall_of(6, 20, 1);
  CHECK(lh_slip_wall(&w, &c, 1, 0, &b) == LH_RANGE, "percent for a fraction");
  w = wall_of(6, (double)NAN, 1);
  CHECK(lh_slip_wall(&w, &c, 1, 0, &b) == LH_RANGE, "NaN");
  w = wall_of(6, 0.2, 3);
  CHECK(lh_slip_wall(&w, &c, 1, 0, &b) == LH_RANGE, "three faces");
  w = wall_of(6, 0.2, 1);
  CHECK(lh_slip_wall(&w, &bad, 1, 0, &b) == LH_RANGE, "a negative coat");
  CHECK(lh_slip_wall(&w, &c, 1, 1, &b) == LH_RANGE, "coats known to nothing");
  CHECK(lh_slip_wall_room(&w, &c, 0, &x) == LH_RANGE && x == -7,
        "a limit of 0");
  CHECK(lh_slip_shrinkage(-1, 0, 2.6, 0.12, 998, &x) == LH_RANGE && x == -7,
        "drier than dry");
}

int main(void)
{
  shared();
  shrinks();
  properties();
  words();
  ranges();
  refusals();
  return CHECK_DONE();
}
