/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verdict_slips.c -- each slip's thickness, its colour over what lies below,
** and what the glaze takes of it. */
#include <math.h>

#include "between.h"
#include "difference.h"
#include "heap.h"
#include "verdict.h"

/* The first ground among the slips, or -1. */
static int ground_of(const lh_piece_doc *doc)
{
  const lh_slip_doc *s = doc->slips.items;

  for (size_t i = 0; i < doc->slips.count; i++)
    if (s[i].ground) return (int)i;
  return -1;
}

static void window(const lh_slip_doc *s, const lh_slip_use *use,
                   const lh_limits *lim, lh_verdict *v)
{
  const lh_window_doc *w = s->window;
  double thin, thick, worst;
  const char *about =
      lh_heap_print(v->arena, "%s, thickness", lh_slip_doc_name(s));
  const char *todo;

  if (!w) {
    lh_verdict_add(v, LH_SAYS_CAUTION, about,
                   "make a tile with one to six coats, and note where it is "
                   "right",
                   "laid at %.0f g/m2; between which weights it is right is "
                   "not known",
                   use->mean_g_m2);
    return;
  }
  if (use->window_mm2 <= 0) {
    lh_verdict_add(v, LH_SAYS_OK, about, "",
                   "only fine lines of it: too narrow to judge their middle");
    return;
  }
  thin = use->thin_mm2 / use->window_mm2;
  thick = use->thick_mm2 / use->window_mm2;
  worst = fmax(thin, thick);
  if (100 * worst <= lim->outside_caution_percent) {
    lh_verdict_add(v, LH_SAYS_OK, about, "",
                   "%.0f g/m2 on average, inside its window of %.0f to %.0f",
                   use->mean_g_m2, w->least_g_m2, w->most_g_m2);
    return;
  }
  todo = lh_heap_print(v->arena, "lay it %s: %.0f to %.0f g/m2%s%s",
                       thick > thin ? "thinner" : "thicker", w->least_g_m2,
                       w->most_g_m2, w->why ? "; " : "", w->why ? w->why : "");
  lh_verdict_add(
      v,
      100 * worst > lim->outside_stop_percent ? LH_SAYS_STOP : LH_SAYS_CAUTION,
      about, todo,
      "%.0f %% of it is thinner and %.0f %% thicker than its window "
      "of %.0f to %.0f g/m2 (heaviest place %.0f)",
      100 * thin, 100 * thick, w->least_g_m2, w->most_g_m2, use->most_g_m2);
}

static void eaten(const lh_verdict_input *in, const lh_slip_doc *s,
                  const lh_slip_use *use, lh_verdict *v)
{
  const lh_limits *lim = in->cover->piece->limits;
  double eats = in->optics->glazed ? in->optics->glaze.eaten : 0, share;
  const char *about;

  /* A ground lies under other slips, which the glaze meets first. */
  if (eats <= 0 || use->mean_g_m2 <= 0 || s->ground) return;
  share = eats / use->mean_g_m2;
  if (100 * share < lim->eaten_caution_percent) return;
  about = lh_heap_print(v->arena, "%s, under the glaze", lh_slip_doc_name(s));
  lh_verdict_add(
      v, 100 * share > lim->eaten_stop_percent ? LH_SAYS_STOP : LH_SAYS_CAUTION,
      about, "lay it thicker, or glaze thinner",
      "the glaze eats about %.0f g/m2 of slip, %.0f %% of this coat", eats,
      100 * fmin(share, 1));
}

/* Colour of a slip at a coat weight over `under` (or nothing) over the
** ground (or nothing). */
static lh_lab over(const lh_piece_optics *o, int slip, double g_m2, int under,
                   double under_g_m2, int ground, double ground_g_m2)
{
  lh_coat_of stack[3];
  size_t n = 0;

  stack[n++] = (lh_coat_of){slip, g_m2};
  if (under >= 0) stack[n++] = (lh_coat_of){under, under_g_m2};
  if (ground >= 0 && ground != under)
    stack[n++] = (lh_coat_of){ground, ground_g_m2};
  return lh_piece_optics_lab(o, stack, n);
}

