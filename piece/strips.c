/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "strips.h"

#include <math.h>
#include <string.h>

/* An overlap smaller than this share of all that a slip lies on is a speck.
** (judgement) */
static const double speck = 0.02;

/* How far from what is wanted a colour may be: dE00; the second of a slip
** known from photographs only. (judgements, as the operation window's) */
static const double tolerance_usual = 3, tolerance_photograph = 6;

/* Three numbers a tile are trusted to no better. [dE00] (judgement) */
static const double floor_three = 4;

/* No coat beyond it is looked at. [g/m2] (judgement: it peels) */
static const double heaviest = 2000;

/* Weights nearer than this to each other need one chip. (judgement) */
static const double alike = 1.08;

/* ---- what lies below ---------------------------------------------------- */

typedef struct {
  const lh_piece_overlap *at[LH_STRIP_GROUNDS];
  size_t n;
} grounds;

/* The largest overlaps of a slip, the largest first. */
static grounds grounds_of(const lh_piece_cover *c, int slip)
{
  grounds g = {.n = 0};
  double area = 0;

  for (size_t i = 0; i < c->n_overlaps; i++)
    if (c->overlaps[i].upper == slip) area += c->overlaps[i].area_mm2;
  for (size_t i = 0; i < c->n_overlaps; i++) {
    const lh_piece_overlap *x = &c->overlaps[i];
    size_t k;
    if (x->upper != slip || x->area_mm2 < speck * area) continue;
    for (k = g.n; k > 0 && g.at[k - 1]->area_mm2 < x->area_mm2; k--)
      if (k < LH_STRIP_GROUNDS) g.at[k] = g.at[k - 1];
    if (k < LH_STRIP_GROUNDS) g.at[k] = x;
    if (g.n < LH_STRIP_GROUNDS) g.n++;
  }
  return g;
}

/* What lies below an overlap's upper slip, down to the body: of each slip what
** it mostly lies on. */
static void below(const lh_piece_cover *c, const lh_piece_overlap *x,
                  lh_strip *s)
{
  s->layers = 1;
  while (x && x->lower >= 0 && s->layers <= LH_STRIP_BELOW) {
    grounds next;
    for (size_t i = 1; i < s->layers; i++)
      if (s->stack[i].slip == x->lower) return;
    s->stack[s->layers++] = (lh_coat_of){x->lower, x->lower_g_m2};
    next = grounds_of(c, x->lower);
    x = next.n ? next.at[0] : NULL;
  }
}

/* ---- the window --------------------------------------------------------- */

static double best_of(const lh_slip_doc *s)
{
  const lh_window_doc *w = s->window;

  if (!w) return s->coat_g_m2;
  if (w->best_g_m2 > 0) return w->best_g_m2;
  if (s->coat_g_m2 >= w->least_g_m2 && s->coat_g_m2 <= w->most_g_m2)
    return s->coat_g_m2;
  return sqrt(fmax(w->least_g_m2, 1) * w->most_g_m2);
}

static lh_status window_of(const lh_piece_optics *o, lh_strip *s)
{
  lh_stack_layer layers[1 + LH_STRIP_BELOW];
  lh_stack stack = {layers, s->layers, o->piece->doc->body->reflectance,
                    o->glazed ? &o->glaze : NULL, o->geometry};
  lh_window_ask ask = {.stack = &stack,
                       .illuminant = o->illuminant,
                       .best = s->best,
                       .tolerance = s->tolerance,
                       .heaviest = heaviest};
  lh_stack_doubt doubt = lh_stack_doubt_default();
  lh_status st;

  for (size_t i = 0; i < s->layers; i++)
    layers[i] =
        (lh_stack_layer){&o->optics[s->stack[i].slip], s->stack[i].g_m2};
  doubt.absorption = doubt.scattering = s->sd;
  doubt.coat = o->piece->limits->coat_doubt_percent / 100;
  st = lh_window_find(&ask, &s->window);
  return st == LH_OK ? lh_window_spread(&ask, &s->window, &doubt, &s->range)
                     : st;
}

/* ---- the chips ---------------------------------------------------------- */

typedef struct {
  double g[LH_STRIP_CHIPS];
  size_t n;
} weights;

/* Take a weight up, in its place, unless there is one like it. */
static void take(weights *w, double g)
{
  size_t k = w->n;

  if (!(g >= 0.5 && g <= heaviest) || w->n == LH_STRIP_CHIPS) return;
  g = round(g);
  if (g < 1) g = 1;
  for (size_t i = 0; i < w->n; i++)
    if (fmax(w->g[i], g) < alike * fmin(w->g[i], g) || w->g[i] == g) return;
  for (; k > 0 && w->g[k - 1] > g; k--) w->g[k] = w->g[k - 1];
  w->g[k] = g;
  w->n++;
}

/* Halve the widest gap. */
static bool halve(weights *w)
{
  size_t widest = 0;
  size_t before = w->n;

  for (size_t i = 0; i + 1 < w->n; i++)
    if (w->g[i + 1] / w->g[i] > w->g[widest + 1] / w->g[widest]) widest = i;
  take(w, sqrt(w->g[widest] * w->g[widest + 1]));
  return w->n > before;
}

