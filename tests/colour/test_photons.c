/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The layer model against light itself: photons (photons.h), exact transport
** (transport.h), and what the two-flux theory is off by.
**
**   test_photons FOLDER     the checks; FOLDER is that of the sources
**   test_photons --table    the tables of docs/colour.md
**
** In the theory's own terms K = 2 mu_a and S = 3/4 mu_s (1 - g): L. F. Gate
** (1974), Appl. Opt. 13, 236-238, for even light (so S. N. Thennadil (2008),
** J. Opt. Soc. Am. A 25, 1480-1485, in its abstract).  S = 3/4 mu_s (1 - g) -
** 1/4 mu_a, W. M. Star and others (1988), Phys. Med. Biol. 33, 437-454 (there
** too), is what the P1 approximation with Marshak's boundary gives; it is
** shown beside.
*/
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multimin.h>
#include <gsl/gsl_sf_expint.h>
#include <stdlib.h>

#include "check.h"
#include "difference.h"
#include "glaze.h"
#include "layers.h"
#include "photons.h"
#include "pigment_reflectance_10nm.h"
#include "stack.h"
#include "transport.h"

/* Chance of a photon count 4.5 standard errors off: 7 in a million. */
static const double sure = 4.5;
static directions air, glass; /* no surface; a glaze of index 1.5 */

/* ---- the simulation itself ---------------------------------------------- */

/* Nothing scatters: Beer's law for even light, 2 E3 (Chandrasekhar 1950). */
static void clear_slab(void)
{
  photon_run r = {.way = WITHIN, .index = 1, .photons = 100000, .seed = 1};
  photon_count c;

  for (size_t i = 0; i < 6; i++) {
    r.absorption[i] = 0.05 * pow(3, (double)i);
    r.ground[i] = 0.7;
  }
  r.shades = 6;
  photons_run(&r, &c);
  for (size_t i = 0; i < r.shades; i++) {
    double t = 2 * gsl_sf_expint_En(3, r.absorption[i]);
    CHECK_NEAR(c.through[i], t, sure * c.through_sd[i],
               "photons, nothing scatters, depth %.2f: 2 E3", r.absorption[i]);
    CHECK_NEAR(c.back[i], 0.7 * t * t, sure * c.back_sd[i], "and back again");
  }
}

/* Endless layers: Chandrasekhar's H, for light from all sides, at 8 degrees,
** and at 45 degrees seen from above, w H(1) H(mu) / (4 (1 + mu)). */
static void endless(void)
{
  static const double k[] = {0.02, 0.1, 0.3, 1};
  photon_run r = {.index = 1, .scattering = 40, .seed = 2, .shades = 4};
  photon_count c;

  for (size_t i = 0; i < 4; i++) r.absorption[i] = k[i] * r.scattering;
  for (int way = WITHIN; way <= IN_AT_45; way++) {
    r.way = (photon_way)way;
    r.photons = way == IN_AT_45 ? 15000 : 60000;
    r.seed++;
    photons_run(&r, &c);
    for (size_t i = 0; i < 4; i++) {
      double w = 1 / (1 + k[i]),
             mu = cos(way == IN_AT_8 ? M_PI / 22.5 : M_PI / 4);
      double want = h_endless(w);
      if (way == IN_AT_8) want = 1 - sqrt(1 - w) * h_function(w, mu);
      if (way == IN_AT_45)
        want = w / 4 * h_function(w, 1) * h_function(w, mu) / (1 + mu);
      CHECK_NEAR(c.back[i], want, sure * c.back_sd[i],
                 "photons, endless layer, albedo %.3f, way %d: H", w, way);
    }
  }
  CHECK_NEAR(h_function(1, 1), 2.907810, 1e-6, "H(1) of albedo 1 (memory)");
}

/* Nothing absorbed: what does not come back goes through; the share that goes
** through as M. A. Heaslet, R. F. Warming (1965), Int. J. Heat Mass Transfer 8,
** 979-994, printed to four places (from memory). */
static void conserved(void)
{
  static const double table[][2] = {
      {0.1, 0.9157}, {0.5, 0.7042}, {1, 0.5534}, {2, 0.3900}, {3, 0.3016}};

  for (size_t i = 0; i < 5; i++) {
    photon_run r = {.way = WITHIN,
                    .index = 1,
                    .scattering = table[i][0],
                    .shades = 2,
                    .ground = {0, 0.6},
                    .photons = 60000,
                    .seed = 10 + i};
    plane p = plane_of(&air, 1, table[i][0]);
    photon_count c;
    photons_run(&r, &c);
    double R = c.back[0], T = c.through[0];
    CHECK_NEAR(R + T, 1, 1e-12, "photons, depth %g: none is lost", table[i][0]);
    CHECK_NEAR(T, table[i][1], sure * c.through_sd[0] + 5e-5,
               "as many get through as the table says");
    /* 3.9 is printed 0.3900 where the digits are 0.39006. */
    CHECK_NEAR(in_all(&air, &p.through), table[i][1], 1e-4, "so by doubling");
    /* Adding: the ground sends light back evenly, so this is exact. */
    CHECK_NEAR(c.back[1], R + T * T * 0.6 / (1 - 0.6 * R),
               sure * (c.back_sd[0] + c.back_sd[1] + c.through_sd[0]),
               "a ground below adds as it should");
  }
}

