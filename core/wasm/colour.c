/* SPDX-License-Identifier: GPL-3.0-or-later */
/* colour.c -- slips, body and glaze as a palette; maps as bytes for a screen.
 */
#include <string.h>

#include "measure.h"
#include "room.h"
#include "stack.h"
#include "strength.h"

/* Stands at the beginning of the palette's room. */
typedef struct {
  lh_stack_ready ready;
  lh_slip_ready slips[LH_PALETTE_SLIPS];
} palette;

_Static_assert(sizeof(palette) <= LH_PALETTE_ROOM, "a palette has room");
_Static_assert((int)LH_MEMO_LAYERS == (int)LH_LAYERS_MOST,
               "a remembered stack takes every layer of a zone");

enum { HEAD = 6 };

int lh_module_palette(const double *in, size_t n, void *room, size_t bytes)
{
  palette *p = room;
  size_t base = HEAD + 2 * LH_WAVES, each = 2 * LH_WAVES, slips;
  lh_glaze glaze = {.index = 1.0};
  lh_status st = LH_OK;

  if (n < base || (n - base) % each != 0) return (int)LH_INPUT;
  slips = (n - base) / each;
  if (slips > LH_PALETTE_SLIPS) return (int)LH_INPUT;
  if (!(in[0] >= 0 && in[0] < LH_GEOMETRIES) ||
      !(in[1] >= 0 && in[1] < LH_ILLUMINANTS))
    return (int)LH_INPUT;
  if (bytes < sizeof *p) return (int)LH_NOMEM;
  glaze.index = in[3];
  glaze.eaten = in[4];
  glaze.share = in[5];
  memcpy(glaze.optical_depth, in + HEAD, sizeof glaze.optical_depth);
  for (size_t i = 0; i < slips && st == LH_OK; i++) {
    const double *at = in + base + i * each;
    lh_slip_optics o;
    memcpy(o.absorption, at, sizeof o.absorption);
    memcpy(o.scattering, at + LH_WAVES, sizeof o.scattering);
    st = lh_slip_prepare(&o, &p->slips[i]);
  }
  if (st == LH_OK)
    st = lh_stack_prepare(p->slips, slips, in + HEAD + LH_WAVES,
                          in[2] != 0.0 ? &glaze : NULL, (lh_geometry)in[0],
                          (lh_illuminant)in[1], &p->ready);
  return (int)st;
}

int lh_module_colour(const void *room, const double *stack, size_t n,
                     double *out)
{
  const palette *p = room;
  unsigned char slip[LH_STACK_LAYERS];
  double coat[LH_STACK_LAYERS];
  lh_xyz xyz;
  lh_lab lab;
  lh_rgb rgb;

  if (n > LH_STACK_LAYERS) return (int)LH_TOOLARGE;
  for (size_t i = 0; i < n; i++) { /* top first, as stack.h has it */
    const double *at = stack + 2 * (n - 1 - i);
    if (!(at[0] >= 0 && at[0] < (double)p->ready.slip_count) || !(at[1] >= 0))
      return (int)LH_INPUT;
    slip[i] = (unsigned char)at[0];
    coat[i] = at[1];
  }
  xyz = lh_stack_pixel(&p->ready, slip, coat, n, NULL);
  lab = lh_xyz_lab(xyz, lh_spectrum_white(p->ready.illuminant));
  rgb = lh_srgb_clip(lh_spectrum_srgb(xyz, p->ready.illuminant));
  out[0] = lab.L;
  out[1] = lab.a;
  out[2] = lab.b;
  out[3] = rgb.r;
  out[4] = rgb.g;
  out[5] = rgb.b;
  return (int)LH_OK;
}

/* A slip's numbers in a palette's. */
static void optics_of(const double *in, size_t slip, lh_slip_optics *o)
{
  const double *at = in + HEAD + 2 * LH_WAVES + slip * 2 * LH_WAVES;

  memcpy(o->absorption, at, sizeof o->absorption);
  memcpy(o->scattering, at + LH_WAVES, sizeof o->scattering);
}

