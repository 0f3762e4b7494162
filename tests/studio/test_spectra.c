/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files of spectra: what they say beside the readings, and what is refused.
** The readings themselves: spectra.py. */
#include <stdlib.h>

#include "check.h"
#include "difference.h"
#include "heap.h"
#include "pigment_reflectance_10nm.h"
#include "spectra.h"

static lh_arena arena;
static lh_fault fault;
static lh_spectra s;

static lh_status try_bytes(const void *bytes, size_t n, int scale, int light)
{
  lh_spectra_ask ask = {"f", scale, light};

  lh_heap_free(&arena);
  fault = (lh_fault){0};
  return lh_spectra_read(bytes, n, &ask, &arena, &s, &fault);
}

static lh_status try_text(const char *text)
{
  return try_bytes(text, strlen(text), -1, -1);
}

/* 36 readings v, from 380 nm on, as a table down. */
static const char *down(const char *head, const char *v)
{
  static char text[8000];
  size_t k = (size_t)snprintf(text, sizeof text, "%s\n", head);

  for (int nm = 380; nm <= 730; nm += 10)
    k += (size_t)snprintf(text + k, sizeof text - k, "%d;%s\n", nm, v);
  return text;
}

#define FIELDS                                                      \
  "380 NM_390 NM_400 NM_410 NM_420 NM_430 NM_440 NM_450 NM_460 "    \
  "NM_470 NM_480 NM_490 NM_500 NM_510 NM_520 NM_530 NM_540 NM_550 " \
  "NM_560 NM_570 NM_580 NM_590 NM_600 NM_610 NM_620 NM_630 NM_640 " \
  "NM_650 NM_660 NM_670 NM_680 NM_690 NM_700 NM_710 NM_720 NM_730 "
#define NINE "1 2 3 4 5 6 7 8 9 "
#define SET NINE NINE NINE NINE
#define FORMAT "BEGIN_DATA_FORMAT\nSAMPLE_ID NM_" FIELDS "\nEND_DATA_FORMAT\n"

/* Laid out by ISO 28178's clause on ASCII files and CGATS.17 (identifying
** first line, keywords, NUMBER_OF_FIELDS, data format, NUMBER_OF_SETS, data;
** from memory of the standards): readings invented. */
static const char standard[] =
    "CGATS.17\n"
    "ORIGINATOR\t\"a studio (invented)\"\n"
    "FILE_DESCRIPTOR\t\"six tiles of one slip\"\n"
    "CREATED\t\"2026-11-26\"\n"
    "INSTRUMENTATION\t\"an instrument (invented); serial number 1\"\n"
    "MEASUREMENT_SOURCE\t\"Illumination=D50 ObserverAngle=2 Filter=No\"\n"
    "MEASUREMENT_GEOMETRY\t\"d/8, specular component included\"\n"
    "KEYWORD\t\"KILN_SHELF\"\nKILN_SHELF\t\"upper\"\n"
    "NUMBER_OF_FIELDS\t38\n"
    "BEGIN_DATA_FORMAT\nSAMPLE_ID SAMPLE_NAME NM_" FIELDS "\nEND_DATA_FORMAT\n"
    "NUMBER_OF_SETS\t2\n"
    "BEGIN_DATA\n"
    "1 \"tile \"\"A\"\"\" " SET "\n# between two\n"
    "2 \"tile B\" " SET "   # behind\n"
    "END_DATA\n";

static void a_standard_file(void)
{
  CHECK(try_text(standard) == LH_OK, "a file laid out by the standard: %s %s",
        fault.where, fault.what);
  CHECK(s.count == 2 && s.exchange && !s.lab, "two samples");
  CHECK_TEXT(s.sample[0].name, "tile \"A\"", "a name with quotes in it");
  CHECK_TEXT(s.sample[1].id, "2", "its number");
  CHECK(s.sample[0].line == 16 && s.sample[0].column == 3 &&
            s.sample[1].line == 18,
        "where they stand");
  CHECK(s.scale == LH_SCALE_PERCENT && s.scale_by == LH_SCALE_BY_VALUES,
        "percent, by the values");
  CHECK_NEAR(s.sample[1].reflectance[35], 0.09, 0, "nine per cent");
  CHECK(s.geometry == LH_D8_IN, "a sphere, gloss included");
}

