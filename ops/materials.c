/* SPDX-License-Identifier: GPL-3.0-or-later */
/* materials.c -- the operation `materials`: a supplier's table, read. */
#include "material_words.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "heap.h"
#include "recipe_doc.h"

typedef struct {
  const char *table, *file;
  lh_list leave_out;
  double trace_percent;
} materials_ask;

static const lh_field materials_rows[] = {
    {.key = "table",
     .kind = LH_F_TEXT,
     .offset = offsetof(materials_ask, table),
     .required = true,
     .file = true,
     .help = "The table as text (CSV): a heading, then a line a material."},
    LH_TEXT(materials_ask, file, "file", false,
            "What to call the table in messages, a file's name."),
    {.key = "leave_out",
     .kind = LH_F_TEXTS,
     .offset = offsetof(materials_ask, leave_out),
     .help = "Headings of columns that are not wanted, such as mesh."},
    LH_NUMBER(materials_ask, trace_percent, "trace_percent", false, 0, 5,
              LH_ANALYSIS_TRACE, "wt%",
              "What the word \"trace\" may amount to (a judgement)."),
};
static const lh_fields materials_table =
    LH_FIELDS("materials", materials_ask, materials_rows);

/* Sums of decimal figures carry dust in their last bits. */
static double tidy(double v)
{
  return round(v * 1e9) / 1e9;
}

/* ---- one document ------------------------------------------------------- */

static int put(json_t *to, const char *key, double v)
{
  return isfinite(v) ? json_object_set_new(to, key, json_real(v)) : 0;
}

static int put_figure(json_t *analysis, json_t *uncertainty, const char *key,
                      const lh_analysis_figure *f)
{
  if (!f->told) return 0;
  if (f->e > 0.0 && put(uncertainty, key, f->e) != 0) return -1;
  return put(analysis, key, f->percent);
}

static int fill(json_t *d, const lh_analysis *m)
{
  json_t *analysis = json_object(), *uncertainty = json_object();
  int bad = json_object_set_new(d, "name", json_string(m->name));

  if (m->class_ >= 0)
    bad |= json_object_set_new(d, "class",
                               json_string(lh_material_classes[m->class_]));
  for (size_t i = 0; i < LH_OXIDE_FORMS; i++)
    bad |= put_figure(analysis, uncertainty, lh_oxide_symbol(i), &m->oxide[i]);
  bad |= put_figure(analysis, uncertainty, "LOI", &m->loi);
  bad |= json_object_set(d, "analysis", analysis);
  if (json_object_size(uncertainty))
    bad |= json_object_set(d, "uncertainty", uncertainty);
  bad |= put(d, "density", m->density);
  bad |= put(d, "price_per_kg", m->price_per_kg);
  bad |= put(d, "stock_g", m->stock_g);
  if (m->hazards)
    bad |= json_object_set_new(d, "hazards", json_string(m->hazards));
  if (m->note) bad |= json_object_set_new(d, "note", json_string(m->note));
  json_decref(analysis);
  json_decref(uncertainty);
  return bad;
}

json_t *lh_materials_document(const lh_analysis *m)
{
  json_t *d = json_object();

  if (d && fill(d, m) == 0) return d;
  json_decref(d);
  return NULL;
}

/* ---- the book ----------------------------------------------------------- */

/* What stands in the book, with what the table tells put over it. */
static json_t *renewed_from(const json_t *stands, const json_t *told)
{
  json_t *d = lh_json_copy(stands);

  if (!d) return NULL;
  json_object_del(d, "formula");
  json_object_del(d, "moles");
  json_object_del(d, "analysis");
  json_object_del(d, "uncertainty");
  if (json_object_update(d, (json_t *)(uintptr_t)told) == 0) return d;
  json_decref(d);
  return NULL;
}

static lh_status keep_one(lh_book *b, const lh_analysis *m, const char *device,
                          bool *is_new, lh_book_saved *saved, lh_fault *fault)
{
  json_t *told = lh_materials_document(m), *stands = NULL, *d = NULL;
  lh_book_record record;
  lh_status st;

  if (!told) return lh_fault_plain(fault, LH_NOMEM, m->name);
  st = lh_book_named(b, LH_BOOK_MATERIAL, m->name, &stands, &record, fault);
  *is_new = stands == NULL;
  if (st == LH_OK && *is_new)
    st = lh_book_add(b, LH_BOOK_MATERIAL, told, device, saved, fault);
  if (st == LH_OK && !*is_new) {
    /* The record is the book's until its next call: copied here. */
    char id[LH_BOOK_ID + 1];
    snprintf(id, sizeof id, "%s", record.id);
    d = renewed_from(stands, told);
    st = d ? lh_book_save(b, id, record.number, d, device, false, saved, fault)
           : lh_fault_plain(fault, LH_NOMEM, m->name);
  }
  json_decref(d);
  json_decref(told);
  return st;
}

lh_status lh_materials_keep(lh_book *b, const lh_analyses *all,
                            const char *device, long *added, long *renewed,
                            long *same, lh_fault *fault)
{
  lh_status st = LH_OK;

  *added = *renewed = *same = 0;
  for (size_t i = 0; i < all->count && st == LH_OK; i++) {
    lh_book_saved saved;
    bool is_new = false;
    st = keep_one(b, &all->material[i], device, &is_new, &saved, fault);
    if (st != LH_OK) break;
    if (saved.how == LH_BOOK_UNCHANGED)
      ++*same;
    else if (is_new)
      ++*added;
    else
      ++*renewed;
  }
  return st;
}

/* ---- for a person ------------------------------------------------------- */

/* Past this a total is worth a look [%]: a judgement.  Analyses commonly add
** to 99 to 101; a missing loss on ignition shows as 5 to 45. */
static const double TOTAL_OFF = 1.5;

