/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn_file.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "nearest.h"
#include "stack_words.h"

/* What L*, a*, b* of a colorimeter are good to (a judgement), as `lab_error`
** says; those carried from D50 are off by more. */
static const double COLORIMETER = 0.5;

/* ---- which sample is whose ----------------------------------------------- */

static bool is_read(const lh_learn_tile_ask *t)
{
  return t->reflectance || t->lab.count > 0;
}

/* The sample of a tile: by its name, else by its number; count: none. */
static size_t sample_of(const lh_spectra *s, const char *name)
{
  for (size_t i = 0; i < s->count; i++)
    if (strcmp(s->sample[i].name, name) == 0) return i;
  for (size_t i = 0; i < s->count; i++)
    if (s->sample[i].id && strcmp(s->sample[i].id, name) == 0) return i;
  return s->count;
}

static lh_status give(lh_arena *a, const lh_spectra *s, size_t i,
                      lh_learn_tile_ask *t)
{
  const lh_spectra_sample *from = &s->sample[i];
  size_t n = s->lab ? 3 : LH_WAVES;
  double *v = lh_arena_take(a, n, sizeof *v);

  if (!v) return LH_NOMEM;
  if (s->lab) {
    v[0] = from->lab.L, v[1] = from->lab.a, v[2] = from->lab.b;
    t->lab = (lh_list){v, 3};
    if (s->light == LH_D50)
      t->lab_sd = hypot(COLORIMETER, LH_SPECTRA_D50_DOUBT);
  } else {
    memcpy(v, from->reflectance, n * sizeof *v);
    t->reflectance = v;
    t->held_low = s->how.low, t->held_high = s->how.high;
  }
  return LH_OK;
}

/* A tile that was not read, and is not in the file. */
static lh_status missing(const lh_call *call, const lh_learn_ask *ask,
                         const lh_spectra *s, size_t tile, lh_fault *fault)
{
  const lh_learn_tile_ask *t = ask->tiles.items;
  const char **names = lh_arena_take(call->arena, s->count, sizeof *names);
  char where[64], todo[200];
  size_t near;

  if (!names) return LH_NOMEM;
  for (size_t i = 0; i < s->count; i++) names[i] = s->sample[i].name;
  near = lh_nearest(t[tile].name, names, s->count);
  snprintf(where, sizeof where, "/tiles/%zu/name", tile);
  snprintf(todo, sizeof todo, "name it as its sample, \"%.60s\"%s",
           names[near < s->count ? near : 0],
           near < s->count ? "?" : " for one");
  return lh_fault_say(fault, LH_INPUT, where, todo,
                      "tile \"%.60s\" was not read, and no sample of the file "
                      "has its name",
                      t[tile].name);
}

/* A tile may say of itself how it was read; so may the file, of all. */
static lh_status as_read(const lh_spectra *s, const lh_learn_tile_ask *t,
                         size_t tile, lh_fault *fault)
{
  char where[64];

  if (t->geometry < 0 || s->geometry < 0 || t->geometry == s->geometry)
    return LH_OK;
  snprintf(where, sizeof where, "/tiles/%zu/geometry", tile);
  return lh_fault_say(fault, LH_INPUT, where, "take one of them out",
                      "the file says \"%.60s\", the tile %s", s->geometry_is,
                      lh_geometry_keys[t->geometry]);
}

static lh_status give_all(const lh_call *call, lh_learn_ask *ask,
                          lh_learn_file *f, lh_fault *fault)
{
  lh_learn_tile_ask *t = ask->tiles.items;
  lh_status st = LH_OK;

  for (size_t i = 0; i < ask->tiles.count && st == LH_OK; i++) {
    size_t k = sample_of(&f->is, t[i].name);
    if (is_read(&t[i])) continue;
    if (k == f->is.count) return missing(call, ask, &f->is, i, fault);
    st = as_read(&f->is, &t[i], i, fault);
    if (st == LH_OK) st = give(call->arena, &f->is, k, &t[i]);
    f->taken++;
    f->used[k] = true;
  }
  if (st == LH_OK && f->taken == 0)
    return lh_fault_say(fault, LH_INPUT, "/spectra",
                        "leave the readings out of the tiles, or the file",
                        "every tile has its own reading: the file is of no "
                        "use");
  return st;
}

/* ---- how it was read ----------------------------------------------------- */

static lh_status reader(lh_learn_ask *ask, const lh_spectra *s, lh_fault *fault)
{
  int is = s->lab ? LH_READ_COLORIMETER : LH_READ_SPECTRUM;

  if (ask->read_by >= 0 && ask->read_by != is)
    return lh_fault_say(fault, LH_INPUT, "/tiles_read_by",
                        s->lab ? "say \"colorimeter\", or leave it out"
                               : "say \"spectrum\", or leave it out",
                        s->lab ? "the file holds L*a*b*"
                               : "the file holds spectra");
  ask->read_by = is;
  return LH_OK;
}

