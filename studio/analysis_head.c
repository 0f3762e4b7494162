/* SPDX-License-Identifier: GPL-3.0-or-later */
/* analysis_head.c -- what the headings of suppliers' tables mean. */
#include <string.h>

#include "analysis.h"

/* U+00C0 to U+00FF without their accents; a space: dropped. */
static const char latin[] =
    "aaaaaaaceeeeiiiidnooooo ouuuuytsaaaaaaaceeeeiiiidnooooo ouuuuyty";

size_t lh_analysis_fold(const char *s, size_t n, char *text, size_t size)
{
  const unsigned char *p = (const unsigned char *)s, *end = p + n;
  size_t k = 0;

  for (; p < end && k + 1 < size; p++) {
    char c = 0;
    if ((*p >= '0' && *p <= '9') || (*p >= 'a' && *p <= 'z'))
      c = (char)*p;
    else if (*p >= 'A' && *p <= 'Z')
      c = (char)(*p - 'A' + 'a');
    else if (*p == 0xc3 && p + 1 < end && p[1] >= 0x80 && p[1] < 0xc0)
      c = latin[*++p - 0x80];
    else if (*p == 0xe2 && p + 2 < end && p[1] == 0x82 && p[2] >= 0x80 &&
             p[2] <= 0x89) /* the numerals that stand low */
      c = (char)('0' + p[2] - 0x80), p += 2;
    if (c && c != ' ') text[k++] = c;
  }
  text[k] = 0;
  return k;
}

/* Loss on ignition as it is headed here and there: common practice, no
** source. */
static const char *const losses[] = {"loi",
                                     "lossonignition",
                                     "ignitionloss",
                                     "lossofignition",
                                     "glowloss",
                                     "lossonfiring",
                                     "lossonfire",
                                     "firingloss",
                                     "calcinationloss",
                                     "lossoncalcination",
                                     "gv",
                                     "gluhverlust",
                                     "gluehverlust",
                                     "glv",
                                     "paf",
                                     "pf",
                                     "perteaufeu",
                                     "pertesaufeu",
                                     "perteaucalcination",
                                     "pertealacalcination",
                                     "ppc",
                                     "perdidaporcalcinacion",
                                     "perdidaalfuego",
                                     "perditaalfuoco",
                                     "gloeiverlies",
                                     "glodforlust",
                                     "glodetab",
                                     "hehkutushavio",
                                     "stratyprazenia",
                                     NULL};

static const char *const names[] = {
    "name",        "material", "materialname", "rawmaterial", "product",
    "productname", "article",  "item",         "bezeichnung", "rohstoff",
    "produit",     "matiere",  "nombre",       "prodotto",    NULL};

static const char *const totals[] = {"total", "sum",  "totals", "summe",
                                     "somme", "suma", "somma",  NULL};

static bool among(const char *s, const char *const *list)
{
  for (; *list; list++)
    if (strcmp(s, *list) == 0) return true;
  return false;
}

/* Without what stands in brackets. */
static size_t outside_brackets(const char *s, size_t n, char *out, size_t size)
{
  size_t k = 0, deep = 0;

  for (size_t i = 0; i < n && k + 1 < size; i++) {
    if (s[i] == '(' || s[i] == '[') deep++;
    if (deep == 0) out[k++] = s[i];
    if ((s[i] == ')' || s[i] == ']') && deep) deep--;
  }
  out[k] = 0;
  return k;
}

/* Take one word off either end of a folded heading; false: it is not there. */
static bool without(char *s, const char *word)
{
  size_t n = strlen(s), m = strlen(word);

  if (n <= m) return false;
  if (strcmp(s + n - m, word) == 0) {
    s[n - m] = 0;
    return true;
  }
  if (strncmp(s, word, m) != 0) return false;
  memmove(s, s + m, n - m + 1);
  return true;
}

/* Take the words of a unit off: "sio2wt", "wtsio2".  Returned: whether it is
** another unit than weight per cent. */
static bool without_unit(char *s)
{
  static const char *const words[] = {"wt",      "weight", "percent", "mass",
                                      "masse",   "gew",    "pct",     "ma",
                                      "content", NULL};
  static const char *const others[] = {"mole", "mol", "ppm", NULL};
  bool again = true, other_unit = false;

  while (again) {
    again = false;
    for (const char *const *w = words; *w; w++) again = without(s, *w) || again;
    for (const char *const *w = others; *w; w++)
      if (without(s, *w)) again = other_unit = true;
  }
  return other_unit;
}

/* Iron is often headed as the whole of it, told as one oxide. */
static void without_all(char *s)
{
  static const char *const iron[] = {"fe2o3", "feo", NULL};
  static const char *const words[] = {"total", "tot", "t", NULL};

  for (const char *const *o = iron; *o; o++)
    for (const char *const *w = words; *w; w++) {
      size_t n = strlen(*o), m = strlen(*w);
      if (strlen(s) != n + m) continue;
      if ((strncmp(s, *o, n) == 0 && strcmp(s + n, *w) == 0) ||
          (m > 1 && strncmp(s, *w, m) == 0 && strcmp(s + m, *o) == 0)) {
        strcpy(s, *o);
        return;
      }
    }
}

