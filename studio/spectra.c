/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "cells.h"
#include "number.h"
#include "spectra_room.h"

lh_status lh_spectra_fail(const lh_spectra_work *w, lh_status st,
                          lh_spectra_place at, const char *todo,
                          const char *format, ...)
{
  char where[256], what[256];
  va_list ap;

  va_start(ap, format);
  vsnprintf(what, sizeof what, format, ap);
  va_end(ap);
  lh_cells_where(where, sizeof where, w->ask->name, at.line, at.column);
  return lh_fault_say(w->fault, st, where, todo, "%s", what);
}

lh_status lh_spectra_number(const lh_spectra_work *w, const char *text,
                            lh_spectra_place at, bool negative, double *v)
{
  lh_number_why why;

  if (lh_number_read(text, strlen(text), v, &why, NULL) != LH_OK)
    return lh_spectra_fail(w, LH_INPUT, at, lh_number_todo(why), "%s",
                           lh_number_what(why));
  if (*v < 0.0 && !negative)
    return lh_spectra_fail(w, LH_INPUT, at,
                           "measure it again; what is below the instrument's "
                           "black is 0",
                           "a reflectance below 0");
  return LH_OK;
}

lh_status lh_spectra_reading(lh_spectra_work *w, const char *text,
                             lh_spectra_place at, double *v)
{
  lh_status st;

  if (!*text)
    return lh_spectra_fail(w, LH_INPUT, at,
                           "measure the sample again, or leave it out",
                           "a reading is missing");
  st = lh_spectra_number(w, text, at, false, v);
  if (st == LH_OK && *v > w->most) w->most = *v, w->most_at = at;
  return st;
}

lh_status lh_spectra_says(lh_spectra_work *w, int scale, lh_spectra_place at)
{
  if (scale == LH_SCALE_UNTOLD) return LH_OK;
  if (w->says == LH_SCALE_UNTOLD) w->says = scale, w->says_at = at;
  if (w->says == scale) return LH_OK;
  return lh_spectra_fail(w, LH_INPUT, at, "bring them into two files",
                         "readings in percent beside readings from 0 to 1");
}

/* ---- wavelengths --------------------------------------------------------- */

/* A wavelength may be printed rounded; farther off it is not even. */
static const double PRINTED = 0.06; /* [nm] */

static lh_status reach(const lh_spectra_work *w, lh_spectra_place at)
{
  const lh_wave_grid *g = &w->out->grid;
  lh_status st = lh_resample_plan(g, &w->out->how);
  double last = g->first + g->step * (double)(g->n - 1);

  if (st == LH_OK) return st;
  if (st == LH_INPUT)
    return lh_spectra_fail(w, st, at, "export the spectrum as it was measured",
                           "%zu wavelengths are too %s", g->n,
                           g->n < LH_RESAMPLE_LEAST ? "few" : "many");
  if (g->step > LH_RESAMPLE_WIDEST + 1e-9)
    return lh_spectra_fail(w, st, at, "export every 10 nm, or finer",
                           "wavelengths are %g nm apart: wider than 20 nm the "
                           "colour is lost between them",
                           g->step);
  return lh_spectra_fail(w, st, at,
                         "the range needed is 380 to 730 nm, of which up to 30 "
                         "nm may be missing at either end",
                         "readings from %g to %g nm say too little", g->first,
                         last);
}

