/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "search.h"

#include <math.h>
#include <string.h>

#include "search_parts.h"

/* A value as the distance it stands for (see search_parts.h). */
static double distance_of(const lh_search_ready *r, double length, double value)
{
  if (!(value < 1.0)) return r->slip ? INFINITY : length;
  return length * sqrt(r->slip ? value / (1.0 - value) : value);
}

static double length_of(const lh_search_problem *p)
{
  double sum = 0.0;

  for (size_t i = 0; i < p->rows; i++) {
    double t = (p->weight ? p->weight[i] : 1.0) * p->target[i];
    sum += t * t;
  }
  return sqrt(sum);
}

static void add(lh_search_choice *c, size_t material, double grams)
{
  size_t i = c->count++;

  for (; i > 0 && c->material[i - 1] > material; i--) {
    c->material[i] = c->material[i - 1];
    c->grams[i] = c->grams[i - 1];
  }
  c->material[i] = material;
  c->grams[i] = grams;
}

/* An entry in the caller's words. */
static void tell(const lh_search_problem *p, const lh_search_ready *r,
                 const lh_search_entry *e, lh_search_choice *c)
{
  double batch = 0.0, moles = 0.0, square = 0.0;

  *c = (lh_search_choice){.count = 0};
  for (size_t i = 0; i < e->count; i++)
    add(c, r->place[e->at[i]], e->y[i] * r->scale[e->at[i]]);
  for (size_t i = 0; i < c->count && r->slip; i++)
    for (size_t k = 0; k < p->rows && !p->fired; k++)
      moles += c->grams[i] * p->mol[c->material[i] * p->rows + k];
  for (size_t i = 0; i < c->count && r->slip && p->fired; i++)
    moles += c->grams[i] * p->fired[c->material[i]];
  for (size_t i = 0; i < c->count; i++) {
    if (r->slip) c->grams[i] *= 100.0 / moles;
    batch += c->grams[i];
    for (size_t k = 0; k < p->rows; k++)
      c->made[k] += c->grams[i] * p->mol[c->material[i] * p->rows + k];
  }
  for (size_t i = 0; i < c->count; i++)
    c->percent[i] = 100.0 * c->grams[i] / batch;
  for (size_t k = 0; k < p->rows; k++) {
    double off = c->made[k] - p->target[k];
    off *= p->weight ? p->weight[k] : 1.0;
    square += off * off;
  }
  c->distance = sqrt(square);
}

/* What the list proves, once the tree has been walked or left. */
static void conclude(lh_search_proof *f, const lh_search_choice *c,
                     size_t wanted, double open)
{
  bool done = f->end == LH_SEARCH_DONE;

  f->proven = done;
  f->sure = f->found;
  f->bound = f->found == wanted ? c[f->found - 1].distance : INFINITY;
  if (done) return;
  if (f->end == LH_SEARCH_UNSETTLED) open = f->floor;
  f->bound = fmin(f->bound, open);
  f->sure = 0;
  while (f->sure < f->found && c[f->sure].distance <= open) f->sure++;
  f->gap = f->found ? fmax(0.0, c[0].distance - f->bound) : INFINITY;
}

lh_status lh_search_nearest(const lh_search_problem *p,
                            lh_search_choice *choice, lh_search_proof *proof,
                            lh_arena *a, const lh_watch *w)
{
  lh_search_ready r;
  double open = INFINITY;

  *proof = (lh_search_proof){.end = LH_SEARCH_DONE, .bad = SIZE_MAX};
  lh_status st = lh_search_check(p, &proof->bad);
  if (st == LH_OK) st = lh_search_prepare(p, &r, &proof->bad, a);
  if (st != LH_OK) return st;
  lh_search_ranking *k = lh_arena_take(a, 1, sizeof *k);
  if (!k) return LH_NOMEM;
  k->want = p->choices;
  st = lh_search_tree(&r, k, p->visits, proof, &open, a, w);
  if (st == LH_NOMEM) return st;
  double length = length_of(p);
  for (size_t i = 0; i < k->count; i++) tell(p, &r, &k->entry[i], &choice[i]);
  proof->found = k->count;
  proof->floor = distance_of(&r, length, proof->floor);
  conclude(proof, choice, p->choices,
           open < INFINITY ? distance_of(&r, length, open) : open);
  if (st == LH_OK && !proof->found && proof->proven) return LH_NOTFOUND;
  return st;
}

void lh_search_rows(const lh_material *const *m, size_t n,
                    const size_t row[LH_OXIDES], size_t rows, double *mol,
                    double *fired)
{
  memset(mol, 0, n * rows * sizeof *mol);
  for (size_t j = 0; j < n; j++) {
    double sum = 0.0;
    for (size_t o = 0; o < LH_OXIDES; o++) {
      sum += m[j]->mol[o];
      if (row[o] < rows) mol[j * rows + row[o]] += m[j]->mol[o];
    }
    if (fired) fired[j] = sum;
  }
}
