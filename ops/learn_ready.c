/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "coat.h"
#include "learn_ask.h"
#include "learn_file.h"
#include "recovery.h"

/* How far a coat may be off, one standard deviation (judgements). */
static const double WEIGHED = 5, COUNTED = 20; /* [%] */

/* Where to begin when the glaze's numbers are learnt (judgements): 600 g/m2
** that take a tenth of what crosses; a coat's edge eaten, a quarter of its
** colour kept. */
static const double ABSORB = 2e-4, EATEN = 10, SHARE = LH_DISSOLVED_SHARE;

static lh_status tile_fault(lh_fault *fault, lh_status st, size_t tile,
                            const char *key, const char *todo, const char *what)
{
  char where[64];

  snprintf(where, sizeof where, "/tiles/%zu%s%s", tile, *key ? "/" : "", key);
  return lh_fault_say(fault, st, where, todo, "%s", what);
}

/* ---- coat weights ----------------------------------------------------------
 */

static lh_status from_jar(const lh_learn_ask *ask, size_t i,
                          lh_learn_tile_ask *t, lh_fault *fault)
{
  lh_range coat;

  if (isnan(t->area_cm2))
    return tile_fault(fault, LH_INPUT, i, "area_cm2",
                      "give the area on which the slip lies",
                      "a weighing needs the area it is spread over");
  if (isnan(ask->litre_weight_g))
    return lh_fault_say(fault, LH_INPUT, "/litre_weight_g",
                        "weigh a litre of the slip, or a part of one",
                        "jar_loss_g needs the slip's litre weight");
  if (lh_slip_coat_from_loss(
          lh_range_exact(t->jar_loss_g), lh_range_exact(t->area_cm2 * 100),
          lh_range_exact(ask->litre_weight_g),
          lh_range_exact(ask->solids_density), &coat) != LH_OK)
    return tile_fault(fault, LH_RANGE, i, "jar_loss_g",
                      "correct it, or the slip's litre weight",
                      "no coat weighs so");
  t->coat = coat.value;
  return LH_OK;
}

static lh_status coat_of(const lh_learn_ask *ask, size_t i,
                         lh_learn_tile_ask *t, lh_fault *fault)
{
  int told = !isnan(t->coat_g_m2) + !isnan(t->coats) + !isnan(t->jar_loss_g);
  lh_status st = LH_OK;

  if (told != 1)
    return tile_fault(fault, LH_INPUT, i, "coat_g_m2",
                      "give one of coat_g_m2, coats and jar_loss_g",
                      told ? "its coat is told twice"
                           : "how much slip lies on it is missing");
  if (!isnan(t->coats) && t->coats > 0 && isnan(ask->one_coat_g_m2))
    return lh_fault_say(fault, LH_INPUT, "/one_coat_g_m2",
                        "paint a known area, weigh, and give its coat weight",
                        "coats are known by what one of them weighs");
  if (!isnan(t->coat_g_m2)) t->coat = t->coat_g_m2;
  if (!isnan(t->coats))
    t->coat = t->coats > 0 ? t->coats * ask->one_coat_g_m2 : 0;
  if (!isnan(t->jar_loss_g)) st = from_jar(ask, i, t, fault);
  if (isnan(t->coat_error_percent))
    t->coat_error_percent = isnan(t->coats) ? WEIGHED : COUNTED;
  t->is_ground = !(t->coat > 0);
  return st;
}

/* ---- grounds and glaze ------------------------------------------------------
 */

static size_t ground_of(const lh_learn_set *set, const char *name)
{
  size_t g = 0;

  while (g < set->grounds && strcmp(set->ground[g], name) != 0) g++;
  return g;
}

static lh_status grounds(lh_learn_set *set, const lh_learn_tile_ask *t,
                         size_t n, lh_fault *fault)
{
  for (size_t i = 0; i < n; i++) {
    if (ground_of(set, t[i].ground) < set->grounds) continue;
    if (set->grounds == LH_LEARN_GROUNDS)
      return tile_fault(fault, LH_TOOLARGE, i, "ground",
                        "learn from at most four grounds at once",
                        "this is a fifth ground");
    set->ground[set->grounds++] = t[i].ground;
  }
  for (size_t g = 0; g < set->grounds; g++) {
    bool alone = false;
    for (size_t i = 0; i < n; i++)
      alone |= t[i].is_ground && ground_of(set, t[i].ground) == g;
    if (!alone)
      return lh_fault_say(fault, LH_INPUT, "/tiles",
                          "add one with coat_g_m2 0, under the same glaze",
                          "there is no tile of the ground \"%s\" alone",
                          set->ground[g]);
  }
  return LH_OK;
}