lh_status lh_spectra_waves(lh_spectra_work *w, const double *nm, size_t n,
                           lh_spectra_place at)
{
  bool falling = n > 1 && nm[1]<nm[0], again = w->out->grid.n> 0;
  double first = n ? falling ? nm[n - 1] : nm[0] : 0.0;
  double last = n ? falling ? nm[0] : nm[n - 1] : 0.0;
  lh_wave_grid g = {first, n > 1 ? (last - first) / (double)(n - 1) : 0.0, n};

  for (size_t i = 0; i < n; i++)
    if (i > 0 && nm[i] == nm[i - 1])
      return lh_spectra_fail(w, LH_INPUT, at, "leave one of them out",
                             "the wavelength %g nm is there twice", nm[i]);
  for (size_t i = 0; i < n; i++) {
    double is = nm[falling ? n - 1 - i : i];
    if (fabs(g.first + g.step * (double)i - is) > PRINTED)
      return lh_spectra_fail(
          w, LH_INPUT, at, "export them evenly spaced, all of them",
          "the wavelengths are not even: %g nm stands where %.5g nm should be",
          is, g.first + g.step * (double)i);
  }
  if (again && (n != w->out->grid.n || falling != w->falling ||
                fabs(first - w->out->grid.first) > PRINTED ||
                fabs(g.step - w->out->grid.step) * (double)n > 2 * PRINTED))
    return lh_spectra_fail(w, LH_INPUT, at, "bring them into two files",
                           "other wavelengths than in line %zu",
                           w->grid_at.line);
  if (again) return LH_OK;
  w->out->grid = g, w->falling = falling, w->grid_at = at;
  return reach(w, at);
}

/* ---- samples ------------------------------------------------------------- */

lh_status lh_spectra_add(lh_spectra_work *w, const char *name, const char *id,
                         lh_spectra_place at, double *reading, lh_lab lab)
{
  size_t n = w->out->grid.n;

  if (!name || !*name)
    return lh_spectra_fail(w, LH_INPUT, at, "write the tile's name there",
                           "a sample without a name");
  if (w->count == LH_SPECTRA_SAMPLES)
    return lh_spectra_fail(w, LH_TOOLARGE, at, "split the file",
                           "more than %d samples", LH_SPECTRA_SAMPLES);
  for (size_t i = 0; i < w->count; i++)
    if (!w->raw[i].reading == !reading && strcmp(w->raw[i].is.name, name) == 0)
      return lh_spectra_fail(w, LH_INPUT, at,
                             "give each its own name, or leave one out",
                             "a second sample called \"%.60s\": the first is "
                             "in line %zu",
                             name, w->raw[i].is.line);
  for (size_t i = 0; reading && w->falling && i < n / 2; i++) {
    double keep = reading[i];
    reading[i] = reading[n - 1 - i], reading[n - 1 - i] = keep;
  }
  w->raw[w->count++] = (lh_spectra_raw){.is = {.name = name,
                                               .id = id,
                                               .line = at.line,
                                               .column = at.column,
                                               .lab = lab},
                                        .reading = reading};
  return LH_OK;
}

/* ---- what the file is ---------------------------------------------------- */

static lh_status scale_of(lh_spectra_work *w)
{
  lh_spectra *o = w->out;
  int told = w->ask->scale;

  o->scale_by = told >= 0      ? LH_SCALE_BY_ASKER
                : w->says >= 0 ? LH_SCALE_BY_HEADING
                               : LH_SCALE_BY_VALUES;
  o->scale = told >= 0                          ? told
             : w->says >= 0                     ? w->says
             : w->most > LH_SCALE_FRACTION_MOST ? LH_SCALE_PERCENT
                                                : LH_SCALE_FRACTION;
  if (told >= 0 && w->says >= 0 && told != w->says)
    return lh_spectra_fail(
        w, LH_INPUT, w->says_at, "correct spectra_scale, or leave it out",
        "the file says %s, spectra_scale says %s",
        w->says ? "percent" : "0 to 1", told ? "percent" : "0 to 1");
  if (w->most > (o->scale == LH_SCALE_PERCENT ? 100 : 1) * LH_SCALE_MOST)
    return lh_spectra_fail(w, LH_RANGE, w->most_at,
                           o->scale == LH_SCALE_PERCENT
                               ? "measure the sample again"
                               : "measure it again, or say that the file is in "
                                 "percent",
                           "a reflectance of %g%s is none", w->most,
                           o->scale == LH_SCALE_PERCENT ? " %" : "");
  return LH_OK;
}

