/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "between.h"

#include <math.h>

#include "difference.h"
#include "window.h"

/* A coat so thick that nothing below it shows.  [g/m2] (judgement: a few
** times what hides, for any ground) */
#define ENDLESS_G_M2 3000.0

int lh_between_ground(const lh_piece_cover *c)
{
  const lh_slip_doc *s = c->piece->doc->slips.items;

  for (size_t i = 0; i < c->piece->doc->slips.count; i++)
    if (s[i].ground && c->slips[i].area_mm2 > 0) return (int)i;
  return -1;
}

/* Has the coat reached its endless colour, or would ten times as much still
** change it by a tenth of the tolerance? */
static bool settles(const lh_piece_optics *o, const lh_coat_of *coats, size_t n,
                    size_t at, double tolerance)
{
  lh_coat_of once[4], tenfold[4];

  for (size_t i = 0; i < n; i++) once[i] = tenfold[i] = coats[i];
  once[at].g_m2 = ENDLESS_G_M2;
  tenfold[at].g_m2 = 10 * ENDLESS_G_M2;
  return lh_delta_e00(lh_piece_optics_lab(o, once, n),
                      lh_piece_optics_lab(o, tenfold, n)) <= tolerance / 10;
}

/* From which weight on coat `at` of a stack hides what is below it. */
static lh_status hiding(const lh_piece_optics *o, const lh_coat_of *coats,
                        size_t n, size_t at, double tolerance, bool ranges,
                        lh_range *least)
{
  const lh_slip_doc *s = o->piece->doc->slips.items;
  lh_stack_layer layers[4];
  lh_stack stack = {layers, n, o->piece->doc->body->reflectance,
                    o->glazed ? &o->glaze : NULL, o->geometry};
  lh_window_ask ask = {.stack = &stack,
                       .at = at,
                       .illuminant = o->illuminant,
                       .best = ENDLESS_G_M2,
                       .tolerance = tolerance,
                       .heaviest = ENDLESS_G_M2};
  lh_stack_doubt doubt = lh_stack_doubt_default();
  lh_window w;
  lh_window_range r;
  lh_status st;
  double most = 0;

  *least = (lh_range){NAN, NAN, NAN};
  if (!(tolerance > 0)) return LH_OK; /* nothing hides as well as that */
  for (size_t i = 0; i < n; i++) {
    layers[i] = (lh_stack_layer){&o->optics[coats[i].slip], coats[i].g_m2};
    most = fmax(most, s[coats[i].slip].uncertainty_percent / 100);
  }
  st = lh_window_find(&ask, &w);
  if (st != LH_OK) return st;
  if (settles(o, coats, n, at, tolerance)) least->value = w.least;
  if (!ranges || isnan(least->value)) return LH_OK;
  doubt.absorption = doubt.scattering = most;
  doubt.coat = o->piece->limits->coat_doubt_percent / 100;
  st = lh_window_spread(&ask, &w, &doubt, &r);
  if (st == LH_OK) *least = r.least;
  return st;
}

/* Colour of at most four coats; those of no slip are left out. */
static lh_lab fired(const lh_piece_optics *o, const lh_coat_of *coats, size_t n)
{
  lh_coat_of stack[4];
  size_t used = 0;

  for (size_t i = 0; i < n; i++)
    if (coats[i].slip >= 0) stack[used++] = coats[i];
  return lh_piece_optics_lab(o, stack, used);
}

/* The two painted in the other order. */
static void turned(const lh_piece_optics *o, const lh_piece_overlap *x,
                   lh_coat_of ground, double hides, lh_between *b)
{
  lh_coat_of upper = {x->upper, x->upper_g_m2};
  lh_coat_of lower = {x->lower, x->lower_g_m2};
  lh_coat_of both[] = {lower, upper, ground}, alone[] = {lower, ground};

  b->turned_de00 = (double)NAN;
  if (x->lower < 0) return;
  b->turned_de00 = lh_delta_e00(fired(o, both, 3), fired(o, alone, 2));
  b->turn = b->turned_de00 + hides < b->de00;
}

lh_status lh_between_look(const lh_piece_optics *o, const lh_piece_cover *c,
                          const lh_piece_overlap *x, bool ranges, lh_between *b)
{
  const lh_limits *lim = o->piece->limits;
  const lh_slip_doc *s = o->piece->doc->slips.items;
  int white = lh_between_ground(c);
  double ground_g = white < 0 ? 0 : c->slips[white].mean_g_m2;
  lh_coat_of upper = {x->upper, x->upper_g_m2};
  lh_coat_of lower = {x->lower, x->lower_g_m2}, ground = {white, ground_g};
  /* Right on the body there is no ground below. */
  lh_coat_of below = x->lower < 0 ? (lh_coat_of){-1, 0} : ground;
  lh_coat_of painted[] = {upper, lower, below}, wanted[] = {upper, ground};
  lh_coat_of whitened[] = {upper, {white, 0}, lower, below};
  lh_status st;

  *b = (lh_between){.upper = x->upper,
                    .lower = x->lower,
                    .white = white,
                    .least = {NAN, NAN, NAN},
                    .white_de00 = NAN};
  b->painted = fired(o, painted, 3);
  b->wanted = fired(o, wanted, 2);
  b->de00 = lh_delta_e00(b->painted, b->wanted);
  turned(o, x, ground, lim->hides_de00, b);
  if (white < 0) return LH_OK;
  b->white_g_m2 = whitened[1].g_m2 = lh_slip_doc_usual_coat(&s[white]);
  b->with_white = fired(o, whitened, 4);
  b->white_de00 = lh_delta_e00(b->with_white, b->wanted);
  st = hiding(o, whitened, x->lower < 0 ? 2 : 4, 1, lim->seen_de00, ranges,
              &b->least);
  b->needed = b->de00 > lim->seen_de00 && b->least.value > 0;
  return st;
}

lh_status lh_between_thin(const lh_piece_optics *o, const lh_piece_cover *c,
                          int ground, bool ranges, lh_thin_ground *t)
{
  lh_coat_of coat = {ground, c->slips[ground].mean_g_m2};
  lh_coat_of endless = {ground, ENDLESS_G_M2};

  t->slip = ground;
  t->g_m2 = coat.g_m2;
  t->de00 = lh_delta_e00(lh_piece_optics_lab(o, &coat, 1),
                         lh_piece_optics_lab(o, &endless, 1));
  return hiding(o, &coat, 1, 0, o->piece->limits->hides_de00, ranges,
                &t->hides);
}
