/* SPDX-License-Identifier: GPL-3.0-or-later */
/* exact.h -- sine, logarithm, exponential and angle: the same bits everywhere.
**
** + - * / and sqrt are exactly rounded by IEEE 754, so they give the same bits
** native and as WebAssembly; sin, exp and log of a C library are not.  What
** lays marks or draws charts uses these instead, built from + - * / and bits
** alone with -ffp-contract=off: the same bits from every libm, because none
** is asked.  Angles are in turns (1 turn = 2 pi rad), so that a quarter or a
** third of the way round is exact at the quarters and nothing is lost to pi.
**
** Nothing here allocates, remembers, or knows what the numbers are for.
*/
#ifndef LH_EXACT_H
#define LH_EXACT_H

#define LH_PI 3.14159265358979323846
#define LH_TWO_PI 6.28318530717958647693

/* Sine and cosine of an angle in turns.
**
** Given:     turns    angle, |turns| <= 2^50                       [turns]
** Returned:  *s, *c   sine and cosine                              [1]
** Notes:  1) NaN or a larger angle gives NaN in both.
**         2) Exactly 0, 1 or -1 at whole quarters of a turn.
**         3) Within 2 units in the last place.
** Ref:    Taylor's series about the nearest quarter of a turn.
*/
void lh_exact_sincos(double turns, double *s, double *c);

/* The angle of the point (x, y) from the x axis, anticlockwise.
**
** Given:     y, x     in this order, as atan2 has them
** Returned:  the angle, 0 <= angle < 1; 0 for the origin           [turns]
** Notes:  1) NaN in, NaN out.
**         2) Within 3 units in the last place of the larger of the angle
**            and 1/16 turn: near a whole turn the spacing is that of 1.
** Ref:    Gregory's series after two foldings.
*/
double lh_exact_turns(double y, double x);

/* Natural logarithm.
**
** Given:     x        positive
** Returned:  ln x; -inf for 0, NaN for negative or NaN             [1]
** Notes:  1) Within 1 unit in the last place.
** Ref:    2 artanh((x - 1)/(x + 1)), x brought to sqrt(1/2)..sqrt(2).
*/
double lh_exact_log(double x);

/* Exponential.
**
** Given:     x
** Returned:  e^x; 0 or inf outside the range of a double           [1]
** Notes:  1) Within 2 units in the last place.
** Ref:    Taylor's series after taking out powers of two.
*/
double lh_exact_exp(double x);

/* Logarithmic mean of two positive numbers, smooth through a = b.
**
** Given:     a, b     positive and finite
** Returned:  (b - a)/(ln b - ln a); a when they are equal; NaN unless both
**            are positive                                    [that of a]
** Notes:  1) What integrals of ds/r are made of: over a cone frustum the
**            integral is its slant divided by this mean of its radii.
**         2) Within 4 units in the last place.
*/
double lh_exact_logmean(double a, double b);

/* (e^v - 1)/v, smooth through v = 0.
**
** Given:     v
** Returned:  1 + v/2 + v^2/6 + ...                                  [1]
** Notes:  1) The way back from such an integral to the place.
*/
double lh_exact_expm1c(double v);

#endif
