/* SPDX-License-Identifier: GPL-3.0-or-later */
/* slip_words.h -- what thin, mix, coat and wall say alike.
**
** The core answers with an outcome; here a person is told which number was
** wrong and what to weigh again.  Nothing here keeps anything.
*/
#ifndef LH_SLIP_WORDS_H
#define LH_SLIP_WORDS_H

#include "operation.h"
#include "range.h"

/* The usual error of a litre weight taken from 100 ml.  [g/l] A judgement:
** +-1 ml and +-0.3 g make 15 at 1500 g/l. */
#define LH_LITRE_WEIGHT_ERROR 15.0

/* Can a litre of such solids in water weigh this?
**
** Given:     litre_weight, solids_density   [g/l], relative to water
**            where       pointer of the litre weight
**            where_s     pointer of the density
** Status:    LH_OK; LH_RANGE with the fault filled
*/
lh_status lh_slip_words_weight(double litre_weight, double solids_density,
                               const char *where, const char *where_s,
                               lh_fault *fault);

/* A density of solids with its error: the low end must stay above water's.
**
** Status:    LH_OK; LH_RANGE with the fault filled
*/
lh_status lh_slip_words_density(double density, double error, const char *where,
                                const char *where_error, lh_fault *fault);

/* Decimals with which an amount is shown to a person: three digits. */
int lh_slip_words_decimals(double v);

/* One row: words, the number, its unit and its range. */
void lh_slip_words_row(lh_reply *r, const char *what, lh_range v,
                       const char *unit);

/* One row without a range; `note` may be empty. */
void lh_slip_words_plain(lh_reply *r, const char *what, double v,
                         const char *unit, const char *note);

#endif
