/* SPDX-License-Identifier: GPL-3.0-or-later */
/* match_room.h -- what match.c works out and match_say.c says. */
#ifndef LH_MATCH_ROOM_H
#define LH_MATCH_ROOM_H

#include "chem/stain.h"
#include "match.h"
#include "stack_words.h"
#include "tested.h"

typedef struct {
  lh_list colour;
  json_t *slip;
} lh_wanted_doc;

typedef struct {
  const char *name;
  double *absorption, *scattering;
  double most_percent, price_per_kg, stock_g;
  int family; /* of lh_stain_families; -1: not told */
  /* As learn tells it: */
  int kind;                  /* inert, dissolving          */
  double *k_error, *s_error; /* passed over                */
  lh_list strengths;         /* lh_strength_doc            */
} lh_stain_doc;

/* A strength of an oxide that dissolves. */
typedef struct {
  double percent, *absorption, *scattering, *k_error, *s_error;
} lh_strength_doc;

extern const lh_fields lh_strength_table;

typedef struct {
  size_t stain; /* which of the stains           */
  lh_tested *tested;
  size_t n;
  double most; /* tested and allowed        [%] */
} lh_match_oxide;

typedef struct {
  double *reflectance;
  lh_list stack;
} lh_match_over;

typedef struct {
  lh_wanted_doc *target;
  lh_list stains; /* lh_stain_doc */
  lh_list stock;  /* names in the book */
  json_t *base;
  lh_match_over *over;
  lh_glaze_ask *glaze;
  lh_doubt_doc *doubt;
  int geometry, illuminant;
  double coat_g_m2, least_g_m2, most_g_m2;
  long most_stains, choices;
  double most_total_percent, each_stain_de00, tolerance;
  double weighing_error_percent, dry_g, peak_c;
  const char *atmosphere;
} lh_match_fields;

enum { LH_MATCH_SHOWN = 20, LH_MATCH_STRENGTHS = 12 };

/* What is shown of one choice. */
typedef struct {
  lh_match_choice choice;
  lh_range off;  /* with every doubt                          */
  lh_range hand; /* with the hand's and the scale's alone     */
  double lamp;   /* dE00 under A from the slip wanted; or NaN */
} lh_match_shown;

typedef struct {
  const lh_match_fields *fields;
  const lh_stain_doc *stains; /* told, and of the book */
  size_t n_stains;
  lh_slip_part base, wanted;
  bool by_slip;
  lh_stack stack;
  lh_stack_layer layers[LH_STACK_LAYERS];
  lh_glaze glaze;
  lh_match_stain parts[LH_MATCH_STAINS]; /* the inert ones */
  size_t part_of[LH_MATCH_STAINS];       /* which stain each is */
  lh_match_oxide oxide[LH_MATCH_STAINS];
  size_t n_oxides;
  lh_match_ask ask;
  lh_stack_doubt doubt;
  lh_match_shown shown[LH_MATCH_SHOWN];
  size_t n;
  lh_match_info info;
  lh_arena *arena;
} lh_match_work;

/* Most of one stain in a blend, % of the base. (judgement) */
#define LH_STAIN_MOST_PERCENT 15.0

/* The stains to choose from: those told, those named in the book, or all that
** the book has with K and S when none is told. */
lh_status lh_match_gather(const lh_call *call, lh_match_work *w,
                          lh_fault *fault);

/* Colours of a slip in the blend's place, at the three coats. */
lh_status lh_match_colours(const lh_match_work *w, const lh_slip_optics *slip,
                           lh_illuminant ill, lh_lab out[LH_MATCH_COATS]);

/* Oxides that dissolve (match_oxide.c): read stain i; put the best strength of
** each among the choices; say how they were tried. */
lh_status lh_match_oxide_read(lh_match_work *w, size_t i, lh_fault *fault);
lh_status lh_match_oxides(lh_match_work *w, double weighing,
                          const lh_stack_doubt *hand);
void lh_match_oxides_say(const lh_match_work *w, lh_reply *r);

void lh_match_put(const lh_match_work *w, lh_reply *r);
void lh_match_say(const lh_match_work *w, lh_reply *r);

#endif
