/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lab <-> XYZ <-> sRGB beside Little CMS, 100,000 random colours. */
#include <stdint.h>

#include <lcms2.h>

#include "check.h"
#include "space.h"

enum { COLOURS = 100000 };

static double draw(double low, double high)
{
  static uint64_t s = 13;

  s = s * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  return low + (high - low) * (double)(s >> 11) * 0x1p-53;
}

static cmsHPROFILE srgb_profile(void)
{
  cmsCIExyY white = {0.3127, 0.3290, 1.0};
  cmsCIExyYTRIPLE primaries = {
      {0.64, 0.33, 1}, {0.30, 0.60, 1}, {0.15, 0.06, 1}};
  /* ICC.1 parametric curve type 3 (lcms counts it 4): IEC 61966-2-1. */
  cmsFloat64Number p[5] = {2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045};
  cmsToneCurve *curve = cmsBuildParametricToneCurve(NULL, 4, p);
  cmsToneCurve *three[3] = {curve, curve, curve};
  cmsHPROFILE h = cmsCreateRGBProfile(&white, &primaries, three);

  cmsFreeToneCurve(curve);
  return h;
}

/* What lcms can promise.  Its pipeline carries single floats, 2^-25 = 3e-8 of
** each value a stage; from sRGB to XYZ there are about six stages (curve,
** matrix, two scalings of the PCS, each end), and its Bradford step back from
** D50 to D65 magnifies by less than 2.  Its inverse of a parametric curve and
** powf in single precision: a few float steps more. */
static const double xyz_error = 6 * 2 * 3e-8;

static double f_slope(double t)
{
  return t > 216.0 / 24389.0 ? 1.0 / (3.0 * pow(t, 2.0 / 3.0)) : 841.0 / 108.0;
}

/* Largest difference of three parts. */
static double apart(lh_xyz p, double x, double y, double z)
{
  return fmax(fabs(p.x - x), fmax(fabs(p.y - y), fabs(p.z - z)));
}

static lh_xyz parts(lh_lab c)
{
  return (lh_xyz){c.L, c.a, c.b};
}

int main(void)
{
  cmsHPROFILE rgb = srgb_profile(), pcs = cmsCreateXYZProfile();
  cmsUInt32Number flags = cmsFLAGS_NOOPTIMIZE | cmsFLAGS_NOCACHE;
  cmsHTRANSFORM there = cmsCreateTransform(rgb, TYPE_RGB_DBL, pcs, TYPE_XYZ_DBL,
                                           INTENT_RELATIVE_COLORIMETRIC, flags);
  cmsHTRANSFORM here = cmsCreateTransform(pcs, TYPE_XYZ_DBL, rgb, TYPE_RGB_DBL,
                                          INTENT_RELATIVE_COLORIMETRIC, flags);
  lh_xyz w = lh_srgb_white();
  cmsCIEXYZ D65 = {w.x, w.y, w.z};
  double xyz = 0, lab = 0, back = 0, plain = 0, plain_back = 0, bradford = 0;

  CHECK(there && here, "Little CMS is ready");
  for (int i = 0; i < COLOURS; i++) {
    double c[3] = {draw(0, 1), draw(0, 1), draw(0, 1)}, d[3];
    lh_rgb ours = {c[0], c[1], c[2]};
    cmsCIEXYZ p, q;
    cmsCIELab l;
    cmsDoTransform(there, c, &p, 1);
    cmsAdaptToIlluminant(&q, cmsD50_XYZ(), &D65, &p);
    cmsXYZ2Lab(&D65, &l, &q);
    lh_xyz x = lh_srgb_xyz(ours);
    lh_lab m = lh_srgb_lab(ours);
    xyz = fmax(xyz, apart(x, q.X, q.Y, q.Z));
    double slack = 500 * xyz_error *
                   (f_slope(x.x / w.x) + f_slope(x.y) + f_slope(x.z / w.z));
    lab = fmax(lab, apart(parts(m), l.L, l.a, l.b) / slack);
    /* XYZ <-> Lab alone: both in double, so rounding only. */
    cmsCIEXYZ own = {x.x, x.y, x.z}, un;
    cmsXYZ2Lab(&D65, &l, &own);
    plain = fmax(plain, apart(parts(m), l.L, l.a, l.b));
    cmsLab2XYZ(&D65, &un, &l);
    lh_xyz y = lh_lab_xyz((lh_lab){l.L, l.a, l.b}, w);
    plain_back = fmax(plain_back, apart(y, un.X, un.Y, un.Z));
    /* Lab -> sRGB: ours beside theirs. */
    cmsAdaptToIlluminant(&p, &D65, cmsD50_XYZ(), &un);
    lh_xyz z = lh_adapt(y, w, (lh_xyz){0.9642, 1.0, 0.8249});
    bradford = fmax(bradford, apart(z, p.X, p.Y, p.Z));
    cmsDoTransform(here, &p, d, 1);
    lh_rgb r = lh_lab_srgb((lh_lab){l.L, l.a, l.b});
    back = fmax(back, apart((lh_xyz){r.r, r.g, r.b}, d[0], d[1], d[2]));
  }
  CHECK_NEAR(xyz, 0, xyz_error, "sRGB -> XYZ, %d colours", COLOURS);
  CHECK_NEAR(lab, 0, 1, "sRGB -> Lab, in units of lcms' own float error");
  CHECK_NEAR(plain, 0, 1e-11, "XYZ -> Lab, double against double");
  CHECK_NEAR(plain_back, 0, 1e-13, "Lab -> XYZ, double against double");
  CHECK_NEAR(bradford, 0, 1e-13, "Bradford D65 -> D50, double both");
  /* The inverse matrix magnifies by up to 5.3 (row sum), the transfer curve by
  ** up to 12.92. */
  CHECK_NEAR(back, 0, 5.3 * 12.92 * xyz_error, "Lab -> sRGB");
  cmsDeleteTransform(there);
  cmsDeleteTransform(here);
  cmsCloseProfile(rgb);
  cmsCloseProfile(pcs);
  return CHECK_DONE();
}
