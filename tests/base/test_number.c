/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdint.h>

#include "check.h"
#include "number.h"

static lh_status read(const char *s, double *v, lh_number_why *why, size_t *at)
{
  return lh_number_read(s, strlen(s), v, why, at);
}

/* The right answers are the compiler's own literals, which ISO C17 F.5 has
** correctly rounded. */
static void taken(void)
{
  static const struct {
    const char *s;
    double want;
  } t[] = {
      {"0", 0},
      {"1.5", 1.5},
      {"1,5", 1.5},
      {"-2", -2},
      {"+2", 2},
      {".5", 0.5},
      {",25", 0.25},
      {"007", 7},
      {"1,234", 1.234}, /* one separator is a decimal one */
      {"1.234", 1.234},
      {"  12\t", 12},
      {"12\r\n", 12},
      {"1e3", 1000},
      {"1,5E-3", 0.0015},
      {"2e+2", 200},
      {"0,3", 0.3},
      {"0.1", 0.1},
      {"14,25", 14.25},
      {"1e23", 1e23},                           /* not 10^23: hard */
      {"9007199254740993", 9007199254740992.0}, /* 2^53 + 1: a tie  */
      {"9007199254740995", 9007199254740996.0}, /* a tie, to even    */
      {"9007199254740993,0000000000000001", 9007199254740994.0},
      {"2.2250738585072011e-308", 2.2250738585072011e-308},
      {"5e-324", 0x1p-1074},
      {"2.4703282292062328e-324", 0x1p-1074}, /* just over half of it */
      {"1.7976931348623157e308", 0x1.fffffffffffffp1023},
      {"1.7976931348623158e308", 0x1.fffffffffffffp1023},
      {"0e999999", 0},
      {"0.000e-999999", 0},
  };

  for (size_t i = 0; i < sizeof t / sizeof t[0]; i++) {
    double v = -7;
    lh_number_why why = LH_NUMBER_LONG;
    lh_status st = read(t[i].s, &v, &why, NULL);
    CHECK(st == LH_OK && why == LH_NUMBER_FINE && v == t[i].want,
          "\"%.*s\" reads as %.17g", (int)strcspn(t[i].s, "\t\r\n"), t[i].s,
          t[i].want);
  }
  double v = -7;
  read("-0,0", &v, NULL, NULL);
  CHECK(v == 0 && !signbit(v), "minus zero is zero");
}

static const struct {
  const char *s;
  lh_status st;
  lh_number_why why;
  size_t at;
} wrong[] = {
    {"", LH_INPUT, LH_NUMBER_EMPTY, 0},
    {"   ", LH_INPUT, LH_NUMBER_EMPTY, 3},
    {"1.234,5", LH_INPUT, LH_NUMBER_MIXED, 5},
    {"1,234.5", LH_INPUT, LH_NUMBER_MIXED, 5},
    {"1,234,567", LH_INPUT, LH_NUMBER_GROUPED, 5},
    {"1.234.567", LH_INPUT, LH_NUMBER_GROUPED, 5},
    {"1 234", LH_INPUT, LH_NUMBER_GROUPED, 1},
    {"1'234", LH_INPUT, LH_NUMBER_GROUPED, 1},
    {"1_234", LH_INPUT, LH_NUMBER_GROUPED, 1},
    {"1\xc2\xa0"
     "234",
     LH_INPUT, LH_NUMBER_GROUPED, 1},
    {"1\xe2\x80\xaf"
     "234",
     LH_INPUT, LH_NUMBER_GROUPED, 1},
    {"1,,2", LH_INPUT, LH_NUMBER_GROUPED, 2},
    {"1.,2", LH_INPUT, LH_NUMBER_MIXED, 2},
    {"12 g", LH_INPUT, LH_NUMBER_SUFFIX, 2},
    {"12g", LH_INPUT, LH_NUMBER_SUFFIX, 2},
    {" 12mm", LH_INPUT, LH_NUMBER_SUFFIX, 3},
    {"50%", LH_INPUT, LH_NUMBER_SUFFIX, 2},
    {"1-2", LH_INPUT, LH_NUMBER_SUFFIX, 1},
    {"1e5.5", LH_INPUT, LH_NUMBER_SUFFIX, 3},
    {"12em", LH_INPUT, LH_NUMBER_SUFFIX, 3},
    {"5.", LH_INPUT, LH_NUMBER_CUT, 2},
    {"5,", LH_INPUT, LH_NUMBER_CUT, 2},
    {"1e", LH_INPUT, LH_NUMBER_CUT, 2},
    {"1e-", LH_INPUT, LH_NUMBER_CUT, 3},
    {"-", LH_INPUT, LH_NUMBER_CUT, 1},
    {".", LH_INPUT, LH_NUMBER_CUT, 1},
    {".e5", LH_INPUT, LH_NUMBER_SYMBOL, 1},
    {"--1", LH_INPUT, LH_NUMBER_SYMBOL, 1},
    {"+-1", LH_INPUT, LH_NUMBER_SYMBOL, 1},
    {"abc", LH_INPUT, LH_NUMBER_SYMBOL, 0},
    {"e5", LH_INPUT, LH_NUMBER_SYMBOL, 0},
    {"NaN", LH_INPUT, LH_NUMBER_NOT_FINITE, 0},
    {"nan(1)", LH_INPUT, LH_NUMBER_NOT_FINITE, 0},
    {"-inf", LH_INPUT, LH_NUMBER_NOT_FINITE, 1},
    {"INFINITY", LH_INPUT, LH_NUMBER_NOT_FINITE, 0},
    {"0x10", LH_INPUT, LH_NUMBER_HEX, 0},
    {"-0X1p3", LH_INPUT, LH_NUMBER_HEX, 1},
    {"1e309", LH_RANGE, LH_NUMBER_HUGE, 0},
    {" -1e999999999999", LH_RANGE, LH_NUMBER_HUGE, 1},
    {"1.7976931348623159e308", LH_RANGE, LH_NUMBER_HUGE, 0},
    {"1e-400", LH_RANGE, LH_NUMBER_TINY, 0},
    {"2.4703282292062327e-324", LH_RANGE, LH_NUMBER_TINY, 0},
};

