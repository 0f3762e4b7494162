/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analysis.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "cells.h"
#include "nearest.h"
#include "number.h"
#include "recipe_doc.h"

typedef struct {
  const lh_analysis_ask *ask;
  const char *name;
  double trace;
  lh_arena *arena;
  lh_fault *fault;
  lh_analysis_head *head; /* of the columns */
  const lh_cell_row *heading;
} reading;

static lh_status fail(const reading *r, size_t line, size_t column,
                      const char *todo, const char *what)
{
  char where[256];

  lh_cells_where(where, sizeof where, r->name, line, column);
  return lh_fault_say(r->fault, LH_INPUT, where, todo, "%s", what);
}

static lh_status fail_at(const reading *r, const lh_cell *c, const char *todo,
                         const char *what)
{
  return fail(r, c->line, c->column, todo, what);
}

/* ---- the separator and the heading -------------------------------------- */

/* How well a line serves as the heading: oxides and LOI that it names, and a
** name's column for half of one. */
static size_t worth(const char *s, size_t n, char separator)
{
  size_t is = 0, from = 0;

  for (size_t i = 0; i <= n; i++) {
    size_t a = from, b = i;
    lh_analysis_head h;
    if (i < n && s[i] != separator) continue;
    from = i + 1;
    while (a < b && (s[a] == '"' || s[a] == ' ')) a++;
    while (b > a && (s[b - 1] == '"' || s[b - 1] == ' ')) b--;
    h = lh_analysis_head_of(s + a, b - a);
    if (h.what == LH_HEAD_OXIDE || h.what == LH_HEAD_LOI ||
        (h.what == LH_HEAD_UNIT && b > a))
      is += 2;
    if (h.what == LH_HEAD_NAME) is++;
  }
  return is;
}

enum { HEADING_WITHIN = 40, HEADING_WORTH = 3, HEADING_BYTES = 20000 };

/* The separator with which a line near the top names the most; 0: none. */
static char sniff(const char *s, size_t n)
{
  static const char each[] = {'\t', ';', ','};
  size_t best = HEADING_WORTH - 1;
  char found = 0;

  for (size_t line = 0; line < HEADING_WITHIN && n; line++) {
    size_t end = 0;
    while (end < n && s[end] != '\n' && s[end] != '\r') end++;
    for (size_t k = 0; k < sizeof each && end < HEADING_BYTES; k++) {
      size_t is = s[0] == '#' ? 0 : worth(s, end, each[k]);
      if (is > best) best = is, found = each[k];
    }
    end += end < n;
    s += end, n -= end;
  }
  return found;
}

/* Which row is the heading: the first that is worth it. */
static size_t find_heading(const lh_cells *t)
{
  for (size_t i = 0; i < t->count && i < HEADING_WITHIN; i++) {
    size_t is = 0;
    for (size_t k = 0; k < t->row[i].count; k++) {
      const char *s = t->row[i].cell[k].text;
      is += worth(s, strlen(s), '\n');
    }
    if (is >= HEADING_WORTH) return i;
  }
  return t->count;
}

/* Words for a table without a heading that we know; a usual cause is that
** the oxides stand one below the other. */
static lh_status no_heading(const reading *r, const char *s, size_t n)
{
  size_t down = 0;

  for (size_t line = 0; line < HEADING_WITHIN && n; line++) {
    size_t end = 0, cell;
    lh_analysis_head h;
    while (end < n && s[end] != '\n' && s[end] != '\r') end++;
    for (cell = 0; cell < end && !strchr("\t;,", s[cell]);) cell++;
    h = lh_analysis_head_of(s, cell);
    down += h.what == LH_HEAD_OXIDE || h.what == LH_HEAD_LOI;
    end += end < n;
    s += end, n -= end;
  }
  if (down > 1)
    return fail(r, 1, 1,
                "turn the table: one line for a material, one column for an "
                "oxide",
                "the oxides stand below each other");
  return fail(r, 1, 1,
              "let a line head the columns: name, SiO2, Al2O3, ..., LOI",
              "no line of the table names oxides");
}

/* ---- the columns -------------------------------------------------------- */

static bool same(const char *a, const char *b)
{
  char x[80], y[80];

  lh_analysis_fold(a, strlen(a), x, sizeof x);
  lh_analysis_fold(b, strlen(b), y, sizeof y);
  return strcmp(a, b) == 0 || (x[0] && strcmp(x, y) == 0);
}

