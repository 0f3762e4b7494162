/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Slips side by side, and other eyes. */
#include "palette.h"

#include "check.h"
#include "cvd_check.h"
#include "difference.h"
#include "pigment_reflectance_10nm.h"
#include "sight.h"

enum {
  BLUE = 1,
  GREEN = 5,
  RED = 9,
  BLACK = 12,
  YELLOW = 18,
  GROUND = 25,
  BODY = 27
};

static lh_slip_optics slip_of(int column, double S, double strength)
{
  lh_slip_optics o;

  for (size_t i = 0; i < LH_WAVES; i++) {
    o.scattering[i] = S;
    o.absorption[i] =
        strength * S * lh_layer_ratio(pigment_reflectance_10nm[i][column]);
  }
  return o;
}

static lh_sight sight_of(const char *type)
{
  return type[0] == 'p'   ? LH_SIGHT_PROTAN
         : type[0] == 'd' ? LH_SIGHT_DEUTAN
                          : LH_SIGHT_TRITAN;
}

/* Worked out by an independent program, printed to 6 decimals. */
static void table(void)
{
  double worst = 0;

  for (size_t i = 0; i < cvd_check_count; i++) {
    const cvd_check_row *t = &cvd_check[i];
    lh_rgb c, s;
    CHECK(lh_hex_srgb(t->hex, &c) == LH_OK, "read %s", t->hex);
    s = lh_sight_see(sight_of(t->type), t->severity, c);
    worst = fmax(fabs(s.r - t->sR), fmax(fabs(s.g - t->sG), fabs(s.b - t->sB)));
    CHECK_NEAR(worst, 0, 5.1e-7, "%s, %s, severity %g", t->hex, t->type,
               t->severity);
  }
}

static void laws(void)
{
  double grey = 0, none = 0, between = 0;

  for (int s = LH_SIGHT_PROTAN; s < LH_SIGHTS; s++)
    for (double v = 0; v <= 1; v += 0.125) {
      lh_rgb c = {v, 1 - v, v * v}, g = {v, v, v};
      lh_rgb at = lh_sight_see((lh_sight)s, 0, c);
      none = fmax(none, fabs(at.r - c.r) + fabs(at.g - c.g) + fabs(at.b - c.b));
      at = lh_sight_see((lh_sight)s, 1, g);
      grey = fmax(grey, fabs(at.r - v) + fabs(at.g - v) + fabs(at.b - v));
      lh_rgb low = lh_sight_see((lh_sight)s, 0.4, c),
             high = lh_sight_see((lh_sight)s, 0.5, c);
      at = lh_sight_see((lh_sight)s, 0.425, c);
      between = fmax(between,
                     fabs(lh_srgb_decode(at.r) - 0.75 * lh_srgb_decode(low.r) -
                          0.25 * lh_srgb_decode(high.r)));
    }
  /* The matrices' rows add up to 1 to their 6 printed decimals: three halves
  ** of a digit, times the slope of the encoding, 12.92 at most. */
  CHECK_NEAR(grey, 0, 3 * 12.92 * 2e-6, "grey stays grey");
  CHECK_NEAR(none, 0, 1e-12, "severity 0 changes nothing");
  CHECK_NEAR(between, 0, 1e-12, "a quarter of the way between two severities");
  CHECK(isnan(lh_sight_see(LH_SIGHT_DEUTAN, 1.1, (lh_rgb){0, 0, 0}).r),
        "no severity above 1");
}

static const double *body_of(double body[LH_WAVES], int column)
{
  for (size_t i = 0; i < LH_WAVES; i++)
    body[i] = pigment_reflectance_10nm[i][column];
  return body;
}

/* Each colour is that of its own stack, worked out exactly. */
static void colours(void)
{
  double body[LH_WAVES], r[LH_WAVES], apart = 0;
  lh_slip_optics white = slip_of(GROUND, 0.04, 1);
  lh_slip_optics o[4] = {slip_of(RED, 0.01, 1), slip_of(GREEN, 0.01, 1),
                         slip_of(BLUE, 0.005, 1), slip_of(YELLOW, 0.02, 1)};
  lh_stack_layer slips[4], ground = {&white, 200}, two[2];
  lh_glaze g = {1.5, {0}, 20, 0.25};
  lh_palette p = {slips, 4, &ground, 1, body, &g, LH_D8_EX};
  lh_xyz xyz[4], on_ground, on_body;

  body_of(body, BODY);
  for (size_t i = 0; i < LH_WAVES; i++) g.optical_depth[i] = 0.03;
  for (size_t i = 0; i < 4; i++)
    slips[i] = (lh_stack_layer){&o[i], 40 + 30 * (double)i};
  for (int ill = 0; ill < LH_ILLUMINANTS; ill++) {
    CHECK(lh_palette_colours(&p, (lh_illuminant)ill, xyz, &on_ground,
                             &on_body) == LH_OK,
          "four slips under light %d", ill);
    two[1] = ground;
    for (size_t i = 0; i < 6; i++) {
      if (i < 4) two[0] = slips[i];
      lh_stack s = {i < 4 ? two : two + 1,
                    i < 4    ? 2
                    : i == 4 ? 1
                             : 0,
                    body, &g, LH_D8_EX};
      CHECK(!lh_stack_reflectance(&s, r), "its stack");
      lh_xyz want = lh_spectrum_xyz(r, (lh_illuminant)ill);
      lh_xyz got = i < 4 ? xyz[i] : i == 4 ? on_ground : on_body;
      apart = fmax(apart, fabs(want.x - got.x) + fabs(want.y - got.y) +
                              fabs(want.z - got.z));
    }
  }
  /* The prepared path is within 1e-6 of each of the three. */
  CHECK_NEAR(apart, 0, 3e-6 * 2, "each as its own stack fires");
}