/* One slip of a palette shifted: as laid says it lies. */
static lh_status shift(const double *in, size_t slips, size_t slip,
                       const double *laid, int to, lh_slip_optics *out)
{
  lh_glaze glaze = {.index = in[3], .eaten = in[4], .share = in[5]};
  lh_slip_optics upper, lower;
  lh_stack_layer layers[2] = {{&upper, laid[1]}, {&lower, laid[3]}};
  lh_stack s = {layers, laid[2] >= 0 ? 2 : 1, in + HEAD + LH_WAVES,
                in[2] != 0.0 ? &glaze : NULL, (lh_geometry)in[0]};

  if (!(laid[2] < (double)slips)) return LH_INPUT;
  memcpy(glaze.optical_depth, in + HEAD, sizeof glaze.optical_depth);
  optics_of(in, slip, &upper);
  if (s.count == 2) optics_of(in, (size_t)laid[2], &lower);
  return lh_strength_shift(&s, (lh_illuminant)in[1], laid[0], (lh_strength)to,
                           out);
}

int lh_module_strength(const double *in, size_t n, const double *laid, int to,
                       double *out)
{
  size_t base = HEAD + 2 * LH_WAVES, each = 2 * LH_WAVES;

  if (n < base || (n - base) % each != 0 || to < 0 || to >= LH_STRENGTHS)
    return (int)LH_INPUT;
  memcpy(out, in, n * sizeof *out);
  for (size_t i = 0; i < (n - base) / each; i++) {
    lh_slip_optics o;
    lh_status st = shift(in, (n - base) / each, i, laid + 4 * i, to, &o);
    if (st != LH_OK) return (int)st;
    memcpy(out + base + i * each, o.absorption, sizeof o.absorption);
    memcpy(out + base + i * each + LH_WAVES, o.scattering, sizeof o.scattering);
  }
  return (int)LH_OK;
}

size_t lh_module_memo(void)
{
  return LH_MEMO_PLACES * sizeof(lh_stack_memo);
}

static void tint_tile(const palette *p, const lh_laying *l, float *const *maps,
                      const unsigned char *slip, int tile, void *memo,
                      int rounded, unsigned char *rgba)
{
  lh_rect r = lh_tile_rect(&l->grid, tile);

  for (int y = r.y0; y < r.y1; y++) {
    for (int x = r.x0; x < r.x1; x++) {
      size_t at = (size_t)y * (size_t)l->grid.nx + (size_t)x;
      float coat[LH_MEMO_LAYERS] = {0};
      const lh_stack_memo *m;
      for (int k = 0; k < l->layers; k++)
        coat[k] = rounded ? lh_coat_round(maps[2 * k][at]) : maps[2 * k][at];
      m = lh_stack_remember(&p->ready, slip, l->layers, coat, memo);
      memcpy(rgba + 4 * at, m->byte, sizeof m->byte);
    }
  }
}

int lh_module_tint(const void *of, const void *room, float *const *maps,
                   const unsigned char *stale, void *memo, int rounded,
                   unsigned char *rgba)
{
  const palette *p = of; /* "palette" is the type's name here */
  const lh_laying *l = &((const lh_module_room *)room)->laying;
  int tiles = lh_tiles_across(&l->grid) * lh_tiles_up(&l->grid);
  unsigned char slip[LH_LAYERS_MOST];

  for (int k = 0; k < l->layers; k++) {
    if (l->layer_slip[k] >= (int)p->ready.slip_count) return (int)LH_INPUT;
    slip[k] = (unsigned char)l->layer_slip[k];
  }
  for (int i = 0; i < tiles; i++)
    if (stale[i]) tint_tile(p, l, maps, slip, i, memo, rounded, rgba);
  return (int)LH_OK;
}
