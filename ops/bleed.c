/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bleed.c -- the operation `bleed`: how far a slip's edge runs in the fire,
** from lines of known width on a tile. */
#include "bleed.h"

#include <math.h>

#include "operation.h"
#include "student.h"

typedef struct {
  const char *name;
  double painted_mm, fired_mm;
} line_ask;

typedef struct {
  const char *slip;
  lh_list lines; /* line_ask */
  double shrinkage_percent, shrinkage_error_percent, reading_error_mm;
} bleed_ask;

enum { LINES_MOST = 200, LINES_GOOD = 5 };

static const lh_field line_rows[] = {
    LH_TEXT(line_ask, name, "name", true, "Which line it is."),
    LH_NUMBER(line_ask, painted_mm, "painted_mm", true, 0.05, 200, NAN, "mm",
              "Its width as painted, on the leather-hard tile."),
    LH_NUMBER(line_ask, fired_mm, "fired_mm", true, 0, 200, NAN, "mm",
              "Its width fired, to where its colour ends on either side; 0: "
              "it is gone."),
};
static const lh_fields line_table = LH_FIELDS("line", line_ask, line_rows);

static const lh_field bleed_rows[] = {
    LH_TEXT(bleed_ask, slip, "slip", false, "Which slip it is."),
    LH_LIST(bleed_ask, lines, "lines", true, line_table, LINES_MOST,
            "The lines: two at least, better five or more, measured by loupe "
            "or calipers."),
    LH_NUMBER(bleed_ask, shrinkage_percent, "shrinkage_percent", true, -5, 40,
              NAN, "%",
              "Of the tile, linear, from leather-hard to fired: two scratches "
              "100 mm apart tell it."),
    LH_NUMBER(bleed_ask, shrinkage_error_percent, "shrinkage_error_percent",
              false, 0, 10, 0.3, "% of the length",
              "How sure that is, one standard deviation (a judgement)."),
    LH_NUMBER(bleed_ask, reading_error_mm, "reading_error_mm", false, 0, 5,
              0.05, "mm",
              "Of one width, one standard deviation (a judgement): lines that "
              "agree better than that are taken to agree by chance."),
};
static const lh_fields bleed_table = LH_FIELDS("bleed", bleed_ask, bleed_rows);

/* Standard deviations from the middle to the end of a 90 % range. */
#define NINETY 1.6448536269514722

typedef struct {
  double each[LINES_MOST]; /* of each line [mm]                         */
  double apart;            /* this far from the mean, a line stands apart */
  double mean, sd;         /* of one line                               */
  double floor;            /* what reading alone does to one line       */
  double t, half;          /* half the 90 % range of the mean           */
} bleeding;

/* A width as it would be leather-hard. */
static double grown(const bleed_ask *ask, double fired)
{
  return fired / (1 - ask->shrinkage_percent / 100);
}

static lh_status work(const bleed_ask *ask, bleeding *b)
{
  const line_ask *x = ask->lines.items;
  size_t n = ask->lines.count;
  double fired = 0, squares = 0, left = 1 - ask->shrinkage_percent / 100, sd;
  double shrink, g = INFINITY;
  lh_status st = lh_student_t(0.95, (double)n - 1, &b->t);

  b->mean = 0;
  for (size_t i = 0; i < n; i++) {
    b->each[i] = (grown(ask, x[i].fired_mm) - x[i].painted_mm) / 2;
    b->mean += b->each[i] / (double)n;
    fired += x[i].fired_mm / (double)n;
  }
  for (size_t i = 0; i < n; i++)
    squares += (b->each[i] - b->mean) * (b->each[i] - b->mean);
  b->sd = sqrt(squares / (double)(n - 1));
  b->floor = ask->reading_error_mm * hypot(1, 1 / left) / 2;
  sd = fmax(b->sd, b->floor);
  /* A wrong shrinkage puts all lines off together. */
  shrink = ask->shrinkage_error_percent / 100 * fired / (left * left) / 2;
  b->half = hypot(b->t * sd / sqrt((double)n), NINETY * shrink);
  if (st == LH_OK && n >= 3) st = lh_student_apart(n, &g);
  b->apart = g * sd;
  return st;
}

/* Digits past a hundredth of a micrometre would only differ from machine to
** machine. */
static double tidy(double v)
{
  return floor(1e5 * v + 0.5) / 1e5 + 0.0;
}

/* Two digits for a person, and no -0.00. */
static double cents(double v)
{
  return floor(1e2 * v + 0.5) / 1e2 + 0.0;
}

static void put_lines(const bleed_ask *ask, const bleeding *b, lh_reply *r)
{
  const line_ask *x = ask->lines.items;
  json_t *list = lh_reply_list(r, NULL, "lines");
  size_t n = ask->lines.count;

  lh_reply_line(r, LH_LINE_HEAD,
                "line\tpainted mm\tfired mm\tfired, leather-hard mm\t"
                "bleeds each side mm");
  for (size_t i = 0; i < n; i++) {
    double wide = grown(ask, x[i].fired_mm);
    json_t *to = lh_reply_item(r, list);
    lh_reply_string(r, to, "name", x[i].name);
    lh_reply_number(r, to, "painted_mm", x[i].painted_mm);
    lh_reply_number(r, to, "fired_mm", x[i].fired_mm);
    lh_reply_number(r, to, "fired_leather_hard_mm", tidy(wide));
    lh_reply_number(r, to, "bleed_mm", tidy(b->each[i]));
    lh_reply_flag(r, to, "outlier", fabs(b->each[i] - b->mean) > b->apart);
    lh_reply_row(r, "%s\t%.2f\t%.2f\t%.2f\t%.2f", x[i].name, x[i].painted_mm,
                 x[i].fired_mm, wide, cents(b->each[i]));
  }
  for (size_t i = 0; i < n; i++) {
    double others = (b->mean * (double)n - b->each[i]) / (double)(n - 1);
    if (fabs(b->each[i] - b->mean) <= b->apart) continue;
    lh_reply_line(r, LH_LINE_CAUTION,
                  "%s\tstands apart: %.2f mm where the others have %.2f in "
                  "the mean\tmeasure it again; it was used all the same",
                  x[i].name, b->each[i], others);
  }
}

