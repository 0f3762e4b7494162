/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photons_colours.h -- colours of slips by exact transport and by the layer
** model.  Read once, by test_photons.c. */

enum { SLIPS = 4, COATS = 5, BETWEEN = 4, TILES = COATS * GROUNDS };
static const struct {
  const char *name;
  int column;
  double strength;
} slips[SLIPS] = {{"cobalt blue", 1, 1},
                  {"copper green", 7, 1},
                  {"iron red", 9, 1},
                  {"weak violet", 4, 0.1}};
static const double coat_of[COATS] = {25, 50, 100, 200, 400};
static const double between_of[BETWEEN] = {35, 70, 140, 280};
static const double mu_s = 0.02; /* [m2/g], of an invented slip */
enum { BODY = 27, WHITE = 25 };

static double k_at(size_t slip, size_t w)
{
  double R = pigment_reflectance_10nm[w][slips[slip].column];

  return slips[slip].strength * 0.375 * lh_layer_ratio(R);
}

static double ground_at(size_t g, size_t w)
{
  return pigment_reflectance_10nm[w][g ? WHITE : BODY];
}

/* Tiles of one wavelength, as transport has them. */
typedef struct {
  double read[TILES], ground[GROUNDS];
  int way;
} tiles_at;

static double misses(const gsl_vector *x, void *p)
{
  const tiles_at *t = p;
  lh_boundary b = model_surface(t->way);
  double sum = 0;

  for (size_t i = 0; i < TILES; i++) {
    double R =
        lh_layer_over(exp(gsl_vector_get(x, 0)), exp(gsl_vector_get(x, 1)),
                      coat_of[i / GROUNDS], t->ground[i % GROUNDS]);
    R = lh_boundary_measured(&b, R) - t->read[i];
    sum += R * R;
  }
  return sum;
}

/* K and S of least squares, from where the theory says they are. */
static void learn(tiles_at *t, double *K, double *S)
{
  gsl_multimin_fminimizer *m =
      gsl_multimin_fminimizer_alloc(gsl_multimin_fminimizer_nmsimplex2, 2);
  gsl_multimin_function f = {misses, 2, t};
  gsl_vector *x = gsl_vector_alloc(2), *step = gsl_vector_alloc(2);

  gsl_vector_set(x, 0, log(*K));
  gsl_vector_set(x, 1, log(*S));
  gsl_vector_set_all(step, 0.2);
  gsl_multimin_fminimizer_set(m, &f, x, step);
  for (int i = 0; i < 300; i++)
    if (gsl_multimin_fminimizer_iterate(m) ||
        gsl_multimin_fminimizer_size(m) < 1e-7)
      break;
  *K = exp(gsl_vector_get(m->x, 0));
  *S = exp(gsl_vector_get(m->x, 1));
  gsl_vector_free(x);
  gsl_vector_free(step);
  gsl_multimin_fminimizer_free(m);
}

/* One slip's stacks: [0] as transport has them, [1] by the model from the
** theory's K and S, [2] from those learnt of the tiles. */
typedef struct {
  double tile[3][TILES][LH_WAVES];
  double other[3][BETWEEN * GROUNDS][LH_WAVES];
} colours;

typedef struct {
  double K, S;
} coat_kept;

/* The chains of coats by doubling. */
static void coats_of(double k, plane tile[COATS], plane other[BETWEEN])
{
  double w = 1 / (1 + k);

  tile[0] = plane_of(&glass, w, mu_s * coat_of[0] * (1 + k));
  other[0] = plane_of(&glass, w, mu_s * between_of[0] * (1 + k));
  for (size_t i = 1; i < COATS; i++) tile[i] = twice_as_thick(&tile[i - 1]);
  for (size_t i = 1; i < BETWEEN; i++) other[i] = twice_as_thick(&other[i - 1]);
}

static coat_kept stacks_at(size_t slip, size_t w, int way, const plane *tile,
                           const plane *other, colours *c)
{
  double K[3], S[3];
  lh_boundary b = model_surface(way);
  tiles_at t = {.way = way};

  for (size_t g = 0; g < GROUNDS; g++) t.ground[g] = ground_at(g, w);
  for (size_t i = 0; i < TILES; i++)
    c->tile[0][i][w] = t.read[i] =
        seen(way, &tile[i / GROUNDS], t.ground[i % GROUNDS]);
  for (size_t i = 0; i < BETWEEN * GROUNDS; i++)
    c->other[0][i][w] = seen(way, &other[i / GROUNDS], t.ground[i % GROUNDS]);
  K[1] = K[2] = 2 * k_at(slip, w) * mu_s;
  S[1] = S[2] = 0.75 * mu_s;
  learn(&t, &K[2], &S[2]);
  for (int n = 1; n < 3; n++) {
    for (size_t i = 0; i < TILES; i++)
      c->tile[n][i][w] = lh_boundary_measured(
          &b, lh_layer_over(K[n], S[n], coat_of[i / GROUNDS],
                            t.ground[i % GROUNDS]));
    for (size_t i = 0; i < BETWEEN * GROUNDS; i++)
      c->other[n][i][w] = lh_boundary_measured(
          &b, lh_layer_over(K[n], S[n], between_of[i / GROUNDS],
                            t.ground[i % GROUNDS]));
  }
  return (coat_kept){K[2], S[2]};
}

