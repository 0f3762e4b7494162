/* SPDX-License-Identifier: GPL-3.0-or-later */
/* lathe.c -- the pot as rings of nodes around its axis, at fired size. */
#include <math.h>

#include "picture_room.h"

/* Where no inside was measured the wall is drawn without thickness, so that
** one looks into the pot all the same. */

static lh_ring ring_at(const lh_curve *c, const lh_shrink *sh, size_t k,
                       double side)
{
  double kr = 1 - sh->diameter, kz = 1 - sh->height, nr, nz, h;
  lh_curve_spot spot = {0};

  (void)lh_curve_at(c, c->s[k], &spot);
  nr = side * spot.across.r / kr;
  nz = side * spot.across.z / kz;
  h = sqrt(nr * nr + nz * nz);
  return (lh_ring){.r = (float)(c->r[k] * kr),
                   .z = (float)(c->z[k] * kz),
                   .nr = (float)(nr / h),
                   .nz = (float)(nz / h),
                   .s = (float)c->s[k]};
}

/* Caliper points are few and the curve between them bends in steps; a thrown
** wall does not, and its shine would show it.  Normals are evened out along
** the profile, but not across a corner.  (judgement: over 4.5 % of the profile,
** corners from 40 degrees) */
#define EVEN 0.045f
#define CORNER 0.766f

static void even_normals(lh_ring *ring, size_t n)
{
  float nr[LH_LATHE_NODES], nz[LH_LATHE_NODES];
  float width = EVEN * (ring[n - 1].s - ring[0].s);

  for (size_t i = 0; i < n; i++) {
    const lh_ring *x = &ring[i];
    nr[i] = nz[i] = 0;
    for (size_t k = 0; k < n; k++) {
      const lh_ring *y = &ring[k];
      float t = (y->s - x->s) / width;
      float alike = (x->nr * y->nr + x->nz * y->nz - CORNER) / (1 - CORNER);
      /* Rings lie denser here than there: each counts for its length. */
      float w = ring[k + 1 < n ? k + 1 : k].s - ring[k > 0 ? k - 1 : 0].s;
      if (t * t > 9 || alike <= 0) continue;
      w *= alike * expf(-t * t / 2);
      nr[i] += w * y->nr;
      nz[i] += w * y->nz;
    }
  }
  for (size_t i = 0; i < n; i++) {
    float h = sqrtf(nr[i] * nr[i] + nz[i] * nz[i]);
    ring[i].nr = nr[i] / h;
    ring[i].nz = nz[i] / h;
  }
}

static lh_lathe *next_lathe(lh_turned *t, lh_arena *a, size_t n)
{
  lh_lathe *l = &t->lathe[t->n];

  l->n = n;
  l->ring = lh_arena_take(a, n, sizeof *l->ring);
  l->key = lh_arena_take(a, n * LH_KEY_TURNS, sizeof *l->key);
  if (!l->ring || !l->key) return NULL;
  t->n++;
  return l;
}

/* A face; every caliper point stays a ring, so that corners stay. */
static lh_status add_face(lh_turned *t, const lh_curve *c, const lh_shrink *sh,
                          lh_face face, bool inward, lh_arena *a)
{
  size_t step = 1;
  lh_lathe *l;

  while ((c->n - 1) / step + 1 > LH_LATHE_NODES) step *= 2;
  l = next_lathe(t, a, (c->n - 1) / step + 1);
  if (!l) return LH_NOMEM;
  l->face = inward && face == LH_OUTSIDE ? LH_NO_FACE : (int)face;
  l->inward = l->cavity = inward;
  for (size_t i = 0; i < l->n; i++)
    l->ring[i] = ring_at(c, sh, i * step, inward ? -1 : 1);
  even_normals(l->ring, l->n);
  return LH_OK;
}

/* The floor inside, where the curve does not reach the axis. */
static lh_status add_floor(lh_turned *t, lh_ring edge, lh_arena *a)
{
  lh_lathe *l;

  if (edge.r < 0.01f) return LH_OK;
  l = next_lathe(t, a, 9);
  if (!l) return LH_NOMEM;
  l->face = LH_NO_FACE;
  l->inward = l->cavity = true;
  for (size_t i = 0; i < l->n; i++)
    l->ring[i] =
        (lh_ring){.r = edge.r * (float)i / 8, .z = edge.z, .nr = 0, .nz = 1};
  return LH_OK;
}

/* From lip to lip, rounded as a sponge leaves it: the normal turns evenly
** from one face to the other, and the middle stands up by a fifth of the
** width.  (judgement) */
static lh_status add_rim(lh_turned *t, lh_ring from, lh_ring to, lh_arena *a)
{
  double dr = (double)(to.r - from.r), dz = (double)(to.z - from.z);
  double h = sqrt(dr * dr + dz * dz);
  double first = atan2((double)from.nz, (double)from.nr);
  double last = atan2((double)to.nz, (double)to.nr);
  lh_lathe *l;

  if (h < 0.05) return LH_OK;
  if (last < first) last += LH_TAU;
  l = next_lathe(t, a, 17);
  if (!l) return LH_NOMEM;
  l->face = LH_NO_FACE;
  for (size_t i = 0; i < l->n; i++) {
    double w = (double)i / (double)(l->n - 1), up = 0.8 * w * (1 - w);
    double angle = first + w * (last - first);
    l->ring[i] = (lh_ring){.r = (float)((double)from.r + w * dr + up * dz),
                           .z = (float)((double)from.z + w * dz - up * dr),
                           .nr = (float)cos(angle),
                           .nz = (float)sin(angle)};
  }
  return LH_OK;
}

static void levels_of(const lh_lathe *l, lh_levels *v)
{
  v->n = l->n < LH_LEVELS ? l->n : LH_LEVELS;
  for (size_t i = 0; i < v->n; i++) {
    size_t k = i * (l->n - 1) / (v->n - 1);
    v->r[i] = (double)l->ring[k].r;
    v->z[i] = (double)l->ring[k].z;
  }
}

static void measure(lh_turned *t)
{
  t->low = INFINITY;
  t->high = -INFINITY;
  for (size_t k = 0; k < t->n; k++) {
    for (size_t i = 0; i < t->lathe[k].n; i++) {
      const lh_ring *x = &t->lathe[k].ring[i];
      t->radius = fmax(t->radius, (double)x->r);
      t->low = fmin(t->low, (double)x->z);
      t->high = fmax(t->high, (double)x->z);
    }
  }
}

lh_status lh_turned_make(const lh_piece *p, lh_arena *a, lh_turned *t)
{
  const lh_shrink *sh = &p->shrinkage.to_fired;
  const lh_curve *in = p->inside ? p->inside : p->outside;
  const lh_lathe *l = t->lathe;
  lh_ring lip;
  lh_status st;

  *t = (lh_turned){0};
  st = add_face(t, p->outside, sh, LH_OUTSIDE, false, a);
  if (st == LH_OK)
    st = add_face(t, in, sh, p->inside ? LH_INSIDE : LH_OUTSIDE, true, a);
  if (st != LH_OK) return st;
  lip = l[1].ring[l[1].n - 1];
  t->mouth_r = (double)lip.r;
  t->mouth_z = (double)lip.z;
  levels_of(&l[0], &t->outside);
  levels_of(&l[1], &t->inside);
  st = add_floor(t, l[1].ring[0], a);
  if (st == LH_OK) st = add_rim(t, l[0].ring[l[0].n - 1], lip, a);
  measure(t);
  return st;
}
