/* SPDX-License-Identifier: GPL-3.0-or-later */
/* learn_ask.h -- what the files of the operation `learn` share: the tiles as
** they were asked, made ready for a fit, and what came out of it told.
*/
#ifndef LH_LEARN_ASK_H
#define LH_LEARN_ASK_H

#include "learn_fit.h"
#include "operation.h"
#include "spectra_doc.h"

typedef struct {
  double index, *absorption_m2_g;
  int dissolving; /* lh_learn_dissolving, or -1: as the tiles bear */
  double eats_g_m2, dissolved_share; /* eats NAN: not told        */
} lh_learn_glaze_ask;

typedef struct {
  const char *name, *ground;
  double coat_g_m2, coats, jar_loss_g, area_cm2, coat_error_percent;
  double glaze_g_m2, *reflectance;
  lh_list lab;
  double stain_percent; /* of the dry base; NAN: not told */
  int geometry;         /* -1: as all are */
  bool is_ground;       /* read: no slip on it */
  double coat;          /* read                                    [g/m2] */
  size_t held_low, held_high; /* of a file: wavelengths at either end that
                                 were not measured (learn_file.h) */
  double lab_sd; /* of a photograph's reading; 0: as lab_error says */
} lh_learn_tile_ask;

typedef struct {
  const char *name;
  int kind; /* LH_STAIN_INERT, LH_STAIN_DISSOLVING */
} lh_learn_stain_ask;

typedef struct {
  const char *slip;
  lh_learn_stain_ask *stain;
  double at_percent;      /* of the stain, of the dry base */
  lh_list tiles;          /* lh_learn_tile_ask */
  lh_list photographs;    /* lh_photograph_ask (photograph.h) */
  lh_spectra_doc spectra; /* an instrument's file (learn_file.h) */
  lh_learn_glaze_ask *glaze;
  double litre_weight_g, solids_density, one_coat_g_m2;
  double reading_error, lab_error, smooth;
  int geometry, read_by;
  bool covariance;
} lh_learn_ask;

/* The order of the choices. */
enum { LH_READ_SPECTRUM, LH_READ_COLORIMETER, LH_READ_PHOTOGRAPH };

enum { LH_STAIN_INERT, LH_STAIN_DISSOLVING };
extern const char *const lh_stain_kinds[];

/* What is fitted: one of the two kinds. */
typedef struct {
  bool three; /* numbers a tile, not a spectrum */
  lh_learn spectra;
  lh_three numbers;
  const char *ground[LH_LEARN_GROUNDS];
  size_t grounds;
  size_t coated;                  /* tiles with slip on them              */
  size_t weights;                 /* different coat weights among them    */
  size_t of_tile[LH_LEARN_TILES]; /* which tile of the document each is  */
  bool absorb_told;               /* the glaze's absorption was given     */
  bool may_dissolve;              /* the tiles bear it                    */
} lh_learn_set;

/* Read the photographs: tiles that were not read otherwise take the colour of
** their own name.  *read: what came out of each, NULL when there are none. */
struct lh_photograph_read;
lh_status lh_learn_photographs(const lh_call *call, lh_learn_ask *ask,
                               struct lh_photograph_read **read,
                               lh_fault *fault);
void lh_learn_photographs_tell(const lh_learn_ask *ask,
                               const struct lh_photograph_read *read,
                               lh_reply *r);

/* Make the problem ready; what the tiles cannot bear is refused in words. */
lh_status lh_learn_ready(const lh_learn_ask *ask, lh_arena *a,
                         lh_learn_set *set, lh_fault *fault);

/* The least that a reading of this kind may be trusted: dE00 (judgements). */
double lh_learn_floor(const lh_learn_ask *ask, const lh_learn_set *set);

/* ---- a stain at several strengths (learn_stain.c) ---- */

enum { LH_LEARN_STRENGTHS = 12 };

/* One strength of an oxide that dissolves: fitted by itself. */
typedef struct {
  lh_learn_ask ask; /* its own tiles, and those of the grounds */
  lh_learn_set set;
  lh_learn_fit fit;
  double percent;
} lh_learn_strength;

typedef struct {
  size_t n; /* of an inert stain all in one, set and fit of the first */
  lh_learn_strength *at;
  double tested[LH_LEARN_TILES]; /* strengths with slip on tiles, ascending */
  size_t n_tested;
} lh_learn_strengths_set;

/* Are the tiles' strengths told, and such as their kind can be learnt from? */
lh_status lh_learn_stain_good(const lh_learn_ask *ask, lh_fault *fault);
/* Fit: each strength by itself, or all together. */
lh_status lh_learn_stain_fit(const lh_call *call, const lh_learn_ask *ask,
                             lh_learn_strengths_set *s, lh_fault *fault);
void lh_learn_stain_tell(const lh_learn_ask *ask,
                         const lh_learn_strengths_set *s, lh_reply *r);

/* The parts of what is told, each into an object. */
double lh_learn_trusted(const lh_learn_ask *ask, const lh_learn_set *set,
                        const lh_learn_fit *fit);
bool lh_learn_provisional(const lh_learn_set *set);
void lh_learn_put_optics(lh_reply *r, json_t *to, const lh_slip_optics *slip,
                         const double k_sd[LH_WAVES],
                         const double s_sd[LH_WAVES]);
void lh_learn_put_around(const lh_learn_ask *ask, const lh_learn_set *set,
                         const lh_learn_fit *f, lh_reply *r, json_t *to);
void lh_learn_put_tiles(const lh_learn_ask *ask, const lh_learn_set *set,
                        const lh_learn_fit *f, lh_reply *r, json_t *list);
void lh_learn_put_trust(const lh_learn_ask *ask, const lh_learn_set *set,
                        const lh_learn_fit *f, lh_reply *r, json_t *to);
/* The lines below the title: trust, cautions, tiles, glaze. */
void lh_learn_say(const lh_learn_ask *ask, const lh_learn_set *set,
                  const lh_learn_fit *f, lh_reply *r);

/* Tell what came out. */
void lh_learn_tell(const lh_learn_ask *ask, const lh_learn_set *set,
                   const lh_learn_fit *fit, lh_reply *r);

#endif
