/* SPDX-License-Identifier: GPL-3.0-or-later */
/* glaze.h -- the clear coat on top: a surface, and some absorption.
**
** The glaze is a plane sheet of refractive index n (air above, none between
** slip and glaze: their indices nearly match) with an optical depth tau at
** each wavelength: light crossing straight loses exp(-tau).  Below it lies
** something of internal reflectance R that sends light back evenly in all
** directions.  What an instrument reads is
**
**   R_measured = k1 + Tin Tout(tau) R / (1 - k2(tau) R)
**
** with, r being Fresnel's reflectance for unpolarised light from inside,
**
**   diffuse/8 degrees:  Tin  = (1 - r_air(8)) exp(-tau / cos 8')
**                       Tout = 2 int (1 - r) exp(-tau/mu) mu dmu
**   45/0:               Tin  = (1 - r_air(45)) exp(-tau / cos 45')
**                       Tout = (1 - r_air(0)) exp(-tau) / n^2
**   both:               k2   = 2 int r exp(-2 tau/mu) mu dmu
**
** mu the cosine inside the glaze from 0 to 1, 8' and 45' the refracted angles.
** Diffuse light with viewing at 8 degrees and the reverse are the same by
** reciprocity.  k1 is r_air(8) with the shine included, otherwise 0.
**
** The integrals are summed by Gauss-Legendre rules of 16 points on panels that
** halve towards the grazing end; the part beyond the critical angle, where
** r = 1, is an exponential integral in closed form.  Error below 1e-13 for
** n from 1.001 to 4 (the bound is worked out in glaze.c); n = 1 is exact.
** Nothing allocates; the caller owns all memory.
** Ref:    F. C. Williams, F. R. Clapper (1953), J. Opt. Soc. Am. 43, 595-599;
**         J. L. Saunderson (1942), J. Opt. Soc. Am. 32, 727-736 (tau = 0).
*/
#ifndef LH_GLAZE_H
#define LH_GLAZE_H

#include <stddef.h>

#include "spectrum.h"
#include "status.h"

/* How the colour is measured or seen. */
typedef enum {
  LH_D8_IN, /* diffuse light, seen at 8 degrees, shine included */
  LH_D8_EX, /* the same, shine excluded                         */
  LH_45_0,  /* light at 45 degrees, seen from straight above    */
  LH_GEOMETRIES
} lh_geometry;

typedef struct {
  double index;                   /* refractive index n, 1..4; 1: no surface */
  double optical_depth[LH_WAVES]; /* tau, >= 0                               */
  double eaten;                   /* slip the glaze dissolves         [g/m2] */
  double share; /* of its absorption that goes on in the glaze, 0..1        */
} lh_glaze;

/* The share where nobody says another. (judgement) */
#define LH_DISSOLVED_SHARE 0.25

/* A surface at one wavelength: R_measured = k1 + tt R / (1 - k2 R). */
typedef struct {
  double k1, tt, k2; /* tt = Tin Tout */
} lh_boundary;

/* Fresnel's reflectance for unpolarised light coming from air.
**
** Given:     n        refractive index, >= 1
**            cosine   of the angle in air, 0..1
** Returned:  the reflected share, 0..1
** Ref:    Born & Wolf, Principles of Optics, sec. 1.5.2.
*/
double lh_fresnel(double n, double cosine);

/* k2(tau): diffuse light from below that the surface sends back down.
**
** Given:     n, tau   1 <= n <= 4, tau >= 0
** Returned:  2 int r exp(-2 tau/mu) mu dmu
*/
double lh_glaze_back(double n, double tau);

/* Tout(tau): diffuse light from below that gets out.
** Returned:  2 int (1 - r) exp(-tau/mu) mu dmu
*/
double lh_glaze_out(double n, double tau);

/* The exponential integral E3(x) = int_1^inf exp(-x t)/t^3 dt, x >= 0.
** Ref:    Abramowitz & Stegun 5.1.4, 5.1.11, 5.1.14, 5.1.22.
*/
double lh_expint3(double x);

/* The surface for one optical depth.
**
** Given:     n     refractive index, 1..4
**            tau   optical depth, >= 0
**            g     geometry
** Returned:  *b
** Status:    LH_OK; LH_RANGE for a bad n, tau (NaN too) or g, *b untouched
*/
lh_status lh_glaze_boundary(double n, double tau, lh_geometry g,
                            lh_boundary *b);

/* Internal reflectance to measured, and back.
**
** Given:     b      a surface
**            R      internal reflectance, 0..1 (or a measured one)
** Returned:  the other; lh_boundary_internal is the exact inverse and can lie
**            outside 0..1 for readings that no slip gives; NaN if tt is 0
*/
double lh_boundary_measured(const lh_boundary *b, double R);
double lh_boundary_internal(const lh_boundary *b, double R);

/* Many optical depths of one glaze: pictures, and slips that dissolve.
** Nodes are even in sqrt(tau), cubic Hermite between, up to tau = 16; beyond,
** the last value times exp(-(tau - 16)) (all is below 1.2e-7 there).
** Error against lh_glaze_boundary: below 1e-6 (tests/colour/test_glaze.c). */
enum { LH_GLAZE_NODES = 257 };
typedef struct {
  double n, k1;
  double enter;                  /* surface part of Tin                       */
  double slant;                  /* 1/cos of the refracted ray coming in      */
  double leave;                  /* 45/0: surface part of Tout; else negative */
  double out[LH_GLAZE_NODES][2]; /* Tout and its slope in sqrt(tau) */
  double back[LH_GLAZE_NODES][2]; /* k2 and its slope in sqrt(tau)   */
} lh_glaze_table;

/* Fill the table, once a glaze and geometry.
**
** Given:     n, g   refractive index, 1..4; geometry
** Returned:  *t
** Status:    LH_OK; LH_RANGE
*/
lh_status lh_glaze_tabulate(double n, lh_geometry g, lh_glaze_table *t);

/* The surface for one optical depth, from the table; tau >= 0. */
lh_boundary lh_glaze_at(const lh_glaze_table *t, double tau);

#endif
