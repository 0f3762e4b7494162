/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "colour_file.h"

#include "spectrum.h"
#include "stack_words.h"

/* A sample's colour: of a surface that reflects so, or as the file has it. */
typedef struct {
  lh_lab lab;
  lh_rgb srgb;
  char hex[8];
} sample_colour;

static sample_colour colour_of(const lh_spectra *s, const lh_spectra_sample *is)
{
  sample_colour c;

  if (s->lab) {
    c.lab = is->lab;
    c.srgb = lh_lab_srgb(is->lab);
  } else {
    c.lab = lh_spectrum_lab(is->reflectance, LH_D65);
    c.srgb = lh_spectrum_srgb(lh_spectrum_xyz(is->reflectance, LH_D65), LH_D65);
  }
  lh_srgb_hex(c.srgb, c.hex);
  return c;
}

static void put(const lh_spectra *s, lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "readings"), *one;

  for (size_t i = 0; i < s->count; i++) {
    const lh_spectra_sample *is = &s->sample[i];
    sample_colour c = colour_of(s, is);
    one = lh_reply_item(r, list);
    lh_reply_string(r, one, "name", is->name);
    if (is->id) lh_reply_string(r, one, "id", is->id);
    if (!s->lab)
      lh_reply_numbers(r, one, "reflectance", is->reflectance, LH_WAVES);
    lh_reply_numbers(r, one, "lab", (double[]){c.lab.L, c.lab.a, c.lab.b}, 3);
    lh_reply_numbers(r, one, "srgb", (double[]){c.srgb.r, c.srgb.g, c.srgb.b},
                     3);
    lh_reply_flag(r, one, "in_gamut", lh_srgb_in_gamut(c.srgb));
    lh_reply_string(r, one, "hex", c.hex);
  }
  if (s->geometry >= 0)
    lh_reply_string(r, NULL, "geometry", lh_geometry_keys[s->geometry]);
  lh_spectra_doc_put(s, r, lh_reply_object(r, NULL, "spectra"));
}

/* Nothing here hangs on the geometry, so what a file leaves open is said, not
** refused: whoever learns from the readings has to know it. */
static void say_geometry(const lh_spectra *s, lh_reply *r, json_t *list)
{
  if (s->geometry >= 0)
    lh_spectra_doc_tell(r, list, "Read as %s, as the file says.",
                        lh_geometry_words[s->geometry]);
  else if (s->geometry == LH_GEOMETRY_SPHERE)
    lh_spectra_doc_tell(r, list,
                        "The file says \"%.60s\", but not whether gloss was "
                        "shut out: look it up.",
                        s->geometry_is);
  else if (s->geometry == LH_GEOMETRY_STRANGE)
    lh_spectra_doc_tell(r, list,
                        "The file's geometry, \"%.60s\", is not understood.",
                        s->geometry_is);
  else
    lh_spectra_doc_tell(r, list, "The file does not say how it was read.");
}

lh_status lh_colour_file(const lh_call *call, const lh_spectra_doc *doc,
                         lh_reply *r, lh_fault *fault)
{
  lh_spectra s;
  json_t *words;
  lh_status st = lh_spectra_doc_read(call, doc, &s, fault);

  if (st != LH_OK) return st;
  put(&s, r);
  lh_reply_title(r, "%zu sample%s read, under D65", s.count,
                 s.count == 1 ? "" : "s");
  lh_reply_line(r, LH_LINE_HEAD, "sample\tL*\ta*\tb*\tsRGB");
  for (size_t i = 0; i < s.count; i++) {
    sample_colour c = colour_of(&s, &s.sample[i]);
    lh_reply_row(r, "%s\t%.1f\t%.1f\t%.1f\t%s", s.sample[i].name, c.lab.L,
                 c.lab.a, c.lab.b, c.hex);
  }
  words = lh_reply_list(r, NULL, "how_read");
  lh_spectra_doc_say(&s, r, words);
  say_geometry(&s, r, words);
  return LH_OK;
}
