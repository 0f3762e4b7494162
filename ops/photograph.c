/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "photograph.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "colour_words.h"
#include "handed.h"

/* Fewer pixels say too little of a mean (a judgement: of 100 with 10 % of
** noise each, the mean is good to 1 %); more of a disc may not lie beyond the
** edge (a judgement). */
static const size_t FEW = 100;
static const double BEYOND = 0.02;

#define PLACE(O)                                                       \
  LH_TEXT(O, name, "name", true, "What it is called."),                \
      LH_NUMBER(O, x, "x", true, 0, 1, NAN, "of the picture's width",  \
                "Its middle, from the left."),                         \
      LH_NUMBER(O, y, "y", true, 0, 1, NAN, "of the picture's height", \
                "Its middle, from the top, as the picture is seen."),  \
      LH_NUMBER(O, radius, "radius", true, 0.0005, 0.5, NAN,           \
                "of the picture's width",                              \
                "Of the disc that is looked at: well inside its edge.")

static const lh_field patch_rows[] = {
    PLACE(lh_photograph_patch),
    LH_TRIPLE(lh_photograph_patch, lab, "lab", true, -300, 300, "L*, a*, b*",
              "What it is known to be, under D65: its maker or a colorimeter "
              "says it."),
};
static const lh_fields patch_table =
    LH_FIELDS("patch", lh_photograph_patch, patch_rows);

static const lh_field tile_rows[] = {
    PLACE(lh_photograph_tile),
};
static const lh_fields tile_table =
    LH_FIELDS("tile", lh_photograph_tile, tile_rows);

static const lh_field photograph_rows[] = {
    {.key = "file",
     .kind = LH_F_TEXT,
     .offset = offsetof(lh_photograph_ask, file),
     .required = true,
     .lines = true, /* a text file by mistake is refused in better words */
     .help = "The JPEG or PNG picture: @FILE on the command line; over HTTP "
             "the \"sha256:...\" of an uploaded one."},
    LH_LIST(lh_photograph_ask, patches, "patches", true, patch_table,
            LH_LIGHT_PATCHES,
            "Patches of known colour, in the same light: a white and a black "
            "at least, better two dozen all around the tiles."),
    LH_LIST(lh_photograph_ask, tiles, "tiles", true, tile_table,
            LH_PHOTOGRAPH_TILES, "What is to be read."),
};
const lh_fields lh_photograph_table =
    LH_FIELDS("photograph", lh_photograph_ask, photograph_rows);

/* ---- discs -------------------------------------------------------------- */

/* A disc of the document, to be spoken of. */
typedef struct {
  const char *where, *list, *kind, *name;
  size_t i;
} spoken;

static lh_status disc_fault(const spoken *s, lh_fault *fault, lh_status st,
                            const char *todo, const char *what)
{
  char at[160];

  snprintf(at, sizeof at, "%s/%s/%zu", s->where, s->list, s->i);
  return lh_fault_say(fault, st, at, todo, "%s \"%.60s\" %s", s->kind, s->name,
                      what);
}

/* Does a disc say what colour lies there? */
static lh_status disc_good(const spoken *s, const lh_photo_disc *d,
                           lh_fault *fault)
{
  char what[120];

  if (d->outside > BEYOND)
    return disc_fault(s, fault, LH_INPUT, "move it, or make its radius less",
                      "lies partly beyond the picture's edge");
  if (d->pixels < FEW)
    return disc_fault(s, fault, LH_INPUT,
                      "come nearer, or make its radius larger",
                      "covers fewer than 100 pixels");
  if (d->lost.clear > 0)
    return disc_fault(s, fault, LH_INPUT, "save the picture without it",
                      "is see-through in this picture");
  if (d->lost.burnt > LH_DISC_LOST) {
    snprintf(what, sizeof what,
             "is burnt out: %.0f %% of it is as bright as the picture goes",
             100 * d->lost.burnt);
    return disc_fault(s, fault, LH_INPUT,
                      "expose less and take it again, or turn it away from the "
                      "lamp's reflection",
                      what);
  }
  if (d->lost.dark > LH_DISC_LOST || !(d->mean.rgb[1] > 0)) {
    snprintf(what, sizeof what,
             "is lost in the dark: a colour of %.0f %% of it is at nought",
             100 * d->lost.dark);
    return disc_fault(s, fault, LH_INPUT,
                      "give it more light; if it is a bright colour, save the "
                      "picture in a wider colour space",
                      what);
  }
  return LH_OK;
}

