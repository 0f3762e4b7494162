/* SPDX-License-Identifier: GPL-3.0-or-later */
/* repeat.h -- a motif, again and again: around a band or about a disc.
**
** A repeat gives placings: the isometries of the chart that carry the motif
** where its symmetry wants it.  Around a band these are the seven frieze
** groups, in a disc the rosettes Cn and Dn.  Up-down mirrors are mirrors of
** the chart about its mid-line: angles stay true, and the mirrored motif is
** as large as the scale there makes it (lh_shape_stretch says how much).
**
** Placings are the caller's; nothing here allocates or remembers.
**
** Units: turns, mm up the profile.
*/
#ifndef LH_REPEAT_H
#define LH_REPEAT_H

#include "mark.h"

/* The frieze groups by their IUC names, then the rosettes. */
typedef enum {
  LH_P1,   /* repeat                                       */
  LH_P11G, /* glide: every other one upside down           */
  LH_P1M1, /* mirror, left and right                       */
  LH_P2,   /* half turn                                    */
  LH_P2MG, /* mirror, glide and half turn                  */
  LH_P11M, /* mirror, up and down                          */
  LH_P2MM, /* both mirrors                                 */
  LH_CN,   /* rosette: turned                              */
  LH_DN,   /* rosette: turned and mirrored                 */
  LH_SYMMETRIES
} lh_symmetry;

/* Most repeats, and most motifs of one cell. (judgement) */
enum { LH_REPEATS_MOST = 1000, LH_CELL_MOST = 4 };

/* One instance of a motif differs. */
typedef struct {
  size_t instance; /* which, counted from 0 in the order of lh_repeat_fill */
  bool left_out;
  double move_turns; /* around [turns]              */
  double move_up;    /* up the profile [mm]         */
  double turn;       /* about the motif's anchor, anticlockwise as seen */
                     /* [turns]                     */
  double scale;      /* 1 leaves the size [1]       */
} lh_exception;

typedef struct {
  lh_symmetry symmetry;
  size_t count;      /* repeats (cells) around                         */
  double axis_turns; /* where the mirror, or centre of half turn, of   */
                     /* the first cell stands                          */
  const lh_exception *exceptions; /* two for one instance: the later counts */
  size_t n_exceptions;
} lh_repeat;

/* Where one instance goes.  On a band a point at t turns, height y of the
** chart goes to (flip_x ? -t : t) + turns and (flip_y ? height - y : y); in a
** disc angles go likewise and flip_y is not used.  After that the instance is
** moved, turned and scaled about its own anchor. */
typedef struct {
  size_t instance;
  double turns;
  bool flip_x, flip_y;
  double move_turns, move_up, turn, scale; /* as in lh_exception */
} lh_placing;

/* The one placing of a mark that is not repeated. */
#define LH_PLACING_SAME ((lh_placing){.scale = 1.0})

/* Motifs in one cell: 1, 2 or 4; 0 for no such symmetry. */
size_t lh_symmetry_cell(lh_symmetry s);

/* Is it one for bands (the friezes), or for discs (the rosettes)? */
bool lh_symmetry_for_disc(lh_symmetry s);

/* The name: "p1", ..., "p2mm", "cn", "dn"; NULL for no such symmetry. */
const char *lh_symmetry_name(lh_symmetry s);

/* The placings of a repeat, cell by cell, within a cell the motif first and
** then its images, those left out not among them.
**
** Given:     r      the repeat
**            cap    room in out; out may be NULL when cap is 0
** Returned:  out[0..cap)
**            *n     how many there are, even if > cap
** Status:    LH_OK; LH_TOOLARGE if *n > cap (call again with more);
**            LH_RANGE for a count of 0 or above LH_REPEATS_MOST, an
**            exception for no instance, a scale not above 0, or a NaN
** Notes:  1) With T = 1/count and the axis at a, a cell holds besides (t, y)
**              p11g (t + T/2, -y)        p11m (t, -y)
**              p1m1, dn (2a - t, y)      p2   (2a - t, -y)
**              p2mm (2a - t, y), (t, -y), (2a - t, -y)
**              p2mg (2a - t, -y), (t + T/2, -y), (2a + T/2 - t, y)
** Ref:    International Tables for Crystallography, vol. E: frieze groups.
*/
lh_status lh_repeat_fill(const lh_repeat *r, lh_placing *out, size_t cap,
                         size_t *n);

#endif
