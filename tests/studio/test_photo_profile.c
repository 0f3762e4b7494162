/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_photo_profile.c -- what a picture's numbers mean: its ICC profile, its
** chunks, or sRGB.
**
** The light expected is worked out here from published matrices:
**   ROMM RGB (ISO 22028-2): to XYZ under D50, 4 decimals, from memory;
**   BT.2020 (ITU-R BT.2020-2, table 4): luminance weights, 4 decimals;
**   sRGB (IEC 61966-2-1): from XYZ under D65, 4 decimals;
**   Bradford, D50 to D65, 7 decimals (ICC.1:2022, annex E, inverted).
** Profiles are made by Little CMS.
*/
#include <lcms2.h>
#include <math.h>

#include "check.h"
#include "heap.h"
#include "photo_made.h"

static lh_arena arena;

static const double romm[3][3] = {{0.7977, 0.1352, 0.0313},
                                  {0.2880, 0.7119, 0.0001},
                                  {0.0000, 0.0000, 0.8249}};
static const double d65_of_d50[3][3] = {{0.9555766, -0.0230393, 0.0631636},
                                        {-0.0282895, 1.0099416, 0.0210077},
                                        {0.0122982, -0.0204830, 1.3299098}};
static const double srgb_of_xyz[3][3] = {{3.2406, -1.5372, -0.4986},
                                         {-0.9689, 1.8758, 0.0415},
                                         {0.0557, -0.2040, 1.0570}};

static void times(const double m[3][3], const double v[3], double out[3])
{
  for (size_t i = 0; i < 3; i++)
    out[i] = m[i][0] * v[0] + m[i][1] * v[1] + m[i][2] * v[2];
}

/* A quarter's linear sRGB when its numbers are ROMM's with a power of 1.8. */
static void by_romm(size_t q, double out[3])
{
  double v[3], xyz[3], d65[3];

  for (size_t c = 0; c < 3; c++) v[c] = pow(quarter[q][c] / 65535.0, 1.8);
  times(romm, v, xyz);
  times(d65_of_d50, xyz, d65);
  times(srgb_of_xyz, d65, out);
}

/* ---- profiles, by Little CMS -------------------------------------------- */

static void *saved(cmsHPROFILE p, unsigned *n)
{
  cmsUInt32Number size = 0;
  void *bytes;

  cmsSaveProfileToMem(p, NULL, &size);
  bytes = malloc(size);
  cmsSaveProfileToMem(p, bytes, &size);
  cmsCloseProfile(p);
  *n = size;
  return bytes;
}

/* ROMM's primaries and white (ISO 22028-2), a power of 1.8. */
static cmsHPROFILE romm_matrix(void)
{
  cmsCIExyY white = {0.3457, 0.3585, 1};
  cmsCIExyYTRIPLE p = {
      {0.7347, 0.2653, 1}, {0.1596, 0.8404, 1}, {0.0366, 0.0001, 1}};
  cmsToneCurve *g = cmsBuildGamma(NULL, 1.8), *three[3] = {g, g, g};
  cmsHPROFILE space = cmsCreateRGBProfile(&white, &p, three);

  cmsFreeToneCurve(g);
  return space;
}

/* One point of the table: ROMM's numbers to encoded L*a*b*. */
static cmsInt32Number node(const cmsUInt16Number in[], cmsUInt16Number out[],
                           void *cargo)
{
  double v[3], c[3];
  cmsCIEXYZ xyz;
  cmsCIELab lab;

  (void)cargo;
  for (size_t k = 0; k < 3; k++) v[k] = pow(in[k] / 65535.0, 1.8);
  times(romm, v, c);
  xyz = (cmsCIEXYZ){c[0], c[1], c[2]};
  cmsXYZ2Lab(cmsD50_XYZ(), &lab, &xyz);
  cmsFloat2LabEncoded(out, &lab);
  return TRUE;
}

