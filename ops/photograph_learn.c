/* SPDX-License-Identifier: GPL-3.0-or-later */
/* photograph_learn.c -- tiles of `learn` that were photographed. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "learn_ask.h"
#include "photograph.h"
#include "stack_words.h"

/* What L*, a* and b* of a photographed tile are good to at best, one standard
** deviation (a judgement, as `lab_error` says); and how many of them a 90 %
** range in three numbers is wide: the root of chi-squared's 6.251. */
static const double LEAST_SD = 2.0, SIGMAS = 2.5003;

static lh_status give_one(const lh_call *call, lh_learn_ask *ask,
                          const lh_photograph_reading *from, const char *where,
                          lh_fault *fault)
{
  lh_learn_tile_ask *t = ask->tiles.items;
  double *lab;

  for (size_t i = 0; i < ask->tiles.count; i++) {
    if (strcmp(t[i].name, from->name) != 0) continue;
    if (t[i].lab_sd > 0)
      return lh_fault_say(fault, LH_INPUT, where,
                          "leave it out of one of the photographs",
                          "tile \"%.60s\" is in two photographs", from->name);
    if (t[i].reflectance || t[i].lab.count > 0) continue;
    lab = lh_arena_take(call->arena, 3, sizeof *lab);
    if (!lab) return LH_NOMEM;
    lab[0] = from->lab.L, lab[1] = from->lab.a, lab[2] = from->lab.b;
    t[i].lab = (lh_list){lab, 3};
    t[i].lab_sd = fmax(LEAST_SD, from->range / SIGMAS);
  }
  return LH_OK;
}

/* Photographs say by themselves with what was read, and in which geometry. */
static lh_status kind(const lh_call *call, lh_learn_ask *ask, lh_fault *fault)
{
  if (ask->read_by >= 0 && ask->read_by != LH_READ_PHOTOGRAPH)
    return lh_fault_say(fault, LH_INPUT, "/tiles_read_by",
                        "say \"photograph\", or leave it out",
                        "the tiles are in photographs");
  ask->read_by = LH_READ_PHOTOGRAPH;
  if (!json_object_get(call->document, "geometry")) ask->geometry = LH_45_0;
  return LH_OK;
}

lh_status lh_learn_photographs(const lh_call *call, lh_learn_ask *ask,
                               struct lh_photograph_read **read,
                               lh_fault *fault)
{
  const lh_photograph_ask *p = ask->photographs.items;
  size_t n = ask->photographs.count;
  lh_status st;

  *read = NULL;
  if (n == 0) return LH_OK;
  *read = lh_arena_take(call->arena, n, sizeof **read);
  if (!*read) return LH_NOMEM;
  st = kind(call, ask, fault);
  for (size_t i = 0; i < n && st == LH_OK; i++) {
    lh_photograph_read *one = &(*read)[i];
    char where[64];
    snprintf(where, sizeof where, "/photographs/%zu", i);
    st = lh_photograph_take(call, &p[i], where, one, fault);
    for (size_t j = 0; st == LH_OK && j < one->n; j++)
      st = give_one(call, ask, &one->reading[j], where, fault);
  }
  return st;
}

void lh_learn_photographs_tell(const lh_learn_ask *ask,
                               const struct lh_photograph_read *read,
                               lh_reply *r)
{
  json_t *list;

  if (!read) return;
  list = lh_reply_list(r, NULL, "photographs");
  for (size_t i = 0; i < ask->photographs.count; i++) {
    lh_photograph_put(&read[i], r, lh_reply_item(r, list));
    if (ask->photographs.count > 1)
      lh_reply_title(r, "Photograph %zu", i + 1);
    else
      lh_reply_title(r, "The photograph");
    lh_photograph_say(&read[i], r);
  }
}
