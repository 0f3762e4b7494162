/* SPDX-License-Identifier: GPL-3.0-or-later */
/* spectra_exchange.c -- spectra in the exchange text of CGATS.17, ISO 28178.
**
** Words parted by spaces and tabs; a word in quotes may hold them, "" in it
** is one quote; # begins a remark.  A table: keywords with their values, a
** line each; the data format between BEGIN_DATA_FORMAT and END_DATA_FORMAT;
** the data, a line a set, between BEGIN_DATA and END_DATA.  What a table does
** not say anew it has from the one before.
*/
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "spectra_room.h"

enum { WORDS = LH_SPECTRA_WORDS };

typedef lh_spectra_word word;

typedef enum {
  FIELD_OTHER,
  FIELD_NAME,
  FIELD_ID,
  FIELD_LAB,   /* which: 0 to 2                                      */
  FIELD_WAVE,  /* a reading at a wavelength told in the format       */
  FIELD_NM,    /* a wavelength, told in each set                     */
  FIELD_VALUE, /* the reading at that wavelength                     */
} field_kind;

typedef struct {
  field_kind kind;
  int which;
  double nm;
} field;

typedef struct {
  lh_spectra_work *w;
  lh_spectra_lines l; /* its words are those of the line at hand */
  field *fields;
  size_t width;            /* fields of the format                    */
  lh_spectra_place format; /* where it begins; line 0: none yet       */
  double told_fields, told_sets;
  lh_spectra_place fields_at, sets_at;
  size_t waves, pairs, lab;   /* among the fields                      */
  lh_spectra_place wave_at;   /* the first of them, in the format      */
  bool geometry_told, filter; /* by MEASUREMENT_GEOMETRY; a polariser  */
  lh_spectra_place filter_at;
} exchange;

/* ---- keywords ------------------------------------------------------------ */

static bool is(const word *w, const char *keyword)
{
  const char *s = w->text;

  for (; *s && *keyword; s++, keyword++)
    if ((*s >= 'a' && *s <= 'z' ? *s - 'a' + 'A' : *s) != *keyword)
      return false;
  return !*s && !*keyword;
}

static lh_status count_of(exchange *x, double *told, lh_spectra_place *at)
{
  const word *v = &x->l.word[1];
  lh_status st;

  if (x->l.n < 2)
    return lh_spectra_fail(x->w, LH_INPUT, x->l.word[0].at,
                           "write the number behind it",
                           "a keyword without its number");
  st = lh_spectra_number(x->w, v->text, v->at, false, told);
  *at = v->at;
  if (st == LH_OK && *told != floor(*told))
    return lh_spectra_fail(x->w, LH_INPUT, v->at, "write a whole number",
                           "this is a count");
  return st;
}

static lh_status geometry(exchange *x, const char *text, lh_spectra_place at,
                          bool own)
{
  lh_spectra *o = x->w->out;
  int is_ = lh_spectra_geometry(text);

  if (!own && (is_ == LH_GEOMETRY_STRANGE || x->geometry_told)) return LH_OK;
  if (own && x->geometry_told && is_ != o->geometry)
    return lh_spectra_fail(x->w, LH_INPUT, at, "bring them into two files",
                           "another geometry than before");
  x->geometry_told |= own;
  o->geometry = is_;
  o->geometry_is = text;
  return LH_OK;
}

static lh_status keyword(exchange *x)
{
  const word *k = &x->l.word[0];
  const char *value = x->l.n > 1 ? x->l.word[1].text : "";
  char name[40];

  if (is(k, "NUMBER_OF_FIELDS"))
    return count_of(x, &x->told_fields, &x->fields_at);
  if (is(k, "NUMBER_OF_SETS")) return count_of(x, &x->told_sets, &x->sets_at);
  lh_spectra_fold(k->text, name, sizeof name);
  if (is(k, "FILTER") || is(k, "POLARIZATION") || is(k, "MEASUREMENT_SOURCE"))
    if (lh_spectra_polarised(name, value))
      x->filter = true, x->filter_at = k->at;
  for (size_t i = 1; i < x->l.n; i++) {
    if (is(k, "WEIGHTING_FUNCTION") || is(k, "MEASUREMENT_SOURCE"))
      lh_spectra_light(name, x->l.word[i].text, &x->w->light, &x->w->ten);
  }
  if (x->l.n > 1 && is(k, "MEASUREMENT_GEOMETRY"))
    return geometry(x, value, k->at, true);
  if (x->l.n > 1 && (is(k, "MEASUREMENT_SOURCE") || is(k, "FILTER")))
    return geometry(x, value, k->at, false);
  return LH_OK; /* any other is no matter of ours */
}

/* ---- the data format ----------------------------------------------------- */

