/* SPDX-License-Identifier: GPL-3.0-or-later */
/* substitute_sheet.c -- one choice put into words for the printed page. */
#include <math.h>
#include <string.h>

#include "clock.h"
#include "heap.h"
#include "sheet_substitution.h"
#include "substitute_room.h"

enum { ROWS = 160, TEXTS = 60 };

/* What the page gathers; texts in the reply's arena. */
typedef struct {
  lh_reply *r;
  lh_sheet_row weigh[ROWS], change[ROWS];
  const char *tile[LH_SUB_STEPS], *sure[8], *caution[TEXTS];
  lh_substitution_page page;
} gathered;

static const char *num(lh_reply *r, double v, int decimals, bool sign)
{
  const char *s;
  double one = pow(10.0, decimals);

  if (!isfinite(v)) return "-";
  s = lh_heap_print(r->arena, sign ? "%+.*f" : "%.*f", decimals,
                    round(v * one) / one + 0.0);
  if (s && *s == '-') s = lh_heap_print(r->arena, "\xe2\x88\x92%s", s + 1);
  return s ? s : "";
}

static void add(lh_sheet_row *rows, size_t *n, lh_sheet_row row)
{
  if (*n < ROWS) rows[(*n)++] = row;
}

static void change(gathered *g, const char *label, double old, double new_,
                   int decimals)
{
  add(g->change, &g->page.changed,
      (lh_sheet_row){label, num(g->r, old, decimals, false),
                     num(g->r, new_, decimals, false),
                     num(g->r, new_ - old, decimals, true), false, false});
}

static void head(lh_sheet_row *rows, size_t *n, const char *label,
                 const char *old, const char *new_, const char *change_)
{
  add(rows, n, (lh_sheet_row){label, old, new_, change_, true, false});
}

/* ---- what to weigh ------------------------------------------------------ */

/* Parts of a material in a recipe; NAN when it is not there.  Additions are
** counted beside the parts, as they are weighed. */
static double parts_of(const lh_recipe_found *f, const char *name, bool *added)
{
  double sum = NAN;

  for (size_t i = 0; f && i < f->count; i++) {
    if (strcmp(f->found[i].name, name) != 0) continue;
    if (!(f->lines[i].amount > 0.0)) continue;
    sum = (isnan(sum) ? 0.0 : sum) + f->lines[i].amount;
    *added = f->lines[i].addition;
  }
  return sum;
}

static void weigh_row(gathered *g, const lh_sub *s, const lh_recipe_found *f,
                      const char *name)
{
  bool was = false, is = false;
  double a = parts_of(s->old, name, &was), b = parts_of(f, name, &is);
  const char *old = isnan(a) ? "\xe2\x80\x93" : num(g->r, a, 1, was);
  const char *new_ = isnan(b) ? "\xe2\x80\x93" : num(g->r, b, 2, is);

  for (size_t i = 0; i < g->page.weighs; i++)
    if (strcmp(g->weigh[i].label, name) == 0) return;
  add(g->weigh, &g->page.weighs,
      (lh_sheet_row){name, s->old ? old : "", new_, NULL, false, isnan(b)});
}

static void weigh(gathered *g, const lh_sub *s, const lh_recipe_found *f)
{
  head(g->weigh, &g->page.weighs, "parts by weight; + per cent added to them",
       s->old ? "old" : "", "new", NULL);
  for (size_t i = 0; i < f->count; i++) weigh_row(g, s, f, f->found[i].name);
  for (size_t i = 0; s->old && i < s->old->count; i++)
    weigh_row(g, s, f, s->old->found[i].name);
}

/* ---- what changes ------------------------------------------------------- */

static void melt(gathered *g, const lh_change_side *a, const lh_change_side *b)
{
  size_t *n = &g->page.changed;

  head(g->change, n, "thermal expansion, 1e-6 per K, by", "old", "new",
       "change");
  for (int k = 0; k < LH_EXPANSION_MODELS; k++)
    if (a->expansion[k].valid && b->expansion[k].valid)
      change(g, lh_change_model(lh_expansion_name((lh_expansion_model)k)),
             a->expansion[k].value, b->expansion[k].value, 2);
  head(g->change, n,
       "\xc2\xb0"
       "C at a viscosity, by",
       "old", "new", "change");
  for (int k = 0; k < LH_VISCOSITY_MODELS; k++)
    for (int i = 0; i < LH_VISCOSITY_LEVELS; i++) {
      const lh_viscosity *x = &a->viscosity[k], *y = &b->viscosity[k];
      const char *label;
      if (isnan(x->t_c[i]) || isnan(y->t_c[i])) continue;
      label = lh_heap_print(
          g->r->arena, "%s, log10 %.1f Pa s, \xc2\xb1%.0f",
          lh_change_model(lh_viscosity_name((lh_viscosity_model)k)),
          x->level[i], y->e_c[i]);
      change(g, label ? label : "", x->t_c[i], y->t_c[i], 0);
    }
}

