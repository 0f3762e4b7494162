/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_strips.c -- a slip's chips from thin to thick over each of its grounds.
**
**   test_strips tide-line.json
**
** What a strip promises is checked on the sample piece, and on the same with
** its slips' windows taken out or its coats made very light.
*/
#include "check.h"
#include "heap.h"
#include "strips.h"

typedef struct {
  lh_arena a;
  lh_piece p;
  lh_piece_cover c;
  lh_piece_optics o;
  lh_strip *strips;
  size_t n;
} table;

/* Coarse: 1 mm is enough to know what lies on what. */
static lh_status lay(json_t *json, table *t)
{
  lh_fault fault = {0};
  lh_status st;

  lh_heap_open(&t->a);
  st = lh_piece_read(json, &t->a, &t->p, &fault);
  if (st == LH_OK)
    st = lh_piece_cover_make(&t->p, 1.0, &t->a, NULL, &t->c, &fault);
  if (st == LH_OK)
    st = lh_piece_optics_make(&t->p, LH_D8_EX, LH_D65, &t->a, &t->o, &fault);
  if (st == LH_OK)
    st = lh_strips_make(&t->o, &t->c, &t->a, NULL, &t->strips, &t->n);
  if (st != LH_OK) printf("# %s: %s\n", fault.where, fault.what);
  return st;
}

static bool has(const lh_strip *s, double g)
{
  /* A chip is the weight to the whole gram, or one within 8 % of it. */
  for (size_t i = 0; i < LH_STRIP_CHIPS; i++)
    if (fabs(log(s->chips[i].coat.g_m2 / g)) <= log(1.08) + 0.5 / g)
      return true;
  return false;
}

static void promises(const table *t, const char *of)
{
  bool rising = true, ends = true, sorted = true, named = true, ranges = true;

  for (size_t k = 0; k < t->n; k++) {
    const lh_strip *s = &t->strips[k], *before = k ? s - 1 : NULL;
    const lh_slip_doc *d = (const lh_slip_doc *)t->p.doc->slips.items + s->slip;
    for (size_t i = 0; i < LH_STRIP_CHIPS; i++) {
      const lh_chip *c = &s->chips[i];
      rising = rising && c->coat.g_m2 > (i ? c[-1].coat.g_m2 : 0);
      named = named && fabs(c->coat.coats * d->coat_g_m2 - c->coat.g_m2) <
                           1e-9 * c->coat.g_m2;
      ranges = ranges && c->radius > 0 && c->radius >= s->floor;
    }
    ends = ends && has(s, s->best) && has(s, s->window.least) &&
           (!isfinite(s->window.most) || has(s, s->window.most)) &&
           s->chips[0].coat.g_m2 < s->best &&
           s->chips[LH_STRIP_CHIPS - 1].coat.g_m2 > s->best;
    if (before && before->slip == s->slip)
      sorted = sorted && before->area_mm2 >= s->area_mm2;
    sorted = sorted && (!before || before->slip <= s->slip);
  }
  CHECK(t->n > 0 && rising, "%s: each chip is thicker than the one before", of);
  CHECK(named, "%s: coats are coats of its own brush", of);
  CHECK(ranges, "%s: each chip has its range", of);
  CHECK(ends, "%s: the best and the window's ends have chips", of);
  CHECK(sorted, "%s: slip by slip, the largest ground first", of);
}

static void grounds(const table *t)
{
  double speck = 0, all = 0;
  size_t shown = 0;

  for (size_t k = 0; k < t->n; k++) {
    const lh_strip *s = &t->strips[k];
    CHECK(s->layers == (s->over < 0 ? 1u : s->layers) &&
              (s->over < 0 || s->stack[1].slip == s->over),
          "strip %zu stands on what it says", k);
    shown += s->slip == 4;
  }
  for (size_t i = 0; i < t->c.n_overlaps; i++)
    if (t->c.overlaps[i].upper == 4) all += t->c.overlaps[i].area_mm2;
  for (size_t i = 0; i < t->c.n_overlaps; i++) {
    const lh_piece_overlap *x = &t->c.overlaps[i];
    bool there = false;
    if (x->upper != 4) continue;
    for (size_t k = 0; k < t->n; k++)
      there |= t->strips[k].slip == 4 && t->strips[k].over == x->lower;
    if (!there) speck = fmax(speck, x->area_mm2);
  }
  CHECK(shown >= 2 && shown <= LH_STRIP_GROUNDS && speck < 0.02 * all,
        "of the black only specks are left out: %.1f of %.0f mm2", speck, all);
}

/* By the logarithm: the geometric mean lies half way. */
static void places(const lh_strip *s)
{
  double a = s->chips[2].coat.g_m2, b = s->chips[3].coat.g_m2;

  for (size_t i = 0; i < LH_STRIP_CHIPS; i++)
    CHECK_NEAR(lh_strip_place(s, s->chips[i].coat.g_m2), (double)i, 1e-12,
               "chip %zu stands in its place", i);
  CHECK_NEAR(lh_strip_place(s, sqrt(a * b)), 2.5, 1e-12,
             "their geometric mean lies half way between two");
  CHECK(lh_strip_place(s, 0) < 0 && lh_strip_place(s, 1e5) > 6,
        "what is beyond them lies beside them");
}

int main(int argc, char **argv)
{
  json_t *json = argc == 2 ? json_load_file(argv[1], 0, NULL) : NULL;
  json_t *slips = json_object_get(json, "slips");
  table t;

  CHECK(json && lay(json, &t) == LH_OK, "the sample has its strips");
  promises(&t, "the sample");
  grounds(&t);
  places(&t.strips[1]);
  lh_heap_free(&t.a);
  for (size_t i = 0; i < json_array_size(slips); i++)
    json_object_del(json_array_get(slips, i), "window");
  CHECK(lay(json, &t) == LH_OK && !t.strips[0].own,
        "without windows of their own");
  promises(&t, "no window told");
  CHECK_NEAR(t.strips[1].best, 80, 0, "then one coat is the best");
  lh_heap_free(&t.a);
  for (size_t i = 0; i < json_array_size(slips); i++)
    json_object_set_new(json_array_get(slips, i), "coat_g_m2", json_real(2));
  CHECK(lay(json, &t) == LH_OK, "as light as 2 g/m2");
  bool apart = t.n > 0;
  for (size_t k = 0; k < t.n; k++)
    for (size_t i = 1; i < LH_STRIP_CHIPS; i++)
      apart = apart && t.strips[k].chips[i].coat.g_m2 >
                           t.strips[k].chips[i - 1].coat.g_m2;
  CHECK(apart, "there are still seven chips, each thicker");
  lh_heap_free(&t.a);
  json_decref(json);
  return CHECK_DONE();
}
