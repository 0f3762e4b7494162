/* SPDX-License-Identifier: GPL-3.0-or-later */
/* form.h -- the pot as a surface of revolution.
**
** This room answers questions of shape alone: how long the wall is from foot
** to lip, what area a band covers, what the pot holds, how much clay stands
** in it, where the wall is thin, what size it has thrown, leather-hard and
** fired.  It knows nothing of slips, colour, files or screens.
**
** A pot is two curves, outside and inside, each from foot (or centre) to lip.
** A curve is drawn through the potter's caliper points by a monotone spline
** and kept as a dense polyline with the arc length at every sample; all
** measures are those of that polyline.  Curves are the caller's structs
** (about 24 kB each); nothing here allocates, prints or remembers.  Only
** + - * / and sqrt are used: the same bits native and as WebAssembly.
**
** Units: mm, mm2, mm3; ml and g where the name says so.
*/
#ifndef LH_FORM_H
#define LH_FORM_H

#include <stdbool.h>
#include <stddef.h>

#include "status.h"

enum {
  LH_CURVE_POINTS = 64, /* most caliper points of a curve             */
  LH_CURVE_PIECES = 16, /* straight pieces between two caliper points */
  LH_CURVE_SAMPLES = (LH_CURVE_POINTS - 1) * LH_CURVE_PIECES + 1
};

/* Larger than any pot: coordinates beyond it are refused. [mm] (judgement) */
#define LH_FORM_LARGEST 10000.0

/* Caliper points nearer to each other than this are one point. [mm]
** (judgement: a tenth of what a good caliper reads) */
#define LH_FORM_NEAREST 0.001

typedef struct {
  double r, z; /* radius, height [mm] */
} lh_point;

/* A profile from foot (or centre) to lip. */
typedef struct {
  size_t n_points;            /* caliper points it was drawn through       */
  size_t n;                   /* samples; caliper point i is sample 16 i   */
  double length;              /* arc length from first to last sample [mm] */
  double r[LH_CURVE_SAMPLES]; /* radius [mm]                    */
  double z[LH_CURVE_SAMPLES]; /* height [mm]                    */
  double s[LH_CURVE_SAMPLES]; /* arc length from the first [mm] */
} lh_curve;

/* Why a profile was refused, for the words above core. */
typedef enum {
  LH_CURVE_FINE,
  LH_CURVE_TOO_FEW,    /* fewer than 2 points                          */
  LH_CURVE_TOO_MANY,   /* more than LH_CURVE_POINTS                    */
  LH_CURVE_NOT_NUMBER, /* point first has a NaN or infinite coordinate */
  LH_CURVE_NEGATIVE,   /* point first has a negative radius            */
  LH_CURVE_TOO_LARGE,  /* point first is beyond LH_FORM_LARGEST        */
  LH_CURVE_REPEATED,   /* points first and first + 1 are one           */
  LH_CURVE_ON_AXIS,    /* point first has radius 0, but is no end; or  */
                       /* two points in a row have                     */
  LH_CURVE_CROSSES     /* the span after point first meets the span    */
                       /* after point second                           */
} lh_curve_why;

typedef struct {
  lh_curve_why why;
  size_t first, second; /* caliper points, counted from 0 */
} lh_curve_fault;

/* Draw a curve through caliper points.
**
** Given:     p, n     points from foot (or centre) to lip           [mm]
** Returned:  *c       the curve; undefined unless LH_OK
**            *why     what is wrong, and at which points; may be NULL
** Status:    LH_OK; LH_TOOLARGE (too many points, or beyond the largest
**            pot); LH_INPUT for the rest of lh_curve_why
**
** Notes:  1) r(t) and z(t) are Steffen's monotone cubics over the cumulative
**            chord t: no overshoot between points, corners where two points
**            stand square stay corners.  The end slopes are Steffen's (the
**            parabola's, limited), not the plain secant.
**         2) An end on the axis is mirrored across it, so that the floor
**            of a bowl is level in the middle, as thrown.
**         3) Two points off the axis give a straight wall.
** Ref:    Steffen, M. (1990), Astron. Astrophys. 239, 443-450.
*/
lh_status lh_curve_build(const lh_point *p, size_t n, lh_curve *c,
                         lh_curve_fault *why);

/* Where a place along the curve is, and which way the curve runs there. */
typedef struct {
  lh_point at;     /* the place [mm]                                    */
  lh_point along;  /* unit tangent, foot to lip                         */
  lh_point across; /* unit normal, the tangent turned clockwise: out of */
                   /* the clay for an outside curve, into it for an     */
                   /* inside one                                        */
} lh_curve_spot;

/* The place at arc length s, with tangent and normal.
**
** Given:     c        curve
**            s        arc length from the first point, 0..length    [mm]
** Returned:  *spot    untouched unless LH_OK
** Status:    LH_OK; LH_RANGE for s off the curve or NaN
** Notes:  1) The tangent is blended between neighbouring pieces, so that a
**            picture of the pot shows no facets; a corner is rounded over
**            half a piece.
*/
lh_status lh_curve_at(const lh_curve *c, double s, lh_curve_spot *spot);

/* Lateral area of the curve turned about the axis, between s0 and s1.
**
** Given:     c, s0, s1   0 <= s0 <= s1 <= length                    [mm]
** Returned:  *area                                                  [mm2]
** Status:    LH_OK; LH_RANGE, *area untouched
** Notes:  1) Exact for the polyline: cone frusta, A = pi (r1 + r2) s.
** Ref:    Pappus' first theorem.
*/
lh_status lh_curve_area(const lh_curve *c, double s0, double s1, double *area);

