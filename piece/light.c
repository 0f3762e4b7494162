/* SPDX-License-Identifier: GPL-3.0-or-later */
/* light.c -- one large soft light from the upper left, a pale room above, a
** grey table below.
**
** Because the pot is turned, what hides what is a question of circles: a ray
** that climbs past the height of a ring is hidden when it is then inside the
** ring (or, from within, outside it).  The answer is softened over an angle,
** so that shadows have no steps.  All strengths are judgements: they make a
** calm picture, and colours are judged on the band, not here.
*/
#include <math.h>

#include "picture_room.h"

#define KEY 0.62        /* the softbox, on a sheet that faces it      */
#define CARD 0.30       /* a pale card on the viewer's side, likewise */
#define SKY 0.42        /* the room, on a level sheet                 */
#define BOX_ACROSS 0.30 /* half the softbox's width over its distance */
#define BOX_UP 0.40     /* half its height                            */
#define BOX_EDGE 0.10   /* how softly it ends in a mirror             */
#define SOFT 0.12       /* softness of what hides what [rad]          */
#define WIDE 0.6        /* the same for the card, which is wide         */
#define SHADOW 0.50     /* the same of the shadow on the table        */
#define HIGHER 0.30     /* the shadow falls as if the light stood     */
                        /* higher: it stays in the picture            */
#define HORIZON 0.15    /* over this height room and table melt */
#define TABLE_REACH 4.0 /* table looked at, in radii of the pot       */

enum { AROUND = 12, UP = 8 }; /* rays for the room's light */