static lh_status format_word(exchange *x, const word *f)
{
  field *to = &x->fields[x->width];
  int scale = LH_SCALE_UNTOLD;
  lh_status st = LH_OK;

  if (x->width == x->l.room)
    return lh_spectra_fail(x->w, LH_TOOLARGE, f->at,
                           "keep the fields that are needed",
                           "more than %d fields", WORDS);
  *to = (field){FIELD_OTHER, 0, lh_spectra_wave(f->text, &scale)};
  if (is(f, "SAMPLE_NAME") || is(f, "SAMPLENAME")) to->kind = FIELD_NAME;
  if (is(f, "SAMPLE_ID") || is(f, "SAMPLEID")) to->kind = FIELD_ID;
  for (int k = 0; k < 3; k++)
    if (is(f, k == 0 ? "LAB_L" : k == 1 ? "LAB_A" : "LAB_B"))
      *to = (field){FIELD_LAB, k, NAN}, x->lab++;
  if (is(f, "SPECTRAL_NM")) to->kind = FIELD_NM;
  if (is(f, "SPECTRAL_PCT")) scale = LH_SCALE_PERCENT;
  if (is(f, "SPECTRAL_DEC")) scale = LH_SCALE_FRACTION;
  if ((is(f, "SPECTRAL_PCT") || is(f, "SPECTRAL_DEC")) && x->width &&
      to[-1].kind == FIELD_NM)
    to->kind = FIELD_VALUE, x->pairs++;
  if (!isnan(to->nm)) to->kind = FIELD_WAVE, x->waves++;
  if (x->waves + x->pairs == 1 && scale != LH_SCALE_UNTOLD) x->wave_at = f->at;
  if (x->waves == 1 && to->kind == FIELD_WAVE) x->wave_at = f->at;
  if (to->kind == FIELD_WAVE || to->kind == FIELD_VALUE)
    st = lh_spectra_says(x->w, scale, f->at);
  x->width++;
  return st;
}

/* Whether a field of a kind stands in the format; how often. */
static size_t has(const exchange *x, field_kind kind)
{
  size_t n = 0;

  for (size_t i = 0; i < x->width; i++) n += x->fields[i].kind == kind;
  return n;
}

static lh_status format_waves(exchange *x)
{
  double *nm = lh_arena_take(x->w->arena, x->waves, sizeof *nm);
  size_t n = 0;

  if (!nm) return LH_NOMEM;
  for (size_t i = 0; i < x->width; i++)
    if (x->fields[i].kind == FIELD_WAVE) nm[n++] = x->fields[i].nm;
  return lh_spectra_waves(x->w, nm, n, x->wave_at);
}

static lh_status format_good(exchange *x)
{
  if (!isnan(x->told_fields) && x->told_fields != (double)x->width)
    return lh_spectra_fail(x->w, LH_INPUT, x->fields_at,
                           "look for a field that is missing, or correct it",
                           "NUMBER_OF_FIELDS is %g, the data format has %zu",
                           x->told_fields, x->width);
  if (has(x, FIELD_NAME) > 1 || has(x, FIELD_ID) > 1)
    return lh_spectra_fail(x->w, LH_INPUT, x->format, "leave one of them out",
                           "two fields name the sample");
  if (has(x, FIELD_NM) != x->pairs || (x->pairs && x->waves))
    return lh_spectra_fail(x->w, LH_INPUT, x->format,
                           "let SPECTRAL_PCT or SPECTRAL_DEC follow each",
                           "a SPECTRAL_NM without its reading");
  if (x->lab % 3)
    return lh_spectra_fail(x->w, LH_INPUT, x->format,
                           "give LAB_L, LAB_A and LAB_B",
                           "a colour is three numbers");
  return x->waves ? format_waves(x) : LH_OK;
}

static lh_status format(exchange *x)
{
  size_t i = 1;
  lh_status st = LH_OK;

  x->format = x->l.word[0].at;
  x->width = x->waves = x->pairs = x->lab = 0;
  for (;;) {
    for (; i < x->l.n && st == LH_OK; i++) {
      if (is(&x->l.word[i], "END_DATA_FORMAT")) return format_good(x);
      if (is(&x->l.word[i], "BEGIN_DATA"))
        return lh_spectra_fail(x->w, LH_INPUT, x->l.word[i].at,
                               "write END_DATA_FORMAT before it",
                               "the data begin within the data format");
      st = format_word(x, &x->l.word[i]);
    }
    if (st == LH_OK) st = lh_spectra_line(x->w, &x->l);
    if (st != LH_OK) return st;
    if (x->l.n == 0)
      return lh_spectra_fail(x->w, LH_INPUT, x->format,
                             "write END_DATA_FORMAT behind it",
                             "the data format does not end");
    i = 0;
  }
}

/* ---- the data ------------------------------------------------------------ */

/* The readings of a set; those in pairs tell their wavelengths, too. */
static lh_status set_spectrum(exchange *x, double *v)
{
  double *nm = lh_arena_take(x->w->arena, x->pairs, sizeof *nm);
  size_t n = 0, m = 0;
  lh_status st = LH_OK;

  if (!nm) return LH_NOMEM;
  for (size_t i = 0; i < x->width && st == LH_OK; i++) {
    const word *f = &x->l.word[i];
    field_kind kind = x->fields[i].kind;
    if (kind == FIELD_NM) {
      st = lh_spectra_number(x->w, f->text, f->at, false, &nm[m++]);
    } else if (kind == FIELD_WAVE || kind == FIELD_VALUE) {
      st = lh_spectra_reading(x->w, f->text, f->at, &v[n++]);
    }
  }
  if (st != LH_OK || !x->pairs) return st;
  return lh_spectra_waves(x->w, nm, m, x->l.word[0].at);
}

