/* SPDX-License-Identifier: GPL-3.0-or-later */
/* colour.c -- the operation `colour`: one colour in all its numbers. */
#include <math.h>

#include "colour_file.h"
#include "colour_words.h"
#include "photograph.h"
#include "recovery.h"

typedef struct {
  lh_list lab, xyz, srgb;
  const char *hex;
  lh_photograph_ask *photograph;
  lh_spectra_doc spectra;
} colour_ask;

static const lh_field colour_rows[] = {
    LH_TRIPLE(colour_ask, lab, "lab", false, -300, 300, "L*, a*, b*",
              "Under D65; give just one of these ways."),
    LH_TRIPLE(colour_ask, xyz, "xyz", false, -1, 3, "white has Y = 1",
              "Tristimulus values under D65, 2-degree observer."),
    LH_TRIPLE(colour_ask, srgb, "srgb", false, -2, 3, "0 to 1",
              "Encoded sRGB; outside 0 to 1 is taken."),
    LH_TEXT(colour_ask, hex, "hex", false, "sRGB as \"#8a3324\"."),
    LH_OBJECT(colour_ask, photograph, "photograph", false, lh_photograph_table,
              "Or tiles in a photograph, beside patches of known colour."),
    LH_SPECTRA_FILE_FIELDS(
        colour_ask, "Or the samples of an instrument's file, CSV or CGATS.17 "
                    "(ISO 28178) text."),
};
static const lh_fields colour_table =
    LH_FIELDS("colour", colour_ask, colour_rows);

/* Whichever way it was told, as XYZ under D65 against sRGB's white. */
static lh_status read_colour(const colour_ask *a, lh_xyz *c, lh_fault *fault)
{
  int told = (a->lab.items != NULL) + (a->xyz.items != NULL) +
             (a->srgb.items != NULL) + (a->hex != NULL) +
             (a->photograph != NULL) + (a->spectra.file != NULL);
  double v[3];
  lh_lab lab;
  lh_rgb rgb;
  lh_status st;

  if (told == 0)
    return lh_fault_say(fault, LH_INPUT, "/",
                        "give one of lab, xyz, srgb, hex, photograph and "
                        "spectra",
                        "no colour is told");
  if (told > 1)
    return lh_fault_say(fault, LH_INPUT, "/",
                        "give just one of lab, xyz, srgb, hex, photograph "
                        "and spectra",
                        "the colour is told %d times", told);
  if (a->lab.items) {
    st = lh_colour_words_lab(&a->lab, "/lab", &lab, fault);
    if (st == LH_OK) *c = lh_lab_xyz(lab, lh_srgb_white());
    return st;
  }
  if (a->xyz.items) {
    st = lh_colour_words_three(&a->xyz, "/xyz", v, fault);
    if (st == LH_OK) *c = (lh_xyz){v[0], v[1], v[2]};
    return st;
  }
  if (a->srgb.items) {
    st = lh_colour_words_three(&a->srgb, "/srgb", v, fault);
    if (st == LH_OK) *c = lh_srgb_xyz((lh_rgb){v[0], v[1], v[2]});
    return st;
  }
  if (!a->hex) return LH_OK; /* a file, read by its own rules */
  if (lh_hex_srgb(a->hex, &rgb) != LH_OK)
    return lh_fault_say(fault, LH_INPUT, "/hex",
                        "give # and six digits 0 to 9, a to f",
                        "\"%.40s\" is no colour", a->hex);
  *c = lh_srgb_xyz(rgb);
  return LH_OK;
}

static void say_reflectance(lh_xyz c, lh_reply *r)
{
  static const char none[] =
      "none between 0 and 1 has this colour, so no surface does";
  double rho[LH_WAVES];

  if (lh_recover(c, rho, NULL) != LH_OK) {
    lh_reply_string(r, NULL, "reflectance_why", none);
    lh_reply_text(r, "No reflectance to give: %s.", none);
    return;
  }
  lh_reply_numbers(r, NULL, "reflectance", rho, LH_WAVES);
  lh_reply_text(r, "--json gives a reflectance as well: the smoothest of the "
                   "many that have this colour under D65.  A guess, not a "
                   "measurement: under a lamp it can be 5 dE00 off, most for "
                   "cobalt blues and violets.");
}

static void tell(lh_xyz c, lh_reply *r)
{
  lh_lab lab = lh_xyz_lab(c, lh_srgb_white());
  lh_rgb srgb = lh_xyz_srgb(c);
  char hex[8];

  lh_srgb_hex(srgb, hex);
  lh_colour_words_put(r, c, lab, srgb);
  lh_reply_title(r, "%s, L* %.1f a* %.1f b* %.1f", hex, lab.L, lab.a, lab.b);
  lh_reply_row(r, "CIELAB, D65\t%.2f\t%.2f\t%.2f", lab.L, lab.a, lab.b);
  lh_reply_row(r, "XYZ, D65\t%.4f\t%.4f\t%.4f", c.x, c.y, c.z);
  lh_reply_row(r, "sRGB\t%.4f\t%.4f\t%.4f", srgb.r, srgb.g, srgb.b);
  lh_colour_words_gamut(r, srgb);
  say_reflectance(c, r);
}

/* Of a photograph of one tile its colour is told like any other. */
static lh_status photograph(const lh_call *call, const lh_photograph_ask *ask,
                            lh_reply *r, lh_fault *fault)
{
  lh_photograph_read read;
  lh_status st = lh_photograph_take(call, ask, "/photograph", &read, fault);

  if (st != LH_OK) return st;
  if (read.n == 1)
    tell(lh_lab_xyz(read.reading[0].lab, lh_srgb_white()), r);
  else
    lh_reply_title(r, "%zu tiles read", read.n);
  lh_photograph_put(&read, r, NULL);
  lh_photograph_say(&read, r);
  return LH_OK;
}

static lh_status colour(const lh_call *call, const void *document, lh_reply *r,
                        lh_fault *fault)
{
  const colour_ask *ask = document;
  lh_xyz c = {0, 0, 0};
  lh_status st = read_colour(ask, &c, fault);

  if (st != LH_OK) return st;
  if (ask->photograph) return photograph(call, ask->photograph, r, fault);
  if (ask->spectra.file) return lh_colour_file(call, &ask->spectra, r, fault);
  tell(c, r);
  return LH_OK;
}

const lh_operation lh_op_colour = {
    .name = "colour",
    .help = "one colour in CIELAB, XYZ, sRGB, and a likely reflectance",
    .purpose =
        "Turns a colour told in one way into the others: CIELAB and XYZ under "
        "D65 (white\nas sRGB has it: X 0.9505, Y 1, Z 1.0891), sRGB by IEC "
        "61966-2-1, and the smoothest\nreflectance that has this colour.  "
        "A screen that cannot show it is told.\n"
        "Or reads tiles from a photograph that shows them beside patches of "
        "known\ncolour: each with how sure it is.  Or the samples of an "
        "instrument's file of\nspectra.",
    .fields = &colour_table,
    .run = colour,
    .example = "{\"srgb\": [0.54, 0.20, 0.14]}",
};
