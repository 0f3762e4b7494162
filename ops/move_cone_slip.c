/* SPDX-License-Identifier: GPL-3.0-or-later */
/* move_cone_slip.c -- a slip for another peak: bars, and what to make them
** of.  Free quartz, cristobalite and what of the clay has sintered decide, not
** a melt's viscosity: so nothing is reckoned but what is to be weighed. */
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "heap.h"
#include "move_room.h"

/* How much more or less flux from one test to the next, and how many on each
** side.  Judgements.                                           [points of %] */
#define STEP 5.0
enum { BEYOND = 3, BACK = 1 };

typedef struct {
  const char *name, *how, *why;
} bar;

/* Common practice, no source; five hours of boiling and a day of soaking as in
** ASTM C373, from memory. */
static const bar bars[] = {
    {"firing shrinkage",
     "from each slip and from the body a bar with two marks 100 mm apart when "
     "dry; fire them together, and measure",
     "a slip that shrinks less than the body flakes, one that shrinks more "
     "cracks"},
    {"absorption",
     "weigh each fired bar, boil it five hours, leave it a day in the water, "
     "wipe it, weigh it again; the gain in % of the dry weight",
     "a slip as dense as the body takes glaze like it and bears use"},
    {"curl", "a thin bar of the body, slipped on one face, beside a bare one",
     "it bends towards the face that shrinks more, in drying and in the fire"},
};

typedef struct {
  lh_recipe_found found; /* the recipe, and the flux, when it was not in it */
  double percent[62];    /* of the parts                                   */
  size_t flux;
  bool gives[62]; /* makes room for more flux, takes what less leaves       */
} slip;

static bool is_class(const lh_material_found *m, const char *class_)
{
  return strcmp(m->class_, class_) == 0;
}

/* The largest flux or frit of the recipe, its place; SIZE_MAX: none. */
static size_t largest_flux(const slip *s)
{
  size_t best = SIZE_MAX;

  for (size_t i = 0; i < s->found.parts; i++) {
    const lh_material_found *m = &s->found.found[i];
    if (!is_class(m, "flux") && !is_class(m, "frit")) continue;
    if (best == SIZE_MAX || s->percent[i] > s->percent[best]) best = i;
  }
  return best;
}

/* The recipe with a named flux that was not in it as a line of nothing. */
static lh_status find_with(const lh_call *call, const lh_move_ask *a, slip *s,
                           lh_fault *fault)
{
  lh_recipe_doc doc = *a->recipe;
  lh_part_doc *lines;
  size_t n = doc.lines.count;

  s->flux = SIZE_MAX;
  lines = lh_arena_take(call->arena, n + 1, sizeof *lines);
  if (!lines) return lh_fault_plain(fault, LH_NOMEM, "/recipe");
  if (n) memcpy(lines, doc.lines.items, n * sizeof *lines);
  for (size_t i = 0; a->flux && i < n && s->flux == SIZE_MAX; i++)
    if (strcmp(lines[i].material, a->flux) == 0) s->flux = i;
  if (a->flux && s->flux == SIZE_MAX) {
    s->flux = n;
    lines[n++] = (lh_part_doc){a->flux, 0.0};
  }
  doc.lines = (lh_list){lines, n};
  return lh_recipe_find(&doc, &a->sub.materials, NULL, NULL, call->arena,
                        &s->found, fault);
}

static lh_status prepare(const lh_call *call, const lh_move_ask *a, slip *s,
                         lh_fault *fault)
{
  double parts = 0.0, room = 0.0;
  lh_status st = find_with(call, a, s, fault);

  if (st != LH_OK) return st;
  for (size_t i = 0; i < s->found.parts; i++) parts += s->found.lines[i].amount;
  if (!(parts > 0.0))
    return lh_fault_say(fault, LH_RANGE, "/recipe/lines", "give parts above 0",
                        "the parts of the recipe add to nothing");
  for (size_t i = 0; i < s->found.parts; i++)
    s->percent[i] = 100.0 * s->found.lines[i].amount / parts;
  if (s->flux == SIZE_MAX) s->flux = largest_flux(s);
  if (s->flux == SIZE_MAX)
    return lh_fault_say(fault, LH_RANGE, "/recipe",
                        "name one under \"flux\", such as soda feldspar or a "
                        "frit",
                        "no material of the class flux or frit is in it to "
                        "have more or less of");
  /* Clay stays as it is, so that drying and brushing stay (a judgement). */
  for (size_t i = 0; i < s->found.parts; i++) {
    const lh_material_found *m = &s->found.found[i];
    s->gives[i] =
        i != s->flux && !is_class(m, "plastic clay") && !is_class(m, "kaolin");
    room += s->gives[i] ? s->percent[i] : 0.0;
  }
  for (size_t i = 0; room == 0.0 && i < s->found.parts; i++)
    s->gives[i] = i != s->flux;
  return LH_OK;
}

