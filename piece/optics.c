/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "optics.h"

#include <math.h>
#include <string.h>

#include "fast_picture.h"
#include "machine.h"
#include "piece_room.h"

static void glaze_of(const lh_piece_doc *doc, lh_glaze *g)
{
  *g = (lh_glaze){.index = doc->glaze->index,
                  .eaten = doc->glaze->eats_g_m2,
                  .share = doc->glaze->dissolved_share};
  for (size_t i = 0; i < LH_WAVES && doc->glaze->absorption_m2_g; i++)
    g->optical_depth[i] = doc->glaze->absorption_m2_g[i] * doc->glaze_g_m2;
}

double lh_slip_doc_usual_coat(const lh_slip_doc *s)
{
  if (s->window && s->window->best_g_m2 > 0) return s->window->best_g_m2;
  return 2 * s->coat_g_m2;
}

/* Slip i as the document has it. */
static lh_slip_optics optics_of(const lh_slip_doc *s)
{
  lh_slip_optics x;

  memcpy(x.absorption, s->absorption_m2_g, sizeof x.absorption);
  memcpy(x.scattering, s->scattering_m2_g, sizeof x.scattering);
  return x;
}

/* Slip i pale or strong: shifted as it is usually laid. */
static lh_status shift(const lh_piece_optics *o, size_t i, lh_strength to,
                       lh_slip_optics *out)
{
  const lh_piece_doc *doc = o->piece->doc;
  const lh_slip_doc *s = doc->slips.items, *under = NULL;
  lh_slip_optics upper = optics_of(&s[i]), lower;
  lh_stack_layer layers[2] = {{&upper, lh_slip_doc_usual_coat(&s[i])}};
  lh_stack stack = {layers, 1, doc->body->reflectance,
                    o->glazed ? &o->glaze : NULL, o->geometry};

  for (size_t k = doc->slips.count; k-- > 0;)
    if (s[k].ground) under = &s[k];
  if (under && !s[i].ground) {
    lower = optics_of(under);
    layers[1] = (lh_stack_layer){&lower, lh_slip_doc_usual_coat(under)};
    stack.count = 2;
  }
  return lh_strength_shift(&stack, o->illuminant,
                           s[i].uncertainty_percent / 100, to, out);
}

lh_status lh_piece_optics_make_at(const lh_piece *p, lh_geometry g,
                                  lh_illuminant ill, lh_strength to,
                                  lh_arena *a, lh_piece_optics *o,
                                  lh_fault *fault)
{
  const lh_slip_doc *s = p->doc->slips.items;
  size_t n = p->doc->slips.count;
  lh_status st = LH_OK;

  *o = (lh_piece_optics){.piece = p,
                         .geometry = g,
                         .illuminant = ill,
                         .isa = lh_machine_isa(),
                         .glazed = p->doc->glaze != NULL};
  o->optics = lh_arena_take(a, n, sizeof *o->optics);
  o->slips = lh_arena_take(a, n, sizeof *o->slips);
  if (!o->optics || !o->slips) return lh_fault_plain(fault, LH_NOMEM, "/slips");
  if (o->glazed) glaze_of(p->doc, &o->glaze);
  for (size_t i = 0; i < n && st == LH_OK; i++) {
    if (to == LH_STRENGTH_EXPECTED)
      o->optics[i] = optics_of(&s[i]);
    else
      st = shift(o, i, to, &o->optics[i]);
    if (st == LH_OK) st = lh_slip_prepare(&o->optics[i], &o->slips[i]);
  }
  if (st == LH_OK)
    st = lh_stack_prepare(o->slips, n, p->doc->body->reflectance,
                          o->glazed ? &o->glaze : NULL, g, ill, &o->ready);
  if (st == LH_OK) return LH_OK;
  return lh_fault_say(fault, st, "/slips", "correct the optical numbers",
                      "the fired colours cannot be worked out");
}

lh_status lh_piece_optics_make(const lh_piece *p, lh_geometry g,
                               lh_illuminant ill, lh_arena *a,
                               lh_piece_optics *o, lh_fault *fault)
{
  return lh_piece_optics_make_at(p, g, ill, LH_STRENGTH_EXPECTED, a, o, fault);
}

static lh_xyz xyz_of(const lh_piece_optics *o, const lh_coat_of *coats,
                     size_t n)
{
  unsigned char slip[LH_STACK_LAYERS];
  double coat[LH_STACK_LAYERS];

  if (n > LH_STACK_LAYERS) n = LH_STACK_LAYERS;
  for (size_t i = 0; i < n; i++) {
    slip[i] = (unsigned char)coats[i].slip;
    coat[i] = coats[i].g_m2;
  }
  return lh_stack_pixel(&o->ready, slip, coat, n, NULL);
}

lh_lab lh_piece_optics_lab(const lh_piece_optics *o, const lh_coat_of *coats,
                           size_t n)
{
  return lh_xyz_lab(xyz_of(o, coats, n), lh_spectrum_white(o->illuminant));
}

