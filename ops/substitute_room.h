/* SPDX-License-Identifier: GPL-3.0-or-later */
/* substitute_room.h -- between the files of the operation `substitute`:
** substitute.c has the fields and the order of things, _stock.c finds the
** materials and the target, _limits.c what may be used how much, _say.c tells.
** Memory: the call's arena. */
#ifndef LH_SUBSTITUTE_ROOM_H
#define LH_SUBSTITUTE_ROOM_H

#include "change.h"
#include "chem/doubt.h"
#include "chem/search.h"

/* A colouring oxide that moves by more than this share of what it was is
** cautioned about ...  A judgement. */
#define LH_SUB_COLOUR_SHARE 0.1

/* ... and by more than this much of what is fired.  A judgement.      [%] */
#define LH_SUB_COLOUR_PERCENT 0.1

/* The least of an addition that stays: far under any scale's step.    [%] */
#define LH_SUB_KEPT_PERCENT 1e-3

/* Nearer than this is told as the same: formulas are written to three digits.
** A judgement.  [mol; mole %] */
#define LH_SUB_SAME 5e-7

/* Under this share of the target a distance is the arithmetic's own noise: a
** thousand times 2^-52, sums of some tens of terms. */
#define LH_SUB_NOISE 1e-12

/* ---- what is asked ------------------------------------------------------ */

typedef struct {
  lh_list unity; /* lh_amount */
  lh_recipe_doc *recipe;
} lh_sub_target;

typedef struct {
  const char *material;
  int class_; /* lh_material_classes; -1 */
  bool must, never;
  double least_percent, most_percent, share_percent, ratio, stock_g;
  const char *ratio_to;
} lh_sub_limit;

typedef struct {
  lh_list oxides; /* const char * */
} lh_sub_group;

typedef struct {
  lh_sub_target *target;
  lh_list without;   /* const char *    */
  lh_list materials; /* lh_material_doc */
  lh_list stock;     /* const char *    */
  long most_materials, choices, visits;
  lh_list limits;  /* lh_sub_limit */
  lh_list weights; /* lh_amount    */
  lh_list groups;  /* lh_sub_group */
  double batch_g, class_points, tile_g, peak_c;
  int reducing; /* 0 no, 1 yes, -1 not told */
  bool like_for_like, keep_additions, cheapest;
  double tolerance;
  long draws, seed;
  long choice; /* of substitute_sheet */
  int paper;   /* of substitute_sheet: a4, letter */
  double analysis_percent;
} lh_sub_ask;

/* ---- what is gathered --------------------------------------------------- */

/* Where a limit of the problem came from. */
typedef enum {
  LH_SUB_ASKED,
  LH_SUB_CLASS,
  LH_SUB_KEPT,
  LH_SUB_STOCK
} lh_sub_of;

typedef struct {
  lh_sub_of of;
  size_t row;       /* ASKED: of /limits     */
  const char *name; /* the material or class */
} lh_sub_origin;

/* How sure, the analyses drawn anew. */
typedef struct {
  bool done;
  double figure_percent; /* what an analysis is good to when it is silent */
  const char **name;     /* the bags of all choices and of the old recipe */
  lh_material *bag;
  size_t materials, judged;
  lh_doubt_choice *choice;
} lh_sub_sure;

typedef struct {
  const lh_call *call;
  const lh_sub_ask *ask;
  lh_list materials; /* lh_material_doc: beside, then the book's */

  int kind; /* lh_kind */
  lh_recipe_found *old;
  bool *gone; /* gone[old->count]: it cannot be had any more */
  bool all_had;
  lh_change_side before;

  lh_material_found *stock; /* what may be chosen: no inert stain */
  size_t count;
  const char *stock_from;
  size_t stains;     /* inert stains of the old recipe      */
  size_t stain_gone; /* of these, not to be had             */
  bool melting_gone; /* an addition that melts is missing   */

  size_t row[LH_OXIDES], rows;
  double row_target[LH_SEARCH_ROWS], row_weight[LH_SEARCH_ROWS];
  lh_search_use *use;
  lh_search_limit limit[LH_SEARCH_LIMITS];
  lh_sub_origin origin[LH_SEARCH_LIMITS];
  size_t limits;
  bool class_had[16], class_lost[16]; /* by lh_material_classes */

  lh_search_problem problem;
  lh_search_choice *choice;
  lh_search_proof proof;
  lh_sub_sure sure;
  lh_change_tried tried;
} lh_sub;

/* The tables of limits and groups, for move_cone too. */
extern const lh_fields lh_sub_limit_table, lh_sub_group_table;

/* ---- the steps ---------------------------------------------------------- */

/* Find target and stock; s->before, s->stock, s->rows and the like. */
lh_status lh_sub_find(lh_sub *s, lh_reply *r, lh_fault *fault);

/* A fired oxide by name; a fault at /KEY/ITEM that names the nearest. */
lh_status lh_sub_oxide(const char *name, const char *pointer, size_t *oxide,
                       lh_fault *fault);

/* Fill use and limits; refuse those that cannot hold on their face. */
lh_status lh_sub_limits(lh_sub *s, lh_fault *fault);

/* Say which limit leaves no recipe: the first without which there is one. */
lh_status lh_sub_impossible(lh_sub *s, lh_fault *fault);

/* A choice as a recipe: its materials in 100 parts, the inert stains added. */
lh_status lh_sub_recipe(const lh_sub *s, const lh_search_choice *c,
                        lh_recipe_found *found);

/* Draw the analyses anew; into and out of s->sure. */
lh_status lh_sub_doubt(lh_sub *s, lh_fault *fault);
void lh_sub_put_sure(const lh_sub *s, size_t k, lh_reply *r, json_t *to);
void lh_sub_say_sure(const lh_sub *s, lh_reply *r);

/* The first tiles: a line from old to new where both can be mixed. */
void lh_sub_put_tiles(const lh_sub *s, const lh_recipe_found *f, lh_reply *r,
                      json_t *to);
void lh_sub_say_tiles(const lh_sub *s, const lh_recipe_found *f, lh_reply *r);

/* The cheapest, where it was asked for. */
lh_status lh_sub_price(lh_sub *s, lh_reply *r, lh_fault *fault);

/* The page of one choice as PDF into the reply. */
lh_status lh_sub_page(lh_sub *s, size_t k, lh_reply *r);

/* What one step's tile weighs, in words; into a list, unless it is NULL. */
const char *lh_sub_tile_words(const lh_sub *s, const lh_recipe_found *f,
                              double share, lh_reply *r, json_t *lines);
enum { LH_SUB_STEPS = 5 }; /* tiles of the line from old to new */
/* The first step: 0, the old recipe, if that can be mixed; else the last. */
int lh_sub_first_step(const lh_sub *s);

/* Cautions of a choice into a list; `say`: and in lines for a person. */
void lh_sub_cautions(const lh_sub *s, const lh_recipe_found *f,
                     const lh_change_side *after, lh_reply *r, json_t *to,
                     bool say);

/* Everything into the reply. */
lh_status lh_sub_say(lh_sub *s, lh_reply *r, lh_fault *fault);

#endif
