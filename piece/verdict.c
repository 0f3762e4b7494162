/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verdict.c -- form, painting and mixing; the rest of the verdict stands in
** verdict_slips.c, verdict_stain.c, verdict_water.c and verdict_care.c. */
#include "verdict.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

#include "heap.h"

const char *lh_says_word(lh_says says)
{
  return says == LH_SAYS_OK        ? "ok"
         : says == LH_SAYS_CAUTION ? "caution"
                                   : "stop";
}

/* Room for one more. */
static bool grow(lh_verdict *v)
{
  size_t room = v->room ? 2 * v->room : 32;
  lh_check *wider;

  if (v->n < v->room) return true;
  wider = lh_arena_take(v->arena, room, sizeof *wider);
  if (!wider) return false;
  if (v->n) memcpy(wider, v->checks, v->n * sizeof *wider);
  v->checks = wider;
  v->room = room;
  return true;
}

void lh_verdict_add(lh_verdict *v, lh_says says, const char *about,
                    const char *todo, const char *why, ...)
{
  va_list ap;
  char *text;

  va_start(ap, why);
  text = lh_heap_vprint(v->arena, why, ap);
  va_end(ap);
  if (!about || !todo || !text || !grow(v)) {
    v->st = LH_NOMEM;
    return;
  }
  v->checks[v->n++] = (lh_check){says, about, text, todo};
  if (says > v->worst) v->worst = says;
}

/* ---- form --------------------------------------------------------------- */

static void form(const lh_verdict_input *in, lh_verdict *v)
{
  const lh_piece *p = in->cover->piece;
  double s, mm;

  if (!p->inside) {
    lh_verdict_add(v, LH_SAYS_CAUTION, "Form",
                   "measure the inside too, and give form/inside",
                   "the inside is not given: wall, capacity and the water a "
                   "coat brings cannot be worked out");
    return;
  }
  if (lh_wall_thinnest(p->outside, p->inside, 0,
                       fmax(p->outside->length - 3, 0), &s, &mm) != LH_OK)
    return;
  lh_verdict_add(v, LH_SAYS_OK, "Form", "",
                 "the wall is %.1f mm at its thinnest, %.0f mm up the outside",
                 mm, s);
}

static void stage(const lh_verdict_input *in, lh_verdict *v)
{
  static const char *const names[] = {"leather-hard", "dry", "bisque"};
  int at = in->cover->piece->doc->stage;

  if (at == LH_ON_LEATHER_HARD) {
    lh_verdict_add(v, LH_SAYS_OK, "Stage", "",
                   "slip goes on leather-hard, where both still shrink "
                   "together");
    return;
  }
  /* Common practice, no source. */
  lh_verdict_add(v, LH_SAYS_CAUTION, "Stage",
                 "use an engobe with less clay, lay it thin, and try one pot",
                 "a slip on %s ware has little shrinkage left to share with "
                 "it and may peel",
                 names[at]);
}

/* ---- painting ----------------------------------------------------------- */

static const char *entry_name(const lh_verdict_input *in,
                              const lh_painted_doc *e)
{
  const lh_piece_doc *doc = in->cover->piece->doc;
  const lh_motif_doc *m = doc->motifs.items;

  for (size_t i = 0; e->motif && i < doc->motifs.count; i++)
    if (strcmp(m[i].id, e->motif) == 0 && m[i].name) return m[i].name;
  return e->id;
}

/* What two shapes bleed, in words. */
static const char *bleeds_words(const lh_entry_clearance *c, lh_verdict *v)
{
  const double *b = c->bleed_mm;

  if (fabs(b[0] - b[1]) < 0.005)
    return lh_heap_print(v->arena, "%.2f mm each side bleeds", b[0]);
  return lh_heap_print(v->arena, "%.2f and %.2f mm bleed", b[0], b[1]);
}

