/* SPDX-License-Identifier: GPL-3.0-or-later */
/* number.h -- read a number that a person wrote.
**
** A studio notebook may say 1,5 or 1.5: both are one and a half.  What could
** be read in two ways is refused, never guessed: "1.234,5", "1,234,567",
** "1 234", "12 g".  This room knows no units, no locale and no files; it
** looks at the bytes it is given (they need not end in a zero) and keeps
** nothing.
*/
#ifndef LH_NUMBER_H
#define LH_NUMBER_H

#include <stddef.h>

#include "status.h"

/* Longest number taken, spaces around it not counted [bytes].  A judgement:
** seventeen digits and an exponent are enough for any double. */
enum { LH_NUMBER_MAX = 128 };

/* Why a text is not a number: name, what is wrong, what to do. */
#define LH_NUMBER_LIST(X)                                                     \
  X(LH_NUMBER_FINE, "it is a number", "")                                     \
  X(LH_NUMBER_EMPTY, "there is no number here", "write a number such as 1.5") \
  X(LH_NUMBER_SYMBOL, "a sign that does not belong in a number",              \
    "write digits, with one decimal point or comma at most")                  \
  X(LH_NUMBER_SUFFIX, "something stands after the number",                    \
    "write the number alone; its unit is given by the name of the field")     \
  X(LH_NUMBER_MIXED, "both a point and a comma in one number",                \
    "write one decimal point or comma and no signs between thousands")        \
  X(LH_NUMBER_GROUPED, "digits are split into groups",                        \
    "write the digits without anything between thousands")                    \
  X(LH_NUMBER_CUT, "digits are missing", "write the number out, as in 1.5")   \
  X(LH_NUMBER_NOT_FINITE, "NaN or infinity instead of a number",              \
    "write an ordinary number")                                               \
  X(LH_NUMBER_HEX, "a number to the base sixteen",                            \
    "write the number in decimal digits")                                     \
  X(LH_NUMBER_HUGE, "the number is too large to hold",                        \
    "write a number below 1e308 in size")                                     \
  X(LH_NUMBER_TINY, "the number is too small to hold",                        \
    "write 0, or a number above 1e-307 in size")                              \
  X(LH_NUMBER_LONG, "the number is longer than 128 characters",               \
    "write it with fewer digits")

typedef enum {
#define X(name, what, todo) name,
  LH_NUMBER_LIST(X)
#undef X
} lh_number_why;

/* Read the number that is the whole of a text.
**
** Given:     s, n    the text and its length; need not end in zero   [bytes]
** Returned:  *value  the double nearest to what is written
**            *why    LH_NUMBER_FINE, or why it was refused
**            *at     where the trouble is, counted from s            [bytes]
**            why and at may be NULL
** Status:    LH_OK; LH_INPUT for what is not a number; LH_RANGE for one too
**            large or too small to hold; LH_TOOLARGE for one too long.
**            Unless LH_OK, *value is untouched.
**
** Notes:  1) [sign] digits [(. or ,) digits] [e [sign] digits]; the digits
**            before the separator may be left out (.5), those after may not
**            (5.).  Spaces, tabs and line ends around it are dropped.
**         2) Correctly rounded, ties to even.  Minus zero reads as zero.
**         3) "1,234" is one and 234 thousandths, as "1.234" is: one
**            separator is always a decimal one.
**         4) A nonzero number that would round to zero is refused, as a
**            divisor must not become zero unseen; denormal ones are read.
*/
lh_status lh_number_read(const char *s, size_t n, double *value,
                         lh_number_why *why, size_t *at);

/* What is wrong, and what to do, in words for a person.
**
** Given:     why   as returned above
** Returned:  constant text
*/
const char *lh_number_what(lh_number_why why);
const char *lh_number_todo(lh_number_why why);

#endif