/* The same space as a table of 52 nodes an edge to L*a*b*: every fifth of 255
** steps has a node, and the quarters' colours lie on nodes.  About 840 kB, so
** that a JPEG needs 13 markers for it. */
static cmsHPROFILE romm_table(void)
{
  cmsHPROFILE p = cmsCreateProfilePlaceholder(NULL);
  cmsPipeline *l = cmsPipelineAlloc(NULL, 3, 3);
  cmsStage *table = cmsStageAllocCLut16bit(NULL, 52, 3, 3, NULL);
  cmsMLU *words = cmsMLUalloc(NULL, 1);

  cmsStageSampleCLut16bit(table, node, NULL, 0);
  cmsPipelineInsertStage(l, cmsAT_END, cmsStageAllocToneCurves(NULL, 3, NULL));
  cmsPipelineInsertStage(l, cmsAT_END, table);
  cmsPipelineInsertStage(l, cmsAT_END, cmsStageAllocToneCurves(NULL, 3, NULL));
  cmsSetProfileVersion(p, 4.3);
  cmsSetDeviceClass(p, cmsSigInputClass);
  cmsSetColorSpace(p, cmsSigRgbData);
  cmsSetPCS(p, cmsSigLabData);
  cmsMLUsetASCII(words, "en", "US", "a table (invented)");
  cmsWriteTag(p, cmsSigProfileDescriptionTag, words);
  cmsWriteTag(p, cmsSigMediaWhitePointTag, cmsD50_XYZ());
  cmsWriteTag(p, cmsSigAToB0Tag, l);
  cmsMLUfree(words);
  cmsPipelineFree(l);
  return p;
}

/* What the table says: its a* and b* go from -128 to 127 (ICC.1:2022, 6.3.4.2).
 */
static void by_table(size_t q, double out[3])
{
  double v[3], c[3], d65[3];
  cmsCIEXYZ xyz;
  cmsCIELab lab;

  for (size_t k = 0; k < 3; k++) v[k] = pow(quarter[q][k] / 65535.0, 1.8);
  times(romm, v, c);
  xyz = (cmsCIEXYZ){c[0], c[1], c[2]};
  cmsXYZ2Lab(cmsD50_XYZ(), &lab, &xyz);
  lab.a = fmin(fmax(lab.a, -128), 127);
  lab.b = fmin(fmax(lab.b, -128), 127);
  cmsLab2XYZ(cmsD50_XYZ(), &xyz, &lab);
  c[0] = xyz.X, c[1] = xyz.Y, c[2] = xyz.Z;
  times(d65_of_d50, c, d65);
  times(srgb_of_xyz, d65, out);
}

/* ---- reading ------------------------------------------------------------- */

static void quarters(lh_photo_disc d[4])
{
  for (size_t i = 0; i < 4; i++)
    d[i] = (lh_photo_disc){.x = i % 2 ? 0.75 : 0.25,
                           .y = i / 2 ? 0.75 : 0.25,
                           .radius = 5.0 / WIDE};
}

static lh_status look(file f, lh_photo_disc d[4], lh_photo_about *about,
                      lh_fault *fault)
{
  lh_status st;

  *fault = (lh_fault){0};
  quarters(d);
  st = lh_photo_read(f.bytes, f.n, "/file", d, 4, &arena, NULL, about, fault);
  free(f.bytes);
  if (st != LH_OK) printf("# %s\n", fault->what);
  return st;
}

static double worst(const lh_photo_disc d[4],
                    void expect(size_t q, double out[3]))
{
  double most = 0, want[3];

  for (size_t i = 0; i < 4; i++) {
    expect(i, want);
    for (size_t c = 0; c < 3; c++)
      most = fmax(most, fabs(d[i].mean.rgb[c] - want[c]));
  }
  return most;
}

static void by_srgb(size_t q, double out[3])
{
  for (size_t c = 0; c < 3; c++) {
    double v = quarter[q][c] / 65535.0;
    out[c] = v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
  }
}

/* Three matrices of 4 decimals: half a unit of the last digit in each of nine
** places, times at most 3.3 of the next; and Little CMS's own rounding of a
** profile's numbers to 2^-16. */
#define MATRIX_SLACK (9 * 5e-5 * 3.3)

/* On a node, L*, a* and b* are rounded to 16 bits: f to 4e-6, light to
** 3 f^2 times that, then the matrix. */
static const double TABLE = MATRIX_SLACK + 3 * 4e-6 * 3.3 * 3;