static lh_status set_lab(exchange *x, double lab[3])
{
  lh_status st = LH_OK;

  for (size_t i = 0; i < x->width && st == LH_OK; i++)
    if (x->fields[i].kind == FIELD_LAB)
      st = lh_spectra_number(x->w, x->l.word[i].text, x->l.word[i].at, true,
                             &lab[x->fields[i].which]);
  return st;
}

static lh_status one_set(exchange *x)
{
  size_t n = x->waves + x->pairs;
  double *v = NULL, lab[3] = {0, 0, 0};
  const word *name = NULL, *id = NULL;
  lh_status st;

  if (x->l.n != x->width)
    return lh_spectra_fail(x->w, LH_INPUT, x->l.word[0].at,
                           "a set is one line; put names with spaces in quotes",
                           "%zu values in a set, the data format has %zu "
                           "fields",
                           x->l.n, x->width);
  if (n == 0 && x->lab != 3) return LH_OK;
  for (size_t i = 0; i < x->width; i++) {
    if (x->fields[i].kind == FIELD_NAME && x->l.word[i].text[0])
      name = &x->l.word[i];
    if (x->fields[i].kind == FIELD_ID) id = &x->l.word[i];
  }
  if (n && !(v = lh_arena_take(x->w->arena, n, sizeof *v))) return LH_NOMEM;
  st = n ? set_spectrum(x, v) : set_lab(x, lab);
  if (st != LH_OK) return st;
  if (!name) name = id, id = NULL;
  if (!name)
    return lh_spectra_fail(x->w, LH_INPUT, x->format,
                           "add SAMPLE_NAME or SAMPLE_ID",
                           "no field names the samples");
  return lh_spectra_add(x->w, name->text, id ? id->text : NULL, name->at, v,
                        (lh_lab){lab[0], lab[1], lab[2]});
}

static lh_status data(exchange *x)
{
  lh_spectra_place begin = x->l.word[0].at;
  size_t sets = 0;

  if (x->format.line == 0)
    return lh_spectra_fail(x->w, LH_INPUT, begin,
                           "write BEGIN_DATA_FORMAT, the fields and "
                           "END_DATA_FORMAT before it",
                           "data without a data format");
  if (x->l.n > 1)
    return lh_spectra_fail(x->w, LH_INPUT, x->l.word[1].at,
                           "begin the first set in a line of its own",
                           "there is text behind BEGIN_DATA");
  for (;;) {
    lh_status st = lh_spectra_line(x->w, &x->l);
    if (st != LH_OK) return st;
    if (x->l.n == 0)
      return lh_spectra_fail(x->w, LH_INPUT, begin,
                             "write END_DATA behind them, or export again: "
                             "the file may be cut short",
                             "the data do not end");
    if (is(&x->l.word[0], "END_DATA")) break;
    st = one_set(x);
    if (st != LH_OK) return st;
    sets++;
  }
  if (!isnan(x->told_sets) && x->told_sets != (double)sets)
    return lh_spectra_fail(x->w, LH_INPUT, x->sets_at,
                           "look for sets that are missing, or correct it",
                           "NUMBER_OF_SETS is %g, there are %zu", x->told_sets,
                           sets);
  x->w->out->passed_over += x->waves + x->pairs == 0 && x->lab != 3;
  x->told_fields = x->told_sets = NAN;
  return LH_OK;
}

static lh_status all(exchange *x)
{
  bool any = false;
  lh_status st = lh_spectra_line(x->w, &x->l);

  while (st == LH_OK && x->l.n) {
    if (is(&x->l.word[0], "BEGIN_DATA_FORMAT")) {
      st = format(x);
    } else if (is(&x->l.word[0], "BEGIN_DATA")) {
      any = true;
      st = data(x);
    } else {
      st = keyword(x);
    }
    if (st == LH_OK) st = lh_spectra_line(x->w, &x->l);
  }
  if (st != LH_OK) return st;
  if (!any)
    return lh_spectra_fail(x->w, LH_INPUT, (lh_spectra_place){1, 1},
                           "export it again", "no BEGIN_DATA in it");
  if (x->filter)
    return lh_spectra_fail(x->w, LH_INPUT, x->filter_at,
                           "measure without it: gloss is part of the colour",
                           "measured through a filter that polarises");
  return LH_OK;
}

lh_status lh_spectra_exchange(lh_spectra_work *w, const void *bytes, size_t n)
{
  exchange x = {.w = w, .told_fields = NAN, .told_sets = NAN};
  lh_status st = lh_spectra_lines_open(w, bytes, n, &x.l);

  if (st != LH_OK) return st;
  x.fields = lh_arena_take(w->arena, x.l.room, sizeof *x.fields);
  return x.fields ? all(&x) : LH_NOMEM;
}
