/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photons.h -- light as single photons, for the tests: a scattering and
** absorbing layer over a ground, under a clear or absorbing glaze with its one
** surface to air.  Shares nothing with the program or with transport.h.
**
** Paths are drawn as if nothing absorbed; what a path counts is worked out at
** its end, exp(-absorption times its length in the layer) times the ground's
** reflectance for each time it touched it, for many absorptions at once.  So
** one set of paths gives a whole spectrum, and every colour sees the same
** luck.  Light is unpolarised and a ground reflects evenly (Lambert).
**
** Ref:    for the method, L. Wang, S. L. Jacques, L. Zheng (1995), Comput.
**         Methods Programs Biomed. 47, 131-146; for the generator, PCG32,
**         M. E. O'Neill (2014), HMC-CS-2014-0905; both from memory.
*/
#ifndef LH_TESTS_PHOTONS_H
#define LH_TESTS_PHOTONS_H

#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

enum { SHADES = 40 }; /* most absorptions at once */

/* How the light comes and what is counted. */
typedef enum {
  WITHIN,  /* even light from all sides already inside, no surface at all;
              counted: all that comes back up, and all that gets through  */
  IN_AT_8, /* from air at 8 degrees; counted: all that leaves, which is the
              reflectance factor of even light seen at 8 degrees          */
  IN_AT_45 /* from air at 45 degrees, seen from straight above            */
} photon_way;

typedef struct {
  photon_way way;
  double index;      /* of glaze, layer and ground alike */
  double scattering; /* depth of the layer, mu_s X       */
  double lean;       /* g of Henyey and Greenstein       */
  size_t shades;
  double absorption[SHADES]; /* mu_a X       */
  double ground[SHADES];     /* reflectance  */
  double glaze[SHADES];      /* its depth    */
  long photons;
  uint64_t seed;
} photon_run;

typedef struct {
  double back[SHADES], back_sd[SHADES]; /* mean and its standard error */
  double through[SHADES], through_sd[SHADES];
} photon_count;

static uint64_t pcg_state;

static double photon_draw(void) /* in (0, 1) */
{
  uint64_t old = pcg_state;
  uint32_t x = (uint32_t)(((old >> 18) ^ old) >> 27), r = (uint32_t)(old >> 59);

  pcg_state =
      old * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  x = (x >> r) | (x << ((32 - r) & 31));
  return ((double)x + 0.5) * 0x1p-32;
}

/* Does the surface turn a photon back that meets it from inside? */
static double photon_turned(double n, double mu)
{
  double a = acos(mu), s = n * sin(a), b;

  if (n <= 1) return 0;
  if (s >= 1) return 1;
  if (a < 1e-6) return (n - 1) * (n - 1) / ((n + 1) * (n + 1));
  b = asin(s);
  return (pow(sin(a - b) / sin(a + b), 2) + pow(tan(a - b) / tan(a + b), 2)) /
         2;
}

/* A new cosine after a scattering. */
static double photon_bend(double g, double mu)
{
  double c, s;

  if (g == 0) return 2 * photon_draw() - 1;
  s = (1 - g * g) / (1 - g + 2 * g * photon_draw());
  c = (1 + g * g - s * s) / (2 * g);
  s = sqrt(fmax(0, 1 - c * c)) * cos(2 * M_PI * photon_draw());
  mu = mu * c + sqrt(fmax(0, 1 - mu * mu)) * s;
  return fmax(-1, fmin(1, mu));
}

/* What the path has met so far. */
typedef struct {
  double length;   /* in the layer, as a share of mu_s X           */
  double crossing; /* of the glaze, in its thicknesses             */
  int touches;     /* of the ground                                */
  double back[SHADES], through[SHADES]; /* this photon's counts    */
} photon_path;

static double photon_weight(const photon_run *r, const photon_path *p, size_t i,
                            double more, double crossing)
{
  double w = -r->absorption[i] * (p->length + more) -
             r->glaze[i] * (p->crossing + crossing);

  w = w < -60 ? 0 : exp(w);
  for (int k = 0; k < p->touches && w > 0; k++) w *= r->ground[i];
  return w;
}

