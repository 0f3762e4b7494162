/* SPDX-License-Identifier: GPL-3.0-or-later */
/* slips.c -- the operation `slips`: those that come with the program. */
#include <math.h>
#include <string.h>

#include "made.h"
#include "stack_words.h"

typedef struct {
  const char *slip;
} slips_ask;

static const lh_field rows[] = {
    LH_TEXT(slips_ask, slip, "slip", false,
            "One of them, by its name or id; absent: all."),
};
static const lh_fields table = LH_FIELDS("slips", slips_ask, rows);

/* Over what the colours are told: a white, and a clear glaze. (judgement) */
static const double white = 0.75, index_of_glaze = 1.5;

/* One usual coat over white under a clear glaze. */
static lh_status fires_to(const lh_made *m, lh_lab *lab, char hex[8])
{
  lh_slip_optics optics;
  lh_stack_layer layer = {&optics, m->coat_g_m2};
  lh_glaze glaze = {.index = index_of_glaze};
  double below[LH_WAVES], R[LH_WAVES];
  lh_stack s = {&layer, 1, below, &glaze, LH_D8_EX};
  lh_status st;

  for (size_t w = 0; w < LH_WAVES; w++) below[w] = white;
  memcpy(optics.absorption, m->absorption, sizeof optics.absorption);
  memcpy(optics.scattering, m->scattering, sizeof optics.scattering);
  st = lh_stack_reflectance(&s, R);
  if (st != LH_OK) return st;
  lh_xyz c = lh_spectrum_xyz(R, LH_D65);
  *lab = lh_xyz_lab(c, lh_spectrum_white(LH_D65));
  lh_srgb_hex(lh_srgb_clip(lh_spectrum_srgb(c, LH_D65)), hex);
  return LH_OK;
}

static lh_status one(const lh_made *m, json_t *list, lh_reply *r)
{
  json_t *to = lh_reply_item(r, list), *document = lh_made_document(m);
  lh_lab lab;
  char hex[8];
  lh_status st = fires_to(m, &lab, hex);

  if (!document || !to || json_object_set_new(to, "slip", document) != 0)
    return LH_NOMEM;
  if (st != LH_OK) return st;
  lh_reply_string(r, to, "name", m->name);
  lh_reply_numbers(r, to, "lab", (double[]){lab.L, lab.a, lab.b}, 3);
  lh_reply_string(r, to, "hex", hex);
  lh_reply_numbers(r, to, "absorption_error_percent", m->absorption_error,
                   LH_WAVES);
  lh_reply_numbers(r, to, "scattering_error_percent", m->scattering_error,
                   LH_WAVES);
  lh_reply_number(r, to, "left_out_delta_e00", m->left_out_de00);
  lh_reply_number(r, to, "left_out_worst_delta_e00", m->worst_de00);
  lh_reply_string(r, to, "mark", LH_MADE_MARK);
  lh_reply_row(r, "%s\t%s\t%.0f g/m2\tdE00 %.1f\t%s", m->name, hex,
               m->coat_g_m2, m->left_out_de00, m->powders);
  return LH_OK;
}

static lh_status slips(const lh_call *call, const void *document, lh_reply *r,
                       lh_fault *fault)
{
  const slips_ask *ask = document;
  size_t i = ask->slip ? lh_made_find(ask->slip) : 0, n = lh_made_count();
  const char *near = ask->slip ? lh_made_near(ask->slip) : NULL;
  json_t *list = lh_reply_list(r, NULL, "slips");
  lh_status st = LH_OK;

  (void)call;
  if (i == n)
    return lh_fault_say(
        fault, LH_INPUT, "/slip", "ask without a name: all of them are listed",
        "no slip \"%.60s\" comes with the program%s%s%s", ask->slip,
        near ? "; the nearest is \"" : "", near ? near : "", near ? "\"" : "");
  lh_reply_title(r, "Slips to begin with: " LH_MADE_MARK);
  lh_reply_line(r, LH_LINE_HEAD,
                "slip\tfires to\tone coat\ttiles missed by\tout of");
  for (; i < n && st == LH_OK; i++) {
    lh_made m;
    lh_made_take(i, &m);
    st = one(&m, list, r);
    if (ask->slip) break;
  }
  if (st != LH_OK) return lh_fault_plain(fault, st, "/");
  lh_reply_string(r, NULL, "mark", LH_MADE_MARK);
  lh_reply_text(r, "Fires to: one coat over a white ground under a clear "
                   "glaze.  Missed by: how far tiles that were left out lay "
                   "from what the others said of them.");
  lh_reply_text(r, "No tile was fired: measured powders stand behind them, and "
                   "the assumptions of docs/tiles.md.  With --json each comes "
                   "whole, as a piece holds it.");
  return LH_OK;
}

const lh_operation lh_op_slips = {
    .name = "slips",
    .help = "slips to begin with, out of measured powders",
    .purpose =
        "A dozen slips whose optical numbers come with the program, until you "
        "have tiles of\nyour own: a white, blues, greens, ambers, a black ... "
        "Their names stand for them\nin shade, window, match and palette; a "
        "piece holds a copy.  All are invented from\nmeasured powders, and "
        "wherever one is used that is said.",
    .fields = &table,
    .run = slips,
    .asks_nothing = true,
    .example = "{\"slip\": \"copper green\"}",
};