static void changes(gathered *g, const lh_sub *s, const lh_change_side *b)
{
  const lh_change_side *a = &s->before;
  bool glaze = s->kind == LH_KIND_GLAZE;

  head(g->change, &g->page.changed,
       glaze ? "Seger formula, moles" : "mole per cent of what is fired",
       s->old ? "old" : "aim", "new", "change");
  for (size_t i = 0; i < LH_OXIDES; i++)
    if (a->fired.mol[i] > 0.0 || b->fired.mol[i] > 0.0)
      change(g, lh_oxide_symbol(i),
             glaze ? a->fired.unity[i] : a->fired.mole_percent[i],
             glaze ? b->fired.unity[i] : b->fired.mole_percent[i],
             glaze ? 3 : 2);
  head(g->change, &g->page.changed, "of the batch", s->old ? "old" : "", "new",
       s->old ? "change" : "");
  change(g, "loss on ignition, %", s->old ? a->fired.loi_percent : NAN,
         b->fired.loi_percent, 2);
  if (a->plastic_percent > 0.0 || b->plastic_percent > 0.0)
    change(g, "plastic clay, %", a->plastic_percent, b->plastic_percent, 1);
  if (isfinite(a->cost_per_kg) && isfinite(b->cost_per_kg))
    change(g, "cost, per kg", a->cost_per_kg, b->cost_per_kg, 2);
  if (glaze) melt(g, a, b);
}

/* ---- the rest ----------------------------------------------------------- */

static void text(const char **list, size_t *n, size_t most, const char *words)
{
  if (words && *n < most) list[(*n)++] = words;
}

static void tiles(gathered *g, const lh_sub *s, const lh_recipe_found *f)
{
  for (int k = lh_sub_first_step(s); k < LH_SUB_STEPS; k++) {
    double share = (double)k / (LH_SUB_STEPS - 1);
    const char *words = lh_sub_tile_words(s, f, share, g->r, NULL);
    text(g->tile, &g->page.n_tiles, LH_SUB_STEPS,
         words ? lh_heap_print(g->r->arena, "%.0f %% new, %g g dry: %s",
                               100.0 * share, s->ask->tile_g, words)
               : NULL);
  }
}

static void sure(gathered *g, const lh_sub *s, size_t k,
                 const lh_change_side *after)
{
  lh_arena *a = g->r->arena;
  size_t *n = &g->page.n_sure;

  text(g->sure, n, 8,
       s->proof.proven
           ? "By arithmetic it is proven: no other recipe of the stock is "
             "nearer than those before it in the list."
           : "The search was stopped before all was seen: a nearer recipe may "
             "be left out.");
  if (s->sure.done)
    text(g->sure, n, 8,
         lh_heap_print(a,
                       "Analyses are not exact: drawn anew %ld times, it is "
                       "the nearest of %zu in %.0f %% of them.",
                       s->ask->draws, s->proof.found,
                       100.0 * s->sure.choice[k].best));
  if (s->sure.done && s->sure.choice[k].causes > 0) {
    const lh_doubt_cause *c = &s->sure.choice[k].cause[0];
    text(g->sure, n, 8,
         lh_heap_print(a, "What matters most is the %s of %s.",
                       lh_oxide_symbol(c->oxide), s->sure.name[c->material]));
  }
  if (s->kind == LH_KIND_GLAZE) {
    text(g->sure, n, 8,
         "Models of expansion differ by more than most changes: each is "
         "compared with itself.  Crazing is tried on your own body.");
  } else if (s->old) {
    const char *one = lh_change_bar(a, false, &s->before, after);
    const char *two = lh_change_bar(a, true, &s->before, after);
    bool same = one && two && strcmp(one, two) == 0;
    text(g->sure, n, 8,
         lh_heap_print(a,
                       "A slip is no melt: make shrinkage bars and a curl bar, "
                       "for %s%s%s.",
                       one ? one : "", same ? "" : "; and ",
                       same || !two ? "" : two));
  }
  text(g->sure, n, 8, "Melting, colour and fit are known from tiles only.");
}

/* "Causes damage ... (H372). " for a list of codes. */
static void hazard_words(const char *codes, char *out, size_t size)
{
  size_t used = 0;

  out[0] = 0;
  while (*codes && used + 1 < size) {
    size_t n = strcspn(codes, " ,;");
    const char *words = lh_hazard_text(codes, n, NULL);
    size_t stop = words ? strlen(words) : 0;
    while (stop > 0 && words[stop - 1] == '.') stop--;
    if (n > 0)
      used += (size_t)snprintf(out + used, size - used, "%.*s (%.*s).  ",
                               (int)stop, words ? words : "", (int)n, codes);
    codes += n + (codes[n] != 0);
  }
}