static bool left_out(const reading *r, const char *text)
{
  for (size_t i = 0; i < r->ask->leave_out_count; i++)
    if (same(text, r->ask->leave_out[i])) return true;
  return false;
}

static lh_status unknown_column(const reading *r, const lh_cell *c)
{
  static const char *const more[] = {"LOI",          "name",    "class",
                                     "price per kg", "stock g", "density",
                                     "hazards",      "note",    "total"};
  enum { MORE = sizeof more / sizeof more[0] };
  const char *names[LH_OXIDE_FORMS + MORE];
  char what[256];
  size_t near;

  for (size_t i = 0; i < LH_OXIDE_FORMS; i++) names[i] = lh_oxide_symbol(i);
  memcpy(names + LH_OXIDE_FORMS, more, sizeof more);
  near = lh_nearest(c->text, names, LH_OXIDE_FORMS + MORE);
  snprintf(what, sizeof what, "no such column is known: \"%.60s\"%s%s", c->text,
           near < LH_OXIDE_FORMS + MORE ? "; the nearest is " : "",
           near < LH_OXIDE_FORMS + MORE ? names[near] : "");
  return fail_at(
      r, c,
      "correct the heading, or leave the column out: name it in leave_out, or "
      "behind the table in book FILE stock",
      what);
}

/* Two columns that mean one thing cannot both be believed. */
static lh_status only_once(const reading *r, size_t k)
{
  const lh_analysis_head *h = r->head;
  char what[160];

  if (h[k].what == LH_HEAD_OUT) return LH_OK;
  for (size_t i = 0; i < k; i++) {
    if (h[i].what != h[k].what || h[i].plus_minus != h[k].plus_minus) continue;
    if (h[i].what == LH_HEAD_OXIDE && h[i].oxide != h[k].oxide) continue;
    snprintf(what, sizeof what, "\"%.60s\" means the same as \"%.60s\" before",
             r->heading->cell[k].text, r->heading->cell[i].text);
    return fail_at(r, &r->heading->cell[k], "keep one of the two columns",
                   what);
  }
  return LH_OK;
}

/* A column without a heading may be the names, if it stands first, or hold
** nothing at all. */
static bool column_is_empty(const lh_cells *t, size_t heading, size_t k)
{
  for (size_t i = heading + 1; i < t->count; i++)
    if (k < t->row[i].count && t->row[i].cell[k].text[0]) return false;
  return true;
}

static lh_status read_heading(reading *r, const lh_cells *t, size_t heading,
                              lh_analyses *out)
{
  const lh_cell_row *row = r->heading = &t->row[heading];
  bool named = false;

  r->head = lh_arena_take(r->arena, row->count, sizeof *r->head);
  out->left_out = lh_arena_take(r->arena, row->count, sizeof *out->left_out);
  if (!r->head || !out->left_out)
    return lh_fault_plain(r->fault, LH_NOMEM, r->name);
  for (size_t k = 0; k < row->count; k++) {
    const lh_cell *c = &row->cell[k];
    lh_analysis_head *h = &r->head[k];
    *h = lh_analysis_head_of(c->text, strlen(c->text));
    if (!c->text[0] && k == 0 && !column_is_empty(t, heading, k))
      h->what = LH_HEAD_NAME;
    else if (!c->text[0] && column_is_empty(t, heading, k))
      h->what = LH_HEAD_OUT;
    if (c->text[0] && left_out(r, c->text)) {
      h->what = LH_HEAD_OUT;
      out->left_out[out->left_out_count++] = c->text;
    }
    if (h->what == LH_HEAD_UNKNOWN) return unknown_column(r, c);
    if (h->what == LH_HEAD_UNIT)
      return fail_at(r, c, h->why,
                     "it is not said in which unit this is, or "
                     "it is another than is read");
    if (only_once(r, k) != LH_OK) return LH_INPUT;
    named = named || h->what == LH_HEAD_NAME;
  }
  if (named) return LH_OK;
  return fail(r, row->line, 1, "head the column with the names \"name\"",
              "no column holds the names of the materials");
}

/* ---- the lines ---------------------------------------------------------- */

