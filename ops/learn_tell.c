/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>

#include "learn_ask.h"
#include "stack_words.h"

/* The floor under any prediction from three numbers, dE00 (a judgement). */
static const double FLOOR = 4;

double lh_learn_floor(const lh_learn_ask *ask, const lh_learn_set *set)
{
  (void)ask;
  return set->three ? FLOOR : 0;
}

/* What colours from these numbers are good to: the miss of tiles left out
** or the floor; NAN when no tile could be left out. */
double lh_learn_trusted(const lh_learn_ask *ask, const lh_learn_set *set,
                        const lh_learn_fit *fit)
{
  return isnan(fit->trust) ? NAN : fmax(lh_learn_floor(ask, set), fit->trust);
}

static void put_lab(lh_reply *r, json_t *to, const char *key, lh_lab c)
{
  lh_reply_numbers(r, to, key, (double[]){c.L, c.a, c.b}, 3);
}

static void put_percent(lh_reply *r, json_t *to, const char *key,
                        const double sd[LH_WAVES])
{
  double v[LH_WAVES];

  for (size_t w = 0; w < LH_WAVES; w++) v[w] = 100 * sd[w];
  lh_reply_numbers(r, to, key, v, LH_WAVES);
}

void lh_learn_put_tiles(const lh_learn_ask *ask, const lh_learn_set *set,
                        const lh_learn_fit *f, lh_reply *r, json_t *list)
{
  const lh_learn_tile_ask *t = ask->tiles.items;
  size_t n = set->three ? set->numbers.n : set->spectra.n;

  for (size_t i = 0; i < n; i++) {
    json_t *to = lh_reply_item(r, list);
    lh_reply_string(r, to, "name", t[set->of_tile[i]].name);
    lh_reply_number(r, to, "coat_g_m2", t[set->of_tile[i]].coat);
    if (ask->stain && !t[set->of_tile[i]].is_ground)
      lh_reply_number(r, to, "stain_percent", t[set->of_tile[i]].stain_percent);
    if (t[set->of_tile[i]].geometry >= 0)
      lh_reply_string(r, to, "geometry",
                      lh_geometry_keys[t[set->of_tile[i]].geometry]);
    put_lab(r, to, "measured_lab", f->measured[i]);
    put_lab(r, to, "predicted_lab", f->predicted[i]);
    lh_reply_number(r, to, "delta_e00", f->off[i]);
    lh_reply_number(r, to, "left_out_delta_e00", f->left_out[i]);
    lh_reply_number(r, to, "coat_factor", f->coat[i]);
    lh_reply_flag(r, to, "outlier", f->outlier[i]);
  }
}

/* Two tiles say what those two stacks look like, and little else. */
bool lh_learn_provisional(const lh_learn_set *set)
{
  if (!set->three && set->spectra.stained && set->coated < 6) return true;
  return set->coated < 3 || set->weights < 2;
}

void lh_learn_put_optics(lh_reply *r, json_t *to, const lh_slip_optics *slip,
                         const double k_sd[LH_WAVES],
                         const double s_sd[LH_WAVES])
{
  lh_reply_numbers(r, to, "absorption_m2_g", slip->absorption, LH_WAVES);
  lh_reply_numbers(r, to, "scattering_m2_g", slip->scattering, LH_WAVES);
  put_percent(r, to, "absorption_error_percent", k_sd);
  put_percent(r, to, "scattering_error_percent", s_sd);
}

/* Where in the unknowns ln K (36), then ln S (36) stand. */
static size_t at_of(size_t i)
{
  return i < LH_WAVES ? lh_learn_at_k(i) : lh_learn_at_s(i - LH_WAVES);
}

/* Covariance of ln K and ln S, widened as the errors are. */
static void put_covariance(const lh_learn *l, const lh_learn_fit *f,
                           lh_reply *r, json_t *to)
{
  json_t *list = lh_reply_list(r, to, "covariance");
  size_t u = lh_learn_unknowns(l);

  for (size_t i = 0; i < 2 * LH_WAVES; i++) {
    json_t *row = json_array();
    for (size_t j = 0; j < 2 * LH_WAVES; j++) {
      double c = f->covariance[at_of(i) * u + at_of(j)] * fmax(f->scatter, 1);
      if (json_array_append_new(row, json_real(c)) != 0) r->st = LH_NOMEM;
    }
    if (json_array_append_new(list, row) != 0) r->st = LH_NOMEM;
  }
}

