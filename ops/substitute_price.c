/* SPDX-License-Identifier: GPL-3.0-or-later */
/* substitute_price.c -- the cheapest recipe within a tolerance, what the
** tolerance costs, and nearness, number and price on one table. */
#include <math.h>
#include <string.h>

#include "heap.h"
#include "substitute_room.h"
#include "tradeoff.h"

/* How much farther than the nearest the cheapest may be unless `tolerance`
** says so: judgements, about what a batch weighed with care is off.  [mol; %]
*/
#define FARTHER_GLAZE 0.05
#define FARTHER_SLIP 0.5

/* Tolerances tried for each number of materials; a judgement of time. */
enum { STEPS = 3, CURVE = 40 };

typedef struct {
  lh_sub *s;
  lh_reply *r;
  lh_search_problem p; /* materials without a price left out */
  double *price, *ones;
  size_t unpriced;
} pricing;

static lh_status prices(pricing *x, lh_fault *fault)
{
  lh_sub *s = x->s;
  lh_arena *a = s->call->arena;
  lh_search_use *use = lh_arena_take(a, s->count, sizeof *use);

  x->price = lh_arena_take(a, s->count, sizeof *x->price);
  x->ones = lh_arena_take(a, s->count, sizeof *x->ones);
  if (!use || !x->price || !x->ones)
    return lh_fault_plain(fault, LH_NOMEM, "/cheapest");
  for (size_t j = 0; j < s->count; j++) {
    double per_kg = s->stock[j].price_per_kg;
    use[j] = s->use[j];
    x->ones[j] = 1.0;
    x->price[j] = isnan(per_kg) ? 0.0 : per_kg / 1000.0;
    if (!isnan(per_kg) || use[j] == LH_SEARCH_NEVER) continue;
    if (use[j] == LH_SEARCH_MUST) {
      return lh_fault_say(fault, LH_INPUT, "/materials",
                          "give its price_per_kg, or leave cheapest out",
                          "%.60s must be in the recipe, but has no price",
                          s->stock[j].name);
    }
    use[j] = LH_SEARCH_NEVER;
    x->unpriced++;
  }
  x->p = s->problem;
  x->p.use = use;
  if (x->unpriced < s->count) return LH_OK;
  return lh_fault_say(fault, LH_INPUT, "/materials",
                      "give materials a price_per_kg",
                      "no material of the stock has a price");
}

static void put_lines(const pricing *x, json_t *to, const size_t *material,
                      const double *grams, size_t n)
{
  json_t *list = lh_reply_list(x->r, to, "lines");
  double sum = 0.0;

  for (size_t i = 0; i < n; i++) sum += grams[i];
  for (size_t i = 0; i < n; i++) {
    json_t *line = lh_reply_item(x->r, list);
    lh_reply_string(x->r, line, "material", x->s->stock[material[i]].name);
    lh_reply_number(x->r, line, "parts", 100.0 * grams[i] / sum);
  }
}

static const char *words(const pricing *x, const size_t *material,
                         const double *grams, size_t n)
{
  char text[700] = "";
  double sum = 0.0;

  for (size_t i = 0; i < n; i++) sum += grams[i];
  for (size_t i = 0; i < n; i++) {
    size_t used = strlen(text);
    snprintf(text + used, sizeof text - used, "%s%s %.1f", used ? ", " : "",
             x->s->stock[material[i]].name, 100.0 * grams[i] / sum);
  }
  return lh_heap_text(x->r->arena, text);
}

/* The cheapest within the tolerance, per kilogram that is weighed. */
static lh_status cheapest(pricing *x, double tolerance, lh_fault *fault)
{
  lh_sub *s = x->s;
  lh_linear_ask ask = {&x->p,     x->price, x->ones, LH_LINEAR_DISTANCE,
                       tolerance, x->p.most};
  double *grams = lh_arena_take(s->call->arena, s->count, sizeof *grams);
  size_t material[LH_SEARCH_LINES] = {0}, n = 0;
  double amount[LH_SEARCH_LINES] = {0.0};
  lh_linear_found f;
  json_t *o;
  lh_status st;

  if (!grams) return lh_fault_plain(fault, LH_NOMEM, "/cheapest");
  st = lh_linear_cheapest(&ask, grams, &f, s->call->arena, s->call->watch);
  if (st == LH_NOTFOUND) {
    return lh_fault_say(fault, LH_RANGE, "/tolerance",
                        "give a larger tolerance, or prices to more materials",
                        "no recipe of the materials with a price is as near as "
                        "%.4g",
                        tolerance);
  }
  if (st != LH_OK) return lh_fault_plain(fault, st, "/cheapest");
  for (size_t j = 0; j < s->count && n < LH_SEARCH_LINES; j++) {
    if (!(grams[j] > 0.0)) continue;
    material[n] = j;
    amount[n++] = grams[j];
  }
  o = lh_reply_object(x->r, NULL, "cheapest");
  put_lines(x, o, material, amount, n);
  lh_reply_number(x->r, o, "tolerance", tolerance);
  lh_reply_number(x->r, o, "distance", f.off[LH_LINEAR_DISTANCE]);
  lh_reply_number(x->r, o, "cost_per_kg", 1000.0 * f.price);
  lh_reply_title(x->r, "The cheapest within %.4g of the aim", tolerance);
  for (size_t i = 0; i < n; i++) {
    double sum = 0.0;
    for (size_t k = 0; k < n; k++) sum += amount[k];
    lh_reply_row(x->r, "%s\t%.2f\tparts", s->stock[material[i]].name,
                 100.0 * amount[i] / sum);
  }
  lh_reply_row(x->r, "cost\t%.3f\tper kg dry, inert stains aside",
               1000.0 * f.price);
  return LH_OK;
}

