/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "photograph.h"
#include "spectrum.h"

static const char *const told_keys[] = {"icc", "codes", "srgb", "assumed_srgb"};

static void put_readings(const lh_photograph_read *read, lh_reply *r,
                         json_t *to)
{
  json_t *list = lh_reply_list(r, to, "readings");

  for (size_t i = 0; i < read->n; i++) {
    const lh_photograph_reading *k = &read->reading[i];
    json_t *one = lh_reply_item(r, list);
    lh_xyz c = lh_lab_xyz(k->lab, lh_srgb_white());
    lh_rgb srgb = lh_xyz_srgb(c);
    char hex[8];
    lh_srgb_hex(srgb, hex);
    lh_reply_string(r, one, "name", k->name);
    lh_reply_numbers(r, one, "lab", (double[]){k->lab.L, k->lab.a, k->lab.b},
                     3);
    lh_reply_numbers(r, one, "xyz", (double[]){c.x, c.y, c.z}, 3);
    lh_reply_numbers(r, one, "srgb", (double[]){srgb.r, srgb.g, srgb.b}, 3);
    lh_reply_flag(r, one, "in_gamut", lh_srgb_in_gamut(srgb));
    lh_reply_string(r, one, "hex", hex);
    lh_reply_number(r, one, "delta_e00", k->range);
    lh_reply_number(r, one, "uneven_percent", 100 * k->scatter);
  }
}

void lh_photograph_put(const lh_photograph_read *read, lh_reply *r, json_t *to)
{
  json_t *list;

  put_readings(read, r, to);
  list = lh_reply_list(r, to, "patches");
  for (size_t i = 0; i < read->patches; i++) {
    json_t *one = lh_reply_item(r, list);
    lh_reply_string(r, one, "name", read->patch[i].name);
    lh_reply_number(r, one, "delta_e00", read->patch[i].off);
  }
  lh_reply_number(r, to, "patches_mean_delta_e00", read->mean);
  lh_reply_number(r, to, "patches_worst_delta_e00", read->worst);
  lh_reply_number(r, to, "lighting_percent", read->lighting);
  lh_reply_string(r, to, "profile", told_keys[read->about.told]);
  if (read->about.profile[0])
    lh_reply_string(r, to, "profile_name", read->about.profile);
  lh_reply_number(r, to, "width_px", (double)read->about.width);
  lh_reply_number(r, to, "height_px", (double)read->about.height);
}

static void say_picture(const lh_photograph_read *read, lh_reply *r)
{
  const lh_photo_about *a = &read->about;
  static const char *const told[] = {
      "by its own colour profile", "by its colour codes", "as sRGB, as it says",
      "as sRGB: it carries no colour profile, so this is a guess"};

  lh_reply_text(r, "Picture of %zu x %zu pixels, read %s%s%s%s.", a->width,
                a->height, told[a->told], a->profile[0] ? " (" : "", a->profile,
                a->profile[0] ? ")" : "");
  lh_reply_text(r,
                "The light differed by %.0f %% over what was looked at, and "
                "was evened out.",
                read->lighting);
}

void lh_photograph_say(const lh_photograph_read *read, lh_reply *r)
{
  lh_reply_line(r, LH_LINE_HEAD, "tile\tL*\ta*\tb*\tsRGB\twithin dE00");
  for (size_t i = 0; i < read->n; i++) {
    const lh_photograph_reading *k = &read->reading[i];
    char hex[8];
    lh_srgb_hex(lh_lab_srgb(k->lab), hex);
    lh_reply_row(r, "%s\t%.1f\t%.1f\t%.1f\t%s\t%.1f", k->name, k->lab.L,
                 k->lab.a, k->lab.b, hex, k->range);
  }
  lh_reply_text(r, "Nine times of ten the true colour is that near.");
  if (isnan(read->mean))
    lh_reply_text(r, "One patch cannot be tried against others: exposure and "
                     "white are known, the rest is a guess.");
  else
    lh_reply_text(r,
                  "A patch that was left out is missed by dE00 %.1f in the "
                  "mean, %.1f at worst.",
                  read->mean, read->worst);
  say_picture(read, r);
}