/* Grounds and glaze. */
void lh_learn_put_around(const lh_learn_ask *ask, const lh_learn_set *set,
                         const lh_learn_fit *f, lh_reply *r, json_t *root)
{
  json_t *list = lh_reply_list(r, root, "grounds"), *to;

  for (size_t g = 0; g < set->grounds; g++) {
    to = lh_reply_item(r, list);
    lh_reply_string(r, to, "name", set->ground[g]);
    lh_reply_numbers(r, to, "reflectance", f->ground[g], LH_WAVES);
  }
  if (!ask->glaze) return;
  to = lh_reply_object(r, root, "glaze");
  lh_reply_number(r, to, "index", ask->glaze->index);
  lh_reply_numbers(r, to, "absorption_m2_g", f->absorb, LH_WAVES);
  if (!isnan(ask->glaze->eats_g_m2)) {
    lh_reply_number(r, to, "eats_g_m2", ask->glaze->eats_g_m2);
    lh_reply_number(r, to, "dissolved_share", ask->glaze->dissolved_share);
  }
  if (set->three || !set->spectra.learn_eaten) return;
  lh_reply_number(r, to, "eats_g_m2", f->eaten);
  lh_reply_number(r, to, "eats_error_g_m2", f->eaten_sd);
  lh_reply_number(r, to, "dissolved_share", f->share);
  lh_reply_number(r, to, "dissolved_share_error", f->share_sd);
}

void lh_learn_put_trust(const lh_learn_ask *ask, const lh_learn_set *set,
                        const lh_learn_fit *f, lh_reply *r, json_t *to)
{
  lh_reply_number(r, to, "left_out_delta_e00", f->trust);
  lh_reply_number(r, to, "left_out_worst_delta_e00", f->worst);
  lh_reply_number(r, to, "trusted_to_delta_e00", lh_learn_trusted(ask, set, f));
  lh_reply_number(r, to, "scatter", f->scatter);
  lh_reply_flag(r, to, "settled", f->settled);
  lh_reply_flag(r, to, "provisional", lh_learn_provisional(set));
}

static void put(const lh_learn_ask *ask, const lh_learn_set *set,
                const lh_learn_fit *f, lh_reply *r)
{
  json_t *to = lh_reply_object(r, NULL, "slip");

  if (ask->slip) lh_reply_string(r, to, "name", ask->slip);
  lh_learn_put_optics(r, to, &f->slip, f->k_sd, f->s_sd);
  if (ask->covariance && !set->three) put_covariance(&set->spectra, f, r, to);
  lh_learn_put_around(ask, set, f, r, NULL);
  lh_learn_put_tiles(ask, set, f, r, lh_reply_list(r, NULL, "tiles"));
  lh_learn_put_trust(ask, set, f, r, NULL);
  lh_reply_string(r, NULL, "geometry", lh_geometry_keys[ask->geometry]);
}

static void say_tiles(const lh_learn_ask *ask, const lh_learn_set *set,
                      const lh_learn_fit *f, lh_reply *r)
{
  const lh_learn_tile_ask *t = ask->tiles.items;
  size_t n = set->three ? set->numbers.n : set->spectra.n;

  lh_reply_line(r, LH_LINE_HEAD,
                "tile\tcoat g/m2\toff by dE00\twhen left out\tcoat seems");
  for (size_t i = 0; i < n; i++) {
    const lh_learn_tile_ask *k = &t[set->of_tile[i]];
    char left[32] = "-", coat[32] = "-";
    if (!isnan(f->left_out[i]))
      snprintf(left, sizeof left, "%.1f", f->left_out[i]);
    if (k->coat > 0)
      snprintf(coat, sizeof coat, "%+.0f %%",
               round(100 * (f->coat[i] - 1)) + 0.0);
    lh_reply_row(r, "%s\t%.0f\t%.1f\t%s\t%s", k->name, k->coat, f->off[i], left,
                 coat);
  }
  for (size_t i = 0; i < n; i++)
    if (f->outlier[i])
      lh_reply_line(r, LH_LINE_CAUTION,
                    "%s\tstands apart from the others: dE00 %.1f when left "
                    "out\tlook at it again; it was used all the same",
                    t[set->of_tile[i]].name, f->left_out[i]);
}

