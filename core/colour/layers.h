/* SPDX-License-Identifier: GPL-3.0-or-later */
/* layers.h -- slip upon slip: light in coats that scatter and absorb.
**
** The two-constant theory of Kubelka and Munk.  A fired slip has, at each
** wavelength, an absorption K and a scattering S per coat weight [m2/g].  They
** belong to the slip *with its glaze and its firing*: glaze fills the pores
** and lowers S, so values from bare and from glazed tiles are never pooled.
** Reflectances here are internal: no air surface; that is glaze.h.  The
** caller owns all memory.
**
** How the sums are kept sound.  With k = K X, s = S X, g = sqrt(k (k + 2 s)),
** e = exp(-2 g), w = (1 - e)/g (which tends to 2 as g -> 0), Kubelka's
**
**   R = [1 - Rg (a - b coth bSX)] / (a - Rg + b coth bSX)
**
** becomes, multiplied through by s w,
**
**         s w (1 - Rg) + Rg (2 e + 2 k s w / (g + k))
**   R  =  -------------------------------------------
**         s w (1 - Rg) + 1 + e + k w
**
** Every term is >= 0 for 0 <= Rg <= 1, so nothing cancels, whatever K, S and
** X: K = 0, S = 0, X = 0 and a coat as thick as a wall are not special cases.
** The denominator is at least 1.
*/
#ifndef LH_LAYERS_H
#define LH_LAYERS_H

#include <stddef.h>

#include "spectrum.h"
#include "status.h"

/* A slip as fired under its glaze. */
typedef struct {
  double absorption[LH_WAVES]; /* K [m2/g] */
  double scattering[LH_WAVES]; /* S [m2/g] */
} lh_slip_optics;

/* The same with what does not depend on the coat worked out. */
typedef struct {
  double absorption[LH_WAVES]; /* K                       [m2/g] */
  double scattering[LH_WAVES]; /* S                       [m2/g] */
  double decay[LH_WAVES];      /* G = sqrt(K (K + 2 S))   [m2/g] */
  double back[LH_WAVES];       /* M = 2 K S / (G + K)     [m2/g] */
} lh_slip_ready;

/* Reflectance of one coat over a ground, at one wavelength.
**
** Given:     K, S   absorption, scattering, >= 0                   [m2/g]
**            X      coat weight, >= 0                              [g/m2]
**            Rg     internal reflectance below, 0..1
** Returned:  internal reflectance on top, 0..1; NaN only for NaN
** Notes:  1) K X and S X above 1e100 are scaled down to it together: by then
**            the coat has long reached the colour of an endless one.
** Ref:    P. Kubelka (1948), J. Opt. Soc. Am. 38(5), 448-457.
*/
double lh_layer_over(double K, double S, double X, double Rg);

/* Share of diffuse light that one coat lets through.
** Ref:    Kubelka (1948): T = b / (a sinh bSX + b cosh bSX).
*/
double lh_layer_through(double K, double S, double X);

/* Reflectance of a coat so thick that nothing below shows.
**
** Given:     K, S   >= 0, in any common unit
** Returned:  S / (K + S + sqrt(K (K + 2 S))), exact to rounding for any
**            ratio; 1 when both are 0 (the limit of a clear endless coat is
**            not defined; white is said)
** Ref:    P. Kubelka, F. Munk (1931), Z. tech. Physik 12, 593-601.
*/
double lh_layer_endless(double K, double S);

/* K/S of an endless coat's reflectance: (1 - R)^2 / (2 R), 0 < R <= 1. */
double lh_layer_ratio(double R);

/* Work out a slip for many coats.
**
** Given:     slip    K and S at each wavelength
** Returned:  *ready
** Status:    LH_OK; LH_RANGE for a negative or non-finite number, or one above
**            1e6 m2/g, *ready untouched
** Notes:  1) 1e6 m2/g is thousands of times what any pigment does.
*/
lh_status lh_slip_prepare(const lh_slip_optics *slip, lh_slip_ready *ready);

/* One coat over a spectrum.
**
** Given:     ready   the slip
**            coat    coat weight, >= 0                             [g/m2]
**            under   internal reflectance below
** Returned:  over    internal reflectance on top; may be `under` itself
** Notes:  1) The loop that pictures spend their time in: one exp and one
**            division a wavelength.
*/
void lh_slip_over(const lh_slip_ready *ready, double coat,
                  const double under[LH_WAVES], double over[LH_WAVES]);

/* Optics of a mixture of slips that do not act on one another.
**
** Given:     part, share   n slips and their shares by dry weight, each >= 0
** Returned:  *mix          sum of share K, sum of share S, over the sum of
**                          the shares
** Status:    LH_OK; LH_RANGE when n is 0, a share is bad or all are 0
** Notes:  1) Right for inert stains.  An oxide that dissolves in the glaze
**            does not obey it; interpolate between tested strengths instead.
** Ref:    D. R. Duncan (1940), Proc. Phys. Soc. 52, 390.
*/
lh_status lh_slip_mix(const lh_slip_optics *part, const double *share, size_t n,
                      lh_slip_optics *mix);

#endif