static lh_status discs_good(const lh_photograph_ask *ask, const char *where,
                            const lh_photo_disc *d, lh_fault *fault)
{
  const lh_photograph_patch *p = ask->patches.items;
  const lh_photograph_tile *t = ask->tiles.items;
  size_t n = ask->patches.count;
  lh_status st = LH_OK;

  for (size_t i = 0; i < n && st == LH_OK; i++)
    st = disc_good(&(spoken){where, "patches", "patch", p[i].name, i}, &d[i],
                   fault);
  for (size_t i = 0; i < ask->tiles.count && st == LH_OK; i++)
    st = disc_good(&(spoken){where, "tiles", "tile", t[i].name, i}, &d[n + i],
                   fault);
  return st;
}

static lh_photo_disc *discs(const lh_photograph_ask *ask, lh_arena *a)
{
  const lh_photograph_patch *p = ask->patches.items;
  const lh_photograph_tile *t = ask->tiles.items;
  size_t n = ask->patches.count, all = n + ask->tiles.count;
  lh_photo_disc *d = lh_arena_take(a, all, sizeof *d);

  if (!d) return NULL;
  for (size_t i = 0; i < n; i++)
    d[i] = (lh_photo_disc){.x = p[i].x, .y = p[i].y, .radius = p[i].radius};
  for (size_t i = n; i < all; i++)
    d[i] = (lh_photo_disc){
        .x = t[i - n].x, .y = t[i - n].y, .radius = t[i - n].radius};
  return d;
}

/* ---- patches ------------------------------------------------------------ */

static lh_status known(const lh_photograph_ask *ask, const char *where,
                       const lh_photo_disc *d, lh_light_patch *to,
                       lh_fault *fault)
{
  const lh_photograph_patch *p = ask->patches.items;
  char at[160];
  lh_status st = LH_OK;

  for (size_t i = 0; i < ask->patches.count && st == LH_OK; i++) {
    snprintf(at, sizeof at, "%s/patches/%zu/lab", where, i);
    to[i] = (lh_light_patch){.x = d[i].x, .y = d[i].y};
    memcpy(to[i].rgb, d[i].mean.rgb, sizeof to[i].rgb);
    st = lh_colour_words_lab(&p[i].lab, at, &to[i].lab, fault);
    if (st == LH_OK && !(to[i].lab.L > 0))
      st = lh_fault_say(fault, LH_RANGE, at, "leave this patch out",
                        "no patch is wholly black");
  }
  return st;
}

/* Some of them stand apart: say which. */
static lh_status apart(const lh_photograph_ask *ask, const char *where,
                       const lh_light_verdict *v, lh_fault *fault)
{
  const lh_photograph_patch *p = ask->patches.items;
  char at[160], names[160] = "";
  size_t count = 0, first = 0, used = 0;
  double most = 0;

  for (size_t i = 0; i < ask->patches.count; i++) {
    int k;
    if (!v[i].apart) continue;
    if (count++ == 0) first = i;
    most = fmax(most, v[i].off);
    k = snprintf(names + used, sizeof names - used, "%s\"%.24s\"",
                 used ? ", " : "", p[i].name);
    used =
        (size_t)k < sizeof names - used ? used + (size_t)k : sizeof names - 1;
  }
  if (count == 0) return LH_OK;
  snprintf(at, sizeof at, "%s/patches/%zu", where, first);
  return lh_fault_say(fault, LH_RANGE, at,
                      "point at it again, correct its lab, take the picture by "
                      "daylight, or leave it out",
                      "patch%s %s disagree%s with the others: off by %s"
                      "dE00 %.0f",
                      count > 1 ? "es" : "", names, count > 1 ? "" : "s",
                      count > 1 ? "up to " : "", most);
}

static lh_status judged(const lh_call *call, const lh_photograph_ask *ask,
                        const char *where, const lh_light_patch *patch,
                        lh_photograph_read *read, lh_fault *fault)
{
  const lh_photograph_patch *p = ask->patches.items;
  lh_light_verdict v[LH_LIGHT_PATCHES];
  size_t n = ask->patches.count;
  lh_status st = lh_light_judge(patch, n, call->watch, v);

  if (st == LH_RANGE)
    return lh_fault_say(fault, st, where, "look at the patches again",
                        "these patches cannot be read");
  if (st == LH_OK) st = apart(ask, where, v, fault);
  if (st != LH_OK) return st;
  read->patches = n;
  read->mean = n > 1 ? 0 : NAN;
  read->worst = NAN;
  for (size_t i = 0; i < n; i++) {
    read->patch[i] = (lh_photograph_miss){p[i].name, v[i].off};
    read->mean += v[i].off / (double)n;
    read->worst = fmax(read->worst, v[i].off);
  }
  return LH_OK;
}