static void refused(void)
{
  for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
    double v = -7;
    lh_number_why why = LH_NUMBER_FINE;
    size_t at = 99;
    lh_status st = read(wrong[i].s, &v, &why, &at);
    CHECK(st == wrong[i].st && why == wrong[i].why && at == wrong[i].at &&
              v == -7,
          "\"%s\" is refused at %zu: %s", wrong[i].s, wrong[i].at,
          lh_number_what(wrong[i].why));
    if (st != wrong[i].st || why != wrong[i].why || at != wrong[i].at)
      printf("# got status %d, %s, at %zu\n", (int)st, lh_number_what(why), at);
  }
}

static void lengths(void)
{
  char s[LH_NUMBER_MAX + 40];
  double v = -7;
  lh_number_why why;
  size_t at;

  memset(s, ' ', sizeof s);
  memset(s + 10, '1', LH_NUMBER_MAX);
  CHECK(lh_number_read(s, sizeof s, &v, &why, &at) == LH_OK,
        "128 digits and spaces around them are taken");
  CHECK_NEAR(v / 1.1111111111111111e127, 1, 1e-15, "and are what they say");
  s[10 + LH_NUMBER_MAX] = '1';
  v = -7;
  CHECK(lh_number_read(s, sizeof s, &v, &why, &at) == LH_TOOLARGE &&
            why == LH_NUMBER_LONG && at == 10 && v == -7,
        "129 digits are too long");
  CHECK(lh_number_read("12345", 2, &v, NULL, NULL) == LH_OK && v == 12,
        "no byte past the length is read");
  CHECK(lh_number_read("1\0002", 3, &v, &why, &at) == LH_INPUT && at == 1,
        "a zero byte is not the end");
  CHECK(lh_number_read(NULL, 0, &v, &why, NULL) == LH_INPUT &&
            why == LH_NUMBER_EMPTY,
        "no text at all");
}

/* IEEE 754-2019, 5.12.2: 17 digits bring back the same double. */
static void round_trips(void)
{
  uint64_t state = 20261125;
  int good = 1, comma = 1;

  for (int i = 0; i < 20000; i++) {
    char s[64];
    double x, v = 0;
    state = state * 6364136223846793005U + 1442695040888963407U;
    uint64_t bits = state ^ (state >> 29);
    memcpy(&x, &bits, sizeof x);
    if (!isfinite(x) || x == 0) continue;
    snprintf(s, sizeof s, "%.17g", x);
    good = good && read(s, &v, NULL, NULL) == LH_OK && v == x;
    if (strchr(s, '.')) *strchr(s, '.') = ',';
    comma = comma && read(s, &v, NULL, NULL) == LH_OK && v == x;
  }
  CHECK(good, "17 digits bring back the same bits");
  CHECK(comma, "with a comma as well");
}

int main(void)
{
  taken();
  refused();
  lengths();
  round_trips();
  for (int w = LH_NUMBER_EMPTY; w <= LH_NUMBER_LONG; w++)
    CHECK(*lh_number_what((lh_number_why)w) &&
              *lh_number_todo((lh_number_why)w),
          "outcome %d says what is wrong and what to do", w);
  return CHECK_DONE();
}