lh_rgb lh_piece_optics_srgb(const lh_piece_optics *o, const lh_coat_of *coats,
                            size_t n)
{
  return lh_spectrum_srgb(xyz_of(o, coats, n), o->illuminant);
}

lh_status lh_piece_optics_range(const lh_piece_optics *o,
                                const lh_coat_of *coats, size_t n, lh_lab *lab,
                                lh_stack_range *range)
{
  const lh_slip_doc *s = o->piece->doc->slips.items;
  lh_stack_layer layers[LH_STACK_LAYERS];
  lh_stack_doubt doubt = lh_stack_doubt_default();
  lh_stack stack = {layers, n, o->piece->doc->body->reflectance,
                    o->glazed ? &o->glaze : NULL, o->geometry};
  double most = 0;

  if (n > LH_STACK_LAYERS) return LH_TOOLARGE;
  for (size_t i = 0; i < n; i++) {
    layers[i] = (lh_stack_layer){&o->optics[coats[i].slip], coats[i].g_m2};
    most = fmax(most, s[coats[i].slip].uncertainty_percent / 100);
  }
  /* One doubt for all: that of the least known slip of the stack. */
  if (n > 0) doubt.absorption = doubt.scattering = most;
  *lab = lh_piece_optics_lab(o, coats, n);
  return lh_stack_spread(&stack, o->illuminant, &doubt, range);
}

/* ---- a whole zone ------------------------------------------------------- */

_Static_assert((int)LH_MEMO_LAYERS == (int)LH_LAYERS_MOST,
               "a remembered stack takes every layer of a zone");

_Static_assert((int)LH_FAST_LAYERS >= (int)LH_LAYERS_MOST,
               "and so does the fast kernel");

/* Every pixel through the table of remembered stacks, in double precision. */
static lh_status remember(const lh_piece_optics *o, const lh_zone_cover *z,
                          const unsigned char *slip, lh_arena *a,
                          const lh_watch *watch, float *rgb, size_t *outside)
{
  size_t nx = (size_t)z->grid.nx, ny = (size_t)z->grid.ny;
  lh_stack_memo *memo = lh_arena_take(a, LH_MEMO_PLACES, sizeof *memo);
  int layers = z->laying.layers;

  if (!memo) return LH_NOMEM;
  for (size_t k = 0; k < nx * ny; k++) {
    float coat[LH_MEMO_LAYERS] = {0};
    const lh_stack_memo *m;
    if (k % nx == 0 && !lh_watch_go(watch, (double)k / (double)(nx * ny)))
      return LH_CANCELLED;
    for (int i = 0; i < layers; i++) coat[i] = z->maps.coat[i][k];
    m = lh_stack_remember(&o->ready, slip, layers, coat, memo);
    memcpy(rgb + 3 * k, m->rgb, sizeof m->rgb);
    *outside += m->outside;
  }
  return LH_OK;
}

/* What single precision may add to a white that is just within. */
static const float slack = 1e-5f;

/* Cut a row to what a screen shows; gives how many pixels were cut. */
static size_t cut(float *rgb, size_t n)
{
  size_t outside = 0;

  for (size_t i = 0; i < n; i++, rgb += 3) {
    bool out = false;
    for (int c = 0; c < 3; c++) {
      out |= rgb[c] < -slack || rgb[c] > 1 + slack;
      rgb[c] = rgb[c] > 0 ? (rgb[c] < 1 ? rgb[c] : 1) : 0;
    }
    outside += out;
  }
  return outside;
}

lh_status lh_piece_optics_zone(const lh_piece_optics *o, const lh_zone_cover *z,
                               lh_arena *a, const lh_watch *watch, float *rgb,
                               size_t *outside)
{
  size_t nx = (size_t)z->grid.nx, ny = (size_t)z->grid.ny;
  unsigned char slip[LH_LAYERS_MOST];
  double most[LH_LAYERS_MOST] = {0};
  lh_fast_stack *f = lh_arena_take(a, 1, sizeof *f);
  int layers = z->laying.layers;
  lh_status st;

  if (!f) return LH_NOMEM;
  for (int i = 0; i < layers; i++) {
    float high = 0;
    for (size_t k = 0; k < nx * ny; k++)
      high = z->maps.coat[i][k] > high ? z->maps.coat[i][k] : high;
    most[i] = (double)high;
    slip[i] = (unsigned char)z->laying.layer_slip[i];
  }
  st = lh_fast_prepare(&o->ready, slip, most, layers, a, f);
  if (st == LH_RANGE) return remember(o, z, slip, a, watch, rgb, outside);
  if (st != LH_OK) return st;
  for (size_t y = 0; y < ny; y++) {
    const float *row[LH_LAYERS_MOST];
    if (!lh_watch_go(watch, (double)y / (double)ny)) return LH_CANCELLED;
    for (int i = 0; i < layers; i++) row[i] = z->maps.coat[i] + y * nx;
    lh_fast_rgb(o->isa, f, row, nx, rgb + 3 * y * nx);
    *outside += cut(rgb + 3 * y * nx, nx);
  }
  return LH_OK;
}
