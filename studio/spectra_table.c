/* SPDX-License-Identifier: GPL-3.0-or-later */
/* spectra_table.c -- spectra in a table (CSV). */
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "cells.h"
#include "spectra_room.h"

enum { HEADING_WITHIN = 40, SNIFF_LINES = 60 };

static lh_spectra_place place(const lh_cell *c)
{
  return (lh_spectra_place){c->line, c->column};
}

/* Cells of a row; empty ones at its end are not counted. */
static size_t width(const lh_cell_row *row)
{
  size_t n = row->count;

  while (n && !row->cell[n - 1].text[0]) n--;
  return n;
}

/* ---- the separator ------------------------------------------------------- */

/* How many of a line's bytes, outside quotes, are c. */
static bool holds(const char *s, size_t n, char c)
{
  bool quoted = false;

  for (size_t i = 0; i < n; i++) {
    if (s[i] == '"') quoted = !quoted;
    if (!quoted && s[i] == c) return true;
  }
  return false;
}

/* A tab or a semicolon that stands in half the lines separates; else a comma,
** which with these may be a decimal one. */
static char sniff(const char *s, size_t n)
{
  size_t lines = 0, tabs = 0, semicolons = 0;

  while (n && lines < SNIFF_LINES) {
    size_t end = 0;
    while (end < n && s[end] != '\n' && s[end] != '\r') end++;
    if (end && s[0] != '#') {
      lines++;
      tabs += holds(s, end, '\t');
      semicolons += holds(s, end, ';');
    }
    end += end < n;
    s += end, n -= end;
  }
  if (tabs && 2 * tabs >= lines) return '\t';
  return semicolons && 2 * semicolons >= lines ? ';' : ',';
}

/* ---- the heading --------------------------------------------------------- */

/* Wavelengths among the cells of a row. */
static size_t across(const lh_cell_row *row)
{
  size_t n = 0;
  int none;

  for (size_t i = 0; i < row->count; i++)
    n += isnan(lh_spectra_wave(row->cell[i].text, &none)) ? 0 : 1;
  return n;
}

/* The row whose first cell, and those below it, are wavelengths. */
static size_t down(const lh_cells *t)
{
  int none;

  for (size_t i = 0; i < t->count && i < HEADING_WITHIN; i++) {
    size_t n = 0;
    while (i + n < t->count && n < LH_RESAMPLE_LEAST &&
           !isnan(lh_spectra_wave(t->row[i + n].cell[0].text, &none)))
      n++;
    if (n == LH_RESAMPLE_LEAST) return i;
  }
  return t->count;
}

static bool is_percent(const char *text)
{
  char word[64];

  lh_spectra_fold(text, word, sizeof word);
  return strchr(word, '%') || strstr(word, "percent") ||
         strstr(word, "prozent");
}

/* What stands above the heading may say percent. */
static lh_status above(lh_spectra_work *w, const lh_cells *t, size_t heading)
{
  lh_status st = LH_OK;

  for (size_t i = 0; i < heading && st == LH_OK; i++)
    for (size_t k = 0; k < t->row[i].count && st == LH_OK; k++)
      if (is_percent(t->row[i].cell[k].text))
        st = lh_spectra_says(w, LH_SCALE_PERCENT, place(&t->row[i].cell[k]));
  return st;
}

static lh_status wrong_width(const lh_spectra_work *w, const lh_cell_row *row,
                             size_t want)
{
  return lh_spectra_fail(w, LH_INPUT, place(&row->cell[0]),
                         "see that no cell is missing; with decimal commas "
                         "separate by semicolons",
                         "%zu cells under a heading of %zu", width(row), want);
}

/* ---- a sample a row ------------------------------------------------------ */

typedef struct {
  size_t name, id; /* columns; SIZE_MAX: none */
  size_t *at;      /* the columns of readings */
  size_t n;
} columns;

static lh_status name_columns(const lh_spectra_work *w, const lh_cell_row *head,
                              columns *c)
{
  size_t other = SIZE_MAX;
  int none;

  c->name = c->id = SIZE_MAX;
  for (size_t k = head->count; k-- > 0;) {
    const char *text = head->cell[k].text;
    int is = lh_spectra_name_head(text);
    if (is == 2) c->name = k;
    if (is == 1) c->id = k;
    if (isnan(lh_spectra_wave(text, &none)) && lh_spectra_lab_head(text) < 0)
      other = k;
  }
  if (c->name == SIZE_MAX) c->name = c->id, c->id = SIZE_MAX;
  if (c->name == SIZE_MAX) c->name = other;
  if (c->name != SIZE_MAX) return LH_OK;
  return lh_spectra_fail(w, LH_INPUT, place(&head->cell[0]),
                         "add a column headed \"name\"",
                         "no column names the samples");
}