/* Bare and glazed are never pooled: glaze fills the pores. */
static lh_status glazed_alike(const lh_learn_ask *ask, lh_fault *fault)
{
  const lh_learn_tile_ask *t = ask->tiles.items;

  for (size_t i = 0; i < ask->tiles.count; i++) {
    bool bare = isnan(t[i].glaze_g_m2) || !(t[i].glaze_g_m2 > 0);
    if (ask->glaze && bare)
      return tile_fault(fault, LH_INPUT, i, "glaze_g_m2",
                        "weigh the glaze on, or leave this tile out",
                        "a bare tile among glazed ones: glaze changes the "
                        "slip's numbers, the two are never put together");
    if (!ask->glaze && !bare)
      return tile_fault(fault, LH_INPUT, i, "glaze_g_m2",
                        "describe the glaze (\"glaze\": {} will do)",
                        "this tile is glazed, and no glaze is described");
  }
  return LH_OK;
}

static lh_status readings(const lh_learn_ask *ask, lh_learn_set *set,
                          lh_fault *fault)
{
  const lh_learn_tile_ask *t = ask->tiles.items;

  set->three = ask->tiles.count > 0 && !t[0].reflectance;
  for (size_t i = 0; i < ask->tiles.count; i++) {
    if (!t[i].reflectance == !t[i].lab.count)
      return tile_fault(
          fault, LH_INPUT, i, "", "give one of reflectance and lab",
          t[i].reflectance ? "it is read twice" : "it was not read");
    if (!t[i].reflectance != set->three)
      return tile_fault(fault, LH_INPUT, i, "",
                        "learn from spectra, or from L*a*b*",
                        "tiles read in two ways");
    if (set->three && t[i].lab.count != 3)
      return tile_fault(fault, LH_INPUT, i, "lab", "give L*, a* and b*",
                        "a colour is three numbers");
  }
  if (set->three && ask->read_by != LH_READ_COLORIMETER &&
      ask->read_by != LH_READ_PHOTOGRAPH)
    return lh_fault_say(fault, LH_INPUT, "/tiles_read_by",
                        "say \"colorimeter\" or \"photograph\"",
                        "L*a*b* can be from either, and they are not trusted "
                        "alike");
  return LH_OK;
}

static size_t different(const lh_learn_tile_ask *t, size_t n, bool glaze)
{
  double seen[LH_LEARN_TILES];
  size_t count = 0;

  for (size_t i = 0; i < n; i++) {
    double x = glaze ? t[i].glaze_g_m2 : t[i].coat;
    bool is_new = x > 0;
    for (size_t j = 0; j < count; j++)
      if (fabs(x - seen[j]) <= 0.1 * fmax(x, seen[j])) is_new = false;
    if (is_new) seen[count++] = x;
  }
  return count;
}

/* ---- the two problems
 * --------------------------------------------------------- */

static lh_glaze_table *surface_of(const lh_learn_ask *ask, int geometry,
                                  lh_arena *a)
{
  lh_glaze_table *s = lh_arena_take(a, 1, sizeof *s);

  if (s) lh_glaze_tabulate(ask->glaze->index, (lh_geometry)geometry, s);
  return s;
}

/* The surface as each geometry sees it, where a tile was read so. */
static lh_status surfaces(const lh_learn_ask *ask, lh_arena *a,
                          const lh_glaze_table *as_read[3])
{
  const lh_learn_tile_ask *t = ask->tiles.items;

  for (size_t i = 0; i <= ask->tiles.count && ask->glaze; i++) {
    int g = i < ask->tiles.count ? t[i].geometry : ask->geometry;
    if (g < 0 || as_read[g]) continue;
    as_read[g] = surface_of(ask, g, a);
    if (!as_read[g]) return LH_NOMEM;
  }
  return LH_OK;
}