static void scales(void)
{
  const char *small = down("nm;a", "1.2"), *text;

  CHECK(try_text(small) == LH_OK && s.scale == LH_SCALE_FRACTION &&
            s.scale_by == LH_SCALE_BY_VALUES,
        "1.2 is a fraction unless told");
  CHECK(try_bytes(small, strlen(small), LH_SCALE_PERCENT, -1) == LH_OK &&
            s.scale_by == LH_SCALE_BY_ASKER &&
            s.sample[0].reflectance[0] == 1.2 / 100,
        "told, it is percent");
  CHECK(try_text(down("nm (%);a", "1.2")) == LH_OK &&
            s.scale == LH_SCALE_PERCENT && s.scale_by == LH_SCALE_BY_HEADING,
        "so is it by the heading");
  CHECK(try_text(down("nm;10 % cobalt", "1.2")) == LH_OK &&
            s.scale == LH_SCALE_FRACTION,
        "a name's percent sign says nothing");
  CHECK(try_text(down("nm;a", "1.6")) == LH_OK && s.scale == LH_SCALE_PERCENT,
        "1.6 is percent");
  text = down("nm;a", "1.6");
  CHECK(try_bytes(text, strlen(text), LH_SCALE_FRACTION, -1) == LH_RANGE,
        "1.6 told to be a fraction is refused");
  CHECK_TEXT(fault.where, "f:2:5", "where it stands");
  CHECK(try_text(down("nm;a", "1.45")) == LH_RANGE, "1.45 is neither: refused");
  CHECK(try_text(down("nm (%);a", "141")) == LH_RANGE, "141 %% is none");
  text = down("nm (%);a", "12");
  CHECK(try_bytes(text, strlen(text), LH_SCALE_FRACTION, -1) == LH_INPUT,
        "told against the heading is refused");
}

static void geometries(void)
{
  static const struct {
    const char *says;
    int is;
  } each[] = {{"45/0", LH_45_0},
              {"0/45", LH_45_0},
              {"45\xc2\xb0:0\xc2\xb0", LH_45_0},
              {"45a:0", LH_45_0},
              {"di:8", LH_D8_IN},
              {"de:8", LH_D8_EX},
              {"d/8 SPEX", LH_D8_EX},
              {"Sphere, specular component excluded", LH_D8_EX},
              {"d/8", LH_GEOMETRY_SPHERE},
              {"sphere", LH_GEOMETRY_SPHERE},
              {"by eye", LH_GEOMETRY_STRANGE}};
  char text[3000];

  for (size_t i = 0; i < sizeof each / sizeof *each; i++) {
    snprintf(text, sizeof text,
             "MEASUREMENT_GEOMETRY \"%s\"\n" FORMAT "BEGIN_DATA\n1 " SET
             "\nEND_DATA\n",
             each[i].says);
    CHECK(try_text(text) == LH_OK && s.geometry == each[i].is,
          "geometry \"%s\"", each[i].says);
  }
  CHECK(
      try_text("MEASUREMENT_SOURCE \"Illumination=D50 Geometry=0/45\"\n" FORMAT
               "BEGIN_DATA\n1 " SET "\nEND_DATA\n") == LH_OK &&
          s.geometry == LH_45_0,
      "the source's words tell it, too");
  CHECK(try_text(FORMAT "BEGIN_DATA\n1 " SET "\nEND_DATA\n") == LH_OK &&
            s.geometry == LH_GEOMETRY_UNTOLD,
        "or nothing does");
  CHECK(try_text("CREATED \"K\xf6nigsberg\"\nMEASUREMENT_GEOMETRY "
                 "\"45\xb0:0\xb0\"\n" FORMAT "BEGIN_DATA\n\"L\xf6ss\" " SET
                 "\nEND_DATA\n") == LH_OK,
        "ISO 8859-1 is read");
  CHECK_TEXT(s.sample[0].name, "L\xc3\xb6ss", "as the letters it means");
}

#define LABS "BEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"

