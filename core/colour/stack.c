/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stack.h"

#include <assert.h>
#include <math.h>
#include <string.h>

static bool outside(double v, double low, double high)
{
  return !(v >= low && v <= high); /* NaN too */
}

/* Largest coat weight and optical depth taken: a metre of slip, and a glaze
** that no light crosses; both far beyond a pot. */
static const double most_coat = 1e7, most_depth = 1e6;

static lh_status check_base(const double *substrate, const lh_glaze *glaze,
                            lh_geometry g)
{
  if ((unsigned)g >= LH_GEOMETRIES) return LH_RANGE;
  for (size_t i = 0; i < LH_WAVES; i++)
    if (outside(substrate[i], 0.0, 1.0)) return LH_RANGE;
  if (!glaze) return LH_OK;
  if (outside(glaze->index, 1.0, 4.0) || outside(glaze->share, 0.0, 1.0) ||
      outside(glaze->eaten, 0.0, most_coat))
    return LH_RANGE;
  for (size_t i = 0; i < LH_WAVES; i++)
    if (outside(glaze->optical_depth[i], 0.0, most_depth)) return LH_RANGE;
  return LH_OK;
}

static lh_status check_stack(const lh_stack *s)
{
  if (s->count > LH_STACK_LAYERS) return LH_TOOLARGE;
  for (size_t j = 0; j < s->count; j++)
    if (outside(s->layers[j].coat, 0.0, most_coat)) return LH_RANGE;
  return check_base(s->substrate, s->glaze, s->geometry);
}

/* How much of each layer the glaze eats, top first; gives what is left of
** its appetite. */
static void eat(double appetite, const double *coat, size_t n, double *eaten)
{
  for (size_t j = 0; j < n; j++) {
    eaten[j] = fmin(appetite, coat[j]);
    appetite -= eaten[j];
  }
}

lh_status lh_stack_reflectance(const lh_stack *s, double out[LH_WAVES])
{
  double coat[LH_STACK_LAYERS], eaten[LH_STACK_LAYERS], R[LH_WAVES];
  lh_slip_ready ready;
  lh_status st = check_stack(s);

  if (st) return st;
  for (size_t j = 0; j < s->count; j++) coat[j] = s->layers[j].coat;
  eat(s->glaze ? s->glaze->eaten : 0.0, coat, s->count, eaten);
  memcpy(R, s->substrate, sizeof R);
  for (size_t j = s->count; j-- > 0;) { /* from the bottom up */
    st = lh_slip_prepare(s->layers[j].slip, &ready);
    if (st) return st;
    lh_slip_over(&ready, coat[j] - eaten[j], R, R);
  }
  for (size_t i = 0; s->glaze && i < LH_WAVES; i++) {
    double tau = s->glaze->optical_depth[i];
    lh_boundary b;
    for (size_t j = 0; j < s->count; j++)
      tau += s->glaze->share * s->layers[j].slip->absorption[i] * eaten[j] / 2;
    st = lh_glaze_boundary(s->glaze->index, tau, s->geometry, &b);
    if (st) return st;
    R[i] = lh_boundary_measured(&b, R[i]);
  }
  memcpy(out, R, sizeof R);
  return LH_OK;
}

lh_status lh_stack_prepare(const lh_slip_ready *slips, size_t n,
                           const double substrate[LH_WAVES],
                           const lh_glaze *glaze, lh_geometry g,
                           lh_illuminant ill, lh_stack_ready *ready)
{
  lh_status st = check_base(substrate, glaze, g);

  if (st) return st;
  if ((unsigned)ill >= LH_ILLUMINANTS) return LH_RANGE;
  ready->slips = slips;
  ready->slip_count = n;
  memcpy(ready->substrate, substrate, sizeof ready->substrate);
  ready->glazed = glaze != NULL;
  ready->eaten = glaze ? glaze->eaten : 0.0;
  ready->share = glaze ? glaze->share : 0.0;
  ready->illuminant = ill;
  lh_spectrum_rows(ill, ready->rows);
  if (!glaze) return LH_OK;
  memcpy(ready->depth, glaze->optical_depth, sizeof ready->depth);
  for (size_t i = 0; i < LH_WAVES; i++) {
    st = lh_glaze_boundary(glaze->index, glaze->optical_depth[i], g,
                           &ready->plain[i]);
    if (st) return st;
  }
  return lh_glaze_tabulate(glaze->index, g, &ready->table);
}

/* The surface over a prepared stack: as it is where nothing was eaten, from
** the table where the glaze took some slip in. */
static void glaze_over(const lh_stack_ready *ready, const unsigned char *slip,
                       const double *eaten, size_t layers, double R[LH_WAVES])
{
  double tau[LH_WAVES];
  bool any = false;

  memcpy(tau, ready->depth, sizeof tau);
  for (size_t j = 0; j < layers && ready->share > 0.0; j++) {
    const double *K = ready->slips[slip[j]].absorption;
    if (!(eaten[j] > 0.0)) continue;
    any = true;
    for (size_t i = 0; i < LH_WAVES; i++)
      tau[i] += ready->share * K[i] * eaten[j] / 2;
  }
  for (size_t i = 0; i < LH_WAVES; i++) {
    lh_boundary b = any ? lh_glaze_at(&ready->table, tau[i]) : ready->plain[i];
    R[i] = lh_boundary_measured(&b, R[i]);
  }
}

lh_xyz lh_stack_pixel(const lh_stack_ready *ready, const unsigned char *slip,
                      const double *coat, size_t layers, double *out)
{
  double R[LH_WAVES], eaten[LH_STACK_LAYERS], v[3] = {0.0, 0.0, 0.0};

  assert(layers <= LH_STACK_LAYERS);
  memcpy(R, ready->substrate, sizeof R);
  eat(ready->eaten, coat, layers, eaten);
  for (size_t j = layers; j-- > 0;) {
    double left = coat[j] - eaten[j];
    assert(slip[j] < ready->slip_count);
    if (left > 0.0) lh_slip_over(&ready->slips[slip[j]], left, R, R);
  }
  if (ready->glazed) glaze_over(ready, slip, eaten, layers, R);
  for (size_t j = 0; j < 3; j++)
    for (size_t i = 0; i < LH_WAVES; i++) v[j] += ready->rows[j][i] * R[i];
  if (out) memcpy(out, R, sizeof R);
  return (lh_xyz){v[0], v[1], v[2]};
}