static lh_status ready_spectra(const lh_learn_ask *ask, lh_arena *a,
                               const lh_glaze_table *const as_read[3],
                               lh_learn_set *set, lh_fault *fault)
{
  const lh_glaze_table *surface = as_read[ask->geometry];
  const lh_learn_tile_ask *t = ask->tiles.items;
  size_t n = ask->tiles.count, bad;
  lh_learn_tile *tiles = lh_arena_take(a, n, sizeof *tiles);
  lh_learn *l = &set->spectra;
  bool two = surface && different(t, n, true) >= 2;

  if (!tiles) return LH_NOMEM;
  for (size_t i = 0; i < n; i++) {
    tiles[i] = (lh_learn_tile){.coat = t[i].coat,
                               .coat_sd = t[i].coat_error_percent / 100,
                               .glaze = surface ? t[i].glaze_g_m2 : 0,
                               .ground = ground_of(set, t[i].ground)};
    if (t[i].geometry >= 0) tiles[i].surface = as_read[t[i].geometry];
    if (ask->stain && !t[i].is_ground)
      tiles[i].stain = t[i].stain_percent / (100 + t[i].stain_percent);
    memcpy(tiles[i].reading, t[i].reflectance, sizeof tiles[i].reading);
    for (size_t w = 0; w < LH_WAVES; w++)
      tiles[i].reading_sd[w] =
          lh_learn_file_doubt(&t[i], w, ask->reading_error);
    set->of_tile[i] = i;
  }
  *l = (lh_learn){.tiles = tiles,
                  .n = n,
                  .grounds = set->grounds,
                  .surface = surface,
                  .smooth = ask->smooth,
                  .stained = ask->stain && ask->stain->kind == LH_STAIN_INERT,
                  .learn_absorb = two && !set->absorb_told};
  for (size_t w = 0; w < LH_WAVES; w++)
    l->absorb[w] = set->absorb_told  ? ask->glaze->absorption_m2_g[w]
                   : l->learn_absorb ? ABSORB
                                     : 0;
  if (surface && ask->glaze->dissolving != 0)
    l->learn_eaten = set->may_dissolve;
  if (l->learn_eaten) l->eaten = EATEN, l->share = SHARE;
  if (surface && !isnan(ask->glaze->eats_g_m2)) {
    l->learn_eaten = false;
    l->eaten = ask->glaze->eats_g_m2;
    l->share = ask->glaze->dissolved_share;
  }
  if (lh_learn_check(l, &bad) != LH_OK)
    return bad < n ? tile_fault(fault, LH_RANGE, bad, "reflectance",
                                "correct the readings or the coat weight",
                                "no tile reads so")
                   : lh_fault_say(fault, LH_RANGE, "/tiles",
                                  "add tiles with slip on them",
                                  "there is too little to learn from");
  return LH_OK;
}

/* A ground's internal reflectance from the colours of its own tiles: the
** smoothest spectrum of each, seen through the glaze's surface; their mean. */
static lh_status ground_spectrum(const lh_learn_ask *ask,
                                 const lh_glaze_table *const as_read[3],
                                 lh_learn_set *set, size_t g, lh_fault *fault)
{
  const lh_learn_tile_ask *t = ask->tiles.items;
  lh_three *l = &set->numbers;
  double R[LH_WAVES], n = 0;

  memset(l->ground[g], 0, sizeof l->ground[g]);
  for (size_t i = 0; i < ask->tiles.count; i++) {
    const double *v = t[i].lab.items;
    int way = t[i].geometry < 0 ? ask->geometry : t[i].geometry;
    if (!t[i].is_ground || ground_of(set, t[i].ground) != g) continue;
    lh_xyz d65 = lh_lab_xyz((lh_lab){v[0], v[1], v[2]}, lh_srgb_white());
    if (lh_recover(d65, R, NULL) != LH_OK)
      return tile_fault(fault, LH_RANGE, i, "lab", "read the tile again",
                        "no surface has this colour");
    for (size_t w = 0; w < LH_WAVES; w++) {
      if (as_read[way]) {
        lh_boundary b = lh_glaze_at(as_read[way], l->absorb * t[i].glaze_g_m2);
        R[w] = lh_boundary_internal(&b, R[w]);
      }
      l->ground[g][w] += R[w];
    }
    n++;
  }
  for (size_t w = 0; w < LH_WAVES; w++)
    l->ground[g][w] = fmin(fmax(l->ground[g][w] / n, 0.001), 0.999);
  return LH_OK;
}

