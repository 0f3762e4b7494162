/* SPDX-License-Identifier: GPL-3.0-or-later */
/* spectra_words.c -- what headings and keywords of spectra mean.  Where no
** standard is named: common practice, no source. */
#include <math.h>
#include <string.h>

#include "number.h"
#include "spectra_room.h"

void lh_spectra_fold(const char *text, char *to, size_t size)
{
  size_t k = 0;

  for (; *text && k + 1 < size; text++) {
    char c = *text;
    if (c >= 'A' && c <= 'Z') c = (char)(c - 'A' + 'a');
    if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || strchr("%/:=,", c))
      to[k++] = c;
  }
  to[k] = 0;
}

static bool among(const char *s, const char *const *list)
{
  for (; *list; list++)
    if (strcmp(s, *list) == 0) return true;
  return false;
}

double lh_spectra_wave(const char *text, int *scale)
{
  static const char *const before[] = {
      "",     "nm",   "spectral",    "spectralnm", "spectralpct", "spectraldec",
      "spec", "refl", "reflectance", "wavelength", "wl",          "lambda",
      "r",    NULL};
  static const char *const behind[] = {"", "nm", "r", "nmr", "pct", NULL};
  char head[32], word[32], tail[32];
  size_t digits = strcspn(text, "0123456789"), n;
  const char *from = text + digits;
  bool percent;
  double nm;

  if (!*from || digits >= sizeof head) return NAN;
  memcpy(head, text, digits), head[digits] = 0;
  for (n = strspn(from, "0123456789.,");
       n && !strchr("0123456789", from[n - 1]);)
    n--;
  if (lh_number_read(from, n, &nm, NULL, NULL) != LH_OK) return NAN;
  lh_spectra_fold(head, word, sizeof word);
  lh_spectra_fold(from + n, tail, sizeof tail);
  if (strlen(from + n) >= sizeof tail) return NAN;
  percent = strchr(word, '%') || strchr(tail, '%');
  word[strcspn(word, "%/:=,")] = 0, tail[strcspn(tail, "%/:=,")] = 0;
  if (!among(word, before) || !among(tail, behind)) return NAN;
  if (strchr(head, '-') || !(nm >= 200.0 && nm <= 2600.0)) return NAN;
  if (percent || strcmp(word, "spectralpct") == 0 || strcmp(tail, "pct") == 0)
    *scale = LH_SCALE_PERCENT;
  if (strcmp(word, "spectraldec") == 0) *scale = LH_SCALE_FRACTION;
  return nm;
}

int lh_spectra_lab_head(const char *text)
{
  static const char *const each[3][6] = {
      {"l", "labl", "ciel", "cielabl", "lstar", NULL},
      {"a", "laba", "ciea", "cielaba", "astar", NULL},
      {"b", "labb", "cieb", "cielabb", "bstar", NULL}};
  char word[32];

  lh_spectra_fold(text, word, sizeof word);
  for (int k = 0; k < 3; k++)
    if (among(word, each[k])) return k;
  return -1;
}

int lh_spectra_name_head(const char *text)
{
  static const char *const names[] = {"name",  "samplename", "sample", "tile",
                                      "probe", "muster",     "label",  NULL};
  static const char *const ids[] = {"id", "sampleid", "no",
                                    "nr", "number",   NULL};
  char word[32];

  lh_spectra_fold(text, word, sizeof word);
  return among(word, names) ? 2 : among(word, ids) ? 1 : 0;
}

bool lh_spectra_wave_head(const char *text)
{
  static const char *const words[] = {
      "nm",          "wavelength",  "wavelengthnm", "lambda",
      "lambdanm",    "wellenlange", "wl",           "wlnm",
      "wavelengths", "wellenlnge",  "wellenlngenm", NULL};
  char word[32];

  lh_spectra_fold(text, word, sizeof word);
  word[strcspn(word, "%/:=,")] = 0;
  return among(word, words);
}

/* ---- how it was measured ------------------------------------------------- */

static bool has(const char *s, const char *const *list)
{
  for (; *list; list++)
    if (strstr(s, *list)) return true;
  return false;
}

int lh_spectra_geometry(const char *text)
{
  /* ISO 13655 and CIE 15 write 45:0 or 45/0, annular and circumferential as
  ** 45a:0 and 45c:0, a sphere as d:8, di:8 (gloss included), de:8. */
  static const char *const flat[] = {"45/0",  "0/45",  "45:0",  "0:45",
                                     "45a:0", "45c:0", "45x:0", "45a/0",
                                     "45c/0", NULL};
  static const char *const in[] = {"di:8",     "8:di",      "di/8",
                                   "8/di",     "spin",      "sci",
                                   "included", "including", NULL};
  static const char *const out[] = {"de:8",     "8:de",      "de/8",
                                    "8/de",     "spex",      "sce",
                                    "excluded", "excluding", NULL};
  static const char *const sphere[] = {"d/8", "8/d",    "d:8", "8:d",
                                       "di:", "sphere", "de:", NULL};
  char word[256];

  lh_spectra_fold(text, word, sizeof word);
  if (has(word, flat)) return LH_45_0;
  if (has(word, out) && !has(word, in)) return LH_D8_EX;
  if (has(word, in) && !has(word, out)) return LH_D8_IN;
  if (has(word, sphere)) return LH_GEOMETRY_SPHERE;
  return LH_GEOMETRY_STRANGE;
}

bool lh_spectra_polarised(const char *keyword, const char *text)
{
  static const char *const yes[] = {"m3", "yes", "true", "on", "crossed", NULL};
  static const char *const within[] = {"filter=pol", "condition=m3", NULL};
  char word[256];

  lh_spectra_fold(text, word, sizeof word);
  if (strcmp(keyword, "measurementsource") == 0) return has(word, within);
  return strncmp(word, "pol", 3) == 0 || among(word, yes);
}

void lh_spectra_light(const char *keyword, const char *text, int *light,
                      bool *ten)
{
  static const char *const d50[] = {"illuminant,d50", "illumination=d50",
                                    "illuminant=d50", NULL};
  static const char *const d65[] = {"illuminant,d65", "illumination=d65",
                                    "illuminant=d65", NULL};
  static const char *const tens[] = {"observer,10", "observer=10",
                                     "observerangle=10", "10deg", NULL};
  char word[256];

  lh_spectra_fold(text, word, sizeof word);
  if (has(word, d65) || strcmp(word, "d65") == 0)
    *light = LH_D65;
  else if (has(word, d50) || strcmp(word, "d50") == 0)
    *light = LH_D50;
  else if (strcmp(keyword, "weightingfunction") == 0 &&
           strstr(word, "illuminant"))
    *light = -2;
  if (has(word, tens)) *ten = true;
}
