/* SPDX-License-Identifier: GPL-3.0-or-later */
/* palette_say.c -- a palette put into words and numbers. */
#include <math.h>
#include <stdio.h>

#include "difference.h"
#include "made.h"
#include "palette_room.h"

static const char *id_of(const lh_palette_work *w, size_t i)
{
  return w->slips[i].id ? w->slips[i].id : lh_slip_part_name(&w->slips[i]);
}

static const char *name_of(const lh_palette_work *w, size_t i)
{
  return lh_slip_part_name(&w->slips[i]);
}

static lh_lab lab_of(const lh_palette_work *w, size_t light, lh_xyz c)
{
  return lh_xyz_lab(c, lh_spectrum_white(w->lights[light]));
}

/* Which eyes, in words. */
static const char *const eyes[LH_SIGHTS] = {
    "everybody", "eyes without the red cones", "eyes without the green cones",
    "eyes without the blue cones"};

/* ---- for programs ------------------------------------------------------- */

static void put_colour(const lh_palette_work *w, lh_reply *r, json_t *to,
                       size_t light, lh_xyz c)
{
  lh_lab lab = lab_of(w, light, c);
  lh_rgb s = lh_spectrum_srgb(c, w->lights[light]);
  char hex[8];

  lh_srgb_hex(s, hex);
  lh_reply_numbers(r, to, "lab", (double[]){lab.L, lab.a, lab.b}, 3);
  lh_reply_string(r, to, "hex", hex);
  lh_reply_flag(r, to, "in_gamut", lh_srgb_in_gamut(s));
}

static void put_seen(const lh_palette_work *w, lh_reply *r, json_t *to,
                     size_t light, lh_xyz c)
{
  json_t *seen = lh_reply_object(r, to, "seen");
  char hex[8];

  for (int s = LH_SIGHT_PROTAN; s < LH_SIGHTS; s++) {
    lh_srgb_hex(lh_sight_see((lh_sight)s, w->fields->severity,
                             lh_spectrum_srgb(c, w->lights[light])),
                hex);
    lh_reply_string(r, seen, lh_sight_keys[s], hex);
  }
}

static void put_slips(const lh_palette_work *w, lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "slips");

  for (size_t i = 0; i < w->palette.n; i++) {
    json_t *x = lh_reply_item(r, list), *under;
    lh_reply_string(r, x, "slip", id_of(w, i));
    lh_reply_string(r, x, "name", name_of(w, i));
    lh_reply_number(r, x, "coat_g_m2", w->layers[i].coat);
    lh_reply_flag(r, x, "invented", w->slips[i].invented);
    if (lh_slip_part_mark(&w->slips[i]))
      lh_reply_string(r, x, "mark", lh_slip_part_mark(&w->slips[i]));
    under = lh_reply_object(r, x, "under");
    for (size_t k = 0; k < w->n_lights; k++) {
      json_t *o = lh_reply_object(r, under, lh_illuminant_keys[w->lights[k]]);
      lh_lab lab = lab_of(w, k, w->xyz[k][i]);
      lh_lab ground = lab_of(w, k, w->on_ground[k]);
      lh_lab body = lab_of(w, k, w->on_body[k]);
      put_colour(w, r, o, k, w->xyz[k][i]);
      put_seen(w, r, o, k, w->xyz[k][i]);
      lh_reply_number(r, o, "from_ground_de00", lh_delta_e00(lab, ground));
      lh_reply_number(r, o, "from_ground_lightness", lab.L - ground.L);
      lh_reply_number(r, o, "from_body_de00", lh_delta_e00(lab, body));
      lh_reply_number(r, o, "from_body_lightness", lab.L - body.L);
    }
  }
}

static void put_pairs(const lh_palette_work *w, lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "pairs");

  for (size_t i = 0; i < w->palette.n; i++)
    for (size_t j = i + 1; j < w->palette.n; j++) {
      const lh_palette_pair *q = &w->pairs[lh_palette_pair_at(w, i, j)];
      json_t *x = lh_reply_item(r, list), *under;
      lh_reply_string(r, x, "slip1", id_of(w, i));
      lh_reply_string(r, x, "slip2", id_of(w, j));
      lh_reply_number(r, x, "delta_e00", q->de00[0][LH_SIGHT_USUAL]);
      lh_reply_range(r, x, "range", q->range.low, q->range.high);
      lh_reply_number(r, x, "lightness", q->lightness);
      under = lh_reply_object(r, x, "under");
      for (size_t k = 0; k < w->n_lights; k++) {
        json_t *o = lh_reply_object(r, under, lh_illuminant_keys[w->lights[k]]);
        for (int s = 0; s < LH_SIGHTS; s++)
          lh_reply_number(r, o, lh_sight_keys[s], q->de00[k][s]);
      }
    }
}