static void colours(void)
{
  CHECK(try_text("WEIGHTING_FUNCTION \"ILLUMINANT, D65\"\n" LABS
                 "BEGIN_DATA\na 40 -5.5 6\nEND_DATA\n") == LH_OK &&
            s.lab && s.light == LH_D65 && s.sample[0].lab.a == -5.5,
        "L*a*b* under D65 stay as they are");
  CHECK(try_text("WEIGHTING_FUNCTION \"ILLUMINANT, D50\" \"OBSERVER, 2 "
                 "degree\"\n" LABS
                 "BEGIN_DATA\na 40 0 0\nEND_DATA\n") == LH_OK &&
            s.light == LH_D50,
        "D50 is read");
  CHECK_NEAR(s.sample[0].lab.L, 40, 1e-9, "grey stays grey: L*");
  CHECK_NEAR(hypot(s.sample[0].lab.a, s.sample[0].lab.b), 0, 1e-9,
             "grey stays grey: a*, b*");
  CHECK(try_text(LABS "BEGIN_DATA\na 40 1 2\nEND_DATA\n") == LH_INPUT,
        "a light that is not told is not guessed");
  CHECK(try_bytes(LABS "BEGIN_DATA\na 40 1 2\nEND_DATA\n",
                  sizeof LABS "BEGIN_DATA\na 40 1 2\nEND_DATA\n" - 1, -1,
                  LH_D65) == LH_OK,
        "told from outside, it is taken");
  CHECK(try_text("WEIGHTING_FUNCTION \"ILLUMINANT, A\"\n" LABS
                 "BEGIN_DATA\na 40 1 2\nEND_DATA\n") == LH_INPUT,
        "lamp light is refused");
  CHECK(try_text("WEIGHTING_FUNCTION \"ILLUMINANT, D65\" \"OBSERVER, 10 "
                 "degree\"\n" LABS
                 "BEGIN_DATA\na 40 1 2\nEND_DATA\n") == LH_INPUT,
        "so is the 10 degree observer");
  CHECK(try_text("WEIGHTING_FUNCTION \"ILLUMINANT, D65\"\n" LABS
                 "BEGIN_DATA\na 40 1 2\nEND_DATA\n" FORMAT "BEGIN_DATA\na " SET
                 "\nEND_DATA\n") == LH_OK &&
            !s.lab && s.count == 1,
        "where there are spectra, they go first");
  CHECK(try_bytes("name;L*;a*;b*\nx;40,5;-1;2\n", 26, -1, LH_D65) == LH_OK &&
            s.lab && s.sample[0].lab.L == 40.5,
        "a table of L*a*b*");
}

/* What Bradford's transform leaves over: the powders under D50 and D65. */
static void carried(void)
{
  double squares = 0;
  size_t n = sizeof pigment_reflectance_10nm[0] / sizeof(double) - 1;

  for (size_t k = 0; k < n; k++) {
    double r[LH_WAVES], d[3];
    char text[400];
    lh_lab d50, d65;
    for (size_t w = 0; w < LH_WAVES; w++)
      r[w] = pigment_reflectance_10nm[w][k + 1];
    d50 = lh_spectrum_lab(r, LH_D50), d65 = lh_spectrum_lab(r, LH_D65);
    snprintf(text, sizeof text, "name;L*;a*;b*\nx;%.9f;%.9f;%.9f\n", d50.L,
             d50.a, d50.b);
    if (try_bytes(text, strlen(text), -1, LH_D50) != LH_OK) abort();
    d[0] = s.sample[0].lab.L - d65.L;
    d[1] = s.sample[0].lab.a - d65.a;
    d[2] = s.sample[0].lab.b - d65.b;
    squares += (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]) / 3;
  }
  /* One figure is kept of 0.5: it stands for 0.45 to 0.55. */
  squares = sqrt(squares / (double)n);
  CHECK(squares > 0.9 * LH_SPECTRA_D50_DOUBT &&
            squares < 1.1 * LH_SPECTRA_D50_DOUBT,
        "L*a*b* carried from D50 are off by %.2f", squares);
}

