/* SPDX-License-Identifier: GPL-3.0-or-later */
/* window_say.c -- a window put into words and numbers. */
#include <math.h>
#include <stdio.h>

#include "slip_words.h"
#include "window_room.h"

/* ---- for programs ------------------------------------------------------- */

/* A coat weight under all its names: KEY_g_m2, KEY_coats ... */
static void put_coat(const lh_window_work *w, lh_reply *r, const char *key,
                     double g_m2)
{
  lh_coat c;
  char name[32];

#define PUT(UNIT, V)                              \
  do {                                            \
    snprintf(name, sizeof name, "%s_" UNIT, key); \
    lh_reply_number(r, NULL, name, V);            \
  } while (0)
  PUT("g_m2", g_m2);
  if (isfinite(w->area_cm2)) PUT("dry_g", g_m2 * w->area_cm2 / 1e4);
  if (w->coat.litre_weight <= 0 || !isfinite(g_m2) ||
      lh_slip_coat(&w->coat, LH_COAT_G_M2, g_m2, &c) != LH_OK)
    return;
  PUT("coats", c.coats);
  PUT("wet_mm", c.wet_mm);
  PUT("dry_mm", c.dry_mm);
#undef PUT
}

static void put_range(lh_reply *r, json_t *to, const char *key, lh_range v)
{
  if (isfinite(v.low) && isfinite(v.high))
    lh_reply_range(r, to, key, v.low, v.high);
}

static void put_ranges(const lh_window_work *w, lh_reply *r)
{
  json_t *to = lh_reply_object(r, NULL, "range");

  put_range(r, to, "least_g_m2", w->range.least);
  put_range(r, to, "best_g_m2", w->range.best);
  put_range(r, to, "most_g_m2", w->range.most);
  put_range(r, to, "covering_g_m2", w->range.covering);
  put_range(r, to, "contrast_98_g_m2", w->range.contrast_98);
  lh_reply_number(r, to, "reached_percent", 100 * w->range.reached);
}

static void put_lab(lh_reply *r, json_t *to, const char *key, lh_lab c)
{
  lh_reply_numbers(r, to, key, (double[]){c.L, c.a, c.b}, 3);
}

static void put_curve(const lh_window_work *w, lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "curve");
  char hex[8];

  for (size_t i = 0; i < LH_CURVE_SHOWN; i++) {
    const lh_window_point *p = &w->curve[i];
    json_t *x = lh_reply_item(r, list);
    lh_srgb_hex(p->srgb, hex);
    lh_reply_number(r, x, "coat_g_m2", p->coat);
    lh_reply_number(r, x, "delta_e00", p->de00);
    put_lab(r, x, "lab", p->lab);
    lh_reply_string(r, x, "hex", hex);
    lh_reply_flag(r, x, "in_gamut", lh_srgb_in_gamut(p->srgb));
  }
}

static void put_others(const lh_window *v, lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "other_windows");

  for (size_t i = 0; i < v->others && i < LH_WINDOW_OTHERS; i++) {
    json_t *x = lh_reply_item(r, list);
    lh_reply_number(r, x, "least_g_m2", v->other[i].from);
    lh_reply_number(r, x, "most_g_m2", v->other[i].to);
  }
}

