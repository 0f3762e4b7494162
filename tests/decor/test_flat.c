/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A painted zone as an array of numbers: there and back, and what is not such
** an array. */
#include "easel.h"
#include "flat.h"

static const lh_point bowl[] = {{28, 0}, {52, 8}, {78, 24}, {90, 46}};
static const lh_nib nibs[] = {{0, 0, 3, 100}, {4, 2, 2, 150}, {7, -1, 1, 120}};

static void zone(lh_painted *p, lh_group *g, lh_mark *m, lh_placing *at)
{
  m[0] = easel_sweep(0, 0.1, 20, 0.5, nibs, 3);
  m[1] = easel_sweep(1, 0.1, 20, 0.5, nibs, 3);
  m[1].kind = LH_FILL;
  m[1].coat = 90;
  m[1].local = (lh_local){1, 2, 0.3, 1.2, true, false};
  m[2] = (lh_mark){.kind = LH_BANDING,
                   .slip = 2,
                   .coat = 80,
                   .from = 3,
                   .to = 5.5,
                   .edge = 0.4};
  for (int i = 0; i < 3; i++)
    at[i] = (lh_placing){.instance = (size_t)i,
                         .turns = i / 3.0,
                         .flip_x = i == 1,
                         .flip_y = i == 2,
                         .scale = 1 + 0.1 * i};
  g[0] = (lh_group){.marks = &m[2], .n = 1};
  g[1] = (lh_group){.marks = m,
                    .n = 2,
                    .placings = at,
                    .n_placings = 3,
                    .has_pivot = true,
                    .pivot = {0.1, 20}};
  *p = (lh_painted){.profile = bowl,
                    .n_profile = 4,
                    .zone = {LH_OUTSIDE, LH_CHART_BAND, 10, 60},
                    .pixel = 0.4,
                    .multiple = 3,
                    .groups = g,
                    .n_groups = 2};
}

/* Lay a painted zone in the easel. */
static lh_status paint(easel *e, const lh_painted *p)
{
  lh_status st = lh_decor_ready(p, &e->arena, &e->laying, &e->chart, &e->shapes,
                                &e->fault);

  e->grid = e->laying.grid;
  return st == LH_OK ? easel_lay(e) : st;
}

int main(void)
{
  lh_painted p, q;
  lh_group g[2];
  lh_mark m[3];
  lh_placing at[3];
  double flat[400], again[400];
  size_t n = 0, n2;
  lh_status st;
  int refused = 0, spoiled = 0;
  easel a = {.arena = {.more = easel_more}}, b = a, c = a;

  zone(&p, g, m, at);
  st = lh_decor_flatten(&p, NULL, 0, &n);
  CHECK(st == LH_TOOLARGE && n < 400, "says how many numbers: %zu", n);
  CHECK(lh_decor_flatten(&p, flat, 400, &n) == LH_OK, "written");
  CHECK(lh_decor_unflatten(flat, n, &c.arena, &q) == LH_OK, "read back");
  CHECK(lh_decor_flatten(&q, again, 400, &n2) == LH_OK && n2 == n &&
            memcmp(flat, again, n * sizeof *flat) == 0,
        "and written again: the same numbers");
  CHECK(paint(&a, &p) == LH_OK && paint(&b, &q) == LH_OK, "both are laid");
  CHECK(easel_same(&a, &b) && a.laying.layers == 3, "bit for bit alike");
  CHECK(a.shapes.n == 1 + 2 * 3, "a banding line and two marks three times");
  for (size_t k = 0; k < n; k++)
    refused += lh_decor_unflatten(flat, k, &c.arena, &q) == LH_INPUT;
  CHECK(refused == (int)n, "every shorter array is refused");
  flat[n] = 0;
  CHECK(lh_decor_unflatten(flat, n + 1, &c.arena, &q) == LH_INPUT,
        "and a longer one");
  for (size_t k = 0; k < n; k++) { /* nonsense anywhere: refused or laid */
    static const double nonsense[] = {NAN, -1, 1e300, 0.5};
    double was = flat[k];
    for (int i = 0; i < 4; i++) {
      flat[k] = nonsense[i];
      if (lh_decor_unflatten(flat, n, &c.arena, &q) != LH_OK ||
          lh_decor_ready(&q, &c.arena, &c.laying, NULL, NULL, NULL) != LH_OK)
        spoiled++;
    }
    flat[k] = was;
    easel_clear(&c);
    c.arena.more = easel_more;
  }
  CHECK(spoiled > (int)n, "nonsense is refused (%d of %zu)", spoiled, 4 * n);
  m[1].local.scale = 0;
  CHECK(lh_decor_ready(&p, &c.arena, &c.laying, NULL, NULL, &c.fault) ==
                LH_INPUT &&
            c.fault.mark == 2,
        "a fault is counted through all groups");
  easel_clear(&a);
  easel_clear(&b);
  easel_clear(&c);
  return CHECK_DONE();
}
