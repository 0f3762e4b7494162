/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photo_icc.c -- from a picture's numbers to light, by its profile. */
#include <string.h>

#include "photo_memory.h"
#include "photo_room.h"
#include "space.h"

/* The profiles' own white.  Ref: ICC.1:2022, 7.2.16. */
static const lh_xyz D50 = {0.9642, 1.0, 0.8249};

/* ---- codes -------------------------------------------------------------- */

/* Ref: ITU-T H.273, tables 2 (primaries) and 3 (transfer). */
bool lh_photo_cicp(const unsigned char four[4], lh_photo_codes *codes)
{
  static const lh_photo_codes primaries[] = {
      {{0.3127, 0.3290}, {0.640, 0.330}, {0.300, 0.600}, {0.150, 0.060}, 1, 1},
      {{0.3127, 0.3290}, {0.708, 0.292}, {0.170, 0.797}, {0.131, 0.046}, 9, 1},
      {{0.3127, 0.3290}, {0.680, 0.320}, {0.265, 0.690}, {0.150, 0.060}, 12, 1},
  };

  if (four[2] != 0 || four[3] != 1) return false; /* RGB, full range */
  switch (four[1]) {
  case 1:
  case 6:
  case 8:
  case 13:
  case 14:
  case 15: break;
  default: return false;
  }
  for (size_t i = 0; i < sizeof primaries / sizeof primaries[0]; i++)
    if (primaries[i].curve == four[0]) {
      *codes = primaries[i];
      codes->curve = four[1];
      return true;
    }
  return false;
}

/* The curve back from value to light, as Little CMS's parametric type 4.
** Ref: IEC 61966-2-1; ITU-R BT.709-6, item 1.2 (undone). */
static cmsToneCurve *curve(cmsContext c, const lh_photo_codes *codes)
{
  static const double srgb[] = {2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92,
                                0.04045};
  static const double bt709[] = {1 / 0.45, 1 / 1.099, 0.099 / 1.099, 1 / 4.5,
                                 0.081};

  switch (codes->curve) {
  case 0: return cmsBuildGamma(c, codes->gamma);
  case 8: return cmsBuildGamma(c, 1.0);
  case 13: return cmsBuildParametricToneCurve(c, 4, srgb);
  default: return cmsBuildParametricToneCurve(c, 4, bt709);
  }
}

static cmsHPROFILE by_codes(cmsContext c, const lh_photo_codes *k)
{
  cmsCIExyY white = {k->white[0], k->white[1], 1};
  cmsCIExyYTRIPLE p = {{k->red[0], k->red[1], 1},
                       {k->green[0], k->green[1], 1},
                       {k->blue[0], k->blue[1], 1}};
  cmsToneCurve *one = curve(c, k), *three[3] = {one, one, one};
  cmsHPROFILE profile =
      one ? cmsCreateRGBProfileTHR(c, &white, &p, three) : NULL;

  if (one) cmsFreeToneCurve(one);
  return profile;
}

/* ---- profiles ----------------------------------------------------------- */

/* A picture's own: of a camera, a screen, or a space, in red, green, blue. */
static bool fits(cmsHPROFILE profile)
{
  cmsProfileClassSignature k = cmsGetDeviceClass(profile);

  return cmsGetColorSpace(profile) == cmsSigRgbData &&
         (k == cmsSigInputClass || k == cmsSigDisplayClass ||
          k == cmsSigColorSpaceClass || k == cmsSigOutputClass);
}

static void name(cmsHPROFILE profile, char *text, size_t size)
{
  cmsUInt32Number n = cmsGetProfileInfoASCII(profile, cmsInfoDescription, "en",
                                             "US", text, (cmsUInt32Number)size);

  if (n == 0) text[0] = 0;
  text[size - 1] = 0;
  for (char *c = text; *c; c++)
    if (*c < ' ' || *c > '~') *c = '?';
}

static lh_status no_profile(lh_photo *p)
{
  return lh_photo_refuse(p, LH_INPUT, "save the picture as sRGB",
                         "the picture's colour profile is broken, or not one "
                         "of red, green and blue");
}

static lh_status open(lh_photo *p, cmsContext c, cmsHPROFILE *profile)
{
  lh_photo_told told = p->about->told;

  if (told == LH_PHOTO_ICC) {
    *profile =
        cmsOpenProfileFromMemTHR(c, p->icc, (cmsUInt32Number)p->icc_size);
    if (!*profile || !fits(*profile)) return LH_INPUT;
    name(*profile, p->about->profile, sizeof p->about->profile);
    return LH_OK;
  }
  *profile = told == LH_PHOTO_CODES ? by_codes(c, &p->codes)
                                    : cmsCreate_sRGBProfileTHR(c);
  return *profile ? LH_OK : told == LH_PHOTO_CODES ? LH_INPUT : LH_NOMEM;
}