typedef struct {
  double mean, most;
} off;

static void count_off(off *o, const double *a, const double *b, double share)
{
  double d =
      lh_delta_e00(lh_spectrum_lab(a, LH_D65), lh_spectrum_lab(b, LH_D65));

  o->mean += share * d;
  o->most = fmax(o->most, d);
}

static colours all[2][SLIPS]; /* d/8, then 45/0 */

/* Coats 50, 100, 200 as transport has them, and K and S learnt, by d/8. */
enum { KEPT = 3 };
static plane kept[SLIPS][LH_WAVES][KEPT];
static coat_kept learnt[SLIPS][LH_WAVES];

static void colours_all(void)
{
  for (size_t i = 0; i < SLIPS; i++)
    for (size_t w = 0; w < LH_WAVES; w++) {
      static plane tile[COATS], other[BETWEEN];
      coats_of(k_at(i, w), tile, other);
      stacks_at(i, w, IN_AT_45, tile, other, &all[1][i]);
      learnt[i][w] = stacks_at(i, w, IN_AT_8, tile, other, &all[0][i]);
      memcpy(kept[i][w], tile + 1, sizeof kept[i][w]);
    }
}

/* What the model is off by: [0] with the theory's numbers, [1] with numbers
** learnt of these tiles, on those, [2] between them. */
static void colours_off(const colours *c, off o[3])
{
  memset(o, 0, 3 * sizeof *o);
  for (size_t i = 0; i < TILES; i++) {
    count_off(&o[0], c->tile[0][i], c->tile[1][i], 1.0 / TILES);
    count_off(&o[1], c->tile[0][i], c->tile[2][i], 1.0 / TILES);
  }
  for (size_t i = 0; i < BETWEEN * GROUNDS; i++)
    count_off(&o[2], c->other[0][i], c->other[2][i], 1.0 / (BETWEEN * GROUNDS));
}

/* One slip at `coat_of[1 + n]` over 100 g/m2 of another over the body, by d/8:
** what the model makes of numbers learnt of each alone. */
static void overlap_off(size_t top, size_t under, size_t n, off *o)
{
  double got[LH_WAVES], want[LH_WAVES];
  lh_boundary b = model_surface(IN_AT_8);

  for (size_t w = 0; w < LH_WAVES; w++) {
    const coat_kept *a = &learnt[top][w], *c = &learnt[under][w];
    double R = ground_at(0, w);
    matrix m = over_ground(&glass, &kept[under][w][1], R);
    m = over(&kept[top][w][n], &m);
    want[w] = under_glaze(&glass, &m, glaze_depth, -1, AT_8);
    R = lh_layer_over(c->K, c->S, 100, R);
    R = lh_layer_over(a->K, a->S, coat_of[1 + n], R);
    got[w] = lh_boundary_measured(&b, R);
  }
  count_off(o, want, got, 1.0 / KEPT);
}

/* Photons for the same tiles.  Their luck is common to all wavelengths of a
** coat, so colours are compared wavelength by wavelength. */
static void photons_of_tiles(size_t slip)
{
  int wrong = 0;

  for (size_t n = 0; n < COATS; n++)
    for (size_t g = 0; g < GROUNDS; g++) {
      photon_run r = {.way = IN_AT_8,
                      .index = 1.5,
                      .scattering = mu_s * coat_of[n],
                      .shades = LH_WAVES,
                      .photons = 20000,
                      .seed = 1000 + 10 * slip + 2 * n + g};
      photon_count count;
      for (size_t w = 0; w < LH_WAVES; w++) {
        r.absorption[w] = k_at(slip, w) * r.scattering;
        r.ground[w] = ground_at(g, w);
        r.glaze[w] = glaze_depth;
      }
      photons_run(&r, &count);
      for (size_t w = 0; w < LH_WAVES; w++)
        if (!(fabs(count.back[w] - all[0][slip].tile[0][n * GROUNDS + g][w]) <=
              sure * count.back_sd[w]))
          wrong++;
    }
  CHECK(wrong == 0, "%s: photons give the tiles' spectra", slips[slip].name);
}
