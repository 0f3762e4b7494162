/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Suppliers' tables, read.  The forms of CSV are those of RFC 4180 and of
** what office programs write where the comma is decimal (common practice, no
** source).  All materials and figures are invented. */
#include "analysis.h"

#include <stdlib.h>

#include "check.h"
#include "heap.h"
#include "recipe_doc.h"

static lh_arena arena;
static lh_fault fault;

static lh_status read_with(const char *text, size_t n, lh_analyses *all,
                           const char *const *out, size_t outs)
{
  lh_analysis_ask ask = {"t.csv", NAN, out, outs};

  fault = (lh_fault){0};
  return lh_analysis_read(text, n, &ask, &arena, all, &fault);
}

static lh_status read_text(const char *text, lh_analyses *all)
{
  return read_with(text, strlen(text), all, NULL, 0);
}

/* Refused, at that place, with words in it. */
static void refused(const char *text, const char *where, const char *what)
{
  lh_analyses all;
  lh_status st = read_text(text, &all);
  bool good = st != LH_OK && strcmp(fault.where, where) == 0 &&
              strstr(fault.what, what) && fault.todo[0];

  CHECK(good, "refused at %s: %s", where, what);
  if (!good)
    printf("# status %d, \"%s\": \"%s\", \"%s\"\n", (int)st, fault.where,
           fault.what, fault.todo);
}

static double oxide(const lh_analysis *m, const char *symbol)
{
  return m->oxide[lh_oxide_find(symbol)].percent;
}

/* One table in all the ways it may be written. */
static void test_forms(void)
{
  static const char *const way[] = {
      "name,SiO2,Al2O3,LOI\nMud,60.5,25,12.25\n",
      "\xef\xbb\xbfname,SiO2,Al2O3,LOI\r\nMud,60.5,25,12.25\r\n",
      "name;SiO2;Al2O3;LOI\nMud;60,5;25;12,25",
      "name\tSiO2\tAl2O3\tLOI\rMud\t60,5\t25\t12,25\r",
      "\"LOI\",\"Al2O3\",\"SiO2\",\"name\"\n\"12,25\",\"25\",\"60,5\","
      "\"Mud\"\n",
      "sep=;\nmaterial;sio2;AL2O3;l.o.i.\n\n  Mud ; 60.5 ;25 %; 12,25\n",
      "# a remark, SiO2, Al2O3\nLoss on ignition (1025 \xc2\xb0"
      "C);Al\xe2\x82\x82O\xe2\x82\x83 (wt%);silica;Product\n12.25;25.0;60.50;"
      "Mud\n;;;\n",
      "Suppliers' list\n\n;SiO2 wt%;% Al2O3;Gl\xc3\xbchverlust;\nMud;60,5;25;"
      "12,25;\n",
      "name;SiO2;Al2O3;GV\n;%;wt%;%\nMud;6.05e1;25;12,25\n",
  };

  for (size_t i = 0; i < sizeof way / sizeof way[0]; i++) {
    lh_analyses all = {0};
    lh_status st = read_text(way[i], &all);
    const lh_analysis *m = all.material;
    bool good = st == LH_OK && all.count == 1 && !strcmp(m->name, "Mud") &&
                oxide(m, "SiO2") == 60.5 && oxide(m, "Al2O3") == 25.0 &&
                m->loi.percent == 12.25 && m->total == 97.75;
    CHECK(good, "the same table, way %zu", i + 1);
    if (!good) printf("# %s: %s\n", fault.where, fault.what);
  }
}

static void test_cells(void)
{
  lh_analyses all;
  const lh_analysis *m;
  size_t fe = lh_oxide_find("FeO"), k = lh_oxide_find("K2O");
  size_t na = lh_oxide_find("Na2O"), mg = lh_oxide_find("MgO");

  CHECK(read_text("name;SiO2;FeO;K2O;MgO;CaO;Na2O;LOI\n"
                  "A;70;<0,1;trace;-;;0,3 \xc2\xb1 0,05;n.d.\n"
                  "B;70,00;\xe2\x89\xa4 0.2;Spuren;\xe2\x80\x93;0;0.3+/-0.1;"
                  "<=1\n",
                  &all) == LH_OK,
        "cells that are no plain figures");
  m = all.material;
  CHECK(m->oxide[fe].told && m->oxide[fe].percent == 0.0 &&
            m->oxide[fe].e == 0.1,
        "less than 0.1 is 0, and the range covers 0.1");
  CHECK(m->oxide[k].percent == 0.0 && m->oxide[k].e == LH_ANALYSIS_TRACE,
        "a trace is 0, and the range covers a trace");
  CHECK(!m->oxide[mg].told && !m->loi.told, "- and n.d. tell nothing");
  CHECK(m->oxide[na].percent == 0.3 && m->oxide[na].e == 0.05,
        "a figure with its own range");
  CHECK_NEAR(m->total, 70.3, 1e-12, "the total is of what is told");
  /* 70 is to half a unit, 0,3 to half a tenth; the rest may hide that much. */
  CHECK_NEAR(m->rounding, 0.5 + 0.05 + 0.1 + LH_ANALYSIS_TRACE, 1e-12,
             "and what rounding may do to it");
  CHECK(m[1].loi.told && m[1].loi.e == 1.0 && m[1].oxide[fe].e == 0.2 &&
            m[1].oxide[na].e == 0.1,
        "the same with other signs");
  CHECK_NEAR(m[1].rounding, 0.005 + 0.05 + 0.2 + LH_ANALYSIS_TRACE + 0.5 + 1.0,
             1e-12, "a 0 may hide half a unit");
}

