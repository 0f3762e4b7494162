/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Windows of coat weight: closed forms, the covering table, curves that cross
** more than once, ranges, and what every potter knows. */
#include "window.h"

#include <stdint.h>

#include "check.h"
#include "difference.h"
#include "km_hiding.h"
#include "pigment_reflectance_10nm.h"

enum { BLUE = 1, VIOLET = 4, COPPER = 7, BLACK = 12, GROUND = 25, BODY = 27 };

static uint64_t seed = 71;

static double draw(double low, double high)
{
  seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  return low + (high - low) * (double)(seed >> 11) * 0x1p-53;
}

static void flat(double v, double r[LH_WAVES])
{
  for (size_t i = 0; i < LH_WAVES; i++) r[i] = v;
}

static lh_slip_optics grey(double K, double S)
{
  lh_slip_optics o;

  flat(K, o.absorption);
  flat(S, o.scattering);
  return o;
}

/* An invented slip with a measured pigment's hue (USGS DS1035). */
static lh_slip_optics slip_of(int column, double S, double strength)
{
  lh_slip_optics o = grey(0, S);

  for (size_t i = 0; i < LH_WAVES; i++)
    o.absorption[i] =
        strength * S * lh_layer_ratio(pigment_reflectance_10nm[i][column]);
  return o;
}

static void spectrum_of(int column, double r[LH_WAVES])
{
  for (size_t i = 0; i < LH_WAVES; i++)
    r[i] = pigment_reflectance_10nm[i][column];
}

/* ---- closed forms ------------------------------------------------------- */

/* CIEDE2000 of two greys: dL / S_L (Sharma 2005, equations 8, 15). */
static double grey_apart(double L1, double L2)
{
  double m = (L1 + L2) / 2 - 50;

  return fabs(L1 - L2) / (1 + 0.015 * m * m / sqrt(20 + m * m));
}

/* L* of a grey (ISO/CIE 11664-4), and back. */
static double L_of(double Y)
{
  return Y > 216.0 / 24389 ? 116 * cbrt(Y) - 16 : Y * 24389 / 27;
}

static double Y_of(double L)
{
  return L > 8 ? pow((L + 16) / 116, 3) : L * 27 / 24389;
}

/* The grey that lies `tol` from L, on one side. */
static double grey_away(double L, double tol, double way)
{
  double near = 0, far = 60;

  for (int i = 0; i < 200; i++) {
    double mid = (near + far) / 2;
    if (grey_apart(L, L + way * mid) <= tol)
      near = mid;
    else
      far = mid;
  }
  return L + way * near;
}

/* White without absorption over black: R = SX/(1 + SX) (Kubelka 1948). */
static void closed_form(void)
{
  double black[LH_WAVES];
  const double S = 0.01;
  lh_slip_optics o = grey(0, S);
  lh_stack_layer coat = {&o, 0};
  lh_stack s = {&coat, 1, black, NULL, LH_D8_EX};

  flat(0, black);
  for (double best = 20; best < 1000; best *= 2.1)
    for (double tol = 0.5; tol < 7; tol *= 2.3) {
      lh_window_ask a = {&s,   0,   LH_D65, false, {0, 0, 0},
                         best, tol, 20000,  NULL,  NULL};
      lh_window w;
      double L = L_of(S * best / (1 + S * best));
      double low = Y_of(grey_away(L, tol, -1)),
             high = Y_of(grey_away(L, tol, 1));
      CHECK(lh_window_find(&a, &w) == LH_OK && w.reached, "best %g, within %g",
            best, tol);
      /* Crossings are halved to 1e-12; cbrt and the sums of 36 shares cost
      ** some 1e-13 in L*, 1e-10 in X where the curve is flattest. */
      CHECK_NEAR(w.least, low / (1 - low) / S, 1e-8 * best, "least");
      CHECK_NEAR(w.most, high / (1 - high) / S, 1e-8 * w.most, "most");
      CHECK(w.others == 0, "no other");
      a.by_colour = true;
      a.target = w.lab;
      CHECK(lh_window_find(&a, &w) == LH_OK, "asked by its colour");
      CHECK_NEAR(w.best, best, 1e-5 * best, "the same best coat");
      CHECK_NEAR(w.least, low / (1 - low) / S, 1e-6 * best, "the same least");
    }
}