static lh_status wave_columns(lh_spectra_work *w, const lh_cell_row *head,
                              columns *c)
{
  double *nm = lh_arena_take(w->arena, head->count, sizeof *nm);
  lh_status st = LH_OK;

  c->n = 0;
  if (!nm) return LH_NOMEM;
  for (size_t k = 0; k < head->count && st == LH_OK; k++) {
    int scale = LH_SCALE_UNTOLD;
    double is = lh_spectra_wave(head->cell[k].text, &scale);
    if (isnan(is)) continue;
    nm[c->n] = is;
    c->at[c->n++] = k;
    st = lh_spectra_says(w, scale, place(&head->cell[k]));
  }
  if (st != LH_OK) return st;
  return lh_spectra_waves(w, nm, c->n, place(&head->cell[c->at[0]]));
}

static lh_status one_row(lh_spectra_work *w, const lh_cell_row *row,
                         const columns *c, bool lab, size_t wide)
{
  double *v = lh_arena_take(w->arena, c->n, sizeof *v);
  const lh_cell *name = &row->cell[c->name];
  lh_status st = LH_OK;

  if (!v) return LH_NOMEM;
  if (row->count <= c->name || width(row) > wide || row->count < wide)
    return wrong_width(w, row, wide);
  for (size_t k = 0; k < c->n && st == LH_OK; k++) {
    const lh_cell *cell = &row->cell[c->at[k]];
    st = lab ? lh_spectra_number(w, cell->text, place(cell), true, &v[k])
             : lh_spectra_reading(w, cell->text, place(cell), &v[k]);
  }
  if (st != LH_OK) return st;
  return lh_spectra_add(w, name->text,
                        c->id == SIZE_MAX ? NULL : row->cell[c->id].text,
                        place(name), lab ? NULL : v,
                        lab ? (lh_lab){v[0], v[1], v[2]} : (lh_lab){0, 0, 0});
}

static lh_status rows(lh_spectra_work *w, const lh_cells *t, size_t heading,
                      bool lab)
{
  const lh_cell_row *head = &t->row[heading];
  columns c = {0, 0, lh_arena_take(w->arena, head->count + 3, sizeof *c.at), 3};
  lh_status st;

  if (!c.at) return LH_NOMEM;
  st = name_columns(w, head, &c);
  if (st == LH_OK && !lab) st = above(w, t, heading);
  if (st == LH_OK && !lab) st = wave_columns(w, head, &c);
  for (size_t k = 0; lab && k < head->count; k++) {
    int which = lh_spectra_lab_head(head->cell[k].text);
    if (which >= 0) c.at[which] = k;
  }
  for (size_t i = heading + 1; i < t->count && st == LH_OK; i++)
    st = one_row(w, &t->row[i], &c, lab, width(head));
  return st;
}

/* The row that heads columns of L*, a*, b*, one of each. */
static size_t lab_heading(const lh_cells *t)
{
  for (size_t i = 0; i < t->count && i < HEADING_WITHIN; i++) {
    size_t n[3] = {0, 0, 0};
    for (size_t k = 0; k < t->row[i].count; k++) {
      int which = lh_spectra_lab_head(t->row[i].cell[k].text);
      if (which >= 0) n[which]++;
    }
    if (n[0] == 1 && n[1] == 1 && n[2] == 1) return i;
  }
  return t->count;
}

/* ---- a sample a column --------------------------------------------------- */

/* A line of units below the names: "nm;%;%". */
static bool is_units(const lh_cell_row *row)
{
  static const char *const units[] = {
      "", "%", "%r", "r%", "r", "percent", "reflectance", "reflectance%"};

  for (size_t k = 1; k < row->count; k++) {
    char word[32];
    bool is = false;
    lh_spectra_fold(row->cell[k].text, word, sizeof word);
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
      is |= strcmp(word, units[i]) == 0;
    if (!is) return false;
  }
  return row->count > 1 && !lh_spectra_name_head(row->cell[0].text);
}

