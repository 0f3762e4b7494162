/* SPDX-License-Identifier: GPL-3.0-or-later */
/* seeded.h -- the same "random" cases every run.
** Ref: Marsaglia (2003), Xorshift RNGs, J. Stat. Software 8(14).
*/
#ifndef LH_SEEDED_H
#define LH_SEEDED_H

#include <stdint.h>

static uint64_t seeded_state = 88172645463325252u;

/* A number in [low, high). */
static inline double seeded(double low, double high)
{
  seeded_state ^= seeded_state << 13;
  seeded_state ^= seeded_state >> 7;
  seeded_state ^= seeded_state << 17;
  return low + (high - low) * (double)(seeded_state >> 11) * 0x1p-53;
}

#endif