void lh_window_put(const lh_window_work *w, lh_reply *r)
{
  const lh_window *v = &w->window;

  lh_reply_string(r, NULL, "slip", lh_slip_part_name(&w->slip));
  lh_reply_flag(r, NULL, "invented", w->slip.invented);
  lh_reply_flag(r, NULL, "reached", v->reached);
  put_coat(w, r, "least", v->least);
  put_coat(w, r, "best", v->best);
  put_coat(w, r, "most", v->most);
  lh_reply_flag(r, NULL, "no_upper_end", v->reached && !isfinite(v->most));
  lh_reply_number(r, NULL, "tolerance", w->ask.tolerance);
  lh_reply_number(r, NULL, "best_delta_e00", v->best_de00);
  put_lab(r, NULL, "wanted_lab", v->wanted);
  put_lab(r, NULL, "best_lab", v->lab);
  lh_reply_number(r, NULL, "covering_g_m2", v->covering);
  lh_reply_number(r, NULL, "contrast_98_g_m2", v->contrast_98);
  if (v->reached && v->best > 0) {
    lh_reply_string(r, NULL, "safer_side", v->thin_safer ? "thin" : "thick");
    lh_reply_number(r, NULL, "thin_de00_per_10_percent", v->thin_speed);
    lh_reply_number(r, NULL, "thick_de00_per_10_percent", v->thick_speed);
  }
  put_others(v, r);
  put_ranges(w, r);
  lh_reply_string(r, NULL, "geometry", lh_geometry_keys[w->stack.geometry]);
  lh_reply_string(r, NULL, "illuminant", lh_illuminant_keys[w->ask.illuminant]);
  put_curve(w, r);
}

/* ---- for a person ------------------------------------------------------- */

static void row(const lh_window_work *w, lh_reply *r, const char *what,
                lh_range v)
{
  char range[48] = "", coats[32] = "", mm[48] = "", grams[32] = "";
  lh_coat c;

  if (v.low == v.high && v.low == v.value)
    snprintf(range, sizeof range, "as given");
  else if (isfinite(v.low) && isfinite(v.high))
    snprintf(range, sizeof range, "%.0f to %.0f", v.low, v.high);
  else if (isfinite(v.low))
    snprintf(range, sizeof range, "%.0f and up", v.low);
  if (w->coat.litre_weight > 0 && isfinite(v.value) &&
      lh_slip_coat(&w->coat, LH_COAT_G_M2, v.value, &c) == LH_OK) {
    if (isfinite(c.coats)) snprintf(coats, sizeof coats, "%.1f coats", c.coats);
    snprintf(mm, sizeof mm, "%.2f mm wet, %.2f dry", c.wet_mm, c.dry_mm);
  }
  if (isfinite(w->area_cm2) && isfinite(v.value))
    snprintf(grams, sizeof grams, "%.2f g dry a pot",
             v.value * w->area_cm2 / 1e4);
  if (isfinite(v.value))
    lh_reply_row(r, "%s\t%.0f g/m2\t%s%s%s%s%s%s%s", what, v.value, range,
                 *coats ? "\t" : "", coats, *mm ? "\t" : "", mm,
                 *grams ? "\t" : "", grams);
  else if (*range)
    lh_reply_row(r, "%s\tno end\t%s", what, range);
  else
    lh_reply_row(r, "%s\tno end", what);
}

static void say_title(const lh_window_work *w, lh_reply *r)
{
  const lh_window *v = &w->window;
  const char *name = lh_slip_part_name(&w->slip);

  if (!v->reached)
    lh_reply_title(r, "%s: no coat weight fires to that colour", name);
  else if (!isfinite(v->most))
    lh_reply_title(r, "%s: lay at least %.0f g/m2, best %.0f", name, v->least,
                   v->best);
  else
    lh_reply_title(r, "%s: lay %.0f to %.0f g/m2, best %.0f", name, v->least,
                   v->most, v->best);
}

static void say_side(const lh_window_work *w, lh_reply *r)
{
  const lh_window *v = &w->window;

  if (!(v->best > 0)) return;
  lh_reply_text(r,
                "The %s side is safer: a tenth less changes the colour by "
                "dE00 %.1f, a tenth more by %.1f%s.",
                v->thin_safer ? "thin" : "thick", v->thin_speed, v->thick_speed,
                v->alike && v->thin_safer
                    ? ", about as much, but a thin coat can take another"
                    : "");
  if (!isfinite(v->most))
    lh_reply_text(r,
                  "Up to %.0f g/m2 no coat is too thick for the colour; "
                  "cracking and peeling end it before that.",
                  w->ask.heaviest);
}