/* No layer at all: the glaze's surface and its absorption over an even ground
** are then exact in the model (Williams and Clapper). */
static void surface(void)
{
  static const lh_geometry geometry[] = {LH_D8_EX, LH_D8_EX, LH_45_0};

  for (int way = IN_AT_8; way <= IN_AT_45; way++) {
    photon_run r = {.way = (photon_way)way,
                    .index = 1.5,
                    .shades = 6,
                    .photons = 100000,
                    .seed = 20 + (uint64_t)way};
    photon_count c;
    for (size_t i = 0; i < 6; i++) {
      r.ground[i] = i % 2 ? 0.9 : 0.3;
      r.glaze[i] = 0.25 * (double)(i / 2);
    }
    photons_run(&r, &c);
    for (size_t i = 0; i < 6; i++) {
      lh_boundary b;
      CHECK(!lh_glaze_boundary(1.5, r.glaze[i], geometry[way], &b),
            "its surface");
      CHECK_NEAR(c.back[i], lh_boundary_measured(&b, r.ground[i]),
                 sure * c.back_sd[i],
                 "photons under a glaze of depth %.2f over %.1f, way %d",
                 r.glaze[i], r.ground[i], way);
    }
  }
}

/* Henyey and Greenstein: g is the mean cosine; from straight up and slanted. */
static void leaning(void)
{
  double sum[2] = {0, 0};

  pcg_state = 77;
  for (int i = 0; i < 200000; i++) {
    sum[0] += photon_bend(0.8, 1);
    sum[1] += photon_bend(0.8, 0.5);
  }
  /* A cosine's deviation is below 1. */
  CHECK_NEAR(sum[0] / 200000, 0.8, sure / sqrt(200000), "mean cosine, g 0.8");
  CHECK_NEAR(sum[1] / 200000, 0.4, sure / sqrt(200000), "from a slant");
}

/* What leans forwards and has the same mu_s (1 - g) looks the same in depth:
** a thick layer that absorbs nothing lets 4/3/(t + 2 q) through, t its depth
** times 1 - g, q 0.7104 for even scattering and at most 0.715 for any g (H. C.
** van de Hulst (1980), Multiple Light Scattering; from memory). */
static void similar(void)
{
  photon_run r = {.way = WITHIN,
                  .index = 1,
                  .scattering = 30,
                  .lean = 0.8,
                  .shades = 1,
                  .photons = 20000,
                  .seed = 30};
  photon_count c;

  photons_run(&r, &c);
  CHECK_NEAR(c.through[0], 4.0 / 3 / (6 + 2 * 0.7127),
             sure * c.through_sd[0] + 4.0 / 3 / (7.42 * 7.42) * 2 * 0.0023,
             "photons that lean forwards, g 0.8, a thick layer");
}

/* ---- the layer model beside it ------------------------------------------ */

enum { WAYS = 3, DEPTHS = 5, ABSORBING = 6, GROUNDS = 2 };
static const double depth_of[DEPTHS] = {0.5, 1, 2, 8, 32};
static const double k_of[ABSORBING] = {0, 0.003, 0.03, 0.1, 0.3, 1};
static const double ground_of[GROUNDS] = {0, 0.8};
static const double glaze_depth = 0.05;

static lh_boundary model_surface(int way)
{
  lh_boundary b = {0, 1, 0};

  if (way != WITHIN &&
      lh_glaze_boundary(1.5, glaze_depth, way == IN_AT_45 ? LH_45_0 : LH_D8_EX,
                        &b))
    b.tt = (double)NAN;
  return b;
}

static double model(int way, double depth, double k, double ground)
{
  lh_boundary b = model_surface(way);

  return lh_boundary_measured(&b, lh_layer_over(2 * k, 0.75, depth, ground));
}

/* What a layer over a ground gives by transport, seen this way. */
static double seen(int way, const plane *p, double ground)
{
  const directions *d = way == WITHIN ? &air : &glass;
  matrix m = over_ground(d, p, ground);

  if (way == WITHIN) return in_all(d, &m);
  return under_glaze(d, &m, glaze_depth, way == IN_AT_45 ? AT_45 : -1,
                     way == IN_AT_45 ? AT_0 : AT_8);
}

static double exact_of[WAYS][DEPTHS][ABSORBING * GROUNDS];