/* How heavy a ground must be to hide the body, in words. */
static const char *heavier(const lh_verdict_input *in, int ground,
                           lh_verdict *v)
{
  const lh_slip_doc *s =
      (lh_slip_doc *)in->cover->piece->doc->slips.items + ground;
  lh_thin_ground t;

  if (lh_between_thin(in->optics, in->cover, ground, false, &t) != LH_OK ||
      isnan(t.hides.value))
    return "give it more white, if a paler ground is wanted";
  return lh_heap_print(v->arena,
                       "lay %.0f g/m2 or more (%.1f coats), if a paler ground "
                       "is wanted",
                       ceil(t.hides.value), t.hides.value / s->coat_g_m2);
}

/* Is the ground enough that the body does not show? */
static void covering(const lh_verdict_input *in, int ground,
                     const lh_slip_use *use, lh_verdict *v)
{
  const lh_limits *lim = in->cover->piece->limits;
  const lh_slip_doc *s =
      (lh_slip_doc *)in->cover->piece->doc->slips.items + ground;
  double coat = use->mean_g_m2, de;
  const char *about;

  de = lh_delta_e00(over(in->optics, ground, coat, -1, 0, -1, 0),
                    over(in->optics, ground, 20 * coat, -1, 0, -1, 0));
  about = lh_heap_print(v->arena, "%s, covering", lh_slip_doc_name(s));
  if (de <= lim->hides_de00) {
    lh_verdict_add(v, LH_SAYS_OK, about, "",
                   "at %.0f g/m2 it hides the body: %.1f from a thick coat of "
                   "itself (dE00)",
                   coat, de);
  } else {
    lh_verdict_add(v, LH_SAYS_CAUTION, about, heavier(in, ground, v),
                   "at %.0f g/m2 the body shows through%s: %.1f from a thick "
                   "coat of itself (dE00)",
                   coat, de <= lim->seen_de00 ? " a little" : "", de);
  }
}

/* What to do about one slip on another. */
static const char *mend_overlap(const lh_verdict_input *in,
                                const lh_piece_overlap *x, lh_verdict *v)
{
  const lh_slip_doc *s = in->cover->piece->doc->slips.items;
  lh_between b;
  const char *order = "";

  if (lh_between_look(in->optics, in->cover, x, false, &b) != LH_OK)
    return "leave the lower colour out there, or lay white between";
  if (b.turn && b.turned_de00 <= in->cover->piece->limits->seen_de00)
    order = lh_heap_print(v->arena, ", or paint %s after it",
                          lh_slip_doc_name(&s[x->lower]));
  if (!order) return NULL;
  if (b.white < 0)
    return lh_heap_print(v->arena, "leave the lower colour out there%s", order);
  if (isnan(b.least.value))
    return lh_heap_print(v->arena,
                         "leave the lower colour out there (no white between "
                         "hides it)%s",
                         order);
  return lh_heap_print(
      v->arena,
      "leave the lower colour out there, or lay white between, "
      "%.0f g/m2 or more%s",
      ceil(b.least.value), order);
}

