/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verdict_limits.h -- where the verdict says caution, where it says stop.
**
** All of these are judgements of the house, and all may be set otherwise in
** the piece, under "limits".  One list gives member, key, limits, default,
** unit and words.
*/
#ifndef LH_VERDICT_LIMITS_H
#define LH_VERDICT_LIMITS_H

/* X(member, least, most, default, unit, words) */
#define LH_LIMITS_LIST(X)                                                      \
  X(near_mm, 0, 100, 1, "mm",                                                  \
    "Caution when neighbours stand nearer: slips bleed about that much.")      \
  X(cut_mm, 0, 100, 0.5, "mm",                                                 \
    "Caution when a motif is cut by more at its zone's edge.")                 \
  X(stretch, 1, 10, 1.16, "times",                                             \
    "Caution when the form draws a motif larger or smaller by more.")          \
  X(outside_caution_percent, 0, 100, 5, "% of its area",                       \
    "Caution when more of a slip lies outside its window.")                    \
  X(outside_stop_percent, 0, 100, 25, "% of its area",                         \
    "Stop when more of a slip lies outside its window.")                       \
  X(hides_de00, 0, 100, 1, "dE00",                                             \
    "A ground hides the body within this of a thick coat of itself.")          \
  X(seen_de00, 0, 100, 3, "dE00", "A careful eye sees this on two pots.")      \
  X(spoiled_de00, 0, 100, 10, "dE00", "This is another colour.")               \
  X(faint_de00, 0, 100, 8, "dE00",                                             \
    "Caution when a slip is nearer than this to what it lies on.")             \
  X(detail_percent, 0, 100, 2, "% of the slip's area",                         \
    "An overlap smaller than this is a detail, not judged.")                   \
  X(eaten_caution_percent, 0, 100, 25, "% of the coat",                        \
    "Caution when the glaze eats more.")                                       \
  X(eaten_stop_percent, 0, 100, 80, "% of the coat",                           \
    "Stop when the glaze eats more.")                                          \
  X(rounding_caution_percent, 0, 100, 2, "%",                                  \
    "Caution when the scale puts a line's share off by more.")                 \
  X(rounding_stop_percent, 0, 100, 10, "%",                                    \
    "Stop when the scale puts a line's share off by more.")                    \
  X(rim_mm, 0, 100, 5, "mm", "Slip that ends nearer to the lip wets the rim.") \
  X(coat_doubt_percent, 0, 100, 20, "%",                                       \
    "How far a coat laid by hand may be off, one standard deviation.")

typedef struct {
#define X(member, least, most, usual, unit, help) double member;
  LH_LIMITS_LIST(X)
#undef X
} lh_limits;

#endif