/* Between neighbours that do not touch as painted, where bleeds are known. */
static void spacing_fired(const lh_verdict_input *in,
                          const lh_entry_clearance *c, const char *about,
                          lh_verdict *v)
{
  const lh_painted_doc *e = c->entry->doc;
  double painted = c->clearance.mm, mm = c->fired.mm;
  const char *bleeds = bleeds_words(c, v);

  if (!bleeds) {
    v->st = LH_NOMEM;
  } else if (mm < 0 && e->repeat->may_overlap) {
    lh_verdict_add(v, LH_SAYS_OK, about, "",
                   "%ld repeats will touch when fired, as you allow: %.1f mm "
                   "painted, %s",
                   e->repeat->count, painted, bleeds);
  } else if (c->low < 0) {
    lh_verdict_add(v, mm < 0 ? LH_SAYS_STOP : LH_SAYS_CAUTION, about,
                   "take one repeat less or a smaller scale, or a slip that "
                   "bleeds less",
                   "neighbours %s touch when fired: %.1f mm painted, %s "
                   "(%.1f left, %.1f to %.1f)",
                   mm < 0 ? "will" : "may", painted, bleeds, mm, c->low,
                   c->high);
  } else if (!c->all_known && mm < in->cover->piece->limits->near_mm) {
    lh_verdict_add(v, LH_SAYS_CAUTION, about,
                   "take one repeat less or a smaller scale, or make a line "
                   "tile of the others",
                   "only %.1f mm (%.1f to %.1f) left between neighbours when "
                   "fired (%.1f painted, %s), and not every slip's bleed is "
                   "known",
                   mm, c->low, c->high, painted, bleeds);
  } else {
    lh_verdict_add(v, LH_SAYS_OK, about, "",
                   "%ld repeats, %.1f mm painted, %.1f mm (%.1f to %.1f) left "
                   "between neighbours when fired: %s",
                   e->repeat->count, painted, mm, c->low, c->high, bleeds);
  }
}

static void spacing(const lh_verdict_input *in, const lh_entry_clearance *c,
                    lh_verdict *v)
{
  const lh_clearance *x = &c->clearance;
  const lh_painted_doc *e = c->entry->doc;
  const char *about = lh_heap_print(v->arena, "%s, spacing", entry_name(in, e));

  if (x->mm < 0 && e->repeat->may_overlap) {
    lh_verdict_add(v, LH_SAYS_OK, about, "",
                   "%ld repeats run into each other by up to %.1f mm, as you "
                   "allow",
                   e->repeat->count, -x->mm);
  } else if (x->mm < 0) {
    lh_verdict_add(v, LH_SAYS_STOP, about,
                   "take fewer repeats or a smaller scale, or say "
                   "\"may_overlap\": true",
                   "neighbours run into each other by %.1f mm", -x->mm);
  } else if (c->bleeds) {
    spacing_fired(in, c, about, v);
  } else if (x->mm < in->cover->piece->limits->near_mm) {
    lh_verdict_add(v, LH_SAYS_CAUTION, about,
                   "take one repeat less or a smaller scale",
                   "only %.1f mm (%.1f to %.1f) between neighbours: slips "
                   "bleed about that much",
                   x->mm, x->least, x->most);
  } else {
    lh_verdict_add(v, LH_SAYS_OK, about, "",
                   "%ld repeats, %.1f mm (%.1f to %.1f) to spare between "
                   "neighbours",
                   e->repeat->count, x->mm, x->least, x->most);
  }
}

/* Does a clearance call for a word? */
static bool tight(const lh_entry_clearance *x, const lh_limits *lim)
{
  return x->clearance.mm < lim->near_mm || x->fired.mm < lim->near_mm ||
         x->low < 0;
}

/* All that call for a word, and the tightest of each zone. */
static void clearances(const lh_verdict_input *in, lh_verdict *v)
{
  const lh_piece_cover *c = in->cover;

  for (size_t i = 0; i < c->n_clearances; i++) {
    const lh_entry_clearance *x = &c->clearances[i];
    bool tightest = true;
    for (size_t k = 0; k < c->n_clearances; k++) {
      const lh_entry_clearance *y = &c->clearances[k];
      if (y->zone == x->zone &&
          (y->fired.mm < x->fired.mm || (y->fired.mm <= x->fired.mm && k < i)))
        tightest = false;
    }
    if (tightest || tight(x, c->piece->limits)) spacing(in, x, v);
  }
}