/* The same slip over two greys: R = (SX (1 - Rg) + Rg)/(1 + SX (1 - Rg)). */
static void covering(void)
{
  double body[LH_WAVES], ground[LH_WAVES];
  const double S = 0.02;
  lh_slip_optics o = grey(0, S);
  lh_stack_layer coat = {&o, 0};
  lh_stack s = {&coat, 1, body, NULL, LH_D8_EX};
  lh_window_ask a = {&s,  0, LH_D65, false, {0, 0, 0},
                     100, 3, 20000,  body,  ground};
  lh_window w;
  double x, over[2];

  flat(0.2, body);
  flat(0.7, ground);
  CHECK(lh_window_find(&a, &w) == LH_OK, "covering is judged");
  x = w.covering * S;
  over[0] = (x * 0.8 + 0.2) / (1 + x * 0.8);
  over[1] = (x * 0.3 + 0.7) / (1 + x * 0.3);
  CHECK_NEAR(grey_apart(L_of(over[0]), L_of(over[1])), 1, 1e-9,
             "there body and ground differ by 1");
  a.heaviest = 0.9 * w.covering;
  CHECK(lh_window_find(&a, &w) == LH_OK && isnan(w.covering),
        "not reached within the heaviest coat: never");
  a.heaviest = 20000, a.ground = NULL;
  CHECK(lh_window_find(&a, &w) == LH_OK && isnan(w.covering),
        "without a ground it is not judged");
  o = grey(0, 0);
  a.ground = ground;
  CHECK(lh_window_find(&a, &w) == LH_OK && isnan(w.covering) &&
            isnan(w.contrast_98),
        "water covers nothing");
}

/* Contrast ratio 0.98 (ISO 6504-1), the table of 30 digits printed to 10; the
** last column takes k1 0.04 and k2 0.5964, which n = 1.5 has to these digits:
** half a digit of them moves the answer by at most 1.7e-4 of it. */
static void contrast_table(void)
{
  double black[LH_WAVES];
  const double S = 0.01;

  flat(0, black);
  for (size_t i = 0; i < km_hiding_count; i++) {
    const double *t = km_hiding[i];
    double K = S * (1 - t[0]) * (1 - t[0]) / (2 * t[0]);
    lh_slip_optics o = grey(K, S);
    lh_glaze g = {1.5, {0}, 0, 0};
    lh_stack_layer coat = {&o, 0};
    lh_stack s = {&coat, 1, black, NULL, LH_D8_IN};
    lh_window_ask a = {&s, 0, LH_D65, false, {0, 0, 0}, 1, 1, 5000, NULL, NULL};
    lh_window w;
    CHECK(lh_window_find(&a, &w) == LH_OK, "R %g", t[0]);
    CHECK_NEAR(w.contrast_98 * S, t[2], 1e-9 * t[2], "contrast 0.98, bare");
    s.glaze = &g;
    CHECK(lh_window_find(&a, &w) == LH_OK, "R %g, glazed", t[0]);
    CHECK_NEAR(w.contrast_98 * S, t[6], 2e-4 * t[6], "contrast 0.98, glazed");
  }
}

/* ---- any stack ---------------------------------------------------------- */

/* dE00 from the wanted colour by the exact path, not the prepared one. */
static double off_at(const lh_window_ask *a, lh_stack_layer *layers, double x,
                     lh_lab wanted)
{
  double r[LH_WAVES];

  layers[a->at].coat = x;
  if (lh_stack_reflectance(a->stack, r)) return (double)NAN;
  return lh_delta_e00(lh_spectrum_lab(r, a->illuminant), wanted);
}