static void put_confused(const lh_palette_work *w, lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "confused");

  for (size_t i = 0; i < w->palette.n; i++)
    for (size_t j = i + 1; j < w->palette.n; j++)
      for (size_t k = 0; k < w->n_lights; k++)
        for (int s = 0; s < LH_SIGHTS; s++) {
          double d = w->pairs[lh_palette_pair_at(w, i, j)].de00[k][s];
          json_t *x;
          if (!(d < w->fields->confused_de00)) continue;
          x = lh_reply_item(r, list);
          lh_reply_string(r, x, "slip1", id_of(w, i));
          lh_reply_string(r, x, "slip2", id_of(w, j));
          lh_reply_string(r, x, "illuminant", lh_illuminant_keys[w->lights[k]]);
          lh_reply_string(r, x, "sight", lh_sight_keys[s]);
          lh_reply_number(r, x, "delta_e00", d);
        }
}

void lh_palette_put(const lh_palette_work *w, lh_reply *r)
{
  json_t *list;

  put_slips(w, r);
  list = lh_reply_list(r, NULL, "lightness_order");
  for (size_t i = 0; i < w->palette.n; i++)
    if (list && json_array_append_new(list, json_string(id_of(w, w->order[i]))))
      r->st = LH_NOMEM;
  put_pairs(w, r);
  put_confused(w, r);
  put_colour(w, r, lh_reply_object(r, NULL, "ground"), 0, w->on_ground[0]);
  put_colour(w, r, lh_reply_object(r, NULL, "body"), 0, w->on_body[0]);
  lh_reply_string(r, NULL, "geometry", lh_geometry_keys[w->palette.geometry]);
}

/* ---- for a person ------------------------------------------------------- */

static const char *word_of(const lh_palette_work *w, double de00)
{
  return de00 < w->fields->confused_de00 ? "confused"
         : de00 < w->fields->close_de00  ? "close"
                                         : "told apart";
}

/* The nearest pair under the first light. */
static void say_title(const lh_palette_work *w, lh_reply *r)
{
  const lh_palette_pair *best = NULL;
  size_t a = 0, b = 1;

  for (size_t i = 0; i < w->palette.n; i++)
    for (size_t j = i + 1; j < w->palette.n; j++) {
      const lh_palette_pair *q = &w->pairs[lh_palette_pair_at(w, i, j)];
      if (best && best->range.value <= q->range.value) continue;
      best = q, a = i, b = j;
    }
  if (!best) return;
  lh_reply_title(r, "The nearest: %s and %s, dE00 %.1f (%.1f to %.1f): %s",
                 name_of(w, a), name_of(w, b), best->range.value,
                 best->range.low, best->range.high,
                 word_of(w, best->range.value));
}

static void say_slips(const lh_palette_work *w, lh_reply *r)
{
  lh_reply_line(r, LH_LINE_HEAD,
                w->has_ground
                    ? "dark to light\tg/m2\tcolour\tL*\tfrom ground\tfrom body"
                    : "dark to light\tg/m2\tcolour\tL*\tfrom below");
  for (size_t k = 0; k < w->palette.n; k++) {
    size_t i = w->order[k];
    lh_lab lab = lab_of(w, 0, w->xyz[0][i]);
    double ground = lh_delta_e00(lab, lab_of(w, 0, w->on_ground[0]));
    double body = lh_delta_e00(lab, lab_of(w, 0, w->on_body[0]));
    char hex[8];
    lh_srgb_hex(lh_spectrum_srgb(w->xyz[0][i], w->lights[0]), hex);
    if (w->has_ground)
      lh_reply_row(r, "%s\t%.0f\t%s\t%.0f\t%.1f\t%.1f", name_of(w, i),
                   w->layers[i].coat, hex, lab.L, ground, body);
    else
      lh_reply_row(r, "%s\t%.0f\t%s\t%.0f\t%.1f", name_of(w, i),
                   w->layers[i].coat, hex, lab.L, ground);
  }
}