static void entry_fit(const lh_verdict_input *in, const lh_piece_zone *z,
                      const lh_piece_entry *e, lh_verdict *v)
{
  const lh_limits *lim = in->cover->piece->limits;
  double scale = 1, cut;
  const char *about;

  if (!e->doc->motif) return;
  if (z->zone.kind == LH_CHART_BAND)
    (void)lh_chart_scale(&z->chart, 0, z->chart.height / 2, &scale);
  cut = fmax(e->extent.below, e->extent.above) * scale;
  about = lh_heap_print(v->arena, "%s, place", entry_name(in, e->doc));
  if (cut > lim->cut_mm) {
    lh_verdict_add(v, LH_SAYS_CAUTION, about,
                   "move it, or make it smaller, or the zone larger",
                   "it reaches %.1f mm beyond the %s edge of its zone and is "
                   "cut there",
                   cut, e->extent.above > e->extent.below ? "upper" : "lower");
  }
  if (e->stretch_most > lim->stretch || e->stretch_least < 1 / lim->stretch) {
    lh_verdict_add(v, LH_SAYS_CAUTION, about,
                   "place it where the wall is nearer upright, or expect it",
                   "away from its anchor the form draws it to between %.2f "
                   "and %.2f times its size",
                   e->stretch_least, e->stretch_most);
  }
}

static void painting(const lh_verdict_input *in, lh_verdict *v)
{
  const lh_piece *p = in->cover->piece;

  clearances(in, v);
  for (size_t k = 0; k < p->n_zones; k++)
    for (size_t i = 0; i < p->zones[k].n_groups; i++)
      entry_fit(in, &p->zones[k], &p->zones[k].entries[i], v);
}

/* ---- mixing ------------------------------------------------------------- */

/* What slips weigh to be brushed or poured [g per litre]. (common practice, no
** source) */
#define LITRE_LEAST 1100.0
#define LITRE_MOST 1900.0

static void litre_weight(const lh_jar *j, lh_verdict *v)
{
  double p = j->slip->litre_weight_g;

  if (p >= LITRE_LEAST && p <= LITRE_MOST) return;
  lh_verdict_add(
      v, LH_SAYS_CAUTION,
      lh_heap_print(v->arena, "%s, litre weight", lh_slip_doc_name(j->slip)),
      "weigh 100 ml again, jug tared, and correct litre_weight_g",
      "a litre is said to weigh %.0f g; slips weigh %.0f to %.0f g", p,
      LITRE_LEAST, LITRE_MOST);
}

static void mixing(const lh_jar *j, const lh_limits *lim, lh_verdict *v)
{
  const char *about;
  int digits = j->need_g < 20 ? 1 : 0;

  if (j->dry_g <= 0) return;
  litre_weight(j, v);
  about = lh_heap_print(v->arena, "%s, mixing", lh_slip_doc_name(j->slip));
  if (j->n == 0) {
    lh_verdict_add(v, LH_SAYS_CAUTION, about, "give its recipe",
                   "no recipe: %.0f g dry are wanted, weighed as you know it",
                   j->mix_g);
    return;
  }
  if (j->total.short_lines > 0) {
    lh_verdict_add(v, LH_SAYS_STOP, about, "buy more, or paint fewer pots",
                   "the stock of %s runs out: %.1f g are missing",
                   j->recipe->found[j->total.first_short].name,
                   -j->lines[j->total.first_short].stock_left_g);
  }
  if (100 * j->total.rounding_error > lim->rounding_caution_percent) {
    lh_verdict_add(v,
                   100 * j->total.rounding_error > lim->rounding_stop_percent
                       ? LH_SAYS_STOP
                       : LH_SAYS_CAUTION,
                   about, "mix more at once, or use a finer scale",
                   "on a scale of %g g the share of %s is off by %.1f %%",
                   j->scale_step_g, j->recipe->found[j->total.worst].name,
                   100 * j->total.rounding_error);
    return;
  }
  lh_verdict_add(
      v, LH_SAYS_OK, about, "",
      "%.0f g dry and %.0f ml water; the pots want %.*f (%.*f to %.*f "
      "by the hand's doubt); no line is off by more than %.2f %%",
      j->dry_g, j->water_g, digits, j->need_g, digits, j->need_low_g, digits,
      j->need_high_g, 100 * j->total.rounding_error);
}

lh_status lh_verdict_make(const lh_verdict_input *in, lh_arena *a,
                          lh_verdict *v)
{
  *v = (lh_verdict){.arena = a};
  form(in, v);
  stage(in, v);
  painting(in, v);
  lh_verdict_slips(in, v);
  lh_verdict_stains(in, v);
  lh_verdict_water(in, v);
  for (size_t i = 0; i < in->cover->piece->doc->slips.count; i++)
    mixing(&in->jars[i], in->cover->piece->limits, v);
  lh_verdict_care(in, v);
  return v->st;
}