static void say_covering(const lh_window_work *w, lh_reply *r)
{
  const lh_window *v = &w->window;
  const char *guessed = w->body_told && w->ground_told ? "" : " (assumed)";

  if (isfinite(v->covering))
    lh_reply_text(r,
                  "It covers from %.0f g/m2 on: body and white ground%s below "
                  "it then differ by no more than dE00 1.",
                  v->covering, guessed);
  else
    lh_reply_text(r,
                  "It does not cover, up to %.0f g/m2: what is below%s shows.",
                  w->ask.heaviest, guessed);
  if (isfinite(v->contrast_98))
    lh_reply_text(r,
                  "Contrast ratio 0.98 over black and white (ISO 6504): "
                  "%.0f g/m2.",
                  v->contrast_98);
}

static void say_others(const lh_window *v, lh_reply *r)
{
  for (size_t i = 0; i < v->others && i < LH_WINDOW_OTHERS; i++) {
    if (isfinite(v->other[i].to))
      lh_reply_text(r,
                    "The same colour, within the tolerance, comes again from "
                    "%.0f to %.0f g/m2.",
                    v->other[i].from, v->other[i].to);
    else
      lh_reply_text(r,
                    "The same colour, within the tolerance, comes again from "
                    "%.0f g/m2 on.",
                    v->other[i].from);
  }
}

static void say_trust(const lh_window_work *w, lh_reply *r)
{
  const lh_stack_doubt *d = &w->doubt;
  const lh_window *v = &w->window;

  lh_reply_text(r,
                "Wanted: L* %.0f a* %.0f b* %.0f within dE00 %g, over %s, "
                "under %s, %s%s.",
                w->window.wanted.L, round(w->window.wanted.a) + 0.0,
                round(w->window.wanted.b) + 0.0, w->ask.tolerance, w->below,
                lh_illuminant_keys[w->ask.illuminant],
                lh_geometry_words[w->stack.geometry],
                w->stack.glaze ? "" : "; no glaze");
  lh_reply_text(r,
                "Ranges: nine times in ten, if K is known to %.0f %%, S to "
                "%.0f %%, coats to %.0f %%, the glaze to %.0f %% and the "
                "body to %.0f %%.  What the fire adds is not in them: make a "
                "strip of tiles.",
                100 * d->absorption, 100 * d->scattering, 100 * d->coat,
                100 * d->depth, 100 * d->substrate);
  if (!w->ask.by_colour)
    lh_reply_text(r, "Wanted is what the best coat shows: what is in doubt "
                     "moves it and the window's ends together, so the ends "
                     "are surer than the colour.");
  if (v->reached && w->range.reached < 1)
    lh_reply_text(r,
                  "Within these doubts the colour is reached %.0f times in "
                  "100 only.",
                  100 * w->range.reached);
  if (w->slip.photographed && isnan(w->fields->tolerance))
    lh_reply_text(r, "Its tiles were read from photographs: hence the wide "
                     "tolerance.");
  lh_stack_words_mark(r, "The slip is ", lh_slip_part_mark(&w->slip));
}

void lh_window_say(const lh_window_work *w, lh_reply *r)
{
  const lh_window *v = &w->window;

  say_title(w, r);
  if (v->reached) {
    row(w, r, "least", w->range.least);
    row(w, r, "best", w->range.best);
    row(w, r, "most", w->range.most);
    say_side(w, r);
  } else {
    lh_reply_text(
        r,
        "A coat of %.0f g/m2 comes nearest: L* %.0f a* %.0f b* %.0f, dE00 "
        "%.1f from what is wanted.",
        v->best, v->lab.L, round(v->lab.a) + 0.0, round(v->lab.b) + 0.0,
        v->best_de00);
  }
  say_others(v, r);
  say_covering(w, r);
  say_trust(w, r);
}