/* Each depth is the one before doubled once or more. */
static void exact_all(void)
{
  for (int way = WITHIN; way < WAYS; way++)
    for (size_t i = 0; i < ABSORBING * GROUNDS; i++) {
      double k = k_of[i / GROUNDS], depth = depth_of[0];
      plane p =
          plane_of(way == WITHIN ? &air : &glass, 1 / (1 + k), depth * (1 + k));
      for (size_t n = 0; n < DEPTHS; n++) {
        for (; depth < depth_of[n]; depth *= 2) p = twice_as_thick(&p);
        exact_of[way][n][i] = seen(way, &p, ground_of[i % GROUNDS]);
      }
    }
}

/* Simulation, exact transport and model at every place of the grid.  What the
** model is off by in the simulation is what transport says it is off by. */
static void grid(void)
{
  for (int way = WITHIN; way <= IN_AT_45; way++)
    for (size_t n = 0; n < DEPTHS; n++) {
      photon_run r = {.way = (photon_way)way,
                      .index = way == WITHIN ? 1 : 1.5,
                      .scattering = depth_of[n],
                      .seed = 100 + 10 * (uint64_t)way + n,
                      .shades = ABSORBING * GROUNDS};
      photon_count c;
      r.photons = way == IN_AT_45 ? 80000 / (4 + (long)depth_of[n]) : 40000;
      for (size_t i = 0; i < r.shades; i++) {
        r.absorption[i] = k_of[i / GROUNDS] * depth_of[n];
        r.ground[i] = ground_of[i % GROUNDS];
        r.glaze[i] = way == WITHIN ? 0 : glaze_depth;
      }
      photons_run(&r, &c);
      for (size_t i = 0; i < r.shades; i++) {
        double k = k_of[i / GROUNDS], g = ground_of[i % GROUNDS];
        double m = model(way, depth_of[n], k, g);
        CHECK_NEAR(m - c.back[i], m - exact_of[way][n][i],
                   sure * c.back_sd[i] + 1e-6,
                   "way %d, depth %g, absorbing %g, over %g: off by %+.4f", way,
                   depth_of[n], k, g, m - c.back[i]);
      }
    }
}

/* Where the theory's error is known without any simulation: nothing absorbs
** (a layer over black), nothing scatters (over white), no end. */
static void limits(void)
{
  double white = 0, beer = 0, far = 0;

  for (double t = 0.05; t < 40; t *= 1.3) {
    plane p = plane_of(&air, 1, t);
    double e3 = 2 * gsl_sf_expint_En(3, t);
    white =
        fmax(white, fabs(in_all(&air, &p.back) - lh_layer_over(0, 0.75, t, 0)));
    beer = fmax(beer, fabs(e3 * e3 - lh_layer_over(2, 0, t, 1)));
  }
  for (double k = 1e-4; k < 8; k *= 2) {
    plane p = plane_of(&air, 1 / (1 + k), 30 / k);
    double h = h_endless(1 / (1 + k));
    far = fmax(far, fabs(h - lh_layer_endless(2 * k, 0.75)));
    /* A thinnest layer of depth 1e-8 is rounded to a few 1e-16, which is that
    ** over 1e-8 k of what it absorbs. */
    CHECK_NEAR(in_all(&air, &p.back), h, 1e-6 + 3e-8 / k * (1 - h),
               "H and doubling, absorbing %g", k);
  }
  printf("# two fluxes at the limits: %.4f %.4f %.4f\n", white, beer, far);
  /* As docs/colour.md has them. */
  CHECK_NEAR(white, 0.023, 5e-4, "nothing absorbs, over black");
  CHECK_NEAR(beer, 0.063, 5e-4, "nothing scatters, over white");
  CHECK_NEAR(far, 0.009, 5e-4, "without end");
  /* Between them (a judgement): no worse than the first, and the second's
  ** share over a ground. */
  for (size_t n = 0; n < DEPTHS; n++)
    for (size_t i = 0; i < ABSORBING * GROUNDS; i++) {
      double k = k_of[i / GROUNDS], g = ground_of[i % GROUNDS];
      CHECK_NEAR(model(WITHIN, depth_of[n], k, g), exact_of[WITHIN][n][i],
                 white + beer * g,
                 "depth %g, absorbing %g, over %g: between the limits",
                 depth_of[n], k, g);
    }
}

#include "photons_colours.h"
#include "photons_say.h"

int main(int argc, char **argv)
{
  gsl_set_error_handler_off();
  directions_of(1, &air);
  directions_of(1.5, &glass);
  exact_all();
  colours_all();
  if (argc > 1 && strcmp(argv[1], "--table") == 0) {
    char *text = say_all();
    fputs(text, stdout);
    free(text);
    return 0;
  }
  clear_slab();
  endless();
  conserved();
  surface();
  leaning();
  similar();
  limits();
  grid();
  for (size_t i = 0; i < SLIPS; i++) photons_of_tiles(i);
  written(argc > 1 ? argv[1] : ".");
  return CHECK_DONE();
}
