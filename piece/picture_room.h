/* SPDX-License-Identifier: GPL-3.0-or-later */
/* picture_room.h -- what the files that draw pictures share.
**
**   picture.c   colours of the zones; the band unrolled
**   pot.c       the pot's picture: camera, pixels
**   lathe.c     the pot as rings of nodes around its axis
**   light.c     the soft light, its shadows, what is thrown back
**   paint.c     the colour at a place of the pot
**   raster.c    which place of the pot a sample of the picture shows
**
** The world: x to the right, y away from the painter, z up [fired mm], the
** axis of the pot at x = y = 0.  Turns run anticlockwise from above; 0 is in
** front.  Light is in the units of the picture: a white sheet under 1 is 1.
*/
#ifndef LH_PICTURE_ROOM_H
#define LH_PICTURE_ROOM_H

#include "picture.h"

#define LH_TAU 6.283185307179586

/* ---- to the screen ------------------------------------------------------ */

enum { LH_SCREEN_STEPS = 4096 };

/* Encoded sRGB over linear light, times 255; straight between (error below
** 0.005 of a step of 8 bits). */
typedef struct {
  float level[LH_SCREEN_STEPS + 2];
} lh_screen;

void lh_screen_make(lh_screen *s);

/* One byte; rounding 0.5, or a dither from 0 to below 1. */
static inline unsigned char lh_screen_byte(const lh_screen *s, float linear,
                                           float rounding)
{
  float x = linear > 0 ? (linear < 1 ? linear : 1) * LH_SCREEN_STEPS : 0;
  int i = (int)x;
  float v = s->level[i] + (x - (float)i) * (s->level[i + 1] - s->level[i]);

  return (unsigned char)(v + rounding);
}

/* ---- the pot as rings --------------------------------------------------- */

enum {
  LH_LATHE_TURNS = 480, /* steps around of the mesh                     */
  LH_LATHE_NODES = 256, /* most rings of a face                         */
  LH_KEY_TURNS = 256,   /* steps around of the stored light             */
  LH_LEVELS = 24,       /* rings that are looked at for what hides what */
  LH_NO_FACE = -1
};

/* One ring. */
typedef struct {
  float r, z;   /* radius, height                   [fired mm]        */
  float nr, nz; /* unit normal, out of the clay                       */
  float s;      /* along the profile                [leather-hard mm] */
  float sky[3]; /* light from sky, table and the pot itself           */
} lh_ring;

/* A face of the pot, or its rim. */
typedef struct {
  int face;    /* lh_face; LH_NO_FACE where no zone can lie           */
  bool inward; /* seen from the axis                                  */
  bool cavity; /* light comes in through the mouth                    */
  size_t n;
  lh_ring *ring;
  float *key; /* n x LH_KEY_TURNS: the soft light, shadows and all   */
} lh_lathe;

/* Outlines for what hides what, from the lowest up. */
typedef struct {
  size_t n;
  double r[LH_LEVELS], z[LH_LEVELS];
} lh_levels;

enum { LH_LATHES = 4 };

typedef struct {
  size_t n;
  lh_lathe lathe[LH_LATHES];
  lh_levels outside, inside;
  double radius, low, high; /* greatest radius; table, top [fired mm] */
  double mouth_r, mouth_z;  /* the inside's lip                       */
} lh_turned;

/* The pot's rings at fired size. */
lh_status lh_turned_make(const lh_piece *p, lh_arena *a, lh_turned *t);

/* ---- the colour at a place ---------------------------------------------- */

typedef struct {
  const lh_piece_skin *skin;
  double turn;   /* of the pot                                   */
  float **chart; /* beside the zones: chart height or distance over s, in
                    map pixels, LH_PAINT_STEPS + 1 numbers        */
} lh_paint;

enum { LH_PAINT_STEPS = 1024 };

lh_status lh_paint_make(const lh_piece_skin *s, double turn, lh_arena *a,
                        lh_paint *p);

/* Linear colour of a place on a face.
**
** Given:     face    lh_face or LH_NO_FACE
**            s       along its profile                [leather-hard mm]
**            soft    width over which zones end       [leather-hard mm]
**            turns   in the world, not of the pot
*/
void lh_paint_at(const lh_paint *p, int face, float s, float soft, float turns,
                 float rgb[3]);

/* The mean colour of a face. */
void lh_paint_mean(const lh_paint *p, const lh_lathe *l, float rgb[3]);

/* ---- light -------------------------------------------------------------- */

enum { LH_SOFTBOX = 5, LH_TABLE_STEPS = 192 };

typedef struct {
  double card[3], shadow[3];      /* towards the card; towards what casts the
                                     shadow                                 */
  double grey;                    /* of the table */
  double to[3], across[3], up[3]; /* the softbox's frame                  */
  double box[LH_SOFTBOX * LH_SOFTBOX][3]; /* directions to parts of it     */
  float table[LH_TABLE_STEPS + 1];        /* sky on the table over the distance
                                             from the axis, 1: all of it          */
  double table_step; /* [fired mm]                           */
  float own[3];      /* what the outside sends to itself        */
  double shadow_soft;
  float cavity[3]; /* what the inside sends back to itself */
  const lh_turned *pot;
} lh_light;

/* Light a pot: fills its sky and key.
**
** Given:     t, paint
**            box      towards the middle of the softbox
**            card     towards the pale card
** Returned:  *l
** Status:    LH_OK; LH_CANCELLED; LH_NOMEM
*/
lh_status lh_light_make(lh_turned *t, const lh_paint *paint,
                        const double box[3], const double card[3], lh_arena *a,
                        const lh_watch *watch, lh_light *l);

/* How light the table is at x, y: 1 away from the pot. */
double lh_light_table(const lh_light *l, double x, double y);

/* What a mirror at a place of the pot would show in a direction. */
void lh_light_mirror(const lh_light *l, const lh_lathe *part,
                     const double at[3], const double to[3], float rgb[3]);

/* The grey of the table: 8-bit 171, L* 69.9; the page's grey. */
#define LH_TABLE_BYTE 171

/* ---- samples ------------------------------------------------------------ */

enum { LH_FINE = 4, LH_STRIP = 16 }; /* samples a pixel each way; pixel rows */

typedef struct {
  float x, y, depth; /* in samples from the upper left; away [fired mm] */
} lh_spot;

typedef struct {
  size_t width;         /* samples across                                     */
  long top;             /* first sample row of the strip                      */
  float *depth, *u, *v; /* of each sample: ring and turn step, with
                           fractions                                  */
  unsigned char *part;  /* lathe + 1; 0: the table                    */
} lh_strip;

lh_status lh_strip_make(size_t width_px, lh_arena *a, lh_strip *s);

/* Clear a strip and draw a pot's lathes into it.
**
** Given:     spot    for each lathe n x (LH_LATHE_TURNS + 1)
*/
void lh_strip_draw(lh_strip *s, const lh_turned *t, lh_spot *const *spot);

/* ---- the pot's picture -------------------------------------------------- */

lh_status lh_pot_draw(const lh_piece_skin *s, const lh_picture_ask *ask,
                      lh_arena *a, const lh_watch *watch, lh_image *image);

#endif