static lh_status spectra(lh_spectra_work *w)
{
  lh_spectra *o = w->out;
  lh_status st = scale_of(w);

  for (size_t i = 0; i < w->count && st == LH_OK; i++) {
    lh_spectra_sample *s = &o->sample[o->count];
    if (!w->raw[i].reading) continue;
    *s = w->raw[i].is;
    lh_resample(&o->grid, w->raw[i].reading, s->reflectance);
    for (size_t k = 0; k < LH_WAVES && o->scale == LH_SCALE_PERCENT; k++)
      s->reflectance[k] /= 100.0;
    o->count++;
  }
  return st;
}

static lh_lab to_d65(lh_lab c)
{
  lh_xyz d50 = lh_spectrum_white(LH_D50), white = lh_srgb_white();

  return lh_xyz_lab(lh_adapt(lh_lab_xyz(c, d50), d50, white), white);
}

static lh_status numbers(lh_spectra_work *w)
{
  lh_spectra *o = w->out;
  lh_spectra_place at = {w->raw[0].is.line, w->raw[0].is.column};
  int told = w->ask->light;

  o->lab = true;
  if (w->ten)
    return lh_spectra_fail(w, LH_INPUT, at,
                           "export them for the 2 degree observer, or export "
                           "the spectra",
                           "L*a*b* for the 10 degree observer");
  if (w->light == -2)
    return lh_spectra_fail(w, LH_INPUT, at,
                           "export them for D65 or D50, or export the spectra",
                           "L*a*b* under another light than D65 or D50");
  if (told >= 0 && w->light >= 0 && told != w->light)
    return lh_spectra_fail(w, LH_INPUT, at,
                           "correct spectra_light, or leave it out",
                           "the file's light is not that of spectra_light");
  o->light = told >= 0 ? told : w->light;
  if (o->light < 0)
    return lh_spectra_fail(w, LH_INPUT, at,
                           "say spectra_light, \"D50\" or \"D65\": instruments "
                           "of the print trade use D50",
                           "the file does not say under which light its L*a*b* "
                           "hold");
  for (size_t i = 0; i < w->count; i++) {
    o->sample[i] = w->raw[i].is;
    if (o->light == LH_D50) o->sample[i].lab = to_d65(w->raw[i].is.lab);
  }
  o->count = w->count;
  return LH_OK;
}

lh_status lh_spectra_read(const void *bytes, size_t n,
                          const lh_spectra_ask *ask, lh_arena *a,
                          lh_spectra *out, lh_fault *fault)
{
  lh_spectra_work w = {.ask = ask,
                       .arena = a,
                       .fault = fault,
                       .out = out,
                       .says = LH_SCALE_UNTOLD,
                       .light = -1};
  lh_spectra_place top = {1, 1};
  bool spectral = false;
  lh_status st;

  memset(out, 0, sizeof *out);
  out->geometry = LH_GEOMETRY_UNTOLD;
  out->light = -1;
  if (n > LH_SPECTRA_BYTES)
    return lh_spectra_fail(&w, LH_TOOLARGE, top, "split it",
                           "the file is larger than 2 MB");
  /* A sample is two bytes of the file at least. */
  w.raw = lh_arena_take(
      a, n / 2 < LH_SPECTRA_SAMPLES ? n / 2 + 1 : LH_SPECTRA_SAMPLES,
      sizeof *w.raw);
  if (!w.raw) return lh_fault_plain(fault, LH_NOMEM, ask->name);
  out->exchange = lh_spectra_is_exchange(bytes, n);
  st = out->exchange ? lh_spectra_exchange(&w, bytes, n)
                     : lh_spectra_table(&w, bytes, n);
  if (st != LH_OK) return st;
  if (w.count == 0)
    return lh_spectra_fail(&w, LH_INPUT, top,
                           "give a file with a line or a column a sample",
                           "there is no sample in it");
  out->sample = lh_arena_take(a, w.count, sizeof *out->sample);
  if (!out->sample) return lh_fault_plain(fault, LH_NOMEM, ask->name);
  for (size_t i = 0; i < w.count; i++) spectral |= w.raw[i].reading != NULL;
  return spectral ? spectra(&w) : numbers(&w);
}
