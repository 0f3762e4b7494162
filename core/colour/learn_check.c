/* SPDX-License-Identifier: GPL-3.0-or-later */
/* learn_check.c -- what can be asked of tiles (learn.h). */
#include <math.h>

#include "learn.h"

static bool tile_good(const lh_learn *l, const lh_learn_tile *t)
{
  if (!(t->coat >= 0 && t->coat <= 1e5) || t->ground >= l->grounds)
    return false;
  if (!(t->glaze >= 0 && t->glaze <= 1e5)) return false;
  if ((l->surface != NULL) != (t->glaze > 0)) return false;
  if (!l->surface && t->surface) return false;
  if (!(t->stain >= 0 && t->stain < 1)) return false;
  if (t->coat > 0 && !(t->coat_sd > 0 && t->coat_sd <= 1)) return false;
  for (size_t w = 0; w < LH_WAVES; w++)
    if (!(t->reading[w] > -0.1 && t->reading[w] < 1.5) ||
        !(t->reading_sd[w] > 0 && t->reading_sd[w] < 1))
      return false;
  return true;
}

/* How many coat weights differ by more than a tenth. */
static size_t weights(const lh_learn *l, bool of_glaze)
{
  double seen[LH_LEARN_TILES];
  size_t count = 0;

  for (size_t i = 0; i < l->n; i++) {
    double x = of_glaze ? l->tiles[i].glaze : l->tiles[i].coat;
    bool is_new = x > 0;
    for (size_t j = 0; j < count; j++)
      if (fabs(x - seen[j]) <= 0.1 * fmax(x, seen[j])) is_new = false;
    if (is_new) seen[count++] = x;
  }
  return count;
}

static bool same_strength(const lh_learn_tile *a, const lh_learn_tile *b)
{
  return a->coat > 0 && b->coat > 0 &&
         fabs(a->stain - b->stain) <= 0.1 * fmax(a->stain, b->stain);
}

/* Two strengths are one when they differ by a tenth or less, as two coats. */
size_t lh_learn_strengths(const lh_learn *l)
{
  size_t count = 0;

  for (size_t i = 0; i < l->n; i++) {
    const lh_learn_tile *a = &l->tiles[i];
    bool first = a->coat > 0, two = false;
    for (size_t j = 0; j < l->n; j++) {
      const lh_learn_tile *b = &l->tiles[j];
      if (!same_strength(a, b)) continue;
      if (j < i) first = false;
      two |= a->ground != b->ground ||
             fabs(a->coat - b->coat) > 0.1 * fmax(a->coat, b->coat);
    }
    count += first && two;
  }
  return count;
}

lh_status lh_learn_check(const lh_learn *l, size_t *bad)
{
  *bad = l->n;
  if (l->n < 2 || l->n > LH_LEARN_TILES) return LH_RANGE;
  if (l->grounds < 1 || l->grounds > LH_LEARN_GROUNDS) return LH_RANGE;
  if (!(l->smooth > 0) || !(l->eaten >= 0) || !(l->share >= 0 && l->share <= 1))
    return LH_RANGE;
  for (size_t i = 0; i < l->n; i++)
    if (!tile_good(l, &l->tiles[i])) {
      *bad = i;
      return LH_RANGE;
    }
  for (size_t g = 0; g < l->grounds; g++) {
    bool alone = false;
    for (size_t i = 0; i < l->n; i++)
      alone |= l->tiles[i].ground == g && !(l->tiles[i].coat > 0);
    if (!alone) return LH_RANGE;
  }
  if (weights(l, false) < 1) return LH_RANGE;
  if (l->stained && lh_learn_strengths(l) < 2) return LH_RANGE;
  if (l->learn_absorb && (!l->surface || weights(l, true) < 2)) return LH_RANGE;
  if (l->learn_eaten &&
      (!l->surface || weights(l, false) < 5 || l->grounds < 2))
    return LH_RANGE;
  return LH_OK;
}