/* Seen from straight above: the share of a scattering (or of a reflection by
** the ground) at depth z that goes there, gets through what lies above, and
** widens from n to air. */
static void photon_seen(const photon_run *r, photon_path *p, double z,
                        double share)
{
  double n = r->index;
  double out =
      share * exp(-z * r->scattering) * (1 - photon_turned(n, 1)) / (n * n);

  for (size_t i = 0; i < r->shades; i++)
    p->back[i] += out * photon_weight(r, p, i, z, 1);
}

/* The surface: true if the photon leaves. */
static int photon_leaves(const photon_run *r, photon_path *p, double *mu)
{
  if (r->way == WITHIN) return 1;
  p->crossing += 1 / -*mu;
  if (photon_draw() >= photon_turned(r->index, -*mu)) return 1;
  *mu = -*mu;
  p->crossing += 1 / *mu;
  return 0;
}

static void photon_touch(const photon_run *r, photon_path *p)
{
  if (p->touches == 0 && r->way == WITHIN)
    for (size_t i = 0; i < r->shades; i++)
      p->through[i] = photon_weight(r, p, i, 0, 0);
  p->touches++;
  if (r->way == IN_AT_45) photon_seen(r, p, 1, 1);
}

/* Chance per unit of even spread that a photon of cosine mu bends upwards. */
static double photon_up(double g, double mu)
{
  double c = -mu;

  return (1 - g * g) / pow(1 + g * g - 2 * g * c, 1.5);
}

/* One photon; z goes from 0 on top to 1 at the ground, mu is its cosine
** downwards. */
static void photon_walk(const photon_run *r, photon_path *p)
{
  double z = 0, mu = sqrt(photon_draw()), deep = r->scattering;

  memset(p, 0, sizeof *p);
  if (r->way != WITHIN) {
    double a = (r->way == IN_AT_8 ? 8 : 45) * M_PI / 180;
    mu = cos(asin(sin(a) / r->index));
    if (photon_draw() < photon_turned(r->index, mu)) return; /* shine */
    p->crossing = 1 / mu;
  }
  for (;;) {
    double far = deep > 0 ? -log(photon_draw()) / deep : INFINITY;
    double edge = mu > 0 ? (1 - z) / mu : mu < 0 ? z / -mu : INFINITY;
    if (far < edge) {
      p->length += far;
      z += mu * far;
      if (r->way == IN_AT_45) photon_seen(r, p, z, photon_up(r->lean, mu) / 4);
      mu = photon_bend(r->lean, mu);
      continue;
    }
    p->length += edge;
    if (mu > 0) {
      z = 1;
      photon_touch(r, p);
      mu = -sqrt(photon_draw());
    } else {
      z = 0;
      if (photon_leaves(r, p, &mu)) break;
    }
  }
  if (r->way == IN_AT_45) return;
  for (size_t i = 0; i < r->shades; i++)
    p->back[i] = photon_weight(r, p, i, 0, 0);
}

static void photons_run(const photon_run *r, photon_count *c)
{
  double b2[SHADES] = {0}, t2[SHADES] = {0}, n = (double)r->photons;

  memset(c, 0, sizeof *c);
  pcg_state = r->seed * UINT64_C(0x9E3779B97F4A7C15) + 1;
  for (long k = 0; k < r->photons; k++) {
    photon_path p;
    photon_walk(r, &p);
    for (size_t i = 0; i < r->shades; i++) {
      c->back[i] += p.back[i];
      b2[i] += p.back[i] * p.back[i];
      c->through[i] += p.through[i];
      t2[i] += p.through[i] * p.through[i];
    }
  }
  for (size_t i = 0; i < r->shades; i++) {
    c->back[i] /= n;
    c->through[i] /= n;
    c->back_sd[i] = sqrt(fmax(0, b2[i] / n - c->back[i] * c->back[i]) / n);
    c->through_sd[i] =
        sqrt(fmax(0, t2[i] / n - c->through[i] * c->through[i]) / n);
  }
}

#endif