static void say_pairs(const lh_palette_work *w, lh_reply *r)
{
  lh_reply_title(r, "How far apart (dE00, under %s)",
                 lh_illuminant_keys[w->lights[0]]);
  for (size_t i = 0; i < w->palette.n; i++)
    for (size_t j = i + 1; j < w->palette.n; j++) {
      const lh_palette_pair *q = &w->pairs[lh_palette_pair_at(w, i, j)];
      const char *alike =
          fabs(q->lightness) < w->fields->alike_lightness ? "as light" : "";
      lh_reply_row(r, "%s\t%s\t%.1f\t%.1f to %.1f%s%s", name_of(w, i),
                   name_of(w, j), q->range.value, q->range.low, q->range.high,
                   *alike ? "\t" : "", alike);
    }
}

/* Pairs that somebody confuses under some light, the worst case of each kind
** of eyes in a line; but what all confuse is said once. */
static void say_confused(const lh_palette_work *w, lh_reply *r)
{
  size_t said = 0;

  for (size_t i = 0; i < w->palette.n; i++)
    for (size_t j = i + 1; j < w->palette.n; j++) {
      const lh_palette_pair *q = &w->pairs[lh_palette_pair_at(w, i, j)];
      for (int s = 0; s < LH_SIGHTS; s++) {
        size_t worst = 0;
        for (size_t k = 1; k < w->n_lights; k++)
          if (q->de00[k][s] < q->de00[worst][s]) worst = k;
        if (!(q->de00[worst][s] < w->fields->confused_de00)) continue;
        lh_reply_line(r, LH_LINE_CAUTION,
                      "%s and %s\t%s confuse%s them under %s (dE00 %.1f)\t"
                      "part them by ground or a line, or make one lighter",
                      name_of(w, i), name_of(w, j), eyes[s],
                      s == LH_SIGHT_USUAL ? "s" : "",
                      lh_illuminant_keys[w->lights[worst]], q->de00[worst][s]);
        said++;
        if (s == LH_SIGHT_USUAL) break;
      }
    }
  if (said == 0)
    lh_reply_text(r,
                  "No two of them are confused, under any of these lights, "
                  "by any of these eyes (below dE00 %g; a judgement).",
                  w->fields->confused_de00);
}

/* The nearest pair to each kind of other eyes, under the first light. */
static void say_eyes(const lh_palette_work *w, lh_reply *r)
{
  for (int s = LH_SIGHT_PROTAN; s < LH_SIGHTS; s++) {
    double least = HUGE_VAL;
    size_t a = 0, b = 1;
    for (size_t i = 0; i < w->palette.n; i++)
      for (size_t j = i + 1; j < w->palette.n; j++) {
        double d = w->pairs[lh_palette_pair_at(w, i, j)].de00[0][s];
        if (d < least) least = d, a = i, b = j;
      }
    lh_reply_text(r, "To %s the nearest are %s and %s, dE00 %.1f: %s.", eyes[s],
                  name_of(w, a), name_of(w, b), least, word_of(w, least));
  }
}

void lh_palette_say(const lh_palette_work *w, lh_reply *r)
{
  const char *mark = NULL;
  double least = INFINITY, optics = 0, coat = 0;
  char known[48];

  for (size_t i = 0; i < w->palette.n; i++) {
    least = fmin(least, w->doubt[i].absorption);
    optics = fmax(optics, w->doubt[i].absorption);
    coat = fmax(coat, w->doubt[i].coat);
    mark = lh_made_plainer(mark, lh_slip_part_mark(&w->slips[i]));
  }
  if (round(100 * least) < round(100 * optics))
    snprintf(known, sizeof known, "%.0f to %.0f", 100 * least, 100 * optics);
  else
    snprintf(known, sizeof known, "%.0f", 100 * optics);
  say_title(w, r);
  say_slips(w, r);
  say_pairs(w, r);
  say_confused(w, r);
  say_eyes(w, r);
  lh_reply_text(r,
                "\"As light\": within L* %g of each other, only hue tells them "
                "apart.  Other eyes are simulated, severity %g; real eyes "
                "differ.",
                w->fields->alike_lightness, w->fields->severity);
  lh_reply_text(r,
                "Ranges: nine times in ten, if K and S are known to %s %% "
                "and coats to %.0f %%%s, %s%s.",
                known, 100 * coat,
                w->over_told ? "" : ", on a white that is assumed",
                lh_geometry_words[w->palette.geometry],
                w->palette.glaze ? "" : "; no glaze");
  lh_stack_words_mark(r, "Some of them are ", mark);
}
