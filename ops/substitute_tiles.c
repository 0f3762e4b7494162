/* SPDX-License-Identifier: GPL-3.0-or-later */
/* substitute_tiles.c -- the first tiles to make of a choice. */
#include <string.h>

#include "heap.h"
#include "substitute_room.h"

/* What is weighed of the old recipe's line, in its parts. */
static double weighed(const lh_recipe_found *f, size_t i)
{
  double parts = 0.0;

  if (!f->lines[i].addition) return f->lines[i].amount;
  for (size_t k = 0; k < f->parts; k++) parts += f->lines[k].amount;
  return f->lines[i].amount * parts / 100.0;
}

/* ---- the first tiles ---------------------------------------------------- */

/* Grams of one material on a tile that is `share` new; by name. */
static double blended(const lh_sub *s, const lh_recipe_found *f, double share,
                      const char *name)
{
  double g = 0.0, old = 0.0, new_ = 0.0;

  for (size_t i = 0; s->old && i < s->old->count; i++)
    old += weighed(s->old, i);
  for (size_t i = 0; i < f->count; i++) new_ += f->lines[i].amount;
  for (size_t i = 0; s->old && share < 1.0 && i < s->old->count; i++)
    if (strcmp(s->old->found[i].name, name) == 0)
      g += (1.0 - share) * weighed(s->old, i) / old;
  for (size_t i = 0; i < f->count; i++)
    if (strcmp(f->found[i].name, name) == 0)
      g += share * f->lines[i].amount / new_;
  return g * s->ask->tile_g;
}

/* The materials of both recipes, each once. */
static size_t both(const lh_sub *s, const lh_recipe_found *f,
                   const char **names, size_t room)
{
  size_t old = s->old && s->all_had ? s->old->count : 0, n = 0;

  for (size_t i = 0; i < f->count + old && n < room; i++) {
    const char *name =
        i < f->count ? f->found[i].name : s->old->found[i - f->count].name;
    bool again = false;
    for (size_t k = 0; k < n && !again; k++)
      again = strcmp(names[k], name) == 0;
    if (!again) names[n++] = name;
  }
  return n;
}

/* "kaolin 10.0, quartz 30.0"; and into a list, unless it is NULL. */
const char *lh_sub_tile_words(const lh_sub *s, const lh_recipe_found *f,
                              double share, lh_reply *r, json_t *lines)
{
  const char *names[160];
  size_t n = both(s, f, names, 160), used = 0;
  char text[900] = "";

  for (size_t i = 0; i < n; i++) {
    double g = blended(s, f, share, names[i]);
    if (!(g > 0.0)) continue;
    if (lines) {
      json_t *item = lh_reply_item(r, lines);
      lh_reply_string(r, item, "material", names[i]);
      lh_reply_number(r, item, "grams", g);
    }
    if (used < sizeof text)
      used += (size_t)snprintf(text + used, sizeof text - used, "%s%s %.1f",
                               used ? ", " : "", names[i], g);
  }
  return lh_heap_text(r->arena, text);
}

/* The first step of the line: 0, the old recipe, if that can be mixed. */
int lh_sub_first_step(const lh_sub *s)
{
  return s->old && s->all_had ? 0 : LH_SUB_STEPS - 1;
}

void lh_sub_put_tiles(const lh_sub *s, const lh_recipe_found *f, lh_reply *r,
                      json_t *to)
{
  json_t *o = lh_reply_object(r, to, "tiles");
  json_t *list;
  int first = lh_sub_first_step(s);

  lh_reply_number(r, o, "tile_g", s->ask->tile_g);
  lh_reply_string(r, o, "kind", first == 0 ? "line" : "single");
  lh_reply_string(r, o, "why",
                  first == 0 ? "a line from the old recipe to the new"
                  : s->old   ? "the old recipe cannot be mixed any more: put "
                               "the tile beside an old one"
                             : "there is no old recipe, only a formula");
  list = lh_reply_list(r, o, "steps");
  for (int k = first; k < LH_SUB_STEPS; k++) {
    double share = (double)k / (LH_SUB_STEPS - 1);
    json_t *item = lh_reply_item(r, list);
    lh_reply_number(r, item, "new_percent", 100.0 * share);
    (void)lh_sub_tile_words(s, f, share, r, lh_reply_list(r, item, "lines"));
  }
}

void lh_sub_say_tiles(const lh_sub *s, const lh_recipe_found *f, lh_reply *r)
{
  int first = lh_sub_first_step(s);

  lh_reply_title(r, "First tiles");
  if (first == 0)
    lh_reply_text(r,
                  "A line from the old recipe to the new, grams for %g g dry:",
                  s->ask->tile_g);
  else
    lh_reply_text(r,
                  "%sMake a tile of each recipe above, side by side%s.  Grams "
                  "for %g g dry of the nearest:",
                  s->old ? "The old recipe cannot be mixed any more.  " : "",
                  s->old ? " with an old tile" : "", s->ask->tile_g);
  for (int k = first; k < LH_SUB_STEPS; k++) {
    double share = (double)k / (LH_SUB_STEPS - 1);
    const char *words = lh_sub_tile_words(s, f, share, r, NULL);
    if (words) lh_reply_text(r, "%.0f %% new: %s", 100.0 * share, words);
  }
}