/* Volume the curve encloses below a height.
**
** Given:     c        curve, closed by level discs at both ends
**            z        height                                        [mm]
** Returned:  the volume, z beyond the ends taken as the ends        [mm3]
** Notes:  1) Exact for the polyline: integral of pi r^2 dz by frusta, cut
**            at z.  A recess below a foot that the curve follows from the
**            centre is taken off.
** Ref:    Pappus' second theorem; Green's theorem.
*/
double lh_curve_volume(const lh_curve *c, double z);

/* How the enclosed volume answers to a reading that is off.
**
** Given:     c        curve
** Returned:  mm3 more for every mm by which all radii are larger: the
**            integral of 2 pi r dz                                  [mm2]
*/
double lh_curve_volume_per_radius(const lh_curve *c);

/* The height at which a pot of this inside curve runs over: its last point.
** [mm] */
double lh_curve_lip(const lh_curve *c);

/* Do the two curves make a wall?  Where they do not, at which points. */
typedef enum {
  LH_WALL_FINE,
  LH_WALL_CROSSES, /* inside span after point `inside` meets the outside */
                   /* span after point `outside`                         */
  LH_WALL_FLOOR,   /* the inside passes through the foot's level disc,   */
                   /* or the outside through the inside's floor          */
  LH_WALL_OUTSIDE  /* the inside curve starts out of the outside one     */
} lh_wall_why;

typedef struct {
  lh_wall_why why;
  size_t inside, outside; /* caliper points, counted from 0 */
} lh_wall_fault;

/* Check that the inside stays inside the outside.
**
** Given:     outside, inside   curves of one pot
** Returned:  *why              what is wrong; may be NULL
** Status:    LH_OK; LH_INPUT
** Notes:  1) The two may share their last point (a sharp lip).
*/
lh_status lh_wall_check(const lh_curve *outside, const lh_curve *inside,
                        lh_wall_fault *why);

/* Volume and weight of the clay between the two curves.
**
** Given:     outside, inside   curves of one pot, checked
**            density           of the clay at that stage        [g/cm3]
** Returned:  *volume           of the clay                      [mm3]
**            *weight                                            [g]
** Status:    LH_OK; LH_RANGE for a density not above 0 or for curves that
**            leave no clay
** Notes:  1) Outside solid less inside solid, joined by a straight rim from
**            lip to lip; a foot that starts off the axis is closed flat.
*/
lh_status lh_wall_clay(const lh_curve *outside, const lh_curve *inside,
                       double density, double *volume, double *weight);

/* Thickness of the wall at a place of the outside.
**
** Given:     outside, inside   curves of one pot
**            s                 arc length along the outside     [mm]
** Returned:  *mm               least distance to the inside curve and to
**                              its flat floor, if it has one   [mm]
** Status:    LH_OK; LH_RANGE for s off the curve
*/
lh_status lh_wall_thickness(const lh_curve *outside, const lh_curve *inside,
                            double s, double *mm);

/* The thinnest place of the wall between two places of the outside.
**
** Given:     outside, inside   curves of one pot
**            s0, s1            0 <= s0 <= s1 <= outside length  [mm]
** Returned:  *s                where                            [mm]
**            *mm               how thin                         [mm]
** Status:    LH_OK; LH_RANGE
** Notes:  1) For the rim pass a stretch that ends a little below the lip
**            (length - 3 mm, say): at a lip where the curves meet every
**            wall is thin.
**         2) Looked for at the samples and at s0 and s1.
*/
lh_status lh_wall_thinnest(const lh_curve *outside, const lh_curve *inside,
                           double s0, double s1, double *s, double *mm);

/* ---- sizes ------------------------------------------------------------ */

typedef enum { LH_THROWN, LH_LEATHER_HARD, LH_FIRED, LH_STAGES } lh_stage;

/* Linear shrinkage, as a fraction of the size before. */
typedef struct {
  double diameter, height;
} lh_shrink;

/* Of a body: from one stage to the next. */
typedef struct {
  lh_shrink to_leather_hard; /* from thrown       */
  lh_shrink to_fired;        /* from leather-hard */
} lh_shrinkage;

/* Two shrinkages one after the other: 1 - (1 - a)(1 - b). */
lh_shrink lh_shrink_then(lh_shrink a, lh_shrink b);

/* The second of two shrinkages, when the first and both together are known:
** 1 - (1 - total)/(1 - a); a must be below 1. */
lh_shrink lh_shrink_rest(lh_shrink total, lh_shrink a);

/* Volume shrinkage: 1 - (1 - diameter)^2 (1 - height). */
double lh_shrink_volume(lh_shrink a);

/* Points of one stage as they were or will be at another.
**
** Given:     p, n      points                                    [mm]
**            from, to  stages
**            sh        the body's shrinkage, each -1 < x < 1 (a body may
**                      grow a little)
** Returned:  q[0..n)   points at the other stage, may be p itself [mm]
** Status:    LH_OK; LH_RANGE for a shrinkage out of its limits or NaN
*/
lh_status lh_form_resize(const lh_point *p, size_t n, lh_stage from,
                         lh_stage to, const lh_shrinkage *sh, lh_point *q);

#endif