/* ---- light -------------------------------------------------------------- */

/* Rows that take XYZ under D50 to linear sRGB. */
static void rows(double m[3][3])
{
  for (size_t k = 0; k < 3; k++) {
    lh_xyz unit = {k == 0, k == 1, k == 2};
    lh_rgb v = lh_xyz_srgb(lh_adapt(unit, D50, lh_srgb_white()));
    m[0][k] = lh_srgb_decode(v.r);
    m[1][k] = lh_srgb_decode(v.g);
    m[2][k] = lh_srgb_decode(v.b);
  }
}

typedef struct {
  float (*value)[3];
  double (*light)[3];
  double *order;
} buffers;

static lh_status disc(lh_photo *p, cmsHTRANSFORM to, double m[3][3], size_t i,
                      const buffers *b)
{
  const lh_photo_kept *k = &p->kept[i];
  lh_photo_disc *d = &p->disc[i];
  float full = (float)p->full;

  d->pixels = k->n;
  d->outside = k->meant > 0 ? 1 - (double)k->n / (double)k->meant : 0;
  d->lost = lh_disc_count((const lh_disc_pixel *)k->pixel, k->n, p->full);
  d->mean = (lh_disc_mean){{0, 0, 0}, 0};
  if (k->n == 0) return LH_OK;
  for (size_t j = 0; j < k->n; j++)
    for (size_t c = 0; c < 3; c++)
      b->value[j][c] = (float)k->pixel[j][c] / full;
  cmsDoTransform(to, b->value, b->light, (cmsUInt32Number)k->n);
  for (size_t j = 0; j < k->n; j++) {
    double *v = b->light[j], x = v[0], y = v[1], z = v[2];
    for (size_t c = 0; c < 3; c++)
      v[c] = m[c][0] * x + m[c][1] * y + m[c][2] * z;
  }
  /* A disc without light keeps zeros: it is said to be dark. */
  if (lh_disc_average(b->light[0], k->n, b->order, &d->mean) != LH_OK)
    d->mean = (lh_disc_mean){{0, 0, 0}, 0};
  return LH_OK;
}

static lh_status discs(lh_photo *p, cmsHTRANSFORM to)
{
  double m[3][3];
  size_t most = 1;
  lh_status st = LH_OK;

  for (size_t i = 0; i < p->count; i++)
    if (p->kept[i].n > most) most = p->kept[i].n;
  buffers b = {lh_arena_take(p->arena, most, sizeof *b.value),
               lh_arena_take(p->arena, most, sizeof *b.light),
               lh_arena_take(p->arena, 2 * most, sizeof *b.order)};
  if (!b.value || !b.light || !b.order) return LH_NOMEM;
  rows(m);
  for (size_t i = 0; i < p->count && st == LH_OK; i++)
    st = disc(p, to, m, i, &b);
  return st;
}

lh_status lh_photo_light(lh_photo *p)
{
  lh_photo_memory memory;
  cmsContext c = lh_photo_context(&memory, p->arena);
  cmsHPROFILE from = NULL, xyz = NULL;
  cmsHTRANSFORM to = NULL;
  lh_status st = c ? LH_OK : LH_NOMEM;

  if (st == LH_OK) st = open(p, c, &from);
  if (st == LH_OK && !(xyz = cmsCreateXYZProfileTHR(c))) st = LH_NOMEM;
  if (st == LH_OK) {
    to = cmsCreateTransformTHR(c, from, TYPE_RGB_FLT, xyz, TYPE_XYZ_DBL,
                               INTENT_RELATIVE_COLORIMETRIC,
                               cmsFLAGS_NOOPTIMIZE | cmsFLAGS_NOCACHE);
    st = to ? discs(p, to) : LH_INPUT;
  }
  if (memory.starved) st = LH_NOMEM;
  if (to) cmsDeleteTransform(to);
  if (xyz) cmsCloseProfile(xyz);
  if (from) cmsCloseProfile(from);
  if (c) cmsDeleteContext(c);
  if (st == LH_INPUT) return no_profile(p);
  return st == LH_OK ? st : lh_fault_plain(p->fault, st, p->where);
}
