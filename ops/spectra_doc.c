/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "spectra_doc.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "handed.h"

const char *const lh_spectra_doc_scales[] = {"fraction", "percent", NULL};
const char *const lh_spectra_doc_lights[] = {"D65", "D50", NULL};

/* In the order of lh_spectra_doc_lights. */
static const int lights[] = {LH_D65, LH_D50};

/* The file's bytes: a text in the document, or one that is no UTF-8 and was
** handed in beside it. */
static lh_status bytes_of(const lh_call *call, const lh_spectra_doc *doc,
                          const void **bytes, size_t *n, lh_fault *fault)
{
  *bytes = doc->file;
  *n = strlen(doc->file);
  if (strncmp(doc->file, "sha256:", 7) != 0) return LH_OK;
  return lh_handed_find(call, doc->file, "/spectra", bytes, n, fault);
}

lh_status lh_spectra_doc_read(const lh_call *call, const lh_spectra_doc *doc,
                              lh_spectra *out, lh_fault *fault)
{
  lh_spectra_ask how = {"spectra", doc->scale,
                        doc->light < 0 ? -1 : lights[doc->light]};
  const void *bytes;
  size_t n;
  lh_status st = bytes_of(call, doc, &bytes, &n, fault);

  if (st != LH_OK) return st;
  return lh_spectra_read(bytes, n, &how, call->arena, out, fault);
}

/* ---- telling ------------------------------------------------------------- */

static double last_nm(const lh_wave_grid *g)
{
  return g->first + g->step * (double)(g->n - 1);
}

static const char *const ways[] = {"as they are", "averaged over 10 nm",
                                   "on Sprague's curve between the readings"};

void lh_spectra_doc_put(const lh_spectra *s, lh_reply *r, json_t *to)
{
  static const char *const keys[] = {"as_is", "averaged", "interpolated"};
  static const char *const by[] = {"told", "heading", "values"};

  lh_reply_string(r, to, "form", s->exchange ? "exchange" : "table");
  lh_reply_number(r, to, "samples", (double)s->count);
  if (s->lab) {
    lh_reply_string(r, to, "light", s->light == LH_D50 ? "D50" : "D65");
  } else {
    lh_reply_number(r, to, "first_nm", s->grid.first);
    lh_reply_number(r, to, "last_nm", last_nm(&s->grid));
    lh_reply_number(r, to, "step_nm", s->grid.step);
    lh_reply_string(r, to, "resampled", keys[s->how.way]);
    lh_reply_number(r, to, "held_low", (double)s->how.low);
    lh_reply_number(r, to, "held_high", (double)s->how.high);
    lh_reply_string(r, to, "scale", lh_spectra_doc_scales[s->scale]);
    lh_reply_string(r, to, "scale_by", by[s->scale_by]);
  }
}

void lh_spectra_doc_tell(lh_reply *r, json_t *list, const char *format, ...)
{
  char text[400]; /* the longest sentence has some 150 */
  va_list ap;

  va_start(ap, format);
  vsnprintf(text, sizeof text, format, ap);
  va_end(ap);
  lh_reply_text(r, "%s", text);
  if (list && json_array_append_new(list, json_string(text)) != 0)
    r->st = LH_NOMEM;
}

/* "380 to 390 nm", or one of them. */
static void some_nm(char *text, size_t size, size_t from, size_t n)
{
  if (n == 1)
    snprintf(text, size, "%g nm", lh_wave_nm(from));
  else
    snprintf(text, size, "%g to %g nm", lh_wave_nm(from),
             lh_wave_nm(from + n - 1));
}

static void say_held(const lh_resample_info *how, lh_reply *r, json_t *list)
{
  char low[40] = "", high[40] = "";

  if (how->low + how->high == 0) return;
  if (how->low) some_nm(low, sizeof low, 0, how->low);
  if (how->high) some_nm(high, sizeof high, LH_WAVES - how->high, how->high);
  lh_spectra_doc_tell(
      r, list,
      "%s%s%s: not measured; the nearest reading is held, good to "
      "0.02 of full scale for each 10 nm.",
      low, *low && *high ? ", " : "", high);
}

static void say_spectra(const lh_spectra *s, lh_reply *r, json_t *list)
{
  static const char *const by[] = {"as you say", "as the file says", NULL};
  const lh_wave_grid *g = &s->grid;

  lh_spectra_doc_tell(r, list, "%g to %.5g nm every %.4g nm, taken %s.",
                      g->first, last_nm(g), g->step, ways[s->how.way]);
  say_held(&s->how, r, list);
  if (s->scale_by != LH_SCALE_BY_VALUES)
    lh_spectra_doc_tell(r, list, "Readings are %s, %s.",
                        s->scale == LH_SCALE_PERCENT ? "percent"
                                                     : "from 0 to 1",
                        by[s->scale_by]);
  else if (s->scale == LH_SCALE_PERCENT)
    lh_spectra_doc_tell(r, list,
                        "Readings are taken as percent: some are above 1.5.");
  else
    lh_spectra_doc_tell(r, list,
                        "Readings are taken as 0 to 1: none is above 1.4, and "
                        "nothing says percent.");
}

void lh_spectra_doc_say(const lh_spectra *s, lh_reply *r, json_t *list)
{
  if (s->lab)
    lh_spectra_doc_tell(
        r, list, "It holds L*a*b* under %s%s.",
        s->light == LH_D50 ? "D50" : "D65",
        s->light == LH_D50 ? ", carried to D65: off by 0.5 more each" : "");
  else
    say_spectra(s, r, list);
}