/* ---- the reading -------------------------------------------------------- */

/* How uneven the light was over all that was looked at. */
static double lighting(const lh_light_fit *fit, const lh_photo_disc *d,
                       size_t n)
{
  double least = INFINITY, most = 0;

  for (size_t i = 0; i < n; i++) {
    double v = lh_light_field(fit, d[i].x, d[i].y);
    least = fmin(least, v);
    most = fmax(most, v);
  }
  return 100 * (most / least - 1);
}

static lh_status light(const lh_photograph_ask *ask, const char *where,
                       const lh_photo_disc *d, const lh_light_patch *patch,
                       lh_photograph_read *read, lh_fault *fault)
{
  const lh_photograph_tile *t = ask->tiles.items;
  size_t n = ask->patches.count;
  lh_light_fit fit;
  lh_status st = lh_light_find(patch, n, NULL, &fit);

  if (st != LH_OK || !fit.settled || fit.miss > LH_LIGHT_DISAGREE)
    return lh_fault_say(fault, LH_RANGE, where,
                        "see that each disc lies on its own patch, and that "
                        "each has its own lab",
                        "the patches disagree with each other");
  read->lighting = lighting(&fit, d, n + ask->tiles.count);
  read->n = ask->tiles.count;
  for (size_t i = 0; i < read->n; i++) {
    const lh_photo_disc *at = &d[n + i];
    read->reading[i] = (lh_photograph_reading){
        t[i].name, lh_light_lab(&fit, at->x, at->y, at->mean.rgb),
        lh_light_range(&fit, at->x, at->y, at->mean.rgb), at->mean.scatter};
  }
  return LH_OK;
}

static lh_status asked(const lh_photograph_ask *ask, const char *where,
                       lh_fault *fault)
{
  const lh_photograph_tile *t = ask->tiles.items;
  char at[160];

  if (ask->patches.count == 0)
    return lh_fault_say(fault, LH_INPUT, where,
                        "lay at least a white of known colour beside the tile",
                        "too few patches: without one no light is known");
  if (ask->tiles.count == 0)
    return lh_fault_say(fault, LH_INPUT, where, "say where the tile lies",
                        "there is no tile to read");
  for (size_t i = 0; i < ask->tiles.count; i++)
    for (size_t j = 0; j < i; j++) {
      if (strcmp(t[i].name, t[j].name) != 0) continue;
      snprintf(at, sizeof at, "%s/tiles/%zu/name", where, i);
      return lh_fault_say(fault, LH_INPUT, at, "give each its own name",
                          "two tiles are called \"%.60s\"", t[i].name);
    }
  return LH_OK;
}

lh_status lh_photograph_take(const lh_call *call, const lh_photograph_ask *ask,
                             const char *where, lh_photograph_read *read,
                             lh_fault *fault)
{
  size_t all = ask->patches.count + ask->tiles.count, n = 0;
  lh_light_patch *patch =
      lh_arena_take(call->arena, ask->patches.count + 1, sizeof *patch);
  lh_photo_disc *d;
  const void *bytes = NULL;
  char file[160];
  lh_status st = asked(ask, where, fault);

  memset(read, 0, sizeof *read);
  if (st != LH_OK) return st;
  read->reading =
      lh_arena_take(call->arena, ask->tiles.count, sizeof *read->reading);
  read->patch =
      lh_arena_take(call->arena, ask->patches.count, sizeof *read->patch);
  d = discs(ask, call->arena);
  if (!patch || !read->reading || !read->patch || !d) return LH_NOMEM;
  snprintf(file, sizeof file, "%s/file", where);
  st = lh_handed_find(call, ask->file, file, &bytes, &n, fault);
  if (st == LH_OK)
    st = lh_photo_read(bytes, n, file, d, all, call->arena, call->watch,
                       &read->about, fault);
  if (st == LH_OK) st = discs_good(ask, where, d, fault);
  if (st == LH_OK) st = known(ask, where, d, patch, fault);
  if (st == LH_OK) st = judged(call, ask, where, patch, read, fault);
  if (st == LH_OK) st = light(ask, where, d, patch, read, fault);
  return st;
}