/* The best first, then the ends that were worked out, then the potter's. */
static weights weights_of(const lh_strip *s)
{
  const lh_window *v = &s->window;
  weights w = {.n = 0};
  double low = s->best, high = 1.5 * s->best;

  take(&w, s->best);
  if (v->reached) {
    take(&w, v->least);
    take(&w, v->most);
    low = fmin(low, v->least);
    if (isfinite(v->most)) high = fmax(high, v->most);
  }
  if (s->own) {
    low = fmin(low, s->own_least);
    high = fmax(high, s->own_most);
  }
  if (!(low > 0)) low = s->best / 4;
  take(&w, 0.6 * low);
  take(&w, fmin(1.6 * high, heaviest));
  if (s->own) {
    take(&w, s->own_least);
    take(&w, s->own_most);
  }
  while (w.n < LH_STRIP_CHIPS && halve(&w)) {
  }
  /* So narrow a strip, or so light a slip, that no gap is left. */
  while (w.n < LH_STRIP_CHIPS) w.g[w.n] = 1 + w.g[w.n - 1], w.n++;
  return w;
}

static lh_status chip(const lh_piece_optics *o, const lh_strip *s, double g,
                      lh_chip *c)
{
  const lh_slip_doc *d =
      (const lh_slip_doc *)o->piece->doc->slips.items + s->slip;
  lh_coat_slip brush = {d->litre_weight_g, d->solids_density,  LH_WATER_G_L,
                        LH_SHRINK_LIMIT,   LH_FIRED_SHRINKAGE, d->coat_g_m2};
  lh_coat_of stack[1 + LH_STRIP_BELOW];
  lh_stack_range range;
  lh_rgb rgb;
  lh_status st;

  memcpy(stack, s->stack, sizeof stack);
  stack[0].g_m2 = g;
  st = lh_slip_coat(&brush, LH_COAT_G_M2, g, &c->coat);
  if (st == LH_OK)
    st = lh_piece_optics_range(o, stack, s->layers, &c->lab, &range);
  if (st != LH_OK) return st;
  c->radius = fmax(range.radius, s->floor);
  rgb = lh_piece_optics_srgb(o, stack, s->layers);
  c->outside = !lh_srgb_in_gamut(rgb);
  c->srgb = lh_srgb_clip(rgb);
  return LH_OK;
}

static lh_status strip(const lh_piece_optics *o, const lh_piece_cover *c,
                       const lh_piece_overlap *x, lh_strip *s)
{
  const lh_slip_doc *all = o->piece->doc->slips.items, *d = &all[x->upper];
  weights w;
  lh_status st;

  *s = (lh_strip){.slip = (size_t)x->upper,
                  .over = x->lower,
                  .area_mm2 = x->area_mm2,
                  .upper_g_m2 = x->upper_g_m2,
                  .best = fmin(best_of(d), heaviest),
                  .tolerance = d->read_by == LH_READ_PHOTOGRAPH
                                   ? tolerance_photograph
                                   : tolerance_usual,
                  .floor = d->read_by == LH_READ_PHOTOGRAPH ||
                                   d->read_by == LH_READ_COLORIMETER
                               ? floor_three
                               : 0,
                  .own = d->window != NULL};
  if (d->window) s->own_least = d->window->least_g_m2;
  if (d->window) s->own_most = d->window->most_g_m2;
  s->stack[0].slip = x->upper;
  below(c, x, s);
  for (size_t i = 0; i < s->layers; i++)
    s->sd = fmax(s->sd, all[s->stack[i].slip].uncertainty_percent / 100);
  st = window_of(o, s);
  if (st != LH_OK) return st;
  w = weights_of(s);
  for (size_t i = 0; i < LH_STRIP_CHIPS && st == LH_OK; i++)
    st = chip(o, s, w.g[i], &s->chips[i]);
  return st;
}

lh_status lh_strips_make(const lh_piece_optics *o, const lh_piece_cover *c,
                         lh_arena *a, const lh_watch *watch, lh_strip **strips,
                         size_t *n)
{
  size_t count = o->piece->doc->slips.count, most = LH_STRIP_GROUNDS * count;
  lh_status st = LH_OK;

  *n = 0;
  *strips = lh_arena_take(a, most ? most : 1, sizeof **strips);
  if (!*strips) return LH_NOMEM;
  for (size_t i = 0; i < count; i++) {
    grounds g = grounds_of(c, (int)i);
    for (size_t k = 0; k < g.n && st == LH_OK; k++) {
      if (!lh_watch_go(watch, (double)i / (double)count)) return LH_CANCELLED;
      st = strip(o, c, g.at[k], *strips + *n);
      *n += st == LH_OK;
    }
  }
  return st;
}

double lh_strip_place(const lh_strip *s, double g_m2)
{
  const double last = LH_STRIP_CHIPS - 1;

  if (!(g_m2 > s->chips[0].coat.g_m2))
    return g_m2 < s->chips[0].coat.g_m2 ? -0.5 : 0;
  for (size_t i = 1; i < LH_STRIP_CHIPS; i++) {
    double a = s->chips[i - 1].coat.g_m2, b = s->chips[i].coat.g_m2;
    if (g_m2 <= b) return (double)(i - 1) + log(g_m2 / a) / log(b / a);
  }
  return last + 0.5;
}
