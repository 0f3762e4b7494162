/* SPDX-License-Identifier: GPL-3.0-or-later */
/* between.h -- is white needed between two slips, or under one?
**
** Where one slip lies on another it fires to another colour than on the
** ground.  For each such place of a piece: how far off that is, what a white
** ground laid between does for it, how heavy that white must be, and whether
** it helps to paint the two in the other order.  And where the ground is too
** thin to hide the body: how heavy it must be.  Colours as optics.h has them;
** what an eye sees, as the piece's limits say (seen_de00, hides_de00).
** Nothing is kept; coat weights in dry g/m2.
*/
#ifndef LH_BETWEEN_H
#define LH_BETWEEN_H

#include "optics.h"
#include "range.h"

typedef struct {
  int upper, lower;   /* slips; lower -1: the body                        */
  int white;          /* the slip that would be laid between; -1: none    */
  lh_lab painted;     /* as the place fires now                           */
  lh_lab wanted;      /* the upper slip as it fires on the ground         */
  double de00;        /* between the two                                  */
  bool needed;        /* the difference is seen, and white takes it away  */
  double white_g_m2;  /* the white's own best coat                       */
  lh_lab with_white;  /* with that much between                          */
  double white_de00;  /* then, from wanted                               */
  lh_range least;     /* from which weight on white takes the difference away;
                      ** value NaN: never, 0: none is needed; low and high NaN:
                      ** not asked, or not to be said                        */
  double turned_de00; /* painted in the other order: how far the slip then
                      ** on top is from its own colour; NaN: on the body */
  bool turn;          /* that order is better by more than hides_de00   */
} lh_between;

/* The ground of a piece: the first slip that is one and is painted with, -1
** when there is none. */
int lh_between_ground(const lh_piece_cover *c);

/* One overlap.
**
** Given:     o, c     the piece's optics and cover
**            x        one of c's overlaps, its upper slip no ground
**            ranges   work out the range of the least weight (some 30 ms)
** Returned:  *b
** Status:    LH_OK; LH_RANGE, LH_TOOLARGE when the colours cannot be worked
**            out
** Notes:  1) The least weight is one end of a window (window.h): the white is
**            thickened until nothing below it shows, and thinned from there
**            until the upper slip is seen_de00 off that colour.
*/
lh_status lh_between_look(const lh_piece_optics *o, const lh_piece_cover *c,
                          const lh_piece_overlap *x, bool ranges,
                          lh_between *b);

/* A ground over the body. */
typedef struct {
  int slip;
  double g_m2;    /* as it is laid, on average                           */
  double de00;    /* from an endless coat of itself                      */
  lh_range hides; /* from which weight on within hides_de00; value NaN:  */
                  /* never                                               */
} lh_thin_ground;

/* Does the body show through a ground?  As lh_between_look. */
lh_status lh_between_thin(const lh_piece_optics *o, const lh_piece_cover *c,
                          int ground, bool ranges, lh_thin_ground *t);

#endif
