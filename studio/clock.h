/* SPDX-License-Identifier: GPL-3.0-or-later */
/* clock.h -- what day it is.
**
** SOURCE_DATE_EPOCH, when it is set, stands for now, so that the same input
** gives the same bytes (reproducible-builds.org's specification).
*/
#ifndef LH_CLOCK_H
#define LH_CLOCK_H

/* Seconds since 1970, UTC. */
long long lh_clock_now(void);

/* "25 November 2026" and "2026-11-25T19:20:00Z", by UTC. */
void lh_clock_words(long long seconds, char text[32]);
void lh_clock_iso(long long seconds, char text[32]);

#endif
