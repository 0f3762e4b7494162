/* SPDX-License-Identifier: GPL-3.0-or-later */
/* colour_words.h -- what shade, difference and colour say alike.
**
** A colour in three numbers is read the same way everywhere, and shown the
** same way.  Nothing here keeps anything.
*/
#ifndef LH_COLOUR_WORDS_H
#define LH_COLOUR_WORDS_H

#include "operation.h"
#include "spectrum.h"

/* A row for the table of fields: a list of three numbers. */
#define LH_TRIPLE(O, M, KEY, REQ, LEAST, MOST, UNIT, HELP)                   \
  {                                                                          \
    .key = KEY, .kind = LH_F_NUMBERS, .offset = offsetof(O, M),              \
    .required = REQ, .least = LEAST, .most = MOST, .otherwise = (double)NAN, \
    .most_items = 3, .unit = UNIT, .help = HELP                              \
  }

/* Three numbers of a list.
**
** Given:     list    as read
**            where   its pointer
** Returned:  v
** Status:    LH_OK; LH_INPUT with the fault filled when there are fewer
*/
lh_status lh_colour_words_three(const lh_list *list, const char *where,
                                double v[3], lh_fault *fault);

/* L*a*b*, the light's white known: L* must lie in 0..100 here; slightly more
** than white is taken, as fluorescent papers give it. */
lh_status lh_colour_words_lab(const lh_list *list, const char *where, lh_lab *c,
                              lh_fault *fault);

/* Put `lab`, `srgb`, `in_gamut`, `hex` and `xyz` into the result. */
void lh_colour_words_put(lh_reply *r, lh_xyz xyz, lh_lab lab, lh_rgb srgb);

/* Say it when no screen can show the colour. */
void lh_colour_words_gamut(lh_reply *r, lh_rgb srgb);

#endif