static double dot(const double a[3], const double b[3])
{
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

static double smooth(double x)
{
  x = x > 0 ? (x < 1 ? x : 1) : 0;
  return x * x * (3 - 2 * x);
}

/* How much of a ray gets out: past rings above it when it climbs, below it
** when it falls; within: from inside them. */
static double open_way(const lh_levels *v, const double at[3],
                       const double to[3], bool within, double soft)
{
  double worst = 1, near = 0.004 * (v->z[v->n - 1] - v->z[0]);

  for (size_t i = 0; i < v->n; i++) {
    double up = v->z[i] - at[2], way, x, y, gap;
    if (!(to[2] > 0 ? up > near : up < -near)) continue;
    way = up / to[2];
    x = at[0] + way * to[0];
    y = at[1] + way * to[1];
    gap = sqrt(x * x + y * y) - v->r[i];
    if (within) gap = -gap;
    gap = 0.5 + 0.5 * gap / (soft * way);
    if (gap < worst) worst = gap;
    if (worst <= 0) return 0;
  }
  return smooth(worst);
}

/* The room over the height of a direction: brighter above; 1 on average on a
** level sheet. */
static double room(double z)
{
  return 0.6 + 0.6 * z;
}

/* ---- the table ---------------------------------------------------------- */

/* A direction, evenly over the sphere's upper half: i of AROUND on one side
** of the x axis, k of UP. */
static void ray_of(int i, int k, double to[3])
{
  double angle = LH_TAU / 2 * (i + 0.5) / AROUND, z = (k + 0.5) / UP;
  double h = sqrt(1 - z * z);

  to[0] = h * cos(angle);
  to[1] = h * sin(angle);
  to[2] = z;
}

static void light_table(lh_light *l)
{
  const lh_turned *t = l->pot;

  l->table_step = TABLE_REACH * t->radius / LH_TABLE_STEPS;
  for (int n = 0; n <= LH_TABLE_STEPS; n++) {
    double at[3] = {n * l->table_step, 0, t->low}, sum = 0, all = 0;
    for (int i = 0; i < AROUND; i++) {
      for (int k = 0; k < UP; k++) {
        double to[3], w;
        ray_of(i, k, to);
        w = to[2] * room(to[2]);
        all += w;
        sum += w * open_way(&t->outside, at, to, false, SOFT);
      }
    }
    l->table[n] = (float)(sum / all);
  }
}

static double table_sky(const lh_light *l, double distance)
{
  double x = distance / l->table_step;
  int i = (int)fmin(x, LH_TABLE_STEPS - 1);

  if (x >= LH_TABLE_STEPS) return (double)l->table[LH_TABLE_STEPS];
  return (double)l->table[i] +
         (x - i) * (double)(l->table[i + 1] - l->table[i]);
}

double lh_light_table(const lh_light *l, double x, double y)
{
  const lh_turned *t = l->pot;
  double at[3] = {x, y, t->low}, key = KEY * l->to[2];
  double open = open_way(&t->outside, at, l->shadow, false, l->shadow_soft);

  return (key * open + SKY * table_sky(l, sqrt(x * x + y * y))) / (key + SKY);
}

/* Light off the table that a falling ray meets. */
static double table_seen(const lh_light *l, const double at[3],
                         const double to[3])
{
  double way = (l->pot->low - at[2]) / to[2];
  double x = at[0] + way * to[0], y = at[1] + way * to[1];

  return l->grey * table_sky(l, sqrt(x * x + y * y));
}

/* ---- the pot ------------------------------------------------------------ */

static const lh_levels *levels_of(const lh_turned *t, const lh_lathe *p)
{
  return p->cavity ? &t->inside : &t->outside;
}

/* The soft light on a ring at LH_KEY_TURNS/4 places around. */
static void key_ring(const lh_light *l, const lh_lathe *p, const lh_ring *x,
                     float *coarse)
{
  enum { PARTS = LH_SOFTBOX * LH_SOFTBOX };
  bool rim = p->face == LH_NO_FACE && !p->cavity;

  for (int j = 0; j < LH_KEY_TURNS / 4; j++) {
    double angle = LH_TAU * j / (LH_KEY_TURNS / 4) - LH_TAU / 4;
    double c = cos(angle), s = sin(angle), sum = 0;
    double at[3] = {(double)x->r * c, (double)x->r * s, (double)x->z};
    double n[3] = {(double)x->nr * c, (double)x->nr * s, (double)x->nz};
    for (int k = 0; k < PARTS; k++) {
      double w = dot(n, l->box[k]);
      if (w <= 0) continue;
      if (!rim)
        w *= open_way(levels_of(l->pot, p), at, l->box[k], p->cavity, SOFT);
      sum += w;
    }
    sum *= KEY / PARTS;
    if (dot(n, l->card) > 0) {
      double w = CARD * dot(n, l->card);
      if (!rim)
        w *= open_way(levels_of(l->pot, p), at, l->card, p->cavity, WIDE);
      sum += w;
    }
    coarse[j] = (float)sum;
  }
}

/* Between the places around, a cubic through them (Catmull and Rom). */
static void spread_ring(const float *coarse, float *fine)
{
  enum { N = LH_KEY_TURNS / 4 };

  for (int j = 0; j < LH_KEY_TURNS; j++) {
    int i = j / 4;
    float t = (float)(j % 4) / 4, a = coarse[(i + N - 1) % N], b = coarse[i];
    float c = coarse[(i + 1) % N], d = coarse[(i + 2) % N];
    float y =
        b + 0.5f * t *
                (c - a +
                 t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)));
    fine[j] = y > 0 ? y : 0;
  }
}

/* Room, table and the pot itself on a ring outside.  own: what its wall
** throws back. */
static void sky_outside(const lh_light *l, const lh_lathe *p, lh_ring *x,
                        const float own[3])
{
  double at[3] = {(double)x->r, 0, (double)x->z};
  bool rim = p->face == LH_NO_FACE;
  double free = 0, hidden = 0;

  for (int i = 0; i < AROUND; i++) {
    for (int k = 0; k < 2 * UP; k++) {
      double to[3], w, open = 1;
      ray_of(i, k / 2, to);
      if (k % 2) to[2] = -to[2];
      w = ((double)x->nr * to[0] + (double)x->nz * to[2]) * 2 / (AROUND * UP);
      if (w <= 0) continue;
      if (!rim) open = open_way(&l->pot->outside, at, to, false, SOFT);
      free +=
          w * open * (to[2] > 0 ? SKY * room(to[2]) : table_seen(l, at, to));
      hidden += w * (1 - open);
    }
  }
  for (int c = 0; c < 3; c++)
    x->sky[c] = (float)(free + 0.5 * hidden * (double)own[c]);
}

