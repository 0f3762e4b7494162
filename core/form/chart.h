/* SPDX-License-Identifier: GPL-3.0-or-later */
/* chart.h -- zones of a form, and the flat maps on which they are painted.
**
** A zone is a stretch of one face of a pot.  Its chart is a flat map with
** true angles (conformal) and a local scale that is known:
**
**   band   x = R theta, y = R integral ds/r from the zone's lower edge; R is
**          the mean radius of the zone, its area over 2 pi times its length.
**          x wraps at the width 2 pi R.  A cylinder unrolls to the plain
**          rectangle, a sphere to Mercator's map.
**   disc   a point at angle theta lies at the distance
**          rho = R exp(-integral from there to the edge of ds/r) from the
**          centre; R is the radius of the outer edge, where the chart is
**          true to size.  A flat plate maps to itself, a sphere
**          stereographically.  A zone that does not reach the axis leaves a
**          hole of radius rho_inner.
**
** Places are given as turns around (0..1, anticlockwise seen from above) and
** mm up the profile from the zone's lower edge (its end nearer the curve's
** first point).  The chart shows the face as the painter sees it: on the
** inside of a wall and on an underside turns run the other way (`hand`), so
** that a letter never comes out mirrored.  Step from repeat to repeat with
** lh_chart_place, or by hand * width / n.
**
** This file knows nothing of marks or slips.  A chart is the caller's struct
** (about 24 kB) and keeps what it needs of the curve.  Nothing allocates.
** Only + - * / sqrt and exact.h: the same bits native and as WebAssembly.
*/
#ifndef LH_CHART_H
#define LH_CHART_H

#include "form.h"

typedef enum { LH_OUTSIDE, LH_INSIDE } lh_face;
typedef enum { LH_CHART_BAND, LH_CHART_DISC } lh_chart_kind;

typedef struct {
  lh_face face;
  lh_chart_kind kind;
  double from_mm, to_mm; /* along the profile of that face [mm] */
} lh_zone;

/* The greatest scale of a chart may be so many times its least: beyond, most
** of the drawing would lie on a speck. (judgement) */
#define LH_CHART_STRETCH 100.0

enum { LH_CHART_NODES = LH_CURVE_SAMPLES + 2 };

typedef struct {
  lh_chart_kind kind;
  bool axis_high;   /* disc: the centre is at the upper end (a lid)      */
  double hand;      /* +1: turns run as x (band), anticlockwise (disc);  */
                    /* -1: the other way                                 */
  double radius;    /* R: reference radius (band), rho of the edge (disc) */
                    /* [mm]                                              */
  double width;     /* band: 2 pi R, where x wraps; disc: 2 R [mm]       */
  double height;    /* band: y of the upper edge; disc: 2 R [mm]         */
  double rho_inner; /* disc: radius of the hole, 0 to the axis [mm]      */
  double length;    /* of the zone along the profile [mm]                */
  double area;      /* of the zone, true [mm2]                           */
  size_t n;         /* nodes: the zone's ends and the samples between    */
  double s[LH_CHART_NODES]; /* mm up the profile from the lower edge     */
  double r[LH_CHART_NODES]; /* radius of the form [mm]                   */
  double w[LH_CHART_NODES]; /* integral of ds/r from the lower edge (from */
                            /* the upper end of a piece on the axis) [1] */
} lh_chart;

/* Why a zone was refused. */
typedef enum {
  LH_ZONE_FINE,
  LH_ZONE_NOT_NUMBER, /* NaN or infinite                                */
  LH_ZONE_EMPTY,      /* from_mm is not below to_mm                     */
  LH_ZONE_OFF_FORM,   /* below 0 or beyond the profile's length, by     */
                      /* more than rounding (1e-9 mm)                   */
  LH_ZONE_ON_AXIS,    /* a band that touches radius 0, or a disc that   */
                      /* touches it at both ends                        */
  LH_ZONE_STRETCHED   /* the chart's scale would vary more than         */
                      /* LH_CHART_STRETCH times                         */
} lh_zone_why;

/* Area of a zone.
**
** Given:     c      the curve of the zone's face
**            zone
** Returned:  *area                                                  [mm2]
**            *why   may be NULL
** Status:    LH_OK; LH_RANGE (see lh_zone_why), *area untouched
*/
lh_status lh_zone_area(const lh_curve *c, const lh_zone *zone, double *area,
                       lh_zone_why *why);

/* Make the chart of a zone.
**
** Given:     c      the curve of the zone's face
**            zone
** Returned:  *ch    undefined unless LH_OK
**            *why   may be NULL
** Status:    LH_OK; LH_RANGE (see lh_zone_why)
** Notes:  1) integral ds/r over a frustum is ds over the logarithmic mean of
**            its radii: exact for the polyline.
**         2) The piece that reaches the axis is taken as flat (rho in
**            proportion to its length), which keeps the scale finite there.
**            Curves are level at the axis, so this is wrong by the square
**            of a small angle.
** Ref:    Any book on map projections: the condition of conformality for a
**         surface of revolution, dy/R = ds/r and drho/rho = ds/r.
*/
lh_status lh_chart_make(const lh_curve *c, const lh_zone *zone, lh_chart *ch,
                        lh_zone_why *why);

/* From the form to the chart.
**
** Given:     ch
**            turns   around, anticlockwise from above; any number, only the
**                    fraction counts                             [turns]
**            up      along the profile from the lower edge, 0..length [mm]
** Returned:  *x, *y  on the chart; band: 0 <= x < width,
**                    0 <= y <= height; disc: about its centre    [mm]
** Status:    LH_OK; LH_RANGE for up off the zone or a NaN
*/
lh_status lh_chart_place(const lh_chart *ch, double turns, double up, double *x,
                         double *y);

/* From the chart back to the form.
**
** Given:     ch, x, y   band: any x (it wraps)                   [mm]
** Returned:  *turns     0 <= turns < 1                           [turns]
**            *up                                                 [mm]
** Status:    LH_OK; LH_RANGE off the zone or a NaN
*/
lh_status lh_chart_back(const lh_chart *ch, double x, double y, double *turns,
                        double *up);

/* Local scale: true mm on the pot for one mm on the chart, at a chart point;
** the same in every direction.
**
** Given:     ch, x, y                                            [mm]
** Returned:  *scale     band: r/R; disc: r/rho                   [1]
** Status:    LH_OK; LH_RANGE off the zone or a NaN
** Notes:  1) For a band it depends on y alone, for a disc on the distance
**            from the centre alone.
**         2) An area on the chart times scale^2 is the true area.
*/
lh_status lh_chart_scale(const lh_chart *ch, double x, double y, double *scale);

/* The least and greatest scale of the whole chart. */
void lh_chart_scales(const lh_chart *ch, double *least, double *greatest);

#endif