static lh_status ready_three(const lh_learn_ask *ask, lh_arena *a,
                             const lh_glaze_table *const as_read[3],
                             lh_learn_set *set, lh_fault *fault)
{
  const lh_glaze_table *surface = as_read[ask->geometry];
  const lh_learn_tile_ask *t = ask->tiles.items;
  lh_three_tile *tiles = lh_arena_take(a, ask->tiles.count, sizeof *tiles);
  lh_three *l = &set->numbers;
  double sd = !isnan(ask->lab_error)               ? ask->lab_error
              : ask->read_by == LH_READ_PHOTOGRAPH ? 2.0
                                                   : 0.5;
  size_t bad;
  lh_status st = LH_OK;

  if (!tiles) return LH_NOMEM;
  *l = (lh_three){.tiles = tiles, .grounds = set->grounds, .surface = surface};
  if (set->absorb_told) {
    for (size_t w = 0; w < LH_WAVES; w++)
      l->absorb += ask->glaze->absorption_m2_g[w] / LH_WAVES;
  }
  if (surface && !isnan(ask->glaze->eats_g_m2)) {
    l->eaten = ask->glaze->eats_g_m2;
    l->share = ask->glaze->dissolved_share;
  }
  lh_spectrum_rows(LH_D65, l->rows);
  l->white = lh_spectrum_white(LH_D65);
  for (size_t i = 0; i < ask->tiles.count; i++) {
    const double *v = t[i].lab.items;
    if (t[i].is_ground) continue;
    set->of_tile[l->n] = i;
    tiles[l->n++] =
        (lh_three_tile){t[i].coat,
                        t[i].coat_error_percent / 100,
                        surface ? t[i].glaze_g_m2 : 0,
                        ground_of(set, t[i].ground),
                        t[i].geometry < 0 ? NULL : as_read[t[i].geometry],
                        {v[0], v[1], v[2]},
                        fmax(sd, t[i].lab_sd)};
  }
  for (size_t g = 0; g < set->grounds && st == LH_OK; g++)
    st = ground_spectrum(ask, as_read, set, g, fault);
  if (st == LH_OK && lh_three_check(l, &bad) != LH_OK)
    st = bad < l->n ? tile_fault(fault, LH_RANGE, set->of_tile[bad], "lab",
                                 "correct the reading or the coat weight",
                                 "no tile reads so")
                    : lh_fault_say(fault, LH_RANGE, "/tiles",
                                   "make two tiles at least with slip on them",
                                   "there is too little to learn from");
  return st;
}

lh_status lh_learn_ready(const lh_learn_ask *ask, lh_arena *a,
                         lh_learn_set *set, lh_fault *fault)
{
  lh_learn_tile_ask *t = ask->tiles.items;
  size_t n = ask->tiles.count;
  const lh_glaze_table *as_read[3] = {NULL, NULL, NULL};
  lh_status st = LH_OK;

  memset(set, 0, sizeof *set);
  for (size_t i = 0; i < n && st == LH_OK; i++) {
    st = coat_of(ask, i, &t[i], fault);
    set->coated += !t[i].is_ground;
  }
  if (st == LH_OK) st = readings(ask, set, fault);
  if (st == LH_OK) st = glazed_alike(ask, fault);
  if (st == LH_OK) st = grounds(set, t, n, fault);
  if (st != LH_OK) return st;
  if (set->coated == 0)
    return lh_fault_say(fault, LH_INPUT, "/tiles",
                        "add tiles with the slip on them",
                        "no tile has slip on it");
  set->weights = different(t, n, false);
  set->absorb_told = ask->glaze && ask->glaze->absorption_m2_g;
  set->may_dissolve = !set->three && set->weights >= 5 && set->grounds >= 2;
  if (ask->glaze && !isnan(ask->glaze->eats_g_m2) &&
      ask->glaze->dissolving >= 0)
    return lh_fault_say(fault, LH_INPUT, "/glaze/dissolving",
                        "take dissolving out, or eats_g_m2",
                        "what the glaze eats is told already");
  if (ask->glaze && ask->glaze->dissolving == 1 && !set->may_dissolve)
    return lh_fault_say(
        fault, LH_INPUT, "/glaze/dissolving",
        "make spectra of five coat weights or more over two grounds, or take "
        "it out",
        "what the glaze eats cannot be told from %zu coat weight%s over %zu "
        "ground%s%s",
        set->weights, set->weights == 1 ? "" : "s", set->grounds,
        set->grounds == 1 ? "" : "s", set->three ? " by L*a*b*" : "");
  st = surfaces(ask, a, as_read);
  if (st != LH_OK) return st;
  return set->three ? ready_three(ask, a, as_read, set, fault)
                    : ready_spectra(ask, a, as_read, set, fault);
}