static void light_outside(lh_light *l, const lh_lathe *p, const float colour[3])
{
  for (size_t i = 0; i < p->n; i++) sky_outside(l, p, &p->ring[i], colour);
  if (p->face != LH_OUTSIDE) return;
  for (int c = 0; c < 3; c++) l->own[c] = 0.5f * colour[c];
}

/* The share of the room that a ring inside sees, and its light. */
static double sky_inside(const lh_light *l, lh_ring *x)
{
  double at[3] = {(double)x->r, 0, (double)x->z}, sum = 0, free = 0;

  for (int i = 0; i < AROUND; i++) {
    for (int k = 0; k < UP; k++) {
      double to[3], w;
      ray_of(i, k, to);
      w = ((double)x->nr * to[0] + (double)x->nz * to[2]) * 2 / (AROUND * UP);
      if (w <= 0) continue;
      w *= open_way(&l->pot->inside, at, to, true, SOFT);
      free += w;
      sum += w * SKY * room(to[2]);
    }
  }
  x->sky[0] = x->sky[1] = x->sky[2] = (float)sum;
  return fmin(1, free);
}

/* The inside throws light back to itself: as if it were one grey hollow,
** E = E0 + (1 - free) c E_mean. */
static void light_inside(lh_light *l, const lh_lathe *p, const float colour[3])
{
  double area = 0, free = 0, light = 0, open[LH_LATHE_NODES];

  for (size_t i = 0; i < p->n; i++) {
    lh_ring *x = &p->ring[i];
    double w = (double)x->r, key = 0;
    open[i] = sky_inside(l, x);
    for (int j = 0; j < LH_KEY_TURNS; j++)
      key += (double)p->key[i * LH_KEY_TURNS + (size_t)j] / LH_KEY_TURNS;
    area += w;
    free += w * open[i];
    light += w * (key + (double)x->sky[0]);
  }
  if (area <= 0) return;
  for (int c = 0; c < 3; c++) {
    double back = (double)colour[c];
    l->cavity[c] =
        (float)(back * light / area / (1 - back * (1 - free / area)));
    for (size_t i = 0; i < p->n; i++)
      p->ring[i].sky[c] += (float)(1 - open[i]) * l->cavity[c];
  }
}

/* ---- in a mirror -------------------------------------------------------- */

/* The table with its shadow. */
static double table_mirrored(const lh_light *l, const double at[3],
                             const double to[3])
{
  double way = (l->pot->low - at[2]) / fmin(to[2], -1e-3);

  return l->grey * lh_light_table(l, at[0] + way * to[0], at[1] + way * to[1]);
}

static double softbox(const lh_light *l, const double to[3])
{
  double along = dot(to, l->to), x, y;

  if (along <= 0.1) return 0;
  x = BOX_ACROSS - fabs(dot(to, l->across) / along);
  y = BOX_UP - fabs(dot(to, l->up) / along);
  return KEY * (LH_TAU / 2) / (4 * BOX_ACROSS * BOX_UP) *
         smooth(0.5 + x / (2 * BOX_EDGE)) * smooth(0.5 + y / (2 * BOX_EDGE));
}

/* Out of the mouth, past the lip alone. */
static double open_mouth(const lh_light *l, const double at[3],
                         const double to[3])
{
  double way = (l->pot->mouth_z - at[2]) / fmax(to[2], 1e-3);
  double x = at[0] + way * to[0], y = at[1] + way * to[1];

  if (to[2] <= 0) return 0;
  return smooth(to[2] / HORIZON) *
         smooth(0.5 + 0.5 * (l->pot->mouth_r - sqrt(x * x + y * y)) /
                          (SOFT * fmax(way, 0.1)));
}

