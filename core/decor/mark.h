/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mark.h -- what a hand lays on a pot, in the pot's own millimetres.
**
** A mark is anchored at a point of a zone and drawn in local mm that are true
** to size there: x around, y up the profile, as the painter sees the face.
** Three shapes stand behind all kinds of mark:
**
**   sweep     stroke, dab, line, dot, sgraffito: a brush whose width and coat
**             weight change along a path of nibs
**   polygon   fill: a closed outline
**   ring      banding line: all around, from one height to another
**
** This room knows nothing of colour, files or screens, nor of what a slip is:
** slips are numbers.  Marks and their nibs are the caller's; nothing here
** allocates or remembers.  Only + - * / sqrt and exact.h: the same bits
** native and as WebAssembly.
**
** Units: mm leather-hard, turns (anticlockwise), coat weight in g/m2 dry.
*/
#ifndef LH_MARK_H
#define LH_MARK_H

#include <stdbool.h>
#include <stddef.h>

#include "status.h"

/* Most marks of a zone, counted as they stand on the pot (a motif of 3 marks
** in 8 repeats counts 24), and most nibs of them all together.  (judgement:
** 2,000 strokes are a crowded pot) */
enum { LH_MARKS_MOST = 20000, LH_NIBS_MOST = 1000000 };

/* Most layers of a zone.  (judgement: nobody paints so many wet coats) */
enum { LH_LAYERS_MOST = 12 };

/* The widest soft edge, and the heaviest coat of one mark. (judgement) */
#define LH_EDGE_WIDEST 20.0  /* [mm]   */
#define LH_COAT_MOST 20000.0 /* [g/m2] */

/* The slip of a sgraffito, which has none. */
enum { LH_NO_SLIP = -1 };

typedef enum {
  LH_STROKE,
  LH_DAB,
  LH_LINE,
  LH_DOT,
  LH_FILL,
  LH_BANDING,
  LH_SGRAFFITO,
  LH_MARK_KINDS
} lh_mark_kind;

typedef struct {
  double x, y;  /* local place [mm]              */
  double width; /* of the brush there [mm]       */
  double coat;  /* dry solids it lays [g/m2 dry] */
} lh_nib;

typedef struct {
  double turns; /* around, anticlockwise from above [turns] */
  double up;    /* up the profile from the zone's lower edge [mm] */
} lh_anchor;

/* A change of place, direction, size and side in the flat: a point p goes to
** (x, y) + scale * R(turn) * F p, F the flips. */
typedef struct {
  double x, y;         /* [mm]                                       */
  double turn;         /* anticlockwise as seen [turns]              */
  double scale;        /* [1]                                        */
  bool flip_x, flip_y; /* left for right; top for bottom             */
} lh_local;

/* Leaves everything as it is. */
#define LH_LOCAL_SAME ((lh_local){.scale = 1.0})

typedef struct {
  lh_mark_kind kind;
  int slip;           /* >= 0; LH_NO_SLIP for a sgraffito               */
  lh_anchor anchor;   /* not used by a banding line                     */
  lh_local local;     /* of the path; not used by a banding line        */
  double edge;        /* width of the soft edge, never scaled [mm]      */
  double coat;        /* of a fill or a banding line [g/m2 dry]         */
  double from, to;    /* of a banding line: heights up the profile [mm] */
  const lh_nib *nibs; /* the path; of a fill: the outline, closed from  */
                      /* last to first, widths and coats standing idle  */
  size_t n;           /* nibs: 1 for a dot, at least 3 for a fill,     */
                      /* at least 1 for other sweeps, 0 for a banding  */
} lh_mark;

/* Why marks were refused, for the words above core. */
typedef enum {
  LH_MARK_FINE,
  LH_MARK_NOT_NUMBER, /* NaN or infinite                                */
  LH_MARK_NIBS,       /* too few nibs for the kind, or too many         */
  LH_MARK_WIDTH,      /* a negative width                               */
  LH_MARK_COAT,       /* a negative coat weight, or above LH_COAT_MOST  */
  LH_MARK_EDGE,       /* a negative edge, or above LH_EDGE_WIDEST       */
  LH_MARK_SCALE,      /* a scale that is not above 0                    */
  LH_MARK_SLIP,       /* no slip, or a sgraffito with one               */
  LH_MARK_KIND,       /* no such kind                                   */
  LH_MARK_TOO_LARGE,  /* reaches beyond the largest pot                 */
  LH_MARK_OFF_ZONE,   /* its anchor, or a banding line, is off the zone */
  LH_MARK_WRAPS,      /* a fill that goes more than once round          */
  LH_MARK_TOO_MANY,   /* more than LH_MARKS_MOST or LH_NIBS_MOST        */
  LH_MARK_LAYERS,     /* begins layer LH_LAYERS_MOST + 1                */
  LH_MARK_NO_ROOM     /* out of memory                                  */
} lh_mark_why;

typedef struct {
  lh_mark_why why;
  size_t mark; /* which mark, counted from 0             */
  size_t nib;  /* which of its nibs, where one is at fault */
} lh_mark_fault;

/* Is the mark one that can be laid?
**
** Given:     m
** Returned:  *nib   the nib at fault; may be NULL
**            the reason, LH_MARK_FINE when none
*/
lh_mark_why lh_mark_check(const lh_mark *m, size_t *nib);

/* The nibs of a dab: a brush set down, pressed and lifted.
**
** Given:     length, width   over all, length >= 1.5 width > 0      [mm]
**            turn            direction of the pull, 0 along x       [turns]
**            coat            in the belly; it thins to `tip_share` of that
**                            at the lifted end                      [g/m2]
** Returned:  nibs[LH_DAB_NIBS], the dab centred on the origin
** Status:    LH_OK; LH_RANGE
** Notes:  1) Round where the brush is set down, widest a third of the way,
**            drawn out to a tip of a tenth of the width: the shape of a
**            round brush pressed and lifted.  (judgement)  For anything
**            rounder use a dot.
*/
enum { LH_DAB_NIBS = 9 };
lh_status lh_dab(double length, double width, double turn, double coat,
                 double tip_share, lh_nib *nibs);

/* Two changes as one: first inner, then outer. */
lh_local lh_local_join(const lh_local *outer, const lh_local *inner);

#endif