static lh_status geometry(lh_learn_ask *ask, const lh_learn_file *f,
                          lh_fault *fault)
{
  int is = f->is.geometry;
  bool sphere = ask->geometry != LH_45_0;

  if (f->geometry_asked && is >= 0 && is != ask->geometry)
    return lh_fault_say(fault, LH_INPUT, "/geometry", "take one of them out",
                        "the file says \"%.60s\", the document %s",
                        f->is.geometry_is, lh_geometry_keys[ask->geometry]);
  if (f->geometry_asked && is == LH_GEOMETRY_SPHERE && !sphere)
    return lh_fault_say(fault, LH_INPUT, "/geometry", "take one of them out",
                        "the file says \"%.60s\", a sphere; the document %s",
                        f->is.geometry_is, lh_geometry_keys[ask->geometry]);
  if (!f->geometry_asked && is == LH_GEOMETRY_SPHERE)
    return lh_fault_say(fault, LH_INPUT, "/geometry",
                        "say d8_in (gloss is read, too) or d8_ex",
                        "the file says \"%.60s\", but not whether gloss was "
                        "shut out",
                        f->is.geometry_is);
  if (!f->geometry_asked && is == LH_GEOMETRY_STRANGE)
    return lh_fault_say(
        fault, LH_INPUT, "/geometry", "say d8_in, d8_ex or 45_0",
        "the file's geometry, \"%.60s\", is not understood", f->is.geometry_is);
  if (!f->geometry_asked && is >= 0) ask->geometry = is;
  return LH_OK;
}

lh_status lh_learn_file_take(const lh_call *call, lh_learn_ask *ask,
                             lh_learn_file **file, lh_fault *fault)
{
  lh_learn_file *f;
  lh_status st;

  *file = NULL;
  if (!ask->spectra.file) return LH_OK;
  if (ask->photographs.count > 0)
    return lh_fault_say(fault, LH_INPUT, "/photographs",
                        "learn from one of them",
                        "spectra and photographs at once");
  f = lh_arena_take(call->arena, 1, sizeof *f);
  if (!f) return LH_NOMEM;
  st = lh_spectra_doc_read(call, &ask->spectra, &f->is, fault);
  if (st != LH_OK) return st;
  f->used = lh_arena_take(call->arena, f->is.count, sizeof *f->used);
  if (!f->used) return LH_NOMEM;
  f->geometry_asked = json_object_get(call->document, "geometry") != NULL;
  st = reader(ask, &f->is, fault);
  if (st == LH_OK) st = geometry(ask, f, fault);
  if (st == LH_OK) st = give_all(call, ask, f, fault);
  *file = f;
  return st;
}

double lh_learn_file_doubt(const lh_learn_tile_ask *t, size_t w, double error)
{
  size_t low = w < t->held_low ? t->held_low - w : 0;
  size_t measured = LH_WAVES - t->held_high; /* below this one */
  size_t high = w >= measured ? w - measured + 1 : 0;

  return hypot(error, lh_resample_doubt(low > high ? low : high));
}

/* ---- telling ------------------------------------------------------------- */

static void put(const lh_learn_ask *ask, const lh_learn_file *f, lh_reply *r)
{
  const lh_learn_tile_ask *t = ask->tiles.items;
  const lh_spectra *s = &f->is;
  json_t *to = lh_reply_object(r, NULL, "spectra"), *list;

  lh_spectra_doc_put(s, r, to);
  lh_reply_number(r, to, "taken", (double)f->taken);
  list = lh_reply_list(r, to, "samples_without_tile");
  for (size_t i = 0; i < s->count; i++)
    if (!f->used[i] &&
        json_array_append_new(list, json_string(s->sample[i].name)) != 0)
      r->st = LH_NOMEM;
  list = lh_reply_list(r, to, "tiles_without_sample");
  for (size_t i = 0; i < ask->tiles.count; i++)
    if (sample_of(s, t[i].name) == s->count &&
        json_array_append_new(list, json_string(t[i].name)) != 0)
      r->st = LH_NOMEM;
}

/* Names, as many as a line bears. */
enum { NAMED = 8 };

static void add_name(char *text, size_t size, size_t n, const char *name)
{
  size_t at = strlen(text);

  if (n < NAMED) snprintf(text + at, size - at, "%s%.40s", n ? ", " : "", name);
}

static void say_more(char *text, size_t size, size_t n)
{
  size_t at = strlen(text);

  if (n > NAMED) snprintf(text + at, size - at, " and %zu more", n - NAMED);
}

static void say_names(const lh_learn_ask *ask, const lh_learn_file *f,
                      lh_reply *r)
{
  const lh_learn_tile_ask *t = ask->tiles.items;
  char text[NAMED * 44 + 40] = "";
  size_t n = 0;

  for (size_t i = 0; i < f->is.count; i++)
    if (!f->used[i]) add_name(text, sizeof text, n++, f->is.sample[i].name);
  say_more(text, sizeof text, n);
  if (n) lh_reply_text(r, "Samples without a tile, passed over: %s.", text);
  n = 0, text[0] = 0;
  for (size_t i = 0; i < ask->tiles.count; i++)
    if (sample_of(&f->is, t[i].name) == f->is.count)
      add_name(text, sizeof text, n++, t[i].name);
  say_more(text, sizeof text, n);
  if (n)
    lh_reply_text(r, "Tiles without a sample, taken by their own reading: %s.",
                  text);
}

void lh_learn_file_tell(const lh_learn_ask *ask, const lh_learn_file *file,
                        lh_reply *r)
{
  const lh_spectra *s;

  if (!file) return;
  s = &file->is;
  put(ask, file, r);
  lh_reply_title(r, "The file: %zu sample%s, %zu taken", s->count,
                 s->count == 1 ? "" : "s", file->taken);
  lh_spectra_doc_say(s, r, NULL);
  if (file->geometry_asked)
    lh_reply_text(r, "Read as %s, as you say.",
                  lh_geometry_words[ask->geometry]);
  else if (s->geometry >= 0)
    lh_reply_text(r, "Read as %s, as the file says.",
                  lh_geometry_words[ask->geometry]);
  else
    lh_reply_text(r,
                  "The file does not say how it was read: %s is taken; say "
                  "geometry if it was not so.",
                  lh_geometry_words[ask->geometry]);
  say_names(ask, file, r);
}