static lh_status bad_figure(const reading *r, size_t k, const lh_cell *c,
                            const char *what, const char *todo)
{
  char text[256];

  snprintf(text, sizeof text, "%.40s of this line, \"%.60s\": %.100s",
           r->heading->cell[k].text, c->text, what);
  return fail_at(r, c, todo, text);
}

static lh_status read_plain(const reading *r, size_t k, const lh_cell *c,
                            double least, double most, double *v)
{
  lh_number_why why;

  if (!c->text[0] || strcmp(c->text, "-") == 0) return LH_OK;
  if (lh_number_read(c->text, strlen(c->text), v, &why, NULL) != LH_OK)
    return bad_figure(r, k, c, lh_number_what(why), lh_number_todo(why));
  if (*v >= least && *v <= most) return LH_OK;
  return bad_figure(r, k, c, "out of the range that can be",
                    "correct it, or leave the cell empty");
}

static lh_status read_class(const reading *r, size_t k, const lh_cell *c,
                            int *class_)
{
  size_t n = 0, near;
  char what[160];

  if (!c->text[0] || strcmp(c->text, "-") == 0) return LH_OK;
  for (; lh_material_classes[n]; n++) {
    if (!same(c->text, lh_material_classes[n])) continue;
    *class_ = (int)n;
    return LH_OK;
  }
  near = lh_nearest(c->text, lh_material_classes, n);
  snprintf(what, sizeof what, "no such class is known%s%s",
           near < n ? "; the nearest is " : "",
           near < n ? lh_material_classes[near] : "");
  return bad_figure(r, k, c, what,
                    "use plastic clay, kaolin, silica, flux, frit, opacifier, "
                    "oxide, stain or other");
}

static lh_status read_figure(const reading *r, size_t k, const lh_cell *c,
                             lh_analysis *m)
{
  const lh_analysis_head *h = &r->head[k];
  bool oxide = h->what == LH_HEAD_OXIDE;
  lh_analysis_figure f, *to = oxide ? &m->oxide[h->oxide] : &m->loi;
  const char *what, *todo;
  double step;

  if (!lh_analysis_figure_of(c->text, r->trace, &f, &step, &what, &todo))
    return bad_figure(r, k, c, what, todo);
  if (h->plus_minus) {
    if (f.told) to->e = f.percent;
    return LH_OK;
  }
  if (to->e > 0.0 && f.e == 0.0) f.e = to->e; /* its column came before */
  *to = f;
  if (!f.told) return LH_OK;
  m->total += f.percent;
  m->rounding += step > 0.0 ? step : f.e;
  return LH_OK;
}

/* A total may be over 100; a figure may not. */
static lh_status read_total(const reading *r, size_t k, const lh_cell *c,
                            lh_analysis *m)
{
  return read_plain(r, k, c, 0, 1000, &m->stated_total);
}

static lh_status read_cell(const reading *r, size_t k, const lh_cell *c,
                           lh_analysis *m)
{
  switch (r->head[k].what) {
  case LH_HEAD_NAME: m->name = c->text; return LH_OK;
  case LH_HEAD_OXIDE:
  case LH_HEAD_LOI: return read_figure(r, k, c, m);
  case LH_HEAD_TOTAL: return read_total(r, k, c, m);
  case LH_HEAD_CLASS: return read_class(r, k, c, &m->class_);
  case LH_HEAD_PRICE: return read_plain(r, k, c, 0, 1e6, &m->price_per_kg);
  case LH_HEAD_STOCK: {
    lh_status st = read_plain(r, k, c, 0, 1e6, &m->stock_g);
    m->stock_g *= r->head[k].scale;
    return st;
  }
  case LH_HEAD_DENSITY: return read_plain(r, k, c, 0.5, 12, &m->density);
  case LH_HEAD_HAZARDS: m->hazards = c->text[0] ? c->text : NULL; return LH_OK;
  case LH_HEAD_NOTE: m->note = c->text[0] ? c->text : NULL; return LH_OK;
  case LH_HEAD_UNKNOWN:
  case LH_HEAD_UNIT:
  case LH_HEAD_OUT: break;
  }
  return LH_OK;
}