static void ranges(void)
{
  static lh_xyz draws[2 * LH_PALETTE_DRAWS];
  double body[LH_WAVES];
  lh_slip_optics a = slip_of(RED, 0.01, 1), b = slip_of(GREEN, 0.01, 1);
  lh_stack_layer slips[2] = {{&a, 90}, {&b, 90}};
  lh_palette p = {slips, 2, NULL, 0, body, NULL, LH_D8_EX};
  lh_stack_doubt none[2] = {{0, 0, 0, 0, 0}, {0, 0, 0, 0, 0}};
  lh_stack_doubt own[2] = {lh_stack_doubt_default(), lh_stack_doubt_default()};
  lh_stack_doubt shared[2] = {{0, 0, 0, 0, 0.1}, {0, 0, 0, 0, 0.1}};
  lh_xyz xyz[2], ground, bare;
  lh_range r, s;

  body_of(body, GROUND);
  CHECK(lh_palette_colours(&p, LH_D65, xyz, &ground, &bare) == LH_OK, "two");
  CHECK(lh_palette_draws(&p, LH_D65, none, draws) == LH_OK, "sure");
  r = lh_palette_apart(&p, LH_D65, xyz, draws, 0, 1);
  CHECK_NEAR(r.high - r.low, 0, 1e-9, "no doubt, no range");
  CHECK_NEAR(r.value,
             lh_delta_e00(lh_xyz_lab(xyz[0], lh_spectrum_white(LH_D65)),
                          lh_xyz_lab(xyz[1], lh_spectrum_white(LH_D65))),
             1e-12, "the difference");
  CHECK(lh_palette_draws(&p, LH_D65, own, draws) == LH_OK, "in doubt");
  r = lh_palette_apart(&p, LH_D65, xyz, draws, 0, 1);
  CHECK(lh_range_valid(r) && r.high > r.low + 0.5, "a range: %.1f to %.1f",
        r.low, r.high);
  /* The same slip twice, doubted only in what it shares, is one colour. */
  slips[1] = slips[0];
  CHECK(lh_palette_colours(&p, LH_D65, xyz, &ground, &bare) == LH_OK &&
            lh_palette_draws(&p, LH_D65, shared, draws) == LH_OK,
        "one slip twice");
  s = lh_palette_apart(&p, LH_D65, xyz, draws, 0, 1);
  CHECK_NEAR(s.high, 0, 1e-9, "a body in doubt moves both alike");
  own[1].coat = 2;
  CHECK(lh_palette_draws(&p, LH_D65, own, draws) == LH_RANGE,
        "a doubt above 1");
  p.n = LH_PALETTE_MOST + 1;
  CHECK(lh_palette_colours(&p, LH_D65, xyz, &ground, &bare) == LH_TOOLARGE,
        "too many");
}

/* Common practice, no source: a red and a green of one lightness are told
** apart by most, and hardly by eyes without the middle-wave cones. */
static void facts(void)
{
  lh_xyz red = lh_lab_xyz((lh_lab){50, 40, 30}, lh_spectrum_white(LH_D65));
  lh_xyz green = lh_lab_xyz((lh_lab){52, -8, 38}, lh_spectrum_white(LH_D65));
  double by[LH_SIGHTS];

  for (int s = 0; s < LH_SIGHTS; s++)
    by[s] = lh_delta_e00(lh_sight_lab((lh_sight)s, 1, red, LH_D65),
                         lh_sight_lab((lh_sight)s, 1, green, LH_D65));
  CHECK(by[LH_SIGHT_USUAL] > 25, "red and green: %.1f apart", by[0]);
  CHECK(by[LH_SIGHT_DEUTAN] < by[LH_SIGHT_USUAL] / 3,
        "without the middle-wave cones %.1f", by[LH_SIGHT_DEUTAN]);
  CHECK(by[LH_SIGHT_TRITAN] > 15, "without the short-wave cones %.1f",
        by[LH_SIGHT_TRITAN]);
}

int main(void)
{
  table();
  laws();
  colours();
  ranges();
  facts();
  return CHECK_DONE();
}