/* The wavelengths; every row as wide as the heading. */
static lh_status down_waves(lh_spectra_work *w, const lh_cells *t, size_t from,
                            size_t wide)
{
  size_t n = t->count - from;
  double *nm = lh_arena_take(w->arena, n, sizeof *nm);
  lh_status st = LH_OK;

  if (!nm) return LH_NOMEM;
  for (size_t i = 0; i < n && st == LH_OK; i++) {
    const lh_cell_row *row = &t->row[from + i];
    int scale = LH_SCALE_UNTOLD;
    nm[i] = lh_spectra_wave(row->cell[0].text, &scale);
    if (isnan(nm[i]))
      return lh_spectra_fail(w, LH_INPUT, place(&row->cell[0]),
                             "leave this line out, or put # before it",
                             "a wavelength should stand here");
    if (width(row) > wide || row->count < wide)
      return wrong_width(w, row, wide);
    st = lh_spectra_says(w, scale, place(&row->cell[0]));
  }
  if (st != LH_OK) return st;
  return lh_spectra_waves(w, nm, n, place(&t->row[from].cell[0]));
}

static lh_status one_column(lh_spectra_work *w, const lh_cells *t, size_t from,
                            const lh_cell *name, size_t column)
{
  size_t n = t->count - from;
  double *v = lh_arena_take(w->arena, n, sizeof *v);
  lh_status st = LH_OK;

  if (!v) return LH_NOMEM;
  for (size_t i = 0; i < n && st == LH_OK; i++) {
    const lh_cell *c = &t->row[from + i].cell[column];
    st = lh_spectra_reading(w, c->text, place(c), &v[i]);
  }
  if (st != LH_OK) return st;
  return lh_spectra_add(w, name->text, NULL, place(name), v, (lh_lab){0, 0, 0});
}

static lh_status columns_down(lh_spectra_work *w, const lh_cells *t,
                              size_t from)
{
  size_t heading = from - 1, wide;
  lh_status st;

  if (heading > 0 && is_units(&t->row[heading])) heading--;
  wide = width(&t->row[heading]);
  st = above(w, t, heading);
  /* The names may hold a "%" of their own; what heads the wavelengths, and
  ** the line of units, speak of the readings. */
  if (st == LH_OK && is_percent(t->row[heading].cell[0].text))
    st = lh_spectra_says(w, LH_SCALE_PERCENT, place(&t->row[heading].cell[0]));
  for (size_t k = 0; heading + 1 < from && k < t->row[from - 1].count; k++)
    if (st == LH_OK && is_percent(t->row[from - 1].cell[k].text))
      st = lh_spectra_says(w, LH_SCALE_PERCENT,
                           place(&t->row[from - 1].cell[k]));
  if (st == LH_OK && wide < 2)
    return lh_spectra_fail(w, LH_INPUT, place(&t->row[heading].cell[0]),
                           "head each column with its tile's name",
                           "there is no sample beside the wavelengths");
  if (st == LH_OK) st = down_waves(w, t, from, wide);
  for (size_t k = 1; k < wide && st == LH_OK; k++)
    st = one_column(w, t, from, &t->row[heading].cell[k], k);
  return st;
}

/* ---- which of them ------------------------------------------------------- */

lh_status lh_spectra_table(lh_spectra_work *w, const void *bytes, size_t n)
{
  static const lh_spectra_place top = {1, 1};
  lh_cells t;
  size_t from, lab, heading = 0;
  lh_status st = lh_cells_cut(bytes, n, sniff(bytes, n), w->ask->name, w->arena,
                              &t, w->fault);

  if (st != LH_OK) return st;
  from = down(&t);
  while (heading < t.count && heading < HEADING_WITHIN &&
         across(&t.row[heading]) < LH_RESAMPLE_LEAST)
    heading++;
  if (heading >= HEADING_WITHIN || heading > from) heading = t.count;
  /* Samples may be called by numbers that look like wavelengths. */
  if (from < t.count && heading < t.count && heading < from &&
      lh_spectra_wave_head(t.row[heading].cell[0].text))
    heading = t.count;
  if (heading < t.count) return rows(w, &t, heading, false);
  if (from < t.count && from > 0) return columns_down(w, &t, from);
  if (from < t.count)
    return lh_spectra_fail(w, LH_INPUT, top,
                           "head each column with its tile's name",
                           "the wavelengths stand in the first line: nothing "
                           "names the samples");
  lab = lab_heading(&t);
  if (lab < t.count) return rows(w, &t, lab, true);
  return lh_spectra_fail(
      w, LH_INPUT, top,
      "head the columns with the wavelengths in nm, or let wavelengths stand "
      "in the first column and a tile's name over each other one",
      "no wavelengths are found in it");
}