/* Within the window the colour stays within the tolerance, at its ends it
** leaves it.  An overlooked excursion may pass it by a twelfth; the prepared
** path differs by 1e-6 in reflectance, at worst 0.01 of dE00 in the dark. */
static void any_stack(void)
{
  int ends = 0, wrong_end = 0, wrong_inside = 0, failed = 0;

  for (int n = 0; n < 60; n++) {
    double body[LH_WAVES];
    lh_slip_optics o = slip_of(1 + (int)draw(0, 31), pow(10, draw(-4, -1.5)),
                               draw(0.05, 5)),
                   under = slip_of(25, 0.04, 0.5);
    lh_glaze g = {1.5, {0}, n % 3 ? 0 : draw(0, 60), draw(0, 1)};
    lh_stack_layer layers[2] = {{&o, 0}, {&under, draw(0, 300)}};
    lh_stack s = {layers, 2, body, n % 4 ? &g : NULL, (lh_geometry)(n % 3)};
    lh_window_ask a = {
        &s,   0,   (lh_illuminant)(n % 3), false, {0, 0, 0}, 0, 3, 2000,
        body, NULL};
    lh_window w;
    spectrum_of(27 + n % 5, body);
    a.best = pow(10, draw(0.7, 3));
    a.tolerance = draw(0.5, 8);
    if (lh_window_find(&a, &w)) {
      failed++;
      continue;
    }
    for (int i = 0; i <= 100; i++) {
      double to = isfinite(w.most) ? w.most : a.heaviest;
      double x = w.least + (to - w.least) * i / 100;
      if (!(off_at(&a, layers, x, w.wanted) <= a.tolerance * 13 / 12 + 0.01))
        wrong_inside++;
    }
    if (w.least > 0) {
      ends++;
      if (fabs(off_at(&a, layers, w.least, w.wanted) - a.tolerance) > 0.01)
        wrong_end++;
    }
    if (!isfinite(w.most)) continue;
    ends++;
    if (fabs(off_at(&a, layers, w.most, w.wanted) - a.tolerance) > 0.01)
      wrong_end++;
  }
  CHECK(failed == 0, "60 stacks have their windows");
  CHECK(wrong_inside == 0, "inside, the colour is within the tolerance");
  CHECK(ends > 60 && wrong_end == 0, "at %d ends it leaves it", ends);
}

/* While the glaze eats the slip up, its colour goes into the glaze and the
** stack darkens; from then on what is left scatters and it grows paler.  So a
** colour is met on the way there and on the way back. */
static void twice(void)
{
  double body[LH_WAVES];
  lh_slip_optics o = grey(0.002, 0.02);
  lh_glaze g = {1.5, {0}, 100, 1};
  lh_stack_layer layers[1] = {{&o, 0}};
  lh_stack s = {layers, 1, body, &g, LH_D8_EX};
  lh_window_ask a = {&s, 0, LH_D65, false, {0, 0, 0}, 60, 1, 2000, NULL, NULL};
  lh_window w = {0}, v;

  flat(0.5, body);
  CHECK(lh_window_find(&a, &w) == LH_OK, "a colour met twice");
  CHECK(w.least > 0 && w.most < 100, "the window on the way down, %g to %g",
        w.least, w.most);
  CHECK(w.others == 1 && w.other[0].from > 100, "another on the way back");
  for (int i = 0; i <= 20 && w.others == 1; i++) {
    double x = w.other[0].from + (w.other[0].to - w.other[0].from) * i / 20;
    if (off_at(&a, layers, x, w.wanted) > 1.001) w.others = 2;
  }
  CHECK(w.others == 1, "where it is within the tolerance too");
  a.best = (w.other[0].from + w.other[0].to) / 2;
  CHECK(lh_window_find(&a, &v) == LH_OK && v.others == 1 &&
            v.other[0].to < v.least,
        "asked from the other side, the first is the other");
}

/* ---- by colour ---------------------------------------------------------- */