/* A line that only repeats the unit below the heading. */
static bool is_units(const reading *r, const lh_cell_row *row)
{
  static const char *const words[] = {
      "", "wt", "weight", "percent", "mass", "gew", "masse", "ma", NULL};
  bool says = false;

  for (size_t k = 0; k < row->count; k++) {
    const char *s = row->cell[k].text;
    char folded[16];
    size_t n = lh_analysis_fold(s, strlen(s), folded, sizeof folded), i = 0;
    if (k < r->heading->count && r->head[k].what == LH_HEAD_NAME && *s)
      return false;
    while (words[i] && strcmp(words[i], folded) != 0) i++;
    if (!words[i] || (n == 0 && *s && strcmp(s, "%") != 0)) return false;
    says = says || *s;
  }
  return says;
}

static lh_status judge_line(const reading *r, const lh_cell_row *row,
                            const lh_analysis *m)
{
  if (!m->name || !m->name[0])
    return fail(r, row->line, 1, "give the material a name",
                "this line has no name");
  if (m->total > 0.0) return LH_OK;
  return fail(r, row->line, 1, "give at least one oxide, or take the line out",
              "this line has no figure above 0");
}

static lh_status read_line(const reading *r, const lh_cell_row *row,
                           lh_analysis *m)
{
  *m = (lh_analysis){.line = row->line,
                     .class_ = -1,
                     .stated_total = NAN,
                     .price_per_kg = NAN,
                     .stock_g = NAN,
                     .density = NAN};
  for (size_t k = 0; k < row->count; k++) {
    lh_status st = LH_OK;
    if (k < r->heading->count)
      st = read_cell(r, k, &row->cell[k], m);
    else if (row->cell[k].text[0])
      st = fail_at(r, &row->cell[k],
                   "with decimal commas, separate by semicolons or tabs, or "
                   "quote the figures",
                   "this cell stands behind the last heading");
    if (st != LH_OK) return st;
  }
  return judge_line(r, row, m);
}

static lh_status no_other(const reading *r, const lh_analyses *out)
{
  const lh_analysis *m = out->material, *last = &m[out->count - 1];
  char what[160];

  for (size_t i = 0; i + 1 < out->count; i++) {
    if (strcmp(m[i].name, last->name) != 0) continue;
    snprintf(what, sizeof what, "\"%.60s\" stands on line %zu, too", last->name,
             m[i].line);
    return fail(r, last->line, 1, "keep one, or give each a name of its own",
                what);
  }
  return LH_OK;
}

static lh_status read_lines(const reading *r, const lh_cells *t, size_t heading,
                            lh_analyses *out)
{
  size_t rows = t->count - heading - 1;
  lh_status st = LH_OK;

  if (rows > LH_ANALYSIS_MOST)
    return lh_fault_say(r->fault, LH_TOOLARGE, r->name, "split the table",
                        "more than %d materials", LH_ANALYSIS_MOST);
  out->material =
      lh_arena_take(r->arena, rows ? rows : 1, sizeof *out->material);
  if (!out->material) return lh_fault_plain(r->fault, LH_NOMEM, r->name);
  for (size_t i = heading + 1; i < t->count && st == LH_OK; i++) {
    if (i == heading + 1 && is_units(r, &t->row[i])) continue;
    st = read_line(r, &t->row[i], &out->material[out->count]);
    if (st != LH_OK) return st;
    out->count++;
    st = no_other(r, out);
  }
  if (st != LH_OK || out->count) return st;
  return fail(r, r->heading->line, 1, "give a line for each material",
              "there is no line below the heading");
}

lh_status lh_analysis_read(const void *bytes, size_t n,
                           const lh_analysis_ask *ask, lh_arena *a,
                           lh_analyses *out, lh_fault *fault)
{
  reading r = {.ask = ask,
               .name = ask->name ? ask->name : "table",
               .trace = isnan(ask->trace) ? LH_ANALYSIS_TRACE : ask->trace,
               .arena = a,
               .fault = fault};
  lh_cells t;
  size_t heading;
  char separator = n ? sniff(bytes, n) : 0;
  lh_status st;

  if (n == 0) bytes = "";
  *out = (lh_analyses){0};
  /* Cut in any case: what is no text at all is said before. */
  st =
      lh_cells_cut(bytes, n, separator ? separator : ',', r.name, a, &t, fault);
  if (st != LH_OK) return st;
  heading = separator ? find_heading(&t) : t.count;
  if (heading == t.count) return no_heading(&r, bytes, n);
  st = read_heading(&r, &t, heading, out);
  if (st == LH_OK) st = read_lines(&r, &t, heading, out);
  out->above = heading;
  return st;
}