static void test_columns(void)
{
  static const char *const out[] = {"MESH", "Trace elements (ppm)"};
  lh_analyses all;
  const lh_analysis *m;
  const char *text =
      "name,SiO2,\xc2\xb1 SiO2,Fe2O3 total,total,class,price/kg,stock "
      "kg,density,hazards,note,mesh,Trace elements (ppm)\n"
      "A,47.5,0.4,1,101.5,Plastic Clay,1.25,2.5,2.6,H372,\"a, \"\"b\"\"\nc\","
      "200,5\n";

  CHECK(read_with(text, strlen(text), &all, out, 2) == LH_OK,
        "columns that are no oxides");
  m = all.material;
  CHECK(m->oxide[lh_oxide_find("SiO2")].e == 0.4 && oxide(m, "Fe2O3") == 1.0,
        "a range in a column of its own; all iron as one");
  CHECK(m->stated_total == 101.5 && m->total == 48.5,
        "the table's total beside ours");
  CHECK(!strcmp(lh_material_classes[m->class_], "plastic clay"), "class");
  CHECK(m->price_per_kg == 1.25 && m->stock_g == 2500 && m->density == 2.6,
        "price, stock in g, density");
  CHECK_TEXT(m->note, "a, \"b\" c", "a quoted cell, its line end a space");
  CHECK(all.left_out_count == 2 && !strcmp(all.left_out[0], "mesh"),
        "what is left out is told");
  CHECK(isnan(m->price_per_kg) == 0 && m->line == 2 && all.above == 0, "line");
}

static void test_heads(void)
{
  static const char *const loss[] = {
      "LOI",          "L.O.I.",        "loi 1000C", "Loss on ignition",
      "glow loss",    "Ignition loss", "GV",        "Gl\xc3\xbchverlust",
      "Gluehverlust", "Perte au feu",  "P.A.F.",    "LOI (950 C)",
      "wt% LOI"};
  size_t bad = 0;

  for (size_t i = 0; i < sizeof loss / sizeof loss[0]; i++)
    CHECK(lh_analysis_head_of(loss[i], strlen(loss[i])).what == LH_HEAD_LOI,
          "%s is loss on ignition", loss[i]);
  for (size_t i = 0; i < LH_OXIDE_FORMS; i++) {
    const char *each[] = {lh_oxide_symbol(i), lh_oxide_name(i)};
    for (size_t k = 0; k < 2; k++) {
      lh_analysis_head h = lh_analysis_head_of(each[k], strlen(each[k]));
      bad += h.what != LH_HEAD_OXIDE || h.oxide != i;
    }
  }
  CHECK(bad == 0, "every oxide is found by its symbol and by its name");
}