/* Grams of line i with so many points more flux; NAN when there is no room. */
static double grams(const slip *s, size_t i, double more, double tile_g)
{
  double give = 0.0, all = 100.0, percent;

  for (size_t k = 0; k < s->found.parts; k++)
    give += s->gives[k] ? s->percent[k] : 0.0;
  if (s->percent[s->flux] + more < -1e-9 || more > give + 1e-9) return NAN;
  for (size_t k = s->found.parts; k < s->found.count; k++)
    all += s->found.lines[k].amount;
  percent = i >= s->found.parts ? s->found.lines[i].amount : s->percent[i];
  if (i < s->found.parts && i == s->flux) percent += more;
  if (i < s->found.parts && s->gives[i]) percent *= (give - more) / give;
  return tile_g * percent / all;
}

static bool put_test(const slip *s, double more, double tile_g, json_t *list,
                     lh_reply *r)
{
  json_t *item, *lines;
  char text[700] = "";

  if (isnan(grams(s, 0, more, tile_g))) return false;
  item = lh_reply_item(r, list);
  lh_reply_number(r, item, "flux_percent", s->percent[s->flux] + more);
  lh_reply_number(r, item, "more_points", more);
  lines = lh_reply_list(r, item, "lines");
  for (size_t i = 0; i < s->found.count; i++) {
    double g = grams(s, i, more, tile_g);
    size_t used = strlen(text);
    json_t *line;
    if (!(g > 1e-9)) continue;
    line = lh_reply_item(r, lines);
    lh_reply_string(r, line, "material", s->found.found[i].name);
    lh_reply_number(r, line, "grams", g);
    snprintf(text + used, sizeof text - used, "%s%s %.1f", used ? ", " : "",
             s->found.found[i].name, g);
  }
  lh_reply_text(r, "%.1f %% flux%s: %s", s->percent[s->flux] + more,
                more == 0.0 ? " (as it is)" : "", text);
  return true;
}

static void put_bars(lh_reply *r)
{
  json_t *list = lh_reply_list(r, NULL, "bars");

  lh_reply_title(r, "Bars to make");
  for (size_t i = 0; i < sizeof bars / sizeof bars[0]; i++) {
    json_t *item = lh_reply_item(r, list);
    lh_reply_string(r, item, "bar", bars[i].name);
    lh_reply_string(r, item, "how", bars[i].how);
    lh_reply_string(r, item, "why", bars[i].why);
    lh_reply_text(r, "%s: %s; %s.", bars[i].name, bars[i].how, bars[i].why);
  }
}

static void put_tests(const slip *s, const lh_move_ask *a, lh_reply *r)
{
  json_t *o = lh_reply_object(r, NULL, "tests"), *list;
  const char *flux = s->found.found[s->flux].name;
  double sign = a->to_c < a->from_c ? 1.0 : -1.0;
  size_t left_out = 0;

  lh_reply_string(r, o, "flux", flux);
  lh_reply_number(r, o, "tile_g", a->sub.tile_g);
  lh_reply_number(r, o, "fire_to_c", a->to_c);
  list = lh_reply_list(r, o, "steps");
  lh_reply_title(r, "What to make them of: %s %s", sign > 0 ? "more" : "less",
                 flux);
  lh_reply_text(r, "Grams for %g g dry:", a->sub.tile_g);
  for (int k = -BACK; k <= BEYOND; k++)
    left_out += !put_test(s, sign * k * STEP, a->sub.tile_g, list, r);
  lh_reply_text(r,
                "A cooler fire wants more flux, a hotter one less, in steps of "
                "%g points (a judgement).  The clays keep their share, so that "
                "it dries and brushes as before.%s",
                STEP,
                left_out ? "  Steps for which there is no room in the "
                           "recipe are left out."
                         : "");
}

lh_status lh_move_slip(const lh_call *call, const lh_move_ask *a, lh_reply *r,
                       lh_fault *fault)
{
  static const char answer[] =
      "Match the body's firing shrinkage and absorption at the new peak, by "
      "bars.";
  slip *s = lh_arena_take(call->arena, 1, sizeof *s);
  lh_status st;

  if (!s) return lh_fault_plain(fault, LH_NOMEM, "move_cone");
  if (a->recipe->lines.count + a->recipe->additions.count >
      sizeof s->percent / sizeof s->percent[0] - 1)
    return lh_fault_say(fault, LH_TOOLARGE, "/recipe", "give fewer lines",
                        "more lines than a slip has");
  st = prepare(call, a, s, fault);
  if (st != LH_OK) return st;
  lh_reply_string(r, NULL, "kind", "slip");
  lh_reply_string(r, NULL, "answer", answer);
  lh_reply_title(r, "From %.0f to %.0f C", a->from_c, a->to_c);
  lh_reply_text(r, "%s", answer);
  lh_reply_text(r,
                "A slip is not a melt: its quartz, and how far its clay has "
                "sintered, decide, and no sum over its oxides tells.  Fire the "
                "body's own bar first: if the body is not dense at %.0f C, or "
                "bloats, the slip is not the question.",
                a->to_c);
  put_bars(r);
  put_tests(s, a, r);
  lh_reply_text(r, "Take the recipe whose two figures come nearest to the "
                   "body's; between two of them, mix them.");
  lh_reply_text(r, "Dust harms the lungs for good: weigh with a mask or under "
                   "extraction, and ask for the suppliers' safety data "
                   "sheets.");
  return LH_OK;
}
