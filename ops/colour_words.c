/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "colour_words.h"

#include <math.h>
#include <string.h>

lh_status lh_colour_words_three(const lh_list *list, const char *where,
                                double v[3], lh_fault *fault)
{
  if (list->count != 3)
    return lh_fault_say(fault, LH_INPUT, where, "give three, as [50, 10, -20]",
                        "%zu numbers stand here, not 3", list->count);
  memcpy(v, list->items, 3 * sizeof *v);
  return LH_OK;
}

lh_status lh_colour_words_lab(const lh_list *list, const char *where, lh_lab *c,
                              lh_fault *fault)
{
  double v[3];
  lh_status st = lh_colour_words_three(list, where, v, fault);

  if (st != LH_OK) return st;
  if (!(v[0] >= 0.0 && v[0] <= 110.0))
    return lh_fault_say(fault, LH_RANGE, where,
                        "L* is 0 for black, 100 for white; it comes first",
                        "L* of %.15g", v[0]);
  *c = (lh_lab){v[0], v[1], v[2]};
  return LH_OK;
}

void lh_colour_words_put(lh_reply *r, lh_xyz xyz, lh_lab lab, lh_rgb srgb)
{
  char hex[8];

  lh_srgb_hex(srgb, hex);
  lh_reply_numbers(r, NULL, "xyz", (double[]){xyz.x, xyz.y, xyz.z}, 3);
  lh_reply_numbers(r, NULL, "lab", (double[]){lab.L, lab.a, lab.b}, 3);
  lh_reply_numbers(r, NULL, "srgb", (double[]){srgb.r, srgb.g, srgb.b}, 3);
  lh_reply_flag(r, NULL, "in_gamut", lh_srgb_in_gamut(srgb));
  lh_reply_string(r, NULL, "hex", hex);
}

void lh_colour_words_gamut(lh_reply *r, lh_rgb srgb)
{
  char hex[8];

  if (lh_srgb_in_gamut(srgb)) return;
  lh_srgb_hex(srgb, hex);
  lh_reply_text(r,
                "No screen of the sRGB kind can show this colour; %s is cut "
                "back to what it can, so trust the numbers, not the picture.",
                hex);
}