static void test_icc(void)
{
  unsigned n[2];
  void *icc[2] = {saved(romm_matrix(), &n[0]), saved(romm_table(), &n[1])};
  static const char *const words[] = {"a matrix", "a table"};

  for (int k = 0; k < 2; k++) {
    made png = {.kind = PNG_COLOR_TYPE_RGB,
                .bits = 16,
                .icc = icc[k],
                .icc_size = n[k]};
    made jpeg = {.icc = icc[k], .icc_size = n[k]};
    lh_photo_disc d[4];
    lh_photo_about about;
    lh_fault fault;
    double slack = k ? TABLE : MATRIX_SLACK;
    CHECK(look(make_png(&png), d, &about, &fault) == LH_OK &&
              about.told == LH_PHOTO_ICC,
          "PNG with %s", words[k]);
    CHECK(worst(d, k ? by_table : by_romm) <= slack, "%s: the light is ROMM's",
          words[k]);
    CHECK(worst(d, by_srgb) > 0.1, "%s: and far from sRGB's", words[k]);
    CHECK(look(make_jpeg(&jpeg), d, &about, &fault) == LH_OK &&
              about.told == LH_PHOTO_ICC,
          "JPEG with %s, %u bytes", words[k], n[k]);
    /* Two steps of 8 bits, at a slope of at most 1.8 times the matrices. */
    CHECK(worst(d, k ? by_table : by_romm) <= slack + 2 / 255.0 * 1.8 * 3.3,
          "%s: the same of a JPEG", words[k]);
    CHECK(worst(d, by_srgb) > 0.1, "%s: which is not sRGB's", words[k]);
    if (k) CHECK_TEXT(about.profile, "a table (invented)", "its name");
    printf("# %zu bytes of profile\n", (size_t)n[k]);
    free(icc[k]);
  }
}

/* ---- PNG's own words ------------------------------------------------------
 */

/* BT.2020's luminance of a quarter, the numbers decoded as sRGB's are. */
static double luminance_2020(size_t q)
{
  double v[3];

  by_srgb(q, v);
  return 0.2627 * v[0] + 0.6780 * v[1] + 0.0593 * v[2];
}

static double luminance(const double v[3])
{
  return 0.2126 * v[0] + 0.7152 * v[1] + 0.0722 * v[2];
}

static void test_cicp(void)
{
  static const unsigned char wide[] = {9, 13, 0, 1}, same[] = {1, 13, 0, 1},
                             pq[] = {9, 16, 0, 1}, narrow[] = {9, 13, 0, 0},
                             film[] = {8, 13, 0, 1}, ycc[] = {9, 13, 9, 1};
  static const unsigned char *const no[] = {pq, narrow, film, ycc};
  unsigned n;
  void *icc = saved(romm_matrix(), &n);
  made m = {.kind = PNG_COLOR_TYPE_RGB, .bits = 16, .cicp = wide};
  lh_photo_disc d[4];
  lh_photo_about about;
  lh_fault fault;

  CHECK(look(make_png(&m), d, &about, &fault) == LH_OK &&
            about.told == LH_PHOTO_CODES,
        "cICP says BT.2020's primaries");
  for (size_t i = 0; i < 4; i++)
    CHECK_NEAR(luminance(d[i].mean.rgb), luminance_2020(i), 3 * 5e-5 + 2e-5,
               "quarter %zu: BT.2020's luminance", i);
  CHECK(worst(d, by_srgb) > 0.03, "which is not sRGB's light");
  m.icc = icc, m.icc_size = n;
  CHECK(look(make_png(&m), d, &about, &fault) == LH_OK &&
            about.told == LH_PHOTO_CODES &&
            fabs(luminance(d[0].mean.rgb) - luminance_2020(0)) < 2e-4,
        "cICP goes before a profile");
  m = (made){.kind = PNG_COLOR_TYPE_RGB, .bits = 16, .cicp = same};
  CHECK(look(make_png(&m), d, &about, &fault) == LH_OK &&
            worst(d, by_srgb) < 3e-5,
        "cICP's own words for sRGB");
  for (size_t i = 0; i < 4; i++) {
    m.cicp = no[i];
    CHECK(look(make_png(&m), d, &about, &fault) == LH_INPUT &&
              strstr(fault.what, "cICP"),
          "cICP %d %d %d %d is refused", no[i][0], no[i][1], no[i][2],
          no[i][3]);
  }
  free(icc);
}

