/* SPDX-License-Identifier: GPL-3.0-or-later */
/* flat.h -- a painted zone as a plain array of numbers.
**
** What crosses the border between the page and the WebAssembly module, and
** what a test compares on both sides: profile, zone, grid, marks, placings.
** The caller has the array; what is read back lives in an arena, except the
** nibs, which are copied there too.
*/
#ifndef LH_FLAT_H
#define LH_FLAT_H

#include "form.h"
#include "lay.h"

/* Marks that are placed together: a motif and its placings, or loose marks. */
typedef struct {
  const lh_mark *marks;
  size_t n;
  const lh_placing *placings; /* NULL: one, as drawn */
  size_t n_placings;
  bool has_pivot;
  lh_anchor pivot;
} lh_group;

typedef struct {
  const lh_point *profile; /* of the zone's face */
  size_t n_profile;
  lh_zone zone;
  double pixel; /* wanted [chart mm] */
  int multiple;
  const lh_group *groups; /* in painting order */
  size_t n_groups;
} lh_painted;

/* Write a painted zone into an array.
**
** Given:     p
**            cap    room in out; out may be NULL when cap is 0
** Returned:  out[0..cap)
**            *n     how many numbers there are, even if > cap
** Status:    LH_OK; LH_TOOLARGE if *n > cap (call again with more)
*/
lh_status lh_decor_flatten(const lh_painted *p, double *out, size_t cap,
                           size_t *n);

/* Read it back.
**
** Given:     in, n
**            a      arena
** Returned:  *p     in the arena
** Status:    LH_OK; LH_INPUT when it is not such an array; LH_NOMEM
*/
lh_status lh_decor_unflatten(const double *in, size_t n, lh_arena *a,
                             lh_painted *p);

/* From a painted zone to a laying: chart, grid, shapes, layers.
**
** Given:     p, a
** Returned:  *l       ready for lh_lay
**            *ch      the chart, may be NULL when it is not wanted
**            *shapes  the shapes, may be NULL
**            *fault   may be NULL; mark counted through all groups
** Status:    of lh_curve_build, lh_chart_make, lh_grid_fit, lh_place and
**            lh_lay_prepare
*/
lh_status lh_decor_ready(const lh_painted *p, lh_arena *a, lh_laying *l,
                         lh_chart *ch, lh_shapes *shapes, lh_mark_fault *fault);

#endif