static size_t oxide_of(const char *folded)
{
  char text[64];

  for (size_t i = 0; i < LH_OXIDE_FORMS; i++) {
    const char *symbol = lh_oxide_symbol(i), *name = lh_oxide_name(i);
    lh_analysis_fold(symbol, strlen(symbol), text, sizeof text);
    if (strcmp(folded, text) == 0) return i;
    lh_analysis_fold(name, strlen(name), text, sizeof text);
    if (strcmp(folded, text) == 0) return i;
  }
  return LH_OXIDE_FORMS;
}

/* "loi", and "loi1000c": the temperature it was taken at is no matter. */
static bool is_loss(char *s)
{
  size_t n = strlen(s);

  if (among(s, losses)) return true;
  if (n > 1 && s[n - 1] == 'c' && s[n - 2] >= '0' && s[n - 2] <= '9') n--;
  while (n > 1 && s[n - 1] >= '0' && s[n - 1] <= '9') n--;
  if (n == strlen(s)) return false;
  s[n] = 0;
  return among(s, losses);
}

static bool says_plus_minus(const char *s, size_t n)
{
  for (size_t i = 0; i + 1 < n; i++)
    if (memcmp(s + i, "\xc2\xb1", 2) == 0 ||
        (i + 2 < n && memcmp(s + i, "+/-", 3) == 0))
      return true;
  return false;
}

/* Columns that are not oxides, by the whole of their heading. */
static lh_analysis_head other(const char *whole)
{
  static const struct {
    const char *folded;
    lh_analysis_head head;
  } list[] = {
      {"class", {.what = LH_HEAD_CLASS}},
      {"materialclass", {.what = LH_HEAD_CLASS}},
      {"priceperkg", {.what = LH_HEAD_PRICE}},
      {"pricekg", {.what = LH_HEAD_PRICE}},
      {"price", {.what = LH_HEAD_UNIT, .why = "head it \"price per kg\""}},
      {"stockg", {.what = LH_HEAD_STOCK, .scale = 1}},
      {"stockkg", {.what = LH_HEAD_STOCK, .scale = 1000}},
      {"stock",
       {.what = LH_HEAD_UNIT, .why = "head it \"stock g\" or \"stock kg\""}},
      {"density", {.what = LH_HEAD_DENSITY}},
      {"densitygcm3", {.what = LH_HEAD_DENSITY}},
      {"densitygpercm3", {.what = LH_HEAD_DENSITY}},
      {"hazards", {.what = LH_HEAD_HAZARDS}},
      {"note", {.what = LH_HEAD_NOTE}},
      {"notes", {.what = LH_HEAD_NOTE}},
  };

  for (size_t i = 0; i < sizeof list / sizeof list[0]; i++)
    if (strcmp(whole, list[i].folded) == 0) return list[i].head;
  return (lh_analysis_head){.what = LH_HEAD_UNKNOWN};
}

lh_analysis_head lh_analysis_head_of(const char *text, size_t n)
{
  char whole[80], bare[160], folded[80];
  bool other_unit = false;
  lh_analysis_head h;

  lh_analysis_fold(text, n, whole, sizeof whole);
  h = other(whole);
  if (h.what != LH_HEAD_UNKNOWN || !whole[0]) return h;
  h.plus_minus = says_plus_minus(text, n);
  h.oxide = oxide_of(whole);
  if (h.oxide == LH_OXIDE_FORMS) {
    n = outside_brackets(text, n, bare, sizeof bare);
    lh_analysis_fold(bare, n, folded, sizeof folded);
    h.oxide = oxide_of(folded);
    if (among(folded, names)) h.what = LH_HEAD_NAME;
    if (among(folded, totals)) h.what = LH_HEAD_TOTAL;
  }
  if (h.oxide == LH_OXIDE_FORMS && h.what == LH_HEAD_UNKNOWN) {
    other_unit = without_unit(folded) || strstr(whole, "ppm") ||
                 strstr(whole + 1, "mol");
    without_all(folded);
    h.oxide = oxide_of(folded);
    if (is_loss(folded)) h.what = LH_HEAD_LOI;
  } else if (h.oxide < LH_OXIDE_FORMS) {
    other_unit = strstr(whole, "ppm") || strstr(whole + 1, "mol");
  }
  if (h.oxide < LH_OXIDE_FORMS) h.what = LH_HEAD_OXIDE;
  if (other_unit && h.what != LH_HEAD_UNKNOWN) {
    h.what = LH_HEAD_UNIT;
    h.why = "give it in weight per cent of the raw material";
  }
  return h;
}