/* What tightening the tolerance costs: the largest error of any oxide against
** the price of the amount that makes the aim as it stands. */
static lh_status curve(pricing *x, double tolerance, lh_fault *fault)
{
  lh_linear_ask ask = {&x->p, x->price, NULL, LH_LINEAR_EACH, tolerance, 0};
  lh_linear_point point[CURVE];
  size_t n = 0;
  lh_linear_found f;
  json_t *list = lh_reply_list(x->r, NULL, "price_curve");
  lh_status st = lh_linear_bends(&ask, point, CURVE, &n, &f, x->s->call->arena,
                                 x->s->call->watch);

  if (st == LH_NOTFOUND || n == 0) return LH_OK; /* none is near by that norm */
  if (st != LH_OK && st != LH_TOOLARGE)
    return lh_fault_plain(fault, st, "/cheapest");
  lh_reply_text(x->r, "What nearness costs, as the largest error of any oxide, "
                      "however many materials:");
  lh_reply_line(x->r, LH_LINE_HEAD, "largest error\tprice, %% of the nearest");
  for (size_t i = 0; i < n; i++) {
    json_t *item = lh_reply_item(x->r, list);
    lh_reply_number(x->r, item, "largest_error", point[i].tolerance);
    lh_reply_number(x->r, item, "price_percent_of_nearest",
                    100.0 * point[i].price / point[0].price);
    lh_reply_number(x->r, item, "materials", (double)point[i].materials);
    lh_reply_row(x->r, "%.4f\t%.1f", point[i].tolerance,
                 100.0 * point[i].price / point[0].price);
  }
  return LH_OK;
}

/* Those that none beats in nearness, number of materials and price. */
static lh_status table(pricing *x, double farther, lh_fault *fault)
{
  lh_arena *a = x->s->call->arena;
  lh_tradeoff_row *row = lh_arena_take(a, LH_TRADEOFF_ROWS, sizeof *row);
  lh_tradeoff_ask ask = {&x->p, x->price, x->ones, STEPS, farther};
  lh_tradeoff_info info;
  json_t *list = lh_reply_list(x->r, NULL, "none_beats");
  size_t n = 0;
  lh_status st;

  if (!row) return lh_fault_plain(fault, LH_NOMEM, "/cheapest");
  st = lh_tradeoff_table(&ask, row, &n, &info, a, x->s->call->watch);
  if (st != LH_OK) return lh_fault_plain(fault, st, "/cheapest");
  lh_reply_text(x->r, "None of these is beaten in nearness, number of "
                      "materials and price together:");
  lh_reply_line(x->r, LH_LINE_HEAD, "distance\tmaterials\tper kg\trecipe");
  for (size_t i = 0; i < n; i++) {
    json_t *item = lh_reply_item(x->r, list);
    const char *w = words(x, row[i].material, row[i].grams, row[i].count);
    put_lines(x, item, row[i].material, row[i].grams, row[i].count);
    lh_reply_number(x->r, item, "distance", row[i].distance);
    lh_reply_number(x->r, item, "materials", (double)row[i].count);
    lh_reply_number(x->r, item, "cost_per_kg", 1000.0 * row[i].price);
    lh_reply_row(x->r, "%.4f\t%zu\t%.3f\t%s", row[i].distance, row[i].count,
                 1000.0 * row[i].price, w ? w : "");
  }
  if (info.unsettled + info.unproven > 0)
    lh_reply_text(x->r, "The table may lack a row: not every sum settled.");
  return LH_OK;
}

lh_status lh_sub_price(lh_sub *s, lh_reply *r, lh_fault *fault)
{
  pricing x = {.s = s, .r = r};
  bool glaze = s->kind == LH_KIND_GLAZE;
  double near, tolerance = s->ask->tolerance;
  lh_status st;

  if (!s->ask->cheapest || s->proof.found == 0) return LH_OK;
  near = s->choice[0].distance;
  if (isnan(tolerance))
    tolerance = near + (glaze ? FARTHER_GLAZE : FARTHER_SLIP);
  st = prices(&x, fault);
  if (st == LH_OK) st = cheapest(&x, tolerance, fault);
  if (st == LH_OK) st = curve(&x, tolerance, fault);
  if (st == LH_OK) st = table(&x, fmax(tolerance - near, 0.0), fault);
  if (st == LH_OK && x.unpriced > 0) {
    lh_reply_number(r, NULL, "unpriced", (double)x.unpriced);
    lh_reply_text(r, "Without a price, and so left out of this: %zu of %zu.",
                  x.unpriced, s->count);
  }
  return st;
}
