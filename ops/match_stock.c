/* SPDX-License-Identifier: GPL-3.0-or-later */
/* match_stock.c -- the stains to choose from: told, or kept in the book. */
#include <math.h>
#include <string.h>

#include "book.h"
#include "heap.h"
#include "match_room.h"
#include "recipe_doc.h"

typedef struct {
  const lh_call *call;
  lh_stain_doc *list;
  size_t n;
  lh_fault *fault;
} gathering;

static bool told(const gathering *g, const char *name)
{
  for (size_t i = 0; i < g->n; i++)
    if (strcmp(g->list[i].name, name) == 0) return true;
  return false;
}

static lh_status too_many(lh_fault *fault)
{
  return lh_fault_say(fault, LH_TOOLARGE, "/stock", "name fewer in stock",
                      "more than %d stains are not tried at once",
                      LH_MATCH_STAINS);
}

/* A material of the book as a stain.  One without K and S is passed over, or
** refused when it was named. */
static lh_status take(gathering *g, const json_t *material, const lh_at *at,
                      bool named)
{
  lh_material_doc d;
  char where[128];
  json_t *own = lh_json_copy(material);
  lh_status st;

  if (!own) return lh_fault_plain(g->fault, LH_NOMEM, "/stock");
  json_object_del(own, "id");
  st =
      lh_fields_read(&lh_material_table, own, at, g->call->arena, &d, g->fault);
  if (st == LH_OK && d.absorption && d.scattering) {
    if (g->n == LH_MATCH_STAINS) {
      st = too_many(g->fault);
    } else if (!told(g, d.name)) {
      g->list[g->n++] = (lh_stain_doc){
          lh_heap_text(g->call->arena, d.name),
          d.absorption,
          d.scattering,
          isnan(d.most_percent) ? LH_STAIN_MOST_PERCENT : d.most_percent,
          d.price_per_kg,
          d.stock_g,
          d.stain_family,
          0, /* inert */
          NULL,
          NULL,
          {NULL, 0}};
      if (!g->list[g->n - 1].name) st = LH_NOMEM;
    }
  } else if (st == LH_OK && (named || d.absorption || d.scattering)) {
    lh_at_pointer(at, where, sizeof where);
    st = lh_fault_say(g->fault, LH_INPUT, where,
                      "learn both from tiles, and keep them with the material",
                      "\"%.60s\" has no %s in the book", d.name,
                      d.absorption ? "scattering_m2_g" : "absorption_m2_g");
  }
  json_decref(own);
  return st;
}

static lh_status by_name(gathering *g, const lh_list *names)
{
  static const lh_at stock = {NULL, "stock", 0};
  const char *const *name = names->items;

  if (names->count && !g->call->book)
    return lh_fault_say(g->fault, LH_INPUT, "/stock",
                        "give the stains themselves in stains",
                        "no book is open to look \"%.60s\" up in", name[0]);
  for (size_t i = 0; i < names->count; i++) {
    lh_at at = {&stock, NULL, i};
    char where[64];
    json_t *found = NULL;
    lh_status st = lh_book_named(g->call->book, LH_BOOK_MATERIAL, name[i],
                                 &found, NULL, g->fault);
    if (st != LH_OK) return st;
    lh_at_pointer(&at, where, sizeof where);
    if (!found)
      return lh_fault_say(g->fault, LH_INPUT, where,
                          "keep it there, or give it in stains",
                          "no material \"%.60s\" is in the book", name[i]);
    st = take(g, found, &at, true);
    if (st != LH_OK) return st;
  }
  return LH_OK;
}

/* ---- all that the book has ---------------------------------------------- */

enum { PAGE = 200 }; /* materials listed at a time */

typedef struct {
  char id[PAGE][LH_BOOK_ID + 1];
  size_t n;
} page;

static bool keep_id(void *user, const lh_book_record *record)
{
  page *p = user;

  strncpy(p->id[p->n], record->id, LH_BOOK_ID);
  return ++p->n < PAGE;
}

static lh_status whole_stock(gathering *g)
{
  static const lh_at stock = {NULL, "stock", 0};
  page *p = lh_arena_take(g->call->arena, 1, sizeof *p);
  lh_status st = LH_OK;
  bool more = true;

  if (!g->call->book) return LH_OK;
  if (!p) return lh_fault_plain(g->fault, LH_NOMEM, "/stock");
  for (long skip = 0; st == LH_OK && more; skip += PAGE) {
    memset(p, 0, sizeof *p);
    st = lh_book_list(g->call->book, LH_BOOK_MATERIAL, false, skip, PAGE,
                      keep_id, p, g->fault);
    for (size_t i = 0; i < p->n && st == LH_OK; i++) {
      json_t *found;
      st = lh_book_read(g->call->book, p->id[i], 0, &found, NULL, g->fault);
      if (st == LH_OK) st = take(g, found, &stock, false);
    }
    more = p->n == PAGE;
  }
  return st;
}

lh_status lh_match_gather(const lh_call *call, lh_match_work *w,
                          lh_fault *fault)
{
  const lh_match_fields *f = w->fields;
  gathering g = {
      .call = call,
      .list = lh_arena_take(call->arena, LH_MATCH_STAINS, sizeof *g.list),
      .fault = fault};
  lh_status st;

  if (!g.list) return lh_fault_plain(fault, LH_NOMEM, "/stains");
  if (f->stains.count)
    memcpy(g.list, f->stains.items, f->stains.count * sizeof *g.list);
  g.n = f->stains.count;
  st = f->stains.items || f->stock.items ? by_name(&g, &f->stock)
                                         : whole_stock(&g);
  if (st != LH_OK) return st;
  w->stains = g.list;
  w->n_stains = g.n;
  if (g.n > 0) return LH_OK;
  return lh_fault_say(
      fault, LH_INPUT, "/stains",
      "give at least one, or keep stains with absorption_m2_g and "
      "scattering_m2_g in the book",
      "no stain stands there%s",
      call->book && !f->stains.items && !f->stock.items
          ? ", and no material of the book has K and S"
          : "");
}