static void say_glaze(const lh_learn_ask *ask, const lh_learn_set *set,
                      const lh_learn_fit *f, lh_reply *r)
{
  if (!ask->glaze) {
    lh_reply_text(r, "Bare tiles: these numbers are not those of the slip "
                     "under a glaze.");
    return;
  }
  if (!set->three && set->spectra.learn_eaten)
    lh_reply_text(r,
                  "The glaze eats %.1f g/m2 (give or take %.1f) of the slip; "
                  "%.0f %% of that colour stays in the glaze.",
                  f->eaten, 1.645 * f->eaten_sd, 100 * f->share);
  else if (!isnan(ask->glaze->eats_g_m2))
    lh_reply_text(r,
                  "K and S are those before the glaze ate: it takes %.1f g/m2 "
                  "of the slip, as told, and keeps %.0f %% of that colour.",
                  ask->glaze->eats_g_m2, 100 * ask->glaze->dissolved_share);
  else
    lh_reply_text(r,
                  "What the glaze eats of the slip is not learnt%s: it is "
                  "in K and S as they are.",
                  set->may_dissolve ? ""
                                    : " (it needs spectra of five coat weights "
                                      "over two grounds)");
  if (!set->absorb_told && (set->three || !set->spectra.learn_absorb))
    lh_reply_text(r, "The glaze's own colour is not told apart from what lies "
                     "below: all tiles have one weight of it, or were read as "
                     "L*a*b*.  The numbers belong to about that weight.");
}

void lh_learn_say(const lh_learn_ask *ask, const lh_learn_set *set,
                  const lh_learn_fit *f, lh_reply *r)
{
  if (!isnan(f->trust))
    lh_reply_text(r,
                  "A tile that was left out is missed by dE00 %.1f in the "
                  "mean, %.1f at worst%s.",
                  f->trust, f->worst,
                  set->three ? "; from L*a*b* nothing is trusted to better "
                               "than 4 (a judgement)"
                             : "");
  if (lh_learn_provisional(set))
    lh_reply_line(r, LH_LINE_CAUTION,
                  "provisional\tfrom %zu tile%s: good for these stacks "
                  "only\tmake tiles at three coat weights or more",
                  set->coated, set->coated == 1 ? "" : "s");
  if (!f->settled)
    lh_reply_line(r, LH_LINE_CAUTION,
                  "not settled\tthe fit was stopped before it came to "
                  "rest\tlook for a tile written down wrongly");
  say_tiles(ask, set, f, r);
  say_glaze(ask, set, f, r);
  if (f->scatter > 2)
    lh_reply_text(r,
                  "The readings scatter %.1f times as far as was stated; the "
                  "errors are widened by as much.",
                  sqrt(f->scatter));
}

void lh_learn_tell(const lh_learn_ask *ask, const lh_learn_set *set,
                   const lh_learn_fit *f, lh_reply *r)
{
  double trust = lh_learn_trusted(ask, set, f);

  put(ask, set, f, r);
  if (isnan(trust))
    lh_reply_title(r, "%s: fitted, but no tile could be left out to try it",
                   ask->slip ? ask->slip : "the slip");
  else
    lh_reply_title(r, "%s: colours to be trusted to dE00 %.1f",
                   ask->slip ? ask->slip : "the slip", trust);
  lh_learn_say(ask, set, f, r);
  lh_reply_text(r,
                "K and S belong to this slip, glaze and firing, read as %s; "
                "with --json they come as 36 numbers each, for the slip of "
                "a piece.",
                lh_geometry_words[ask->geometry]);
}