static void by_colour(void)
{
  double black[LH_WAVES];
  lh_slip_optics o = grey(0.0005, 0.05);
  lh_stack_layer layers[1] = {{&o, 0}};
  lh_stack s = {layers, 1, black, NULL, LH_D8_EX};
  lh_window_ask a = {&s, 0, LH_D65, true, {0, 60, 0}, 0, 3, 3000, black, NULL};
  lh_window w;
  double L = L_of(lh_layer_endless(0.0005, 0.05));

  flat(0.04, black);
  CHECK(lh_window_find(&a, &w) == LH_OK && !w.reached && isnan(w.least),
        "a red that a grey slip never is");
  a.target = (lh_lab){L, 0, 0};
  CHECK(lh_window_find(&a, &w) == LH_OK && w.reached, "its endless colour");
  CHECK(isinf(w.most), "no coat is too thick");
  CHECK_NEAR(w.best_de00, 0.1, 1e-3,
             "the best is the thinnest that is as good as any");
  a.target.L = L_of(0.04);
  CHECK(lh_window_find(&a, &w) == LH_OK && w.reached && w.best < 1e-3 &&
            w.least == 0 && w.most > 0,
        "the colour of what lies below: no coat at all");
}

/* ---- ranges ------------------------------------------------------------- */

/* When only the coat weight is doubtful and the colour is given, every end
** scales with it: the 5th and 95th percentile of a log-normal.  Of 200 draws a
** percentile is good to sqrt(0.05 0.95/200)/phi(1.645) = 0.15 standard
** deviations; three of those are allowed. */
static void ranges(void)
{
  double body[LH_WAVES];
  lh_slip_optics o = slip_of(BLUE, 0.002, 1);
  lh_glaze g = {1.5, {0}, 0, 0};
  lh_stack_layer layers[1] = {{&o, 0}};
  lh_stack s = {layers, 1, body, &g, LH_D8_EX};
  lh_window_ask a = {&s, 0, LH_D65, false, {0, 0, 0}, 80, 3, 2000, body, NULL};
  lh_stack_doubt coat = {0, 0, 0.2, 0, 0}, none = {0, 0, 0, 0, 0};
  lh_stack_doubt all = lh_stack_doubt_default(), odd = {0, 0, 1.5, 0, 0};
  lh_window w;
  lh_window_range r;
  const double z = 1.645 * 0.2, slack = 3 * 0.15 * 0.2;

  spectrum_of(GROUND, body);
  CHECK(lh_window_find(&a, &w) == LH_OK && w.least > 0 && isfinite(w.most),
        "a blue on white");
  CHECK(lh_window_spread(&a, &w, &none, &r) == LH_OK, "nothing in doubt");
  CHECK_NEAR(r.least.high - r.least.low, 0, 1e-3 * w.least, "no range");
  CHECK_NEAR(r.most.high - r.most.low, 0, 1e-3 * w.most, "nor above");
  a.by_colour = true;
  a.target = w.lab;
  CHECK(lh_window_find(&a, &w) == LH_OK, "by colour");
  CHECK(lh_window_spread(&a, &w, &coat, &r) == LH_OK, "the coat in doubt");
  CHECK_NEAR(log(r.least.low / w.least), -z, slack, "least, low");
  CHECK_NEAR(log(r.least.high / w.least), z, slack, "least, high");
  CHECK_NEAR(log(r.most.low / w.most), -z, slack, "most, low");
  CHECK_NEAR(log(r.most.high / w.most), z, slack, "most, high");
  CHECK_NEAR(log(r.contrast_98.high / w.contrast_98), z, slack, "contrast");
  CHECK_NEAR(r.reached, 1, 0, "always reached");
  a.by_colour = false;
  CHECK(lh_window_spread(&a, &w, &all, &r) == LH_OK &&
            lh_range_valid(r.least) && r.least.low < r.least.value,
        "all in doubt");
  CHECK(lh_window_spread(&a, &w, &odd, &r) == LH_RANGE, "a doubt above 1");
}

/* ---- what every potter knows (common practice, no source) ---------------- */