/* Each material's statements; those with the same are named together. */
static void hazards(gathered *g, const lh_recipe_found *f)
{
  for (size_t i = 0; i < f->count; i++) {
    const char *codes = f->found[i].hazards;
    char names[400] = "", words[700];
    bool said = !*codes;
    for (size_t k = 0; k < i && !said; k++)
      said = strcmp(f->found[k].hazards, codes) == 0;
    if (said) continue;
    for (size_t k = i; k < f->count; k++) {
      size_t used = strlen(names);
      if (strcmp(f->found[k].hazards, codes) == 0)
        snprintf(names + used, sizeof names - used, "%s%s", used ? ", " : "",
                 f->found[k].name);
    }
    hazard_words(codes, words, sizeof words);
    text(g->caution, &g->page.n_cautions, TEXTS,
         lh_heap_print(g->r->arena,
                       "%s: %sAsk for the supplier's safety data sheet.", names,
                       words));
  }
}

static void care(gathered *g, const lh_sub *s, const lh_recipe_found *f,
                 const lh_change_side *after)
{
  lh_arena *a = g->r->arena;
  json_t *hold = json_object(), *list;
  size_t *n = &g->page.n_cautions;

  text(g->caution, n, TEXTS,
       "Dry clay, silica and frit dust harms the lungs for good.  Weigh with a "
       "fitted particle mask or under extraction, add powder to water, wipe up "
       "wet, never sweep dry.");
  hazards(g, f);
  if (!hold) {
    g->r->st = LH_NOMEM;
    return;
  }
  lh_sub_cautions(s, f, after, g->r, hold, false);
  list = json_object_get(hold, "cautions");
  for (size_t i = 0; i < json_array_size(list); i++) {
    const json_t *c = json_array_get(list, i);
    text(g->caution, n, TEXTS,
         lh_heap_print(a, "%s.  %s  %s",
                       json_string_value(json_object_get(c, "what")),
                       json_string_value(json_object_get(c, "why")),
                       json_string_value(json_object_get(c, "do"))));
  }
  json_decref(hold);
}

static void title(gathered *g, const lh_sub *s, size_t k)
{
  static const char *const kinds[] = {"glaze", "slip", "body"};
  lh_arena *a = g->r->arena;
  const char *gone = NULL;
  size_t more = 0;

  for (size_t i = 0; s->old && i < s->old->count; i++) {
    if (!s->gone[i]) continue;
    if (gone) more++;
    if (!gone) gone = s->old->found[i].name;
  }
  g->page.title =
      gone ? lh_heap_print(a, more ? "Without %s and %zu more" : "Without %s",
                           gone, more)
           : "Another recipe";
  /* What is left of rounding is no distance (a judgement). */
  if (s->choice[k].distance < 1e-6)
    g->page.under = lh_heap_print(
        a, "A %s, choice %zu of %zu, with the same formula as %s.",
        kinds[s->kind], k + 1, s->proof.found,
        s->old ? "the old one" : "was asked for");
  else
    g->page.under = lh_heap_print(
        a, "A %s, choice %zu of %zu, %.4g %s away from %s.", kinds[s->kind],
        k + 1, s->proof.found, s->choice[k].distance,
        s->kind == LH_KIND_GLAZE ? "moles of the Seger formula"
                                 : "mole per cent",
        s->old ? "the old one" : "the formula");
}

lh_status lh_sub_page(lh_sub *s, size_t k, lh_reply *r)
{
  static const char *const papers[] = {"a4", "letter"};
  gathered *g = lh_arena_take(r->arena, 1, sizeof *g);
  lh_change_side *after = lh_arena_take(r->arena, 1, sizeof *after);
  lh_recipe_found f;
  lh_status st = g && after ? lh_sub_recipe(s, &s->choice[k], &f) : LH_NOMEM;
  int pages = 0;

  if (st == LH_OK) st = lh_change_look(&f, after);
  if (st != LH_OK) return st;
  g->r = r;
  g->page = (lh_substitution_page){.weigh = g->weigh,
                                   .changes = g->change,
                                   .tiles = g->tile,
                                   .sure = g->sure,
                                   .cautions = g->caution,
                                   .paper = (lh_paper_size)s->ask->paper,
                                   .date = lh_clock_now()};
  title(g, s, k);
  weigh(g, s, &f);
  changes(g, s, after);
  tiles(g, s, &f);
  sure(g, s, k, after);
  care(g, s, &f, after);
  if (!g->page.title || !g->page.under || r->st != LH_OK) return LH_NOMEM;
  st = lh_substitution_draw(&g->page, r->arena, &r->bytes, &r->size, &pages);
  if (st != LH_OK) return st;
  r->media = "application/pdf";
  lh_reply_string(r, NULL, "title", g->page.title);
  lh_reply_number(r, NULL, "choice", (double)(k + 1));
  lh_reply_number(r, NULL, "pages", pages);
  lh_reply_string(r, NULL, "paper", papers[s->ask->paper]);
  lh_reply_title(r, "%s", g->page.title);
  lh_reply_row(r, "pages\t%d\t%s", pages, papers[s->ask->paper]);
  return LH_OK;
}
