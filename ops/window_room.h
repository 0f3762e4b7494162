/* SPDX-License-Identifier: GPL-3.0-or-later */
/* window_room.h -- what window.c works out and window_say.c says. */
#ifndef LH_WINDOW_ROOM_H
#define LH_WINDOW_ROOM_H

#include "pixel.h"
#include "slip/coat.h"
#include "stack_words.h"
#include "window.h"

typedef struct {
  lh_list colour;
} lh_target_doc;

typedef struct {
  double *reflectance;
  lh_list stack;
} lh_over_doc;

/* The operation's fields; in a piece the slip is named, and most of the rest
** is known. */
typedef struct {
  double pixel_mm;
  json_t *slip;
  lh_over_doc *over;
  lh_target_doc *target;
  double best, tolerance, heaviest_g_m2, area_cm2;
  lh_substrate_doc *body, *ground;
  lh_glaze_ask *glaze;
  lh_doubt_doc *doubt;
  int geometry, illuminant;
} lh_window_fields;

enum { LH_CURVE_SHOWN = 41 };

/* One window, worked out. */
typedef struct {
  const lh_window_fields *fields;
  lh_slip_part slip;
  lh_stack stack;
  lh_stack_layer layers[LH_STACK_LAYERS];
  lh_glaze glaze;
  lh_window_ask ask;
  double body[LH_WAVES], ground[LH_WAVES];
  lh_stack_doubt doubt;
  bool body_told, ground_told;
  double area_cm2;   /* NaN: not told                              */
  const char *below; /* what lies under it, in words               */
  lh_coat_slip coat; /* litre_weight 0: coats have one name only   */
  lh_window window;
  lh_window_range range;
  lh_window_point curve[LH_CURVE_SHOWN];
} lh_window_work;

/* Put it into the reply, for programs and for a person. */
void lh_window_put(const lh_window_work *w, lh_reply *r);
void lh_window_say(const lh_window_work *w, lh_reply *r);

#endif