static void facts(void)
{
  double ground[LH_WAVES];
  /* A green that hardly scatters, laid to a clear mid-green (L* 57).  Laid to
  ** L* 45 and below the layers alone say that thick is safer: that copper then
  ** blackens is oxide that does not dissolve, which only tiles can tell. */
  lh_slip_optics green = slip_of(COPPER, 0.0002, 27);
  lh_slip_optics violet = slip_of(VIOLET, 0.004, 0.5);
  lh_glaze g = {1.5, {0}, 0, 0.25};
  lh_stack_layer layers[1] = {{&green, 0}};
  lh_stack s = {layers, 1, ground, &g, LH_D8_EX};
  lh_window_ask a = {&s, 0, LH_D65, false, {0, 0, 0}, 90, 6, 2000, NULL, NULL};
  lh_window w = {0}, bare;
  double r[LH_WAVES], thick;

  spectrum_of(GROUND, ground);
  CHECK(lh_window_find(&a, &w) == LH_OK && w.reached, "copper green");
  layers[0].coat = w.least / 2;
  CHECK(!lh_stack_reflectance(&s, r) &&
            lh_spectrum_lab(r, LH_D65).L > w.lab.L + 5,
        "pales when thin");
  layers[0].coat = 30 * w.best;
  CHECK(!lh_stack_reflectance(&s, r) && lh_spectrum_lab(r, LH_D65).L < 20,
        "nears black when thick");
  CHECK(w.thin_safer && w.thin_speed < w.thick_speed,
        "thin is the safer side: %.2f against %.2f for each 10 %%",
        w.thin_speed, w.thick_speed);
  layers[0].slip = &violet;
  g.eaten = 0;
  CHECK(lh_window_find(&a, &bare) == LH_OK, "a weak violet, uneaten");
  g.eaten = 60;
  CHECK(lh_window_find(&a, &w) == LH_OK && !w.thin_safer,
        "eaten by the glaze, thick is its safer side");
  a.by_colour = true;
  a.target = bare.lab;
  thick = a.best;
  CHECK(lh_window_find(&a, &w) == LH_OK && w.reached, "the same colour");
  CHECK(w.best > 1.2 * thick, "it must go on thicker: %.0f, not %.0f g/m2",
        w.best, thick);
}

/* ---- refusals, curve ---------------------------------------------------- */

static void refusals(void)
{
  double body[LH_WAVES];
  lh_slip_optics o = grey(0.01, 0.01), bad = grey(-1, 0.01);
  lh_stack_layer layers[1] = {{&o, 0}};
  lh_stack s = {layers, 1, body, NULL, LH_D8_EX};
  const lh_window_ask good = {&s, 0, LH_D65, false, {0, 0, 0},
                              60, 3, 2000,   NULL,  NULL};
  lh_window_ask a = good;
  lh_window w = {.best = 7};
  lh_window_point p[5];

  flat(0.5, body);
  a.at = 1;
  CHECK(lh_window_find(&a, &w) == LH_RANGE, "a layer that is not there");
  a = good, a.tolerance = 0;
  CHECK(lh_window_find(&a, &w) == LH_RANGE, "no tolerance");
  a = good, a.heaviest = (double)NAN;
  CHECK(lh_window_find(&a, &w) == LH_RANGE, "no heaviest");
  a = good, a.best = 2001;
  CHECK(lh_window_find(&a, &w) == LH_RANGE, "a best beyond the heaviest");
  a = good, a.by_colour = true, a.target.L = (double)NAN;
  CHECK(lh_window_find(&a, &w) == LH_RANGE, "no colour");
  a = good, layers[0].slip = &bad;
  CHECK(lh_window_find(&a, &w) == LH_RANGE, "a negative K");
  layers[0].slip = &o;
  CHECK(w.best == 7, "a refusal leaves the caller's numbers alone");
  CHECK(lh_window_find(&good, &w) == LH_OK, "the good one");
  CHECK(lh_window_curve(&good, &w, p, 1) == LH_RANGE, "a curve of one point");
  CHECK(lh_window_curve(&good, &w, p, 5) == LH_OK && p[0].coat == 0 &&
            p[4].coat > w.best && p[4].coat <= 2000,
        "a curve goes from nothing past the best");
}

int main(void)
{
  closed_form();
  covering();
  contrast_table();
  any_stack();
  twice();
  by_colour();
  ranges();
  facts();
  refusals();
  return CHECK_DONE();
}