static void put_total(lh_reply *r, const lh_analysis *m)
{
  double off = m->total - 100.0, stated = m->stated_total;

  if (fabs(off) > TOTAL_OFF + m->rounding)
    lh_reply_line(r, LH_LINE_CAUTION,
                  "%s\tits figures add to %.2f %%, not 100: taken as they "
                  "stand\tlook for a figure that is missing, or ask the "
                  "supplier",
                  m->name, m->total);
  /* The stated total is rounded, too: to 0.01 at best, 0.5 at worst. */
  if (isfinite(stated) && fabs(stated - m->total) > m->rounding + 0.5)
    lh_reply_line(r, LH_LINE_CAUTION,
                  "%s\tits figures add to %.2f %%, the table says %.2f\t"
                  "look for a column that is missing or was left out",
                  m->name, m->total, stated);
}

/* A clay that loses nothing was analysed after firing (common practice, no
** source: clays lose 4 to 14 %). */
static void put_loss(lh_reply *r, const lh_analysis *m)
{
  const char *class_ = m->class_ < 0 ? "" : lh_material_classes[m->class_];

  if (m->loi.told || m->oxide[lh_oxide_find("H2O")].told) return;
  if (strcmp(class_, "plastic clay") && strcmp(class_, "kaolin")) return;
  lh_reply_line(r, LH_LINE_CAUTION,
                "%s\ta clay without a loss on ignition: this looks like the "
                "analysis of what is left after firing\task the supplier for "
                "the loss on ignition, and scale the oxides to the rest",
                m->name);
}

static void put_ranges(lh_reply *r, const lh_analyses *all)
{
  long n = 0;

  for (size_t i = 0; i < all->count; i++) {
    for (size_t k = 0; k < LH_OXIDE_FORMS; k++)
      n += all->material[i].oxide[k].e > 0.0;
    n += all->material[i].loi.e > 0.0;
  }
  if (n)
    lh_reply_text(r,
                  "%ld figures came as less than, trace, or with a range, and "
                  "keep it: less than 0.1 is 0, at most 0.1.",
                  n);
}

void lh_materials_put(lh_reply *r, const lh_analyses *all)
{
  json_t *list = lh_reply_list(r, NULL, "materials");
  json_t *lines = lh_reply_list(r, NULL, "totals");
  json_t *out = lh_reply_list(r, NULL, "left_out");

  lh_reply_title(r, "%zu material%s", all->count, all->count == 1 ? "" : "s");
  lh_reply_line(r, LH_LINE_HEAD, "name\ttotal %%\tLOI %%\tclass");
  for (size_t i = 0; i < all->count; i++) {
    const lh_analysis *m = &all->material[i];
    json_t *item = lh_reply_item(r, lines), *d = lh_materials_document(m);
    if (!d || json_array_append_new(list, d) != 0) r->st = LH_NOMEM;
    lh_reply_string(r, item, "name", m->name);
    lh_reply_number(r, item, "line", (double)m->line);
    lh_reply_number(r, item, "total_percent", tidy(m->total));
    lh_reply_number(r, item, "stated_total_percent", m->stated_total);
    lh_reply_row(r, "%s\t%.2f\t%s\t%s", m->name, m->total,
                 m->loi.told ? lh_heap_print(r->arena, "%.2f", m->loi.percent)
                             : "-",
                 m->class_ < 0 ? "-" : lh_material_classes[m->class_]);
  }
  for (size_t i = 0; i < all->count; i++) {
    put_total(r, &all->material[i]);
    put_loss(r, &all->material[i]);
  }
  put_ranges(r, all);
  for (size_t i = 0; i < all->left_out_count; i++)
    if (json_array_append_new(out, json_string(all->left_out[i])) != 0)
      r->st = LH_NOMEM;
  if (all->above)
    lh_reply_text(r, "%zu line%s above the heading passed over.", all->above,
                  all->above == 1 ? "" : "s");
}

static lh_status run(const lh_call *call, const void *document, lh_reply *r,
                     lh_fault *fault)
{
  const materials_ask *a = document;
  lh_analysis_ask ask = {.name = a->file ? a->file : "table",
                         .trace = a->trace_percent,
                         .leave_out = a->leave_out.items,
                         .leave_out_count = a->leave_out.count};
  lh_analyses all;
  lh_status st = lh_analysis_read(a->table, strlen(a->table), &ask, call->arena,
                                  &all, fault);

  if (st == LH_OK) lh_materials_put(r, &all);
  return st;
}

const lh_operation lh_op_materials = {
    .name = "materials",
    .help = "read a supplier's table of analyses as materials",
    .purpose =
        "A supplier's analyses, as the table they come in, become materials "
        "that recipes can name: put them under \"materials\" of another "
        "document, or into a book at once with leatherhard book FILE stock "
        "TABLE.  Columns stand in any order: the name, oxides in weight per "
        "cent, loss on ignition by any of its usual names; class, price per "
        "kg, stock g, density, hazards, note, total when they are there.  "
        "Cells may be empty, -, <0.1 or trace, with a point or a comma.  "
        "Nothing is scaled: a total that is not 100 is told.  A table that "
        "cannot be read is refused as a whole, with line and column.",
    .fields = &materials_table,
    .run = run,
    .example =
        "{\"table\": \"name;class;SiO2;Al2O3;CaO;K2O;Na2O;Fe2O3;L.O.I.\\n"
        "Meadow feldspar (invented);flux;66,5;18,2;<0,1;10,9;2,8;0,1;0,4\\n"
        "Harbour kaolin (invented);kaolin;47,1;37,3;-;1,8;trace;0,7;12,6\\n"
        "\"}",
};