static void by_power(size_t q, double out[3])
{
  for (size_t c = 0; c < 3; c++) out[c] = pow(quarter[q][c] / 65535.0, 1.5);
}

static void test_gamma(void)
{
  static const double bt2020[] = {0.3127, 0.3290, 0.708, 0.292,
                                  0.170,  0.797,  0.131, 0.046};
  made m = {.kind = PNG_COLOR_TYPE_RGB, .bits = 16, .gamma = 1 / 1.5};
  lh_photo_disc d[4];
  lh_photo_about about;
  lh_fault fault;

  /* gAMA has five decimals. */
  CHECK(look(make_png(&m), d, &about, &fault) == LH_OK &&
            about.told == LH_PHOTO_CODES && worst(d, by_power) < 1e-4,
        "gAMA alone: a power, of sRGB's primaries");
  m.chrm = bt2020;
  CHECK(look(make_png(&m), d, &about, &fault) == LH_OK, "gAMA and cHRM");
  for (size_t i = 0; i < 4; i++) {
    double v[3];
    by_power(i, v);
    CHECK_NEAR(luminance(d[i].mean.rgb),
               0.2627 * v[0] + 0.6780 * v[1] + 0.0593 * v[2], 3e-4,
               "quarter %zu: their luminance", i);
  }
  m = (made){.kind = PNG_COLOR_TYPE_RGB, .bits = 16, .srgb = true};
  CHECK(look(make_png(&m), d, &about, &fault) == LH_OK &&
            about.told == LH_PHOTO_SRGB && worst(d, by_srgb) < 3e-6,
        "a picture that says it is sRGB");
  m.srgb = false;
  CHECK(look(make_png(&m), d, &about, &fault) == LH_OK &&
            about.told == LH_PHOTO_NOTHING && worst(d, by_srgb) < 3e-6,
        "one that says nothing is read so, and it is said");
}

/* ---- profiles that are none -----------------------------------------------
 */

static void not_taken(const void *icc, unsigned n, const char *words)
{
  made jpeg = {.icc = icc, .icc_size = n};
  lh_photo_disc d[4];
  lh_photo_about about;
  lh_fault fault;

  CHECK(look(make_jpeg(&jpeg), d, &about, &fault) == LH_INPUT &&
            strstr(fault.what, "profile") && fault.todo[0],
        "a JPEG with %s is refused in words", words);
}

static void test_broken(void)
{
  unsigned n;
  cmsToneCurve *g = cmsBuildGamma(NULL, 2.2);
  unsigned char *icc = saved(romm_matrix(), &n);

  not_taken(icc, n / 2, "half a profile");
  not_taken(icc, 20, "the beginning of one");
  icc[36] = 'x'; /* the signature "acsp" */
  not_taken(icc, n, "one without its signature");
  free(icc);
  icc = saved(cmsCreateGrayProfile(cmsD50_xyY(), g), &n);
  not_taken(icc, n, "a profile of greys");
  free(icc);
  icc = saved(cmsCreateLab4Profile(NULL), &n);
  not_taken(icc, n, "a profile of L*a*b*");
  free(icc);
  icc = saved(cmsCreateInkLimitingDeviceLink(cmsSigCmykData, 200), &n);
  not_taken(icc, n, "a link between inks");
  free(icc);
  cmsFreeToneCurve(g);
}

/* A PNG whose profile libpng throws away for a bad sum must not be read as
** sRGB instead. */
static void test_png_broken(void)
{
  unsigned n;
  void *icc = saved(romm_matrix(), &n);
  made m = {.kind = PNG_COLOR_TYPE_RGB, .icc = icc, .icc_size = n};
  file f = make_png(&m);
  lh_photo_disc d[4];
  lh_photo_about about;
  lh_fault fault;

  for (size_t i = 0; i + 40 < f.n; i++)
    if (memcmp(f.bytes + i, "iCCP", 4) == 0) {
      f.bytes[i + 30] ^= 1;
      break;
    }
  CHECK(look(f, d, &about, &fault) == LH_INPUT, "a PNG whose profile is hurt");
  free(icc);
}

int main(void)
{
  lh_heap_open(&arena);
  test_icc();
  test_cicp();
  test_gamma();
  test_broken();
  test_png_broken();
  lh_heap_free(&arena);
  return CHECK_DONE();
}