static void title(const bleed_ask *ask, const bleeding *b, lh_reply *r)
{
  const char *slip = ask->slip ? ask->slip : "the slip";
  double low = b->mean - b->half, high = b->mean + b->half;

  if (b->mean < 0)
    lh_reply_title(r, "%s draws back %.2f mm on each side (%.2f to %.2f)%s",
                   slip, -b->mean, -high + 0.0, -low,
                   high > 0 ? "; it may not move at all" : "");
  else
    lh_reply_title(r, "%s bleeds %.2f mm on each side (%.2f to %.2f)%s", slip,
                   b->mean, low, high,
                   low < 0 ? "; it may not move at all" : "");
}

static void say(const bleed_ask *ask, const bleeding *b, lh_reply *r)
{
  size_t n = ask->lines.count;

  title(ask, b, r);
  lh_reply_text(
      r,
      "Nine times in ten, by Student's t (%.2f) from %zu lines that "
      "scatter by %.2f mm%s.%s",
      b->t, n, b->sd, b->sd < b->floor ? ", less than reading them does" : "",
      n < LINES_GOOD ? "  Five lines or more would tell it better." : "");
  put_lines(ask, b, r);
  lh_reply_text(r,
                "For the slip of a piece: \"bleed_mm\": %.2f, "
                "\"bleed_error_mm\": %.2f.  It belongs to this slip, glaze, "
                "firing and coat weight.",
                cents(b->mean), b->half / NINETY);
  if (b->mean < 0)
    lh_reply_text(r, "Clearances grow by it; a picture is drawn as painted, "
                     "since a line tile does not tell what the bare edge "
                     "looks like.");
}

static lh_status check(const bleed_ask *ask, lh_fault *fault)
{
  if (ask->lines.count >= 2) return LH_OK;
  return lh_fault_say(fault, LH_INPUT, "/lines",
                      "measure two lines or more, better five",
                      "one line does not tell how far lines differ");
}

static lh_status bleed(const lh_call *call, const void *document, lh_reply *r,
                       lh_fault *fault)
{
  const bleed_ask *ask = document;
  bleeding b;
  lh_status st = check(ask, fault);

  (void)call;
  if (st == LH_OK) st = work(ask, &b);
  if (st != LH_OK) return st;
  if (fabs(b.mean) > LH_BLEED_MOST_MM)
    return lh_fault_say(fault, LH_RANGE, "/lines",
                        "look for a width written down wrongly",
                        "%.1f mm on each side are no bleed that can be "
                        "reckoned with (at most %.0f mm)",
                        b.mean, LH_BLEED_MOST_MM);
  if (ask->slip) lh_reply_string(r, NULL, "slip", ask->slip);
  lh_reply_number(r, NULL, "bleed_mm", tidy(b.mean));
  lh_reply_number(r, NULL, "bleed_error_mm", tidy(b.half / NINETY));
  lh_reply_range(r, NULL, "bleed_mm_range", tidy(b.mean - b.half),
                 tidy(b.mean + b.half));
  lh_reply_number(r, NULL, "scatter_mm", tidy(b.sd));
  lh_reply_number(r, NULL, "standard_error_mm",
                  tidy(b.sd / sqrt((double)ask->lines.count)));
  lh_reply_number(r, NULL, "students_t", tidy(b.t));
  lh_reply_flag(r, NULL, "draws_back", b.mean < 0);
  lh_reply_flag(r, NULL, "may_not_move",
                b.mean - b.half < 0 && b.mean + b.half > 0);
  say(ask, &b, r);
  return LH_OK;
}

const lh_operation lh_op_bleed = {
    .name = "bleed",
    .help = "how far a slip's edge runs in the fire, from lines on a tile",
    .purpose =
        "Paint lines of one slip on a leather-hard tile, as heavy as you "
        "paint, and measure\ntheir widths; glaze and fire it, and measure them "
        "again to where the colour ends.\nThe tile's shrinkage is taken out; "
        "what is left, halved, is the bleed on each side.\nIt comes with its "
        "range; a line that drew back counts as less than nothing.",
    .fields = &bleed_table,
    .run = bleed,
    .example = "{\"slip\": \"Copper green (invented)\", "
               "\"shrinkage_percent\": 6, \"lines\": ["
               "{\"name\": \"1\", \"painted_mm\": 2.0, \"fired_mm\": 2.5}, "
               "{\"name\": \"2\", \"painted_mm\": 2.0, \"fired_mm\": 2.4}, "
               "{\"name\": \"3\", \"painted_mm\": 3.0, \"fired_mm\": 3.35}, "
               "{\"name\": \"4\", \"painted_mm\": 3.0, \"fired_mm\": 3.5}, "
               "{\"name\": \"5\", \"painted_mm\": 4.0, \"fired_mm\": 4.4}]}",
};