static const struct {
  const char *text, *where, *what;
} bad[] = {
    {"", "f:1:1", "no wavelengths"},
    {"\xef\xbb\xbf", "f:1:1", "no wavelengths"},
    {"nothing\nof use\n", "f:1:1", "no wavelengths"},
    {"nm;a;b\n380;1;1\n390;1\n400;1;1\n410;1;1\n420;1;1\n430;1;1\n", "f:3:1",
     "2 cells under a heading of 3"},
    {"nm,a\n380,0,1\n390,0,1\n400,0,1\n410,0,1\n420,0,1\n430,0,1\n", "f:2:1",
     "3 cells under a heading of 2"},
    {"380;1\n390;1\n400;1\n410;1\n420;1\n430;1\n", "f:1:1", "first line"},
    {"nm\n380\n390\n400\n410\n420\n430\n", "f:1:1", "no sample beside"},
    {"nm;a\n380;1\n390;1\n400;1\n410;1\n420;1\n435;1\n", "f:2:1", "not even"},
    {"nm;a\n380;1\n390;1\n400;1\n410;1\n420;1\n420;1\n", "f:2:1", "twice"},
    {"nm;a\n380;1\n390;1\n400;1\n410;1\n420;1\n430;1\n", "f:2:1",
     "from 380 to 430 nm"},
    {"nm;a\n380;1\n390;1\n400;1\n410;1\n420;1\n430;1\nmean;1\n", "f:8:1",
     "a wavelength should"},
    {"nm;\"a\n380;1\n", "f:1:4", "not closed"},
    {"380,390,400,410,420,430\n1,1,1,1,1,1\n", "f:1:1", "no column names"},
    {FORMAT "BEGIN_DATA\n1 " NINE "\nEND_DATA\n", "f:5:1", "10 values"},
    {FORMAT "BEGIN_DATA\n1 " SET "\n", "f:4:1", "do not end"},
    {FORMAT "BEGIN_DATA\n\"1 " SET "\nEND_DATA\n", "f:5:1", "not closed"},
    {FORMAT "NUMBER_OF_SETS 2\nBEGIN_DATA\n1 " SET "\nEND_DATA\n", "f:4:16",
     "NUMBER_OF_SETS is 2, there are 1"},
    {"NUMBER_OF_FIELDS 36\n" FORMAT "BEGIN_DATA\n1 " SET "\nEND_DATA\n",
     "f:1:18", "NUMBER_OF_FIELDS is 36, the data format has 37"},
    {"NUMBER_OF_FIELDS\n" FORMAT, "f:1:1", "without its number"},
    {"NUMBER_OF_SETS 1.5\n" FORMAT, "f:1:16", "count"},
    {FORMAT "BEGIN_DATA\n1 " SET "\n1 " SET "\nEND_DATA\n", "f:6:1",
     "second sample called \"1\""},
    {"BEGIN_DATA\n1 2\nEND_DATA\n", "f:1:1", "without a data format"},
    {"BEGIN_DATA_FORMAT\nSAMPLE_ID\n", "f:1:1", "does not end"},
    {"BEGIN_DATA_FORMAT\nSAMPLE_ID\nBEGIN_DATA\n", "f:3:1", "within"},
    {"CGATS.17\n", "f:1:1", "no BEGIN_DATA"},
    {FORMAT "BEGIN_DATA\nEND_DATA\n", "f:1:1", "no sample"},
    {"BEGIN_DATA_FORMAT\nNM_" FIELDS "\nEND_DATA_FORMAT\nBEGIN_DATA\n" SET
     "\nEND_DATA\n",
     "f:1:1", "no field names"},
    {"BEGIN_DATA_FORMAT\nSAMPLE_ID SPECTRAL_NM SPECTRAL_NM SPECTRAL_PCT\n"
     "END_DATA_FORMAT\n",
     "f:1:1", "without its reading"},
    {"POLARIZATION yes\n" FORMAT "BEGIN_DATA\n1 " SET "\nEND_DATA\n", "f:1:1",
     "polarises"},
    {"FILTER \"M3\"\n" FORMAT "BEGIN_DATA\n1 " SET "\nEND_DATA\n", "f:1:1",
     "polarises"},
    {"MEASUREMENT_GEOMETRY \"45/0\"\n" FORMAT "BEGIN_DATA\n1 " SET
     "\nEND_DATA\nMEASUREMENT_GEOMETRY \"d/8\"\n",
     "f:8:1", "another geometry"},
    {FORMAT "BEGIN_DATA\n1 -" SET "\nEND_DATA\n", "f:5:3", "below 0"},
    {FORMAT "BEGIN_DATA\n1 2\x01 " SET "\nEND_DATA\n", "f:5:4", "control"},
    {FORMAT "BEGIN_DATA\n\"\"\"1\"\"\xc3\xb6\" 2 -3 " SET "\nEND_DATA\n",
     "f:5:1", "39 values"},
    {FORMAT "BEGIN_DATA\n\"\"\"\xc3\xb6\" -1 " NINE NINE NINE "1 2 3 4 5 6 7 8"
            "\nEND_DATA\n",
     "f:5:7", "below 0"},
    {FORMAT "BEGIN_DATA\n\"1\"2 " SET "\nEND_DATA\n", "f:5:4", "behind a"},
    {FORMAT "BEGIN_DATA 1\n", "f:4:12", "behind BEGIN_DATA"},
    {FORMAT "BEGIN_DATA\n\"\" " SET "\nEND_DATA\n", "f:5:1", "without a name"},
    {"BEGIN_DATA_FORMAT\nSAMPLE_ID NM_380 NM_390\nEND_DATA_FORMAT\n", "f:2:11",
     "too few"},
    {"BEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L\nEND_DATA_FORMAT\n", "f:1:1",
     "three numbers"},
};