void lh_light_mirror(const lh_light *l, const lh_lathe *part,
                     const double at[3], const double to[3], float rgb[3])
{
  const float *own = part->cavity ? l->cavity : l->own;
  double open, seen;

  if (part->cavity)
    open = open_mouth(l, at, to);
  else
    open = open_way(&l->pot->outside, at, to, false, SOFT);
  seen = SKY * room(fmax(to[2], 0)) + softbox(l, to);
  if (!part->cavity && to[2] < HORIZON) {
    double above = smooth(0.5 + 0.5 * to[2] / HORIZON);
    seen = above * seen + (1 - above) * table_mirrored(l, at, to);
  }
  for (int c = 0; c < 3; c++)
    rgb[c] = (float)(open * seen + (1 - open) * (double)own[c]);
}

/* ---- all of it ---------------------------------------------------------- */

static void unit(double to[3])
{
  double size = sqrt(dot(to, to));

  for (int c = 0; c < 3; c++) to[c] /= size;
}

/* The shadow falls as if the light stood higher and, of a tall pot, were
** smaller: so that it stays in the picture.  (judgement) */
static void aim_shadow(lh_light *l)
{
  const lh_turned *t = l->pot;
  double slim = SHADOW * t->radius / (t->high - t->low);
  double across = sqrt(l->to[0] * l->to[0] + l->to[1] * l->to[1]);
  double lean = fmin(HIGHER, slim * l->to[2] / across);

  l->shadow_soft = fmin(SHADOW, slim);
  for (int c = 0; c < 3; c++) l->shadow[c] = l->to[c] * (c < 2 ? lean : 1);
  unit(l->shadow);
}

static void aim(lh_light *l, const double box[3], const double card[3])
{
  double *to = l->to, h;
  int n = 0;

  for (int c = 0; c < 3; c++) {
    to[c] = box[c];
    l->card[c] = card[c];
  }
  unit(to);
  unit(l->card);
  aim_shadow(l);
  h = sqrt(to[0] * to[0] + to[1] * to[1]);
  l->across[0] = -to[1] / h;
  l->across[1] = to[0] / h;
  l->up[0] = -to[2] * to[0] / h;
  l->up[1] = -to[2] * to[1] / h;
  l->up[2] = h;
  for (int i = 0; i < LH_SOFTBOX; i++) {
    for (int k = 0; k < LH_SOFTBOX; k++, n++) {
      double x = BOX_ACROSS * (2 * (i + 0.5) / LH_SOFTBOX - 1);
      double y = BOX_UP * (2 * (k + 0.5) / LH_SOFTBOX - 1);
      for (int c = 0; c < 3; c++)
        l->box[n][c] = to[c] + x * l->across[c] + y * l->up[c];
      unit(l->box[n]);
    }
  }
}

lh_status lh_light_make(lh_turned *t, const lh_paint *paint,
                        const double box[3], const double card[3], lh_arena *a,
                        const lh_watch *watch, lh_light *l)
{
  float *coarse = lh_arena_take(a, LH_KEY_TURNS / 4, sizeof *coarse);

  if (!coarse) return LH_NOMEM;
  *l = (lh_light){.pot = t, .grey = lh_srgb_decode(LH_TABLE_BYTE / 255.0)};
  aim(l, box, card);
  light_table(l);
  for (size_t k = 0; k < t->n; k++) {
    lh_lathe *p = &t->lathe[k];
    float colour[3];
    if (!lh_watch_go(watch, 0.2 * (double)k / (double)t->n))
      return LH_CANCELLED;
    for (size_t i = 0; i < p->n; i++) {
      key_ring(l, p, &p->ring[i], coarse);
      spread_ring(coarse, p->key + i * LH_KEY_TURNS);
    }
    lh_paint_mean(paint, p, colour);
    if (p->cavity)
      light_inside(l, p, colour);
    else
      light_outside(l, p, colour);
  }
  return LH_OK;
}