/* One slip on another, beside the same slip on the ground. */
static void overlap(const lh_verdict_input *in, const lh_piece_overlap *x,
                    int ground, lh_verdict *v)
{
  const lh_limits *lim = in->cover->piece->limits;
  const lh_piece_doc *doc = in->cover->piece->doc;
  const lh_slip_doc *s = doc->slips.items;
  const lh_slip_use *use = in->cover->slips;
  double ground_g = ground < 0 ? 0 : use[ground].mean_g_m2, share, de;
  const char *on = ground < 0 ? "body" : "ground";
  const char *about;

  if (x->lower < 0 || s[x->lower].ground || x->upper == x->lower) return;
  share = x->area_mm2 / fmax(use[x->upper].area_mm2, 1e-9);
  if (100 * share < lim->detail_percent) return;
  de = lh_delta_e00(
      over(in->optics, x->upper, x->upper_g_m2, x->lower, x->lower_g_m2, ground,
           ground_g),
      over(in->optics, x->upper, x->upper_g_m2, -1, 0, ground, ground_g));
  about = lh_heap_print(v->arena, "%s over %s", lh_slip_doc_name(&s[x->upper]),
                        lh_slip_doc_name(&s[x->lower]));
  if (de <= lim->seen_de00) {
    lh_verdict_add(v, LH_SAYS_OK, about, "",
                   "it fires as it does on the %s (dE00 %.1f)", on, de);
    return;
  }
  lh_verdict_add(
      v,
      de > lim->spoiled_de00 && 100 * share > lim->outside_stop_percent
          ? LH_SAYS_STOP
          : LH_SAYS_CAUTION,
      about, mend_overlap(in, x, v),
      "%.0f mm2 of each pot fire to another colour than on the %s (dE00 %.1f)",
      x->area_mm2, on, de);
}

/* Does a slip stand out from what it lies on most? */
static void faint(const lh_verdict_input *in, int slip, int ground,
                  lh_verdict *v)
{
  const lh_limits *lim = in->cover->piece->limits;
  const lh_slip_doc *s =
      (lh_slip_doc *)in->cover->piece->doc->slips.items + slip;
  const lh_slip_use *use = in->cover->slips;
  lh_coat_of below;
  double de, coat = use[slip].mean_g_m2;
  double ground_g = ground < 0 ? 0 : use[ground].mean_g_m2;
  lh_lab lab, alone;
  lh_coat_of stack[2];
  lh_stack_range range;
  const char *about;

  if (slip == ground || coat <= 0) return;
  below = (lh_coat_of){ground, ground_g};
  alone = lh_piece_optics_lab(in->optics, &below, ground < 0 ? 0 : 1);
  stack[0] = (lh_coat_of){slip, coat};
  stack[1] = below;
  if (lh_piece_optics_range(in->optics, stack, ground < 0 ? 1 : 2, &lab,
                            &range) != LH_OK)
    return;
  de = lh_delta_e00(lab, alone);
  about = lh_heap_print(v->arena, "%s, colour", lh_slip_doc_name(s));
  if (de < lim->faint_de00) {
    lh_verdict_add(v, LH_SAYS_CAUTION, about, "lay it thicker, or stronger",
                   "it hardly stands out from what is below (dE00 %.1f)", de);
    return;
  }
  lh_verdict_add(v, LH_SAYS_OK, about, "",
                 "fires to L* %.0f a* %.0f b* %.0f; nine in ten within dE00 "
                 "%.1f, if the tiles told the truth",
                 lab.L, round(lab.a) + 0.0, round(lab.b) + 0.0, range.radius);
}

void lh_verdict_slips(const lh_verdict_input *in, lh_verdict *v)
{
  const lh_piece_doc *doc = in->cover->piece->doc;
  const lh_slip_doc *s = doc->slips.items;
  int ground = ground_of(doc);

  for (size_t i = 0; i < doc->slips.count; i++) {
    const lh_slip_use *use = &in->cover->slips[i];
    if (use->area_mm2 <= 0) {
      lh_verdict_add(v, LH_SAYS_CAUTION, lh_slip_doc_name(&s[i]),
                     "use it, or take it out", "nothing is painted with it");
      continue;
    }
    window(&s[i], use, in->cover->piece->limits, v);
    if ((int)i == ground)
      covering(in, ground, use, v);
    else
      faint(in, (int)i, ground, v);
    eaten(in, &s[i], use, v);
  }
  for (size_t i = 0; i < in->cover->n_overlaps; i++)
    overlap(in, &in->cover->overlaps[i], ground, v);
}
