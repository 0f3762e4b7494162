/* SPDX-License-Identifier: GPL-3.0-or-later */
/* doubt_say.c -- seeded problems and what doubt.h says to them, in numbers,
** for doubt.py to draw by itself.  Invented materials over seven oxides. */
#include <stdio.h>
#include <string.h>

#include "doubt.h"
#include "draw.h"

enum { N = 6, OXIDES = 7, CHOICES = 3 };

static const char *const symbol[OXIDES] = {"Na2O",  "K2O",  "CaO",  "MgO",
                                           "Al2O3", "SiO2", "Fe2O3"};
static unsigned char room[64 << 20];

static void *none(lh_arena *a, size_t n)
{
  (void)a;
  (void)n;
  return NULL;
}

static void say(const char *name, const double *v, size_t n)
{
  printf("%s", name);
  for (size_t i = 0; i < n; i++) printf(" %.17g", v[i]);
  putchar('\n');
}

static void make(lh_material m[N], uint64_t seed)
{
  for (size_t j = 0; j < N; j++) {
    m[j] = (lh_material){.total = 100.0};
    for (size_t i = 0; i < OXIDES; i++) {
      size_t o = lh_oxide_find(symbol[i]);
      double v = lh_draw_even(seed, 40 * j + 2 * i);
      if (i != j && v < 0.5) continue;
      m[j].mol[o] = 0.01 * v * v;
      m[j].mol_e[o] = 0.0004 * lh_draw_even(seed, 40 * j + 2 * i + 1);
    }
  }
}

/* A target near the recipe's own formula, so that the choices take turns. */
static void near(const lh_material *m, const double *goal, bool slip,
                 const size_t *row, double *target)
{
  double unit = 0.0;

  for (size_t r = 0; r + 1 < OXIDES; r++) target[r] = 0.0;
  for (size_t j = 0; j < N; j++)
    for (size_t i = 0; i < LH_OXIDES; i++) {
      double v = goal[j] * m[j].mol[i];
      if (v == 0.0) continue;
      target[row[i]] += v;
      if (slip || lh_oxide_flux(i)) unit += slip ? 0.01 * v : v;
    }
  for (size_t r = 0; r + 1 < OXIDES; r++) target[r] *= 1.0 / unit;
  target[0] *= 1.005;
}

static void one(uint64_t seed, bool slip, bool recipe)
{
  lh_material m[N];
  const lh_material *at[N];
  double grams[CHOICES * N] = {0.0}, goal[N] = {0.0}, target[OXIDES];
  double mol[OXIDES], e[OXIDES];
  size_t row[LH_OXIDES];
  lh_doubt_choice c[CHOICES];
  lh_arena a = {.more = none, .at = room, .left = sizeof room};
  lh_doubt_ask q = {.material = at, .materials = N, .row = row};

  make(m, seed);
  for (size_t i = 0; i < LH_OXIDES; i++) row[i] = OXIDES;
  for (size_t i = 0; i < OXIDES; i++) {
    row[lh_oxide_find(symbol[i])] = i < 2 ? 0 : i - 1; /* alkalis together */
  }
  printf("case %d %d %d\n", (int)seed, slip, recipe);
  for (size_t j = 0; j < N; j++) {
    at[j] = &m[j];
    for (size_t i = 0; i < OXIDES; i++) {
      mol[i] = m[j].mol[lh_oxide_find(symbol[i])];
      e[i] = m[j].mol_e[lh_oxide_find(symbol[i])];
    }
    say("mol", mol, OXIDES);
    say("e", e, OXIDES);
    goal[j] = 10.0 + 40.0 * lh_draw_even(seed, 2000 + j);
    for (size_t k = 0; k < CHOICES; k++)
      grams[k * N + j] =
          goal[j] * (0.99 + 0.02 * lh_draw_even(seed, 3000 + k * N + j));
  }
  near(m, goal, slip, row, target);
  q.measure = slip ? LH_SEARCH_SLIP : LH_SEARCH_GLAZE;
  q.rows = OXIDES - 1;
  q.target = target;
  if (recipe) q.target_grams = goal;
  q.grams = grams;
  q.choices = CHOICES;
  say("target", target, OXIDES - 1);
  say("goal", goal, N);
  if (lh_doubt_weigh(&q, c, &a, NULL) != LH_OK) return;
  for (size_t k = 0; k < CHOICES; k++) {
    double v[3 + 3 * OXIDES] = {0.0};
    say("grams", grams + k * N, N);
    for (size_t i = 0; i <= OXIDES; i++) {
      const lh_doubt_figure *f =
          i == 0 ? &c[k].distance : &c[k].made[lh_oxide_find(symbol[i - 1])];
      v[3 * i] = f->low;
      v[3 * i + 1] = f->middle;
      v[3 * i + 2] = f->high;
    }
    say("said", v, 3 + 3 * OXIDES);
    say("best", &c[k].best, 1);
    say("spread", &c[k].spread, 1);
  }
}

int main(void)
{
  for (uint64_t seed = 1; seed <= 4; seed++) one(seed, seed % 2 == 0, seed > 2);
  return 0;
}