static void refused(void)
{
  char *huge;

  for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
    lh_status st = try_text(bad[i].text);
    CHECK(st != LH_OK && strcmp(fault.where, bad[i].where) == 0 &&
              strstr(fault.what, bad[i].what) && fault.todo[0],
          "refused, %s at %s: %s %s", bad[i].what, bad[i].where, fault.where,
          fault.what);
  }
  CHECK(try_text(down("nm;a;a", "1;2")) == LH_INPUT &&
            strstr(fault.what, "second sample"),
        "two columns of one name");
  CHECK(try_text(down("nm;a", "x")) == LH_INPUT &&
            strcmp(fault.where, "f:2:5") == 0,
        "a word: %s", fault.what);
  CHECK(try_text(down("nm;a", "NaN")) == LH_INPUT && strstr(fault.what, "NaN"),
        "NaN: %s", fault.what);
  CHECK(try_text(down("nm;a", "-0.1")) == LH_INPUT &&
            strcmp(fault.where, "f:2:5") == 0,
        "below 0 in a table");
  CHECK(try_text(down("nm;a;b", "1;")) == LH_INPUT &&
            strstr(fault.what, "2 cells") == NULL,
        "a cell without a reading: %s", fault.what);
  huge = calloc(1, LH_SPECTRA_BYTES + 1);
  CHECK(huge && try_bytes(huge, LH_SPECTRA_BYTES + 1, -1, -1) == LH_TOOLARGE,
        "more than 2 MB are refused");
  free(huge);
  CHECK(try_bytes("\xff\xfen\0m\0", 6, -1, -1) == LH_INPUT, "UTF-16");
}

/* However little memory there is, it is a plain outcome. */
static void starved(void)
{
  lh_spectra_ask ask = {"f", -1, -1};
  lh_status st = LH_NOMEM;
  size_t limit = 0;

  while (st == LH_NOMEM && limit < 8000000) {
    lh_heap_free(&arena);
    fault = (lh_fault){0};
    lh_heap_limit(limit += 20000);
    st = lh_spectra_read(standard, sizeof standard - 1, &ask, &arena, &s,
                         &fault);
    lh_heap_limit(0);
  }
  CHECK(st == LH_OK && limit > 20000, "out of memory, until there is enough");
}

int main(void)
{
  lh_heap_open(&arena);
  a_standard_file();
  scales();
  geometries();
  colours();
  carried();
  refused();
  starved();
  lh_heap_free(&arena);
  return CHECK_DONE();
}