static void test_refused(void)
{
  refused("", "t.csv:1:1", "no line of the table names oxides");
  refused("just words\nand more\n", "t.csv:1:1", "names oxides");
  refused("SiO2,60\nAl2O3,30\nLOI,10\n", "t.csv:1:1", "below each other");
  refused("name,SiO2,Al2O4\nA,1,2\n", "t.csv:1:11", "nearest is Al2O3");
  refused("name;SiO2;SiO2 %\nA;1;2\n", "t.csv:1:11", "the same as");
  refused("name;SiO2;silica\nA;1;2\n", "t.csv:1:11", "the same as");
  refused("SiO2;LOI\n1;2\n", "t.csv:1:1", "names of the materials");
  refused("name;SiO2;LOI\n;1;2\n", "t.csv:2:1", "has no name");
  refused("name;SiO2;LOI\nA;-;<1\n", "t.csv:2:1", "no figure above 0");
  refused("name;SiO2;LOI\nA;60;1\n\xc3\x84;50;12a\n", "t.csv:3:6",
          "LOI of this line, \"12a\"");
  refused("name;SiO2;LOI\nA;1.234,5;1\n", "t.csv:2:3", "point and a comma");
  refused("name;SiO2;LOI\nA;-2;1\n", "t.csv:2:3", "0 to 100 %");
  refused("name;SiO2;LOI\nA;101;1\n", "t.csv:2:3", "0 to 100 %");
  refused("name;SiO2;LOI\nA;inf;1\n", "t.csv:2:3", "NaN or infinity");
  refused("name;SiO2;LOI\nA;60..70;1\n", "t.csv:2:3", "");
  refused("name,SiO2,LOI\nA,60,5,1\n", "t.csv:2:8", "behind the last heading");
  refused("name;SiO2;LOI\nA;60;1\nA;61;1\n", "t.csv:3:1", "stands on line 2");
  refused("name;SiO2;LOI\n", "t.csv:1:1", "no line below the heading");
  refused("name;SiO2;LOI;price\nA;60;1;3\n", "t.csv:1:15", "in which unit");
  refused("name;SiO2 mol%;LOI\nA;60;1\n", "t.csv:1:6", "unit");
  refused("name;SiO2;ZrO2 (ppm)\nA;60;100\n", "t.csv:1:11", "unit");
  refused("name;SiO2;class\nA;60;caolin\n", "t.csv:2:6", "nearest is kaolin");
  refused("name;SiO2;LOI;stock g\nA;60;1;many\n", "t.csv:2:8", "stock g");
  refused("name;SiO2;LOI;density\nA;60;1;0.1\n", "t.csv:2:8", "range");
  refused("name;SiO2;LOI\n\"A;60;1\n", "t.csv:2:1", "not closed");
  refused("name;SiO2;LOI\n\"A\"b;60;1\n", "t.csv:2:4", "closing quote");
  refused("name;SiO2;LOI\nM\xfc"
          "d;60;1\n",
          "t.csv:2:2", "not UTF-8");
  refused("name;SiO2;LOI\nA\x01;60;1\n", "t.csv:2:2", "control character");
  refused("\xff\xfen;", "t.csv:1:1", "UTF-16");
}

static void test_large(void)
{
  enum { BIG = 2 * 1024 * 1024 + 1 };
  char *text = malloc(BIG);
  size_t n = 0;
  lh_analyses all;

  n += (size_t)sprintf(text + n, "name;SiO2;LOI\n");
  for (int i = 0; i < LH_ANALYSIS_MOST; i++)
    n += (size_t)sprintf(text + n, "m%d;60;1\n", i);
  CHECK(read_with(text, n, &all, NULL, 0) == LH_OK &&
            all.count == LH_ANALYSIS_MOST,
        "two thousand materials");
  n += (size_t)sprintf(text + n, "last;60;1\n");
  CHECK(read_with(text, n, &all, NULL, 0) == LH_TOOLARGE, "one more is not");
  memset(text, 'x', BIG);
  CHECK(read_with(text, BIG, &all, NULL, 0) == LH_TOOLARGE &&
            strstr(fault.what, "2 MB"),
        "nor a table over 2 MB");
  n = (size_t)sprintf(text, "name;SiO2;LOI\n");
  memset(text + n, 'x', 3000);
  CHECK(read_with(text, n + 3000, &all, NULL, 0) == LH_TOOLARGE &&
            strcmp(fault.where, "t.csv:2:2001") == 0,
        "nor a cell over 2000 bytes");
  memset(text + n, ';', 3000);
  CHECK(read_with(text, n + 3000, &all, NULL, 0) == LH_TOOLARGE,
        "nor a line of 3000 cells");
  free(text);
}

/* Out of memory at every step it is said so, and nothing is lost. */
static void test_memory(void)
{
  const char *text = "name;SiO2;LOI\nA;60;1\n";
  size_t ended = 0, limit;
  lh_analyses all;

  for (limit = 1; limit < 400000 && !ended; limit += 997) {
    lh_status st;
    lh_heap_free(&arena);
    lh_heap_limit(limit);
    st = read_text(text, &all);
    if (st == LH_OK) ended = limit;
    if (st != LH_OK && st != LH_NOMEM) break;
  }
  lh_heap_limit(0);
  CHECK(ended > 1, "out of memory is said");
}

int main(void)
{
  lh_heap_open(&arena);
  test_forms();
  test_cells();
  test_columns();
  test_heads();
  test_refused();
  test_large();
  test_memory();
  lh_heap_free(&arena);
  return CHECK_DONE();
}
