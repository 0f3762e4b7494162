/* SPDX-License-Identifier: GPL-3.0-or-later */
/* difference.c -- the operation `difference`: how far apart two colours look.
 */
#include "difference.h"

#include <math.h>

#include "colour_words.h"

typedef struct {
  lh_list lab1, lab2;
} difference_ask;

static const lh_field difference_rows[] = {
    LH_TRIPLE(difference_ask, lab1, "lab1", true, -300, 300, "L*, a*, b*",
              "One colour."),
    LH_TRIPLE(difference_ask, lab2, "lab2", true, -300, 300, "L*, a*, b*",
              "The other, under the same light."),
};
static const lh_fields difference_table =
    LH_FIELDS("difference", difference_ask, difference_rows);

/* Words for a difference: common practice, no source. */
static const char *word_of(double d)
{
  if (d < 1.0) return "hardly to be seen, even side by side";
  if (d < 3.0) return "seen side by side, not across a table";
  if (d < 10.0) return "clearly two shades";
  return "two different colours";
}

static void say_axis(lh_reply *r, const char *axis, double d, const char *more,
                     const char *less)
{
  lh_reply_row(r, "%s\t%+.2f\t%s", axis, d,
               fabs(d) < 0.005 ? "the same" : (d > 0.0 ? more : less));
}

static lh_status difference(const lh_call *call, const void *document,
                            lh_reply *r, lh_fault *fault)
{
  const difference_ask *ask = document;
  lh_lab p, q;
  lh_status st = lh_colour_words_lab(&ask->lab1, "/lab1", &p, fault);

  (void)call;
  if (st == LH_OK) st = lh_colour_words_lab(&ask->lab2, "/lab2", &q, fault);
  if (st != LH_OK) return st;
  double d = lh_delta_e00(p, q);
  lh_reply_number(r, NULL, "delta_e00", d);
  lh_reply_title(r, "%.2f apart (CIEDE2000): %s", d, word_of(d));
  say_axis(r, "L*", q.L - p.L, "the second is lighter", "the second is darker");
  say_axis(r, "a*", q.a - p.a, "redder", "greener");
  say_axis(r, "b*", q.b - p.b, "yellower", "bluer");
  return LH_OK;
}

const lh_operation lh_op_difference = {
    .name = "difference",
    .help = "how far apart two colours look",
    .purpose =
        "The difference of two colours by CIEDE2000 (ISO/CIE 11664-6): about "
        "1 is what a\npractised eye just sees side by side.  Both colours "
        "must be measured or worked\nout under the same light.",
    .fields = &difference_table,
    .run = difference,
    .example = "{\"lab1\": [45.2, 18.3, 16.2], \"lab2\": [43.1, 17.0, 17.5]}",
};
